"""Lines of work about pipes and cables: what is cut, brazed and landed, port by port.

A unit is disconnected as a whole, while its old tags still say what is what, and a port is connected as a
whole. At a box that comes, goes or is replaced that is every port, in one line.
"""

from collections.abc import Iterator, Sequence

from tagmaker.plan.outline import PortOutline
from tagmaker.revisions.kinds import ALL_PIPED, is_wired_otherwise
from tagmaker.revisions.lines import At, Line, at, facts_text
from tagmaker.revisions.model import PortChange, UnitChange
from tagmaker.tags.codes import TagCode

__all__ = ["braze_lines", "cut_lines", "identify_lines", "land_lines"]


def identify_lines(here: At) -> Iterator[Line]:
    """Each port whose pipes are opened, with the codes of the tags that are on them now."""
    box, words = here.box, here.words
    if box.kind in ALL_PIPED:
        how = words("changes.tags_all_how", box=box.was.upper()) if box.was else words("changes.no_old_tags")
        yield Line(here.ports(box.pipes), "", how, ports=box.pipes)
        return
    of_units: dict[str, list[str]] = {}
    for unit in here.had:
        if unit.was and (unit.is_reconnected or unit.is_repiped):
            first = unit.was.port.partition("+")[0]
            of_units.setdefault(first, []).extend(_pipe_codes(box.was, first, unit.was.unit))
    for letter in box.pipes:
        codes = (*_pipe_codes(box.was, letter), *of_units.get(letter, ()))
        yield Line(here.ports((letter,)), "", ", ".join(codes), ports=(letter,), codes=codes)
    if box.mains:
        yield Line(words("changes.mains"), "", words("changes.mains_how"))


def _pipe_codes(box: str, letter: str, unit: str = "") -> Iterator[str]:
    yield TagCode(box.upper(), letter, "LIQ", unit.upper()).text
    yield TagCode(box.upper(), letter, "GAS", unit.upper()).text


def cut_lines(here: At) -> Iterator[Line]:
    """Units that leave their port, pipes that are replaced, and stubs that get a unit."""
    box, words = here.box, here.words
    if box.kind in ALL_PIPED:
        yield Line(words("changes.box"), words(f"changes.cut_{box.kind}"), "", ports=box.pipes)
        return
    yield from _leavers(here)
    comers: dict[str, list[str]] = {}
    for unit in here.has:
        if unit.now and unit.is_reconnected:
            comers.setdefault(unit.now.port, []).append(unit.now.unit)
        elif unit.now and unit.is_repiped:
            facts = facts_text(unit.pipe_facts, here.changes.now.capacity_unit, words)
            yield _line(here, unit.now.port, words("changes.cut_size", unit=unit.now.unit, facts=facts))
    for port, units in comers.items():
        yield _line(here, port, words("changes.cut_stubs", units=", ".join(units)))
    if box.mains:
        yield Line(words("changes.mains"), words("changes.cut_mains"))


def _leavers(here: At) -> Iterator[Line]:
    """Units that leave their port, those of a port with the same aim in one line."""
    groups: dict[tuple[str, str], list[str]] = {}
    for unit in here.had:
        if unit.was and unit.is_reconnected and not _keeps_a_letter(here, unit):
            groups.setdefault((unit.was.port, at(unit.now)), []).append(unit.was.unit)
    for (port, to), units in groups.items():
        key = "changes.off_to" if to else "changes.off"
        yield _line(here, port, here.words(key, units=", ".join(units), to=to))


def _line(here: At, port: str, what: str, how: str = "") -> Line:
    return Line(here.words("changes.port", port=port), what, how, ports=tuple(port.split("+")))


def _keeps_a_letter(here: At, unit: UnitChange) -> bool:
    """Whether a unit keeps a letter of its port on the same box: a port that becomes a pair."""
    was, now = unit.was, unit.now
    if not was or not now or now.box.upper() != here.box.now.upper():
        return False
    return bool(set(was.port.split("+")) & set(now.port.split("+")))


def braze_lines(here: At) -> Iterator[Line]:
    """Ports at which a unit comes, gets other pipes, or was; and what is closed there."""
    box, words = here.box, here.words
    if box.kind in ALL_PIPED:
        yield _whole_box(here, "changes.braze_gone", "changes.braze_all", box.pipes)
        return
    comers: dict[str, list[UnitChange]] = {}
    for unit in here.has:
        if unit.now and (unit.is_reconnected or unit.is_repiped):
            comers.setdefault(unit.now.port, []).append(unit)
    differing = {port.port: port.now for port in box.ports if port.now and _touches(port, box.pipes)}
    for port, now in differing.items():
        yield _braze_line(here, now, comers.pop(port, ()))
    for port, units in comers.items():
        yield _line(here, port, words("changes.on", units=_names(here, units)))
    if box.mains:
        yield Line(words("changes.mains"), words("changes.braze_mains"))


def _whole_box(here: At, gone: str, other: str, ports: tuple[str, ...]) -> Line:
    """The only line of a box with work at every port, in the words for one that is gone or another."""
    key = gone if here.box.kind == "gone" else other
    return Line(here.words("changes.box"), here.words(key), "", ports=ports)


def _touches(port: PortChange, letters: Sequence[str]) -> bool:
    return not set(port.port.split("+")).isdisjoint(letters)


def _braze_line(here: At, port: PortOutline, comers: Sequence[UnitChange]) -> Line:
    words = here.words
    if not port.units:
        return _line(here, port.port, words("changes.on_none"), words("changes.on_none_how"))
    if not comers:
        return _line(here, port.port, words("changes.on_rest", units=", ".join(port.units)))
    first, _, second = port.port.partition("+")
    how = words("changes.on_pair_how", port=first, second=second) if second else ""
    return _line(here, port.port, words("changes.on", units=_names(here, comers)), how)


def _names(here: At, units: Sequence[UnitChange]) -> str:
    """Units that come, each with where it was."""
    names = []
    for unit in units:
        if unit.now and not unit.was:
            names.append(here.words("changes.on_new", unit=unit.now.unit))
        elif unit.now and unit.is_reconnected:
            names.append(here.words("changes.on_from", unit=unit.now.unit, at=at(unit.was)))
        elif unit.now:
            names.append(unit.now.unit)
    return ", ".join(names)


def land_lines(here: At) -> Iterator[Line]:
    """Ports at which a cable is taken off or landed: the whole chain from the terminal on."""
    box, words = here.box, here.words
    if box.kind in ALL_PIPED:
        yield _whole_box(here, "changes.land_gone", "changes.land_all", box.cables)
        return
    ports = [port for port in box.ports if _touches(port, box.cables)]
    comers = {unit.now.port for unit in here.has if unit.now and unit.is_reconnected}
    for port in ports:
        is_other = port.port in comers or is_wired_otherwise(port, here.names)
        if port.now and (is_other or not port.now.units):
            yield _land_line(here, port.now)
    if box.mains:
        yield Line(words("changes.box"), words("changes.land_system"))


def _land_line(here: At, port: PortOutline) -> Line:
    words = here.words
    first, _, second = port.port.partition("+")
    if not port.units:
        return _line(here, port.port, words("changes.land_none"))
    chain = " – ".join((words("changes.terminal", port=first), *port.units))
    how = words("changes.land_pair", second=second) if second else ""
    return _line(here, port.port, words("changes.land", chain=chain), how)
