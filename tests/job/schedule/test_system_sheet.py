"""A sheet whose rows are systems: the same record as [[system]], by the same rules, problems at cells."""

from pathlib import Path

import pytest
from openpyxl.worksheet.worksheet import Worksheet

from tagmaker.catalog.columns import column_words, plain_word
from tagmaker.cli.read import read_lines
from tagmaker.files.toml import Table, toml_of
from tagmaker.job.model import Job
from tagmaker.job.read import read_job, read_job_sources
from tagmaker.job.systems import read_systems
from tagmaker.workflows.read import read
from tagmaker.workflows.sheet_view import sheet_view
from tests.job_files import write_files
from tests.records import replace
from tests.workbooks import Edit, Rows, first_lines, workbook

HEAD = '[job]\nname = "Bakery"\nfamily = "four-port-boards"\nschedule = "ports.xlsx"\n'
BOX = '[[box]]\ntag = "BX-1"\nports = 4\nsystem = "HR-1"\n'
UNITS = (("Unit", "Box", "Port", "Cap. (MBH)"), ("FC-1", "BX-1", "A", 24))
HEADER = (
    "System", "Outdoor unit", "Capacity (kBtu/h)", "Refrigerant", "Ratio (%)", "Units most", "Address range",
    "Longest run (ft)", "Factory charge (lb)", "Charge per box (lb)", "Charge per unit (lb)",
    "Charge 3/8 in (lb/ft)", "1/4 in (lb/ft)", "Test pressure", "Hold", "Steps", "Vacuum (micron)",
    "Heater hours", "Outdoor above (ft)", "Institutional", "Source",
)  # fmt: skip
ONE = (
    "HR-1", "CU-1", 144, "R-32", "50 - 130.5 %", 40, "1-64",
    540, 25.9, 1.1, 0,
    0.039, "0.015", "550 psi", "24 h", "150 psi for 3 min; 320 psi for 3 min", 300,
    12, 160, "yes", "manual in hand, p. 47",
)  # fmt: skip
SAME = """[[system]]
tag = "HR-1"
outdoor = "CU-1"
capacity = "144 kBtu/h"
refrigerant = "R-32"
ratio = [50, 130.5]
units_most = 40
addresses = [1, 64]
longest_run = "540 ft"
heater_hours = 12
institutional = true
source = "manual in hand, p. 47"
heights = { outdoor_above = "160 ft" }
[system.charge]
factory = "25.9 lb"
per_box = "1.1 lb"
per_unit = "0 lb"
"3/8 in" = "0.039 lb/ft"
"1/4 in" = "0.015 lb/ft"
[system.test]
pressure = "550 psi"
hold = "24 h"
steps = ["150 psi for 3 min", "320 psi for 3 min"]
vacuum = "300 micron"
"""


def job_of(folder: Path, rows: Rows, edit: Edit | None = None) -> tuple[Job | None, list[str]]:
    """A job of a workbook with systems on its first sheet and units on another."""
    workbook(folder / "ports.xlsx", rows, edit, Units=UNITS)
    write_files(folder, {"job.toml": f"{HEAD}{BOX}"})
    job, problems = read_job(folder)
    return job, [line.removeprefix("ports.xlsx:") for line in first_lines(problems)]


def test_a_sheet_of_systems_gives_what_job_toml_would(tmp_path: Path) -> None:
    """Every kind of key, exact; only the places differ."""
    job, problems = job_of(tmp_path, [("List of systems",), HEADER, ONE])
    assert problems == []
    assert job
    (row,) = job.systems
    (same,) = read_systems(Table.whole(toml_of(SAME), []))
    assert replace(row, where=same.where) == same
    assert str(row.where) == "ports.xlsx:Ports!A3"


@pytest.mark.parametrize(
    ("column", "text", "problem"),
    [
        (2, "144 apples", "Ports!C2: error: capacity '144 apples' has a unit that is not known, 'apples'"),
        (4, "50", "Ports!E2: error: 'ratio' must be a list of 2 numbers"),
        (5, "many", "Ports!F2: error: 'units_most' must be a whole number, 1 or more"),
        (8, "about 26", "Ports!I2: error: mass 'about 26' is not a number with a unit"),
        (11, "0.039 lb", "Ports!L2: error: charge per length '0.039 lb' has a unit that is not known, 'lb'"),
        (13, "550", "Ports!N2: error: pressure '550' has no unit"),
        (15, "150 psi", "Ports!P2: error: step '150 psi' does not give pressure and time"),
        (19, "perhaps", "Ports!T2: error: 'institutional' must be true or false"),
    ],
)
def test_what_is_wrong_is_reported_at_its_cell(column: int, text: str, problem: str, tmp_path: Path) -> None:
    """As of every other sheet."""
    row = [*ONE[:column], text, *ONE[column + 1 :]]
    _, problems = job_of(tmp_path, [HEADER, row])
    assert [line[: len(problem)] for line in problems] == [problem]


def test_a_system_given_twice_names_both_places(tmp_path: Path) -> None:
    """In job.toml and on the sheet, or twice on the sheet; case does not matter."""
    workbook(tmp_path / "ports.xlsx", [HEADER, ONE, ("hr-1", *ONE[1:])], None, Units=UNITS)
    write_files(tmp_path, {"job.toml": f'{HEAD}[[system]]\ntag = "HR-1"\n{BOX}'})
    _, problems = read_job(tmp_path)
    assert [(str(each.where), each.code, each.hint) for each in problems] == [
        (place, "system-twice", "see job.toml:5; give each system a different tag")
        for place in ("ports.xlsx:Ports!A2", "ports.xlsx:Ports!A3")
    ]


def hidden(sheet: Worksheet) -> None:
    """Hide the row of the system."""
    sheet.row_dimensions[2].hidden = True


def test_rows_that_could_mislead_are_problems(tmp_path: Path) -> None:
    """Hidden, without a tag, beyond the header, in an unknown column; totals and blank rows are skipped."""
    job, problems = job_of(tmp_path, [HEADER, ONE], edit=hidden)
    assert [line.partition(":")[0] for line in problems] == ["Ports!2"]
    _, problems = job_of(tmp_path, [HEADER, ("", *ONE[1:])])
    assert problems == ["Ports!A2: error: the row has no system [cell-missing]"]
    _, problems = job_of(tmp_path, [HEADER, (*ONE, "more")])
    assert problems == ["Ports!V2: error: cell 'more' has no heading above it [row-too-long]"]
    _, problems = job_of(tmp_path, [(*HEADER, "Colour"), (*ONE, "red")])
    assert problems == ["Ports!V1: error: unknown column 'Colour' [column-unknown]"]
    job, problems = job_of(tmp_path, [HEADER, ONE, (), ("Total", "", 144)])
    assert job
    assert problems == []
    assert [row.tag for row in job.systems] == ["HR-1"]


@pytest.mark.parametrize(
    "header",
    [
        ("System", "Capacity"),
        ("System", "Capacity", "Refrigerant"),
        ("System", "Box", "Outdoor unit", "Ports"),
        ("Unit", "System", "Capacity", "Longest run"),
        ("Outdoor unit", "Capacity", "Ratio"),
    ],
)
def test_other_lists_are_none_of_systems(header: tuple[str, ...], tmp_path: Path) -> None:
    """A sheet with too little of a system, or with a column of units or boxes."""
    job, _ = job_of(tmp_path, [header, ("HR-1", "BX-9", "144 kBtu/h", "1")])
    assert job is None or job.systems == ()


def test_the_sheet_is_shown_as_understood(tmp_path: Path) -> None:
    """By `read`, and cell by cell on the desk."""
    path = workbook(tmp_path / "ports.xlsx", [HEADER, ONE])
    understood = read(path, None)
    assert understood.problems == ()
    assert understood.outline.sheets[0].systems[0]["charge.3/8 in"] == "0.039 lb/ft"
    lines = read_lines(understood)
    assert lines[-1] == "1 system understood"
    assert any("systems as understood" in line for line in lines)


def test_the_desk_shows_each_cell_as_understood(tmp_path: Path) -> None:
    """As the schedule's page has it: what kind a row is, and what each cell means."""
    job_of(tmp_path, [HEADER, ONE])
    (source,) = read_job_sources(tmp_path).sources
    shown = sheet_view(source, 0, ())
    assert [row.kind for row in shown.rows] == ["skipped", "system"]
    assert shown.rows[1].cells[11].means == "0.039 lb/ft"


def test_each_key_has_its_own_word() -> None:
    """A key with its points and underscores as blanks; no word means two keys."""
    words = column_words().system_key_of
    for key in set(words.values()):
        assert words[plain_word(key)] == key
    assert [word for word in words if word != plain_word(word)] == []
