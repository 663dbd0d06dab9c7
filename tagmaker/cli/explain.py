"""The command `explain`: what a box believes with its switches as found, without a job.

Prints a line a board, what to expect, and the switches to move; asks question by question where nothing is
named. `--json` prints the boards.
"""

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from tagmaker.cli.options import AsJson, end, job_path

if TYPE_CHECKING:
    from tagmaker.workflows.explain import Explained

__all__ = ["explain", "explained_lines"]


def explain(
    ports: Annotated[
        int, typer.Argument(metavar="PORTS", help="How many ports the box has.", show_default=False)
    ] = 0,
    found: Annotated[str, typer.Argument(metavar="FOUND", help="The switches found ON, in words.")] = "",
    family: Annotated[
        str | None, typer.Option("--family", metavar="NAME", help="The box family whose rules apply.")
    ] = None,
    wish: Annotated[
        str | None, typer.Option("--wish", metavar="WORDS", help="The wanted state of the ports, in words.")
    ] = None,
    job: Annotated[
        Path | None, typer.Option("--job", metavar="JOB", help="A job whose own families are also known.")
    ] = None,
    box: Annotated[
        str,
        typer.Option("--box", metavar="TAG", help="A box of the job, for its plan and its units."),
    ] = "",
    as_json: AsJson = False,
) -> None:
    """Explain how a box reads its switches as found, and what to move; without arguments, ask."""
    from tagmaker.workflows import explain as workflow

    if box and job is None:
        raise typer.BadParameter("--box goes with --job", param_hint="--box")
    question = workflow.Question(family or "", ports, found, wish or "", box.upper())
    if not ports:
        question = workflow.ask(_prompt, question)
    answer = workflow.explain(question, job_path(job) if job else None)
    end(answer.problems, answer.outline, explained_lines(answer), as_json=as_json)


def _prompt(text: str) -> str:
    """One question on the terminal; Return alone answers with an empty text."""
    return str(typer.prompt(text, default="", show_default=False))


def explained_lines(answer: "Explained") -> list[str]:
    """Each board with what it believes, what to expect, what to move; last, what to mind before moving."""
    if not answer.boards:
        return []
    from tagmaker.catalog.words import load_words

    words, lines = load_words(), []
    for board in answer.boards:
        name = words("placard.board", place=board.place)
        lines.append(f"{name}: {', '.join(dict.fromkeys(board.believes))}")  # a pair's text once
        lines += [f"    {sentence}" for sentence in board.expect]
        lines += [f"    {words('explain.move', move=move)}" for move in board.move]
        if letters := answer.undecided.get(board.place):
            lines.append(f"    {words('explain.open', ports=', '.join(letters))}")
    if answer.has_wish and not any(board.move for board in answer.boards):
        lines.append(words("explain.nothing"))
    return [*lines, words("explain.caution")]
