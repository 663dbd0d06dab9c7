"""`read` as a person meets it: tables, JSON, and a job that cannot be read."""

import json
from pathlib import Path

from tagmaker.cli.read import read_lines
from tagmaker.workflows.read import read
from tests.cli.commands import (
    run,
)
from tests.workbooks import workbook

ROWS = [
    ("Marsh Row Library",),
    ("Indoor unit", "Branch box", "Port No.", "Cap.", "Colour"),
    ("", "", "", "(MBH)", ""),
    ("FC-1", "BX-1", "A", 24, "check"),
    ("FC-2", "", "B", 12, ""),
    ("Total", "", "", 36, ""),
]
JOB = '[job]\nname = "x"\nfamily = "four-port-boards"\n[columns]\n"Colour" = ""\n'


def job_and_schedule(folder: Path) -> tuple[Path, Path]:
    """A job that names the column Colour, and the workbook."""
    (folder / "job").mkdir()
    (folder / "job" / "job.toml").write_text(JOB, encoding="utf-8")
    return folder / "job", workbook(folder / "ports.xlsx", ROWS)


def test_every_column_row_and_reason_is_told(tmp_path: Path) -> None:
    """Columns with keys and units, rows skipped, cells filled in, rows as understood; all with places."""
    job, schedule = job_and_schedule(tmp_path)
    assert read_lines(read(schedule, job)) == [
        "ports.xlsx:Ports",
        "  columns:",
        "    A2  Indoor unit  unit",
        "    B2  Branch box   box",
        "    C2  Port No.     port",
        "    D2  Cap.         capacity (bare numbers: MBH)",
        "    E2  Colour       left out (by 'Colour' in [columns])",
        "  rows skipped:",
        "    A1  above the header  Marsh Row Library",
        "    A2  the header        Indoor unit",
        "    D3  the units         (MBH)",
        "    A6  a total           Total",
        "  filled in:",
        "    B5  box BX-1  from B4",
        "  rows as understood:",
        "        unit  box   port  capacity",
        "    A4  FC-1  BX-1  A     24 MBH",
        "    A5  FC-2  BX-1  B     12 MBH",
        "2 units understood",
    ]


def test_lines_of_csv_have_no_cells(tmp_path: Path) -> None:
    """Its places are lines; how its bytes were read is told."""
    path = tmp_path / "ports.csv"
    path.write_text("unit;box;port\nFC-1;BX-1;A\n", encoding="utf-8")
    lines = read_lines(read(path, None))
    assert lines[0] == "ports.csv (UTF-8, semicolons)"
    assert lines[-2:] == ["    line 2  FC-1  BX-1  A", "1 unit understood"]


def test_a_sheet_that_is_left_out_is_told(tmp_path: Path) -> None:
    """With the reason."""
    rows = [("Unit", "Box", "Port"), ("FC-1", "BX-1", "A")]
    lines = read_lines(read(workbook(tmp_path / "ports.xlsx", rows, Notes=[("x",)]), None))
    assert "ports.xlsx:Notes: left out, no schedule header" in lines


def test_problems_go_to_standard_error_and_the_exit_code(tmp_path: Path) -> None:
    """Columns that were understood are told beside what was not."""
    _, schedule = job_and_schedule(tmp_path)
    done = run("read", schedule)
    assert done.exit_code == 1
    assert done.stderr.startswith("ports.xlsx:Ports!E2: error: unknown column 'Colour' [column-unknown]\n")
    assert "    D2  Cap.         capacity (bare numbers: MBH)\n" in done.stdout
    assert done.stdout.endswith("0 units understood\n")


def test_json_says_the_same(tmp_path: Path) -> None:
    """One object with sheets and problems."""
    job, schedule = job_and_schedule(tmp_path)
    done = run("read", schedule, "--job", job, "--json")
    said = json.loads(done.stdout)
    assert (done.exit_code, said["problems"]) == (0, [])
    (sheet,) = said["sheets"]
    assert sheet["columns"][3] == {
        "where": "ports.xlsx:Ports!D2", "header": "Cap.", "key": "capacity", "unit": "MBH", "named": "",
    }  # fmt: skip
    assert sheet["filled"] == [
        {"where": "ports.xlsx:Ports!B5", "key": "box", "text": "BX-1", "from": "ports.xlsx:Ports!B4"}
    ]
    assert [(row["where"], row["unit"], row["capacity"]) for row in sheet["rows"]] == [
        ("ports.xlsx:Ports!A4", "FC-1", "24 MBH"),
        ("ports.xlsx:Ports!A5", "FC-2", "12 MBH"),
    ]


def test_a_schedule_that_is_not_there_is_wrong_usage(tmp_path: Path) -> None:
    """As a job that is not there."""
    done = run("read", tmp_path / "nothing.xlsx")
    assert (done.exit_code, done.stdout) == (2, "")
    assert "nothing.xlsx: no such file" in done.stderr
