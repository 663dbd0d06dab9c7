"""Systems' sheets for tests: the example with two systems, its forms, and how they are filled in rightly."""

import datetime as dt
import shutil
from collections.abc import Iterable
from fractions import Fraction
from functools import cache
from pathlib import Path

from tagmaker.draw.pdf import draw_pdf
from tagmaker.measures import Pressure, Temperature
from tagmaker.plan.hold import expected_pressure
from tagmaker.plan.model import Plan
from tagmaker.plan.systems import SystemPlan
from tagmaker.sheets.system import system_pages
from tagmaker.site.system.filled import Filled, SystemSheet, fill
from tagmaker.site.system.findings import SystemFindings, system_findings
from tagmaker.site.walk.forms import Value
from tagmaker.tags.system import (
    GATES,
    TEST_STEPS,
    SystemPrinted,
    farthest_box,
    line_parts,
    printed_units,
    section_parts,
    sections,
    system_field,
    vacuum_minutes,
)
from tagmaker.tags.walk import JobIdentity
from tagmaker.typeset.fonts import all_faces
from tests.paths import EXAMPLES, ROOT
from tests.records import replace
from tests.site.walks import plan_of
from tests.strategies import words

CLINIC = EXAMPLES / "clinic"
Parts = tuple[str, ...]
Sheet = dict[Parts, Value]
GATE_TIMES = dict(zip(GATES, (26, 28, 30, 32, 34, 47, 48), strict=True))  # hours after the start of the hold
START = dt.datetime(2026, 6, 3, 8, 0)


WEIGHED = ("charge", "weighed")
RUNS: Sheet = {("line", "BX-1", "main", "run"): "100", ("line", "BX-1", "FC-1", "run"): "40"}
"""Of the job below, built as planned: 10 lb of the factory, 1 of the box, 140 ft at 0.04 lb/ft: 16.6 lb."""


def job_with_sign(folder: Path) -> Path:
    """A job of one system that asks for signs and does not say what was weighed in."""
    shutil.copytree(ROOT / "tests" / "problems" / "sign-weighed", folder)
    text = (folder / "job.toml").read_text("utf-8").replace('weighed_in = "17.6 lb"\n', "")
    text = text.replace("[[system]]", '[print]\nsign = "letter"\n\n[[system]]', 1)
    (folder / "job.toml").write_text(text.replace("[job]\n", '[job]\nrefrigerant = "R-32"\n'), "utf-8")
    return folder


@cache
def clinic() -> Plan:
    """The plan of the example with two systems."""
    return plan_of(CLINIC)


INSTRUMENTS_USED = (("gauge", "G-118", "0.5"), ("thermometer", "T-27", "0.5"), ("vacuum_gauge", "V-9", "5"))


def moment(hours: float) -> str:
    """A time so many hours after the start, as it is written."""
    return (START + dt.timedelta(hours=hours)).strftime("%Y-%m-%d %H:%M")


def rightly(
    system: SystemPlan, *, at: int = 70, now: int = 60, rise: tuple[int, ...] = (0, 8, 14, 18, 20)
) -> Sheet:
    """The sheets of a system on which all is done and right, by the parts of the fields' names.

    `at` and `now` are °F at the start and the end, `rise` what the vacuum rises by at each reading.
    """
    sheet: Sheet = {("test", key): True for key in TEST_STEPS}
    sheet |= {(*section_parts(box, unit), "opened"): True for box, unit in sections(system)}
    sheet |= {(*section_parts(box), "by"): "A. Fitter" for box in system.boxes}
    for number, step in enumerate(system.row.test.steps, start=1):
        sheet["step", str(number), "pressure"] = step.pressure.number("psi")
        sheet["step", str(number), "time"] = moment(number / 4 - 1)
    sheet |= _held(at, now)
    for name, serial, accuracy in INSTRUMENTS_USED:
        sheet |= {
            ("instrument", name, "serial"): serial,
            ("instrument", name, "calibrated"): "2027-01-31",
            ("instrument", name, "accuracy"): accuracy,
        }
    farthest = farthest_box(system)
    sheet |= {("vacuum", "at"): farthest.shown if farthest else "BX", ("vacuum", "time"): moment(30)}
    for minute, by in zip(vacuum_minutes(system.row), rise, strict=True):
        sheet["vacuum", str(minute)] = str(250 + by)
    sheet |= _charged(system)
    for key in GATES:
        sheet |= {
            ("gate", key, "ok"): True,
            ("gate", key, "by"): "A. Fitter",
            ("gate", key, "time"): moment(GATE_TIMES[key]),
        }
    sheet["gate", "heated", "since"] = moment(34.5)
    return sheet


def _held(at: int, now: int) -> Sheet:
    """The hold of 24 h at 550 psi."""
    start = Pressure.of_number(Fraction(550), "psi")
    first, last = (Temperature.of_number(Fraction(each), "F") for each in (at, now))
    return {
        ("hold", "start", "pressure"): "550",
        ("hold", "start", "temperature"): str(at) if at >= 40 else f"{at} F",
        ("hold", "start", "time"): moment(0),
        ("hold", "end", "pressure"): expected_pressure(start, first, last).number("psi", 1),
        ("hold", "end", "temperature"): f"{now} F",
        ("hold", "end", "time"): moment(24),
        ("hold", "verdict", "holds"): True,
    }


def _charged(system: SystemPlan) -> Sheet:
    """Runs as built as planned, sums worked out to 0.01, the whole charge weighed in."""
    sheet: Sheet = {}
    charge = system.charge
    for line in charge.lines:
        assert line.run
        assert line.mass
        sheet[*line_parts(line), "run"] = line.run.text.split()[0]
        sheet[*line_parts(line), "charge"] = line.mass.number(charge.unit, 2)
    assert charge.of_lines
    assert charge.total
    return {
        **sheet,
        ("charge", "pipes"): charge.of_lines.number(charge.unit, 2),
        ("charge", "total"): charge.total.number(charge.unit, 2),
        ("charge", "weighed"): charge.total.number(charge.unit, 1),
        ("charge", "by"): "A. Fitter",
        ("charge", "on"): "2026-06-04",
    }


def printed(system: SystemPlan) -> SystemPrinted:
    """What a sheet of today is printed for."""
    job = clinic().job
    identity = JobIdentity(job.number, job.name)
    return SystemPrinted(system.row.key, identity, job.revision, "3F2A91C2", printed_units(system))


def sheet_of(system: SystemPlan, sheet: Sheet, source: str = "a.pdf", **changes: object) -> SystemSheet:
    """A file's sheet of a system."""
    return replace(SystemSheet(source, sheet, (), printed(system), is_current=True), **changes)


def merged(system: SystemPlan, *sheets: Sheet) -> Filled:
    """Sheets of several files."""
    return fill([sheet_of(system, each, f"{number}.pdf") for number, each in enumerate(sheets, start=1)])


def found(system: SystemPlan, *sheets: Sheet, unwalked: tuple[str, ...] | None = None) -> SystemFindings:
    """What sheets of a system show."""
    return system_findings(system, merged(system, *sheets), unwalked, words())


def wrongs(result: SystemFindings) -> list[str]:
    """The texts of what is wrong."""
    return [item.wrong for item in result.wrong]


def form(plan: Plan) -> bytes:
    """The systems' sheets of a job as a PDF form."""
    pages, problems = system_pages(plan.job, plan.systems, words())
    assert problems == []
    return draw_pdf("systems", "tests", pages, all_faces())


def named(system: SystemPlan, sheet: Sheet) -> dict[str, Value]:
    """The same by the names of the form's fields."""
    return {system_field(system.row, *parts): value for parts, value in sheet.items()}


def without(sheet: Sheet, *left_out: Parts) -> Sheet:
    """A sheet less the fields whose names begin so."""
    return {
        parts: value
        for parts, value in sheet.items()
        if not any(parts[: len(beginning)] == beginning for beginning in left_out)
    }


def write_form(path: Path, plan: Plan, sheets: Iterable[tuple[SystemPlan, Sheet]]) -> Path:
    """A form filled in, as a file."""
    from tests.site.walks import filled  # noqa: PLC0415 — few tests need a PDF

    values = {name: value for system, sheet in sheets for name, value in named(system, sheet).items()}
    path.write_bytes(filled(form(plan), values))
    return path
