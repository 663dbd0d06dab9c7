"""Questions about hidden rows of schedules that hold something: whether the job leaves them out.

Takes the schedules of a job as read; gives a question for each sheet that has such rows.
"""

from collections.abc import Iterator, Sequence

from tagmaker.job.schedule.result import ReadSheet
from tagmaker.job.schedule.shared_causes import first_few
from tagmaker.job.sources import Source
from tagmaker.problems import Problem
from tagmaker.workflows.edit_kinds import LeaveRowsOut
from tagmaker.workflows.question_records import Choice, Question, question_id

__all__ = ["row_questions", "unused_rows"]

NAMED = 12  # rows that are offered one by one


def row_questions(sources: Sequence[Source], problems: Sequence[Problem]) -> Iterator[Question]:
    """Whether hidden rows are left out; to use them they are unhidden, which the job cannot do."""
    for source in sources:
        for read in source.schedule.sheets:
            if read.hidden:
                yield _question(read, [each for each in problems if _is_of_row(each, read)])


def _is_of_row(problem: Problem, read: ReadSheet) -> bool:
    at, sheet = problem.where, read.where
    is_here = (at.file, at.sheet) == (sheet.file, sheet.sheet)
    return problem.code == "column-hidden" and is_here and at.line in {row.where.line for row in read.hidden}


def _question(read: ReadSheet, problems: Sequence[Problem]) -> Question:
    names = tuple(dict.fromkeys(row.name for row in read.hidden))
    is_one = len(read.hidden) == 1
    them = "it" if is_one else "them"
    rows = "a hidden row holds" if is_one else f"{len(read.hidden)} hidden rows hold"
    several = names[:NAMED] if len(names) > 1 else ()
    return Question(
        id=question_id("rows", read.where.file, read.where.sheet),
        where=problems[0].where if problems else read.hidden[0].where,
        text=f"{rows} {first_few(list(names), NAMED)}: nobody who looks at the sheet sees {them}",
        choices=(
            Choice("leave out", f"leave out {first_few(list(names))}", (LeaveRowsOut(names),)),
            *(
                Choice(f"only {name}", f"leave out {name} alone", (LeaveRowsOut((name,)),), is_likely=False)
                for name in several
            ),
        ),
        about=tuple(each.where for each in problems),
        hint=f"to use {them}, unhide {them} in the spreadsheet program",
    )


def unused_rows(names: Sequence[str], problems: Sequence[Problem]) -> Iterator[Question]:
    """For each hidden row that the job leaves out and no schedule has hidden: take that back."""
    for name in names:
        message = f"no hidden row of a schedule holds {name!r}"
        if problem := next((each for each in problems if each.message == message), None):
            back = Choice("take back", f"no longer leave {name} out", (LeaveRowsOut((name,), back=True),))
            name_ = question_id("unused row", name)
            yield Question(name_, problem.where, message, (back,), hint=problem.hint)
