"""Everything that is open: the points that keep a handover record from being complete.

Takes what came back, compared with the plan; gives points in the order job, files, boxes, scans, response
tests, systems. A record is complete only where this list is empty, so that whatever is unknown, unclear, not
proved or not signed has a point here.
"""

from collections.abc import Iterable, Iterator, Sequence

from msgspec.structs import replace

from tagmaker.catalog.first_days import first_days
from tagmaker.catalog.words import Words
from tagmaker.plan.model import BoxPlan, Plan
from tagmaker.problems import Problem, Severity
from tagmaker.site.days.judge import DaysResult
from tagmaker.site.response.compare import SystemResult
from tagmaker.site.system.findings import SystemFindings
from tagmaker.site.walk.findings import BoxFindings
from tagmaker.tags.handover import FileRecord, OpenKind, OpenPoint
from tagmaker.tags.work_list import WorkItem
from tagmaker.workflows.handover_boxes import letters_without_proof
from tagmaker.workflows.readback import Readback

__all__ = ["not_covered", "numbered", "open_points"]

RIGHT = {"as called", "as piped"}
SHOWN = 12  # units in one line


def open_points(
    plan: Plan, back: Readback, files: Iterable[FileRecord], set_problems: Iterable[Problem], words: Words
) -> Iterator[OpenPoint]:
    """All points, not numbered yet."""
    if plan.job.is_draft:
        yield _point("job", "", words("handover.draft"), words("handover.draft_do"))
    of_sets = tuple(set_problems)
    yield from (_of_problem("set", each) for each in of_sets)
    reported = {each.message for each in of_sets}
    others = (each for each in back.problems if each.message not in reported)
    yield from (_of_problem("file", each) for each in others if each.severity is not Severity.NOTE)
    named = {each.where.file for each in back.problems}
    unread = [each.name for each in files if not each.sha256 and each.name not in named]
    yield from (
        _point("file", name, words("handover.unread"), words("handover.unread_do")) for name in unread
    )
    boxes = {box.row.tag: box for box in plan.boxes}
    for walked in back.boxes:
        yield from _of_box(boxes[walked.box], walked, back, words)
    for verdict in back.scans.strange:
        what = ", ".join((verdict.scan.text.partition("\n")[0], *verdict.differences))
        yield _point("scan", verdict.scan.source, what, words("handover.placard_do"))
    for result in back.responses:
        yield from _of_response(result, words)
    for found in back.systems:
        yield from _of_system(found, words)
    for days in back.days:
        yield from _of_days(days, words)


def numbered(points: Iterable[OpenPoint]) -> tuple[OpenPoint, ...]:
    """The points, numbered from 1; the same point once."""
    return tuple(replace(point, number=at) for at, point in enumerate(dict.fromkeys(points), start=1))


def _point(kind: OpenKind, where: str, what: str, to_do: str = "", place: str = "") -> OpenPoint:
    return OpenPoint(0, kind, where, place, what, to_do)


def _of_problem(kind: OpenKind, problem: Problem) -> OpenPoint:
    return _point(kind, str(problem.where), problem.message, problem.hint)


def _of_item(kind: OpenKind, item: WorkItem) -> OpenPoint:
    return OpenPoint(0, kind, item.box, item.place, item.wrong, item.to_do, item.expect)


# --- boxes --------------------------------------------------------------------------------------------------


def _of_box(box: BoxPlan, walked: BoxFindings, back: Readback, words: Words) -> Iterator[OpenPoint]:
    """What differs, was not seen, is not proved, not signed, or was written by hand and not typed."""
    tag, sheets = walked.box, back.sheets.get(box.row.key, ())
    yield from (_of_item("differs", item) for item in walked.punches)
    if not sheets:
        yield _point("not seen", tag, words("handover.nothing_back"), words("handover.walk_do"))
        return
    yield from (_point("not seen", tag, text, words("handover.look_do")) for text in walked.unknown)
    if walked.unproved:
        what = words("punch.unproved", items=", ".join(walked.unproved))
        yield _point("not proved", tag, what, words("handover.prove_do"))
    if letters := letters_without_proof(box, walked.proved):
        what = words("handover.no_proof", ports=", ".join(letters))
        yield _point("not proved", tag, what, words("handover.no_proof_do"))
    if walked.open_roles:
        what = words("punch.unsigned", roles=", ".join(walked.open_roles))
        yield _point("not signed", tag, what, words("handover.sign_do"))
    if names := back.box_texts.get(box.row.key, ()):
        what = words("punch.to_type", names=", ".join(name.partition("/")[2] for name in names))
        yield _point("handwriting", tag, what, words("handover.type_do"))


# --- response tests and systems -----------------------------------------------------------------------------


def _of_response(result: SystemResult, words: Words) -> Iterator[OpenPoint]:
    """What a test leaves open; its findings are points of their boxes already.

    A verdict that no finding and no line is about is never left out.
    """
    judged = result.judged
    system = judged.calls.system or words("response.all_boxes")
    if result.unseen:
        what = words("response.not_seen", names=", ".join(result.unseen))
        yield _point("response", system, what, words("handover.response_do"))
    unread = [each.unit for each in judged.units if each.verdict == "as piped" and not each.stub_read]
    if unread:
        what = words("response.stubs_unread", units=", ".join(unread))
        yield _point("response", system, what, words("handover.response_do"))
    called = judged.ports[: len(judged.calls.ports)]
    other = [f"{each.name}: {each.verdict}" for each in called if each.verdict not in RIGHT]
    other += [f"{each.unit}: {each.verdict}" for each in judged.units if each.verdict not in RIGHT]
    if other and not (result.items or result.unseen):
        yield _point("response", system, ", ".join(other), words("handover.response_do"))


def _of_system(found: SystemFindings, words: Words) -> Iterator[OpenPoint]:
    """What the sheets of a system show to be wrong, not done or not known; that none came back."""
    if found.state == "not seen" or (found.state != "complete" and not found.points):
        yield _point("system", found.system, words("handover.no_system"), words("handover.no_system_do"))
    for point in found.points:
        yield _point("system", found.system, point.text, point.to_do, point.place)


def _of_days(days: DaysResult, words: Words) -> Iterator[OpenPoint]:
    """What stands out of the first days, and units that were not read on a day on which others were."""
    for each in days.findings:
        place = words("days.place", unit=each.unit, box=each.box, port=each.port)
        yield _point("system", days.system, each.text, words("handover.days_do"), place)
    if days.to_type:
        what = words("days.to_type", names=", ".join(days.to_type))
        yield _point("handwriting", days.system, what, words("handover.type_do"))
    if days.unread:
        what = words("days.unread", names=", ".join(days.unread))
        yield _point("system", days.system, what, words("handover.days_do"))


# --- what is not covered ------------------------------------------------------------------------------------


def not_covered(planned: Plan, back: Readback, words: Words) -> Iterator[str]:
    """What the record says nothing about, so that nobody takes its silence for a result."""
    of_systems = {box.key for system in planned.systems for box in system.boxes}
    alone = [box.row.tag for box in planned.boxes if box.row.key not in of_systems]
    if not planned.systems:
        yield words("handover.no_systems")
    elif alone:
        yield words("handover.no_system_of", boxes=_first(alone))
    tests = [each.judged.calls for each in back.responses]
    tested = {unit.upper() for calls in tests for call in calls.ports for unit in call.units}
    units = (unit for box in planned.boxes for port in box.ports for unit in port.units)
    left = [unit.tag for unit in units if unit.key not in tested]
    if not tests:
        yield words("handover.no_response")
    elif left:
        yield words("handover.untested", units=_first(left))
    yield from _days_left(planned, back, words)
    yield words("handover.not_read")


def _days_left(planned: Plan, back: Readback, words: Words) -> Iterator[str]:
    """Of the first days: units that were off, days and systems of which nothing was read."""
    if off := [unit for each in back.days for unit in each.off]:
        yield words("handover.off_days", units=_first(off))
    planned_days = first_days().days if back.days else ()
    for each in back.days:
        if missing := [str(day) for day in planned_days if day not in each.days]:
            yield words("handover.left_days", systems=each.system, days=", ".join(missing))
    read = {each.system for each in back.days}
    if unread := [each.row.tag for each in planned.systems if each.row.tag not in read]:
        yield words("handover.no_days", systems=", ".join(unread))


def _first(names: Sequence[str]) -> str:
    """Names, the first of many with how many they are."""
    return ", ".join(names[:SHOWN]) + (f" … ({len(names)})" if len(names) > SHOWN else "")
