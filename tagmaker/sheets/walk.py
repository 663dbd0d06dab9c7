"""The verification sheet of a box: how its switches are found, a line a letter, items, signatures.

Takes a planned box; gives its pages: one for a box of up to 12 ports, as a rule. Every page is headed with
the box, its job and a code that names the page; what one page does not hold goes on the next. Blind sheets
leave out what is expected, for a check that is not led by it. Names of fields are `tags.fields`', which the
reader of returned forms uses too.
"""

from collections.abc import Sequence

from tagmaker.catalog.words import Words
from tagmaker.draw.marks import Page
from tagmaker.job.model import Job
from tagmaker.plan.model import BoxPlan
from tagmaker.problems import Problem
from tagmaker.sheets.paper import paper_size
from tagmaker.sheets.walk_boards import board_parts, boards_title
from tagmaker.sheets.walk_flow import Part, Section, fill, paged
from tagmaker.sheets.walk_head import WalkHead
from tagmaker.sheets.walk_items import fits_in, item_section, sign_section
from tagmaker.sheets.walk_pen import TITLE, WalkPen
from tagmaker.sheets.walk_ports import port_section
from tagmaker.tags.walk import digests
from tagmaker.tags.walk_code import sheet_of
from tagmaker.typeset.canvas import Layout

__all__ = ["walk_pages"]

COLUMNS = (1, 2)  # of items


def walk_pages(
    job: Job, box: BoxPlan, words: Words, *, blind: bool = False
) -> tuple[tuple[Page, ...], tuple[Problem, ...]]:
    """The pages of a box's verification sheet, with the problems of texts that do not fit."""
    layout = Layout(f"verification sheet of {box.row.tag}", box.row.where, box.row.key)
    pen = WalkPen(job, box, words, layout, blind)
    size, planned = paper_size(job), digests(job, box)
    head = WalkHead(pen, size, sheet_of(job, box, 1, planned), planned)
    body = head.body()
    sheets = _sheets(pen, body.width, body.height)
    pages: list[Page] = []
    for number, parts in enumerate(sheets, start=1):
        head.draw(number, len(sheets))
        for part, frame in fill(parts, body):
            part.draw(frame)
        pages.append(Page(*size, tuple(layout.marks)))
        layout.marks = []
    return tuple(pages), tuple(layout.problems)


def _sheets(pen: WalkPen, width: float, height: float) -> list[list[Part]]:
    """The parts of each page: items in two columns where that saves a page."""
    title = Part(TITLE, TITLE, lambda frame: boards_title(pen, frame))
    first = [Section(board_parts(pen, width), title), port_section(pen, width)]
    by_columns: Sequence[list[list[Part]]] = [
        paged([*first, item_section(pen, width, columns), sign_section(pen)], height)
        for columns in COLUMNS
        if columns == 1 or fits_in(pen, width, columns)
    ]
    return min(by_columns, key=len)
