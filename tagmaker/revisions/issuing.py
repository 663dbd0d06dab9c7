"""What a plan issues: a set's records, and digests of what is printed on its things.

A digest is of the content and not of the file: the same schedule as CSV or as a workbook gives the same
digests.
"""

import hashlib
import json
from collections.abc import Iterable, Sequence
from fractions import Fraction
from pathlib import Path

import msgspec
from msgspec import Struct
from msgspec.structs import asdict, replace

from tagmaker.catalog.words import Words
from tagmaker.job.model import BoxRow, Job, UnitRow
from tagmaker.plan.model import BoxPlan, Plan
from tagmaker.plan.outline import box_outline, btuh, system_outlines
from tagmaker.plan.systems import SystemPlan
from tagmaker.problems import Where
from tagmaker.revisions.issued import Issued, IssuedBox, IssuedJob, IssuedPlacard, IssuedTag, IssuedUnit
from tagmaker.tags.extras import MAINS
from tagmaker.tags.kits import box_tags
from tagmaker.tags.model import Tag, TagKind
from tagmaker.tags.placard_text import long_text, placard_text
from tagmaker.units import Length

__all__ = [
    "issued",
    "issued_box",
    "issued_head",
    "issued_pair",
    "issued_plan",
    "job_digest",
    "placard_digest",
    "tag_digest",
]

MAIN_TUBES: dict[TagKind, str] = {kind: key for key, kind in MAINS.items()}
DIGEST = 16  # hexadecimal digits: 64 bits miss a change by chance once in 10^19
COMPACT = json.JSONEncoder(ensure_ascii=False, separators=(",", ":"))
NOWHERE = Where("")


def issued_plan(plan: Plan, words: Words) -> Issued:
    """What a whole plan would issue, every thing in the job's revision."""
    boxes = [issued_box(plan.job, box, box_tags(plan.job, box, words)) for box in plan.boxes]
    return issued(plan.job, boxes, plan.systems)


def issued_pair(was: Plan, now: Plan, words: Words) -> tuple[Issued, Issued]:
    """What two whole plans would issue, as far as it differs: to be compared, and for nothing else.

    The tags of a box that both plan alike are left out of both: what is printed on a tag follows from its box
    and from the head of the job alone. Most boxes of a revision are as before, and most of a set are tags.
    """
    same = _boxes_alike(was, now)
    before, after = (
        [
            issued_box(plan.job, box, () if box.row.key in same else box_tags(plan.job, box, words))
            for box in plan.boxes
        ]
        for plan in (was, now)
    )
    return issued(was.job, before, was.systems), issued(now.job, after, now.systems)


def _boxes_alike(was: Plan, now: Plan) -> frozenset[str]:
    """The boxes, by tags in capitals, that both plan from the same rows; none where the heads differ."""
    if _head(was.job) != _head(now.job):
        return frozenset()
    before = {box.row.key: _rows(box) for box in was.boxes}
    return frozenset(box.row.key for box in now.boxes if before.get(box.row.key) == _rows(box))


def _head(job: Job) -> Job:
    """What a job gives of all boxes together; its revision and date are on no digest."""
    return replace(
        job, revision="", date=None, boxes=(), units=(), systems=(), part_read=frozenset(),
        folder=Path(), where=NOWHERE,
    )  # fmt: skip


def _rows(box: BoxPlan) -> tuple[BoxRow, list[UnitRow]]:
    """What a box is planned from, wherever in the files it is."""
    units = [replace(claim.unit, where=NOWHERE) for claim in box.claims]
    return replace(box.row, where=NOWHERE), units


def issued(job: Job, boxes: Sequence[IssuedBox], systems: Sequence[SystemPlan] = ()) -> Issued:
    """The boxes and systems of a job as one set."""
    return replace(
        issued_head(job, boxes, systems),
        boxes=tuple(box.outline for box in boxes),
        units=tuple(unit for box in boxes for unit in box.units),
        tags=tuple(tag for box in boxes for tag in box.tags),
        placards=tuple(box.placard for box in boxes),
    )


def issued_head(job: Job, boxes: Iterable[IssuedBox], systems: Sequence[SystemPlan] = ()) -> Issued:
    """The same set without its boxes, which are read once, for the digest."""
    head = IssuedJob(
        name=job.name,
        number=job.number,
        revision=job.revision,
        date=_date(job),
        status="draft" if job.is_draft else "issued",
        capacity_unit=job.capacity_unit,
        refrigerant=job.refrigerant,
    )
    digest = job_digest(job, boxes)
    return Issued(head, digest, boxes=(), units=(), tags=(), placards=(), systems=system_outlines(systems))


def issued_box(job: Job, box: BoxPlan, tags: Iterable[Tag]) -> IssuedBox:
    """A box with its tags; its placard in the job's revision."""
    return IssuedBox(
        outline=box_outline(box),
        units=tuple(_unit(box, port.name, unit) for port in box.ports for unit in port.units),
        tags=tuple(_tag(job, box, tag) for tag in tags),
        placard=_placard(job, box),
    )


def tag_digest(tag: Tag) -> str:
    """The digest of a tag's content.

    Its revision is left out, so that a tag need not be replaced for a new revision alone; `hardware` is part
    of it, so that the tags of a box that is replaced are put on again; an address, or what is in the units'
    place, only where there is one, so that all other tags keep their digests. The order of the parts must
    stay: digests of sets that were issued are compared with it.
    """
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
        *([tag.address] if tag.address else []),
        *([tag.beside] if tag.beside else []),
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
        says=tag_digest(tag),
        revision=tag.revision,
    )


def _pipes(box: BoxPlan, tag: Tag) -> tuple[str, ...]:
    if tag.kind in MAIN_TUBES and box.row.mains:
        tube, wall = box.row.mains.tubes.get(MAIN_TUBES[tag.kind]), box.row.mains.insulation
        return _text(tube), _text(wall)
    if not tag.pipe:
        return ()
    lines = [unit for unit in box.port_of(tag.port).units if unit.tag in tag.units] if tag.port else []
    tubes = [(unit.liquid if tag.pipe == "liquid" else unit.gas, unit.insulation) for unit in lines]
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
        says=placard_digest(job, box),
        bands=_bands(job, box),
        revision=job.revision,
        date=_date(job),
        port_valves=row.family.port_valves,
    )


def _date(job: Job) -> str:
    return job.date.isoformat() if job.date else ""


def placard_digest(job: Job, box: BoxPlan) -> str:
    """The digest of a box's placard but for its revision and date.

    It covers what is printed beside the code too (place, power, reasons of switches), which the code lacks.
    """
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
    addresses = [(unit.tag, unit.address) for port in box.ports for unit in port.units if unit.address]
    # what is not given is left out: digests of jobs without it stay as earlier versions made them
    given = {"addresses": addresses, "refrigerant": job.refrigerant, "site": job.site}
    more = [{key: value} for key, value in given.items() if value]
    return _digest(long_text(job, box, ""), job.name, job.is_draft, facts, boards, ports, *more)


def _bands(job: Job, box: BoxPlan) -> str:
    """The digest of everything on which a box's bands depend; empty where the job asks for none."""
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


def job_digest(job: Job, boxes: Iterable[IssuedBox]) -> str:
    """The digest of a job's content but for its revision and date: equal ones need no new revision.

    It is that of one JSON text, of which memory holds a box at a time.
    """
    mains = [_mains(row) for row in job.boxes]
    head = (job.name, job.number, job.is_draft, job.refrigerant, job.site, job.capacity_unit)
    items = [(item.key, item.text, item.role, item.per) for item in job.items_asked]
    digest = hashlib.sha256()
    digest.update(_compact((head, items, mains))[:-1] + b",[")
    for number, box in enumerate(boxes):
        content = msgspec.to_builtins(box.outline), msgspec.to_builtins(box.units)
        digest.update(b"," * (number > 0) + _compact((*content, box.placard.says, box.placard.bands)))
    digest.update(b"]")
    if job.systems:
        volumes = [(unit.tag, _facts(unit.room_volume)) for unit in job.units if unit.room_volume]
        for content_of_systems in ([_facts(row) for row in job.systems], volumes):
            digest.update(b"," + _compact(content_of_systems))
    digest.update(b"]")
    return digest.hexdigest()


def _facts(value: object) -> object:
    """What a job gives of a system, as JSON has it; its place, and what is not given, left out.

    So a key that a later version adds leaves the digests of jobs that do not give it as they are.
    """
    if isinstance(value, Fraction):
        return str(value)
    if isinstance(value, tuple):
        return [_facts(each) for each in value]
    if not isinstance(value, Struct):
        return value
    given = {key: _facts(each) for key, each in asdict(value).items() if not isinstance(each, Where)}
    return {key: each for key, each in given.items() if each not in (None, "", False, [], {})}


def _digest(*parts: object) -> str:
    """SHA-256 of the parts as compact JSON, as so many hexadecimal digits as it has here."""
    return hashlib.sha256(_compact(parts)).hexdigest()[:DIGEST]


def _compact(content: object) -> bytes:
    """Content as compact JSON.

    Half of a surrogate pair, out of a damaged text, has no UTF-8: it is escaped, so that two halves differ.
    """
    return COMPACT.encode(content).encode(errors="backslashreplace")
