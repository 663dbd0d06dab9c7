"""The punch list: what is to be mended, in walking order, with a box to tick for each line."""

from collections.abc import Iterable, Sequence

from tagmaker.catalog.words import Words
from tagmaker.job.records import Job
from tagmaker.marks import Page
from tagmaker.problems import Problem
from tagmaker.sheets.canvas import Layout
from tagmaker.sheets.fit import Style
from tagmaker.sheets.flow import Block, Draw, flow
from tagmaker.sheets.frame import Frame
from tagmaker.sheets.paper import paper_size
from tagmaker.tags.punch import Punch

__all__ = ["punch_pages"]

MARGIN = 9.0
HEAD = 16.0
LINE = 17.0
NOTE = 11.0
TICK = 4.0
NOTED = 5  # unknown things named on the list; the rest are counted

Told = tuple[str, Sequence[Punch], Sequence[str]]
"""A box, its punches, and what of it is not known."""


def punch_pages(job: Job, boxes: Iterable[Told], words: Words) -> tuple[list[Page], list[Problem]]:
    """The pages of the list; a job of which nothing is wrong or unknown has one that says so."""
    layout = Layout(words("punch.title"), job.where, "")
    size = paper_size(job)
    room = Frame(0, 0, *size).inset(MARGIN, 8.0)
    sheets = flow(_blocks(layout, list(boxes), words), room.height - HEAD - 5)
    pages: list[Page] = []
    for number, blocks in enumerate(sheets, start=1):
        head, rest = room.top(HEAD)
        _head(layout, job, head, words)
        for tall, draw in blocks:
            frame, rest = rest.top(tall)
            draw(frame)
        foot = words("punch.page", page=number, pages=len(sheets))
        layout.text(foot, Frame(room.x, room.bottom - 3, room.width, 4), Style(1.9, align="right"))
        pages.append(Page(*size, tuple(layout.marks)))
        layout.marks = []
    return pages, layout.problems


def _blocks(layout: Layout, boxes: list[Told], words: Words) -> list[Block]:
    blocks: list[Block] = []
    for box, punches, unknown in boxes:
        blocks += [(LINE, _line(layout, punch)) for punch in punches]
        if unknown:
            blocks.append((NOTE, _note(layout, f"{box}: {words('punch.unknown')}", unknown)))
    return blocks or [(NOTE, _note(layout, words("punch.none"), []))]


def _head(layout: Layout, job: Job, frame: Frame, words: Words) -> None:
    title, name = frame.inset(0, 1).columns((1, 1), 3)
    layout.text(words("punch.title"), title, Style(6.0, bold=True))
    lines = [" ".join(part for part in (job.number, job.name) if part)]
    lines.append(f"{words('walk.revision')} {job.revision}")
    layout.stack([(line, Style(2.8, bold=True, align="right")) for line in lines], name, alike=True)
    layout.rule(frame.x, frame.bottom, frame.right, frame.bottom, 0.8)


def _line(layout: Layout, punch: Punch) -> Draw:
    def draw(frame: Frame) -> None:
        layout.rule(frame.x, frame.bottom, frame.right, frame.bottom, 0.2)
        tick, rest = frame.left(8.0)
        layout.rect(Frame(tick.x + 1, tick.y + 4, TICK, TICK), line=0.4)
        where, what = rest.columns((0.22, 0.78), 2)
        layout.stack([(punch.box, Style(3.6, bold=True)), (punch.place, Style(2.6, lines=2))], where)
        told = [(punch.wrong, Style(2.6, lines=2, bold=True)), (punch.to_do, Style(2.4, lines=2))]
        layout.stack([*told, (punch.expect, Style(2.1, lines=3))], what.inset(0, 0.5), alike=True)

    return draw


def _note(layout: Layout, title: str, texts: Sequence[str]) -> Draw:
    def draw(frame: Frame) -> None:
        shown = "; ".join(texts[:NOTED])
        more = f"; + {len(texts) - NOTED}" if len(texts) > NOTED else ""
        layout.stack(
            [(title, Style(2.8, bold=True)), (shown + more, Style(2.1, lines=3))], frame.inset(0, 0.4)
        )

    return draw
