"""The command line: it parses, calls, prints and exits.

Exit codes: 0 done, 1 the job has errors and nothing was written, 2 wrong usage.
"""

import io
import json
import os
import sys
from collections.abc import Iterable
from enum import StrEnum
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from tagmaker import __version__

if TYPE_CHECKING:
    from tagmaker.pipeline import Checked
    from tagmaker.problems import Problem


class StageName(StrEnum):
    """Stages of the works: before brazing, and after the pressure test."""

    ROUGH_IN = "rough-in"
    FINAL = "final"


class KitName(StrEnum):
    """The kits in which tags are handed out."""

    BOX = "box"
    CABLES = "cables"
    LINES = "lines"


app = typer.Typer(
    help="Labels, placards and verification sheets for the branch boxes of heat-recovery air-conditioning.",
    epilog="Example: tagmaker make example_jobs/clinic -o out",
    no_args_is_help=True,
    context_settings={"help_option_names": ["-h", "--help"]},
)

JobPath = Annotated[
    Path | None, typer.Argument(metavar="JOB", help="The job's folder, or its job.toml.", show_default=False)
]
Boxes = Annotated[
    list[str] | None,
    typer.Option("--box", metavar="TAG", help="Limit checks and output to this box; may be given again."),
]
Only = Annotated[
    list[str] | None,
    typer.Option("--only", metavar="BOX/PORT", help="Print this port's tags alone; may be given again."),
]
AsJson = Annotated[bool, typer.Option("--json", metavar="", help="Print one JSON object to standard output.")]

BEGIN = """No job was named. A job is a folder with a file job.toml. The smallest one:

    [job]
    name = "Tide Street Bakery"
    family = "four-port-boards"

    [[box]]
    tag = "BX-1"
    ports = 6

    [[unit]]
    unit = "FC-1"
    box = "BX-1"
    port = "A"
    capacity = "24 kBtu/h"

Then: tagmaker make THAT-FOLDER -o out"""


def _version(wanted: bool) -> None:
    if wanted:
        typer.echo(f"tagmaker {__version__}")
        raise typer.Exit


@app.callback()
def main(
    version: Annotated[
        bool,
        typer.Option(
            "--version", metavar="", callback=_version, is_eager=True, help="Print the version and exit."
        ),
    ] = False,
) -> None:
    """Labels, placards and verification sheets for the branch boxes of heat-recovery air-conditioning."""


@app.command(epilog="Example: tagmaker make example_jobs/clinic -o out --box BB-12")
def make(
    job: JobPath = None,
    out: Annotated[
        Path | None,
        typer.Option(
            "-o", "--out", metavar="OUT", help="The output folder; default: JOB's name and -out, here."
        ),
    ] = None,
    box: Boxes = None,
    only: Only = None,
    stage: Annotated[
        StageName | None, typer.Option(help="Print the tags of this stage of the works alone.")
    ] = None,
    kit: Annotated[KitName | None, typer.Option(help="Print this kit's tags alone.")] = None,
    skip: Annotated[
        int, typer.Option(min=0, metavar="N", help="Begin the first sheet of every stock N labels in.")
    ] = 0,
    png: Annotated[
        bool, typer.Option("--png", metavar="", help="Write every page as a PNG picture too.")
    ] = False,
    blind: Annotated[
        bool, typer.Option("--blind", metavar="", help="Leave what is expected out of the walk sheets.")
    ] = False,
    no_proof: Annotated[
        bool, typer.Option("--no-proof", metavar="", help="Do not read the printed codes back.")
    ] = False,
    as_json: AsJson = False,
) -> None:
    """Write a job's label sheets, placards, verification sheets, register and plan into OUT."""
    from tagmaker import pipeline  # noqa: PLC0415 — heavy, and `--help` needs none of it
    from tagmaker.tags.part import Part  # noqa: PLC0415
    from tagmaker.terminal import Bar, made_lines  # noqa: PLC0415

    path = _job_path(job)
    part = Part(
        _upper(box), _upper(only), stage.value if stage else "", kit.value if kit else "", skip, blind
    )
    target = out or Path(f"{path.resolve().name if path.is_dir() else path.resolve().parent.name}-out")
    with Bar() as bar:
        made = pipeline.make(path, target, part, bar.move, pipeline.Options(proof=not no_proof, png=png))
    summary = {
        "out": str(target),
        "tags": made.tags,
        "boxes": made.boxes,
        "files": [name for name, _ in made.files],
    }
    _finish(made.checked, summary, made_lines(made, target), as_json=as_json)


@app.command(epilog="Example: tagmaker check example_jobs/full-of-mistakes")
def check(job: JobPath = None, box: Boxes = None, as_json: AsJson = False) -> None:
    """Say everything that is wrong with a job, and write nothing."""
    from tagmaker import pipeline  # noqa: PLC0415 — as above
    from tagmaker.tags.part import Part  # noqa: PLC0415
    from tagmaker.terminal import checked_lines  # noqa: PLC0415

    checked = pipeline.check(_job_path(job), Part(_upper(box)))
    _finish(checked, {}, checked_lines(checked), as_json=as_json)


@app.command(epilog="Example: tagmaker switches example_jobs/clinic --box BB-13")
def switches(job: JobPath = None, box: Boxes = None, as_json: AsJson = False) -> None:
    """Show every board's switches, with the reason for each that is ON, and the port loads."""
    from tagmaker import pipeline  # noqa: PLC0415 — as above
    from tagmaker.plan.as_json import boxes_json  # noqa: PLC0415
    from tagmaker.tags.part import Part  # noqa: PLC0415
    from tagmaker.terminal import switch_lines  # noqa: PLC0415

    checked = pipeline.plan(_job_path(job), Part(_upper(box)))
    boxes = boxes_json(checked.plan) if checked.plan else []
    _finish(checked, {"boxes": boxes}, switch_lines(checked), as_json=as_json)


@app.command(epilog="Example: tagmaker stocks letter-30-67x25 -o sheet.png")
def stocks(
    name: Annotated[
        str | None, typer.Argument(metavar="NAME", help="A stock to draw.", show_default=False)
    ] = None,
    out: Annotated[
        Path | None, typer.Option("-o", "--out", metavar="FILE", help="The picture, .pdf or .png.")
    ] = None,
    job: Annotated[
        Path | None, typer.Option("--job", metavar="JOB", help="A job whose own stocks are listed too.")
    ] = None,
    as_json: AsJson = False,
) -> None:
    """List the label stocks with what each suits and how far it reads, or draw one as it lies."""
    from tagmaker import stock_tools  # noqa: PLC0415 — as above

    folder = _job_folder(job) if job else None
    if name is None:
        rows, problems = stock_tools.listing(folder)
        lines = stock_tools.listing_lines(rows)
        result: dict[str, object] = {"stocks": rows}
    else:
        target = out or Path(f"{name}.pdf")
        problems = stock_tools.draw(name, target, folder)
        lines, result = [f"{target}: {name} as it lies"] if not problems else [], {"out": str(target)}
    _end(problems, result, lines, as_json=as_json)


@app.command(epilog="Example: tagmaker align letter-30-67x25 --first 25.2,25.1 --second 190.1,254.0")
def align(
    stock: Annotated[str, typer.Argument(metavar="STOCK", help="The stock that the printer is fed with.")],
    out: Annotated[
        Path | None, typer.Option("-o", "--out", metavar="FILE", help="The page to print, a PDF.")
    ] = None,
    first: Annotated[
        str | None, typer.Option(metavar="X,Y", help="Where cross 1 was found, in mm from left and top.")
    ] = None,
    second: Annotated[
        str | None, typer.Option(metavar="X,Y", help="Where cross 2 was found, in mm from left and top.")
    ] = None,
    forget: Annotated[bool, typer.Option("--forget", metavar="", help="Forget what was measured.")] = False,
) -> None:
    """Print a page with two crosses, ask where they were found, and make up for it from then on."""
    from tagmaker import stock_tools  # noqa: PLC0415 — as above

    if (first is None) != (second is None):
        raise typer.BadParameter("--first and --second go together")
    if forget:
        problems, lines = stock_tools.forget(stock)
    elif first is None or second is None:
        problems, lines = stock_tools.align_by_asking(stock, out or Path(f"align-{stock}.pdf"), typer.prompt)
    else:
        problems, lines = stock_tools.align(stock, first, second)
    _end(problems, {}, lines, as_json=False)


@app.command(epilog="Example: tagmaker scan example_jobs/clinic/scans.txt --job example_jobs/clinic")
def scan(
    files: Annotated[
        list[Path],
        typer.Argument(metavar="FILES", help="Photos, PDFs, or lines of text; - is standard input."),
    ],
    job: Annotated[
        Path | None, typer.Option("--job", metavar="JOB", help="The job to judge them against.")
    ] = None,
    session: Annotated[
        Path | None,
        typer.Option("--session", metavar="FILE", help="Keep the lines of - here, and go on from them."),
    ] = None,
    rebuild: Annotated[
        bool, typer.Option("--rebuild", metavar="", help="Print the boxes that the codes alone tell of.")
    ] = False,
    as_json: AsJson = False,
) -> None:
    """Say what each code is, whether it is of the job, and whether anything is crossed or differs."""
    from tagmaker import scanning  # noqa: PLC0415 — as above

    quiet = as_json or rebuild
    run_ = scanning.scan(
        files, _job_path(job) if job else None, session, sys.stdin, _silent if quiet else _say_at_once
    )
    result: dict[str, object] = {"boxes": run_.rebuilt()} if rebuild else run_.as_json()
    lines = [json.dumps(result)] if rebuild else scanning.summary_lines(run_)
    _end(run_.problems, result, lines, as_json=as_json, is_wrong=run_.is_wrong)


@app.command(epilog="Example: tagmaker readback example_jobs/bakery/returned --job example_jobs/bakery")
def readback(
    files: Annotated[
        list[Path],
        typer.Argument(metavar="FILES", help="Filled-in walk sheets, the phone's files, or folders of them."),
    ],
    job: Annotated[Path, typer.Option("--job", metavar="JOB", help="The job that was walked.")],
    out: Annotated[
        Path | None, typer.Option("-o", "--out", metavar="FILE", help="Write the punch list, a PDF.")
    ] = None,
    as_json: AsJson = False,
) -> None:
    """Compare what the walk found with the job: as planned, differs or not seen, and what to do."""
    from tagmaker import readback as stages  # noqa: PLC0415 — as above

    result = stages.readback(files, _job_path(job))
    problem = stages.write_punch_list(result, out) if out else None
    problems = [*result.problems, *([problem] if problem else [])]
    lines = stages.readback_lines(result)
    _end(problems, result.as_json(), lines, as_json=as_json, is_wrong=result.is_wrong)


@app.command(
    epilog='Example: tagmaker explain 4 "bank 1: 1 2" --family four-port-boards --wish "A spare, B used"'
)
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
    from tagmaker import explaining  # noqa: PLC0415 — as above

    asked = explaining.Asked(family or "", ports, found, wish or "")
    if not ports:
        asked = explaining.ask(lambda text: str(typer.prompt(text, default="", show_default=False)), asked)
    path = _job_path(job) if job else None
    answer = explaining.explain(asked, path if path is None or path.is_dir() else path.parent)
    _end(answer.problems, {"boards": answer.boards}, answer.lines, as_json=as_json)


def _silent(_line: str) -> None:
    pass


def _say_at_once(line: str) -> None:
    _print([line])


def _upper(tags: list[str] | None) -> tuple[str, ...]:
    return tuple(tag.upper() for tag in tags or ())


def _job_path(job: Path | None) -> Path:
    if job is None:
        typer.echo(BEGIN, err=True)
        raise typer.Exit(2)
    if not job.exists():
        typer.echo(f"{job}: no such folder or file\n    name a folder that holds job.toml", err=True)
        raise typer.Exit(2)
    return job


def _job_folder(job: Path) -> Path:
    path = _job_path(job)
    return path if path.is_dir() else path.parent


def _finish(checked: "Checked", result: dict[str, object], lines: list[str], *, as_json: bool) -> None:
    """End a command that read a job."""
    _end(checked.problems, result, lines, as_json=as_json)


def _end(
    problems: "Iterable[Problem]",
    result: dict[str, object],
    lines: list[str],
    *,
    as_json: bool,
    is_wrong: bool = False,
) -> None:
    """Print what was found and what was done; exit 1 when an error was among it or the site is wrong."""
    from tagmaker.problems import has_errors  # noqa: PLC0415 — as above
    from tagmaker.terminal import problem_lines  # noqa: PLC0415

    found = list(problems)
    if as_json:
        _print([json.dumps({**result, "problems": [each.as_json() for each in found]})])
    else:
        _print(problem_lines(found), err=True)
        _print(lines)
    raise typer.Exit(int(has_errors(found) or is_wrong))


def _print(lines: Iterable[str], *, err: bool = False) -> None:
    """Print lines; a reader that closes the pipe early is no error, so the exit code stays the job's."""
    try:
        for line in lines:
            typer.echo(line, err=err)
    except BrokenPipeError:
        nowhere = os.open(os.devnull, os.O_WRONLY)
        os.dup2(nowhere, (sys.stderr if err else sys.stdout).fileno())
        os.close(nowhere)


def run() -> None:
    """The program's entry point; a sign that the terminal cannot show is spelt out, never a question mark."""
    if isinstance(sys.stdout, io.TextIOWrapper):
        sys.stdout.reconfigure(errors="backslashreplace")
    if isinstance(sys.stdin, io.TextIOWrapper):
        sys.stdin.reconfigure(errors="replace")
    app()
