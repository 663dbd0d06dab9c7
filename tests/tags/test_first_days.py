"""first-days.csv and the form's fields: what is written is read back, and nothing is guessed."""

import csv
import io

import pytest

from tagmaker.catalog.first_days import first_days
from tagmaker.tags.fields import read_field
from tagmaker.tags.first_days import (
    DAY_READINGS,
    DayRow,
    day_field,
    day_rows_of_form,
    days_csv,
    filled_days,
    is_days_table,
    kept_day_field,
    read_day_field,
)
from tests.records import replace
from tests.site.days.readings import JOB, UNITS, plan

HEAD = "job,system,box,port,unit,room,day,date,mode,set point (F),air in (F),air out (F),note\n"


def table() -> list[list[str]]:
    """The file to fill in, as cells."""
    written = plan()
    return list(csv.reader(io.StringIO(days_csv(written.job, written.systems, first_days().days).decode())))


def rows(line: str) -> list[DayRow] | str:
    """The rows of a table with this line."""
    return filled_days(f"{HEAD}{line}\n")


def test_every_unit_has_a_row_a_day_and_nothing_is_filled_in() -> None:
    """In walking order, day by day."""
    head, *lines = table()
    assert ",".join(head) + "\n" == HEAD
    assert [(line[4], line[6]) for line in lines] == [
        (unit, str(day)) for day in first_days().days for unit in UNITS
    ]
    assert all(line[7:] == [""] * 6 for line in lines)
    assert {line[0] for line in lines} == {JOB}


def test_a_metric_job_reads_in_celsius() -> None:
    """The scale follows the unit of capacities; it is in the columns' heads."""
    written = plan()
    text = days_csv(replace(written.job, capacity_unit="kW"), written.systems, (1,)).decode()
    assert "set point (C),air in (C),air out (C)" in text
    found = filled_days(f"{text.splitlines()[0]}\nARC-7,HR-1,BB-1,A,FC-1,,1,,C,22,24,14,\n")
    assert isinstance(found, list)
    assert {key: each.text() for key, each in found[0].temperatures.items() if each} == {
        "set": "22 C", "in": "24 C", "out": "14 C",
    }  # fmt: skip


def test_an_empty_table_is_read_as_blank() -> None:
    """As it was written: every row is blank."""
    written = plan()
    found = filled_days(days_csv(written.job, written.systems, (1, 3)).decode())
    assert isinstance(found, list)
    assert len(found) == 6
    assert all(each.is_blank for each in found)


@pytest.mark.parametrize(
    ("line", "fault"),
    [
        ("ARC-7,HR-1,BB-1,A,FC-1,,1,,X,72,75,58,", "mode 'X', which is none of H, C, F and 0"),
        ("ARC-7,HR-1,BB-1,A,FC-1,,1,,C,72,warm,58,", "air in 'warm'"),
        ("ARC-7,HR-1,BB-1,A,FC-1,,one,,C,72,75,58,", "day 'one'"),
        ("ARC-7,HR-1,BB-1,A,FC-1,,0,,C,72,75,58,", "day '0'"),
        ("ARC-7,HR-1,BB-1,A,FC-1,,1,,H,72,21,58,", "air in '21': it may be in C; write its scale"),
        ("ARC-7,HR-1,BB-1,A,FC-1,,1,,C,72,75,580,", "air out '580': it is not a temperature of air"),
    ],
)
def test_a_cell_that_is_something_else_refuses_the_table(line: str, fault: str) -> None:
    """With its row; nothing is guessed."""
    found = rows(line)
    assert isinstance(found, str)
    assert fault in found
    assert found.endswith("in row 2")


@pytest.mark.parametrize("absent", ["job", "box", "unit", "day", "mode", "air in (F)"])
def test_a_column_that_is_missing_is_named(absent: str) -> None:
    """Without it a reading could be put to another unit."""
    names = [name for name in HEAD.strip().split(",") if name != absent]
    found = filled_days(",".join(names) + "\n")
    assert isinstance(found, str)
    assert found == f"lacks the column {absent.removesuffix(' (F)')!r}"


def test_a_temperature_without_any_scale_is_refused() -> None:
    """A head whose scale somebody took out, and a bare number."""
    text = HEAD.replace("air in (F)", "air in")
    found = filled_days(f"{text}ARC-7,HR-1,BB-1,A,FC-1,,1,,C,72,75,58,\n")
    assert isinstance(found, str)
    assert "air in '75'" in found


def test_other_separators_and_capitals_are_read() -> None:
    """As spreadsheets write them; the letter O is the figure."""
    text = HEAD.replace(",", ";") + "ARC-7;HR-1;BB-1;A;FC-1;;1;;o;72;75 F;24 C;\n"
    assert is_days_table(text)
    found = filled_days(text)
    assert isinstance(found, list)
    assert (found[0].mode, found[0].day) == ("0", 1)


def test_fields_read_back_and_belong_to_their_box() -> None:
    """Every reading of a unit and day has a field of its own."""
    names = [day_field("bb-1", "fc-2", 3, what) for what in DAY_READINGS]
    assert [read_day_field(name) for name in names] == [("BB-1", "FC-2", 3, what) for what in DAY_READINGS]
    for name in (*names, kept_day_field("BB-1", "F")):
        field = read_field(name)
        assert field is not None
        assert (field.box, field.kind) == ("BB-1", "days")
    assert read_day_field("BB-1/first-days/FC-2/0/in") is None
    assert read_day_field("BB-1/port/A/note") is None


def test_a_forms_rows() -> None:
    """Each with its job's name and in the scale that its hidden text keeps; a wrong cell is a sentence."""
    values = {
        kept_day_field("BB-1", "F"): JOB,
        day_field("BB-1", "FC-1", 1, "mode"): "c",
        day_field("BB-1", "FC-1", 1, "in"): "75",
        day_field("BB-1", "FC-2", 1, "mode"): "?",
    }
    first, second = day_rows_of_form(values)
    assert isinstance(first, DayRow)
    assert (first.job, first.unit, first.mode) == (JOB, "FC-1", "C")
    assert first.temperatures["in"] is not None
    assert first.temperatures["in"].text() == "75 F"
    assert second == "BB-1 FC-2, day 1: mode '?', which is none of H, C, F and 0"
