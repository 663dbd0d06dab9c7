"""What a system's sheets are drawn with: fields with their frames, titles, sentences, and rows to fill in.

Takes frames of a running page; adds marks to its layout, and what a screen shows to the pen's own list. Each
field has a frame in ink, so that a print without its form has a place to write in too; nothing is filled in
beforehand.
"""

from collections.abc import Iterator, Sequence

from msgspec import Struct

from tagmaker.catalog.words import Words
from tagmaker.draw.marks import Field, FieldKind
from tagmaker.job.model import Job
from tagmaker.plan.systems import SystemPlan
from tagmaker.sheets.page_head import PAGE_CAPS
from tagmaker.tags.system import printed_key, system_field
from tagmaker.tags.system_screen import AskedField, ScreenPart, SectionKey
from tagmaker.typeset.canvas import Layout
from tagmaker.typeset.flow import Block, Draw
from tagmaker.typeset.frame import Frame
from tagmaker.typeset.table import Cell, Running
from tagmaker.typeset.text import Style

__all__ = ["APART", "ROW", "TICK", "Entry", "SystemPen"]

ROW = 6.6  # mm, a row to write in
FIELD = 5.6  # mm, the height of a place to write in
TICK = 5.0
INK = 0.3
KEPT = 5.0  # mm, of a field that nobody sees
TITLE = 7.2
TITLE_CAPS = 2.9
APART = 1.6


class Entry(Struct, frozen=True):
    """A part of a row: words, then a place to write in named by `name`; each may be absent.

    `words` and `place` are widths in mm; `unit` is written behind the place. `spoken` is the field's name for
    a screen reader, the words where it is empty.
    """

    text: str = ""
    words: float = 0.0
    name: tuple[str, ...] = ()
    place: float = 0.0
    unit: str = ""
    kind: FieldKind = "text"
    bold: bool = False
    spoken: str = ""


class SystemPen(Struct, frozen=True):
    """The sheets of one system being drawn; `screen` is what they say and ask, in their order."""

    job: Job
    system: SystemPlan
    words: Words
    layout: Layout
    screen: list[ScreenPart] = []

    def field(self, frame: Frame, kind: FieldKind, name: Sequence[str], spoken: str) -> None:
        """A field with its frame; `spoken` is its name for a screen reader."""
        self.layout.rect(frame, line=INK)
        whole = system_field(self.system.row, *name)
        self.layout.marks.append(Field(frame.x, frame.y, frame.width, frame.height, kind, whole, spoken))

    def kept(self, room: Frame, page: int, text: str) -> None:
        """A hidden field: what the sheets were printed for, or (page from 1) the code of a page."""
        name = printed_key(self.system.row, page)
        self.layout.marks.append(Field(room.x, room.y, KEPT, KEPT, "kept", name, "", text))

    def title(self, running: Running, key: SectionKey, text: str) -> None:
        """A section's title under a rule; it stays with the row below it."""
        self.screen.append(ScreenPart("title", text, section=key))

        def draw(frame: Frame) -> None:
            self.layout.rule(frame.x, frame.y + 1.0, frame.right, frame.y + 1.0, 0.5)
            with self.layout.part("H2"):
                place = Frame(frame.x, frame.y + 1.6, frame.width, frame.height - 1.6)
                self.layout.text(text, place, Style(TITLE_CAPS, PAGE_CAPS, bold=True))

        running.put((TITLE, draw), keep=TITLE + ROW)

    def sentence(self, running: Running, text: str, *, bold: bool = False) -> None:
        """A sentence over the whole width."""
        self.screen.append(ScreenPart("caution" if bold else "sentence", text))
        cell = Cell(text, PAGE_CAPS, bold=bold)
        tall = cell.height(running.room.width)

        def draw(frame: Frame) -> None:
            place = Frame(frame.x, frame.y, frame.width, tall)
            self.layout.text(text, place, cell.style(frame.width))

        running.put((tall + 0.9, draw))

    def ticks(self, running: Running, items: Sequence[tuple[tuple[str, ...], str]], columns: int = 2) -> None:
        """Sentences with a box to tick before each, side by side."""
        for name, text in items:
            asked = AskedField(system_field(self.system.row, *name), "tick", text, "", text)
            self.screen.append(ScreenPart("row", asked=(asked,)))
        for start in range(0, len(items), columns):
            running.put((ROW, self._ticks(items[start : start + columns], columns)))

    def _ticks(self, items: Sequence[tuple[tuple[str, ...], str]], columns: int) -> Draw:
        def draw(frame: Frame) -> None:
            for place, (name, text) in zip(frame.columns([1] * columns, 3), items, strict=False):
                self.field(Frame(place.x, place.y + (ROW - TICK) / 2, TICK, TICK), "check", name, text)
                words = Frame(place.x + TICK + APART, place.y, place.width - TICK - APART, place.height)
                self.layout.text(text, words, Style(PAGE_CAPS, 1.9, 2))

        return draw

    def entries(self, *rows: Sequence[Entry]) -> Block:
        """A row of words and places to write in, from the left; several side by side."""
        self.screen.extend(part for row in rows if (part := self._on_screen(row)))

        def draw(frame: Frame) -> None:
            for place, row in zip(frame.columns([1] * len(rows), 3), rows, strict=True):
                x = place.x
                for entry in row:
                    x = self._entry(entry, Frame(x, frame.y, entry.words, frame.height)) + APART

        return ROW, draw

    def _on_screen(self, row: Sequence[Entry]) -> ScreenPart | None:
        """A row as a screen shows it; words before its fields are what they are of. None for a blank row."""
        first = next((at for at, entry in enumerate(row) if entry.name), len(row))
        words = [entry.text for entry in row[:first] if entry.text]
        asked = tuple(self._asked(row[first:]))
        return ScreenPart("row", ": ".join(words), asked=asked) if words or asked else None

    def _asked(self, row: Sequence[Entry]) -> Iterator[AskedField]:
        """The fields of a row: words behind a box are the box's, those at the end a unit of all texts."""
        unit = row[-1].text if row and not row[-1].name and row[-2].kind == "text" else ""
        for at, entry in enumerate(row):
            if entry.name and entry.kind == "check":
                name = system_field(self.system.row, *entry.name)
                yield AskedField(name, "tick", row[at + 1].text, "", entry.spoken)
            elif entry.name:
                name = system_field(self.system.row, *entry.name)
                yield AskedField(name, "text", entry.text, entry.unit or unit, entry.spoken or entry.text)

    def _entry(self, entry: Entry, words: Frame) -> float:
        """One entry; where it ends."""
        self.layout.text(entry.text, words, Style(PAGE_CAPS, 1.9, 2, bold=entry.bold))
        x = words.right
        if entry.name:
            side = TICK if entry.kind == "check" else FIELD
            place = Frame(x, words.y + (words.height - side) / 2, entry.place, side)
            self.field(place, entry.kind, entry.name, entry.spoken or entry.text)
            x = place.right
        if entry.unit:
            wide = 2.0 + 1.6 * len(entry.unit)
            self.layout.text(entry.unit, Frame(x + 0.8, words.y, wide, words.height), Style(PAGE_CAPS, 1.9))
            x += wide
        return x
