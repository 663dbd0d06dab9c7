"""The charge of a system, line by line: worked by hand, exact, and unknown as soon as anything is missing."""

from collections.abc import Sequence
from fractions import Fraction

import pytest

from tagmaker.job.model import BoxRow, Charge, Mains, SystemRow, UnitRow
from tagmaker.measures import Mass, MassPerLength
from tagmaker.plan.charge import ChargePlan, figure_of, plan_charge
from tagmaker.problems import Where
from tests.quantities import length, measure
from tests.records import replace
from tests.strategies import FAMILY, shipped_family

POUND = Fraction("453.59237")
WHERE = Where("job.toml")


def box(tag: str, liquid: str = "", run: str = "") -> BoxRow:
    """A box with its main liquid pipe, as far as it is given."""
    tubes = {"liquid": length(liquid)} if liquid else {}
    mains = Mains(tubes, None, length(run) if run else None) if liquid or run else None
    return BoxRow(
        tag=tag, shown=tag, ports=4, family=shipped_family(FAMILY), place="", power="", system="HR-1",
        level="", fed_from="CU-1", bank_names=(), where=WHERE, mains=mains,
    )  # fmt: skip


def unit(tag: str, box_tag: str, liquid: str = "", run: str = "") -> UnitRow:
    """A unit with its liquid line, as far as it is given."""
    return UnitRow(
        tag,
        box_tag,
        "A",
        None,
        WHERE,
        liquid=length(liquid) if liquid else None,
        run=length(run) if run else None,
    )


def charge(factory: str = "", per_box: str = "", per_unit: str = "", **figures: str) -> Charge:
    """Figures of a manual; those of diameters by names such as `t3_8`."""
    first, each_box, each_unit = (
        measure(Mass, text) if text else None for text in (factory, per_box, per_unit)
    )
    tubes = tuple(
        (length(f"{name[1:].replace('_', '/')} in"), measure(MassPerLength, text))
        for name, text in figures.items()
    )
    return Charge(first, each_box, each_unit, tubes)


def planned(given: Charge, boxes: Sequence[BoxRow], units: Sequence[UnitRow]) -> ChargePlan:
    """The charge of a system of these."""
    of_box = {each.key: [one for one in units if one.box == each.tag] for each in boxes}
    return plan_charge(SystemRow("HR-1", WHERE, charge=given), boxes, of_box)


FIGURES = charge(
    "25.9 lb",
    "1.1 lb",
    "0.2 lb",
    t1_4="0.015 lb/ft",
    t3_8="0.039 lb/ft",
    t5_8="0.12 lb/ft",
    t3_4="0.18 lb/ft",
)
BOXES = (box("BB-1", "3/4 in", "82 ft"), box("BB-2", "5/8 in", "37 ft"))
UNITS = (
    unit("FC-1", "BB-1", "1/4 in", "31 ft"),
    unit("AH-2", "BB-1", "3/8 in", "62 ft"),
    unit("FC-3", "BB-2", "1/4 in", "18 ft"),
)


def test_a_charge_by_hand() -> None:
    """Each line on paper, then the sum.

    82 x 0.18 = 14.76; 31 x 0.015 = 0.465; 62 x 0.039 = 2.418; 37 x 0.12 = 4.44; 18 x 0.015 = 0.27: 22.353 lb.
    2 x 1.1 + 3 x 0.2 = 2.8 lb. 25.9 + 22.353 + 2.8 = 51.053 lb = 23,157.25 g.
    """
    made = planned(FIGURES, BOXES, UNITS)
    lines = [(line.name, line.mass.text() if line.mass else "") for line in made.lines]
    assert lines == [
        ("main pipe of BB-1", "14.76 lb"), ("FC-1", "0.465 lb"), ("AH-2", "2.418 lb"),
        ("main pipe of BB-2", "4.44 lb"), ("FC-3", "0.27 lb"),
    ]  # fmt: skip
    extras = [(extra.key, extra.count, extra.mass.text() if extra.mass else "") for extra in made.extras]
    assert extras == [("per_box", 2, "2.2 lb"), ("per_unit", 3, "0.6 lb")]
    sums = (made.factory, made.of_lines, made.of_extras, made.total)
    assert [each.text() if each else "" for each in sums] == ["25.9 lb", "22.353 lb", "2.8 lb", "51.053 lb"]
    assert made.total
    assert made.total.value == Fraction("51.053") * POUND
    assert made.missing() == ()


def test_a_metric_charge_by_hand() -> None:
    """12 m of 3/8 in at 54 g/m and 20 m of 5/8 in at 0.17 kg/m: 648 + 3,400 g; with 8.2 kg: 12.248 kg."""
    given = charge("8.2 kg", "0 kg", "0 g", t3_8="54 g/m", t5_8="0.17 kg/m")
    made = planned(given, [box("BB-1", "15.88 mm", "20 m")], [unit("FC-1", "BB-1", "9.52 mm", "12 m")])
    assert made.total
    assert (made.total.value, made.total.text()) == (Fraction(12248), "12.248 kg")


def test_ounces_and_metres_in_one_charge() -> None:
    """10 m of 0.5 oz/ft: 10 / 0.3048 x 0.5 = 16.404 oz, exact as a fraction."""
    given = charge("0 oz", "0 oz", "0 oz", t3_8="0.5 oz/ft")
    made = planned(given, [box("BB-1", "3/8 in", "10 m")], [])
    assert made.total
    assert made.total.value == Fraction(10) / Fraction("0.3048") / 2 * POUND / 16
    assert made.total.text() == "16.404 oz"


@pytest.mark.parametrize(
    ("boxes", "units", "missing"),
    [
        ((box("BB-1"),), UNITS[:1], ("main pipe of BB-1 (diameter and length)",)),
        ((box("BB-1", "3/4 in"),), UNITS[:1], ("main pipe of BB-1 (length)",)),
        ((box("BB-1", run="82 ft"),), UNITS[:1], ("main pipe of BB-1 (diameter)",)),
        ((box("BB-1", "7/8 in", "82 ft"),), UNITS[:1], ("main pipe of BB-1 (figure for 7/8 in)",)),
        (BOXES[:1], (unit("FC-1", "BB-1", "1/4 in"),), ("FC-1 (length)",)),
        (BOXES[:1], (unit("FC-1", "BB-1", run="31 ft"),), ("FC-1 (diameter)",)),
        (BOXES[:1], (unit("FC-1", "BB-1", "1/2 in", "31 ft"),), ("FC-1 (figure for 1/2 in)",)),
        (
            (box("BB-1"), BOXES[1]),
            (unit("FC-1", "BB-1"), UNITS[2]),
            ("main pipe of BB-1 (diameter and length)", "FC-1 (diameter and length)"),
        ),
    ],
)
def test_what_is_missing_is_named_and_makes_the_total_unknown(
    boxes: tuple[BoxRow, ...], units: tuple[UnitRow, ...], missing: tuple[str, ...]
) -> None:
    """A main pipe first; no length or figure counts as nothing."""
    made = planned(FIGURES, boxes, units)
    assert made.missing() == missing
    assert (made.of_lines, made.total) == (None, None)
    assert made.of_extras


@pytest.mark.parametrize("key", ["factory", "per_box", "per_unit"])
def test_a_figure_that_is_not_given_is_not_nought(key: str) -> None:
    """A manual that adds nothing for a unit says so: "0 lb"."""
    made = planned(replace(FIGURES, **{key: None}), BOXES, UNITS)
    assert (made.missing(), made.total) == ((f"charge.{key}",), None)
    given = planned(replace(FIGURES, **{key: measure(Mass, "0 lb")}), BOXES, UNITS)
    assert given.total


def test_a_figure_of_nought_for_a_diameter_counts() -> None:
    """Nothing to add is known; it is no missing figure."""
    made = planned(charge("1 lb", "0 lb", "0 lb", t3_8="0 lb/ft"), [box("BB-1", "3/8 in", "9 ft")], [])
    assert made.total
    assert made.total.text() == "1 lb"


@pytest.mark.parametrize(
    ("tube", "found"), [("9.52 mm", True), ("3/8 in", True), ("10 mm", False), ("9.6 mm", True)]
)
def test_a_tube_is_known_by_its_diameter(tube: str, found: bool) -> None:  # noqa: FBT001 — a case's column
    """3/8 in is 9.525 mm, sold as 9.52 or 9.53 mm; 10 mm is another tube."""
    assert (figure_of(FIGURES, length(tube)) is not None) == found


def test_rows_that_cannot_be_read_make_the_charge_unknown() -> None:
    """A unit may be among them."""
    row = SystemRow("HR-1", WHERE, charge=FIGURES)
    made = plan_charge(row, BOXES[:1], {"BB-1": UNITS[:2]}, is_whole=False)
    assert (made.of_lines, made.of_extras, made.total) == (None, None, None)


def test_a_longer_pipe_is_never_less_charge() -> None:
    """One foot more of any pipe adds its figure, and nothing else."""
    base = planned(FIGURES, BOXES, UNITS).total
    longer = (replace(UNITS[1], run=length("63 ft")), *UNITS[:1], UNITS[2])
    more = planned(FIGURES, BOXES, longer).total
    assert base
    assert more
    assert more.value - base.value == Fraction("0.039") * POUND
