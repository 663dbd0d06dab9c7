"""A sheet whose rows are boxes: what it gives, when it is one, and what is wrong with it."""

from pathlib import Path

import pytest
from openpyxl.worksheet.worksheet import Worksheet

from tagmaker.cli.read import read_lines
from tagmaker.job.model import Job
from tagmaker.job.read import read_job
from tagmaker.job.schedule.read import Schedule, read_schedule
from tagmaker.job.schedule.result import Choices
from tagmaker.problems import Problem
from tagmaker.workflows.read import read
from tests.job_files import HEAD, write_files
from tests.workbooks import Edit, Rows, first_lines, passed_over, understood, workbook

HEADER = ("Box", "Ports", "Location", "Power", "System", "Level", "Fed from")
ONE = ("BX-1", 6, "Corridor", "Panel LP-2", "HR-1", "2", "CU-1")
FACTS = {"place": "Corridor", "power": "Panel LP-2", "system": "HR-1", "level": "2", "fed_from": "CU-1"}
UNITS = "unit,box,port,capacity (MBH)\nFC-1,BX-1,A,12\n"


def told(folder: Path, rows: Rows, edit: Edit | None = None) -> list[str]:
    """What is wrong with a sheet of boxes, without the file's and the sheet's name."""
    problems = first_lines(understood(folder, [HEADER, *rows], edit)[1])
    return [line.removeprefix("ports.xlsx:Ports!") for line in problems]


def job_of(folder: Path, boxes: str, toml: str = "", units: str = UNITS) -> tuple[Job | None, list[Problem]]:
    """A job of units and boxes in CSV files."""
    text = f'{HEAD}schedule = ["units.csv", "boxes.csv"]\n{toml}'
    write_files(folder, {"job.toml": text, "units.csv": units, "boxes.csv": boxes})
    job, problems = read_job(folder)
    return job, list(problems)


def test_a_sheet_of_boxes_is_read(tmp_path: Path) -> None:
    """Every key of [[box]] that it may hold, with the places of its cells."""
    schedule, problems = understood(tmp_path, [("List of boxes",), HEADER, ONE, ("Total", 6)])
    (box,) = schedule.boxes
    assert (problems, schedule.rows) == ([], [])
    assert (box.tag, box.ports, box.texts, box.places["power"].cell) == ("BX-1", 6, FACTS, "D3")
    assert passed_over(schedule) == [("A1", "above the header"), ("A2", "the header"), ("A4", "a total")]


def test_a_word_for_the_row_above_is_no_text(tmp_path: Path) -> None:
    """A label would say ISOLATED HERE: same; a dash is a blank."""
    for text in ("same", "Ditto", '"', "″", "TBD", "n/a", "as above"):
        row = ("BX-2", 6, "Roof", text, "HR-1", "2", "CU-1")
        assert told(tmp_path, [ONE, row]) == [f"D3: error: power {text!r} states nothing [cell-value]"], text
    assert told(tmp_path, [ONE, ("BX-2", 6, "Roof", "–", "HR-1", "2", "CU-1")]) == []


@pytest.mark.parametrize(
    ("rows", "is_list"),
    [
        ([("Box", "Ports", "Level"), ("BX-1", "10", "2")], True),
        ([("Branch box tag", "No. of ports"), ("BX-1", "10-port")], True),
        ([("Box", "Location"), ("BX-1", "Corridor")], True),
        ([("Box", "Power (panel, circuit)"), ("BX-1", "LP-2, 14")], True),
        ([("Box", "Ports"), ("BX-1", "A")], False),
        ([("Box", "Port no", "Level"), ("BX-1", "1", "2")], False),
        ([("Unit", "Box", "Port", "Level"), ("FC-1", "BX-1", "A", "2")], False),
        ([("Box", "Level", "Cap. (MBH)"), ("BX-1", "2", "24")], False),
        ([("Box",), ("BX-1",)], False),
        ([("Location", "Level"), ("Corridor", "2")], False),
    ],
)
def test_what_a_sheet_of_boxes_is(rows: Rows, is_list: bool, tmp_path: Path) -> None:  # noqa: FBT001 — a case of two
    """A word of a box's tag, another column of boxes, none of units; ports are counts."""
    schedule, problems = understood(tmp_path, rows)
    assert (bool(schedule.boxes), problems == []) == (is_list, is_list)


def test_columns_that_the_job_takes_for_units_make_no_sheet_of_boxes(tmp_path: Path) -> None:
    """A column "Equipment" could be anything until [columns] says so."""
    rows = [("Box", "Port", "Equipment"), ("BX-1", "A", "FC-1")]
    schedule, problems = understood(tmp_path, rows, None, Choices({"Equipment": "unit"}))
    assert ([row.tag for row in schedule.rows], schedule.boxes, problems) == (["FC-1"], [], [])


@pytest.mark.parametrize(
    ("row", "said"),
    [
        (("BX 1", 6), "A2: error: box 'BX 1' is not a valid tag [tag-wrong]"),
        (("", 6), "A2: error: the row has no box [cell-missing]"),
        (("BX-1", "A"), "B3: error: ports 'A' is not a number of ports [value-wrong]"),
        (("BX-1", 0), "B2: error: ports '0' is not a number of ports [value-wrong]"),
        (("BX-1", 6, "x" * 61), "C2: error: place is longer than 60 characters [value-wrong]"),
        (("BX-1", 6, "#REF!"), "C2: error: place is an error value, #REF! [cell-value]"),
        ((*ONE, "?"), "H2: error: cell '?' has no heading above it [row-too-long]"),
    ],
)
def test_what_is_wrong_with_a_box_is_reported(row: tuple[object, ...], said: str, tmp_path: Path) -> None:
    """At its cell."""
    rows = [ONE, row] if said.startswith("B3") else [row]
    assert said in told(tmp_path, rows)


def test_a_box_that_is_listed_twice_is_a_problem(tmp_path: Path) -> None:
    """On one sheet, or on two."""
    assert told(tmp_path, [ONE, ("bx-1", 8)]) == ["A3: error: box bx-1 is listed twice [box-twice]"]
    _, problems = job_of(tmp_path / "two", "box,ports\nBX-1,6\n", units=UNITS)
    assert problems == []
    text = f'{HEAD}schedule = ["units.csv", "boxes.csv", "more.csv"]\n'
    write_files(tmp_path / "two", {"job.toml": text, "more.csv": "box,ports\nBX-1,6\n"})
    assert first_lines(read_job(tmp_path / "two")[1]) == [
        "more.csv:2: error: box BX-1 is listed twice [box-twice]"
    ]


def test_hidden_rows_and_columns_are_problems(tmp_path: Path) -> None:
    """Used or dropped, nobody would see them."""

    def hide(sheet: Worksheet) -> None:
        sheet.row_dimensions[3].hidden = True
        sheet.row_dimensions[4].hidden = True

    def hide_column(sheet: Worksheet) -> None:
        sheet.column_dimensions["D"].hidden = True

    rows = [ONE, ("BX-2", 6), ("BX-3", 6)]
    assert told(tmp_path, rows, hide) == [
        "3: error: row 3 is hidden and holds a box; likewise in row 4 [column-hidden]"
    ]
    assert told(tmp_path, rows, hide_column) == ["D1: error: column 'Power' is hidden [column-hidden]"]


def test_merged_cells_hold_for_each_box(tmp_path: Path) -> None:
    """A system over its boxes, shown as filled in; a tag is no such thing."""

    def merge(sheet: Worksheet) -> None:
        sheet.merge_cells("E2:E3")

    schedule, problems = understood(tmp_path, [HEADER, ONE, ("BX-2", 8, "", "", "", "3")], merge)
    assert problems == []
    assert [(box.tag, box.texts["system"]) for box in schedule.boxes] == [("BX-1", "HR-1"), ("BX-2", "HR-1")]
    assert [(each.where.cell, each.source.cell) for each in schedule.sheets[0].filled] == [("E3", "E2")]


def test_an_unknown_column_of_boxes_is_answered_under_columns(tmp_path: Path) -> None:
    """Left out on purpose, or not at all; remarks with a note."""
    rows = [(*HEADER[:2], "Weight", "Notes"), ("BX-1", 6, 40, "x")]
    problems = understood(tmp_path, rows)[1]
    assert [(problem.code, problem.where.cell) for problem in problems] == [
        ("column-skipped", "D1"),
        ("column-unknown", "C1"),
    ]
    schedule, problems = understood(tmp_path, rows, None, Choices({"Weight": "", "Notes": ""}))
    assert ([box.ports for box in schedule.boxes], problems) == ([6], [])


def test_read_shows_the_boxes(tmp_path: Path) -> None:
    """As a table below their columns."""
    path = workbook(tmp_path / "ports.xlsx", [HEADER[:3], ONE[:3]])
    assert read_lines(read(path, None))[-4:] == [
        "  boxes as understood:",
        "        tag   ports  place",
        "    A2  BX-1  6      Corridor",
        "1 box understood",
    ]
    (sheet,) = read(path, None).outline.sheets
    assert sheet.boxes == (
        {"where": "ports.xlsx:Ports!A2", "tag": "BX-1", "ports": "6", "place": "Corridor"},
    )


# --- in a job -----------------------------------------------------------------------------------------------

BOXES = "Box,Ports,Location,Power,System,Level,Fed from\nBX-1,6,Corridor,Panel LP-2,HR-1,2,CU-1\n"


def test_a_job_may_have_all_its_boxes_on_a_sheet(tmp_path: Path) -> None:
    """Without any [[box]]."""
    job, problems = job_of(tmp_path, BOXES)
    assert job is not None
    assert problems == []
    (box,) = job.boxes
    assert (box.tag, box.shown, box.ports, str(box.where)) == ("BX-1", "BX-1", 6, "boxes.csv:2")
    assert {key: getattr(box, key) for key in FACTS} == FACTS


def test_a_box_of_both_takes_what_the_job_does_not_give(tmp_path: Path) -> None:
    """Its own size and place count; the order is the job's."""
    toml = '[[box]]\ntag = "bx-1"\nplace = "corridor"\nshown = "1"\n'
    job, problems = job_of(tmp_path, BOXES, toml)
    assert job is not None
    assert problems == []
    (box,) = job.boxes
    assert (box.tag, box.shown, box.ports, box.place, box.power) == ("bx-1", "1", 6, "corridor", "Panel LP-2")


def test_what_differs_is_a_problem_and_the_job_counts(tmp_path: Path) -> None:
    """A size is an error, a text a warning; both places are named."""
    toml = '[[box]]\ntag = "BX-1"\nports = 8\npower = "Panel LP-9"\n'
    job, problems = job_of(tmp_path, BOXES, toml)
    assert job is not None
    assert (job.boxes[0].ports, job.boxes[0].power) == (8, "Panel LP-9")
    assert [(problem.severity, problem.code, problem.hint, problem.boxes) for problem in problems] == [
        ("error", "box-contradiction", "see boxes.csv:2; correct one", ("BX-1",)),
        ("warning", "box-contradiction", "see boxes.csv:2; correct one", ("BX-1",)),
    ]


@pytest.mark.parametrize(
    ("boxes", "toml", "said"),
    [
        (
            "Box,Level\nBX-1,2\n",
            "",
            "boxes.csv:2: error: the number of ports of BX-1 is missing [key-missing]",
        ),
        (
            "Box,Level\nBX-1,2\n",
            '[[box]]\ntag = "BX-1"\n',
            "job.toml:5: error: key 'box.ports' is missing [key-missing]",
        ),
    ],
)
def test_a_size_that_nobody_gives_is_missing(boxes: str, toml: str, said: str, tmp_path: Path) -> None:
    """It is never inferred for a job's box, and the units on it are no further problem."""
    _, problems = job_of(tmp_path, boxes, toml)
    assert first_lines(problems) == [said]


def test_a_box_of_a_sheet_has_the_jobs_family(tmp_path: Path) -> None:
    """Where the job has none, it is asked for."""
    write_files(tmp_path, {"boxes.csv": BOXES, "units.csv": UNITS})
    toml = '[job]\nname = "x"\nschedule = ["units.csv", "boxes.csv"]\n'
    write_files(tmp_path, {"job.toml": toml})
    assert first_lines(read_job(tmp_path)[1]) == [
        "boxes.csv:2: error: no family is named for box BX-1 [key-missing]"
    ]


def test_a_schedule_file_of_boxes_alone_is_one(tmp_path: Path) -> None:
    """It needs no header of units."""
    write_files(tmp_path, {"boxes.csv": BOXES})
    schedule, problems = read_schedule(tmp_path / "boxes.csv", "boxes.csv")
    assert isinstance(schedule, Schedule)
    assert ([box.tag for box in schedule.boxes], problems) == (["BX-1"], [])
