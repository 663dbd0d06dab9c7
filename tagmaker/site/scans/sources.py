"""Texts out of files: photos, PDFs, and lines of text, each with the place that it came from.

Files come from scanners and phones and may be damaged or of any kind: what cannot be read is a problem that
names the file. Sizes, pages and lines are limited, so that no file can use up the machine.
"""

import struct
import zlib
from collections.abc import Collection, Iterable, Iterator
from itertools import groupby
from pathlib import Path

from msgspec import Struct

from tagmaker.files.plain import is_plain_file, is_there, plain_size, read_head, read_plain
from tagmaker.problems import Problem, Where, error, warning
from tagmaker.site.scans.codes import LineGatherer
from tagmaker.site.scans.kinds import HEAD_BYTES, KINDS_HINT, FileKind, RefusedKind, file_kind
from tagmaker.site.scans.times import NOT_KNOWN, Span
from tagmaker.site.scans.typed import plain_signs
from tagmaker.symbols.ahead import ahead
from tagmaker.symbols.read import Decoded, open_picture, page_pictures, read_codes

__all__ = ["BROKEN", "FILE_BYTES_AT_MOST", "Found", "Stamp", "is_lines", "read_file", "read_files"]

PDF_DPI = 203.2
PICTURE_DPI = (
    203.2  # of a photo no resolution is known: it only scales the places of codes, not their reading
)
FILE_BYTES_AT_MOST = 200_000_000
TEXT_BYTES_AT_MOST = 20_000_000
LINES_AT_MOST = 100_000
PAGES_AT_MOST = 5_000
SAME_ROW = 0.6  # of a code's height: codes whose middles are less apart are in one row

BROKEN = (  # what a broken picture or PDF makes of its reader; SyntaxError is Pillow's word for a broken PNG
    OSError, ValueError, RuntimeError, SyntaxError, LookupError, ArithmeticError, MemoryError, EOFError,
    TypeError, AttributeError, struct.error, zlib.error,
)  # fmt: skip


class Stamp(Struct, frozen=True):
    """The time of what follows in its file."""

    at: Span


Found = tuple[str, str] | Stamp | Problem
"""A code's text with its source ("walk.pdf page 2"), a time, or what is to be reported of its file."""


def is_lines(path: Path) -> bool:
    """Whether a file holds lines of text, in the order of scanning; pictures have no such order."""
    try:
        return _kind(path) == "lines"
    except OSError:
        return False


def _kind(path: Path) -> FileKind | RefusedKind:
    return file_kind(read_head(path, HEAD_BYTES), path.suffix)


def read_files(
    paths: Iterable[Path], known: Collection[str] | None = None
) -> Iterator[tuple[Path, Iterable[Found]]]:
    """Each file with what is read from it; photos that follow each other are read several at once."""
    for are_photos, each in groupby(paths, _is_photo):
        if are_photos:
            photos = list(each)
            yield from zip(photos, ahead(lambda photo: list(read_file(photo)), photos), strict=True)
        else:
            yield from ((path, read_file(path, known)) for path in each)


def _is_photo(path: Path) -> bool:
    try:
        return is_plain_file(path) and _kind(path) == "picture"
    except OSError:
        return False


def read_file(path: Path, known: Collection[str] | None = None) -> Iterator[Found]:
    """Every code's text in a file, and what is to be reported of the file.

    `known` are the codes of the job's tags, from which the keyboard layout of typed lines is recognised.
    """
    try:
        fault = _fault(path)
        if fault:
            yield error("file-unreadable", fault, Where(path.as_posix()), KINDS_HINT)
            return
        kind = _kind(path)
        if isinstance(kind, RefusedKind):
            yield error("file-unreadable", kind.fault, Where(path.as_posix()), kind.hint)
        elif kind == "lines":
            yield from _lines(path, known)
        else:
            yield from _pictures(path, is_pdf=kind == "pdf")
    except BROKEN as reason:
        yield error("file-unreadable", f"it cannot be read: {reason}", Where(path.as_posix()), KINDS_HINT)


def _fault(path: Path) -> str:
    """Why a file cannot be read, before it is opened; empty where it may be readable."""
    if not is_plain_file(path) and not is_there(path):
        return "there is no such file"
    if not is_plain_file(path):
        return "it is a folder, or not a regular file"
    if plain_size(path) > FILE_BYTES_AT_MOST:
        return "it is over 200 MB"
    return ""


def _lines(path: Path, known: Collection[str] | None) -> Iterator[Found]:
    content = read_plain(path, TEXT_BYTES_AT_MOST)
    gatherer = LineGatherer(known)
    lines = content.decode("utf-8-sig", errors="replace").splitlines()
    if len(lines) > LINES_AT_MOST:
        raise ValueError(f"it has more than {LINES_AT_MOST:,} lines")
    number, at = 0, NOT_KNOWN
    for number, line in enumerate(lines, start=1):
        for text in gatherer.put(line):
            yield text, f"{path.name}:{number}"
        if gatherer.at != at:
            at = gatherer.at
            yield Stamp(at)
    for text in gatherer.rest():
        yield text, f"{path.name}:{number}"
    yield from gatherer.typed.problems(path.name)
    if lines and not content.endswith((b"\n", b"\r")):
        yield from _cut(lines[-1], known or (), Where(path.name, number))


def _cut(last: str, known: Collection[str], where: Where) -> Iterator[Problem]:
    """A last line without an end that may be the beginning of a longer code of the job, if it was cut off."""
    text = plain_signs(last).upper()
    if longer := next((code for code in known if code != text and text and code.startswith(text)), ""):
        message = f"the last line has no end: {text} may be the beginning of a longer code, such as {longer}"
        hint = "if the file was cut off, scan that tag again; else end the file with a new line"
        yield warning("scan-line-cut", message, where, hint)


def _pictures(path: Path, *, is_pdf: bool) -> Iterator[Found]:
    content = read_plain(path, FILE_BYTES_AT_MOST)
    pictures = page_pictures(content, PDF_DPI, PAGES_AT_MOST) if is_pdf else [open_picture(content)]
    for number, picture in enumerate(pictures, start=1):
        source = f"{path.name} page {number}" if is_pdf else path.name
        for code in _row_by_row(read_codes(picture, PICTURE_DPI)):
            yield code.text, source


def _row_by_row(codes: Iterable[Decoded]) -> list[Decoded]:
    """Codes in reading order, row by row from the left: units are rebuilt in print order."""
    rows: list[list[Decoded]] = []
    for code in sorted(codes, key=_middle):
        if rows and _middle(code) - _middle(rows[-1][0]) < SAME_ROW * code.height:
            rows[-1].append(code)
        else:
            rows.append([code])
    return [code for row in rows for code in sorted(row, key=lambda code: code.x)]


def _middle(code: Decoded) -> float:
    return code.y + code.height / 2
