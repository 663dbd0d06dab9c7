"""What a set says once it is issued: records that plan.json keeps, and by which a later revision is compared.

The fields are the keys of plan.json. `says` is a digest of all that is printed on a thing, less its
revision: of two things that say the same one is enough.
"""

import hashlib
import json
from collections.abc import Collection, Iterable, Mapping, Sequence

import msgspec
from msgspec import Struct
from msgspec.structs import replace

from tagmaker.catalog.words import Words
from tagmaker.job.model import BoxRow, Job, UnitRow
from tagmaker.plan.model import BoxPlan, Plan
from tagmaker.plan.outline import BoxOutline, Btuh, box_outline, btuh
from tagmaker.tags.kits import box_tags
from tagmaker.tags.model import Tag
from tagmaker.tags.placard_text import placard_text
from tagmaker.units import Length

__all__ = [
    "Issued",
    "IssuedBox",
    "IssuedJob",
    "IssuedPlacard",
    "IssuedTag",
    "IssuedUnit",
    "issued",
    "issued_box",
    "issued_plan",
    "placard_says",
    "same_codes",
    "says_of",
]

DIGEST = 16  # hexadecimal digits: 64 bits tell a job's things apart


class IssuedJob(Struct, frozen=True):
    """The head of a job: `status` is draft or issued, `date` in ISO 8601 or empty."""

    name: str
    number: str
    revision: str
    date: str
    status: str
    capacity_unit: str


class IssuedUnit(Struct, frozen=True):
    """A unit's row; lengths as they were given, with their units."""

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
    """A tag: its code, where it hangs, what it says, and the revision in which it last changed.

    `pipes` are the diameter and the insulation of each unit's line that it hangs on, as given; `strip` is the
    board whose strip it is a cell of, empty where it is a label of its own.
    """

    code: str
    kind: str
    box: str
    port: str
    end: str
    units: tuple[str, ...]
    rooms: tuple[str, ...]
    pipes: tuple[str, ...]
    strip: str
    says: str
    revision: str


class IssuedPlacard(Struct, frozen=True):
    """A box's placard: its facts, its code's text, what it says, and the revision in which it last changed.

    `date` is that revision's, in ISO 8601 or empty. `bands` is a digest of what the box's pipe identification
    bands depend on, empty where there are none.
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


class IssuedBox(Struct, frozen=True):
    """Everything of one box."""

    outline: BoxOutline
    units: tuple[IssuedUnit, ...]
    tags: tuple[IssuedTag, ...]
    placard: IssuedPlacard


class Issued(Struct, frozen=True):
    """Everything of a set; `digest` is of the job's content, its revision, date and layout aside."""

    job: IssuedJob
    digest: str
    boxes: tuple[BoxOutline, ...]
    units: tuple[IssuedUnit, ...]
    tags: tuple[IssuedTag, ...]
    placards: tuple[IssuedPlacard, ...]

    def limited_to(self, boxes: Sequence[str], all_boxes: Collection[str]) -> "Issued":
        """What it says of these of a job's boxes, all in capitals; all of it where none is named.

        Boxes that the job does not have stay: one of these may be known by that name on site.
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


def issued_plan(plan: Plan, words: Words) -> Issued:
    """What a whole plan would issue, every thing in the job's revision."""
    return issued(plan.job, [issued_box(plan.job, box, box_tags(plan.job, box, words)) for box in plan.boxes])


def issued(job: Job, boxes: Sequence[IssuedBox]) -> Issued:
    """The boxes of a job as one set."""
    head = IssuedJob(
        name=job.name,
        number=job.number,
        revision=job.revision,
        date=_date(job),
        status="draft" if job.is_draft else "issued",
        capacity_unit=job.capacity_unit,
    )
    return Issued(
        job=head,
        digest=_content_digest(job, boxes),
        boxes=tuple(box.outline for box in boxes),
        units=tuple(unit for box in boxes for unit in box.units),
        tags=tuple(tag for box in boxes for tag in box.tags),
        placards=tuple(box.placard for box in boxes),
    )


def issued_box(job: Job, box: BoxPlan, tags: Iterable[Tag]) -> IssuedBox:
    """A box with its tags; its placard in the job's revision."""
    return IssuedBox(
        outline=box_outline(box),
        units=tuple(_unit(box, port.name, unit) for port in box.ports for unit in port.units),
        tags=tuple(_tag(job, box, tag) for tag in tags),
        placard=_placard(job, box),
    )


def same_codes(old: Mapping[str, IssuedTag], new: Mapping[str, IssuedTag]) -> frozenset[str]:
    """Codes of new tags that hang already; of a strip all cells or none, since it is printed as one piece."""
    same = {code for code, tag in new.items() if code in old and _is_same(old[code], tag)}
    torn = {(tag.box, tag.strip) for code, tag in new.items() if tag.strip and code not in same}
    return frozenset(code for code in same if (new[code].box, new[code].strip) not in torn)


def _is_same(old: IssuedTag, new: IssuedTag) -> bool:
    """Whether it says the same, and hangs on the same pipes: new pipes or insulation come without it."""
    pairs = zip(old.pipes, new.pipes, strict=False)
    return old.says == new.says and all(was == now for was, now in pairs if was and now)


def says_of(tag: Tag) -> str:
    """The digest of what a tag says."""
    return _digest(
        tag.code,
        tag.kind,
        tag.use,
        tag.box_shown,
        tag.port,
        tag.units,
        tag.rooms,
        tag.headline,
        tag.remark,
        tag.is_caution,
        tag.end_text,
        tag.is_draft,
        tag.hardware,
    )


def _tag(job: Job, box: BoxPlan, tag: Tag) -> IssuedTag:
    is_strip = job.prints.stocks[tag.stock_use].shape == "strip"
    return IssuedTag(
        code=tag.code,
        kind=tag.kind,
        box=tag.box,
        port=tag.port,
        end=tag.end,
        units=tag.units,
        rooms=tag.rooms,
        pipes=_pipes(box, tag),
        strip=tag.board if is_strip else "",
        says=says_of(tag),
        revision=tag.revision,
    )


def _pipes(box: BoxPlan, tag: Tag) -> tuple[str, ...]:
    if tag.kind not in {"liquid", "gas"}:
        return ()
    lines = [unit for port in box.ports for unit in port.units if unit.tag in tag.units]
    tubes = [(unit.liquid if tag.kind == "liquid" else unit.gas, unit.insulation) for unit in lines]
    return tuple(_text(length) for pair in tubes for length in pair)


def _unit(box: BoxPlan, port: str, unit: UnitRow) -> IssuedUnit:
    return IssuedUnit(
        unit=unit.tag,
        box=box.row.tag,
        port=port,
        capacity_btuh=btuh(unit.capacity),
        room=unit.room,
        address=unit.address,
        liquid=_text(unit.liquid),
        gas=_text(unit.gas),
        insulation=_text(unit.insulation),
        run=_text(unit.run),
        cable=_text(unit.cable),
    )


def _text(length: Length | None) -> str:
    return length.text if length else ""


def _placard(job: Job, box: BoxPlan) -> IssuedPlacard:
    row = box.row
    return IssuedPlacard(
        box=row.tag,
        shown=row.shown,
        place=row.place,
        power=row.power,
        system=row.system,
        level=row.level,
        fed_from=row.fed_from,
        text=placard_text(job, box),
        says=placard_says(job, box),
        bands=_bands(job, box),
        revision=job.revision,
        date=_date(job),
    )


def _date(job: Job) -> str:
    return job.date.isoformat() if job.date else ""


def placard_says(job: Job, box: BoxPlan) -> str:
    """The digest of what a box's placard says, its revision and date aside."""
    row, family = box.row, box.row.family
    facts = (
        row.shown,
        row.place,
        row.power,
        row.system,
        row.level,
        row.fed_from,
        family.title,
        family.source,
    )
    boards = msgspec.to_builtins(box.boards)
    ports = [(port.name, [(unit.tag, unit.room) for unit in port.units]) for port in box.ports]
    return _digest(placard_text(job, box, ""), job.name, job.is_draft, facts, boards, ports)


def _bands(job: Job, box: BoxPlan) -> str:
    if job.bands is None:
        return ""
    pipes = [
        (unit.tag, port.name, *map(_text, (unit.liquid, unit.gas, unit.insulation, unit.run)))
        for port in box.ports
        for unit in port.units
    ]
    return _digest(job.refrigerant, _text(job.bands.interval), box.row.shown, _mains(box.row), pipes)


def _mains(row: BoxRow) -> object:
    """What a job gives of a box's mains."""
    if row.mains is None:
        return ()
    tubes = sorted((kind, tube.text) for kind, tube in row.mains.tubes.items())
    return tubes, _text(row.mains.insulation), _text(row.mains.run)


def _content_digest(job: Job, boxes: Sequence[IssuedBox]) -> str:
    """What the job says, however its files are laid out: the same schedule as CSV or sheet digests alike."""
    mains = [_mains(row) for row in job.boxes]
    head = (job.name, job.number, job.is_draft, job.refrigerant, job.site, job.capacity_unit)
    items = [(item.key, item.text, item.role, item.per) for item in job.walk_items]
    content = [
        (
            msgspec.to_builtins(box.outline),
            msgspec.to_builtins(box.units),
            box.placard.says,
            box.placard.bands,
        )
        for box in boxes
    ]
    return _digest(head, items, mains, content, digits=64)


def _digest(*parts: object, digits: int = DIGEST) -> str:
    text = json.dumps(parts, ensure_ascii=False, separators=(",", ":"))
    return hashlib.sha256(text.encode(errors="backslashreplace")).hexdigest()[:digits]
