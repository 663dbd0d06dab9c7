"""Plain values are taken as typer takes them; what is not plainly right is left to typer."""

import os
from pathlib import Path
from typing import Annotated, Any

import pytest
import typer
from typer.main import get_command
from typer.testing import CliRunner

from tagmaker.cli.values import take_plain_values
from tests.cli.commands import BAKERY, run

app = typer.Typer(add_completion=False, rich_markup_mode=None)


@app.command()
def given(
    paths: Annotated[list[Path], typer.Argument()],
    *,
    text: Annotated[str, typer.Option()] = "none",
    number: Annotated[int, typer.Option()] = 3,
    out: Annotated[Path | None, typer.Option()] = None,
    tags: Annotated[list[str] | None, typer.Option("--tag")] = None,
    is_set: Annotated[bool, typer.Option("--set")] = False,
) -> None:
    """Print what was given."""
    typer.echo(repr((paths, text, number, out, tags, is_set)))


def answers(*words: str) -> list[tuple[int, str]]:
    """What typer makes of the words by itself, and with plain values taken."""
    found: list[tuple[int, str]] = []
    for takes in (False, True):
        command: Any = get_command(app)
        if takes:
            take_plain_values(command.params)
        code, text = 0, ""
        try:
            with CliRunner().isolation() as (out, *_):
                command.main(list(words), standalone_mode=False)
                text = out.getvalue().decode(errors="backslashreplace")  # terminals have code pages
        except typer.TyperException as reason:
            code, text = 2, reason.format_message()
        found.append((code, text))
    return found


@pytest.mark.parametrize(
    "words",
    [
        ("a", "b/c", "--text", "x", "--out", "y", "--tag", "BB-1", "--tag", "é", "--set"),
        ("a",),
        (),
        ("a", "--number", "7"),
        ("a", "--number", "seven"),
        ("a", "--text", ""),
        ("a", "--text", "\udc80"),
        (".", "--out", "."),
    ],
)
def test_the_same_values_and_the_same_answers(words: tuple[str, ...]) -> None:
    """Given or not, right or wrong, of every kind."""
    typers, plain = answers(*words)
    assert plain == typers


def test_a_path_that_may_not_be_read_is_wrong_usage(monkeypatch: pytest.MonkeyPatch) -> None:
    """With typer's answer."""
    monkeypatch.setattr(os, "access", lambda *_, **__: False)
    done = run("check", BAKERY)
    assert done.exit_code == 2
    assert "is not readable" in done.stderr
