"""A punch list: what is to be mended or changed, numbered in walking order, a box to tick for each line.

Takes lines of work by box; gives pages. What was written on site is printed as far as it can be: characters
that the typeface lacks become question marks, and what is longer than its place is cut. That differs from
all other sheets, where a text that does not fit is an error: a list must not fail because of a remark that
it quotes.
"""

from collections.abc import Iterable, Sequence

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
from tagmaker.typeset.text import Style, Unfit, fit

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
NOTED = 5  # unknown things named on the list; the rest are counted


def work_list_pages(
    job: Job, boxes: Iterable[BoxWork], words: Words, title: str, none: str
) -> tuple[list[Page], list[Problem]]:
    """The pages of a list with that title; one with nothing wrong or unknown has the line `none`."""
    layout = Layout(title, job.where, "")
    size = paper_size(job)
    room = Frame(0, 0, *size).inset(MARGIN, 8.0)
    sheets = flow(_blocks(layout, list(boxes), words, none, room.width), room.height - HEAD - 5)
    pages: list[Page] = []
    for number, blocks in enumerate(sheets, start=1):
        head, rest = room.top(HEAD)
        _head(layout, job, head, title, words)
        for tall, draw in blocks:
            frame, rest = rest.top(tall)
            draw(frame)
        foot = words("punch.page", page=number, pages=len(sheets))
        layout.text(foot, Frame(room.x, room.bottom - 3, room.width, 4), Style(1.9, align="right"))
        pages.append(Page(*size, tuple(layout.marks)))
        layout.marks = []
    return pages, layout.problems


def _blocks(layout: Layout, boxes: list[BoxWork], words: Words, none: str, width: float) -> list[Block]:
    """Every box's lines, then what is unknown of it and what is only noted."""
    blocks: list[Block] = []
    for each in boxes:
        own: list[Block] = [(_height(punch, width), _line(layout, punch)) for punch in each.punches]
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
