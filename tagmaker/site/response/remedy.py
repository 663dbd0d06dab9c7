"""Crossed pipes without moving a pipe: the revision whose ports are those that the pipes lead to.

Takes a finding and the plan; gives that revision's plan, switches to move, loads and tags that change, as
sentences; none where a port's units are not all known to be on one other port, or where limits, pairs or any
other check of the plan refuse it. The revision is planned and checked like a job, so that its rules are those
of every job. Where it is refused, the steps of `changes` that move the pipes. The boxes of the finding alone
are planned again: no other box differs.
"""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from operator import itemgetter

from msgspec import Struct
from msgspec.structs import replace

from tagmaker.catalog.steps import change_steps
from tagmaker.catalog.words import Words
from tagmaker.job.model import Job, UnitRow
from tagmaker.plan.checks import check_box
from tagmaker.plan.headroom import moves
from tagmaker.plan.model import BoxPlan, Plan, Port
from tagmaker.plan.plan_job import plan_box
from tagmaker.plan.response import boxes_by_system
from tagmaker.problems import Severity
from tagmaker.revisions.compare import compare
from tagmaker.revisions.issuing import issued_plan, tag_digest
from tagmaker.revisions.work_lines import work_of_changes
from tagmaker.site.response.findings import Finding
from tagmaker.site.response.verdicts import Judged
from tagmaker.tags.kits import box_tags
from tagmaker.tags.work_list import WorkItem

__all__ = ["Known", "known_of", "with_remedy"]

TAGS_SHOWN = 12


class Known(Struct, frozen=True):
    """A plan with what each finding looks up: boxes and units by their keys, each with its number in the job.

    `units` are the rows of a box, `homes` the boxes of units, `systems` the boxes of a system.
    """

    plan: Plan
    boxes: Mapping[str, tuple[int, BoxPlan]]
    units: Mapping[str, Sequence[tuple[int, UnitRow]]]
    homes: Mapping[str, str]
    systems: Mapping[str, Sequence[BoxPlan]]


def known_of(plan: Plan) -> Known:
    """The plan, once for all findings."""
    units: dict[str, list[tuple[int, UnitRow]]] = {}
    for number, row in enumerate(plan.job.units):
        units.setdefault(row.box.upper(), []).append((number, row))
    boxes = {box.row.key: (number, box) for number, box in enumerate(plan.boxes)}
    homes = {row.key: row.box.upper() for row in plan.job.units}
    return Known(plan, boxes, units, homes, boxes_by_system(plan))


class _Revised(Struct, frozen=True):
    """A box before and after."""

    before: BoxPlan
    after: BoxPlan


def with_remedy(item: WorkItem, finding: Finding, judged: Judged, site: Known, words: Words) -> WorkItem:
    """A finding's line with what a revision would do instead of moving pipes, where that can be."""
    goals = _goals(finding, judged)
    revised = _revised(site, goals) if goals else []
    if not revised:
        is_pipe = finding.kind == "pipes crossed"
        return replace(item, expect=(*item.expect, *_steps(finding, site, words))) if is_pipe else item
    units = ", ".join(finding.units)
    ports = "; ".join(words("response.do_land_port", units=unit, port=port) for unit, port in goals.items())
    key = "response.do_land" if finding.kind == "pipes crossed" else "response.do_revise"
    to_do = words(key, units=units, ports=ports)
    return replace(
        item, to_do=to_do, expect=(*item.expect, *_expected(site.plan, revised, goals.values(), words))
    )


def _steps(finding: Finding, site: Known, words: Words) -> Iterator[str]:
    """The steps that move the pipes to where they belong: those of `changes` for a pipe."""
    boxes = _moved_boxes(site, _wanted(finding.moves))
    was, now = (
        Plan(_only(site.plan.job, those), tuple(those))
        for those in ([each.after for each in boxes], [each.before for each in boxes])
    )
    of_pipes = {step.key for phase in change_steps().phases for step in phase.steps if "pipe" in step.kinds}
    changes = compare(issued_plan(was, words), issued_plan(now, words))
    items = [
        item for work in work_of_changes(changes, words) for item in work.punches if item.step in of_pipes
    ]
    for number, item in enumerate(items, start=1):
        yield words("response.step", number=number, box=item.box, place=item.place, what=item.wrong)


def _only(job: Job, boxes: Iterable[BoxPlan]) -> Job:
    """The job with these boxes alone."""
    return replace(job, boxes=tuple(box.row for box in boxes), units=(), systems=())


def _goals(finding: Finding, judged: Judged) -> dict[str, str]:
    """By unit the port that it is piped to, of every unit of the finding's ports; empty where one is unknown.

    Whole ports alone are exchanged: their units are all piped to one other port of the finding, whose own
    units went elsewhere too.
    """
    kinds = {"pipes crossed", "cable and pipe moved"}
    own = [unit for unit in judged.units if unit.planned in finding.ports]
    is_known = all(unit.verdict == "piped to other" and unit.piped_to in finding.ports for unit in own)
    called = {call.name: call.units for call in judged.calls.ports}
    is_whole = all(name in called for name in finding.ports) and not finding.is_behind
    if finding.kind not in kinds or not own or not is_known or not is_whole or judged.calls.without:
        return {}
    goals = {unit.unit: unit.piped_to for unit in own}
    targets = [{unit.piped_to for unit in own if unit.planned == name} for name in finding.ports]
    is_exchange = all(len(each) == 1 for each in targets) and len(set(goals.values())) == len(finding.ports)
    return goals if is_exchange else {}


def _revised(site: Known, goals: Mapping[str, str]) -> list[_Revised]:
    """The boxes that a revision changes; none where it has an error, or a pair becomes a single port."""
    wanted = _wanted(goals.items())
    boxes = _moved_boxes(site, wanted)
    uses = {(each.before.row.key, port.name): port.use for each in boxes for port in each.before.ports}
    for key, goal in wanted.items():
        row = next((row for _, row in site.units.get(site.homes.get(key, ""), ()) if row.key == key), None)
        if row and _use_of(uses, *goal) != _use_of(uses, row.box, row.port):
            return []
    found = (check_box(site.plan.job, each.after) for each in boxes)
    is_refused = any(problem.severity is Severity.ERROR for problems in found for problem in problems)
    return [] if is_refused else boxes


def _wanted(moves: Iterable[tuple[str, str]]) -> dict[str, tuple[str, str]]:
    """By unit in capitals the box and the port to which it goes; `moves` name a port as BOX/PORT."""
    ends = ((unit.upper(), name.partition("/")) for unit, name in moves)
    return {unit: (box, port) for unit, (box, _, port) in ends}


def _moved_boxes(site: Known, wanted: Mapping[str, tuple[str, str]]) -> list[_Revised]:
    """The boxes from and to which units are moved, in the job's order, planned with their units moved."""
    keys = {site.homes[unit] for unit in wanted if unit in site.homes}
    keys |= {box.upper() for box, _ in wanted.values()}
    numbered = sorted((each for key in keys for each in site.units.get(key, ())), key=itemgetter(0))
    rows: dict[str, list[UnitRow]] = {}
    for _, row in numbered:
        moved = _moved(row, wanted)
        rows.setdefault(moved.box.upper(), []).append(moved)
    boxes = sorted((site.boxes[key] for key in keys if key in site.boxes), key=itemgetter(0))
    return [_Revised(box, plan_box(box.row, rows.get(box.row.key, ()))) for _, box in boxes]


def _use_of(uses: Mapping[tuple[str, str], str], box: str, port: str) -> str:
    """How a port is used, whatever the order in which a row writes a pair."""
    return uses.get((box.upper(), port), uses.get((box.upper(), "+".join(sorted(port.split("+")))), ""))


def _moved(row: UnitRow, wanted: Mapping[str, tuple[str, str]]) -> UnitRow:
    """A unit's row with the port that it is piped to."""
    if row.key not in wanted:
        return row
    box, port = wanted[row.key]
    return replace(row, box=box, port=port)


def _expected(plan: Plan, revised: Iterable[_Revised], ports: Iterable[str], words: Words) -> list[str]:
    """Switches, loads and tags of that revision."""
    revised, names = list(revised), set(ports)
    switches = [
        words(
            "room.move",
            board=f"{each.after.row.shown} {move.board}",
            bank=move.bank,
            switch=move.switch,
            before=move.before.upper(),
            after=move.after.upper(),
        )
        for each in revised
        for move in moves(each.before, each.after)
    ]
    loads = [
        words(
            "response.do_land_load", port=f"{each.after.row.tag}/{port.name}", load=_load(port, plan, words)
        )
        for each in revised
        for port in each.after.ports
        if f"{each.after.row.tag}/{port.name}" in names
    ]
    tags = [code for each in revised for code in _new_tags(plan, each, words)]
    more = [f"… ({len(tags)})"] if len(tags) > TAGS_SHOWN else []
    return [
        words("response.do_land_switches", moves="; ".join(switches))
        if switches
        else words("response.do_land_no_switch"),
        words("response.do_land_loads", loads=", ".join(loads)),
        words("response.do_land_tags", tags=", ".join([*tags[:TAGS_SHOWN], *more])),
    ]


def _load(port: Port, plan: Plan, words: Words) -> str:
    unit = plan.job.capacity_unit
    load = port.load.number(unit) if port.load else words("placard.unknown_load")
    return f"{load}/{port.limit.text(unit)}"


def _new_tags(plan: Plan, revised: _Revised, words: Words) -> list[str]:
    """The codes of the tags that are new or say something else."""
    before = {(tag.code, tag_digest(tag)) for tag in box_tags(plan.job, revised.before, words)}
    after = box_tags(plan.job, revised.after, words)
    return [tag.code for tag in after if (tag.code, tag_digest(tag)) not in before]
