"""Everything that one box prints, laid out; the unit of work of a run."""

from dataclasses import dataclass

from tagmaker.catalog.words import Words
from tagmaker.job.records import Job
from tagmaker.marks import Page
from tagmaker.plan.records import BoxPlan
from tagmaker.problems import Problem
from tagmaker.sheets.alike import fit_alike
from tagmaker.sheets.bands import Band, bands_of
from tagmaker.sheets.checks import check_fit
from tagmaker.sheets.label import FittedLabel
from tagmaker.sheets.placard import placard_pages
from tagmaker.sheets.place import stock_of
from tagmaker.sheets.walk import walk_pages
from tagmaker.tags.kits import box_tags
from tagmaker.tags.part import Part

__all__ = ["FittedBox", "fit_box"]


@dataclass(frozen=True)
class FittedBox:
    """A box's labels in print order, its placard's and walk sheet's pages, and its bands."""

    box: BoxPlan
    labels: tuple[FittedLabel, ...]
    placard: tuple[Page, ...]
    walk: tuple[Page, ...]
    bands: tuple[Band, ...]


def fit_box(job: Job, box: BoxPlan, words: Words, part: Part) -> tuple[FittedBox, list[Problem]]:
    """A box laid out, as far as the part to print takes it, with every problem of its media and texts."""
    labels, problems = _labels(job, box, words, part)
    if not part.has_sheets:
        return FittedBox(box, labels, (), (), ()), problems
    placard, found = placard_pages(job, box, job.prints.stocks["placard"], words)
    walk, found_in_walk = walk_pages(job, box, words, blind=part.blind)
    bands, found_in_bands = bands_of(job, box, words)
    problems += [*found, *found_in_walk, *found_in_bands]
    return FittedBox(box, labels, placard, walk, tuple(bands)), problems


def _labels(
    job: Job, box: BoxPlan, words: Words, part: Part
) -> tuple[tuple[FittedLabel, ...], list[Problem]]:
    labels: list[FittedLabel] = []
    problems: list[Problem] = []
    for tag in box_tags(job, box, words, part.stage):
        if not part.takes(tag):
            continue
        stock = stock_of(job, tag)
        misfit = check_fit(tag, stock, job.folder)
        label, found = fit_alike(tag, stock, words) if not misfit else (None, ())
        labels += [label] if label else []
        problems += [*misfit, *found]
    return tuple(labels), problems
