"""Readings of the first days as `readback` reads and prints them: paper, JSON records, lines of lists."""

from collections.abc import Iterable, Iterator

from msgspec import Struct

from tagmaker.catalog.words import Words
from tagmaker.job.model import Job
from tagmaker.site.days.judge import DayFinding, DaysResult
from tagmaker.site.days.returns import DaysReturns, days_form
from tagmaker.site.paper.sheets import PaperReturns
from tagmaker.site.paper.typed import TypedCut, typed_days
from tagmaker.tags.days_code import DaysPage
from tagmaker.tags.first_days import blank_row, job_text, kept_day_field, read_day_field
from tagmaker.tags.sheet_names import read_sheet_code
from tagmaker.tags.work_list import BoxWork
from tagmaker.workflows.readback_typed import TypedBack, typed_back, typed_notes

__all__ = ["DaysOutline", "DaysPunch", "days_lines", "days_on_paper", "days_outline", "days_work"]

UNREAD_SHOWN = 12


class DaysPunch(Struct, frozen=True):
    """A line of the punch list that is of the first days."""

    number: int
    place: str
    wrong: str
    to_do: str


class DaysOutline(Struct, frozen=True):
    """A system's first days as `readback --json` has them; `read` of `of` readings of units are whole.

    `to_type` are the names of fields with handwriting that nobody typed, `typed` what was typed off pictures.
    """

    system: str
    days: tuple[int, ...]
    read: int
    of: int
    findings: tuple[DayFinding, ...]
    unread: tuple[str, ...]
    punch_list: tuple[DaysPunch, ...] = ()
    to_type: tuple[str, ...] = ()
    typed: tuple[TypedBack, ...] = ()


def days_outline(result: DaysResult, paper: PaperReturns) -> DaysOutline:
    """A result as its record."""
    punches = tuple(DaysPunch(each.number, each.place, each.wrong, each.to_do) for each in result.wrong)
    return DaysOutline(
        result.system, result.days, result.read, result.of, result.findings, result.unread, punches,
        result.to_type, typed_back(_typed_of(result, paper)),
    )  # fmt: skip


def _typed_of(result: DaysResult, paper: PaperReturns) -> Iterator[TypedCut]:
    pages = ((one, read_sheet_code(one.cut.sheet)) for one in paper.typed)
    yield from (one for one, page in pages if isinstance(page, DaysPage) and page.system == result.system)


def days_on_paper(paper: PaperReturns, job: Job) -> DaysReturns:
    """The rows of first days' paper: blank where something is written, and what was typed beside pictures."""
    blank = (
        (each.source, row)
        for each in paper.days
        for name in each.written
        if (row := blank_row(_job_of(each.page, job), name))
    )
    found = DaysReturns(rows=tuple(blank))
    for source, page, values in typed_days(paper.typed):
        boxes = {field[0] for name in values if (field := read_day_field(name))}
        kept = {kept_day_field(box, page.scale): _job_of(page, job) for box in boxes}
        found = found.joined(days_form(source, {**values, **kept}))
    return found


def _job_of(page: DaysPage, job: Job) -> str:
    """The job that a page names; one without a number names none, as its job has none."""
    return page.job or ("" if job.number else job_text(job))


def days_lines(result: DaysResult, words: Words) -> list[str]:
    """How much was read, what stands out, what was not read, and what is to be typed."""
    lines = [words("days.head", system=result.system, read=result.read, of=result.of)]
    lines += [
        f"    {words('days.place', unit=each.unit, box=each.box, port=each.port)}: {each.text}"
        for each in result.findings
    ]
    if result.unread:
        lines.append(f"    {words('days.unread', names=_listed(result.unread))}")
    if result.to_type:
        lines.append(f"    {words('days.to_type', names=_listed(result.to_type))}")
    return lines


def _listed(names: tuple[str, ...]) -> str:
    """Names, the first of many with how many more."""
    more = len(names) - UNREAD_SHOWN
    return ", ".join([*names[:UNREAD_SHOWN], *([f"+{more}"] if more > 0 else [])])


def days_work(results: Iterable[DaysResult], paper: PaperReturns, words: Words) -> Iterator[BoxWork]:
    """Each system's first days on the punch list, where anything stands out or was not read."""
    for result in results:
        unknown = [words("days.unread", names=", ".join(result.unread))] if result.unread else []
        notes = [words("days.to_type", names=", ".join(result.to_type))] if result.to_type else []
        notes += typed_notes(_typed_of(result, paper), words)
        yield BoxWork(result.system, words("days.punch"), result.wrong, unknown, notes)
