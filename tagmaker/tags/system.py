"""What a system's sheets are known by, written and read: names of fields, codes of pages, hidden texts.

    SYSTEM TAG PAGE/PAGES JOB REVISION DIGEST

Names of fields are flat, their parts set apart by "/", and begin with `system`: boxes are in capitals, so
that no box has such a field. In a tag, a job's number and a revision every sign but letters, digits, "-", "_"
and "~" is percent-encoded (RFC 3986); a job without a number is "-". The digest is that of every text on the
pages: it names a print. What the sheets were printed for is a hidden text that keeps the printed units too: a
bare number is in the unit that its own sheet has beside it. Its PLAN is a digest of what is planned and
asked, whatever the words: ticks and names count while that is the same.
"""

import hashlib
import json
import re
from collections.abc import Iterable, Iterator, Mapping
from typing import Literal, get_args

from msgspec import Struct

from tagmaker.job.model import BoxRow, Job, SystemRow, UnitRow
from tagmaker.plan.charge import ChargeLine
from tagmaker.plan.system_figures import system_figures
from tagmaker.plan.systems import SystemPlan
from tagmaker.tags.fields import SHEET
from tagmaker.tags.walk import JobIdentity

__all__ = [
    "GATES",
    "INSTRUMENTS",
    "TEST_STEPS",
    "SystemField",
    "SystemPage",
    "SystemPrinted",
    "UnitKey",
    "farthest_box",
    "has_charge",
    "line_parts",
    "plan_digest",
    "printed_for",
    "printed_key",
    "printed_units",
    "read_system_code",
    "read_system_field",
    "read_system_printed",
    "section_parts",
    "sections",
    "system_digest",
    "system_field",
    "system_page_code",
    "system_sheet",
    "vacuum_minutes",
]

GATES = ("walked", "tested", "evacuated", "charged", "opened", "heated", "started")
"""What must be done before a system runs, in this order; each opens the next."""
TEST_STEPS = ("outdoor", "relief", "steps", "bubbles", "cylinder", "settled")
"""What is ticked of a pressure test before its hold starts."""
INSTRUMENTS = ("gauge", "thermometer", "vacuum_gauge")
UnitKey = Literal["pressure", "temperature", "vacuum", "mass", "run"]
"""What a number may be of; the sheet has one unit for each, printed beside the places to write in."""
SystemFieldKind = Literal["tick", "text", "printed_for"]
OTHER, ENCODED = re.compile(rb"[^A-Za-z0-9_~-]"), re.compile(rb"%([0-9A-F]{2})")
NO_JOB = "-"
USUAL_HOLD = 60  # minutes, of a vacuum whose hold is not given: that of the public specification
DIGITS = 8
PART = r"(?:[A-Za-z0-9_~-]|%[0-9A-F]{2})+"
KEY = r"[a-z][a-z_]*"
FIELD = re.compile(
    rf"{SHEET}/(?P<system>{PART})/(?:"
    rf"(?P<tick>shut/{PART}(?:/{PART})?/(?:opened|gauges)|test/{KEY}|hold/verdict/{KEY}|gate/{KEY}/ok)"
    rf"|(?P<text>line/{PART}/{PART}/(?:run|charge)|charge/{KEY}|shut/{PART}/by|gate/{KEY}/(?:by|time|since)"
    rf"|hold/(?:start|end)/(?:pressure|temperature|time)|instrument/{KEY}/(?:serial|calibrated|accuracy)"
    r"|step/[1-9]/(?:pressure|time)|vacuum/(?:at|time|\d{1,6}))"
    r"|(?P<printed_for>printed-for(?:/[1-9]\d{0,2})?))",
    re.ASCII,
)
CODE = re.compile(
    rf"SYSTEM (?P<system>{PART}) (?P<page>[1-9]\d{{0,2}})/(?P<pages>[1-9]\d{{0,2}})"
    rf" (?P<job>{PART}) (?P<revision>{PART}) (?P<digest>[0-9A-F]{{8}})",
    re.ASCII,
)
HEADS = ("SYSTEM", "JOB", "NAME", "REVISION", "DIGEST", "UNITS")
"""The lines of the hidden text, in this order, each its head, a blank and its text."""
PLAN = "PLAN"
"""A last line, which sheets of earlier versions lack: they are known by the texts of their pages alone."""
PLAN_DIGITS = 16
NO_STATEMENTS = {"installer", "lubricant", "source", "weighed_in"}
"""Figures that no tick or name on the sheets is about; what is weighed in is written after them."""


# --- what the sheets ask ------------------------------------------------------------------------------------


def printed_units(system: SystemPlan) -> Mapping[UnitKey, str]:
    """The unit printed beside each kind of number; "" where the job gives none, so that none is printed."""
    test, charge = system.row.test, system.row.charge
    pressure = test.pressure.unit if test.pressure else ""
    figures = [figure.unit.partition("/")[2] for _, figure in charge.per_length]
    runs = [line.run.text.rpartition(" ")[2] for line in system.charge.lines if line.run]
    return {
        "pressure": pressure,
        "temperature": ("°F" if pressure == "psi" else "°C") if pressure else "",
        "vacuum": test.vacuum.unit if test.vacuum else "",
        "mass": system.charge.unit,
        "run": next(iter((*figures, *runs)), ""),
    }


def has_charge(row: SystemRow) -> bool:
    """Whether the job gives figures for a charge: without them the sheets ask for no amount."""
    return bool(row.charge.factory or row.charge.per_length)


def line_parts(line: ChargeLine) -> tuple[str, ...]:
    """The parts of a name of a liquid pipe's fields; a unit is in capitals, so that none is "main"."""
    return "line", line.box.upper(), line.unit.upper() or "main"


def section_parts(box: BoxRow, unit: UnitRow | None = None) -> tuple[str, ...]:
    """The parts of a name of a section's fields: the valves of a box, or a unit's branch behind its port."""
    return "shut", box.key, *([unit.key] if unit else [])


def sections(system: SystemPlan) -> Iterator[tuple[BoxRow, UnitRow | None]]:
    """Every section that valves shut off: each box's own, then each of its units' branches."""
    units: dict[str, list[UnitRow]] = {}
    for unit in system.units:
        units.setdefault(unit.box.upper(), []).append(unit)
    for box in system.boxes:
        yield box, None
        for unit in units.get(box.key, ()):
            yield box, unit


def vacuum_minutes(row: SystemRow) -> tuple[int, ...]:
    """When the vacuum is read, in minutes after the pump is valved off: close at first, up to the hold."""
    hold = round(row.test.vacuum_hold.value * 60) if row.test.vacuum_hold else USUAL_HOLD
    return tuple(sorted({0, *(round(hold * share / 6) for share in (1, 2, 3, 6))}))


def farthest_box(system: SystemPlan) -> BoxRow | None:
    """The box whose pipe from the outdoor unit is longest; None where any is not known."""
    mains = system.mains
    if not system.boxes or not all(mains[box.key].is_whole for box in system.boxes):
        return None
    return max(system.boxes, key=lambda box: mains[box.key].mm)


# --- fields -------------------------------------------------------------------------------------------------


class SystemField(Struct, frozen=True):
    """A field's name read back: its system's tag in capitals, its kind, and its other parts."""

    system: str
    kind: SystemFieldKind
    parts: tuple[str, ...]


def system_field(row: SystemRow, *parts: str) -> str:
    """A field of a system's sheets: system/TAG/ and where it is, such as hold/start/pressure."""
    return "/".join((system_sheet(row.key), *map(_encoded, parts)))


def system_sheet(key: str) -> str:
    """How all field names of a system begin, without the last "/"; `key` is its tag in capitals."""
    return f"{SHEET}/{_encoded(key)}"


def printed_key(row: SystemRow, page: int = 0) -> str:
    """The hidden field of what the sheets were printed for; with a page that of the page's code."""
    return system_field(row, "printed-for", *([str(page)] if page else []))


def read_system_field(name: str) -> SystemField | None:
    """The system and the kind of a field; None where no system's sheet has a field of that name."""
    match = FIELD.fullmatch(name)
    if match is None:
        return None
    kind = next(each for each in get_args(SystemFieldKind) if match[each] is not None)
    try:
        system, *parts = (_decoded(part) for part in name.split("/")[1:])
    except UnicodeDecodeError:
        return None
    return SystemField(system, kind, tuple(parts))


# --- the code of a page -------------------------------------------------------------------------------------


class SystemPage(Struct, frozen=True):
    """A page of a system's sheets: its number of how many, the job's number (empty: none), revision, digest.

    `system` is the tag in capitals.
    """

    system: str
    page: int
    pages: int
    job: str
    revision: str
    digest: str

    @property
    def sheet(self) -> str:
        """How the names of its fields begin."""
        return system_sheet(self.system)

    @property
    def shown(self) -> str:
        """Whose sheet it is, in words."""
        return f"system sheet of {self.system}"


def system_digest(texts: Iterable[str]) -> str:
    """The digest of what the sheets have as text, 8 hexadecimal digits."""
    text = "\n".join(texts)
    return hashlib.sha256(text.encode(errors="backslashreplace")).hexdigest()[:DIGITS].upper()


def system_page_code(page: SystemPage) -> str:
    """The text of a page's code."""
    number = _encoded(page.job) if page.job else NO_JOB
    revision = _encoded(page.revision)
    return f"SYSTEM {_encoded(page.system)} {page.page}/{page.pages} {number} {revision} {page.digest}"


def read_system_code(text: str) -> SystemPage | None:
    """The page of which this is the code; None for any other text."""
    match = CODE.fullmatch(text)
    if match is None or int(match["page"]) > int(match["pages"]):
        return None
    try:
        system, revision = _decoded(match["system"]), _decoded(match["revision"])
        job = "" if match["job"] == NO_JOB else _decoded(match["job"])
    except UnicodeDecodeError:
        return None
    return SystemPage(system, int(match["page"]), int(match["pages"]), job, revision, match["digest"])


# --- what the sheets were printed for -----------------------------------------------------------------------


class SystemPrinted(Struct, frozen=True):
    """What a system's sheets were printed for; `units` are those printed, "" where there is none."""

    system: str
    job: JobIdentity
    revision: str
    digest: str
    units: Mapping[UnitKey, str]
    plan: str = ""


def plan_digest(job: Job, system: SystemPlan) -> str:
    """A digest of what the sheets of a system ask and of every figure that their ticks are about.

    Names of rooms, sources and all words are left out: they may be written otherwise at any time. A box of
    another family or size is another box, and its lines are connected again.
    """
    row = system.row
    units = ((unit.box.upper(), unit.key, unit.port, unit.address, _exact(unit)) for unit in system.units)
    figures = {key: text for key, text in system_figures(system).items() if key not in NO_STATEMENTS}
    content = [
        [GATES, TEST_STEPS, INSTRUMENTS, vacuum_minutes(row)],
        [row.refrigerant or job.refrigerant, sorted(figures.items())],
        [sorted((box.key, box.fed_from.upper(), box.hardware) for box in system.boxes), sorted(units)],
    ]
    return hashlib.sha256(json.dumps(content).encode()).hexdigest()[:PLAN_DIGITS].upper()


def _exact(unit: UnitRow) -> str:
    return str(unit.capacity.btuh) if unit.capacity else ""


def printed_for(job: Job, system: SystemPlan, digest: str) -> str:
    """What sheets were printed for, a hidden text."""
    row, units = system.row, printed_units(system)
    of_units = "; ".join(f"{key}={units.get(key, '')}" for key in get_args(UnitKey))
    texts = (row.key, job.number, job.name, job.revision, digest, of_units, plan_digest(job, system))
    lines = zip((*HEADS, PLAN), texts, strict=True)
    return "\n".join(f"{head} {' '.join(text.split())}" for head, text in lines)


def read_system_printed(text: str) -> SystemPrinted | None:
    """The same read back; None where it is not whole."""
    lines = [line.partition(" ") for line in text.splitlines() if line.strip()]
    if tuple(head for head, _, _ in lines) not in {HEADS, (*HEADS, PLAN)}:
        return None
    system, number, name, revision, digest, of_units, *plan = (rest.strip() for _, _, rest in lines)
    given = dict(each.partition("=")[::2] for each in of_units.split("; "))
    units = {key: given[key] for key in get_args(UnitKey) if key in given}
    if len(units) < len(get_args(UnitKey)):
        return None
    return SystemPrinted(system, JobIdentity(number, name), revision, digest, units, "".join(plan))


def _encoded(text: str) -> str:
    if text == NO_JOB:
        return "%2D"
    return OTHER.sub(lambda sign: b"%%%02X" % ord(sign[0]), text.encode(errors="backslashreplace")).decode()


def _decoded(part: str) -> str:
    return ENCODED.sub(lambda code: bytes([int(code[1], 16)]), part.encode()).decode()
