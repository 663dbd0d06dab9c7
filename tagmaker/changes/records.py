"""The changes from one set to another; the fields are the keys of `changes --json`."""

from dataclasses import dataclass

from tagmaker.plan.as_json import PortOutline
from tagmaker.tags.issued import IssuedJob, IssuedPlacard, IssuedTag, IssuedUnit

__all__ = ["BoxChange", "Changes", "FactChange", "PortChange", "SwitchMove", "UnitChange"]


@dataclass(frozen=True, slots=True)
class SwitchMove:
    """A switch to move: `was` and `now` are on, off or leave; `was` is empty on a board that is new there.

    `then_on` are the switches of its bank that are ON when all is done.
    """

    board: str
    bank: int
    name: str
    switch: int
    was: str
    now: str
    then_on: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class PortChange:
    """A port or pair that differs; None where there is no such port or pair."""

    port: str
    was: PortOutline | None
    now: PortOutline | None


@dataclass(frozen=True, slots=True)
class FactChange:
    """A fact of a box (place, power, …) that differs."""

    what: str
    was: str
    now: str


@dataclass(frozen=True, slots=True)
class UnitChange:
    """A unit that was added, removed, renamed, moved to another port, or is described otherwise (changed)."""

    kind: str
    was: IssuedUnit | None
    now: IssuedUnit | None


@dataclass(frozen=True, slots=True)
class BoxChange:
    """What a box asks for: `kind` is new, gone, renamed, replaced (another size or family) or changed.

    `was` is its earlier tag, `now` the present one, either empty. `boards` are the places of its boards
    where all of them are new there. `tags_off` hang there and must go, `tags_on` are to be printed; the
    placard is told where it differs. `bands` says whether pipe identification bands are to be replaced,
    `check` the letters at which pipes and cables are to be looked at again.
    """

    kind: str
    was: str
    now: str
    place: str
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

    @property
    def is_work(self) -> bool:
        """Whether anything is to be done on site."""
        things = (self.switches, self.tags_off, self.tags_on, self.placard_off, self.placard_on, self.bands)
        return any(things)


@dataclass(frozen=True, slots=True)
class Changes:
    """All that differs, boxes as in the new job and then those that are gone."""

    was: IssuedJob
    now: IssuedJob
    units: tuple[UnitChange, ...]
    boxes: tuple[BoxChange, ...]

    @property
    def is_work(self) -> bool:
        """Whether anything is to be done on site."""
        return any(box.is_work for box in self.boxes)
