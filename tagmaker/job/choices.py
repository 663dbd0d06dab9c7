"""A job's choices for reading its schedules: `[columns]`, `sheets` and `hidden_left_out`.

Takes a job file's tables; gives the choices, and later reports those that no schedule has a use for: a typing
error in a header's name would otherwise silently change what is read.
"""

from collections.abc import Iterable
from itertools import islice
from pathlib import Path

from tagmaker.catalog.columns import column_words
from tagmaker.files.journal import FOLDER
from tagmaker.files.plain import files_in, is_folder, is_there, lies_within
from tagmaker.files.toml import Table, did_you_mean, read_toml
from tagmaker.job.schedule.cells import HIDDEN_KEY, HIDDEN_LEFT_OUT
from tagmaker.job.schedule.columns import known_name
from tagmaker.job.schedule.read import Schedule
from tagmaker.job.schedule.result import Choices, ReadSheet
from tagmaker.problems import Problem

__all__ = ["BEGIN_HINT", "begin_hint", "catalog_of_job", "choices_of_job", "files_of_job", "job_file"]
__all__ += ["half_changed", "read_choices", "report_unused"]

BEGIN_HINT = "a job is a folder with a file job.toml; `tagmaker manual job-file` shows the smallest one"
LOOKED_AT_MOST = 1_000  # folders in which a job is looked for
DEFAULTS = ("insulation", "cable")
"""Keys of [job] that hold for every unit that gives none of its own."""


def job_file(path: Path) -> Path:
    """The file of a job that is named by its folder, or by the file itself."""
    return path / "job.toml" if is_folder(path) else path


def begin_hint(path: Path) -> str:
    """What to name in place of a path at which there is no job: a job in this folder, or what a job is."""
    below = sorted(islice(files_in(path, "*/job.toml"), LOOKED_AT_MOST)) if is_folder(path) else []
    return f"name one of the jobs in it, such as {below[0].parent.as_posix()}" if below else BEGIN_HINT


def catalog_of_job(path: Path) -> tuple[Path, ...]:
    """The families and stocks of a job's own."""
    folder = job_file(path).parent
    own = (sorted(files_in(folder / kind, "*.toml")) for kind in ("families", "stocks"))
    return tuple(file for files in own for file in files)


def files_of_job(path: Path) -> tuple[Path, ...]:
    """A job's TOML file and the schedules that it names, there or not."""
    file = job_file(path)
    folder = file.parent
    found = read_toml(file, file.name)
    schedules: tuple[str, ...] = ()
    if not isinstance(found, Problem):
        schedules = Table.whole(found, []).table("job").texts("schedule")
    within = [folder / name for name in schedules if lies_within(folder / name, folder)]
    return (file, *within)


def half_changed(folder: Path) -> tuple[Problem, ...]:
    """The problem of a change of the job's files that a killed program left, where it cannot be ended."""
    if not is_there(folder / FOLDER):
        return ()
    from tagmaker.files.history import end_unfinished  # noqa: PLC0415 — most jobs were never changed here

    return end_unfinished(folder)


def choices_of_job(path: Path | None) -> tuple[Choices, list[Problem]]:
    """The choices of the job in a folder (or of a TOML file), its other keys aside; none without a job."""
    if path is None:
        return Choices(), []
    file = read_toml(job_file(path), "job.toml")
    if isinstance(file, Problem):
        return Choices(), [file]
    problems: list[Problem] = []
    top = Table.whole(file, problems)
    return read_choices(top, top.table("job")), problems


def read_choices(top: Table, head: Table) -> Choices:
    """The choices of a job file; `head` is its [job]."""
    table = top.table("columns")
    columns: dict[str, str] = {}
    for name in table.content:
        value = table.text(name)
        if value and not known_name(value):
            hint = f'{did_you_mean(value, column_words().kind_of)}; "" leaves the column out'
            table.wrong("value-wrong", name, f"no column is known as {value!r}", hint)
        else:
            columns[name] = value
    table.close()
    given = {key: head.length(key) for key in DEFAULTS}
    defaults = {key: length for key, length in given.items() if length}
    hidden = head.texts(HIDDEN_KEY)
    return Choices(columns, head.texts("sheets"), defaults, of_job=True, hidden=hidden)


def report_unused(top: Table, head: Table, choices: Choices, schedules: Iterable[Schedule]) -> None:
    """Report every choice that names no header or sheet of the schedules that were read."""
    sheets = [sheet for schedule in schedules for sheet in schedule.sheets]
    columns = [column for sheet in sheets for column in sheet.columns]
    if not sheets:
        return
    used = {column.name for column in columns}
    headers = list(dict.fromkeys(column.header for column in columns))
    table = top.table("columns")
    for name in choices.columns:
        if name not in used:
            hint = did_you_mean(name, headers)
            table.wrong("column-unknown", name, f"no schedule has a column {name!r}", hint)
    names = list(dict.fromkeys(sheet.where.sheet for sheet in sheets if sheet.where.sheet))
    for name in choices.sheets:
        if name not in names:
            head.wrong(
                "value-wrong", "sheets", f"no schedule has a sheet {name!r}", did_you_mean(name, names)
            )
    _report_unhidden(head, choices, sheets)


def _report_unhidden(head: Table, choices: Choices, sheets: Iterable[ReadSheet]) -> None:
    """Report the names of hidden rows to leave out that no hidden row has: it may be used now."""
    rows = [row for sheet in sheets for row in (*sheet.left, *sheet.hidden) if row.name]
    left_out = {row.name for row in rows if row.why == HIDDEN_LEFT_OUT}
    for name in choices.hidden:
        if name not in left_out:
            hint = did_you_mean(name, [row.name for row in rows]) if rows else "delete the name"
            head.wrong("value-wrong", HIDDEN_KEY, f"no hidden row of a schedule holds {name!r}", hint)
