"""Commands that read a job: make, check, switches."""

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

__all__ = ["check", "make", "switches"]


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
    from tagmaker.revisions.selection import Part  # noqa: PLC0415
    from tagmaker.workflows import make as pipeline  # noqa: PLC0415 — heavy, and `--help` needs none of it

    path = job_path(job)
    target = out or default_out(path)
    check_since(since, target, prints_all=all_tags)
    part = Part(upper(box), upper(only), stage.value if stage else "", kit.value if kit else "", skip, blind)
    options = pipeline.Options(proof=not no_proof, png=png, since=since, prints_all=all_tags)
    with Bar() as bar:
        made = pipeline.make(path, target, part, bar.move, options)
    end(made.checked.problems, made_json(made, target), made_lines(made, target), as_json=as_json)


def check(job: JobPath = None, box: Boxes = None, since: Since = None, as_json: AsJson = False) -> None:
    """Say everything that is wrong with a job, and write nothing."""
    from tagmaker.cli.show import checked_lines  # noqa: PLC0415
    from tagmaker.revisions.selection import Part  # noqa: PLC0415
    from tagmaker.workflows import make as pipeline  # noqa: PLC0415 — as above

    path = job_path(job)
    checked = pipeline.check(path, Part(upper(box)), since, default_out(path))
    end(checked.problems, {}, checked_lines(checked), as_json=as_json)


def switches(job: JobPath = None, box: Boxes = None, as_json: AsJson = False) -> None:
    """Show every board's switches, with the reason for each that is ON, and the port loads."""
    from tagmaker.cli.show import switch_lines  # noqa: PLC0415
    from tagmaker.plan.outline import boxes_json  # noqa: PLC0415
    from tagmaker.revisions.selection import Part  # noqa: PLC0415
    from tagmaker.workflows import make as pipeline  # noqa: PLC0415 — as above

    checked = pipeline.plan(job_path(job), Part(upper(box)))
    boxes = boxes_json(checked.plan) if checked.plan else []
    end(checked.problems, {"boxes": boxes}, switch_lines(checked), as_json=as_json)
