"""Sheets of the first days as they came back: the table, the form.

Takes paths and fields of forms; gives rows with their sources, and apart from them what is none. A file that
cannot be read whole counts for nothing, as what is left of it could be believed.
"""

from collections.abc import Iterable, Mapping
from pathlib import Path

from msgspec import Struct

from tagmaker.files.plain import files_below, is_folder, is_plain_file, plain_size, read_plain
from tagmaker.problems import Problem, Where, error
from tagmaker.tags.first_days import DayRow, day_rows_of_form, filled_days, is_day_field, is_days_table

__all__ = ["DaysReturns", "days_form", "is_days_form", "read_days_returns"]

BYTES_AT_MOST = 20_000_000
ENDINGS = {".csv", ".tsv"}
HINT = "hand in first-days.csv, or the form first-days.pdf, as it was filled in"


class DaysReturns(Struct, frozen=True):
    """What came back: rows that were filled in, each with its file, and the files that are no such table."""

    rest: tuple[Path, ...] = ()
    rows: tuple[tuple[str, DayRow], ...] = ()
    problems: tuple[Problem, ...] = ()

    def joined(self, *others: "DaysReturns") -> "DaysReturns":
        """What came back in all of them."""
        every = (self, *others)
        return DaysReturns(
            tuple(file for each in every for file in each.rest),
            tuple(row for each in every for row in each.rows),
            tuple(problem for each in every for problem in each.problems),
        )


def read_days_returns(paths: Iterable[Path]) -> DaysReturns:
    """Divide the files, folders searched, into tables of the first days and the rest."""
    rest: list[Path] = []
    rows: list[tuple[str, DayRow]] = []
    problems: list[Problem] = []
    for file in (each for path in paths for each in (files_below(path) if is_folder(path) else [path])):
        text = _table_text(file)
        found = filled_days(text) if text else None
        if found is None:
            rest.append(file)
        elif isinstance(found, str):
            problems.append(_unread(f"{file.name} {found}", file.as_posix()))
        else:
            rows += [(file.as_posix(), row) for row in found if not row.is_blank]
    return DaysReturns(tuple(rest), tuple(rows), tuple(problems))


def _table_text(file: Path) -> str:
    """The text of a table of the first days; empty for every other file, which others read and report."""
    if file.suffix.lower() not in ENDINGS:
        return ""
    try:
        if not is_plain_file(file) or plain_size(file) > BYTES_AT_MOST:
            return ""
        text = read_plain(file, BYTES_AT_MOST).decode("utf-8-sig")
    except (OSError, UnicodeDecodeError):
        return ""
    return text if is_days_table(text) else ""


def is_days_form(values: Mapping[str, bool | str]) -> bool:
    """Whether the fields of a form are those of the first days."""
    return any(is_day_field(name) for name in values)


def days_form(source: str, values: Mapping[str, bool | str]) -> DaysReturns:
    """The rows of a form."""
    found = list(day_rows_of_form(values))
    wrong = [each for each in found if isinstance(each, str)]
    if wrong:
        return DaysReturns(problems=tuple(_unread(each, source) for each in wrong))
    rows = tuple((source, row) for row in found if isinstance(row, DayRow) and not row.is_blank)
    return DaysReturns(rows=rows)


def _unread(message: str, source: str) -> Problem:
    return error("return-unreadable", message, Where(source), HINT)
