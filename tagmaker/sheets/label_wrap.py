"""A wrap round a pipe: a ring of letter and box, and below it three times what the pipe is and whose.

One sees a third of a round thing. Six copies of letter and box, each a sixth of the turn wide, are so close
that a whole one is in every third; all else is within a third, three times round.
"""

from msgspec import Struct
from msgspec.structs import replace

from tagmaker.sheets.label_code import PAD, Room, place_code
from tagmaker.sheets.label_needs import Setting, caps_across
from tagmaker.sheets.label_parts import (
    GAP,
    TAIL_MOST,
    box,
    kind,
    kind_height,
    kind_row,
    letter,
    letter_width,
    tall,
)
from tagmaker.sheets.label_subject import subject
from tagmaker.tags.model import Tag
from tagmaker.typeset.canvas import Layout
from tagmaker.typeset.frame import Frame

__all__ = ["COPIES", "RINGS", "THIRDS", "lay_out_turn"]

COPIES = 6  # of letter and box on a turn: a third of it holds a copy whole, wherever it begins
THIRDS = 3  # of a turn: what is seen from one side
RINGS = (0.6, 0.54, 0.48, 0.42, 0.36, 0.3)
"""Parts of the wrap's side along the pipe for the ring of letters, tried in turn."""


class _Turn(Struct, frozen=True):
    """The outer turn: its frame, and whether the way round is its width."""

    frame: Frame
    is_across: bool

    def part(self, count: int, number: int, start: float, end: float) -> Frame:
        """One of so many parts of the way round, from `start` to `end` of the side along the pipe."""
        frame = self.frame
        if self.is_across:
            step = frame.width / count
            return Frame(frame.x + number * step, frame.y + start, step, end - start)
        step = frame.height / count
        return Frame(frame.x + start, frame.y + number * step, end - start, step)


def lay_out_turn(layout: Layout, setting: Setting, frame: Frame, ring: float, module: float) -> bool:
    """The outer turn of a wrap, its ring so large a part of its side; False where no code fits."""
    turn = _Turn(frame, setting.stock.around == "width")
    side = frame.height if turn.is_across else frame.width
    edge = PAD + (side - 2 * PAD) * ring
    for number in range(COPIES):
        _copy(layout, setting, turn.part(COPIES, number, PAD, edge).inset(*_sides(turn)))
    for number in range(THIRDS):
        third = turn.part(THIRDS, number, edge + GAP, side)
        room = Room(Frame(third.x + PAD, third.y, third.width - 2 * PAD, third.height - PAD))
        if number == 0:
            placed = place_code(layout, setting, third, module, "middle")
            if placed is None:
                return False
            room = Room(room.frame, placed.code) if placed.code else placed
            _third(layout, replace(setting, tag=_bare(setting.tag)), room, has_ends=False)
        else:
            _third(layout, setting, room)
    return True


def _bare(tag: Tag) -> Tag:
    """What is said beside the code: whose it is, or the caution; the rest is on both other thirds."""
    return replace(tag, rooms=(), address="", remark=tag.remark if tag.is_caution else "")


def _sides(turn: _Turn) -> tuple[float, float]:
    """Half of the gap between two copies, on the way round alone."""
    return (GAP, 0.0) if turn.is_across else (0.0, GAP)


def _copy(layout: Layout, setting: Setting, frame: Frame) -> None:
    """The letter above the box, or beside it where the copy is low; the letter is the higher one."""
    shown = setting.widest.box or setting.tag.box_shown
    if frame.width > 1.6 * frame.height:
        place, rest = frame.left(min(letter_width(setting, frame.height), frame.width / 2))
        letter(layout, setting, place)
        box(layout, setting, Frame(rest.x + GAP, rest.y, rest.width - GAP, rest.height))
        return
    caps = max(
        min(setting.sight("box").caps, caps_across(shown, frame.width), frame.height / 3),
        setting.least("box"),
    )
    above, below = frame.top(frame.height - max(TAIL_MOST, tall(shown)) * caps)
    letter(layout, setting, Frame(above.x, above.y, above.width, above.height - GAP), "center")
    box(layout, setting, below, "center")


def _third(layout: Layout, setting: Setting, room: Room, *, has_ends: bool = True) -> None:
    """What it is, end and revision, and whose it is or the caution."""
    frame = room.frame
    band = room.slot(frame.y, frame.y + kind_height(setting))
    if has_ends:
        has_ends = not kind_row(layout, setting, band)
    else:
        kind(layout, setting, band)
    subject(layout, setting, room.slot(band.bottom + GAP, frame.bottom), has_ends=has_ends, is_narrow=True)
