"""Which place of which test each reading is of: rows by the digest that they name, logs by their columns.

Takes what came back with the tests of a job; gives readings by test and place. What belongs to no place, or
to a test that is not at hand, is a problem: nothing is dropped unseen.
"""

from collections.abc import Iterable, Iterator, Mapping, Sequence

from msgspec import Struct

from tagmaker.catalog.response import reading_rule
from tagmaker.plan.response import SystemCalls
from tagmaker.problems import Problem, Where, error, note, warning
from tagmaker.site.response.returns import ResponseReturns
from tagmaker.site.response.temperatures import TemperatureLog, readings_of
from tagmaker.tags.response import FilledRow, Line

__all__ = ["Given", "KnownTest", "Place", "place_readings"]

SHOWN = 8  # names in one message
Place = tuple[str, str, str]
"""Box, letter or port, and unit ("" for a stub), in capitals."""


class KnownTest(Struct, frozen=True):
    """A test of the job with its lines; `is_at_hand` where its response.json or form came back."""

    calls: SystemCalls
    lines: tuple[Line, ...]
    is_at_hand: bool = False

    @property
    def names(self) -> dict[str, Place]:
        """Every place by its name as a log has it: a unit's tag, or BOX/PORT."""
        places = [(line.box.upper(), line.port, line.unit.upper()) for line in self.lines]
        return {unit or f"{box}/{port}": (box, port, unit) for box, port, unit in places}


class Given(Struct, frozen=True):
    """The readings that a file has of one place of a test, a round each."""

    source: str
    plan: str
    place: Place
    readings: tuple[str, ...]


def place_readings(
    back: ResponseReturns, tests: Mapping[str, KnownTest]
) -> tuple[list[Given], list[Problem]]:
    """All readings whose test and place are known, and the problems of the others."""
    given: list[Given] = []
    problems: list[Problem] = []
    for found in (_rows(back, tests), *(_log(source, log, tests) for source, log in back.logs)):
        for each in found:
            if isinstance(each, Given):
                given.append(each)
            else:
                problems.append(each)
    return given, problems


# --- rows ---------------------------------------------------------------------------------------------------


def _rows(back: ResponseReturns, tests: Mapping[str, KnownTest]) -> Iterator[Given | Problem]:
    """The rows of files in which something was filled in, or is written: one that is blank was not read."""
    names = {plan: test.names for plan, test in tests.items()}
    strangers: dict[tuple[str, str], list[str]] = {}
    filled = {source for source, row in back.rows if any(row.readings)} | back.on_paper
    for source, row in back.rows:
        plan = row.plan.upper() or _plan_of(row, tests)
        if source not in filled or (plan not in tests and not any(row.readings)):
            continue
        for name in _names(row):
            place = names.get(plan, {}).get(name)
            if place and _is_at(row, place):
                yield Given(source, plan, place, row.readings)
            elif any(row.readings):
                strangers.setdefault((source, plan), []).append(name)
    for (source, plan), those in strangers.items():
        yield _not_at_hand(source, plan) if plan not in tests else _no_place(source, those)


def _names(row: FilledRow) -> list[str]:
    """The places of a row: a unit, a stub, or both stubs of a pair that somebody wrote as one."""
    if row.unit:
        return [row.unit.upper()]
    return [f"{row.box.upper()}/{letter}" for letter in row.port.upper().split("+")]


def _plan_of(row: FilledRow, tests: Mapping[str, KnownTest]) -> str:
    """The test of a form's row that names none: the only one at hand that has its place."""
    name = _names(row)[0]
    plans = [plan for plan, test in tests.items() if test.is_at_hand and name in test.names]
    return plans[0] if len(plans) == 1 else ""


def _is_at(row: FilledRow, place: Place) -> bool:
    """Whether a unit's row has the box and port of the test: a column sorted by itself shifts the units."""
    box, port, unit = place
    written = (row.box.upper(), frozenset(row.port.upper().split("+")))
    return not unit or written == (box, frozenset(port.split("+")))


def _not_at_hand(source: str, plan: str) -> Problem:
    """Nobody knows what was called."""
    which = f"the response test {plan!r}, which is" if plan else "a response test that is"
    message = f"its readings are of {which} not at hand"
    return error(
        "response-unknown", message, Where(source), "hand in the response.json of that test with them"
    )


def _no_place(source: str, names: Sequence[str]) -> Problem:
    more = f" and {len(names) - SHOWN} more" if len(names) > SHOWN else ""
    message = f"the response test has no {', '.join(names[:SHOWN])}{more}"
    return warning("response-unknown", message, Where(source), "their readings do not count")


# --- logs ---------------------------------------------------------------------------------------------------


def _log(source: str, log: TemperatureLog, tests: Mapping[str, KnownTest]) -> Iterator[Given | Problem]:
    """The readings of a log, system by system; a log names no test, so that its columns decide."""
    left = {column.name: column for column in log.columns}
    for system in dict.fromkeys(test.calls.system.upper() for test in tests.values()):
        own = [test for test in tests.values() if test.calls.system.upper() == system]
        those = [test for test in own if test.is_at_hand] or own
        mine = [test for test in those if test.names.keys() & left.keys()]
        if len(mine) > 1:
            plans = " and ".join(test.calls.plan for test in mine)
            message = f"the log may be of the response test {plans}"
            yield error(
                "response-unknown", message, Where(source), "hand in the response.json of its own test"
            )
        for test in mine[:1] if len(mine) == 1 else []:
            if not test.is_at_hand:
                yield _assumed(source, test)
            yield from _columns(source, log, test)
        for test in mine:
            left = {name: column for name, column in left.items() if name not in test.names}
    if left:
        yield _no_place(source, list(left))


def _columns(source: str, log: TemperatureLog, test: KnownTest) -> Iterable[Given]:
    rounds = max(test.calls.rounds, max(log.starts, default=0))
    for name, readings in readings_of(log, reading_rule(), rounds):
        if name in test.names:
            yield Given(source, test.calls.plan, test.names[name], readings)


def _assumed(source: str, test: KnownTest) -> Problem:
    message = f"the log is compared with the response test {test.calls.plan}, that of the job without options"
    hint = "if another test was done, hand in its response.json with the log"
    return note("response-unknown", message, Where(source), hint)
