"""What came back of each part of a box: as planned, differs or not seen, and in which files it is.

Takes a box's findings part by part and its merged values; gives a record a part, in walking order.
"""

from collections.abc import Iterable

from msgspec import Struct

from tagmaker.site.walk.findings import PartFindings, PartKind, WalkResult
from tagmaker.site.walk.gather import Returned
from tagmaker.tags.fields import read_field

__all__ = ["PartBack", "parts_back"]

PARTS: dict[str, PartKind] = {"pipe": "pipe", "cable": "cable", "tags": "tags", "item": "items"}
"""By the third name of a letter's field, the part that it belongs to; a remark belongs to none."""
_Part = tuple[PartKind, str]


class PartBack(Struct, frozen=True):
    """A part of a box: `place` is a board, a letter, or "" for the box; `sources` are the files with it."""

    kind: PartKind
    place: str
    result: WalkResult
    sources: tuple[str, ...]


def parts_back(parts: Iterable[PartFindings], found: Returned) -> tuple[PartBack, ...]:
    """The parts of a box with their files; one of which files contradict each other is not seen."""
    sources: dict[_Part, dict[str, None]] = {}
    for name, files in found.sources.items():
        if part := _part_of(name):
            sources.setdefault(part, {}).update(dict.fromkeys(files))
    contradicted = {_part_of(each.name) for each in found.contradictions}
    return tuple(
        PartBack(
            each.kind,
            each.place,
            _result(each, is_contradicted=(each.kind, each.place) in contradicted),
            tuple(sources.get((each.kind, each.place), ())),
        )
        for each in parts
    )


def _result(part: PartFindings, *, is_contradicted: bool) -> WalkResult:
    return "not seen" if is_contradicted and part.state == "as planned" else part.state


def _part_of(name: str) -> _Part | None:
    """The part of a box that a field belongs to; None for a proof, a remark and a signature."""
    field = read_field(name)
    if field is None or field.kind == "remark" or name.endswith("/proved"):
        return None
    group, _, letter = field.place.partition("/")
    if group == "port":
        kind = PARTS.get(name.split("/")[3])
        return (kind, letter) if kind else None
    return ("items", "") if group == "item" else ("switches", field.place)
