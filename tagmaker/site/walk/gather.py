"""The files that came back from a walk merged, field by field, into what is known of one box.

Takes a box's sheets of all files. Several people may walk one box, each with a form or a phone. A tick counts
if one of them set it; a switch, or the unit found at a letter, must be the same in all files that have it;
remarks are kept side by side. What is contradictory is reported and counts as not known.
"""

from collections.abc import Collection, Iterable, Iterator, Mapping

from msgspec import Struct

from tagmaker.plan.model import Board, BoxPlan
from tagmaker.plan.switches import SwitchId
from tagmaker.site.walk.lines import LINES, expected_units, is_right
from tagmaker.site.walk.returns import Sheet, Value
from tagmaker.tags import fields
from tagmaker.tags.revision import order_of
from tagmaker.tags.walk import HARDWARE, Digests, letters_of

__all__ = ["Contradiction", "Returned", "gather", "switch_names", "switch_states"]

SIGNED = {"sign", "date"}
"""Places of fields that are about the whole box."""
BOTH, NOT_MARKED, TAKEN_BACK = "ON and OFF", "mark taken back", "taken back"
"""A switch of which both are marked; one of which a phone took the mark back, and set no other; a text that
a phone took back."""
SWITCH_WORDS, TICK_WORDS = {True: "ON", False: "OFF"}, {True: "ticked", False: "not ticked"}
Reports = dict[str, list[tuple[str, Value]]]
"""By field name, each file's source and value."""


class Contradiction(Struct, frozen=True):
    """A field of which files say different things: each file's source, and its value in words."""

    name: str
    values: tuple[tuple[str, str], ...]


class Returned(Struct, frozen=True):
    """The values of all files by field name; a contradictory field has none.

    `sources` has by field name the files that have a value of it.
    """

    values: Mapping[str, Value]
    contradictions: tuple[Contradiction, ...]
    sources: Mapping[str, tuple[str, ...]] = {}


def gather(sheets: Iterable[Sheet], box: BoxPlan, today: Digests) -> Returned:
    """What all sheets of a box together say of it; `today` has the digests of what is planned now."""
    reports: Reports = {}
    sheets = list(sheets)
    taken_back = {name for each in sheets for name in each.taken_back}
    withdrawn: Reports = {}
    for each in sheets:
        counted = _kept(_counted(each, box, today), box, _changed_later(each, sheets, today))
        for name, value in counted.items():
            reports.setdefault(name, []).append((each.source, value))
        for name in _withdrawn(each).difference(counted):
            withdrawn.setdefault(name, []).append((each.source, NOT_MARKED))
        for name in _texts_withdrawn(each).intersection(counted):
            withdrawn.setdefault(name, []).append((each.source, TAKEN_BACK))
    merged = {name: _merged(name, of_name, taken_back) for name, of_name in reports.items()}
    merged |= {
        name: _contradiction(name, [*(each for each in reports[name] if each[1] != ""), *taken])
        for name, taken in withdrawn.items()
        if merged.get(name, "") != ""
    }
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
        {name: tuple(_sources(name, of_name)) for name, of_name in reports.items()},
    )


def _changed_later(sheet: Sheet, sheets: Iterable[Sheet], today: Digests) -> set[str]:
    """The places that were planned otherwise by a sheet of a later revision that was filled in.

    Where the plan of today is that of the earlier revision again, nobody has seen that the site is so too.
    """
    changed: set[str] = set()
    for other in sheets:
        then = other.printed.digests if other.printed and any(other.values.values()) else None
        if then and then.whole not in {"", today.whole} and _is_later(other, sheet):
            changed |= SIGNED
            changed |= {place for place, digest in today.places.items() if then.places.get(place) != digest}
    return changed


def _is_later(one: Sheet, other: Sheet) -> bool:
    revisions = [each.printed.facts.revision for each in (one, other) if each.printed]
    return len(revisions) == 2 and order_of(*revisions) == "newer"


def _kept(counted: dict[str, Value], box: BoxPlan, changed: Collection[str]) -> dict[str, Value]:
    """What counts, less what says that places which changed later are right; what differs there counts."""
    if not changed:
        return counted
    expected = {other: units for _, other, units in _lines(box)}
    return {
        name: value
        for name, value in counted.items()
        if not (field := fields.read_field(name))
        or field.place not in changed
        or name.endswith("/note")
        or field.kind in {"switch", "switch_off"}
        or (field.kind == "unit" and not is_right(str(value), expected[name]))
    }


def _withdrawn(sheet: Sheet) -> set[str]:
    """The switches of which a phone took a mark back, by the names of their boxes for ON."""
    found = ((name, fields.read_field(name)) for name in sheet.taken_back)
    kinds = {"switch", "switch_off"}
    return {name.removesuffix("/off") for name, field in found if field and field.kind in kinds}


def _texts_withdrawn(sheet: Sheet) -> set[str]:
    """The texts that a phone took back: who took back the unit, and ticked that it is right, agrees with it.

    Notes are kept whoever wrote them.
    """
    texts = {name for name in sheet.taken_back if sheet.values[name] == "" and not name.endswith("/note")}
    return {name for name in texts if not sheet.values.get(f"{name.removesuffix('/found')}/ok")}


def _sources(name: str, reports: Iterable[tuple[str, Value]]) -> Iterator[str]:
    """The files that have a field filled in: a switch found OFF is, a tick that is not set is not."""
    field = fields.read_field(name)
    blank = ("", False) if field and field.kind == "tick" else ("",)
    yield from dict.fromkeys(source for source, value in reports if value not in blank)


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


def _counted(sheet: Sheet, box: BoxPlan, today: Digests) -> dict[str, Value]:
    """What of a sheet counts for its box.

    A tick or a signature is a statement about what was planned: it counts where the sheet was printed for
    what is planned there now. A switch or a unit that was found is a fact of the site: a switch counts where
    the board is built as planned now, a unit unless another box has taken the place, a note always. Without
    what it was printed for, nothing counts.
    """
    if sheet.printed is None:
        return {}
    printed = sheet.printed.digests
    valid = {place for place, digest in today.places.items() if printed.places.get(place) == digest}
    if printed.places.get(HARDWARE, "") in {"", today.places[HARDWARE]}:  # earlier versions do not have it
        valid.add(HARDWARE)
    if printed.whole == today.whole:
        valid |= SIGNED
    own = {name: value for name, value in sheet.values.items() if _is_valid(name, valid)}
    for board in box.boards:
        names = switch_names(box, board)
        states = switch_states(own, box.row.key, board.place, names.values(), sheet.unclear)
        for name in names:
            own.pop(name, None)
            own.pop(f"{name}/off", None)
        own |= {name: states[switch] for name, switch in names.items() if switch in states}
        if board.place in valid:
            own |= _confirmed_switches(sheet, box, board)
    ticks = {name for name, found in sheet.confirmed.items() if found == "planned" and _is_tick(name)}
    return own | {name: True for name in ticks if _is_valid(name, valid)}


def _is_tick(name: str) -> bool:
    field = fields.read_field(name)
    return field is not None and field.kind == "tick"


def _confirmed_switches(sheet: Sheet, box: BoxPlan, board: Board) -> dict[str, Value]:
    """The switches of a board whose doubtful marks a person found to be as planned, or not.

    A switch has two boxes: what is found of both must be the same. One that no rule sets has no plan.
    """
    planned = {(bank.number, switch) for bank in board.banks for switch in bank.on()}
    ruled = {(rule.bank, rule.switch) for rule in box.row.family.rules}
    states: dict[str, Value] = {}
    for name, switch in switch_names(box, board).items():
        found = {sheet.confirmed[each] for each in (name, f"{name}/off") if each in sheet.confirmed}
        if switch in ruled and found in ({"planned"}, {"differs"}):
            states[name] = (switch in planned) is (found == {"planned"})
    return states


def switch_states(
    values: Mapping[str, Value], key: str, place: str, switches: Iterable[SwitchId], unclear: Collection[str]
) -> dict[SwitchId, Value]:
    """The switches of a board that a sheet knows, each found ON (True), OFF (False), or with both marked.

    `key` is the box's tag in capitals. Where one of a switch's two boxes is unclear the switch is not known,
    whatever the other shows.
    """
    is_seen = values.get(fields.board_seen(key, place)) is True
    states: dict[SwitchId, Value] = {}
    for switch in switches:
        on, off = fields.switch_on(key, place, *switch), fields.switch_off(key, place, *switch)
        state = _state(values.get(on, False), values.get(off, False), is_seen)
        if state is not None and on not in unclear and off not in unclear:
            states[switch] = state
    return states


def _is_valid(name: str, valid: Collection[str]) -> bool:
    """Whether a field of a sheet counts, of which these places are unchanged."""
    field = fields.read_field(name)
    if field is None:
        return False
    return field.place in valid or (field.kind == "unit" and HARDWARE in valid) or name.endswith("/note")


def _state(is_on: Value, is_off: Value, is_seen: bool) -> Value | None:  # noqa: FBT001 — three marks
    """A switch as found: ON, OFF, both marked, or None: nobody looked, or a text is where a mark belongs."""
    if (isinstance(is_on, str) and is_on) or (isinstance(is_off, str) and is_off):
        return None
    if is_on is True:
        return BOTH if is_off is True else True
    return False if is_off is True or is_seen else None


def _merged(
    name: str, reports: list[tuple[str, Value]], taken_back: Collection[str]
) -> Value | Contradiction:
    """One field's value out of all files; upper and lower case are the same, an empty text is no value.

    A tick counts if one file has it, unless a phone took back what another had set.
    """
    field = fields.read_field(name)
    filled = {_folded(value): value for _, value in reports if value != ""}
    if field and field.kind == "switch" and BOTH in filled.values():
        return _contradiction(name, reports)
    if field and field.kind == "tick":
        if name in taken_back and len(filled) > 1:
            return _contradiction(name, reports)
        return True in filled.values()
    if len(filled) <= 1:
        return next(iter(filled.values()), "")
    if field and field.kind == "remark":
        return " / ".join(str(value) for value in filled.values())
    return _contradiction(name, [each for each in reports if each[1] != ""])


def _folded(value: Value) -> Value:
    return value.upper() if isinstance(value, str) else value


def _contradiction(name: str, reports: Iterable[tuple[str, Value]]) -> Contradiction:
    field = fields.read_field(name)
    words = SWITCH_WORDS if field and field.kind == "switch" else TICK_WORDS
    values = ((source, words[value] if isinstance(value, bool) else value) for source, value in reports)
    return Contradiction(name, tuple(values))
