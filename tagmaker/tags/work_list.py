"""The lines of a list of work on site, in words: a punch list after a walk, or what a new revision asks for.

Both come from other rooms (`site`, `revisions`) and are printed by one sheet.
"""

from collections.abc import Sequence

from msgspec import Struct

__all__ = ["BoxWork", "WorkItem"]


class WorkItem(Struct, frozen=True):
    """Where, what is wrong or to be done, how, and what to expect until it is done.

    `number` counts over the whole job's list, from 1; 0 until the list is complete. `step` is the key of the
    step that the line belongs to, `role` who answers for it, in words; `ports` are the letters at which it is
    done, `codes` the tags that it names; `is_system` is set where it is done once for a whole system, which
    `box` then names. These are empty on a punch list.
    """

    box: str
    place: str
    wrong: str
    to_do: str
    expect: tuple[str, ...] = ()
    number: int = 0
    step: str = ""
    role: str = ""
    ports: tuple[str, ...] = ()
    codes: tuple[str, ...] = ()
    is_system: bool = False


class BoxWork(Struct, frozen=True):
    """A box, or a whole system, and where it is; its lines, what of it was not looked at, and notes.

    `open` is what of it nobody proved or signed.
    """

    box: str
    where: str
    punches: Sequence[WorkItem]
    unknown: Sequence[str]
    notes: Sequence[str]
    system: str = ""
    open: Sequence[str] = ()
