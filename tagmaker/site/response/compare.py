"""What came back from response tests, against the tests of a job: a result for each system.

Takes rows, logs and tests; gives for each system its verdicts and findings, with the lines of the punch list.
A row counts only for the test that it names, and a test only if it is of this job. What two files read
differently at one place in one round counts as not seen.
"""

from collections.abc import Iterable, Iterator, Mapping, Sequence

from msgspec import Struct
from msgspec.structs import replace

from tagmaker.catalog.words import Words
from tagmaker.plan.model import BoxPlan, Plan, Port
from tagmaker.plan.response import (
    Asked,
    Call,
    SystemCalls,
    boxes_by_system,
    built_digest,
    calls_digest,
    plan_response,
)
from tagmaker.problems import Problem, Where, error, warning
from tagmaker.site.response.findings import Finding, findings
from tagmaker.site.response.places import Given, KnownTest, Place, place_readings
from tagmaker.site.response.remedy import Known, known_of, with_remedy
from tagmaker.site.response.returns import ResponseReturns
from tagmaker.site.response.sentences import finding_item
from tagmaker.site.response.verdicts import Judged, PortVerdict, UnitVerdict, judge
from tagmaker.tags.response import lines_of
from tagmaker.tags.work_list import WorkItem

__all__ = ["SystemResult", "compare"]

SHOWN = 8  # names in one message
Places = dict[Place, list[str]]


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
    given, more = place_readings(back, tests)
    problems += more
    read: dict[str, list[Given]] = {}
    for each in given:
        read.setdefault(each.plan, []).append(each)
    results: list[SystemResult] = []
    site = known_of(plan)
    today = {(box.row.key, port.name): (box, port) for box in plan.boxes for port in box.ports}
    changed = {digest: _changed(tests[digest].calls, today) for digest in tests if digest in read}
    again = {tests[digest].calls.system.upper() for digest, names in changed.items() if not names}
    for digest, names in changed.items():
        test = tests[digest]
        own, more = _once(read[digest], test.calls.rounds)
        problems += more
        merged, more = _merged(own, test.calls.rounds)
        problems += [*more, *_older(names, read[digest][0].source)]
        is_tested = test.calls.system.upper() in again
        results.append(_result(test, site, merged, () if is_tested else names, words))
    return tuple(results), tuple(problems)


def _result(
    test: KnownTest, site: Known, places: Places, changed: Iterable[str], words: Words
) -> SystemResult:
    """The result of one test.

    Of ports that were `changed` since, and are in no test of today, it shows only what was right then: for
    what is planned today they are not seen.
    """
    judged = judge(test.calls, test.lines, places)
    found = findings(judged)
    of_findings = tuple(with_remedy(finding_item(each, words), each, judged, site, words) for each in found)
    items = (*of_findings, *_open(judged, words))
    unseen = [each.name for each in judged.ports if each.verdict == "not seen"]
    unseen += _halves_unseen(test, judged, places)
    unseen += [each.unit for each in judged.units if each.verdict == "not seen"]
    unseen += _added(test.calls, site.systems)
    unseen += [name for name in changed if name not in unseen]
    return SystemResult(judged, found, items, tuple(unseen), tuple(_notes(judged, words)))


def _added(calls: SystemCalls, boxes: Mapping[str, Sequence[BoxPlan]]) -> Iterator[str]:
    """The units of the system that are planned today, and neither in the test nor left out of it."""
    tested = {unit.upper() for call in calls.ports for unit in call.units}
    known = tested.union(unit.upper() for unit in calls.without)
    for box in boxes.get(calls.system.upper(), ()):
        yield from (unit.tag for port in box.ports for unit in port.units if unit.key not in known)


def _halves_unseen(test: KnownTest, judged: Judged, places: Places) -> Iterator[str]:
    """The stubs of pairs that were not read, where the other half was: the verdict is about that one."""
    seen = {each.name.upper() for each in judged.ports if each.verdict != "not seen"}
    for line in test.lines:
        place = (line.box.upper(), line.port, "")
        is_half = "+" in line.call and f"{line.box}/{line.call}".upper() in seen
        if not line.unit and is_half and not set(places.get(place, ())) & {"H", "C", "0"}:
            yield f"{line.box}/{line.port}"


# --- which test ---------------------------------------------------------------------------------------------


def _tests(back: ResponseReturns, plan: Plan) -> tuple[dict[str, KnownTest], list[Problem]]:
    """The tests by digest: those at hand that are of this job, and those which the job gives today."""
    boxes = boxes_by_system(plan)
    tests = {each.plan: _test(each, boxes) for each in plan_response(plan, Asked())[0]}
    problems: list[Problem] = []
    for each in back.tests:
        if each.plan == calls_digest(plan.job, each.system, each.ports):
            known = tests.get(each.plan)  # a form does not keep which units were left out
            without = each.without or (known.calls.without if known and known.is_at_hand else ())
            tests[each.plan] = _test(replace(each, without=without), boxes, is_at_hand=True)
        else:
            message = f"the response test {each.plan} is of another job, or was changed; nothing of it counts"
            problems.append(error("return-foreign", message, Where(each.plan)))
    return tests, problems


def _test(
    calls: SystemCalls, boxes: Mapping[str, Sequence[BoxPlan]], *, is_at_hand: bool = False
) -> KnownTest:
    return KnownTest(calls, tuple(lines_of(calls, boxes.get(calls.system.upper(), ()))), is_at_hand)


def _changed(calls: SystemCalls, today: Mapping[tuple[str, str], tuple[BoxPlan, Port]]) -> list[str]:
    """The ports of a test that have another box or other units today: its verdicts are about what was there.

    `today` has each port with its box, by the box's tag in capitals and the port's name.
    """
    return [
        call.name for call in calls.ports if not _is_there(call, today.get((call.box.upper(), call.port)))
    ]


def _is_there(call: Call, today: tuple[BoxPlan, Port] | None) -> bool:
    """Whether what was called is what is planned there today; units that came since are not its matter."""
    if today is None:
        return False
    (box, port), called = today, {unit.upper() for unit in call.units}
    units = [unit for unit in port.units if unit.key in called]
    return len(units) == len(called) and call.built in {"", built_digest(box.row, units)}


def _older(changed: Sequence[str], source: str) -> Iterator[Problem]:
    """A warning where ports of a test were changed since."""
    if changed:
        more = f" and {len(changed) - SHOWN} more" if len(changed) > SHOWN else ""
        message = (
            f"{', '.join(changed[:SHOWN])}{more}: other units, or units or a box of another size or family, "
            "are planned there since the response test"
        )
        hint = "they count as not seen: the verdicts are about the plan of the test; test these ports again"
        boxes = tuple(dict.fromkeys(name.partition("/")[0].upper() for name in changed))
        yield warning("return-older", message, Where(source), hint, boxes)


# --- readings -----------------------------------------------------------------------------------------------


def _once(given: Iterable[Given], rounds: int) -> tuple[list[Given], list[Problem]]:
    """The places less those that one file has twice and otherwise, and those read in rounds of no test."""
    by_file: dict[tuple[str, Place], set[tuple[str, ...]]] = {}
    given = list(given)
    for each in given:
        by_file.setdefault((each.source, each.place), set()).add(each.readings)
    problems: list[Problem] = []
    twice = [key for key, readings in by_file.items() if len(readings) > 1]
    beyond = [key for key, readings in by_file.items() if any(any(row[rounds:]) for row in readings)]
    hint = "correct the file: until then these places count as not seen"
    faults = (("is given twice, with other readings", twice), ("has more rounds than its test", beyond))
    for what, keys in faults:
        for source in dict.fromkeys(source for source, _ in keys):
            names = [_name(place) for at, place in keys if at == source]
            more = f" and {len(names) - SHOWN} more" if len(names) > SHOWN else ""
            message = f"{', '.join(names[:SHOWN])}{more} {what}"
            problems.append(warning("return-contradiction", message, Where(source), hint))
    bad = {place for _, place in (*twice, *beyond)}
    return [each for each in given if each.place not in bad], problems


def _name(place: Place) -> str:
    box, port, unit = place
    return unit or f"{box}/{port}"


def _merged(given: Iterable[Given], rounds: int) -> tuple[Places, list[Problem]]:
    """One reading a place and round; where files differ there is none."""
    by_place: dict[Place, list[Given]] = {}
    for each in given:
        by_place.setdefault(each.place, []).append(each)
    merged: Places = {}
    problems: list[Problem] = []
    for place, those in by_place.items():
        row: list[str] = []
        for at in range(rounds):
            found = {each.readings[at]: each.source for each in those if any(each.readings[at : at + 1])}
            row.append(next(iter(found)) if len(found) == 1 else "")
            if len(found) > 1:
                problems.append(_contradiction(place, at + 1, found))
        merged[place] = row
    return merged, problems


def _contradiction(place: Place, number: int, found: Mapping[str, str]) -> Problem:
    """A warning for a round that two files have otherwise."""
    values = "; ".join(f"{source}: {letter}" for letter, source in found.items())
    message = f"{_name(place)}, round {number}: findings conflict ({values})"
    where, hint = Where(next(iter(found.values()))), "read it again: until then it counts as not seen"
    return warning("return-contradiction", message, where, hint, (place[0],))


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
    """That single readings were corrected, and what the readings do not show."""
    if left_out := judged.calls.without:
        yield words("response.left_out", units=", ".join(left_out))
    named: Iterable[tuple[str, tuple[int, ...]]] = [
        *((port.name, port.misread) for port in judged.ports),
        *((unit.unit, unit.misread) for unit in judged.units),
    ]
    for name, rounds in named:
        if rounds:
            yield words("response.misread", name=name, rounds=", ".join(map(str, rounds)))
    alone = [unit.unit for unit in judged.units if unit.verdict == "as piped" and not unit.stub_read]
    if alone:
        more = f" … ({len(alone)})" if len(alone) > SHOWN else ""
        yield words("response.stubs_unread", units=f"{', '.join(alone[:SHOWN])}{more}")
    yield words("response.not_shown")
