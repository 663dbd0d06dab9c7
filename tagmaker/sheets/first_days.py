"""first-days.pdf: a reading sheet a system, a form: each unit's mode and temperatures on given days.

Takes planned systems; gives their pages. Days go on to further pages where more are given than a page holds.
Each page has a code that names it, and solid squares at its corners, as those of the walk.
"""

from collections.abc import Iterator, Mapping, Sequence

from msgspec import Struct
from msgspec.structs import replace

from tagmaker.catalog.first_days import first_days
from tagmaker.catalog.words import Words
from tagmaker.draw.marks import Field, Mark, Page
from tagmaker.job.model import Job, UnitRow
from tagmaker.plan.systems import SystemPlan
from tagmaker.problems import Problem
from tagmaker.sheets.page_head import PAGE_CAPS, PageHead
from tagmaker.sheets.response import CODE, sheet_parts
from tagmaker.sheets.response_tables import put_field
from tagmaker.tags.days_code import DaysPage, days_page_code
from tagmaker.tags.first_days import DAY_READINGS, day_field, job_text, kept_day_field, scale_of
from tagmaker.tags.response_code import sheets_digest
from tagmaker.typeset.canvas import Layout
from tagmaker.typeset.flow import Draw
from tagmaker.typeset.frame import Frame
from tagmaker.typeset.table import Running
from tagmaker.typeset.text import LEGIBLE_MM, Style

__all__ = ["first_days_pages"]

DAYS_A_PAGE = 3
DAY = 48.0  # mm for a day's readings
SHARES = (0.85, 1.0, 1.0, 1.0)  # of a day's width: mode, set point, air in, air out
NAMES = (0.3, 0.42, 0.28)  # of what is left: unit, room, box and port
GAP, APART = 1.0, 3.0
PAD = 0.6  # mm above and below a line's texts
ROW, FIELD, HEAD = 8.0, 6.2, 11.0


class _Sheet(Struct, frozen=True):
    """A system's sheet for some of the days; `shown` are its boxes as printed, by tags in capitals."""

    job: Job
    system: SystemPlan
    days: tuple[int, ...]
    shown: Mapping[str, str]
    words: Words
    layout: Layout

    def marks(self, running: Running) -> Sequence[list[Mark]]:
        """The pages of all its units."""
        running.head(0, (HEAD, self._heads))
        for unit in self.system.units:
            running.put((ROW, self._row(unit)))
        return running.end()

    def _parts(self, frame: Frame) -> tuple[list[Frame], list[Frame]]:
        """A line's names, and the frames of its days."""
        wide = DAY * len(self.days)
        names, days = frame.left(frame.width - wide)
        names = Frame(names.x, names.y, names.width - APART, names.height)
        return names.columns(NAMES, GAP), [
            Frame(days.x + DAY * at, days.y, DAY - APART, days.height) for at in range(len(self.days))
        ]

    def _heads(self, frame: Frame) -> None:
        """What the columns hold, under each day."""
        names, days = self._parts(frame)
        bold = Style(PAGE_CAPS, LEGIBLE_MM, bold=True, upright="bottom")
        under: list[Frame] = []
        for day, place in zip(self.days, days, strict=True):  # above the row: a day is no cell of one column
            above, below = place.rows((1, 1))
            self.layout.text(self.words("days.day", day=day), above, Style(3.2, PAGE_CAPS, bold=True))
            under += below.columns(SHARES, GAP)
        keys = ("unit", "room", "port", *DAY_READINGS * len(self.days))
        with self.layout.part("TR"):
            for key, cell in zip(keys, (*names, *under), strict=True):
                with self.layout.part("TH"):
                    self.layout.text(self.words(f"days.{key}"), cell, bold)

    def _row(self, unit: UnitRow) -> Draw:
        def draw(frame: Frame) -> None:
            names, days = self._parts(frame)
            self.layout.rule(frame.x, frame.y, frame.right, frame.y, 0.15)
            texts = (
                unit.tag,
                unit.room,
                self.words("kit.at", box=self.shown[unit.box.upper()], port=unit.port),
            )
            with self.layout.part("TR"):
                for text, cell, bold in zip(texts, names, (True, False, False), strict=True):
                    with self.layout.part("TD"):
                        self.layout.text(text, cell.inset(0, PAD), Style(2.6, LEGIBLE_MM, lines=3, bold=bold))
                for day, place in zip(self.days, days, strict=True):
                    self._fields(unit, day, place)

        return draw

    def _fields(self, unit: UnitRow, day: int, place: Frame) -> None:
        for reading, cell in zip(DAY_READINGS, place.columns(SHARES, GAP), strict=True):
            name = day_field(unit.box, unit.tag, day, reading)
            spoken = self.words("days.spoken", unit=unit.tag, day=day, what=self.words(f"days.{reading}"))
            y = cell.y + (cell.height - FIELD) / 2
            with self.layout.part("TD"):
                put_field(self.layout, Field(cell.x, y, cell.width, FIELD, "text", name, spoken))

    def kept(self, frame: Frame) -> Iterator[Field]:
        """Hidden texts with the job's name, at each box; the first sheet of a system has them."""
        for box in self.system.boxes:
            name = kept_day_field(box.key, scale_of(self.job))
            yield Field(frame.x, frame.y, 1.0, 1.0, "kept", name, "", job_text(self.job))


def first_days_pages(
    job: Job, systems: Sequence[SystemPlan], words: Words
) -> tuple[list[Page], list[Problem]]:
    """The pages of every system with units, with the problems of texts that do not fit."""
    pages: list[Page] = []
    problems: list[Problem] = []
    told = words("days.told", scale=f"°{scale_of(job)}")
    for system in systems:
        if not system.units:
            continue
        layout = Layout(words("document.first").lower(), system.row.where, "")
        title = words("days.title", system=system.row.tag)
        head = PageHead(job, words, title, under=told, foot=words("days.foot"), is_lying=True, code=CODE)
        sheets: list[list[Mark]] = []
        every, shown = first_days().days, {box.key: box.shown for box in system.boxes}
        for start in range(0, len(every), DAYS_A_PAGE):
            sheet = _Sheet(job, system, every[start : start + DAYS_A_PAGE], shown, words, layout)
            marks = list(sheet.marks(Running(layout, head.body)))
            if not sheets:
                marks[0] += sheet.kept(head.body)
            sheets += marks
        pages += _coded(job, system, head, layout, sheets)
        problems += layout.problems
    return pages, problems


def _coded(
    job: Job, system: SystemPlan, head: PageHead, layout: Layout, sheets: Sequence[list[Mark]]
) -> list[Page]:
    """A system's pages; each head has a code with the digest of all."""
    digest = sheets_digest(part for marks in sheets for part in sheet_parts(marks))
    layout.where, layout.box = job.where, ""
    of = DaysPage(system.row.tag, 1, len(sheets), job.number, job.revision, scale_of(job), digest)
    return [
        head.page(layout, marks, number, len(sheets), days_page_code(replace(of, page=number)))
        for number, marks in enumerate(sheets, start=1)
    ]
