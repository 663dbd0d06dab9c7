"""What a set says once it is issued: records that plan.json keeps, and by which a later revision is compared.

The fields are the keys of plan.json. `says` is a digest of all that is printed on a thing, less its
revision: of two things that say the same one is enough.
"""

import hashlib
import json
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

import msgspec

from tagmaker.catalog.words import Words
from tagmaker.job.records import Job, UnitRow
from tagmaker.plan.as_json import BoxOutline, Btuh, box_outline, btuh
from tagmaker.plan.records import BoxPlan, Plan
from tagmaker.tags.kits import box_tags
from tagmaker.tags.placard_text import placard_text
from tagmaker.tags.records import Tag
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
    "says_of",
]

DIGEST = 16  # hexadecimal digits: 64 bits tell a job's things apart


@dataclass(frozen=True, slots=True)
class IssuedJob:
    """The head of a job: `status` is draft or issued, `date` in ISO 8601 or empty."""

    name: str
    number: str
    revision: str
    date: str
    status: str
    capacity_unit: str


@dataclass(frozen=True, slots=True)
class IssuedUnit:
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


@dataclass(frozen=True, slots=True)
class IssuedTag:
    """A tag: its code, where it hangs, what it says, and the revision in which it last changed."""

    code: str
    kind: str
    box: str
    port: str
    end: str
    units: tuple[str, ...]
    rooms: tuple[str, ...]
    says: str
    revision: str


@dataclass(frozen=True, slots=True)
class IssuedPlacard:
    """A box's placard: its facts, its code's text, what it says, and the revision in which it last changed.

    `bands` is a digest of what the box's pipe identification bands depend on, empty where there are none.
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


@dataclass(frozen=True, slots=True)
class IssuedBox:
    """Everything of one box."""

    outline: BoxOutline
    units: tuple[IssuedUnit, ...]
    tags: tuple[IssuedTag, ...]
    placard: IssuedPlacard


@dataclass(frozen=True, slots=True)
class Issued:
    """Everything of a set; `digest` is of the job's content, its revision, date and layout aside."""

    job: IssuedJob
    digest: str
    boxes: tuple[BoxOutline, ...]
    units: tuple[IssuedUnit, ...]
    tags: tuple[IssuedTag, ...]
    placards: tuple[IssuedPlacard, ...]

    def of_boxes(self, keys: Sequence[str]) -> "Issued":
        """What it says of these boxes (in capitals); all of it where none is named."""
        if not keys:
            return self
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
        date=job.date.isoformat() if job.date else "",
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


def issued_box(job: Job, box: BoxPlan, tags: Iterable[Tag], placard_revision: str = "") -> IssuedBox:
    """A box with its tags; its placard in the job's revision where it has no earlier one."""
    return IssuedBox(
        outline=box_outline(box),
        units=tuple(_unit(box, port.name, unit) for port in box.ports for unit in port.units),
        tags=tuple(_tag(tag) for tag in tags),
        placard=_placard(job, box, placard_revision or job.revision),
    )


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


def _tag(tag: Tag) -> IssuedTag:
    return IssuedTag(
        code=tag.code,
        kind=tag.kind,
        box=tag.box,
        port=tag.port,
        end=tag.end,
        units=tag.units,
        rooms=tag.rooms,
        says=says_of(tag),
        revision=tag.revision,
    )


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


def _placard(job: Job, box: BoxPlan, revision: str) -> IssuedPlacard:
    row = box.row
    return IssuedPlacard(
        box=row.tag,
        shown=row.shown,
        place=row.place,
        power=row.power,
        system=row.system,
        level=row.level,
        fed_from=row.fed_from,
        text=placard_text(job, box, revision),
        says=_placard_says(job, box),
        bands=_bands(job, box),
        revision=revision,
    )


def _placard_says(job: Job, box: BoxPlan) -> str:
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
    boards = [
        (board.place, board.letters, board.unfitted, [msgspec.to_builtins(bank) for bank in board.banks])
        for board in box.boards
    ]
    ports = [(port.name, [(unit.tag, unit.room) for unit in port.units]) for port in box.ports]
    return _digest(placard_text(job, box, ""), job.name, job.is_draft, facts, boards, ports)


def _bands(job: Job, box: BoxPlan) -> str:
    if job.bands is None:
        return ""
    lines = [_unit(box, port.name, unit) for port in box.ports for unit in port.units]
    mains = box.row.mains
    tubes = sorted((kind, tube.text) for kind, tube in mains.tubes.items()) if mains else []
    rest = (_text(mains.insulation), _text(mains.run)) if mains else ()
    pipes = [(unit.unit, unit.port, unit.liquid, unit.gas, unit.insulation, unit.run) for unit in lines]
    return _digest(job.refrigerant, _text(job.bands.interval), box.row.shown, tubes, rest, pipes)


def _content_digest(job: Job, boxes: Sequence[IssuedBox]) -> str:
    """What the job says, however its files are laid out: the same schedule as CSV or sheet digests alike."""
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
    return _digest(head, items, content, digits=64)


def _digest(*parts: object, digits: int = DIGEST) -> str:
    text = json.dumps(parts, ensure_ascii=False, separators=(",", ":"))
    return hashlib.sha256(text.encode(errors="backslashreplace")).hexdigest()[:digits]
