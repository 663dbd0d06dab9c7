"""Lay out a planned job: every box, every label's place, every document; nothing is written yet."""

from collections.abc import Callable, Iterable, Iterator

from msgspec.structs import replace

from tagmaker.catalog.words import Words
from tagmaker.job.model import Job
from tagmaker.problems import Problem, has_errors, warning
from tagmaker.revisions.baseline import Baseline
from tagmaker.revisions.issued import Issued
from tagmaker.revisions.plan_file import read_plan_file
from tagmaker.revisions.selection import Selection
from tagmaker.sheets.bands import check_bands
from tagmaker.sheets.checks import check_letters, check_placards, check_stocks
from tagmaker.sheets.place import Placed, place_labels
from tagmaker.workflows.documents import LaidOut, lay_out_documents
from tagmaker.workflows.planning import Checked, in_order
from tagmaker.workflows.two_processes import Fitter, fit_on_two_cores

__all__ = ["Progress", "lay_out", "unrevised", "with_baseline"]

Progress = Callable[[int, int], None]
"""Called with boxes done and boxes in all."""


def with_baseline(selection: Selection) -> tuple[Selection, list[Problem]]:
    """The selection with the earlier set that it names, read from its plan.json."""
    if selection.since is None:
        return selection, []
    earlier = read_plan_file(selection.since)
    if isinstance(earlier, Problem):
        return selection, [earlier]
    return replace(selection, baseline=Baseline(earlier)), []


def lay_out(
    checked: Checked, selection: Selection, words: Words, progress: Progress, *, inks: bool
) -> tuple[Checked, LaidOut | None]:
    """Every document of the selected boxes, and all problems that are known only once they are laid out.

    Pages are packed ink where `inks`, plain marks where nothing is to be printed. None where the job's
    stocks are unknown.
    """
    if checked.plan is None or not checked.plan.job.prints.is_whole:
        return checked, None
    job = checked.plan.job
    laid_out = LaidOut(job, selection)
    problems: list[Problem] = list(check_bands(job))
    stopped = has_errors(problems)
    for fitted, found in fit_on_two_cores(Fitter(job, words, selection, inks), checked.plan.boxes, progress):
        laid_out.boxes.append(fitted)
        problems += found
    problems += _check_media(laid_out)
    if selection.baseline:
        problems += unrevised(laid_out, selection.baseline.issued)
    if not stopped:
        labels = (label for box in laid_out.boxes for label in box.labels)
        laid_out.placed = place_labels(labels, job, selection.skip)
        problems += lay_out_documents(laid_out, words)
    told = in_order((*checked.problems, *problems))
    part_used = tuple(_part_used(laid_out.placed))
    return replace(checked, problems=told, sheets=_sheets(laid_out), part_used=part_used), laid_out


def _check_media(laid_out: LaidOut) -> Iterator[Problem]:
    """What the stocks say of all labels and placards together."""
    job, labels = laid_out.job, [label for box in laid_out.boxes for label in box.labels]
    yield from check_letters(labels, job.prints.stocks, job.folder)
    yield from check_stocks((label.tag for label in labels), job.prints.stocks)
    yield from check_placards([box.placard for box in laid_out.boxes], job)


def unrevised(laid_out: LaidOut, earlier: Issued | Problem) -> list[Problem]:
    """A warning where the job says something else than an earlier set of the same revision."""
    job: Job = laid_out.job
    if laid_out.selection.boxes or isinstance(earlier, Problem) or earlier.job.revision != job.revision:
        return []
    if earlier.digest == laid_out.issued.digest:
        return []
    message = f"the job differs from the set of revision {job.revision}, and its revision is the same"
    hint = "give [job] a new revision, so that old and new paper can be told apart"
    return [warning("revision-unchanged", message, job.where, hint)]


def _sheets(laid_out: LaidOut) -> tuple[tuple[str, int, int], ...]:
    """(stock, labels, pages) of each document that is printed on a stock."""
    return tuple(
        (each.stock.name, len(each.labels), len(each.pages)) for each in laid_out.documents if each.stock
    )


def _part_used(placed: Iterable[Placed]) -> Iterator[tuple[str, int, int]]:
    """The last sheets that have labels left, so that a later set can go on there."""
    last_of = {each.stock.name: each for each in placed}
    for name, last in last_of.items():
        if last.stock.kind == "sheet" and last.place < last.stock.per_page:
            yield name, last.place, last.stock.per_page - last.place
