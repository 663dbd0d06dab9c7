"""The command `make`: the set of a job, written into a folder.

Prints each file with its pages, the labels and pages that each stock needs, where a later set can go on on a
part-used sheet, and how many codes read back. `--json` prints out, tags, boxes, files and part_used.
"""

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

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
from tagmaker.cli.show import Bar, count, tally
from tagmaker.files.stopping import undone_if_stopped
from tagmaker.tags.model import Kit, Stage

if TYPE_CHECKING:
    from tagmaker.workflows.make import Made
    from tagmaker.workflows.planning import Checked

__all__ = ["made_lines", "make"]

PICTURES = "png/"
"""The folder of the pictures within a set: their files are counted, not listed."""


Out = Annotated[
    Path | None,
    typer.Option(
        "-o",
        "--out",
        metavar="OUT",
        help="The output folder; default: the job folder's name with -out, in the current folder.",
    ),
]
StageOption = Annotated[
    Stage | None,
    typer.Option(
        "--stage", help="Print only the tags of this stage: before brazing, or after the pressure test."
    ),
]
KitOption = Annotated[Kit | None, typer.Option("--kit", help="Print only the tags of this kit.")]
Skip = Annotated[
    int,
    typer.Option(
        min=0, metavar="N", help="Skip the first N labels of each stock's first sheet: they are used."
    ),
]
Png = Annotated[bool, typer.Option("--png", metavar="", help="Write every page as a PNG picture too.")]
Blind = Annotated[
    bool,
    typer.Option("--blind", metavar="", help="Leave the planned settings and units out of the walk sheets."),
]
NoProof = Annotated[bool, typer.Option("--no-proof", metavar="", help="Do not read the printed codes back.")]
All = Annotated[
    bool,
    typer.Option("--all", metavar="", help="With --since: print the rest too, each tag in its own revision."),
]


WeighedIn = Annotated[
    list[Path] | None,
    typer.Option(
        "--weighed-in",
        metavar="FILE",
        help="Systems' sheets that came back, or a folder: signs are printed of the amount weighed in.",
    ),
]


def make(
    job: JobPath = None,
    out: Out = None,
    box: Boxes = None,
    only: Only = None,
    stage: StageOption = None,
    kit: KitOption = None,
    skip: Skip = 0,
    png: Png = False,
    blind: Blind = False,
    no_proof: NoProof = False,
    since: Since = None,
    all_tags: All = False,
    weighed_in: WeighedIn = None,
    as_json: AsJson = False,
) -> None:
    """Write a job's label sheets, placards, verification sheets, register and plan into OUT."""
    from tagmaker.revisions.selection import Selection
    from tagmaker.workflows import make as workflow

    path = job_path(job)
    target = out or default_out(path)
    check_since(since, target, prints_all=all_tags)
    asked = Selection(
        boxes=upper(box), only=upper(only), stage=stage or "", kit=kit or "",
        skip=skip, blind=blind, proof=not no_proof, png=png, since=since, prints_all=all_tags,
        weighed_in=tuple(weighed_in or ()),
    )  # fmt: skip
    with Bar() as bar:
        made = workflow.make(path, target, asked, bar.move)
    written = f"{made.out} holds the new set" if made.files else ""
    with undone_if_stopped(lambda: written):  # nothing is undone any more, but a stopped run says so
        end(made.checked.problems, made.outline, made_lines(made), as_json=as_json)


def made_lines(made: "Made") -> list[str]:
    """Each file with its pages, what the set needs, and how many codes read back; or that it was refused."""
    if not made.files:
        return [f"{tally(made.checked.problems)}: nothing was written"]
    lines = [f"{made.out}: {count(made.tags, 'tag')} for {count(made.boxes, 'box', 'boxes')}"]
    for name, pages in made.files:
        if not name.startswith(PICTURES):
            lines.append(f"  {name}" + (f"  {count(pages, 'page')}" if pages else ""))
    if pictures := sum(name.startswith(PICTURES) for name, _ in made.files):
        lines.append(f"  {PICTURES}  {count(pictures, 'picture')}")
    lines += _needed_lines(made.checked)
    proof = f"{made.codes_read} of {made.codes_read} codes read back"
    return [*lines, proof if made.codes_read >= 0 else "the codes were not read back (--no-proof)"]


def _needed_lines(checked: "Checked") -> list[str]:
    """The labels and pages of each stock, and the last sheets on which a later set can go on."""
    lines = ["needed:"] if checked.sheets else []
    for need in checked.sheets:
        labels = f"{count(need.labels, need.piece)}, " if need.labels else ""
        lines.append(f"  {need.stock}: {labels}{count(need.pages, 'page')}")
    return lines + [
        f"{count(sheet.left, 'label')} left on the last sheet of {sheet.stock}: "
        f"--skip {sheet.used} continues there"
        for sheet in checked.part_used
    ]
