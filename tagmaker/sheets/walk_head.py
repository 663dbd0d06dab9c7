"""What every page of a verification sheet has: which box and job, its code, position marks, how to mark.

Takes a page's frame; draws head and foot, and says how high they are. Four solid squares at the corners and
the code let a photo of the page be straightened and named.
"""

from collections.abc import Iterator, Sequence

from msgspec import Struct
from msgspec.structs import replace

from tagmaker.sheets.walk_pen import CAPS, WalkPen, lines_needed
from tagmaker.symbols.encode import QR_QUIET, Symbol, qr
from tagmaker.tags import fields
from tagmaker.tags.refrigerant import refrigerant_text
from tagmaker.tags.walk import printed_for
from tagmaker.tags.walk_code import WalkPage, page_code
from tagmaker.typeset.frame import Frame
from tagmaker.typeset.text import fits, text_height

__all__ = ["EDGE", "WalkHead"]

EDGE = 6.5  # mm from the paper's edge to the position marks
MARK = 5.0  # side of a position mark, mm
CLEAR = 2.5  # mm around a position mark without other ink
MODULE_LEAST, MODULE_MOST = 0.4, 0.5  # mm
CODE = 18.5  # mm, the side of a code with its quiet zone; more where a long text asks for it
TAG_CAPS, TITLE_CAPS, NAME_CAPS = 7.5, 3.4, 2.8
FOOT = MARK + 2.0
LEGEND = 8.6
SAMPLE = 4.2  # side of a sample of a marked box, mm


class _Line(Struct, frozen=True):
    """A text of the head with its height of capitals and the height that it takes."""

    text: str
    caps: float
    height: float
    bold: bool = False


class WalkHead(Struct, frozen=True):
    """Head and foot of one box's sheet on paper of that size."""

    pen: WalkPen
    size: tuple[float, float]
    sheet: WalkPage

    @property
    def _room(self) -> Frame:
        return Frame(0, 0, *self.size).inset(EDGE)

    def body(self, pages: int) -> Frame:
        """What head and foot leave of a page."""
        rest = self._room.top(self._head_height(pages) + 1.0)[1]
        return rest.top(rest.height - FOOT)[0]

    def draw(self, page: int, pages: int) -> None:
        """Head, foot and marks of a page; the first has what the sheet is printed for as a hidden field."""
        pen, room = self.pen, self._room
        for x in (room.x, room.right - MARK):
            for y in (room.y, room.bottom - MARK):
                pen.layout.rect(Frame(x, y, MARK, MARK), fill=0.0)
        upper, rest = room.top(self._upper_height(pages))
        code = self._code_side(self._symbol(page, pages))
        inner = Frame(upper.x + MARK + CLEAR, upper.y, upper.width - 2 * (MARK + CLEAR), upper.height)
        self._code(page, pages, Frame(inner.right - code, inner.y, code, code))
        self._names(Frame(inner.x, inner.y, inner.width - code - 1.5, inner.height))
        pen.layout.rule(upper.x, upper.bottom + 0.5, upper.right, upper.bottom + 0.5, 0.8)
        self._facts(rest.top(1.0)[1])
        if page == 1:
            kept = Frame(inner.x, inner.y, 5, 5)
            pen.field(kept, "kept", fields.printed_for(pen.key), "", printed_for(pen.job, pen.box))
        foot = Frame(room.x + MARK + CLEAR, room.bottom - MARK, room.width - 2 * (MARK + CLEAR), MARK)
        pen.text(
            pen.words("walk.page", box=pen.box.row.shown, page=page, pages=pages), foot, 2.6, align="right"
        )

    # --- which box and job -------------------------------------------------------------------------------

    def _upper_height(self, pages: int) -> float:
        code = self._code_side(self._symbol(pages, pages))
        _, job = self._columns(code)
        tag = text_height(TAG_CAPS, 1) + text_height(TITLE_CAPS, 1)
        return max(code, tag, sum(line.height for line in self._job_lines(job.width)))

    def _columns(self, code: float) -> list[Frame]:
        width = self._room.width - 2 * (MARK + CLEAR) - code - 1.5
        return Frame(0, 0, width, 1).columns((0.47, 0.53), 3)

    def _names(self, frame: Frame) -> None:
        """The box, large, and the job beside it."""
        pen = self.pen
        left, right = frame.columns((0.47, 0.53), 3)
        tag, title = left.top(left.height - text_height(TITLE_CAPS, 1))
        pen.text(pen.box.row.shown, tag, TAG_CAPS, bold=True, lines=2)
        pen.text(pen.words("walk.title"), title, TITLE_CAPS, bold=True)
        for line in self._job_lines(right.width):
            place, right = right.top(line.height)
            pen.text(line.text, place, line.caps, bold=line.bold, align="right")

    def _job_lines(self, width: float) -> Iterator[_Line]:
        """Job and site, then revision, date, state and refrigerant."""
        job, words = self.pen.job, self.pen.words
        state = [
            f"{words('walk.revision')} {job.revision}",
            job.date.isoformat() if job.date else "",
            words("tag.draft") if job.is_draft else "",
            refrigerant_text(job.refrigerant, words),
        ]
        yield _sized(" ".join(filter(None, (job.number, job.name))), width, NAME_CAPS, bold=True)
        yield _sized(job.site, width, CAPS)
        yield _sized(" · ".join(filter(None, state)), width, CAPS, bold=True)

    # --- where it is, and how to mark --------------------------------------------------------------------

    def _head_height(self, pages: int) -> float:
        facts = max(line.height for line in self._fact_lines())
        return self._upper_height(pages) + 1.0 + facts + self._caution().height + LEGEND

    def _fact_lines(self) -> Sequence[_Line]:
        row, words = self.pen.box.row, self.pen.words
        width = self._room.columns((1, 1), 3)[0].width
        facts = (("place", row.place), ("power", row.power))
        return [
            _sized(f"{words(f'walk.{key}')}: {text or words('placard.no_place')}", width, 2.5, bold=True)
            for key, text in facts
        ]

    def _caution(self) -> _Line:
        return _sized(self.pen.words("walk.caution"), self._room.width, CAPS)

    def _facts(self, frame: Frame) -> None:
        """Place and isolation, the caution, and how boxes are marked."""
        lines, caution = self._fact_lines(), self._caution()
        strip, rest = frame.top(max(line.height for line in lines))
        for line, cell in zip(lines, strip.columns((1, 1), 3), strict=True):
            self.pen.text(line.text, cell, line.caps, bold=True)
        place, rest = rest.top(caution.height)
        self.pen.text(caution.text, place)
        self._legend(rest.top(LEGEND)[0])

    def _legend(self, frame: Frame) -> None:
        """A marked box, a mark that was taken back, an empty box: what each counts as."""
        pen = self.pen
        inner = frame.inset(0, 0.5)
        pen.layout.rect(inner, line=0.25)
        cells = inner.inset(1.5, 0).columns((0.16, 0.32, 0.2, 0.32), 2)
        for key, cell in zip(("marked", "taken_back", "blank"), cells[:3], strict=True):
            box = Frame(cell.x, cell.y + (cell.height - SAMPLE) / 2, SAMPLE, SAMPLE)
            pen.layout.rect(box, line=0.35, fill=0.0 if key == "taken_back" else None)
            if key == "marked":
                pen.layout.rule(box.x, box.y, box.right, box.bottom, 0.5)
                pen.layout.rule(box.x, box.bottom, box.right, box.y, 0.5)
            text = Frame(cell.x + SAMPLE + 1.2, cell.y, cell.width - SAMPLE - 1.2, cell.height)
            pen.text(pen.words(f"walk.legend_{key}"), text)
        pen.text(pen.words("walk.legend_switch"), cells[3], align="right")

    # --- the code ----------------------------------------------------------------------------------------

    def _symbol(self, page: int, pages: int) -> Symbol:
        return qr(page_code(replace(self.sheet, page=page, pages=pages)))

    def _code_side(self, symbol: Symbol) -> float:
        return max(CODE, (symbol.columns + 2 * QR_QUIET) * MODULE_LEAST)

    def _code(self, page: int, pages: int, frame: Frame) -> None:
        """The page's code, its modules as large as its place allows."""
        symbol = self._symbol(page, pages)
        cell = min(MODULE_MOST, frame.width / (symbol.columns + 2 * QR_QUIET))
        side = symbol.columns * cell
        x, y = frame.x + (frame.width - side) / 2, frame.y + (frame.height - side) / 2
        self.pen.layout.symbol(symbol, x, y, cell)


def _sized(text: str, width: float, caps: float, *, bold: bool = False) -> _Line:
    """A text in one line at that height of capitals where it fits, else at the sheet's least height."""
    if not text:
        return _Line(text, caps, 0.0, bold)
    if fits(text, width, caps, bold=bold):
        return _Line(text, caps, text_height(caps, 1), bold)
    return _Line(text, CAPS, text_height(CAPS, max(1, lines_needed(text, width, bold=bold))), bold)
