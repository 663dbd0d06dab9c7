"""What every page of a verification sheet has: which box and job, its code, position marks, how to mark.

Takes a page's frame; draws head and foot, and says how high they are. Four solid squares at the corners and
the code let a photo of the page be straightened and named.
"""

from collections.abc import Iterator

from msgspec import Struct
from msgspec.structs import replace

from tagmaker.sheets.walk_pen import CAPS, WalkPen, lines_needed
from tagmaker.symbols.encode import QR_QUIET, Symbol, qr
from tagmaker.tags import fields
from tagmaker.tags.refrigerant import refrigerant_text
from tagmaker.tags.walk import Digests, printed_for
from tagmaker.tags.walk_code import MARK, MARK_CLEAR, MARK_EDGE, WalkPage, page_code
from tagmaker.typeset.codes import MODULE_LEAST
from tagmaker.typeset.frame import Frame
from tagmaker.typeset.text import fits, text_height, text_width

__all__ = ["WalkHead"]

MODULE_MOST = 0.5  # mm
CODE = 18.5  # mm, the side of a code with its quiet zone; more where a long text asks for it
BESIDE = 1.5  # mm between the names and the code
SHARES = (0.47, 0.53)  # of their width, for the box and for the job
TAG_CAPS, TITLE_CAPS, NAME_CAPS, FACT_CAPS = 7.5, 3.4, 2.8, 2.5
STAMP_CAPS = 2.8
PAGES_AT_MOST = 99
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
    """Head and foot of one box's sheet on paper of that size; `planned` are the box's digests."""

    pen: WalkPen
    size: tuple[float, float]
    sheet: WalkPage
    planned: Digests

    @property
    def _room(self) -> Frame:
        return Frame(0, 0, *self.size).inset(MARK_EDGE)

    def body(self) -> Frame:
        """What head and foot leave of a page; the same on all pages."""
        rest = self._room.top(self._head_height() + 1.0)[1]
        return rest.top(rest.height - FOOT)[0]

    def draw(self, page: int, pages: int) -> None:
        """Head, foot and marks of a page; the first has what the sheet is printed for as a hidden field.

        Each page of several keeps its code too, so that no two sheets' pages are read as one.
        """
        pen, room = self.pen, self._room
        for x in (room.x, room.right - MARK):
            for y in (room.y, room.bottom - MARK):
                pen.layout.rect(Frame(x, y, MARK, MARK), fill=0.0)
        upper, rest = room.top(self._upper_height())
        code = self._code_side()
        inner = Frame(
            upper.x + MARK + MARK_CLEAR, upper.y, upper.width - 2 * (MARK + MARK_CLEAR), upper.height
        )
        self._code(page, pages, Frame(inner.right - code, inner.y, code, code))
        self._names(Frame(inner.x, inner.y, inner.width - code - BESIDE, inner.height))
        pen.layout.rule(upper.x, upper.bottom + 0.5, upper.right, upper.bottom + 0.5, 0.8)
        self._lower(rest.top(1.0)[1])
        kept = Frame(inner.x, inner.y, 5, 5)
        if pages > 1:
            text = page_code(replace(self.sheet, page=page, pages=pages))
            pen.field(kept, "kept", fields.printed_as(pen.key, page), "", text)
        if page == 1:
            text = printed_for(pen.job, pen.box, self.planned)
            pen.field(kept, "kept", fields.printed_for(pen.key), "", text)
        foot = Frame(
            room.x + MARK + MARK_CLEAR, room.bottom - MARK, room.width - 2 * (MARK + MARK_CLEAR), MARK
        )
        text = pen.words("walk.page", box=pen.box.row.shown, page=page, pages=pages)
        pen.text(text, foot, 2.6, align="right")

    # --- which box and job -------------------------------------------------------------------------------

    def _upper_height(self) -> float:
        tag = text_height(TAG_CAPS, 1) + text_height(TITLE_CAPS, 1)
        beside, _ = self._job_lines()
        return max(self._code_side(), tag, sum(line.height for line in beside))

    def _names(self, frame: Frame) -> None:
        """The box, large, and the job beside it."""
        pen = self.pen
        left, right = frame.columns(SHARES, 3)
        tag, title = left.top(left.height - text_height(TITLE_CAPS, 1))
        with pen.layout.part("H1"):
            pen.text(pen.box.row.shown, tag, TAG_CAPS, bold=True, lines=2)
        pen.text(pen.words("walk.title"), title, TITLE_CAPS, bold=True)
        if pen.job.is_draft:
            self._stamp(title)
        for line in self._job_lines()[0]:
            place, right = right.top(line.height)
            pen.text(line.text, place, line.caps, bold=line.bold, align="right")

    def _stamp(self, title: Frame) -> None:
        """White on black beside the title: not to be worked by."""
        pen = self.pen
        used = text_width(pen.words("walk.title"), TITLE_CAPS, bold=True) + 3
        band = title.left(used)[1].inset(0, 0.3)
        pen.layout.rect(band, fill=0.0)
        word, inside = pen.words("tag.draft"), band.inset(1, 0)
        pen.text(word, inside, STAMP_CAPS, bold=True, align="center", ink=1.0)

    def _job_lines(self) -> tuple[list[_Line], list[_Line]]:
        """Job and site, then revision, date, state and refrigerant: beside the box; a long word below it."""
        job, words, room = self.pen.job, self.pen.words, self._room
        state = [
            f"{words('walk.revision')} {job.revision}",
            job.date.isoformat() if job.date else "",
            words("tag.draft") if job.is_draft else "",
            refrigerant_text(job.refrigerant, words),
        ]
        texts = (
            (job.title, NAME_CAPS, True),
            (job.site, CAPS, False),
            (" · ".join(filter(None, state)), CAPS, True),
        )
        width = room.width - 2 * (MARK + MARK_CLEAR) - self._code_side() - BESIDE
        width = Frame(0, 0, width, 1).columns(SHARES, 3)[1].width
        beside = [each for each in texts if each[0] and lines_needed(each[0], width, bold=each[2])]
        below = [each for each in texts if each[0] and each not in beside]
        return (
            [_sized(text, width, caps, bold=bold) for text, caps, bold in beside],
            [_sized(text, room.width, caps, bold=bold) for text, caps, bold in below],
        )

    # --- where it is, and how to mark --------------------------------------------------------------------

    def _head_height(self) -> float:
        lines = sum(max(line.height for line in row) for row in self._lower_rows())
        return self._upper_height() + 1.0 + lines + LEGEND

    def _lower_rows(self) -> Iterator[list[_Line]]:
        """The lines below the rule: what is too long beside the box, place and isolation, the caution."""
        for line in self._job_lines()[1]:
            yield [line]
        row, words, width = self.pen.box.row, self.pen.words, self._room.width
        half = self._room.columns((1, 1), 3)[0].width
        facts = [
            f"{words(f'walk.{key}')}: {text or words('placard.no_place')}"
            for key, text in (("place", row.place), ("power", row.power))
        ]
        if all(lines_needed(text, half, bold=True) for text in facts):
            yield [_sized(text, half, FACT_CAPS, bold=True) for text in facts]
        else:
            yield from ([_sized(text, width, FACT_CAPS, bold=True)] for text in facts)
        yield [_sized(words("walk.caution"), width, CAPS)]

    def _lower(self, frame: Frame) -> None:
        """The lines below the rule, and how boxes are marked."""
        rest = frame
        for lines in self._lower_rows():
            strip, rest = rest.top(max(line.height for line in lines))
            for line, cell in zip(lines, strip.columns([1] * len(lines), 3), strict=True):
                self.pen.text(line.text, cell, line.caps, bold=line.bold)
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

    def _code_side(self) -> float:
        """The side of the code's place, the same on each page of however many."""
        symbol = self._symbol(PAGES_AT_MOST, PAGES_AT_MOST)
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
