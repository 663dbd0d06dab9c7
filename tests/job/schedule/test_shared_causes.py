"""One cause is one problem: what one mistake did to many cells, with a count and the first cells."""

from collections.abc import Sequence
from pathlib import Path

import pytest

from tagmaker.job.read import read_job
from tagmaker.job.schedule.read import Schedule, read_schedule
from tagmaker.problems import Problem, Severity
from tagmaker.workflows import planning
from tagmaker.workflows.start import start
from tests.job_files import HEAD, write_files
from tests.strategies import FAMILY
from tests.workbooks import workbook

CSV = "unit;box;port;capacity (MBH)\n"


def of_csv(folder: Path, text: str) -> tuple[Schedule, list[Problem]]:
    """A CSV schedule as understood."""
    write_files(folder, {"ports.csv": text})
    return read_schedule(folder / "ports.csv", "ports.csv")


def messages(folder: Path, text: str) -> list[str]:
    """What is wrong with a schedule, with places."""
    return [f"{problem.where}: {problem.message}" for problem in of_csv(folder, text)[1]]


def lines(count: int, capacities: Sequence[str]) -> str:
    """Rows of so many units."""
    return "".join(f"FC-{n};BX-{n % 2};A;{capacities[n % len(capacities)]}\n" for n in range(1, count + 1))


def test_a_header_without_its_unit_is_one_problem(tmp_path: Path) -> None:
    """That names the header, a count, the first cells and every box that it touches."""
    schedule, (problem,) = of_csv(tmp_path, "unit;box;port;Cap.\n" + lines(73, ["24"]))
    assert problem.message == (
        "column 'Cap.' has no unit, nor have its 73 numbers: "
        "'24' on line 2, '24' on line 3, '24' on line 4 and 70 more"
    )
    assert (problem.where.line, set(problem.boxes)) == (1, {"BX-0", "BX-1"})
    assert len(schedule.rows) == 73
    assert {row.unread for row in schedule.rows} == {frozenset({"capacity"})}


def test_start_asks_for_the_unit_of_a_header(tmp_path: Path) -> None:
    """A job is written; its [columns] holds the question, which is no answer as it is."""
    write_files(tmp_path, {"ports.csv": "unit;box;port;Cap.;PO no\nFC-1;BX-1;A;24;7\nFC-2;BX-1;B;24;8\n"})
    done = start(tmp_path / "job", tmp_path / "ports.csv", FAMILY)
    assert [problem.code for problem in done.problems if problem.severity is Severity.ERROR] == [
        "capacity-unit", "column-unknown",
    ]  # fmt: skip
    path = tmp_path / "job" / "job.toml"
    text = path.read_text(encoding="utf-8")
    assert '# "Cap." = "capacity (UNIT)"  # confirm: column \'Cap.\' has no unit' in text
    asked = text.replace('# "Cap."', '"Cap."').replace('# "PO no"', '"PO no"')
    path.write_text(asked, encoding="utf-8")
    assert "value-wrong" in {problem.code for problem in planning.plan(path.parent).problems}
    path.write_text(asked.replace("(UNIT)", "(MBH)"), encoding="utf-8")
    assert [problem for problem in planning.plan(path.parent).problems if problem.severity == "error"] == []


@pytest.mark.parametrize(
    ("capacities", "message"),
    [
        (
            ["24", "24 kBtu/h"],
            (
                "ports.csv:3: capacity has no unit, in 4 cells: "
                "'24' on line 3, '24' on line 5, '24' on line 7 and 1 more"
            ),
        ),
        (
            ["24 hp"],
            (
                "ports.csv:2: capacity has a unit that is not known, 'hp', in 8 cells: "
                "'24 hp' on line 2, '24 hp' on line 3, '24 hp' on line 4 and 5 more"
            ),
        ),
    ],
)
def test_cells_of_one_fault_are_one_problem(capacities: list[str], message: str, tmp_path: Path) -> None:
    """Of a missing unit where others have one, and of one unknown unit."""
    assert messages(tmp_path, "unit;box;port;Cap.\n" + lines(8, capacities)) == [message]


def test_cells_below_no_heading_are_one_problem(tmp_path: Path) -> None:
    """A column of them lacks its heading once."""
    text = "unit;box;port;\n" + lines(4, ["check"])
    assert messages(tmp_path, text) == [
        "ports.csv:2: cell 'check' has no heading above it; likewise on line 3, on line 4, on line 5"
    ]


def test_formulas_that_were_not_calculated_are_one_problem(tmp_path: Path) -> None:
    """The file is opened and saved once."""
    rows = [("Unit", "Box", "Port", "Cap. (MBH)")]
    rows += [(f"FC-{n}", "BX-1", "ABCD"[n], f"={n}+12") for n in range(4)]
    _, problems = read_schedule(workbook(tmp_path / "ports.xlsx", rows), "ports.xlsx")
    assert [problem.message for problem in problems] == [
        "capacity is a formula without a stored result, =0+12; likewise in D3, in D4, in D5"
    ]


def test_a_box_that_the_job_does_not_have_is_one_problem(tmp_path: Path) -> None:
    """However many units name it."""
    job = f'{HEAD}schedule = "ports.csv"\n[[box]]\ntag = "BX-1"\nports = 4\n'
    write_files(tmp_path, {"job.toml": job, "ports.csv": CSV + lines(9, ["9"])})
    found = [problem.message for problem in read_job(tmp_path)[1] if problem.code == "box-unknown"]
    assert found == ["unit FC-2 names box 'BX-0', which the job does not have; likewise FC-4, FC-6, FC-8"]
