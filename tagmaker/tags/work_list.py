"""The lines of a list of work on site, in words: a punch list after a walk, or what a new revision asks for.

Both come from other rooms (`site`, `revisions`) and are printed by one sheet.
"""

from collections.abc import Sequence

from msgspec import Struct

__all__ = ["BoxWork", "WorkItem"]


class WorkItem(Struct, frozen=True):
    """Where, what is wrong, what to do, and what to expect until it is done.

    `number` counts over the whole job's list, from 1; 0 until the list is complete.
    """

    box: str
    place: str
    wrong: str
    to_do: str
    expect: tuple[str, ...] = ()
    number: int = 0


class BoxWork(Struct, frozen=True):
    """A box and where it is, its lines of work, what of it was not looked at, and notes."""

    box: str
    where: str
    punches: Sequence[WorkItem]
    unknown: Sequence[str]
    notes: Sequence[str]
