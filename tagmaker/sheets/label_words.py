"""The arrangements of a label's words: each keeps letter, box and kind together.

Takes a setting and a room with its code; adds marks to a layout, and a problem for each text that has no
room. An arrangement is tried with a large letter first, then with smaller ones.
"""

from collections.abc import Callable, Iterator
from functools import partial

from msgspec import Struct
from msgspec.structs import replace

from tagmaker.catalog.words import Words
from tagmaker.draw.marks import TextRole
from tagmaker.sheets.label_code import LOW, PAD, Corner, Room, edge_pad
from tagmaker.sheets.label_needs import LEADING, Setting, caps_across
from tagmaker.sheets.label_parts import (
    BESIDE,
    GAP,
    box,
    ends_beside,
    ends_width,
    kind,
    kind_height,
    kind_row,
    kind_width,
    letter,
    letter_width,
    tall,
    within,
)
from tagmaker.sheets.label_subject import first_unit, subject
from tagmaker.typeset.canvas import Layout
from tagmaker.typeset.frame import Frame
from tagmaker.typeset.text import Style

__all__ = ["Way", "back", "column", "lay_out_cell", "lay_out_start", "ways"]

TOPS = (0.52, 0.46, 0.4, 0.34, 0.28, 0.22)
"""Parts of a room's height for its letter, tried in turn."""
BELOW_LETTER = 0.78  # of the letter's height, that a box below it has at most
CELL_GAP = 0.25  # mm between the texts of a cell
KIND_MOST = 0.4  # of a huge text's capitals, that what it is takes at most
HIGHEST = 0.62  # of a room's height, for its letter
WIDE = 2.2  # widths of a height from which words are beside the letter
COLUMN_BELOW = 0.5  # of the heights that texts need: there they are below it on wide labels too
TWO_LINES = 2.42  # heights of capitals that a tag broken on two lines may take
LOW_LETTERS = (1.0, 0.8, 0.6, 0.45)
"""Heights of a low label's letter, as parts of the room's."""


class Way(Struct, frozen=True):
    """An arrangement to try: where the code is, and what lays the words out."""

    corner: Corner
    arrange: Callable[[Layout, Setting, Room], None]


def ways(setting: Setting, frame: Frame, reach: float) -> Iterator[Way]:
    """The arrangements to try in a frame, the one made for its shape first, larger letters first.

    Letter, box and kind are within `reach` mm of the height: more of a round thing is not seen from one side.
    """
    height = frame.height - 2 * edge_pad(frame, setting.stock)
    if not setting.tag.has_letter:
        tops = [top for top in (0.75, *TOPS) if top * height >= setting.least("main")]
        yield from (Way(corner, partial(_of_box, top=top)) for top in tops for corner in ("bottom", "top"))
        return
    if frame.height < LOW:
        yield from (Way("middle", partial(_low, part=part)) for part in LOW_LETTERS)
        return
    exact = (
        setting.sight("box").caps + 0.05 + GAP + kind_height(setting)
    ) / height  # a box as high as it should
    tops = sorted({*TOPS, min(exact, HIGHEST)}, reverse=True)
    tops = [top for top in tops if setting.least("main") <= top * height <= reach]
    yield from (Way("top", partial(_plate, top=top)) for top in tops)
    if frame.width < WIDE * frame.height or setting.share <= COLUMN_BELOW:
        yield from (Way("top", partial(column, top=top)) for top in tops)
    if setting.is_last:
        yield from (Way("middle", partial(_low, part=part)) for part in LOW_LETTERS[1:])


def _of_box(layout: Layout, setting: Setting, room: Room, top: float) -> None:
    """A label without a letter: its box or unit huge, what it is, and a line about it.

    What a huge text cannot use, as it is as wide as its place, goes to what it is.
    """
    frame, tag = room.frame, setting.tag
    middle = frame.y + frame.height * top
    slot = room.slot(frame.y, middle)
    head = within(tag.big, slot)
    lines = 2 if setting.is_last else 1
    most = max(min(head.height, caps_across(_widest(setting), head.width)), setting.least("main"))
    unused = slot.height - most * tall(tag.big) if lines == 1 else 0.0
    low = kind_height(setting)
    if unused > 4 * GAP:  # a quarter above the huge text, a quarter below it, what it is with the rest
        low = max(low, min(unused / 2, most * KIND_MOST))
        middle -= unused / 2
        head = within(tag.big, room.slot(frame.y + unused / 4, middle - unused / 4))
    style = Style(
        most,
        setting.least("main"),
        lines=lines,
        bold=True,
        upright="letter",
        role="main",
        is_whole=not setting.is_last,
    )
    layout.text(tag.big, head, style)
    band, rest = room.slot(middle + GAP, frame.bottom).top(low)
    has_ends = kind_row(layout, setting, band)
    below = Frame(rest.x, rest.y + GAP / 2, rest.width, rest.height - GAP / 2)
    subject(layout, setting, below, has_ends=not has_ends)


def _widest(setting: Setting) -> str:
    """The widest text of a job that such a label has as its huge one."""
    widest = setting.widest
    return (widest.unit if setting.tag.port else widest.box) or setting.tag.big


def _plate(layout: Layout, setting: Setting, room: Room, top: float) -> None:
    """Letter at the left, box above kind beside it; whose it is, or the caution, below at the full width."""
    frame = room.frame
    middle = frame.y + frame.height * top
    head = room.slot(frame.y, middle)
    place, beside = head.left(min(letter_width(setting, head.height), head.width / 2))
    letter(layout, setting, place)
    column = Frame(beside.x + BESIDE, beside.y, beside.width - BESIDE, beside.height)
    lines = 1 if kind_width(setting) <= column.width else 2
    low = max(kind_height(setting, lines), column.height * 0.34)
    above, band = column.top(column.height - low)
    box(layout, setting, Frame(above.x, above.y, above.width, above.height - GAP))
    has_ends = kind_row(layout, setting, band, lines)
    subject(layout, setting, room.slot(middle + GAP, frame.bottom), has_ends=not has_ends)


def column(layout: Layout, setting: Setting, room: Room, top: float, *, is_front: bool = False) -> None:
    """Letter beside the kind, the box below them at the full width, then the rest: for a narrow room.

    The front of a narrow flag has no end and revision.
    """
    frame, shown = room.frame, setting.tag.box_shown
    lines = 1 if kind_width(setting) <= frame.width / 2 else 2
    head = room.slot(frame.y, frame.y + max(frame.height * top, kind_height(setting, lines)))
    place, band = head.left(head.width - kind_width(setting, lines))
    place = Frame(place.x, place.y, place.width - GAP, place.height)
    letter(layout, setting, place)
    kind(layout, setting, band.top(min(band.height, kind_height(setting, lines) * 1.2))[0])
    below, least = head.bottom + GAP, setting.least("box")
    across = caps_across(setting.widest.box or shown, room.slot(below, frame.bottom).width)
    high = min(place.height, place.height * place.width / letter_width(setting, place.height))
    caps = max(min(setting.sight("box").caps, across, high * BELOW_LETTER), least)
    rows = TWO_LINES if setting.is_last else 1.0
    row = room.slot(below, below + caps * rows * tall(shown))
    box(layout, setting, row)
    rest = room.slot(row.bottom + GAP, frame.bottom)
    subject(layout, setting, rest, has_ends=not is_front, is_narrow=is_front)


def _low(layout: Layout, setting: Setting, room: Room, part: float) -> None:
    """Letter at the left, box and kind in one row beside it, and the rest below them."""
    frame = room.slot(room.frame.y, room.frame.bottom)
    high = frame.height * part
    place, rest = frame.left(min(letter_width(setting, high), frame.width / 2))
    letter(layout, setting, place)
    beside = Frame(rest.x + GAP, rest.y, rest.width - GAP, rest.height)
    row, below = beside.top(max(kind_height(setting), setting.least("box")))
    wide = kind_width(setting)
    if setting.is_last:
        wide = min(wide, row.width * 0.6)
    shown, band = row.left(row.width - wide)
    box(layout, setting, Frame(shown.x, shown.y, shown.width - GAP, shown.height))
    kind(layout, setting, band)
    subject(layout, setting, Frame(below.x, below.y + 0.35, below.width, below.height - 0.35), has_ends=True)


def back(layout: Layout, setting: Setting, room: Room) -> None:
    """A flag's second face where one face does not hold all: letter, end and revision, remark."""
    frame = room.frame
    head, below = frame.top(2 * setting.fact().least + 0.5)
    wide = head.width - ends_width(setting) - GAP
    letter(layout, setting, Frame(head.x, head.y, max(wide, 1.0), head.height))
    ends_beside(layout, setting, head.left(head.width - ends_width(setting))[1])
    below = Frame(below.x, below.y + GAP / 2, below.width, below.height - GAP / 2)
    layout.text(setting.tag.remark, below, setting.fact(3))


def lay_out_cell(layout: Layout, setting: Setting, cell: Frame) -> None:
    """A cell of a terminal strip: box, letter, and whose cable is connected or why none is."""
    tag, least = setting.tag, setting.least("box")
    layout.rect(cell.inset(0.075), line=0.15)
    inner = cell.inset(0.4, 0.3)
    head, rest = inner.top(least * (TWO_LINES if setting.is_last else 1.0) * tall(tag.box_shown))
    layout.text(tag.box_shown, within(tag.box_shown, head), _cell_style(setting, "box"))
    place, below = rest.top(max(rest.height * 0.36, setting.least("main")) + 2 * CELL_GAP)
    letter(layout, setting, place.inset(0, CELL_GAP), "center")
    if not tag.is_caution:
        style = _cell_style(setting, "unit")
        layout.text(first_unit(tag.units), below, replace(style, lines=2) if len(tag.units) > 1 else style)
        return
    layout.rect(Frame(cell.x + 0.15, below.y, cell.width - 0.3, cell.bottom - below.y - 0.15), fill=0.0)
    layout.text(tag.short or tag.remark, below.inset(0, 0.15), setting.caution(setting.sight("main").caps))


def _cell_style(setting: Setting, role: TextRole) -> Style:
    """Of a box or unit in a cell: its tag breaks after a hyphen where nothing else fits."""
    least = setting.least(role)
    return Style(
        max(least, setting.sight(role).caps),
        least,
        lines=2 if setting.is_last else 1,
        bold=True,
        align="center",
        upright="letter",
        role=role,
        leading=LEADING,
        is_whole=not setting.is_last,
    )


def lay_out_start(layout: Layout, words: Words, frame: Frame) -> None:
    """Which end of a wrap is stuck on first, if the words fit: the other end covers it."""
    trial = Layout(layout.what, layout.where, layout.box)
    style = Style(2.4, lines=4, bold=True, align="center")
    if trial.text(words("tag.start"), frame.inset(PAD), style):
        layout.marks += trial.marks
