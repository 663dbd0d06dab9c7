"""What the schedule's page shows, as values for its template: which sheet and rows, which links lead where.

Takes a job as understood and what the address asks for; decides nothing about the job itself.
"""

from collections import Counter
from collections.abc import Sequence

import msgspec
from msgspec import Struct

from tagmaker.desk.state import DeskJob
from tagmaker.job.sources import Source
from tagmaker.problems import Problem, Severity, Where, at_most_each
from tagmaker.workflows.job_tables import (
    BOX_KEYS,
    FACT_CHOICES,
    TableCell,
    TableLine,
    box_lines,
    fact_cells,
    unit_keys,
    unit_lines,
)
from tagmaker.workflows.new_job import FamilyChoice, family_choices
from tagmaker.workflows.question_of_columns import column_meanings
from tagmaker.workflows.question_records import THESE, Question
from tagmaker.workflows.questions import Understanding
from tagmaker.workflows.sheet_view import ROWS_AT_MOST, SheetView, sheet_view

__all__ = ["BOXES_AT_MOST", "ScheduleParts", "schedule_parts"]

BOXES_AT_MOST = 100  # boxes of one window of their table: seven fields each
UNITS_AT_MOST = 500  # units of job.toml itself that are shown


class Tab(Struct, frozen=True):
    """A sheet to be looked at: its address, its name, why it is left out, how many problems are on it."""

    id: str
    name: str
    why: str
    wrong: int
    is_shown: bool


class Listed(Struct, frozen=True):
    """A problem in the page's list: its number, and the link to its place ("" = it has none here)."""

    number: int
    problem: Problem
    link: str


class ScheduleParts(Struct, frozen=True):
    """All values of the page.

    `notes` gives for the number of a problem its text and link, for the cells of the window; `first_box` is
    the index of the first box of the table's window; `meanings` are what the sheet's columns could mean.
    """

    seen: str
    counts: dict[str, int]
    questions: tuple[tuple[Question, str], ...]
    listed: tuple[Listed, ...]
    tabs: tuple[Tab, ...]
    tab: str
    sheet: SheetView | None
    notes: dict[int, tuple[Problem, str]]
    meanings: tuple[Question, ...]
    rows_at_most: int
    files: tuple[str, ...]
    box_keys: tuple[str, ...]
    boxes: tuple[TableLine, ...]
    first_box: int
    box_count: int
    boxes_at_most: int
    unit_keys: tuple[str, ...]
    units: tuple[TableLine, ...]
    unit_count: int
    facts: dict[str, TableCell]
    fact_choices: dict[str, tuple[str, ...]]
    families: tuple[FamilyChoice, ...]
    these: str = THESE


def schedule_parts(
    job: DeskJob, understood: Understanding, tab: str, first: str, first_box: str
) -> ScheduleParts:
    """The page's values; `tab`, `first` and `first_box` are as the address has them, anything at all."""
    problems = understood.checked.problems
    places = _Places(understood.sources, problems, tab, first)
    file, text = understood.file, understood.text
    boxes = box_lines(file, text, understood.sources) if file else ()
    units = unit_lines(file) if file else ()
    at = _number(first_box, len(boxes))
    return ScheduleParts(
        seen=msgspec.json.encode(understood.seen).decode(),
        counts=_counts(understood),
        questions=tuple((each, places.link(each.where)) for each in understood.questions),
        listed=tuple(_listed(understood, places)),
        tabs=tuple(places.tabs()),
        tab=places.tab,
        sheet=places.sheet,
        notes=_notes(understood, places),
        meanings=tuple(column_meanings(*places.sheets[places.tab])) if places.tab else (),
        rows_at_most=ROWS_AT_MOST,
        files=tuple((job.folder / source.name).as_posix() for source in understood.sources),
        box_keys=BOX_KEYS,
        boxes=boxes[at : at + BOXES_AT_MOST],
        first_box=at,
        box_count=len(boxes),
        boxes_at_most=BOXES_AT_MOST,
        unit_keys=unit_keys(),
        units=units[:UNITS_AT_MOST],
        unit_count=len(units),
        facts=fact_cells(file, text) if file else {},
        fact_choices=dict(FACT_CHOICES),
        families=tuple(family_choices(job.folder)),
    )


def _number(text: str, count: int) -> int:
    """A row's index as an address gives it, within the rows that there are."""
    is_number = text.isascii() and text.isdigit() and len(text) < 9
    return min(int(text), max(0, count - 1)) if is_number else 0


def _counts(understood: Understanding) -> dict[str, int]:
    """How many questions, problems of each severity, boxes and units there are."""
    severities = Counter(problem.severity for problem in understood.checked.problems)
    job = understood.checked.plan.job if understood.checked.plan else None
    return {
        "questions": understood.open_questions,
        "errors": severities[Severity.ERROR],
        "warnings": severities[Severity.WARNING],
        "boxes": len(job.boxes) if job else 0,
        "units": len(job.units) if job else 0,
    }


class _Places:
    """The sheets of a job, the one that is shown, and the links to their cells."""

    def __init__(self, sources: Sequence[Source], problems: Sequence[Problem], tab: str, first: str) -> None:
        self.sources = sources
        self.problems = problems
        self.sheets = {
            f"{at}.{number}": (source, number)
            for at, source in enumerate(sources)
            for number in range(len(source.sheets))
        }
        self.ids = {
            (source.name, source.sheets[number].name): id_ for id_, (source, number) in self.sheets.items()
        }
        self.tab = tab if tab in self.sheets else self._first_tab()
        self.sheet: SheetView | None = None
        if self.tab:
            source, number = self.sheets[self.tab]
            start = _number(first, len(source.sheets[number].rows))
            self.sheet = sheet_view(source, number, problems, start)

    def _first_tab(self) -> str:
        """The first sheet with a problem, else the first that counts."""
        wrong = [id_ for each in self.problems if (id_ := self.ids.get((each.where.file, each.where.sheet)))]
        counting = [tab.id for tab in self._all_tabs() if not tab.why]
        return next(iter((*wrong, *counting, *self.sheets)), "")

    def tabs(self) -> list[Tab]:
        """All sheets."""
        return [msgspec.structs.replace(tab, is_shown=tab.id == self.tab) for tab in self._all_tabs()]

    def _all_tabs(self) -> list[Tab]:
        on_sheet = Counter((each.where.file, each.where.sheet) for each in self.problems)
        tabs = []
        for id_, (source, number) in self.sheets.items():
            sheet = source.sheets[number]
            read = [each for each in source.schedule.sheets if each.where == sheet.where()]
            why = read[0].why if read else "" if source.schedule.sheets and sheet.rows else "not understood"
            name = f"{source.name}: {sheet.name}" if sheet.name else source.name
            tabs.append(Tab(id_, name, why, on_sheet[source.name, sheet.name], is_shown=False))
        return tabs

    def link(self, where: Where) -> str:
        """The address of a cell, within the page where its row is shown; "" for what is on no sheet."""
        id_ = self.ids.get((where.file, where.sheet))
        if id_ is None:
            return ""
        anchor = f"c-{id_}-{where.line}-{where.column}" if where.line else "sheet"
        source, number = self.sheets[id_]
        index = next((at for at, row in enumerate(source.sheets[number].rows) if row.line >= where.line), 0)
        shown = self.sheet
        if shown and id_ == self.tab and shown.first <= index < shown.first + len(shown.rows):
            return f"#{anchor}"
        return f"?sheet={id_}&from={index - index % ROWS_AT_MOST}#{anchor}"


def _asked(understood: Understanding) -> dict[Where, str]:
    """The question that answers the problems of a place."""
    return {place: each.id for each in reversed(understood.questions) for place in each.places}


def _listed(understood: Understanding, places: _Places) -> list[Listed]:
    """The problems that no question answers, errors first, at most fifty of a kind."""
    asked = _asked(understood)
    order = list(Severity)
    problems = [
        (number, each) for number, each in enumerate(understood.checked.problems) if each.where not in asked
    ]
    shown = set(map(id, at_most_each([each for _, each in problems])))
    kept = [(number, each) for number, each in problems if id(each) in shown]
    more = at_most_each([each for _, each in problems])[len(kept) :]
    kept.sort(key=lambda each: order.index(each[1].severity))
    return [
        *(Listed(number, each, places.link(each.where)) for number, each in kept),
        *(Listed(-1, each, "") for each in more),
    ]


def _notes(understood: Understanding, places: _Places) -> dict[int, tuple[Problem, str]]:
    """For each problem in the window: the problem, and the link to its question or its line in the list."""
    if places.sheet is None:
        return {}
    asked, listed = _asked(understood), {each.number for each in _listed(understood, places)}
    shown = {number for row in places.sheet.rows for number in row.problems}
    shown |= {number for row in places.sheet.rows for cell in row.cells for number in cell.problems}
    problems = understood.checked.problems
    return {
        number: (problems[number], _back(number, asked.get(problems[number].where, ""), listed))
        for number in shown
    }


def _back(number: int, question: str, listed: set[int]) -> str:
    if question:
        return f"#{question}"
    return f"#p{number}" if number in listed else ""
