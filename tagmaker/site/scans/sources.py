"""Texts out of files: photos, PDFs, and lines of text, each with the place that it came from."""

import struct
import zlib
from collections.abc import Iterable, Iterator
from pathlib import Path

from tagmaker.files.plain import is_plain_file, is_there, plain_size, read_plain
from tagmaker.problems import Problem, Where, error
from tagmaker.site.scans.codes import LineGatherer
from tagmaker.symbols.read import Decoded, open_picture, page_pictures, read_codes

__all__ = ["FILE_BYTES_AT_MOST", "HEAD_BYTES", "holds_no_text", "is_lines", "read_file"]

PICTURES = {".jpg", ".jpeg", ".png"}
PDF_DPI = 203.2
PICTURE_DPI = 203.2  # only scales where a code was found, which a photo does not tell
FILE_BYTES_AT_MOST = 200_000_000
TEXT_BYTES_AT_MOST = 20_000_000
LINES_AT_MOST = 100_000
PAGES_AT_MOST = 5_000
HEAD_BYTES = 4096
A_GOOD_HALF = 0.6

BROKEN = (  # what a broken picture or PDF makes of its reader; SyntaxError is Pillow's word for a broken PNG
    OSError, ValueError, RuntimeError, SyntaxError, LookupError, ArithmeticError, MemoryError, EOFError,
    TypeError, AttributeError, struct.error, zlib.error,
)  # fmt: skip

KINDS_HINT = "name photos (.jpg, .png), PDFs (.pdf), or files of text in UTF-8, a code a line"


def is_lines(path: Path) -> bool:
    """Whether a file holds lines of text, in the order in which they were scanned."""
    return path.suffix.lower() not in PICTURES | {".pdf"}


def read_file(path: Path) -> Iterator[tuple[str, str] | Problem]:
    """Every code's text in a file with its source ("walk.pdf page 2"), or the problem with the file."""
    try:
        fault = _fault(path)
        if fault:
            yield error("file-unreadable", fault, Where(str(path)), KINDS_HINT)
        elif is_lines(path):
            yield from _lines(path)
        else:
            yield from _pictures(path)
    except BROKEN as reason:
        yield error("file-unreadable", f"it cannot be read: {reason}", Where(str(path)), KINDS_HINT)


def _fault(path: Path) -> str:
    """Why a file is none that can be read; empty where it may be."""
    if not is_plain_file(path) and not is_there(path):
        return "there is no such file"
    if not is_plain_file(path):
        return "it is a folder, or no plain file"
    if plain_size(path) > FILE_BYTES_AT_MOST:
        return "it is over 200 MB"
    return ""


def holds_no_text(head: bytes) -> bool:
    """Whether a file that begins like this is a picture, a PDF, or anything else but text in UTF-8."""
    return b"\0" in head or head.startswith(b"%PDF")


def _lines(path: Path) -> Iterator[tuple[str, str]]:
    content = read_plain(path, TEXT_BYTES_AT_MOST)
    if holds_no_text(content[:HEAD_BYTES]):
        raise ValueError("it is no text")
    gatherer = LineGatherer()
    lines = content.decode("utf-8-sig", errors="replace").splitlines()
    if len(lines) > LINES_AT_MOST:
        raise ValueError(f"it has more than {LINES_AT_MOST:,} lines")
    number = 0
    for number, line in enumerate(lines, start=1):
        for text in gatherer.put(line):
            yield text, f"{path.name}:{number}"
    for text in gatherer.rest():
        yield text, f"{path.name}:{number}"


def _pictures(path: Path) -> Iterator[tuple[str, str] | Problem]:
    content = read_plain(path, FILE_BYTES_AT_MOST)
    is_pdf = path.suffix.lower() == ".pdf"
    pictures = page_pictures(content, PDF_DPI, PAGES_AT_MOST) if is_pdf else [open_picture(content)]
    for number, picture in enumerate(pictures, start=1):
        source = f"{path.name} page {number}" if is_pdf else path.name
        for code in _row_by_row(read_codes(picture, PICTURE_DPI)):
            yield code.text, source


def _row_by_row(codes: Iterable[Decoded]) -> list[Decoded]:
    """As one reads: codes stand in a row where their middles are less apart than a good half of a code."""
    rows: list[list[Decoded]] = []
    for code in sorted(codes, key=_middle):
        if rows and _middle(code) - _middle(rows[-1][0]) < A_GOOD_HALF * code.height:
            rows[-1].append(code)
        else:
            rows.append([code])
    return [code for row in rows for code in sorted(row, key=lambda code: code.x)]


def _middle(code: Decoded) -> float:
    return code.y + code.height / 2
