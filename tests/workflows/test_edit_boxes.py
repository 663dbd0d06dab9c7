"""Boxes pasted from a spreadsheet, and changed where their values are."""

from pathlib import Path

import pytest

from tagmaker.job.read import read_job
from tagmaker.workflows.edit import Edited, apply, digests
from tagmaker.workflows.edit_kinds import PasteBoxes, SetBox
from tests.job_files import BOX, HEAD, write_files

BLOCK = "Box\tNo. of ports\tLocation\tPower isolated at\nBX-1\t\tHall\tLP-2, 14\nBX-2\t6\tStore\t\n"
BY_POSITION = "BX-1\t4\tHall\tLP-2, 14\nBX-2\t6\tStore"
PASTED = 'place = "Hall"\npower = "LP-2, 14"\n\n[[box]]\ntag = "BX-2"\nports = 6\nplace = "Store"\n'


def paste(folder: Path, text: str) -> Edited:
    """A block pasted into a job of one box."""
    write_files(folder, {"job.toml": HEAD + BOX})
    return apply(folder, [PasteBoxes(text)], digests(folder))


@pytest.mark.parametrize(
    "text", [BLOCK, BLOCK.replace("\n", "\r\n"), BY_POSITION, "\n" + BY_POSITION + "\n\n"]
)
def test_a_block_changes_boxes_and_adds_others(text: str, tmp_path: Path) -> None:
    """By its headers or by position; blank cells change nothing."""
    edited = paste(tmp_path, text)
    assert (edited.problems, edited.what) == ((), "2 boxes pasted")
    assert (tmp_path / "job.toml").read_text("utf-8") == HEAD + BOX + PASTED


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("Box\tPorts\tColour\nBX-2\t4\tred", "C1: header 'Colour' is not known"),
        ("BX-2\tfour", "B1: ports 'four' is not a number"),
        ("BX-2\t4\n\t6\tHall", "A2: the row has no tag of a box"),
        ("Box\tPorts\nBX-2\t4\tstray", "C2: cell 'stray' has no heading"),
        ("BX 2\t4", "tag 'BX 2' is not a valid tag"),
        ("BX-2\t4\nbx-2\t4", "box bx-2 is listed twice"),
        ("BX-2\t", "key 'box.ports' is missing"),
        ("", "the block holds no box"),
        ("Box\tPorts\tBox\nBX-2\t4\tBX-2", "C1: two headers mean tag"),
        ("BX-2\t4\t" + "x" * 61, "'place' must be one line of text, at most 60 characters"),
    ],
)
def test_a_cell_that_cannot_be_used_is_named_and_nothing_is_written(
    text: str, message: str, tmp_path: Path
) -> None:
    """By its place in the block, or in the reader's words."""
    edited = paste(tmp_path, text)
    assert [problem.message for problem in edited.problems] == [message]
    assert (tmp_path / "job.toml").read_text("utf-8") == HEAD + BOX


def test_a_block_without_tags_is_refused(tmp_path: Path) -> None:
    """Nobody knows which boxes it is about."""
    write_files(tmp_path, {"job.toml": HEAD + BOX})
    edited = apply(tmp_path, [PasteBoxes("4\tHall", ("ports", "place"))], digests(tmp_path))
    assert [problem.message for problem in edited.problems] == ["the block has no column of the boxes' tags"]


SHEET = "Box,Ports,Location\nBX-1,,Hall\nBX-2,6,Store\n"


def test_a_value_is_changed_where_it_is(tmp_path: Path) -> None:
    """In the cell of a sheet of boxes that is CSV; in job.toml what that gives, or what no sheet gives."""
    toml = f'{HEAD}schedule = ["boxes.csv"]\n{BOX}'
    write_files(tmp_path, {"job.toml": toml, "boxes.csv": SHEET})
    values = {"place": "Roof", "ports": "6", "power": "LP-1"}
    assert apply(tmp_path, [SetBox("BX-1", values)], digests(tmp_path)).problems == ()
    assert (tmp_path / "boxes.csv").read_text() == SHEET.replace("Hall", "Roof")
    assert (tmp_path / "job.toml").read_text() == toml.replace("ports = 4", 'ports = 6\npower = "LP-1"')
    assert apply(tmp_path, [SetBox("BX-2", {"place": "", "ports": "8"})], digests(tmp_path)).problems == ()
    assert (tmp_path / "boxes.csv").read_text() == SHEET.replace("Hall", "Roof").replace("6,Store", "8,")
    found, problems = read_job(tmp_path)
    assert found
    assert [(box.tag, box.ports, box.place) for box in found.boxes] == [("BX-1", 6, "Roof"), ("BX-2", 8, "")]
    assert [problem.code for problem in problems] == []


def test_a_value_without_a_column_is_refused(tmp_path: Path) -> None:
    """A box of a sheet keeps its order in the job: no [[box]] is added for it."""
    toml = f'{HEAD}schedule = ["boxes.csv"]\n{BOX}'
    write_files(tmp_path, {"job.toml": toml, "boxes.csv": SHEET})
    edited = apply(tmp_path, [SetBox("BX-2", {"level": "2"})], digests(tmp_path))
    assert [problem.message for problem in edited.problems] == ["boxes.csv has no column for level of BX-2"]
