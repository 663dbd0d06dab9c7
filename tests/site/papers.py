"""What tests of scanning read: a job's tags and placards as texts, and its finished set as files."""

import zlib
from collections.abc import Iterator
from functools import cache
from pathlib import Path

from tagmaker.job.model import Job
from tagmaker.plan.model import BoxPlan, Plan
from tagmaker.plan.plan_job import plan_job
from tagmaker.revisions.selection import Selection
from tagmaker.site.scans.codes import scan_of
from tagmaker.site.scans.landing import Landing
from tagmaker.tags.kits import box_tags
from tagmaker.tags.model import Tag
from tagmaker.tags.placard_text import placard_text
from tagmaker.workflows import make
from tests.records import replace
from tests.strategies import BoxSketch, JobSketch, UnitSketch, words

LIBRARY = JobSketch(
    (
        BoxSketch(
            "BB-1",
            8,
            (
                UnitSketch("FC-1", "A", "12 kBtu/h", "Shop"),
                UnitSketch("FC-2", "B", "18 kBtu/h"),
                UnitSketch("FC-3", "B", "9 kBtu/h"),
                UnitSketch("AH-1", "E+F", "72 kBtu/h"),
            ),
        ),
        BoxSketch("BB-2", 4, (UnitSketch("FC-4", "A", "24 kBtu/h"),)),
    ),
    number="ML-24",
    revision="2",
)
"""One of each: a single port, a shared one, a joined pair, spares, a second box."""


def plan_of(sketch: JobSketch) -> Plan:
    """A job's plan."""
    return plan_job(sketch.record())[0]


def job_tags(job: Job, box: BoxPlan) -> list[Tag]:
    """All tags of a box."""
    return list(box_tags(job, box, words()))


def tags_by_code(plan: Plan) -> dict[str, Tag]:
    """All of a job's tags by code."""
    return {tag.code: tag for box in plan.boxes for tag in job_tags(plan.job, box)}


def placards(plan: Plan) -> list[str]:
    """The placards' texts of a job."""
    return [placard_text(plan.job, box) for box in plan.boxes]


def sealed(body: str) -> str:
    """A text with the CRC-32 of its lines as the last line, whatever they say."""
    return f"{body}CRC {zlib.crc32(body.encode()):08X}\n"


def changed(sketch: JobSketch, *units: UnitSketch) -> JobSketch:
    """The job with other units on its first box."""
    return replace(sketch, boxes=(replace(sketch.boxes[0], units=units), *sketch.boxes[1:]))


@cache
def library() -> Plan:
    """The plan of the job above."""
    return plan_of(LIBRARY)


def landing(plan: Plan | None = None) -> Landing:
    """A landing check of a job, nothing scanned yet."""
    plan = plan or library()
    return Landing(plan, frozenset(tags_by_code(plan)))


def landed(*codes: str, plan: Plan | None = None) -> Landing:
    """A landing check with these codes scanned one after the other."""
    check = landing(plan)
    for number, code in enumerate(codes, start=1):
        check.put(scan_of(code, str(number)))
    return check


def kit(box: BoxPlan, letter: str) -> Iterator[str]:
    """The codes that are scanned at a terminal where all is right: its own, then what hangs there."""
    port = box.port_of(letter)
    yield f"{box.row.key}/{letter}/TRM"
    if port.units and letter == port.letters[0]:
        yield f"{box.row.key}/{letter}/COM"
    yield f"{box.row.key}/{letter}/LIQ"
    yield f"{box.row.key}/{letter}/GAS"


def letters_of(box: BoxPlan) -> list[str]:
    """The letters that a box's ports have."""
    return list(box.letters)


def made(sketch: JobSketch, folder: Path, *, proof: bool = False) -> Path:
    """A job's finished set; the folder that it lies in."""
    done = make.make(sketch.write(folder / "job"), folder / "out", selection=Selection(proof=proof))
    assert done.files, done.checked.problems
    return folder / "out"
