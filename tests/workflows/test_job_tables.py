"""Boxes, units and facts as tables: what is where, and which change a typed text asks for."""

from pathlib import Path

import pytest

from tagmaker.files.toml import TomlFile, read_toml
from tagmaker.job.read import read_job_sources
from tagmaker.workflows.edit_kinds import AddBox, AddUnit, PasteBoxes, SetBox, SetJob, SetUnit
from tagmaker.workflows.job_tables import (
    BOX_KEYS,
    TableLine,
    box_edits,
    box_lines,
    fact_cells,
    fact_edits,
    unit_edits,
    unit_lines,
)
from tagmaker.workflows.paste_preview import paste_preview
from tests.job_files import BOX, HEAD, UNIT, write_files
from tests.workbooks import workbook

BOXES = [("Box", "No. of ports", "Location", "Level"), ("BX-1", 4, "Store", "2"), ("BX-9", 6, "Attic", "")]


def file_of(folder: Path, text: str) -> tuple[TomlFile, str]:
    """A job.toml of this text, read."""
    write_files(folder, {"job.toml": text})
    file = read_toml(folder / "job.toml", "job.toml")
    assert isinstance(file, TomlFile)
    return file, text


def lines(folder: Path, text: str, *, csv: bool = False) -> tuple[TableLine, ...]:
    """The boxes of a job with a sheet of boxes."""
    name = "boxes.csv" if csv else "boxes.xlsx"
    file, text = file_of(folder, text.replace("{}", name))
    if csv:
        content = "\n".join(",".join(map(str, row)) for row in BOXES)
        write_files(folder, {name: content})
    else:
        workbook(folder / name, BOXES)
    return box_lines(file, text, read_job_sources(folder).sources)


JOB = HEAD + 'schedule = "{}"\n' + BOX + 'power = "Panel A"  # confirm: from the drawing\n'


def test_a_box_of_both_has_each_value_with_its_place(tmp_path: Path) -> None:
    """job.toml's first; what the workbook gives is fixed here, and says where it is."""
    first, second = lines(tmp_path, JOB)
    assert (first.tag, first.is_listed, second.tag, second.is_listed) == ("BX-1", False, "BX-9", True)
    cells = {key: (cell.text, cell.place, cell.is_fixed) for key, cell in first.cells.items()}
    assert cells == {
        "tag": ("BX-1", "", False),
        "ports": ("4", "", False),
        "place": ("Store", "boxes.xlsx:Ports!C2", True),
        "power": ("Panel A", "", False),
        "system": ("", "", False),
        "level": ("2", "boxes.xlsx:Ports!D2", True),
        "fed_from": ("", "", False),
    }
    assert first.cells["power"].confirm == "from the drawing"
    assert second.cells["tag"].is_fixed
    assert second.cells["ports"].text == "6"


def test_a_value_of_a_csv_file_can_be_typed_over(tmp_path: Path) -> None:
    """Its cell is changed; a box's tag there is not, for units name it."""
    _, second = lines(tmp_path, JOB, csv=True)
    assert (second.cells["place"].is_fixed, second.cells["tag"].is_fixed) == (False, True)


def test_what_is_typed_becomes_changes(tmp_path: Path) -> None:
    """Of what differs alone; a value that nobody gives for a listed box is in a [[box]] of its own."""
    found = lines(tmp_path, JOB)
    typed = {
        "tag": "BX-1",
        "ports": " 6 ",
        "place": "Shop",
        "power": "Panel A",
        "level": "9",
        "system": "HR-1",
    }
    assert list(box_edits(found, "BX-1", typed)) == [SetBox("BX-1", {"ports": "6", "system": "HR-1"})]
    assert list(box_edits(found, "BX-9", {"power": "Panel B", "level": "2"})) == [
        AddBox({"tag": "BX-9", "power": "Panel B", "level": "2"})
    ]
    csv = lines(tmp_path / "csv", JOB, csv=True)
    assert list(box_edits(csv, "BX-9", {"place": "Roof", "power": "P"})) == [
        AddBox({"tag": "BX-9", "power": "P"}),
        SetBox("BX-9", {"place": "Roof"}),
    ]


@pytest.mark.parametrize("tag", ["BX-2", "bx-1"])
def test_a_box_that_is_not_there_is_not_changed(tag: str, tmp_path: Path) -> None:
    """Nor added under a tag that the page did not show as new."""
    assert list(box_edits(lines(tmp_path, JOB), tag, {"ports": "6"})) == []


def test_a_new_box_is_added_with_what_is_typed(tmp_path: Path) -> None:
    """Nothing where nothing is; unknown keys are left out."""
    found = lines(tmp_path, JOB)
    new = {"tag": "BX-2", "ports": "6", "place": "", "mains": "x"}
    assert list(box_edits(found, "", new)) == [AddBox({"tag": "BX-2", "ports": "6"})]
    assert list(box_edits(found, "", dict.fromkeys(BOX_KEYS, " "))) == []


def test_units_of_job_toml_are_changed_by_their_place(tmp_path: Path) -> None:
    """So that two of one tag are two; a new one has what is typed."""
    file, _ = file_of(tmp_path, HEAD + BOX + UNIT + UNIT)
    found = unit_lines(file)
    assert [line.where.line for line in found] == [7, 12]
    assert list(unit_edits(found, 1, {"port": "B", "capacity": "24 kBtu/h"})) == [
        SetUnit("FC-1", {"port": "B"}, found[1].where)
    ]
    assert list(unit_edits(found, 1, {"port": "A"})) == []
    assert list(unit_edits(found, 7, {"port": "B"})) == []
    assert list(unit_edits(found, None, {"unit": "FC-2", "room": "", "x": "y"})) == [
        AddUnit({"unit": "FC-2"})
    ]


def test_facts_are_texts_and_only_what_differs_is_changed(tmp_path: Path) -> None:
    """A date as it is typed; what no form can hold is shown as nothing."""
    file, text = file_of(tmp_path, HEAD + "date = 2026-05-12\nrevision = 2\nsite = [1]\n")
    cells = fact_cells(file, text)
    assert (cells["date"].text, cells["revision"].text, cells["site"].text) == ("2026-05-12", "2", "")
    assert list(fact_edits(cells, {key: cell.text for key, cell in cells.items()})) == []
    assert list(fact_edits(cells, {"revision": "3", "sheets": "x"})) == [SetJob({"revision": "3"})]


# --- a pasted block before it is saved


def test_a_block_is_looked_at_and_nothing_is_written(tmp_path: Path) -> None:
    """Which columns it has, which boxes are new."""
    file_of(tmp_path, HEAD + BOX)
    before = (tmp_path / "job.toml").read_bytes()
    preview = paste_preview(tmp_path, PasteBoxes("Box\tLocation\tPorts\nbx-1\tStore\t\nBX-7\tRoof\t6\n"))
    assert preview.keys == ("tag", "place", "ports")
    assert [(each.number, each.cells, each.is_known) for each in preview.lines] == [
        (2, ("bx-1", "Store", ""), True),
        (3, ("BX-7", "Roof", "6"), False),
    ]
    assert (preview.count, preview.problems) == (2, ())
    assert (tmp_path / "job.toml").read_bytes() == before


def test_each_problem_of_a_block_is_at_its_cell(tmp_path: Path) -> None:
    """A cell without a heading, a number that is none, a line without a tag, a wrong tag."""
    file_of(tmp_path, HEAD + BOX)
    preview = paste_preview(
        tmp_path, PasteBoxes("BX-1\tsix\tStore\n\t4\nBX-7\t4\tx\ty\tz\t\t\textra", BOX_KEYS[:3])
    )
    where = [[bool(cell) for cell in line.problems] for line in preview.lines]
    assert where == [
        [False, True, False],
        [True, False, False],
        [False, False, False, True, True, False, False, True],
    ]
    wrong = paste_preview(tmp_path, PasteBoxes("B/7\t4"))
    assert [each.code for each in wrong.problems] == ["tag-wrong"]


def test_a_block_of_nothing_or_for_a_broken_job_is_a_problem(tmp_path: Path) -> None:
    """With the reason."""
    file_of(tmp_path, HEAD + BOX)
    assert paste_preview(tmp_path, PasteBoxes(" \n")).problems
    write_files(tmp_path, {"job.toml": "[job"})
    assert [each.code for each in paste_preview(tmp_path, PasteBoxes("a")).problems] == ["toml-syntax"]
