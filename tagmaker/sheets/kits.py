"""Cover slips for the kits, four to a page, and the list by room of what belongs at the units.

Takes placed labels; gives pages. A slip lies on top of a box's tags, and names the sheets that they are on;
the list is taken along to the rooms.
"""

from collections import Counter
from collections.abc import Iterable, Sequence

from tagmaker.catalog.words import Words
from tagmaker.draw.marks import Page
from tagmaker.job.model import Job
from tagmaker.plan.model import BoxPlan
from tagmaker.problems import Problem
from tagmaker.sheets.paper import paper_size
from tagmaker.sheets.place import Placed
from tagmaker.typeset.canvas import Layout
from tagmaker.typeset.frame import Frame
from tagmaker.typeset.text import Style

__all__ = ["kit_pages"]

MARGIN = 9.0
SLIP = 65.0  # mm, a slip's height
ROW = 6.2


def kit_pages(
    job: Job, boxes: Sequence[BoxPlan], placed: Sequence[Placed], words: Words
) -> tuple[list[Page], list[Problem]]:
    """A slip a box, then the rooms in walking order with the tags that belong there."""
    layout = Layout("kit list", job.where, "")
    pages = _slips(layout, job, boxes, placed, words)
    return pages + _rooms(layout, job, placed, words), layout.problems


def _room(job: Job) -> Frame:
    """A page without its margins."""
    return Frame(0, 0, *paper_size(job)).inset(MARGIN)


def _slips(
    layout: Layout, job: Job, boxes: Sequence[BoxPlan], placed: Sequence[Placed], words: Words
) -> list[Page]:
    """The pages of slips, as many on each as fit."""
    room = _room(job)
    each = int(room.height // SLIP)
    labels: dict[str, list[Placed]] = {}
    for label in placed:
        labels.setdefault(label.label.tag.box, []).append(label)
    pages: list[Page] = []
    for start in range(0, len(boxes), each):
        rest = room
        for box in boxes[start : start + each]:
            slip, rest = rest.top(SLIP)
            layout.where, layout.box = box.row.where, box.row.key
            own = labels.get(box.row.tag, [])
            _slip(layout, job, box, own, words, Frame(slip.x, slip.y, slip.width, slip.height - 4))
        pages.append(_page(layout, job))
    return pages


def _page(layout: Layout, job: Job) -> Page:
    """End a page."""
    page = Page(*paper_size(job), tuple(layout.marks))
    layout.marks = []
    return page


def _slip(  # noqa: PLR0913, PLR0917 — whose slip it is, what is on it, and where
    layout: Layout, job: Job, box: BoxPlan, own: Sequence[Placed], words: Words, frame: Frame
) -> None:
    """One box's slip: its tag, the job, and how many labels of each kind on which pages."""
    layout.rect(frame, line=0.35)
    head, rest = frame.inset(3, 2).top(13.0)
    tag, title = head.columns((1, 1.2), 3)
    layout.text(box.row.shown, tag, Style(9.0, 3.0, bold=True))
    lines = [words("kit.title"), " ".join(text for text in (job.number, job.name) if text)]
    revision = words("tag.revision", revision=job.revision)
    lines.append(f"{revision} · {words('tag.draft')}" if job.is_draft else revision)
    layout.stack([(line, Style(2.8, bold=True, align="right")) for line in lines], title, alike=True)
    place, rest = rest.top(5.5)
    layout.text(box.row.place, place, Style(2.8))
    counts = Counter((_kind(label), label.stock.title, label.stock.name) for label in own)
    rows = [
        (words("kit.count", count=count), kind, f"{stock}, {words('kit.pages', pages=_pages(own, name))}")
        for (kind, stock, name), count in counts.items()
    ]
    for row, cells in zip(rest.rows([1] * max(7, len(rows))), rows, strict=False):
        for text, cell in zip(cells, row.columns((0.1, 0.24, 0.66), 2), strict=True):
            layout.text(text, cell, Style(2.4))


def _kind(label: Placed) -> str:
    """What a label is, and at which end it belongs."""
    tag = label.label.tag
    if tag.port:
        return f"{tag.headline}, {tag.end_text.lower()}"
    return tag.headline


def _pages(own: Iterable[Placed], stock: str) -> str:
    """The pages of a stock on which a box's labels lie."""
    numbers = sorted({label.page for label in own if label.stock.name == stock})
    return str(numbers[0]) if len(numbers) == 1 else f"{numbers[0]}–{numbers[-1]}"


def _rooms(layout: Layout, job: Job, placed: Sequence[Placed], words: Words) -> list[Page]:
    """Every room with the tags that belong there, in the order of the job."""
    layout.where, layout.box = job.where, ""
    rooms: dict[str, list[str]] = {}
    for label in placed:
        tag = label.label.tag
        if tag.end == "unit":
            room = tag.rooms[0] if tag.rooms else words("kit.no_room")
            rooms.setdefault(room, []).append(
                f"{tag.box_shown} · {tag.port} · {tag.headline} · {tag.units[0]}"
            )
    lines: list[tuple[str, str]] = []
    for room, tags in rooms.items():
        counted = Counter(tags).items()
        lines += [(room, f"{text}  × {count}" if count > 1 else text) for text, count in counted]
    pages: list[Page] = []
    room_frame = _room(job)
    each = int((room_frame.height - 12) // ROW)
    for start in range(0, len(lines), each):
        head, rest = room_frame.top(12.0)
        layout.text(words("kit.rooms"), head, Style(5.0, bold=True))
        before = ""
        for (name, text), row in zip(lines[start : start + each], _rows(rest), strict=False):
            left, right = row.columns((0.4, 0.6), 3)
            if name != before:
                layout.rule(row.x, row.y, row.right, row.y, 0.2)
                layout.text(name, left, Style(2.8, bold=True))
            before = name
            layout.text(text, right, Style(2.6))
        pages.append(_page(layout, job))
    return pages


def _rows(frame: Frame) -> list[Frame]:
    """A frame in rows of one height."""
    return [
        Frame(frame.x, frame.y + number * ROW, frame.width, ROW) for number in range(int(frame.height // ROW))
    ]
