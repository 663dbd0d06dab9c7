"""The rows below a header: blank and merged boxes, totals, spares, notes, hidden rows, odd values."""

import datetime as dt
from pathlib import Path

import pytest
from openpyxl.styles import Font
from openpyxl.worksheet.worksheet import Worksheet

from tagmaker.job.schedule.result import Choices
from tests.workbooks import FIRST, HEAD, Edit, Rows, facts, first_lines, passed_over, understood

SECOND = ("FC-2", "BX-1", "B", 12, "Office")
BLANK_BOX = ("FC-2", "", "B", 12, "Office")
TWO = [("FC-1", "BX-1", "A", "24 kBtu/h"), ("FC-2", "BX-1", "B", "12 kBtu/h")]
MADE = "the spreadsheet converted what was typed, perhaps"
MISSING = [("A", "unit"), ("B", "box"), ("C", "port")]
NO_BOX = "ports.xlsx:Ports!B{}: error: the row has no box [cell-missing]"


def told(folder: Path, rows: Rows, edit: Edit | None = None) -> list[str]:
    """What is told of these rows below the usual header, without the file's and the sheet's name."""
    problems = first_lines(understood(folder, [HEAD, *rows], edit)[1])
    return [line.removeprefix("ports.xlsx:Ports!") for line in problems]


def merge(*ranges: str) -> Edit:
    """An edit that merges these cells."""

    def edit(sheet: Worksheet) -> None:
        for each in ranges:
            sheet.merge_cells(each)

    return edit


def hide(*lines: int) -> Edit:
    """An edit that hides these rows."""

    def edit(sheet: Worksheet) -> None:
        for line in lines:
            sheet.row_dimensions[line].hidden = True

    return edit


# --- a box named once ---------------------------------------------------------------------------------------


def test_a_box_named_once_is_filled_down_and_told(tmp_path: Path) -> None:
    """Blank cells below it mean that box; each says from where."""
    schedule, problems = understood(tmp_path, [HEAD, FIRST, BLANK_BOX])
    assert (problems, facts(schedule)) == ([], TWO)
    (filled,) = schedule.sheets[0].filled
    assert (filled.where.cell, filled.key, filled.text, filled.source.cell) == ("B3", "box", "BX-1", "B2")


@pytest.mark.parametrize(
    "between",
    [
        ("",),
        ("Total", "", "", 24, ""),
        ("Level 2", "", "", "", ""),
        HEAD,
    ],
)
def test_nothing_is_filled_down_across_a_break(between: tuple[object, ...], tmp_path: Path) -> None:
    """A blank row, a total, a heading or another header ends a box."""
    assert told(tmp_path, [FIRST, between, BLANK_BOX]) == ["B4: error: the row has no box [cell-missing]"]


def test_nothing_is_filled_down_where_rows_repeat_their_box(tmp_path: Path) -> None:
    """There a blank is a slip."""
    rows = [FIRST, SECOND, ("FC-3", "", "C", 12, "")]
    assert told(tmp_path, rows) == ["B4: error: the row has no box [cell-missing]"]


def test_a_merged_box_covers_its_rows(tmp_path: Path) -> None:
    """And no others: a blank below it is a slip."""
    rows = [FIRST, BLANK_BOX, ("FC-3", "", "C", 12, "")]
    schedule, problems = understood(tmp_path, [HEAD, *rows], merge("B2:B3"))
    assert facts(schedule) == TWO
    assert first_lines(problems) == [NO_BOX.format(4)]


def test_a_merged_port_and_room_hold_for_each_row(tmp_path: Path) -> None:
    """Units that share a port."""
    rows = [FIRST, ("FC-2", "BX-1", "", 12, "")]
    schedule, problems = understood(tmp_path, [HEAD, *rows], merge("C2:C3", "E2:E3"))
    assert problems == []
    assert [(row.port, row.room) for row in schedule.rows] == [("A", "Shop"), ("A", "Shop")]


def test_a_merged_capacity_is_a_problem(tmp_path: Path) -> None:
    """Each one's, or their sum?"""
    rows = [FIRST, ("FC-2", "BX-1", "A", "", "")]
    assert told(tmp_path, rows, merge("D2:D3")) == [
        (
            "D2: error: capacity '24' is merged over rows 2 to 3: "
            "is it the value of each row, or their sum?; likewise in D3 [cell-value]"
        )
    ]


def test_a_merged_unit_is_a_problem(tmp_path: Path) -> None:
    """A unit hangs on one port."""
    rows = [FIRST, ("", "BX-1", "B", 12, "")]
    assert told(tmp_path, rows, merge("A2:A3")) == ["A3: error: the row has no unit [cell-missing]"]


# --- rows that hold no unit ---------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("row", "why"),
    [
        (("Total", "", "", 36, ""), "a total"),
        (("", "", "", 36, "Total"), "a total"),
        (("2", "Subtotal BX-1", "", 36, ""), "a total"),
        (("TOTAL CAPACITY", "", "2", 36, ""), "a total"),
        (("BX-1 total:", "", "", 36, ""), "a total"),
        (("", "", "", 36, ""), "the sum of the rows above"),
        (("Level 2", "", "", "", ""), "a heading or note"),
        (("Note: all capacities are nominal", "", "", "", ""), "a heading or note"),
        (("", "All lengths as on drawing 7", "", "", ""), "a heading or note"),
        (HEAD, "the header again"),
        (("Spare", "BX-1", "D", "", ""), "a spare port"),
        (("-", "BX-1", "D", "-", "-"), "a spare port"),
        (("", "BX-1", "D", "", "SPARE"), "a spare port"),
    ],
)
def test_rows_that_are_passed_over_are_told(row: tuple[object, ...], why: str, tmp_path: Path) -> None:
    """With the cell where their text begins, and the reason."""
    schedule, problems = understood(tmp_path, [HEAD, FIRST, SECOND, row])
    assert (problems, facts(schedule)) == ([], TWO)
    assert [reason for _, reason in passed_over(schedule)] == ["the header", why]


@pytest.mark.parametrize(
    ("row", "said"),
    [
        (("", "", "", 35, ""), "A4: error: the row has no unit [cell-missing]"),
        (("FC-3", "", "", "", ""), "B4: error: the row has no box [cell-missing]"),
        (("FC 3", "", "", "", ""), "A4: error: unit 'FC 3' is not a valid tag [tag-wrong]"),
        (("", "BX-1", "C", 12, "Store"), "A4: error: the row has no unit [cell-missing]"),
        (("FC-3", "BX-1", "Total", 12, ""), ""),
        (("Spare", "BX-1", "C", 12, ""), "A4: error: unit 'Spare' is not a valid unit tag [tag-wrong]"),
        (("TBD", "BX-1", "C", 12, ""), "A4: error: unit 'TBD' is not a valid unit tag [tag-wrong]"),
        (("FC-3", "ditto", "C", 12, ""), "B4: error: box 'ditto' is not a valid box tag [tag-wrong]"),
        (
            ("future", "BX-1", "C", "", ""),
            "A4: error: unit 'future' is not a valid unit tag [tag-wrong]",
        ),
    ],
)
def test_rows_that_only_look_so_are_not_passed_over(
    row: tuple[object, ...], said: str, tmp_path: Path
) -> None:
    """A sum that does not add up, a unit without the rest, a word that is no unit's tag."""
    assert said in [*told(tmp_path, [FIRST, SECOND, row]), ""]
    schedule, _ = understood(tmp_path, [HEAD, FIRST, SECOND, row])
    assert [why for _, why in passed_over(schedule)] == ["the header"]


@pytest.mark.parametrize(
    ("run", "told_of"),
    [(50, []), (49, [f"{cell}4: error: the row has no {key} [cell-missing]" for cell, key in MISSING])],
)
def test_a_sum_of_runs_must_add_up_too(run: int, told_of: list[str], tmp_path: Path) -> None:
    """Where one number of a row does not, the row is a slip, and no sum."""
    rows = [(*HEAD, "Length (ft)"), (*FIRST, 30), (*SECOND, 20), ("", "", "", 36, "", run)]
    schedule, problems = understood(tmp_path, rows)
    assert first_lines(problems) == [f"ports.xlsx:Ports!{line}" for line in told_of]
    sums = [cell for cell, why in passed_over(schedule) if why == "the sum of the rows above"]
    assert sums == ([] if told_of else ["D4"])


def test_a_row_merged_across_is_a_heading(tmp_path: Path) -> None:
    """Whatever it says."""
    schedule, problems = understood(tmp_path, [HEAD, ("East",), FIRST, SECOND], merge("A2:E2"))
    assert (problems, facts(schedule)) == ([], TWO)
    assert passed_over(schedule)[1] == ("A2", "a heading or note")


def test_a_spare_port_that_is_used_is_a_contradiction(tmp_path: Path) -> None:
    """The row that says spare is named, and the unit that hangs there, of a pair too."""
    rows = [FIRST, ("Spare", "BX-1", "C", "", ""), ("AH-1", "BX-1", "C+D", 72, "")]
    assert told(tmp_path, rows) == [
        "C3: error: port C of BX-1 is spare here, but AH-1 is connected to it [cell-value]"
    ]


def test_a_dash_with_an_address_is_no_spare_port(tmp_path: Path) -> None:
    """A unit whose tag is not known: its port would be out of service. A named spare may have one."""
    head = (*HEAD, "Address")
    unknown = ("-", "BX-1", "C", "-", "Hall", "1-07")
    spare = ("Spare", "BX-1", "D", "-", "", "1-08")
    schedule, problems = understood(tmp_path, [head, (*FIRST, "1-01"), unknown, spare])
    assert first_lines(problems) == ["ports.xlsx:Ports!A3: error: unit '-' is not a valid tag [tag-wrong]"]
    assert [each.port for each in schedule.spares] == ["D"]


def test_a_second_header_begins_a_second_table(tmp_path: Path) -> None:
    """Its columns may stand in another order."""
    rows = [HEAD, FIRST, ("",), ("Port", "Cap. (kW)", "Box", "Unit"), ("B", 3.6, "BX-1", "FC-2")]
    schedule, problems = understood(tmp_path, rows)
    assert problems == []
    assert [row.tag for row in schedule.rows] == ["FC-1", "FC-2"]


def test_a_second_header_that_is_wrong_is_a_problem(tmp_path: Path) -> None:
    """The rows below it are not read by the first."""
    _, problems = understood(tmp_path, [HEAD, FIRST, ("Port", "Unit", "Size"), ("B", "FC-2", 3)])
    assert {problem.code for problem in problems} == {"column-ambiguous"}


# --- hidden rows --------------------------------------------------------------------------------------------


def test_hidden_rows_with_units_are_one_problem(tmp_path: Path) -> None:
    """Neither used nor dropped; the units are named."""
    rows = [FIRST, SECOND, ("FC-3", "BX-1", "C", 9, ""), ("FC-4", "BX-1", "D", 9, "")]
    assert told(tmp_path, rows, hide(3, 4)) == [
        "A3: error: rows 3 to 4 are hidden and hold FC-2, FC-3 [column-hidden]"
    ]


def test_hidden_rows_without_units_do_not_matter(tmp_path: Path) -> None:
    """A title, a total, a blank row."""
    rows = [("Title",), ("",), HEAD, FIRST, SECOND, ("",), ("Total", "", "", 36)]
    schedule, problems = understood(tmp_path, rows, hide(1, 6, 7))
    assert (problems, facts(schedule)) == ([], TWO)
    assert [why for _, why in passed_over(schedule)] == [
        "above the header, hidden", "the header", "a total, hidden",
    ]  # fmt: skip


# --- values that are none -----------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("column", "value", "said"),
    [
        ("C", dt.date(2026, 3, 8), f"port is a date, 2026-03-08: {MADE} 3/8 or 8-3 [cell-date]"),
        ("E", "2-Jul", f"room is a date, 2-Jul: {MADE} 7/2 or 2-7 [cell-date]"),
        ("E", "3/8/26", f"room is a date, 3/8/26: {MADE} 3/8 or 2-07 [cell-date]"),
        ("A", True, "unit is TRUE, true or false [cell-value]"),
        ("B", "#REF!", "box is an error value, #REF! [cell-value]"),
        ("D", "=SUM(X1:X2)", "capacity is a formula without a stored result, =SUM(X1:X2) [cell-value]"),
        ("E", "a\u202eb", "room holds the control character U+202E [file-encoding]"),
    ],
)  # fmt: skip
def test_values_that_were_not_typed_are_named(column: str, value: object, said: str, tmp_path: Path) -> None:
    """By cell, with what probably happened; once."""

    def put(sheet: Worksheet) -> None:
        sheet[f"{column}2"] = value

    assert told(tmp_path, [FIRST], put) == [f"{column}2: error: {said}"]


def test_values_in_columns_that_are_left_out_do_not_matter(tmp_path: Path) -> None:
    """A date of delivery is a date."""
    rows = [(*HEAD, "Delivery"), (*FIRST, dt.date(2026, 3, 8))]
    schedule, problems = understood(tmp_path, rows, choices=Choices({"Delivery": ""}))
    assert (problems, facts(schedule)) == ([], TWO[:1])


def test_a_struck_out_unit_is_a_problem(tmp_path: Path) -> None:
    """It was deleted by hand, or not."""

    def strike(sheet: Worksheet) -> None:
        sheet["A2"].font = Font(strike=True)

    assert told(tmp_path, [FIRST], strike) == ["A2: error: unit 'FC-1' is struck out [cell-value]"]


def test_dashes_are_blanks(tmp_path: Path) -> None:
    """Where a value may be missing."""
    schedule, problems = understood(tmp_path, [HEAD, ("FC-1", "BX-1", "A", "–", "-")])
    assert problems == []
    assert (schedule.rows[0].capacity, schedule.rows[0].room) == (None, "")


def test_a_cell_beside_the_table_is_named(tmp_path: Path) -> None:
    """It may belong to the row."""
    assert told(tmp_path, [(*FIRST, "", "check")]) == [
        "G2: error: cell 'check' has no heading above it [row-too-long]"
    ]
