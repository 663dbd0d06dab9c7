"""The stages of a job's schedule page: read the job with its schedules → plan it → ask what is open.

Takes a job's folder; gives the sheets as understood, every problem, and a question for each problem of
reading that a choice can answer. A choice is a change of job.toml; none is proposed as the right one.
"""

from collections.abc import Iterator, Mapping
from pathlib import Path

from msgspec import Struct

from tagmaker.catalog.family import Family, load_family
from tagmaker.files.history import file_digest
from tagmaker.files.plain import lies_within
from tagmaker.files.toml import Table, TomlFile, read_text, read_toml
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

READINGS_AT_MOST = 3


class Understanding(Struct, frozen=True):
    """A job as understood: its plan and problems, its schedules, and the open questions in reading order.

    `file` is job.toml, None where it cannot be read, with its `text`; `seen` has the digest of each file that
    all this was read from, by its name.
    """

    checked: Checked
    sources: tuple[Source, ...]
    questions: tuple[Question, ...]
    file: TomlFile | None
    text: str
    seen: Mapping[str, str]

    @property
    def open_questions(self) -> int:
        """How many questions must be answered before the job can be used."""
        return sum(each.is_needed for each in self.questions)


def understand_job(folder: Path) -> Understanding:
    """Read, plan and ask; a file that is saved meanwhile is read again, so that all is of one state."""
    for _ in range(READINGS_AT_MOST):
        seen = _seen(folder)
        understood = _understood(folder, seen)
        if _seen(folder) == seen:
            break
    return understood


def _understood(folder: Path, seen: Mapping[str, str]) -> Understanding:
    read = read_job_sources(folder)
    checked = plan_read(read.job, read.problems)
    path = job_file(folder)
    file, text = read_toml(path, path.name), read_text(path, path.name)
    known = file if isinstance(file, TomlFile) else None
    questions = sorted(_questions(folder, read, known, checked.problems), key=lambda each: each.where.order)
    shown = text if isinstance(text, str) else ""
    return Understanding(checked, read.sources, tuple(questions), known, shown, seen)


def _seen(folder: Path) -> dict[str, str]:
    """The digest of job.toml and of each schedule that it names; one that cannot be read has none."""
    file = read_toml(job_file(folder), "job.toml")
    named = Table.whole(file, []).table("job").texts("schedule") if isinstance(file, TomlFile) else ()
    names = [name for name in ("job.toml", *named) if lies_within(folder / name, folder)]
    digests = {name: _digest(folder / name) for name in names}
    return {name: digest for name, digest in digests.items() if digest}


def _digest(path: Path) -> str:
    try:
        return file_digest(path)
    except OSError:
        return ""


def _questions(
    folder: Path, read: ReadJob, file: TomlFile | None, problems: tuple[Problem, ...]
) -> Iterator[Question]:
    """Every question; those about columns first where places are the same."""
    choices, _ = choices_of_job(folder)
    yield from column_questions(read.sources, problems)
    yield from row_questions(read.sources, problems)
    yield from sheet_questions(read.sources, problems)
    yield from unused_rows(choices.hidden, problems)
    yield from unused_columns(choices, read.sources, problems)
    yield from family_questions(folder, problems)
    if file:
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
