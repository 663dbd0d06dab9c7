"""The command `make`: the set of a job."""

from enum import StrEnum
from pathlib import Path
from typing import Annotated

import typer

from tagmaker.cli.options import (
    AsJson,
    Boxes,
    JobPath,
    Only,
    Since,
    check_since,
    default_out,
    end,
    job_path,
    upper,
)

__all__ = ["make"]


class StageName(StrEnum):
    """Stages of the works: before brazing, and after the pressure test."""

    ROUGH_IN = "rough-in"
    FINAL = "final"


class KitName(StrEnum):
    """The kits in which tags are handed out."""

    BOX = "box"
    CABLES = "cables"
    LINES = "lines"


Out = Annotated[
    Path | None,
    typer.Option("-o", "--out", metavar="OUT", help="The output folder; default: JOB's name and -out, here."),
]


Stage = Annotated[StageName | None, typer.Option(help="Print the tags of this stage of the works alone.")]


Kit = Annotated[KitName | None, typer.Option(help="Print this kit's tags alone.")]


Skip = Annotated[
    int, typer.Option(min=0, metavar="N", help="Begin the first sheet of every stock N labels in.")
]


Png = Annotated[bool, typer.Option("--png", metavar="", help="Write every page as a PNG picture too.")]


Blind = Annotated[
    bool, typer.Option("--blind", metavar="", help="Leave what is expected out of the walk sheets.")
]


NoProof = Annotated[bool, typer.Option("--no-proof", metavar="", help="Do not read the printed codes back.")]


All = Annotated[
    bool,
    typer.Option("--all", metavar="", help="With --since: print the rest too, each tag in its own revision."),
]


def make(
    job: JobPath = None,
    out: Out = None,
    box: Boxes = None,
    only: Only = None,
    stage: Stage = None,
    kit: Kit = None,
    skip: Skip = 0,
    png: Png = False,
    blind: Blind = False,
    no_proof: NoProof = False,
    since: Since = None,
    all_tags: All = False,
    as_json: AsJson = False,
) -> None:
    """Write a job's label sheets, placards, verification sheets, register and plan into OUT."""
    from tagmaker.cli.show import Bar, made_json, made_lines  # noqa: PLC0415
    from tagmaker.revisions.selection import Selection  # noqa: PLC0415
    from tagmaker.workflows import make as workflow  # noqa: PLC0415 — heavy, and `--help` needs none of it

    path = job_path(job)
    target = out or default_out(path)
    check_since(since, target, prints_all=all_tags)
    selection = Selection(
        boxes=upper(box),
        ports=upper(only),
        stage=stage.value if stage else "",
        kit=kit.value if kit else "",
        skip=skip,
        blind=blind,
        proof=not no_proof,
        png=png,
        since=since,
        prints_all=all_tags,
    )
    with Bar() as bar:
        made = workflow.make(path, target, selection, bar.move)
    end(made.checked.problems, made_json(made, target), made_lines(made, target), as_json=as_json)
