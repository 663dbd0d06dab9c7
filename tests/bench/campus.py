"""A campus: any number of boxes of mixed sizes with joined pairs, shared ports, spares; each time the same.

Run: python -m tests.bench.campus FOLDER [boxes] [stock]. A box has 56 tags on average, so 500 boxes have
about 28,000.
"""

import sys
from collections.abc import Iterator
from itertools import count
from pathlib import Path

from tests.job_files import write_files

__all__ = ["campus", "write_campus"]

SIZES = (4, 12, 8, 6, 10)
LETTERS = "ABCDEFGHIJKL"
PAIRS = ("1 1", "1 1", "joined", "1 2", "1 1", "1 1", "2 1", "1 1", "1 1", "2 2", "joined", "1 1", "1 1")
"""How many units the two ports of a pair have, in turn; the last port of every third box is spare."""
ROOMS = ("Seminar", "Office", "Laboratory", "Workshop", "Reading room", "Studio", "Lecture", "Store")
CAPACITIES = (9, 12, 15, 18, 24)  # kBtu/h, of which three go on a port
HEAD = """[job]
name = "North Shore Campus"
family = "four-port-boards"
number = "NSC-3"
revision = 1
date = 2026-04-30
prepared_by = "commissioning desk"
schedule = "ports.csv"
"""
COLUMNS = "unit,box,port,capacity (kBtu/h),room,address\n"


def campus(boxes: int, stock: str = "") -> dict[str, str]:
    """The files of a campus of so many boxes; `stock` serves every use where it is given."""
    units = count(1)
    rows = [row for number in range(boxes) for row in _rows(number, units)]
    uses = "".join(f'{use} = "{stock}"\n' for use in ("pipe", "cable", "terminal"))
    prints = f"[print]\n{uses}" if stock else ""
    toml = HEAD + prints + "".join(_box(number) for number in range(boxes))
    return {"job.toml": toml, "ports.csv": COLUMNS + "".join(rows)}


def write_campus(folder: Path, boxes: int, stock: str = "") -> Path:
    """The campus as a job's folder."""
    return write_files(folder, campus(boxes, stock))


def _box(number: int) -> str:
    """A box; five stand on a level, four levels make a building."""
    wing, level = chr(ord("A") + number // 20 % 26), number // 5 % 4 + 1
    grid = f"{LETTERS[number % 12]}{number % 9 + 1}"
    return (
        f'\n[[box]]\ntag = "BB-{number + 1}"\nports = {SIZES[number % len(SIZES)]}\n'
        f'place = "Wing {wing}, level {level} corridor, ceiling at grid {grid}"\n'
        f'power = "Panel LP-{wing}{level}, circuit {number % 40 + 1}"\n'
        f'system = "HR-{number // 5 + 1}"\nlevel = "{level}"\nfed_from = "CU-{number // 5 + 1}"\n'
    )


def _rows(number: int, units: Iterator[int]) -> Iterator[str]:
    """A row a unit of a box."""
    size = SIZES[number % len(SIZES)]
    for pair in range(size // 2):
        first, second = LETTERS[2 * pair], LETTERS[2 * pair + 1]
        use = PAIRS[(number + pair) % len(PAIRS)]
        if use == "joined":
            yield _row(next(units), number, f"{first}+{second}", 72)
            continue
        for letter, on_port in zip((first, second), use.split(), strict=True):
            is_spare = number % 3 == 2 and letter == LETTERS[size - 1]
            for _ in range(0 if is_spare else int(on_port)):
                unit = next(units)
                yield _row(unit, number, letter, CAPACITIES[unit % 5 if on_port == "1" else unit % 3])


def _row(unit: int, box: int, port: str, capacity: int) -> str:
    room = f"{ROOMS[unit % len(ROOMS)]} {box // 5 % 4 + 1}.{unit % 90 + 10}"
    return f"FC-{unit},BB-{box + 1},{port},{capacity},{room},{box // 5 + 1}-{unit % 64:02}\n"


if __name__ == "__main__":
    if not sys.argv[1:] or sys.argv[1].startswith("-"):
        sys.exit(__doc__)
    write_campus(Path(sys.argv[1]), int(sys.argv[2]) if sys.argv[2:] else 500, *sys.argv[3:4])
