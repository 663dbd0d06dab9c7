"""A schedule as understood: its records, the job's [columns], and a job that cannot be read."""

from pathlib import Path

import msgspec

from tagmaker.workflows.read import read
from tests.workbooks import workbook

ROWS = [("Unit", "Box", "Port", "Remarks"), ("FC-1", "BX-1", "A", ""), ("Spare", "BX-1", "B", "")]
JOB = '[job]\nname = "x"\nfamily = "four-port-boards"\n[columns]\n"Remarks" = ""\n'


def job(folder: Path, text: str) -> Path:
    """A job of this text."""
    (folder / "job").mkdir()
    (folder / "job" / "job.toml").write_text(text, encoding="utf-8")
    return folder / "job"


def test_the_jobs_columns_hold(tmp_path: Path) -> None:
    """A header that it explains is no problem, and is named in the column's record."""
    schedule = workbook(tmp_path / "ports.xlsx", ROWS)
    alone, known = read(schedule, None), read(schedule, job(tmp_path, JOB))
    assert [problem.code for problem in alone.problems] == ["column-skipped"]
    assert known.problems == ()
    assert known.outline.sheets[0].columns[3].named == "Remarks"


def test_records_have_the_documented_keys(tmp_path: Path) -> None:
    """Every sheet with all its lists; a row with its place and every column's key."""
    understood = read(workbook(tmp_path / "ports.xlsx", ROWS), job(tmp_path, JOB))
    content = msgspec.to_builtins(understood.outline)
    (sheet,) = content["sheets"]
    assert list(sheet) == [
        "where",
        "remark",
        "left_out",
        "columns",
        "left",
        "filled",
        "spares",
        "rows",
        "inferred",
        "boxes",
        "systems",
    ]
    assert sheet["spares"] == ({"where": "ports.xlsx:Ports!C3", "box": "BX-1", "port": "B"},)
    assert [(row["where"], row["unit"], row["room"]) for row in sheet["rows"]] == [
        ("ports.xlsx:Ports!A2", "FC-1", "")
    ]


def test_a_job_that_cannot_be_read_is_a_problem(tmp_path: Path) -> None:
    """Its [columns] are not guessed."""
    understood = read(workbook(tmp_path / "ports.xlsx", ROWS), job(tmp_path, "[columns"))
    assert "toml-syntax" in {problem.code for problem in understood.problems}
