"""The journal of a folder's changes: which files each one changed, and how many of them are in force.

Takes a folder; gives its journal, or the problem with it. A journal may come with a job from anywhere: what
it says is believed only as far as it could have been written here.
"""

from pathlib import Path
from typing import Literal

import msgspec
from msgspec import Struct

from tagmaker.files.plain import is_there, lies_within, read_plain
from tagmaker.files.write import write_whole
from tagmaker.problems import Problem, Where, error

__all__ = [
    "ABSENT",
    "FOLDER",
    "JOURNAL",
    "MOVE_HINT",
    "Begun",
    "Change",
    "Direction",
    "FileChange",
    "Journal",
    "read_journal",
    "write_journal",
]

FOLDER = ".history"
JOURNAL = "journal.json"
BYTES_AT_MOST = 20_000_000
ABSENT = ""
"""The digest of a file that is not there."""
MOVE_HINT = "move the folder .history out of the job's folder: the changes in it cannot be undone then"
Direction = Literal["forth", "back"]


class FileChange(Struct, frozen=True):
    """What a change did to one file: digests of its content before and after, ABSENT for no file."""

    name: str
    before: str
    after: str


class Change(Struct, frozen=True):
    """A change: its number, when it was made (UTC, ISO 8601), what it was in words, the files of it."""

    number: int
    when: str
    what: str
    files: tuple[FileChange, ...]

    def source(self, direction: Direction) -> dict[str, str]:
        """The digest that each file has before a step."""
        return {each.name: each.before if direction == "forth" else each.after for each in self.files}

    def target(self, direction: Direction) -> dict[str, str]:
        """The digest that each file has after a step."""
        return self.source("back" if direction == "forth" else "forth")


class Begun(Struct, frozen=True):
    """A step that was begun: the number of its change, and whether it is made or undone."""

    number: int
    direction: Direction


class Journal(Struct, frozen=True):
    """The changes that are kept, oldest first; the first `done` of them are in force, the others undone."""

    changes: tuple[Change, ...] = ()
    done: int = 0
    begun: Begun | None = None
    next_number: int = 1

    @property
    def last(self) -> Change | None:
        """The change that would be undone."""
        return self.changes[self.done - 1] if self.done else None

    @property
    def undone(self) -> Change | None:
        """The change that would be made again."""
        return self.changes[self.done] if self.done < len(self.changes) else None


def read_journal(folder: Path) -> Journal | Problem:
    """The changes of a folder; none where nothing was changed yet."""
    path = folder / FOLDER / JOURNAL
    shown = f"{FOLDER}/{JOURNAL}"
    if not lies_within(path, folder):
        return error("file-outside", f"{FOLDER} leads out of the folder", Where(FOLDER), MOVE_HINT)
    try:
        if not is_there(path):
            return Journal()
        journal = msgspec.json.decode(read_plain(path, BYTES_AT_MOST), type=Journal)
    except (OSError, msgspec.MsgspecError) as reason:
        return error("file-unreadable", f"{shown} cannot be read: {reason}", Where(shown), MOVE_HINT)
    if not _is_sound(journal):
        return error("file-unreadable", f"{shown} contradicts itself", Where(shown), MOVE_HINT)
    return journal


def _is_sound(journal: Journal) -> bool:
    """Whether a journal could have been written here: it may come with a job from anywhere."""
    if not 0 <= journal.done <= len(journal.changes):
        return False
    begun = journal.begun
    following = begun and (journal.undone if begun.direction == "forth" else journal.last)
    return begun is None or bool(following and following.number == begun.number)


def write_journal(folder: Path, journal: Journal) -> None:
    """Write a folder's journal whole; OSError where it cannot be."""
    write_whole(
        folder / FOLDER / JOURNAL, msgspec.json.format(msgspec.json.encode(journal), indent=1) + b"\n"
    )
