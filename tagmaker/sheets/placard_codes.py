"""The two codes of a placard: in which form each carries the text, how large it is, and the words below it.

Takes a planned box and the placard's stock; each code says how much room it needs and draws itself. Level and
size follow from a measured sum over damage and distance (`tests/bench/placard_damage.py`, zxing-cpp / zbar).
From 0.5 m in motion, and from 0.35 m in a preview of 1,920 pixels, a code reads if its modules are 0.62 mm or
more; at 0.5 mm one scan in three fails. Per cent of all scans, 8 ports on 4 x 6 in, in the same places:
level Q at 0.5 mm 96.2 / 99.2, M at 0.62 mm 99.4 / 99.9, L at 0.62 mm 97.2 / 97.4; 12 ports 95.4 / 98.9,
99.1 / 99.5, 99.2 / 99.4. So a place is made large enough for modules of 0.62 mm, at level M if there is
room; a higher level is used where modules stay as large.
"""

import math
from functools import cached_property

from msgspec import Struct

from tagmaker.catalog.stock import Stock
from tagmaker.catalog.words import Words
from tagmaker.draw.marks import Align
from tagmaker.job.model import Job
from tagmaker.job.prints import PlacardForm
from tagmaker.plan.model import BoxPlan
from tagmaker.problems import error
from tagmaker.sheets.page_head import PAGE_CAPS
from tagmaker.sheets.placard_parts import WIDE_PAGE
from tagmaker.symbols.encode import QR_QUIET, Level, Symbol, qr, qr_columns
from tagmaker.tags.placard_forms import in_form
from tagmaker.tags.placard_text import placard_text
from tagmaker.typeset.canvas import Layout
from tagmaker.typeset.codes import least_module, on_dots, whole_dots
from tagmaker.typeset.frame import Frame
from tagmaker.typeset.paragraphs import Paragraph, draw_paragraphs, paragraphs_height

__all__ = [
    "LEVELS",
    "LEVEL_USUAL",
    "MODULE_FAR",
    "MODULE_LEAST",
    "MODULE_MOST",
    "SMALL_LEVELS",
    "PlacardCode",
    "apart",
    "placard_codes",
]

LEVELS: tuple[Level, ...] = ("Q", "M", "L")
SMALL_LEVELS: tuple[Level, ...] = ("H", *LEVELS)
"""Of a small page, whose codes are near each other: a scratch through one is more often through both."""
LEVEL_USUAL: Level = "M"
MODULE_LEAST = 0.5  # mm: 4 dots at 203 dpi
MODULE_FAR = 0.62  # mm: 5 dots of 8 a millimetre
MODULE_MOST = 0.75  # mm: 6 dots of 8 a millimetre
FINDER = 7  # modules of a finder pattern, ISO/IEC 18004
UPPER_TURN, LOWER_TURN = 1, 3
"""Quarters clockwise: the corner of a code that has no finder pattern is the one nearest to the other code.

What goes across both codes goes through these corners, and a code that lost a finder pattern is not read, at
any level. Per cent of 800 scratches of 2 mm that left all settings, zxing-cpp / zbar, 4 x 6 in: 8 ports
96.0 / 97.8 with upright codes, 98.2 / 99.2 with turned ones; 12 ports, contact and link, 97.9 / 99.0 and
98.6 / 99.1.
"""
STEP = 0.5  # mm between the distances that are tried
CREASE = 3.0  # mm that a fold makes unreadable, with some to spare


class Sized(Struct, frozen=True):
    """A symbol with its module, in mm."""

    symbol: Symbol
    module: float

    @property
    def side(self) -> float:
        """Its side without the quiet zone, in mm."""
        return self.symbol.columns * self.module

    @property
    def quiet(self) -> float:
        """The width of its quiet zone, in mm."""
        return QR_QUIET * self.module


class PlacardCode:
    """One code of a placard, turned clockwise by so many `quarters`."""

    quarters = 0

    def __init__(self, form: PlacardForm, job: Job, box: BoxPlan, stock: Stock, words: Words) -> None:
        self.form, self.job, self.box, self.stock, self.words = form, job, box, stock, words
        self.is_wide = stock.page[0] >= WIDE_PAGE
        self.levels = LEVELS if self.is_wide else SMALL_LEVELS

    @cached_property
    def text(self) -> str:
        """What the code says."""
        return in_form(placard_text(self.job, self.box), self.form, self.job.prints.link)

    def side(self, module: float, level: Level) -> float:
        """The side of a place, quiet zone included, in which its modules are that large or a little larger.

        `level` gives way to the lowest one, and 0 is the side, where no code holds the text.
        """
        columns = qr_columns(self.text, level) or qr_columns(self.text, LEVELS[-1])
        dots = self.stock.dots_per_mm
        whole = math.ceil(module * dots - 1e-6) / dots if dots else module
        return (columns + 2 * QR_QUIET) * max(whole, least_module(dots, MODULE_LEAST))

    def height(self, side: float) -> float:
        """A place of that side with the words below it."""
        return side + paragraphs_height(self._words, side)

    def sized(self, side: float) -> Sized | None:
        """The code in a place of that side; None where its modules would be too small at any level.

        The highest level whose modules read from afar; else the level with the largest modules.
        """
        fitting = [(level, self._module(level, side)) for level in self.levels]
        known = [(level, module) for level, module in fitting if module >= MODULE_LEAST - 1e-9]
        if not known:
            return None
        far = [each for each in known if each[1] >= MODULE_FAR - 1e-9]
        level, module = far[0] if far else max(known, key=lambda each: each[1])
        return Sized(qr(self.text, level, self.quarters), module)

    def _module(self, level: Level, side: float) -> float:
        columns = qr_columns(self.text, level)
        room = side / (columns + 2 * QR_QUIET) if columns else 0.0
        return whole_dots(min(MODULE_MOST, room), self.stock.dots_per_mm)

    @cached_property
    def _words(self) -> list[Paragraph]:
        """What the code does; on a wide page also that a contact card is not to be saved."""
        does = _line(self.words(f"placard.scan_{self.form}"))
        return [does, *(_line(text, bold=True) for text in self._warning)] if self.is_wide else [does]

    @cached_property
    def _warning(self) -> tuple[str, ...]:
        """That a contact card is not to be saved; empty for other forms."""
        if self.form != "contact":
            return ()
        return self.words("placard.scan_once"), self.words(
            "placard.scan_revision", revision=self.job.revision
        )

    def warning_beside(self, align: Align, towards: str = "") -> list[Paragraph]:
        """The warning beside its code, as a small page has it, with an arrow towards the code."""
        text = " ".join(filter(None, (*self._warning, towards)))
        return [_line(text, bold=True, align=align)] if self._warning else []

    def draw(self, layout: Layout, frame: Frame) -> None:
        """The code as large as the frame's width allows, at its top, and the words below it."""
        found = self.sized(min(frame.width, frame.height - paragraphs_height(self._words, frame.width)))
        if found is None:
            message = f"placard of {self.box.row.tag}: its code holds too much for this page"
            hint = "choose a larger placard in [print]"
            if self.form != "text":
                hint += ', or placard_code = ["text"], which takes the least room'
            where = self.box.row.where
            layout.problems.append(error("code-too-long", message, where, hint, (self.box.row.key,)))
            return
        dots = self.stock.dots_per_mm
        whole = found.side + 2 * found.quiet
        x = on_dots(frame.x + (frame.width - whole) / 2 + found.quiet, dots)
        y = on_dots(frame.y + found.quiet, dots)
        with layout.figure(self.words(f"placard.scan_{self.form}")):
            layout.symbol(found.symbol, x, y, found.module)
        top = y + found.side + found.quiet
        draw_paragraphs(layout, self._words, Frame(frame.x, top, frame.width, frame.bottom - top))


def placard_codes(job: Job, box: BoxPlan, stock: Stock, words: Words) -> tuple[PlacardCode, PlacardCode]:
    """The code at the top right, and the one at the bottom left."""
    upper, lower = (PlacardCode(form, job, box, stock, words) for form in job.prints.placard_codes)
    upper.quarters, lower.quarters = UPPER_TURN, LOWER_TURN
    return upper, lower


def apart(upper: Sized, lower: Sized, least: float, most: float) -> float:
    """How far below the upper code's top the lower one's is, in mm, both side by side: the most allowed.

    A level fold through finder patterns of both leaves neither (measured: 6 folds in 100): no crease touches
    one of each. It is more than `most` where only that keeps them apart.
    """
    first, last = math.ceil(least / STEP), int(most / STEP)
    below = math.ceil((upper.side + CREASE) / STEP) + 1  # from there on neither is beside the other
    tried: tuple[int, ...] = (*range(last, first - 1, -1), *range(max(first, last), max(first, below) + 1))
    return next(step * STEP for step in tried if _is_apart(upper, lower, step * STEP))


def _is_apart(upper: Sized, lower: Sized, distance: float) -> bool:
    one, other = (FINDER * code.module for code in (upper, lower))
    above = ((0.0, one), (upper.side - one, upper.side))
    below = ((distance, distance + other), (distance + lower.side - other, distance + lower.side))
    return all(end + CREASE < start or last + CREASE < first for first, end in above for start, last in below)


def _line(text: str, *, bold: bool = False, align: Align = "center") -> Paragraph:
    return Paragraph(text, PAGE_CAPS, PAGE_CAPS, bold=bold, align=align)
