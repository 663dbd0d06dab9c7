"""An issued set: the records that plan.json keeps, and by which a later revision is compared with it.

The fields are the keys of plan.json; `issuing` makes them. `says` is a digest of everything printed on a
thing but its revision: equal digests mean that the printed content is unchanged, so that the thing can stay
on site.
"""

from collections.abc import Collection, Mapping, Sequence
from typing import Literal

from msgspec import Struct
from msgspec.structs import replace

from tagmaker.plan.outline import BoxOutline, Btuh, SystemOutline
from tagmaker.tags.model import End, TagKind
from tagmaker.units import Length, read_length

__all__ = [
    "Issued",
    "IssuedBox",
    "IssuedJob",
    "IssuedPlacard",
    "IssuedTag",
    "IssuedUnit",
    "is_other_length",
    "other_pipes",
    "same_codes",
]


class IssuedJob(Struct, frozen=True):
    """The head of a job.

    `date` is in ISO 8601 or empty, `refrigerant` empty where it is not known.
    """

    name: str
    number: str
    revision: str
    date: str
    status: Literal["draft", "issued"]
    capacity_unit: str
    refrigerant: str = ""


class IssuedUnit(Struct, frozen=True):
    """A unit's row; lengths are texts as they were given, with their units ("3/8 in"), or empty."""

    unit: str
    box: str
    port: str
    capacity_btuh: Btuh
    room: str
    address: str
    liquid: str
    gas: str
    insulation: str
    run: str
    cable: str


class IssuedTag(Struct, frozen=True):
    """A tag: its code, where it is put, the digest of its content, and the revision in which it last changed.

    `pipes` are the diameter and the insulation of each unit's line, or of the main, that it is put on, as
    given; `strip` is the board whose strip it is a cell of, empty where it is a label of its own.
    """

    code: str
    kind: TagKind
    box: str
    port: str
    end: End
    units: tuple[str, ...]
    rooms: tuple[str, ...]
    pipes: tuple[str, ...]
    strip: str
    says: str
    revision: str


class IssuedPlacard(Struct, frozen=True):
    """A box's placard: its facts, its code's text, its digest, and the revision in which it last changed.

    `date` is that revision's, in ISO 8601 or empty. `bands` is a digest of what the box's pipe identification
    bands depend on, empty where there are none. `port_valves` is whether its family says that every port has
    valves of its own; sets of earlier versions do not say it.
    """

    box: str
    shown: str
    place: str
    power: str
    system: str
    level: str
    fed_from: str
    text: str
    says: str
    bands: str
    revision: str
    date: str
    port_valves: bool = False


class IssuedBox(Struct, frozen=True):
    """Everything of one box."""

    outline: BoxOutline
    units: tuple[IssuedUnit, ...]
    tags: tuple[IssuedTag, ...]
    placard: IssuedPlacard


class Issued(Struct, frozen=True):
    """Everything of a set.

    `digest` is of the job's content without its revision, date and layout. One that was read from a file
    without digests is not `is_proved`.
    """

    job: IssuedJob
    digest: str
    boxes: tuple[BoxOutline, ...]
    units: tuple[IssuedUnit, ...]
    tags: tuple[IssuedTag, ...]
    placards: tuple[IssuedPlacard, ...]
    is_proved: bool = True
    systems: tuple[SystemOutline, ...] = ()

    def limited_to(self, boxes: Sequence[str], all_boxes: Collection[str]) -> "Issued":
        """The set limited to some of a job's boxes, all in capitals; the whole set where none is named.

        Boxes that the job does not have are kept: one that is named may have been renamed since.
        """
        if not boxes:
            return self
        keys = {*boxes, *({box.tag.upper() for box in self.boxes} - set(all_boxes))}
        return replace(
            self,
            boxes=tuple(box for box in self.boxes if box.tag.upper() in keys),
            units=tuple(unit for unit in self.units if unit.box.upper() in keys),
            tags=tuple(tag for tag in self.tags if tag.box.upper() in keys),
            placards=tuple(each for each in self.placards if each.box.upper() in keys),
        )


def same_codes(old: Mapping[str, IssuedTag], new: Mapping[str, IssuedTag]) -> frozenset[str]:
    """Codes of new tags that are on site already.

    Of a strip all cells or none: it is printed as one piece, so one cell that differs means a new strip.
    """
    same = {code for code, tag in new.items() if code in old and _is_same(old[code], tag)}
    changed_strips = {(tag.box, tag.strip) for code, tag in new.items() if tag.strip and code not in same}
    return frozenset(code for code in same if (new[code].box, new[code].strip) not in changed_strips)


def _is_same(old: IssuedTag, new: IssuedTag) -> bool:
    """Whether the content is the same, on the same pipes: a pipe that is replaced takes its tag with it.

    A diameter that was not given before, or is not now, is no sign of another pipe.
    """
    return old.says == new.says and not other_pipes(old, new)


def other_pipes(old: IssuedTag, new: IssuedTag) -> bool:
    """Whether a tag is put on another pipe, or on another insulation, than the earlier one of its code."""
    pairs = zip(old.pipes, new.pipes, strict=False)
    return any(is_other_length(was, now) for was, now in pairs)


def is_other_length(was: str, now: str) -> bool:
    """Whether two lengths that were given differ: 3/8 in and 0.375 in do not, nor does one not given."""
    if not was or not now or was == now:
        return False
    lengths = [read_length(text) for text in (was, now)]
    first, second = (each.mm if isinstance(each, Length) else None for each in lengths)
    return first is None or first != second
