"""How large a schedule may be; small files that would take minutes or gigabytes are told, not read."""

from pathlib import Path

import pytest

from tagmaker.job.schedule.read import read_schedule
from tagmaker.job.schedule.sheet import COLUMNS_AT_MOST, ROWS_AT_MOST
from tests.workbooks import first_lines, handmade

HEADER = "unit,box,port,capacity (kBtu/h)\n"


def told(text: str, folder: Path) -> str:
    """The first thing that is told of a CSV schedule, cut where it quotes at length."""
    (folder / "a.csv").write_text(text, encoding="utf-8")
    _, problems = read_schedule(folder / "a.csv", "a.csv")
    return first_lines(problems)[0][:60]


@pytest.mark.parametrize(
    "header", ["(" * 100_000, '"' + "( " * 60_000 + '"', "a/" * 60_000, "a " * 60_000, "a" * 120_000]
)
def test_a_header_of_a_hundred_thousand_signs_is_unknown(header: str, tmp_path: Path) -> None:
    """No unit is looked for in it: every way to part it into a name and a unit would be tried."""
    assert told(f"unit,box,port,{header}\n", tmp_path).startswith("a.csv:1: error: unknown column '")
    assert "no header row" in told(f"{header},b\n", tmp_path)


def test_too_many_rows(tmp_path: Path) -> None:
    """Of whatever the file has."""
    text = HEADER + "\n" * ROWS_AT_MOST
    assert told(text, tmp_path) == "a.csv:100001: error: a.csv has more than 100,000 rows [file-"


def test_too_many_columns(tmp_path: Path) -> None:
    """In any record."""
    text = HEADER + "," * COLUMNS_AT_MOST + "\n"
    assert told(text, tmp_path) == "a.csv:2: error: a.csv has more than 256 columns [file-unreada"[:60]


def test_a_cell_without_end(tmp_path: Path) -> None:
    """A quote that nobody closed."""
    assert told(f'{HEADER}"{"x" * 200_000}', tmp_path).startswith(
        "a.csv:2: error: not valid CSV: field larger"
    )


@pytest.mark.parametrize(
    ("sheet", "expected"),
    [
        ("<row>" + "<c><v>1</v></c>" * 400_000 + "</row>", "has more than 400,000 cells and rows"),
        ("<row/>" * 400_001, "has more than 400,000 cells and rows"),
        ("<x:c xmlns:x='a'/>" * 400_001, "has more than 400,000 cells and rows"),
        ("<x/>" * 1_500_000, "has more than 400,000 cells and rows"),
        ("<x>" * 100_000, "is a damaged workbook (ParseError)"),
    ],
)
def test_a_workbook_of_too_many_parts_is_refused_before_it_is_parsed(
    sheet: str, expected: str, tmp_path: Path
) -> None:
    """A hundred kilobytes that would take a minute and two gigabytes."""
    path = handmade(tmp_path / "a.xlsx", {"S": f"<sheetData>{sheet}</sheetData>"})
    assert path.stat().st_size < 200_000
    _, problems = read_schedule(path, "a.xlsx")
    assert first_lines(problems) == [f"a.xlsx: error: a.xlsx {expected} [file-unreadable]"]


def test_a_workbook_of_too_many_merged_cells_is_refused(tmp_path: Path) -> None:
    """Each is compared with all others by who reads them."""
    one = '<mergeCell ref="A1:A1"/>'
    merged = f"<mergeCells>{one * 20_001}</mergeCells>"
    path = handmade(tmp_path / "a.xlsx", {"S": f"<sheetData/>{merged}"})
    _, problems = read_schedule(path, "a.xlsx")
    assert first_lines(problems) == ["a.xlsx: error: a.xlsx merges more than 500,000 cells [file-unreadable]"]
