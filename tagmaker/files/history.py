"""Earlier contents of a folder's files, kept in `.history` before each change, to go back and forth.

A change is of one file or of several that belong together. `.history/content` holds each content under its
SHA-256, `.history/journal.json` the list of changes and how many of them are in force. The order makes a
kill harmless: contents, then the journal with the step that is about to be made, then the files, then the
journal without the step. Whoever opens the history next ends a step that was begun.

A file is replaced only where its content is the one that the caller saw, or that the change left: what
somebody else saved meanwhile stays.
"""

import contextlib
import datetime as dt
import errno
import hashlib
import threading
from collections.abc import Iterator, Mapping
from pathlib import Path

from msgspec import Struct
from msgspec.structs import replace

from tagmaker.files.journal import (
    ABSENT,
    FOLDER,
    JOURNAL,
    MOVE_HINT,
    Begun,
    Change,
    Direction,
    FileChange,
    Journal,
    read_journal,
    write_journal,
)
from tagmaker.files.lock import locked
from tagmaker.files.plain import is_plain_file, is_there, lies_within, plain_digest, read_plain
from tagmaker.files.refused import cannot_write
from tagmaker.files.write import make_folder, write_whole
from tagmaker.problems import Problem, Where, error

__all__ = [
    "CHANGES_AT_MOST",
    "KEPT_BYTES_AT_MOST",
    "Stepped",
    "change_files",
    "content_digest",
    "end_unfinished",
    "file_digest",
    "step",
]

CONTENT = "content"
KEPT_BYTES_AT_MOST = 200_000_000
FILE_BYTES_AT_MOST = 20_000_000
CHANGES_AT_MOST = 1_000
_one_at_a_time = threading.RLock()  # where the system has no file locks, the threads of one desk still wait


class Stepped(Struct, frozen=True):
    """A change that was made, undone or made again; None where a problem kept it from that."""

    change: Change | None = None
    problems: tuple[Problem, ...] = ()


def content_digest(content: bytes | None) -> str:
    """The digest of a content, ABSENT for none."""
    return ABSENT if content is None else hashlib.sha256(content).hexdigest()


def file_digest(path: Path) -> str:
    """The digest of a file on disk, ABSENT where there is none; OSError where it cannot be read."""
    return plain_digest(path) if is_there(path) else ABSENT


def change_files(
    folder: Path, new: Mapping[str, bytes | None], seen: Mapping[str, str], what: str
) -> Stepped:
    """Change files of a folder together; `seen` is the digest that each had when the change was made up.

    `new` has each file's content by its name below the folder, None to remove it, in the order in which they
    are written. Changes that were undone are forgotten.
    """
    try:
        with _opened(folder) as journal:
            return _change(folder, journal, new, seen, what)
    except OSError as reason:
        return Stepped(problems=(cannot_write(folder / FOLDER, reason),))


def _change(
    folder: Path,
    journal: Journal | Problem,
    new: Mapping[str, bytes | None],
    seen: Mapping[str, str],
    what: str,
) -> Stepped:
    """The same with the journal opened; OSError where something cannot be written."""
    if isinstance(journal, Problem):
        return Stepped(problems=(journal,))
    before = {name: seen.get(name, ABSENT) for name in new}
    if blocked := _conflicts(folder, before):
        return Stepped(problems=blocked)
    files = tuple(
        FileChange(name, before[name], digest)
        for name, content in new.items()
        if (digest := content_digest(content)) != before[name]
    )
    when = dt.datetime.now(dt.UTC).strftime("%Y-%m-%dT%H:%M:%SZ")
    change = Change(journal.next_number, when, what, files)
    for each in files:
        _keep(folder, each.before, _content(folder / each.name))
        _keep(folder, each.after, new[each.name])
    kept = (*journal.changes[: journal.done], change)
    longer = Journal(kept, journal.done, None, change.number + 1)
    return _made(folder, longer, change, "forth", journal) if files else Stepped(change)


def step(folder: Path, direction: Direction, number: int = 0) -> Stepped:
    """Undo the last change ("back") or make the last undone one again ("forth").

    With a `number`, only if that is the change which this would be.
    """
    try:
        with _opened(folder) as journal:
            return _step(folder, journal, direction, number)
    except OSError as reason:
        return Stepped(problems=(cannot_write(folder / FOLDER, reason),))


def _step(folder: Path, journal: Journal | Problem, direction: Direction, number: int) -> Stepped:
    """The same with the journal opened; OSError where something cannot be written."""
    if isinstance(journal, Problem):
        return Stepped(problems=(journal,))
    change = journal.last if direction == "back" else journal.undone
    if change is None:
        word = "undo" if direction == "back" else "make again"
        return Stepped(problems=(error("history-end", f"there is no change to {word}", Where(FOLDER)),))
    if number and change.number != number:
        message = f"the next change would be another one: {change.what}"
        hint = "another window changed this job: look at what it shows now"
        return Stepped(problems=(error("edit-conflict", message, Where(FOLDER), hint),))
    if blocked := _conflicts(folder, change.source(direction), change):
        return Stepped(problems=blocked)
    return _made(folder, journal, change, direction, journal)


def end_unfinished(folder: Path) -> tuple[Problem, ...]:
    """End a step that a killed program began; the problem where the files are half changed and stay so.

    Nothing is written where no step was begun, and a history that cannot be read is no matter of who only
    reads the files.
    """
    journal = read_journal(folder)
    if isinstance(journal, Problem) or journal.begun is None:
        return ()
    try:
        with _opened(folder) as ended:
            return (ended,) if isinstance(ended, Problem) else ()
    except OSError as reason:
        return (cannot_write(folder / FOLDER, reason),)


@contextlib.contextmanager
def _opened(folder: Path) -> Iterator[Journal | Problem]:
    """The journal, locked, a step that was begun ended; or why it cannot be had, OSError included."""
    if not lies_within(folder / FOLDER, folder):
        yield error("file-outside", f"{FOLDER} leads out of the folder", Where(FOLDER), MOVE_HINT)
        return
    with _one_at_a_time:
        make_folder(folder / FOLDER / CONTENT)
        with locked(folder / FOLDER / JOURNAL, waits=True):
            journal = read_journal(folder)
            yield journal if isinstance(journal, Problem) else _ended(folder, journal)


def _ended(folder: Path, journal: Journal) -> Journal:
    """The journal with the step ended that a killed program began."""
    if journal.begun is None:
        return journal
    change = journal.undone if journal.begun.direction == "forth" else journal.last
    if change is None:
        return journal
    source = change.source(journal.begun.direction)
    for name, target in change.target(journal.begun.direction).items():
        if file_digest(folder / name) == source[name] != target:
            _put(folder, name, target)
    return _noted(folder, journal, journal.begun.direction)


def _made(folder: Path, journal: Journal, change: Change, direction: Direction, before: Journal) -> Stepped:
    """Make a step of which all contents are kept; what keeps one file from it leaves all as they were.

    `before` is the journal to go back to then.
    """
    write_journal(folder, replace(journal, begun=Begun(change.number, direction)))
    source, target = change.source(direction), change.target(direction)
    done: list[str] = []
    for name in source if direction == "forth" else reversed(source):
        problem = _put_where_unchanged(folder, name, change, source[name], target[name])
        if problem:
            for each in done:
                if file_digest(folder / each) == target[each]:
                    _put(folder, each, source[each])
            write_journal(folder, before)
            return Stepped(problems=(problem,))
        done.append(name)
    _noted(folder, journal, direction)
    return Stepped(change)


def _put_where_unchanged(folder: Path, name: str, change: Change, source: str, target: str) -> Problem | None:
    """Replace a file, looked at once more right before; the problem where that cannot be."""
    if problem := _conflict(folder, name, source, change):
        return problem
    try:
        _put(folder, name, target)
    except OSError as reason:
        hint = "nothing was changed; close the file where it is open in another program"
        return cannot_write(folder / name, reason, hint)
    return None


def _noted(folder: Path, journal: Journal, direction: Direction) -> Journal:
    """The journal after a step, written; the oldest changes are dropped where too much is kept."""
    done = journal.done + (1 if direction == "forth" else -1)
    after = _within_limits(folder, replace(journal, done=done, begun=None))
    write_journal(folder, after)
    _forget(folder, after)
    return after


def _within_limits(folder: Path, journal: Journal) -> Journal:
    """The journal without its oldest changes, as many as the limits ask for; the last one always stays."""
    sizes = {path.name: path.stat().st_size for path in (folder / FOLDER / CONTENT).iterdir()}
    counted: dict[str, int] = {}
    total, kept = 0, 0
    for change in reversed(journal.changes):
        digests = {digest for each in change.files for digest in (each.before, each.after)} - {ABSENT}
        total += sum(sizes.get(digest, 0) for digest in digests - counted.keys())
        counted |= dict.fromkeys(digests, 1)
        if kept and (total > KEPT_BYTES_AT_MOST or kept >= CHANGES_AT_MOST):
            break
        kept += 1
    dropped = min(len(journal.changes) - kept, max(0, journal.done - 1))
    return replace(journal, changes=journal.changes[dropped:], done=journal.done - dropped)


def _forget(folder: Path, journal: Journal) -> None:
    """Delete each content that no change has any more, and what a killed program left of one."""
    kept = {
        digest for change in journal.changes for each in change.files for digest in (each.before, each.after)
    }
    for path in (folder / FOLDER / CONTENT).iterdir():
        if path.name not in kept:
            with contextlib.suppress(OSError):
                path.unlink()


def _conflicts(
    folder: Path, expected: Mapping[str, str], change: Change | None = None
) -> tuple[Problem, ...]:
    """A problem for each file whose content is not the expected one."""
    return tuple(
        problem for name, digest in expected.items() if (problem := _conflict(folder, name, digest, change))
    )


def _conflict(folder: Path, name: str, expected: str, change: Change | None) -> Problem | None:
    path = folder / name
    if not lies_within(path, folder):
        return error("file-outside", f"{name} leads out of the job's folder", Where(name))
    if is_there(path) and not is_plain_file(path):
        return error("file-unreadable", f"{name} is not a regular file", Where(name))
    try:
        if file_digest(path) == expected:
            return None
    except OSError as reason:
        return error("file-unreadable", f"{name} cannot be read: {reason.strerror}", Where(name))
    hint = "it was saved by another program or window: look at what it holds now, then change it again"
    if change:
        hint = f"its content before the change is kept: {_kept_places(change, name)}"
    return error("edit-conflict", f"{name} changed on disk meanwhile", Where(name), hint)


def _kept_places(change: Change, name: str) -> str:
    """Where the content of a file before a change is kept, for a person who needs it."""
    before = next(each.before for each in change.files if each.name == name)
    return f"{FOLDER}/{CONTENT}/{before}" if before else "there was no file"


def _content(path: Path) -> bytes | None:
    return read_plain(path, FILE_BYTES_AT_MOST) if is_there(path) else None


def _keep(folder: Path, digest: str, content: bytes | None) -> None:
    """Keep a content under its digest; one that is not what its digest says changed while it was read."""
    if content is None or digest == ABSENT:
        return
    path = folder / FOLDER / CONTENT / digest
    if content_digest(content) != digest:
        raise OSError(errno.EAGAIN, "a file changed while it was read")
    if not is_there(path) or file_digest(path) != digest:
        write_whole(path, content)


def _put(folder: Path, name: str, digest: str) -> None:
    """Give a file the content of a digest, in one step; ABSENT removes it."""
    if not lies_within(folder / name, folder):
        raise OSError(errno.EACCES, f"{name} leads out of the folder")
    path = (folder / name).resolve()  # a link to a file stays a link
    if digest == ABSENT:
        path.unlink(missing_ok=True)
        return
    content = read_plain(folder / FOLDER / CONTENT / digest, FILE_BYTES_AT_MOST)
    if content_digest(content) != digest:
        raise OSError(errno.EIO, f"the content kept for {name} is damaged")
    write_whole(path, content)
