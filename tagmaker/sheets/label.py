"""One tag on one label: the port's letter huge, its box above it, what it is, whose, and the code.

Takes a tag and its stock; gives marks from the label's own top left corner, or problems that name the tag. A
panel that is wide, narrow or low has an arrangement of its own; each keeps letter, box and kind together.
All arrangements are tried with a large code, then with smaller ones, and the first in which everything fits
is used: no text is cut, and no code goes below the size at which it reads.
"""

from msgspec import Struct
from msgspec.structs import replace

from tagmaker.catalog.stock import Stock
from tagmaker.catalog.words import Words
from tagmaker.draw.marks import Mark, Text, TextRole
from tagmaker.problems import Problem, error
from tagmaker.sheets.label_code import PAD, place_code
from tagmaker.sheets.label_draft import with_draft
from tagmaker.sheets.label_words import lay_out_cell, lay_out_face, lay_out_start, tight_ways, ways
from tagmaker.sheets.media import Panel, panels
from tagmaker.tags.model import Tag
from tagmaker.tags.revision import revision_text
from tagmaker.typeset.canvas import Layout
from tagmaker.typeset.codes import MODULE_LEAST, MODULE_MOST
from tagmaker.typeset.fonts import face
from tagmaker.typeset.frame import Frame

__all__ = ["FittedLabel", "fit_label"]

MODULES = (MODULE_MOST, 0.5, 0.42, MODULE_LEAST)  # mm, tried in turn where words need the room
FULL_LETTER_LEAST = 0.7  # of a short face's letter; below it the other words give way


class FittedLabel(Struct, frozen=True):
    """A tag's marks on its label, from the label's top left corner.

    `heights` are those of the texts that are read from a distance, by their roles: of the lowest of each, in
    mm. `has_code` is False where a draft has the word DRAFT in the code's place.
    """

    tag: Tag
    marks: tuple[Mark, ...]
    heights: dict[TextRole, float]
    has_code: bool = True

    @property
    def letter_caps(self) -> float:
        """Height of the smallest copy of the one huge thing on the tag."""
        return self.heights.get("main", 0.0)


def fit_label(tag: Tag, stock: Stock, words: Words) -> tuple[FittedLabel | None, tuple[Problem, ...]]:
    """The tag laid out for its stock; None, with the problems that name the tag, where it does not fit.

    A default flag whose faces are too narrow is printed as a plain label. A draft is never refused for the
    word DRAFT: where the tag fits only without it, the word is in the code's place.
    """
    label, problems = _fit(tag, stock, words)
    if label is None and stock.is_default and stock.shape == "flag":
        stock = replace(stock, shape="label")
        label, _ = _fit(tag, stock, words)
    if label is None and tag.is_draft:
        bare = replace(tag, revision_text=revision_text(tag.revision, words, is_draft=False), is_draft=False)
        issued, _ = _fit(bare, stock, words)
        if issued:
            marks, has_code = with_draft(issued.marks, stock, words)
            label = replace(issued, tag=tag, marks=marks, has_code=has_code)
    return label, () if label else problems


def _fit(tag: Tag, stock: Stock, words: Words) -> tuple[FittedLabel | None, tuple[Problem, ...]]:
    """The tag laid out with all its words."""
    layout = Layout(f"tag {tag.code} on {stock.name}", tag.where, tag.box.upper())
    if stock.has_ring:
        _hole(layout, stock)
    for room in tag.rooms:  # a low label may leave rooms out, but must not hide that one cannot be printed
        layout.check_signs(room)
    parts = panels(tag, stock)
    if stock.shape == "flag" and len(parts) > 1:
        _fold(layout, stock)
    for panel in parts:
        if not _panel(layout, tag, stock, words, panel):
            message = f"tag {tag.code} on {stock.name}: its code does not fit at a readable size"
            hint = "shorten the unit's or box's tag, or choose a larger stock in [print]"
            return None, (error("code-too-long", message, tag.where, hint, (tag.box.upper(),)),)
    if layout.problems:
        return None, tuple(layout.problems)
    return FittedLabel(tag, tuple(layout.marks), _heights(layout.marks)), ()


def _heights(marks: list[Mark]) -> dict[TextRole, float]:
    """Heights of capitals by role, in mm: of the lowest text of each."""
    heights: dict[TextRole, float] = {}
    for mark in marks:
        if isinstance(mark, Text) and mark.role:
            caps = mark.size * face(mark.face).cap_height
            heights[mark.role] = min(caps, heights.get(mark.role, caps))
    return heights


def _hole(layout: Layout, stock: Stock) -> None:
    """A ring where a tag of a plain sheet is to be punched."""
    x, y, diameter = stock.hole
    radius = diameter / 2
    layout.rect(Frame(x - radius, y - radius, diameter, diameter), line=0.2, radius=radius)


def _fold(layout: Layout, stock: Stock) -> None:
    """Two short marks where a flag is folded."""
    width, height = stock.label
    for top in (0.4, height - 2.4):
        layout.rule(width / 2, top, width / 2, top + 2.0, 0.2)


def _panel(layout: Layout, tag: Tag, stock: Stock, words: Words, panel: Panel) -> bool:
    """One part of the label; False where its code does not fit."""
    if panel.holds == "cell":
        lay_out_cell(layout, tag, words, panel.frame)
    elif panel.holds == "start":
        lay_out_start(layout, words, panel.frame)
    elif panel.holds == "face":
        return _codedlay_out_face(layout, tag, stock, words, panel)
    else:
        return _best(layout, tag, stock, words, panel)
    return True


def _best(layout: Layout, tag: Tag, stock: Stock, words: Words, panel: Panel) -> bool:
    """The first arrangement in which everything fits: a large code before a small one, the usual way first.

    Where none fits, the problems of the first are reported; False where no code fits in any.
    """
    tried: list[Layout] = []
    for module_most, is_tight in (*((module, False) for module in MODULES), (MODULE_LEAST, True)):
        trial = Layout(layout.what, layout.where, layout.box)
        room = panel.frame.inset(PAD)
        if panel.holds == "all":
            left = place_code(trial, tag, stock, panel.frame, module_most)
            if left is None:
                continue
            room = left
        for arrange in tight_ways(tag) if is_tight else ways(tag, room):
            attempt = Layout(layout.what, layout.where, layout.box, list(trial.marks))
            arrange(attempt, tag, words, room)
            tried.append(attempt)
            if not attempt.problems:
                layout.marks += attempt.marks
                return True
    if tried:
        layout.problems += tried[0].problems
    return bool(tried)


def _codedlay_out_face(layout: Layout, tag: Tag, stock: Stock, words: Words, panel: Panel) -> bool:
    """A face with the code: it has all words of the other one, unless that makes its letter much lower.

    A caution is left out only where it does not fit. False where no code fits.
    """
    full, short = (Layout(layout.what, layout.where, layout.box) for _ in range(2))
    has_full = _best(full, tag, stock, words, replace(panel, holds="all")) and not full.problems
    has_short = lay_out_face(short, tag, stock, panel.frame)
    letters = [_heights(each.marks).get("main", 0.0) for each in (full, short)]
    is_low = has_short and letters[0] < FULL_LETTER_LEAST * letters[1]
    chosen = full if has_full and (tag.is_caution or not is_low) else short
    layout.marks += chosen.marks
    layout.problems += chosen.problems
    return has_full or has_short
