"""A punch list: what is to be mended or changed, numbered in walking order, a box to tick for each line.

Takes lines of work by box; gives pages. What was written on site is printed as far as it can be: characters
that the typeface lacks become question marks, and what is longer than its place is cut. That differs from
all other sheets, where a text that does not fit is an error: a list must not fail because of a remark that
it quotes.
"""

from collections.abc import Iterable, Sequence

from tagmaker.catalog.steps import change_steps
from tagmaker.catalog.words import Words
from tagmaker.draw.marks import Page
from tagmaker.job.model import Job
from tagmaker.problems import Problem
from tagmaker.sheets.paper import paper_size
from tagmaker.tags.work_list import BoxWork, WorkItem
from tagmaker.typeset.canvas import Layout
from tagmaker.typeset.flow import Block, Draw, flow
from tagmaker.typeset.fonts import BOLD, PLAIN, face
from tagmaker.typeset.frame import Frame
from tagmaker.typeset.text import Style, Unfit, fit, text_height

__all__ = ["work_list_pages"]

MARGIN = 9.0
HEAD = 16.0
LINE = 12.0
SENTENCE = 5.5  # what is wrong, or what to do, in one or two lines
MORE = 3.4  # each line of it beyond two
EXPECT = 3.2  # a line of what to expect
TITLE = 6.0
NOTE = 6.0
TICK = 4.0
LINES_AT_MOST = 8
COLUMNS = 4.0  # the heads of the columns of a list of steps
STEP_LEAST = 9.0  # a line of a list of steps: its box and place, one above the other
STEP_WHAT, STEP_HOW = 2.1, 1.8  # capitals of what to do, and of how
STEP_LINES_AT_MOST = 60  # the units of a box of 26 ports, by their longest names
DONE = (27.0, 18.0)  # done by, date
NOTED = 5  # unknown things named on the list; the rest are counted


def work_list_pages(
    job: Job, boxes: Iterable[BoxWork], words: Words, title: str, none: str
) -> tuple[list[Page], list[Problem]]:
    """The pages of a list with that title; one with nothing wrong or unknown has the line `none`.

    A list of steps says at its foot how they are known, and has columns for who and when.
    """
    boxes = list(boxes)
    is_steps = any(punch.step for each in boxes for punch in each.punches)
    layout = Layout(title, job.where, "")
    size = paper_size(job)
    room = Frame(0, 0, *size).inset(MARGIN, 8.0)
    columns = COLUMNS if is_steps else 0.0
    sheets = flow(_blocks(layout, boxes, words, none, room.width), room.height - HEAD - columns - 5)
    pages: list[Page] = []
    for number, blocks in enumerate(sheets, start=1):
        head, rest = room.top(HEAD)
        _head(layout, job, head, title, words)
        if is_steps:
            over, rest = rest.top(COLUMNS)
            _done_heads(layout, over, words)
        for tall, draw in blocks:
            frame, rest = rest.top(tall)
            draw(frame)
        foot = words("punch.page", page=number, pages=len(sheets))
        if is_steps:
            standing = change_steps().standing
            layout.text(standing, Frame(room.x, room.bottom - 3, room.width - 30, 4), Style(1.9))
        layout.text(foot, Frame(room.x, room.bottom - 3, room.width, 4), Style(1.9, align="right"))
        pages.append(Page(*size, tuple(layout.marks)))
        layout.marks = []
    return pages, layout.problems


def _blocks(layout: Layout, boxes: list[BoxWork], words: Words, none: str, width: float) -> list[Block]:
    """Every box's lines, then what is unknown of it and what is only noted."""
    blocks: list[Block] = []
    for each in boxes:
        own: list[Block] = [_block(layout, punch, width) for punch in each.punches]
        more = len(each.unknown) - NOTED
        unknown = [*each.unknown[:NOTED], *([words("punch.fewer", count=more)] if more > 0 else [])]
        for title, texts in ((words("punch.unknown"), unknown), (words("punch.note"), each.notes)):
            if texts:
                tall = TITLE + sum(_note_height(text, width) for text in texts)
                own.append((tall, _note(layout, f"{each.box}: {title}", texts)))
        if each.where and own:
            own[0] = _under((TITLE, _note(layout, f"{each.box}: {each.where}", [])), own[0])
        blocks += own
    return blocks or [(TITLE, _note(layout, none, []))]


def _block(layout: Layout, punch: WorkItem, width: float) -> Block:
    """A line of a punch list, or of a list of steps."""
    if punch.step:
        return _step_height(punch, width), _step_line(layout, punch)
    return _height(punch, width), _line(layout, punch)


def _under(title: Block, block: Block) -> Block:
    """A title with the block below it, never on two pages."""

    def draw(frame: Frame) -> None:
        head, rest = frame.top(title[0])
        title[1](head)
        block[1](rest)

    return title[0] + block[0], draw


def _head(layout: Layout, job: Job, frame: Frame, text: str, words: Words) -> None:
    """What every page begins with."""
    title, name = frame.inset(0, 1).columns((1, 1), 3)
    layout.text(text, title, Style(6.0, bold=True))
    lines = [" ".join(part for part in (job.number, job.name) if part)]
    lines.append(f"{words('walk.revision')} {job.revision}")
    layout.stack([(line, Style(2.8, bold=True, align="right")) for line in lines], name, alike=True)
    layout.rule(frame.x, frame.bottom, frame.right, frame.bottom, 0.8)


def _height(punch: WorkItem, width: float) -> float:
    """A line's height in mm, with what to expect."""
    what = _parts(Frame(0, 0, width, LINE))[3]
    expected = EXPECT * sum(_lines(text, what.width) for text in punch.expect)
    return _first_height(punch, what.width) + expected + 1.0


def _first_height(punch: WorkItem, width: float) -> float:
    """The height of a line's first part: what is wrong and what to do."""
    return LINE - 2 * SENTENCE + _sentence(punch.wrong, width, bold=True) + _sentence(punch.to_do, width)


def _sentence(text: str, width: float, *, bold: bool = False) -> float:
    """A sentence's height; two lines fit as they are."""
    return SENTENCE + MORE * (_lines(text, width, bold=bold) - 2)


def _note_height(text: str, width: float) -> float:
    """The height of a line of notes."""
    return NOTE + EXPECT * (_lines(text, width - 8) - 2)


def _lines(text: str, width: float, *, bold: bool = False) -> int:
    """How many lines a sentence takes: two, or as many more as keep it whole."""
    for lines in range(2, LINES_AT_MOST):
        style = Style(2.1, lines=lines, bold=bold)
        if not isinstance(fit(text, Frame(0, 0, width, EXPECT * lines), style), Unfit):
            return lines
    return LINES_AT_MOST


def _parts(frame: Frame) -> tuple[Frame, Frame, Frame, Frame]:
    """A line's parts: its number, the box to tick, where, and what."""
    number, rest = frame.left(8.0)
    tick, rest = rest.left(7.0)
    where, what = rest.columns((0.22, 0.78), 2)
    return number, tick, where, what


def _line(layout: Layout, punch: WorkItem) -> Draw:
    """What draws a line: number, tick, place, what is wrong, what to do, what to expect."""

    def draw(frame: Frame) -> None:
        layout.rule(frame.x, frame.bottom, frame.right, frame.bottom, 0.2)
        width = _parts(frame)[3].width
        first, rest = frame.top(_first_height(punch, width))
        number, tick, where, what = _parts(first)
        layout.text(str(punch.number), number, Style(3.6, bold=True))
        layout.rect(Frame(tick.x, tick.y + (first.height - TICK) / 2, TICK, TICK), line=0.4)
        box, place = where.inset(0, 0.5).top(LINE - 1.0)[0].rows((1, 1))
        _write(layout, punch.box, box, Style(3.4, bold=True))
        _write(layout, punch.place, place, Style(2.6, lines=2))
        wrong, to_do = what.inset(0, 0.5).top(_sentence(punch.wrong, width, bold=True))
        lines = _lines(punch.wrong, width, bold=True)
        _write(layout, punch.wrong, wrong, Style(2.6, lines=lines, bold=True))
        _write(layout, punch.to_do, to_do, Style(2.4, lines=_lines(punch.to_do, width)))
        rest = Frame(what.x, rest.y, what.width, rest.height)
        for text in punch.expect:
            lines = _lines(text, what.width)
            line, rest = rest.top(EXPECT * lines)
            _write(layout, text, line, Style(2.1, lines=lines))

    return draw


def _done_heads(layout: Layout, head: Frame, words: Words) -> None:
    """What the last two columns of a list of steps are for."""
    _, _, _, _, done, date = _step_parts(head)
    for text, column in ((words("changes.done"), done), (words("changes.date"), date)):
        layout.text(text, Frame(column.x + 1, head.y, column.width - 1, head.height), Style(1.9))


def _step_parts(frame: Frame) -> tuple[Frame, Frame, Frame, Frame, Frame, Frame]:
    """A step's parts: number, the box to tick, where, what, done by, date."""
    rest, date = frame.left(frame.width - DONE[1])
    rest, done = rest.left(rest.width - DONE[0])
    number, rest = rest.left(9.0)
    tick, rest = rest.left(7.0)
    where, what = rest.columns((0.24, 0.76), 2)
    return number, tick, where, what.inset(0, 0.6), done, date


def _step_height(punch: WorkItem, width: float) -> float:
    """A step's height in mm: its box and place, or what to do and how."""
    what = _step_parts(Frame(0, 0, width, STEP_LEAST))[3]
    return max(STEP_LEAST, sum(_step_texts(punch, what.width)) + 1.6)


def _step_texts(punch: WorkItem, width: float) -> tuple[float, float]:
    """The heights of what to do and of how."""
    what = _step_lines(punch.wrong, width, STEP_WHAT, bold=True)
    how = _step_lines(punch.to_do, width, STEP_HOW, bold=False) if punch.to_do else 0
    return text_height(STEP_WHAT, what) + 0.1, text_height(STEP_HOW, how) + 0.1 if how else 0.0


def _step_lines(text: str, width: float, caps: float, *, bold: bool) -> int:
    """How many lines of that height of capitals a text takes."""
    for lines in range(1, STEP_LINES_AT_MOST):
        frame = Frame(0, 0, width, text_height(caps, lines) + 0.1)
        if not isinstance(fit(text, frame, Style(caps, least=caps * 0.98, lines=lines, bold=bold)), Unfit):
            return lines
    return STEP_LINES_AT_MOST


def _step_line(layout: Layout, punch: WorkItem) -> Draw:
    """What draws a step: number, tick, box and place, what and how, the role and room for a name, a date."""

    def draw(frame: Frame) -> None:
        layout.rule(frame.x, frame.bottom, frame.right, frame.bottom, 0.2)
        number, tick, where, what, done, date = _step_parts(frame)
        layout.text(str(punch.number), number, Style(3.2, bold=True))
        layout.rect(Frame(tick.x, tick.y + (frame.height - TICK) / 2, TICK, TICK), line=0.4)
        box, place = where.top(STEP_LEAST)[0].inset(0, 0.6).rows((1, 1))
        _write(layout, punch.box, box, Style(2.4, bold=True))
        _write(layout, punch.place, place, Style(2.1, lines=2))
        first, second = _step_texts(punch, what.width)
        text, rest = what.top(first)
        lines = _step_lines(punch.wrong, what.width, STEP_WHAT, bold=True)
        _write(layout, punch.wrong, text, Style(STEP_WHAT, lines=lines, bold=True))
        if punch.to_do:
            lines = _step_lines(punch.to_do, what.width, STEP_HOW, bold=False)
            _write(layout, punch.to_do, rest.top(second)[0], Style(STEP_HOW, lines=lines))
        for column in (done, date):
            layout.rule(column.x, frame.y, column.x, frame.bottom, 0.2)
        _write(layout, punch.role, Frame(done.x + 1, done.y + 0.4, done.width - 2, 3), Style(1.9))

    return draw


def _note(layout: Layout, title: str, texts: Sequence[str]) -> Draw:
    """What draws a title with texts below it."""

    def draw(frame: Frame) -> None:
        head, rest = frame.top(TITLE)
        _write(layout, title, head, Style(2.8, bold=True))
        for text in texts:
            place, rest = rest.top(_note_height(text, frame.width))
            _write(layout, text, place.inset(4, 0.2), Style(2.1, lines=_lines(text, frame.width - 8)))

    return draw


def _write(layout: Layout, text: str, frame: Frame, style: Style) -> None:
    """Set a text that was written on site, whatever it holds."""
    missing = {*face(PLAIN).missing(text), *face(BOLD).missing(text)}
    shown = "".join("?" if sign in missing else sign for sign in text)
    while isinstance(fit(shown, frame, style), Unfit) and len(shown) > 1:
        shown = f"{shown[: len(shown) * 4 // 5].rstrip('…')}…"
    layout.text(shown, frame, style)
