"""Random moves in random schedules: the moved units go where they should, and no other unit moves."""

from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from openpyxl import load_workbook

from tagmaker.job.read import read_job
from tagmaker.workflows.edit import Edited, apply, digests
from tagmaker.workflows.edit_kinds import Move, MoveUnits
from tests.job_files import HEAD, write_files
from tests.workbooks import csv_bytes, workbook

HEADS = ["Unit", "Box", "Port", "Cap. (MBH)", "Room"]
BOXES = ("BX-1", "BX-2", "BX-3")
TABLES = "".join(f'\n[[box]]\ntag = "{tag}"\nports = 4\n' for tag in BOXES)
Units = dict[str, tuple[str, str]]


@st.composite
def schedules(draw: st.DrawFn) -> tuple[list[list[str]], list[Move]]:
    """Rows box by box, each box in every row or named once, spare rows and breaks between; and some moves."""
    named_once = draw(st.booleans())
    rows: list[list[str]] = []
    number = 0
    for box in draw(st.permutations(BOXES)):
        shown = box
        for port in "ABCD"[: draw(st.integers(1, 4))]:
            if draw(st.integers(0, 5)):
                number += 1
                rows.append([f"FC-{number}", shown, port, "12", draw(st.sampled_from(["", "Shop, north"]))])
            else:
                rows.append(["Spare", shown, port, "", ""])
            shown = "" if named_once else box
        if draw(st.booleans()):
            rows.append(["", "", "", "", ""])
    units = [row[0] for row in rows if row[0].startswith("FC")] or [""]
    places = st.tuples(st.sampled_from(units), st.sampled_from(BOXES), st.sampled_from(["A", "B", "C+D"]))
    chosen = draw(st.lists(places, max_size=4, unique_by=lambda place: place[0]))
    return rows, [Move(*place) for place in chosen if place[0]]


def units(folder: Path) -> Units:
    """Box and port of each unit; what is wrong with them as ports is of no interest here."""
    found, problems = read_job(folder)
    assert [problem.code for problem in problems if problem.where.file != "job.toml"] == []
    assert found
    return {unit.tag: (unit.box, unit.port) for unit in found.units}


def wanted(before: Units, moves: list[Move]) -> Units:
    """The units as they must be after the moves."""
    return before | {move.unit: (move.box, move.port) for move in moves}


def moved(folder: Path, moves: list[Move]) -> Edited:
    """The moves, by somebody who was shown the files as they are."""
    return apply(folder, [MoveUnits(tuple(moves))], digests(folder))


@given(drawn=schedules(), sign=st.sampled_from(",;\t"))
@settings(max_examples=80, deadline=None)
def test_moves_in_a_csv_file(
    drawn: tuple[list[list[str]], list[Move]], sign: str, tmp_path_factory: pytest.TempPathFactory
) -> None:
    """Lines of units that neither move nor have a blank box to be written out stay byte for byte."""
    rows, moves = drawn
    content = csv_bytes([HEADS, *rows], sign, "utf-8")
    folder = write_files(
        tmp_path_factory.mktemp("job"),
        {"job.toml": f'{HEAD}schedule = "ports.csv"\n{TABLES}', "ports.csv": content},
    )
    before = units(folder)
    edited = moved(folder, moves)
    assert edited.problems == ()
    assert units(folder) == wanted(before, moves)
    lines = content.split(b"\r\n"), (folder / "ports.csv").read_bytes().split(b"\r\n")
    may_change = {"Spare", *(move.unit for move in moves)}
    for row, old, new in zip(["", *rows, ""], *lines, strict=True):
        assert old == new or (row and (row[0] in may_change or not row[1]))


@given(drawn=schedules(), merges=st.booleans())
@settings(max_examples=40, deadline=None)
def test_the_cells_listed_for_a_workbook_do_it(
    *, drawn: tuple[list[list[str]], list[Move]], merges: bool, tmp_path_factory: pytest.TempPathFactory
) -> None:
    """A person who changes exactly the cells of the list, merged ones divided first, has the moves."""
    rows, moves = drawn
    folder = write_files(
        tmp_path_factory.mktemp("job"), {"job.toml": f'{HEAD}schedule = "ports.xlsx"\n{TABLES}'}
    )
    path = workbook(folder / "ports.xlsx", [HEADS, *rows], merged(rows) if merges else None)
    before = units(folder)
    edited = moved(folder, moves)
    if not edited.cells:
        assert edited.problems == ()
        assert wanted(before, moves) == before
        return
    book = load_workbook(path)
    for cell in edited.cells:
        sheet = book[cell.sheet]
        for area in [str(each) for each in sheet.merged_cells.ranges if cell.cell in each]:
            assert area in cell.remark
            sheet.unmerge_cells(area)
        assert str(sheet[cell.cell].value or "") == cell.before
        sheet[cell.cell] = cell.after
    book.save(path)
    assert units(folder) == wanted(before, moves)


def merged(rows: list[list[str]]) -> Any:
    """An edit that merges each box with the blank cells below it."""

    def edit(sheet: Any) -> None:
        first = 0
        for line, row in enumerate([*rows, ["", "x", ""]], start=2):
            if row[1] or not any(row):
                if first and line - 1 > first:
                    sheet.merge_cells(f"B{first}:B{line - 1}")
                first = line if row[1] else 0

    return edit
