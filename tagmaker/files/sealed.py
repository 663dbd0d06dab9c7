"""A list of files that keeps its own digest: that of its bytes with zeros in the digest's place.

A JSON text with the entry `"name": "digest"` is sealed as it is written, and shows later whether it was
edited.
"""

import hashlib
from collections.abc import Callable, Iterator
from typing import Final

__all__ = ["BLANK", "is_sealed", "sealed", "sealed_pieces"]

BLANK: Final = "0" * 64
"""In the place of a file's own digest while that is made."""


def sealed(blank: bytes, name: str) -> bytes:
    """The same bytes with the file's own digest in place of the zeros."""
    return b"".join(sealed_pieces(lambda: iter([blank]), name))


def sealed_pieces(blank: Callable[[], Iterator[bytes]], name: str) -> Iterator[bytes]:
    """The same pieces of a file with its own digest in place of the zeros, which are in the first piece.

    `blank` gives the pieces, twice, so that memory never holds the whole.
    """
    digest = hashlib.sha256()
    for piece in blank():
        digest.update(piece)
    entry = _entry(name, digest.hexdigest())
    for number, piece in enumerate(blank()):
        yield piece if number else piece.replace(_entry(name, BLANK), entry, 1)


def is_sealed(content: bytes, name: str, digest: str) -> bool:
    """Whether a file's bytes are those that were written."""
    entry = _entry(name, digest)
    before, whole = content.find(entry), memoryview(content)
    if before < 0:
        return False
    blank = hashlib.sha256(whole[:before])  # piece by piece: a copy of a campus takes 50 MB
    blank.update(_entry(name, BLANK))
    blank.update(whole[before + len(entry) :])
    return blank.hexdigest() == digest


def _entry(name: str, digest: str) -> bytes:
    """The place of the file's own digest as it is in the file."""
    return f'"{name}": "{digest}"'.encode()
