"""What a job says of its schedules, [columns] and sheets: used, or a problem."""

from pathlib import Path

import pytest

from tests.job.reading import good, read, told
from tests.job_files import BOX, HEAD
from tests.workbooks import workbook

CSV = "Asset,Box,Port,Cap. (MBH),Colour\nFC-1,BX-1,A,24,none\n"
NAMES = '[columns]\n"Asset" = "unit"\n"Colour" = ""\n'


def job(columns: str = NAMES, schedule: str = '"ports.csv"', sheets: str = "") -> str:
    """A job.toml with a schedule and [columns]."""
    return f"{HEAD}schedule = {schedule}\n{sheets}{BOX}{columns}"


def test_columns_name_what_the_program_does_not_know(tmp_path: Path) -> None:
    """A key, or "" to leave it out on purpose."""
    read_job = good(tmp_path, job(), ports_csv=CSV)
    assert [(unit.tag, unit.port) for unit in read_job.units] == [("FC-1", "A")]


def test_without_them_an_unknown_column_is_an_error(tmp_path: Path) -> None:
    """And no unit is read."""
    assert told(tmp_path, job(""), ports_csv=CSV) == [
        "ports.csv:1: error: unknown column 'Asset' [column-unknown]",
        "ports.csv:1: error: unknown column 'Colour' [column-unknown]",
    ]


def test_a_name_that_matches_no_column_is_a_problem(tmp_path: Path) -> None:
    """At its line, with the nearest header of any schedule."""
    _, problems = read(tmp_path, job(NAMES + '"Color" = ""\n'), ports_csv=CSV)
    assert [problem.as_text() for problem in problems] == [
        "job.toml:11: error: no schedule has a column 'Color' [column-unknown]\n    did you mean 'Colour'?"
    ]


def test_a_name_may_serve_one_of_several_schedules(tmp_path: Path) -> None:
    """Each file has its own headers."""
    both = job(schedule='["ports.csv", "more.csv"]')
    assert good(tmp_path, both, ports_csv=CSV, more_csv="Unit,Box,Port,Cap. (MBH)\nFC-2,BX-1,B,9\n").units


@pytest.mark.parametrize(
    "line",
    [
        '"Asset" = "units"',
        '"Asset" = 3',
        '"Asset" = "capacity (hp)"',
        '"Asset" = "room (m)"',
        '"Asset" = "ubit"',
    ],
)
def test_a_meaning_that_nobody_knows_is_a_problem(line: str, tmp_path: Path) -> None:
    """Of the wrong sort, no key, an unknown unit, a unit for a text."""
    lines = told(tmp_path, job(f'[columns]\n{line}\n"Colour" = ""\n'), ports_csv=CSV)
    assert "job.toml:9" in lines[0]
    assert "[value-wrong]" in lines[0]


def test_sheets_that_no_workbook_has_are_a_problem(tmp_path: Path) -> None:
    """With the nearest that there is."""
    workbook(tmp_path / "ports.xlsx", [("Unit", "Box", "Port", "Cap. (MBH)"), ("FC-1", "BX-1", "A", 24)])
    text = job("", '"ports.xlsx"', 'sheets = ["Ports", "Prots"]\n')
    _, problems = read(tmp_path, text)
    assert [problem.as_text() for problem in problems] == [
        "job.toml:5: error: no schedule has a sheet 'Prots' [value-wrong]\n    did you mean 'Ports'?"
    ]


def test_a_note_of_a_schedule_leaves_its_boxes_whole(tmp_path: Path) -> None:
    """A sheet that is left out says nothing about rows that could not be read."""
    rows = [("Unit", "Box", "Port", "Cap. (MBH)"), ("FC-1", "BX-1", "A", 24)]
    workbook(tmp_path / "ports.xlsx", rows, Notes=[("Draft",)])
    found, problems = read(tmp_path, job("", '"ports.xlsx"'))
    assert [problem.code for problem in problems] == ["sheet-skipped"]
    assert found
    assert found.part_read == frozenset()


def test_a_spare_port_that_the_box_does_not_have_is_a_problem(tmp_path: Path) -> None:
    """Job and schedule disagree on the box's size."""
    rows = [("Unit", "Box", "Port", "Cap. (MBH)"), ("FC-1", "BX-1", "A", 24), ("Spare", "", "E", "")]
    workbook(tmp_path / "ports.xlsx", rows)
    assert told(tmp_path, job("", '"ports.xlsx"')) == [
        "ports.xlsx:Ports!C3: error: BX-1 has no port 'E', which is spare here [port-unknown]"
    ]
