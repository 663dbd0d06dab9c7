"""What several commands show: problems in colour, the progress bar."""

import io
from types import SimpleNamespace

import pytest

from tagmaker.cli.show import Bar, problem_lines
from tests.cli.commands import (
    ERROR,
    NOTE,
    WARNING,
    Terminal,
)


def test_problems_are_told_with_place_severity_code_and_hint() -> None:
    """One after the other, no colours where no terminal shows them."""
    assert problem_lines([ERROR, NOTE]) == [
        "job.toml:9: error: no unit hangs on box BB-2 [box-empty]\n    add its units",
        "ports.csv:8: note: pair A+B [pair-needless]",
    ]


@pytest.mark.usefixtures("terminal")
def test_a_terminal_shows_each_severity_in_its_colour() -> None:
    """Errors red, warnings yellow, notes bold; the word says it too."""
    told = [line.splitlines()[0] for line in problem_lines([ERROR, WARNING, NOTE])]
    assert told == [
        "job.toml:9: \x1b[31merror:\x1b[0m no unit hangs on box BB-2 [box-empty]",
        "ports.csv:7: \x1b[33mwarning:\x1b[0m port A has 6 units [port-crowded]",
        "ports.csv:8: \x1b[1mnote:\x1b[0m pair A+B [pair-needless]",
    ]


def test_a_long_job_has_a_bar_that_goes_when_it_is_done(terminal: Terminal) -> None:
    """A line that is written over, and wiped at the end."""
    with Bar() as bar:
        bar.move(6, 12)
        bar.move(12, 12)
    half, whole = "#" * 15 + "." * 15, "#" * 30
    assert terminal.getvalue() == f"\r{half} 6 of 12 boxes\r{whole} 12 of 12 boxes\r\x1b[K"


def test_a_short_job_has_no_bar(terminal: Terminal) -> None:
    """It is done before one could read it."""
    with Bar() as bar:
        bar.move(5, 11)
    assert terminal.getvalue() == ""


def test_a_file_gets_no_bar(monkeypatch: pytest.MonkeyPatch) -> None:
    """Where standard error is no terminal, a log stays readable."""
    stream = io.StringIO()
    monkeypatch.setattr("tagmaker.cli.show.sys", SimpleNamespace(stderr=stream))
    with Bar() as bar:
        bar.move(40, 40)
    assert stream.getvalue() == ""
