"""Faces in documents: their files as reportlab reads them, which font shows a text, and by which codes.

Takes a TrueType file; gives texts as PDF strings. reportlab numbers characters beyond ASCII by their first
use in a document. Here each has one number in its face, always, so that pages drawn in any order, or by two
processes, have the same bytes. The price is a second font in documents with rare characters. The numbering
rests on reportlab's own records (`splitString`, `state.subsets`), hence its pin.
"""

from functools import cache, lru_cache
from itertools import groupby
from typing import Any

from tagmaker.draw.marks import FaceFile

__all__ = ["CODES", "LAST_OF_ASCII", "SPACE", "NumberedFace", "numbered", "read_face"]

CODES = 256  # of a font
SPACE, NO_BREAK = 32, 160
LAST_OF_ASCII = 127
COMMON = (*range(NO_BREAK, 0x100), *range(0x2190, 0x2194), *range(0x2010, 0x2213))
"""Latin-1's signs, arrows, dashes, quotes and the like: in a face's first font, which most texts keep to."""


@cache
def read_face(path: str) -> Any:
    """A TrueType file as reportlab has it; what is measured is so what is drawn."""
    from reportlab.pdfbase.ttfonts import TTFont  # noqa: PLC0415 — heavy, and `switches` measures nothing

    return TTFont(f"tagmaker-{path}", path)


@cache
def numbered(face: FaceFile) -> "NumberedFace":
    """A face with its signs numbered."""
    return NumberedFace(face)


class _Numbering:
    """Stands in for a document: reportlab keeps its numbering per document."""


class NumberedFace:
    """A face as reportlab has it, its substitute glyphs in place and its signs numbered."""

    def __init__(self, face: FaceFile) -> None:
        self.name = face.name
        self.font = read_face(face.path)
        for character, glyph in face.glyphs:
            self.font.face.charToGlyph[ord(character)] = glyph
        # all characters are numbered at once, common ones first; ASCII keeps its own codes in every font
        glyphs = self.font.face.charToGlyph
        signs = dict.fromkeys([*(sign for sign in COMMON if sign in glyphs), *sorted(glyphs)])
        numbering = _Numbering()
        self.font.splitString("".join(map(chr, signs)), numbering)
        state = self.font.state.pop(numbering)
        self.fonts: list[list[int]] = state.subsets
        self.numbers: dict[int, int] = {**state.assignments, NO_BREAK: SPACE}
        own = {sign: _escaped(number) for sign, number in self.numbers.items() if number < CODES}
        self.first = str.maketrans({chr(sign): code for sign, code in own.items()})
        self.in_first = frozenset(map(chr, own))
        self.shown = lru_cache(maxsize=8192)(self._shown)
        self.width = lru_cache(maxsize=8192)(self._width)

    def _width(self, text: str) -> float:
        """Its width in em."""
        return float(self.font.stringWidth(text, 1.0))

    def _shown(self, text: str) -> list[tuple[str, str]]:
        """The text in pieces: the name of a font of the document, and the text as that font's PDF string."""
        if self.in_first.issuperset(text):
            return [(f"{self.name}+0", f"({text.translate(self.first)})")]
        numbers = [self.numbers.get(ord(sign), 0) for sign in text]
        return [
            (f"{self.name}+{font}", f"({''.join(_escaped(number % CODES) for number in piece)})")
            for font, piece in groupby(numbers, key=lambda number: number // CODES)
        ]


def _escaped(code: int) -> str:
    """A code as a PDF string has it."""
    sign = chr(code)
    return sign if SPACE <= code < LAST_OF_ASCII and sign not in "()\\" else f"\\{code:03o}"
