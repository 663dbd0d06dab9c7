"""The command `manual`, and the program run as a module."""

import json
import subprocess
import sys

import pytest
from typer.testing import CliRunner

from tagmaker import __version__
from tagmaker.cli.app import app
from tagmaker.workflows.manual import PAGES, page_text, page_titles
from tests.paths import ROOT


def test_without_a_page_the_pages_are_listed() -> None:
    """A line a page: its name, then its title."""
    done = CliRunner().invoke(app, ["manual"])
    assert done.exit_code == 0
    lines = [line.split(None, 1) for line in done.stdout.splitlines()]
    assert lines == [[page, title] for page, title in page_titles().items()]


@pytest.mark.parametrize("page", PAGES)
def test_a_page_is_printed_whole(page: str) -> None:
    """As its file has it."""
    done = CliRunner().invoke(app, ["manual", page])
    assert (done.exit_code, done.stdout) == (0, page_text(page))


@pytest.mark.parametrize(
    ("asked", "expected"),
    [
        (["limits"], {"page": "limits", "text": page_text("limits"), "problems": []}),
        (
            [],
            {
                "pages": [{"page": page, "title": title} for page, title in page_titles().items()],
                "problems": [],
            },
        ),
    ],
)
def test_json_is_one_object(asked: list[str], expected: dict[str, object]) -> None:
    """The page's name and text, or the list of pages."""
    done = CliRunner().invoke(app, ["manual", *asked, "--json"])
    assert (done.exit_code, json.loads(done.stdout)) == (0, expected)


@pytest.mark.parametrize(
    ("asked", "hint"), [("limts", "did you mean 'limits'?"), ("xyz", "known: desk, installer")]
)
def test_an_unknown_page_is_wrong_usage(asked: str, hint: str) -> None:
    """The nearest name, or all of them where none is near; nothing on standard output."""
    done = CliRunner().invoke(app, ["manual", asked])
    assert (done.exit_code, done.stdout) == (2, "")
    assert hint in " ".join(done.stderr.split())


def test_the_program_runs_as_a_module() -> None:
    """`python -m tagmaker` is `tagmaker`, its exit code too."""
    for words, code in ((["--version"], 0), (["manual", "limts"], 2)):
        done = subprocess.run(
            [sys.executable, "-m", "tagmaker", *words], cwd=ROOT, capture_output=True, text=True, check=False
        )
        assert done.returncode == code
        assert done.stdout == (f"tagmaker {__version__}\n" if code == 0 else "")
