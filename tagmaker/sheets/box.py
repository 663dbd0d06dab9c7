"""Everything that one box prints, laid out; the unit of work of a run.

Takes a planned box and what of the job is printed; gives labels, placard, sheet and bands with every
problem. No box knows another, so that boxes can be laid out by two processes.
"""

import datetime as dt
from collections.abc import Callable, Iterable
from functools import partial

from msgspec import Struct
from msgspec.structs import replace

from tagmaker.catalog.stock import Stock
from tagmaker.catalog.words import Words
from tagmaker.draw.marks import Page, part
from tagmaker.job.model import Job
from tagmaker.plan.model import BoxPlan
from tagmaker.problems import Problem
from tagmaker.revisions.issued import IssuedBox
from tagmaker.revisions.issuing import issued_box
from tagmaker.revisions.selection import Selection
from tagmaker.sheets.band_sheets import Band
from tagmaker.sheets.bands import bands_of
from tagmaker.sheets.checks import check_fit
from tagmaker.sheets.label import NO_WIDEST, FittedLabel
from tagmaker.sheets.label_cache import Finish, fit_cached
from tagmaker.sheets.label_needs import Widest
from tagmaker.sheets.placard import placard_pages
from tagmaker.sheets.place import stock_of
from tagmaker.sheets.walk import walk_pages
from tagmaker.tags.kits import box_tags
from tagmaker.tags.model import Tag

__all__ = ["FittedBox", "LabelWay", "fit_box", "fit_tag"]

Fit = Callable[[Tag, Stock], tuple[FittedLabel | None, tuple[Problem, ...]]]
"""Lays a tag out on its stock."""


class FittedBox(Struct, frozen=True):
    """A box's labels in print order, its placard's and walk sheet's pages, its bands, and its records."""

    box: BoxPlan
    issued: IssuedBox
    labels: tuple[FittedLabel, ...]
    placard: tuple[Page, ...]
    walk: tuple[Page, ...]
    bands: tuple[Band, ...]


class LabelWay(Struct, frozen=True):
    """How labels are fitted: sizes follow from the widest texts of the job; with `inks` they are ink."""

    widest: Widest = NO_WIDEST
    inks: bool = False


AS_MARKS = LabelWay()


def fit_box(
    job: Job, box: BoxPlan, words: Words, selection: Selection, way: LabelWay = AS_MARKS
) -> tuple[FittedBox, list[Problem]]:
    """A box laid out, as far as the selection takes it, with every problem of its media and texts."""
    tags = box_tags(job, box, words, selection.stage)
    if selection.baseline:
        tags = tuple(selection.baseline.dated(tag, words) for tag in tags)
    issued = selection.baseline.box(job, box, tags) if selection.baseline else issued_box(job, box, tags)
    hanging = selection.on_site(issued)
    finish: Finish = ("ink" if way.inks else "marks") if selection.has_marks else "none"
    fit = partial(fit_cached, words=words, widest=way.widest, finish=finish)
    printed = (tag for tag in tags if tag.code not in hanging)
    labels, problems = _labels(job, printed, fit, selection, inks=way.inks)
    placard: tuple[Page, ...] = ()
    walk: tuple[Page, ...] = ()
    bands: list[Band] = []
    if selection.prints_placard(issued):
        date = dt.date.fromisoformat(issued.placard.date) if issued.placard.date else None
        dated = replace(job, revision=issued.placard.revision, date=date)
        placard, found = placard_pages(dated, box, job.prints.stocks["placard"], words)
        problems += found
    if selection.prints_walk(issued):
        walk, found = walk_pages(job, box, words, blind=selection.blind)
        problems += found
    if selection.prints_bands(issued):
        bands, found_in_bands = bands_of(job, box, words)
        problems += found_in_bands
    return FittedBox(box, issued, labels, placard, walk, tuple(bands)), problems


def _labels(
    job: Job, tags: Iterable[Tag], fit: Fit, selection: Selection, *, inks: bool
) -> tuple[tuple[FittedLabel, ...], list[Problem]]:
    """The labels that are printed; a tag whose stock does not fit is reported and not laid out."""
    labels: list[FittedLabel] = []
    problems: list[Problem] = []
    for tag in tags:
        if not selection.takes(tag, job.prints):
            continue
        label, found = fit_tag(job, tag, fit)
        if label and inks:
            labels.append(label)
        elif label:  # read aloud as one paragraph, as ink is
            labels.append(replace(label, marks=part("P", label.marks)))
        problems += found
    return tuple(labels), problems


def fit_tag(job: Job, tag: Tag, fit: Fit) -> tuple[FittedLabel | None, tuple[Problem, ...]]:
    """A tag laid out on its stock; None, with the problems, where the stock or the label does not fit."""
    stock = stock_of(job, tag)
    misfit = check_fit(tag, stock, job.folder)
    return (None, misfit) if misfit else fit(tag, stock)
