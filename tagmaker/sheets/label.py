"""One tag on one label: the port's letter huge, its box above it, what it is, whose, and the code.

Marks count from the label's own top left corner.
"""

from dataclasses import dataclass

from tagmaker.catalog.faces import BOLD, face
from tagmaker.catalog.stock import Stock
from tagmaker.catalog.words import Words
from tagmaker.marks import Mark
from tagmaker.problems import Problem, error
from tagmaker.sheets.canvas import Layout
from tagmaker.sheets.code import MODULE_LEAST, MODULE_MOST, PlacedCode, bar_code, square_code
from tagmaker.sheets.fit import LEGIBLE_MM, Style, Unfit, fit_stack, fits
from tagmaker.sheets.frame import Frame
from tagmaker.symbols.encode import QR_QUIET
from tagmaker.tags.records import Tag

__all__ = ["FittedLabel", "fit_label"]

PAD = 1.4
MODULES = (MODULE_MOST, 0.5, 0.42, MODULE_LEAST)  # mm, tried in turn where words need the room
LETTER_SHARE = 0.31  # of the room beside the code, for the huge letter
TALL_LETTER_SHARE = 0.38
TALL = 30.0  # mm of height from which a label has room for a still larger letter


@dataclass(frozen=True, slots=True)
class FittedLabel:
    """A tag's marks on its label, from the label's top left corner."""

    tag: Tag
    marks: tuple[Mark, ...]


def fit_label(tag: Tag, stock: Stock, words: Words) -> tuple[FittedLabel | None, tuple[Problem, ...]]:
    """The tag laid out for its stock; None, with the problems that name the tag, where it does not fit."""
    told: list[Problem] = []
    for module_most in MODULES:
        layout = Layout(f"tag {tag.code} on {stock.name}", tag.where, tag.box.upper())
        room = _place_code(layout, tag, stock, module_most)
        if room is None:
            break
        _words(layout, tag, words, room)
        if not layout.problems:
            return FittedLabel(tag, tuple(layout.marks)), ()
        told = told or layout.problems
    return None, tuple(told) or (_no_code(tag, stock),)


def _no_code(tag: Tag, stock: Stock) -> Problem:
    message = f"tag {tag.code} on {stock.name}: its code does not fit at a size that reads"
    hint = "shorten the unit's or box's tag, or choose a larger stock in [print]"
    return error("code-too-long", message, tag.where, hint, (tag.box.upper(),))


def _place_code(layout: Layout, tag: Tag, stock: Stock, module_most: float) -> Frame | None:
    """The room left for words once the code has its place; None where no code fits."""
    label = Frame(0, 0, *stock.label)
    if stock.symbol == "code128":
        strip = label.height * 0.26
        code = bar_code(tag.code, label.width - 2, strip - 1, stock.dots_per_mm)
        if code:
            x = _on_dots((label.width - code.width) / 2 + code.quiet, stock.dots_per_mm)
            layout.symbol(code.symbol, x, label.bottom - strip, code.cell, code.height)
            return Frame(PAD, PAD, label.width - 2 * PAD, label.height - strip - 1.5 * PAD)
    side = min(label.height - 0.6, label.width * 0.4)
    code = square_code(tag.code, side, stock.dots_per_mm, module_most)
    if code is None:
        return None
    _place_square(layout, code, label, stock.dots_per_mm)
    return Frame(PAD, PAD, label.width - code.width - 2 * PAD + code.quiet / 2, label.height - 2 * PAD)


def _place_square(layout: Layout, code: PlacedCode, label: Frame, dots_per_mm: int) -> None:
    """At the right edge, in the middle of the height, on the printer's dots."""
    quiet = QR_QUIET * code.cell
    x = _on_dots(label.right - code.width + quiet, dots_per_mm)
    y = _on_dots((label.height - code.height) / 2 + quiet, dots_per_mm)
    layout.symbol(code.symbol, x, y, code.cell)


def _on_dots(place: float, dots_per_mm: int) -> float:
    """The printer's last dot before a place, so that no quiet zone leaves the label."""
    return int(place * dots_per_mm + 1e-9) / dots_per_mm if dots_per_mm else place


def _words(layout: Layout, tag: Tag, words: Words, room: Frame) -> None:
    head, below = room.top(room.height * 0.21)
    layout.text(tag.box_shown, head, Style(head.height * 0.78, 1.8, bold=True))
    letter, facts = below.left(room.width * (TALL_LETTER_SHARE if room.height > TALL else LETTER_SHARE))
    letter = Frame(letter.x, letter.y, letter.width - 1.2, letter.height)
    layout.text(
        tag.port, letter, Style(_letter_caps(letter), 6.0, bold=True, align="center", upright="letter")
    )
    _facts(layout, tag, words, facts)


def _letter_caps(frame: Frame) -> float:
    """One size for every letter of a stock: that at which the widest common letter fills the frame."""
    bold = face(BOLD)
    return min(frame.height / 1.05, frame.width * bold.cap_height / bold.width("M", 1.0))


def _facts(layout: Layout, tag: Tag, words: Words, frame: Frame) -> None:
    foot = max(frame.height * 0.15, LEGIBLE_MM * 1.4)
    band, rest = frame.top(frame.height * 0.26)
    middle, bottom = rest.top(rest.height - foot)
    _headline(layout, tag, band)
    _middle(layout, tag, words, middle.inset(0, 0.5))
    _foot(layout, tag, bottom)


def _foot(layout: Layout, tag: Tag, frame: Frame) -> None:
    """Which end at the left, the revision at the right, both as large as they can be on one line."""
    both = f"{tag.end_text}  {tag.revision_text}"
    most = max(frame.height * 0.68, LEGIBLE_MM)
    sizes = [LEGIBLE_MM + (most - LEGIBLE_MM) * step / 8 for step in range(8, -1, -1)]
    caps = next((size for size in sizes if fits(both, frame.width, size, bold=True)), 0.0)
    if not caps:
        layout.text(both, frame, Style(LEGIBLE_MM, bold=True))
        return
    layout.text(tag.end_text, frame, Style(caps, bold=True, upright="bottom"))
    layout.text(tag.revision_text, frame, Style(caps, align="right", upright="bottom"))


def _headline(layout: Layout, tag: Tag, band: Frame) -> None:
    """What the thing is; its frame tells the four kinds apart from afar, in black and white."""
    frame = Frame(band.x, band.y + 0.2, band.width, band.height - 0.4)
    ink = 0.0
    if tag.kind == "gas":
        layout.rect(frame, fill=0.0)
        ink = 1.0
    elif tag.kind == "liquid":
        layout.rect(frame.inset(0.2), line=0.4)
    elif tag.kind == "cable":
        layout.dashed(frame.inset(0.2), 0.4)
    else:
        layout.rect(frame.inset(0.2), line=0.4, radius=frame.height / 2 - 0.2)
    style = Style(frame.height * 0.5, bold=True, align="center", ink=ink)
    layout.text(tag.headline, frame.inset(1.0, 0.45), style)  # clear of the frame, the tail of a Q too


def _middle(layout: Layout, tag: Tag, words: Words, frame: Frame) -> None:
    """A caution has the height but for one line of units; else units, remark and rooms share it.

    Where several units' rooms do not fit by name, their number stands instead.
    """
    if tag.is_caution:
        head, caution = frame.top(frame.height * 0.3 if tag.units else 0)
        layout.text(", ".join(tag.units), head, Style(head.height * 0.66, bold=True))
        _caution(layout, tag.remark, caution)
        return
    most = frame.height * 0.3
    units = (", ".join(tag.units), Style(most, lines=3, bold=True))
    remark = (tag.remark, Style(most * 0.75, lines=2))
    rooms = (", ".join(tag.rooms), Style(most * 0.75, lines=3))
    if len(tag.rooms) > 1 and isinstance(fit_stack([units, remark, rooms], frame), Unfit):
        rooms = (words("tag.rooms", count=len(tag.rooms)), rooms[1])
    layout.stack([units, remark, rooms], frame)


def _caution(layout: Layout, text: str, frame: Frame) -> None:
    layout.rect(frame, fill=0.0)
    layout.text(text, frame.inset(0.6, 0.3), Style(3.0, lines=4, bold=True, align="center", ink=1.0))
