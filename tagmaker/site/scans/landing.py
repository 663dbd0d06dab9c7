"""The landing check: whether the tags scanned at each terminal belong to that terminal.

A terminal's tag opens its port; every cable and pipe tag until the next terminal's must be of that letter, so
the order of scanning counts. A crossing names both ends and what to move. The check shows that the stickers
agree, and nothing else: a sticker can be on the wrong cable.
"""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from types import MappingProxyType
from typing import Literal

from msgspec import Struct

from tagmaker.plan.model import BoxPlan, Plan, Port
from tagmaker.site.scans.codes import Scan
from tagmaker.tags.codes import TagCode, What

__all__ = ["PROVES", "Crossing", "Landing", "LandingResult", "PortResult"]

PROVES = (
    "This shows only that tags match. It does not prove that a cable was rung out or a line traced: "
    "record those on the verification sheet."
)
LandingResult = Literal["agree", "missing", "crossed", "not scanned"]
NAMES: Mapping[What, str] = MappingProxyType({"COM": "cable", "LIQ": "liquid line", "GAS": "gas line"})
"""What can be crossed at a terminal, as the report names it."""
Terminal = tuple[str, str]
"""A terminal: its box in capitals and its letter."""


class Crossing(Struct, frozen=True):
    """A tag scanned at a terminal that is not its own: both ends in words, and how to correct it."""

    terminal: str
    tag: str
    message: str
    mend: str


@dataclass
class _Visit:
    """One visit to a terminal: which of cable, liquid and gas were found there, and what is crossed."""

    seen: set[What] = field(default_factory=set)
    crossings: list[Crossing] = field(default_factory=list)


class PortResult(Struct, frozen=True):
    """A terminal's result, and what is missing or crossed there."""

    box: str
    letter: str
    result: LandingResult
    missing: tuple[str, ...] = ()
    crossings: tuple[Crossing, ...] = ()


@dataclass
class Landing:
    """A landing check in progress: tags are put in one by one, each answered with one line.

    `known` are the codes of all the job's tags: any other tag is reported and not counted. `at` is the
    terminal that is open, None before the first one and after one that the job does not have. A terminal may
    be visited again: `visits` keeps all, so that a later visit can clear what an earlier one found.
    """

    plan: Plan
    known: frozenset[str]
    visits: dict[Terminal, list[_Visit]] = field(default_factory=dict)
    at: Terminal | None = None

    def put(self, scan: Scan) -> str:
        """Take one scan; the line that answers it."""
        tag = scan.tag
        if tag is None or not tag.port:
            first = scan.text.splitlines()[0] if scan.text else ""
            return f"{first}: {scan.kind}, not part of the landing check"
        if tag.what == "TRM":
            return self._open(tag)
        if self.at is None:
            return f"{scan.text}: scan a terminal first; this tag is not counted"
        return self._land(scan.text, tag, self.at)

    def _open(self, tag: TagCode) -> str:
        """Begin a visit to a terminal; one that the job does not have only ends the visit before."""
        self.at = None
        box = self._box(tag.box)
        port = self._port(box, tag.port) if box else None
        if box is None or port is None:
            return f"{tag.box}/{tag.port}: the job has no such terminal"
        self.at = (box.row.key, tag.port)
        visits = self.visits.setdefault(self.at, [])
        visits.append(_Visit())
        again = " again" if len(visits) > 1 else ""
        return f"terminal {box.row.tag} {tag.port}{again}: {self._expects(port, tag.port)}"

    def leave(self) -> None:
        """Close the open terminal: the scans that follow belong to none until another is scanned."""
        self.at = None

    def _expects(self, port: Port, letter: str) -> str:
        if port.use == "spare":
            return "spare; expect capped stubs, no cable"
        if not _is_cabled(port, letter):
            return f"second terminal of {port.name}; expect its pipes, no cable"
        return f"expects {', '.join(unit.tag for unit in port.units)}"

    def _land(self, text: str, tag: TagCode, at: Terminal) -> str:
        """Compare a tag with the open terminal.

        A crossing counts even if the tag is of an older set: the cable is wrong all the same. A tag of the
        unit's end that agrees does not count: it is not on the end that is landed here.
        """
        visit = self.visits[at][-1]
        wrong = self._wrong(tag, at)
        if wrong:
            crossing = Crossing(f"{at[0]} {at[1]}", text, *wrong)
            if crossing not in visit.crossings:
                visit.crossings.append(crossing)
            return f"CROSSED: {crossing.message}; {crossing.mend}"
        if text.upper() not in self.known:
            return f"  {text}: not a tag of the current job (an older revision?); not counted"
        if tag.unit:
            return f"  {text}: the letter agrees, but this tag belongs at the unit; not counted"
        visit.seen.add(tag.what)
        return f"  {text}: agrees with terminal {at[0]} {at[1]}"

    def _wrong(self, tag: TagCode, at: Terminal) -> tuple[str, str] | None:
        """What is crossed and how to correct it; None where the tag belongs to this terminal."""
        box = self._box(at[0])
        port = self._port(box, at[1]) if box else None
        what = NAMES[tag.what]
        whose = f" of {tag.unit}" if tag.unit else ""
        message = f"{what}{whose} tagged {tag.box} {tag.port} at terminal {at[0]} {at[1]}"
        if port and tag.box == at[0] and tag.port in port.letters:
            is_wrong = tag.what == "COM" and not _is_cabled(port, at[1])
            return (message, _no_cable(port, at)) if is_wrong else None
        own = self._box(tag.box)
        if own is None or self._port(own, tag.port) is None:
            mend = f"the job has no {tag.box} {tag.port}: find out whose {what} this is"
        else:
            mend = f"move this {what} to {tag.box} {tag.port}"
        return message, f"{mend}, and find what belongs on {at[0]} {at[1]}"

    def _box(self, key: str) -> BoxPlan | None:
        return next((box for box in self.plan.boxes if box.row.key == key), None)

    def _port(self, box: BoxPlan, letter: str) -> Port | None:
        return next((port for port in box.ports if letter in port.letters), None)

    def results(self) -> Iterator[PortResult]:
        """Every terminal of the job in walking order, scanned or not."""
        for box in self.plan.boxes:
            for letter in box.letters:
                yield self._result(box, letter)

    def _result(self, box: BoxPlan, letter: str) -> PortResult:
        visits = self.visits.get((box.row.key, letter))
        if visits is None:
            return PortResult(box.row.tag, letter, "not scanned")
        needed = self._needed(box, letter)
        found = _merged(visits, needed)
        missing = tuple(NAMES[what] for what in needed if what not in found.seen)
        if found.crossings:
            return PortResult(box.row.tag, letter, "crossed", missing, tuple(found.crossings))
        return PortResult(box.row.tag, letter, "missing" if missing else "agree", missing)

    def _needed(self, box: BoxPlan, letter: str) -> tuple[What, ...]:
        """What must be found at a terminal; spares and second terminals have their two stubs and no cable."""
        return ("COM", "LIQ", "GAS") if _is_cabled(box.port_of(letter), letter) else ("LIQ", "GAS")


def _merged(visits: Iterable[_Visit], needed: Iterable[What]) -> _Visit:
    """All visits to a terminal as one.

    A visit at which everything needed was found and nothing crossed clears all before it; crossings of other
    visits stay, since a second scan of one cable does not say that the other was moved.
    """
    found = _Visit()
    for visit in visits:
        if visit.seen.issuperset(needed) and not visit.crossings:
            found = _Visit()
        found.seen |= visit.seen
        found.crossings += [each for each in visit.crossings if each not in found.crossings]
    return found


def _is_cabled(port: Port, letter: str) -> bool:
    """Whether a cable lands on a letter's terminal: not on a spare, not on the second one of a pair."""
    return bool(port.units) and letter == port.letters[0]


def _no_cable(port: Port, at: Terminal) -> str:
    if port.use == "spare":
        return "land no cable on a spare terminal: take it off, and find out which unit it serves"
    return f"land no cable on the second terminal: move it to {at[0]} {port.letters[0]}"
