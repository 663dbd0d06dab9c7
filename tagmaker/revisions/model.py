"""The changes from one set to another, as records; their fields are the keys of `changes --json`.

A change is work where something is to be done on site; what differs on paper alone is a fact.
"""

from collections.abc import Collection
from typing import Literal

from msgspec import Struct
from msgspec.structs import replace

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
    "UnitChange",
    "UnitChangeKind",
]

BoxChangeKind = Literal["new", "gone", "renamed", "replaced", "changed"]
"""What became of a box; `replaced` is by one of another size or family, with the same tag or not."""
UnitChangeKind = Literal["added", "removed", "renamed", "moved", "changed"]
"""What became of a unit; `changed` has other facts, in the same place under the same tag."""

NEW_HARDWARE: frozenset[BoxChangeKind] = frozenset({"new", "replaced"})
"""Boxes at which every switch is set and every port connected, whatever was there before."""
RECONNECTED: frozenset[UnitChangeKind] = frozenset({"added", "removed", "moved"})
"""Units whose pipes and cable are connected or disconnected."""
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
    cables are to be looked at again; `letters` are those of the box, today's and earlier ones, in the
    family's order.
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
    letters: tuple[str, ...] = ()

    def order_of(self, port: str) -> list[int]:
        """What ports and pairs are sorted by: the places of their letters in the family's order."""
        return [self.letters.index(letter) for letter in port.split("+") if letter in self.letters]

    @property
    def is_work(self) -> bool:
        """Whether anything is to be done on site, apart from work at its units."""
        things = (self.switches, self.tags_off, self.tags_on, self.placard_off, self.placard_on, self.bands)
        return any(things)

    def concerns(self, unit: UnitChange) -> bool:
        """Whether a unit that differs was or is on this box."""
        return self.had(unit) or self.has(unit)

    def had(self, unit: UnitChange) -> bool:
        """Whether a unit that differs was on this box."""
        return unit.was is not None and unit.was.box == self.was

    def has(self, unit: UnitChange) -> bool:
        """Whether a unit that differs is on this box now."""
        return unit.now is not None and unit.now.box == self.now


class Changes(Struct, frozen=True):
    """All that differs, boxes as in the new job and then those that are gone."""

    was: IssuedJob
    now: IssuedJob
    units: tuple[UnitChange, ...]
    boxes: tuple[BoxChange, ...]

    @property
    def is_work(self) -> bool:
        """Whether anything is to be done on site."""
        return any(box.is_work for box in self.boxes) or any(unit.is_work for unit in self.units)

    def of_boxes(self, keys: Collection[str]) -> "Changes":
        """What concerns these boxes of the new job, in capitals; all of it where none is named."""
        boxes = tuple(box for box in self.boxes if not keys or box.now.upper() in keys)
        return replace(self, boxes=boxes)
