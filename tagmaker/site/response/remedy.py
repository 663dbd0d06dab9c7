"""Crossed pipes without moving a pipe: the revision whose ports are those that the pipes lead to.

Takes a finding and the plan; gives that revision's plan, switches to move, loads and tags that change, as
sentences; none where a port's units are not all known to be on one other port, or where limits, pairs or any
other check of the plan refuse it. The revision is planned and checked like a job, so that its rules are those
of every job. Where it is refused, the steps of `changes` that move the pipes.
"""

from collections.abc import Iterable, Iterator, Mapping

from msgspec import Struct
from msgspec.structs import replace

from tagmaker.catalog.steps import change_steps
from tagmaker.catalog.words import Words
from tagmaker.job.model import UnitRow
from tagmaker.plan.checks import check_box
from tagmaker.plan.headroom import moves
from tagmaker.plan.model import BoxPlan, Plan, Port
from tagmaker.plan.plan_job import plan_box, plan_job
from tagmaker.problems import Severity
from tagmaker.revisions.compare import compare
from tagmaker.revisions.issued import issued_plan, tag_digest
from tagmaker.revisions.work_lines import work_of_changes
from tagmaker.site.response.findings import Finding
from tagmaker.site.response.verdicts import Judged
from tagmaker.tags.kits import box_tags
from tagmaker.tags.work_list import WorkItem

__all__ = ["with_remedy"]

TAGS_SHOWN = 12


class _Revised(Struct, frozen=True):
    """A box before and after."""

    before: BoxPlan
    after: BoxPlan


def with_remedy(item: WorkItem, finding: Finding, judged: Judged, plan: Plan, words: Words) -> WorkItem:
    """A finding's line with what a revision would do instead of moving pipes, where that can be."""
    goals = _goals(finding, judged)
    revised = _revised(plan, goals) if goals else []
    if not revised:
        is_pipe = finding.kind == "pipes crossed"
        return replace(item, expect=(*item.expect, *_steps(finding, plan, words))) if is_pipe else item
    units = ", ".join(finding.units)
    ports = "; ".join(words("response.do_land_port", units=unit, port=port) for unit, port in goals.items())
    key = "response.do_land" if finding.kind == "pipes crossed" else "response.do_revise"
    to_do = words(key, units=units, ports=ports)
    return replace(item, to_do=to_do, expect=(*item.expect, *_expected(plan, revised, goals.values(), words)))


def _steps(finding: Finding, plan: Plan, words: Words) -> Iterator[str]:
    """The steps that move the pipes to where they belong: those of `changes` for a pipe."""
    wanted = {unit.upper(): name.partition("/")[::2] for unit, name in finding.moves}
    found, _ = plan_job(replace(plan.job, units=tuple(_moved(row, wanted) for row in plan.job.units)))
    of_pipes = {step.key for phase in change_steps().phases for step in phase.steps if "pipe" in step.kinds}
    changes = compare(issued_plan(found, words), issued_plan(plan, words))
    items = [
        item for work in work_of_changes(changes, words) for item in work.punches if item.step in of_pipes
    ]
    for number, item in enumerate(items, start=1):
        yield words("response.step", number=number, box=item.box, place=item.place, what=item.wrong)


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


def _revised(plan: Plan, goals: Mapping[str, str]) -> list[_Revised]:
    """The boxes that a revision changes; none where it has an error, or a pair becomes a single port."""
    wanted = {unit.upper(): name.partition("/")[::2] for unit, name in goals.items()}
    rows = [_moved(row, wanted) for row in plan.job.units]
    homes = {row.box.upper() for row in plan.job.units if row.key in wanted}
    touched = homes | {box.upper() for box, _ in wanted.values()}
    uses = {(box.row.key, port.name): port.use for box in plan.boxes for port in box.ports}
    for row in plan.job.units:
        if row.key in wanted and _use_of(uses, *wanted[row.key]) != _use_of(uses, row.box, row.port):
            return []
    job = replace(plan.job, units=tuple(rows))
    revised: list[_Revised] = []
    for box in plan.boxes:
        if box.row.key in touched:
            after = plan_box(box.row, [row for row in rows if row.box.upper() == box.row.key])
            if any(problem.severity is Severity.ERROR for problem in check_box(job, after)):
                return []
            revised.append(_Revised(box, after))
    return revised


def _use_of(uses: Mapping[tuple[str, str], str], box: str, port: str) -> str:
    """How a port is used, whatever the order in which a row writes a pair."""
    return uses.get((box.upper(), port), uses.get((box.upper(), "+".join(sorted(port.split("+")))), ""))


def _moved(row: UnitRow, wanted: Mapping[str, tuple[str, ...]]) -> UnitRow:
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
