"""Which kinds of work a box's differences are, and whose pipes and cables are touched.

In doubt it is more work: what could be a pipe that leads elsewhere is pipe work; a name alone is where
nothing else differs.
"""

from collections.abc import Iterable, Iterator, Mapping, Sequence

from msgspec import Struct

from tagmaker.catalog.steps import CHANGE_KINDS, ChangeKind
from tagmaker.plan.outline import BoxOutline
from tagmaker.revisions.issued import IssuedPlacard, IssuedTag, other_pipes
from tagmaker.revisions.model import BoxChangeKind, FactChange, PortChange, SwitchMove, UnitChange

__all__ = [
    "ALL_PIPED",
    "BoxDifferences",
    "Names",
    "is_wired_otherwise",
    "letters_of",
    "renamed_systems",
    "touched_cables",
    "touched_pipes",
]

ALL_PIPED: frozenset[BoxChangeKind] = frozenset({"new", "gone", "replaced"})
"""Boxes at which every line is cut or connected, their mains too."""


class Names(Struct, frozen=True):
    """New names of what is the same: boxes and systems in capitals, units as written."""

    boxes: Mapping[str, str]
    systems: Mapping[str, str]
    units: Mapping[str, str]


class BoxDifferences(Struct, frozen=True):
    """All that differs of a box, before it is called work of some kind."""

    kind: BoxChangeKind
    letters: tuple[str, ...]
    facts: Sequence[FactChange]
    switches: Sequence[SwitchMove]
    ports: Sequence[PortChange]
    tags_off: Sequence[IssuedTag]
    tags_on: Sequence[IssuedTag]
    is_reprinted: bool
    had: Sequence[UnitChange]
    has: Sequence[UnitChange]

    def kinds(self, names: Names) -> tuple[ChangeKind, ...]:
        """The kinds of work, in the order of their type; `name` where things are only named otherwise."""
        found = set(self._kinds(names))
        if self.is_reprinted and found <= {"check"}:
            found.add("name")
        return tuple(kind for kind in CHANGE_KINDS if kind in found)

    def _kinds(self, names: Names) -> Iterator[ChangeKind]:
        if touched_pipes(self) or self.opens_mains(names):
            yield "pipe"
        if touched_cables(self, names) or self.is_in_another_system(names):
            yield "cable"
        if self.switches:
            yield "switch"
        what = {fact.what for fact in self.facts}
        if "power" in what:
            yield "isolation"
        if "refrigerant" in what:
            yield "refrigerant"
        yield from self._kinds_of_units()
        if self.kind in ALL_PIPED or self.is_in_another_system(names):
            yield "capacity"

    def _kinds_of_units(self) -> Iterator[ChangeKind]:
        if any(unit.has_other("address") for unit in self.has):
            yield "address"
        if any(unit.has_other("capacity_btuh") for unit in self.has):
            yield "capacity"
        if any(_changes_load(unit) for unit in (*self.had, *self.has)):
            yield "capacity"
        if any(unit.on_site for unit in self.has):
            yield "check"

    def opens_mains(self, names: Names) -> bool:
        """Whether the pipes that feed the box are opened: another box, source, system or diameter."""
        if self.kind in ALL_PIPED or self.is_in_another_system(names):
            return True
        on = {tag.code: tag for tag in self.tags_on if tag.kind.startswith("main-")}
        replaced = any(tag.code in on and other_pipes(tag, on[tag.code]) for tag in self.tags_off)
        return replaced or any(_is_other(fact, "fed_from", names.boxes) for fact in self.facts)

    def is_in_another_system(self, names: Names) -> bool:
        """Whether it leaves its system for another, and not only with another name of the same."""
        return any(_is_other(fact, "system", names.systems) for fact in self.facts)


def _is_other(fact: FactChange, what: str, names: Mapping[str, str]) -> bool:
    """Whether it is that fact, given before and now, and not the same thing under another name."""
    was, now = fact.was.upper(), fact.now.upper()
    return fact.what == what and bool(was and now) and names.get(was, was) != now


def _changes_load(unit: UnitChange) -> bool:
    """Whether a unit comes to its box or leaves it."""
    if unit.was is None or unit.now is None:
        return True
    return unit.kind == "moved" and unit.was.box.upper() != unit.now.box.upper()


def touched_pipes(box: BoxDifferences) -> tuple[str, ...]:
    """The letters whose pipes are opened."""
    if box.kind in ALL_PIPED:
        return box.letters
    letters = {letter for unit in _reconnected(box) for letter in unit}
    for unit in box.has:
        if unit.now and unit.is_repiped:
            letters |= set(unit.now.port.split("+"))
    return tuple(letter for letter in box.letters if letter in letters)


def touched_cables(box: BoxDifferences, names: Names) -> tuple[str, ...]:
    """The letters at whose terminals a cable is moved, or whose cable runs another way from unit to unit."""
    if box.kind in ALL_PIPED:
        return box.letters
    letters = {letter for unit in _reconnected(box) for letter in unit}
    for port in box.ports:
        if is_wired_otherwise(port, names.units):
            letters |= set(port.port.split("+"))
    return tuple(letter for letter in box.letters if letter in letters)


def _reconnected(box: BoxDifferences) -> Iterator[list[str]]:
    """The letters of each port that a unit leaves or comes to."""
    for unit in box.had:
        if unit.was and unit.is_reconnected:
            yield unit.was.port.split("+")
    for unit in box.has:
        if unit.now and unit.is_reconnected:
            yield unit.now.port.split("+")


def is_wired_otherwise(port: PortChange, units: Mapping[str, str]) -> bool:
    """Whether the port's use or its chain of units differs, new names of the same units aside."""
    if port.was is None or port.now is None:
        return bool((port.was or port.now) and any(each and each.units for each in (port.was, port.now)))
    chain = tuple(units.get(unit, unit) for unit in port.was.units)
    return (port.was.use, chain) != (port.now.use, port.now.units)


def letters_of(was: BoxOutline | None, now: BoxOutline | None) -> tuple[str, ...]:
    """All letters that a box has or had, in the family's order."""
    boards = [board for box in (now, was) if box for board in box.boards]
    return tuple(dict.fromkeys(letter for board in boards for letter in board.ports))


def renamed_systems(
    pairs: Iterable[tuple[IssuedPlacard, IssuedPlacard]], others: Iterable[IssuedPlacard]
) -> dict[str, str]:
    """New names of systems, in capitals: all boxes of the old one are in the new one and no others are.

    `pairs` are the boxes that stay, before and now, `others` those that come or go. A name that both jobs
    have is never a new name.
    """
    after: dict[str, set[str]] = {}
    before: dict[str, set[str]] = {}
    for was, now in pairs:
        after.setdefault(was.system.upper(), set()).add(now.system.upper())
        before.setdefault(now.system.upper(), set()).add(was.system.upper())
    taken = {each.system.upper() for each in others}
    return {
        old: new
        for old, news in after.items()
        if len(news) == 1
        for new in news
        if old and new and len(before[new]) == 1
        if old not in before and new not in after and not {old, new} & taken
    }
