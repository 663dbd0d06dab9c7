"""The placard of a box: planned switch settings as pictures and words, port loads, cautions, the code.

Takes a planned box and the placard's stock; gives its pages. A letter or A4 page holds all of a common box;
smaller pages have ports and codes on a page of their own, and boards that a page cannot hold go on overleaf.
The same text is in two codes at opposite corners, since one code does not survive a blot on it at any level
of recovery, and two do. How large they are: `placard_codes.py`.
"""

from tagmaker.catalog.stock import Stock
from tagmaker.catalog.words import Words
from tagmaker.draw.marks import Page
from tagmaker.job.model import Job
from tagmaker.plan.model import BoxPlan
from tagmaker.problems import Problem
from tagmaker.sheets.board_grid import LABEL_SIZES, PAGE_SIZES
from tagmaker.sheets.placard_parts import WIDE_PAGE
from tagmaker.sheets.placard_small import SmallPlacard
from tagmaker.sheets.placard_wide import WidePlacard
from tagmaker.typeset.canvas import Layout

__all__ = ["list_caps", "placard_pages"]


def list_caps(page_width: float) -> float:
    """Capitals of the list of what is ON on a page of that width, where boxes are of usual sizes."""
    return (PAGE_SIZES if page_width >= WIDE_PAGE else LABEL_SIZES).listed


def placard_pages(
    job: Job, box: BoxPlan, stock: Stock, words: Words
) -> tuple[tuple[Page, ...], tuple[Problem, ...]]:
    """The pages of a box's placard, with the problems of texts that do not fit."""
    layout = Layout(f"placard of {box.row.tag}", box.row.where, box.row.key)
    kind = WidePlacard if stock.page[0] >= WIDE_PAGE else SmallPlacard
    placard = kind(job, box, stock, words, layout)
    placard.lay_out()
    return placard.pages(), tuple(layout.problems)
