"""Faces as a document carries them: the signs that it uses under their numbers, or all for what is typed.

Takes a face and signs; adds its file, its measures and what each code means to the document's objects.
reportlab cuts the glyphs out; what it writes around them took a twentieth of a small job. ISO 32000-1, 9.6 to
9.10 [memory].
"""

import zlib
from collections.abc import Iterable, Iterator, Sequence
from functools import lru_cache
from pathlib import Path
from typing import Any

from tagmaker.draw.fonts import CODES, LAST_OF_ASCII, SPACE, numbered
from tagmaker.draw.marks import FaceFile
from tagmaker.draw.objects import Objects
from tagmaker.files.plain import read_plain

__all__ = ["embed_signs", "embed_whole"]

FACE_BYTES = 10_000_000  # at most, of a typeface's file
FIRST, LAST = 32, 255  # codes of Windows' Latin characters
SYMBOLIC, NONSYMBOLIC, FORCED_BOLD = (
    4,
    32,
    1 << 18,
)  # a font's flags: its own codes, or those of Latin scripts
CUT = "AAAAA"  # begins the name of a font that has a part of its face; a letter for each font follows
BLOCK = 100  # entries of a table of signs at most in one block
TABLE = """/CIDInit /ProcSet findresource begin
12 dict begin
begincmap
/CIDSystemInfo << /Registry (tagmaker) /Ordering (signs) /Supplement 0 >> def
/CMapName /signs def
/CMapType 2 def
1 begincodespacerange
<00> <FF>
endcodespacerange
{blocks}
endcmap
CMapName currentdict /CMap defineresource pop
end
end"""


def embed_signs(objects: Objects, face: FaceFile, signs: Iterable[str]) -> Iterator[tuple[str, int]]:
    """The face's ASCII and these signs, each under its number; the fonts that they take, by their names."""
    own = numbered(face)
    used = {0, *range(SPACE, LAST_OF_ASCII + 1), *map(ord, signs)}
    last = max(own.numbers.get(sign, 0) for sign in used)
    for number, font in enumerate(own.fonts[: last // CODES + 1]):
        codes = tuple(sign if sign in used else 0 for sign in font)
        yield f"{own.name}+{number}", _cut_out(objects, face, codes, f"{CUT}{chr(ord('A') + number)}+")


def embed_whole(objects: Objects, face: FaceFile) -> int:
    """A whole face as a font with the codes of Windows' Latin characters (PDF's WinAnsiEncoding)."""
    content = read_plain(Path(face.path), FACE_BYTES)
    file = objects.stream(f"/Filter /FlateDecode /Length1 {len(content)}", zlib.compress(content))
    signs = [ord(bytes([code]).decode("cp1252", "replace")) for code in range(FIRST, LAST + 1)]
    measures = numbered(face).font.face
    descriptor = _descriptor(objects, measures, "", (file, NONSYMBOLIC))
    return _font(objects, measures, "", (FIRST, signs, descriptor, "/Encoding/WinAnsiEncoding"))


def _cut_out(objects: Objects, face: FaceFile, codes: tuple[int, ...], begin: str) -> int:
    """A font of some of a face's signs, each by its code, 0 for none; its number."""
    length, packed = _glyphs(face, codes)
    file = objects.stream(f"/Filter /FlateDecode /Length1 {length}", packed)
    table = objects.stream("/Filter /FlateDecode", zlib.compress(_signs(codes).encode("ascii")))
    measures = numbered(face).font.face
    flags = SYMBOLIC | measures.flags & FORCED_BOLD
    descriptor = _descriptor(objects, measures, begin, (file, flags))
    return _font(objects, measures, begin, (0, codes, descriptor, f"/ToUnicode {table} 0 R"))


@lru_cache(maxsize=16)
def _glyphs(face: FaceFile, codes: tuple[int, ...]) -> tuple[int, bytes]:
    """The length of a font file with the glyphs of these signs, and the file packed: documents share it."""
    file = numbered(face).font.face.makeSubset(codes)
    return len(file), zlib.compress(file)


def _signs(codes: Sequence[int]) -> str:
    """The table of the signs of a font's codes (ISO 32000-1, 9.10.3)."""
    entries = [f"<{code:02X}> <{sign:04X}>" for code, sign in enumerate(codes) if sign]
    blocks = (entries[at : at + BLOCK] for at in range(0, len(entries), BLOCK))
    return TABLE.format(
        blocks="\n".join("\n".join([f"{len(each)} beginbfchar", *each, "endbfchar"]) for each in blocks)
    )


def _descriptor(objects: Objects, measures: Any, begin: str, file: tuple[int, int]) -> int:
    """What a viewer must know of a face: its measures, the number of its file and its flags; its number."""
    number, (content, flags) = objects.number(), file
    box = " ".join(f"{length:.0f}" for length in measures.bbox)
    objects.put(
        number,
        f"<</Type/FontDescriptor/FontName/{begin}{measures.name.decode('ascii')}/Flags {flags}"
        f"/FontBBox[{box}]/ItalicAngle 0/Ascent {measures.ascent:.0f}/Descent {measures.descent:.0f}"
        f"/CapHeight {measures.capHeight:.0f}/StemV {measures.stemV:.0f}/FontFile2 {content} 0 R>>",
    )
    return number


def _font(objects: Objects, measures: Any, begin: str, codes: tuple[int, Sequence[int], int, str]) -> int:
    """A font whose codes from the first one on are these signs, with its descriptor; its number."""
    number, (first, signs, descriptor, more) = objects.number(), codes
    widths = " ".join(f"{measures.getCharWidth(sign):.0f}" for sign in signs)
    objects.put(
        number,
        f"<</Type/Font/Subtype/TrueType/BaseFont/{begin}{measures.name.decode('ascii')}/FirstChar {first}"
        f"/LastChar {first + len(signs) - 1}/Widths[{widths}]/FontDescriptor {descriptor} 0 R{more}>>",
    )
    return number
