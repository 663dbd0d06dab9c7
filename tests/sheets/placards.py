"""Placards of sketched boxes, as tests look at them."""

from tagmaker.catalog.family import Family
from tagmaker.problems import Problem
from tagmaker.sheets.page_head import PAGE_CAPS
from tagmaker.sheets.placard import placard_pages
from tests.sheets.printed import Pages, faults, texts
from tests.strategies import JobSketch, first_box, stock_named, words


def pages_of(sketch: JobSketch, family: Family | None = None) -> tuple[Pages, tuple[Problem, ...]]:
    """The placard of a job's first box."""
    job = sketch.record(family)
    return placard_pages(job, first_box(job), job.prints.stocks["placard"], words())


def pages_in_order(sketch: JobSketch, family: Family | None = None) -> Pages:
    """The placard of a box that must fit and read back without a fault."""
    pages, problems = pages_of(sketch, family)
    assert [problem.message for problem in problems] == []
    assert faults(pages, margin_mm=margin_of(sketch), least_mm=PAGE_CAPS) == []
    return pages


def margin_of(sketch: JobSketch) -> float:
    """The margin of the placard's stock: no ink is nearer to the page's edge."""
    return stock_named(dict(sketch.stocks)["placard"]).margin


def paragraph(pages: Pages) -> str:
    """All texts in one line, so that a sentence may be looked for across its lines."""
    return " ".join(texts(pages))
