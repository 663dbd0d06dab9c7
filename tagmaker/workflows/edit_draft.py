"""A job's files while changes of them are collected, and the files that come of it.

Takes a job's folder; the changes add to it what is to be written in job.toml and in cells of CSV files.
Nothing is written here.
"""

import functools
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from pathlib import Path

from tagmaker.catalog.folders import outside
from tagmaker.files.history import content_digest, end_unfinished
from tagmaker.files.plain import lies_within
from tagmaker.files.toml import (
    FILE_BYTES_AT_MOST,
    TOML_BYTES_AT_MOST,
    Table,
    TomlFile,
    parsed_toml,
    read_bytes,
    read_toml,
)
from tagmaker.job.choices import read_choices
from tagmaker.job.edit_toml import TomlChange, edited_toml
from tagmaker.job.read import read_job_file
from tagmaker.job.schedule.csv_edit import CellPlace, edited_csv
from tagmaker.job.schedule.read import Schedule, read_sheets, understand
from tagmaker.job.schedule.result import Choices
from tagmaker.job.sources import Source
from tagmaker.problems import Problem, Severity, Where, error
from tagmaker.workflows.edit_kinds import WorkbookCell

__all__ = ["JOB", "Draft", "open_draft"]

JOB = "job.toml"
TYPED = {
    "key-unknown", "key-missing", "value-wrong", "tag-wrong", "capacity-unit", "capacity-wrong",
    "length-unit", "length-wrong", "family-unknown", "family-wrong", "stock-unknown", "stock-unsuited",
    "stock-wrong", "box-twice", "cell-missing", "file-outside", "column-unknown",
}  # fmt: skip
"""Problems of job.toml that mean that a value was typed wrongly: a change that brings one is refused."""


@dataclass
class Draft:
    """A job's files and what is to become of them.

    `seen` are the digests of the files as they were read. `toml` are changes of job.toml, `cells` texts of
    CSV files, `new` files to create, `workbook` the cells that a person must change. `what` has in words what
    is done. `tried` are CSV files that were made already, with the texts of which they were.
    """

    folder: Path
    file: TomlFile
    choices: Choices
    contents: dict[str, bytes]
    toml: list[TomlChange] = field(default_factory=list)
    cells: dict[str, dict[CellPlace, str]] = field(default_factory=dict)
    new: dict[str, bytes] = field(default_factory=dict)
    workbook: list[WorkbookCell] = field(default_factory=list)
    what: list[str] = field(default_factory=list)
    problems: list[Problem] = field(default_factory=list)
    tried: dict[str, tuple[dict[CellPlace, str], bytes]] = field(default_factory=dict)

    @functools.cached_property
    def sources(self) -> tuple[Source, ...]:
        """The schedules as they are understood; read when the first change asks for them."""
        return tuple(_source(self.folder, name, self.choices) for name in self.contents if name != JOB)

    @property
    def seen(self) -> dict[str, str]:
        """The digest of each file as it was read."""
        return {name: content_digest(content) for name, content in self.contents.items()}

    def wrong(self, message: str, where: Where, hint: str = "", code: str = "edit-refused") -> None:
        """Note why a change cannot be made."""
        self.problems.append(error(code, message, where, hint))

    def rows(self, name: str) -> list[Mapping[str, object]]:
        """The tables [[name]] of job.toml."""
        value = self.file.content.get(name)
        return [row for row in value if isinstance(row, dict)] if isinstance(value, list) else []

    def table(self, name: str) -> Mapping[str, object]:
        """The table [name] of job.toml, empty where there is none."""
        value = self.file.content.get(name)
        return value if isinstance(value, dict) else {}

    def files(self) -> dict[str, bytes]:
        """Every file with its new content, in the order in which they are to be written; problems are noted.

        job.toml is last: what it names is there when it names it.
        """
        made: dict[str, bytes] = dict(self.new)
        for name, texts in self.cells.items():
            tried, content = self.tried.get(name, ({}, b""))
            if tried != texts:
                self._take(made, name, edited_csv(self.contents[name], texts, name))
            else:
                made[name] = content
        if self.toml:
            self._take(made, JOB, self._job_file())
        return made

    def _take(self, made: dict[str, bytes], name: str, content: bytes | Problem) -> None:
        if isinstance(content, Problem):
            self.problems.append(content)
        else:
            made[name] = content

    def _job_file(self) -> bytes | Problem:
        """The new job.toml; what was typed wrongly is noted."""
        new = edited_toml(self.contents[JOB], self.toml, JOB)
        file = new if isinstance(new, Problem) else parsed_toml(new.decode("utf-8-sig"), JOB)
        if isinstance(file, Problem):
            return file
        if found := _typed(read_job_file(file, self.folder)[1]):
            before = {_bare(each) for each in _typed(read_job_file(self.file, self.folder)[1])}
            self.problems += [each for each in found if _bare(each) not in before]
        return new


def _typed(problems: Iterable[Problem]) -> list[Problem]:
    """Errors of job.toml that come of a wrongly typed value."""
    return [
        each
        for each in problems
        if each.severity is Severity.ERROR and each.code in TYPED and each.where.file == JOB
    ]


def _bare(problem: Problem) -> tuple[str, str]:
    """What a problem is apart from its line, which moves."""
    return problem.code, problem.message


def open_draft(folder: Path) -> Draft | Problem:
    """The files of a job as they are now, to be changed; or why job.toml cannot be."""
    if half_changed := end_unfinished(folder):
        return half_changed[0]
    path = folder / JOB
    if not lies_within(path, folder):
        return outside(JOB, Where(JOB))
    content = read_bytes(path, JOB, TOML_BYTES_AT_MOST)
    file = content if isinstance(content, Problem) else read_toml(path, JOB)
    if isinstance(file, Problem):
        return file
    top = Table.whole(file, [])
    head = top.table("job")
    choices = read_choices(top, head)
    contents: dict[str, bytes] = {JOB: content} if isinstance(content, bytes) else {}
    for name in dict.fromkeys(head.texts("schedule")):
        if not lies_within(folder / name, folder):
            continue  # the reader reports it; no row of it can be changed
        of_schedule = read_bytes(folder / name, name, FILE_BYTES_AT_MOST)
        if isinstance(of_schedule, Problem):
            continue  # likewise
        contents[name] = of_schedule
    return Draft(folder, file, choices, contents)


def _source(folder: Path, name: str, choices: Choices) -> Source:
    sheets, problems = read_sheets(folder / name, name)
    schedule = Schedule() if problems else understand(sheets, name, choices)[0]
    return Source(name, tuple(sheets), schedule)
