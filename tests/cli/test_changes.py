"""`changes` as a person meets it: lines of work, JSON, exit codes."""

import json
from pathlib import Path

import pytest

from tagmaker.cli.changes import changes_lines
from tagmaker.workflows.changes import changes
from tests.cli.commands import run
from tests.records import replace
from tests.strategies import BoxSketch, JobSketch, UnitSketch
from tests.workflows.jobs import NEW, OLD


@pytest.fixture
def jobs(tmp_path: Path) -> tuple[Path, Path]:
    """Two jobs on disk."""
    return OLD.write(tmp_path / "old"), NEW.write(tmp_path / "new", schedule="ports.csv")


@pytest.mark.parametrize("other", [OLD, replace(OLD, revision="9", date=None)])
def test_nothing_to_do_is_said(other: JobSketch, tmp_path: Path) -> None:
    """A job compared with itself, and with a revision that only has another number."""
    found = changes(OLD.write(tmp_path / "old"), other.write(tmp_path / "new", schedule="ports.csv"))
    assert found.outline
    assert (found.is_work, found.outline.boxes, found.outline.to_do) == (False, (), False)
    assert changes_lines(found) == [
        f"Marsh Lane Library: revision 1 → {other.revision}",
        "",
        "No work on site.",
    ]


def test_lines_are_by_box_with_where_it_hangs(jobs: tuple[Path, Path]) -> None:
    """A box of which nothing differs is not named."""
    lines = changes_lines(changes(*jobs))
    assert lines[:5] == [
        "Marsh Lane Library: revision 1 → 2",
        "",
        "System  stop and isolate",
        "    1. whole system: stop the system and warn the people who use the rooms [Technician]",
        "    2. outdoor unit: isolate the outdoor unit; lock and tag its isolator [Technician]",
    ]
    assert lines[5].startswith("    3. BB-1, power: isolate the box's power; lock and tag its isolator; ")
    assert lines[6] == "       LP-2"
    assert "BB-1  Level 2 · pipes, cables, switches" in lines
    assert lines[-1] == "common practice; the manual for this equipment and local code decide"
    assert "       (FC-1 moves from BB-1 A to BB-1 B)" in lines
    assert [line for line in lines if "BB-2" in line or "FC-2" in line] == []


def test_a_job_with_errors_is_not_compared(tmp_path: Path) -> None:
    """Its errors are told, of both sides; warnings are the job's own affair."""
    wrong = replace(OLD, boxes=(BoxSketch("BB-1", 4, (UnitSketch("FC-1", "A", "90 kBtu/h"),)),))
    paths = wrong.write(tmp_path / "old"), replace(wrong, revision="2").write(tmp_path / "new")
    found = changes(*paths)
    assert (found.changes, found.is_work, found.outline, changes_lines(found)) == (None, False, None, [])
    assert [problem.code for problem in found.problems] == ["port-overloaded", "port-overloaded"]


def test_two_jobs_are_compared_with_a_warning(tmp_path: Path) -> None:
    """Their boxes and units may have the same tags: another job's set is no earlier state of this one."""
    jobs = (OLD, replace(NEW, name="Another Library"))
    found = changes(*(job.write(tmp_path / f"{at}") for at, job in enumerate(jobs)))
    assert [(problem.code, str(problem.severity)) for problem in found.problems] == [
        ("plan-foreign", "warning")
    ]
    assert found.problems[0].message == "it is of another job: Marsh Lane Library, not Another Library"


def test_a_job_of_the_same_number_and_another_name_may_be_another(tmp_path: Path) -> None:
    """Numbers are given again every year: that it was renamed is the person's to know."""
    jobs = (replace(OLD, number="26-1"), replace(NEW, name="Another Library", number="26-1"))
    (found,) = changes(*(job.write(tmp_path / f"{at}") for at, job in enumerate(jobs))).problems
    assert (found.code, str(found.severity)) == ("plan-foreign", "warning")
    assert found.message == (
        "it has the job's number 26-1 and another name: Marsh Lane Library, not Another Library"
    )


@pytest.mark.usefixtures("revisions")
def test_changes_ends_with_whether_anything_is_to_be_done() -> None:
    """0 for the same job, 1 for another, 2 where there is none; lines to standard output."""
    same, other, none = (run("changes", "job", job) for job in ("job", "next", "nowhere"))
    assert (same.exit_code, same.stderr) == (0, "")
    assert same.stdout.splitlines()[-1] == "No work on site."
    assert (other.exit_code, other.stderr) == (1, "")
    assert "BB-2" in other.stdout
    assert (none.exit_code, none.stdout) == (2, "")


def test_the_steps_of_the_json_are_the_lines_of_the_terminal(jobs: tuple[Path, Path]) -> None:
    """The same numbers and words; a step of the whole system names no box."""
    found = changes(*jobs)
    assert found.outline
    steps, text = found.outline.steps, "\n".join(changes_lines(found))
    assert [step.number for step in steps] == list(range(1, len(steps) + 1))
    assert all(f"{step.number}. " in text and step.what in text and step.how in text for step in steps)
    assert {step.box for step in steps} == {"", "BB-1"}
    assert [step.box for step in steps if step.step in {"stop", "zero"}] == ["", "BB-1"]


@pytest.mark.usefixtures("revisions")
def test_changes_as_json_is_one_object() -> None:
    """With the problems in it, and where a side cannot be read nothing else."""
    done = run("changes", "job", "next", "--json")
    assert list(json.loads(done.stdout)) == [
        "was",
        "now",
        "units",
        "boxes",
        "systems",
        "steps",
        "to_do",
        "problems",
    ]
    Path("plan.json").write_text("{}", encoding="utf-8")
    refused = run("changes", "plan.json", "next", "--json")
    assert (refused.exit_code, list(json.loads(refused.stdout))) == (1, ["problems"])
