"""A small job, its boxes, and two boxes with one fault each."""

import csv
from pathlib import Path

from tagmaker.revisions.selection import Selection
from tagmaker.workflows.make import Made
from tests.records import replace
from tests.strategies import BoxSketch, JobSketch, UnitSketch

__all__ = [
    "GOOD",
    "JOB",
    "NEW",
    "OLD",
    "OTHER",
    "OVERLOADED",
    "TOO_WIDE",
    "UNPROVED",
    "codes",
    "contents",
    "rows",
]

GOOD = BoxSketch(
    "BB-1", 4, (UnitSketch("FC-1", "C", "24 kBtu/h", "Library"), UnitSketch("AH-1", "A+B", "72 kBtu/h"))
)
OTHER = BoxSketch("BB-2", 6, (UnitSketch("FC-2", "A"), UnitSketch("FC-3", "A")))
OVERLOADED = BoxSketch("BB-3", 4, (UnitSketch("FC-4", "A", "60 kBtu/h"),))
TOO_WIDE = BoxSketch("BB-4", 4, (UnitSketch("FC-5", "A", "12 kBtu/h", "W" * 60),))
JOB = JobSketch((GOOD, OTHER), number="ML-24", revision="P02")
OLD = JobSketch(
    (
        BoxSketch("BB-1", 4, (UnitSketch("FC-1", "A", "24 kBtu/h", "Shop"),), place="Level 2", power="LP-2"),
        BoxSketch("BB-2", 4, (UnitSketch("FC-2", "A"), UnitSketch("FC-3", "B"))),
    ),
    revision="1",
)
NEW = replace(
    OLD,
    revision="2",
    boxes=(replace(OLD.boxes[0], units=(UnitSketch("FC-1", "B", "24 kBtu/h", "Shop"),)), OLD.boxes[1]),
)
"""The next revision of `OLD`: one unit moves from A to B."""
UNPROVED = Selection(proof=False)
"""Where a claim is about something else than the codes."""


def contents(folder: Path) -> dict[str, bytes]:
    """Every file of a folder, byte for byte."""
    return {
        path.relative_to(folder).as_posix(): path.read_bytes() for path in folder.rglob("*") if path.is_file()
    }


def codes(made: Made) -> list[str]:
    """The codes of a run's problems."""
    return [problem.code for problem in made.checked.problems]


def rows(out: Path) -> list[list[str]]:
    """The register's rows without header and places."""
    with (out / "register.csv").open(encoding="utf-8", newline="") as file:
        return [row[:9] for row in csv.reader(file)][1:]
