"""The files that came back from a walk merged, field by field, into what is known of one box.

Several people may walk one box, each with a form or a phone. A tick counts if one of them set it; a switch,
or the unit found at a letter, must be the same in all files that have it; remarks are kept side by side. What
is contradictory is reported and counts as not known.
"""

from collections.abc import Iterable, Iterator, Mapping

from msgspec import Struct

from tagmaker.plan.model import Board, BoxPlan
from tagmaker.plan.switches import SwitchId
from tagmaker.site.walk.lines import LINES, expected_units, is_right
from tagmaker.site.walk.returns import Return, Value
from tagmaker.tags import fields
from tagmaker.tags.walk import letters_of, port_units, read_printed_for

__all__ = ["Contradiction", "Returned", "gather", "switch_names"]

TICKS = ("pipe/ok", "cable/ok", "tags/ok")
"""Ticks of a letter; what they mean depends on the units for which the sheet was printed."""
Reports = dict[str, list[tuple[str, Value]]]
"""By field name, each file's source and value."""


class Contradiction(Struct, frozen=True):
    """A field of which files say different things: each file's source, and its value in words."""

    name: str
    values: tuple[tuple[str, str], ...]


class Returned(Struct, frozen=True):
    """The values of all files by field name; a contradictory field has none."""

    values: Mapping[str, Value]
    contradictions: tuple[Contradiction, ...]


def gather(returns: Iterable[Return], box: BoxPlan) -> Returned:
    """What all files together say of a box."""
    reports: Reports = {}
    for each in returns:
        for name, value in _counted(each, box).items():
            reports.setdefault(name, []).append((each.source, value))
    merged = {name: _merged(name, of_name) for name, of_name in reports.items()}
    for right, other, expected in _lines(box):
        both = merged.get(right), merged.get(other, "")
        if isinstance(both[1], Contradiction):
            merged.pop(right, None)
        elif both[0] and both[1] and not is_right(str(both[1]), expected):
            of_both = [each for each in (*reports[right], *reports[other]) if each[1]]
            del merged[right], merged[other]
            merged[other] = _contradiction(other, of_both)
    return Returned(
        {name: value for name, value in merged.items() if not isinstance(value, Contradiction)},
        tuple(value for value in merged.values() if isinstance(value, Contradiction)),
    )


def _lines(box: BoxPlan) -> Iterator[tuple[str, str, frozenset[str]]]:
    """The two fields of each pipe and cable, that it is right and which unit's is found, and whose it is.

    Right in one file and another unit's in a second one is a contradiction, though of two fields.
    """
    for letter, port in letters_of(box):
        for line in LINES:
            right, other = (
                fields.port_field(box.row.key, letter, f"{line}/{end}") for end in ("ok", "found")
            )
            yield right, other, expected_units(port, letter, line)


def switch_names(box: BoxPlan, board: Board) -> dict[str, SwitchId]:
    """Every switch of a board by its field's name."""
    pairs = [(bank.number, switch.number) for bank in board.banks for switch in bank.switches]
    return {fields.switch_on(box.row.key, board.place, *pair): pair for pair in pairs}


def _counted(one: Return, box: BoxPlan) -> dict[str, Value]:
    """What of a file counts for a box.

    Of a board that was seen every switch counts: one that is not ticked was found OFF. Of any other board no
    switch counts: not ticked then means not looked at. Ticks at a letter count where the sheet was printed
    for the units that are planned there today.
    """
    key = box.row.key
    own = {name: value for name, value in one.values.items() if fields.box_of(name) == key}
    for board in box.boards:
        is_on = {name: own.pop(name, False) is True for name in switch_names(box, board)}
        own |= is_on if own.get(fields.board_seen(key, board.place)) is True else {}
    printed = read_printed_for(one.printed.get(key, ""))
    for letter, port in letters_of(box):
        if printed is None or printed.ports.get(letter) != port_units(port):
            for tick in TICKS:
                own.pop(fields.port_field(key, letter, tick), None)
    return own


def _merged(name: str, reports: list[tuple[str, Value]]) -> Value | Contradiction:
    """One field's value out of all files; upper and lower case are the same, an empty text is no value."""
    field = fields.read_field(name)
    filled = {_folded(value): value for _, value in reports if value != ""}
    if field and field.kind == "tick":
        return True in filled.values()
    if len(filled) <= 1:
        return next(iter(filled.values()), "")
    if field and field.kind == "remark":
        return " / ".join(str(value) for value in filled.values())
    return _contradiction(name, [each for each in reports if each[1] != ""])


def _folded(value: Value) -> Value:
    return value.upper() if isinstance(value, str) else value


def _contradiction(name: str, reports: Iterable[tuple[str, Value]]) -> Contradiction:
    return Contradiction(name, tuple((source, _in_words(value)) for source, value in reports))


def _in_words(value: Value) -> str:
    return {True: "ticked", False: "not ticked"}[value] if isinstance(value, bool) else value
