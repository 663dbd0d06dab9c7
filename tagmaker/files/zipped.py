"""Files as one ZIP, piece by piece: nothing is put on disk, and memory holds one piece.

The same files give the same bytes: the ZIP has no times of its own.
"""

import hashlib
import zipfile
from collections.abc import Iterable, Iterator
from pathlib import Path
from typing import IO, cast

from tagmaker.files.plain import pieces_of

__all__ = ["OtherContent", "zip_pieces"]


class OtherContent(Exception):
    """A file is not what it was to be, seen when most of it had been sent."""


class _Sink:
    """What a ZIP is written to: it cannot go back, and gives up what it was given."""

    def __init__(self) -> None:
        self.pieces: list[bytes] = []
        self.size = 0

    def write(self, piece: bytes) -> int:
        self.pieces.append(bytes(piece))
        self.size += len(piece)
        return len(piece)

    def tell(self) -> int:
        return self.size

    def flush(self) -> None:
        """Nothing waits here."""

    def taken(self) -> bytes:
        pieces, self.pieces = self.pieces, []
        return b"".join(pieces)


def zip_pieces(files: Iterable[tuple[str, Path, str]]) -> Iterator[bytes]:
    """A ZIP of files, each with its name in it, its path, and its SHA-256 ("" = any).

    Raises OtherContent, or OSError, where a file is not that: what was sent before is then no whole ZIP.
    """
    sink = _Sink()
    with zipfile.ZipFile(cast("IO[bytes]", sink), "w", zipfile.ZIP_DEFLATED) as archive:
        for name, path, expected in files:
            digest = hashlib.sha256()
            entry = zipfile.ZipInfo(name)
            entry.compress_type = zipfile.ZIP_DEFLATED
            with archive.open(entry, "w", force_zip64=True) as target:
                for piece in pieces_of(path):
                    digest.update(piece)
                    target.write(piece)
                    yield sink.taken()
            if expected and digest.hexdigest() != expected:
                raise OtherContent(name)
            yield sink.taken()
    yield sink.taken()
