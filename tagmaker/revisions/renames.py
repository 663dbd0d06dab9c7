"""Which box and which unit is which: by tag, and as a rename where all the rest matches one other.

A rename is only taken for one where it is certain: exactly one thing that is gone is like exactly one that is
new. Two that could each be either are removed and added: a tag on the wrong unit is worse than work that was
not needed.
"""

from collections.abc import Callable, Hashable, Iterable, Iterator, Sequence
from typing import TypeVar

from msgspec.structs import replace

from tagmaker.plan.outline import BoxOutline
from tagmaker.revisions.issued import Issued, IssuedUnit, is_other_length
from tagmaker.revisions.model import FactChange, UnitChange, UnitChangeKind

__all__ = ["BoxPair", "box_pairs", "unit_changes"]

Thing = TypeVar("Thing")  # Python 3.11 has no other way to write it
FACTS = ("capacity_btuh", "room", "address", "liquid", "gas", "insulation", "run", "cable")
LENGTHS = {"liquid", "gas", "insulation", "run", "cable"}
BoxPair = tuple[BoxOutline | None, BoxOutline | None]


def box_pairs(old: Issued, new: Issued) -> list[BoxPair]:
    """Every box before and after: those of the new job in its order, then those that are gone."""
    before = {box.tag.upper(): box for box in old.boxes}
    after = {box.tag.upper(): box for box in new.boxes}
    gone = [box for key, box in before.items() if key not in after]
    fresh = [box for key, box in after.items() if key not in before]
    renamed = _matches(gone, fresh, _box_likeness)
    pairs: list[BoxPair] = [(before.get(key) or renamed.get(id(box)), box) for key, box in after.items()]
    kept = {id(box) for box, _ in pairs}
    return [*pairs, *((box, None) for box in gone if id(box) not in kept)]


def _box_likeness(box: BoxOutline) -> Hashable:
    """All of a box but its tag; None, like nothing else, for a box without units: many are like it."""
    return replace(box, tag="") if any(port.units for port in box.ports) else None


def unit_changes(old: Issued, new: Issued, pairs: Iterable[BoxPair]) -> tuple[UnitChange, ...]:
    """Every unit that differs, in the order of the new job, then those that are gone.

    Units of a box that was renamed are first moved along with it, so that they do not all count as moved.
    """
    box_now = {was.tag.upper(): now.tag for was, now in pairs if was and now}
    before = {unit.unit.upper(): unit for unit in old.units}
    after = {unit.unit.upper(): unit for unit in new.units}
    gone = [unit for key, unit in before.items() if key not in after]
    fresh = [unit for key, unit in after.items() if key not in before]
    moved_along = {id(unit): replace(unit, box=box_now.get(unit.box.upper(), unit.box)) for unit in old.units}
    renamed = _matches(gone, fresh, lambda unit: replace(moved_along.get(id(unit), unit), unit=""))
    changes: list[UnitChange] = []
    for key, unit in after.items():
        was = before.get(key) or renamed.get(id(unit))
        there = moved_along[id(was)] if was else None
        if there != unit:
            changes.append(UnitChange(_kind(there, unit), was, unit, tuple(_facts(there, unit))))
    taken = {id(was) for was in renamed.values()}
    return (*changes, *(UnitChange("removed", unit, None) for unit in gone if id(unit) not in taken))


def _kind(was: IssuedUnit | None, now: IssuedUnit) -> UnitChangeKind:
    if was is None:
        return "added"
    if (was.box.upper(), was.port) != (now.box.upper(), now.port):
        return "moved"
    return "renamed" if was.unit != now.unit else "changed"


def _facts(was: IssuedUnit | None, now: IssuedUnit) -> Iterator[FactChange]:
    for what in FACTS if was else ():
        before, after = (_text(getattr(unit, what)) for unit in (was, now))
        if before != after and (what not in LENGTHS or _differ(before, after)):
            yield FactChange(what, before, after)


def _differ(was: str, now: str) -> bool:
    """Whether two lengths differ, or one of them is not given."""
    return not (was and now) or is_other_length(was, now)


def _text(value: object) -> str:
    return "" if value is None else str(value)


def _matches(
    gone: Sequence[Thing], fresh: Sequence[Thing], likeness: Callable[[Thing], Hashable]
) -> dict[int, Thing]:
    """What each new thing was, by its id; only where exactly one gone thing is like exactly one new thing."""
    olds: dict[Hashable, list[Thing]] = {}
    news: dict[Hashable, list[Thing]] = {}
    for groups, things in ((olds, gone), (news, fresh)):
        for thing in things:
            groups.setdefault(likeness(thing), []).append(thing)
    return {
        id(found[0]): olds[like][0]
        for like, found in news.items()
        if like is not None and len(found) == 1 and len(olds.get(like, ())) == 1
    }
