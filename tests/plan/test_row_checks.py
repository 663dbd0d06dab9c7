"""Addresses, diameters, lengths: each check fires on the smallest bad case, not on the nearest good one."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tagmaker.catalog.practice import is_tube, practice
from tagmaker.job.model import Job, Mains, UnitRow
from tagmaker.plan.plan_job import plan_job
from tagmaker.problems import Severity
from tagmaker.units import Capacity, Length, read_capacity
from tests.measured import length
from tests.plan.families import FOUR
from tests.records import replace
from tests.strategies import BoxSketch, JobSketch, UnitSketch
from tests.tables import table

TWO_BOXES = JobSketch(
    tuple(
        BoxSketch(f"BB-{number}", 4, (UnitSketch(f"FC-{number}", "A"), UnitSketch(f"FC-{number + 2}", "B")))
        for number in (1, 2)
    )
).record()
"""FC-1 and FC-3 on BB-1, FC-2 and FC-4 on BB-2."""


def with_unit(**values: str) -> Job:
    """The job whose first unit has these lengths."""
    lengths = {key: length(text) for key, text in values.items()}
    first, *others = TWO_BOXES.units
    return replace(TWO_BOXES, units=(replace(first, **lengths), *others))


def addressed(*addresses: str, systems: tuple[str, str] = ("", "")) -> Job:
    """The job with addresses for its units in order, and systems for its boxes."""
    padded = (*addresses, *[""] * (len(TWO_BOXES.units) - len(addresses)))
    units: list[UnitRow] = [
        replace(unit, address=address) for unit, address in zip(TWO_BOXES.units, padded, strict=True)
    ]
    boxes = [replace(box, system=system) for box, system in zip(TWO_BOXES.boxes, systems, strict=True)]
    return replace(TWO_BOXES, units=tuple(units), boxes=tuple(boxes))


def told(job: Job) -> list[tuple[Severity, str]]:
    """Severity and code of every problem."""
    return [(problem.severity, problem.code) for problem in plan_job(job)[1]]


@pytest.mark.parametrize(
    ("addresses", "systems"),
    [
        (("7", "7"), ("", "")),
        (("2-07", "2-7"), ("", "")),
        (("7", "", "7"), ("", "")),  # of two boxes without a system
        (("7", "", "7"), ("HR-1", "hr-1")),
    ],
)
def test_an_address_given_twice_is_an_error(addresses: tuple[str, ...], systems: tuple[str, str]) -> None:
    """In one system; boxes that name none are one system together."""
    assert told(addressed(*addresses, systems=systems)) == [(Severity.ERROR, "address-twice")]


def test_an_address_given_twice_names_both_rows() -> None:
    """The later row, with its place, the earlier one in the hint; both boxes are touched."""
    (problem,) = plan_job(addressed("7", "", "7"))[1]
    third = TWO_BOXES.units[2]
    assert problem.message == f"unit {third.tag} has address 7, which unit FC-1 already has"
    assert str(TWO_BOXES.units[0].where) in problem.hint
    assert (problem.where, problem.boxes) == (third.where, ("BB-1", "BB-2"))


@pytest.mark.parametrize(
    ("addresses", "systems"),
    [
        (("7", "", "7"), ("HR-1", "HR-2")),
        (("7", "", "7"), ("HR-1", "")),
        (("1-07", "2-07"), ("", "")),
        (("7", "1-7", "8", "09"), ("", "")),
        ((), ("", "")),
    ],
)
def test_different_addresses_are_fine(addresses: tuple[str, ...], systems: tuple[str, str]) -> None:
    """Another system, another group, another number, or none at all."""
    assert told(addressed(*addresses, systems=systems)) == []


@pytest.mark.parametrize("address", ["2/07", "A", "2-", "-7", "1-2-3", "12345", "7 ", "٣"])
def test_what_is_no_address_is_an_error(address: str) -> None:
    """Neither a number nor GROUP-NUMBER."""
    assert told(addressed(address)) == [(Severity.ERROR, "address-wrong")]


@pytest.mark.parametrize(("address", "is_good"), [("1", True), ("2-64", True), ("0", False), ("1-65", False)])
def test_an_address_is_within_those_of_the_family(address: str, is_good: bool) -> None:  # noqa: FBT001
    """Its last number, where the family gives limits."""
    family = replace(FOUR, addresses=(1, 64))
    job = addressed(address)
    job = replace(job, boxes=tuple(replace(box, family=family) for box in job.boxes))
    assert told(job) == ([] if is_good else [(Severity.ERROR, "address-wrong")])


@pytest.mark.parametrize(
    ("liquid", "gas", "expected"),
    [
        ("1/4 in", "3/8 in", []),
        ("3/4 in", "3/8 in", [(Severity.ERROR, "liquid-not-smaller")]),
        ("3/8 in", "3/8 in", [(Severity.WARNING, "liquid-not-smaller")]),
        ("9.52 mm", "3/8 in", [(Severity.WARNING, "liquid-not-smaller")]),
        ("10 mm", "3/8 in", [(Severity.ERROR, "liquid-not-smaller")]),
    ],
)
def test_liquid_is_smaller_than_gas(liquid: str, gas: str, expected: list[tuple[Severity, str]]) -> None:
    """Larger is an error, the same size a question; at a box the liquid and the suction main."""
    assert told(with_unit(liquid=liquid, gas=gas)) == expected
    mains = Mains({"liquid": length(liquid), "suction": length(gas)}, None, None)
    first, other = TWO_BOXES.boxes
    assert told(replace(TWO_BOXES, boxes=(replace(first, mains=mains), other))) == expected


@pytest.mark.parametrize(
    ("key", "good", "bad"),
    table(
        """
    run        | 300 ft   | 301 ft
    run        | 91 m     | 92 m
    insulation | 2 in     | 2.1 in
    insulation | 50 mm    | 51 mm
    cable      | 25 mm    | 26 mm
    gas        | 2-1/8 in | 2-1/4 in
    gas        | 54 mm    | 55 mm
    liquid     | 6.35 mm  | 5 mm
        """
    ),
)
def test_beyond_common_practice_is_a_warning(key: str, good: str, bad: str) -> None:
    """One that names the figure and what is usual."""
    assert told(with_unit(**{key: good})) == []
    assert told(with_unit(**{key: bad})) == [(Severity.WARNING, "dimension-unusual")]
    assert bad in plan_job(with_unit(**{key: bad}))[1][0].message


@pytest.mark.parametrize(
    ("one", "two", "expected"),
    [
        ("BB 1/L2", "BB 2/L2", ""),
        ("BB-1", "bb-1", "box BB-2 is printed as 'bb-1', which is what box BB-1 is called"),
        ("BB-2", "BB-1", "box BB-1 is printed as 'BB-2', which is what box BB-2 is called"),
        ("Roof", "ROOF", "box BB-2 is printed as 'ROOF', which is what box BB-1 is called"),
        ("BB-2", "West", "box BB-1 is printed as 'BB-2', which is what box BB-2 is called"),
    ],
)
def test_two_boxes_are_not_printed_alike(one: str, two: str, expected: str) -> None:
    """Their labels would be taken for each other's, whatever their codes say."""
    boxes = [replace(box, shown=shown) for box, shown in zip(TWO_BOXES.boxes, (one, two), strict=True)]
    found = plan_job(replace(TWO_BOXES, boxes=tuple(boxes)))[1]
    assert [each.code for each in found] == ["box-twice"] * len(found)
    assert [each.message for each in found][:1] == [expected] * bool(expected)


def test_a_capacity_of_another_unit_is_a_warning() -> None:
    """12 in a column of Btu/h is a thousandth: the port's load would hide what overloads it."""

    def job(text: str) -> Job:
        read = read_capacity(text)
        assert isinstance(read, Capacity)
        first, *others = TWO_BOXES.units
        return replace(TWO_BOXES, units=(replace(first, capacity=read), *others))

    assert [told(job(text)) for text in ("500 Btu/h", "0.15 kW")] == [[], []]
    for text, least in (("12 Btu/h", "0.5 kBtu/h"), ("0.1 kW", "0.147 kW")):
        (found,) = plan_job(job(text))[1]
        assert (found.severity, found.code) == (Severity.WARNING, "dimension-unusual")
        assert found.message == f"unit FC-1: capacity of {text}; less than {least} is not usual"


def test_mains_beyond_common_practice_are_a_warning() -> None:
    """Each tube, the wall and the run."""
    first, other = TWO_BOXES.boxes
    mains = Mains({"liquid": length("4 in"), "hot_gas": length("5 in")}, length("3 in"), length("5000 ft"))
    found = told(replace(TWO_BOXES, boxes=(replace(first, mains=mains), other)))
    assert found == [(Severity.WARNING, "dimension-unusual")] * 4


def test_a_familys_longest_run_is_a_limit_and_not_a_question() -> None:
    """Longer is an error; what the family allows is not questioned by common practice."""

    def job(run: str) -> Job:
        given = with_unit(run=run)
        family = replace(FOUR, longest_run=length("540 ft"))
        return replace(given, boxes=tuple(replace(box, family=family) for box in given.boxes))

    assert told(job("540 ft")) == []
    assert told(job("541 ft")) == [(Severity.ERROR, "run-too-long")]


@given(st.sampled_from(practice().tubes))
def test_every_listed_tube_is_usual_in_millimetres_too(tube: Length) -> None:
    """As rounded to a tenth of a millimetre: 3/8 in is written 9.5 mm, and sold as 9.52 mm."""
    assert is_tube(length(f"{float(tube.mm):.1f} mm"))


def test_practice_has_its_standing() -> None:
    """What is from memory is said to be."""
    assert "from memory" in practice().source


@pytest.mark.parametrize(
    ("key", "given_", "usual"),
    [
        ("run", "200 m", "91.44 m"),
        ("run", "5000 ft", "300 ft"),
        ("insulation", "60 mm", "50.8 mm"),
        ("insulation", "3 in", "2 in"),
    ],
)
def test_what_is_usual_is_told_in_the_system_of_what_was_given(key: str, given_: str, usual: str) -> None:
    """300 ft are 91.44 m, 2 in are 50.8 mm [by hand]: no metric part of a job is compared with inches."""
    (problem,) = plan_job(with_unit(**{key: given_}))[1]
    assert f"more than {usual} is not usual" in problem.message
