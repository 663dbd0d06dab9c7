"""Where one more unit can go is what planning the job with it says, place by place."""

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from tagmaker.catalog.family import Family
from tagmaker.job.model import Job, UnitRow
from tagmaker.plan.headroom import (
    Candidate,
    Move,
    candidates,
    largest_headroom,
    moves,
    nearest_first,
    one_more,
)
from tagmaker.plan.model import BoxPlan
from tagmaker.plan.plan_job import plan_job
from tagmaker.plan.ports import pairs
from tagmaker.problems import Severity, Where, has_errors
from tests.records import replace
from tests.strategies import (
    BoxSketch,
    JobSketch,
    UnitSketch,
    capacities,
    capacity,
    first_box,
    one_box,
    shipped_family,
    sketches,
)

SMALL = one_box(("FC-1", "A", "24 kBtu/h"), ("AH-1", "C+D", "72 kBtu/h"))
"""A box of four: A has room for 30, B is spare, C and D work as one and have room for 36."""
UNKNOWN = replace(one_box(("FC-1", "A", ""), ("FC-2", "C", "9 kBtu/h")), is_draft=True)
"""A draft's box of four: the load of A is not known, B and D are spare."""


def names(sketch: JobSketch, text: str, family: Family | None = None) -> tuple[list[str], list[str]]:
    """The free places and the shared ones of a job's first box, by name."""
    found = found_in(sketch.record(family), text)
    return [p.port.name for p in found if not p.is_shared], [p.port.name for p in found if p.is_shared]


def found_in(job: Job, text: str) -> tuple[Candidate, ...]:
    """Every place of a job's first box."""
    return candidates(job, first_box(job), capacity(text))


def limited(text: str) -> Family:
    """The family with such a limit for a whole box."""
    return replace(shipped_family(), box_limit=capacity(text))


# --- which places -------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("text", "free", "shared"),
    [
        ("9 kBtu/h", ["B"], ["A", "C+D"]),
        ("30 kBtu/h", ["B"], ["A", "C+D"]),
        ("36 kBtu/h", ["B"], ["C+D"]),
        ("54 kBtu/h", ["B"], []),
        ("54.001 kBtu/h", [], []),
    ],
)
def test_a_port_carries_what_its_limit_leaves(text: str, free: list[str], shared: list[str]) -> None:
    """To the last Btu/h, and no more."""
    assert names(SMALL, text) == (free, shared)


@pytest.mark.parametrize(
    ("text", "free"),
    [("54 kBtu/h", ["B", "E", "F", "H"]), ("55 kBtu/h", ["E+F"]), ("108 kBtu/h", ["E+F"]), ("109 MBH", [])],
)
def test_pairs_are_offered_where_one_port_would_not_do(text: str, free: list[str]) -> None:
    """Only legal ones of which both letters are spare: B+C, C+D and G+H are none here."""
    rows = (("FC-1", "A", "9 kBtu/h"), ("AH-1", "C+D", "72 kBtu/h"), ("FC-2", "G", "9 kBtu/h"))
    assert names(one_box(*rows, ports=8), text)[0] == free


def test_a_letter_without_a_port_is_no_place() -> None:
    """The two positions of a box of six that no port is fitted to carry nothing."""
    assert names(one_box(("FC-1", "A", "50 kBtu/h"), ports=6), "9 kBtu/h") == (list("BCDEF"), [])


@pytest.mark.parametrize(("limit", "free"), [("104 kBtu/h", []), ("105 kBtu/h", ["B"])])
def test_a_boxs_own_limit_counts(limit: str, free: list[str]) -> None:
    """What the port would carry does not help where the box has no more."""
    assert names(SMALL, "9 kBtu/h", limited(limit))[0] == free


def test_headroom_after() -> None:
    """What the port's and the box's limits leave with the unit there."""
    (place,) = found_in(SMALL.record(limited("140 kBtu/h")), "40 kBtu/h")
    left = place.box_headroom
    assert (place.headroom, left) == (capacity("14000 Btu/h"), capacity("4000 Btu/h"))
    (place,) = found_in(SMALL.record(), "40 kBtu/h")
    assert place.box_headroom is None


# --- what is not known --------------------------------------------------------------------------------------


def test_a_port_of_unknown_load_is_not_shared() -> None:
    """Nobody can say that it has room; its neighbours have."""
    assert names(UNKNOWN, "9 kBtu/h") == (["B", "D"], ["C"])


@pytest.mark.parametrize(("limit", "free"), [("17 kBtu/h", []), ("18 kBtu/h", ["B", "D"])])
def test_known_loads_count_against_a_boxs_limit(limit: str, free: list[str]) -> None:
    """Too much already without the one that is not known is too much."""
    assert names(UNKNOWN, "9 kBtu/h", limited(limit))[0] == free


def test_a_boxs_headroom_is_unknown_with_a_load() -> None:
    """It is not told as if the missing capacity were nothing."""
    assert {p.box_headroom for p in found_in(UNKNOWN.record(limited("90 kBtu/h")), "9 kBtu/h")} == {None}


def test_a_box_with_an_error_offers_nothing() -> None:
    """Where the plan is wrong no port of it is free for certain."""
    wrong = one_box(("FC-1", "A", "60 kBtu/h"))
    assert names(wrong, "9 kBtu/h") == ([], [])


# --- questions ----------------------------------------------------------------------------------------------


def test_more_units_than_common_are_a_question() -> None:
    """The sixth unit of a port is offered, with what to look up; the fifth is no question."""
    rows = [(f"FC-{number}", "A", "6 kBtu/h") for number in range(5)]
    rows += [(f"FC-1{number}", "B", "6 kBtu/h") for number in range(4)]
    found = {p.port.name: [q.code for q in p.questions] for p in found_in(one_box(*rows).record(), "6 MBH")}
    assert found == {"A": ["port-crowded"], "B": [], "C": [], "D": []}


def test_a_conversion_is_a_question() -> None:
    """16 kW on a port of 54 kBtu/h is 1.1 % too much (1 kW = 3412.142 Btu/h, computed)."""
    found = {p.port.name: [q.code for q in p.questions] for p in found_in(SMALL.record(), "16 kW")}
    assert found == {"B": ["port-over-by-conversion"]}
    job = one_box(("FC-1", "A", "9 kBtu/h")).record()
    assert {p.port.name: p.headroom.btuh > 0 for p in found_in(job, "16 kW")} == {
        "B": False,
        "C": False,
        "D": False,
        "C+D": True,
    }


def test_a_warning_of_today_is_no_question() -> None:
    """Only what the unit itself would raise is told with it."""
    rows = [(f"FC-{number}", "A", "6 kBtu/h") for number in range(6)]
    found = {p.port.name: [q.code for q in p.questions] for p in found_in(one_box(*rows).record(), "6 MBH")}
    assert found["B"] == []


# --- what planning says -------------------------------------------------------------------------------------


@given(sketches(), capacities(120_000), st.sampled_from(("", "240 kBtu/h")))
@example(SMALL, "54 kBtu/h", "")
@example(UNKNOWN, "9 kBtu/h", "")
@settings(max_examples=50, deadline=None)
def test_places_are_what_planning_the_job_with_the_unit_allows(
    sketch: JobSketch, text: str, limit: str
) -> None:
    """On every port and pair, the whole job with the unit there has no error if and only if it is offered.

    A pair that one port would do for is legal and not offered.
    """
    job = sketch.record(limited(limit) if limit else None)
    planned, problems = plan_job(job)
    wrong = {key for problem in problems if problem.severity is Severity.ERROR for key in problem.boxes}
    for box in planned.boxes:
        offered = {place.port.name for place in candidates(job, box, capacity(text))}
        assert offered == (set() if box.row.key in wrong else brute_force(job, box, text))


def brute_force(job: Job, box: BoxPlan, text: str) -> set[str]:
    """Every single port and legal pair of a box on which one more row makes no error."""
    carries = one_port_does(box, text)
    letters = [port.letters for port in box.ports]
    tried = {("+".join(each)) for each in [*letters, *pairs(box.row.family, box.row.ports)]}
    found: set[str] = set()
    for name in tried:
        port = next((port for port in box.ports if port.name == name), None)
        is_unknown = port is not None and bool(port.units) and port.load is None
        row = one_more(job.units, box.row, capacity(text), name)
        _, problems = plan_job(replace(job, units=(*job.units, row)))
        mine = [problem for problem in problems if not problem.boxes or box.row.key in problem.boxes]
        if not has_errors(mine) and not is_unknown and not (port is None and carries):
            found.add(name)
    return found


def one_port_does(box: BoxPlan, text: str) -> bool:
    """Whether a single port of the family carries it without a question."""
    return capacity(text) <= box.row.family.port_limit


# --- switches -----------------------------------------------------------------------------------------------


def test_a_free_port_is_switched_into_service() -> None:
    """One switch, from ON to OFF."""
    (place,) = found_in(SMALL.record(), "54 kBtu/h")
    assert moves(place.before, place.after) == (Move("only", "Bank 1", 2, "on", "off"),)


def test_a_free_pair_is_switched_into_service_and_joined() -> None:
    """Three switches, by bank and number."""
    (place,) = found_in(one_box(("FC-1", "A", "9 kBtu/h")).record(), "96 kBtu/h")
    assert moves(place.before, place.after) == (
        Move("only", "Bank 1", 3, "on", "off"),
        Move("only", "Bank 1", 4, "on", "off"),
        Move("only", "Bank 2", 2, "off", "on"),
    )


@given(sketches(), capacities(54_000))
@settings(max_examples=30, deadline=None)
def test_a_shared_port_moves_no_switch(sketch: JobSketch, text: str) -> None:
    """And a free one moves only switches of the board that serves it."""
    job = sketch.record()
    for box in plan_job(job)[0].boxes:
        for place in candidates(job, box, capacity(text)):
            boards = {move.board for move in moves(place.before, place.after)}
            own = {b.place for b in box.boards if place.port.letters[0] in b.letters}
            assert boards == (set() if place.is_shared else own)


# --- where to look ------------------------------------------------------------------------------------------


def row_of_boxes(count: int) -> Job:
    """A job of so many boxes."""
    boxes = [BoxSketch(f"BB-{n}", 4, (UnitSketch(f"FC-{n}", "A"),)) for n in range(1, count + 1)]
    return JobSketch(tuple(boxes)).record()


@pytest.mark.parametrize(
    ("near", "order"), [("", "12345"), ("BB-1", "12345"), ("BB-3", "32415"), ("BB-5", "54321")]
)
def test_nearest_first_by_the_jobs_order(near: str, order: str) -> None:
    """Walking order both ways from the box that is named; at the same distance the earlier box first."""
    job = row_of_boxes(5)
    assert [box.row.tag[-1] for box in nearest_first(plan_job(job)[0].boxes, job, near)] == list(order)


def test_distance_counts_boxes_that_are_not_looked_at() -> None:
    """Two boxes away is two boxes away, whether the one between is judged or not."""
    job = row_of_boxes(5)
    boxes = [box for box in plan_job(job)[0].boxes if box.row.tag in {"BB-1", "BB-4", "BB-5"}]
    assert [box.row.tag for box in nearest_first(boxes, job, "BB-2")] == ["BB-1", "BB-4", "BB-5"]


def test_the_most_that_is_free() -> None:
    """The roomiest free port, free pair and used port, first one where several have as much."""
    eight = one_box(("FC-1", "A", "24 kBtu/h"), ("FC-2", "C", "9 kBtu/h"), ports=8)
    box = first_box(eight.record())
    assert [room.box for room in largest_headroom([box])] == [box.row] * 3
    found = [(room.name, int(room.capacity.btuh)) for room in largest_headroom([box])]
    assert found == [("B", 54000), ("E+F", 108000), ("C", 45000)]


def test_the_most_is_within_the_boxs_limit() -> None:
    """A port has no more room than its box; a box without any has none."""
    box = first_box(SMALL.record(limited("100 kBtu/h")))
    assert [(room.name, int(room.capacity.btuh)) for room in largest_headroom([box])] == [
        ("B", 4000),
        ("A", 4000),
    ]
    assert largest_headroom([first_box(SMALL.record(limited("96 kBtu/h")))]) == ()


def test_a_new_units_tag_is_new() -> None:
    """The placeholder is never a tag of the job, in any case of its letters."""
    job = one_box(("new", "A", "9 MBH"), ("NEW-2", "B", "9 MBH")).record()
    assert one_more(job.units, job.boxes[0], capacity("9 MBH"), "C").tag == "NEW-3"
    job = one_box(("NEW", "A", "9 MBH")).record()
    assert one_more(job.units, job.boxes[0], capacity("9 MBH"), "C").tag == "NEW-2"


def test_a_new_unit_has_a_port_and_a_capacity_alone() -> None:
    """No room, address or pipe is made up for it; what is wrong with it is told of the option."""
    job = SMALL.record()
    row = UnitRow("NEW", "BB-1", "B", capacity("9 MBH"), Where("--capacity"))
    assert one_more(job.units, job.boxes[0], capacity("9 MBH"), "B") == row
