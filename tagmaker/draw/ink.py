"""Marks to the operators of a page, written out as text: reportlab's calls took ten times as long.

Takes pages of marks; gives packed operators, the fields, how the page is read, and the characters beyond
ASCII of each face. A page's own unit is made the millimetre, y downwards, so that the numbers of marks are
written as they are. Marks can also become ink before they are on a page (`drawn`): ink waits on disk, and
marks would take longer to send to another process than to make there. It is packed once, with its page: each
label by itself took as long as all its operators.
"""

import hashlib
import zlib
from collections.abc import Callable, Iterable, Iterator
from functools import cache, lru_cache
from typing import Any, SupportsBytes

from msgspec import Struct
from msgspec.structs import replace

from tagmaker.draw.fonts import NumberedFace, numbered
from tagmaker.draw.marks import (
    Bars,
    Begin,
    Drawn,
    End,
    FaceFile,
    Field,
    Group,
    Line,
    Mark,
    Page,
    Picture,
    Polygon,
    Rect,
    Text,
    flat,
)
from tagmaker.draw.reading import Before, Kid, Reader, gathered, numbered_stretches, packed

__all__ = [
    "MM",
    "Inked",
    "Pen",
    "Put",
    "begun",
    "dark_cells",
    "drawn",
    "ink_of",
    "ink_page",
    "kept",
    "put_away",
]

Signs = tuple[tuple[str, frozenset[str]], ...]
"""Of faces by name, the signs beyond ASCII that are used."""
Put = Callable[[bytes], SupportsBytes]
"""Has bytes wait, and gives what they are taken from again; `bytes` itself has them wait in memory."""
Runs = tuple[tuple[int, int, int, int], ...]
MM = 72 / 25.4  # points a millimetre
SHARED = 200  # runs of a symbol whose operators are shared: that of a tag has some 90
DIGITS = 32  # of a picture's name
PACKING = 5  # of nine ways to pack a page: two thirds of the time of the usual one, 8 % more bytes at most
HAIR = 0.004  # of a cell: more than the rounding of places, less than a renderer shows as grey
HANDLE = 1 - 0.4472  # of a rounded corner's radius: how far a curve's handle is from where the curve begins


class Inked(Struct, frozen=True):
    """A page drawn: its size in mm, packed operators, fields; its faces with their signs beyond ASCII.

    `kids` say in which order its stretches and fields are read, and as what; `pictures` are PNG by name.
    """

    width: float
    height: float
    stream: bytes
    fields: tuple[Field, ...]
    signs: dict[str, frozenset[str]]
    kids: tuple[Kid, ...]
    pictures: dict[str, bytes] = {}


def ink_page(page: Page, faces: Iterable[FaceFile]) -> Inked:
    """A page as operators, its texts in these faces."""
    scale_x, scale_y, dx, dy = page.adjust or (1.0, 1.0, 0.0, 0.0)
    pen = Pen(faces)
    pen.add(f"{MM * scale_x:.8f} 0 0 {-MM * scale_y:.8f} {MM * dx:.5f} {MM * (page.height - dy):.5f} cm")
    pen.draw(page.marks)
    pen.finish()
    stream = zlib.compress(numbered_stretches("\n".join(pen.lines)).encode("latin-1"), PACKING)
    signs = {name: frozenset(used) for name, used in pen.signs.items()}
    kids = gathered(pen.reader.kids)
    return Inked(page.width, page.height, stream, tuple(pen.fields), signs, kids, pen.pictures)


def drawn(marks: Iterable[Mark], faces: Iterable[FaceFile]) -> tuple[Mark, ...]:
    """Marks as ink, which is quickly sent to another process, and their fields."""
    pen = Pen(faces)
    marks = list(marks)
    pen.draw(marks)
    return (ink_of(pen, marks), *pen.fields)


def ink_of(pen: "Pen", marks: Iterable[Mark]) -> Drawn:
    """What a pen drew of these marks, as ink."""
    pen.finish()
    signs = _shared(tuple((name, frozenset(used)) for name, used in sorted(pen.signs.items())))
    operators = "\n".join(pen.lines).encode("latin-1")
    kids, stretches = packed(gathered(pen.reader.kids)), pen.reader.stretches
    return Drawn(operators, signs, tuple(kept(marks)), kids, stretches, len(pen.fields))


def put_away(marks: Iterable[Mark], put: Put) -> tuple[Mark, ...]:
    """The marks with the operators of ink where `put` has them wait."""
    return tuple(
        replace(mark, operators=put(bytes(mark.operators))) if isinstance(mark, Drawn) else mark
        for mark in marks
    )


@lru_cache(maxsize=1024)
def _shared(signs: Signs) -> Signs:
    """The same record for all that have these signs: a campus has 30,000 labels."""
    return signs


@lru_cache(maxsize=8192)
def _beyond_ascii(text: str) -> frozenset[str]:
    """The signs of a text beyond ASCII."""
    return frozenset(sign for sign in text if not sign.isascii())


def kept(marks: Iterable[Mark]) -> Iterator[Mark]:
    """The marks that are asked for after drawing: main lines, and symbols as the one area that they cover."""
    for mark in marks:
        if isinstance(mark, Text):
            if mark.role == "main":
                yield mark
        elif isinstance(mark, Bars):
            yield Bars(mark.x, mark.y, mark.cell_width, mark.cell_height, ((0, 0, *mark.cells),), mark.text)
        elif isinstance(mark, Group):
            yield from kept(flat([mark]))


class _Cells(dict[tuple[int, int, int, int], str]):
    """Runs of cells as operators, each written once: small symbols share most of theirs.

    A run is a hair less than its cells: renderers without grey fill every dot that an edge touches, and an
    edge on a dot's own border, or off it by rounding, would add a dot to each module. `low` is how much less
    in height: nothing for bars, whose cells are as high as the symbol.
    """

    def __init__(self, low: float) -> None:
        self.low = low
        self.size = cache(self._size)

    def __missing__(self, run: tuple[int, int, int, int]) -> str:
        column, row, wide, high = run
        text = self[run] = f"{column} {row} {self.size(wide, high)}"
        return text

    def of(self, runs: Runs) -> Iterable[str]:
        """A symbol's dark cells; those of a large one are written: it has more than are at hand."""
        if len(runs) <= SHARED:
            return map(self.__getitem__, runs)
        size = self.size
        return [f"{column} {row} {size(wide, high)}" for column, row, wide, high in runs]

    def _size(self, wide: int, high: int) -> str:
        return f"{wide - HAIR} {high - self.low} re"


CELLS = _Cells(HAIR)
BARS = _Cells(0)


def _cells_of(mark: Bars) -> _Cells:
    """A QR code has square cells."""
    return CELLS if mark.cell_width == mark.cell_height else BARS


def dark_cells(mark: Bars) -> Iterable[str]:
    """A symbol's dark cells as operators, in its own unit."""
    return _cells_of(mark).of(mark.runs)


def begun(mark: Text, face: NumberedFace) -> str:
    """How a text begins: upright again on a page whose y runs downwards, from its left end."""
    x = mark.x
    if mark.align != "left":
        x -= face.width(mark.text) * mark.size / (2 if mark.align == "center" else 1)
    return f"BT 1 0 0 -1 {x:.4f}"


class Pen:
    """Writes the operators of one page; what is set already (inks, line, dashes, font) is not set again."""

    def __init__(self, faces: Iterable[FaceFile]) -> None:
        self.faces = {face.name: numbered(face) for face in faces}
        self.lines: list[str] = []
        self.reader = Reader(self.lines)
        self.parts: list[tuple[Begin, Before | None]] = []  # that are open
        self.fields: list[Field] = []
        self.pictures: dict[str, bytes] = {}
        self.awaited = 0  # fields that belong to ink before them
        self.signs: dict[str, set[str]] = {}
        self.add = self.lines.append  # looked up once: it is called for every operator of a campus
        self.fill: float = 0.0
        self.stroke: tuple[float, float, tuple[float, ...]] | None = None
        self.font: tuple[str, float] | None = None

    def draw(self, marks: Iterable[Mark]) -> None:
        """Marks in their order."""
        for mark in marks:
            WAYS[type(mark)](self, mark)

    def finish(self) -> None:
        """End the last stretch; a part that is left open would take in what is no part of it."""
        self.reader.end()
        if self.parts:
            raise ValueError(f"a part is not ended: {self.parts[-1][0]}")

    def group(self, mark: Group) -> None:
        """Marks that move together: only the origin is moved."""
        self.reader.end()
        before = self.fill, self.stroke, self.font
        self.add(f"q 1 0 0 1 {mark.x:.4f} {mark.y:.4f} cm")
        self.draw(mark.marks)
        self.reader.end()
        self.add("Q")
        self.fill, self.stroke, self.font = before

    def begin(self, mark: Begin) -> None:
        """Marks that are read as one thing follow."""
        self.parts.append((mark, self.reader.enter(mark.role)))

    def end(self, _mark: End) -> None:
        """They are all there."""
        mark, before = self.parts.pop()
        self.reader.leave(mark.role, mark.alt, before)

    def ink(self, grey: float) -> None:
        """The grey of texts and filled shapes."""
        if grey != self.fill:
            self.fill = grey
            self.add(f"{grey:.4g} g")

    def outline(self, width: float, grey: float, dash: tuple[float, ...]) -> None:
        """The width, grey and dashes of lines."""
        if (width, grey, dash) != self.stroke:
            self.stroke = (width, grey, dash)
            self.add(f"{grey:.4g} G {width:.4f} w [{' '.join(f'{length:.4f}' for length in dash)}] 0 d")

    def text(self, mark: Text) -> None:
        """A line of text."""
        self.ink(mark.ink)
        face = self.faces[mark.face]
        if mark.face not in self.signs:
            self.signs[mark.face] = set()
        if not mark.text.isascii():
            self.signs[mark.face].update(_beyond_ascii(mark.text))
        shown = ""
        for font, piece in face.shown(mark.text):
            if (font, mark.size) != self.font:
                self.font = (font, mark.size)
                shown += f"/{font} {mark.size:.5f} Tf "
            shown += f"{piece} Tj "
        self.reader.text(mark)
        self.add(f"{begun(mark, face)} {mark.y:.4f} Tm {shown}ET")

    def rect(self, mark: Rect) -> None:
        """A rectangle, begun at its lower left corner, from where its dashes are counted."""
        self.reader.shape()
        if mark.line > 0:
            self.outline(mark.line, mark.ink, mark.dash)
        if mark.fill is not None:
            self.ink(mark.fill)
        how = {(False, False): "n", (False, True): "f", (True, False): "S", (True, True): "B"}[
            mark.line > 0, mark.fill is not None
        ]
        if mark.radius:
            self.add(_rounded(mark) + how)
        else:
            place = f"{mark.x:.4f} {mark.y + mark.height:.4f} {mark.width:.4f} {-mark.height:.4f}"
            self.add(f"{place} re {how}")

    def line(self, mark: Line) -> None:
        """A straight line."""
        self.reader.shape()
        self.outline(mark.width, mark.ink, mark.dash)
        self.add(f"{mark.x1:.4f} {mark.y1:.4f} m {mark.x2:.4f} {mark.y2:.4f} l S")

    def polygon(self, mark: Polygon) -> None:
        """A closed filled shape."""
        self.reader.shape()
        self.ink(mark.fill)
        first, *rest = (f"{x:.4f} {y:.4f}" for x, y in mark.points)
        self.add(f"{first} m " + "".join(f"{point} l " for point in rest) + "h f")

    def bars(self, mark: Bars) -> None:
        """One path for the whole symbol, so that no hairline shows between its cells; its unit is a cell."""
        self.reader.symbol(mark.text)
        self.ink(0.0)
        x, y = mark.x + mark.cell_width * HAIR / 2, mark.y + mark.cell_height * _cells_of(mark).low / 2
        self.add(f"q {mark.cell_width:.6f} 0 0 {mark.cell_height:.6f} {x:.4f} {y:.4f} cm")
        self.lines.extend(dark_cells(mark))
        self.add("f Q")

    def picture(self, mark: Picture) -> None:
        """A picture, upright again; the same one on several pages has the same name."""
        self.reader.shape()
        name = f"P{hashlib.sha256(mark.png).hexdigest()[:DIGITS]}"
        self.pictures[name] = mark.png
        y = mark.y + mark.height
        self.add(f"q {mark.width:.4f} 0 0 {-mark.height:.4f} {mark.x:.4f} {y:.4f} cm /{name} Do Q")

    def field(self, mark: Field) -> None:
        """A form field, which is no operator; a hidden one is not read."""
        if self.awaited:
            self.awaited -= 1
        elif mark.kind != "kept":
            self.reader.field(len(self.fields))
        self.fields.append(mark)

    def ready(self, mark: Drawn) -> None:
        """What is drawn already; it begins with nothing set, as a page and a group do."""
        if (self.fill, self.stroke, self.font) != (0.0, None, None):
            raise ValueError("marks that are drawn already need a page or group of their own")
        self.reader.drawn(mark.kids, mark.stretches, len(self.fields))
        self.awaited += mark.fields
        self.add(bytes(mark.operators).decode("latin-1"))
        for name, signs in mark.signs:
            self.signs.setdefault(name, set()).update(signs)


WAYS: dict[type, Callable[[Pen, Any], None]] = {
    Text: Pen.text,
    Rect: Pen.rect,
    Line: Pen.line,
    Polygon: Pen.polygon,
    Bars: Pen.bars,
    Picture: Pen.picture,
    Field: Pen.field,
    Group: Pen.group,
    Begin: Pen.begin,
    End: Pen.end,
    Drawn: Pen.ready,
}


@lru_cache(maxsize=1024)
def _rounded(mark: Rect) -> str:
    """The path of a rectangle with round corners."""
    left, top, right, bottom = mark.x, mark.y, mark.x + mark.width, mark.y + mark.height
    radius, near = mark.radius, (1 - HANDLE) * mark.radius
    points = (
        ((left + radius, bottom), "m"),
        ((right - radius, bottom), "l"),
        ((right - near, bottom, right, bottom - near, right, bottom - radius), "c"),
        ((right, top + radius), "l"),
        ((right, top + near, right - near, top, right - radius, top), "c"),
        ((left + radius, top), "l"),
        ((left + near, top, left, top + near, left, top + radius), "c"),
        ((left, bottom - radius), "l"),
        ((left, bottom - near, left + near, bottom, left + radius, bottom), "c"),
    )
    return "".join(f"{' '.join(f'{each:.4f}' for each in place)} {how} " for place, how in points) + "h "
