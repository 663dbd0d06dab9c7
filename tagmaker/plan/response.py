"""A response test: which port of a system is called to heat or to cool in which round.

Takes a plan, and what is asked for; gives each system with a word for every port that is called, and the
problems of what cannot be. `Call` and `SystemCalls` are the records of response.json too.
"""

import json
import zlib
from collections.abc import Iterable, Iterator, Mapping, Sequence

from msgspec import Struct

from tagmaker.files.near import did_you_mean
from tagmaker.job.model import BoxRow, Job, UnitRow
from tagmaker.plan.model import BoxPlan, Plan, Port
from tagmaker.plan.response_words import PORTS_AT_MOST, Caller, Found, find_words, letters
from tagmaker.problems import Problem, Where, error, warning

__all__ = [
    "Asked",
    "Call",
    "SystemCalls",
    "boxes_by_system",
    "built_digest",
    "calls_digest",
    "plan_response",
]

BALANCED_ABOVE = 12  # called ports: fewer cannot be balanced well
LEAST, MOST = 0.4, 0.6  # of the capacity, that heat in a round
SHARE_DIGITS = 4
NAMED = 6  # ports that a message names


class Call(Struct, frozen=True):
    """A port or pair that is called, its units, and its word: a letter H or C a round.

    `built` is a digest of what they are, "" in a test of an earlier version, see `built_digest`.
    """

    box: str
    port: str
    units: tuple[str, ...]
    calls: str
    built: str = ""

    @property
    def name(self) -> str:
        """The port with its box, as findings name it."""
        return f"{self.box}/{self.port}"


class SystemCalls(Struct, frozen=True):
    """The test of one system. `plan` is a digest of its calls, `without` the units that are not called.

    `heat_share` is the share of the capacity under test that heats, a round each.
    """

    system: str
    rounds: int
    plan: str
    heat_share: tuple[float, ...]
    ports: tuple[Call, ...]
    without: tuple[str, ...] = ()


class Asked(Struct, frozen=True):
    """What is asked for: one system ("" = each), units left out and units that only cool; in capitals.

    `earlier` is the test whose words are kept where a port and its units are as they were.
    """

    system: str = ""
    without: tuple[str, ...] = ()
    cool_only: tuple[str, ...] = ()
    earlier: tuple[SystemCalls, ...] = ()


def boxes_by_system(plan: Plan) -> dict[str, list[BoxPlan]]:
    """The boxes of each system, in the job's order, by the system's name in capitals."""
    found: dict[str, list[BoxPlan]] = {}
    for box in plan.boxes:
        found.setdefault(box.row.system.upper(), []).append(box)
    return found


def plan_response(plan: Plan, asked: Asked) -> tuple[tuple[SystemCalls, ...], tuple[Problem, ...]]:
    """The test of every system, or of the one asked for."""
    problems = list(_unknown(plan, asked))
    systems: list[SystemCalls] = []
    named = {box.row.system.upper(): box.row.system for box in reversed(plan.boxes)}
    for key, boxes in boxes_by_system(plan).items():
        if asked.system in {"", key}:
            found, more = _system(plan.job, named[key], boxes, asked)
            problems += more
            systems += [found] if found else []
    return tuple(systems), tuple(problems)


def _unknown(plan: Plan, asked: Asked) -> Iterator[Problem]:
    """Errors for a system and units that the job does not have."""
    systems = {box.row.system.upper(): box.row.system for box in plan.boxes if box.row.system}
    if asked.system and asked.system not in systems:
        message = f"the job has no box of system {asked.system!r}"
        yield error("value-wrong", message, Where("--system"), did_you_mean(asked.system, systems.values()))
    units = {unit.key: unit.tag for unit in plan.job.units}
    for option, tags in (("--without", asked.without), ("--cool-only", asked.cool_only)):
        for tag in tags:
            if tag not in units:
                hint = did_you_mean(tag, units.values())
                yield error("value-wrong", f"the job has no unit {tag!r}", Where(option), hint)


class _Called(Struct, frozen=True):
    """A port to call, with the units that are called; its load in Btu/h, 0 where it is not known."""

    box: BoxPlan
    port: Port
    units: tuple[str, ...]
    load: int
    is_cool_only: bool
    built: str

    @property
    def name(self) -> str:
        return f"{self.box.row.tag}/{self.port.name}"


def _system(
    job: Job, system: str, boxes: Sequence[BoxPlan], asked: Asked
) -> tuple[SystemCalls | None, list[Problem]]:
    """The test of one system; None with the error that says why there is none."""
    called = [each for box in boxes for each in _called(box, asked)]
    without = tuple(
        unit.tag for box in boxes for port in box.ports for unit in port.units if unit.key in asked.without
    )
    shown = f"system {system!r}" if system else "the job"
    if not called:
        message = f"{shown} has no unit that is called"
        return None, [error("response-words", message, job.where, "leave out fewer units")]
    if len(called) > PORTS_AT_MOST:
        message = f"{shown} has {len(called)} used ports, more than the {PORTS_AT_MOST} of one response test"
        hint = "give each [[box]] its `system`: only ports of one refrigerant circuit can be crossed"
        return None, [error("response-words", message, boxes[0].row.where, hint)]
    kept = _kept(asked.earlier, system)
    found, problems = _words(called, kept, boxes[0].row.where)
    if found is None:
        return None, problems
    ports = tuple(
        Call(each.box.row.tag, each.port.name, each.units, letters(word, found.rounds), each.built)
        for each, word in zip(called, found.words, strict=True)
    )
    shares = tuple(round(share, SHARE_DIGITS) for share in found.heat_share)
    digest = calls_digest(job, system, ports)
    problems += [*_unbalanced(found, called, shown, job), *_alike(called, job)]
    return SystemCalls(system, found.rounds, digest, shares, ports, without), problems


def _called(box: BoxPlan, asked: Asked) -> Iterator[_Called]:
    """The ports of a box that have a unit to call; one unit that only cools makes its port cool."""
    for port in box.ports:
        units = [unit for unit in port.units if unit.key not in asked.without]
        if units:
            load = sum(int(unit.capacity.btuh) for unit in units if unit.capacity)
            is_cool_only = any(unit.key in asked.cool_only for unit in units)
            built = built_digest(box.row, units)
            yield _Called(box, port, tuple(unit.tag for unit in units), load, is_cool_only, built)


def _kept(earlier: Iterable[SystemCalls], system: str) -> Mapping[tuple[str, str, tuple[str, ...]], str]:
    """The words of an earlier test by box, port and units; a constant word is kept by its unit alone."""
    return {
        (call.box.upper(), call.port, tuple(unit.upper() for unit in call.units)): call.calls
        for each in earlier
        if each.system.upper() == system.upper()
        for call in each.ports
        if len(set(call.calls)) > 1
    }


def _words(
    called: Sequence[_Called], kept: Mapping[tuple[str, str, tuple[str, ...]], str], where: Where
) -> tuple[Found | None, list[Problem]]:
    """Words for the ports, those of an earlier test kept where that can be."""
    has_loads = any(each.load for each in called)
    callers = [
        Caller(each.box.row.key, each.load if has_loads else 1, each.is_cool_only, _word_of(each, kept))
        for each in called
    ]
    found, problems = find_words(callers), list[Problem]()
    if found is None and kept:
        hint = "collect the sheets of the earlier test: this one has other words"
        problems = [warning("response-words", "the words of the earlier test cannot be kept", where, hint)]
        found = find_words([Caller(each.box, each.load, each.is_cool_only) for each in callers])
    if found is None:
        hint = "leave out units with --without, and test these apart"
        problems = [error("response-words", "there are no words for so many ports of one box", where, hint)]
    return found, problems


def _word_of(called: _Called, kept: Mapping[tuple[str, str, tuple[str, ...]], str]) -> str:
    units = tuple(unit.upper() for unit in called.units)
    return "" if called.is_cool_only else kept.get((called.box.row.key, called.port.name, units), "")


def built_digest(box: BoxRow, units: Iterable[UnitRow]) -> str:
    """A digest of a box's family and size, and of what each of these units is rated at.

    With others it is another box or unit, whatever its tag, and was connected since.
    """
    rated = sorted((unit.key, str(unit.capacity.btuh) if unit.capacity else "") for unit in units)
    return f"{zlib.crc32(json.dumps([box.hardware, rated]).encode(errors='surrogatepass')):08X}"


def calls_digest(job: Job, system: str, ports: Iterable[Call]) -> str:
    """A digest of the calls: what comes back names it, and is compared with these calls alone."""
    calls = [
        [call.box.upper(), call.port, call.units, call.calls, *([call.built] if call.built else [])]
        for call in ports
    ]
    content = json.dumps([job.number, " ".join(job.name.split()), system, calls])
    return f"{zlib.crc32(content.encode(errors='surrogatepass')):08X}"


def _unbalanced(found: Found, called: Sequence[_Called], shown: str, job: Job) -> Iterator[Problem]:
    """A warning where a round heats too little or too much of the capacity for the system to run well."""
    if len(called) <= BALANCED_ABOVE:
        return
    off = [number for number, share in enumerate(found.heat_share, start=1) if not LEAST <= share <= MOST]
    if off:
        shares = ", ".join(f"round {number}: {found.heat_share[number - 1]:.0%}" for number in off)
        message = f"{shown}: less than 40 % or more than 60 % of the capacity heats in {shares}"
        hint = "the system must be able to run so: see the manual of the equipment"
        yield warning("response-balance", message, job.where, hint)


def _alike(called: Sequence[_Called], job: Job) -> Iterator[Problem]:
    """A warning where several ports only cool: all of them have the same word."""
    names = [each.name for each in called if each.is_cool_only]
    if len(names) > 1:
        more = f" and {len(names) - NAMED} more" if len(names) > NAMED else ""
        message = f"{', '.join(names[:NAMED])}{more} only cool: the test does not show a crossing among them"
        yield warning("response-alike", message, job.where, "ring out their cables, trace their pipes")
