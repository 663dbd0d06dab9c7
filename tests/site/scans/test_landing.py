"""The landing check: what hangs on each terminal, by the tags in the order in which they were scanned."""

from collections.abc import Iterable

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from tagmaker.job.model import Job
from tagmaker.plan.model import Plan
from tagmaker.plan.plan_job import plan_job
from tagmaker.site.scans.codes import scan_of
from tagmaker.site.scans.landing import PROVES, Landed, PortResult
from tagmaker.site.scans.times import NOW_MINUTES, span_of
from tests.cli.scanning import MOVE_IT
from tests.records import replace
from tests.site.papers import (
    LIBRARY,
    kit,
    landed,
    landing,
    letters_of,
    library,
    placards,
    plan_of,
    tags_by_code,
)
from tests.strategies import BoxSketch, JobSketch, UnitSketch, jobs, shipped_family, stock_named

A = ("BB-1/A/TRM", "BB-1/A/COM", "BB-1/A/LIQ", "BB-1/A/GAS")
B = ("BB-1/B/TRM", "BB-1/B/COM", "BB-1/B/LIQ", "BB-1/B/GAS")


def results(*codes: str, plan: Plan | None = None) -> dict[str, PortResult]:
    """What codes scanned one after the other come to, by box and letter, of the terminals scanned."""
    found = landed(*codes, plan=plan).results()
    return {f"{each.box} {each.letter}": each for each in found if each.result != "not scanned"}


def words(*codes: str) -> dict[str, str]:
    """The same in a word a terminal."""
    return {name: each.result for name, each in results(*codes).items()}


def answers(*codes: str) -> list[str]:
    """The line that answers each scan."""
    check = landing()
    return [check.put(scan_of(code, "")).line for code in codes]


def crossed(*codes: str) -> list[tuple[str, str, str, str]]:
    """Every crossing: terminal, tag, message, how to correct it."""
    return [
        (each.terminal, each.tag, each.message, each.mend)
        for result in results(*codes).values()
        for each in result.crossings
    ]


# --- stocks without codes -----------------------------------------------------------------------------------


def on_stock(use: str, name: str) -> Plan:
    """The library's plan with another stock for a use."""
    plan = library()
    prints = plan.job.prints
    stocks = {**prints.stocks, use: stock_named(name)}
    return replace(plan, job=replace(plan.job, prints=replace(prints, stocks=stocks)))


def test_a_tag_that_carries_no_code_is_not_missing() -> None:
    """Cables on a stock without codes: the two pipes are all that can be scanned at a terminal."""
    scanned = ("BB-1/A/TRM", "BB-1/A/LIQ", "BB-1/A/GAS")
    assert results(*scanned)["BB-1 A"].missing == ("cable",)
    plain = results(*scanned, plan=on_stock("cable", "tape-12-cut-45-300dpi"))
    assert (plain["BB-1 A"].result, plain["BB-1 A"].missing) == ("agree", ())


def test_a_terminal_scanned_twice_clears_no_crossing() -> None:
    """Pipes carry no code: at a spare terminal there is nothing to scan, so nothing agrees or is clean."""
    plan, terminal = on_stock("pipe", "tape-12-cut-45-300dpi"), "BB-1/C/TRM"
    assert results(terminal, plan=plan) == {}
    assert results(terminal, "BB-1/A/COM", terminal, plan=plan)["BB-1 C"].result == "crossed"


def test_a_terminal_that_carries_no_code_is_typed() -> None:
    """The answer to a tag before any terminal gives what to type."""
    check = landing(on_stock("terminal", "tape-12-strip-300dpi"))
    expected = "BB-1/A/COM: type its terminal BB-1/A/TRM first; this tag is not counted"
    assert check.put(scan_of("BB-1/A/COM", "")).line == expected
    assert answers("BB-1/A/COM") == ["BB-1/A/COM: scan a terminal first; this tag is not counted"]


# --- agreeing -----------------------------------------------------------------------------------------------


def test_a_terminal_with_its_own_tags_agrees() -> None:
    """Cable, liquid and gas of the letter, in any order."""
    assert words(*A) == {"BB-1 A": "agree"}
    assert words(A[0], *reversed(A[1:])) == {"BB-1 A": "agree"}


def test_a_whole_job_agrees_and_every_terminal_has_a_result() -> None:
    """In walking order, box by box, letter by letter."""
    codes = [code for box in library().boxes for letter in letters_of(box) for code in kit(box, letter)]
    assert [(each.box, each.letter, each.result) for each in landed(*codes).results()] == [
        *(("BB-1", letter, "agree") for letter in "ABCDEFGH"),
        *(("BB-2", letter, "agree") for letter in "ABCD"),
    ]


def test_terminals_that_were_never_scanned_are_told() -> None:
    """All of them but the one that was opened, with nothing said of them."""
    found = list(landed(*A).results())
    assert [each.letter for each in found if each.result != "not scanned"] == ["A"]
    assert {(each.missing, each.crossings) for each in found if each.result == "not scanned"} == {((), ())}


def test_the_order_of_terminals_does_not_matter() -> None:
    """Boxes and letters may be gone through as one comes to them."""
    assert words("BB-2/A/TRM", "BB-2/A/COM", "BB-2/A/LIQ", "BB-2/A/GAS", *B) == {
        "BB-1 B": "agree",
        "BB-2 A": "agree",
    }


def test_a_tag_scanned_twice_counts_once() -> None:
    """A hand that shakes changes nothing, right or crossed."""
    assert words(*A, A[1], A[1]) == {"BB-1 A": "agree"}
    assert len(crossed(A[0], B[1], B[1], B[1])) == 1


def test_what_it_proves_is_said_and_what_it_does_not() -> None:
    """Tags match; neither was a cable rung out nor a line traced."""
    for part in ("only that tags match", "does not prove", "rung out", "traced", "verification sheet"):
        assert part in PROVES


# --- missing ------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("codes", "missing"),
    [
        (A[:1], ("cable", "liquid line", "gas line")),
        (A[:2], ("liquid line", "gas line")),
        (A[:3], ("gas line",)),
        ((A[0], *A[2:]), ("cable",)),
    ],
)
def test_what_was_not_scanned_is_missing(codes: tuple[str, ...], missing: tuple[str, ...]) -> None:
    """Named, and the terminal does not agree."""
    assert results(*codes) == {"BB-1 A": PortResult("BB-1", "A", "missing", missing)}


def test_a_units_end_is_not_the_boxs_end() -> None:
    """Tags at the unit have the right letter, and do not count as those at the box."""
    codes = ("BB-1/A/COM/FC-1", "BB-1/A/LIQ/FC-1", "BB-1/A/GAS/FC-1")
    assert words(A[0], *codes) == {"BB-1 A": "missing"}
    assert words(*A, *codes) == {"BB-1 A": "agree"}
    assert answers(A[0], codes[0])[-1] == (
        "  BB-1/A/COM/FC-1: the letter agrees, but this tag belongs at the unit; not counted"
    )
    plan = on_stock("splitter", "letter-30-67x25")
    check = landing(plan)
    answered = [check.put(scan_of(code, "")).line for code in (B[0], "BB-1/B/LIQ/FC-2/SPL")]
    assert answered[-1].endswith("this tag belongs at the splitter; not counted")


RING_OUT = "isolate power, prove it dead, ring this cable out, and take off the tag that is wrong"


def test_an_older_tag_of_the_ports_own_unit_is_told_and_does_not_count() -> None:
    """No cable goes on from the only unit: the letter is right, and no tag of the job is so."""
    assert words(*A[:1], "BB-1/A/COM/FC-1/ON", *A[2:]) == {"BB-1 A": "missing"}
    assert answers(A[0], "BB-1/A/COM/FC-1/ON")[-1] == (
        "  BB-1/A/COM/FC-1/ON: not a tag of the current job (an older revision?); not counted"
    )


@pytest.mark.parametrize(
    ("codes", "mend"),
    [
        (
            (*A, "BB-1/A/COM/FC-99"),
            f"the job has no FC-99 on BB-1 A: {RING_OUT}",
        ),
        (
            (*A, "BB-1/A/GAS/FC-99"),
            "the job has no FC-99 on BB-1 A: trace this gas line; never cut a pipe because of a tag",
        ),
        (
            ("BB-1/E/TRM", "BB-1/E/COM", "BB-1/E/LIQ", "BB-1/E/GAS", "BB-1/F/COM"),
            f"the job has no cable on BB-1 F: {RING_OUT}",
        ),
    ],
)
def test_a_tag_of_what_the_port_no_longer_has_never_agrees(codes: tuple[str, ...], mend: str) -> None:
    """All tags of the job are there, and a tag of an older revision with the right letter as well."""
    (result,) = results(*codes).values()
    assert (result.result, result.missing) == ("crossed", ())
    assert [each.mend for each in result.crossings] == [mend]


# --- crossed ------------------------------------------------------------------------------------------------


def test_a_crossed_cable_is_named_at_both_ends() -> None:
    """Where it hangs, where it belongs, and how to correct it; at the other terminal likewise."""
    assert crossed(A[0], B[1], *A[2:], B[0], A[1], *B[2:]) == [
        (
            "BB-1 A",
            "BB-1/B/COM",
            "cable tagged BB-1 B at terminal BB-1 A",
            f"{MOVE_IT} B; find what belongs on BB-1 A",
        ),
        (
            "BB-1 B",
            "BB-1/A/COM",
            "cable tagged BB-1 A at terminal BB-1 B",
            f"{MOVE_IT} A; find what belongs on BB-1 B",
        ),
    ]


@pytest.mark.parametrize(
    ("code", "message"),
    [
        ("BB-1/B/LIQ", "liquid line tagged BB-1 B at terminal BB-1 A"),
        ("BB-1/B/GAS", "gas line tagged BB-1 B at terminal BB-1 A"),
        ("BB-1/E/LIQ", "liquid line tagged BB-1 E at terminal BB-1 A"),
        ("BB-1/C/GAS", "gas line tagged BB-1 C at terminal BB-1 A"),
        ("BB-2/A/COM", "cable tagged BB-2 A at terminal BB-1 A"),
        ("BB-2/A/LIQ", "liquid line tagged BB-2 A at terminal BB-1 A"),
        ("BB-1/B/COM/FC-2", "cable of FC-2 tagged BB-1 B at terminal BB-1 A"),
        ("bb-1/b/com", "cable tagged BB-1 B at terminal BB-1 A"),
    ],
)
def test_what_belongs_elsewhere_is_crossed(code: str, message: str) -> None:
    """Pipes, another box's tags of the same letter, spares' stubs, units' ends."""
    assert [each[2] for each in crossed(*A, code)] == [message]
    assert words(*A, code) == {"BB-1 A": "crossed"}


def test_a_crossed_terminal_tells_what_is_missing_too() -> None:
    """What hangs wrongly does not stand for what belongs."""
    assert results(A[0], B[1], *A[2:])["BB-1 A"].missing == ("cable",)


@pytest.mark.parametrize("code", sorted(set(tags_by_code(library())) - set(A)))
def test_no_hint_sends_anybody_to_a_live_cable_or_a_pipe_cutter(code: str) -> None:
    """A cable is moved only when it is dead and rung out; a pipe is traced, not moved."""
    for *_, mend in crossed(*A, code):
        if "/COM" in code:
            assert mend.index("isolate power, prove it dead, ring") < mend.index("move it")
        else:
            assert "trace this" in mend
            assert "never cut a pipe because of a tag" in mend
            assert "move" not in mend


@pytest.mark.parametrize(
    ("code", "mend"),
    [
        (
            "BB-1/C/COM",
            (
                "BB-1 C is spare and takes no cable: isolate power, prove it dead, take it off, "
                "find out which unit it serves"
            ),
        ),
        ("BB-1/F/COM", f"{MOVE_IT} E"),
    ],
)
def test_no_cable_is_sent_to_a_terminal_that_takes_none(code: str, mend: str) -> None:
    """A tag of an older revision may name what is a spare, or a pair's second letter, today."""
    assert [each[3] for each in crossed(*A, code)] == [f"{mend}; find what belongs on BB-1 A"]


@pytest.mark.parametrize(
    ("code", "mend"),
    [
        ("ZZ-9/A/COM", "the job has no ZZ-9 A: find out whose cable this is"),
        (
            "BB-1/Z/LIQ",
            "the job has no BB-1 Z: find out whose liquid line this is; never cut a pipe because of a tag",
        ),
    ],
)
def test_a_foreign_tag_on_a_terminal_is_crossed(code: str, mend: str) -> None:
    """There is no place in the job to move it to, and none is made up."""
    assert [each[3] for each in crossed(*A, code)] == [f"{mend}; find what belongs on BB-1 A"]


# --- pairs and spares ---------------------------------------------------------------------------------------


def test_a_pairs_first_terminal_takes_its_cable_and_pipes_of_either_letter() -> None:
    """E+F: the cable lands on E."""
    assert words("BB-1/E/TRM", "BB-1/E/COM", "BB-1/E/LIQ", "BB-1/E/GAS") == {"BB-1 E": "agree"}
    assert words("BB-1/E/TRM", "BB-1/E/COM", "BB-1/F/LIQ", "BB-1/F/GAS") == {"BB-1 E": "agree"}
    assert results("BB-1/E/TRM", "BB-1/E/LIQ", "BB-1/E/GAS")["BB-1 E"].missing == ("cable",)


def test_a_pairs_second_terminal_takes_pipes_of_either_letter_and_no_cable() -> None:
    """It agrees without one."""
    assert words("BB-1/F/TRM", "BB-1/F/LIQ", "BB-1/F/GAS") == {"BB-1 F": "agree"}
    assert words("BB-1/F/TRM", "BB-1/E/LIQ", "BB-1/F/GAS") == {"BB-1 F": "agree"}


@pytest.mark.parametrize("code", ["BB-1/E/COM", "BB-1/F/COM"])
def test_a_cable_on_a_pairs_second_terminal_is_crossed(code: str) -> None:
    """The pair's own cable belongs on the first, whichever letter its tag has."""
    letter = code[5]
    assert crossed("BB-1/F/TRM", code, "BB-1/F/LIQ", "BB-1/F/GAS") == [
        (
            "BB-1 F",
            code,
            f"cable tagged BB-1 {letter} at terminal BB-1 F",
            "land no cable on the second terminal: isolate power, prove it dead, and move it to BB-1 E",
        )
    ]


def test_a_spares_terminal_takes_its_capped_stubs() -> None:
    """And nothing more; a stub that was not scanned is missing."""
    assert words("BB-1/C/TRM", "BB-1/C/LIQ", "BB-1/C/GAS") == {"BB-1 C": "agree"}
    assert results("BB-1/C/TRM", "BB-1/C/GAS")["BB-1 C"].missing == ("liquid line",)


def test_a_cable_on_a_spares_terminal_is_crossed() -> None:
    """Another port's, and one whose tag has the spare's own letter from an older revision."""
    assert words("BB-1/C/TRM", "BB-1/A/COM", "BB-1/C/LIQ", "BB-1/C/GAS") == {"BB-1 C": "crossed"}
    assert [each[3] for each in crossed("BB-1/C/TRM", "BB-1/C/COM")] == [
        (
            "land no cable on a spare terminal: isolate power, prove it dead, take it off, "
            "and find out which unit it serves"
        )
    ]


# --- the order of scanning ----------------------------------------------------------------------------------


def test_a_tag_before_any_terminal_is_not_counted() -> None:
    """It is told, and neither right nor crossed."""
    assert answers(A[1])[0] == "BB-1/A/COM: scan a terminal first; this tag is not counted"
    assert words(A[1], A[0], *A[2:]) == {"BB-1 A": "missing"}


@pytest.mark.parametrize("code", ["ZZ-9/A/TRM", "BB-1/Z/TRM", "BB-2/E/TRM"])
def test_a_terminal_that_the_job_does_not_have_opens_nothing(code: str) -> None:
    """And closes the one before it: what follows is counted nowhere."""
    assert answers(code) == [f"{code[:6]}: the job has no such terminal; no tag counts until one is scanned"]
    found = results(A[0], code, *A[1:])["BB-1 A"]
    assert (found.result, found.closed) == ("missing", "a terminal that the job does not have (2)")


def test_leaving_a_terminal_counts_nothing_more_there() -> None:
    """What another file holds does not hang on the last terminal of this one."""
    check = landed(*A[:2])
    check.leave()
    check.put(scan_of(A[2], ""))
    assert next(check.results()).missing == ("liquid line", "gas line")


def test_a_terminal_scanned_again_goes_on() -> None:
    """Scanned twice by accident, what was found before is not lost, right or crossed."""
    assert words(*A[:2], A[0], *A[2:]) == {"BB-1 A": "agree"}
    assert words(A[0], B[1], A[0], *A[2:]) == {"BB-1 A": "crossed"}
    assert answers(A[0], A[0])[-1] == "terminal BB-1 A again: expects FC-1"


def test_a_second_look_that_is_whole_and_clean_mends_a_crossing() -> None:
    """The cables were moved and both terminals scanned again; an incomplete second look corrects nothing."""
    before = (A[0], B[1], *A[2:], B[0], A[1], *B[2:])
    assert words(*before) == {"BB-1 A": "crossed", "BB-1 B": "crossed"}
    assert words(*before, *A) == {"BB-1 A": "agree", "BB-1 B": "crossed"}
    assert words(*before, *A, *B) == {"BB-1 A": "agree", "BB-1 B": "agree"}
    assert words(*before, *A[:2]) == {"BB-1 A": "crossed", "BB-1 B": "crossed"}
    assert words(*before, *A, B[2]) == {"BB-1 A": "crossed", "BB-1 B": "crossed"}


def of_sources(*visits: tuple[str, bool, bool]) -> str:
    """The result of terminal A out of sources with a visit each: the time, whether live, whether crossed."""
    check = landing()
    for time, is_live, is_crossed in visits:
        check.leave()
        check.time, check.is_live = span_of(time), is_live
        for code in (A[0], B[1], *A[2:]) if is_crossed else A:
            check.put(scan_of(code, ""))
    return next(each.result for each in check.results() if each.letter == "A")


EARLY, LATE, UNKNOWN = "2026-06-03T09:00:00Z", "2026-06-03T14:00:00Z", ""


@pytest.mark.parametrize(
    ("visits", "result"),
    [
        ([(EARLY, False, True), (LATE, False, False)], "agree"),
        ([(LATE, False, False), (EARLY, False, True)], "agree"),
        ([(LATE, False, True), (EARLY, False, False)], "crossed"),
        ([(EARLY, False, True), (EARLY, False, False)], "crossed"),
        ([(UNKNOWN, False, True), (UNKNOWN, False, False)], "crossed"),
        ([(UNKNOWN, False, True), (LATE, False, False)], "crossed"),
        ([(EARLY, False, True), (UNKNOWN, False, False)], "crossed"),
        ([(UNKNOWN, False, True), (UNKNOWN, True, False)], "agree"),
        ([(UNKNOWN, False, False), (UNKNOWN, True, True)], "crossed"),
    ],
)
def test_a_look_of_another_source_clears_only_what_is_known_to_be_earlier(
    visits: list[tuple[str, bool, bool]], result: str
) -> None:
    """Files come in the order of their names: one that is read later may have been scanned before."""
    assert of_sources(*visits) == result


def test_a_clock_that_was_set_back_clears_nothing_within_a_source() -> None:
    """The order of the lines decides there."""
    check = landing()
    for time, codes in ((LATE, A), (EARLY, (A[0], B[1]))):
        check.time = span_of(time)
        for code in codes:
            check.put(scan_of(code, ""))
    assert next(each.result for each in check.results() if each.letter == "A") == "crossed"


def at_minute(minute: int, waited: int | None) -> str:
    """The time of a remark: of a picture that waited so many minutes, or of scans."""
    came = f"2026-06-03T{9 + minute // 60:02}:{minute % 60:02}:00Z"
    if waited is None:
        return came
    taken = minute - waited
    return f"2026-06-03T{9 + taken // 60:02}:{taken % 60:02}:00Z/{came}"


VISITS = st.lists(
    st.tuples(
        st.integers(1, 9), st.none() | st.integers(0, 30), st.sampled_from("XY"), st.booleans()
    ), max_size=6,
)  # fmt: skip
"""Visits in their order: minutes since the one before, how long a picture waited, source, is crossed."""


@settings(max_examples=50)
@given(VISITS)
def test_a_crossing_counts_until_a_look_that_was_surely_later(
    visits: list[tuple[int, int | None, str, bool]],
) -> None:
    """Of pictures and scans by two people: each look is compared with each crossing."""
    check, sources, minute = landing(), {"X": object(), "Y": object()}, 60
    looks: list[tuple[int, int, str]] = []
    found: list[tuple[int, int, str]] = []
    for at, (since, waited, source, is_crossed) in enumerate(visits):
        minute += since
        check.leave()
        check.source, check.time = sources[source], span_of(at_minute(minute, waited))
        for code in (A[0], B[1], *A[2:]) if is_crossed else A:
            check.put(scan_of(code, ""))
        if is_crossed:
            found.append((at, minute, source))
        elif waited is None or waited <= NOW_MINUTES:
            looks.append((at, minute - (waited or 0), source))
    counts = [
        not any(since > until or (whose == source and look > at and since == until)
                for look, since, whose in looks)
        for at, until, source in found
    ]  # fmt: skip
    result = next(each.result for each in check.results() if each.letter == "A")
    assert (result == "crossed") == any(counts)


def test_scans_are_within_the_minute_after_their_time() -> None:
    """The desk writes a time once a minute: a picture of that minute may be from before them."""
    scanned = (EARLY, False, True)
    assert of_sources(scanned, ("2026-06-03T09:00:58Z/2026-06-03T09:02:00Z", False, False)) == "crossed"
    assert of_sources(scanned, ("2026-06-03T09:01:00Z/2026-06-03T09:02:00Z", False, False)) == "agree"


def test_a_terminal_that_is_open_for_long_is_of_its_last_scan() -> None:
    """A cable that was found crossed after the picture was taken."""
    check = landing()
    for time, codes in ((EARLY, A[:1]), (LATE, B[1:2])):
        check.time = span_of(time)
        for code in codes:
            check.put(scan_of(code, ""))
    check.leave()
    check.time = span_of("2026-06-03T13:59:00Z/2026-06-03T14:01:00Z")
    for code in A:
        check.put(scan_of(code, ""))
    assert next(each.result for each in check.results() if each.letter == "A") == "crossed"


def test_a_crossing_found_at_a_second_look_counts() -> None:
    """What agreed before does not excuse it."""
    assert words(*A, A[0], B[2]) == {"BB-1 A": "crossed"}


def test_each_scan_is_answered_in_one_line() -> None:
    """What a terminal expects, what agrees, what is crossed and what to do about it."""
    codes = (*A[:2], B[2], "BB-1/C/TRM", "BB-1/F/TRM", "BB-1/B/TRM")
    assert answers(*codes) == [
        "terminal BB-1 A: expects FC-1",
        "  BB-1/A/COM: agrees with terminal BB-1 A",
        (
            "CROSSED: liquid line tagged BB-1 B at terminal BB-1 A; "
            "its tag says BB-1 B: trace this liquid line to its unit; never cut a pipe because of a tag; "
            "find what belongs on BB-1 A"
        ),
        "terminal BB-1 C: spare; expect capped stubs, no cable",
        "terminal BB-1 F: second terminal of E+F; expect its pipes, no cable",
        "terminal BB-1 B: expects FC-2, FC-3",
    ]


@pytest.mark.parametrize("text", ["BB-1/LOC", "bb-1/loc", *placards(library())[:1]])
def test_a_boxs_own_label_and_placard_leave_its_terminal_open(text: str) -> None:
    """They are met on the way, and are no part of the landing check."""
    check = landed(*A[:3])
    assert check.put(scan_of(text, "")) == Landed()
    check.put(scan_of(A[3], ""))
    assert (next(check.results()).result, next(check.results()).closed) == ("agree", "")


FOREIGN = placards(plan_of(replace(LIBRARY, number="XX-1")))[0]
CLOSING = {
    "4006381333931": "an unknown code (x:9)",
    "BB-1/B/TR": "an unknown code (x:9)",  # cut
    "BB-1/B/TRMBB-1/B/COM": "an unknown code (x:9)",  # glued
    "BB-1/\ufffd/TRM": "an unknown code (x:9)",
    "BOX BB-1 REV 2\n": "a damaged placard (x:9)",
    "CRC 01234567": "a damaged placard (x:9)",
    FOREIGN: "a placard of job XX-1 (x:9)",
    placards(library())[1]: "a placard of box BB-2 (x:9)",
    "BB-2/LOC": "a tag of box BB-2 (x:9)",
    "BB-1/A/UNT/FC-1": "a label that is not at the box (x:9)",
    "BB-1/A/CTL/FC-1": "a label that is not at the box (x:9)",
    "BB-1/ISO": "a label that is not at the box (x:9)",
    "ZZ-9/B/TRM": "a terminal that the job does not have (x:9)",
    "BB-1/Z/TRM": "a terminal that the job does not have (x:9)",
}


@pytest.mark.parametrize(("text", "closed"), CLOSING.items())
def test_what_may_be_another_terminal_closes_the_open_one(text: str, closed: str) -> None:
    """What follows counts for none: neither for the terminal that was open, nor as crossed there."""
    check = landed(*A[:2])
    check.put(scan_of(text, "x:9"))
    for code in (*A[2:], B[1]):
        assert check.put(scan_of(code, "")).line == f"{code}: scan a terminal first; this tag is not counted"
    first, second, *_ = check.results()
    assert first == PortResult("BB-1", "A", "missing", ("liquid line", "gas line"), closed=closed)
    assert second.result == "not scanned"


def test_the_pipes_of_an_unread_second_terminal_do_not_complete_the_first() -> None:
    """E+F take pipes of either letter, so that those of F would make E agree."""
    codes = ("BB-1/E/TRM", "BB-1/E/COM", "BB-1/F/TR?", "BB-1/F/LIQ", "BB-1/F/GAS")
    assert results(*codes)["BB-1 E"].missing == ("liquid line", "gas line")


def test_closing_is_answered_once() -> None:
    """With the terminal's name; where none is open there is nothing to close."""
    assert answers("?", A[0], "?", "?") == [
        *("", "terminal BB-1 A: expects FC-1"),
        *("  terminal BB-1 A is closed: no tag counts until a terminal is scanned", ""),
    ]


def test_a_whole_second_look_clears_what_closed_the_first() -> None:
    """Scanned again with all its tags, nothing is left to say."""
    assert results(*A[:2], "?", *A)["BB-1 A"] == PortResult("BB-1", "A", "agree")


def test_letters_come_in_the_familys_order() -> None:
    """Which need not be the alphabet's."""
    names = shipped_family().port_names
    backwards = replace(shipped_family(), port_names=names[::-1])
    sketch = JobSketch((BoxSketch("BB-1", 4, (UnitSketch("FC-1", names[-1]),)),))
    plan = plan_job(sketch.record(backwards))[0]
    assert [each.letter for each in landing(plan).results()] == list(names[::-1][:4])


def test_a_box_written_in_small_letters_is_found() -> None:
    """Its codes stand in capitals, its name in results as the job has it."""
    sketch = replace(LIBRARY, boxes=(replace(LIBRARY.boxes[0], tag="bb-1"), LIBRARY.boxes[1]))
    assert {name: each.result for name, each in results(*A, plan=plan_job(sketch.record())[0]).items()} == {
        "bb-1 A": "agree"
    }


# --- any job ------------------------------------------------------------------------------------------------


def kits(plan: Plan) -> dict[tuple[str, str], list[str]]:
    """The codes of every terminal of a job, where all is right."""
    return {(box.row.tag, letter): list(kit(box, letter)) for box in plan.boxes for letter in letters_of(box)}


def walked(plan: Plan, codes: Iterable[list[str]]) -> dict[tuple[str, str], str]:
    """The result of every terminal after all these codes."""
    found = landed(*(code for each in codes for code in each), plan=plan).results()
    return {(each.box, each.letter): each.result for each in found}


@given(jobs((4, 6), most_boxes=2))
@settings(max_examples=40, deadline=None)
def test_a_right_job_agrees_everywhere(job: Job) -> None:
    """Any legal job, every terminal scanned with its own tags; every code scanned is one of its tags."""
    plan = plan_job(job)[0]
    right = kits(plan)
    assert set(walked(plan, right.values()).values()) == {"agree"}
    assert {code for codes in right.values() for code in codes} == {
        code for code, tag in tags_by_code(plan).items() if tag.end == "box"
    }


@given(jobs((4, 6), most_boxes=2), st.data())
@settings(max_examples=80, deadline=None)
def test_any_two_things_swapped_between_ports_are_crossed_at_both(job: Job, data: st.DataObject) -> None:
    """Any cable or pipe of one port against any of another, in one box or two; all other terminals agree."""
    plan = plan_job(job)[0]
    right = kits(plan)
    one, other = data.draw(st.permutations(list(right)).map(lambda names: names[:2]))
    assume(port_name(plan, one) != port_name(plan, other))
    at = [data.draw(st.integers(1, len(right[name]) - 1)) for name in (one, other)]
    swapped = {name: list(codes) for name, codes in right.items()}
    swapped[one][at[0]], swapped[other][at[1]] = right[other][at[1]], right[one][at[0]]
    expected = {name: "crossed" if name in {one, other} else "agree" for name in right}
    assert expected == walked(plan, swapped.values())


def port_name(plan: Plan, terminal: tuple[str, str]) -> tuple[str, str]:
    """The box and port or pair that a terminal belongs to."""
    box = next(box for box in plan.boxes if box.row.tag == terminal[0])
    return box.row.tag, box.port_of(terminal[1]).name


def test_each_scan_gives_what_it_did() -> None:
    """For those who show it otherwise than as a line: opened, agrees, crossed, not counted, closed."""
    check = landed()
    scans = ["BB-1/A/COM", A[0], A[1], "BB-1/B/LIQ", "BB-1/A/COM/FC-1", "BB-1/LOC", "?", "ZZ-9/A/TRM"]
    outcomes = [check.put(scan_of(code, "")).outcome for code in scans]
    assert outcomes == [
        *("not counted", "opened", "agrees", "crossed", "not counted"),
        *("", "closed", "closed"),
    ]
    assert check.result_at(("BB-1", "A")) == next(check.results())
