"""A placard being laid out page by page: what is the same on all paper.

Takes a planned box and the placard's stock; gives pages. `placard_wide.py` and `placard_small.py` lay out.
"""

from functools import cached_property

from tagmaker.catalog.stock import Stock
from tagmaker.catalog.words import Words
from tagmaker.draw.marks import Mark, Page
from tagmaker.job.model import Job
from tagmaker.plan.model import BoxPlan
from tagmaker.sheets.board_grid import LABEL_SIZES, PAGE_SIZES, Grid, Grids
from tagmaker.sheets.board_pictures import BoardPictures
from tagmaker.sheets.placard_codes import placard_codes
from tagmaker.sheets.placard_parts import PlacardParts
from tagmaker.sheets.placard_ports import port_table
from tagmaker.typeset.canvas import Layout
from tagmaker.typeset.frame import Frame

__all__ = ["GAP", "SIGN", "PlacardPages"]

EDGE = 1.0  # mm between the printer's margin and the first ink
GAP = 2.0  # mm between parts
BELOW_HEAD = 1.0  # mm below a page's heading
ROWS_LEAST = 3  # of the table on a page that it begins on
SIGN = 8.0  # mm of a line to write on, with its name below


class PlacardPages:
    """A placard being laid out.

    A page's heading is drawn last, when it is known how many pages there are.
    """

    is_wide: bool

    def __init__(self, job: Job, box: BoxPlan, stock: Stock, words: Words, layout: Layout) -> None:
        self.box, self.stock, self.words, self.layout = box, stock, words, layout
        self.parts = PlacardParts(job, box, stock, words, layout)
        self._codes = self.upper, self.lower = placard_codes(job, box, stock, words)
        self.room = Frame(0, 0, *stock.page).inset(stock.margin + EDGE)
        self.table = port_table(job, box, words, self.room.width, with_bars=self.is_wide)
        self.sizes = PAGE_SIZES if self.is_wide else LABEL_SIZES
        self.heads: list[Frame] = []
        self.sheets: list[list[Mark]] = []
        self.left = self.room

    def pages(self) -> tuple[Page, ...]:
        """All pages, each with its heading."""
        self._end()
        pages: list[Page] = []
        for number, (head, marks) in enumerate(zip(self.heads, self.sheets, strict=True), start=1):
            page = self.words("page.page", page=number, pages=len(self.sheets))
            self.layout.marks = []
            self.parts.head(head, page if len(self.sheets) > 1 else "")
            pages.append(Page(*self.stock.page, (*self.layout.marks, *marks)))
        return tuple(pages)

    def _end(self) -> None:
        """Put a page's marks aside."""
        self.sheets.append(self.layout.marks)
        self.layout.marks = []

    def _begin(self, head_width: float) -> Frame:
        """Begin a page; gives what is below its heading, over the whole width."""
        if self.heads:
            self._end()
        height = self.parts.head_height(head_width)
        self.heads.append(Frame(self.room.x, self.room.y, head_width, height))
        return self.room.top(height + BELOW_HEAD)[1]

    @property
    def _below_head(self) -> float:
        """The white below the rule of a page that goes on, in mm: boards follow it at once."""
        return BELOW_HEAD + (GAP if self.is_wide else 0.0)

    @property
    def _next_room(self) -> float:
        """What a page that goes on has below its heading, in mm."""
        return self.room.height - self.parts.head_height(self.room.width) - self._below_head

    def _next(self) -> None:
        """Go on to a new page."""
        self.left = self._begin(self.room.width).top(self._below_head - BELOW_HEAD)[1]

    @cached_property
    def _grids(self) -> Grids:
        return Grids(self.box.boards, self.room.width, self.sizes, self.words)

    def _grid(self, height: float) -> Grid:
        """The boards' grid where the first page has so much height for them."""
        return self._grids.within(height, self._next_room)

    @cached_property
    def _boards_least(self) -> float:
        """The height of the boards at their usual sizes, in mm."""
        return self._grid(0.0).height

    def _boards(self, grid: Grid) -> None:
        """The boards from here on, over as many pages as they take."""
        pictures = BoardPictures(self.layout, self.words, grid)
        for number, parts in enumerate(grid.pages(self.left.height, self._next_room)):
            if number:
                self._next()
            if parts:
                pictures.draw(parts, self.left)
                self.left = self.left.top(grid.height_of(parts) + GAP)[1]

    def _ports(self, caps: float, height: float) -> None:
        """The table from here on, over as many pages as it takes; a whole one is spread over `height`."""
        table, first = self.table, 0
        while first < len(table.rows):
            count = table.rows_within(first, self.left.height, caps)
            if count < min(ROWS_LEAST, len(table.rows) - first):
                self._next()
                count = max(1, table.rows_within(first, self.left.height, caps))
            rows = table.rows[first : first + count]
            used = table.head_height + sum(table.row_height(row, caps) for row in rows)
            is_whole = count == len(table.rows)
            place, self.left = self.left.top(max(used, height) if is_whole else used)
            table.draw(self.layout, place, caps, rows)
            first += count
