"""The command `explain`: what a box believes."""

from pathlib import Path
from typing import Annotated

import typer

from tagmaker.cli.options import AsJson, end, job_path
from tagmaker.files.plain import is_folder

__all__ = ["explain"]


def explain(
    ports: Annotated[int, typer.Argument(metavar="PORTS", help="How many ports the box has.")] = 0,
    found: Annotated[str, typer.Argument(metavar="FOUND", help="The switches found ON, in words.")] = "",
    family: Annotated[
        str | None, typer.Option("--family", metavar="NAME", help="The box family whose rules hold.")
    ] = None,
    wish: Annotated[
        str | None, typer.Option("--wish", metavar="WORDS", help="What the ports should be, in words.")
    ] = None,
    job: Annotated[
        Path | None, typer.Option("--job", metavar="JOB", help="A job whose own families are known too.")
    ] = None,
    as_json: AsJson = False,
) -> None:
    """Say what a box believes with its switches as found, and what to move for a wish; alone it asks."""
    from tagmaker.workflows import explain as explaining  # noqa: PLC0415 — heavy, and `--help` needs none of it

    asked = explaining.Question(family or "", ports, found, wish or "")
    if not ports:
        asked = explaining.ask(lambda text: str(typer.prompt(text, default="", show_default=False)), asked)
    path = job_path(job) if job else None
    answer = explaining.explain(asked, path if path is None or is_folder(path) else path.parent)
    end(answer.problems, {"boards": answer.boards}, answer.lines, as_json=as_json)
