"""The landing check: whether the tags scanned at each terminal belong to that terminal.

A terminal's tag opens its port; every cable and pipe tag until the next terminal's must be of that letter, so
the order of scanning counts. What cannot be read may be the next terminal: it closes the open one, and what
follows counts for none until a terminal is read. A crossing names both ends and how to correct it. The check
shows that the stickers agree, and nothing else: a sticker can be on the wrong cable.
"""

from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from types import MappingProxyType
from typing import Literal

from msgspec import Struct

from tagmaker.plan.model import BoxPlan, Plan, Port
from tagmaker.site.scans.codes import Scan
from tagmaker.site.scans.judge import is_other_job
from tagmaker.site.scans.times import NOT_KNOWN, Span
from tagmaker.tags.codes import UNIT_WHAT, TagCode, What

__all__ = ["PROVES", "Crossing", "Landed", "Landing", "LandingResult", "Outcome", "PortResult"]

PROVES = (
    "This shows only that tags match. It does not prove that a cable was rung out or a line traced: "
    "record those on the verification sheet."
)
LandingResult = Literal["agree", "missing", "crossed", "not scanned"]
Outcome = Literal["", "opened", "agrees", "crossed", "not counted", "closed"]
"""What one scan did: opened a terminal, agreed or was crossed there, counted for nothing, closed one."""
NAMES: Mapping[What, str] = MappingProxyType({"COM": "cable", "LIQ": "liquid line", "GAS": "gas line"})
"""What can be crossed at a terminal, as the report names it."""
AT_A_PORT: frozenset[What] = frozenset({"TRM", *NAMES})
ELSEWHERE: frozenset[What] = frozenset({"ISO", *UNIT_WHAT.values()})
"""What labels are on that are put neither on a box nor on a cable or pipe."""
USES: Mapping[What, str] = MappingProxyType({"COM": "cable", "LIQ": "pipe", "GAS": "pipe"})
"""The keys of [print] whose stocks carry their codes."""
NEVER: tuple[What, ...] = ("TRM",)
"""Where no label carries a code nothing can be found: a terminal that is scanned twice clears no crossing."""
DEAD = "isolate power, prove it dead"
"""What comes before any cable is moved."""
Terminal = tuple[str, str]
"""A terminal: its box in capitals and its letter."""
ALWAYS = "~"
"""After any time."""


class Crossing(Struct, frozen=True):
    """A tag scanned at a terminal that is not its own: both ends in words, and how to correct it."""

    terminal: str
    tag: str
    message: str
    mend: str


class Landed(Struct, frozen=True):
    """What one scan did, and the line that answers it, "" where it is no terminal's and closes none."""

    outcome: Outcome = ""
    line: str = ""


@dataclass
class _Visit:
    """One visit to a terminal: which of cable, liquid and gas were found there, and what is crossed.

    `closed` is what ended the visit where that was no terminal of the job, in words. `source` is what was
    scanned by one person, `time` is when; `is_live` is set of a visit that was answered as it was made: it is
    later than all before it.
    """

    source: object
    time: Span = NOT_KNOWN
    is_live: bool = False

    seen: set[What] = field(default_factory=set)
    crossings: dict[Crossing, None] = field(default_factory=dict)
    closed: str = ""


class PortResult(Struct, frozen=True):
    """A terminal's result, what is missing or crossed there, and what closed it before the next terminal.

    `closed` is a text such as "an unknown code (scans.txt:3)", empty where a terminal of the job came next.
    """

    box: str
    letter: str
    result: LandingResult
    missing: tuple[str, ...] = ()
    crossings: tuple[Crossing, ...] = ()
    closed: str = ""


@dataclass
class Landing:
    """A landing check in progress: tags are put in one by one, each answered with one line.

    `known` are the codes of all the job's tags: any other tag is reported and not counted. `at` is the
    terminal that is open, None before the first one and after anything that closed it. A terminal may be
    visited again: `visits` keeps all, so that a later visit can clear what an earlier one found. `source`,
    `time` and `is_live` are those of the scans that follow, see `_Visit`.
    """

    plan: Plan
    known: frozenset[str]
    visits: dict[Terminal, list[_Visit]] = field(default_factory=dict)
    at: Terminal | None = None
    source: object = field(default_factory=object)
    time: Span = NOT_KNOWN
    is_live: bool = False
    boxes: dict[str, BoxPlan] = field(init=False)

    def __post_init__(self) -> None:
        self.boxes = {box.row.key: box for box in self.plan.boxes}

    def put(self, scan: Scan) -> Landed:
        """Take one scan; what it did."""
        tag = scan.tag
        if tag is None or tag.what not in AT_A_PORT or not tag.port:
            return self._close(self._ends(scan))
        if tag.what == "TRM":
            return self._open(tag, scan.source)
        if self.at is None:
            code = f"{tag.box}/{tag.port}/TRM"
            first = f"type its terminal {code}" if self._is_uncoded("terminal") else "scan a terminal"
            return Landed("not counted", f"{scan.text}: {first} first; this tag is not counted")
        return self._land(scan.text, tag, self.at)

    def _ends(self, scan: Scan) -> str:
        """Why a scan that is no port's tag closes the open terminal; "" where the terminal stays open.

        A label or placard of the terminal's own box is met on the way; any other shows that the person is
        elsewhere, as do those of units and of isolation points. What cannot be read may be a terminal.
        """
        if scan.tag and scan.tag.what in ELSEWHERE:
            return f"a label that is not at the box ({scan.source})"
        if scan.kind == "unknown":
            return f"an unknown code ({scan.source})"
        if scan.fault:
            return f"a damaged placard ({scan.source})"
        if scan.placard and is_other_job(scan.placard.number, self.plan.job):
            return f"a placard of job {scan.placard.number} ({scan.source})"
        if scan.page and is_other_job(scan.page.job, self.plan.job):
            return f"a {scan.kind} of job {scan.page.job} ({scan.source})"
        is_elsewhere = self.at and scan.box.upper() != self.at[0]
        of_none = f"a page of the {scan.page.shown}" if scan.page and not scan.box else ""
        return f"{of_none or f'a {scan.kind} of box {scan.box}'} ({scan.source})" if is_elsewhere else ""

    def _close(self, reason: str) -> Landed:
        """Close the open terminal for a reason, which its result keeps."""
        if not reason or self.at is None:
            return Landed()
        self.visits[self.at][-1].closed = reason
        box, letter = self.at
        self.at = None
        line = f"  terminal {box} {letter} is closed: no tag counts until a terminal is scanned"
        return Landed("closed", line)

    def _open(self, tag: TagCode, source: str) -> Landed:
        """Begin a visit to a terminal; one that the job does not have only closes the one before."""
        box = self.boxes.get(tag.box)
        port = self._port(box, tag.port) if box else None
        if box is None or port is None:
            self._close(f"a terminal that the job does not have ({source})")
            line = f"{tag.box}/{tag.port}: the job has no such terminal; no tag counts until one is scanned"
            return Landed("closed", line)
        self.at = (box.row.key, tag.port)
        visits = self.visits.setdefault(self.at, [])
        visits.append(_Visit(self.source, self.time, self.is_live))
        again = " again" if len(visits) > 1 else ""
        return Landed("opened", f"terminal {box.row.tag} {tag.port}{again}: {self._expects(port, tag.port)}")

    def leave(self) -> None:
        """Begin another source: its scans belong to no terminal until one is scanned, at a time not known."""
        self.at, self.time, self.is_live = None, NOT_KNOWN, False
        self.source = object()

    def _expects(self, port: Port, letter: str) -> str:
        if port.use == "spare":
            return "spare; expect capped stubs, no cable"
        if not _is_cabled(port, letter):
            return f"second terminal of {port.name}; expect its pipes, no cable"
        return f"expects {', '.join(unit.tag for unit in port.units)}"

    def _land(self, text: str, tag: TagCode, at: Terminal) -> Landed:
        """Compare a tag with the open terminal.

        A crossing counts even if the tag is of an older set, or the picture: the cable is wrong all the same.
        A tag of the unit's end that agrees does not count: it is not on the end that is landed here.
        """
        visit = self.visits[at][-1]
        visit.time = visit.time.joined(self.time)
        wrong = self._wrong(tag, at)
        if wrong:
            crossing = Crossing(f"{at[0]} {at[1]}", text, *wrong)
            visit.crossings[crossing] = None
            return Landed("crossed", f"CROSSED: {crossing.message}; {crossing.mend}")
        if text.upper() not in self.known:
            line = f"  {text}: not a tag of the current job (an older revision?); not counted"
            return Landed("not counted", line)
        if tag.unit:
            end = "splitter" if tag.at_splitter else "unit"
            line = f"  {text}: the letter agrees, but this tag belongs at the {end}; not counted"
            return Landed("not counted", line)
        if self.time.is_old:
            return Landed("not counted", f"  {text}: the letter agrees, but the picture is old; not counted")
        visit.seen.add(tag.what)
        return Landed("agrees", f"  {text}: agrees with terminal {at[0]} {at[1]}")

    def _wrong(self, tag: TagCode, at: Terminal) -> tuple[str, str] | None:
        """What is crossed and how to correct it; None where the tag belongs to this terminal."""
        port = self._port(self.boxes[at[0]], at[1])
        what = NAMES[tag.what]
        whose = f" of {tag.unit}" if tag.unit else ""
        message = f"{what}{whose} tagged {tag.box} {tag.port} at terminal {at[0]} {at[1]}"
        if port and tag.box == at[0] and tag.port in port.letters:
            if tag.what == "COM" and not _is_cabled(port, at[1]):
                return message, _no_cable(port, at)
            is_strange = tag.unit and tag.unit.upper() not in {unit.key for unit in port.units}
            if is_strange or (tag.what == "COM" and tag.port != at[1]):
                return message, _stranger(tag)
            return None
        own = self.boxes.get(tag.box)
        mend = _moved(tag, self._port(own, tag.port) if own else None)
        return message, f"{mend}; find what belongs on {at[0]} {at[1]}"

    def _port(self, box: BoxPlan, letter: str) -> Port | None:
        return next((port for port in box.ports if letter in port.letters), None)

    def results(self) -> Iterator[PortResult]:
        """Every terminal of the job in walking order, scanned or not."""
        for box in self.plan.boxes:
            for letter in box.letters:
                yield self._result(box, letter)

    def result_at(self, at: Terminal) -> PortResult:
        """The result of a terminal of the job as it is now."""
        return self._result(self.boxes[at[0]], at[1])

    def _result(self, box: BoxPlan, letter: str) -> PortResult:
        visits = self.visits.get((box.row.key, letter))
        if visits is None:
            return PortResult(box.row.tag, letter, "not scanned")
        needed = self._needed(box, letter)
        found = _merged(visits, needed or NEVER)
        missing = tuple(NAMES[what] for what in needed if what not in found.seen)
        agreed: LandingResult = "agree" if needed or found.seen else "not scanned"
        result: LandingResult = "crossed" if found.crossings else "missing" if missing else agreed
        return PortResult(box.row.tag, letter, result, missing, tuple(found.crossings), found.closed)

    def _needed(self, box: BoxPlan, letter: str) -> tuple[What, ...]:
        """What must be found at a terminal; spares and second terminals have their two stubs and no cable.

        A tag whose stock carries no code is not expected.
        """
        is_cabled = _is_cabled(box.port_of(letter), letter)
        needed: tuple[What, ...] = ("COM", "LIQ", "GAS") if is_cabled else ("LIQ", "GAS")
        return tuple(what for what in needed if not self._is_uncoded(USES[what]))

    def _is_uncoded(self, use: str) -> bool:
        """Whether the labels of a use carry no code."""
        return use in self.plan.job.prints.without_codes


def _merged(visits: Sequence[_Visit], needed: Collection[What]) -> _Visit:
    """All visits to a terminal as one.

    A visit at which everything needed was found and nothing crossed clears all that were surely before it;
    crossings of other visits stay, since a second scan of one cable does not say that the other was moved.
    """
    clean = [
        not visit.crossings and visit.seen.issuperset(needed) and not visit.time.is_old for visit in visits
    ]
    found = _Visit(None)
    for visit, is_cleared in zip(visits, _cleared(visits, clean), strict=True):
        if not is_cleared:
            found.seen |= visit.seen
            found.crossings |= visit.crossings
            found.closed = visit.closed
    return found


def _cleared(visits: Sequence[_Visit], clean: Sequence[bool]) -> list[bool]:
    """Which visits a clean one clears: a live one all before it, any other those that were surely before it.

    Of two sources both times must be known: files come in the order of their names. Within a source the order
    decides, but that a picture may be older than what came before it.
    """
    live = max((at for at, visit in enumerate(visits) if clean[at] and visit.is_live), default=0)
    last: dict[object, str] = {}  # of each source, since when its last clean visit is
    for visit in (visit for visit, is_one in zip(visits, clean, strict=True) if is_one):
        before = last.get(visit.source, "") if visit.time.is_picture else ""  # a clock may be set back
        last[visit.source] = max(before, visit.time.since)
    latest = sorted(last.items(), key=lambda each: each[1], reverse=True)
    after: dict[object, str] = {}  # the same, of the visits that follow in the source
    cleared: list[bool] = []
    for at in reversed(range(len(visits))):
        visit, until = visits[at], visits[at].time.until
        other = next((since for source, since in latest if source is not visit.source), "")
        own = after.get(visit.source, "")
        cleared.append(at < live or bool(until and until < other) or bool(own and until <= own))
        if clean[at]:
            after[visit.source] = max(own, visit.time.since if visit.time.is_picture else ALWAYS)
    return cleared[::-1]


def _is_cabled(port: Port, letter: str) -> bool:
    """Whether a cable lands on a letter's terminal: not on a spare, not on the second one of a pair."""
    return bool(port.units) and letter == port.letters[0]


def _moved(tag: TagCode, port: Port | None) -> str:
    """How to bring a cable or pipe to its own port, None where the job has none.

    The tag may be the one that is wrong, and a pipe that is cut under pressure hurts people.
    """
    what, home = NAMES[tag.what], f"{tag.box} {tag.port}"
    if port is None:
        mend = f"the job has no {home}: find out whose {what} this is"
    elif tag.what != "COM":
        mend = f"its tag says {home}: trace this {what} to its unit"
    elif port.use == "spare":
        mend = f"{home} is spare and takes no cable: {DEAD}, take it off, find out which unit it serves"
    else:
        mend = f"{DEAD}, ring this cable out, and move it to {tag.box} {port.letters[0]}"
    return mend if tag.what == "COM" else f"{mend}; never cut a pipe because of a tag"


def _stranger(tag: TagCode) -> str:
    """What to do about a unit's tag at a port that does not have the unit, or a pair's second cable."""
    home = f"{tag.unit} on {tag.box} {tag.port}" if tag.unit else f"cable on {tag.box} {tag.port}"
    if tag.what == "COM":
        return f"the job has no {home}: {DEAD}, ring this cable out, and take off the tag that is wrong"
    return f"the job has no {home}: trace this {NAMES[tag.what]}; never cut a pipe because of a tag"


def _no_cable(port: Port, at: Terminal) -> str:
    if port.use == "spare":
        return f"land no cable on a spare terminal: {DEAD}, take it off, and find out which unit it serves"
    return f"land no cable on the second terminal: {DEAD}, and move it to {at[0]} {port.letters[0]}"
