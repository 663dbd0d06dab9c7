"""The summary for the office: totals by system and level, stock needed, load by box, ports and settings.

Takes the planned boxes and what each file of the set is printed on; gives pages.

Bars are black for the load, grey for what is left on used ports, white for what is left on spare ones, so
that they read in black and white. It sets nothing: the placard at the box decides, and every page says so.
"""

from collections.abc import Iterator, Sequence

from msgspec import Struct

from tagmaker.catalog.stock import Stock
from tagmaker.catalog.words import Words
from tagmaker.draw.marks import Page
from tagmaker.job.model import Job
from tagmaker.plan.model import BoxPlan
from tagmaker.plan.totals import Group, Totals, grouped, totals
from tagmaker.problems import Problem
from tagmaker.sheets.page_head import PageHead
from tagmaker.sheets.paper import A4, paper_size
from tagmaker.sheets.summary_boxes import BoxLists, headings, known_load, section
from tagmaker.typeset.canvas import Layout
from tagmaker.typeset.table import Cell, Running, Table

__all__ = ["Needed", "summary_pages"]

NONE = "–"
GROUP_SHARES = (0.2, 0.12, 0.07, 0.07, 0.08, 0.08, 0.07, 0.07, 0.12, 0.12)
STOCK_SHARES = (0.27, 0.53, 0.1, 0.1)


class Needed(Struct, frozen=True):
    """What a file of the set is printed on (None = plain paper): how many labels, how many pages."""

    file: str
    stock: Stock | None
    labels: int
    pages: int


def summary_pages(
    job: Job, boxes: Sequence[BoxPlan], needed: Sequence[Needed], words: Words, *, is_part: bool = False
) -> tuple[Iterator[Page], list[Problem]]:
    """The pages, with the problems of texts that do not fit, all of which are there after the last page.

    `is_part` is where a part of the job is made.
    """
    layout = Layout(words("summary.title").lower(), job.where, "")
    summary = _Summary(job, boxes, needed, words, layout, is_part)
    return summary.pages(), layout.problems


class _Summary(Struct):
    """The summary being laid out, its rows running down the pages."""

    job: Job
    boxes: Sequence[BoxPlan]
    needed: Sequence[Needed]
    words: Words
    layout: Layout
    is_part: bool

    def pages(self) -> Iterator[Page]:
        """All pages; heads and page numbers are added when their number is known."""
        part = (
            self.words("summary.part", count=len(self.boxes), of=len(self.job.boxes)) if self.is_part else ""
        )
        title, caution = self.words("summary.title"), self.words("summary.caution")
        head = PageHead(self.job, self.words, title, caution, part=part)
        running = Running(self.layout, head.body)
        groups = grouped(self.boxes)
        self._totals(running, groups)
        self._stock(running)
        lists = BoxLists(self.job, self.words, self.layout, running)
        lists.loads(groups)
        lists.ports(groups)
        return head.pages(self.layout, running.end())

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
