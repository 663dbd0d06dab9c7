"""A list of work on site: a punch list, or the steps of a change, in columns to tick and to sign.

Takes lines of work by box; gives pages. What was written on site is printed as far as it can be: characters
that the typeface lacks become question marks, and what is longer than its place is cut. That differs from
all other sheets, where a text that does not fit is an error: a list must not fail because of a remark that
it quotes.
"""

from collections.abc import Iterable, Sequence

from msgspec import Struct

from tagmaker.catalog.steps import change_steps
from tagmaker.catalog.words import Words
from tagmaker.draw.marks import Page
from tagmaker.files.patterns import Pattern
from tagmaker.job.model import Job
from tagmaker.problems import Problem
from tagmaker.sheets.page_head import PAGE_CAPS, PageHead
from tagmaker.tags.work_list import BoxWork, WorkItem
from tagmaker.typeset.canvas import Layout
from tagmaker.typeset.flow import Block, Draw
from tagmaker.typeset.fonts import BOLD, PLAIN, face
from tagmaker.typeset.frame import Frame
from tagmaker.typeset.table import Running
from tagmaker.typeset.text import Style, Unfit, as_given, fit, fits, lines_at, text_height, text_width

__all__ = ["work_list_pages"]

NUMBER, TICK_ROOM, TICK = 10.0, 7.5, 5.0
WHERE_LEAST, WHERE_MOST = 28.0, 48.0  # mm, as the tags of the list need
GAP = 2.0
ABOVE = 2.0  # mm above a box's name
PAD = 1.0  # mm above and below a line's texts
ROW = 10.0  # mm, the least height of a line: its columns are to be written in
HEADS = 6.0
TITLE_CAPS, WHAT_CAPS, TAG_CAPS = 2.8, 2.5, 2.8
SMALLER = (PAGE_CAPS, 1.9, 1.6)  # capitals of a text that is longer than its place allows
LINES_MOST = 8  # of a remark that is quoted
EXPECT_LINES_MOST = 16  # of what follows from it, which names the units of a board
STEP_LINES_MOST = 50  # of a step: the units of a box of 26 ports
LETTER = Pattern(r" (?=[A-Z](?:\+[A-Z])?(?:[ ,;:.]|$))")
"""The space before a port's letter, or a pair's: no letter begins a line, away from its words."""
NOTED = 5  # unknown things named on the list; the rest are counted
STEP_COLUMNS = (("changes.done", 27.0), ("changes.date", 18.0))
PUNCH_COLUMNS = (("punch.done", 24.0), ("punch.date", 17.0), ("punch.checked", 24.0))


class _Text(Struct, frozen=True):
    """A text at its height of capitals, in so many lines."""

    text: str
    caps: float
    lines: int
    bold: bool

    @property
    def height(self) -> float:
        """Its height in mm."""
        return text_height(self.caps, self.lines) + 0.1 if self.text else 0.0

    @property
    def style(self) -> Style:
        """At one size."""
        return Style(self.caps, self.caps, self.lines, bold=self.bold)


class _Grid(Struct, frozen=True):
    """The columns of a list: the width of its tags, and what is written in by hand, with widths in mm."""

    where: float
    columns: tuple[tuple[str, float], ...]

    def frames(self, frame: Frame) -> tuple[Frame, Frame, Frame, Frame, list[Frame]]:
        """The number, the box to tick, where, what, and the columns to write in."""
        written: list[Frame] = []
        for _, width in reversed(self.columns):
            frame, column = frame.left(frame.width - width)
            written.insert(0, column)
        number, rest = frame.left(NUMBER)
        tick, rest = rest.left(TICK_ROOM)
        where, what = rest.left(self.where)
        return number, tick, where, Frame(what.x + GAP, what.y, what.width - 2 * GAP, what.height), written


def work_list_pages(
    job: Job, boxes: Iterable[BoxWork], words: Words, title: str, none: str
) -> tuple[list[Page], list[Problem]]:
    """The pages of a list with that title; one with nothing wrong or unknown has the line `none`.

    A list of steps says at its foot how they are known.
    """
    boxes = list(boxes)
    items = [item for each in boxes for item in each.punches]
    is_steps = any(item.step for item in items)
    layout = Layout(title, job.where, "")
    head = PageHead(job, words, title, foot=change_steps().standing if is_steps else "")
    running = Running(layout, head.body)
    grid = _Grid(_where_width(items), STEP_COLUMNS if is_steps else PUNCH_COLUMNS)
    if items:
        running.head(0, (HEADS, _heads(layout, grid, words)))
    for each in boxes:
        _box(running, each, grid, words)
    if not running.has_rows and not running.full:
        running.put(_paragraph(layout, _Text(none, TITLE_CAPS, 1, bold=True), 0.0))
    return list(head.pages(layout, running.end())), layout.problems


def _where_width(items: Sequence[WorkItem]) -> float:
    """As wide as the longest tag of the list, within limits."""
    tags = {_clean(item.box) for item in items}
    longest = max((text_width(tag, TAG_CAPS, bold=True) for tag in tags), default=0.0)
    return min(max(longest + 0.5, WHERE_LEAST), WHERE_MOST)


def _box(running: Running, work: BoxWork, grid: _Grid, words: Words) -> None:
    """A box's lines under its name, then what is unknown of it and what is only noted."""
    layout, width = running.layout, running.room.width
    has_any = work.punches or work.unknown or work.open or work.notes
    if work.where and has_any:
        running.head(1, _title(layout, f"{work.box}: {work.where}", width))
    else:
        running.head(1, (0.0, lambda _frame: None))
    for item in work.punches:
        running.put(_line(layout, item, grid, width))
    more = len(work.unknown) - NOTED
    unknown = [*work.unknown[:NOTED], *([words("punch.fewer", count=more)] if more > 0 else [])]
    lists = (
        (words("punch.unknown"), unknown), (words("punch.open"), work.open), (words("punch.note"), work.notes)
    )  # fmt: skip
    for title, texts in lists:
        blocks = [_paragraph(layout, _set(text, width - 4, PAGE_CAPS, LINES_MOST), 4.0) for text in texts]
        for number, block in enumerate(blocks):
            if number == 0:
                above = _title(layout, f"{work.box}: {title}", width)
                running.put(_stacked(above, block))
            else:
                running.put(block)


# --- blocks ------------------------------------------------------------------------------------------------


def _title(layout: Layout, text: str, width: float) -> Block:
    """A line above others, in bold."""
    height, draw = _paragraph(layout, _set(text, width, TITLE_CAPS, LINES_MOST, bold=True), 0.0)

    def draw_below(frame: Frame) -> None:
        with layout.part("H2"):
            draw(frame.top(ABOVE)[1])

    return height + ABOVE, draw_below


def _paragraph(layout: Layout, text: _Text, indent: float) -> Block:
    """A text on the whole width."""

    def draw(frame: Frame) -> None:
        _write(layout, text, frame.left(indent)[1].inset(0, 0.4))

    return text.height + 0.8, draw


def _stacked(above: Block, below: Block) -> Block:
    """Two blocks that are never on two pages."""

    def draw(frame: Frame) -> None:
        upper, lower = frame.top(above[0])
        above[1](upper)
        below[1](lower)

    return above[0] + below[0], draw


def _heads(layout: Layout, grid: _Grid, words: Words) -> Draw:
    """What is written in by hand."""

    def draw(frame: Frame) -> None:
        layout.rule(frame.x, frame.bottom, frame.right, frame.bottom, 0.35)
        for (key, _), cell in zip(grid.columns, grid.frames(frame)[4], strict=True):
            layout.text(words(key), cell.inset(1, 0.4), Style(PAGE_CAPS, 1.9, bold=True))

    return draw


def _line(layout: Layout, item: WorkItem, grid: _Grid, width: float) -> Block:
    """A line: number, tick, box and place, what is wrong and what to do, columns to write in."""
    _, _, where, what, _ = grid.frames(Frame(0, 0, width, ROW))
    first, most = (STEP_LINES_MOST,) * 2 if item.step else (LINES_MOST, EXPECT_LINES_MOST)
    at = [
        _set(item.box, where.width, TAG_CAPS, 1, bold=True),
        _set(item.place, where.width, PAGE_CAPS, LINES_MOST),
    ]
    texts = [_set(item.wrong, what.width, WHAT_CAPS, first, bold=True)]
    texts += [_set(text, what.width, PAGE_CAPS, most) for text in (item.to_do, *item.expect)]
    tall = max(sum(text.height for text in column) for column in (at, texts))

    def draw(frame: Frame) -> None:
        number, tick, where, what, written = grid.frames(frame)
        layout.rule(frame.x, frame.bottom, frame.right, frame.bottom, 0.2)
        layout.text(str(item.number), number.top(ROW)[0], Style(3.6, PAGE_CAPS, bold=True))
        layout.rect(Frame(tick.x, tick.y + (ROW - TICK) / 2, TICK, TICK), line=0.4)
        for column, frame_ in ((at, where), (texts, what)):
            _write_down(layout, column, frame_.inset(0, PAD))
        for column_ in written:
            layout.rule(column_.x, frame.y, column_.x, frame.bottom, 0.2)
        role = written[0].top(text_height(PAGE_CAPS, 1) + PAD)[0]
        _write(layout, _set(item.role, role.width - 1.6, PAGE_CAPS, 1), role.inset(0.8, PAD / 2))

    return max(ROW, tall + 2 * PAD), draw


# --- texts that may hold anything --------------------------------------------------------------------------


def _set(text: str, width: float, caps: float, most: int, *, bold: bool = False) -> _Text:
    """A text in as many lines as it takes; smaller where they are too many."""
    shown = _clean(text)
    for size in (caps, *SMALLER):
        lines = _lines(shown, width, size, most, bold=bold)
        if lines:
            return _Text(shown, size, lines, bold)
    return _Text(shown, caps, most, bold)


def _lines(text: str, width: float, caps: float, most: int, *, bold: bool) -> int:
    """How many lines a text takes, 0 if more than `most`; a word longer than a line breaks at its hyphens."""
    if fits(text, width, caps, bold=bold):
        return 1
    if lines := lines_at(text, width, caps, bold=bold):
        return lines if lines <= most else 0
    style = Style(caps, caps, lines=most, bold=bold)
    found = fit(text, Frame(0, 0, width, text_height(caps, most)), style)
    return 0 if isinstance(found, Unfit) else len(found)


def _clean(text: str) -> str:
    """A text with a question mark for each character that the typeface lacks."""
    missing = {*face(PLAIN).missing(text), *face(BOLD).missing(text)}
    return "".join("?" if sign in missing else sign for sign in text)


def _write_down(layout: Layout, texts: Iterable[_Text], frame: Frame) -> None:
    """Texts one below the other, from the top."""
    rest = frame
    for text in texts:
        place, rest = rest.top(text.height)
        _write(layout, text, place)


def _write(layout: Layout, text: _Text, frame: Frame) -> None:
    """Set a text that was written on site; what is too long is cut."""
    shown = text.text
    bound = LETTER.sub("\u00a0", shown)
    if shown and not isinstance(found := fit(bound, frame, text.style), Unfit):
        layout.marks += as_given(found, bound, shown)
        return
    while isinstance(fit(shown, frame, text.style), Unfit) and len(shown) > 1:
        shown = f"{shown[: len(shown) * 4 // 5].rstrip('…')}…"
    layout.text(shown, frame, text.style)
