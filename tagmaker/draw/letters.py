"""Faces in a document: which font of it shows a text, and by which codes."""

from functools import cache, lru_cache
from typing import Any

from tagmaker.marks import FaceFile

__all__ = ["DocumentFace", "document_faces"]

ASCII = "".join(map(chr, range(32, 127)))


@cache
def _font(face: FaceFile) -> Any:
    """A face as reportlab has it, its substitute glyphs in place."""
    from reportlab.pdfbase.ttfonts import TTFont  # noqa: PLC0415 — heavy, and `check` draws nothing

    font = TTFont(f"tagmaker-{face.name}", face.path)
    for character, glyph in face.glyphs:
        font.face.charToGlyph[ord(character)] = glyph
    return font


def document_faces(document: Any, faces: tuple[FaceFile, ...], signs: str) -> "dict[str, DocumentFace]":
    """The faces of a document that will show these signs.

    reportlab numbers a font's signs by their first use: all that will be used come first, in one order, so
    that pages drawn in any order, or by several processes, are the same.
    """
    return {face.name: DocumentFace(document, face, signs) for face in faces}


class DocumentFace:
    """A face within one document."""

    def __init__(self, document: Any, face: FaceFile, signs: str) -> None:
        self.document = document
        self.font = _font(face)
        self.name = face.name
        self.state = self.font._assignState(document)
        self.state.internalName = face.name
        pieces = {sign: self.font.splitString(sign, document)[0] for sign in ASCII + signs}
        self.codes = {sign: _escaped(code) for sign, (subset, code) in pieces.items() if subset == 0}
        self.table = str.maketrans(self.codes)
        self.shown = lru_cache(maxsize=8192)(self._shown)
        self.width = lru_cache(maxsize=8192)(self._width)

    def embed(self) -> None:
        """Have the document carry the face's file."""
        self.document.fontMapping[self.font.fontName] = f"/{self.name}"
        self.document.delayedFonts.append(self.font)

    def _width(self, text: str) -> float:
        return float(self.font.stringWidth(text, 1.0))

    def _shown(self, text: str) -> list[tuple[str, str]]:
        """The text in pieces: the name of a font of the document, and the text as that font's PDF string."""
        if self.codes.keys() >= set(text):
            return [(f"{self.name}+0", f"({text.translate(self.table)})")]
        pieces = self.font.splitString(text, self.document)
        return [(f"{self.name}+{subset}", f"({_escaped(codes)})") for subset, codes in pieces]


def _escaped(codes: bytes) -> str:
    """Codes as they stand in a PDF string."""
    return "".join(
        chr(code) if 32 <= code < 127 and chr(code) not in "()\\" else f"\\{code:03o}" for code in codes
    )
