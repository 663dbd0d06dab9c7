"""A site with crossed lines, simulated: what would be read in a response test, and what is true."""

import random
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from tagmaker.plan.response import Call, SystemCalls
from tagmaker.plan.response_words import Caller, find_words, letters
from tagmaker.site.response.verdicts import Judged, judge
from tagmaker.tags.response import Line

__all__ = ["LETTERS", "Outcome", "Site", "Table"]
__all__ += ["misread", "outcome", "outcome_of_units", "seeded_fault", "site"]

LETTERS = "ABCDEFGHIJKLMNOP"
LOADS = (7500, 9000, 12000, 18000, 24000, 36000)
Outcome = Literal["exact", "unclear", "wrong"]
Table = dict[tuple[str, str, str], list[str]]
"""Readings by box, port and unit, as `judge` takes them."""


@dataclass(frozen=True)
class Site:
    """A system as called, its lines, and for each called port the box that it is in."""

    calls: SystemCalls
    lines: tuple[Line, ...]

    @property
    def boxes(self) -> list[str]:
        """The box of each called port."""
        return [call.box for call in self.calls.ports]

    def read(self, cables: Sequence[int], pipes: Sequence[int]) -> Table:
        """What is read where stub i has the cable of port `cables[i]`, unit i is piped to stub `pipes[i]`.

        Ports and units are numbered in the order of the calls.
        """
        ports = self.calls.ports
        number = {(call.box, call.port): at for at, call in enumerate(ports)}
        table: Table = {}
        unit = 0
        for line in self.lines:
            if line.unit:
                table[line.box, line.port, line.unit] = list(ports[cables[pipes[unit]]].calls)
                unit += 1
            elif line.calls:
                table[line.box, line.port, ""] = list(ports[cables[number[line.box, line.port]]].calls)
            else:
                table[line.box, line.port, ""] = ["0"] * self.calls.rounds
        return table

    @property
    def homes(self) -> list[int]:
        """The port of each unit as planned."""
        number = {(call.box, call.port): at for at, call in enumerate(self.calls.ports)}
        return [number[line.box, line.call] for line in self.lines if line.unit]

    def judge(self, table: Table) -> Judged:
        """The verdicts of these readings."""
        return judge(self.calls, self.lines, table)


def site(*sizes: int, shared: int = 0, spares: int = 1, seed: int = 0) -> Site:
    """A system of boxes with so many used ports; every `shared`-th port has two units."""
    rng = random.Random(seed)  # noqa: S311 — a site, nothing secret
    boxes = [f"BB-{at + 1}" for at, size in enumerate(sizes) for _ in range(size)]
    found = find_words([Caller(box, rng.choice(LOADS)) for box in boxes])
    assert found is not None
    names = [(f"BB-{at + 1}", LETTERS[port]) for at, size in enumerate(sizes) for port in range(size)]
    calls = [
        Call(
            box,
            port,
            _units(at, shared),
            letters(word, found.rounds),
        )
        for at, ((box, port), word) in enumerate(zip(names, found.words, strict=True))
    ]
    lines = [Line(call.box, call.port, "", call.calls, call.port) for call in calls]
    lines += [
        Line(f"BB-{at + 1}", LETTERS[port], "", "")
        for at, size in enumerate(sizes)
        for port in range(size, size + spares)
    ]
    lines += [Line(call.box, call.port, unit, call.calls, call.port) for call in calls for unit in call.units]
    return Site(SystemCalls("HR-1", found.rounds, "3F2A91C2", found.heat_share, tuple(calls)), tuple(lines))


def _units(at: int, shared: int) -> tuple[str, ...]:
    """The units of a port: one, or two."""
    ends = "AB" if shared and at % shared == shared - 1 else "A"
    return tuple(f"FC-{at + 1}{end}" for end in ends)


def seeded_fault(of: Site, rng: random.Random) -> tuple[list[int], list[int]]:
    """Cables, pipes or both, exchanged between two ports or along a cycle; four of five within a box.

    Pipes are those of whole ports, or of single units behind a splitter.
    """
    count, homes = len(of.calls.ports), of.homes
    cables, stubs, units = list(range(count)), list(range(count)), list(range(len(homes)))
    kind = rng.choice(["cables", "pipes", "units", "both", "moved"])
    chosen = _chosen(of, rng)
    if kind in {"cables", "both", "moved"}:
        _cycle(cables, chosen)
    if kind == "moved":  # the pipe went with the cable
        for at in range(count):
            stubs[cables[at]] = at
    if kind in {"pipes", "both"}:
        _cycle(stubs, _chosen(of, rng))
    if kind == "units":
        first = {port: unit for unit, port in reversed(list(enumerate(homes)))}
        _cycle(units, [first[port] for port in chosen])
    return cables, [stubs[homes[unit]] for unit in units]


def _chosen(of: Site, rng: random.Random) -> list[int]:
    """Two ports, or now and then three or four, of one box as a rule."""
    boxes, count = of.boxes, rng.choice([2, 2, 2, 3, 4])
    box = rng.choice(boxes)
    own = [at for at, each in enumerate(boxes) if each == box]
    pool = own if rng.random() < 0.8 and len(own) >= count else list(range(len(boxes)))
    return rng.sample(pool, min(count, len(pool)))


def _cycle(places: list[int], chosen: Sequence[int]) -> None:
    """Exchange what is at these places along a cycle."""
    were = [places[at] for at in chosen]
    for at, each in zip(chosen, [*were[1:], *were[:1]], strict=True):
        places[at] = each


def misread(table: Table, keys: Sequence[tuple[str, str, str]], rng: random.Random) -> None:
    """Read one round of each of these places wrong: the other mode, or now and then no change."""
    for key in keys:
        number = rng.randrange(len(table[key]))
        others = [each for each in "HHHCCC0" if each != table[key][number]]
        table[key][number] = rng.choice(others)


def outcome(of: Site, judged: Judged, cables: Sequence[int], pipes: Sequence[int]) -> Outcome:
    """Whether all verdicts are what is true, some say that they do not know, or one is wrong."""
    names = [call.name for call in of.calls.ports]
    outcomes: set[Outcome] = set()
    for at, port in enumerate(judged.ports[: len(names)]):
        true = ("as called" if cables[at] == at else "answers other", names[cables[at]])
        outcomes.add(_one((port.verdict, port.cable_of), true))
    outcomes |= {
        _one((port.verdict, port.cable_of), ("no answer", "")) for port in judged.ports[len(names) :]
    }
    for unit, home, pipe in zip(judged.units, of.homes, pipes, strict=True):
        true = ("as piped" if pipe == home else "piped to other", names[pipe])
        outcomes.add(_one((unit.verdict, unit.piped_to), true))
    return _worst(outcomes)


def outcome_of_units(of: Site, judged: Judged, cables: Sequence[int], pipes: Sequence[int]) -> Outcome:
    """The same where no stub was read: then a unit has its own port's word, or another's by cable or pipe."""
    names = [call.name for call in of.calls.ports]
    outcomes: set[Outcome] = set()
    for unit, home, pipe in zip(judged.units, of.homes, pipes, strict=True):
        word = cables[pipe]
        true = ("as piped" if word == home else "cable or pipe", names[word])
        found = unit.piped_to or ", ".join(unit.candidates)
        is_found = (unit.verdict, found) == true
        outcomes.add("exact" if is_found else "unclear" if unit.verdict == "unclear" else "wrong")
    return _worst(outcomes)


def _worst(outcomes: set[Outcome]) -> Outcome:
    return "wrong" if "wrong" in outcomes else "unclear" if "unclear" in outcomes else "exact"


def _one(found: tuple[str, str], true: tuple[str, str]) -> Outcome:
    if found == true:
        return "exact"
    return "unclear" if found[0] in {"unclear", "not seen", "cable or pipe"} else "wrong"
