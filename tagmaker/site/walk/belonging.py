"""Which sheets of a file belong to the job, and which of them were printed for an earlier plan.

Other jobs have boxes of the same tags, so a sheet counts only if it shows that it is of this job. A file with
a sheet of another job is refused whole; a sheet that does not show its job counts for nothing. Each file has
at most one problem of each kind, which names the boxes.
"""

from collections.abc import Iterable, Iterator, Mapping, Sequence

from msgspec import Struct

from tagmaker.job.model import Job
from tagmaker.plan.model import BoxPlan
from tagmaker.plan.switches import SwitchId
from tagmaker.problems import Problem, Where, error, warning
from tagmaker.site.walk.forms import MERGED_HINT
from tagmaker.site.walk.gather import switch_states
from tagmaker.site.walk.returns import Return, Sheet, Value, sheets_of
from tagmaker.site.walk.whole import strange_fields
from tagmaker.tags.placard_text import SeenBoard
from tagmaker.tags.walk import Digests, JobIdentity, Relation, relation

__all__ = ["Today", "belonging"]

SHOWN = 12  # names in one message
BELONGS_HINT = "check that the file belongs to this job"
UNKNOWN_HINT = "nothing of it counts: fill in a sheet of the current set"
OLDER_HINT = (
    "compared with the current plan below; ticks and signatures count only where the plan has not changed"
)
UNNUMBERED_HINT = "no job number shows that it is not of another job of this name"


class Today(Struct, frozen=True):
    """What is planned now: the job, its boxes and their digests, by tags in capitals."""

    job: Job
    boxes: Mapping[str, BoxPlan]
    digests: Mapping[str, Digests]


def belonging(one: Return, today: Today) -> tuple[list[Sheet], list[Problem]]:
    """A file's sheets that count for a job, and what is to be reported of the file."""
    own = JobIdentity(today.job.number, today.job.name)
    where = Where(one.source)
    sheets = sheets_of(one)
    relations = {sheet.box: {relation(each, own): each for each in sheet.jobs} for sheet in sheets}
    others = [by_kind["another"] for by_kind in relations.values() if "another" in by_kind]
    if others:
        message = f"it is of another job: {_named(others[0])}, not {_named(own)}; nothing of it counts"
        return [], [error("return-foreign", message, where, BELONGS_HINT)]
    changed = list(_changed(sheets, today, where))
    if changed:
        return [], changed
    strange = {sheet.box for sheet in sheets if "renamed" in relations[sheet.box] and _is_older(sheet, today)}
    known = [sheet for sheet in sheets if sheet.printed and sheet.jobs and sheet.box not in strange]
    filled = [sheet for sheet in sheets if any(value for value in sheet.values.values())]
    problems = [
        *_absent(sheets, today, where),
        *_unknown(
            [each for each in filled if each.box in today.boxes and not (each.printed and each.jobs)], where
        ),
        *_renamed(relations.values(), own, where, sorted(strange)),
        *_undated([sheet for sheet in filled if sheet.printed and sheet.jobs], where),
        *_older(filled, today, relations),
    ]
    return [sheet for sheet in known if sheet.box in today.boxes], problems


def _named(job: JobIdentity) -> str:
    return " ".join(part for part in (job.number, f"“{job.name}”" if job.name else "") if part)


def _list(names: Sequence[str]) -> str:
    """Names, the first of many with how many more."""
    more = f" and {len(names) - SHOWN} more" if len(names) > SHOWN else ""
    return f"{', '.join(names[:SHOWN])}{more}"


def _changed(sheets: Iterable[Sheet], today: Today, where: Where) -> Iterator[Problem]:
    """An error for a file whose sheets have not the fields that they were printed with."""
    names = [
        name
        for sheet in sheets
        if sheet.box in today.boxes
        for name in strange_fields(sheet, today.job, today.boxes[sheet.box], today.digests[sheet.box])
    ]
    if names:
        message = f"it has not the fields that were printed: {_list(names)} was lost, renamed or added"
        yield error("return-merged", message, where, MERGED_HINT)


def _absent(sheets: Iterable[Sheet], today: Today, where: Where) -> Iterator[Problem]:
    """A warning for boxes that the job does not have."""
    names = sorted(sheet.box for sheet in sheets if sheet.box not in today.boxes)
    if names:
        boxes = f"box {names[0]}" if len(names) == 1 else f"boxes {_list(names)}"
        message = f"it is for {boxes}, which the job does not have"
        yield warning("return-foreign", message, where, BELONGS_HINT)


def _unknown(sheets: Sequence[Sheet], where: Where) -> Iterator[Problem]:
    """A warning for sheets that do not show which job they are of, as those of earlier versions do not."""
    if sheets:
        names = [sheet.box for sheet in sheets]
        message = f"the walk sheet of {_list(names)} does not show its job, or what it was printed for"
        yield warning("return-unknown", message, where, UNKNOWN_HINT, tuple(names))


def _undated(sheets: Iterable[Sheet], where: Where) -> Iterator[Problem]:
    """A warning for sheets of a version that kept no digests: what was planned then is not known."""
    names = [sheet.box for sheet in sheets if sheet.printed and not sheet.printed.digests.whole]
    if names:
        message = (
            f"the walk sheet of {_list(names)} was printed by a version that did not keep what was planned"
        )
        yield warning(
            "return-older", message, where, "its ticks, switches and signatures do not count", tuple(names)
        )


def _is_older(sheet: Sheet, today: Today) -> bool:
    """Whether the box of a sheet is planned otherwise now."""
    then = sheet.printed.digests.whole if sheet.printed else ""
    return sheet.box in today.boxes and then not in {"", today.digests[sheet.box].whole}


def _renamed(
    relations: Iterable[Mapping[Relation, JobIdentity]],
    own: JobIdentity,
    where: Where,
    strange: Sequence[str],
) -> Iterator[Problem]:
    """A warning for a file that has the job's number and another name.

    Nothing counts of `strange` boxes, which it has with another plan too: they may be of another building.
    """
    names = [by_kind["renamed"].name for by_kind in relations if "renamed" in by_kind]
    if names:
        message = f"it has the job's number {own.number} and another name: “{names[0]}”, not “{own.name}”"
        if strange:
            message += f"; nothing counts of {_list(strange)}, planned otherwise there"
        yield warning("return-renamed", message, where, BELONGS_HINT)


# --- printed for an earlier plan ----------------------------------------------------------------------------


def _older(
    sheets: Iterable[Sheet], today: Today, relations: Mapping[str, Mapping[Relation, JobIdentity]]
) -> Iterator[Problem]:
    """A warning for sheets whose boxes are planned otherwise now; a new revision alone is none.

    It has the revision that they were printed for, and how the switches found compare with that.
    """
    changed = [sheet for sheet in sheets if sheet.jobs and _is_older(sheet, today)]
    if not changed:
        return
    names = [sheet.box for sheet in changed]
    revisions = dict.fromkeys(sheet.printed.facts.revision for sheet in changed if sheet.printed)
    message = (
        f"the plan of {_list(names)} differs from what the walk sheet was printed for, "
        f"revision {_list(list(revisions))}; compared with that, {_compared(changed, today.boxes)}"
    )
    is_unnumbered = any("unnumbered" in relations[name] for name in names)
    hint = f"{OLDER_HINT}; {UNNUMBERED_HINT}" if is_unnumbered else OLDER_HINT
    yield warning("return-older", message, Where(changed[0].source), hint, tuple(names))


def _compared(sheets: Iterable[Sheet], boxes: Mapping[str, BoxPlan]) -> str:
    """The boards whose switches, where seen, differ from what the sheets were printed for; in words."""
    seen: list[str] = []
    differ: list[str] = []
    for sheet in sheets:
        box = boxes[sheet.box]
        shown = {board.place.lower(): board.place for board in box.boards}
        for board in sheet.printed.facts.boards if sheet.printed else ():
            place = shown.get(board.place, board.place)
            found, on = _found(sheet, box, place), _printed_on(box, board)
            if found:
                seen.append(f"{sheet.box} {place}")
            if any(state is not (switch in on) for switch, state in found.items()):
                differ.append(f"{sheet.box} {place}")
    if differ:
        return f"switches differ on these boards: {_list(differ)}"
    return "what was seen of the switches is as planned then" if seen else "no board was seen"


def _found(sheet: Sheet, box: BoxPlan, place: str) -> dict[SwitchId, Value]:
    """The switches of a board as a sheet has them, of those that rules are about."""
    ruled = {(rule.bank, rule.switch) for rule in box.row.family.rules}
    return switch_states(sheet.values, sheet.box, place, ruled, sheet.unclear)


def _printed_on(box: BoxPlan, board: SeenBoard) -> set[tuple[int, int]]:
    """The switches of a board that the sheet was printed with as ON, of those that rules are about."""
    ruled = {(rule.bank, rule.switch) for rule in box.row.family.rules}
    return ruled & {(bank, switch) for bank, on in enumerate(board.banks, start=1) for switch in on}
