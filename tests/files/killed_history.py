"""A program that kills changes of a folder's files before each of their steps, and prints what is left.

A line of JSON a step: the files as the kill left them, after the history is opened again, and after a step
back and one forth.
"""

import json
import shutil
import sys
from pathlib import Path

from tagmaker.files.history import (
    change_files,
    content_digest,
    end_unfinished,
    step,
)
from tagmaker.files.journal import Direction, read_journal
from tagmaker.problems import Problem
from tests.files.killed import STEPS_AT_MOST, kill_at

OLD = {"a.csv": b"old a " * 9, "job.toml": b"old job"}
NEW = {"a.csv": b"new a " * 9, "b.csv": b"new b", "job.toml": b"new job"}


def files(folder: Path) -> dict[str, str]:
    """The folder's files that are no history."""
    return {path.name: path.read_text() for path in sorted(folder.iterdir()) if path.is_file()}


def change(folder: Path) -> None:
    """Make the change."""
    change_files(folder, NEW, {name: content_digest(content) for name, content in OLD.items()}, "new")


def main(folder: Path, direction: Direction) -> None:
    """Kill a change, or the undoing of one, before each step."""
    for at in range(STEPS_AT_MOST):
        shutil.rmtree(folder, ignore_errors=True)
        folder.mkdir()
        for name, content in OLD.items():
            (folder / name).write_bytes(content)
        if direction == "back":
            change(folder)
        work = (lambda: step(folder, "back")) if direction == "back" else (lambda: change(folder))
        was_killed = kill_at(at, work)
        left = files(folder)
        problems = end_unfinished(folder)
        ended = files(folder)
        journal = read_journal(folder)
        if isinstance(journal, Problem):
            raise TypeError(journal.message)
        for way in ("back", "forth") if journal.done else ("forth", "back"):
            step(folder, way)
        row = {
            "killed": was_killed,
            "left": left,
            "ended": ended,
            "again": files(folder),
            "done": journal.done,
        }
        print(json.dumps(row | {"problems": len(problems)}))  # noqa: T201 — the program's result
        if not was_killed:
            break


if __name__ == "__main__":
    main(Path(sys.argv[1]), "back" if "back" in sys.argv else "forth")
