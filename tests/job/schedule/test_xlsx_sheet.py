"""Workbooks as sheets: what a cell's text is, and files that are none; never a traceback, never a warning."""

import datetime as dt
import io
import zipfile
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from openpyxl.styles import Font
from openpyxl.worksheet.worksheet import Worksheet

from tagmaker.job.schedule.cells import cell_fault
from tagmaker.job.schedule.sheet import COLUMNS_AT_MOST, Kind, Sheet, Value
from tagmaker.job.schedule.xlsx_sheet import ROWS_AT_MOST, read_xlsx
from tests.tables import table
from tests.workbooks import DATE_STYLE, cell, handmade, workbook


def sheets(path: Path) -> list[Sheet]:
    """The sheets of a good workbook."""
    found, problems = read_xlsx(path, path.name)
    assert problems == []
    return found


def fault(content: bytes, folder: Path) -> str:
    """What is told of a file with that content."""
    (folder / "ports.xlsx").write_bytes(content)
    found, (problem,) = read_xlsx(folder / "ports.xlsx", "ports.xlsx")
    assert (found, problem.code) == ([], "file-unreadable")
    return problem.message


def one(folder: Path, content: object, form: str = "") -> Value:
    """The value of a cell with that content and number format."""

    def edit(sheet: Worksheet) -> None:
        if form:
            sheet["A1"].number_format = form

    return sheets(workbook(folder / "ports.xlsx", [(content,)], edit))[0].rows[0].values[0]


# --- values -------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("content", "form", "text"),
    table(
        """
    24     | General          | 24
    5.6    | General          | 5.6
    24.0   | 0.00             | 24.00
    5.63   | 0.0              | 5.63
    7      | 000              | 007
    7      | 0                | 7
    0.375  | # ?/?            | 3/8
    1.125  | # ?/?            | 1-1/8
    2      | # ?/?            | 2
    0.3    | # ?/?            | 3/10
    0.123  | # ?/?            | 0.123
    24     | 0" MBH"          | 24 MBH
    24     | #,##0.0 "kBtu/h" | 24.0 kBtu/h
    0.375  | # ?/?\\"          | 3/8 "
    9.52   | "Ø"0.00          | 9.52
    12     | _(* #,##0.0_);_(* (#,##0.0) | 12.0
    0.5    | 0%               | 50%
    1234.5 | #,##0            | 1234.5
        """
    ),
)
def test_numbers_are_read_as_they_are_shown(content: str, form: str, text: str, tmp_path: Path) -> None:
    """With the zeros, fraction and unit of their format; a format never rounds what is stored."""
    number = float(content) if "." in content else int(content)
    assert one(tmp_path, number, form) == Value(text, Kind.NUMBER)


@pytest.mark.parametrize(
    "form", ['"FC-"000', "0\\-00", "0-00", '00"/"00', ";;;", '"";""', "#,##0,", '"approx. "0', "0\\ \\m\\m"]
)
def test_a_number_that_is_shown_as_something_else_is_known(form: str, tmp_path: Path) -> None:
    """101 is shown as FC-101, 107 as 1-07, 12000 as 12, or nothing at all: what people read is not there."""
    assert one(tmp_path, 101, form) == Value("101", Kind.FORMATTED)


def test_what_is_shown_as_something_else_is_a_problem(tmp_path: Path) -> None:
    """It names the cell, and how to correct it."""
    fault = cell_fault(one(tmp_path, 107, "0-00"))
    assert fault
    assert fault.message == "is the number 107, and its number format shows something else"
    assert fault.hint == "format the column as text, and type what the sheet shows"


def test_a_sum_of_binary_fractions_is_read_as_it_is_shown(tmp_path: Path) -> None:
    """0.30000000000000004 is 0.3."""
    assert one(tmp_path, 0.1 + 0.2, "General") == Value("0.3", Kind.NUMBER)


@pytest.mark.parametrize(
    ("content", "expected"),
    [
        ("  Shop\n front ", Value("Shop front")),
        ("007", Value("007")),
        (True, Value("TRUE", Kind.BOOLEAN)),
        ("#REF!", Value("#REF!", Kind.ERROR)),
        (dt.datetime(2026, 3, 8), Value("2026-03-08", Kind.DATE)),
        (dt.date(2026, 3, 8), Value("2026-03-08", Kind.DATE)),
        (dt.time(3, 8), Value("03:08:00", Kind.DATE)),
        ("8-Mar", Value("8-Mar", Kind.DATE)),
        ("=1+1", Value("=1+1", Kind.FORMULA)),
    ],
)
def test_kinds_of_values(content: object, expected: Value, tmp_path: Path) -> None:
    """Text, numbers stored as text, and what is no plain value."""
    assert one(tmp_path, content) == expected


def test_struck_text_is_known(tmp_path: Path) -> None:
    """A line through a cell means that it does not count."""

    def strike(sheet: Worksheet) -> None:
        sheet["A1"].font = Font(strike=True)

    (sheet,) = sheets(workbook(tmp_path / "ports.xlsx", [("FC-1", "FC-2")], strike))
    assert sheet.rows[0].values == (Value("FC-1", Kind.STRUCK), Value("FC-2"))


def test_formulas_by_their_stored_results(tmp_path: Path) -> None:
    """A number, a text, an empty text, an error; one that was never calculated has no result."""
    formulas = (
        '<sheetData><row r="1"><c r="A1"><f>12+12</f><v>24</v></c>'
        '<c r="B1" t="str"><f>"A"</f><v>A</v></c><c r="C1" t="str"><f>""</f><v></v></c>'
        '<c r="D1" t="e"><f>X9</f><v>#REF!</v></c><c r="E1"><f>1+1</f></c></row></sheetData>'
    )
    (sheet,) = sheets(handmade(tmp_path / "ports.xlsx", {"Ports": formulas}))
    numbers = Value("24", Kind.NUMBER), Value("A"), Value("")
    others = Value("#REF!", Kind.ERROR), Value("=1+1", Kind.FORMULA)
    assert sheet.rows[0].values == (*numbers, *others)


def test_a_date_is_known_by_its_number_format(tmp_path: Path) -> None:
    """Days are counted from 1900 (ECMA-376 part 1, 18.17.4.1, from memory): 46089 is 8 March 2026."""
    rows = f'<sheetData><row r="1"><c r="A1" s="{DATE_STYLE}"><v>46089</v></c></row></sheetData>'
    (sheet,) = sheets(handmade(tmp_path / "ports.xlsx", {"Ports": rows}))
    assert sheet.rows[0].values == (Value("2026-03-08", Kind.DATE),)


def test_a_date_out_of_range_is_an_error_value(tmp_path: Path) -> None:
    """Openpyxl warns of it; no warning escapes."""
    rows = f'<sheetData><row r="1"><c r="A1" s="{DATE_STYLE}"><v>99999999</v></c></row></sheetData>'
    (sheet,) = sheets(handmade(tmp_path / "ports.xlsx", {"Ports": rows}))
    assert sheet.rows[0].values == (Value("#VALUE!", Kind.ERROR),)


def test_what_is_hidden_is_told(tmp_path: Path) -> None:
    """Rows, columns, sheets."""

    def hide(sheet: Worksheet) -> None:
        sheet.row_dimensions[2].hidden = True
        sheet.column_dimensions["B"].hidden = True
        other = sheet.parent
        assert other is not None
        other["Old"].sheet_state = "veryHidden"

    rows = [("a", "b"), ("c",), ("d",), ("e",)]
    first, old = sheets(workbook(tmp_path / "ports.xlsx", rows, hide, Old=[("x",)]))
    assert [row.is_hidden for row in first.rows] == [False, True, False, False]
    assert (first.hidden_columns, first.is_hidden, old.is_hidden) == (frozenset({1}), False, True)


def test_rows_of_no_height_are_hidden(tmp_path: Path) -> None:
    """However a row came not to show."""
    rows = f'<sheetData><row r="1" ht="0" customHeight="1">{cell("A1", "x")}</row></sheetData>'
    (sheet,) = sheets(handmade(tmp_path / "ports.xlsx", {"Ports": rows}))
    assert sheet.rows[0].is_hidden


# --- files that are no workbooks ----------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("content", "message"),
    [
        (b"", "ports.xlsx is not an .xlsx workbook, or is damaged"),
        (b"unit,box,port\n", "ports.xlsx is not an .xlsx workbook, or is damaged"),
        (b"PK\x03\x04 and no more", "ports.xlsx is not an .xlsx workbook, or is damaged"),
        (
            b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + bytes(512),
            "ports.xlsx is locked with a password, or is in the old .xls format",
        ),
    ],
)
def test_what_is_no_workbook(content: bytes, message: str, tmp_path: Path) -> None:
    """Nothing, another file under that name, half a file, an old or locked workbook."""
    assert fault(content, tmp_path) == message


def packed(**parts: bytes) -> bytes:
    """A ZIP archive of parts, their names with / for each double underline."""
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, content in parts.items():
            archive.writestr(name.replace("__", "/"), content)
    return out.getvalue()


def test_another_archive_is_no_workbook(tmp_path: Path) -> None:
    """As an .ods renamed, or any ZIP file."""
    assert fault(packed(mimetype=b"application/vnd.oasis"), tmp_path) == "ports.xlsx is not an .xlsx workbook"


def test_what_unpacks_to_too_much_is_refused_by_its_directory(tmp_path: Path) -> None:
    """Before a byte is unpacked: 80 MB of nothing in 80 kB."""
    content = packed(xl__worksheets__sheet1=bytes(80_000_000))
    assert len(content) < 100_000
    assert fault(content, tmp_path) == "ports.xlsx unpacks to more than 60 MB"


def test_entities_are_refused(tmp_path: Path) -> None:
    """No spreadsheet program writes a document type; a few of its entities could unpack without end."""
    bomb = '<!DOCTYPE a [<!ENTITY b "bb"><!ENTITY c "&b;&b;">]><worksheet/>'
    path = handmade(tmp_path / "bomb.xlsx", {"Ports": ""}, **{"xl/worksheets/sheet1.xml": bomb})
    assert fault(path.read_bytes(), tmp_path) == "ports.xlsx holds XML that no spreadsheet program writes"


def test_a_sheet_merged_as_a_whole_is_refused(tmp_path: Path) -> None:
    """Seventeen thousand million cells would have to be made."""
    rows = '<sheetData/><mergeCells count="1"><mergeCell ref="A1:XFD1048576"/></mergeCells>'
    path = handmade(tmp_path / "merged.xlsx", {"Ports": rows})
    assert fault(path.read_bytes(), tmp_path) == "ports.xlsx merges more than 500,000 cells"


@pytest.mark.parametrize(
    ("place", "said"),
    [
        (f"A{ROWS_AT_MOST + 1}", "ports.xlsx:Ports!A50001: error: the sheet extends to row 50001"),
        ("XFD3", f"ports.xlsx:Ports!XFD3: error: a cell is beyond column {COLUMNS_AT_MOST}"),
    ],
)
def test_a_cell_far_off_is_named(place: str, said: str, tmp_path: Path) -> None:
    """What stands so far off was set there by a slip."""
    line = place.lstrip("XFDA")
    rows = f'<sheetData><row r="{line}">{cell(place, "x")}</row></sheetData>'
    _, (problem,) = read_xlsx(handmade(tmp_path / "ports.xlsx", {"Ports": rows}), "ports.xlsx")
    assert problem.as_text().startswith(said)


@given(data=st.data())
@settings(max_examples=60, deadline=None)
def test_a_damaged_workbook_is_a_problem_or_is_read(
    data: st.DataObject, tmp_path_factory: pytest.TempPathFactory
) -> None:
    """Whatever bytes of a part are changed: sheets or problems come back, nothing is raised."""
    folder = tmp_path_factory.mktemp("job")
    good = workbook(folder / "good.xlsx", [("Unit", "Box", "Port"), ("FC-1", "BX-1", "A")])
    with zipfile.ZipFile(good) as archive:
        parts = {name: archive.read(name) for name in archive.namelist()}
    name = data.draw(st.sampled_from(sorted(parts)))
    part = parts[name]
    at = data.draw(st.integers(0, len(part)))
    end = data.draw(st.integers(at, min(len(part), at + 40)))
    parts[name] = part[:at] + data.draw(st.binary(max_size=8)) + part[end:]
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w") as archive:
        for each, content in parts.items():
            archive.writestr(each, content)
    (folder / "ports.xlsx").write_bytes(out.getvalue())
    found, problems = read_xlsx(folder / "ports.xlsx", "ports.xlsx")
    assert not (found and problems)
    assert all(problem.code == "file-unreadable" for problem in problems)


def test_a_workbook_cut_short_is_a_problem(tmp_path: Path) -> None:
    """At any length."""
    content = workbook(tmp_path / "good.xlsx", [("Unit",)]).read_bytes()
    for length in range(0, len(content) - 30, 397):
        assert "workbook" in fault(content[:length], tmp_path)
