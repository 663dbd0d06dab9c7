"""The stages between plan and ink: fit every box → check stocks → place labels → lay out every document.

Takes a planned job; gives its documents and all problems that are known only once texts are fitted to labels
and labels to sheets. Nothing is written, so `check` runs the same stages as `make` and reports the same.
"""

from collections.abc import Callable, Iterator
from pathlib import Path

from msgspec.structs import replace

from tagmaker.catalog.words import load_words
from tagmaker.draw.ink import Put
from tagmaker.job.model import Job
from tagmaker.problems import Problem, Where, error, for_boxes, has_errors, warning
from tagmaker.revisions.baseline import Baseline
from tagmaker.revisions.issued import Issued
from tagmaker.revisions.order import is_before
from tagmaker.revisions.plan_file import SetHead, foreign, read_plan_file, unproved
from tagmaker.revisions.selection import Selection
from tagmaker.sheets.bands import check_bands
from tagmaker.sheets.checks import check_letters, check_placards, check_sides, check_stocks
from tagmaker.sheets.final_stage import check_final_stage
from tagmaker.sheets.label_needs import widest_of
from tagmaker.tags.refrigerant import check_refrigerant
from tagmaker.tags.walk import JobIdentity, relation
from tagmaker.workflows.cores import Workers
from tagmaker.workflows.documents import add_apart, lay_out_documents
from tagmaker.workflows.fitting import Fitter, fit_boxes
from tagmaker.workflows.laid_out import LaidOut
from tagmaker.workflows.planning import Checked, PartUsed, StockNeed, in_order, plan

__all__ = [
    "Progress",
    "begin_layout",
    "check_skip",
    "lay_out",
    "planned",
    "unrevised",
    "whole",
    "with_baseline",
]

Progress = Callable[[int, int], None]
"""Called with boxes done and boxes in all."""


def with_baseline(selection: Selection) -> tuple[Selection, list[Problem]]:
    """The selection with the earlier set that its `since` names; a problem where that cannot be read."""
    if selection.since is None:
        return selection, []
    earlier = read_plan_file(selection.since)
    if isinstance(earlier, Problem):
        return selection, [earlier]
    return replace(selection, baseline=Baseline(earlier)), unproved(earlier, selection.since)


def planned(path: Path, selection: Selection) -> Checked:
    """The job as planned, with the amounts weighed in where returned sheets are named."""
    if not selection.weighed_in:
        return plan(path, selection)
    from tagmaker.workflows.weighed_in import plan_weighed  # noqa: PLC0415 — heavy, and most sets need none

    return plan_weighed(path, selection)


def lay_out(
    checked: Checked, selection: Selection, progress: Progress, *, inks: Put | None
) -> tuple[Checked, LaidOut | None]:
    """Every document of the selected boxes, and the job's problems with those of the layout."""
    return begin_layout(checked, selection, progress, None, inks=inks)


def whole(checked: Checked, laid_out: LaidOut) -> Checked:
    """What was checked, with the documents that are laid out apart, and their problems."""
    return replace(checked, problems=in_order((*checked.problems, *add_apart(laid_out))))


def begin_layout(
    checked: Checked, selection: Selection, progress: Progress, workers: Workers | None, *, inks: Put | None
) -> tuple[Checked, LaidOut | None]:
    """The same, but documents that processes lay out apart are only begun: `whole` adds them.

    With `inks` pages are ink, which waits where that puts it, else plain marks, which are all that checks
    need. Gives None for the layout where the job cannot be planned or a stock is unknown. Where bands are
    wrong for the whole job, boxes are still fitted, so that their problems are reported in the same run;
    nothing is placed.
    """
    if checked.plan is None or not checked.plan.job.prints.is_whole:
        return checked, None
    job, words = checked.plan.job, load_words()
    laid_out = LaidOut(job, selection, checked.plan.systems, inks)
    problems: list[Problem] = [*check_bands(job), *check_refrigerant(job)]
    stopped = has_errors(problems)
    widest = widest_of((box.shown for box in job.boxes), (unit.tag for unit in job.units))
    fitter = Fitter(job, words, selection, inks is not None, widest)
    boxes = fit_boxes(fitter, checked.plan.boxes, progress)
    for box, (fitted, found) in zip(checked.plan.boxes, boxes, strict=True):
        laid_out.add(box, fitted)
        problems += found
    laid_out.close()
    problems += _check_extras(laid_out)
    problems += _check_media(laid_out)
    problems += check_final_stage(job, selection)
    if selection.baseline:
        problems += unrevised(laid_out, selection.baseline.issued)
        own, where = JobIdentity(job.number, job.name), Where((selection.since or Path()).as_posix())
        problems += foreign(selection.baseline.issued.job, own, where)
    if stopped:
        laid_out.stacks.clear()
    else:
        problems += lay_out_documents(laid_out, words, workers)
    checked = replace(
        checked,
        problems=in_order((*checked.problems, *problems)),
        sheets=_sheets(laid_out),
        part_used=tuple(_part_used(laid_out)),
    )
    return (checked if workers and workers.processes else whole(checked, laid_out)), laid_out


def check_skip(laid_out: LaidOut) -> Iterator[Problem]:
    """Refuse to skip a whole sheet or more: what was meant is unknown then."""
    skip = laid_out.selection.skip
    for stock in (stack.last.stock for stack in laid_out.stacks.values()):
        if stock.kind == "sheet" and skip >= stock.per_page:
            message = f"{skip} labels cannot be skipped: a sheet of {stock.name} has {stock.per_page}"
            hint = f"skip at most {stock.per_page - 1}; --stage and --kit print one stock at a time"
            yield error("value-wrong", message, Where("--skip"), hint)


def _check_extras(laid_out: LaidOut) -> Iterator[Problem]:
    """The problems of what few jobs ask for: labels of isolation points, signs of systems."""
    job = laid_out.job
    if "isolation" in job.prints.stocks:
        from tagmaker.sheets.isolation_list import check_isolation  # noqa: PLC0415 — see above

        yield from for_boxes(check_isolation(job), laid_out.selection.boxes)
    if "sign" in job.prints.stocks:
        from tagmaker.sheets.sign import check_signs  # noqa: PLC0415 — see above

        yield from check_signs(job, laid_out.systems)


def _check_media(laid_out: LaidOut) -> Iterator[Problem]:
    """The problems that only all labels and placards together show: letters too small, stocks that misfit."""
    job, labels = laid_out.job, laid_out.alike
    yield from check_letters(labels, job.prints.stocks, job.folder)
    yield from check_stocks(labels.tags(), job.prints.stocks)
    yield from check_sides(labels.tags(), job.prints.stocks)
    yield from check_placards(laid_out.placards, job)


def unrevised(laid_out: LaidOut, earlier: SetHead | Issued | Problem) -> list[Problem]:
    """A warning where the job differs from an earlier set, and its revision or date is not later.

    Equal digests mean that the printed text is the same. A set of some boxes only is not compared: its
    digest covers less. An earlier set that cannot be read is reported elsewhere, or is simply not there.
    """
    job: Job = laid_out.job
    if not isinstance(earlier, Problem) and (other := _of_another(job, earlier)):
        return [other] if laid_out.selection.baseline is None else []  # else it is reported already
    if laid_out.selection.boxes or isinstance(earlier, Problem) or earlier.digest == laid_out.digest:
        return []
    date = job.date.isoformat() if job.date else ""
    if earlier.job.revision == job.revision:
        but = "its revision is the same"
    elif is_before(job.revision, earlier.job.revision):
        but = f"its revision {job.revision} is an earlier one"
    elif date and date < earlier.job.date:
        but = f"its date {date} is before {earlier.job.date}"
    else:
        return []
    message = f"the job differs from the set of revision {earlier.job.revision}, but {but}"
    hint = "give [job] a new revision, so that old and new sheets can be distinguished"
    if but.startswith("its date"):
        hint = "give [job] the date of this revision, so that the newer sheets are known as such"
    return [warning("revision-unchanged", message, job.where, hint)]


def _of_another(job: Job, earlier: SetHead | Issued) -> Problem | None:
    """A warning where the set that is there is of another job; `make` replaces it as any other."""
    was, now = JobIdentity(earlier.job.number, earlier.job.name), JobIdentity(job.number, job.name)
    if relation(was, now) != "another":
        return None
    message = f"the set in the output folder is of another job: {was}, not {now}"
    hint = "give each job an output folder of its own with -o; make the set that was replaced again"
    return warning("plan-foreign", message, job.where, hint)


def _sheets(laid_out: LaidOut) -> tuple[StockNeed, ...]:
    """What printing takes of each stock, and of what is cut apart, in print order."""
    needs: dict[str, StockNeed] = {}
    for each in laid_out.documents:
        if not each.stock and not each.pieces:
            continue
        need = StockNeed(each.file, 0, 0, "band") if each.stock is None else StockNeed(each.stock.name, 0, 0)
        need = needs.get(need.stock, need)
        needs[need.stock] = replace(
            need, labels=need.labels + each.pieces, pages=need.pages + len(each.sheets)
        )
    return tuple(needs.values())


def _part_used(laid_out: LaidOut) -> Iterator[PartUsed]:
    """The last sheets that have labels left, so that a later set can go on there.

    Labels are placed in print order, so the last one of a stock is on its last sheet.
    """
    for name, last in ((name, stack.last) for name, stack in laid_out.stacks.items()):
        if last.stock.kind == "sheet" and last.place < last.stock.per_page:
            yield PartUsed(name, used=last.place, left=last.stock.per_page - last.place)
