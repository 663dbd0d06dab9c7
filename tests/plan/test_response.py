"""A response test of a job: which ports are called, which are not, and what cannot be."""

import pytest

from tagmaker.plan.model import Plan
from tagmaker.plan.plan_job import plan_job
from tagmaker.plan.response import Asked, SystemCalls, plan_response
from tests.records import replace
from tests.strategies import BoxSketch, JobSketch, UnitSketch

BOX = BoxSketch(
    "BB-1",
    8,
    (
        UnitSketch("FC-1", "A", "12 kBtu/h"),
        UnitSketch("FC-2", "B", "9 kBtu/h"),
        UnitSketch("FC-3", "B", "9 kBtu/h"),
        UnitSketch("AH-1", "C+D", "72 kBtu/h"),
        UnitSketch("FC-4", "F", "24 kBtu/h"),
    ),
)
JOB = JobSketch((BOX,), number="ML-24")
ALL = Asked()


def planned(job: JobSketch = JOB, systems: tuple[str, ...] = ()) -> Plan:
    """A job's plan, its boxes of these systems in turn."""
    plan, _ = plan_job(job.record())
    boxes = tuple(
        replace(box, row=replace(box.row, system=systems[at % len(systems)])) if systems else box
        for at, box in enumerate(plan.boxes)
    )
    return replace(plan, boxes=boxes)


def only(plan: Plan, asked: Asked = ALL) -> SystemCalls:
    """The one system's test, without a problem."""
    systems, problems = plan_response(plan, asked)
    assert problems == ()
    (calls,) = systems
    return calls


def codes(plan: Plan, asked: Asked = ALL) -> list[str]:
    """The problems' codes."""
    return [problem.code for problem in plan_response(plan, asked)[1]]


def test_every_used_port_is_called() -> None:
    """Units that share a port share its word; a joined pair is one port; a spare one is not called."""
    calls = only(planned())
    assert [(call.box, call.port, call.units) for call in calls.ports] == [
        ("BB-1", "A", ("FC-1",)),
        ("BB-1", "B", ("FC-2", "FC-3")),
        ("BB-1", "C+D", ("AH-1",)),
        ("BB-1", "F", ("FC-4",)),
    ]
    assert {len(call.calls) for call in calls.ports} == {calls.rounds} == {5}


def test_a_unit_is_left_out() -> None:
    """Its port is still called for its other unit; a port without another is not called."""
    calls = only(planned(), Asked(without=("FC-2", "AH-1")))
    assert [(call.port, call.units) for call in calls.ports] == [
        ("A", ("FC-1",)),
        ("B", ("FC-3",)),
        ("F", ("FC-4",)),
    ]
    assert calls.without == ("FC-2", "AH-1")


def test_a_unit_that_only_cools_is_never_called_to_heat() -> None:
    """Nor is any other unit of its port."""
    calls = only(planned(), Asked(cool_only=("FC-3",)))
    assert [set(call.calls) for call in calls.ports] == [{"H", "C"}, {"C"}, {"H", "C"}, {"H", "C"}]


def test_two_that_only_cool_are_not_told_apart() -> None:
    """The plan says so."""
    assert codes(planned(), Asked(cool_only=("FC-1", "FC-4"))) == ["response-alike"]


def test_each_system_has_a_test_of_its_own() -> None:
    """Words of two systems may be the same: their lines cannot be crossed without a leak."""
    job = replace(JOB, boxes=(BOX, BoxSketch("BB-2", 4, (UnitSketch("FC-5", "A"), UnitSketch("FC-6", "B")))))
    plan = planned(job, ("HR-1", "HR-2"))
    systems, _ = plan_response(plan, Asked())
    assert [(calls.system, len(calls.ports)) for calls in systems] == [("HR-1", 4), ("HR-2", 2)]
    one, _ = plan_response(plan, Asked(system="HR-2"))
    assert one == systems[1:]


def test_words_are_kept_where_a_port_is_as_it_was() -> None:
    """A new unit on a spare port: every other port has the word that it had."""
    first = only(planned())
    more = replace(BOX, units=(*BOX.units, UnitSketch("FC-7", "G")))
    second = only(planned(replace(JOB, boxes=(more,))), Asked(earlier=(first,)))
    was = {call.port: call.calls for call in first.ports}
    now = {call.port: call.calls for call in second.ports}
    assert {port: now[port][: first.rounds] for port in was} == was
    assert second.plan != first.plan


def test_a_port_whose_unit_changed_gets_a_word_like_any_other() -> None:
    """Only the same unit on the same port keeps its word."""
    first = only(planned())
    units = (UnitSketch("FC-9", "A", "12 kBtu/h"), *BOX.units[1:])
    second = only(planned(replace(JOB, boxes=(replace(BOX, units=units),))), Asked(earlier=(first,)))
    assert [call.calls for call in second.ports[1:]] == [call.calls for call in first.ports[1:]]


def test_the_same_job_has_the_same_test() -> None:
    """Words and digest."""
    assert only(planned()) == only(planned())


def test_another_job_has_another_digest() -> None:
    """The same boxes under another number."""
    assert only(planned()).plan != only(planned(replace(JOB, number="ML-25"))).plan


def test_heat_share_is_of_the_capacity_under_test() -> None:
    """By its definition."""
    calls = only(planned())
    loads = dict(zip("ABCF", (12, 18, 72, 24), strict=True))
    for at, share in enumerate(calls.heat_share):
        heats = sum(loads[call.port[0]] for call in calls.ports if call.calls[at] == "H")
        assert share == pytest.approx(heats / 126, abs=1e-4)


@pytest.mark.parametrize(
    ("asked", "where"),
    [
        (Asked(system="HR-9"), "--system"),
        (Asked(without=("FC-99",)), "--without"),
        (Asked(cool_only=("FC-99",)), "--cool-only"),
    ],
)
def test_what_the_job_does_not_have_is_an_error(asked: Asked, where: str) -> None:
    """A slip of the keyboard must not leave a server room in the test."""
    _, problems = plan_response(planned(), asked)
    assert [(problem.code, str(problem.where)) for problem in problems][:1] == [("value-wrong", where)]


def test_nothing_to_call_is_an_error() -> None:
    """Every unit left out."""
    every = tuple(unit.tag for unit in BOX.units)
    assert codes(planned(), Asked(without=every)) == ["response-words"]


def test_too_many_ports_ask_for_systems() -> None:
    """More than 256 used ports in what may be several refrigerant circuits."""
    boxes = tuple(
        BoxSketch(f"BB-{box}", 12, tuple(UnitSketch(f"U-{box}-{port}", port) for port in "ABCDEFGHIJKL"))
        for box in range(22)
    )
    plan = planned(JobSketch(boxes))
    systems, problems = plan_response(plan, Asked())
    assert systems == ()
    assert [problem.code for problem in problems] == ["response-words"]
    assert "`system`" in problems[0].hint


def test_what_cannot_be_balanced_is_a_warning() -> None:
    """One unit has most of the capacity of thirteen."""
    units = tuple(UnitSketch(f"FC-{at}", "ABCDEFGHIJKL"[at], "1 kBtu/h") for at in range(12))
    boxes = (BoxSketch("BB-1", 12, units), BoxSketch("BB-2", 4, (UnitSketch("AH-9", "A", "54 kBtu/h"),)))
    assert codes(planned(JobSketch(boxes))) == ["response-balance"]
