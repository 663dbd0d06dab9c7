"""What was found on the walk against what is planned: unknown is not OFF and not right.

Three things stay apart: tagged (the sticker is there), seen (compared with the box's own letter), proved
(rung out, traced, or shown; how and by whom).
"""

import re
from collections.abc import Iterable
from dataclasses import dataclass, field

from msgspec import Struct

from tagmaker.catalog.words import Words
from tagmaker.job.model import Job
from tagmaker.plan.boards import board_states
from tagmaker.plan.model import Board, BoxPlan, Port
from tagmaker.site.walk.causes import BoardFacts, causes, moves
from tagmaker.site.walk.printed import read_printed
from tagmaker.site.walk.returns import Return
from tagmaker.tags import fields
from tagmaker.tags.walk import items_of_box, items_of_letter, letters_of, port_units
from tagmaker.tags.work_list import WorkItem

__all__ = ["BoxFindings", "Contradiction", "Returned", "board_facts", "findings", "gather"]

Value = bool | str
TICKS = (
    "pipe/ok",
    "cable/ok",
    "tags/ok",
)  # what they mean depends on the units that the sheet was printed for
TOLD = re.compile(r".*/(port/[A-Z]/(note|proved)|(sign|date)/[a-z]+)")  # several people may each write here
UNIT = re.compile(r"[A-Za-z0-9][A-Za-z0-9-]*")
NOTHING = {"-", "none", "nothing", "no", "spare", "empty", "capped", "n/a"}
SHOWN = 40  # characters of what was written on site that a line of the punch list repeats


class Contradiction(Struct, frozen=True):
    """Two files that say different things of one field."""

    name: str
    said: tuple[tuple[str, str], ...]


@dataclass
class Returned:
    """The findings of all files by field name; where they contradict each other nothing is known."""

    values: dict[str, Value] = field(default_factory=dict)
    contradictions: list[Contradiction] = field(default_factory=list)


@dataclass
class BoxFindings:
    """What a walk comes to for one box; where it hangs, and where its power is isolated."""

    box: str
    place: str = ""
    power: str = ""
    punches: list[WorkItem] = field(default_factory=list)
    unknown: list[str] = field(default_factory=list)
    proved: dict[str, str] = field(default_factory=dict)
    unproved: list[str] = field(default_factory=list)
    notes: list[str] = field(default_factory=list)
    unsigned: list[str] = field(default_factory=list)

    @property
    def state(self) -> str:
        """What it comes to: differs, not seen (not all of it) or as planned."""
        return "differs" if self.punches else "not seen" if self.unknown else "as planned"


def gather(returns: Iterable[Return], box: BoxPlan) -> Returned:
    """The findings of a box from all files."""
    found = Returned()
    said: dict[str, list[tuple[str, Value]]] = {}
    for each in returns:
        for name, value in _counted(each, box).items():
            said.setdefault(name, []).append((each.source, value))
    for name, values in said.items():
        _settle(found, name, values)
    for letter, port in letters_of(box):
        for what in ("pipe", "cable"):
            _settle_letter(found, said, box, letter, port, what)
    return found


def _counted(one: Return, box: BoxPlan) -> dict[str, Value]:
    """What a file says of a box: all switches of a board that was seen, none of one that was not.

    A tick at a letter counts where the sheet was printed for the units that hang there today.
    """
    key = box.row.key
    own = {name: value for name, value in one.values.items() if name.startswith(f"{key}/")}
    for board in box.boards:
        names = _switch_names(box, board)
        is_on = {name: own.pop(name, False) is True for name in names}
        own |= is_on if own.get(fields.board_seen(key, board.place)) is True else {}
    printed = read_printed(one.printed.get(key, ""))
    for letter, port in letters_of(box):
        if printed is None or printed.ports.get(letter) != port_units(port):
            for tick in TICKS:
                own.pop(fields.port_field(key, letter, tick), None)
    return own


def _switch_names(box: BoxPlan, board: Board) -> dict[str, tuple[int, int]]:
    """Every switch of a board, its bank and number by its field's name."""
    pairs = [(bank.number, switch.number) for bank in board.banks for switch in bank.switches]
    return {fields.switch_on(box.row.key, board.place, *pair): pair for pair in pairs}


def _settle(found: Returned, name: str, values: list[tuple[str, Value]]) -> None:
    """A switch or a text must be found alike by all; any other tick stands when anybody set it."""
    filled = {_same(value): value for _, value in values if value != ""}
    if name.endswith(("/ok", "/seen")) or "/item/" in name:
        found.values[name] = True in filled.values()
    elif len(filled) > 1 and TOLD.fullmatch(name):
        found.values[name] = " / ".join(str(value) for value in filled.values())
    elif len(filled) > 1:
        said = tuple((source, _said(value)) for source, value in values if value != "")
        found.contradictions.append(Contradiction(name, said))
    else:
        found.values[name] = next(iter(filled.values()), "")


def _same(value: Value) -> Value:
    return value.upper() if isinstance(value, str) else value


def _said(value: Value) -> str:
    return {True: "ticked", False: "not ticked"}[value] if isinstance(value, bool) else value


def _settle_letter(  # noqa: PLR0913, PLR0917 — a letter of a box, and what was said of it
    found: Returned,
    said: dict[str, list[tuple[str, Value]]],
    box: BoxPlan,
    letter: str,
    port: Port,
    what: str,
) -> None:
    """One says that a pipe or cable is right, another names a unit that is not its own: neither counts."""
    right, other = (fields.port_field(box.row.key, letter, f"{what}/{end}") for end in ("ok", "found"))
    named = str(found.values.get(other, ""))
    if any(each.name == other for each in found.contradictions):
        found.values.pop(right, None)
    if found.values.get(right) and named and not _is_right(named, _expected(port, letter, what)):
        both = [*said[right], *said[other]]
        both_said = tuple((source, _said(value)) for source, value in both if value)
        found.contradictions.append(Contradiction(other, both_said))
        del found.values[right], found.values[other]


def _expected(port: Port, letter: str, what: str) -> frozenset[str]:
    """The units whose pipe or cable belongs on a letter."""
    lands = what == "pipe" or letter == port.letters[0]
    return frozenset(unit.key for unit in port.units) if lands else frozenset()


def _is_right(text: str, expected: frozenset[str]) -> bool:
    """Whether what was written to be there is what belongs there."""
    named = _named(text) if text.upper() not in expected else {text.upper()}
    return named <= expected if named else not expected


def _named(text: str) -> set[str]:
    """The units that a text names, in capitals; none where it says that nothing is there."""
    if text.casefold() in NOTHING:
        return set()
    return {word.upper() for word in UNIT.findall(text)} - {"AND"} or {text.upper()}


def board_facts(box: BoxPlan, board: Board) -> BoardFacts:
    """A board as it is built."""
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


def findings(job: Job, box: BoxPlan, found: Returned, words: Words) -> BoxFindings:
    """A box's findings compared with the plan, in walking order."""
    result = BoxFindings(box.row.tag, box.row.place, box.row.power)
    for contradiction in found.contradictions:
        said = "; ".join(f"{source}: {value}" for source, value in contradiction.said)
        result.unknown.append(f"{contradiction.name}: {words('punch.contradiction')} ({said})")
    for board in box.boards:
        _walk_board(result, box, board, found, words)
    for letter, port in letters_of(box):
        _walk_letter(result, job, box, letter, port, found, words)
    _walk_items(result, job, box, found)
    for role in ("installer", "technician", "verifier"):
        for name in (fields.sign(box.row.key, role), fields.date(box.row.key, role)):
            if not found.values.get(name):
                result.unsigned.append(name)
    return result


def _walk_board(result: BoxFindings, box: BoxPlan, board: Board, found: Returned, words: Words) -> None:
    if not found.values.get(fields.board_seen(box.row.key, board.place)):
        result.unknown.append(words("punch.board_unseen", place=board.place))
        return
    facts = board_facts(box, board)
    is_on = {  # a switch of which two files say different things is told of as unknown, and causes nothing
        pair: bool(found.values.get(name, pair in facts.planned))
        for name, pair in _switch_names(box, board).items()
    }
    wrong = moves(box.row.family, facts.planned, is_on)
    expected = tuple(cause.message for cause in causes(box.row.family, facts, is_on, words))
    for number, move in enumerate(wrong):
        name = words("cause.switch", bank=facts.banks[move.bank - 1], switch=move.switch)
        state, goal = ("OFF", "ON") if move.to_on else ("ON", "OFF")
        result.punches.append(
            WorkItem(
                box=box.row.tag,
                place=words("placard.board", place=board.place),
                wrong=words("punch.switch", switch=name, state=state),
                to_do=words("punch.move", switch=name, state=goal),
                expect=expected if number == 0 else (),
            )
        )


def _walk_letter(  # noqa: PLR0913, PLR0917 — a letter of a box, and what was found
    result: BoxFindings, job: Job, box: BoxPlan, letter: str, port: Port, found: Returned, words: Words
) -> None:
    key = box.row.key
    said = {what: str(found.values.get(fields.port_field(key, letter, what), "")) for what in WRITTEN}
    for what in ("pipe", "cable"):
        named, expected = said[f"{what}/found"], _expected(port, letter, what)
        if named and not _is_right(named, expected):
            result.punches.append(_wrong_unit(job, box, letter, port, what, named, words))
        elif not named and not found.values.get(fields.port_field(key, letter, f"{what}/ok")):
            result.unknown.append(words(f"punch.{what}_unseen", port=letter))
    if not found.values.get(fields.port_field(key, letter, "tags/ok")):
        result.unknown.append(words("punch.tags_unseen", port=letter))
    if said["proved"]:
        result.proved[letter] = said["proved"]
    else:
        result.unproved.append(letter)
    if said["note"]:
        result.notes.append(f"{letter}: {said['note']}")


WRITTEN = ("pipe/found", "cable/found", "proved", "note")


def _wrong_unit(  # noqa: PLR0913, PLR0917 — what was found where
    job: Job, box: BoxPlan, letter: str, port: Port, what: str, named: str, words: Words
) -> WorkItem:
    expected = _expected(port, letter, what)
    strangers = sorted(_named(named) - expected)
    nothing = words("punch.none_here") if port.units else words("use.spare")
    planned = ", ".join(unit.tag for unit in port.units) if expected else nothing
    thing, place = words(f"punch.{what}"), words("punch.port", port=letter)
    if not strangers:
        wrong = words("punch.missing", what=thing, planned=planned)
        to_do = words(f"punch.bring_{what}", planned=planned, port=letter)
        return WorkItem(box.row.tag, place, wrong, to_do, (words(f"punch.missing_{what}", planned=planned),))
    home = _home(job, box, strangers[0], what)
    wrong = words("punch.wrong_unit", what=thing, unit=_short(named), planned=planned)
    known, unknown = f"punch.to_letter_{what}", "punch.find"
    to_do = words(known if home else unknown, unit=strangers[0], home=home)
    return WorkItem(box.row.tag, place, wrong, to_do, (words("punch.crossed"),))


def _short(text: str) -> str:
    return text if len(text) <= SHOWN else f"{text[: SHOWN - 1]}…"


def _home(job: Job, box: BoxPlan, unit: str, what: str) -> str:
    """Where a unit's pipe or cable belongs: its port, with its box where that is another one."""
    row = next((row for row in job.units if row.key == unit), None)
    if row is None:
        return ""
    letters = sorted(part.strip() for part in row.port.upper().split("+"))
    port = letters[0] if what == "cable" else "+".join(letters)
    return port if row.box.upper() == box.row.key else f"{row.box} {port}"


def _walk_items(result: BoxFindings, job: Job, box: BoxPlan, found: Returned) -> None:
    for item in items_of_box(job):
        if not found.values.get(fields.box_item(box.row.key, item.key)):
            result.unknown.append(f"{item.text} ({item.role})")
    for letter, port in letters_of(box):
        for item in items_of_letter(job, port, letter):
            if not found.values.get(fields.port_item(box.row.key, letter, item.key)):
                result.unknown.append(f"{letter}: {item.text} ({item.role})")
