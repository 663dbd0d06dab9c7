"""The stages in order: read → plan → check → tag → fit → place → draw → commit."""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from tagmaker.catalog.faces import all_faces
from tagmaker.catalog.tables import did_you_mean
from tagmaker.catalog.words import Words, load_words
from tagmaker.draw.pdf import draw_pdf
from tagmaker.job.read import read_job
from tagmaker.job.records import Job
from tagmaker.marks import Page
from tagmaker.plan.make import plan_job
from tagmaker.plan.records import BoxPlan, Plan
from tagmaker.problems import Problem, Where, error, for_boxes, has_errors
from tagmaker.records.commit import OutputRefused, open_stage
from tagmaker.records.plan_file import PLAN_FILE, plan_json
from tagmaker.records.register import register_csv, tags_file
from tagmaker.sheets.label import FittedLabel, fit_label
from tagmaker.sheets.placard import placard_pages
from tagmaker.sheets.place import Placed, place_labels, stock_of, tag_pages
from tagmaker.sheets.walk import walk_pages
from tagmaker.tags.kits import box_tags

__all__ = ["Checked", "Made", "check", "make", "plan"]

Progress = Callable[[int, int], None]
"""Called with boxes done and boxes in all."""


@dataclass(frozen=True)
class Checked:
    """A job as planned (None where it cannot be) and all that is wrong with it, in the files' order."""

    plan: Plan | None
    problems: tuple[Problem, ...]


@dataclass(frozen=True)
class FittedBox:
    """Everything that one box prints, laid out."""

    labels: tuple[FittedLabel, ...]
    placard: tuple[Page, ...]
    walk: tuple[Page, ...]


@dataclass(frozen=True)
class Made:
    """What `make` did: the files of the set with their pages, and how much of each thing there is."""

    checked: Checked
    files: tuple[tuple[str, int], ...] = ()
    tags: int = 0
    boxes: int = 0


def plan(path: Path, only: Sequence[str] = ()) -> Checked:
    """Read and plan a job; `only` limits boxes and problems to those tags."""
    job, problems = read_job(path)
    if job is None:
        return Checked(None, _sorted(problems))
    planned, found = plan_job(job)
    wanted = [tag.upper() for tag in only]
    known = {row.key: row.tag for row in job.boxes}
    unknown = [
        error("box-unknown", f"the job has no box {tag!r}", Where("--box"), did_you_mean(tag, known.values()))
        for tag in only
        if tag.upper() not in known
    ]
    boxes = tuple(box for box in planned.boxes if not wanted or box.row.key in wanted)
    told = for_boxes((*problems, *found), wanted)
    return Checked(replace(planned, boxes=boxes), _sorted((*told, *unknown)))


def check(path: Path, only: Sequence[str] = ()) -> Checked:
    """Everything that `make` would stop at, nothing written."""
    checked, _ = _fitted(plan(path, only), load_words(), _silent)
    return checked


def make(path: Path, out: Path, only: Sequence[str] = (), progress: Progress | None = None) -> Made:
    """Write the whole set of a job into OUT, or nothing where the job has errors."""
    checked, fitted = _fitted(plan(path, only), load_words(), progress or _silent)
    if checked.plan is None or has_errors(checked.problems):
        return Made(checked)
    try:
        return _write(checked, checked.plan, fitted, out, only)
    except OutputRefused as refused:
        return Made(replace(checked, problems=(*checked.problems, refused.problem)))


def _silent(_done: int, _of: int) -> None:
    pass


def _sorted(problems: Iterable[Problem]) -> tuple[Problem, ...]:
    """In the order of files and lines; of one place, in the order found."""
    return tuple(sorted(problems, key=lambda problem: (problem.where.file, problem.where.line)))


def _fitted(checked: Checked, words: Words, progress: Progress) -> tuple[Checked, list[FittedBox]]:
    """Every box laid out, so that every problem is known before there is ink."""
    if checked.plan is None or len(checked.plan.job.stocks) < STOCKS:
        return checked, []
    problems = list(checked.problems)
    boxes: list[FittedBox] = []
    for number, box in enumerate(checked.plan.boxes, start=1):
        fitted, found = _fit_box(checked.plan.job, box, words)
        boxes.append(fitted)
        problems += found
        progress(number, len(checked.plan.boxes))
    return replace(checked, problems=_sorted(problems)), boxes


STOCKS = 5  # every key of [print] has a stock, unless one could not be read


def _fit_box(job: Job, box: BoxPlan, words: Words) -> tuple[FittedBox, list[Problem]]:
    labels: list[FittedLabel] = []
    problems: list[Problem] = []
    for tag in box_tags(job, box, words):
        label, found = fit_label(tag, stock_of(job, tag), words)
        labels += [label] if label else []
        problems += found
    placard, found = placard_pages(job, box, job.stocks["placard"], words)
    problems += found
    walk, found = walk_pages(job, box, words)
    return FittedBox(tuple(labels), placard, walk), [*problems, *found]


def _write(checked: Checked, planned: Plan, fitted: list[FittedBox], out: Path, only: Sequence[str]) -> Made:
    job = planned.job
    placed = place_labels((label for box in fitted for label in box.labels), job)
    documents: dict[str, list[Page]] = {}
    for stock, each in _by_stock(placed).items():
        documents[tags_file(stock)] = list(tag_pages(each))
    documents["placards.pdf"] = [page for box in fitted for page in box.placard]
    documents["walk.pdf"] = [page for box in fitted for page in box.walk]
    title = " ".join(part for part in (job.number, job.name) if part)
    names = [*documents, "register.csv"]
    with open_stage(out, partial=bool(only)) as stage:
        for name, pages in documents.items():
            stage.write(name, draw_pdf(f"{title} – {name}", job.prepared_by, pages, all_faces()))
        stage.write("register.csv", register_csv(placed))
        stage.write(PLAN_FILE, plan_json(planned, names, checked.problems, only))
        stage.finish()
    files = ((name, len(pages)) for name, pages in documents.items())
    return Made(checked, (*files, ("register.csv", 0), (PLAN_FILE, 0)), len(placed), len(fitted))


def _by_stock(placed: Iterable[Placed]) -> dict[str, list[Placed]]:
    groups: dict[str, list[Placed]] = {}
    for each in placed:
        groups.setdefault(each.stock.name, []).append(each)
    return groups
