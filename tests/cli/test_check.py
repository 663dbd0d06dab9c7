"""`check` as a person meets it: every problem at once, and nothing written."""

import json
import re
from pathlib import Path

import pytest

from tagmaker.cli.check import checked_lines
from tagmaker.workflows.planning import Checked
from tests.cli.commands import (
    BAKERY,
    ERROR,
    MISTAKES,
    NEXT,
    NOTE,
    WARNING,
    WORKSHOP,
    result,
    run,
    there,
    workshop_family,
)
from tests.job_files import write_files
from tests.paths import EXAMPLES
from tests.records import replace
from tests.site.papers import LIBRARY
from tests.strategies import planned


def test_check_says_that_all_is_well() -> None:
    """To standard output, 0, and writes nothing."""
    done = run("check", BAKERY)
    assert (done.exit_code, done.stderr, there()) == (0, "", [])
    assert done.stdout == "Tide Street Bakery: 1 box can be made\n0 errors, 0 warnings, 0 notes\n"


def test_check_tells_every_error_at_once() -> None:
    """All of them, each with file and line, 1."""
    done = run("check", MISTAKES)
    assert (done.exit_code, there()) == (1, [])
    errors = re.findall(r"^(\S+\.(?:toml|csv):\d+): error: .*\[(\S+)\]$", done.stderr, re.MULTILINE)
    assert len(errors) == len(set(errors)) >= 10
    assert done.stdout.startswith(f"{len(errors)} errors, ")
    assert "make writes nothing until the errors are corrected" in done.stdout


def test_check_with_warnings_only_is_well() -> None:
    """They are told, and the exit code is 0."""
    done = run("check", str(EXAMPLES / "three-port-boards"))
    assert done.exit_code == 0
    assert "warning:" in done.stderr
    assert "error:" not in done.stderr


def test_check_json_tells_the_problems() -> None:
    """Each with its severity, code, message, place and hint; 1 where one is an error."""
    done = run("check", MISTAKES, "--json")
    assert (done.exit_code, done.stderr) == (1, "")
    assert list(result(done)) == ["problems"]
    problems = result(done)["problems"]
    assert isinstance(problems, list)
    assert {tuple(problem) for problem in problems} == {("severity", "code", "message", "where", "hint")}
    assert {problem["severity"] for problem in problems} == {"error", "warning"}


def test_a_folder_without_a_job_is_told_what_a_job_is(tmp_path: Path) -> None:
    """The path exists, so it is the job that has an error: 1. Where jobs are in the folder, one is named."""
    for folder, hint in (
        (tmp_path, "a job is a folder with a file job.toml"),
        (EXAMPLES, f"name one of the jobs in it, such as {EXAMPLES.as_posix()}/bakery"),
    ):
        done = run("check", str(folder))
        assert done.exit_code == 1
        assert "no job.toml here [job-missing]" in done.stderr
        assert hint in done.stderr


def test_check_counts_what_it_found() -> None:
    """One is one, two are two."""
    assert checked_lines(Checked(None, (ERROR, WARNING, WARNING, NOTE))) == [
        "1 error, 2 warnings, 1 note",
        "make writes nothing until the errors are corrected",
    ]


def test_check_says_what_can_be_made() -> None:
    """The job by name, and how many boxes."""
    plan, problems = planned(WORKSHOP.record(workshop_family()))
    assert problems == ()
    assert checked_lines(Checked(plan, ())) == [
        "Marsh Lane Library: 1 box can be made",
        "0 errors, 0 warnings, 0 notes",
    ]


def test_a_job_without_a_plan_and_without_an_error_is_only_counted() -> None:
    """No box, no promise."""
    assert checked_lines(Checked(None, ())) == ["0 errors, 0 warnings, 0 notes"]


@pytest.mark.usefixtures("revisions")
def test_check_compares_with_the_set_beside_the_job() -> None:
    """JOB-out here, or the set that is named; a warning, so the exit code is 0."""
    run("make", "--no-proof", "job")
    assert run("check", "job").stderr == ""
    replace(NEXT, revision=LIBRARY.revision).write(Path("job"))
    for words in (("check", "job"), ("check", "job", "--since", "job-out/plan.json")):
        done = run(*words)
        assert done.exit_code == 0
        assert "[revision-unchanged]" in done.stderr


def test_of_one_problem_fifty_are_listed(tmp_path: Path) -> None:
    """As text and as JSON, with the count of the others; the tally counts all, and the job is still wrong."""
    head = '[job]\nname = "x"\nfamily = "four-port-boards"\nschedule = "p.csv"\n'
    box = '[[box]]\ntag = "B"\nports = 4\n'
    rows = "".join(f"U-{at},B,Q,9\n" for at in range(120))
    write_files(tmp_path, {"job.toml": head + box, "p.csv": f"unit,box,port,capacity (kBtu/h)\n{rows}"})
    plain, as_json = run("check", str(tmp_path)), run("check", str(tmp_path), "--json")
    assert (plain.exit_code, as_json.exit_code) == (1, 1)
    assert plain.stderr.count("[port-unknown]") == 51
    assert "p.csv: note: 70 more of this error are not listed [port-unknown]" in plain.stderr
    assert "120 errors" in plain.stdout
    listed = [each for each in json.loads(as_json.stdout)["problems"] if each["code"] == "port-unknown"]
    assert (len(listed), listed[-1]["severity"]) == (51, "note")
