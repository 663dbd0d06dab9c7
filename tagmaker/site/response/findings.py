"""What follows from the verdicts of a response test: what is crossed, cable or pipe, and what else is wrong.

Takes a system's verdicts; gives findings, each with the ports and units that it is about. Lines that are
exchanged along a longer cycle are one finding that names every port of it.
"""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import Literal

from msgspec import Struct

from tagmaker.site.response.verdicts import Judged, PortVerdict, UnitVerdict

__all__ = ["Finding", "FindingKind", "findings"]

FindingKind = Literal[
    "cables crossed",
    "pipes crossed",
    "cable and pipe moved",
    "mains exchanged",
    "valve stuck",
    "pair halves differ",
    "spare answers",
]
ONE_SIDED = ("opposite", "heat only", "cool only")


class Finding(Struct, frozen=True):
    """A kind of fault with its ports ("BB-11/A") and units.

    `moves` are what is exchanged, each with where it is: a port's cable with the port where it lands, a
    unit with the port that it is piped to. `states` are how a port, or each half of a pair, answers;
    `is_behind` is set where pipes of single units are exchanged behind a splitter.
    """

    kind: FindingKind
    ports: tuple[str, ...]
    units: tuple[str, ...]
    moves: tuple[tuple[str, str], ...] = ()
    states: tuple[str, ...] = ()
    is_behind: bool = False


def findings(judged: Judged) -> tuple[Finding, ...]:
    """All findings: mains and valves first, then cables, then pipes; each in the order of the ports."""
    return (
        *_mains(judged),
        *_valves(judged),
        *_halves(judged),
        *_cables(judged),
        *_pipes(judged),
    )


def _units_of(judged: Judged, ports: Iterable[str]) -> tuple[str, ...]:
    """The units of these ports as planned."""
    wanted = set(ports)
    return tuple(unit.unit for unit in judged.units if unit.planned in wanted)


def _called(judged: Judged) -> tuple[PortVerdict, ...]:
    return judged.ports[: len(judged.calls.ports)]


# --- mains and valves ---------------------------------------------------------------------------------------


def _mains(judged: Judged) -> Iterator[Finding]:
    for box in dict.fromkeys(call.box for call in judged.calls.ports):
        if box.upper() in judged.turned:
            ports = tuple(call.name for call in judged.calls.ports if call.box == box)
            yield Finding("mains exchanged", ports, _units_of(judged, ports))


def _valves(judged: Judged) -> Iterator[Finding]:
    """Ports that answer in one mode, or turned round where the mains are not; spare stubs that are not still.

    Where a stub was not read its units show it.
    """
    for port in _called(judged):
        state = judged.one_sided.get(port.name, port.verdict)
        turned = state == "opposite" and port.box.upper() in judged.turned
        if state in ONE_SIDED and not turned and port.name not in judged.states:
            yield Finding("valve stuck", (port.name,), _units_of(judged, [port.name]), states=(state,))
    for port in judged.ports[len(judged.calls.ports) :]:
        if port.verdict in ONE_SIDED:
            yield Finding("spare answers", (port.name,), (), states=(port.verdict,))


def _halves(judged: Judged) -> Iterator[Finding]:
    for name, states in judged.states.items():
        yield Finding("pair halves differ", (name,), _units_of(judged, [name]), states=states)


# --- cables and pipes ---------------------------------------------------------------------------------------


def _cables(judged: Judged) -> Iterator[Finding]:
    """Cables on another port, by the cycles that they make; with their pipes, or without."""
    lands = {port.name: port.cable_of for port in judged.ports if port.verdict == "answers other"}
    spare = {port.name for port in judged.ports[len(judged.calls.ports) :]}
    for names in _joined(lands.items(), [port.name for port in judged.ports]):
        moves = tuple((lands[name], name) for name in names if name in lands)
        units = _units_of(judged, names)
        kind: FindingKind = "cables crossed"
        if spare & set(names):
            kind = "spare answers"
        elif _went_with(judged, names):
            kind = "cable and pipe moved"
        yield Finding(kind, names, units, moves)


def _went_with(judged: Judged, names: Iterable[str]) -> bool:
    """Whether every unit of these ports is piped to where its cable lands."""
    wanted = set(names)
    known = [unit for unit in judged.units if unit.planned in wanted and unit.piped_to]
    return bool(known) and all(_is_with_cable(judged, unit) for unit in known)


def _is_with_cable(judged: Judged, unit: UnitVerdict) -> bool:
    """Whether a unit is piped to the other port on which its own port's cable lands."""
    at = {port.cable_of: port.name for port in judged.ports if port.verdict == "answers other"}
    return unit.verdict == "piped to other" and at.get(unit.planned) == unit.piped_to


def _pipes(judged: Judged) -> Iterator[Finding]:
    """Pipes on another port, by the cycles that they make; those that went with their cables are left out."""
    moved = [
        unit for unit in judged.units if unit.verdict == "piped to other" and not _is_with_cable(judged, unit)
    ]
    edges = [(unit.planned, unit.piped_to) for unit in moved]
    for names in _joined(edges, [port.name for port in judged.ports]):
        own = [unit for unit in moved if unit.planned in names]
        units = tuple(unit.unit for unit in own)
        moves = tuple((unit.unit, unit.piped_to) for unit in own)
        yield Finding("pipes crossed", names, units, moves, is_behind=_is_behind(judged, names, own))


def _is_behind(judged: Judged, names: Sequence[str], moved: Sequence[UnitVerdict]) -> bool:
    """Whether a port of these has units that moved and units that did not, or units that went two ways."""
    for name in names:
        own = [unit for unit in judged.units if unit.planned == name and unit.piped_to]
        if len({unit.piped_to for unit in own}) > 1 and any(unit in moved for unit in own):
            return True
    return False


def _joined(edges: Iterable[tuple[str, str]], order: Sequence[str]) -> list[tuple[str, ...]]:
    """The names that edges join, a tuple for each part, in the given order."""
    near: dict[str, set[str]] = {}
    for one, other in edges:
        near.setdefault(one, set()).add(other)
        near.setdefault(other, set()).add(one)
    parts: list[tuple[str, ...]] = []
    left = set(near)
    for name in order:
        if name in left:
            part = _reached(near, name)
            left -= part
            parts.append(tuple(each for each in order if each in part))
    return parts


def _reached(near: Mapping[str, set[str]], start: str) -> set[str]:
    found, work = {start}, [start]
    while work:
        for other in near[work.pop()] - found:
            found.add(other)
            work.append(other)
    return found
