"""What was found on the walk against what is planned: unknown is not OFF and not right.

Three things stay apart: tagged (the sticker is there), seen (compared with the box's own letter), proved
(rung out, traced, or shown; how and by whom).
"""

from collections.abc import Iterable
from dataclasses import dataclass, field

from tagmaker.catalog.words import Words
from tagmaker.field.causes import BoardFacts, causes, moves
from tagmaker.field.returns import Return
from tagmaker.job.records import Job
from tagmaker.plan.boards import board_states
from tagmaker.plan.records import Board, BoxPlan, Port
from tagmaker.tags import fields
from tagmaker.tags.punch import Punch
from tagmaker.tags.walk import items_of_box, items_of_letter, letters_of

__all__ = ["BoxWalk", "Contradiction", "Found", "board_facts", "gather", "walked"]


@dataclass(frozen=True, slots=True)
class Contradiction:
    """Two files that say different things of one field."""

    name: str
    said: tuple[tuple[str, str], ...]


@dataclass
class Found:
    """The findings of all files by field name, and where they contradict each other."""

    values: dict[str, bool | str] = field(default_factory=dict)
    contradictions: list[Contradiction] = field(default_factory=list)


@dataclass
class BoxWalk:
    """What a walk comes to for one box."""

    box: str
    punches: list[Punch] = field(default_factory=list)
    unknown: list[str] = field(default_factory=list)
    unproved: list[str] = field(default_factory=list)
    unsigned: list[str] = field(default_factory=list)

    @property
    def state(self) -> str:
        """What it comes to: differs, not seen (not all of it) or as planned."""
        return "differs" if self.punches else "not seen" if self.unknown else "as planned"


def gather(returns: Iterable[Return], box: BoxPlan) -> Found:
    """The findings of a box from all files; a switch counts only in a file whose board was seen."""
    found = Found()
    said: dict[str, list[tuple[str, bool | str]]] = {}
    for each in returns:
        for name, value in each.values.items():
            if name.startswith(f"{box.row.key}/") and _counts(name, each, box):
                said.setdefault(name, []).append((each.source, value))
    for name, values in said.items():
        _settle(found, name, values, box)
    _settle_found(found, said)
    return found


def _counts(name: str, one: Return, box: BoxPlan) -> bool:
    board = next((board for board in box.boards if name.startswith(f"{box.row.key}/{board.place}/")), None)
    return board is None or bool(one.values.get(fields.board_seen(box.row.key, board.place)))


def _settle(found: Found, name: str, values: list[tuple[str, bool | str]], box: BoxPlan) -> None:
    """A tick stands when anybody set it, but a switch must be found alike by all; so must a text."""
    is_switch = any(name.startswith(f"{box.row.key}/{board.place}/") for board in box.boards)
    different = {value for _, value in values if value != ""}
    if len(different) > 1 and (is_switch or any(isinstance(value, str) for value in different)):
        if name.endswith(("/note", "/proved")):
            found.values[name] = " / ".join(str(value) for _, value in values if value)
            return
        found.contradictions.append(
            Contradiction(name, tuple((source, _said(value)) for source, value in values))
        )
        return
    found.values[name] = any(value is True for _, value in values) or next((v for _, v in values if v), "")


def _said(value: bool | str) -> str:  # noqa: FBT001 — a form's value is one or the other
    return {True: "ticked", False: "not ticked"}.get(value, str(value)) if isinstance(value, bool) else value


def _settle_found(found: Found, said: dict[str, list[tuple[str, bool | str]]]) -> None:
    """One says that a pipe or cable is right, another names a unit that is not its own."""
    for name in [name for name in found.values if name.endswith("/ok") and found.values[name]]:
        other = name.removesuffix("ok") + "found"
        if found.values.get(other):
            both = [*said.get(name, []), *said.get(other, [])]
            found.contradictions.append(
                Contradiction(name, tuple((source, _said(value)) for source, value in both if value))
            )


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


def walked(job: Job, box: BoxPlan, found: Found, words: Words) -> BoxWalk:
    """A box's findings compared with the plan, in walking order."""
    result = BoxWalk(box.row.tag)
    for contradiction in found.contradictions:
        said = "; ".join(f"{source}: {value}" for source, value in contradiction.said)
        result.unknown.append(f"{contradiction.name}: {words('punch.contradiction')} ({said})")
    for board in box.boards:
        _walk_board(result, box, board, found, words)
    for letter, port in letters_of(box):
        _walk_letter(result, box, letter, port, found, words)
    _walk_items(result, job, box, found)
    for role in ("installer", "technician", "verifier"):
        for name in (fields.sign(box.row.key, role), fields.date(box.row.key, role)):
            if not found.values.get(name):
                result.unsigned.append(name)
    return result


def _walk_board(result: BoxWalk, box: BoxPlan, board: Board, found: Found, words: Words) -> None:
    key = box.row.key
    if not found.values.get(fields.board_seen(key, board.place)):
        result.unknown.append(words("punch.board_unseen", place=board.place))
        return
    is_on = {
        (bank.number, switch.number): bool(
            found.values.get(fields.switch_on(key, board.place, bank.number, switch.number))
        )
        for bank in board.banks
        for switch in bank.switches
    }
    facts = board_facts(box, board)
    wrong = moves(box.row.family, facts.planned, is_on)
    expected = [cause.message for cause in causes(box.row.family, facts, is_on, words)]
    for number, move in enumerate(wrong):
        name = words("cause.switch", bank=facts.banks[move.bank - 1], switch=move.switch)
        state, goal = ("OFF", "ON") if move.to_on else ("ON", "OFF")
        result.punches.append(
            Punch(
                box=box.row.tag,
                place=words("placard.board", place=board.place),
                wrong=words("punch.switch", switch=name, state=state),
                to_do=words("punch.move", switch=name, state=goal),
                expect="; ".join(expected) if number == 0 else "",
            )
        )


def _walk_letter(  # noqa: PLR0913, PLR0917 — a letter of a box, and what was found
    result: BoxWalk, box: BoxPlan, letter: str, port: Port, found: Found, words: Words
) -> None:
    key = box.row.key
    planned = {unit.key for unit in port.units}
    second = port.use == "joined" and letter != port.letters[0]
    for what in ("pipe", "cable"):
        expects = set() if what == "cable" and second else planned
        other = str(found.values.get(fields.port_field(key, letter, f"{what}/found"), "") or "").strip()
        if other and other.upper() not in expects:
            result.punches.append(_wrong_unit(box, letter, port, what, other, words))
        elif not other and not found.values.get(fields.port_field(key, letter, f"{what}/ok")):
            result.unknown.append(words(f"punch.{what}_unseen", port=letter))
    if not found.values.get(fields.port_field(key, letter, "tags/ok")):
        result.unknown.append(words("punch.tags_unseen", port=letter))
    if not found.values.get(fields.port_field(key, letter, "proved")):
        result.unproved.append(letter)


def _wrong_unit(  # noqa: PLR0913, PLR0917 — what was found where
    box: BoxPlan, letter: str, port: Port, what: str, other: str, words: Words
) -> Punch:
    units = ", ".join(unit.tag for unit in port.units)
    belongs = _home(box, other)
    to_do = (
        words("punch.to_letter", what=words(f"punch.{what}"), unit=other, home=belongs)
        if belongs
        else words("punch.find", unit=other)
    )
    return Punch(
        box=box.row.tag,
        place=words("punch.port", port=letter),
        wrong=words(
            "punch.wrong_unit", what=words(f"punch.{what}"), unit=other, planned=units or words("use.spare")
        ),
        to_do=to_do,
        expect=words("punch.crossed"),
    )


def _home(box: BoxPlan, unit: str) -> str:
    port = next((port for port in box.ports if unit.upper() in {each.key for each in port.units}), None)
    return port.name if port else ""


def _walk_items(result: BoxWalk, job: Job, box: BoxPlan, found: Found) -> None:
    for item in items_of_box(job):
        if not found.values.get(fields.box_item(box.row.key, item.key)):
            result.unknown.append(f"{item.text} ({item.role})")
    for letter, port in letters_of(box):
        for item in items_of_letter(job, port, letter):
            if not found.values.get(fields.port_item(box.row.key, letter, item.key)):
                result.unknown.append(f"{letter}: {item.text} ({item.role})")
