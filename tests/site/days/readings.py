"""Plans with a system, and rows of its first days, for the tests beside this file."""

from pathlib import Path

from tagmaker.job.model import SystemRow
from tagmaker.measures import Temperature
from tagmaker.plan.model import Plan
from tagmaker.plan.plan_job import plan_job
from tagmaker.problems import Where
from tagmaker.tags.first_days import DayRow
from tests.quantities import measure
from tests.records import replace
from tests.strategies import BoxSketch, JobSketch, UnitSketch

__all__ = ["JOB", "UNITS", "plan", "row", "system_job"]

JOB = "ARC-7"
UNITS = ("FC-1", "FC-2", "AH-1")
NOTHING = ""
TEXT = """
[job]
name = "Clinic"
number = "ARC-7"
family = "four-port-boards"

[[system]]
tag = "HR-1"

[[box]]
tag = "BB-1"
ports = 4
system = "HR-1"

[[unit]]
unit = "FC-1"
box = "BB-1"
port = "A"
capacity = "12 kBtu/h"
room = "Records"

[[unit]]
unit = "FC-2"
box = "BB-1"
port = "B"
capacity = "12 kBtu/h"
"""


def system_job(folder: Path) -> Path:
    """A job's folder with one system of two units."""
    folder.mkdir()
    (folder / "job.toml").write_text(TEXT, encoding="utf-8")
    return folder


def plan() -> Plan:
    """A job of one system: a box with three units."""
    units = (UnitSketch("FC-1", "A", "9 kBtu/h"), UnitSketch("FC-2", "B", "9 kBtu/h"))
    boxes = (BoxSketch("BB-1", 4, (*units, UnitSketch("AH-1", "C+D", "60 kBtu/h"))),)
    job = JobSketch(boxes, number=JOB).record()
    rows = tuple(replace(box, system="HR-1") for box in job.boxes)
    return plan_job(replace(job, boxes=rows, systems=(SystemRow("HR-1", Where("job.toml", 9)),)))[0]


def row(unit: str, day: int, mode: str, *temperatures: str, job: str = JOB, box: str = "BB-1") -> DayRow:
    """What was read of a unit: set point, air in, air out, "" for what was not."""
    read = [
        measure(Temperature, text) if text else None for text in (*temperatures, NOTHING, NOTHING, NOTHING)
    ]
    return DayRow(job, box, unit, day, mode, {"set": read[0], "in": read[1], "out": read[2]})
