"""The stages of `start`: load the family → read the schedule → compose job.toml → check it → keep the folder.

Takes a new folder's name, a family, and a schedule or nothing; gives a job folder that runs, or nothing.
Every key is explained in a comment, and what was inferred from the schedule is marked "confirm".
"""

from pathlib import Path

from msgspec import Struct
from msgspec.structs import replace

from tagmaker.catalog.family import load_family
from tagmaker.catalog.folders import names
from tagmaker.files.new_folder import check_new_folder, write_folder
from tagmaker.files.plain import read_plain
from tagmaker.files.toml import FILE_BYTES_AT_MOST
from tagmaker.job.schedule.read import read_schedule
from tagmaker.job.schedule.result import Choices, Unknown
from tagmaker.problems import Problem, Where, error, has_errors
from tagmaker.workflows.check import check
from tagmaker.workflows.planning import plan
from tagmaker.workflows.start_text import StartSource, boxes_named, example_text, schedule_text

__all__ = ["EXAMPLE_FAMILY", "StartOutline", "Started", "families", "read_source", "start"]

EXAMPLE_FAMILY = "four-port-boards"
"""The family of the example job; the boxes of a schedule are never assumed to be of it."""
HEADER_CODES = {
    "column-unknown", "column-ambiguous", "column-hidden", "column-twice", "capacity-unit", "length-unit",
}  # fmt: skip
"""Problems of headers that [columns] answers; a cell's unit would have started no job."""
READINGS_AT_MOST = 4  # of a schedule: headers, then units, of a table and of a table below it


class StartOutline(Struct, frozen=True):
    """What `start --json` prints beside the problems: the folder as named, and its files."""

    folder: str
    files: tuple[str, ...]


class Started(Struct, frozen=True):
    """What `start` wrote: the files of the new folder, none where nothing was written.

    `boxes` and `units` count those of a schedule.
    """

    folder: Path
    problems: tuple[Problem, ...]
    files: tuple[str, ...] = ()
    boxes: int = 0
    units: int = 0

    @property
    def is_to_mend(self) -> bool:
        """Whether a person must mend the job before it runs; headers to be explained are no mistake."""
        return any(has_errors([each]) and each.code not in HEADER_CODES for each in self.problems)

    @property
    def outline(self) -> StartOutline:
        """The same as a record of the JSON keys."""
        return StartOutline(self.folder.as_posix(), self.files)


def families() -> list[str]:
    """The names of the shipped box families."""
    return names("families", None)


def start(folder: Path, source: Path | None, family_name: str) -> Started:
    """Write a new job folder, or nothing where it would not run; headers alone may be left to explain.

    `source` is a schedule, None for an example of one box. Existing files are never touched.
    """
    refused = check_new_folder(folder)
    if refused:
        return Started(folder, (refused,))
    family, wrong = load_family(family_name, None, Where("--family"))
    if family is None:
        return Started(folder, wrong)
    if source is None:
        return _write(folder, {"job.toml": example_text(folder.resolve().name, family)}, ())
    read, problems = sound_source(source)
    if read is None:
        return Started(folder, problems)
    started = Started(folder, problems)
    content = read_plain(source, FILE_BYTES_AT_MOST)
    text = schedule_text(folder.resolve().name, family, read)
    files: dict[str, str | bytes] = {"job.toml": text, source.name: content}
    for must_fit in (
        True,
        False,
    ):  # texts too long for their labels: the folder is needed to choose other stocks
        started = _write(folder, files, problems, must_fit=must_fit)
        if started.files:
            return replace(started, boxes=len(boxes_named(read.schedule)), units=len(read.schedule.rows))
    return started


def sound_source(path: Path) -> tuple[StartSource | None, tuple[Problem, ...]]:
    """A schedule without errors, and its problems; None where a person must mend it first."""
    source, of_headers, problems = read_source(path)
    found = (*of_headers, *problems)
    if has_errors(problems):
        return None, found
    if not source.schedule.rows:
        message = f"{path.name} has no row that names a unit, a box and a port"
        return None, (*found, error("columns-missing", message, Where(path.name)))
    return source, found


def read_source(path: Path) -> tuple[StartSource, list[Problem], list[Problem]]:
    """A schedule, the problems of headers that [columns] answers, and the others.

    Columns whose header or unit is not known are left out and reported: the schedule is read again with
    [columns] that leave them out, so that the rest of the job can be written; the person answers in job.toml.
    """
    unknown: dict[str, Unknown] = {}
    of_headers: list[Problem] = []
    for _ in range(READINGS_AT_MOST):
        schedule, problems = read_schedule(path, path.name, Choices(dict.fromkeys(unknown, "")))
        more = {each.header: each for sheet in schedule.sheets for each in sheet.unknown}
        if not more.keys() - unknown.keys():
            break
        messages = tuple(each.message for each in more.values())
        of_headers += [problem for problem in problems if problem.message.startswith(messages)]
        unknown |= more
    return StartSource(path, schedule, tuple(unknown.values())), of_headers, problems


def _write(
    folder: Path, files: dict[str, str | bytes], reported: tuple[Problem, ...], *, must_fit: bool = True
) -> Started:
    """Write the folder if a job in it has no errors but those reported of the schedule already.

    Without `must_fit` it is enough that the job can be planned: texts may be too long for their labels.
    """
    known = {(problem.code, problem.message) for problem in reported}

    def judge(work: Path) -> tuple[bool, tuple[Problem, ...]]:
        found = check(work).problems
        judged = found if must_fit else plan(work).problems
        return all((each.code, each.message) in known for each in judged if has_errors([each])), found

    content = {name: text.encode() if isinstance(text, str) else text for name, text in files.items()}
    is_written, problems = write_folder(folder, content, judge)
    found = {(problem.code, problem.message) for problem in problems}
    unsaid = tuple(each for each in reported if (each.code, each.message) not in found)
    return Started(folder, (*unsaid, *problems), tuple(files) if is_written else ())
