"""The stages of a job's schedule page: read the job with its schedules → plan it → ask what is open.

Takes a job's folder; gives the sheets as understood, every problem, and a question for each problem of
reading that a choice can answer. A choice is a change of job.toml; none is proposed as the right one.
"""

from collections.abc import Iterator
from pathlib import Path

from msgspec import Struct

from tagmaker.catalog.family import Family, load_family
from tagmaker.files.toml import TomlFile, read_toml
from tagmaker.job.choices import choices_of_job, job_file
from tagmaker.job.read import read_job_sources
from tagmaker.job.sources import ReadJob, Source
from tagmaker.problems import Problem, Where
from tagmaker.workflows.planning import Checked, plan_read
from tagmaker.workflows.question_of_boxes import box_questions, family_questions
from tagmaker.workflows.question_of_columns import column_questions, unused_columns
from tagmaker.workflows.question_of_rows import row_questions, unused_rows
from tagmaker.workflows.question_of_sheets import sheet_questions
from tagmaker.workflows.question_records import Choice, Question

__all__ = ["Choice", "Question", "Understanding", "understand_job"]


class Understanding(Struct, frozen=True):
    """A job as understood: its plan and problems, its schedules, and the open questions in reading order."""

    checked: Checked
    sources: tuple[Source, ...]
    questions: tuple[Question, ...]

    @property
    def open_questions(self) -> int:
        """How many questions must be answered before the job can be used."""
        return sum(each.is_needed for each in self.questions)


def understand_job(folder: Path) -> Understanding:
    """Read, plan and ask."""
    read = read_job_sources(folder)
    checked = plan_read(read.job, read.problems)
    questions = sorted(_questions(folder, read, checked.problems), key=lambda each: each.where.order)
    return Understanding(checked, read.sources, tuple(questions))


def _questions(folder: Path, read: ReadJob, problems: tuple[Problem, ...]) -> Iterator[Question]:
    """Every question; those about columns first where places are the same."""
    choices, _ = choices_of_job(folder)
    file = read_toml(job_file(folder), "job.toml")
    yield from column_questions(read.sources, problems)
    yield from row_questions(read.sources)
    yield from sheet_questions(read.sources, problems)
    yield from unused_rows(choices.hidden, problems)
    yield from unused_columns(choices, read.sources, problems)
    yield from family_questions(folder, problems)
    if isinstance(file, TomlFile):
        yield from box_questions(read.sources, problems, _declared(file), _family(file, folder))


def _declared(file: TomlFile) -> list[str]:
    """The tags in capitals of the [[box]] tables as written."""
    value = file.content.get("box")
    tables = [each for each in value if isinstance(each, dict)] if isinstance(value, list) else []
    return [str(table.get("tag", "")).strip().upper() for table in tables]


def _family(file: TomlFile, folder: Path) -> Family | None:
    """The job's family, if it names one that can be read."""
    head = file.content.get("job")
    name = head.get("family") if isinstance(head, dict) else None
    return load_family(name, folder, Where("job.toml"))[0] if isinstance(name, str) else None
