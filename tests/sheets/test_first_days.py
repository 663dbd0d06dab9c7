"""The reading sheet of first days has a field for every reading, and every text fits."""

import pytest

from tagmaker.catalog.first_days import first_days
from tagmaker.draw.marks import Field, Page, flat
from tagmaker.plan.model import Plan
from tagmaker.sheets.first_days import first_days_pages
from tagmaker.tags.first_days import DAY_READINGS, day_field, kept_day_field
from tests.records import replace
from tests.sheets.boxes import LONG_NAME
from tests.sheets.printed import faults, texts
from tests.site.days.readings import UNITS, plan
from tests.strategies import words


def pages(planned: Plan) -> list[Page]:
    """The pages of a plan's systems; they must fit."""
    found, problems = first_days_pages(planned.job, planned.systems, words())
    assert problems == []
    return found


def test_every_reading_of_every_unit_has_a_field() -> None:
    """On every day, once; and the hidden text at the box."""
    fields = [mark for page in pages(plan()) for mark in flat(page.marks) if isinstance(mark, Field)]
    assert sorted(field.name for field in fields) == sorted([
        kept_day_field("BB-1", "F"),
        *(
            day_field("BB-1", unit, day, what)
            for unit in UNITS
            for day in first_days().days
            for what in DAY_READINGS
        ),
    ])  # fmt: skip
    assert all(not field.value for field in fields if field.kind != "kept")
    assert [field.value for field in fields if field.kind == "kept"] == ["ARC-7"]


def test_a_system_without_units_has_no_sheet() -> None:
    """There is nothing to read."""
    planned = plan()
    bare = replace(planned.systems[0], units=())
    assert pages(replace(planned, systems=(bare,))) == []


@pytest.mark.parametrize("count", [3, 60])
def test_long_names_and_many_units_fit(count: int) -> None:
    """Under the heads of each page."""
    planned = plan()
    system = planned.systems[0]
    units = tuple(
        replace(system.units[at % 3], tag=f"UNIT-{at}-{'W' * 12}", room=LONG_NAME, port="C+D")
        for at in range(count)
    )
    job = replace(planned.job, name=LONG_NAME, site=LONG_NAME)
    found = pages(Plan(job, planned.boxes, (replace(system, units=units),)))
    assert faults(found, margin_mm=6.35, least_mm=1.4) == []
    assert all("Box · port" in texts([page]) for page in found)
