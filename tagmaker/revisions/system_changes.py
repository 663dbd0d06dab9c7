"""Systems of two sets compared: figures that differ, papers to print again, and the work on site of each.

Takes the systems' outlines as plan.json keeps them and what differs of boxes and units; gives a record for
each system that differs. Sets of earlier versions keep no figures: then nothing is known of them.
"""

from collections.abc import Iterator, Mapping, Sequence

from tagmaker.catalog.system_changes import PAPERS, rules_of
from tagmaker.plan.outline import SystemOutline
from tagmaker.revisions.issued import Issued
from tagmaker.revisions.model import BoxChange, FactChange, SystemChange, SystemWork

__all__ = ["system_changes"]

Pair = tuple[str, str]
REFRIGERANT = "refrigerant"
NEVER_SIGNS = tuple(paper for paper in PAPERS if paper != "signs")


def system_changes(
    old: Issued, new: Issued, boxes: Sequence[BoxChange], names: Mapping[str, str]
) -> tuple[SystemChange, ...]:
    """Systems as in the new job, then those that are gone; `names` are new names of old ones, in capitals."""
    before = {names.get(each.tag.upper(), each.tag.upper()): each for each in old.systems}
    after = {each.tag.upper(): each for each in new.systems}
    touched = {names.get(system.upper(), system.upper()) for box in boxes for system in box.systems}
    jobs = old.job.refrigerant, new.job.refrigerant
    found = [_change(before.get(key), now, jobs, is_touched=key in touched) for key, now in after.items()]
    found += [_change(was, None, jobs, is_touched=True) for key, was in before.items() if key not in after]
    return tuple(each for each in found if each)


def _change(
    was: SystemOutline | None, now: SystemOutline | None, jobs: Pair, *, is_touched: bool
) -> SystemChange | None:
    """What differs of one system; None where nothing does. `jobs` are the refrigerants of the two jobs."""
    if was is None or now is None:
        return SystemChange("gone", was.tag, "", (), (), ()) if was else _new(now)
    facts = tuple(_facts(was, now, jobs))
    is_renamed = was.tag != now.tag
    if not (facts or is_touched or is_renamed):
        return None
    rules = rules_of(fact.what for fact in facts)
    asked = {paper for rule in rules for paper in rule.papers} | set(NEVER_SIGNS if is_touched else ())
    papers = PAPERS if is_renamed else tuple(paper for paper in PAPERS if paper in asked)
    work = tuple(
        SystemWork(tuple(fact for fact in facts if rule.is_for(fact.what)), rule.work)
        for rule in rules
        if rule.work
    )
    return SystemChange("renamed" if is_renamed else "changed", was.tag, now.tag, facts, papers, work)


def _new(now: SystemOutline | None) -> SystemChange | None:
    return SystemChange("new", "", now.tag, (), PAPERS, ()) if now else None


def _facts(was: SystemOutline, now: SystemOutline, jobs: Pair) -> Iterator[FactChange]:
    """Figures that differ, in the order of the keys; of a set that kept none, nothing is known."""
    if not (was.figures and now.figures):
        return
    for key in dict.fromkeys((*was.figures, *now.figures, REFRIGERANT)):
        old, new = was.figures.get(key, ""), now.figures.get(key, "")
        if key == REFRIGERANT and (old or jobs[0]) and (new or jobs[1]):
            old, new = old or jobs[0], new or jobs[1]  # a system that names none has that of its job
        if old != new:
            yield FactChange(key, old, new)
