"""Schedules of our own invention, as messy as those that come by mail, for the tests of asking about them."""

import datetime as dt
from pathlib import Path

from openpyxl.worksheet.worksheet import Worksheet

from tests.workbooks import Rows, workbook

__all__ = ["FIVE_QUESTIONS", "LETTERS", "everything_wrong", "five_questions", "units"]

LETTERS = "ABCDEFGHI"
FIVE_QUESTIONS = ("Location", "Load", "Colour")
"""The headers that ask; the hidden sheet and the hidden row are the other two questions."""
HEAD = (
    "Indoor unit",
    "Branch box",
    "Port",
    "Load",
    "Location",
    "Colour",
    "Liquid (in)",
    "Gas (in)",
    "Remarks",
)


def units(boxes: int) -> Rows:
    """Nine units on each box."""
    return [
        (f"FC-{box}{letter}", f"BX-{box}", letter, 12, f"Room {box}.{at}", "white", "1/4", "1/2", "")
        for box in range(1, boxes + 1)
        for at, letter in enumerate(LETTERS, 1)
    ]


def five_questions(path: Path, boxes: int = 10) -> Path:
    """A workbook of 90 units below a title block; three headers, a hidden row and a hidden sheet ask."""
    rows = [("Port schedule, Mill Lane Depot",), ("Revision", "3"), (), HEAD, *units(boxes)]
    rows += [
        ("FC-OLD", "BX-1", "J", 9, "Store", "white", "1/4", "1/2", "not built"),
        ("Total", "", "", 12 * 9 * boxes),
    ]

    def edit(sheet: Worksheet) -> None:
        sheet.merge_cells("A1:I1")
        sheet.row_dimensions[len(rows) - 1].hidden = True
        assert sheet.parent
        sheet.parent["Old"].sheet_state = "hidden"

    return workbook(path, rows, edit, Old=[HEAD, *units(1)], Legend=[("white", "RAL 9010")])


def everything_wrong(path: Path) -> Path:
    """A workbook with what cannot be answered by a choice too: dates for fractions, commas, merged cells."""
    rows: Rows = [
        ("Units and boxes, Quarry Side School", "", "", "", "", "", ""),
        ("drawn by", "the office", "", "", "", "", ""),
        ("", "", "", "", "", "", ""),
        ("Indoor unit", "Branch box", "Port", "Load", "Liquid (in)", "Gas (in)", "Zone"),
        ("FC-1", "BX-1", "A", "12,5", "1/4", "1/2", "North"),
        ("FC-2", "", "B", "1,234", dt.date(2026, 3, 8), "5/8", "North"),
        ("FC-3", "", "C - D", "9", "1/4", "1/2", "North"),
        ("FC-4", "", "E+F", "60", "3/8", "3/4", "South"),
        ("FC-5", "BX-2", "A", "9", "1/4", "1/2", "South"),
        ("FC-6", "BX-2", "B", "9", "1/4", "#REF!", "South"),
        ("Total", "", "", "99,5", "", "", ""),
    ]

    def edit(sheet: Worksheet) -> None:
        sheet.merge_cells("A1:G1")
        sheet.merge_cells("B5:B8")
        sheet.row_dimensions[9].hidden = True

    return workbook(path, rows, edit)
