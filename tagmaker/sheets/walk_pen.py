"""What all parts of a verification sheet are drawn with: texts, boxes to tick, lines to write on.

Takes frames; adds marks to the layout. Each thing to fill in is a frame in ink as well as a form field on it:
a print without its form still has a place to tick and to write. Nothing is filled in beforehand: a box that
is not marked must mean that nobody looked.
"""

from functools import lru_cache

from msgspec import Struct

from tagmaker.catalog.words import Words
from tagmaker.draw.marks import Align, Field, FieldKind
from tagmaker.job.model import Job
from tagmaker.plan.model import BoxPlan
from tagmaker.sheets.page_head import PAGE_CAPS
from tagmaker.typeset.canvas import Layout
from tagmaker.typeset.frame import Frame
from tagmaker.typeset.text import LINES_AT_MOST, Style, lines_at, text_height

__all__ = ["CAPS", "LINE", "TICK", "TITLE", "WalkPen", "least_width", "lines_needed", "needed"]

CAPS = PAGE_CAPS  # mm, the least capitals of the sheet
TICK, TICK_MOST = 5.0, 6.0  # mm, the side of a box to tick
LINE, LINE_MOST = 7.0, 9.0  # mm, the height of a place to write in
INK = 0.35  # mm, the outline of both
WIDTH_AT_MOST = 190
TITLE_CAPS = 2.8
TITLE = text_height(TITLE_CAPS, 1) + 0.8
"""Height of a section's title, mm."""


class WalkPen(Struct, frozen=True):
    """A box's sheet being drawn; with `blind` it leaves out what is expected."""

    job: Job
    box: BoxPlan
    words: Words
    layout: Layout
    blind: bool

    @property
    def key(self) -> str:
        """The box's tag as field names have it."""
        return self.box.row.key

    def text(  # noqa: PLR0913 — a text, its place and its look
        self,
        text: str,
        frame: Frame,
        most: float = CAPS,
        *,
        bold: bool = False,
        align: Align = "left",
        lines: int = LINES_AT_MOST,
        ink: float = 0.0,
    ) -> None:
        """A text, at most that high, never below the sheet's least height."""
        style = Style(max(most, CAPS), CAPS, lines=lines, bold=bold, align=align, ink=ink)
        self.layout.text(text, frame, style)

    def title(self, text: str, frame: Frame) -> None:
        """A section's title over a rule."""
        self.layout.rule(frame.x, frame.y, frame.right, frame.y, 0.5)
        place = Frame(frame.x, frame.y + 0.6, frame.width, frame.height - 0.6)
        with self.layout.part("H2"):
            self.text(text, place, TITLE_CAPS, bold=True)

    def field(self, frame: Frame, kind: FieldKind, name: str, spoken: str, value: str = "") -> None:
        """A field to fill in; `spoken` is its name for a screen reader."""
        self.layout.marks.append(
            Field(frame.x, frame.y, frame.width, frame.height, kind, name, spoken, value)
        )

    def tick(self, frame: Frame, name: str, spoken: str) -> None:
        """A box to tick in the middle of a frame."""
        side = max(TICK, min(TICK_MOST, frame.height - 1.4, frame.width - 1.3))
        at = Frame(frame.x + (frame.width - side) / 2, frame.y + (frame.height - side) / 2, side, side)
        self.layout.rect(at, line=INK)
        self.field(at, "check", name, spoken)

    def write(self, frame: Frame, name: str, spoken: str) -> None:
        """A place to write in, as high as a hand needs, in the middle of a frame."""
        high = max(LINE, min(LINE_MOST, frame.height - 1.2))
        at = Frame(frame.x, frame.y + (frame.height - high) / 2, frame.width, high)
        self.layout.rect(at, line=INK)
        self.field(at, "text", name, spoken)


@lru_cache(maxsize=4096)
def lines_needed(text: str, width: float, *, bold: bool = False) -> int:
    """The lines that a text takes at the sheet's least height; 0 where a word is too long for the width."""
    return lines_at(text, width, CAPS, bold=bold) if text else 0


@lru_cache(maxsize=1024)
def least_width(text: str, lines: int) -> float:
    """The least width, in whole mm, at which a bold text takes no more lines than that."""
    widths = (float(width) for width in range(4, WIDTH_AT_MOST))
    return next(
        (width for width in widths if 0 < lines_needed(text, width, bold=True) <= lines), WIDTH_AT_MOST
    )


def needed(text: str, width: float, *, bold: bool = False) -> float:
    """The height of a text at the sheet's least height; one line where a word is too long for the width."""
    return text_height(CAPS, max(1, lines_needed(text, width, bold=bold))) if text else 0.0
