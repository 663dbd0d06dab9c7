"""The parts of a label that say which port it is: letter, box, kind in its frame, end and revision.

Takes a setting and a frame; adds marks to a layout, and a problem for each text that has no room there.
"""

from tagmaker.draw.marks import Align
from tagmaker.sheets.label_needs import LEADING, Setting
from tagmaker.tags.extras import MAINS
from tagmaker.tags.model import PIPES, TagKind
from tagmaker.typeset.canvas import Layout
from tagmaker.typeset.fonts import BOLD, PLAIN, face, reach
from tagmaker.typeset.frame import Frame
from tagmaker.typeset.text import Style

__all__ = [
    "BESIDE",
    "GAP",
    "TAIL_MOST",
    "box",
    "ends_beside",
    "ends_width",
    "kind",
    "kind_height",
    "kind_row",
    "kind_width",
    "letter",
    "letter_width",
    "tail",
    "tall",
    "within",
]

GAP = 0.6  # mm between parts
TAIL = 0.26  # of a capital, that a Q reaches below its line
EDGE = 0.64  # mm between a kind's frame and its word, the frame's line included
SIDE, SIDE_ROUND = 0.6, 1.0  # mm at both ends of a word in a frame, and in one with round ends
SQUARE: frozenset[TagKind] = frozenset({"liquid", "gas", "cable"})
SHIFT = 0.3  # mm of a tail for which a frame has room below its word
LINE = 0.35  # mm of a kind's frame
TAIL_MOST = 1.31  # of a capital, with what reaches below its line
ENDS_APART = 0.6  # mm between end and revision, where they are higher than they must be
BESIDE = 0.8  # mm between texts side by side


def letter_width(setting: Setting, height: float) -> float:
    """The width of the letter's place: that of the widest capital but M and W, which have wider ones."""
    bold = face(BOLD)
    own = 0.0 if bold.missing(setting.tag.port) else bold.width(setting.tag.port, 1.0)
    return height * max(bold.letter, own) / bold.cap_height


def letter(layout: Layout, setting: Setting, frame: Frame, align: Align = "left") -> None:
    """The port's letter, as large as its place."""
    caps = min(frame.height, frame.height * frame.width / letter_width(setting, frame.height))
    least = min(setting.least("main"), caps) if setting.is_last else setting.least("main")
    style = Style(max(caps, least), least, bold=True, align=align, upright="letter", role="main")
    rounded = 0.01  # mm: the size follows from the width, and must not be lost to its last digit
    is_low = caps < least - rounded  # for the widest letter: a narrow one is not higher than others
    layout.text(setting.tag.port, frame.top(0)[0] if is_low else frame.inset(-rounded, -rounded), style)


def tail(text: str) -> float:
    """How far a bold text reaches below its line, in capitals."""
    return reach(BOLD, text)[1]


def tall(text: str) -> float:
    """How high a bold text is, with what reaches above capitals and below their line, in capitals."""
    return 1.0 + sum(reach(BOLD, text))


def within(text: str, frame: Frame) -> Frame:
    """The part of a frame for a text's capitals, so that all of its outlines stay in the frame."""
    rise, _ = reach(BOLD, text)
    high = frame.height / tall(text)
    return Frame(frame.x, frame.y + rise * high, frame.width, high)


def box(layout: Layout, setting: Setting, frame: Frame, align: Align = "left") -> None:
    """The box's tag, as high as the widest of the job; accents and tails have room in the frame."""
    shown = setting.tag.box_shown
    place = within(shown, frame)
    layout.text(shown, place, setting.box(frame.width, place.height, align))


def kind_height(setting: Setting, lines: int = 1) -> float:
    """The height of a kind's frame whose word is as high as asked for, and end and revision beside it."""
    word = setting.least("kind") * (1 + TAIL + LEADING * (lines - 1)) + 2 * EDGE
    return max(word, 2 * setting.least("fact") + 0.25)


def kind_width(setting: Setting, lines: int = 1) -> float:
    """The width of such a frame, for the word on one line or on two."""
    return _frame_width(setting, setting.tag.headline, lines)


def _frame_width(setting: Setting, word: str, lines: int) -> float:
    bold = face(BOLD)
    parts = [word] if lines == 1 else word.split()
    if any(bold.missing(part) for part in parts):
        return 0.0
    size = bold.size_for_caps(setting.least("kind"))
    return max(bold.width(part, size) for part in parts) + 2 * _side(setting.tag.look) + 0.01


def _widest_frame(setting: Setting, lines: int) -> float:
    """The width of the widest frame of a box's pipes of a kind: their labels are laid out alike."""
    alike = (
        PIPES if setting.tag.look in PIPES else MAINS.values() if setting.tag.kind in MAINS.values() else ()
    )
    words = [setting.words(f"tag.{each.replace('-', '_')}") for each in alike] or [setting.tag.headline]
    return max(_frame_width(setting, word, lines) for word in words)


def kind(layout: Layout, setting: Setting, band: Frame) -> None:
    """What the thing is; its frame distinguishes the four kinds from afar, in black and white."""
    tag = setting.tag
    _kind_frame(layout, tag.look, band)
    most = (band.height - 2 * EDGE) / (1 + TAIL)
    style = setting.kind(most, 1.0 if tag.look == "gas" else 0.0)
    clear = band.inset(_side(tag.look), EDGE)
    if tail(tag.headline):  # its tail stays off the frame's line
        clear = clear.top(clear.height - max(0.0, TAIL * most - SHIFT))[0]
    layout.text(tag.headline, clear, style)


def _side(kind: TagKind) -> float:
    """Room at both ends of a word in a frame; round ends take more."""
    return SIDE if kind in SQUARE else SIDE_ROUND


def _kind_frame(layout: Layout, kind: TagKind, frame: Frame) -> None:
    """Black for gas, an outline for liquid, dashes for a cable, round ends for all else."""
    inner = frame.inset(LINE / 2)
    if kind == "gas":
        layout.rect(frame, fill=0.0)
    elif kind == "liquid":
        layout.rect(inner, line=LINE)
    elif kind == "cable":
        layout.dashed(inner, LINE)
    else:
        layout.rect(inner, line=LINE, radius=min(inner.height, 6.0) / 2)


def ends_width(setting: Setting, caps: float = 0.0) -> float:
    """The width of end and revision, one below the other, in capitals of that height or the least."""
    caps = caps or setting.least("fact")
    texts = ((setting.tag.end_text, face(BOLD)), (setting.tag.revision_text, face(PLAIN)))
    widths = (each.width(text, each.size_for_caps(caps)) for text, each in texts if not each.missing(text))
    return max(widths, default=0.0) + 0.01


def ends_beside(layout: Layout, setting: Setting, frame: Frame, caps: float = 0.0) -> None:
    """End above revision, at the right of something; capitals reach from the frame's top to its foot."""
    caps, half = caps or setting.least("fact"), frame.height / 2
    for number, text in enumerate((setting.tag.end_text, setting.tag.revision_text)):
        part = Frame(frame.x, frame.y + number * half + 0.05, frame.width, half - 0.1)
        layout.text(text, part, Style(caps, caps, bold=number == 0, upright="letter", role="fact"))


def kind_row(layout: Layout, setting: Setting, band: Frame, lines: int = 1) -> bool:
    """The kind, and end and revision at its right; False where they have no room there."""
    least = setting.least("fact")
    for caps in dict.fromkeys((max(least, min(setting.fact().most, band.height / 2 - ENDS_APART)), least)):
        left, right = band.left(band.width - ends_width(setting, caps))
        if _widest_frame(setting, lines) + BESIDE <= left.width:
            ends_beside(layout, setting, right, caps)
            kind(layout, setting, Frame(left.x, left.y, left.width - BESIDE, left.height))
            return True
    kind(layout, setting, band)
    return False
