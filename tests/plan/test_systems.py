"""Systems as planned: their boxes and units, sums and distances, and what is not known of them."""

from collections.abc import Callable
from fractions import Fraction
from pathlib import Path

import pytest

from tagmaker.plan.outline import system_outlines
from tagmaker.plan.systems import SystemPlan, plan_systems
from tests.job.reading import good, read
from tests.quantities import length

HEAD = '[job]\nname = "Bakery"\nfamily = "four-port-boards"\n'
SYSTEM = """[[system]]
tag = "HR-1"
outdoor = "CU-1"
capacity = "96 kBtu/h"
charge = { factory = "10 lb", per_box = "1 lb", per_unit = "0.5 lb", "3/8 in" = "0.04 lb/ft" }
"""
FOOT = Fraction("304.8")


def box(tag: str, run: str = "", fed_from: str = "CU-1", system: str = "hr-1") -> str:
    """A [[box]] of four ports."""
    mains = f'mains = {{ liquid = "3/8 in", run = "{run}" }}\n' if run else ""
    return f'[[box]]\ntag = "{tag}"\nports = 4\nsystem = "{system}"\nfed_from = "{fed_from}"\n{mains}'


def unit(tag: str, box_tag: str, port: str, run: str = "40 ft", capacity: str = "36 kBtu/h") -> str:
    """A [[unit]] with its liquid line."""
    length_row = f'run = "{run}"\n' if run else ""
    load = f'capacity = "{capacity}"\n' if capacity else ""
    place = f'[[unit]]\nunit = "{tag}"\nbox = "{box_tag}"\nport = "{port}"\nliquid = "3/8 in"\n'
    return f"{place}{length_row}{load}"


Planned = Callable[..., tuple[SystemPlan, ...]]


@pytest.fixture
def planned(tmp_path: Path) -> Planned:
    """The systems of a job of these tables."""
    return lambda *tables: plan_systems(good(tmp_path, HEAD + "".join(tables)))


TWO = (box("BX-1", "100 ft"), box("BX-2", "60 ft", "BX-1"))
UNITS = (unit("FC-2", "BX-2", "A"), unit("FC-1", "BX-1", "A"), unit("FC-3", "BX-1", "B", "20 ft"))


def test_units_are_in_walking_order(planned: Planned) -> None:
    """Box by box as the job lists the boxes, then by row; the system's tag in any case of letters."""
    (system,) = planned(SYSTEM, *TWO, box("BX-9", system="other"), *UNITS, unit("FC-9", "BX-9", "A"))
    assert [each.tag for each in system.boxes] == ["BX-1", "BX-2"]
    assert [each.tag for each in system.units] == ["FC-1", "FC-3", "FC-2"]


def test_capacities_and_charge_of_a_system(planned: Planned) -> None:
    """108 of 96 kBtu/h are 112.5 %. 10 + (160 + 100) x 0.04 + 2 x 1 + 3 x 0.5 = 23.9 lb = 10,840.858 g."""
    (outline,) = system_outlines(planned(SYSTEM, *TWO, *UNITS))
    assert (outline.tag, outline.outdoor, outline.units) == ("HR-1", "CU-1", 3)
    assert (outline.capacity_btuh, outline.connected_btuh, outline.ratio_percent) == (96000, 108000, 112.5)
    charge = outline.charge_g
    parts = (charge.factory, charge.lines, charge.extras, charge.total)
    assert parts == (4535.924, 4717.361, 1587.573, 10840.858)


def test_what_is_unknown_is_null(planned: Planned) -> None:
    """A system of which nothing is given, with a box that has no main pipe."""
    (outline,) = system_outlines(
        planned('[[system]]\ntag = "HR-1"\n', box("BX-1"), unit("FC-1", "BX-1", "A"))
    )
    assert (outline.outdoor, outline.capacity_btuh, outline.ratio_percent) == ("", None, None)
    assert outline.connected_btuh == 36000
    charge = outline.charge_g
    assert (charge.factory, charge.lines, charge.extras, charge.total) == (None, None, None, None)


def test_distances_go_through_the_boxes_that_feed(planned: Planned) -> None:
    """100 + 60 + 40 ft to FC-2; all pipes are 160 + 100 ft."""
    (system,) = planned(SYSTEM, *TWO, *UNITS)
    distances = {each.tag: system.distance(each) for each in system.units}
    feet = {"FC-1": 140, "FC-3": 120, "FC-2": 200}
    assert {tag: each.mm / FOOT for tag, each in distances.items()} == feet
    assert all(each.is_whole for each in distances.values())
    assert (system.total.mm, system.total.is_whole) == (length("260 ft").mm, True)
    assert system.fed == {"BX-2"}


def test_a_length_that_is_missing_leaves_a_distance_open(planned: Planned) -> None:
    """What is known of it is kept: that may be too long already."""
    (system,) = planned(SYSTEM, box("BX-1"), TWO[1], *UNITS)
    (first, *_, last) = (system.distance(each) for each in system.units)
    assert [each.mm / FOOT for each in (first, last)] == [Fraction(40), Fraction(100)]
    assert {first.is_whole, last.is_whole} == {False}
    assert not system.total.is_whole


def test_boxes_that_feed_each_other_have_no_distance(planned: Planned) -> None:
    """A circle ends, and is known to be none."""
    (system,) = planned(SYSTEM, box("BX-1", "100 ft", "BX-2"), box("BX-2", "60 ft", "BX-1"), *UNITS)
    assert {each.is_whole for each in system.mains.values()} == {False}


def test_rows_that_cannot_be_read_leave_sums_open(tmp_path: Path) -> None:
    """The unit with a wrong length may be any unit: its system has no sum."""
    job, problems = read(tmp_path, HEAD + SYSTEM + "".join((*TWO, *UNITS, unit("FC-4", "BX-1", "C", "long"))))
    assert job
    assert problems
    (system,) = plan_systems(job)
    assert (system.connected, system.charge.total, system.is_whole) == (None, None, False)


def test_a_job_without_systems_plans_none(planned: Planned) -> None:
    """Its boxes may name systems all the same."""
    assert planned(*TWO, *UNITS) == ()
