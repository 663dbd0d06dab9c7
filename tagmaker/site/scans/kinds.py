"""Which kind of file was scanned or photographed: known by its first bytes, whatever its name ends in.

Gives what reads it, or why it is refused and what to do instead. Phones and mail programs name files wrongly,
and some of their formats need decoders that this program does not have.
"""

import codecs
import re
from typing import Literal

from msgspec import Struct

__all__ = ["HEAD_BYTES", "KINDS_HINT", "FileKind", "RefusedKind", "file_kind"]

FileKind = Literal["picture", "pdf", "lines"]
HEAD_BYTES = 4096
PDF_HEAD_BYTES = 1024  # within which a reader of PDFs looks for the first line
KINDS_HINT = "name photos (JPEG, PNG, BMP or WebP), PDFs, or UTF-8 text files with one code per line"
CAMERA_HINT = "set the phone's camera to the most compatible format, or share the photo as JPEG"
PICTURE_HINT = "save or share it as JPEG or PNG"
NAMED_OTHERWISE = {".jpg", ".jpeg", ".png", ".bmp", ".webp", ".pdf", ".heic", ".heif"}
"""Endings of names that promise something else than text."""
CONTROL = re.compile(r"[\x00-\x08\x0e-\x1b\x7f]")

PICTURES = re.compile(
    rb"\xff\xd8\xff|\x89PNG\r\n\x1a\n|RIFF....WEBP|BM.{12}[\x0c\x28\x34\x38\x40\x6c\x7c]\0\0\0", re.DOTALL
)
"""JPEG, PNG, WebP, and BMP with the size of its second header: a tag may begin with BM too."""


class RefusedKind(Struct, frozen=True):
    """Why a kind of file is not read, and what to do instead."""

    fault: str
    hint: str


REFUSED = (
    (rb".{4}ftyp(?:he[ivmx][cvmsx]|hevc|mif1|msf1)", RefusedKind("it is a HEIC photo", CAMERA_HINT)),
    (rb".{4}ftypavi[fs]", RefusedKind("it is an AVIF picture", PICTURE_HINT)),
    (rb".{4}ftyp", RefusedKind("it is a video", "take photos instead")),
    (rb"GIF8", RefusedKind("it is a GIF picture", PICTURE_HINT)),
    (rb"II[*+]\0|MM\0[*+]", RefusedKind("it is a TIFF or raw picture", PICTURE_HINT)),
    (rb"\xff\x0a|\0\0\0\x0cJXL ", RefusedKind("it is a JPEG XL picture", PICTURE_HINT)),
    (rb"\0\0\0\x0cjP  ", RefusedKind("it is a JPEG 2000 picture", PICTURE_HINT)),
    (rb"%!PS", RefusedKind("it is a PostScript file", "save it as PDF")),
    (rb"PK[\x03\x05]", RefusedKind("it is a ZIP file or an office document", KINDS_HINT)),
    (rb"\xff\xfe|\xfe\xff", RefusedKind("it is text in UTF-16", "save it as UTF-8 text")),
)
"""Signatures of files that are refused, the first that matches."""


def file_kind(head: bytes, ending: str) -> FileKind | RefusedKind:
    """What a file is by its first bytes; its name's `ending` only decides where these could be text."""
    if PICTURES.match(head):
        return "picture"
    if _is_pdf(head, ending):
        return "pdf"
    for signature, refused in REFUSED:
        if re.match(signature, head, re.DOTALL):
            return refused
    if b"\0" in head:
        return RefusedKind("it is neither a photo that can be read, nor a PDF, nor text", KINDS_HINT)
    if ending.lower() in NAMED_OTHERWISE and not _is_text(head):
        return RefusedKind("it is not what its name says, or damaged", KINDS_HINT)
    return "lines"


def _is_pdf(head: bytes, ending: str) -> bool:
    """A PDF may begin with something else; text may hold a PDF's first line, so its name decides then."""
    begins = head.removeprefix(codecs.BOM_UTF8).lstrip().startswith(b"%PDF-")
    return begins or (ending.lower() == ".pdf" and b"%PDF-" in head[:PDF_HEAD_BYTES])


def _is_text(head: bytes) -> bool:
    """Whether bytes are the beginning of a text, and more than nothing."""
    try:
        text = codecs.getincrementaldecoder("utf-8")().decode(head)
    except UnicodeDecodeError:
        return False
    return bool(text.strip()) and not CONTROL.search(text)
