"""The placard of a box: planned switch settings as pictures and words, port loads, cautions, the code.

Takes a planned box and the placard's stock; gives its pages. A letter or A4 page holds all of a common box;
smaller pages have ports and codes on a page of their own, and boards that a page cannot hold go on overleaf.
The same text is in two codes at opposite corners, since one code does not survive a blot on it at any level
of recovery, and two do. Modules are at least 0.5 mm, and recovery is what that leaves: at a lower level codes
read from further off, but a fold costs 13 scans in a hundred (measured).
"""

from tagmaker.catalog.stock import Stock
from tagmaker.catalog.words import Words
from tagmaker.draw.marks import Mark, Page
from tagmaker.job.model import Job
from tagmaker.plan.model import BoxPlan
from tagmaker.problems import Problem
from tagmaker.sheets.board_grid import LABEL_SIZES, PAGE_SIZES, Grid, grid_of
from tagmaker.sheets.board_pictures import BoardPictures
from tagmaker.sheets.page_head import PAGE_CAPS
from tagmaker.sheets.placard_parts import WIDE_PAGE, PlacardParts
from tagmaker.sheets.placard_ports import port_table
from tagmaker.typeset.canvas import Layout
from tagmaker.typeset.frame import Frame

__all__ = ["list_caps", "placard_pages"]

CODE = 47.0  # mm, the place of a code with its quiet zone and caption
TABLE_CAPS = (3.6, 3.2, 2.9, 2.6, PAGE_CAPS)
"""Text of the table, tried in turn beside boards of their usual sizes."""
STAGGER = 22.0  # mm, more than a thumb: how far apart in height two codes side by side begin
EDGE = 1.0  # mm between the printer's margin and the first ink
GAP = 2.0  # mm between parts
BLANK_MOST = 12.0  # mm between boards and cautions; with more the blank is at the page's foot
ROWS_LEAST = 3  # of the table on a page that it begins on
SIGN, SIGN_MOST = 8.0, 11.0  # mm of a line to write on, with its name below


def list_caps(page_width: float) -> float:
    """Capitals of the list of what is ON on a page of that width, where boxes are of usual sizes."""
    return (PAGE_SIZES if page_width >= WIDE_PAGE else LABEL_SIZES).listed


def placard_pages(
    job: Job, box: BoxPlan, stock: Stock, words: Words
) -> tuple[tuple[Page, ...], tuple[Problem, ...]]:
    """The pages of a box's placard, with the problems of texts that do not fit."""
    layout = Layout(f"placard of {box.row.tag}", box.row.where, box.row.key)
    kind = _WidePlacard if stock.page[0] >= WIDE_PAGE else _LabelPlacard
    placard = kind(job, box, stock, words, layout)
    placard.lay_out()
    return placard.pages(), tuple(layout.problems)


class _Placard:
    """A placard being laid out, page by page: what is the same on all paper.

    A page's heading is drawn last, when it is known how many pages there are.
    """

    is_wide = True

    def __init__(self, job: Job, box: BoxPlan, stock: Stock, words: Words, layout: Layout) -> None:
        self.box, self.stock, self.words, self.layout = box, stock, words, layout
        self.parts = PlacardParts(job, box, stock, words, layout)
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
        return self.room.top(height + 1.0)[1]

    @property
    def _next_room(self) -> float:
        """What a page that goes on has below its heading, in mm."""
        return self.room.height - self.parts.head_height(self.room.width) - 1.0

    def _next(self) -> None:
        """Go on to a new page."""
        self.left = self._begin(self.room.width)

    def _grid(self, height: float) -> Grid:
        """The boards' grid where the first page has so much height for them."""
        heights = (height, self._next_room)
        return grid_of(self.box.boards, self.room.width, heights, self.sizes, self.words)

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


class _WidePlacard(_Placard):
    """On letter or A4 paper: codes at opposite corners of the first page: a torn corner leaves one."""

    def lay_out(self) -> None:
        """Boards, then ports, as high as they need to be and no higher."""
        side = max(CODE, min(self.parts.code_side(), self.room.width / 2))
        beside = self.room.width - side - GAP
        self._begin(beside)
        head = self.heads[0]
        facts = self.parts.facts_height(beside)
        top = max(side, head.height + 1.0 + facts)
        self.parts.facts(Frame(head.x, head.bottom + 1.0, beside, facts))
        self.parts.code(Frame(self.room.right - side, self.room.y, side, side))
        foot_height = max(side, self._foot_height(beside))
        below = self.room.top(top + GAP)[1]
        middle, foot = below.top(below.height - foot_height - GAP)
        foot = Frame(foot.x, foot.y + GAP, foot.width, foot_height)
        self._foot(foot, side)
        self.left = middle
        self._middle(middle)

    def _middle(self, middle: Frame) -> None:
        """Boards as large as the table leaves them room; on pages of their own where both do not fit."""
        least = self._grid(0.0).height
        rooms = (middle.height - self.table.height(caps) - GAP for caps in TABLE_CAPS)
        for_boards = next((room for room in rooms if least <= room), middle.height)
        grid = self._grid(for_boards)
        table = self.table.height_most + GAP if for_boards < middle.height else 0.0
        self._boards(grid.taller(middle.height - grid.height - table))
        if self.left.height < self.table.height() <= self._next_room:
            self._next()
        self._ports(self.table.caps_within(self.left.height), self.left.height)

    def _foot_height(self, width: float) -> float:
        parts, inner = self.parts, width
        return parts.cautions_height(inner) + 1.0 + parts.rules_height(inner) + 2 * SIGN

    def _foot(self, frame: Frame, side: float) -> None:
        """The second code; beside it cautions, whose rules are assumed, and lines to sign."""
        self.parts.code(Frame(frame.x, frame.bottom - side, side, side))
        beside = Frame(frame.x + side + GAP, frame.y, frame.width - side - GAP, frame.height)
        cautions, rest = beside.top(self.parts.cautions_height(beside.width))
        self.parts.cautions(cautions)
        signs = Frame(rest.x, rest.bottom - 2 * SIGN, rest.width, 2 * SIGN)
        self.parts.rules(Frame(rest.x, rest.y + 1.0, rest.width, rest.height - 2 * SIGN - 1.0))
        upper, lower = signs.rows((1, 1))
        self.parts.sign_lines([upper, *lower.columns((1, 1), 3)])


class _LabelPlacard(_Placard):
    """On a small page: settings and cautions first; ports, both codes and signatures after them."""

    is_wide = False

    def lay_out(self) -> None:
        """Boards from below the facts down to the cautions, then on."""
        below = self._begin(self.room.width)
        facts, below = below.top(self.parts.facts_height(below.width))
        self.parts.facts(facts)
        cautions = self.parts.cautions_height(below.width)
        room = below.top(below.height - cautions - GAP)[0].top(1.0)[1]
        self.left = room
        grid = self._grid(room.height)
        first = grid.height_of(grid.pages(room.height, self._next_room)[0])
        y = room.y + first + GAP if room.height - first > BLANK_MOST else below.bottom - cautions
        self.parts.cautions(Frame(below.x, y, below.width, cautions))
        self._boards(grid)
        rest = self.table.height() + self._foot_height + GAP
        if rest <= self._next_room and (len(self.heads) == 1 or rest > self.left.height):
            self._next()
        for_table = self.left.height - self._foot_height - GAP
        self._ports(self.table.caps_within(for_table), for_table)
        self._foot()

    @property
    def _side(self) -> float:
        """The place of a code: as large as two side by side may be, and as its text needs."""
        return max(min(CODE, self.room.width / 2), self.parts.code_side())

    @property
    def _foot_height(self) -> float:
        """The codes and what is between them."""
        return self._side + STAGGER

    def _foot(self) -> None:
        """The codes at opposite corners of what is left, or of a new page; large ones on a page each."""
        side = self._side
        if side > self.room.width / 2 + 0.01:
            for _ in range(2):
                self._next()
                self.parts.code(self.left)
            self._next()
            self._signatures(self.left.top(30.0)[0], self.left.top(34.0)[1].top(3 * SIGN)[0])
            return
        if self.left.height < self._foot_height:
            self._next()
        apart = self.parts.apart(side, self.left.height - side)
        frame = Frame(self.left.x, self.left.bottom - side - apart, self.left.width, side + apart)
        upper = Frame(frame.right - side, frame.y, side, side)
        lower = Frame(frame.x, frame.bottom - side, side, side)
        self.parts.code(upper)
        self.parts.code(lower)
        beside = Frame(frame.x, frame.y + 0.5, frame.width - side - 1.5, apart - 1.0)
        high = min(apart, 3 * SIGN_MOST)
        below = Frame(lower.right + 1.5, frame.bottom - high, frame.right - lower.right - 1.5, high)
        self._signatures(beside, below)

    def _signatures(self, rules: Frame, signs: Frame) -> None:
        """Whose rules are assumed, and lines to sign."""
        self.parts.rules(rules)
        self.parts.sign_lines(signs.rows((1, 1, 1)))
