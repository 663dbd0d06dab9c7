"""The changes from one set to another, as records; their fields are the keys of `changes --json`.

A change is work where something is to be done on site; what differs on paper alone is a fact.
"""

from collections.abc import Collection, Iterable
from typing import Literal

from msgspec import Struct
from msgspec.structs import replace

from tagmaker.catalog.steps import ChangeKind
from tagmaker.plan.model import Setting
from tagmaker.plan.outline import PortOutline
from tagmaker.revisions.issued import IssuedJob, IssuedPlacard, IssuedTag, IssuedUnit

__all__ = [
    "NEW_HARDWARE",
    "BoxChange",
    "BoxChangeKind",
    "Changes",
    "FactChange",
    "PortChange",
    "SwitchMove",
    "SystemChange",
    "SystemWork",
    "UnitChange",
    "UnitChangeKind",
    "UnitsByBox",
]

BoxChangeKind = Literal["new", "gone", "renamed", "replaced", "changed"]
"""What became of a box; `replaced` is by one of another size or family, with the same tag or not."""
UnitChangeKind = Literal["added", "removed", "renamed", "moved", "changed"]
"""What became of a unit; `changed` has other facts, in the same place under the same tag."""
SystemChangeKind = Literal["new", "gone", "renamed", "changed"]

NEW_HARDWARE: frozenset[BoxChangeKind] = frozenset({"new", "replaced"})
"""Boxes at which every switch is set and every port connected, whatever was there before."""
RECONNECTED: frozenset[UnitChangeKind] = frozenset({"added", "removed", "moved"})
"""Units whose pipes and cable are connected or disconnected."""
PIPE_FACTS = {"liquid", "gas", "insulation"}
ON_SITE = {"capacity_btuh", "address", "liquid", "gas", "insulation"}
"""Facts of a unit's row that can be seen on site; the others are on paper alone."""


class SwitchMove(Struct, frozen=True):
    """A switch to move; `was` is empty on a board that is new there.

    `then_on` are the switches of its bank that are ON when all is done.
    """

    board: str
    bank: int
    name: str
    switch: int
    was: Literal[Setting, ""]
    now: Setting
    then_on: tuple[int, ...]


class PortChange(Struct, frozen=True):
    """A port or pair that differs; None where there is no such port or pair."""

    port: str
    was: PortOutline | None
    now: PortOutline | None


class FactChange(Struct, frozen=True):
    """A fact of a box (place, power, …) that differs."""

    what: str
    was: str
    now: str


class UnitChange(Struct, frozen=True):
    """A unit that differs: as it was, None if added; as it is now, None if removed.

    `facts` are those of its row that differ; `moved` may have some too.
    """

    kind: UnitChangeKind
    was: IssuedUnit | None
    now: IssuedUnit | None
    facts: tuple[FactChange, ...] = ()

    @property
    def on_site(self) -> tuple[FactChange, ...]:
        """The facts that ask to look at the unit: another machine, another address, other pipes."""
        return tuple(fact for fact in self.facts if fact.what in ON_SITE)

    @property
    def pipe_facts(self) -> tuple[FactChange, ...]:
        """Diameters and insulation that are not those that were given."""
        return tuple(fact for fact in self.facts if fact.what in PIPE_FACTS and fact.was and fact.now)

    @property
    def is_repiped(self) -> bool:
        """Whether its pipes are replaced: another diameter or insulation than the one that was given."""
        return bool(self.pipe_facts)

    def has_other(self, what: str) -> bool:
        """Whether a fact differs from the one that was given."""
        return any(fact.what == what and fact.was and fact.now for fact in self.facts)

    @property
    def is_reconnected(self) -> bool:
        """Whether its pipes and cable are connected or disconnected."""
        return self.kind in RECONNECTED

    @property
    def is_work(self) -> bool:
        """Whether anything is to be done at the unit or at its port."""
        return self.is_reconnected or bool(self.on_site)


class BoxChange(Struct, frozen=True):
    """The work and the facts of one box.

    `was` is its earlier tag, `now` the present one, either empty; `place` and `power` are where it is and
    where its power is isolated. `boards` are the places of its boards where all of them are new there.
    `tags_off` are there and must go, `tags_on` are to be printed; a placard is given where it differs.
    `bands` is whether pipe identification bands are to be replaced, `check` the letters at which pipes and
    cables are to be looked at again.

    `kinds` are the kinds of work, from which its steps follow; `pipes` and `cables` the letters whose pipes
    are opened or whose cables are moved; `mains` whether the pipes that feed the box are opened too. `valves`
    is whether the ports have valves of their own and these are enough. `systems` are the box's, before and
    now; `sources` what feeds it; `letters` all that it has or had, in the family's order.
    """

    kind: BoxChangeKind
    was: str
    now: str
    place: str
    power: str
    boards: tuple[str, ...]
    facts: tuple[FactChange, ...]
    switches: tuple[SwitchMove, ...]
    ports: tuple[PortChange, ...]
    tags_off: tuple[IssuedTag, ...]
    tags_on: tuple[IssuedTag, ...]
    placard_off: IssuedPlacard | None
    placard_on: IssuedPlacard | None
    bands: bool
    check: tuple[str, ...]
    kinds: tuple[ChangeKind, ...]
    pipes: tuple[str, ...]
    cables: tuple[str, ...]
    mains: bool
    valves: bool
    systems: tuple[str, ...]
    sources: tuple[str, ...]
    letters: tuple[str, ...]

    @property
    def is_work(self) -> bool:
        """Whether anything is to be done on site, at the box or at its units."""
        return bool(self.kinds)


class SystemWork(Struct, frozen=True):
    """Work on site that follows from figures of a system, and these."""

    facts: tuple[FactChange, ...]
    what: str


class SystemChange(Struct, frozen=True):
    """A system that differs: its earlier tag and the present one, either empty; figures before and now.

    `papers` are the documents to print again, without ".pdf"; `work` is what follows on site.
    """

    kind: SystemChangeKind
    was: str
    now: str
    facts: tuple[FactChange, ...]
    papers: tuple[str, ...]
    work: tuple[SystemWork, ...]

    @property
    def is_work(self) -> bool:
        """Whether anything is to be done on site; a system that comes or goes is its boxes' work."""
        return bool(self.work)


class UnitsByBox:
    """The units that differ, by the box on which each was and the one on which it is."""

    def __init__(self, units: Iterable[UnitChange]) -> None:
        self._had: dict[str, list[tuple[int, UnitChange]]] = {}
        self._has: dict[str, list[tuple[int, UnitChange]]] = {}
        for number, unit in enumerate(units):
            if unit.was:
                self._had.setdefault(unit.was.box.upper(), []).append((number, unit))
            if unit.now:
                self._has.setdefault(unit.now.box.upper(), []).append((number, unit))

    def had(self, was: str) -> list[UnitChange]:
        """Units that were on the box of that earlier tag."""
        return [unit for _, unit in self._had.get(was.upper(), ())]

    def has(self, now: str) -> list[UnitChange]:
        """Units that are on the box of that tag now."""
        return [unit for _, unit in self._has.get(now.upper(), ())]

    def concerning(self, was: str, now: str) -> list[UnitChange]:
        """Both, each unit once, in the order of the list."""
        both = dict([*self._had.get(was.upper(), ()), *self._has.get(now.upper(), ())])
        return [both[number] for number in sorted(both)]


class Changes(Struct, frozen=True):
    """All that differs, boxes as in the new job and then those that are gone."""

    was: IssuedJob
    now: IssuedJob
    units: tuple[UnitChange, ...]
    boxes: tuple[BoxChange, ...]
    systems: tuple[SystemChange, ...] = ()

    @property
    def is_work(self) -> bool:
        """Whether anything is to be done on site."""
        return any(box.is_work for box in self.boxes) or any(each.is_work for each in self.systems)

    def of_boxes(self, keys: Collection[str]) -> "Changes":
        """What concerns these boxes of the new job, in capitals; all of it where none is named."""
        boxes = tuple(box for box in self.boxes if not keys or box.now.upper() in keys)
        return replace(self, boxes=boxes, systems=() if keys else self.systems)
