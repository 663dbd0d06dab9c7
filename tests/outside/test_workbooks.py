"""Schedules as LibreOffice writes them: what was said stays said, and its traps are told."""

import csv
import io
from dataclasses import dataclass
from pathlib import Path

import pytest
from openpyxl import load_workbook

from tagmaker.job.schedule.read import Schedule, read_schedule
from tagmaker.job.schedule.result import Choices
from tagmaker.problems import Problem
from tagmaker.workflows.read import row_texts
from tests.outside.example_workbook import WORKBOOK, build
from tests.workbooks import converted, facts, first_lines, workbook

CLINIC = WORKBOOK.parents[1] / "clinic" / "ports.csv"
WEIR = Choices({"Type": "", "Remarks": ""}, ("Block A", "Block B"))


def rows_of(schedule: Schedule) -> list[dict[str, str]]:
    """Everything that the rows say."""
    return [row_texts(row) for row in schedule.rows]


# --- LibreOffice --------------------------------------------------------------------------------------------


@dataclass(frozen=True)
class Office:
    """Where LibreOffice's files stand; `dates` were read by it with a person's typing taken for dates."""

    folder: Path
    dates: Path


@pytest.fixture(scope="module")
def office(tmp_path_factory: pytest.TempPathFactory) -> Office:
    """A CSV and two workbooks made into workbooks, old workbooks and CSV by LibreOffice."""
    work = tmp_path_factory.mktemp("office")
    out, dates = work / "out", work / "dates"
    formulas = [
        ("Unit", "Box", "Port", "Cap. (MBH)", "Room"),
        ("FC-1", "BX-1", "A", "=12+12", '=IF(D2>30,"Hall","")'),
        ("FC-2", "BX-1", "B", "=D2/2", '="Shop "&1'),
    ]
    sources = [
        workbook(work / "formulas.xlsx", formulas),
        Path(work / "clinic.csv"),
        Path(work / "weir.xlsx"),
    ]
    sources[1].write_bytes(CLINIC.read_bytes())
    sources[2].write_bytes(WORKBOOK.read_bytes())
    profile = work / "profile"
    converted(sources, "xlsx", out, profile)
    all_sheets = "59,34,76,1,,0,false,true,false,false,false,-1"
    converted(sources[2:], f"csv:Text - txt - csv (StarCalc):{all_sheets}", out, profile)
    converted(sources[2:], "xls", out, profile)
    converted(sources[2:], "ods", out, profile)
    converted([sources[1]], "xlsx", dates, profile, infilter="CSV:44,34,76,1,,1033,false,true")
    return Office(out, dates)


def of(path: Path, choices: Choices = Choices()) -> tuple[Schedule, list[Problem]]:  # noqa: B008 — frozen
    """A schedule as understood."""
    return read_schedule(path, path.name, choices)


def test_a_csv_saved_as_a_workbook_says_the_same(office: Office) -> None:
    """The clinic's schedule, opened and saved by LibreOffice."""
    expected, none = of(CLINIC)
    schedule, problems = of(office.folder / "clinic.xlsx")
    assert none == problems == []
    assert rows_of(expected) == rows_of(schedule)


def test_a_workbook_saved_by_another_program_says_the_same(office: Office) -> None:
    """Title block, merged boxes, headings over several columns, units, totals: rows and reasons alike."""
    expected, none = of(WORKBOOK, WEIR)
    schedule, problems = of(office.folder / "weir.xlsx", WEIR)
    assert none == problems == []
    assert rows_of(expected) == rows_of(schedule)
    assert [[each.why for each in sheet.left] for sheet in expected.sheets] == [
        [each.why for each in sheet.left] for sheet in schedule.sheets
    ]


def test_a_workbook_saved_as_csv_says_the_same(office: Office) -> None:
    """Merged cells are lost there: boxes named once are filled down, headings spread to the right."""
    expected, _ = of(WORKBOOK, WEIR)
    blocks = [of(office.folder / f"weir-{name}.csv", WEIR) for name in WEIR.sheets]
    assert [problems for _, problems in blocks] == [[], []]
    assert rows_of(expected) == [row for schedule, _ in blocks for row in rows_of(schedule)]


def test_formulas_that_another_program_calculated_are_read(office: Office) -> None:
    """As openpyxl writes them they have no result; opened and saved as the hint says, they have one."""
    schedule, problems = of(office.folder / "formulas.xlsx")
    assert problems == []
    assert facts(schedule) == [("FC-1", "BX-1", "A", "24 kBtu/h"), ("FC-2", "BX-1", "B", "12 kBtu/h")]
    assert [row.room for row in schedule.rows] == ["", "Shop 1"]


@pytest.mark.parametrize("kind", ["xls", "ods"])
def test_other_workbooks_are_told_with_the_way_out(kind: str, office: Office) -> None:
    """By their name; and by their content where somebody renamed one."""
    named = office.folder / f"weir.{kind}"
    assert first_lines(of(named)[1]) == [
        (
            f"weir.{kind}: error: weir.{kind} is not a supported file type: .csv, .tsv, .txt, "
            f".xlsx [file-unreadable]"
        )
    ]
    renamed = named.with_name(f"{kind}.xlsx")
    renamed.write_bytes(named.read_bytes())
    assert [problem.code for problem in of(renamed)[1]] == ["file-unreadable"]
    renamed = named.with_name(f"{kind}.csv")
    renamed.write_bytes(named.read_bytes())
    assert [problem.message for problem in of(renamed)[1]] == [f"{kind}.csv is a workbook, not a CSV file"]


def test_diameters_that_a_spreadsheet_made_dates_of_are_all_told(office: Office) -> None:
    """A real program that takes 1/4 for 4 January: each such cell is named with what was typed."""
    schedule, problems = of(office.dates / "clinic.xlsx")
    assert {problem.code for problem in problems} == {"cell-date"}
    with CLINIC.open(encoding="utf-8", newline="") as file:
        typed = list(csv.DictReader(file))
    told = {(problem.where.line, problem.where.cell[0]): problem.message for problem in problems}
    for line, row in enumerate(typed, start=2):
        for letter, key in (("G", "liquid (in)"), ("H", "gas (in)")):
            assert f"perhaps {row[key]} or " in told[line, letter]
    assert all(row.liquid is None and row.gas is None for row in schedule.rows)


# --- the example --------------------------------------------------------------------------------------------


def test_the_example_is_what_its_script_writes() -> None:
    """Cell by cell, and what is merged."""
    out = io.BytesIO()
    build().save(out)
    shipped, built = load_workbook(WORKBOOK), load_workbook(out)
    assert built.sheetnames == shipped.sheetnames
    for expected, actual in zip(built, shipped, strict=True):
        assert list(expected.values) == list(actual.values)
        assert sorted(map(str, expected.merged_cells.ranges)) == sorted(map(str, actual.merged_cells.ranges))
