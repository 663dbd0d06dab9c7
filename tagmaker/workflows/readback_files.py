"""The files that came back, for `readback`: each read by the reader of its kind.

Takes paths and the plan; gives walks, response tests, scans, paper and first days apart from each other, with
the problems of files that cannot be read.
"""

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from pathlib import Path

from msgspec import Struct

from tagmaker.catalog.first_days import first_days
from tagmaker.catalog.words import Words
from tagmaker.files.plain import files_below, is_folder
from tagmaker.plan.model import Plan
from tagmaker.problems import Problem, Where, warning
from tagmaker.site.days.judge import DaysResult, judge_days
from tagmaker.site.days.returns import DaysReturns, days_form, is_days_form, read_days_returns
from tagmaker.site.paper.sheets import PaperReturns
from tagmaker.site.paper.typed import divided_typed
from tagmaker.site.response.compare import SystemResult, compare
from tagmaker.site.response.returns import (
    ResponseReturns,
    form_return,
    is_response_form,
    read_response_returns,
)
from tagmaker.site.walk.returns import NAME_HINT, Return, left_out, read_returns
from tagmaker.workflows.readback_days import days_on_paper
from tagmaker.workflows.readback_paper import missing_sets, photos_among
from tagmaker.workflows.readback_response import rows_on_paper, untyped, with_written
from tagmaker.workflows.readback_scans import ScansBack, divided, scans_back
from tagmaker.workflows.readback_typed import with_typed_readings

__all__ = ["CameBack", "come_back"]


class CameBack(Struct, frozen=True):
    """What the files hold: walks, response tests, scans, paper, first days; problems, what is to be typed."""

    returns: Sequence[Return]
    compared: tuple[SystemResult, ...]
    scans: ScansBack
    paper: PaperReturns
    problems: Sequence[Problem]
    days: tuple[DaysResult, ...]
    to_type: Mapping[str, tuple[str, ...]]


def come_back(files: list[Path], planned: Plan, words: Words, sets: Sequence[Path]) -> CameBack:
    """Every file read by the reader of its kind; a PDF without form fields may be a scan of paper."""
    entries, rest, unread_entries = divided_typed(files)
    tables = read_days_returns(rest)
    responses = read_response_returns(tables.rest)
    photos, rest = photos_among(responses.rest)
    sessions, rest = divided(rest)
    scans, unscanned = scans_back(sessions, planned, words)
    returns, unread = _read(rest)
    returns, tested = _divided(returns, responses)
    returns, tables = _without_days(returns, tables)
    flattened = [each for each in unread if each.code == "return-flattened"]
    paper, unread_paper = PaperReturns(), missing_sets(sets)
    if photos or flattened or entries:
        from tagmaker.workflows.readback_pages import paper_back  # noqa: PLC0415 — heavy, needed for paper only

        paper, unread_paper = paper_back(photos, flattened, sets, tested.pages, entries)
    tested = tested.joined(rows_on_paper(paper))
    tables = tables.joined(days_on_paper(paper, planned.job))
    written = (name for each in paper.days for name in each.written)
    days, odd = judge_days(tables.rows, planned, first_days(), words, written)
    compared, foreign = compare(tested, planned, words)
    to_type = untyped(paper.readings, tested.rows)
    compared = tuple(
        with_typed_readings(with_written(each, to_type, words), paper, words) for each in compared
    )
    others = [each for each in unread if each.code != "return-flattened"]
    problems = [
        *_empty(files), *left_out(files), *unread_entries, *unscanned, *tested.problems,
        *foreign, *others, *unread_paper, *tables.problems, *odd
    ]  # fmt: skip
    back = [*returns, *paper.returns]
    return CameBack(back, compared, scans, paper, problems, tuple(days), to_type)


def _empty(files: Iterable[Path]) -> Iterator[Problem]:
    """A warning for each folder in which nothing came back."""
    for each in files:
        if is_folder(each) and not files_below(each):
            yield warning("return-unreadable", "the folder holds no file", Where(each.as_posix()), NAME_HINT)


def _divided(returns: list[Return], found: ResponseReturns) -> tuple[list[Return], ResponseReturns]:
    """The forms of walks, and apart from them what came back of response tests, forms included."""
    forms, rest = _apart(returns, is_response_form)
    return rest, found.joined(*(form_return(each.source, each.values) for each in forms))


def _without_days(returns: list[Return], found: DaysReturns) -> tuple[list[Return], DaysReturns]:
    """The forms of walks, and apart from them what came back of first days, forms included."""
    forms, rest = _apart(returns, is_days_form)
    return rest, found.joined(*(days_form(each.source, each.values) for each in forms))


def _apart(
    returns: Iterable[Return], is_one: Callable[[Mapping[str, bool | str]], bool]
) -> tuple[list[Return], list[Return]]:
    """The files whose fields are of a kind, and the rest."""
    those: list[Return] = []
    rest: list[Return] = []
    for each in returns:
        (those if is_one(each.values) else rest).append(each)
    return those, rest


def _read(files: list[Path]) -> tuple[list[Return], list[Problem]]:
    """The files that can be read, and the problems of those that cannot."""
    returns: list[Return] = []
    problems: list[Problem] = []
    for each in read_returns(files):
        if isinstance(each, Problem):
            problems.append(each)
        else:
            returns.append(each)
    return returns, problems
