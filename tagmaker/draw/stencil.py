"""The ink of things that are alike: drawn once, and filled in for each with what differs.

Takes the marks of one of them, and which of its texts and symbols differ; gives for the others' texts and
symbols the ink that their own marks would give. Nine of ten labels of a campus are drawn so, in a third of
the time.
"""

from collections.abc import Sequence
from typing import Any

from msgspec import Struct, msgpack
from msgspec.structs import replace

from tagmaker.draw.fonts import NumberedFace, numbered
from tagmaker.draw.ink import Pen, begun, dark_cells, ink_of, kept
from tagmaker.draw.marks import Bars, Drawn, FaceFile, Mark, Text

__all__ = ["Stencil", "stencil"]

HOLE = "\0"  # in place of operators that differ; no operator holds one, as texts have it escaped
CODE = "\0code\0"  # in place of what a symbol says; no text holds one


class _TextHole(Struct, frozen=True):
    """Where a text differs: its face, the operators from its left end to its string, and those after it."""

    face: NumberedFace
    before: str
    after: str

    def filled(self, mark: Any) -> str:
        """The operators of a text in that place."""
        ((_, shown),) = self.face.shown(mark.text)
        return f"{begun(mark, self.face)}{self.before}{shown[:-1]}{self.after}"


class _SymbolHole(Struct, frozen=True):
    """Where a symbol differs."""

    def filled(self, mark: Any) -> str:
        """The symbol's dark cells."""
        return "\n".join(dark_cells(mark))


class Stencil(Struct, frozen=True):
    """Ink with holes: the operators between them, and the packed elements between what symbols say.

    `keeps` are the marks that are asked for after drawing, of those that differ their numbers.
    """

    ink: Drawn
    between: list[str]
    holes: list[_TextHole | _SymbolHole]
    kids: list[bytes]
    keeps: list[Mark | int]

    def filled(self, own: Sequence[Mark], code: str) -> Drawn:
        """The ink with these marks in place of those that differ, in their order; symbols say `code`."""
        first, *others = self.between
        parts = [first]
        for hole, mark, after in zip(self.holes, own, others, strict=True):
            parts += (hole.filled(mark), after)
        keeps = [own[each] if isinstance(each, int) else each for each in self.keeps]
        operators, kids = "".join(parts).encode("latin-1"), msgpack.encode(code).join(self.kids)
        return Drawn(operators, self.ink.signs, tuple(kept(keeps)), kids, self.ink.stretches)


def stencil(marks: Sequence[Mark], differing: Sequence[int], faces: Sequence[FaceFile]) -> Stencil | None:
    """The stencil of marks without fields, of which texts and symbols at these places differ.

    Texts may differ in digits and letters of ASCII. None where one of them is shown by several fonts.
    """
    pen, own = Pen(faces), {face.name: numbered(face) for face in faces}
    holes: list[_TextHole | _SymbolHole] = []
    ends: list[int] = []
    for mark in marks:
        pen.draw((replace(mark, text=CODE) if isinstance(mark, Bars) else mark,))
        ends.append(len(pen.lines))
    ink = ink_of(pen, ())
    for mark, end in reversed([(marks[at], ends[at]) for at in differing]):
        if isinstance(mark, Bars):
            holes.append(_SymbolHole())
            pen.lines[end - 1 - len(mark.runs) : end - 1] = [HOLE]
        elif isinstance(mark, Text):
            hole = _text_hole(mark, own[mark.face], pen.lines[end - 1])
            if hole is None:
                return None
            holes.append(hole)
            pen.lines[end - 1] = HOLE
    numbers = {at: number for number, at in enumerate(differing)}
    keeps = [numbers.get(at, mark) for at, mark in enumerate(marks)]
    between, kids = "\n".join(pen.lines).split(HOLE), ink.kids.split(msgpack.encode(CODE))
    return Stencil(ink, between, holes[::-1], kids, keeps)


def _text_hole(mark: Text, face: NumberedFace, line: str) -> _TextHole | None:
    """The hole in place of a text that was drawn so; what is read as one has a blank after it."""
    (_, shown), *others = face.shown(mark.text)
    if others:
        return None
    before, _, after = line.removeprefix(begun(mark, face)).partition(shown[:-1])
    return _TextHole(face, before, after)
