"""What every page of a document begins and ends with, so that pages that belong together are recognised.

Takes a document's title and the marks of its pages; gives whole pages. At the head are the title, the job,
its site, revision, date and refrigerant; at the foot a line for the whole document, and the page of how many.
"""

from collections.abc import Iterator, Sequence

from msgspec import Struct

from tagmaker.catalog.words import Words
from tagmaker.draw.marks import Mark, Page
from tagmaker.job.model import Job
from tagmaker.sheets.paper import paper_size
from tagmaker.symbols.encode import QR_QUIET, qr
from tagmaker.tags.refrigerant import refrigerant_text
from tagmaker.tags.walk_code import MARK, MARK_CLEAR, MARK_EDGE
from tagmaker.typeset.canvas import Layout
from tagmaker.typeset.flow import Block, flow
from tagmaker.typeset.frame import Frame
from tagmaker.typeset.text import LEGIBLE_MM, Style, lines_at, text_height

__all__ = ["MARGIN", "NAME_CAPS", "PAGE_CAPS", "TITLE_CAPS", "PageHead"]

PAGE_CAPS = 2.3  # mm, the least capitals of a page: they read at 0.49 m (16 minutes of arc, NUREG-0700)
MARGIN = 9.0
TITLE_CAPS, NAME_CAPS, STAMP_CAPS = 5.4, 2.8, 3.2
SHARES = (0.46, 0.54)  # of the width, for the title and for the job
BELOW = 1.0  # mm between the head's texts and its rule, and below the rule
STAMP = 7.0
MODULE_MOST = 0.5  # mm, of a code
FOOT_SHARE = 0.8  # of the width, for the line at the foot


class _Line(Struct, frozen=True):
    """A text of a head or foot at the size and in the lines that it takes."""

    text: str
    style: Style

    @property
    def height(self) -> float:
        """Its height in mm."""
        return text_height(self.style.most, self.style.lines)


class PageHead(Struct, frozen=True):
    """What the pages of one document have in common.

    `under` is a line below the title, on the whole width; `foot` a line at the foot; `part` is how much of
    the job the document covers, empty where all of it. With `is_lying` the paper lies; with `is_brief` there
    is no head, and the foot has it all. `margin` is in mm. With `code`, a side in mm with the white around,
    each page has a code at the right of its head, and solid squares at its corners as those of the walk.
    """

    job: Job
    words: Words
    title: str
    under: str = ""
    foot: str = ""
    part: str = ""
    is_lying: bool = False
    is_brief: bool = False
    margin: float = MARGIN
    code: float = 0.0

    @property
    def size(self) -> tuple[float, float]:
        """The paper's width and height in mm."""
        width, height = paper_size(self.job)
        return (height, width) if self.is_lying else (width, height)

    @property
    def room(self) -> Frame:
        """A page without its margins."""
        page = Frame(0, 0, *self.size)
        return page.inset(MARK_EDGE + MARK + MARK_CLEAR, MARK_EDGE) if self.code else page.inset(self.margin)

    @property
    def body(self) -> Frame:
        """What is left of a page for the document itself."""
        rest = self.room.top(self._head_height())[1]
        return rest.top(rest.height - self._foot_height() - BELOW)[0]

    def flow(self, layout: Layout, blocks: Sequence[Block]) -> Iterator[Page]:
        """Blocks below each other on as many pages as they take, each page laid out when it is asked for."""
        body = self.body
        sheets = flow(list(blocks), body.height)
        for number, blocks_of_page in enumerate(sheets, start=1):
            layout.marks, rest = [], body
            for tall, draw in blocks_of_page:
                frame, rest = rest.top(tall)
                draw(frame)
            layout.where, layout.box = self.job.where, ""
            yield self.page(layout, layout.marks, number, len(sheets))

    def pages(self, layout: Layout, sheets: Sequence[Sequence[Mark]]) -> Iterator[Page]:
        """The pages with these marks, each with its head and foot, laid out when it is asked for.

        Texts that do not fit are reported; all of them are once all pages are there.
        """
        for number, marks in enumerate(sheets, start=1):
            layout.where, layout.box = self.job.where, ""
            yield self.page(layout, marks, number, len(sheets))

    def page(self, layout: Layout, marks: Sequence[Mark], number: int, of: int, code: str = "") -> Page:
        """One page with these marks, which is the given of so many; `code` is the text of its code."""
        layout.marks = []
        if code:
            self._draw_code(layout, code)
        if not self.is_brief:
            self._draw_head(layout)
        layout.marks += marks
        self._draw_foot(layout, number, of)
        page = Page(*self.size, tuple(layout.marks))
        layout.marks = []
        return page

    # --- head --------------------------------------------------------------------------------------------

    def _head_height(self) -> float:
        if self.is_brief:
            return 0.0
        under = self._under()
        return self._upper_height() + (under.height + BELOW if under.text else 0) + 2 * BELOW

    def _upper_height(self) -> float:
        """The height above the rule: the title with the stamp of a draft, or the job's lines."""
        width = self._names(self.room)[1].width
        title = text_height(TITLE_CAPS, 1) + (STAMP if self.job.is_draft else 0)
        return max(title, self.code, sum(line.height for line in self._job_lines(width)))

    def _names(self, upper: Frame) -> list[Frame]:
        """Where the title and the job are, beside the code if there is one."""
        return upper.left(upper.width - self.code)[0].columns(SHARES, 3)

    def _under(self) -> _Line:
        return _line(self.under, self.room.width, PAGE_CAPS)

    def _job_lines(self, width: float) -> Iterator[_Line]:
        """The job, its site, and its state."""
        title = self.job.title
        low = lines_at(title, width, PAGE_CAPS, bold=True) < lines_at(title, width, NAME_CAPS, bold=True)
        yield _line(title, width, PAGE_CAPS if low else NAME_CAPS, bold=True, align_right=True)
        if self.job.site:
            yield _line(self.job.site, width, PAGE_CAPS, align_right=True)
        yield _line(self._state(), width, PAGE_CAPS, bold=True, align_right=True)

    def _state(self) -> str:
        """Revision, date, refrigerant, and how much of the job is here."""
        job, words = self.job, self.words
        texts = (
            words("page.revision", revision=job.revision),
            job.date.isoformat() if job.date else "",
            refrigerant_text(job.refrigerant, words),
            self.part,
        )
        return " · ".join(filter(None, texts))

    def _draw_head(self, layout: Layout) -> None:
        """Title at the left, the job at the right, a rule, and the line under it."""
        upper, rest = self.room.top(self._upper_height())
        title, name = self._names(upper)
        top, stamp = title.top(title.height - (STAMP if self.job.is_draft else 0))
        with layout.part("H1"):
            layout.text(self.title, top, Style(TITLE_CAPS, PAGE_CAPS, lines=2, bold=True, upright="top"))
        if self.job.is_draft:
            self._stamp(layout, stamp)
        for line in self._job_lines(name.width):
            place, name = name.top(line.height)
            layout.text(line.text, place, line.style)
        y = upper.bottom + BELOW
        layout.rule(upper.x, y, upper.right, y, 0.8)
        under = self._under()
        layout.text(under.text, rest.top(2 * BELOW)[1].top(under.height)[0], under.style)

    def _draw_code(self, layout: Layout, text: str) -> None:
        """The code at the right of the head, and the squares by which a photo is straightened."""
        near, symbol = MARK_EDGE + MARK, qr(text)
        for x in (MARK_EDGE, self.size[0] - near):
            for y in (MARK_EDGE, self.size[1] - near):
                layout.rect(Frame(x, y, MARK, MARK), fill=0.0)
        module = min(MODULE_MOST, self.code / (symbol.columns + 2 * QR_QUIET))
        off = (self.code - symbol.columns * module) / 2
        layout.symbol(symbol, self.room.right - self.code + off, self.room.y + off, module)

    def _stamp(self, layout: Layout, frame: Frame) -> None:
        """White on black: not to be worked by."""
        layout.rect(frame, fill=0.0)
        style = Style(STAMP_CAPS, PAGE_CAPS, bold=True, align="center", ink=1.0)
        layout.text(self.words("placard.draft"), frame.inset(2, 1), style)

    # --- foot --------------------------------------------------------------------------------------------

    def _foot(self) -> _Line:
        if not self.is_brief:
            return _line(self.foot, self.room.width * FOOT_SHARE, PAGE_CAPS)
        draft = self.words("placard.draft") if self.job.is_draft else ""
        texts = (self.title, self.job.title, self.job.site, self._state(), draft, self.foot)
        return _line(" · ".join(filter(None, texts)), self.room.width * FOOT_SHARE, PAGE_CAPS)

    def _foot_height(self) -> float:
        return max(text_height(PAGE_CAPS, 1), self._foot().height)

    def _draw_foot(self, layout: Layout, number: int, of: int) -> None:
        """What holds for the document at the left, the page of how many at the right."""
        tall = self._foot_height()
        foot = self.room.top(self.room.height - tall)[1]
        line = self._foot()
        layout.text(line.text, foot.left(foot.width * FOOT_SHARE)[0], line.style)
        page = self.words("page.page", page=number, pages=of)
        with layout.part("Artifact"):
            layout.text(page, foot, Style(PAGE_CAPS, PAGE_CAPS, align="right"))


def _line(text: str, width: float, caps: float, *, bold: bool = False, align_right: bool = False) -> _Line:
    """A text at that height of capitals in as many lines as it takes; lower where a word is too long."""
    found = ((size, lines_at(text, width, size, bold=bold)) for size in (caps, PAGE_CAPS, LEGIBLE_MM))
    size, lines = next(((size, lines) for size, lines in found if lines), (LEGIBLE_MM, 1))
    return _Line(text, Style(size, size, lines, bold=bold, align="right" if align_right else "left"))
