"""Cases of a test as a table that reads like one: a line a case, a bar between cells."""

import re

__all__ = ["table"]

BAR = re.compile(r" \|(?: |$)")


def table(text: str) -> list[tuple[str, ...]]:
    r"""The rows of a table, white space around cells left out; \n in a cell is the end of a line."""
    rows = [line for line in text.splitlines() if line.strip()]
    cells = [tuple(cell.strip().replace(r"\n", "\n") for cell in BAR.split(line)) for line in rows]
    if len({len(row) for row in cells}) > 1:
        raise ValueError("a row of the table has more or fewer cells than another")
    return cells
