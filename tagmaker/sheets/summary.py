"""The summary for the office: totals by system and level, stock needed, load by box, ports and settings.

Takes the planned boxes and what each file of the set is printed on; gives pages.

Bars are black for the load, grey for what is left on used ports, white for what is left on spare ones, so
that they read in black and white. It sets nothing: the placard at the box decides, and every page says so.
"""

from collections.abc import Sequence
from dataclasses import dataclass

from msgspec import Struct

from tagmaker.catalog.stock import Stock
from tagmaker.catalog.words import Words
from tagmaker.draw.marks import Page
from tagmaker.job.model import Job
from tagmaker.plan.model import BoxPlan
from tagmaker.plan.totals import Group, Totals, grouped, totals
from tagmaker.problems import Problem
from tagmaker.sheets.paper import A4, paper_size
from tagmaker.sheets.summary_boxes import BoxLists, headings, known_load, section
from tagmaker.tags.refrigerant import refrigerant_text
from tagmaker.typeset.canvas import Layout
from tagmaker.typeset.frame import Frame
from tagmaker.typeset.table import Cell, Running, Table
from tagmaker.typeset.text import Style

__all__ = ["Needed", "summary_pages"]

MARGIN = 9.0
HEAD = 18.0
FOOT = 5.0
NONE = "–"
GROUP_SHARES = (0.22, 0.14, 0.07, 0.07, 0.08, 0.07, 0.07, 0.07, 0.11, 0.1)
STOCK_SHARES = (0.27, 0.53, 0.1, 0.1)


class Needed(Struct, frozen=True):
    """What a file of the set is printed on (None = plain paper): how many labels, how many pages."""

    file: str
    stock: Stock | None
    labels: int
    pages: int


def summary_pages(
    job: Job, boxes: Sequence[BoxPlan], needed: Sequence[Needed], words: Words, *, is_part: bool = False
) -> tuple[list[Page], list[Problem]]:
    """The pages, with the problems of texts that do not fit; `is_part` where a part of the job is made."""
    layout = Layout(words("summary.title").lower(), job.where, "")
    summary = _Summary(job, boxes, needed, words, layout, is_part)
    return summary.pages(), layout.problems


@dataclass
class _Summary:
    """The summary being laid out, its rows running down the pages."""

    job: Job
    boxes: Sequence[BoxPlan]
    needed: Sequence[Needed]
    words: Words
    layout: Layout
    is_part: bool

    def pages(self) -> list[Page]:
        """All pages; heads and page numbers are added when their number is known."""
        size = paper_size(self.job)
        room = Frame(0, 0, *size).inset(MARGIN, 8.0)
        body = Frame(room.x, room.y + HEAD, room.width, room.height - HEAD - FOOT)
        running = Running(self.layout, body)
        groups = grouped(self.boxes)
        self._totals(running, groups)
        self._stock(running)
        lists = BoxLists(self.job, self.words, self.layout, running)
        lists.loads(groups)
        lists.ports(groups)
        sheets = running.end()
        pages: list[Page] = []
        self.layout.where, self.layout.box = self.job.where, ""
        for number, marks in enumerate(sheets, start=1):
            self.layout.marks = marks
            self._head(room.top(HEAD)[0])
            foot = self.words("summary.page", page=number, pages=len(sheets))
            place = Frame(room.x, room.bottom - 3.6, room.width, 3.6)
            self.layout.text(foot, place, Style(1.9, align="right"))
            pages.append(Page(*size, tuple(self.layout.marks)))
        self.layout.marks = []
        return pages

    # --- every page --------------------------------------------------------------------------------------

    def _head(self, frame: Frame) -> None:
        """What every page begins with: whose summary it is, its state, and that it sets nothing."""
        words, job, layout = self.words, self.job, self.layout
        upper, caution = frame.top(13.0)
        title, name = Frame(upper.x, upper.y, upper.width, upper.height - 0.8).columns((0.34, 0.66), 3)
        layout.text(words("summary.title"), title, Style(6.0, bold=True))
        if job.is_draft:
            stamp, name = name.left(58.0)
            stamp = Frame(stamp.x, stamp.y + 2.5, stamp.width, 8.0)
            layout.rect(stamp, fill=0.0)
            layout.text(
                words("placard.draft"), stamp.inset(2, 1), Style(3.2, bold=True, align="center", ink=1.0)
            )
            name = Frame(name.x + 3, name.y, name.width - 3, name.height)
        state = [f"{words('placard.revision')} {job.revision}"]
        state += [job.date.isoformat()] if job.date else []
        state += [words("summary.part", count=len(self.boxes), of=len(job.boxes))] if self.is_part else []
        refrigerant = refrigerant_text(job.refrigerant)
        state += [f"{words('placard.refrigerant')} {refrigerant}"] if refrigerant else []
        lines = [" ".join(text for text in (job.number, job.name) if text), job.site, " · ".join(state)]
        layout.stack(
            [(line, Style(2.8, lines=2, bold=True, align="right")) for line in lines], name, alike=True
        )
        layout.rule(frame.x, upper.bottom, frame.right, upper.bottom, 0.8)
        layout.text(words("summary.caution"), caution.top(5.0)[0], Style(2.1))

    # --- totals ------------------------------------------------------------------------------------------

    def _totals(self, running: Running, groups: Sequence[Group]) -> None:
        """A row for each system and level, then sums."""
        section(running, self.words("summary.totals"))
        table = Table(running, GROUP_SHARES)
        keys = ("system", "level", "boxes", "ports", "single", "pairs", "spare", "units", "load", "limit")
        table.head(1, headings(self.words, self.job, keys, right=range(2, 10)))
        none = self.words("placard.no_place")
        names = [(group.system or none, group.level or none) for group in groups]
        if len(groups) > 1:
            for name, group in zip(names, groups, strict=True):
                self._total(table, name, totals(group.boxes))
            for key in ("system", "level"):
                self._totals_by(table, key, groups)
            names = [(self.words("summary.all_boxes"), "")]
        self._total(table, names[0], totals(self.boxes), is_last=True)

    def _totals_by(self, table: Table, key: str, groups: Sequence[Group]) -> None:
        """Systems that are on several levels, levels that several systems are on."""
        found: dict[str, list[Group]] = {}
        for group in groups:
            found.setdefault(getattr(group, key), []).append(group)
        for name, each in found.items():
            if name and 1 < len(each) < len(groups):
                heading = self.words(f"summary.all_{key}", name=name)
                self._total(table, (heading, ""), totals([box for group in each for box in group.boxes]))

    def _total(self, table: Table, names: tuple[str, str], total: Totals, *, is_last: bool = False) -> None:
        """One row of totals."""
        unit = self.job.capacity_unit
        counts = (total.boxes, total.ports, total.single, total.pairs, total.spare, total.units)
        load = known_load(total.load, total.unknown, unit, self.words)
        numbers = [*map(str, counts), load, total.limit.number(unit)]
        cells = [Cell(name, bold=is_last) for name in names]
        cells += [Cell(number, bold=is_last, align="right") for number in numbers]
        table.row(cells, 0.5 if is_last else 0.12)

    # --- stock -------------------------------------------------------------------------------------------

    def _stock(self, running: Running) -> None:
        """What each file of the set is printed on, and how much of it."""
        section(running, self.words("summary.stock_part" if self.is_part else "summary.stock"))
        table = Table(running, STOCK_SHARES)
        keys = ("file", "stock", "labels", "sheets")
        table.head(1, headings(self.words, self.job, keys, right=(2, 3)))
        plain = self.words("summary.plain_a_four" if paper_size(self.job) == A4 else "summary.plain_letter")
        for each in self.needed:
            sheets = 0 if each.stock and each.stock.kind == "roll" else each.pages
            counts = [str(count) if count else NONE for count in (each.labels, sheets)]
            title = each.stock.title if each.stock else plain
            table.row([Cell(each.file), Cell(title), *(Cell(count, align="right") for count in counts)])
