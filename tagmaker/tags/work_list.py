"""The lines of a punch list, in words."""

from collections.abc import Sequence

from msgspec import Struct

__all__ = ["BoxWork", "WorkItem"]


class WorkItem(Struct, frozen=True):
    """Where, what is wrong, what to do, and what to expect meanwhile; its number on the whole job's list."""

    box: str
    place: str
    wrong: str
    to_do: str
    expect: tuple[str, ...] = ()
    number: int = 0


class BoxWork(Struct, frozen=True):
    """A box and where it is, its punches, what of it is not known, and what was noted."""

    box: str
    where: str
    punches: Sequence[WorkItem]
    unknown: Sequence[str]
    notes: Sequence[str]
