"""Where a table begins and what its headers mean: title blocks, rows of headings, units, [columns]."""

from pathlib import Path

import pytest
from openpyxl.worksheet.worksheet import Worksheet

from tagmaker.job.schedule.read import Schedule, read_schedule
from tagmaker.job.schedule.result import Choices
from tagmaker.problems import Problem
from tests.job_files import write_files
from tests.tables import table
from tests.workbooks import FIRST, HEAD, Edit, Rows, facts, first_lines, passed_over, understood

ONE = [("FC-1", "BX-1", "A", "24 kBtu/h")]


def of_csv(folder: Path, text: str, **columns: str) -> tuple[Schedule, list[Problem]]:
    """A CSV schedule as understood."""
    write_files(folder, {"ports.csv": text})
    return read_schedule(folder / "ports.csv", "ports.csv", Choices(columns))


def keys(schedule: Schedule) -> list[tuple[str, str]]:
    """The key and unit of each column."""
    return [(column.key, column.unit) for sheet in schedule.sheets for column in sheet.columns]


def merge(*ranges: str) -> Edit:
    """An edit that merges these cells."""

    def edit(sheet: Worksheet) -> None:
        for each in ranges:
            sheet.merge_cells(each)

    return edit


# --- words --------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("header", "key", "unit"),
    table(
        """
    Cap. (MBH)              | capacity   | MBH
    Cap. [kW]               | capacity   | kW
    Capacity, kBtu/h        | capacity   | kBtu/h
    Nominal capacity / tons | capacity   | ton
    Cooling capacity Btu/hr | capacity   | Btu/h
    CAPACITY - MBH          | capacity   | MBH
    Capacity                | capacity   |
    Length (ft)             | run        | ft
    Run length m            | run        | m
    Cable OD (in.)          | cable      | in
    Liquid line "           | liquid     | in
    Gas Ø, mm               | gas        | mm
    Insul. thk. (in)        | insulation | in
    Vapour line size        | gas        |
    Room volume (ft3)       | room_volume | ft3
    Volume, m³              | room_volume | m3
    Room served             | room       |
    Comm. address           | address    |
    """
    ),
)
def test_the_trades_words(header: str, key: str, unit: str, tmp_path: Path) -> None:
    """Other words than the keys, their units as people write them."""
    schedule, problems = of_csv(
        tmp_path, f'Indoor unit;Branch box;Port No.;"{header.replace(chr(34), chr(34) * 2)}"\n'
    )
    assert problems == []
    assert keys(schedule) == [("unit", ""), ("box", ""), ("port", ""), (key, unit)]


@pytest.mark.parametrize(
    ("header", "means"),
    [
        ("Size", "liquid, gas, capacity or cable"),
        ("Diameter (in)", "liquid, gas or cable"),
        ("Pipe", "liquid, gas or run"),
        ("No.", "unit, port or a row's number"),
        ("Location", "room or where the unit or the box hangs"),
        ("Suction (in)", "gas or a pipe that feeds the box"),
        ("MBH", "capacity or a heating capacity"),
    ],
)
def test_a_header_that_could_mean_two_things_is_a_problem(header: str, means: str, tmp_path: Path) -> None:
    """Not a choice; the message says between what, the hint how the job says which."""
    schedule, (problem,) = of_csv(tmp_path, f"unit,box,port,{header}\nFC-1,BX-1,A,3/8\n")
    assert (problem.code, schedule.rows) == ("column-ambiguous", [])
    assert problem.message == f"column '{header}' could mean {means}"
    assert (
        f'say which in [columns] of the job.toml that `tagmaker start` writes: "{header}" = "' in problem.hint
    )


@pytest.mark.parametrize(
    ("header", "several"),
    [("Branch box / port", "box, port"), ("Liquid & Gas (in)", "liquid, gas"), ("Unit, room", "unit, room")],
)
def test_a_header_of_several_things_is_a_problem(header: str, several: str, tmp_path: Path) -> None:
    """Each needs a column of its own."""
    _, problems = of_csv(tmp_path, f'unit;box;port;"{header}"\n')
    assert first_lines(problems) == [
        f"ports.csv:1: error: column '{header}' holds several values: {several} [column-ambiguous]"
    ]


def test_an_unknown_header_names_the_way_out(tmp_path: Path) -> None:
    """A column is left out on purpose, or not at all."""
    _, (problem,) = of_csv(tmp_path, "unit,box,port,Manufacturer\n")
    assert problem.as_text() == (
        "ports.csv:1: error: unknown column 'Manufacturer' [column-unknown]\n"
        "    name it in [columns] of the job.toml that `tagmaker start` writes: "
        '"Manufacturer" = "" leaves it out'
    )


def test_two_columns_of_one_meaning_are_named(tmp_path: Path) -> None:
    """By their headers and the second's cell."""
    _, problems = understood(tmp_path, [("Unit", "Box", "Port", "Room", "Room No.")])
    assert first_lines(problems) == [
        "ports.xlsx:Ports!E1: error: two columns mean 'room': 'Room' and 'Room No.' [column-twice]"
    ]


# --- [columns] ----------------------------------------------------------------------------------------------


def test_columns_named_by_the_job(tmp_path: Path) -> None:
    """Left out, given a key, given a key with a unit; apart from case, punctuation and the header's unit."""
    text = "FCU,box,port,Load,Size (in),Remarks:,#\nFC-1,BX-1,A,24,3/8,none,1\n"
    names = {"fcu": "unit", "Load": "capacity (MBH)", "Size": "liquid", "remarks": "", "#": ""}
    schedule, problems = of_csv(tmp_path, text, **names)
    assert (problems, facts(schedule)) == ([], ONE)
    assert keys(schedule)[3:] == [("capacity", "MBH"), ("liquid", "in"), ("", ""), ("", "")]


def test_a_known_column_may_be_left_out(tmp_path: Path) -> None:
    """The job's word is above the trade's."""
    schedule, problems = of_csv(tmp_path, "unit,box,port,room,capacity (MBH)\nFC-1,BX-1,A,x,24\n", room="")
    assert (problems, facts(schedule), schedule.rows[0].room) == ([], ONE, "")


def test_a_unit_in_columns_against_the_headers_is_a_problem(tmp_path: Path) -> None:
    """One of them is wrong."""
    _, problems = of_csv(tmp_path, "unit,box,port,Load (kW)\n", Load="capacity (MBH)")
    assert [problem.code for problem in problems] == ["value-wrong"]


# --- title blocks and several rows of headings --------------------------------------------------------------


@pytest.mark.parametrize(
    "title",
    [
        [("Marsh Row Library",)],
        [("Project:", "Marsh Row Library", "", "Rev:", "P02")],
        [("Marsh Row Library",), ("Unit list of level 2",), ("",), ("",)],
        [("", "PORT SCHEDULE"), ("",)],
        [("Prepared by", "JB", "Room", "12")],
    ],
)
def test_a_title_block_is_passed_over(title: Rows, tmp_path: Path) -> None:
    """With or without a blank row below it; each of its rows is told."""
    schedule, problems = understood(tmp_path, [*title, HEAD, FIRST])
    assert (problems, facts(schedule)) == ([], ONE)
    filled = [why for _, why in passed_over(schedule)]
    assert filled == [*["above the header"] * sum(any(row) for row in title), "the header"]


def test_a_merged_title_is_no_heading_of_columns(tmp_path: Path) -> None:
    """Directly above the header, over all its columns."""
    schedule, problems = understood(tmp_path, [("Port schedule",), HEAD, FIRST], merge("A1:E1"))
    assert (problems, facts(schedule)) == ([], ONE)


GROUPED = ("Tag", "Room", "Cap.", "Tag", "Port", "Liquid", "Gas", "Length (ft)", "OD (in)")
GROUPS = ("Indoor unit", "", "", "Branch box", "", "Piping (in)", "", "", "Cable")
DATA = ("FC-1", "Shop", "24 MBH", "BX-1", "A", "3/8", "5/8", 30, 0.26)
GROUPED_KEYS = [
    ("unit", ""), ("room", ""), ("capacity", ""), ("box", ""), ("port", ""),
    ("liquid", "in"), ("gas", "in"), ("run", "ft"), ("cable", "in"),
]  # fmt: skip


@pytest.mark.parametrize("ranges", [(), ("A1:C1", "D1:E1", "F1:H1")])
def test_headings_over_several_columns(ranges: tuple[str, ...], tmp_path: Path) -> None:
    """Merged, or standing above the first of their columns: "Tag" is a unit's or a box's by its heading."""
    schedule, problems = understood(tmp_path, [GROUPS, GROUPED, DATA], merge(*ranges))
    assert (problems, facts(schedule)) == ([], ONE)
    assert keys(schedule) == GROUPED_KEYS


def test_headers_merged_over_two_rows(tmp_path: Path) -> None:
    """Some columns have their header in the upper row, some below a heading."""
    rows = [("Unit", "Box", "Port", "Cap. (MBH)", "Pipe sizes", ""), ("", "", "", "", "Liquid", "Gas")]
    rows += [("FC-1", "BX-1", "A", 24, "3/8 in", "5/8 in")]  # type: ignore[list-item]
    schedule, problems = understood(tmp_path, rows, merge("A1:A2", "B1:B2", "C1:C2", "D1:D2", "E1:F1"))
    assert (problems, facts(schedule)) == ([], ONE)
    assert [column.key for column in schedule.sheets[0].columns][4:] == ["liquid", "gas"]


@pytest.mark.parametrize("heading", ["Cable", "Comms", "Branch box"])
def test_a_word_below_a_foreign_heading_is_not_believed(heading: str, tmp_path: Path) -> None:
    """The length of a cable is not the pipe's run."""
    rows = [("Indoor unit", "", "", "", heading), ("Unit", "Box", "Port", "Room", "Length (ft)")]
    _, problems = understood(tmp_path, [("Indoor unit", "Box", "", "", heading), rows[1]])
    assert "column-unknown" in {problem.code for problem in problems}
    assert any(f"{heading} / Length (ft)" in problem.message for problem in problems)


@pytest.mark.parametrize("heading", ["Cable", "Comms"])
def test_a_heading_over_one_column_counts(heading: str, tmp_path: Path) -> None:
    """Beside one that is merged, or that is no known word."""
    rows = [("Terminal data", "", "", heading), ("Unit", "Box", "Port", "Length (ft)")]
    for ranges in ((), ("A1:C1",)):
        _, problems = understood(tmp_path, rows, merge(*ranges))
        told = [problem.message for problem in problems]
        assert (f"unknown column '{heading} / Length (ft)'" in told) == (bool(ranges) or heading == "Cable")


def test_a_header_that_begins_a_row_above_the_others(tmp_path: Path) -> None:
    """A known word over a blank is that column's header."""
    rows = [("Unit", "", "", "", "Room"), ("", *HEAD[1:4], ""), FIRST]
    schedule, problems = understood(tmp_path, rows)
    assert (problems, facts(schedule), schedule.rows[0].room) == ([], ONE, "Shop")


def test_an_unknown_heading_that_begins_over_a_later_column_counts(tmp_path: Path) -> None:
    """A title would begin above the first column; what stands further right is not passed over."""
    _, problems = understood(tmp_path, [("", "", "", "Comms"), ("Unit", "Box", "Port", "Length (ft)")])
    assert first_lines(problems) == [
        "ports.xlsx:Ports!D2: error: unknown column 'Comms / Length (ft)' [column-unknown]"
    ]


@pytest.mark.parametrize(
    ("own", "said"),
    [
        ("Colour", "unknown column 'Cable / Colour' [column-unknown]"),
        (
            "Size",
            "column 'Cable / Size' could mean liquid, gas, capacity or cable [column-ambiguous]",
        ),
    ],
)
def test_a_header_that_is_not_known_below_its_heading_is_told_with_it(
    own: str, said: str, tmp_path: Path
) -> None:
    """Neither together nor alone."""
    rows = [("Indoor unit", "", "", "Cable"), ("Unit", "Box", "Port", own)]
    assert f"ports.xlsx:Ports!D2: error: {said}" in first_lines(understood(tmp_path, rows)[1])


# --- units --------------------------------------------------------------------------------------------------


def test_a_row_of_units(tmp_path: Path) -> None:
    """Below the header, with or without brackets, dashes where there is none."""
    rows = [
        ("Unit", "Box", "Port", "Cap.", "Length", "Room"),
        ("–", "", "-", "(MBH)", "ft", ""),
        (*FIRST[:4], 30, "x"),
    ]
    schedule, problems = understood(tmp_path, rows)
    assert (problems, facts(schedule)) == ([], ONE)
    assert keys(schedule)[3:5] == [("capacity", "MBH"), ("run", "ft")]


@pytest.mark.parametrize(
    ("header", "units", "said"),
    [
        ("Cap. (kW)", "MBH", "column 'Cap. (kW)' has the unit kW, and MBH below it"),
        ("Cap.", "hp", "unit 'hp' of column 'Cap.' is not known"),
    ],
)
def test_units_that_contradict_or_are_unknown(header: str, units: str, said: str, tmp_path: Path) -> None:
    """A problem at the cell."""
    rows = [("Unit", "Box", "Port", header, "Length"), ("", "", "", units, "ft"), (*FIRST[:4], 30)]
    _, problems = understood(tmp_path, rows)
    assert first_lines(problems) == [f"ports.xlsx:Ports!D2: error: {said} [capacity-unit]"]


def test_without_a_unit_anywhere_nothing_is_guessed(tmp_path: Path) -> None:
    """Bare numbers are a problem of the header, which is named, with the first cells."""
    _, problems = understood(tmp_path, [("Unit", "Box", "Port", "Cap."), FIRST[:4]])
    assert first_lines(problems) == [
        (
            "ports.xlsx:Ports!D1: error: "
            "column 'Cap.' has no unit, nor has its number: '24' in D2 [capacity-unit]"
        )
    ]


# --- sheets and hidden columns ------------------------------------------------------------------------------


def test_all_sheets_with_a_header_are_read(tmp_path: Path) -> None:
    """In their order; one without is left out with a note, an empty one in silence."""
    second = [("Port", "Indoor unit", "Branch box"), ("B", "FC-2", "BX-1")]
    schedule, problems = understood(tmp_path, [HEAD, FIRST], Second=second, Notes=[("Draft",)], Empty=[])
    assert [row.tag for row in schedule.rows] == ["FC-1", "FC-2"]
    assert first_lines(problems) == [
        "ports.xlsx:Notes: note: sheet 'Notes' has no schedule header and is left out [sheet-skipped]"
    ]


def test_sheets_named_by_the_job(tmp_path: Path) -> None:
    """The others are left out without a word; one that is named must have a header."""
    old = [("Unit", "Box", "Port"), ("FC-9", "BX-1", "B")]
    one, two = Choices(sheets=("Ports",)), Choices(sheets=("Ports", "Notes"))
    schedule, problems = understood(tmp_path, [HEAD, FIRST], choices=one, Old=old, Notes=[("Draft",)])
    assert (problems, facts(schedule)) == ([], ONE)
    _, problems = understood(tmp_path, [HEAD, FIRST], choices=two, Old=old, Notes=[("Draft",)])
    assert first_lines(problems) == [
        "ports.xlsx:Notes: error: sheet 'Notes' has no header row [columns-missing]"
    ]


def test_no_sheet_with_a_header_lists_what_was_seen(tmp_path: Path) -> None:
    """So that a person sees which file they took."""
    _, problems = understood(tmp_path, [("Minutes", "of", "meeting")], Notes=[("Draft",)])
    seen = "it begins with Ports: Minutes | of | meeting; Notes: Draft"
    assert first_lines(problems) == [
        f"ports.xlsx: error: ports.xlsx has no header row; {seen} [columns-missing]"
    ]


def test_a_hidden_sheet_that_looks_like_a_schedule_is_a_problem(tmp_path: Path) -> None:
    """Used or dropped, it would be unseen; named by the job, it counts."""

    def hide(sheet: Worksheet) -> None:
        book = sheet.parent
        assert book is not None
        book["Old"].sheet_state = "hidden"

    old = [("Unit", "Box", "Port"), ("FC-9", "BX-1", "B")]
    _, problems = understood(tmp_path, [HEAD, FIRST], hide, Old=old)
    assert first_lines(problems) == [
        "ports.xlsx:Old: error: sheet 'Old' is hidden and looks like a schedule [column-hidden]"
    ]
    schedule, problems = understood(tmp_path, [HEAD, FIRST], hide, Choices(sheets=("Old",)), Old=old)
    assert ([row.tag for row in schedule.rows], problems) == (["FC-9"], [])


def test_a_hidden_column_is_a_problem_until_the_job_names_it(tmp_path: Path) -> None:
    """Whatever it holds."""

    def hide(sheet: Worksheet) -> None:
        sheet.column_dimensions["D"].hidden = True

    _, problems = understood(tmp_path, [HEAD, FIRST], hide)
    assert first_lines(problems) == [
        "ports.xlsx:Ports!D1: error: column 'Cap. (MBH)' is hidden [column-hidden]"
    ]
    schedule, problems = understood(tmp_path, [HEAD, FIRST], hide, Choices({"Cap.": "capacity"}))
    assert (problems, facts(schedule)) == ([], ONE)


def test_a_hidden_header_is_a_problem(tmp_path: Path) -> None:
    """Nobody sees what its columns mean."""

    def hide(sheet: Worksheet) -> None:
        sheet.row_dimensions[1].hidden = True

    _, problems = understood(tmp_path, [HEAD, FIRST], hide)
    assert first_lines(problems) == [
        "ports.xlsx:Ports!A1: error: the header, row 1, is hidden [column-hidden]"
    ]
