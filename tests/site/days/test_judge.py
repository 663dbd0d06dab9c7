"""What stands out among the readings of the first days, and what counts for nothing."""

from itertools import product

import pytest

from tagmaker.catalog.first_days import first_days
from tagmaker.problems import Problem
from tagmaker.site.days.judge import DaysResult, judge_days
from tagmaker.tags.first_days import DayRow
from tests.site.days.readings import UNITS, plan, row
from tests.strategies import words

COOLS = ("C", "72 F", "75 F", "58 F")
HEATS = ("H", "70 F", "69 F", "95 F")
OFF = ("0", "72 F", "72 F", "72 F")


def judged(*rows: DayRow, source: str = "days.csv") -> tuple[list[DaysResult], list[Problem]]:
    """The results and problems of rows of one file."""
    return judge_days([(source, each) for each in rows], plan(), first_days(), words())


def told(*rows: DayRow) -> list[str]:
    """What stands out, unit by unit."""
    (result,), problems = judged(*rows)
    assert problems == []
    return [f"{each.unit} {each.text}" for each in result.findings]


@pytest.mark.parametrize("readings", [COOLS, HEATS, OFF])
def test_usual_readings_do_not_stand_out(readings: tuple[str, ...]) -> None:
    """Cooling by 17 °F, heating by 26, off without a change."""
    assert told(*(row(unit, day, *readings) for unit, day in product(UNITS, (1, 3, 7)))) == []


@pytest.mark.parametrize(
    ("readings", "text"),
    [
        (("C", "72 F", "75 F", "80 F"), "is to cool, and the air comes out warmer"),
        (("C", "72 F", "75 F", "70 F"), "cools the air by little"),
        (("H", "70 F", "69 F", "60 F"), "is to heat, and the air comes out colder"),
        (("H", "70 F", "69 F", "75 F"), "heats the air by little"),
        (("F", "70 F", "69 F", "95 F"), "neither heats nor cools, and the air changes"),
        (("0", "70 F", "69 F", "50 F"), "neither heats nor cools, and the air changes"),
        (("C", "22 C", "24 C", "27 C"), "is to cool, and the air comes out warmer"),
        (("H", "21 C", "70 F", "15 C"), "is to heat, and the air comes out colder"),
    ],
)
def test_what_stands_out(readings: tuple[str, ...], text: str) -> None:
    """One sentence a difference, the worst first; scales may be mixed."""
    (found,) = told(row("FC-1", 1, *readings))
    assert text in found


def test_a_limit_itself_does_not_stand_out() -> None:
    """8 °F of cooling are the least that is usual."""
    assert told(row("FC-1", 1, "C", "72 F", "75 F", "67 F")) == []
    assert len(told(row("FC-1", 1, "C", "72 F", "75 F", "67.1 F"))) == 1


def test_a_room_that_is_far_from_its_set_point_counts_after_days() -> None:
    """On the first day a building is still warm or cold."""
    far = ("C", "72 F", "80 F", "60 F")
    assert told(row("FC-1", 1, *far)) == []
    (found,) = told(row("FC-1", 3, *far))
    assert "far from its set point (air in 80 F, set point 72 F)" in found


def test_what_was_not_read_is_unknown_and_never_right() -> None:
    """A unit without a row, one without a mode, one without a temperature: named, and not counted as read."""
    (result,), _ = judged(row("FC-1", 1, *COOLS), row("FC-2", 1, "", "72 F", "75 F", "90 F"))
    assert (result.read, result.of, result.days) == (1, 3, (1,))
    assert result.unread == ("FC-2 day 1", "AH-1 day 1")
    assert result.findings == ()
    (result,), _ = judged(row("FC-1", 1, "C", "72 F", "75 F", ""))
    assert "FC-1 day 1" in result.unread


def test_a_unit_that_is_off_needs_no_temperatures() -> None:
    """Its mode is enough."""
    (result,), _ = judged(row("FC-1", 1, "0"), row("FC-2", 1, "0"), row("FC-2", 3, *COOLS))
    assert result.read == 3
    assert result.off == ("FC-1",)


def test_readings_of_another_job_do_not_count() -> None:
    """Unit and box may have the same tags there."""
    results, problems = judged(row("FC-1", 1, *COOLS, job="XX-9"))
    assert results == []
    assert [(each.code, str(each.where)) for each in problems] == [("return-foreign", "days.csv")]


@pytest.mark.parametrize(("unit", "box"), [("FC-9", "BB-1"), ("FC-1", "BB-2")])
def test_a_unit_that_the_job_has_not_there_does_not_count(unit: str, box: str) -> None:
    """It was moved, or its tag is wrong: a reading must not be put to another unit."""
    results, problems = judged(row(unit, 1, *COOLS, box=box))
    assert results == []
    assert [each.code for each in problems] == ["return-unknown"]


def test_two_values_for_one_reading_count_for_nothing() -> None:
    """Neither is chosen; the unit is not read until it was read again."""
    rows = [("a.csv", row("FC-1", 1, *COOLS)), ("b.csv", row("FC-1", 1, "C", "72 F", "75 F", "80 F"))]
    (result,), problems = judge_days(rows, plan(), first_days(), words())
    assert [(each.code, each.boxes) for each in problems] == [("return-contradiction", ("BB-1",))]
    assert "a.csv, b.csv" in problems[0].message
    assert (result.findings, result.read) == ((), 0)
    assert (result.differ, result.is_wrong) == (("FC-1 1",), True)  # the one left out stands out


def test_files_that_agree_or_complete_each_other_count_as_one() -> None:
    """The same value in two scales is one value: 25 °C are 77 °F."""
    rows = [("a.csv", row("FC-1", 1, "C", "72 F", "25 C")), ("b.csv", row("fc-1", 1, "", "", "77 F", "60 F"))]
    (result,), problems = judge_days(rows, plan(), first_days(), words())
    assert problems == []
    assert (result.read, result.findings) == (1, ())


def test_without_rows_there_is_no_result() -> None:
    """A readback of the walk alone says nothing of first days."""
    assert judged() == ([], [])
