"""The word DRAFT on a label whose words leave no room for it.

Takes the marks of the label as it is issued; gives those of the draft. The word is in the code's place; a
label without a code has a black border instead.
"""

from collections.abc import Iterable

from tagmaker.catalog.stock import Stock
from tagmaker.catalog.words import Words
from tagmaker.draw.marks import Bars, Mark, Rect, Text
from tagmaker.typeset.frame import Frame
from tagmaker.typeset.text import Style, Unfit, fit

__all__ = ["with_draft"]

BORDER = 0.8  # mm of a border that marks a draft where the word itself has no place


def with_draft(marks: Iterable[Mark], stock: Stock, words: Words) -> tuple[tuple[Mark, ...], bool]:
    """The label's marks with DRAFT in place of its code, and whether it still has its code."""
    marks = tuple(marks)
    code = next((mark for mark in marks if isinstance(mark, Bars)), None)
    word = _word(code, words) if code else ()
    if word:
        return (*(mark for mark in marks if mark is not code), *word), False
    width, height = stock.label
    half = BORDER / 2
    return (*marks, Rect(half, half, width - BORDER, height - BORDER, line=BORDER)), True


def _word(code: Bars, words: Words) -> tuple[Text, ...]:
    """DRAFT as large as the code's own square or strip allows; nothing where it does not fit."""
    style = Style(4.0, bold=True, align="center")
    found = fit(words("tag.draft"), Frame(code.x, code.y, *code.size), style)
    return () if isinstance(found, Unfit) else found
