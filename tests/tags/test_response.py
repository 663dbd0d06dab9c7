"""response.csv and the form: written, and read back as they were filled in."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tagmaker.plan.response import Call, SystemCalls
from tagmaker.tags.fields import read_field
from tagmaker.tags.response import (
    FilledRow,
    Line,
    filled_rows,
    is_response_field,
    kept_field,
    note_field,
    read_response_field,
    response_csv,
    response_field,
    rows_of_form,
    tick_field,
)
from tests.records import replace

CALLS = SystemCalls(
    "HR-1",
    4,
    "3F2A91C2",
    (0.5,) * 4,
    (Call("BB-1", "A", ("FC-1",), "HHCC"), Call("BB-1", "C+D", ("AH-1",), "HCHC", "0A1B2C3D")),
)
LINES = (
    Line("BB-1", "A", "", "HHCC", "A"),
    Line("BB-1", "B", "", ""),
    Line("BB-1", "C", "", "HCHC", "C+D"),
    Line("BB-1", "A", "FC-1", "HHCC", "A"),
    Line("BB-1", "C+D", "AH-1", "HCHC", "C+D"),
)


def text(*, expected: bool = False) -> str:
    """The table of one system."""
    return response_csv([(CALLS, LINES)], expected=expected).decode()


def test_the_table_is_that_of_the_contract() -> None:
    """plan, system, box, port, unit, then a column a round."""
    assert text().splitlines()[:3] == [
        "plan,system,box,port,unit,round 1,round 2,round 3,round 4",
        "3F2A91C2,HR-1,BB-1,A,,,,,",
        "3F2A91C2,HR-1,BB-1,B,,,,,",
    ]


def test_a_blank_table_reads_back_as_not_seen() -> None:
    """Every row, no reading; what is expected is not read."""
    for table in (text(), text(expected=True)):
        rows = filled_rows(table)
        assert isinstance(rows, list)
        assert [(row.box, row.port, row.unit) for row in rows] == [(x.box, x.port, x.unit) for x in LINES]
        assert {reading for row in rows for reading in row.readings} == {""}


@given(st.lists(st.sampled_from(["H", "C", "0", "?", ""]), min_size=4, max_size=4))
def test_what_is_filled_in_is_what_is_read(readings: list[str]) -> None:
    """Any readings, a row."""
    table = text().replace("BB-1,A,,,,,", f"BB-1,A,,{','.join(readings)}")
    rows = filled_rows(table)
    assert isinstance(rows, list)
    assert rows[0].readings == tuple(readings)


def test_a_system_of_fewer_rounds_has_blank_cells() -> None:
    """Two systems in one table."""
    short = replace(CALLS, system="HR-2", rounds=2)
    table = response_csv([(CALLS, LINES), (short, LINES[:1])]).decode().splitlines()
    assert table[-1] == "3F2A91C2,HR-2,BB-1,A,,,,,"


def test_a_systems_name_is_no_formula() -> None:
    """A spreadsheet opens the table."""
    table = response_csv([(replace(CALLS, system="=1+1"), LINES)]).decode()
    assert ",'=1+1," in table


@pytest.mark.parametrize("cell", ["X", "HC", "1", "hot", "-"])
def test_another_text_in_a_cell_refuses_the_table(cell: str) -> None:
    """A slip is not taken for a reading, nor for none; its row is named."""
    found = filled_rows(text().replace("BB-1,A,,,,,", f"BB-1,A,,{cell},,,"))
    assert isinstance(found, str)
    assert repr(cell) in found
    assert "row 2" in found


@given(st.text(max_size=200))
def test_any_text_is_a_table_or_is_refused(content: str) -> None:
    """No exception, whatever the file holds."""
    assert isinstance(filled_rows(content), list | str)


@given(st.text(max_size=60))
def test_any_rows_below_the_columns_are_read_or_refused(content: str) -> None:
    """No exception, whatever the rows hold."""
    assert isinstance(filled_rows("plan,system,box,port,unit,round 1\n" + content), list | str)


def test_fields_are_read_back() -> None:
    """A field's name says box, port, unit and round."""
    for line in LINES:
        name = response_field(line, 3)
        assert read_response_field(name) == (line.box, line.port, line.unit, 3)


def test_every_field_is_one_of_a_response_test() -> None:
    """To the reader of forms too, which refuses names that no sheet has."""
    names = [
        response_field(LINES[0], 1),
        response_field(LINES[4], 12),
        kept_field("BB-1"),
        note_field("BB-1", "outdoor"),
        note_field("BB-1", "run-ok"),
        tick_field("set", "BB-1", "FC-1", 3),
        tick_field("fan", "BB-1", "FC-1"),
    ]
    for name in names:
        field = read_field(name)
        assert is_response_field(name)
        assert field is not None
        assert (field.box, field.kind) == ("BB-1", "response")


@pytest.mark.parametrize(
    "name", ["BB-1/left/1/1", "BB-1/port/A/cable/ok", "BB-1/item/power", "BB-1/printed-for"]
)
def test_fields_of_a_walk_are_none(name: str) -> None:
    """A walk sheet is not taken for a response test."""
    assert not is_response_field(name)


def test_rows_of_a_form() -> None:
    """A row a line, whatever the order of its fields; a round without a field was not seen."""
    values = [("BB-1/response/A//3", "C"), ("BB-1/response/A//1", "H"), ("BB-1/response/A/FC-1/2", "?")]
    assert list(rows_of_form([*values, ("BB-1/response-for", "x")], "P", "S")) == [
        FilledRow("P", "S", "BB-1", "A", "", ("H", "", "C")),
        FilledRow("P", "S", "BB-1", "A", "FC-1", ("", "?")),
    ]
