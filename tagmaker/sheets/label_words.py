"""The words of a label: the arrangements of a panel, and its parts.

Takes a tag and a room; adds marks to a layout, and a problem for each text that has no room. Each arrangement
keeps letter, box and kind together.
"""

from collections.abc import Callable
from itertools import product

from tagmaker.catalog.stock import Stock
from tagmaker.catalog.words import Words
from tagmaker.draw.marks import Text, TextRole
from tagmaker.sheets.label_code import LOW, PAD, edge_pad
from tagmaker.tags.model import Tag
from tagmaker.typeset.canvas import Layout
from tagmaker.typeset.codes import on_dots, square_code
from tagmaker.typeset.fonts import BOLD, face
from tagmaker.typeset.frame import Frame
from tagmaker.typeset.text import LEGIBLE_MM, Style, Unfit, fit, fit_stack, fits, text_height

__all__ = ["lay_out_cell", "lay_out_face", "lay_out_start", "tight_ways", "ways"]

Arrange = Callable[[Layout, Tag, Words, Frame], None]
FACE_CODE = 22.0  # mm of a face's height for its kind and its code
LETTER_SHARE = 0.31  # of the room beside the code, for the huge letter
TALL_LETTER_SHARE = 0.38
TALL = 30.0  # mm of height from which a label has room for a still larger letter
NARROW = 1.35  # width of height below which words are under the letter, not beside it
TIGHT_STEPS = 6  # heights of the letter that are tried where room is tight


def ways(tag: Tag, room: Frame) -> list[Arrange]:
    """The arrangements to try in a room, the one made for its shape first."""
    if not tag.port:
        return [_of_box]
    if room.height < LOW:
        return [_low, _wide]
    if room.width / room.height < NARROW:
        return [_narrow, _wide, _low]
    return [_wide, _narrow, _low]


def tight_ways(tag: Tag) -> list[Arrange]:
    """The arrangement that needs least room, for a label in which no other fits even with the least code."""
    return [_tight] if tag.port else []


def _of_box(layout: Layout, tag: Tag, _words: Words, room: Frame) -> None:
    """A label that is no port's: its box huge, what it is, and a line about it."""
    big, rest = room.top(room.height * 0.52)
    layout.text(tag.big, big, Style(big.height * 0.8, LEGIBLE_MM, lines=2, bold=True, role="main"))
    band, rest = rest.top(rest.height * 0.36)
    _headline(layout, tag, band)
    middle, bottom = rest.top(rest.height - _foot_height(tag, rest, 0.3))
    layout.text(tag.remark, middle, Style(2.4, lines=3))
    _foot(layout, tag, bottom)


def _wide(layout: Layout, tag: Tag, words: Words, room: Frame) -> None:
    """Box above the huge letter, what it is and whose beside it."""
    head, below = room.top(room.height * 0.21)
    layout.text(tag.box_shown, head, Style(head.height * 0.78, 1.8, bold=True, role="box"))
    letter, facts = below.left(room.width * (TALL_LETTER_SHARE if room.height > TALL else LETTER_SHARE))
    _letter(layout, tag, Frame(letter.x, letter.y, letter.width - 1.2, letter.height))
    foot = _foot_height(tag, facts, 0.15)
    band, rest = facts.top(facts.height * 0.26)
    middle, bottom = rest.top(rest.height - foot)
    _headline(layout, tag, band)
    _middle(layout, tag, words, middle.inset(0, 0.5))
    _foot(layout, tag, bottom)


def _narrow(layout: Layout, tag: Tag, words: Words, room: Frame) -> None:
    """Letter beside box and kind at the top, the rest below at the full width."""
    top, rest = room.top(room.height * (0.43 if _foot_lines(tag, room) == 1 else 0.38))
    letter, heads = top.left(top.width * 0.42)
    _letter(layout, tag, Frame(letter.x, letter.y, letter.width - 0.8, letter.height))
    box, band = heads.rows((0.6, 1.4))
    layout.text(tag.box_shown, box, Style(box.height * 0.6, LEGIBLE_MM, lines=2, bold=True, role="box"))
    _headline(layout, tag, band)
    middle, bottom = rest.top(rest.height - _foot_height(tag, rest, 0.16))
    _middle(layout, tag, words, middle.inset(0, 0.5))
    _foot(layout, tag, bottom)


def _low(layout: Layout, tag: Tag, _words: Words, room: Frame) -> None:
    """Letter at the left, lines beside it; the room's name where there is room for it."""
    letter, lines = room.left(min(room.height * 0.95, room.width * 0.3))
    _letter(layout, tag, Frame(letter.x, letter.y, letter.width - 0.8, letter.height))
    most = room.height * 0.24
    units = "" if tag.is_caution else ", ".join(tag.units)
    foot = f"{tag.end_text} {tag.revision_text}"
    heads = [f"{tag.box_shown} {tag.headline}"]
    if not fits(heads[0], lines.width, LEGIBLE_MM * 1.2, bold=True):
        heads = [tag.box_shown, tag.headline]
    paragraphs = [
        *((head, Style(most, lines=2, bold=True, role="box")) for head in heads),
        (units, Style(most, lines=2, bold=True, role="unit")),
        (tag.remark, _remark_style(tag, most * 0.8)),
        (", ".join(tag.rooms), Style(most * 0.7, lines=2)),
        (foot, Style(most * 0.7, lines=3)),
    ]
    present = [(text, style) for text, style in paragraphs if text]
    if tag.rooms and isinstance(fit_stack(present, lines), Unfit):
        present = [each for each in present if each[0] != ", ".join(tag.rooms)]
    layout.stack(present, lines)


def _tight(layout: Layout, tag: Tag, _words: Words, room: Frame) -> None:
    """Letter beside two lines, all else below at the full width; no frame round the kind, no room's name.

    The letter is as high as the rest allows. The end and the revision are below, or beside the letter.
    """
    foot = _foot_text(tag)
    beside = ([tag.box_shown, tag.headline], [f"{tag.box_shown} {tag.headline}", foot])
    for (step, heads), units in product(product(range(TIGHT_STEPS), beside), _unit_lists(tag)):
        least = text_height(LEGIBLE_MM, 2)
        height = max(least, room.height * 0.45 * (1 - step / TIGHT_STEPS))
        top, below = room.top(height)
        letter, facts = top.left(min(top.height, top.width * 0.4))
        attempt = Layout(layout.what, layout.where, layout.box)
        _letter(attempt, tag, Frame(letter.x, letter.y, letter.width - 0.6, letter.height))
        attempt.stack(
            [(text, Style(facts.height * 0.3, bold=True, role="box")) for text in heads], facts, alike=True
        )
        most = below.height * 0.24
        lines = [
            ("" if tag.is_caution else units, Style(most, lines=2, bold=True, role="unit")),
            (tag.remark, _remark_style(tag, most)),
            ("" if foot in heads else foot, Style(most, lines=2)),
        ]
        attempt.stack(lines, below, alike=True)
        if not attempt.problems:
            layout.marks += attempt.marks
            return
    layout.problems += attempt.problems


def lay_out_face(layout: Layout, tag: Tag, stock: Stock, face_frame: Frame) -> bool:
    """A flag's narrow second face, or a wrap's first copy: box, letter and kind above the code."""
    room = face_frame.inset(PAD, edge_pad(face_frame))
    head, below = room.top(max(room.height * 0.24, min(room.height - FACE_CODE, 12.0)))
    band, square = below.top(min(room.height * 0.18, 6.0))
    code = square_code(
        tag.code, min(square.width + PAD, square.height + edge_pad(face_frame) - 0.2), stock.dots_per_mm
    )
    if code is None:
        return False
    box = head
    if tag.port:
        letter, box = head.left(head.width * 0.34)
        _letter(layout, tag, Frame(letter.x, letter.y, letter.width, letter.height - 0.7))
    most = head.height * (0.55 if tag.port else 0.8)
    role: TextRole = "box" if tag.port else "main"
    layout.text(tag.box_shown, box.inset(0.5, 0), Style(most, LEGIBLE_MM, lines=2, bold=True, role=role))
    _headline(layout, tag, band)
    x = on_dots(face_frame.x + (face_frame.width - code.width) / 2 + code.quiet, stock.dots_per_mm)
    y = on_dots(square.y + (face_frame.bottom - square.y - code.height) / 2 + code.quiet, stock.dots_per_mm)
    layout.symbol(code.symbol, x, y, code.cell)
    return True


def lay_out_cell(layout: Layout, tag: Tag, words: Words, cell: Frame) -> None:
    """A cell of a terminal strip: the letter, and whose cable is connected or why none is."""
    layout.rect(cell.inset(0.075), line=0.15)
    box, rest = cell.inset(0.4, 0.4).top(cell.height * 0.192)
    layout.text(tag.box_shown, box, Style(1.9, bold=True, align="center", role="box"))
    letter, below = rest.top(cell.height * 0.33)
    _letter(layout, tag, letter)
    if tag.use == "spare":
        text = words("tag.spare")
    elif tag.is_caution:
        text = words("tag.empty")
    else:
        text = _first_unit(tag)
    role: TextRole = "caution" if tag.is_caution else "unit"
    layout.text(text, below, Style(2.0, lines=2, bold=True, align="center", role=role))


def lay_out_start(layout: Layout, words: Words, frame: Frame) -> None:
    """Which end of a wrap is stuck on first, if the words fit: the other end covers it."""
    trial = Layout(layout.what, layout.where, layout.box)
    style = Style(2.4, lines=4, bold=True, align="center")
    if trial.text(words("tag.start"), frame.inset(PAD), style):
        layout.marks += trial.marks


def _letter(layout: Layout, tag: Tag, frame: Frame) -> None:
    """One size for every letter of a stock: that at which the widest common letter fills the frame."""
    bold = face(BOLD)
    caps = min(frame.height / 1.05, frame.width * bold.cap_height / bold.width("M", 1.0))
    style = Style(caps, min(caps, 3.0), bold=True, align="center", upright="letter", role="main")
    layout.text(tag.port, frame, style)


def _foot_height(tag: Tag, room: Frame, share: float) -> float:
    """A share of the room, at least what its lines need to be legible."""
    return max(room.height * share, _foot_lines(tag, room) * text_height(LEGIBLE_MM, 1))


def _foot_lines(tag: Tag, room: Frame) -> int:
    """Two where one line does not hold end and revision."""
    return 1 if fits(_foot_text(tag), room.width, LEGIBLE_MM, bold=True) else 2


def _foot_text(tag: Tag) -> str:
    """End and revision as one line."""
    return f"{tag.end_text}  {tag.revision_text}"


def _foot(layout: Layout, tag: Tag, frame: Frame) -> None:
    """Which end at the left, the revision at the right, both as large as they can be on one line.

    Where no line holds both, one is below the other.
    """
    both = _foot_text(tag)
    most = max(frame.height * 0.68, LEGIBLE_MM)
    sizes = [LEGIBLE_MM + (most - LEGIBLE_MM) * step / 8 for step in range(8, -1, -1)]
    caps = next((size for size in sizes if fits(both, frame.width, size, bold=True)), 0.0)
    if not caps:
        layout.stack(
            [(tag.end_text, Style(LEGIBLE_MM, bold=True)), (tag.revision_text, Style(LEGIBLE_MM))], frame
        )
        return
    layout.text(tag.end_text, frame, Style(caps, bold=True, upright="bottom"))
    layout.text(tag.revision_text, frame, Style(caps, align="right", upright="bottom"))


def _headline(layout: Layout, tag: Tag, band: Frame) -> None:
    """What the thing is; its frame distinguishes the four kinds from afar, in black and white.

    Where the band is so low that a frame would run through the tail of a Q, there is none.
    """
    frame = Frame(band.x, band.y + 0.2, band.width, band.height - 0.4)
    ink = 1.0 if tag.kind == "gas" else 0.0
    style = Style(frame.height * 0.5, LEGIBLE_MM, lines=2, bold=True, align="center", ink=ink, role="kind")
    clear = frame.inset(0.8, 0.45)
    is_framed = not isinstance(fit(tag.headline, clear, style), Unfit)
    if is_framed or tag.kind == "gas":
        _kind_frame(layout, tag.kind, frame)
    layout.text(tag.headline, clear if is_framed else frame.inset(0.8, 0), style)


def _kind_frame(layout: Layout, kind: str, frame: Frame) -> None:
    """Black for gas, an outline for liquid, dashes for a cable, round ends for all else."""
    if kind == "gas":
        layout.rect(frame, fill=0.0)
    elif kind == "liquid":
        layout.rect(frame.inset(0.2), line=0.4)
    elif kind == "cable":
        layout.dashed(frame.inset(0.2), 0.4)
    else:
        layout.rect(frame.inset(0.2), line=0.4, radius=frame.height / 2 - 0.2)


def _middle(layout: Layout, tag: Tag, words: Words, frame: Frame) -> None:
    """A caution has the height but for one line of units; else units, remark and rooms share it.

    Where several units' rooms do not fit by name, their number is printed instead; where the units do not,
    the first of them and how many more.
    """
    if tag.is_caution:
        head, caution = frame.top(frame.height * 0.3 if tag.units else 0)
        style = Style(max(head.height * 0.66, LEGIBLE_MM), bold=True, role="unit")
        units = next((each for each in _unit_lists(tag) if not isinstance(fit(each, head, style), Unfit)), "")
        layout.text(units or ", ".join(tag.units), head, style)
        _caution(layout, tag.remark, caution)
        return
    most = frame.height * 0.3
    small = Style(max(most * 0.75, LEGIBLE_MM), lines=3)
    rooms = [", ".join(tag.rooms)]
    rooms += [words("tag.rooms", count=len(tag.rooms))] if len(tag.rooms) > 1 else []
    ways = [
        [(units, Style(most, lines=3, bold=True, role="unit")), (tag.remark, small), (room, small)]
        for units in _unit_lists(tag)
        for room in rooms
    ]
    fitting = (way for way in ways if not isinstance(_stacked(way, frame), Unfit))
    layout.stack(next(fitting, ways[0]), frame)


def _remark_style(tag: Tag, most: float) -> Style:
    """A caution is bold where it has no ground of its own."""
    return Style(most, lines=3, bold=tag.is_caution, role="caution" if tag.is_caution else "")


def _unit_lists(tag: Tag) -> list[str]:
    """The units by name, and, of several, the first with the number of the others."""
    if len(tag.units) < 2:
        return [", ".join(tag.units)]
    return [", ".join(tag.units), _first_unit(tag)]


def _first_unit(tag: Tag) -> str:
    """The first unit, and how many more."""
    return tag.units[0] if len(tag.units) == 1 else f"{tag.units[0]} +{len(tag.units) - 1}"


def _stacked(paragraphs: list[tuple[str, Style]], frame: Frame) -> tuple[Text, ...] | Unfit:
    """Those of the paragraphs that say anything."""
    return fit_stack([each for each in paragraphs if each[0]], frame)


def _caution(layout: Layout, text: str, frame: Frame) -> None:
    """White on black: the one thing that must not be overlooked."""
    layout.rect(frame, fill=0.0)
    style = Style(3.0, lines=5, bold=True, align="center", ink=1.0, role="caution")
    layout.text(text, frame.inset(0.6, 0.3), style)
