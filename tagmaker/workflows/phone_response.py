"""The response test on phones that the desk let in: what there is to read, and the tables of what was read.

Takes a job's test: a response.json among what came back, or the one that the job gives without options. A
phone's table is a response.csv with its own readings alone, as `readback` takes it.
"""

import csv
import io
import re
from collections.abc import Iterable, Mapping, Sequence
from pathlib import Path

import msgspec
from msgspec import Struct

from tagmaker.files.plain import files_in, is_plain_file, read_plain
from tagmaker.files.spreadsheet import plain_cell
from tagmaker.plan.model import BoxPlan, Plan
from tagmaker.plan.response import Asked, SystemCalls, boxes_by_system, calls_digest, plan_response
from tagmaker.problems import Problem
from tagmaker.revisions.response_file import RESPONSE_FILE, read_response_file
from tagmaker.tags.response import READINGS, Line, lines_of, response_field
from tagmaker.workflows.phone_marks import Change, Entered, Entry, MarksFile, Phone

__all__ = ["PhoneLine", "PhoneTest", "response_marks", "tests_of"]

FILE = re.compile(r"\.response-phone-([0-9a-f]{8})\.json", re.ASCII)
"""A hidden file with names and times beside the tables, which have no place for them."""
BYTES_AT_MOST = 20_000_000
HEAD = ("plan", "system", "box", "port", "unit")


class PhoneLine(Struct, frozen=True):
    """A line to read in every round: a gas stub (`unit` empty) or a unit, and the field without its round."""

    box: str
    port: str
    unit: str
    field: str


class PhoneTest(Struct, frozen=True):
    """A system's test as a phone shows it: what is called is not shown, so that it is read as it is."""

    plan: str
    system: str
    rounds: int
    lines: tuple[PhoneLine, ...]


def tests_of(plan: Plan, returned: Path) -> tuple[PhoneTest, ...]:
    """The tests of a job's systems; none where it has no unit to call."""
    boxes = boxes_by_system(plan)
    return tuple(_test(calls, boxes.get(calls.system.upper(), ())) for calls in _calls(plan, returned))


def _calls(plan: Plan, returned: Path) -> Sequence[SystemCalls]:
    """A test that came back with its response.json is the one that was done, as far as it is of this job."""
    path = returned / RESPONSE_FILE
    found = read_response_file(path) if is_plain_file(path) else ()
    given = () if isinstance(found, Problem) else found
    own = {each.system.upper(): each for each in given if _is_own(each, plan)}
    return [own.get(each.system.upper(), each) for each in plan_response(plan, Asked())[0]]


def _is_own(calls: SystemCalls, plan: Plan) -> bool:
    return calls.plan == calls_digest(plan.job, calls.system, calls.ports)


def _test(calls: SystemCalls, boxes: Iterable[BoxPlan]) -> PhoneTest:
    lines = lines_of(calls, boxes)
    shown = (PhoneLine(line.box, line.port, line.unit, _field(line)) for line in lines)
    return PhoneTest(calls.plan, calls.system, calls.rounds, tuple(shown))


def _field(line: Line) -> str:
    return response_field(line, 1).removesuffix("1")


# --- what was read ------------------------------------------------------------------------------------------


def response_marks(tests: Sequence[PhoneTest]) -> MarksFile:
    """How the readings of a job's tests are kept."""
    by_plan = {test.plan: test for test in tests}
    fields = {
        test.plan: {f"{line.field}{number + 1}" for line in test.lines for number in range(test.rounds)}
        for test in tests
    }

    def fault(change: Change) -> str:
        if change.field not in fields.get(change.group, ()):
            return "the response test has no such reading"
        is_reading = isinstance(change.value, str) and change.value in {*READINGS.values()}
        return "" if change.value is None or is_reading else "a reading is H, C, 0 or ?"

    def write(phone: Phone, own: Sequence[tuple[str, Entered]]) -> Mapping[str, bytes]:
        tables = {
            f"response-phone-{phone.id}-{group}.csv": _table(by_plan[group], entered)
            for group, entered in own
            if group in by_plan  # the table of a test that was planned before stays as it is
        }
        kept = _Kept(phone, {group: entered.fields for group, entered in own})
        return {**tables, f".response-phone-{phone.id}.json": msgspec.json.encode(kept)}

    def is_today(group: str, _for: str) -> bool:
        return group in by_plan

    return MarksFile("response", _read, _is_read, write, fault, is_today)


class _Kept(Struct, frozen=True):
    """A phone's readings with their times, by test."""

    device: Phone
    tests: dict[str, dict[str, Entry]]


def _table(test: PhoneTest, entered: Entered) -> bytes:
    """The rows of a test in which this phone has a reading."""
    out = io.StringIO(newline="")
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow((*HEAD, *(f"round {number + 1}" for number in range(test.rounds))))
    for line in test.lines:
        names = [f"{line.field}{number + 1}" for number in range(test.rounds)]
        readings = [entered.fields[name].value if name in entered.fields else "" for name in names]
        if any(readings):
            writer.writerow((test.plan, plain_cell(test.system), line.box, line.port, line.unit, *readings))
    return out.getvalue().encode()


def _read(folder: Path) -> list[tuple[str, str, Entered]]:
    """What the phones' files in a folder have."""
    found: list[tuple[str, str, Entered]] = []
    for path in sorted(files_in(folder, ".response-phone-*.json")):
        try:
            kept = _kept(path.name, read_plain(path, BYTES_AT_MOST))
        except OSError:
            continue
        if kept:
            tests = kept.tests.items()
            found += [(path.name, plan, Entered(kept.device, "", fields)) for plan, fields in tests]
    return found


def _kept(name: str, content: bytes) -> _Kept | None:
    """A phone's readings; None for a file that is damaged, or of another phone than its name has."""
    try:
        kept = msgspec.json.decode(content, type=_Kept)
    except (msgspec.MsgspecError, UnicodeDecodeError, RecursionError):
        return None
    match = FILE.fullmatch(name)
    return kept if match and kept.device.id == match[1] else None


def _is_read(name: str, content: bytes) -> bool:
    """Whether a file is taken up: a table is not, it is written of the readings that are."""
    return _kept(name, content) is not None
