"""What was found on the walk against what is planned: unknown is neither OFF nor right.

Three things are kept apart: tagged (the sticker is there), seen (compared with the box's own letter), proved
(rung out, traced, or shown; how and by whom). A box is as planned only where everything was looked at.
"""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import Literal

from msgspec import Struct

from tagmaker.catalog.walk_items import ROLES
from tagmaker.catalog.words import Words
from tagmaker.job.model import Job
from tagmaker.plan.boards import board_states
from tagmaker.plan.model import Board, BoxPlan, Plan, Port
from tagmaker.site.stated import is_date, is_stated
from tagmaker.site.walk.causes import BoardFacts, causes, moves
from tagmaker.site.walk.gather import Returned, switch_names
from tagmaker.site.walk.lines import LINES, Line, expected_units, is_blank, is_right, named_units
from tagmaker.tags import fields
from tagmaker.tags.walk import items_of_box, items_of_letter, letters_of
from tagmaker.tags.work_list import WorkItem

__all__ = [
    "BoxFindings",
    "Homes",
    "PartFindings",
    "PartKind",
    "WalkResult",
    "board_facts",
    "findings",
    "homes_of",
    "parts_of",
]

WalkResult = Literal["as planned", "differs", "not seen"]
PartKind = Literal["switches", "pipe", "cable", "tags", "items"]
"""What of a box is looked at: a board's switches; a letter's pipe, cable and tags; its or the box's items."""
SHOWN = 40  # characters of what was written on site that a line of the punch list repeats


class PartFindings(Struct, frozen=True):
    """What was found of one part of a box; `place` is a board, a letter, or "" for items of the box."""

    kind: PartKind
    place: str
    punches: tuple[WorkItem, ...] = ()
    unknown: tuple[str, ...] = ()

    @property
    def state(self) -> WalkResult:
        """The result in a word, as a box's."""
        return "differs" if self.punches else "not seen" if self.unknown else "as planned"


class BoxFindings(Struct, frozen=True):
    """The result of a walk for one box, with its place and where its power is isolated.

    `punches` are what to correct, in walking order; `unknown` what was not looked at, in words. `proved` has
    by letter how and by whom it was proved, `unproved` each pipe and cable that is not ticked as proved
    ("A pipe"); `unsigned` the names of empty signatures and dates: a role has signed with both.
    """

    box: str
    place: str
    power: str
    punches: Sequence[WorkItem]
    unknown: Sequence[str]
    proved: Mapping[str, str]
    unproved: Sequence[str]
    notes: Sequence[str]
    unsigned: Sequence[str]

    @property
    def open_roles(self) -> list[str]:
        """The roles that have not signed: a signature is a name and a date, on the phone too."""
        return list(dict.fromkeys(name.rpartition("/")[2] for name in self.unsigned))

    @property
    def state(self) -> WalkResult:
        """The result in a word: something differs, or else not all was seen, or else as planned."""
        return "differs" if self.punches else "not seen" if self.unknown else "as planned"


Homes = Mapping[str, tuple[str, Port]]
"""By a unit's tag in capitals, the tag of its box and the port that it is planned on."""


def homes_of(plan: Plan) -> Homes:
    """Where every unit of a plan belongs; the first place of one that is given twice."""
    homes: dict[str, tuple[str, Port]] = {}
    for box in plan.boxes:
        for port in box.ports:
            for unit in port.units:
                homes.setdefault(unit.key, (box.row.tag, port))
    return homes


def parts_of(job: Job, box: BoxPlan, found: Returned, words: Words, homes: Homes) -> tuple[PartFindings, ...]:
    """A box's values compared with the plan, part by part in walking order, items last.

    A letter of which no item is asked has no such part: it would look as if something had been seen.
    """
    letters = letters_of(box)
    compared = [
        *(_part("switches", board.place, _board(box, board, found, words)) for board in box.boards),
        *(each for letter, port in letters for each in _letter(box, letter, port, found, words, homes)),
        *([_part("items", "", _box_items_unseen(job, box, found))] if items_of_box(job) else ()),
        *(
            _part("items", letter, _items_unseen(job, box, letter, port, found))
            for letter, port in letters
            if items_of_letter(job, port, letter)
        ),
    ]
    return tuple(compared)


def _part(kind: PartKind, place: str, found: Iterable[WorkItem | str]) -> PartFindings:
    found = tuple(found)
    punches = tuple(each for each in found if isinstance(each, WorkItem))
    return PartFindings(kind, place, punches, tuple(each for each in found if isinstance(each, str)))


def findings(box: BoxPlan, found: Returned, parts: Iterable[PartFindings], words: Words) -> BoxFindings:
    """A box's parts as one list in walking order, with its proofs, signatures and notes."""
    parts = tuple(parts)
    remarks = {
        what: {letter: _text(found, fields.port_field(box.row.key, letter, what)) for letter in box.letters}
        for what in ("proved", "note")
    }
    return BoxFindings(
        box=box.row.tag,
        place=box.row.place,
        power=box.row.power,
        punches=[punch for part in parts for punch in part.punches],
        unknown=[*_contradictory(found, words), *(text for part in parts for text in part.unknown)],
        proved={letter: text for letter, text in remarks["proved"].items() if text},
        unproved=list(_unproved(box, found)),
        notes=[f"{letter}: {text}" for letter, text in remarks["note"].items() if text],
        unsigned=list(_unsigned(box, found)),
    )


def _text(found: Returned, name: str) -> str:
    return str(found.values.get(name, ""))


def _contradictory(found: Returned, words: Words) -> Iterator[str]:
    for contradiction in found.contradictions:
        values = "; ".join(f"{source}: {value}" for source, value in contradiction.values)
        yield f"{contradiction.name}: {words('punch.contradiction')} ({values})"


def _box_items_unseen(job: Job, box: BoxPlan, found: Returned) -> Iterator[str]:
    for item in items_of_box(job):
        if not found.values.get(fields.box_item(box.row.key, item.key)):
            yield f"{item.text} ({item.role})"


def _items_unseen(job: Job, box: BoxPlan, letter: str, port: Port, found: Returned) -> Iterator[str]:
    for item in items_of_letter(job, port, letter):
        if not found.values.get(fields.port_item(box.row.key, letter, item.key)):
            yield f"{letter}: {item.text} ({item.role})"


def _unproved(box: BoxPlan, found: Returned) -> Iterator[str]:
    """Every pipe and cable that belongs on a letter and is not ticked as proved."""
    for letter, port in letters_of(box):
        for line in LINES:
            name = fields.port_field(box.row.key, letter, f"{line}/proved")
            if expected_units(port, letter, line) and not found.values.get(name):
                yield f"{letter} {line}"


def _unsigned(box: BoxPlan, found: Returned) -> Iterator[str]:
    """The signatures and dates that are empty, or in which nothing is stated."""
    key = box.row.key
    for role in ROLES:
        for name, is_given in ((fields.sign(key, role), is_stated), (fields.date(key, role), is_date)):
            if not is_given(_text(found, name)):
                yield name


# --- boards -------------------------------------------------------------------------------------------------


def board_facts(box: BoxPlan, board: Board) -> BoardFacts:
    """A board as it is built, from the plan; positions beyond the family's letters are called "?"."""
    family = box.row.family
    step = family.ports_per_board
    start = box.boards.index(board) * step
    names = tuple(family.port_names[start : start + step].ljust(step, "?"))
    units = tuple(
        ", ".join(unit.tag for unit in box.port_of(name).units) if name in board.letters else ""
        for name in names
    )
    planned = frozenset((bank.number, switch) for bank in board.banks for switch in bank.on())
    banks = tuple(bank.name for bank in board.banks)
    return BoardFacts(board.place, names, board_states(board.letters, box.ports, step), units, planned, banks)


def _board(box: BoxPlan, board: Board, found: Returned, words: Words) -> Iterator[WorkItem | str]:
    """The switches of a board to move, and those that were not seen.

    What to expect until they are moved is a matter of the board, so it is on its first line alone.
    """
    facts, names = board_facts(box, board), switch_names(box, board)
    yield from _switches_unseen(box, board, found, words)
    is_on = {  # a switch that is not known is reported as unknown: here it counts as planned
        switch: bool(found.values.get(name, switch in facts.planned)) for name, switch in names.items()
    }
    expected = tuple(cause.message for cause in causes(box.row.family, facts, is_on, words))
    for number, move in enumerate(moves(box.row.family, facts.planned, is_on)):
        name = words("cause.switch", bank=facts.banks[move.bank - 1], switch=move.switch)
        state, goal = ("OFF", "ON") if move.to_on else ("ON", "OFF")
        yield WorkItem(
            box=box.row.tag,
            place=words("placard.board", place=board.place),
            wrong=words("punch.switch", switch=name, state=state),
            to_do=words("punch.move", switch=name, state=goal),
            expect=expected if number == 0 else (),
        )


def _switches_unseen(box: BoxPlan, board: Board, found: Returned, words: Words) -> Iterator[str]:
    """That a board, or which switches of it, was not seen; a switch that no rule sets need not be."""
    contradictory = {each.name for each in found.contradictions}
    ruled = {(rule.bank, rule.switch) for rule in box.row.family.rules}
    names = {name: pair for name, pair in switch_names(box, board).items() if pair in ruled}
    unseen = [pair for name, pair in names.items() if name not in found.values and name not in contradictory]
    if unseen and len(unseen) == len(names):
        yield words("punch.board_unseen", place=board.place)
    elif unseen:
        marks = {bank.number: bank.name for bank in board.banks}
        switches = (words("cause.switch", bank=marks[bank], switch=number) for bank, number in unseen)
        yield words("punch.switches_unseen", place=board.place, switches=", ".join(switches))


# --- letters ------------------------------------------------------------------------------------------------


def _letter(  # noqa: PLR0913, PLR0917 — a letter of a box, and what was found
    box: BoxPlan, letter: str, port: Port, found: Returned, words: Words, homes: Homes
) -> Iterator[PartFindings]:
    """A letter's pipe, cable and tags."""
    for line in LINES:
        yield _part(line, letter, _line(box, letter, port, line, found, words, homes))
    is_tagged = found.values.get(fields.port_field(box.row.key, letter, "tags/ok"))
    yield _part("tags", letter, () if is_tagged else [words("punch.tags_unseen", port=letter)])


def _line(  # noqa: PLR0913, PLR0917 — a letter of a box, and what was found
    box: BoxPlan, letter: str, port: Port, line: Line, found: Returned, words: Words, homes: Homes
) -> Iterator[WorkItem | str]:
    """Another unit's pipe or cable at a letter, or that nobody looked at it.

    A dash where nothing belongs may mean either: that nothing is there, or that nothing was looked at.
    """
    named = _text(found, fields.port_field(box.row.key, letter, f"{line}/found"))
    expected = expected_units(port, letter, line)
    if named and not is_right(named, expected):
        yield _wrong_unit(box, letter, port, line, named, words, homes)
        return
    is_ticked = found.values.get(fields.port_field(box.row.key, letter, f"{line}/ok"))
    if not is_ticked and (not named or is_blank(named)):
        yield words(f"punch.{line}_unseen", port=letter)


def _wrong_unit(  # noqa: PLR0913, PLR0917 — what was found where
    box: BoxPlan, letter: str, port: Port, line: Line, named: str, words: Words, homes: Homes
) -> WorkItem:
    """Another unit's line at a letter, or none where one belongs: what is there, and where to take it."""
    expected = expected_units(port, letter, line)
    strangers = sorted(named_units(named) - expected)
    nothing = words("punch.none_here") if port.units else words("use.spare")
    planned = ", ".join(unit.tag for unit in port.units) if expected else nothing
    thing, place = words(f"punch.{line}"), words("punch.port", port=letter)
    if not strangers:
        wrong = words("punch.missing", what=thing, planned=planned)
        to_do = words(f"punch.bring_{line}", planned=planned, port=letter)
        return WorkItem(box.row.tag, place, wrong, to_do, (words(f"punch.missing_{line}", planned=planned),))
    home = _home(box, strangers[0], line, homes)
    wrong = words("punch.wrong_unit", what=thing, unit=_short(named), planned=planned)
    known, unknown = f"punch.to_letter_{line}", "punch.find"
    to_do = words(known if home else unknown, unit=strangers[0], home=home)
    return WorkItem(box.row.tag, place, wrong, to_do, (words("punch.crossed"),))


def _short(text: str) -> str:
    return text if len(text) <= SHOWN else f"{text[: SHOWN - 1]}…"


def _home(box: BoxPlan, unit: str, line: Line, homes: Homes) -> str:
    """Where a unit's line belongs: its port, with its box where that is another one; empty if not known."""
    if unit not in homes:
        return ""
    tag, port = homes[unit]
    name = port.letters[0] if line == "cable" else port.name
    return name if tag == box.row.tag else f"{tag} {name}"
