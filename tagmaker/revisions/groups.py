"""Boxes that are worked on together: those of one system, and of systems between which a unit moves.

Boxes without a system are one group: nothing says that they are not on one refrigerant circuit.
"""

from collections.abc import Iterable

from msgspec import Struct

from tagmaker.revisions.model import BoxChange, Changes

__all__ = ["Group", "groups_of"]


class Group(Struct, frozen=True):
    """The systems by name, and their boxes in walking order."""

    systems: tuple[str, ...]
    boxes: tuple[BoxChange, ...]

    @property
    def name(self) -> str:
        """The systems' names; empty where none is given."""
        return ", ".join(self.systems)


class _Sets:
    """Disjoint sets of keys, joined pair by pair."""

    def __init__(self) -> None:
        self._above: dict[str, str] = {}

    def top(self, key: str) -> str:
        """The key that names the set of a key."""
        path = [key]
        while (above := self._above.get(path[-1], path[-1])) != path[-1]:
            path.append(above)
        self._above |= dict.fromkeys(path, path[-1])
        return path[-1]

    def join(self, keys: Iterable[str]) -> None:
        """Make one set of the sets of these keys."""
        first, *rest = keys
        for key in rest:
            self._above[self.top(key)] = self.top(first)


def groups_of(changes: Changes) -> list[Group]:
    """The boxes that differ, by group, in the order of their first boxes."""
    sets = _Sets()
    was = {box.was.upper(): _keys(box) for box in changes.boxes if box.was}
    now = {box.now.upper(): _keys(box) for box in changes.boxes if box.now}
    for box in changes.boxes:
        sets.join(_keys(box))
    for unit in changes.units:
        if unit.was and unit.now and unit.is_reconnected:
            ends = (*was.get(unit.was.box.upper(), ()), *now.get(unit.now.box.upper(), ()))
            sets.join(ends or ("",))
    found: dict[str, list[BoxChange]] = {}
    for box in changes.boxes:
        found.setdefault(sets.top(_keys(box)[0]), []).append(box)
    return [Group(_systems(boxes), tuple(boxes)) for boxes in found.values()]


def _keys(box: BoxChange) -> tuple[str, ...]:
    """The systems of a box, in capitals; one empty key where it has none."""
    return tuple(system.upper() for system in box.systems) or ("",)


def _systems(boxes: Iterable[BoxChange]) -> tuple[str, ...]:
    """The systems' names; two that differ in case alone are one."""
    names = {system.upper(): system for box in boxes for system in box.systems}
    return tuple(names.values())
