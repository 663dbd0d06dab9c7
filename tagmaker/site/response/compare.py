"""What came back from response tests, against the tests of a job: a result for each system.

Takes rows, logs and tests; gives for each system its verdicts and findings, with the lines of the punch list.
A row counts only for the test that it names, and a test only if it is of this job. What two files read
differently at one place in one round counts as not seen.
"""

from collections.abc import Iterable, Iterator, Mapping, Sequence

from msgspec import Struct

from tagmaker.catalog.response import reading_rule
from tagmaker.catalog.words import Words
from tagmaker.plan.model import Plan
from tagmaker.plan.response import Asked, SystemCalls, boxes_of_system, calls_digest, plan_response
from tagmaker.problems import Problem, Where, error, warning
from tagmaker.site.response.findings import Finding, findings
from tagmaker.site.response.remedy import with_remedy
from tagmaker.site.response.returns import ResponseReturns
from tagmaker.site.response.sentences import finding_item
from tagmaker.site.response.temperatures import TemperatureLog, readings_of
from tagmaker.site.response.verdicts import Judged, PortVerdict, UnitVerdict, judge
from tagmaker.tags.response import lines_of
from tagmaker.tags.work_list import WorkItem

__all__ = ["SystemResult", "compare"]

SHOWN = 8  # names in one message
Places = dict[tuple[str, str, str], list[str]]
Found = Mapping[tuple[str, str, str], Sequence[tuple[str, tuple[str, ...]]]]
"""By place, each file and its readings."""


class SystemResult(Struct, frozen=True):
    """A system's verdicts, its findings, and the lines of the punch list: the findings' come first."""

    judged: Judged
    findings: tuple[Finding, ...]
    items: tuple[WorkItem, ...]
    unseen: tuple[str, ...]
    notes: tuple[str, ...]

    @property
    def is_wrong(self) -> bool:
        """Whether anything is wrong, unclear or was not seen."""
        return bool(self.items or self.unseen)


def compare(
    back: ResponseReturns, plan: Plan, words: Words
) -> tuple[tuple[SystemResult, ...], tuple[Problem, ...]]:
    """The result of every system of which something came back."""
    if not back.rows and not back.logs:
        return (), ()
    tests, problems = _tests(back, plan)
    read: dict[str, dict[tuple[str, str, str], list[tuple[str, tuple[str, ...]]]]] = {}
    for source, digest, place, readings in (*_of_rows(back), *_of_logs(back, tests)):
        read.setdefault(digest, {}).setdefault(place, []).append((source, readings))
    results: list[SystemResult] = []
    for digest, places in read.items():
        if digest not in tests:
            problems += _unknown(digest, places, plan)
            continue
        calls = tests[digest]
        merged, more = _merged(places, calls)
        problems += [*more, *_older(calls, plan, places)]
        results.append(_result(calls, plan, merged, words))
    order = list(tests)
    results.sort(key=lambda each: order.index(each.judged.calls.plan))
    return tuple(results), tuple(problems)


def _result(calls: SystemCalls, plan: Plan, places: Places, words: Words) -> SystemResult:
    judged = judge(calls, lines_of(calls, boxes_of_system(plan, calls.system)), places)
    found = findings(judged)
    of_findings = tuple(with_remedy(finding_item(each, words), each, judged, plan, words) for each in found)
    items = (*of_findings, *_open(judged, words))
    unseen = [each.name for each in judged.ports if each.verdict == "not seen"]
    unseen += [each.unit for each in judged.units if each.verdict == "not seen"]
    return SystemResult(judged, found, items, tuple(unseen), tuple(_notes(judged, words)))


# --- which test ---------------------------------------------------------------------------------------------


def _tests(back: ResponseReturns, plan: Plan) -> tuple[dict[str, SystemCalls], list[Problem]]:
    """The tests by digest: those at hand that are of this job, and that which the job gives today."""
    tests = {each.plan: each for each in plan_response(plan, Asked())[0]}
    problems: list[Problem] = []
    for each in back.tests:
        if each.plan == calls_digest(plan.job, each.system, each.ports):
            tests.setdefault(each.plan, each)
        else:
            message = f"the response test {each.plan} is of another job, or was changed; nothing of it counts"
            problems.append(error("return-foreign", message, Where(each.plan)))
    return tests, problems


def _unknown(digest: str, places: Found, plan: Plan) -> Iterator[Problem]:
    """An error for readings whose test is not at hand: nobody knows what was called."""
    source = next(iter(places.values()))[0][0]
    message = f"its readings are of the response test {digest!r}, which is not at hand"
    hint = f"hand in the response.json of that test of {plan.job.name} with them"
    yield error("response-unknown", message, Where(source), hint)


def _older(calls: SystemCalls, plan: Plan, places: Found) -> Iterator[Problem]:
    """A warning where ports of a test have other units today: verdicts are about the plan of the test."""
    today = {
        (box.row.key, port.name): {unit.key for unit in port.units}
        for box in plan.boxes
        for port in box.ports
    }
    changed = [
        call.name
        for call in calls.ports
        if not {unit.upper() for unit in call.units} <= today.get((call.box.upper(), call.port), set())
    ]
    if changed:
        more = f" and {len(changed) - SHOWN} more" if len(changed) > SHOWN else ""
        source = next(iter(places.values()))[0][0]
        message = f"{', '.join(changed[:SHOWN])}{more}: other units are planned there since the response test"
        hint = "the verdicts are about the plan of the test: test these ports again"
        boxes = tuple(dict.fromkeys(name.partition("/")[0].upper() for name in changed))
        yield warning("return-older", message, Where(source), hint, boxes)


# --- readings -----------------------------------------------------------------------------------------------

Given = tuple[str, str, tuple[str, str, str], tuple[str, ...]]
"""A file, the test's digest, the place, and its readings."""


def _of_rows(back: ResponseReturns) -> Iterator[Given]:
    for source, row in back.rows:
        place = (row.box.upper(), row.port.upper(), row.unit.upper())
        if any(row.readings):
            yield source, row.plan.upper(), place, row.readings


def _of_logs(back: ResponseReturns, tests: Mapping[str, SystemCalls]) -> Iterator[Given]:
    """The readings of logs; a log belongs to the last test at hand that has its units and ports."""
    for source, log in back.logs:
        calls = _test_of(log, tests)
        if calls is None:
            yield source, "", ("", "", ""), ("?",)
            continue
        units = {unit.upper(): (call.box.upper(), call.port) for call in calls.ports for unit in call.units}
        for name, readings in readings_of(log, reading_rule(), calls.rounds):
            box, found, port = name.partition("/")
            if found:
                yield source, calls.plan, (box, port, ""), readings
            elif name in units:
                yield source, calls.plan, (*units[name], name), readings


def _test_of(log: TemperatureLog, tests: Mapping[str, SystemCalls]) -> SystemCalls | None:
    """The test that has most of a log's columns; the last of several."""
    names = {column.name for column in log.columns}
    best, most = None, 0
    for calls in tests.values():
        own = {unit.upper() for call in calls.ports for unit in call.units}
        own |= {f"{call.box.upper()}/{letter}" for call in calls.ports for letter in call.port.split("+")}
        if names & own and len(names & own) >= most:
            best, most = calls, len(names & own)
    return best


def _merged(places: Found, calls: SystemCalls) -> tuple[Places, list[Problem]]:
    """One reading a place and round; where files differ there is none."""
    merged: Places = {}
    problems: list[Problem] = []
    for place, given in places.items():
        row: list[str] = []
        for at in range(calls.rounds):
            found = {
                readings[at]: source for source, readings in given if at < len(readings) and readings[at]
            }
            row.append(next(iter(found)) if len(found) == 1 else "")
            if len(found) > 1:
                values = "; ".join(f"{source}: {letter}" for letter, source in found.items())
                name = place[2] or "/".join(place[:2])
                message = f"{name}, round {at + 1}: findings conflict ({values})"
                hint = "read it again: until then it counts as not seen"
                problems.append(
                    warning("return-contradiction", message, Where(given[0][0]), hint, (place[0],))
                )
        merged[place] = row
    return merged, problems


# --- lines of the punch list --------------------------------------------------------------------------------


def _open(judged: Judged, words: Words) -> Iterator[WorkItem]:
    """A line for what is unclear, for what does not answer, and for units alone that were read."""
    called = {call.name for call in judged.calls.ports}
    silent = {name for each in findings(judged) for name in each.ports}
    for port in judged.ports:
        if port.verdict == "unclear":
            wrong = words("response.unclear_port", port=port.port, candidates=_list(port))
            yield WorkItem(port.box, port.port, wrong, words("response.unclear_do"))
        elif port.verdict == "no answer" and port.name in called - silent:
            wrong = words("response.silent_port", port=port.port)
            yield WorkItem(port.box, port.port, wrong, words("response.silent_do"))
    for unit in judged.units:
        yield from _open_unit(unit, silent, words)


def _open_unit(unit: UnitVerdict, silent: set[str], words: Words) -> Iterator[WorkItem]:
    if unit.verdict == "unclear":
        wrong = words("response.unclear_unit", unit=unit.unit, candidates=_list(unit))
        yield WorkItem(unit.box, unit.port, wrong, words("response.unclear_do"))
    elif unit.verdict == "cable or pipe":
        wrong = words("response.either", unit=unit.unit, port=unit.candidates[0])
        to_do = words("response.either_do", own=unit.planned, port=unit.candidates[0])
        yield WorkItem(unit.box, unit.port, wrong, to_do)
    elif unit.verdict == "no answer" and unit.planned not in silent:
        wrong = words("response.silent_unit", unit=unit.unit)
        yield WorkItem(unit.box, unit.port, wrong, words("response.silent_do"))


def _list(verdict: PortVerdict | UnitVerdict) -> str:
    more = ["…"] if len(verdict.candidates) > SHOWN else []
    return ", ".join([*verdict.candidates[:SHOWN], *more])


def _notes(judged: Judged, words: Words) -> Iterator[str]:
    """That single readings were corrected."""
    named: Iterable[tuple[str, tuple[int, ...]]] = [
        *((port.name, port.misread) for port in judged.ports),
        *((unit.unit, unit.misread) for unit in judged.units),
    ]
    for name, rounds in named:
        if rounds:
            yield words("response.misread", name=name, rounds=", ".join(map(str, rounds)))
