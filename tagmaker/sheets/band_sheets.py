"""Sheets of pipe identification bands, as many on each as fit, to be cut apart along their outlines.

Takes bands; gives pages. A band shows refrigerant and safety group in letters of its height, the warnings of
the group, and which line it is. Its letters never shrink, but its texts wrap: side by side and on upright
or lying paper, whichever takes the fewest sheets. A band is no higher than once around its pipe where one can
be.
"""

import math
from collections.abc import Iterator, Mapping, Sequence
from functools import lru_cache
from itertools import islice
from typing import Literal

from msgspec import Struct
from msgspec.structs import replace

from tagmaker.catalog.bands import band_rules
from tagmaker.catalog.words import Words
from tagmaker.draw.marks import Page
from tagmaker.job.model import Job
from tagmaker.problems import Problem
from tagmaker.sheets.page_head import PageHead
from tagmaker.typeset.canvas import Layout
from tagmaker.typeset.frame import Frame
from tagmaker.typeset.text import HANGING, Style, Unfit, fit, lines_at, text_height, text_width

__all__ = ["Band", "Rooms", "band_height", "band_pages", "band_rooms"]

MARGIN = 6.35  # mm, an office printer's unprintable edge
GAP = 1.5  # mm between two bands
EDGE = 3.0  # mm at the sides of a band
PAD = 1.5  # mm at its top and foot
APART = 1.0  # mm between two texts of a band
LINE_CAPS, LINE_LEAST = 3.6, 2.5
BESIDE_LEAST = 40.0  # mm beside the refrigerant, from which the name of the pipe is there and not below
COLUMNS_MOST = 4
LINES_MOST = 4  # of one text
LINE = Style(LINE_CAPS, LINE_LEAST, lines=3, upright="bottom")
LYING, UPRIGHT = True, False
WAYS = ((LYING,), (UPRIGHT,), (LYING, UPRIGHT))
KEPT = 4096  # texts at a width: a job has a few heights of letters


class Band(Struct, frozen=True):
    """The bands of one line: how many, how high their letters are, and which line it is in words.

    `around` is once around the line over its insulation, in mm.
    """

    line: str
    count: int
    letter_mm: float
    around: float = math.inf


class _Text(Struct, frozen=True):
    """A text of a band at its height of capitals, in so many lines."""

    text: str
    caps: float
    lines: int

    @property
    def is_capitals(self) -> bool:
        """Whether it is one line of which nothing reaches below the baseline."""
        return self.lines == 1 and self.text.upper() == self.text and HANGING.isdisjoint(self.text)

    @property
    def style(self) -> Style:
        """At one size: the height is prescribed, so a text may wrap but not shrink."""
        upright: Literal["letter", "middle"] = "letter" if self.is_capitals else "middle"
        return Style(self.caps, self.caps, self.lines, bold=True, upright=upright)

    @property
    def height(self) -> float:
        """Its height on the band, in mm."""
        return (self.caps if self.is_capitals else text_height(self.caps, self.lines)) + APART

    @property
    def width(self) -> float:
        """Its width on one line, in mm."""
        return text_width(self.text, self.caps, bold=True)


class _Cut(Struct, frozen=True):
    """How a band is laid out: how many side by side, on which paper, how high, how many on a sheet.

    The name of its pipe is `beside` the refrigerant in so many mm, or below all else where that is 0.
    """

    is_lying: bool
    columns: int
    height: float
    a_sheet: int
    texts: tuple[_Text, ...]
    beside: float


class _Sheet(Struct):
    """A sheet being filled: rows of bands from the top down, and the height that is left."""

    is_lying: bool
    left: float
    rows: list[tuple[_Cut, tuple[Band, ...]]] = []


Rooms = Mapping[bool, Frame]
"""What bands may cover of the paper when it lies (True) and when it is upright."""


def band_rooms(job: Job, words: Words) -> Rooms:
    """The rooms of a job's paper."""
    return {way: _head(job, words, "", is_lying=way).body for way in (LYING, UPRIGHT)}


def band_height(band: Band, refrigerant: str, rooms: Rooms) -> float | None:
    """How high a band is, in mm; None where it does not fit on the paper, upright or lying."""
    cut = _best(band, refrigerant, rooms)
    return cut.height if cut else None


def band_pages(
    job: Job, bands: Sequence[Band], words: Words, part: str = ""
) -> tuple[list[Page], list[Problem]]:
    """The sheets, on the paper that takes the fewest; `part` says what of the job they cover, if not all."""
    heads = {way: _head(job, words, part, is_lying=way) for way in (LYING, UPRIGHT)}
    rooms = {way: head.body for way, head in heads.items()}
    found = (_packed(bands, job, {way: rooms[way] for way in ways}) for ways in WAYS)
    sheets = min((sheets for sheets in found if sheets is not None), key=len, default=[])
    layout = Layout("band", job.where, "")
    pages: list[Page] = []
    for number, sheet in enumerate(sheets, start=1):
        layout.marks = []
        _draw_sheet(layout, sheet, rooms[sheet.is_lying])
        pages.append(heads[sheet.is_lying].page(layout, layout.marks, number, len(sheets)))
    return pages, layout.problems


def _head(job: Job, words: Words, part: str, *, is_lying: bool) -> PageHead:
    """A line at the foot instead of a head: the sheet is for the bands."""
    title = words("band.title")
    return PageHead(job, words, title, part=part, is_lying=is_lying, is_brief=True, margin=MARGIN)


# --- how they are laid out ---------------------------------------------------------------------------------


def _packed(bands: Sequence[Band], job: Job, rooms: Rooms) -> list[_Sheet] | None:
    """The bands on sheets, the highest first, lower ones in what these leave; None where one fits nowhere."""
    by_cut: dict[tuple[bool, int, float], list[tuple[_Cut, Band]]] = {}
    for band in bands:
        cut = _best(band, job.refrigerant, rooms)
        if cut is None:
            return None
        by_cut.setdefault((cut.is_lying, cut.columns, cut.height), []).append((cut, band))
    sheets: list[_Sheet] = []
    for _, alike in sorted(by_cut.items(), key=lambda each: -each[0][2]):
        _fill(sheets, alike, rooms)
    return sheets


def _fill(sheets: list[_Sheet], alike: Sequence[tuple[_Cut, Band]], rooms: Rooms) -> None:
    """Rows of bands of one size, each on the first sheet that has room for it."""
    cut = alike[0][0]
    at = 0
    each = (band for _, band in alike for _ in range(band.count))
    while row := tuple(islice(each, cut.columns)):
        while at < len(sheets) and not (
            sheets[at].is_lying == cut.is_lying and sheets[at].left + 0.01 >= cut.height
        ):
            at += 1
        if at == len(sheets):
            sheets.append(_Sheet(cut.is_lying, rooms[cut.is_lying].height))
        sheets[at].rows.append((cut, row))
        sheets[at].left -= cut.height + GAP


def _best(band: Band, refrigerant: str, rooms: Rooms) -> _Cut | None:
    """The layout of which most fit on a sheet, no higher than once around the pipe; else the lowest."""
    cuts = [cut for way, room in rooms.items() for cut in _cuts(band, refrigerant, room, is_lying=way)]
    low = [cut for cut in cuts if cut.height <= band.around]
    if low:
        return max(low, key=lambda cut: (cut.a_sheet, -cut.columns))
    return min(cuts, key=lambda cut: cut.height, default=None)


def _cuts(band: Band, refrigerant: str, room: Frame, *, is_lying: bool) -> Iterator[_Cut]:
    """Every layout of a band on a sheet: alone, or two and more side by side."""
    for columns in range(1, COLUMNS_MOST + 1):
        width = room.columns([1] * columns, GAP)[0].width - 2 * EDGE
        texts = _texts(refrigerant, band.letter_mm, width)
        beside = _beside(band.line, texts[0], width)
        below = 0.0 if beside else _below(band.line, width)
        height = 2 * PAD + sum(text.height for text in texts) + below
        rows = int((room.height + GAP + 0.01) / (height + GAP))
        if (beside or below) and rows and all(text.lines for text in texts):
            yield _Cut(is_lying, columns, round(height, 3), rows * columns, texts, beside)


@lru_cache(maxsize=KEPT)
def _texts(refrigerant: str, letter_mm: float, width: float) -> tuple[_Text, ...]:
    """Refrigerant and group, then the warnings of the group, each in as many lines as it needs."""
    rules = band_rules()
    least, group = float(rules.letters_least.mm), rules.groups[refrigerant]
    texts = [(f"{refrigerant}  {group}", letter_mm)]
    texts += [(warned, least) for warned in rules.warnings[group]]
    return tuple(_Text(text, caps, _lines(text, width, caps)) for text, caps in texts)


def _lines(text: str, width: float, caps: float) -> int:
    """How many lines a text takes; 0 where it takes too many, or a word is too long."""
    lines = lines_at(text, width, caps, bold=True)
    return lines if lines <= LINES_MOST else 0


def _beside(line: str, first: _Text, width: float) -> float:
    """The width beside the refrigerant, where the name of the pipe has room there; else 0."""
    left = width - first.width - 2 * EDGE
    is_there = first.lines == 1 and left >= BESIDE_LEAST
    return left if is_there and _has_room(line, Frame(0, 0, left, first.height)) else 0.0


def _below(line: str, width: float) -> float:
    """The height that the name of the pipe takes below all else; 0 where it has no room."""
    heights = (text_height(LINE_CAPS, lines) for lines in (1, 2))
    return next((height for height in heights if _has_room(line, Frame(0, 0, width, height))), 0.0)


def _has_room(line: str, frame: Frame) -> bool:
    """Whether the name of the pipe fits, its tags in one piece each."""
    found = fit(line, frame, LINE) if line else ()
    return not isinstance(found, Unfit) and " ".join(text.text for text in found) == line


# --- on paper ----------------------------------------------------------------------------------------------


def _draw_sheet(layout: Layout, sheet: _Sheet, room: Frame) -> None:
    """The rows of a sheet from the top down."""
    rest = room
    for cut, bands in sheet.rows:
        row, rest = rest.top(cut.height)
        rest = rest.top(GAP)[1]
        for band, frame in zip(bands, row.columns([1] * cut.columns, GAP), strict=False):
            _draw(layout, band, cut, frame)


def _draw(layout: Layout, band: Band, cut: _Cut, frame: Frame) -> None:
    """One band, its outline being where it is cut."""
    layout.rect(frame, line=0.2)
    rest = frame.inset(EDGE, PAD)
    first = rest.top(cut.texts[0].height)[0]
    for text in cut.texts:
        strip, rest = rest.top(text.height)
        layout.text(text.text, strip, text.style)
    if cut.beside:
        layout.text(
            band.line, first.left(first.width - cut.beside)[1], replace(LINE, align="right", upright="middle")
        )
    else:
        layout.text(band.line, rest, LINE)
