"""What a whole job or a sheet's name gives to rows and boxes that have none of their own."""

import tomllib
from pathlib import Path

import pytest

from tagmaker.cli.read import read_lines
from tagmaker.job.read import read_job
from tagmaker.job.schedule.read import read_schedule
from tagmaker.workflows.read import read
from tests.job_files import HEAD, write_files
from tests.workbooks import workbook

CSV = "unit;box;port;capacity (MBH)\n"
TWO = [("Unit", "Box", "Port", "Cap. (MBH)"), ("FC-1", "BX-1", "A", 12)]


@pytest.mark.parametrize(
    ("name", "level"),
    [
        ("Level 2", "2"), ("LEVEL B1", "B1"), ("Floor 3", "3"), ("Level G", "G"), ("Storey Roof", "Roof"),
        ("Level notes", ""), ("Ports", ""), ("Level", ""), ("2", ""), ("Level 2 ports", ""),
    ],
)  # fmt: skip
def test_the_level_of_a_sheets_name(name: str, level: str, tmp_path: Path) -> None:
    """A word of levels and a level, nothing else; `read` shows where it is from."""
    path = workbook(tmp_path / "ports.xlsx", TWO, lambda sheet: setattr(sheet, "title", name))
    schedule, _ = read_schedule(path, "ports.xlsx")
    shown = [(each.key, each.text, each.source) for each in schedule.sheets[0].inferred]
    source = "the sheet's name, for BX-1 unless the job gives one"
    assert shown == ([("level", level, source)] if level else [])
    assert schedule.levels() == ({"BX-1": level} if level else {})


def test_a_box_on_sheets_of_two_levels_gets_none(tmp_path: Path) -> None:
    """A level is never chosen; one that the job gives counts."""
    other = [TWO[0], ("FC-2", "BX-1", "B", 12), ("FC-3", "BX-2", "A", 12), ("FC-4", "BX-3", "A", 12)]
    workbook(
        tmp_path / "ports.xlsx", TWO, lambda sheet: setattr(sheet, "title", "Level 1"), **{"Level 2": other}
    )
    boxes = "".join(f'[[box]]\ntag = "BX-{n}"\nports = 4\n' for n in (1, 2, 3))
    write_files(tmp_path, {"job.toml": f'{HEAD}schedule = "ports.xlsx"\n{boxes}level = "4"\n'})
    job, problems = read_job(tmp_path)
    assert job is not None
    assert ([box.level for box in job.boxes], problems) == (["", "2", "4"], ())


def test_a_jobs_insulation_and_cable_hold_where_a_row_gives_none(tmp_path: Path) -> None:
    """Of a schedule and of [[unit]]; a cell that cannot be read takes nothing."""
    head = f'{HEAD}insulation = "3/4 in"\ncable = "0.26 in"\nschedule = "ports.csv"\n'
    unit = '[[unit]]\nunit = "FC-9"\nbox = "BX-1"\nport = "D"\ncapacity = "9 kBtu/h"\ncable = "8 mm"\n'
    rows = "FC-1;BX-1;A;12;1/2 in\nFC-2;BX-1;B;12;–\nFC-3;BX-1;C;12;thin\n"
    job_text = f'{head}[[box]]\ntag = "BX-1"\nports = 4\n{unit}'
    write_files(tmp_path, {"job.toml": job_text, "ports.csv": f"{CSV.rstrip()};insulation\n{rows}"})
    job, problems = read_job(tmp_path)
    assert job is not None
    assert [problem.code for problem in problems] == ["length-wrong"]
    texts = {
        row.tag: [each.text if each else "" for each in (row.insulation, row.cable)] for row in job.units
    }
    assert texts == {
        "FC-9": ["3/4 in", "8 mm"],
        "FC-1": ["1/2 in", "0.26 in"],
        "FC-2": ["3/4 in", "0.26 in"],
        "FC-3": ["", "0.26 in"],
    }
    given = tomllib.loads(job_text)["job"]
    assert (given["insulation"], given["cable"]) == ("3/4 in", "0.26 in")


def test_read_shows_the_jobs_values_and_the_rows_that_take_them(tmp_path: Path) -> None:
    """With their number, and in every row."""
    write_files(tmp_path, {"job.toml": f'{HEAD}cable = "0.26 in"\n', "ports.csv": f"{CSV}FC-1;BX-1;G/H;12\n"})
    assert read_lines(read(tmp_path / "ports.csv", tmp_path))[-8:] == [
        "    line 1  the header  unit",
        "  inferred:",
        "    line 2  port G+H       from 'G/H'",
        "    sheet   cable 0.26 in  from [job], for rows without one: 1",
        "  rows as understood:",
        "            unit  box   port  capacity  cable",
        "    line 2  FC-1  BX-1  G+H   12 MBH    0.26 in",
        "1 unit understood",
    ]
