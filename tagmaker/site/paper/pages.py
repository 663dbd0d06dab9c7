"""A picture of pages read: which pages of which sheets it shows, and what is marked and written on them.

Takes a picture and the pages of printed sets; gives a reading of each page that it shows. What no person
could type without seeing the paper is cut out as a picture: doubtful boxes, and lines with handwriting.
"""

import io
from collections.abc import Callable, Iterable, Iterator, Mapping
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from tagmaker.revisions.form_pages import FieldPlace, FormPage
from tagmaker.site.paper.beside import marked_beside
from tagmaker.site.paper.darkness import Darkness, darkness
from tagmaker.site.paper.flatten import DOTS, flattened
from tagmaker.site.paper.frames import FOUND_SHARE, Frame, frames, offsets_at
from tagmaker.site.paper.neighbours import shared_pieces
from tagmaker.site.paper.overlaid import overlaid
from tagmaker.site.paper.own_ink import doubted, pen_ink
from tagmaker.site.paper.readings import DOUBTFUL, NO_CODE, PageFault, PageReading, PrintedPages, Tick
from tagmaker.site.paper.strokes import is_at_rim
from tagmaker.site.paper.through import page_strokes, passes_through
from tagmaker.site.paper.ticks import has_traces, inside_of, judged
from tagmaker.symbols.read import Decoded, Picture, read_codes
from tagmaker.tags.response_code import ResponsePage
from tagmaker.tags.sheet_names import is_cell, is_reading, is_tick, read_sheet_code, sheet_kind

if TYPE_CHECKING:
    from PIL.Image import Image

__all__ = ["read_picture"]

Bytes = NDArray[np.uint8]
PIXELS_AN_INCH = 25.4  # a code's place in mm is then its place in pixels
AROUND_TICK, AROUND_TEXT = 8 * DOTS, 2 * DOTS  # dots of a page that a cut shows around its field
LINE_INSET = round(1.2 * DOTS)  # dots: the long frame of a line is not straight where paper is not
CELL_DUST = 0.3  # mm² of ink in one piece in a cell: less is a scanner's dust, the least letter has 1.3
CELL_INSET = round(0.75 * DOTS)  # dots: beyond the frame of a cell with its blur
PAGE_HINT = (
    "photograph each page whole, from straight above, in even light, with its code and its four corner "
    "squares; or scan it"
)
TYPE_HINT = "type what is marked and written into the same form of the current set"
TEST_HINT = "hand in the response.json of that test with it"
SET_HINT = "name the plan.json of the set that it was printed with: --since PLAN"
NO_SET = "it is page {page} of {pages} of the {sheet}, revision {revision}, of a set that is not at hand"
NO_PLACES = "it is of a set that an earlier version made, which kept too little to read paper by"
TWO_SETS = "sets at hand have the boxes of the {sheet} at different places, and more than one fits"
NO_MARKS = "not all four corner squares of the {sheet} are in it"
NO_FRAMES = "the boxes of the {sheet} are not where its set has them: blurred, folded, or printed otherwise"


def read_picture(picture: "Image", printed: PrintedPages) -> Iterator[PageReading | PageFault]:
    """Every page that a picture shows, as read by the sets that were printed."""
    codes = [code for code in read_codes(picture, PIXELS_AN_INCH) if read_sheet_code(code.text)]
    if not codes:
        yield PageFault(NO_CODE, PAGE_HINT, is_page=False)
    yield from (_page(picture, code, printed) for code in codes)


def _page(picture: "Image", code: Decoded, printed: PrintedPages) -> PageReading | PageFault:
    """The page that a code names, read by the places of each set that has one of that code.

    Sets that print the same page elsewhere are told apart by where its boxes are; where more than one fits
    and they read it differently, nobody knows which one it was printed with.
    """
    named = read_sheet_code(code.text)
    sheet, pages = (named.shown, printed.by_code.get(code.text, ())) if named else ("", ())
    if named and not pages:
        text = NO_SET.format(page=named.page, pages=named.pages, sheet=sheet, revision=named.revision)
        return PageFault(text, TEST_HINT if isinstance(named, ResponsePage) else SET_HINT)
    fault = PageFault(NO_PLACES, TYPE_HINT)
    readings: list[PageReading] = []
    tried: list[FormPage] = []
    for page in pages:
        if page.code_place is None or not page.width_mm or any(_is_alike(page, each) for each in tried):
            continue
        flat = flattened(picture, code.corners, page.code_place, page.size_mm)
        reading = (
            _read(flat, page, printed.empty) if flat else PageFault(NO_MARKS.format(sheet=sheet), PAGE_HINT)
        )
        if isinstance(reading, PageReading):
            readings.append(reading)
            tried.append(page)
        else:
            fault = reading
    if _is_divided(readings):
        return PageFault(TWO_SETS.format(sheet=sheet), SET_HINT)
    return readings[0] if readings else fault


def _is_alike(one: FormPage, other: FormPage) -> bool:
    """Whether two sets print a page alike: what one reads the other would read."""
    return (one.fields, one.size_mm, one.code_place) == (other.fields, other.size_mm, other.code_place)


def _is_divided(readings: Iterable[PageReading]) -> bool:
    """Whether one reading has a box as ticked that another has as blank, or does not have."""
    ticked: dict[str, set[bool]] = {}
    names = {name for reading in readings for name in reading.ticks}
    for reading in readings:
        for name in names:
            if (tick := reading.ticks.get(name, "blank")) not in DOUBTFUL:
                ticked.setdefault(name, set()).add(tick == "ticked")
    return any(len(found) > 1 for found in ticked.values())


def _read(
    flat: "Image", page: FormPage, draws: Callable[[FormPage], "Picture | None"]
) -> PageReading | PageFault:
    """A straightened page, whose frames must be where they were printed."""
    dark = darkness(np.asarray(flat))
    found = frames(dark.lines, page.fields)
    if sum(frame.is_found for frame in found.values()) < FOUND_SHARE * len(found):
        named = read_sheet_code(page.code)
        return PageFault(NO_FRAMES.format(sheet=named.shown if named else ""), f"{PAGE_HINT}; {SET_HINT}")
    covered: tuple[str, ...] = ()
    boxes = {name: frame for name, frame in found.items() if is_tick(name)}
    drawn = draws(page) if boxes else None
    empty = np.asarray(drawn) if drawn else None
    ticks = _ticks(dark, found, page.fields, empty)
    if empty is not None:
        blank = [name for name, tick in ticks.items() if tick == "blank"]
        beside = marked_beside(dark.lines, found, page.fields, empty, blank)
        ticks |= dict.fromkeys(beside, "unclear")
        seen = [name for name, tick in ticks.items() if tick != "unseen" and sheet_kind(name) == "walk"]
        covered = tuple(overlaid(dark.lines, found, page.fields, empty, seen))
        ticks |= dict.fromkeys(covered, "unclear")
    lines = {name: frame for name, frame in found.items() if _is_line(name)}
    written = [name for name, frame in lines.items() if _is_written(dark, frame, is_cell=is_cell(name))]
    ticks |= {name: "unclear" for name in _denied(written) if ticks.get(name) == "ticked"}
    doubtful = [name for name, tick in ticks.items() if tick in DOUBTFUL]
    cuts = {name: _cut(flat, found[name], AROUND_TICK) for name in doubtful}
    cuts |= {name: _cut(flat, found[name], AROUND_TEXT) for name in written}
    return PageReading(page.code, ticks, tuple(written), cuts, covered)


def _ticks(
    dark: Darkness, found: Mapping[str, Frame], places: Mapping[str, FieldPlace], empty: Bytes | None
) -> dict[str, Tick]:
    boxes = {name: frame for name, frame in found.items() if is_tick(name)}
    seen = {name: frame for name, frame in boxes.items() if frame.is_found}
    insides = {name: inside_of(dark, frame) for name, frame in seen.items()}
    shared = shared_pieces(dark.lines, seen, insides)
    ticks: dict[str, Tick] = dict.fromkeys(boxes, "unseen")
    ticks |= {name: judged(inside, shared[name]) for name, inside in insides.items()}
    page = page_strokes(dark.lines, empty)
    for name in [name for name, tick in ticks.items() if tick == "ticked"]:
        if passes_through(page, seen[name], places[name], insides[name].pieces):
            ticks[name] = "unclear"
    off = offsets_at(found, places, dark.lines.shape)
    if empty is not None and off and seen:
        inked = {name: (frame, insides[name].pieces) for name, frame in seen.items()}
        pens = pen_ink(page, empty, off, list(inked.values()))
        ticks |= dict.fromkeys(doubted(pens, inked, ticks), "unclear")
    return ticks


def _is_line(name: str) -> bool:
    """Whether a field is written into; of a response test its readings alone, the rest is for the person."""
    return not is_tick(name) and (is_reading(name) or sheet_kind(name) != "response")


def _is_written(dark: Darkness, frame: Frame, *, is_cell: bool) -> bool:
    """Whether anything is on a line, or the line is not seen; the end of a tick beside it aside.

    A cell is small, and filled by one letter: all ink in it counts.
    """
    if not frame.is_found:
        return True
    if is_cell:
        inside = inside_of(dark, frame, CELL_INSET)
        is_inked = any(piece.sum() > CELL_DUST * DOTS**2 for piece in inside.pieces)
        return is_inked or has_traces(inside, 2 * CELL_DUST)
    inside = inside_of(dark, frame, LINE_INSET)
    return any(not is_at_rim(piece) for piece in inside.pieces) or has_traces(inside)


def _denied(written: Iterable[str]) -> Iterator[str]:
    """The boxes for "correct" beside which a unit is written: what is meant is known once that is typed."""
    for name in written:
        if name.endswith("/found"):
            yield f"{name.removesuffix('/found')}/ok"


def _cut(flat: "Image", frame: Frame, around: int) -> bytes:
    """A part of a page as a PNG picture."""
    place = (
        max(0, frame.left - around),
        max(0, frame.top - around),
        min(flat.width, frame.right + around),
        min(flat.height, frame.bottom + around),
    )
    out = io.BytesIO()
    flat.crop(place).save(out, "PNG", dpi=(DOTS * 25.4, DOTS * 25.4))
    return out.getvalue()
