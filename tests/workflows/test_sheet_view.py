"""A schedule's rows as a page shows them: as written beside as understood, problems at their cells."""

from pathlib import Path

from openpyxl.worksheet.worksheet import Worksheet

from tagmaker.job.read import read_job_sources
from tagmaker.workflows import sheet_view as module
from tagmaker.workflows.sheet_view import RowView, SheetView, sheet_view
from tests.job_files import BOX, HEAD, write_files
from tests.paths import EXAMPLES
from tests.workbooks import Rows, workbook

SIX = BOX.replace("4", "6")
ROWS: Rows = [
    ("Port schedule",),
    ("Unit", "Box", "Port", "Cap. (MBH)", "Liquid (in)", "Remarks"),
    ("FC-1", "BX-1", "A", 24, "3/8", "x"),
    ("FC-2", "", "B & C", 12, "8-Mar-26", ""),
    ("FC-3", "", "D", "", "1/4", ""),
    ("Spare", "", "E", "", "", ""),
    ("FC-7", "", "F", 9, "", ""),
    ("Total", "", "", 36, "", ""),
]


def shown(folder: Path, rows: Rows = ROWS, first: int = 0) -> tuple[SheetView, list[str]]:
    """The sheet of a workbook, and its problems' codes."""

    def hide(sheet: Worksheet) -> None:
        if rows is ROWS:
            sheet.row_dimensions[7].hidden = True
            sheet.column_dimensions["F"].hidden = True

    write_files(folder, {"job.toml": HEAD + 'schedule = "ports.xlsx"\n[columns]\n"Remarks" = ""\n' + SIX})
    workbook(folder / "ports.xlsx", rows, hide)
    read = read_job_sources(folder)
    return sheet_view(read.sources[0], 0, read.problems, first), [each.code for each in read.problems]


def row(view: SheetView, line: int) -> RowView:
    """The row of a line."""
    return next(each for each in view.rows if each.line == line)


def test_each_row_says_what_it_is(tmp_path: Path) -> None:
    """A unit, a spare port, skipped with the reason, hidden."""
    view, _ = shown(tmp_path)
    assert [(each.line, each.kind, each.why) for each in view.rows] == [
        (1, "skipped", "above the header"),
        (2, "skipped", "the header"),
        (3, "unit", ""),
        (4, "unit", ""),
        (5, "unit", ""),
        (6, "spare", "a spare port"),
        (7, "hidden", ""),
        (8, "skipped", "a total"),
    ]
    assert row(view, 7).is_hidden


def test_a_cell_has_what_was_understood_where_that_is_something_else(tmp_path: Path) -> None:
    """A unit of measure, a pair's sign, a blank box with the cell that it is taken from."""
    view, _ = shown(tmp_path)
    third, fourth = row(view, 3), row(view, 4)
    assert [(cell.text, cell.means) for cell in third.cells] == [
        ("FC-1", ""), ("BX-1", ""), ("A", ""), ("24", "24 MBH"), ("3/8", "3/8 in"), ("x", ""),
    ]  # fmt: skip
    assert (fourth.cells[1].text, fourth.cells[1].means, fourth.cells[1].source) == ("", "BX-1", "from B3")
    assert (fourth.cells[2].text, fourth.cells[2].means) == ("B & C", "B+C")


def test_columns_have_their_meaning(tmp_path: Path) -> None:
    """Key, unit, whether the job answered; the header's cells have it too."""
    view, _ = shown(tmp_path)
    assert [(each.letter, each.key, each.unit) for each in view.columns] == [
        ("A", "unit", ""),
        ("B", "box", ""),
        ("C", "port", ""),
        ("D", "capacity", "MBH"),
        ("E", "liquid", "in"),
        ("F", "", ""),
    ]
    assert (view.columns[5].is_answered, view.columns[5].is_hidden) == (True, True)
    assert [cell.means for cell in row(view, 2).cells[3:]] == ["capacity (MBH)", "liquid (in)", "left out"]


def test_every_problem_is_at_its_cell(tmp_path: Path) -> None:
    """By its number in the list; the cell that could not be read has no meaning."""
    view, codes = shown(tmp_path)
    places = {
        codes[number]: (each.line, at)
        for each in view.rows
        for at, cell in enumerate(each.cells)
        for number in cell.problems
    }
    assert places == {"cell-date": (4, 4), "column-hidden": (7, 0)}
    assert row(view, 4).cells[4].means == ""


def test_rows_below_a_header_that_is_not_understood_are_unread(tmp_path: Path) -> None:
    """They are shown as written."""
    view, codes = shown(tmp_path, [("Tag", "Box", "Port", "Cap. (MBH)"), ("FC-1", "BX-1", "A", 24)])
    assert codes[0] == "column-ambiguous"
    assert (row(view, 2).kind, [cell.text for cell in row(view, 2).cells]) == (
        "unread",
        ["FC-1", "BX-1", "A", "24"],
    )
    assert view.rows[0].cells[0].problems == (0,)


def test_a_second_table_has_its_own_columns(tmp_path: Path) -> None:
    """Below its header a column means something else."""
    rows = [
        ("Unit", "Box", "Port", "Cap. (MBH)"), ("FC-1", "BX-1", "A", 24), (),
        ("Port", "Box", "Unit", "Room"), ("B", "BX-1", "FC-2", "Hall"),
    ]  # fmt: skip
    view, _ = shown(tmp_path, rows)
    assert [cell.means for cell in row(view, 5).cells] == ["", "", "", ""]
    assert [cell.means for cell in row(view, 4).cells] == ["port", "box", "unit", "room"]
    later, _ = shown(tmp_path, rows, first=4)
    assert [each.key for each in later.columns] == ["port", "box", "unit", "room"]


def test_a_long_sheet_is_shown_window_by_window(tmp_path: Path) -> None:
    """Every row is in one window, none in two; a window beyond the end is the last row's."""
    rows = [("Unit", "Box", "Port"), *((f"FC-{n}", "BX-1", "A") for n in range(450))]
    lines: list[int] = []
    for first in range(0, 451, module.ROWS_AT_MOST):
        view, _ = shown(tmp_path, rows, first)
        assert (view.first, view.total) == (first, 451)
        lines += [each.line for each in view.rows]
    assert lines == list(range(1, 452))
    assert [each.line for each in shown(tmp_path, rows, 10**9)[0].rows] == [451]


def test_a_csv_files_cells_are_marked_too(tmp_path: Path) -> None:
    """Its problems are of lines in the terminal, of cells here."""
    write_files(
        tmp_path,
        {
            "job.toml": HEAD + 'schedule = "ports.csv"\n' + BOX,
            "ports.csv": "Unit,Box,Port,Cap (MBH)\nFC-1,BX-1,A,two\nFC-2,,B,12\n",
        },
    )
    read = read_job_sources(tmp_path)
    view = sheet_view(read.sources[0], 0, read.problems)
    (number,) = row(view, 2).cells[3].problems
    assert read.problems[number].code == "capacity-wrong"
    assert row(view, 3).cells[1].source == "from line 2"


def test_sheets_that_are_left_out_and_sheets_of_boxes_are_shown(tmp_path: Path) -> None:
    """With the reason; with the keys of a box."""
    read = read_job_sources(EXAMPLES / "weir-school")
    left_out = sheet_view(read.sources[0], 2, read.problems)
    assert (left_out.name, left_out.why) == ("Drawings", "not named in [job] sheets")
    assert {each.kind for each in left_out.rows} == {"left out"}
    write_files(
        tmp_path,
        {
            "job.toml": HEAD + 'schedule = "boxes.csv"\n',
            "boxes.csv": "Box,No. of ports,Location\nBX-1,6 ports,Store\n",
        },
    )
    read = read_job_sources(tmp_path)
    boxes = sheet_view(read.sources[0], 0, read.problems)
    assert [each.key for each in boxes.columns] == ["tag", "ports", "place"]
    assert (boxes.rows[1].kind, boxes.rows[1].cells[1].means) == ("box", "6")


def test_an_empty_sheet_has_no_rows(tmp_path: Path) -> None:
    """Of a workbook with one that is filled."""
    write_files(tmp_path, {"job.toml": HEAD + 'schedule = "ports.xlsx"\n' + BOX})
    workbook(tmp_path / "ports.xlsx", [("Unit", "Box", "Port")], Empty=[])
    read = read_job_sources(tmp_path)
    view = sheet_view(read.sources[0], 1, read.problems)
    assert (view.rows, view.columns, view.total) == ((), (), 0)
