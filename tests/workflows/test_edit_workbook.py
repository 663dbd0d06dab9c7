"""A workbook is never rewritten: cells are listed, or a CSV file made of its rows takes its place."""

from pathlib import Path

import pytest
from openpyxl.worksheet.worksheet import Worksheet

from tagmaker.job.model import Job
from tagmaker.job.read import read_job
from tagmaker.problems import Where
from tagmaker.workflows.edit import Edited, apply, digests, undo
from tagmaker.workflows.edit_kinds import Edit, LeaveRowsOut, Move, MoveUnits, SetBox, WorkbookCell
from tests.job_files import BOX, HEAD, write_files
from tests.records import replace
from tests.workbooks import Edit as SheetEdit
from tests.workbooks import Rows, workbook

JOB = f'{HEAD}schedule = "ports.xlsx"  # from the office\ncable = "0.26 in"\n\n{BOX}'
COLUMNS = '\n[columns]\n"Kind" = ""\n'
HEADS = ("Unit", "Box", "Port", "Cap. (MBH)", "Room", "Liquid", "Kind")
ROWS = [
    HEADS,
    ("FC-1", "BX-1", "A", 24, "Shop, north", "3/8 in", "x"),
    ("FC-2", None, "B", 12.5, None, None, None),
    ("FC-3", None, "C", 12, "Café", None, None),
    ("Spare", None, "D", None, None, None, None),
]
BOXES = [("Box", "Ports", "Location", "Level"), ("BX-2", 6, "Corridor, grid C4", "2")]


def job(
    folder: Path,
    rows: Rows = ROWS,
    change: SheetEdit | None = None,
    toml: str = JOB + COLUMNS,
    **sheets: Rows,
) -> Path:
    """A job with a workbook as its schedule."""
    write_files(folder, {"job.toml": toml})
    workbook(folder / "ports.xlsx", rows, change, **sheets)
    return folder


def edit(folder: Path, *edits: Edit) -> Edited:
    """These changes, by somebody who was shown the files as they are."""
    return apply(folder, edits, digests(folder))


def read(folder: Path) -> Job:
    """The job, which has no problem in reading it."""
    found, problems = read_job(folder)
    assert problems == ()
    assert found
    return found


def placeless(found: Job) -> Job:
    """A job without the places of its boxes and rows."""
    nowhere = Where("")
    return replace(
        found,
        boxes=tuple(replace(box, where=nowhere) for box in found.boxes),
        units=tuple(replace(unit, where=nowhere) for unit in found.units),
    )


def cells(edited: Edited) -> list[tuple[str, str, str, str]]:
    """The cells to change."""
    return [(cell.cell, cell.before, cell.after, cell.remark) for cell in edited.cells]


def test_the_cells_to_change_are_listed_and_nothing_is_written(tmp_path: Path) -> None:
    """Each with what it holds and must hold, also a blank box below the moved row, and the row of a spare."""
    folder = job(tmp_path)
    before = (folder / "ports.xlsx").read_bytes()
    edited = edit(folder, MoveUnits((Move("FC-2", "BX-1", "D"), Move("FC-1", "BX-9", "A"))))
    assert [problem.code for problem in edited.problems] == ["edit-workbook"]
    assert cells(edited) == [
        ("B2", "BX-1", "BX-9", ""), ("B3", "", "BX-1", ""), ("C3", "B", "D", ""), ("C5", "D", "B", ""),
    ]  # fmt: skip
    assert edited.cells[0] == WorkbookCell("ports.xlsx", "Ports", "B2", "BX-1", "BX-9")
    assert (folder / "ports.xlsx").read_bytes() == before
    assert {path.name for path in folder.iterdir()} == {"job.toml", "ports.xlsx"}


def test_merged_cells_are_divided_first(tmp_path: Path) -> None:
    """A box merged over rows: each row gets its own text, in words that say what comes first."""

    def merge(sheet: Worksheet) -> None:
        sheet.merge_cells("B2:B5")

    folder = job(tmp_path, change=merge)
    edited = edit(folder, MoveUnits((Move("FC-2", "BX-9", "A"),)))
    first = "divide the merged cells B2:B5 first"
    assert cells(edited) == [("B3", "", "BX-9", first), ("C3", "B", "A", ""), ("B4", "", "BX-1", first)]


def test_on_the_users_word_a_csv_file_takes_the_workbooks_place(tmp_path: Path) -> None:
    """All that was read goes over; the workbook stays; one undo gives back both files."""
    folder = job(tmp_path, Boxes=BOXES)
    toml, before = (folder / "job.toml").read_bytes(), read(folder)
    edited = edit(folder, MoveUnits((Move("FC-2", "BX-2", "F"),), as_csv=True))
    assert edited.problems == ()
    assert edited.what == "FC-2 to BX-2 F; ports.xlsx read from ports.csv and ports-boxes.csv"
    after = read(folder)
    moved = tuple(
        replace(unit, box="BX-2", port="F") if unit.tag == "FC-2" else unit for unit in before.units
    )
    assert placeless(after) == placeless(replace(before, units=moved))
    new = (folder / "job.toml").read_text("utf-8")
    assert 'schedule = ["ports.csv", "ports-boxes.csv"]  # from the office\n' in new
    assert "Kind" not in new
    assert (folder / "ports.csv").read_text("utf-8-sig").splitlines()[:3] == [
        "unit,box,port,capacity,room,liquid",
        'FC-1,BX-1,A,24 MBH,"Shop, north",3/8 in',
        "FC-2,BX-2,F,12.5 MBH,,",
    ]  # fmt: skip
    assert undo(folder).problems == ()
    assert {path.name for path in folder.iterdir()} == {"job.toml", "ports.xlsx", ".history"}
    assert (folder / "job.toml").read_bytes() == toml


def test_levels_of_sheets_go_over_and_no_file_is_replaced(tmp_path: Path) -> None:
    """A level by a sheet's name stays the box's level; a name that is taken is not used."""
    folder = job(tmp_path, change=lambda sheet: setattr(sheet, "title", "Level 3"))
    (folder / "ports.csv").write_text("mine")
    before = read(folder)
    assert before.boxes[0].level == "3"
    edited = edit(folder, MoveUnits((Move("FC-3", "BX-1", "C"),), as_csv=True))
    assert edited.what == "FC-3 to BX-1 C; ports.xlsx read from ports-2.csv and ports-boxes.csv"
    assert placeless(read(folder)) == placeless(before)
    assert (folder / "ports.csv").read_text() == "mine"


@pytest.mark.parametrize("capacity", ["1/3 ton", "2 1/7 kW", "0.1234567 kBtu/h", "36,000 Btu/h", "3,5 kW"])
def test_a_capacity_goes_over_exactly(capacity: str, tmp_path: Path) -> None:
    """A decimal as it is, a fraction as a fraction: nothing is rounded."""
    rows = [("Unit", "Box", "Port", "Capacity"), ("FC-1", "BX-1", "A", capacity)]
    folder = job(tmp_path, rows, toml=JOB)
    before = read(folder)
    edit(folder, MoveUnits((Move("FC-1", "BX-1", "A"),), as_csv=True))
    assert placeless(read(folder)) == placeless(before)
    assert read(folder).units[0].where.file == "ports.csv"


def test_a_value_of_a_sheet_of_boxes_is_listed(tmp_path: Path) -> None:
    """Where the sheet is a workbook's; what job.toml gives is changed there."""
    folder = job(tmp_path, Boxes=BOXES)
    edited = edit(folder, SetBox("BX-2", {"place": "Store 2.07", "ports": "8"}))
    assert cells(edited) == [("C2", "Corridor, grid C4", "Store 2.07", ""), ("B2", "6", "8", "")]
    assert edit(folder, SetBox("BX-1", {"place": "Hall"})).problems == ()
    assert read(folder).boxes[0].place == "Hall"


def test_a_hidden_row_is_left_out_by_its_name(tmp_path: Path) -> None:
    """It is no problem any more, whatever row it is in; taken back, it is one again."""

    def hide(sheet: Worksheet) -> None:
        sheet.row_dimensions[4].hidden = True

    folder = job(tmp_path, change=hide)
    _, problems = read_job(folder)
    assert [problem.code for problem in problems] == ["column-hidden"]
    assert 'hidden_left_out = ["FC-3"] in [job]' in problems[0].hint
    assert edit(folder, LeaveRowsOut(("FC-3",))).problems == ()
    assert 'hidden_left_out = ["FC-3"]\n' in (folder / "job.toml").read_text("utf-8")
    assert [unit.tag for unit in read(folder).units] == ["FC-1", "FC-2"]
    later = [*ROWS[:4], ("FC-4", None, "D", 9, None, None)]
    workbook(folder / "ports.xlsx", later, hide)  # nobody knows which box a blank below that row means
    assert [problem.code for problem in read_job(folder)[1]] == ["cell-missing"]
    edit(folder, LeaveRowsOut(("FC-3",), back=True))
    assert [problem.code for problem in read_job(folder)[1]] == ["column-hidden", "cell-missing"]
