"""[[system]]: each figure as given, exact, with its unit; nothing that is absent gets a value."""

from fractions import Fraction
from pathlib import Path

import pytest
from msgspec.structs import asdict

from tagmaker.job.model import Charge, HeightLimits, PressureStep, PressureTest, SystemRow
from tagmaker.measures import Mass, MassPerLength, Pressure, Time, Vacuum
from tests.job.reading import good, read, told, unit
from tests.quantities import capacity, length, measure

HEAD = '[job]\nname = "Bakery"\nfamily = "four-port-boards"\n'
BOX = '[[box]]\ntag = "BX-1"\nports = 4\nsystem = "HR-1"\n' + unit("FC-1")
SYSTEM = '[[system]]\ntag = "HR-1"\n'
PER_CENT = "must be two numbers in per cent, least and most: [50, 130]"
WHOLE = (
    SYSTEM
    + """outdoor = "CU-1"
capacity = "144 kBtu/h"
refrigerant = "R-32"
ratio = [50, 130.5]
units_most = 40
addresses = [1, 64]
longest_run = "540 ft"
total_run = "3280 ft"
first_box = "360 ft"
port_run = "130 ft"
heights = { outdoor_above = "160 ft", outdoor_below = "130 ft", between_units = "50 ft" }
institutional = true
installer = "Marsh and Row"
lubricant = "as in the manual"
weighed_in = "41.5 lb"
heater_hours = 12.5
source = "manual in hand, p. 47"
[system.charge]
factory = "25.9 lb"
per_box = "1.1 lb"
per_unit = "0 lb"
"1/4 in" = "0.015 lb/ft"
"9.52 mm" = "58 g/m"
[system.test]
pressure = "550 psi"
hold = "24 h"
steps = ["150 psi for 3 min", "30 bar for 10 min"]
vacuum = "300 micron"
vacuum_rise = "200 micron"
vacuum_hold = "1 h"
"""
)


def system(folder: Path, text: str) -> SystemRow:
    """The one system of a job."""
    (row,) = good(folder, HEAD + text + BOX).systems
    return row


def test_every_key(tmp_path: Path) -> None:
    """A system of which everything is known."""
    row = system(tmp_path, WHOLE)
    assert (row.tag, row.key, row.outdoor, row.refrigerant) == ("HR-1", "HR-1", "CU-1", "R-32")
    assert (row.capacity, row.ratio) == (capacity("144 kBtu/h"), (Fraction(50), Fraction("130.5")))
    assert (row.units_most, row.addresses) == (40, (1, 64))
    runs = (row.longest_run, row.total_run, row.first_box, row.port_run)
    assert runs == tuple(map(length, ("540 ft", "3280 ft", "360 ft", "130 ft")))
    assert row.heights == HeightLimits(length("160 ft"), length("130 ft"), length("50 ft"))
    assert row.charge == Charge(
        factory=measure(Mass, "25.9 lb"),
        per_box=measure(Mass, "1.1 lb"),
        per_unit=measure(Mass, "0 lb"),
        per_length=(
            (length("1/4 in"), measure(MassPerLength, "0.015 lb/ft")),
            (length("9.52 mm"), measure(MassPerLength, "58 g/m")),
        ),
    )
    assert row.test == PressureTest(
        pressure=measure(Pressure, "550 psi"),
        hold=measure(Time, "24 h"),
        steps=(
            PressureStep(measure(Pressure, "150 psi"), measure(Time, "3 min")),
            PressureStep(measure(Pressure, "30 bar"), measure(Time, "10 min")),
        ),
        vacuum=measure(Vacuum, "300 micron"),
        vacuum_rise=measure(Vacuum, "200 micron"),
        vacuum_hold=measure(Time, "1 h"),
    )
    assert row.is_institutional
    assert (row.installer, row.lubricant) == ("Marsh and Row", "as in the manual")
    assert row.weighed_in == measure(Mass, "41.5 lb")
    assert row.heater_hours == Fraction("12.5")
    assert row.source == "manual in hand, p. 47"


def test_nothing_is_assumed(tmp_path: Path) -> None:
    """A system of which only the tag is known has no figure at all: no default of anybody."""
    row = system(tmp_path, SYSTEM)
    given = {key: value for key, value in asdict(row).items() if value not in {None, "", False}}
    assert given.keys() == {"tag", "where", "heights", "charge", "test"}
    assert set(asdict(row.test).values()) == {None, ()}
    assert set(asdict(row.heights).values()) == {None}
    assert row.charge == Charge()


def test_a_job_without_systems(tmp_path: Path) -> None:
    """Most jobs have none."""
    assert good(tmp_path, HEAD + BOX).systems == ()


def test_the_charge_is_printed_in_the_unit_of_its_first_figure() -> None:
    """Factory, box, unit: in this order."""
    pound, gram = Mass.of_number(Fraction(1), "lb"), Mass.of_number(Fraction(1), "g")
    charges = (Charge(pound, gram), Charge(None, None, pound), Charge())
    assert [each.unit for each in charges] == ["lb", "lb", "g"]


@pytest.mark.parametrize(
    ("line", "problem"),
    [
        ("ratio = [130, 50]", f"'ratio' {PER_CENT} [value-wrong]"),
        ("ratio = [50]", "'ratio' must be a list of 2 numbers, 0 or more [value-wrong]"),
        ("ratio = [50, 2000]", f"'ratio' {PER_CENT} [value-wrong]"),
        ("units_most = 0", "'units_most' must be a whole number, 1 or more [value-wrong]"),
        (
            "addresses = [64, 1]",
            "'addresses' must be two whole numbers, least and most: [1, 64] [value-wrong]",
        ),
        ("capacity = 144", "capacity '144' has no unit [capacity-unit]"),
        ('longest_run = "540"', "length '540' has no unit [length-unit]"),
        ('charge = { factory = "25.9" }', "mass '25.9' has no unit [quantity-unit]"),
        ('charge = { factory = "-1 lb" }', "mass '-1 lb' is not one clear number [quantity-wrong]"),
        ('charge = { perbox = "1 lb" }', "unknown key 'perbox' [key-unknown]"),
        ('charge = { "1/4" = "0.015 lb/ft" }', "unknown key '1/4' [key-unknown]"),
        (
            'charge = { "1/4 in" = "0.015 lb" }',
            "charge per length '0.015 lb' has a unit that is not known, 'lb' [quantity-unit]",
        ),
        (
            'charge = { "3/8 in" = "1 lb/ft", "9.52 mm" = "1 lb/ft" }',
            "two figures are given for the diameter '9.52 mm' [value-wrong]",
        ),
        (
            'test = { pressure = "550 psia" }',
            "pressure '550 psia' has a unit that is not known, 'psia' [quantity-unit]",
        ),
        (
            'test = { vacuum = "300 psi" }',
            "vacuum '300 psi' has a unit that is not known, 'psi' [quantity-unit]",
        ),
        (
            'test = { steps = ["150 psi"] }',
            "step '150 psi' does not give pressure and time [value-wrong]",
        ),
        ('test = { steps = ["150 for 3 min"] }', "pressure '150' has no unit [quantity-unit]"),
        ('test = { steps = ["150 psi for 3"] }', "time '3' has no unit [quantity-unit]"),
        (
            'test = { steps = ["150 psi for 3 min", "10 bar for 3 min"] }',
            "step '10 bar for 3 min' is not above the one before, '150 psi for 3 min' [value-wrong]",
        ),
        (
            'test = { pressure = "550 psi", steps = ["560 psi for 3 min"] }',
            "step '560 psi for 3 min' is above the pressure of the test, 550 psi [value-wrong]",
        ),
        ("heater_hours = 2000", "'heater_hours' must be at most 1000 [value-wrong]"),
        ('test = { hold = "0 h" }', "time '0 h' is not one clear number above zero [quantity-wrong]"),
        ('heights = { outdoor = "160 ft" }', "unknown key 'outdoor' [key-unknown]"),
        ('colour = "red"', "unknown key 'colour' [key-unknown]"),
        ("institutional = 1", "'institutional' must be true or false [value-wrong]"),
    ],
)
def test_what_is_wrong_is_reported_at_its_line(line: str, problem: str, tmp_path: Path) -> None:
    """With file and line, as of every other key."""
    assert told(tmp_path, f"{HEAD}{SYSTEM}{line}\n{BOX}") == [f"job.toml:6: error: {problem}"]


def test_a_system_needs_its_tag(tmp_path: Path) -> None:
    """Without one no box can name it."""
    job, problems = read(tmp_path, f'{HEAD}[[system]]\noutdoor = "CU-1"\n{BOX}')
    assert job
    assert job.systems == ()
    assert [problem.code for problem in problems] == ["key-missing"]


def test_tags_differ_by_more_than_case(tmp_path: Path) -> None:
    """The first counts, as of boxes."""
    lines = told(tmp_path, f'{HEAD}{SYSTEM}[[system]]\ntag = "hr-1"\n{BOX}')
    assert lines == ["job.toml:7: error: system hr-1 is listed twice [system-twice]"]
