"""Where on a label words and codes may be, by the stock's shape and what the tag goes round.

Takes a tag's outside diameter and its stock; gives panels to lay out, or why the label does not go round.
A wrap's printed zone is at most one turn and its clear tail at least one; a wrap that sticks to itself
is one turn and an overlap; a flag is one turn and two faces.
"""

from collections.abc import Iterable, Iterator
from typing import Literal

from msgspec import Struct

from tagmaker.catalog.stock import Stock
from tagmaker.sheets.label_code import PAD
from tagmaker.tags.model import OutsideDiameter, Tag
from tagmaker.typeset.frame import Frame

__all__ = ["Misfit", "Panel", "misfit", "panels", "stocks_that_fit", "turn_of"]

Holds = Literal["all", "words", "cell", "start", "turn"]
FACE_LEAST = 18.0  # mm of a flag's face that still holds a letter beside its box
FOLD_SLACK = 1.5  # mm of a flag's fold beyond one turn, so that its faces meet
TURN_LEAST = 75.0  # mm of a turn a third of which holds a code beside words; a shorter one is one panel
PANEL_LEAST = 44.0  # mm of a wrap round a thin pipe that words beside a code need, though they go round it
START_MOST = 30.0  # mm of a wrap's hidden end that are marked as such
MM_AN_INCH = 25.4


class Panel(Struct, frozen=True):
    """A part of a label: `holds` is all (words and code), words, face (words and code), cell, start or turn.

    Start is the end of a wrap that is stuck on first and ends up under the other, turn what lies outside.
    """

    frame: Frame
    holds: Holds


class Misfit(Struct, frozen=True):
    """Why a label does not go round a thing: what it measures and what the label has, in words."""

    message: str


def panels(tag: Tag, stock: Stock) -> tuple[Panel, ...]:
    """The parts of a label for a tag's words and code, in mm from the label's corner."""
    whole = Frame(0, 0, *stock.label)
    match stock.shape:
        case "tie-on":
            return (Panel(_beside_hole(stock, whole), "all"),)
        case "flag" if not (stock.is_default and misfit(tag.outside, stock)):
            return tuple(_faces(tag.outside, stock, whole))
        case "wrap":
            return tuple(_wrapped(tag.outside, stock, whole))
        case "strip":
            return (Panel(whole, "cell"),)
        case _:
            return (Panel(whole, "all"),)


def _beside_hole(stock: Stock, whole: Frame) -> Frame:
    """What is left of a tie-on tag at the right of its hole."""
    x, _, diameter = stock.hole
    return whole.left(x + diameter / 2 + 1.0)[1]


def _faces(outside: OutsideDiameter | None, stock: Stock, whole: Frame) -> Iterator[Panel]:
    """A flag's two faces with their pads, the fold between them as wide as one turn.

    A pad at the fold is part of the fold: words may begin where the fold ends.
    """
    fold = outside.circumference + FOLD_SLACK if outside else stock.fold
    face = (whole.width - fold) / 2 + min(PAD, fold / 2)
    yield Panel(Frame(0, 0, face, whole.height), "words")
    yield Panel(Frame(whole.width - face, 0, face, whole.height), "all")


def _wrapped(outside: OutsideDiameter | None, stock: Stock, whole: Frame) -> Iterator[Panel]:
    """A laminated wrap's printed zone, or the last turn of a pipe wrap, the one that lies outside.

    Round a thin pipe words go further than is seen from one side, and are there once.
    """
    if stock.printed:
        if stock.around == "height":
            yield Panel(Frame(0, 0, whole.width, stock.printed), "all")
        else:
            yield Panel(Frame(0, 0, stock.printed, whole.height), "all")
        return
    turn = min(max(turn_of(outside, stock), PANEL_LEAST), stock.length_around)
    first = stock.length_around - turn
    yield Panel(_slice(stock, whole, 0, min(first, START_MOST)), "start")
    yield Panel(_slice(stock, whole, first, turn), "turn" if turn >= TURN_LEAST else "all")


def is_one_sided(outside: OutsideDiameter | None, stock: Stock) -> bool:
    """Whether a wrap's words are there once, and go further round than is seen from one side (a third)."""
    return stock.shape == "wrap" and (bool(stock.printed) or turn_of(outside, stock) < TURN_LEAST)


def turn_of(outside: OutsideDiameter | None, stock: Stock) -> float:
    """Once round the thing in mm; as much as the wrap is made for where no diameter is known."""
    if outside:
        return outside.circumference
    return stock.length_around - (stock.printed or stock.overlap)


def _slice(stock: Stock, whole: Frame, start: float, length: float) -> Frame:
    """A part of a wrap by where it begins on the way round and how far it goes."""
    if stock.around == "width":
        return Frame(start, 0, length, whole.height)
    return Frame(0, start, whole.width, length)


def misfit(outside: OutsideDiameter | None, stock: Stock) -> Misfit | None:
    """Why a stock does not go round a thing; None where it does, or where no diameter is known."""
    if outside is None:
        return None
    short = {"flag": _short_flag, "wrap": _short_wrap}.get(stock.shape)
    found = short(outside, stock) if short else ""
    turn = _length_text(outside.circumference, outside)
    return Misfit(f"{outside.text} is {turn} around, {found}") if found else None


def _short_flag(outside: OutsideDiameter, stock: Stock) -> str:
    """Why a flag is too short, or nothing."""
    if outside.circumference + FOLD_SLACK + 2 * FACE_LEAST <= stock.label[0]:
        return ""
    return f"which leaves no room for two faces on this flag of {_length_text(stock.label[0], outside)}"


def _short_wrap(outside: OutsideDiameter, stock: Stock) -> str:
    """Why a wrap is too short or too long, or nothing."""
    turn, length = outside.circumference, stock.length_around
    if stock.printed > turn:
        return f"and this wrap's printed zone of {_length_text(stock.printed, outside)} is longer than that"
    if stock.printed and length - stock.printed < turn:
        return f"and this wrap's clear tail is {_length_text(length - stock.printed, outside)}"
    if not stock.printed and length < turn + stock.overlap:
        overlap = _length_text(stock.overlap, outside)
        return f"this wrap is {_length_text(length, outside)}, of which {overlap} must overlap"
    return ""


def _length_text(mm: float, outside: OutsideDiameter) -> str:
    """A length in the system in which the tube was given."""
    return f"{mm:.1f} mm" if outside.is_metric else f"{mm / MM_AN_INCH:.2f} in"


def stocks_that_fit(outside: OutsideDiameter, use: str, stocks: Iterable[Stock]) -> list[str]:
    """The names of the stocks that suit a use and go round a thing."""
    return [each.name for each in stocks if use in each.suits and misfit(outside, each) is None]
