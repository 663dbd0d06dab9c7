"""All readings of one system weighed together: whose call reaches each stub, and which stub each unit is on.

Takes the ports and units of a system with their words and readings; gives for each stub and unit every answer
that some explanation with the fewest wrong readings has. One answer is a finding, several are a tie, which
nobody breaks. A port that answers its own word turned round, or in one mode alone, and gas mains that are
exchanged, are answers like any other, and cost no exchange of lines.

Stubs first: a word lands on one stub. Then units against what each stub was found to carry: a unit is on one
stub, together with the others of its port, or alone where their readings differ (behind the splitter).
"""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from itertools import product

from msgspec import Struct
from msgspec.structs import replace

from tagmaker.site.response.assign import NONE, Assigned, assign
from tagmaker.site.response.signals import Reading, State

__all__ = ["SILENT", "STATES", "Answer", "Port", "Unit", "Weighed", "differences", "weigh"]

SILENT = NONE
"""The word of a port that nothing calls."""
STATES: tuple[State, ...] = ("", "opposite", "heat only", "cool only")
MARGIN = 1
"""An exchange of lines must save more readings than this: one that saves a single reading is not claimed."""
CLEAR_SPLIT = 3  # readings by which units of one port must differ to be surely on two stubs


class Port(Struct, frozen=True):
    """A port or pair with its word, or a spare stub with none; the readings of its stubs, one a letter.

    Called ports come first, and their number is that of their word.
    """

    box: str
    word: int | None
    stubs: tuple[Reading, ...]
    is_cool_only: bool = False


class Unit(Struct, frozen=True):
    """A unit that is called: the number of its port, and its readings."""

    port: int
    reading: Reading


class Answer(Struct, frozen=True, order=True):
    """Whose word a stub answers (SILENT: none) and how; of a pair the states of both halves."""

    word: int
    states: tuple[str, ...] = ("",)


QUIET = Answer(SILENT)


class Weighed(Struct, frozen=True):
    """Every answer of each port and unit in a best explanation, and the boxes whose mains are exchanged.

    A unit's answers are numbers of ports, SILENT for none. `port_worst` and `unit_worst` are the most
    readings of one place that differ with its answers. `states` are those of ports of which no stub was read.
    """

    total: int
    ports: tuple[frozenset[Answer], ...]
    units: tuple[frozenset[int], ...]
    port_worst: tuple[int, ...]
    unit_worst: tuple[int, ...]
    turned: frozenset[str] = frozenset()
    states: Mapping[int, State] = {}


def weigh(ports: Sequence[Port], units: Sequence[Unit]) -> Weighed:
    """The best explanations, with and without valves and mains that the readings suggest.

    A stub that was not read has one state for all units on it, so that each state is tried by itself.
    """
    best = _weigh(ports, units, frozenset(), {})
    for port, state in _stuck(ports, units):
        other = _weigh(ports, units, frozenset(), {**best.states, port: state})
        best = _better(best, other)
    for box in _suspected(ports, units):
        states = {
            at: state for at, state in best.states.items() if (ports[at].box, state) != (box, "opposite")
        }
        other = _weigh(ports, units, best.turned | {box}, states)
        is_whole = all(_is_at_home(each, box, ports, units) for each in (best, other))
        best = other if is_whole and other.total == best.total else _better(best, other)
    return best


def _better(one: Weighed, other: Weighed) -> Weighed:
    """The explanation with fewer wrong readings; of two that cost the same every answer of either."""
    if one.total == other.total:
        return _both(one, other)
    return one if one.total < other.total else other


def _stuck(ports: Sequence[Port], units: Sequence[Unit]) -> Iterator[tuple[int, State]]:
    """Ports of which no stub was read, with the states that their units fit at least as well as the call."""
    readings: dict[int, list[Reading]] = {}
    for unit in units:
        if unit.reading.count and not any(each.count for each in ports[unit.port].stubs):
            readings.setdefault(unit.port, []).append(unit.reading)
    for number, those in readings.items():
        word = ports[number].word or 0
        called = sum(each.off(word) for each in those)
        for state in STATES[1:2] if ports[number].is_cool_only else STATES[1:]:
            if called and sum(each.off(word, state) for each in those) <= called:
                yield number, state


def _is_at_home(found: Weighed, box: str, ports: Sequence[Port], units: Sequence[Unit]) -> bool:
    """Whether an explanation exchanges no line of a box.

    Mains that are exchanged then explain all of it, and valves that are all turned round nothing more.
    """
    own_ports = [
        {each.word for each in answers} == {number}
        for number, (port, answers) in enumerate(zip(ports, found.ports, strict=True))
        if port.box == box and port.word is not None and any(each.count for each in port.stubs)
    ]
    own_units = [
        on == {unit.port}
        for unit, on in zip(units, found.units, strict=True)
        if ports[unit.port].box == box and unit.reading.count
    ]
    return all(own_ports) and all(own_units)


def _both(one: Weighed, other: Weighed) -> Weighed:
    """Two explanations that cost the same: every answer of either."""
    return replace(
        one,
        ports=tuple(a | b for a, b in zip(one.ports, other.ports, strict=True)),
        units=tuple(a | b for a, b in zip(one.units, other.units, strict=True)),
    )


def _suspected(ports: Sequence[Port], units: Sequence[Unit]) -> Iterator[str]:
    """The boxes whose readings fit the box's own words better, or as well, when they are turned round."""
    places: dict[str, list[tuple[int, Reading]]] = {}
    for number, port in enumerate(ports):
        if port.word is not None:
            places.setdefault(port.box, []).extend((number, each) for each in port.stubs)
    for unit in units:
        places.setdefault(ports[unit.port].box, []).append((unit.port, unit.reading))
    for box, readings in places.items():
        words = [port.word for port in ports if port.box == box and port.word is not None]
        several = len({number for number, each in readings if each.count}) > 1
        plain = sum(min(each.off(word) for word in words) for _, each in readings)
        turned = sum(min(each.turned.off(word) for word in words) for _, each in readings)
        if several and plain and turned <= plain:
            yield box


def _weigh(
    ports: Sequence[Port], units: Sequence[Unit], turned: frozenset[str], states: Mapping[int, State]
) -> Weighed:
    """The best explanations where mains of these boxes are exchanged and stubs not read are so stuck."""
    words = [port.word for port in ports if port.word is not None]
    stubs = _Stubs(ports, words, turned)
    landed = stubs.assigned
    answers = tuple(stubs.answers(number) for number in range(len(ports)))
    carried = [
        _carried(port, number, own, states.get(number, "opposite" if port.box in turned else ""))
        for number, (port, own) in enumerate(zip(ports, answers, strict=True))
    ]
    total, on, worst = _piped(units, carried, words)
    return Weighed(
        landed.total + total,
        answers,
        on,
        tuple(stubs.worst(number, own) for number, own in enumerate(answers)),
        worst,
        turned,
        states,
    )


# --- stubs --------------------------------------------------------------------------------------------------


class _Stubs:
    """Words being given to stubs."""

    def __init__(self, ports: Sequence[Port], words: Sequence[int], turned: frozenset[str]) -> None:
        self.ports, self.words = ports, words
        self.readings = [
            tuple(each.turned for each in port.stubs) if port.box in turned else port.stubs for port in ports
        ]
        self.turned = [port.box in turned for port in ports]
        costs = [[self._cost(number, word) for word in range(len(words))] for number in range(len(ports))]
        silent = [self._silent(number) for number in range(len(ports))]
        self.assigned: Assigned = assign(costs, silent, MARGIN)

    def _cost(self, number: int, word: int) -> int:
        readings = self.readings[number]
        if word == number:
            return sum(min(cost for cost, _ in self._own(number, each)) for each in readings)
        return sum(each.off(self.words[word]) for each in readings)

    def _own(self, number: int, reading: Reading) -> list[tuple[int, str]]:
        """How many readings differ from its own word in each state; a half of a pair may be silent."""
        port, word = self.ports[number], self.words[number]
        states = STATES[:2] if port.is_cool_only else STATES
        own = [(reading.off(word, state), str(state)) for state in states]
        return [*own, (reading.answers, "no answer")] if len(port.stubs) > 1 else own

    def _silent(self, number: int) -> int:
        """What a stub costs that nothing calls; a spare one may be hot or cold all the time."""
        readings = self.readings[number]
        if self.ports[number].word is not None:
            return sum(each.answers for each in readings)
        return sum(min(cost for cost, _ in _alone(each)) for each in readings)

    def answers(self, number: int) -> frozenset[Answer]:
        """Every answer of a port."""
        found: set[Answer] = set()
        for word in self.assigned.options[number]:
            if word == number:
                found |= {Answer(word, states) for states in self._states(number)}
            elif word == NONE and self.ports[number].word is None:
                found |= {Answer(SILENT, (state,)) for state in _least(_alone(self.readings[number][0]))}
            else:
                found.add(Answer(word, ("",) * len(self.ports[number].stubs)))
        if self.turned[number]:
            return frozenset(each if each == QUIET else _turned_answer(each) for each in found)
        return frozenset(found)

    def _states(self, number: int) -> Iterable[tuple[str, ...]]:
        """The states of its halves; a half that was not read is as the other."""
        seen = [each for each in self.readings[number] if each.count] or [self.readings[number][0]]
        each_half = [_least(self._own(number, each)) for each in seen]
        return product(*each_half)

    def worst(self, number: int, answers: frozenset[Answer]) -> int:
        """The most readings of one stub that differ with a port's answers."""
        port = self.ports[number]
        return max(
            (
                wrong.bit_count()
                for answer in answers
                for wrong in differences(port.stubs, answer, self.words)
            ),
            default=0,
        )


def _alone(reading: Reading) -> list[tuple[int, str]]:
    """How many readings differ from those of a stub that nothing calls: none, hot, or cold all the time."""
    return [
        (reading.answers, ""),
        ((reading.cold | reading.still).bit_count(), "heat only"),
        ((reading.hot | reading.still).bit_count(), "cool only"),
    ]


def _least(costs: list[tuple[int, str]]) -> list[str]:
    least = min(costs)[0]
    return [state for cost, state in costs if cost == least]


def _turned_answer(answer: Answer) -> Answer:
    return replace(answer, states=tuple(map(_turned, answer.states)))


def _turned(state: str) -> str:
    """A state as it is where the mains are exchanged."""
    turned = {"": "opposite", "opposite": "", "heat only": "cool only", "cool only": "heat only"}
    return turned.get(state, state)


def differences(stubs: Sequence[Reading], answer: Answer, words: Sequence[int]) -> list[int]:
    """The rounds in which each stub differs from an answer, as sets of bits."""
    states = answer.states if len(answer.states) == len(stubs) else answer.states[:1] * len(stubs)
    return [_difference(each, answer.word, state, words) for each, state in zip(stubs, states, strict=True)]


def _difference(reading: Reading, word: int, state: str, words: Sequence[int]) -> int:
    if state == "no answer":
        return reading.hot | reading.cold
    if word != SILENT:
        for known in STATES:
            if known == state:
                return reading.wrong(words[word], known)
    kept = {"heat only": reading.cold | reading.still, "cool only": reading.hot | reading.still}
    return kept.get(state, reading.hot | reading.cold)


# --- units --------------------------------------------------------------------------------------------------


class Carried(Struct, frozen=True):
    """What a stub may carry: words with states; none where nothing answers there."""

    signals: tuple[tuple[int, str], ...]


def _carried(port: Port, number: int, answers: frozenset[Answer], state: State) -> Carried:
    """What a stub carries by its readings; one that was not read carries its own word, where that can be."""
    if any(each.count for each in port.stubs):
        found = {(each.word, own) for each in answers for own in each.states if own != "no answer"}
    elif port.word is None:  # a spare stub that was not read is taken for one
        found = set()
    elif any(each.word == number for each in answers):
        found = {(number, str(state))}
    else:
        found = {(each.word, own) for each in answers for own in each.states}
    return Carried(tuple(sorted(each for each in found if each[0] != SILENT)))


def _piped(
    units: Sequence[Unit], carried: Sequence[Carried], words: Sequence[int]
) -> tuple[int, tuple[frozenset[int], ...], tuple[int, ...]]:
    """The ports that each unit may be on, the total of wrong readings, and the most at each unit.

    Units of a port are on one stub together unless their readings differ. Where one wrong reading could make
    or hide that they differ, both is tried, and together costs one reading more before it is left out.
    """
    costs = [[_unit_cost(unit.reading, each, words) for each in carried] for unit in units]
    groups: dict[int, list[int]] = {}
    for at, unit in enumerate(units):
        groups.setdefault(unit.port, []).append(at)
    sure = frozenset(port for port, own in groups.items() if _differ(own, costs, units) >= CLEAR_SPLIT)
    shared = frozenset(port for port, own in groups.items() if len(own) > 1)
    maybe = frozenset(port for port, own in groups.items() if _differ(own, costs, units) > 0)
    solved = [
        _with_split(split, groups, costs, units, carried) for split in dict.fromkeys((sure, maybe, shared))
    ]
    least = min(total for total, _ in solved)
    best = [on for total, on in solved if total == least or (on is solved[0][1] and total == least + 1)]
    on = tuple(frozenset().union(*(each[at] for each in best)) for at in range(len(units)))
    worst = tuple(
        max((costs[at][port] if port != SILENT else units[at].reading.answers for port in own), default=0)
        for at, own in enumerate(on)
    )
    return least, on, worst


def _unit_cost(reading: Reading, carried: Carried, words: Sequence[int]) -> int:
    """How many readings of a unit differ from what a stub carries; one that carries nothing is no choice."""
    if not carried.signals:
        return reading.answers + 1 + MARGIN
    return min(_difference(reading, word, state, words).bit_count() for word, state in carried.signals)


def _differ(own: Sequence[int], costs: Sequence[Sequence[int]], units: Sequence[Unit]) -> int:
    """How many wrong readings are saved where the units of a port are not taken together."""
    if len(own) < 2:
        return 0
    apart = sum(min(*costs[at], units[at].reading.answers) for at in own)
    silent = sum(units[at].reading.answers for at in own)
    together = min(silent, *(sum(costs[at][port] for at in own) for port in range(len(costs[own[0]]))))
    return together - apart


def _with_split(
    split: frozenset[int],
    groups: dict[int, list[int]],
    costs: Sequence[Sequence[int]],
    units: Sequence[Unit],
    carried: Sequence[Carried],
) -> tuple[int, list[frozenset[int]]]:
    """Units to stubs where those of the ports in `split` go one by one: a stub has room for as many."""
    rows = [[at] for port, own in groups.items() if port in split for at in own]
    rows += [own for port, own in groups.items() if port not in split]
    rows.sort()
    slots = [port for port, own in groups.items() for _ in (own if port in split else own[:1])]
    slots += [port for port, each in enumerate(carried) if port not in groups and each.signals]
    table = [[sum(costs[at][port] for at in row) for port in slots] for row in rows]
    alone = [sum(units[at].reading.answers for at in row) for row in rows]
    found = assign(table, alone, MARGIN)
    on: list[frozenset[int]] = [frozenset()] * len(units)
    for row, options in zip(rows, found.options, strict=True):
        for at in row:
            on[at] = frozenset(SILENT if slot == NONE else slots[slot] for slot in options)
    return found.total, on
