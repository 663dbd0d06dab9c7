"""response.pdf: what to do before a response test, what to set in each round, and sheets to fill in.

Takes the systems' calls; gives pages: a first page, a list a round as one walks, a sheet of the boxes with a
line a port, and one of the units. A column a round, which does not show what is called unless that is asked
for. Each page has a code that names it, and solid squares at its corners, as those of the walk.
"""

from collections.abc import Iterable, Iterator, Sequence

from msgspec import Struct
from msgspec.structs import replace

from tagmaker.catalog.response import reading_rule
from tagmaker.catalog.words import Words
from tagmaker.draw.marks import Field, FieldKind, Mark, Page, Text, flat
from tagmaker.job.model import UnitRow
from tagmaker.plan.model import BoxPlan, Plan
from tagmaker.plan.response import SystemCalls, boxes_by_system
from tagmaker.problems import Problem
from tagmaker.sheets.page_head import PAGE_CAPS, PageHead
from tagmaker.sheets.response_tables import TICK, ResponseTables, put_field, put_unit, where_text
from tagmaker.symbols.encode import QR_QUIET, qr
from tagmaker.tags.response import kept_field, kept_text, note_field, tick_field
from tagmaker.tags.response_code import ResponsePage, response_page_code, sheets_digest
from tagmaker.typeset.canvas import Layout
from tagmaker.typeset.codes import MODULE_LEAST
from tagmaker.typeset.flow import Block, Draw
from tagmaker.typeset.frame import Frame
from tagmaker.typeset.table import Cell, Running
from tagmaker.typeset.text import Style

__all__ = ["CODE", "response_pages", "sheet_parts"]

HEAD = 6.4  # mm, a page's own title below the head of all
KEPT = 5.0  # mm, of a field that nobody sees
CODE = 19.0  # mm, side of a code with the white around it; more where a long text asks for it
PAGES_USUAL = 99  # the number of digits for which a code has room
TITLE = 8.0
CALL = 5.6  # a unit in a round's list
SENTENCE = 2.8  # capitals, mm
Section = tuple[str, Sequence[list[Mark]]]


def response_pages(
    plan: Plan, systems: Sequence[SystemCalls], words: Words, *, expected: bool = False
) -> tuple[list[Page], list[Problem]]:
    """The pages of every system, with the problems of texts that do not fit."""
    pages: list[Page] = []
    problems: list[Problem] = []
    of_systems = boxes_by_system(plan)
    for calls in systems:
        boxes = of_systems.get(calls.system.upper(), [])
        layout = Layout(words("response.title").lower(), plan.job.where, "")
        pages += _System(plan, calls, boxes, words, layout, expected).pages()
        problems += layout.problems
    return pages, problems


class _System(Struct):
    """The sheets of one system being laid out."""

    plan: Plan
    calls: SystemCalls
    boxes: Sequence[BoxPlan]
    words: Words
    layout: Layout
    expected: bool

    def pages(self) -> list[Page]:
        """All pages; each head has a code with the digest of all."""
        head, layout = self.head, self.layout
        upper, body = head.body.top(HEAD)
        tables = ResponseTables(self.calls, self.boxes, self.words, layout, self.expected)
        sections: list[Section] = [
            ("response.first_title", self._first(Running(layout, body))),
            ("response.calls_title", self._lists(Running(layout, body))),
            ("response.boxes_title", tables.stubs(Running(layout, body))),
            ("response.units_title", tables.units(Running(layout, body))),
        ]
        sheets = [(key, marks) for key, of_key in sections for marks in of_key]
        digest = sheets_digest(part for _, marks in sheets for part in sheet_parts(marks))
        pages: list[Page] = []
        for number, (key, marks) in enumerate(sheets, start=1):
            layout.marks = []
            self._title_of(upper, key)
            if number == 1:
                box = self.boxes[0].row.tag
                kept = Frame(upper.x, upper.y, KEPT, KEPT)
                self._field(kept, "kept", kept_field(box), "", kept_text(self.calls))
            code = response_page_code(replace(self._code(len(sheets)), page=number, sheets=digest))
            pages.append(head.page(layout, [*layout.marks, *marks], number, len(sheets), code))
        return pages

    @property
    def head(self) -> PageHead:
        """Head and foot of every page, with room for its code."""
        words, job = self.words, self.plan.job
        name = words("response.system", system=self.calls.system) if self.calls.system else ""
        name = name or words("response.all_boxes")
        columns = qr(response_page_code(self._code(PAGES_USUAL))).columns + 2 * QR_QUIET
        return PageHead(
            job,
            words,
            f"{words('response.title')}: {name}",
            foot=f"{name} – {words('response.test', plan=self.calls.plan)}",
            code=max(CODE, columns * MODULE_LEAST),
        )

    def _code(self, pages: int) -> ResponsePage:
        """What the code of the last of so many pages names, but for the digest of the sheets."""
        job, calls = self.plan.job, self.calls
        return ResponsePage(calls.system, pages, pages, job.number, job.revision, calls.plan, "0" * 8)

    def _title_of(self, frame: Frame, key: str) -> None:
        """What a page is of, and what is written into its cells."""
        words, layout = self.words, self.layout
        what, legend = frame.columns((0.38, 0.62), 3)
        layout.text(words(key), what, Style(3.2, PAGE_CAPS, bold=True))
        if key in {"response.boxes_title", "response.units_title"}:
            layout.text(words("response.legend"), legend, Style(PAGE_CAPS, align="right"))

    def _field(self, frame: Frame, kind: FieldKind, name: str, spoken: str, value: str = "") -> None:
        put_field(self.layout, Field(frame.x, frame.y, frame.width, frame.height, kind, name, spoken, value))

    # --- the first page -------------------------------------------------------------------------------------

    def _first(self, running: Running) -> Sequence[list[Mark]]:
        """What comes first, how a round is done and read, and the cautions."""
        words, rule = self.words, reading_rule()
        without = ", ".join(self.calls.without)
        left_out = (
            words("response.before_without", units=without) if without else words("response.before_none")
        )
        settle, first = f"{rule.settle_minutes:g}", f"{rule.first_minutes:g}"
        hot, cold = f"{rule.hot_f:g}", f"{rule.cold_f:g}"
        least, most = f"{rule.room_least_f:g}", f"{rule.room_most_f:g}"
        running.put(self._title(words("response.before")))
        running.put(self._sentence(words("response.before_run"), "run"))
        running.put(self._sentence(words("response.before_outdoor"), "range", "outdoor"))
        running.put(self._sentence(words("response.before_rooms", least=least, most=most), "rooms"))
        running.put(self._sentence(left_out, "without"))
        running.put(self._sentence(words("response.before_fan"), "fan"))
        running.put(self._title(words("response.rounds")))
        running.put(self._sentence(words("response.rounds_set", rounds=self.calls.rounds)))
        running.put(self._sentence(words("response.rounds_wait", settle=settle, first=first)))
        running.put(self._sentence(words("response.rounds_read", hot=hot, cold=cold)))
        running.put(self._sentence(words("response.rounds_mode")))
        running.put(self._sentence(words("response.rounds_standing", source=rule.source)))
        running.put(self._title(words("response.cautions")))
        for key in ("stop", "licence", "seen"):
            running.put(self._sentence(words(f"response.caution_{key}")))
        running.put((14.0, self._signed))
        return running.end()

    def _title(self, text: str) -> Block:
        return TITLE + 2, lambda frame: self._write_title(text, frame)

    def _write_title(self, text: str, frame: Frame) -> None:
        with self.layout.part("H2"):
            self.layout.text(text, Frame(frame.x, frame.y + 2, frame.width, TITLE), Style(3.6, bold=True))

    def _sentence(self, text: str, tick: str = "", write: str = "") -> Block:
        """A sentence with a box to tick, and a line to write on where a figure is asked for."""
        width = self.head.body.width - 8 - (32 if write else 0)
        cell = Cell(text, SENTENCE)
        height = cell.height(width)

        def draw(frame: Frame) -> None:
            box = self.boxes[0].row.tag
            if tick:
                place = Frame(frame.x, frame.y + (height - TICK) / 2, TICK, TICK)
                self._field(place, "check", note_field(box, f"{tick}-ok"), text)
            self.layout.text(text, Frame(frame.x + 8, frame.y, width, height), cell.style(width))
            if write:
                place = Frame(frame.right - 30, frame.y + height / 2 - 3, 22, 6)
                self._field(place, "text", note_field(box, write), self.words("response.outdoor"))
                self.layout.text("°F", Frame(frame.right - 7, place.y, 7, 6), Style(2.8))

        return height + 2.2, draw

    def _signed(self, frame: Frame) -> None:
        """A name and a date."""
        box = self.boxes[0].row.tag
        cells = Frame(frame.x, frame.bottom - 7, frame.width, 7).columns((0.16, 0.5, 0.1, 0.24), 2)
        for key, what, word, line in (
            ("response.done_by", "name", cells[0], cells[1]),
            ("response.done_on", "date", cells[2], cells[3]),
        ):
            text = self.words(key)
            self.layout.text(text, word, Style(2.6, bold=True))
            self._field(line, "text", note_field(box, what), text)

    # --- a list a round -------------------------------------------------------------------------------------

    def _lists(self, running: Running) -> Sequence[list[Mark]]:
        """What is called to heat and to cool, by level and room as one walks, two columns a page."""
        entries = self._entries()
        for number in range(1, self.calls.rounds + 1):
            half = -(-len(entries) // 2)
            running.head(0, self._round_head(number))
            rows = [entries[at : at + 1] + entries[half + at : half + at + 1] for at in range(half)]
            for row in rows:
                running.put((CALL, self._row(row, number)), keep=min(half, 8) * CALL if row is rows[0] else 0)
        return running.end()

    def _entries(self) -> list[tuple[str, UnitRow, str]]:
        """Every unit that is called, in walking order: where it is, its row, and its word."""
        rows = {unit.key: unit for box in self.boxes for port in box.ports for unit in port.units}
        levels = {box.row.key: box.row.level for box in self.boxes}
        order = list(dict.fromkeys(levels.values()))
        found = [
            (levels[call.box.upper()], rows[unit.upper()], call.calls)
            for call in self.calls.ports
            for unit in call.units
        ]
        return sorted(found, key=lambda each: order.index(each[0]))

    def _round_head(self, number: int) -> Block:
        def draw(frame: Frame) -> None:
            words = self.words
            first, second = Frame(frame.x, frame.y + 2, frame.width, TITLE).columns((0.5, 0.5))
            text = words("response.calls", number=number, rounds=self.calls.rounds)
            self.layout.text(text, first, Style(4.2, bold=True))
            share = words("response.calls_share", share=round(100 * self.calls.heat_share[number - 1]))
            self.layout.text(share, second, Style(PAGE_CAPS, align="right"))

        return TITLE + 3, draw

    def _row(self, row: Sequence[tuple[str, UnitRow, str]], number: int) -> Draw:
        def draw(frame: Frame) -> None:
            for cell, (level, unit, word) in zip(frame.columns((1, 1), 6), row, strict=False):
                self._call(cell, level, unit, word[number - 1] == "H", number)

        return draw

    def _call(self, frame: Frame, level: str, unit: UnitRow, heats: bool, number: int) -> None:  # noqa: FBT001
        """A unit: a tick, its tag, where it is, and what to set: HEAT is white on black."""
        self.layout.rule(frame.x, frame.y, frame.right, frame.y, 0.12)
        tick, rest = frame.left(6)
        what, mode = rest.columns((0.8, 0.2), 1.5)
        name = tick_field("set", unit.box, unit.tag, number)
        spoken = self.words("response.told_set", unit=unit.tag, number=number)
        self._field(Frame(tick.x, tick.y + (CALL - TICK) / 2, TICK, TICK), "check", name, spoken)
        put_unit(self.layout, unit.tag, where_text(level, unit.room, self.words), what, 2.8)
        place = mode.inset(0, 0.7)
        self.layout.rect(place, fill=0.0 if heats else None, line=0.35)
        style = Style(2.5, bold=True, align="center", ink=1.0 if heats else 0.0)
        self.layout.text(self.words("response.heat" if heats else "response.cool"), place, style)


def sheet_parts(marks: Iterable[Mark]) -> Iterator[str]:
    """What tells one page from another: its texts and fields, with their places."""
    for mark in flat(marks):
        if isinstance(mark, Text):
            yield f"{mark.x:.3f} {mark.y:.3f} {mark.text}"
        elif isinstance(mark, Field):
            yield f"{mark.x:.3f} {mark.y:.3f} {mark.width:.3f} {mark.height:.3f} {mark.name}"
