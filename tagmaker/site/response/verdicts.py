"""What a response test shows, port by port and unit by unit.

Takes a system's calls and lines with their readings; gives the records that `readback --json` prints. A place
of which more than one reading differs from its best answer is unclear: one is corrected, two are not.
"""

from collections.abc import Mapping, Sequence

from msgspec import Struct

from tagmaker.plan.response import SystemCalls
from tagmaker.site.response.signals import Reading, read, word_of
from tagmaker.site.response.weigh import SILENT, STATES, Answer, Port, Unit, Weighed, differences, weigh
from tagmaker.tags.response import Line

__all__ = ["Judged", "PortVerdict", "Readings", "UnitVerdict", "judge"]

WRONG_AT_MOST = 1
"""Readings of one place that may differ from its answer: words of a box differ in three rounds at least."""
LEAST_APART = 2
"""Rounds read in which a word must differ from the others of its box: with one, a wrong reading decides."""
Readings = Mapping[tuple[str, str, str], Sequence[str]]
"""By box in capitals, letter or port, and unit in capitals ("" for a stub): a reading a round."""


class PortVerdict(Struct, frozen=True):
    """A port or pair, or a spare stub, and what answers there.

    `cable_of` is the port, as planned, whose cable lands there; `candidates` are what a tie leaves; `misread`
    the rounds whose readings differ.
    """

    box: str
    port: str
    verdict: str
    cable_of: str = ""
    candidates: tuple[str, ...] = ()
    misread: tuple[int, ...] = ()

    @property
    def name(self) -> str:
        """The port with its box."""
        return f"{self.box}/{self.port}"


class UnitVerdict(Struct, frozen=True):
    """A unit and the port as planned; `piped_to` is the port whose gas reaches it.

    Without `stub_read` the stub of that port was not read, or is unclear: then "as piped" is only that the
    unit gets what its port calls for, and a cable that was moved together with its pipe does not show.
    """

    unit: str
    box: str
    port: str
    verdict: str
    piped_to: str = ""
    candidates: tuple[str, ...] = ()
    misread: tuple[int, ...] = ()
    stub_read: bool = False

    @property
    def planned(self) -> str:
        """Its port as planned, with its box."""
        return f"{self.box}/{self.port}"


class Judged(Struct, frozen=True):
    """A system's verdicts; `turned` are the boxes in capitals whose mains are exchanged.

    `states` has, of each pair whose halves differ, what each half does; `one_sided` how a port answers whose
    units alone were read: opposite, heat only or cool only.
    """

    calls: SystemCalls
    ports: tuple[PortVerdict, ...]
    units: tuple[UnitVerdict, ...]
    turned: frozenset[str]
    states: Mapping[str, tuple[str, ...]]
    one_sided: Mapping[str, str] = {}


def judge(calls: SystemCalls, lines: Sequence[Line], readings: Readings) -> Judged:
    """The verdicts of a system whose lines are those of its plan."""
    return _Judge(calls, lines, readings).judged()


class _Judge:
    """One system being judged; places are numbered as `weigh` has them: calls first, then spare stubs."""

    def __init__(self, calls: SystemCalls, lines: Sequence[Line], readings: Readings) -> None:
        self.calls, self.rounds = calls, calls.rounds
        self.names = [(call.box, call.port) for call in calls.ports]
        self.words = [word_of(call.calls) for call in calls.ports]
        number_of = {(call.box.upper(), call.port): at for at, call in enumerate(calls.ports)}
        stubs = [line for line in lines if not line.unit]
        found = {(line.box.upper(), line.port): self._read(readings, line) for line in stubs}
        self.ports = [
            Port(
                call.box.upper(),
                word,
                tuple(found.get((call.box.upper(), letter), Reading()) for letter in call.port.split("+")),
                is_cool_only=word == 0,
            )
            for call, word in zip(calls.ports, self.words, strict=True)
        ]
        for line in stubs:
            if not line.calls:
                self.names.append((line.box, line.port))
                self.ports.append(Port(line.box.upper(), None, (found[line.box.upper(), line.port],)))
        self.unit_lines = [line for line in lines if line.unit]
        self.units = [
            Unit(number_of[line.box.upper(), line.call], self._read(readings, line))
            for line in self.unit_lines
        ]
        self.weighed: Weighed = weigh(self.ports, self.units)

    def _read(self, readings: Readings, line: Line) -> Reading:
        return read(readings.get((line.box.upper(), line.port, line.unit.upper()), ()), self.rounds)

    def judged(self) -> Judged:
        """All verdicts."""
        ports = tuple(self._port(number) for number in range(len(self.ports)))
        units = tuple(self._unit(at) for at in range(len(self.units)))
        halves = {
            self._name(number): next(iter(answers)).states
            for number, answers in enumerate(self.weighed.ports)
            if len(answers) == 1 and len(set(next(iter(answers)).states)) > 1 and self._is_clear(number)
        }
        return Judged(self.calls, ports, units, self.weighed.turned, halves, self._one_sided(units))

    def _one_sided(self, units: Sequence[UnitVerdict]) -> dict[str, str]:
        """How ports answer of which no stub was read, where all their units agree; as called is left out."""
        found: dict[str, set[str]] = {}
        for unit, verdict in zip(self.units, units, strict=True):
            if verdict.verdict == "as piped" and not self._is_read(unit.port):
                word = self.words[unit.port]
                costs = [(unit.reading.off(word, state), state) for state in STATES]
                least = [state for cost, state in costs if cost == min(costs)[0]]
                found.setdefault(verdict.planned, set()).add("" if "" in least else least[0])
        return {name: states.pop() for name, states in found.items() if len(states) == 1 and "" not in states}

    def _name(self, number: int) -> str:
        return "/".join(self.names[number])

    def _is_clear(self, number: int) -> bool:
        return len(self.weighed.ports[number]) == 1 and self.weighed.port_worst[number] <= WRONG_AT_MOST

    def _is_read(self, number: int) -> bool:
        return any(each.count for each in self.ports[number].stubs)

    # --- ports ----------------------------------------------------------------------------------------------

    def _port(self, number: int) -> PortVerdict:
        box, port = self.names[number]
        answers = sorted(self.weighed.ports[number])
        if not self._is_read(number):
            return PortVerdict(box, port, "not seen")
        if not self._is_clear(number):
            candidates = dict.fromkeys(self._candidate(number, each) for each in answers)
            return PortVerdict(box, port, "unclear", candidates=tuple(candidates))
        near = self._near(answers[0].word, self.ports[number].stubs)
        if near:
            candidates = dict.fromkeys((self._candidate(number, answers[0]), *near))
            return PortVerdict(box, port, "unclear", candidates=tuple(candidates))
        verdict = self._verdict(number, answers[0])
        cable_of = self._name(answers[0].word) if answers[0].word != SILENT else ""
        wrong = 0
        for each in differences(self.ports[number].stubs, answers[0], self.words):
            wrong |= each
        return PortVerdict(box, port, verdict, cable_of, misread=_rounds(wrong))

    def _near(self, word: int, readings: Sequence[Reading]) -> list[str]:
        """The ports of a word's box whose words are hardly another in the rounds that were read."""
        if word == SILENT:
            return []
        seen = 0
        for each in readings:
            seen |= each.hot | each.cold | each.still
        return [
            self._name(other)
            for other, call in enumerate(self.calls.ports)
            if other != word
            and call.box == self.calls.ports[word].box
            and self.words[other] != self.words[word]
            and ((self.words[other] ^ self.words[word]) & seen).bit_count() < LEAST_APART
        ]

    def _verdict(self, number: int, answer: Answer) -> str:
        """The verdict of one answer; of a pair whose halves differ that of the half that is not as called."""
        state = next((each for each in answer.states if each), "")
        if answer.word == SILENT:
            return state or "no answer"
        return state or "as called" if answer.word == number else "answers other"

    def _candidate(self, number: int, answer: Answer) -> str:
        """An answer of a tie: the port whose cable it would be, or what its own port would do."""
        if answer.word not in {SILENT, number}:
            return self._name(answer.word)
        verdict = self._verdict(number, answer)
        return self._name(number) if verdict == "as called" else verdict

    # --- units ----------------------------------------------------------------------------------------------

    def _unit(self, at: int) -> UnitVerdict:
        line, unit = self.unit_lines[at], self.units[at]
        options = sorted(self.weighed.units[at])
        head = (line.unit, line.box, line.port)
        if not unit.reading.count:
            return UnitVerdict(*head, "not seen")
        if len(options) != 1 or self.weighed.unit_worst[at] > WRONG_AT_MOST:
            names = tuple("no answer" if each == SILENT else self._name(each) for each in options)
            return UnitVerdict(*head, "unclear", candidates=names)
        if options[0] == SILENT:
            return UnitVerdict(*head, "no answer")
        words = {each.word for each in self.weighed.ports[options[0]]} if self._is_read(options[0]) else set()
        near = [name for word in words or {options[0]} for name in self._near(word, [unit.reading])]
        if near:
            candidates = dict.fromkeys((self._name(options[0]), *near))
            return UnitVerdict(*head, "unclear", candidates=tuple(candidates))
        return self._on_port(head, unit, options[0])

    def _on_port(self, head: tuple[str, str, str], unit: Unit, port: int) -> UnitVerdict:
        """A unit that one port's gas reaches.

        Where that port's stub was not read, or is not clear, its cable may be what was moved.
        """
        misread = _rounds(min(self._wrong(unit, port), key=int.bit_count))
        name, is_known = self._name(port), self._is_read(port) and self._is_clear(port)
        if port == unit.port:
            return UnitVerdict(*head, "as piped", name, misread=misread, stub_read=is_known)
        if not is_known:
            return UnitVerdict(*head, "cable or pipe", "", (name,), misread)
        return UnitVerdict(*head, "piped to other", name, misread=misread, stub_read=True)

    def _wrong(self, unit: Unit, port: int) -> list[int]:
        """The rounds in which a unit differs from what its stub carries, for each half and state."""
        answers = self.weighed.ports[port]
        if not self._is_read(port):
            answers = frozenset(Answer(each.word, (state,)) for each in answers for state in STATES)
        halves = {Answer(each.word, (state,)) for each in answers for state in each.states}
        found = [differences((unit.reading,), each, self.words)[0] for each in halves]
        return found or [0]


def _rounds(wrong: int) -> tuple[int, ...]:
    """The numbers of rounds in a set of bits."""
    return tuple(at + 1 for at in range(wrong.bit_length()) if wrong >> at & 1)
