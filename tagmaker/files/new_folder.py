"""A new folder with files in it, whole or not at all; no file that is there already is touched.

Takes the files by name and a judge of the finished folder; gives whether the folder was written, or why not.
"""

import contextlib
import shutil
from collections.abc import Callable, Iterator, Mapping
from pathlib import Path

from tagmaker.files.lock import locked
from tagmaker.files.plain import are_same
from tagmaker.files.refused import OutputRefused, cannot_write, named_as_device
from tagmaker.files.stopping import held, undone_if_stopped
from tagmaker.files.system import patiently
from tagmaker.files.write import parents_made, write_synced
from tagmaker.problems import Problem, Where, error

__all__ = ["check_new_folder", "write_folder"]

Judged = tuple[bool, tuple[Problem, ...]]
NEW_HINT = "name a folder that does not exist yet"


def check_new_folder(folder: Path) -> Problem | None:
    """Refuse a place that no new folder can take: one that is there and not empty, or under a file."""
    if problem := named_as_device(folder):
        return problem
    try:
        if folder.exists() and not folder.is_dir():
            return error("output-foreign", f"{folder} is not a folder", Where(folder.as_posix()), NEW_HINT)
        if are_same(folder, Path.cwd()):
            return error(
                "output-blocked", f"{folder} is the current folder", Where(folder.as_posix()), NEW_HINT
            )
        if folder.is_dir() and any(folder.iterdir()):
            return error("output-foreign", f"{folder} is not empty", Where(folder.as_posix()), NEW_HINT)
    except OSError as reason:
        return cannot_write(folder, reason)
    return None


def write_folder(folder: Path, files: Mapping[str, bytes], judge: Callable[[Path], Judged]) -> Judged:
    """Write a new folder with these files, whole or not at all.

    `judge` is called with the files in a folder of the same name beside it, and gives whether they are good
    and what is to be reported of them. Gives whether the folder was written, and what is to be reported.
    """
    folder = folder.resolve()
    problems: tuple[Problem, ...] = ()
    try:
        with parents_made(folder), locked(folder), _stage(folder) as work:
            for name, content in files.items():
                (work / name).parent.mkdir(parents=True, exist_ok=True)
                write_synced(work / name, [content])
            is_good, problems = judge(work)
            if not is_good:
                return False, problems
            if folder.is_dir():
                folder.rmdir()  # fails where a file was put there meanwhile
            patiently(lambda: work.rename(folder))
    except OutputRefused as refused:
        return False, (*problems, refused.problem)
    except OSError as reason:
        return False, (*problems, cannot_write(folder, reason))
    return True, problems


@contextlib.contextmanager
def _stage(folder: Path) -> Iterator[Path]:
    """A folder of the same name in a working folder, which the next run removes if this one is killed."""
    stage = folder.with_name(f".{folder.name}.tagmaker-new")

    def undo() -> str:
        shutil.rmtree(stage, ignore_errors=True)
        return ""

    with undone_if_stopped(undo):
        undo()
        (stage / folder.name).mkdir(parents=True)
        try:
            yield stage / folder.name
        finally:
            with held():
                undo()
