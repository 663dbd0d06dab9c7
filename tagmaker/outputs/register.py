"""register.csv: a row a printed label, in print order.

Spreadsheets open it, so a room that would begin a formula there gets an apostrophe. No other column needs
one: codes and tags cannot begin so, and other programs read them. Rows come file by file, since labels are
printed so.
"""

import csv
import io
from collections.abc import Iterable, Sequence

from tagmaker.files.spreadsheet import plain_cell
from tagmaker.sheets.place import Placed

__all__ = ["COLUMNS", "register_csv", "register_head", "register_rows", "tags_file"]

COLUMNS = (
    "code", "kind", "use", "box", "port", "end", "unit", "room", "revision", "file", "page",
    "x_mm", "y_mm", "width_mm", "height_mm",
)  # fmt: skip


def tags_file(stock_name: str) -> str:
    """The file of a stock's labels."""
    return f"tags-{stock_name}.pdf"


def register_csv(placed: Iterable[Placed]) -> bytes:
    """The register of these labels, places in mm from the page's top left corner."""
    return register_head() + register_rows(placed)


def register_head() -> bytes:
    """The names of the columns."""
    return _written([COLUMNS])


def register_rows(placed: Iterable[Placed]) -> bytes:
    """The rows of some labels."""
    return _written(map(_row, placed))


def _written(rows: Iterable[Sequence[object]]) -> bytes:
    out = io.StringIO(newline="")
    csv.writer(out, lineterminator="\n").writerows(rows)
    return out.getvalue().encode()


def _row(placed: Placed) -> list[object]:
    tag, (width, height) = placed.label.tag, placed.stock.label
    facts = (
        tag.code,
        tag.kind,
        tag.use,
        tag.box,
        tag.port,
        tag.end,
        "+".join(tag.units),
        plain_cell("; ".join(tag.rooms)),
    )
    place = (f"{mm:.3f}" for mm in (placed.x, placed.y, width, height))
    return [*facts, tag.revision, tags_file(placed.stock.name), placed.page, *place]
