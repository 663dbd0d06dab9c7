"""The program: its commands, help, version, completion, and wrong usage."""

import contextlib
import io
import os
import re
import shlex
import subprocess
import sys

import pytest

from tagmaker import __version__
from tagmaker.cli import app as cli
from tests.cli.commands import (
    BAKERY,
    COMMANDS,
    process,
    run,
    there,
)
from tests.paths import EXAMPLES, ROOT

SHOW_COMPLETION = "--show-completion"


@pytest.mark.parametrize(
    ("words", "answer"),
    [
        (("mak", BAKERY), "Did you mean 'make'?"),
        (("swiches", BAKERY), "Did you mean 'switches'"),
        (("make", BAKERY, "--bx", "BX-1"), "--box"),
        (("check", BAKERY, "--jsn"), "--json"),
        (("make", BAKERY, "--ot", "x"), "--out"),
        (("check", BAKERY, "--box"), "'--box' requires an argument"),
        (("check", BAKERY, "extra"), "extra"),
        (("check", "no-such-job"), "no-such-job: no such folder or file"),
        (("make", "no-such-job", "-o", "out"), "name a folder that holds job.toml"),
        (("--nonsense",), "No such option: --nonsense"),
        (("make", BAKERY, "--stage", "ruff-in"), "'ruff-in' is not one of 'rough-in', 'final'"),
        (("make", BAKERY, "--kit", "boxes"), "'boxes' is not one of 'box', 'cables', 'lines'"),
        (("make", BAKERY, "--skip", "-1"), "--skip"),
        (("make", BAKERY, "--no-prof"), "--no-proof"),
        (("stocks", "--job", "no-such-job"), "no-such-job: no such folder or file"),
        (("align",), "Missing argument 'STOCK'"),
        (("align", "letter-30-67x25", "--first", "25,25"), "--first and --second go together"),
        (("align", "letter-30-67x25", "--second", "190,254"), "--first and --second go together"),
        (("scan",), "Missing argument 'FILES'"),
        (("scan", "-", "--job", "no-such-job"), "no-such-job: no such folder or file"),
    ],
)
def test_wrong_usage_is_answered_with_the_nearest_right_word(words: tuple[str, ...], answer: str) -> None:
    """2, to standard error; nothing is written."""
    done = run(*words)
    assert (done.exit_code, done.stdout, there()) == (2, "", [])
    assert answer in done.stderr


def test_the_program_alone_shows_its_help() -> None:
    """Wrong usage, but no error message: one who types the name alone wants to know what there is."""
    done = run()
    assert done.exit_code == 2
    assert all(command in done.output for command in COMMANDS)


# The desk runs until it is stopped: its example is run in tests/desk/test_run.py.
@pytest.mark.parametrize("words", [(), *((command,) for command in COMMANDS if command != "desk")])
def test_every_help_has_an_example_that_runs(words: tuple[str, ...]) -> None:
    """A call of that command on a job that is shipped; one is full of mistakes, one asks for work on site."""
    done = run(*words, "--help")
    assert (done.exit_code, done.stderr) == (0, "")
    (example,) = re.findall(r"Example: tagmaker (.+?)\s*$", done.stdout, re.MULTILINE)
    called = [word.replace("example_jobs", str(EXAMPLES)) for word in shlex.split(example)]
    assert called[0] in (words or COMMANDS)
    assert run(*called).exit_code == int("full-of-mistakes" in example or called[0] == "changes")


@pytest.mark.parametrize("words", [(), *((command,) for command in COMMANDS)])
def test_help_has_a_short_name(words: tuple[str, ...]) -> None:
    """-h is --help."""
    assert run(*words, "-h").stdout == run(*words, "--help").stdout != ""


def test_help_names_every_option() -> None:
    """With what it is for."""
    shown = " ".join(run("make", "--help").stdout.split())
    options = (
        "--out",
        "-o",
        "--box",
        "--only",
        "--stage",
        "--kit",
        "--skip",
        "--png",
        "--no-proof",
        "--json",
    )
    default = "default: the job folder's name with -out, in the current folder."
    assert [word for word in (*options, "JOB", "BOX/PORT", default) if word not in shown] == []


def test_a_flag_does_not_look_as_if_it_took_a_value() -> None:
    """`--json true` would name a job called true."""
    shown = [run(command, "--help").stdout for command in COMMANDS]
    for flag in ("--json", "--png", "--no-proof", "--forget", "--rebuild"):
        lines = [line for text in shown for line in text.splitlines() if f" {flag} " in line]
        assert {("<" in line, "TAG" in line) for line in lines} == {(False, False)}


def test_help_has_no_word_of_the_language() -> None:
    """Files are named as paths, not by a type of Python."""
    shown = [run(command, "--help").stdout for command in COMMANDS]
    assert [line for text in shown for line in text.splitlines() if "[Path]" in line] == []


def test_version_is_the_packages() -> None:
    """One line."""
    assert run("--version").stdout == f"tagmaker {__version__}\n"
    assert run("--version").exit_code == 0


@pytest.mark.parametrize("shell", ["bash", "zsh", "fish"])
def test_shell_completion_is_there(shell: str) -> None:
    """A script for the shell in use."""
    done = process(SHOW_COMPLETION, shell, _TYPER_COMPLETE_TEST_DISABLE_SHELL_DETECTION="1")
    assert done.returncode == 0
    assert "complete" in done.stdout


def test_completion_knows_the_commands() -> None:
    """What the shell is told when a person presses Tab after the program's name."""
    script = "from tagmaker.cli.app import app; app(prog_name='tagmaker')"
    done = subprocess.run(
        [sys.executable, "-c", script],
        capture_output=True,
        check=False,
        text=True,
        env={
            **os.environ,
            "PYTHONPATH": str(ROOT),
            "_TAGMAKER_COMPLETE": "complete_bash",
            "COMP_WORDS": "tagmaker ",
            "COMP_CWORD": "1",
        },
    )
    assert sorted(done.stdout.split()) == sorted(COMMANDS)


@pytest.mark.parametrize("environment", [{"NO_COLOR": "1"}, {"TERM": "dumb"}])
def test_help_has_no_colours_where_none_are_wanted(environment: dict[str, str]) -> None:
    """NO_COLOR is respected by the help too (no-color.org)."""
    done = process("make", "--help", **environment)
    assert done.returncode == 0
    assert "\x1b[3" not in done.stdout


def test_the_entry_point_runs_the_program(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """What the installed command calls."""
    monkeypatch.setattr(sys, "argv", ["tagmaker", "--version"])
    with pytest.raises(SystemExit) as ended:
        cli.run()
    assert (ended.value.code, capsys.readouterr().out) == (0, f"tagmaker {__version__}\n")


def test_a_stream_of_another_kind_is_left_as_it_is(monkeypatch: pytest.MonkeyPatch) -> None:
    """A program that runs this one may have put anything in standard output's place."""
    stream = io.StringIO()
    monkeypatch.setattr(sys, "argv", ["tagmaker", "--version"])
    with contextlib.redirect_stdout(stream), pytest.raises(SystemExit):
        cli.run()
    assert stream.getvalue() == f"tagmaker {__version__}\n"


@pytest.mark.parametrize(
    ("words", "answer"),
    [
        (("make", "job", "--all"), "--all goes with --since"),
        (("scan", "-", "--since", "out"), "--since goes with --job"),
        (("changes", "job"), "Missing argument 'NEW'"),
    ],
)
@pytest.mark.usefixtures("revisions")
def test_options_that_need_another_say_so(words: tuple[str, ...], answer: str) -> None:
    """2, and nothing is done."""
    done = run(*words)
    assert (done.exit_code, done.stdout) == (2, "")
    assert answer in done.stderr
