"""What the commands share: a missing job, JSON as one object, streams that close or show no colour."""

import os
import subprocess
import sys
from pathlib import Path

import pytest
import typer

from tagmaker.cli.options import print_lines
from tests.cli.commands import BAKERY, CLINIC, JOB_COMMANDS, MISTAKES, PROGRAM, process, result, run, there
from tests.paths import ROOT


@pytest.mark.parametrize("command", ["check", "switches"])
def test_every_command_without_a_job_says_how_to_begin(command: str) -> None:
    """They need one too."""
    done = run(command)
    assert (done.exit_code, done.stdout) == (2, "")
    assert done.stderr.startswith("No job was named.")


@pytest.mark.parametrize("command", JOB_COMMANDS)
def test_a_box_that_is_not_in_the_job_is_answered_with_the_nearest(command: str) -> None:
    """The job has an error then: 1, and nothing is written."""
    done = run(command, CLINIC, "--box", "BB11")
    assert (done.exit_code, there()) == (1, [])
    assert "the job has no box 'BB11'" in done.stderr
    assert "did you mean 'BB-11'?" in done.stderr


@pytest.mark.parametrize("command", JOB_COMMANDS)
def test_json_of_a_job_that_cannot_be_read_is_still_one_object(command: str, place: Path) -> None:
    """With its problem in it; 1."""
    (place / "job").mkdir()
    done = run(command, "job", "--json")
    assert (done.exit_code, done.stderr, there()) == (1, "", ["job"])
    problems = result(done)["problems"]
    assert isinstance(problems, list)
    assert [problem["code"] for problem in problems] == ["job-missing"]


def test_json_is_plain_ascii_and_one_line() -> None:
    """It reads the same whatever the terminal's encoding is."""
    done = run("check", MISTAKES, "--json")
    assert done.stdout.isascii()
    assert done.stdout.count("\n") == 1


@pytest.mark.parametrize("command", JOB_COMMANDS)
def test_a_pipe_gets_no_colours_and_a_log_no_bar(command: str) -> None:
    """In a process of its own, both streams into pipes."""
    done = process(command, BAKERY)
    assert done.returncode == 0
    assert "\x1b" not in done.stdout + done.stderr
    assert "\r" not in done.stdout + done.stderr


@pytest.mark.parametrize(("job", "code"), [(CLINIC, 0), (MISTAKES, 1)])
@pytest.mark.parametrize("as_json", [(), ("--json",)])
def test_a_reader_that_closes_early_is_no_error(job: str, code: int, as_json: tuple[str, ...]) -> None:
    """As with `| head`: the exit code stays the job's, and no traceback is left on the screen."""
    read, write = os.pipe()
    os.close(read)
    done = subprocess.run(
        [*PROGRAM, "switches", job, *as_json],
        stdout=write,
        stderr=subprocess.PIPE,
        check=False,
        text=True,
        env={**os.environ, "PYTHONPATH": str(ROOT)},
    )
    os.close(write)
    assert done.returncode == code
    assert "Traceback" not in done.stderr
    assert "BrokenPipe" not in done.stderr


def test_an_error_stream_that_is_closed_early_is_no_error_either(
    monkeypatch: pytest.MonkeyPatch, place: Path
) -> None:
    """Problems go nowhere then, the result still comes."""
    (place / "log").touch()
    with (place / "log").open("a", encoding="utf-8") as log:
        monkeypatch.setattr(sys, "stderr", log)
        monkeypatch.setattr(typer, "echo", broken)
        print_lines(["one"], err=True)
        log.write("lost")
    assert (place / "log").read_text(encoding="utf-8") == ""


def broken(*_words: object, **_options: object) -> None:
    """A pipe whose reader is gone."""
    raise BrokenPipeError
