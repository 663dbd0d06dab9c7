"""The command `scan`: what each scanned code is, and whether anything is crossed or a placard differs.

Prints a line a scan as it comes, then a result a terminal and what that proves. Exit code 1 where anything is
crossed, unknown or not of the job, or differs. `--json` prints scans and terminals; `--rebuild` prints the
boxes that the paper gives.
"""

import sys
from collections import Counter
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from tagmaker.cli.options import AsJson, Since, end, job_path, json_object, print_lines

if TYPE_CHECKING:
    from collections.abc import Iterable

    from tagmaker.site.scans.landing import PortResult
    from tagmaker.workflows.scan import Answer, Scanned

__all__ = ["answer_lines", "scan", "summary_lines"]

MANY = {
    "tag": "tags", "placard": "placards", "walk page": "walk pages", "system page": "system pages",
    "response page": "response pages", "first-days page": "first-days pages", "unknown": "unknown",
}  # fmt: skip
NOT_SCANNED = "not scanned"


def scan(
    files: Annotated[
        list[Path],
        typer.Argument(
            metavar="FILES", help="Photos, PDFs, or text files with one code per line; - is standard input."
        ),
    ],
    job: Annotated[
        Path | None, typer.Option("--job", metavar="JOB", help="The job to compare the codes with.")
    ] = None,
    session: Annotated[
        Path | None,
        typer.Option(
            "--session",
            metavar="FILE",
            help="Store the lines read from - in this file, and resume from them.",
        ),
    ] = None,
    since: Since = None,
    rebuild: Annotated[
        bool,
        typer.Option(
            "--rebuild", metavar="", help="Rebuild the boxes from the codes alone and print them as JSON."
        ),
    ] = False,
    as_json: AsJson = False,
) -> None:
    """Identify each code; report whether it belongs to the job and whether anything is crossed or differs."""
    from tagmaker.workflows import scan as workflow

    if since and not job:
        raise typer.BadParameter("--since goes with --job")
    against = workflow.Against(job_path(job) if job else None, since)
    on_answer = _ignore if as_json or rebuild else _print_answer
    done = workflow.scan(files, against, session, sys.stdin, on_answer)
    lines = [json_object(done.rebuilt)] if rebuild else summary_lines(done)
    result = done.rebuilt if rebuild else done.outline
    end(done.problems, result, lines, as_json=as_json, is_wrong=done.is_wrong)


def _ignore(_answer: "Answer") -> None:
    """With --json or --rebuild nothing is printed before the end."""


def _print_answer(answer: "Answer") -> None:
    print_lines(answer_lines(answer))


def answer_lines(answer: "Answer") -> list[str]:
    """The answer to one scan: for a port's tag the landing check's line, where there is one.

    For anything else what the code is and how it differs, and whether it closes a terminal.
    """
    from tagmaker.workflows.scan_words import verdict_line

    tag = answer.verdict.scan.tag
    if answer.landing and tag and tag.port:
        return [answer.landing]
    lines = [verdict_line(answer.verdict), *(f"    {each}" for each in answer.verdict.differences)]
    return [*lines, answer.landing] if answer.landing else lines


def summary_lines(done: "Scanned") -> list[str]:
    """How much was scanned; each terminal that was, those that were not, and what that proves."""
    from tagmaker.site.scans.landing import PROVES

    counts = Counter(verdict.scan.kind for verdict in done.verdicts)
    counted = [f"{count} {kind if count == 1 else MANY[kind]}" for kind, count in counts.items()]
    lines = [f"scanned: {', '.join(counted) or 'nothing'}"]
    if not done.results:
        return lines
    scanned = [result for result in done.results if result.result != NOT_SCANNED]
    lines += ["", *(line for result in scanned for line in _result_lines(result))]
    return [*lines, *_left_lines(done.results), "", PROVES]


def _left_lines(results: "Iterable[PortResult]") -> list[str]:
    """A line a box with the letters of its terminals that were not scanned."""
    left: dict[str, list[str]] = {}
    for result in results:
        if result.result == NOT_SCANNED:
            left.setdefault(result.box, []).append(result.letter)
    return [f"{box}: {NOT_SCANNED}: {' '.join(letters)}" for box, letters in left.items()]


def _result_lines(result: "PortResult") -> list[str]:
    """A terminal's result with what is missing; each crossing with how to mend it."""
    name = f"{result.box} {result.letter}"
    missing = f"; missing: {', '.join(result.missing)}" if result.missing else ""
    closed = f"; closed by {result.closed}" if result.closed else ""
    if result.result != "crossed":
        return [f"{name}: {'tags agree' if result.result == 'agree' else 'not complete'}{missing}{closed}"]
    lines = [f"{name}: CROSSED{missing}{closed}"]
    for each in result.crossings:
        lines += [f"    {each.message}", f"    {each.mend}"]
    return lines
