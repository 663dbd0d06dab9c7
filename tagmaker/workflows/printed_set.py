"""A set in its folder: made by a process of its own, listed, and its files given out one by one or as a ZIP.

A file is given out only where the set's plan.json lists it and it is as it was written: nobody prints a sheet
that somebody changed, nor anything else from the disk.
"""

from collections.abc import Iterator
from pathlib import Path

from msgspec import Struct

from tagmaker.files.plain import lies_within, plain_digest, plain_size
from tagmaker.files.zipped import OtherContent, zip_pieces
from tagmaker.problems import Problem, Where, error
from tagmaker.revisions.plan_file import PLAN_FILE, SetHead, read_set
from tagmaker.revisions.selection import Selection
from tagmaker.workflows.layout import Progress
from tagmaker.workflows.make import make
from tagmaker.workflows.planning import PartUsed, StockNeed

__all__ = ["OtherContent", "PrintedFile", "SetMade", "make_set", "printed_files", "set_file", "set_zip"]

CHANGED_HINT = "make the set again, or open the file in its folder if it is one that you filled in"


class SetMade(Struct, frozen=True):
    """What making a set gave: its files with their pages, none where it was refused, and why.

    `codes_read` counts codes that were read back, -1 without a proof.
    """

    out: Path
    problems: tuple[Problem, ...]
    files: tuple[tuple[str, int], ...]
    tags: int
    boxes: int
    codes_read: int
    sheets: tuple[StockNeed, ...]
    part_used: tuple[PartUsed, ...]


class PrintedFile(Struct, frozen=True):
    """A file of a set; `changed` where it is not as it was written, or is gone."""

    name: str
    size: int
    changed: bool


def make_set(
    path: Path, out: Path, selection: Selection, progress: Progress = lambda _done, _of: None
) -> SetMade:
    """`make`, its result without the plan: a process can send it to another."""
    made = make(path, out, selection, progress)
    return SetMade(
        out=made.out,
        problems=made.checked.problems,
        files=made.files,
        tags=made.tags,
        boxes=made.boxes,
        codes_read=made.codes_read,
        sheets=made.checked.sheets,
        part_used=made.checked.part_used,
    )


def printed_files(out: Path, head: SetHead) -> list[PrintedFile]:
    """The files of a set, in print order."""
    return [_printed(out, head, name) for name in head.files]


def _printed(out: Path, head: SetHead, name: str) -> PrintedFile:
    path = out / name
    try:
        if not lies_within(path, out):
            return PrintedFile(name, 0, changed=True)
        is_same = name == PLAN_FILE or plain_digest(path) == head.digests.get(name)
        return PrintedFile(name, plain_size(path), changed=not is_same)
    except OSError:
        return PrintedFile(name, 0, changed=True)


def set_file(out: Path, name: str) -> Path | Problem | None:
    """The path of a file of the set in a folder, None where the set has none of that name.

    The problem where the file is not as it was written.
    """
    head = read_set(out)
    if head is None or name not in head.files:
        return None
    return _changed(out, name) if _printed(out, head, name).changed else out / name


def _changed(out: Path, name: str) -> Problem:
    message = f"{out} holds {name!r}, which changed since it was written"
    return error("output-changed", message, Where((out / name).as_posix()), CHANGED_HINT)


def set_zip(out: Path) -> Iterator[bytes] | Problem:
    """The set in a folder as one ZIP, piece by piece; the problem where it is none, or a file changed.

    Where a file changes while it is sent, OtherContent is raised: the ZIP is then cut off, never mixed.
    """
    head = read_set(out)
    if head is None:
        message = f"{out} holds no set, or its plan.json changed"
        return error("output-changed", message, Where(out.as_posix()), "make the set again")
    for each in printed_files(out, head):
        if each.changed:
            return _changed(out, each.name)
    digests = head.digests | {PLAN_FILE: plain_digest(out / PLAN_FILE)}
    return zip_pieces((f"{out.name}/{name}", out / name, digests[name]) for name in head.files)
