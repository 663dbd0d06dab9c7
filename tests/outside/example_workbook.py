"""The workbook of `example_jobs/weir-school`, written anew by running this module."""

import datetime as dt

from openpyxl import Workbook
from openpyxl.worksheet.worksheet import Worksheet

from tests.paths import ROOT

WORKBOOK = ROOT / "example_jobs" / "weir-school" / "ports.xlsx"
Row = tuple[object, ...]

BLOCK_A: tuple[Row, ...] = (
    ("FC-101", "Cassette", "Classroom 1", 24, "WB-1", "A", "3/8", "5/8", 34, None),
    ("FC-102", "Cassette", "Classroom 2", 24, None, "B", "3/8", "5/8", 41, None),
    ("FC-103", "Cassette", "Group room", 9, None, "C", "1/4", "1/2", 22, "beside FC-104"),
    ("FC-104", "Cassette", "Quiet room", 9, None, "C", "1/4", "1/2", 27, None),
    ("AH-105", "Ducted", "Assembly hall", 96, None, "E+F", "3/8", "7/8", 58, "two ports"),
    ("Spare", "–", "–", "–", None, "G", "–", "–", "–", None),
    ("FC-111", "Cassette", "Staff room", 15, "WB-2", "A", "1/4", "1/2", 19, None),
    ("FC-112", "Cassette", "Office", 12, None, "B", "1/4", "1/2", 25, None),
    ("AH-113", "Ducted", "Library", 60, None, "C+D", "3/8", "3/4", 46, "two ports"),
)
BLOCK_B: tuple[Row, ...] = (
    ("FC-201", "WB-3", "A", "18 MBH", "Workshop", "1/4 in", "1/2 in", "31 ft"),
    ("FC-202", None, "B", "18 MBH", "Art room", "1/4 in", "1/2 in", "37 ft"),
    ("FC-203", None, "C", "9 MBH", "Kiln room", "1/4 in", "1/2 in", "12 m"),
)
GROUPS = {"A5:C5": "Indoor unit", "E5:F5": "Branch box", "G5:I5": "Piping"}
WORDS = ("Tag", "Type", "Room", "Cap.", "Tag", "Port No.", "Liquid", "Gas", "Length", "Remarks")
UNITS = (None, None, None, "(MBH)", None, None, "in", "in", "ft", None)


def build() -> Workbook:
    """Two blocks on two sheets, and a sheet of drawings that is no schedule."""
    book = Workbook()
    first = book.active
    assert isinstance(first, Worksheet)
    first.title = "Block A"
    _block_a(first)
    _block_b(book.create_sheet("Block B"))
    drawings = book.create_sheet("Drawings")
    drawings.append(("WRS-3/M-01", "Block A, ceiling plan"))
    return book


def _block_a(sheet: Worksheet) -> None:
    sheet["A1"] = "Weir Road School – port schedule"
    sheet.merge_cells("A1:J1")
    sheet.append(("Revision:", 1, None, "Issued:", dt.date(2026, 7, 20)))
    for cells, text in GROUPS.items():
        sheet[cells.partition(":")[0]] = text
        sheet.merge_cells(cells)
    for row in (WORDS, UNITS, *BLOCK_A):
        sheet.append(row)
    sheet.merge_cells("E8:E13")
    sheet.merge_cells("E14:E16")
    sheet.append(("Total", None, None, sum(int(str(row[3])) for row in BLOCK_A if row[3] != "–")))
    sheet["A19"] = "Notes:"
    sheet["A20"] = "All capacities are nominal cooling capacities."


def _block_b(sheet: Worksheet) -> None:
    words = ("Indoor unit", "Branch box", "Port", "Capacity", "Room", "Liquid line", "Gas line", "Run length")
    for row in (words, *BLOCK_B):
        sheet.append(row)


if __name__ == "__main__":
    build().save(WORKBOOK)
