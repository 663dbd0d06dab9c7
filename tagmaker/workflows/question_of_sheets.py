"""The question which sheets of a job's workbooks count, asked where one was left out or would be used unseen.

Takes the schedules of a job as read, and their problems; gives one question at most, since [job] sheets names
the sheets of all workbooks.
"""

from collections.abc import Iterator, Sequence

from tagmaker.job.schedule.sheet import Sheet
from tagmaker.job.sources import Source
from tagmaker.problems import Problem, Severity
from tagmaker.workflows.edit_kinds import ChooseSheets
from tagmaker.workflows.question_records import Choice, Question, SheetChoice, question_id

__all__ = ["sheet_questions"]

HINT = "or unhide or delete a sheet in the spreadsheet program"
SHEET_CODES = {"column-hidden", "sheet-skipped", "columns-missing"}
"""Problems of a whole sheet; those of a row, column or header have a line."""


def sheet_questions(sources: Sequence[Source], problems: Sequence[Problem]) -> Iterator[Question]:
    """Which sheets count; needed where a sheet's problem is an error."""
    sheets = [sheet for source in sources for sheet in source.sheets if sheet.name and sheet.rows]
    about = [each for each in problems if _is_of_sheet(each) or _is_of_names(each)]
    if not sheets or not about:
        return
    first = next((each for each in about if each.severity is Severity.ERROR), about[0])
    read = [sheet for source in sources for sheet in source.schedule.sheets if not sheet.why]
    counted = {sheet.where.sheet for sheet in read}
    asked = {each.where.sheet for each in about if each.severity is Severity.ERROR}
    yield Question(
        id=question_id("sheets"),
        where=first.where,
        text=f"which sheets count? {first.message}",
        choices=tuple(_choices([each.name for each in sheets], counted, asked)),
        hint=HINT,
        is_needed=first.severity is Severity.ERROR,
        about=tuple(each.where for each in about),
        sheets=tuple(_sheet(sheet, counts=sheet.name in counted) for sheet in sheets),
    )


def _choices(names: Sequence[str], counted: set[str], asked: set[str]) -> Iterator[Choice]:
    """Those that count today, and these with the ones that have a problem."""
    for wanted in (counted, counted | asked):
        chosen = tuple(name for name in names if name in wanted)
        if chosen and (wanted is counted or asked & set(chosen)):
            yield Choice(", ".join(chosen), f"only {', '.join(chosen)}", (ChooseSheets(chosen),))


def _is_of_sheet(problem: Problem) -> bool:
    return problem.code in SHEET_CODES and bool(problem.where.sheet) and not problem.where.line


def _is_of_names(problem: Problem) -> bool:
    """Whether a name in [job] sheets is that of no sheet."""
    return problem.code == "value-wrong" and problem.message.startswith("no schedule has a sheet ")


def _sheet(sheet: Sheet, *, counts: bool) -> SheetChoice:
    """A sheet that may count, by its name and how it begins."""
    row = next((row for row in sheet.rows if not row.is_blank), None)
    begins = " | ".join(value.text[:24] for value in row.values[:4] if value.text) if row else "empty"
    hidden = "hidden; " if sheet.is_hidden else ""
    return SheetChoice(sheet.name, f"{sheet.name} ({hidden}begins with {begins})", counts)
