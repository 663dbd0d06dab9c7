"""plan.json as it is written: piece by piece, so that memory never holds the whole of a campus.

Takes the records of boxes and forms as they come; gives the bytes of the file, a value a line.
"""

import re
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from typing import SupportsBytes

import msgspec
from msgspec import Struct
from msgspec.structs import asdict, replace

from tagmaker import __version__
from tagmaker.files.sealed import BLANK, sealed_pieces
from tagmaker.problems import Problem, ProblemOutline
from tagmaker.revisions.form_pages import FormPage
from tagmaker.revisions.issued import Issued, IssuedBox
from tagmaker.revisions.plan_file import PLAN_FILE, PartRecord, PlanFile
from tagmaker.revisions.selection import Selection

__all__ = ["PlanLists", "listed", "plan_json", "plan_lists", "plan_pieces"]

PLACE = re.compile(rb"\[\n +([\d.]+),\n +([\d.]+),\n +([\d.]+),\n +([\d.]+)\n +\]")
"""Four numbers, as a field's place is: they are written in one line, as there are many."""


class PlanLists(Struct, frozen=True):
    """The long lists of a plan.json as `listed` writes them, wherever the pieces wait; none is empty.

    The fields are keys of the file.
    """

    boxes: list[SupportsBytes]
    units: list[SupportsBytes]
    placards: list[SupportsBytes]
    tags: list[SupportsBytes]
    form_pages: list[SupportsBytes]


def plan_lists(
    boxes: Iterable[IssuedBox],
    form_pages: list[SupportsBytes],
    put: Callable[[bytes], SupportsBytes] = bytes,
) -> PlanLists:
    """The lists of these boxes, a box at a time; the pieces wait where `put` has them."""
    lists = PlanLists([], [], [], [], form_pages)
    for box in boxes:
        lists.boxes.extend(map(put, listed((box.outline,))))
        lists.units.extend(map(put, listed(box.units)))
        lists.placards.extend(map(put, listed((box.placard,))))
        lists.tags.extend(map(put, listed(box.tags)))
    return lists


def listed(records: Sequence[object]) -> list[bytes]:
    """Records as they are written in a list of the file, in one piece; none where there are no records."""
    if not records:
        return []
    lines = _formatted(records)[2:-2].replace(b"\n", b"\n ")
    return [PLACE.sub(rb"[\1, \2, \3, \4]", b" " + lines)]


def plan_pieces(
    issued: Issued,
    lists: PlanLists,
    files: Mapping[str, str],
    problems: Iterable[Problem],
    selection: Selection,
) -> Iterator[bytes]:
    """The file piece by piece: the job's head, the files of the set, what a part of it is limited to, lists.

    `files` are the names of the other files of the set, in print order, each with its digest. Lists that
    `issued` has count for nothing.
    """
    since = selection.baseline.issued.job.revision if selection.baseline else ""
    content = PlanFile(
        program=f"tagmaker {__version__}",
        job=issued.job,
        digest=issued.digest,
        proof=selection.proof,
        partial=selection.is_limited,
        part=PartRecord(selection.boxes, selection.only, selection.stage, selection.kit, since),
        files=(*files, PLAN_FILE),
        digests={**files, PLAN_FILE: BLANK},
        boxes=(),
        units=(),
        placards=(),
        tags=(),
        systems=list(issued.systems),
        problems=tuple(map(_outline, problems)),
    )
    lines = PLACE.sub(rb"[\1, \2, \3, \4]", _formatted(content) + b"\n")
    return sealed_pieces(lambda: _filled(lines, lists), PLAN_FILE)


def _formatted(content: object) -> bytes:
    """JSON, a value a line."""
    return msgspec.json.format(msgspec.json.encode(content), indent=1)


def _outline(problem: Problem) -> ProblemOutline:
    """A problem as the file has it; half of a surrogate pair, out of a file's name, is spelled out."""
    outline = problem.outline
    texts = (outline.message, outline.where, outline.hint)
    message, where, hint = (text.encode(errors="backslashreplace").decode() for text in texts)
    return replace(outline, message=message, where=where, hint=hint)


def _filled(lines: bytes, lists: PlanLists) -> Iterator[bytes]:
    """The file with its lists where they are empty."""
    for key, pieces in asdict(lists).items():
        if not pieces:
            continue
        before, lines = lines.split(f'\n "{key}": []'.encode(), 1)
        yield before + f'\n "{key}": [\n'.encode()
        for number, piece in enumerate(pieces):
            yield b",\n" * (number > 0) + bytes(piece)
        lines = b"\n ]" + lines
    yield lines


def plan_json(
    issued: Issued,
    files: Mapping[str, str],
    problems: Iterable[Problem],
    selection: Selection,
    form_pages: Sequence[FormPage] = (),
) -> bytes:
    """The whole file of a set that memory holds."""
    records = (issued.boxes, issued.units, issued.placards, issued.tags, form_pages)
    lists = PlanLists(*(list[SupportsBytes](listed(each)) for each in records))
    return b"".join(plan_pieces(issued, lists, files, problems, selection))
