"""The text of a new job's job.toml, from the parts in `layouts/start.toml`.

Takes the job's name, a family, and a schedule or nothing; gives a text in which every key is explained in a
comment, and what was inferred from the schedule is marked "confirm".
"""

from collections.abc import Iterable
from pathlib import Path

from msgspec import Struct

from tagmaker.catalog.family import Family
from tagmaker.catalog.start import start_parts
from tagmaker.files.template import fill
from tagmaker.files.toml import TAG
from tagmaker.job.schedule.columns import quoted
from tagmaker.job.schedule.read import Schedule
from tagmaker.job.schedule.result import Unknown

__all__ = [
    "NAME_AT_MOST",
    "StartSource",
    "boxes_named",
    "empty_text",
    "example_text",
    "least_size",
    "schedule_text",
]

DRAFT = 'status = "draft"  # prints DRAFT on everything; "issued" once all is confirmed'
BOX_OF_EXAMPLE = "BX-1"
NAME_AT_MOST = 60  # characters of a job's name


class StartSource(Struct, frozen=True):
    """A schedule that a job is started from, and the headers that its [columns] is to explain."""

    path: Path
    schedule: Schedule
    unknown: tuple[Unknown, ...] = ()


def empty_text(name: str, family: Family) -> str:
    """A job without a box, with every optional key as a comment."""
    head = _head(name, family, _part("inline"))
    return "\n".join([head, _part("columns"), _part("print"), _box_keys(family), _part("unit_keys")])


def example_text(name: str, family: Family) -> str:
    """A complete job of one box of the family's least size, with every optional key as a comment."""
    size = min(family.port_counts)
    sizes = ", ".join(map(str, sorted(family.port_counts)))
    boxes = [
        _part("box", tag=quoted(BOX_OF_EXAMPLE), ports=str(size), why=f"sizes of this family: {sizes}"),
        _box_keys(family),
    ]
    units = [
        _part("unit", tag=quoted(f"FC-{number}"), box=quoted(BOX_OF_EXAMPLE), port=quoted(letter), room=room)
        for number, (letter, room) in enumerate(
            zip(family.port_names[:size], ('"Reading room"', '"Office"'), strict=False), start=1
        )
    ]
    head = _head(name, family, _part("inline"))
    return "\n".join([head, _part("columns"), _part("print"), *boxes, *units, _part("unit_keys")])


def schedule_text(name: str, family: Family, source: StartSource) -> str:
    """A job of the schedule's boxes; what was inferred is marked, unknown headers are listed in comments."""
    names_ = [sheet.where.sheet for sheet in source.schedule.sheets if sheet.rows and sheet.where.sheet]
    lines = [f"schedule = {quoted(source.path.name)}"]
    if names_:
        listed = ", ".join(map(quoted, names_))
        lines.append(f"# sheets = [{listed}]  # the sheets to read; default: every sheet with a header")
    columns = _columns(source.unknown) if source.unknown else _part("columns")
    given = {box.key for box in source.schedule.boxes if box.texts.get("level")}
    levels = {box: level for box, level in source.schedule.levels().items() if box not in given}
    boxes = [
        _part("box", tag=quoted(tag), ports=str(ports), why=why) + _level(levels.get(tag.upper(), ""))
        for tag, ports, why in _sized(source.schedule, family)
    ]
    head = _head(name, family, "\n".join(lines))
    empty = _empty_boxes(source.schedule)
    return "\n".join([head, columns, _part("print"), *boxes, *empty, _box_keys(family)])


def _level(level: str) -> str:
    """A box's line of its level, as the name of its sheet gives it."""
    return f"level = {quoted(level)}  # confirm: from the name of its sheet\n" if level else ""


def _empty_boxes(schedule: Schedule) -> list[str]:
    """Boxes with spare ports only, as comments: in a job, a box without units is an error."""
    known = {row.box.upper() for row in schedule.rows}
    tags: dict[str, str] = {}
    for spare in schedule.spares:
        if TAG.fullmatch(spare.box) and spare.box.upper() not in known:
            tags.setdefault(spare.box.upper(), spare.box)
    why = "confirm: the schedule names no unit on it, only spare ports"
    return [f"# [[box]]  # {why}\n# tag = {quoted(tag)}\n" for tag in tags.values()]


def _columns(unknown: Iterable[Unknown]) -> str:
    """[columns] with a commented line for each header that a person must explain, in the order met."""
    lines = [f"# {quoted(one.header)} = {quoted(one.answer)}  # confirm: {one.message}" for one in unknown]
    return "\n".join(['[columns]  # confirm: what these headers mean; "" leaves a column out', *lines]) + "\n"


def _sized(schedule: Schedule, family: Family) -> list[tuple[str, int, str]]:
    """(tag, ports, why) of each box: as a sheet of boxes gives it, else the least that has its letters."""
    sized: list[tuple[str, int, str]] = []
    sizes = sorted(family.port_counts)
    given = {box.key: box for box in schedule.boxes if box.ports}
    for tag, letters in boxes_named(schedule).items():
        if box := given.get(tag.upper()):
            sized.append(
                (tag, box.ports, f"as in {box.places['ports']}; sizes: {', '.join(map(str, sizes))}")
            )
            continue
        fitting, highest = least_size(letters, family)
        why = f"{highest} is the highest letter named; sizes: {', '.join(map(str, sizes))}"
        sized.append((tag, fitting, why))
    return sized


def least_size(letters: Iterable[str], family: Family) -> tuple[int, str]:
    """The least size of a family's boxes that has these letters, and the highest of them."""
    sizes = sorted(family.port_counts)
    highest = max(letters, key=lambda letter: (family.port_names.find(letter), letter))
    least = family.port_names.find(highest) + 1
    return next((size for size in sizes if size >= least > 0), sizes[-1]), highest


def boxes_named(schedule: Schedule) -> dict[str, set[str]]:
    """The boxes that have units, as first written, with every letter named, those of spare ports too.

    In the order met. A tag in another case is the same box.
    """
    written: dict[str, str] = {}
    letters: dict[str, set[str]] = {}
    for row in schedule.rows:
        tag = written.setdefault(row.box.upper(), row.box)
        letters.setdefault(tag, set()).update(part.strip() for part in row.port.upper().split("+"))
    for spare in schedule.spares:
        if spare.box.upper() in written:
            letters[written[spare.box.upper()]].update(spare.letters)
    return letters


def _head(name: str, family: Family, schedule: str) -> str:
    return _part(
        "head",
        name=quoted(name[:NAME_AT_MOST]),
        family=quoted(family.name),
        family_title=family.title,
        schedule=schedule.rstrip("\n"),
        status=DRAFT,
    )


def _box_keys(family: Family) -> str:
    banks = ", ".join(quoted(bank.name) for bank in family.banks)
    return _part("box_keys", bank_names=f"[{banks}]", family=quoted(family.name))


def _part(name: str, /, **words: str) -> str:
    """A part of the new file with its words filled in."""
    return fill(start_parts()[name], words)
