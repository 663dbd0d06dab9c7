"""A job read with its schedules: as written, as understood, every place with its column."""

from pathlib import Path

from tagmaker.job.read import read_job, read_job_sources
from tests.job_files import BOX, HEAD, write_files
from tests.workbooks import workbook

JOB = HEAD + 'schedule = ["ports.csv", "more.xlsx", "gone.csv"]\n' + BOX
CSV = "Unit,Box,Port,Cap (MBH)\nFC-1,BX-1,A,24\n,BX-1,B,12\nFC-3,BX-1,C,x\n"


def job(folder: Path) -> Path:
    """A job of two schedules and one that is not there."""
    write_files(folder, {"job.toml": JOB, "ports.csv": CSV})
    workbook(folder / "more.xlsx", [("Unit", "Box", "Port", "Cap (MBH)"), ("FC-9", "BX-1", "D", 9)])
    return folder


def test_the_schedules_come_as_written_and_as_understood(tmp_path: Path) -> None:
    """Under their names in job.toml; one that cannot be read has no sheet."""
    read = read_job_sources(job(tmp_path))
    assert [(each.name, len(each.sheets), len(each.schedule.rows)) for each in read.sources] == [
        ("ports.csv", 1, 2),
        ("more.xlsx", 1, 1),
        ("gone.csv", 0, 0),
    ]
    assert read.sources[0].sheets[0].rows[3].values[3].text == "x"


def test_it_is_the_same_job(tmp_path: Path) -> None:
    """With and without its schedules."""
    read = read_job_sources(job(tmp_path))
    assert (read.job, read.problems) == read_job(tmp_path)


def test_a_csv_files_problems_have_their_column_and_show_the_line(tmp_path: Path) -> None:
    """So that a page can mark the cell; the text and the order are the lines'."""
    places = {each.code: each.where for each in read_job_sources(job(tmp_path)).problems}
    missing, wrong = places["cell-missing"], places["capacity-wrong"]
    assert (missing.line, missing.column, str(missing), missing.cell) == (3, 1, "ports.csv:3", "3")
    assert (wrong.line, wrong.column, str(wrong)) == (4, 4, "ports.csv:4")
    assert wrong.order[3] == 0
