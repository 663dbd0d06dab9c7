"""Text fitted to its place: never cut, never overlapping, never below a legible size.

Takes a text, a frame and a style; gives lines with their places, or what is in the way. Sizes are heights of
capitals in mm, the face's own; lines are LEADING capitals apart unless a style has its own leading. A size is
found by trying STEPS sizes from the largest down; results are kept, since the labels of a job repeat their
texts.
"""

import math
import re
from collections.abc import Iterator, Sequence
from functools import lru_cache
from itertools import product
from typing import Literal, NamedTuple

from msgspec import Struct
from msgspec.structs import replace

from tagmaker.draw.marks import Align, Text, TextRole
from tagmaker.typeset.fonts import BOLD, PLAIN, Face, face
from tagmaker.typeset.frame import Frame

__all__ = [
    "ABOVE",
    "BELOW",
    "HANGING",
    "LEADING",
    "LEGIBLE_MM",
    "LINES_AT_MOST",
    "Style",
    "Unfit",
    "as_given",
    "fit",
    "fit_stack",
    "fits",
    "lines_at",
    "lines_needed",
    "text_height",
    "text_width",
]

Upright = Literal["top", "middle", "letter", "bottom"]
"""Where lines are in a higher frame; "letter" is the middle for capitals, which have no descenders."""
LEADING = 1.62
ABOVE, BELOW = 0.21, 0.31
"""What small letters reach above capitals and below the baseline, in capitals: the face's own å and g."""
HANGING = frozenset("Qgjpqy(),;/")
"""Signs that reach below the baseline."""
LEGIBLE_MM = 1.5
"""No printed capital is lower: it reads at 0.32 m, 16 minutes of arc (NUREG-0700), a tag in the hand."""
LINES_AT_MOST = 40
STEPS = 24  # sizes tried between the largest and the least
ALIKE = tuple((step, step) for step in range(STEPS + 1))
FIRST_LAST = tuple(product(range(STEPS + 1), repeat=2))
"""The steps of a stack's first text and of the rest, in the order in which they are tried."""
WORD = re.compile(r"[^ ]* ?")
BREAK = re.compile(r"[^ \-+/,]*[\-+/,]* ?")


class Style(Struct, frozen=True):
    """How a text may be set: largest and least capitals, lines, face, and where it is in its frame.

    Lines are `leading` capitals apart. Lines of a text that `is_whole` end at spaces alone: no tag in it is
    broken after a hyphen.
    """

    most: float
    least: float = LEGIBLE_MM
    lines: int = 1
    bold: bool = False
    align: Align = "left"
    upright: Upright = "middle"
    ink: float = 0.0
    role: TextRole = ""
    leading: float = LEADING
    is_whole: bool = False

    @property
    def face(self) -> str:
        """The face's name."""
        return BOLD if self.bold else PLAIN


class Unfit(Struct, frozen=True):
    """Why a text does not fit its frame: `missing` characters of the face, or else it is too long."""

    text: str
    missing: str = ""


def fits(text: str, width: float, caps: float, *, bold: bool = False) -> bool:
    """Whether a text fits on one line of that width at that height of capitals."""
    measures = face(BOLD if bold else PLAIN)
    return not measures.missing(text) and measures.width(text, measures.size_for_caps(caps)) <= width


def text_width(text: str, caps: float, *, bold: bool = False) -> float:
    """Width of a text at that height of capitals; what the face lacks, and is reported, counts as an M."""
    measures = face(BOLD if bold else PLAIN)
    if missing := measures.missing(text):
        text = "".join("M" if sign in missing else sign for sign in text)
    return measures.width(text, measures.size_for_caps(caps))


@lru_cache(maxsize=8192)
def lines_needed(text: str, width: float, caps: float, *, bold: bool = False) -> int:
    """In how many lines `fit` sets a text at that height of capitals: 0 where it cannot or is empty.

    A text with characters that the face lacks counts as one line: it is reported when it is set.
    """
    measures = face(BOLD if bold else PLAIN)
    if not text or measures.missing(text):
        return 1 if text else 0
    if measures.width(text.rstrip(), measures.size_for_caps(caps)) <= round(width, 4):
        return 1  # most are; this is quicker than the way below
    return len(_at_step(text, Style(caps, caps, LINES_AT_MOST, bold=bold), 0, round(width, 4)).lines)


def lines_at(text: str, width: float, caps: float, *, bold: bool = False) -> int:
    """How many lines of that width a text takes at that height of capitals, broken between words alone.

    0 where a word is longer than a line. A text with characters that the face lacks counts as one line: it is
    reported when it is set.
    """
    measures = face(BOLD if bold else PLAIN)
    size, width = measures.size_for_caps(caps), round(width, 4)
    if measures.missing(text) or measures.width(text.rstrip(), size) <= width:
        return 1
    lines = _wrapped(text, measures, size, width, is_whole=False)
    is_whole = sum(len(line.split()) for line in lines) == len(text.split())
    return len(lines) if is_whole else 0


def text_height(caps: float, lines: int, leading: float = LEADING) -> float:
    """Height that lines of such capitals take, descenders included."""
    return caps * (leading * (lines - 1) + 1 + ABOVE + BELOW)


def _needs(caps: float, lines: int, style: Style) -> float:
    """Capitals (upright "letter") have no descenders to leave room for."""
    if style.upright == "letter":
        return caps * (style.leading * (lines - 1) + 1)
    return text_height(caps, lines, style.leading)


def fit(text: str, frame: Frame, style: Style) -> tuple[Text, ...] | Unfit:
    """The text's lines, as large as the style and the frame allow."""
    found = _largest(text, round(frame.width, 4), round(frame.height, 4), style)
    return found if isinstance(found, Unfit) else _set(found[1], found[0], frame, style)


def fit_stack(
    paragraphs: Sequence[tuple[str, Style]], frame: Frame, *, alike: bool = False
) -> tuple[Text, ...] | Unfit:
    """Paragraphs one below the other, spread over the frame; all shrink alike, or the first one last."""
    for text, style in paragraphs:
        if missing := face(style.face).missing(text):
            return Unfit(text, missing)
    (head, head_style), *others = paragraphs
    tops: list[_Sized] = []  # by step, as these are, as far as they were asked for
    rests: list[list[_Sized]] = []
    heights: list[float] = []
    for first, rest in ALIKE if alike else FIRST_LAST:
        if first == len(tops):
            tops.append(_at_step(head, head_style, first, frame.width))
        if rest == len(rests):
            rests.append([_at_step(text, style, rest, frame.width) for text, style in others])
            heights.append(sum([each.height for each in rests[-1]]))
        if tops[first].height + heights[rest] <= frame.height + 0.001:
            return _spread([tops[first], *rests[rest]], paragraphs, frame)
    return Unfit(_in_the_way(paragraphs, frame))


def _in_the_way(paragraphs: Sequence[tuple[str, Style]], frame: Frame) -> str:
    """The text of a stack to shorten: one that does not fit alone, else the one that takes most room."""
    for text, style in paragraphs:
        if isinstance(fit(text, frame, style), Unfit):
            return text
    least = [(_at_step(text, style, STEPS, frame.width).height, text) for text, style in paragraphs]
    return max(least, key=lambda each: (each[0], len(each[1])))[1]


class _Sized(NamedTuple):
    """A text at a size: its lines, none where it cannot be, and the height that they take."""

    caps: float
    lines: tuple[str, ...]
    height: float


@lru_cache(maxsize=8192)
def _at_step(text: str, style: Style, step: int, width: float) -> _Sized:
    """A text at one of the sizes to try; kept, as labels of a job repeat names and words."""
    most = max(style.most, style.least)
    caps = most - (most - style.least) * step / STEPS
    measures = face(style.face)
    lines = _wrapped(text, measures, measures.size_for_caps(caps), width, is_whole=style.is_whole)
    if not lines or len(lines) > style.lines:
        return _Sized(caps, (), math.inf)
    return _Sized(caps, lines, text_height(caps, len(lines), style.leading))


def _spread(
    sized: Sequence[_Sized], paragraphs: Sequence[tuple[str, Style]], frame: Frame
) -> tuple[Text, ...]:
    """Paragraphs with the space left over divided evenly between them."""
    gap = (frame.height - sum(each.height for each in sized)) / len(sized)
    marks: list[Text] = []
    y = frame.y + gap / 2
    for (caps, lines, height), (_, style) in zip(sized, paragraphs, strict=True):
        marks += _set(lines, caps, Frame(frame.x, y, frame.width, height), style)
        y += height + gap
    return tuple(marks)


@lru_cache(maxsize=4096)
def _largest(text: str, width: float, height: float, style: Style) -> tuple[float, tuple[str, ...]] | Unfit:
    """The largest size at which a text fits, and its lines; or what is in the way."""
    if missing := face(style.face).missing(text):
        return Unfit(text, missing)
    for step in range(STEPS + 1):
        caps, lines, _ = _at_step(text, style, step, width)
        if lines and _needs(caps, len(lines), style) <= height + 0.001:
            return caps, lines
    return Unfit(text)


def _wrapped(text: str, measures: Face, size: float, width: float, *, is_whole: bool) -> tuple[str, ...]:
    """The text in lines of at most that width, broken between words; empty where it cannot be."""
    if measures.width(text.rstrip(), size) <= width:
        return (text.rstrip(),)
    lines: list[str] = []
    line = ""
    for piece in WORD.findall(text) if is_whole else _pieces(text, measures, size, width):
        if measures.width((line + piece).rstrip(), size) <= width:
            line += piece
            continue
        if not line or measures.width(piece.rstrip(), size) > width:
            return ()
        lines.append(line.rstrip())
        line = piece
    return (*lines, line.rstrip())


def _pieces(text: str, measures: Face, size: float, width: float) -> Iterator[str]:
    """Whole words; only one that is longer than a line is broken, after hyphens and the like."""
    for word in WORD.findall(text):
        if measures.width(word.rstrip(), size) <= width:
            yield word
        else:
            yield from BREAK.findall(word)


def as_given(lines: Sequence[Text], text: str, given: str) -> Iterator[Text]:
    """The lines of a text whose spaces were bound, as the given one has them: nothing else differs."""
    at = 0
    for line in lines:
        at = text.index(line.text, at)
        yield replace(line, text=given[at : at + len(line.text)])
        at += len(line.text)


def _set(lines: tuple[str, ...], caps: float, frame: Frame, style: Style) -> tuple[Text, ...]:
    """Lines as marks, at their place in the frame."""
    align, name, ink, role, leading = style.align, style.face, style.ink, style.role, style.leading
    x = frame.x
    if align != "left":
        x = frame.right if align == "right" else frame.x + frame.width / 2
    size = face(name).size_for_caps(caps)
    first = _top(len(lines), caps, frame, style) + caps
    return tuple(
        [
            Text(x, first + number * leading * caps, line, name, size, align, ink, role)
            for number, line in enumerate(lines)
        ]
    )


def _top(lines: int, caps: float, frame: Frame, style: Style) -> float:
    """Where the capitals of the first of so many lines begin."""
    if style.upright == "top":
        return frame.y + caps * ABOVE
    block = caps * (style.leading * (lines - 1) + 1)
    middle, lowest = frame.y + (frame.height - block) / 2, frame.bottom - block - caps * BELOW
    if style.upright == "middle":
        return min(middle, lowest)  # in a tight frame capitals give way to what hangs below them
    return middle if style.upright == "letter" else lowest
