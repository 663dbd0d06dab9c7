"""The letters of a verification sheet: a line each, with what is planned, what to mark and where to write.

Takes a box's letters; gives the section of a page. What is planned is in its column, or, where that would
make the line high, on a strip of its own over the line. What a job asks of letters beside the sheet's own
columns is below the line.
"""

from collections.abc import Iterator, Sequence

from msgspec import Struct

from tagmaker.catalog.walk_items import WalkItem, walk_items
from tagmaker.plan.model import Port
from tagmaker.sheets.walk_flow import Part, Section
from tagmaker.sheets.walk_pen import CAPS, LINE, TICK, TITLE, WalkPen, lines_needed, needed
from tagmaker.tags import fields
from tagmaker.tags.walk import items_of_letter, letters_of
from tagmaker.typeset.frame import Frame
from tagmaker.typeset.text import Style

__all__ = ["port_section"]

GAP = 1.0
LETTER, PLANNED, MARK, FOUND, ITEM, TAGS, PROVED, HOW, NOTE = (
    6.5,
    33.0,
    7.3,
    20.0,
    15.5,
    8.0,
    10.5,
    24.0,
    20.0,
)
RULE = 0.6  # mm between the texts of a line and the rules above and below it, together
SPREAD = 1.3  # how far apart the texts of what is planned may be
FOUND_BLIND = 26.0  # mm, where nothing is planned beside it
ROW = LINE + 1.0  # mm, a letter's line at least
GROWTH = 2.4  # how much higher than needed a line may be
HEAD_LINES = 3
UNITS_CAPS, LETTER_CAPS = 2.7, 4.4
APART, BOX = 2.0, TICK + 1.2  # mm between items below a line, and for the box of one
BELOW_A_LINE = 3  # items side by side below a letter's line
COLUMNS_AT_MOST = 2  # of items


class _Columns(Struct, frozen=True):
    """A line's cells by what they are for; `items` are those of the items with a column."""

    letter: Frame
    planned: Frame
    pipe: Frame
    pipe_found: Frame
    cable: Frame
    cable_found: Frame
    items: list[Frame]
    tags: Frame
    pipe_proved: Frame
    cable_proved: Frame
    how: Frame
    note: Frame


class _Planned(Struct, frozen=True):
    """What is planned for a letter: units with their addresses, then load and pair."""

    units: str
    facts: str

    def height(self, width: float) -> float:
        """Its least height in a column of that width."""
        return needed(self.units, width, bold=True) + needed(self.facts, width)

    def fits(self, width: float) -> bool:
        """Whether every word is short enough for a column of that width."""
        pairs = ((self.units, True), (self.facts, False))
        return all(lines_needed(text, width, bold=bold) > 0 for text, bold in pairs if text)


def port_section(pen: WalkPen, width: float) -> Section:
    """All letters under their heads, on that width."""
    ports = _Ports(pen, width, _with_columns(pen))
    rows = tuple(ports.row(letter, port) for letter, port in letters_of(pen.box))
    tall = ports.head_height()
    return Section(rows, Part(tall, tall, ports.head))


def _with_columns(pen: WalkPen) -> tuple[WalkItem, ...]:
    """The items of every walk that have a column: their words fit its head."""
    own = {item.key for item in pen.job.items_asked}
    keyed = (item for item in walk_items() if item.per != "box" and item.key in own)
    fitting = (item for item in keyed if 0 < lines_needed(item.text, ITEM, bold=True) <= HEAD_LINES)
    return tuple(fitting)[:COLUMNS_AT_MOST]


class _Ports(Struct, frozen=True):
    """The lines of all letters being laid out on a width, some items in columns."""

    pen: WalkPen
    width: float
    items: tuple[WalkItem, ...]

    def _columns(self, frame: Frame) -> _Columns:
        """A line's cells: what a wider page has to spare goes to planned, how and note."""
        planned, found = (0.0, FOUND_BLIND) if self.pen.blind else (PLANNED, FOUND)
        marks = [LETTER, MARK, found, MARK, found, *[ITEM] * len(self.items), TAGS, PROVED, PROVED]
        gaps = GAP * (len(marks) + 2)
        spare = self.width - sum(marks) - gaps
        unit = spare / (planned + HOW + NOTE)
        shares = [LETTER, planned * unit, *marks[1:], HOW * unit, NOTE * unit]
        letter, beside, pipe, pipe_found, cable, cable_found, *rest = frame.columns(shares, GAP)
        items, rest = rest[: len(self.items)], rest[len(self.items) :]
        return _Columns(letter, beside, pipe, pipe_found, cable, cable_found, items, *rest)

    # --- heads -------------------------------------------------------------------------------------------

    def _heads(self, frame: Frame) -> Iterator[tuple[str, Frame]]:
        """The words over the columns with their places; a box and its line share one."""
        cells, words = self._columns(frame), self.pen.words
        if not self.pen.blind:
            yield words("walk.column_planned"), cells.planned
        for key, first, last in (
            ("pipe", cells.pipe, cells.pipe_found),
            ("cable", cells.cable, cells.cable_found),
        ):
            yield words(f"walk.column_{key}"), Frame(first.x, first.y, last.right - first.x, first.height)
        yield from ((item.text, cell) for item, cell in zip(self.items, cells.items, strict=True))
        for key in ("tags", "pipe_proved", "cable_proved", "how", "note"):
            yield words(f"walk.column_{key}"), getattr(cells, key)

    def head_height(self) -> float:
        """The section's title, how landing is proved, and the highest of the columns' heads."""
        heads = self._heads(Frame(0, 0, self.width, 1))
        return (
            TITLE
            + self._method_height()
            + max(needed(text, cell.width, bold=True) for text, cell in heads)
            + 1.6
        )

    def _method_height(self) -> float:
        return needed(self.pen.words("walk.method"), self.width)

    def head(self, frame: Frame) -> None:
        """Title, method, and the words over the columns."""
        pen = self.pen
        title, rest = frame.top(TITLE)
        pen.title(pen.words("walk.ports"), title)
        method, rest = rest.top(self._method_height())
        pen.text(pen.words("walk.method"), method)
        for text, cell in self._heads(Frame(rest.x, rest.y, rest.width, rest.height - 0.8)):
            pen.layout.text(text, cell, Style(CAPS, CAPS, lines=HEAD_LINES + 1, bold=True, upright="bottom"))

    # --- a letter ----------------------------------------------------------------------------------------

    def row(self, letter: str, port: Port) -> Part:
        """A letter's line with what is over and below it."""
        planned = self._planned(letter, port)
        strip = self._strip_height(planned)
        below = [item for item in self._asked(letter, port) if item not in self.items]
        count = self._below_count(below)
        lines = [below[start : start + count] for start in range(0, len(below), count)]
        lower = sum(self._below_height(line, count) for line in lines)
        line = ROW if strip or self.pen.blind else max(ROW, planned.height(self._column_width()) + 0.8)

        def draw(frame: Frame) -> None:
            self.pen.layout.rule(frame.x, frame.y, frame.right, frame.y, 0.25)
            upper, rest = frame.top(strip)
            middle, foot = rest.top(rest.height - lower)
            cells = self._columns(middle)
            style = Style(LETTER_CAPS, CAPS, bold=True, upright="letter")
            self.pen.layout.text(letter, cells.letter, style)
            place = (
                Frame(cells.planned.x, upper.y, frame.right - cells.planned.x, strip)
                if strip
                else cells.planned
            )
            if not self.pen.blind:
                self._show_planned(planned, place)
            self._line(letter, port, cells)
            for items in lines:
                place, foot = foot.top(self._below_height(items, count))
                self._items(letter, items, place.left(LETTER + GAP)[1].columns([1] * count, APART))

        return Part(strip + line + lower, strip + line * GROWTH + lower, draw)

    def _asked(self, letter: str, port: Port) -> list[WalkItem]:
        """The items of a letter; a blind sheet does not show its use, and asks all."""
        if self.pen.blind:
            return [item for item in self.pen.job.items_asked if item.per != "box"]
        return items_of_letter(self.pen.job, port, letter)

    def _column_width(self) -> float:
        return self._columns(Frame(0, 0, self.width, 1)).planned.width

    def _strip_height(self, planned: _Planned) -> float:
        """The height of what is planned on a strip of its own; 0 where its column takes less."""
        if self.pen.blind:
            return 0.0
        column, wide = self._column_width(), self.width - LETTER - GAP
        in_column = max(ROW, planned.height(column) + 0.8)
        on_strip = planned.height(wide) + 0.6
        return on_strip if not planned.fits(column) or on_strip + ROW < in_column else 0.0

    def _planned(self, letter: str, port: Port) -> _Planned:
        """Units, load and pair of a letter; a spare has its stubs capped and no cable."""
        words, unit = self.pen.words, self.pen.job.capacity_unit
        if port.use == "spare":
            return _Planned(words("walk.spare"), words("walk.spare_means"))
        units = ", ".join(
            words("walk.unit_at", unit=each.tag, address=each.address) if each.address else each.tag
            for each in port.units
        )
        load = port.load.text(unit) if port.load else words("placard.unknown_load")
        if port.use == "single":
            return _Planned(units, load)
        if letter == port.letters[0]:
            return _Planned(units, words("walk.pair", ports=port.name, load=load))
        return _Planned(units, words("walk.pair_second", ports=port.name, first=port.letters[0]))

    def _show_planned(self, planned: _Planned, frame: Frame) -> None:
        styles = Style(UNITS_CAPS, CAPS, lines=99, bold=True), Style(CAPS, CAPS, lines=99)
        texts = zip((planned.units, planned.facts), styles, strict=True)
        tall = min(frame.height - RULE, planned.height(frame.width) * SPREAD)
        self.pen.layout.stack(
            list(texts), Frame(frame.x, frame.y + (frame.height - tall) / 2, frame.width, tall)
        )

    def _line(self, letter: str, port: Port, cells: _Columns) -> None:
        """What to mark and to write of a letter."""
        pen, words = self.pen, self.pen.words
        for what, right, found in (
            ("pipe", cells.pipe, cells.pipe_found),
            ("cable", cells.cable, cells.cable_found),
        ):
            pen.tick(right, self._name(letter, f"{what}/ok"), words(f"walk.told_{what}", port=letter))
            spoken = words("walk.told_found", what=what, port=letter)
            pen.write(found, self._name(letter, f"{what}/found"), spoken)
        asked = self._asked(letter, port)
        for item, cell in zip(self.items, cells.items, strict=True):
            if item in asked:
                pen.tick(cell, fields.port_item(pen.key, letter, item.key), f"{letter}: {item.text}")
        pen.tick(cells.tags, self._name(letter, "tags/ok"), words("walk.told_tags", port=letter))
        for what, cell in (("pipe", cells.pipe_proved), ("cable", cells.cable_proved)):
            spoken = words("walk.told_proved_line", port=letter, what=what)
            pen.tick(cell, self._name(letter, f"{what}/proved"), spoken)
        pen.write(cells.how, self._name(letter, "proved"), words("walk.told_proved", port=letter))
        pen.write(cells.note, self._name(letter, "note"), words("walk.told_note", port=letter))

    def _name(self, letter: str, what: str) -> str:
        return fields.port_field(self.pen.key, letter, what)

    # --- items below a line ------------------------------------------------------------------------------

    def _below_count(self, items: Sequence[WalkItem]) -> int:
        """How many items are side by side: as many as all of their words allow."""
        texts = [self._item_text(item) for item in items]
        counts = range(BELOW_A_LINE, 1, -1)
        fitting = (count for count in counts if all(lines_needed(text, self._below(count)) for text in texts))
        return next(fitting, 1)

    def _below(self, count: int) -> float:
        """The width of an item's words where so many are side by side."""
        return (self.width - LETTER - GAP - APART * (count - 1)) / count - BOX - 0.4

    def _below_height(self, items: Sequence[WalkItem], count: int) -> float:
        return max(BOX, *(needed(self._item_text(item), self._below(count)) for item in items))

    def _item_text(self, item: WalkItem) -> str:
        return self.pen.words("walk.item", text=item.text, role=self.pen.words(f"walk.{item.role}"))

    def _items(self, letter: str, items: Sequence[WalkItem], cells: Sequence[Frame]) -> None:
        """Items side by side, their words beside their boxes."""
        pen = self.pen
        for item, cell in zip(items, cells, strict=False):
            box, text = cell.left(BOX)
            pen.tick(box, fields.port_item(pen.key, letter, item.key), f"{letter}: {item.text}")
            pen.text(self._item_text(item), Frame(text.x + 0.4, text.y, text.width - 0.4, text.height))
