"""The command `readback`: what the walk found, against the job.

Prints a line a box, below it what is to be mended, noted and not seen, and at the end how far the site is.
Exit code 1 where anything differs or was not seen. -o writes the punch list as a PDF.
"""

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from tagmaker.cli.options import AsJson, PrintedSets, default_out, end, job_folder, job_path
from tagmaker.cli.show import count
from tagmaker.files.plain import is_plain_file

if TYPE_CHECKING:
    from tagmaker.catalog.words import Words
    from tagmaker.site.system.findings import SystemFindings
    from tagmaker.site.walk.findings import BoxFindings
    from tagmaker.workflows.readback import Readback
    from tagmaker.workflows.readback_scans import ScansBack

__all__ = ["readback", "readback_lines"]

OPEN_SHOWN = 8
"""Open points of a system that are shown; the punch list and --json have all."""
UNKNOWN_SHOWN = 6
"""Lines of what was not seen that a box shows; with more, open proofs and signatures are left out too."""


def readback(
    files: Annotated[
        list[Path],
        typer.Argument(
            metavar="FILES",
            help="Filled-in walk and system sheets (forms, photos, scans), phones' files, response tests, "
            "scanned codes, or folders.",
        ),
    ],
    job: Annotated[Path, typer.Option("--job", metavar="JOB", help="The job that was walked.")],
    out: Annotated[
        Path | None, typer.Option("-o", "--out", metavar="FILE", help="Write the punch list, a PDF.")
    ] = None,
    since: PrintedSets = None,
    cuts: Annotated[
        Path | None,
        typer.Option(
            "--cuts",
            metavar="FOLDER",
            help="Write pictures of unclear marks and of handwriting; a new folder.",
        ),
    ] = None,
    as_json: AsJson = False,
) -> None:
    """Compare what the walk found with the job: as planned, differs or not seen, and what to do."""
    from tagmaker.workflows import readback as workflow
    from tagmaker.workflows.punch_list import write_punch_list

    result = workflow.readback(files, job_path(job), printed_sets(job, since))
    written = [
        write_punch_list(result, out) if out else None,
        workflow.write_cuts(result.paper, cuts) if cuts else None,
    ]
    problems = [*result.problems, *filter(None, written)]
    outline, lines = (result.outline, ()) if as_json else (None, readback_lines(result))
    end(problems, outline, lines, as_json=as_json, is_wrong=result.is_wrong)


def printed_sets(job: Path, since: list[Path] | None) -> list[Path]:
    """The sets that were named; else those in the places where `make` puts one, here and beside the job."""
    from tagmaker.revisions.plan_file import find_plan_file

    usual = default_out(job)
    places = dict.fromkeys(place.resolve() for place in (usual, job_folder(job).resolve().parent / usual))
    return since or [place for place in places if is_plain_file(find_plan_file(place))]


def readback_lines(result: "Readback") -> list[str]:
    """Every box, and how many are as planned, differ, or were not seen."""
    from tagmaker.catalog.words import load_words
    from tagmaker.workflows.readback_days import days_lines
    from tagmaker.workflows.readback_response import response_lines

    lines = [
        line
        for each in result.responses
        for line in response_lines(each, load_words(), has_punches=result.is_walked)
    ]
    lines += [line for each in result.days for line in days_lines(each, load_words())]
    if not result.is_walked:
        return [*lines, *_scan_lines(result.scans), *_all_systems(result)]
    lines += [line for box in result.boxes for line in _box_lines(box)]
    lines += _strange_lines(result.scans)
    counts = result.counts
    differ = "differs" if counts.differs == 1 else "differ"
    states = f"{counts.as_planned} as planned, {counts.differs} {differ}, {counts.not_seen} not seen"
    return [*lines, f"{count(len(result.boxes), 'box', 'boxes')}: {states}", *_all_systems(result)]


def _all_systems(result: "Readback") -> list[str]:
    """Every system, where sheets of systems came back, and how many are complete."""
    from tagmaker.catalog.words import load_words
    from tagmaker.workflows.readback_typed import notes_of_systems

    if not result.is_tested:
        return []
    words = load_words()
    notes = notes_of_systems(result.paper, (each.system for each in result.systems), words)
    lines = [line for each in result.systems for line in _system_lines(each, notes[each.system], words)]
    complete = sum(each.state == "complete" for each in result.systems)
    return [*lines, words("system_found.counts", count=complete, of=len(result.systems))]


def _system_lines(found: "SystemFindings", notes: list[str], words: "Words") -> list[str]:
    """A system's result, what is wrong with what to do, notes of what was typed, and what is open."""
    lines = [words("system_found.head", system=found.system, state=found.state)]
    for item in found.wrong:
        lines += [f"    {item.number}. {item.place}: {item.wrong}", f"        do: {item.to_do}"]
    lines += [f"    note {text}" for text in notes]
    lines += [f"    open: {text}" for text in found.open[:OPEN_SHOWN]]
    if more := len(found.open[OPEN_SHOWN:]):
        lines.append(f"    open: {words('system_found.open_more', count=more)}")
    return lines


def _scan_lines(scans: "ScansBack") -> list[str]:
    """What scans found, where no walk came back with them."""
    lines: list[str] = []
    for item in scans.items:
        lines += [f"scanned at {item.box} {item.place}: {item.wrong}", f"    do: {item.to_do}"]
    return [*lines, *_strange_lines(scans)]


def _strange_lines(scans: "ScansBack") -> list[str]:
    """Placards that were scanned and are damaged, or of no box of the job."""
    texts = [(each.scan.source, ", ".join(each.differences)) for each in scans.strange]
    return [f"scanned at {source}: a placard that counts for no box: {text}" for source, text in texts]


def _box_lines(box: "BoxFindings") -> list[str]:
    """A box's result, its punches with what to do, its notes, what was not seen, and open proofs."""
    lines = [f"{box.box}: {box.state}" + (f" ({box.place})" if box.place else "")]
    for punch in box.punches:
        lines.append(f"    {punch.number}. {punch.place}: {punch.wrong}")
        lines.append(f"        do: {punch.to_do}")
        lines += [f"        {sentence}" for sentence in punch.expect]
    lines += [f"    note: {text}" for text in box.notes]
    lines += [f"    unknown: {text}" for text in box.unknown[:UNKNOWN_SHOWN]]
    if len(box.unknown) > UNKNOWN_SHOWN:
        lines.append(f"    unknown: {len(box.unknown) - UNKNOWN_SHOWN} more")
    if box.unproved:
        lines.append(f"    not proved: {', '.join(box.unproved)}")
    if box.open_roles:
        lines.append(f"    not signed with name and date: {', '.join(box.open_roles)}")
    return lines
