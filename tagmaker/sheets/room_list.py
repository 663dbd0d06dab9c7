"""The list by level and room of the labels that belong at the units: a line a unit, a box to tick a label.

Takes placed labels; gives pages to take along to the rooms. A room is not split over two pages.
"""

from collections import Counter
from collections.abc import Iterator, Sequence

from msgspec import Struct
from msgspec.structs import replace

from tagmaker.catalog.words import Words
from tagmaker.draw.marks import Page
from tagmaker.job.model import UnitRow
from tagmaker.plan.model import BoxPlan
from tagmaker.sheets.kit_labels import KitLabel
from tagmaker.sheets.page_head import PAGE_CAPS, PageHead
from tagmaker.tags.model import NAMED, TagKind
from tagmaker.typeset.canvas import Layout
from tagmaker.typeset.flow import Draw
from tagmaker.typeset.frame import Frame
from tagmaker.typeset.table import Running
from tagmaker.typeset.text import LEGIBLE_MM, Style, lines_at, text_height

__all__ = ["room_pages"]

KINDS: tuple[TagKind, ...] = ("cable", "liquid", "gas")
MORE: tuple[TagKind, ...] = ("splitter", "unit")
"""Kinds that have a column only where there are such labels; a unit's controller is in its column."""
NAMES = (0.26, 0.25, 0.25)  # room, unit, box and port, beside
KIND = 0.08  # for a column a kind
GAP = 2.0
PAD = 1.0  # mm above and below a line's texts
ROW = 7.0  # mm, the least height of a line
HEAD = 9.0
LEVEL = 9.0
TICK = 4.5
CAPS = 2.6


class _Unit(Struct, frozen=True):
    """A line: a unit, its box and port, how many labels of each of these kinds belong there."""

    unit: str
    at: str
    labels: Counter[TagKind]
    kinds: tuple[TagKind, ...]


Rooms = dict[str, list[_Unit]]


def room_pages(
    layout: Layout, slips: PageHead, boxes: Sequence[BoxPlan], placed: Sequence[KitLabel], words: Words
) -> Iterator[Page]:
    """Every level in the order of the boxes, its rooms, and their units; none without labels at units.

    `slips` is the head of the slips that the list goes with.
    """
    there = {each.kind for each in placed}
    kinds = (*KINDS, *(kind for kind in MORE if kind in there))
    levels = _levels(boxes, placed, words, kinds)
    if not levels:
        return iter(())
    head = replace(slips, title=words("kit.rooms"), under=words("kit.rooms_told"))
    layout.where, layout.box, layout.marks = slips.job.where, "", []
    running = Running(layout, head.body)
    running.head(0, (HEAD, _heads(layout, words, kinds)))
    for level, rooms in levels.items():
        if any(levels):
            named = level or words("placard.no_place")
            running.head(1, (LEVEL, _level(layout, f"{words('placard.level')} {named}")))
        for name, units in rooms.items():
            _room(running, name or words("kit.no_room"), units)
    return head.pages(layout, running.end())


def _levels(
    boxes: Sequence[BoxPlan], placed: Sequence[KitLabel], words: Words, kinds: tuple[TagKind, ...]
) -> dict[str, Rooms]:
    """The units that have labels, by level and room; a room that two boxes serve is one."""
    labels: dict[tuple[str, str, str], Counter[TagKind]] = {}
    for each in placed:
        if each.end == "unit":
            own = labels.setdefault((each.box, each.port, each.unit), Counter())
            own["unit" if each.kind in NAMED else each.kind] += 1
    levels: dict[str, Rooms] = {}
    for box, port, unit in _units(boxes):
        if found := labels.get((box.row.tag, port, unit.tag)):
            rooms = levels.setdefault(box.row.level, {})
            line = _Unit(unit.tag, words("kit.at", box=box.row.shown, port=port), found, kinds)
            rooms.setdefault(unit.room, []).append(line)
    return levels


def _units(boxes: Sequence[BoxPlan]) -> Iterator[tuple[BoxPlan, str, UnitRow]]:
    """Every unit with its box and the letter that its labels have: a pair's first."""
    for box in boxes:
        for port in box.ports:
            for unit in port.units:
                yield box, port.letters[0], unit


# --- on paper ----------------------------------------------------------------------------------------------


def _shares(kinds: Sequence[TagKind]) -> tuple[float, ...]:
    """The widths of a line's columns, as parts of all."""
    return (*NAMES, *[KIND] * len(kinds))


def _heads(layout: Layout, words: Words, kinds: Sequence[TagKind]) -> Draw:
    """What the columns hold."""
    texts = [words(f"kit.column_{key}") for key in ("room", "unit", "port")]
    texts += [words("kit.of_units" if kind == "unit" else f"tag.{kind}") for kind in kinds]

    def draw(frame: Frame) -> None:
        with layout.part("TR"):
            for text, cell in zip(texts, frame.columns(_shares(kinds), GAP), strict=True):
                above = cell.top(cell.height - 1.0)[0]
                with layout.part("TH"):
                    layout.text(text, above, Style(PAGE_CAPS, 1.9, lines=2, bold=True, upright="bottom"))

    return draw


def _level(layout: Layout, text: str) -> Draw:
    """A level's name."""

    def draw(frame: Frame) -> None:
        layout.rule(frame.x, frame.y + 1.0, frame.right, frame.y + 1.0, 0.5)
        with layout.part("TR"), layout.part("TH"):
            layout.text(text, frame.top(1.5)[1], Style(3.2, PAGE_CAPS, bold=True))

    return draw


def _room(running: Running, name: str, units: Sequence[_Unit]) -> None:
    """A room's lines, on one page if a page holds them; its name is on the first, else on each."""
    heights = [_height(running.room, name, unit) for unit in units]
    keep = sum(heights)
    is_split = keep > running.room.height - HEAD - LEVEL
    for number, (unit, height) in enumerate(zip(units, heights, strict=True)):
        is_named = number == 0 or is_split
        running.put((height, _line(running.layout, name if is_named else "", unit)), 0 if number else keep)


def _texts(name: str, unit: _Unit, cells: Sequence[Frame]) -> Iterator[tuple[str, bool]]:
    """The texts of a line, and which are bold; box and port are on one line where that holds both."""
    whole = unit.at.replace(" ·", "\u00a0·")
    is_short = lines_at(whole, cells[len(NAMES) - 1].width, PAGE_CAPS)
    yield from ((name, True), (unit.unit, True), (whole if is_short else unit.at, False))


def _height(frame: Frame, name: str, unit: _Unit) -> float:
    """The height of a line, in mm."""
    cells = frame.columns(_shares(unit.kinds), GAP)
    texts = zip(_texts(name, unit, cells), cells, strict=False)
    return max(
        ROW, *(text_height(*_size(text, cell.width, bold=bold)) + 2 * PAD for (text, bold), cell in texts)
    )


def _size(text: str, width: float, *, bold: bool) -> tuple[float, int]:
    """The height of capitals of a text, and its lines; lower where a word is longer than the column."""
    found = ((caps, lines_at(text, width, caps, bold=bold)) for caps in (CAPS, PAGE_CAPS, 1.9, LEGIBLE_MM))
    return next(((caps, lines) for caps, lines in found if lines), (LEGIBLE_MM, 1))


def _line(layout: Layout, name: str, unit: _Unit) -> Draw:
    """What draws a unit's line: where it is, whose it is, a box to tick for each kind of label."""

    def draw(frame: Frame) -> None:
        cells = frame.columns(_shares(unit.kinds), GAP)
        start = frame.x if name else cells[1].x
        layout.rule(start, frame.y, frame.right, frame.y, 0.25 if name else 0.12)
        with layout.part("TR"):
            _cells(layout, cells, name, unit)

    return draw


def _cells(layout: Layout, cells: list[Frame], name: str, unit: _Unit) -> None:
    """The cells of a unit's line."""
    for (text, bold), cell in zip(_texts(name, unit, cells), cells, strict=False):
        caps, lines = _size(text, cell.width, bold=bold)
        with layout.part("TD"):
            layout.text(text, cell.inset(0, PAD), Style(caps, caps, lines, bold=bold))
    for kind, cell in zip(unit.kinds, cells[len(NAMES) :], strict=True):
        with layout.part("TD"):
            if unit.labels[kind]:
                _tick(layout, unit.labels[kind], cell)


def _tick(layout: Layout, count: int, cell: Frame) -> None:
    """A box to tick, and how many labels it is for, where more than one."""
    layout.rect(Frame(cell.x, cell.y + (cell.height - TICK) / 2, TICK, TICK), line=0.4)
    if count > 1:
        layout.text(f"× {count}", cell.left(TICK + 1.5)[1], Style(CAPS, PAGE_CAPS, bold=True))
