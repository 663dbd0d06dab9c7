"""A box's part of a handover record: each switch, pipe, cable, tag and item as planned and as found.

Takes a planned box, its merged values and its findings part by part; gives the record. It decides nothing:
what is right is what `site.walk` found.
"""

from collections.abc import Collection, Iterable, Mapping, Sequence

from msgspec.structs import replace

from tagmaker.catalog.walk_items import ROLES
from tagmaker.catalog.words import Words
from tagmaker.job.model import Job
from tagmaker.plan.model import BankPlan, Board, BoxPlan, Port
from tagmaker.site.stated import is_denied, is_stated
from tagmaker.site.walk.findings import BoxFindings, PartFindings, WalkResult
from tagmaker.site.walk.gather import Returned
from tagmaker.site.walk.lines import LINES, Line, expected_units
from tagmaker.tags import fields
from tagmaker.tags.handover import (
    BankFound,
    BoardRecord,
    BoxRecord,
    ItemRecord,
    LineRecord,
    PortRecord,
    SignatureRecord,
)
from tagmaker.tags.walk import items_of_box, items_of_letter, letters_of

__all__ = ["box_record", "letters_without_proof", "with_marks"]

Results = Mapping[tuple[str, str], WalkResult]


def box_record(  # noqa: PLR0913, PLR0917 — a box, and all that was found of it
    job: Job,
    box: BoxPlan,
    walked: BoxFindings,
    parts: Iterable[PartFindings],
    found: Returned,
    pictures: Sequence[str],
) -> BoxRecord:
    """The record of one box; texts of `found` are as they are to be shown."""
    states: Results = {(part.kind, part.place): part.state for part in parts}
    sources = dict.fromkeys(source for each in found.sources.values() for source in each)
    row = box.row
    return BoxRecord(
        box=row.tag,
        place=row.place,
        power=row.power,
        system=row.system,
        result=walked.state,
        boards=tuple(_board(box, board, found, states) for board in box.boards),
        ports=tuple(_port(box, letter, port, found, states) for letter, port in letters_of(box)),
        items=tuple(_items(job, box, found)),
        signatures=tuple(_signature(box, role, found) for role in ROLES),
        files=tuple(sources),
        pictures=tuple(pictures),
    )


def with_marks(found: Returned, typed: Collection[str], words: Words) -> Returned:
    """Values whose texts say that they were typed from paper, where no file has them otherwise.

    `typed` are the sources that persons typed.
    """
    marked = {
        name: words("typed.mark", text=value)
        for name, value in found.values.items()
        if isinstance(value, str) and value and typed and set(found.sources.get(name, ())) <= set(typed)
    }
    return replace(found, values={**found.values, **marked})


def letters_without_proof(box: BoxPlan, proved: Mapping[str, str]) -> list[str]:
    """The letters with a pipe or cable of which nobody wrote how it was proved, or somebody denies it."""
    left: list[str] = []
    for letter, port in letters_of(box):
        is_connected = any(expected_units(port, letter, line) for line in LINES)
        text = proved.get(letter, "")
        if is_connected and (not is_stated(text) or is_denied(text)):
            left.append(letter)
    return left


def _text(found: Returned, name: str) -> str:
    return str(found.values.get(name, ""))


def _board(box: BoxPlan, board: Board, found: Returned, states: Results) -> BoardRecord:
    banks = tuple(_bank(box, board, bank, found) for bank in board.banks)
    return BoardRecord(board.place, states["switches", board.place], banks)


def _bank(box: BoxPlan, board: Board, bank: BankPlan, found: Returned) -> BankFound:
    numbers: dict[object, list[int]] = {True: [], False: [], None: []}
    for switch in bank.switches:
        name = fields.switch_on(box.row.key, board.place, bank.number, switch.number)
        value = found.values.get(name)
        numbers[value if isinstance(value, bool) else None].append(switch.number)
    on, off, unseen = (tuple(numbers[state]) for state in (True, False, None))
    return BankFound(bank.name, bank.on(), bank.left(), on, off, unseen)


def _port(box: BoxPlan, letter: str, port: Port, found: Returned, states: Results) -> PortRecord:
    pipe, cable = (_line(box, letter, port, line, found, states) for line in LINES)
    key = box.row.key
    return PortRecord(
        letter=letter,
        port=port.name,
        use=port.use,
        units=tuple(unit.tag for unit in port.units),
        pipe=pipe,
        cable=cable,
        tags=states["tags", letter],
        proof=_text(found, fields.port_field(key, letter, "proved")),
        note=_text(found, fields.port_field(key, letter, "note")),
    )


def _line(  # noqa: PLR0913, PLR0917 — a letter of a box, and what was found
    box: BoxPlan, letter: str, port: Port, line: Line, found: Returned, states: Results
) -> LineRecord:
    key, expected = box.row.key, expected_units(port, letter, line)
    is_proved = found.values.get(fields.port_field(key, letter, f"{line}/proved")) is True
    return LineRecord(
        planned=tuple(unit.tag for unit in port.units if unit.key in expected),
        result=states[line, letter],
        found=_text(found, fields.port_field(key, letter, f"{line}/found")),
        is_proved=is_proved if expected else None,
    )


def _items(job: Job, box: BoxPlan, found: Returned) -> Iterable[ItemRecord]:
    """Every item with where it was ticked; those of letters once each."""
    places: dict[str, dict[str, bool]] = {}
    key = box.row.key
    for item in items_of_box(job):
        places[item.key] = {"": found.values.get(fields.box_item(key, item.key)) is True}
    for letter, port in letters_of(box):
        for item in items_of_letter(job, port, letter):
            is_seen = found.values.get(fields.port_item(key, letter, item.key)) is True
            places.setdefault(item.key, {})[letter] = is_seen
    for item in job.walk_items:
        if asked := places.get(item.key):
            seen = tuple(place for place, is_seen in asked.items() if is_seen)
            unseen = tuple(place for place, is_seen in asked.items() if not is_seen)
            yield ItemRecord(item.key, item.text, item.role, seen, unseen)


def _signature(box: BoxPlan, role: str, found: Returned) -> SignatureRecord:
    key = box.row.key
    return SignatureRecord(role, _text(found, fields.sign(key, role)), _text(found, fields.date(key, role)))
