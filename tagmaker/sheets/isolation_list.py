"""The list of isolation points, by panel and circuit: which boxes each isolates, and where they are.

Takes a job and the boxes that are asked for; gives pages. A point is what the boxes' `power` names, its
panel what is before the first comma; case and spaces aside, equal texts are one point. A point lists all its
boxes, also those that were not asked for: whoever isolates it stops them all.
"""

from collections.abc import Collection, Iterator, Sequence

from msgspec import Struct

from tagmaker.catalog.words import Words
from tagmaker.draw.marks import Page
from tagmaker.files.patterns import Pattern
from tagmaker.job.model import BoxRow, Job
from tagmaker.problems import Problem, note
from tagmaker.sheets.page_head import PAGE_CAPS, PageHead
from tagmaker.typeset.canvas import Layout
from tagmaker.typeset.frame import Frame
from tagmaker.typeset.table import PAD, Cell, Running, Table

__all__ = ["IsolationPoint", "check_isolation", "isolation_pages", "isolation_points"]

SHARES = (0.24, 0.17, 0.32, 0.1, 0.17)  # circuit, box, where it is, level, system
PANEL_CAPS = 3.2
APART = 1.0  # mm above a panel's rule, and below it
NUMBER = Pattern("([0-9]+)")


class IsolationPoint(Struct, frozen=True):
    """A point with its panel, empty where the text names none, and the boxes that it isolates."""

    panel: str
    circuit: str
    boxes: tuple[BoxRow, ...]


def isolation_points(boxes: Sequence[BoxRow]) -> list[IsolationPoint]:
    """The points of boxes by panel and circuit, numbers by their value; boxes without one are left out."""
    by_text: dict[str, list[BoxRow]] = {}
    for box in boxes:
        if box.power:
            by_text.setdefault(_folded(box.power), []).append(box)
    points: list[IsolationPoint] = []
    for own in by_text.values():
        panel, comma, circuit = own[0].power.partition(",")
        panel, circuit = (panel, circuit) if comma else ("", panel)
        points.append(IsolationPoint(panel.strip(), circuit.strip(), tuple(own)))
    return sorted(points, key=lambda point: (_order(point.panel), _order(point.circuit)))


def isolation_pages(job: Job, asked: Collection[str], words: Words) -> tuple[list[Page], list[Problem]]:
    """The list of the points of these boxes, by tags in capitals; no page where none of them has one."""
    points = [point for point in isolation_points(job.boxes) if any(box.key in asked for box in point.boxes)]
    absent = [box for box in job.boxes if box.key in asked and not box.power]
    if not points:
        return [], []
    layout = Layout(words("document.isolation").lower(), job.where, "")
    foot = words("isolation.foot")
    head = PageHead(job, words, words("isolation.title"), under=words("isolation.told"), foot=foot)
    table = Table(Running(layout, head.body), SHARES)
    columns = ("circuit", "box", "place", "level", "system")
    table.head(0, [Cell(words(f"isolation.column_{key}"), PAGE_CAPS, bold=True) for key in columns])
    by_panel: dict[str, list[IsolationPoint]] = {}
    for point in points:
        by_panel.setdefault(_folded(point.panel), []).append(point)
    for same in by_panel.values():
        _panel(table, same[0].panel or words("isolation.no_panel"))
        for point in same:
            _rows(table, point.circuit, point.boxes)
    if absent:
        _panel(table, words("isolation.not_given"))
        _rows(table, "", absent)
    return list(head.pages(layout, table.running.end())), layout.problems


def check_isolation(job: Job) -> Iterator[Problem]:
    """A note for each box that has no label at its isolation point, as the job does not give it."""
    if "isolation" not in job.prints.stocks:
        return
    for box in job.boxes:
        if not box.power:
            message = f"box {box.tag} has no label at its isolation point: the job does not give it"
            hint = 'find out where it is isolated and write power = "Panel ..., circuit ..."'
            yield note("power-missing", message, box.where, hint, (box.key,))


def _panel(table: Table, name: str) -> None:
    """A panel's name over its circuits, below some white."""
    whole = Table(table.running, (1.0,))
    cells = [Cell(name, PANEL_CAPS, bold=True)]
    height = whole.height(cells)

    def draw(frame: Frame) -> None:
        layout = table.running.layout
        layout.rule(frame.x, frame.y + APART, frame.right, frame.y + APART, 0.5)
        with layout.part("TR"), layout.part("TH"):
            place = frame.top(2 * APART + PAD)[1]
            layout.text(name, place, cells[0].style(place.width))

    table.running.head(1, (height + 2 * APART, draw))


def _rows(table: Table, circuit: str, boxes: Sequence[BoxRow]) -> None:
    """A circuit's boxes, a line each; its name is on the first."""
    for number, box in enumerate(boxes):
        texts = (circuit if number == 0 else "", box.shown, box.place, box.level, box.system)
        bold = (True, True, False, False, False)
        cells = [Cell(text, PAGE_CAPS, bold=each) for text, each in zip(texts, bold, strict=True)]
        table.row(cells, rule=0.25 if number == 0 else 0.12)


def _folded(text: str) -> str:
    return " ".join(text.split()).casefold()


def _order(text: str) -> tuple[tuple[bool, int, str], ...]:
    """Sorts by words, and numbers in them by their value: circuit 8 before circuit 14."""
    parts = NUMBER.split(_folded(text))
    return tuple((part.isdecimal(), int(part) if part.isdecimal() else 0, part) for part in parts)
