"""Jobs with measures for tests: tubes, insulation, jackets and runs as people write them, mains, stocks."""

from collections.abc import Mapping
from typing import Literal

from tagmaker.catalog.stock import Stock
from tagmaker.job.model import Job, Mains, UnitRow
from tagmaker.plan.plan_job import plan_job
from tagmaker.revisions.selection import Selection
from tagmaker.sheets.box import FittedBox, fit_box
from tagmaker.tags.kits import box_tags
from tagmaker.tags.model import OutsideDiameter, Stage, Tag
from tagmaker.units import Length, Unreadable, read_length
from tests.records import replace
from tests.strategies import JobSketch, UnitSketch, one_box, unit_row, words

__all__ = [
    "SMALL",
    "WHOLE",
    "all_tags",
    "fitted",
    "length",
    "mains",
    "measured_row",
    "on_stocks",
    "outside_of",
    "sized",
]

WHOLE = Selection()
SMALL = one_box(("FC-1", "A", "9 kBtu/h"), ("FC-2", "A", "9 kBtu/h"), ("AH-1", "C+D", "72 kBtu/h"))
"""A box of four: two units share A, B is spare, C and D work as one."""


def length(text: str) -> Length:
    """A length that must be readable."""
    read = read_length(text)
    if isinstance(read, Unreadable):
        raise TypeError(read.message)
    return read


def measured_row(**texts: str) -> UnitRow:
    """A unit's row with these of liquid, gas, insulation, run and cable."""
    given = {key: length(text) for key, text in texts.items()}
    return replace(unit_row("BB-1", UnitSketch("FC-1", "A")), **given)


def sized(sketch: JobSketch, **texts: str) -> Job:
    """A sketch's job whose every row has these measures."""
    job = sketch.record()
    given = {key: length(text) for key, text in texts.items()}
    return replace(job, units=tuple(replace(unit, **given) for unit in job.units))


def mains(insulation: str = "", run: str = "", **tubes: str) -> Mains:
    """The mains of a box: liquid, suction, hot_gas."""
    return Mains(
        {kind: length(text) for kind, text in tubes.items()},
        length(insulation) if insulation else None,
        length(run) if run else None,
    )


def on_stocks(job: Job, stocks: Mapping[str, Stock], pitch: str = "") -> Job:
    """The job with these stocks for these uses, and the pitch of its terminals."""
    prints = replace(job.prints, stocks={**job.prints.stocks, **stocks})
    return replace(job, prints=replace(prints, terminal_pitch=length(pitch) if pitch else None))


def all_tags(job: Job, stage: Literal[Stage, ""] = "") -> list[Tag]:
    """Every tag of every box in print order."""
    return [tag for box in plan_job(job)[0].boxes for tag in box_tags(job, box, words(), stage)]


def fitted(job: Job, part: Selection = WHOLE) -> list[FittedBox]:
    """Every box laid out."""
    return [fit_box(job, box, words(), part)[0] for box in plan_job(job)[0].boxes]


def outside_of(diameter_mm: float) -> OutsideDiameter:
    """Something round of that diameter."""
    return OutsideDiameter(diameter_mm, f"{diameter_mm:g} mm over insulation", is_metric=True)
