"""The lines of each step that is done once for a box, by the name that `layouts/steps.toml` gives them."""

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from types import MappingProxyType
from typing import Literal

from tagmaker.plan.model import Setting
from tagmaker.revisions.connections import braze_lines, cut_lines, identify_lines, land_lines
from tagmaker.revisions.issued import IssuedTag
from tagmaker.revisions.kinds import ALL_PIPED
from tagmaker.revisions.lines import At, Line, facts_text
from tagmaker.revisions.model import BoxChangeKind, FactChange, SwitchMove, UnitChange
from tagmaker.tags.model import AT_TERMINALS

__all__ = ["BOX_LINES"]

WHOLE: frozenset[BoxChangeKind] = frozenset({"new", "gone", "renamed"})
"""Boxes at which every tag comes off or is put on."""


def _box(here: At) -> Iterator[Line]:
    yield Line(here.words("changes.box"))


def _power(here: At) -> Iterator[Line]:
    """Where the box's power is isolated; both points where the list now names another one."""
    fact = _fact(here, "power")
    how = (
        here.words("changes.power_both", was=_given(here, fact.was), now=_given(here, fact.now))
        if fact
        else ""
    )
    yield Line(here.words("changes.power"), "", how or here.box.power)


def _fact(here: At, what: str) -> FactChange | None:
    return next((fact for fact in here.box.facts if fact.what == what), None)


def _given(here: At, text: str) -> str:
    return text or here.words("changes.nothing")


def _units(here: At) -> Iterator[Line]:
    """Units on ports that are worked on, by their names on site and in the list."""
    letters = {*here.box.pipes, *here.box.cables}
    sides = [
        side
        for port in here.box.ports
        if not letters.isdisjoint(port.port.split("+"))
        for side in (port.was, port.now)
        if side
    ]
    names = {name: None for side in sides for name in side.units}
    for unit in (*here.had, *here.has):
        if unit.is_reconnected or unit.is_repiped or unit.has_other("address"):
            names |= {each.unit: None for each in (unit.was, unit.now) if each}
    if names:
        yield Line(here.words("changes.units"), "", ", ".join(names))


def _hardware(here: At) -> Iterator[Line]:
    if here.box.kind in ALL_PIPED:
        what = here.words(f"changes.{here.box.kind}", was=here.box.was, now=here.box.now)
        yield Line(here.words("changes.box"), what)


def _renamed(here: At) -> Iterator[Line]:
    if here.box.kind == "renamed":
        what = here.words("changes.renamed", was=here.box.was, now=here.box.now)
        yield Line(here.words("changes.box"), what)


def _pipes(here: At) -> Iterator[Line]:
    how = here.words("changes.mains_too") if here.box.mains else ""
    yield Line(here.ports(here.box.pipes), "", how, ports=here.box.pipes)


def _cables(here: At) -> Iterator[Line]:
    yield Line(here.ports(here.box.cables), ports=here.box.cables)


def _switches(here: At) -> Iterator[Line]:
    box, words = here.box, here.words
    moves: dict[str, list[SwitchMove]] = {board: [] for board in box.boards}
    for move in box.switches:
        moves.setdefault(move.board, []).append(move)
    for name, of_board in moves.items():
        board = words("changes.board", board=name)
        if name in box.boards or not all(move.was for move in of_board):
            yield Line(board, words("changes.set_board"), _settings(here, of_board))
            continue
        for move in of_board:
            was, now = words(f"state.{move.was}"), words(f"state.{move.now}")
            what = words("changes.move", bank=move.name, switch=move.switch, was=was, now=now)
            on = " ".join(map(str, move.then_on)) or words("changes.none")
            yield Line(board, what, words("changes.then", bank=move.name, on=on))


def _settings(here: At, moves: Sequence[SwitchMove]) -> str:
    """A whole board in words: what is ON, what is left, all else OFF."""
    on = _by_bank(here, moves, "on") or here.words("changes.none")
    text = here.words("changes.settings", on=on)
    left = _by_bank(here, moves, "leave")
    return f"{text}; {here.words('changes.left', switches=left)}" if left else text


def _by_bank(here: At, moves: Iterable[SwitchMove], state: Setting) -> str:
    """The switches of each bank that are to be in a state."""
    banks: dict[tuple[int, str], list[str]] = {}
    for move in moves:
        if move.now == state:
            banks.setdefault((move.bank, move.name), []).append(str(move.switch))
    return ", ".join(
        here.words("changes.of_bank", bank=name, switches=" ".join(switches))
        for (_, name), switches in banks.items()
    )


def _addresses(here: At) -> Iterator[Line]:
    for unit in here.has:
        facts = [fact for fact in unit.facts if fact.what == "address" and fact.was and fact.now]
        if unit.now and facts:
            yield _of_unit(here, unit, facts)


def _facts(here: At) -> Iterator[Line]:
    """Units that are now another machine, of another address, or on other pipes."""
    for unit in here.has:
        if unit.now and unit.on_site:
            yield _of_unit(here, unit, unit.on_site)


def _of_unit(here: At, unit: UnitChange, facts: Sequence[FactChange]) -> Line:
    row = unit.now or unit.was
    name, port = (row.unit, row.port) if row else ("", "")
    text = facts_text(facts, here.changes.now.capacity_unit, here.words)
    what = here.words("changes.facts", unit=name, facts=text)
    return Line(here.words("changes.port", port=port), what, ports=tuple(port.split("+")))


def _isolation(here: At) -> Iterator[Line]:
    fact = _fact(here, "power")
    if fact:
        what = here.words("changes.power_point", was=_given(here, fact.was), now=_given(here, fact.now))
        yield Line(here.words("changes.power"), what)


def _tags_off(here: At) -> Iterator[Line]:
    return _tags(here, "off", here.box.was, here.box.tags_off)


def _tags_on(here: At) -> Iterator[Line]:
    return _tags(here, "on", here.box.now, here.box.tags_on)


def _tags(here: At, verb: Literal["on", "off"], name: str, tags: Sequence[IssuedTag]) -> Iterator[Line]:
    """Tags to take off, or to put on, a line for each end of a port; those of a whole box in one line."""
    words = here.words
    if here.box.kind in WHOLE:
        at_box = [tag for tag in tags if tag.end == "box"]
        tags = [tag for tag in tags if tag.end != "box"]
        if at_box:
            what = words(f"changes.tags_all_{verb}", count=len(at_box))
            how = words("changes.tags_all_how", box=name.upper())
            yield Line(words("changes.box"), what, how + _closed(here, at_box), codes=_codes(at_box))
    groups: dict[tuple[str, tuple[str, ...]], list[IssuedTag]] = {}
    for tag in tags:
        groups.setdefault((tag.port, tag.units if tag.end != "box" else ()), []).append(tag)
    rank = {letter: number for number, letter in enumerate(here.box.letters)}
    for (port, units), group in sorted(
        groups.items(), key=lambda item: (rank.get(item[0][0], -1), item[0][1])
    ):
        kinds = ", ".join(words(f"tag.{tag.kind.replace('-', '_')}") for tag in group)
        where = _unit_end(here, group[0]) if units else words("changes.at_box")
        what = words(f"changes.tags_{verb}", where=where, kinds=kinds)
        strip = next((tag.strip for tag in group if verb == "on" and tag.strip), "")
        note = f" {words('changes.strip', board=strip)}" if strip else ""
        how = ", ".join(_codes(group)) + note + _closed(here, group)
        place = here.ports((port,)) if port else words("changes.box")
        yield Line(place, what, how, ports=(port,) if port else (), codes=_codes(group))


def _codes(tags: Iterable[IssuedTag]) -> tuple[str, ...]:
    return tuple(tag.code for tag in tags)


def _closed(here: At, tags: Iterable[IssuedTag]) -> str:
    """A warning about tags in a control box whose power no step of this box isolates."""
    isolated = not {"pipe", "cable", "switch"}.isdisjoint(here.box.kinds)
    if isolated or not any(tag.kind in AT_TERMINALS and tag.end == "box" for tag in tags):
        return ""
    return f"; {here.words('changes.tags_inside')}"


def _unit_end(here: At, tag: IssuedTag) -> str:
    unit, room = ", ".join(tag.units), ", ".join(tag.rooms)
    key = "changes.at_unit_in" if room else "changes.at_unit"
    return here.words(key, unit=unit, room=room)


def _placard(here: At) -> Iterator[Line]:
    on, off, words = here.box.placard_on, here.box.placard_off, here.words
    if on and off:
        what = words("changes.placard_replace", was=off.revision, now=on.revision)
    elif on:
        what = words("changes.placard_on", revision=on.revision)
    elif off:
        what = words("changes.placard_off", revision=off.revision)
    else:
        return
    yield Line(words("changes.placard"), what)


def _bands(here: At) -> Iterator[Line]:
    if here.box.bands:
        yield Line(here.words("changes.bands"))


def _check(here: At) -> Iterator[Line]:
    if here.box.now:
        letters = here.checked()
        yield Line(here.ports(letters), ports=letters)


def _scan(here: At) -> Iterator[Line]:
    """Ports at which only tags are new; the box, where its own are."""
    touched = here.touched()
    tagged = {tag.port for tag in here.box.tags_on} - touched
    letters = tuple(letter for letter in here.box.letters if letter in tagged)
    if here.box.now and (letters or (here.box.tags_on and not touched)):
        yield Line(here.ports(letters), ports=letters)


def _capacities(here: At) -> Iterator[Line]:
    """Units that come or whose capacity differs."""
    names = [
        each.now.unit
        for each in here.has
        if each.now and (each.is_reconnected or each.has_other("capacity_btuh"))
    ]
    if names:
        yield Line(here.words("changes.units"), "", ", ".join(names))


def _cover(here: At) -> Iterator[Line]:
    if here.box.now:
        yield Line(here.words("changes.box"))


BOX_LINES: Mapping[str, Callable[[At], Iterator[Line]]] = MappingProxyType(
    {
        "box": _box,
        "power": _power,
        "units": _units,
        "hardware": _hardware,
        "pipes": _pipes,
        "identify": identify_lines,
        "cut": cut_lines,
        "braze": braze_lines,
        "cables": _cables,
        "land": land_lines,
        "switches": _switches,
        "addresses": _addresses,
        "renamed": _renamed,
        "facts": _facts,
        "isolation": _isolation,
        "tags-off": _tags_off,
        "tags-on": _tags_on,
        "placard": _placard,
        "bands": _bands,
        "check": _check,
        "scan": _scan,
        "capacities": _capacities,
        "cover": _cover,
        "response": _check,
    }
)
"""What writes the lines of a step, by the step's `lines`."""
