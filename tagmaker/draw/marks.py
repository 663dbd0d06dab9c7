"""What lies on a page: plain marks in millimetres from the page's top left corner, y downwards.

Ink is a grey from 0 (black) to 1 (white). Marks know nothing of boxes or labels; `typeset` and `sheets` make
them, `draw` turns them into ink, and tests compare them in place of pictures.
"""

from collections.abc import Iterable, Iterator
from typing import Literal, SupportsBytes

from msgspec import Struct
from msgspec.structs import replace

__all__ = [
    "Align",
    "Bars",
    "Begin",
    "Drawn",
    "Element",
    "End",
    "FaceFile",
    "Field",
    "FieldKind",
    "Group",
    "Line",
    "Mark",
    "Page",
    "Picture",
    "Polygon",
    "Reading",
    "Rect",
    "Role",
    "Text",
    "TextRole",
    "flat",
    "moved",
    "part",
]

Align = Literal["left", "center", "right"]
TextRole = Literal["", "main", "box", "kind", "unit", "units", "fact", "caution"]
"""A text whose height is checked. "main" is what is read from furthest: a label's letter, a placard's box and
switches; the others are on labels."""
Role = Literal["H1", "H2", "P", "Figure", "TR", "TH", "TD", "Artifact"]
"""What a part of a page is to a screen reader (ISO 32000-1, 14.8.4); an artifact is not read."""
FieldKind = Literal["check", "screen", "text", "kept"]
"""A kept field is hidden and holds a value that comes back with the form; a screen field is a check that no
printer prints."""


class FaceFile(Struct, frozen=True):
    """A typeface to embed: its name, TrueType file, and glyph numbers to use for some characters."""

    name: str
    path: str
    glyphs: tuple[tuple[str, int], ...] = ()


class Text(Struct, frozen=True):
    """A line of text; x is its left end, middle or right end by `align`, y its baseline, size its em.

    `role` marks what must be read from a distance.
    """

    x: float
    y: float
    text: str
    face: str
    size: float
    align: Align = "left"
    ink: float = 0.0
    role: TextRole = ""


class Rect(Struct, frozen=True):
    """A rectangle, filled, outlined or both.

    x and y are its top left corner; `line` is the width of its outline, `radius` rounds its corners.
    """

    x: float
    y: float
    width: float
    height: float
    fill: float | None = None
    line: float = 0.0
    ink: float = 0.0
    radius: float = 0.0
    dash: tuple[float, ...] = ()


class Line(Struct, frozen=True):
    """A straight line of a given width.

    It is dashed where `dash` gives lengths on and off.
    """

    x1: float
    y1: float
    x2: float
    y2: float
    width: float = 0.25
    ink: float = 0.0
    dash: tuple[float, ...] = ()


class Polygon(Struct, frozen=True):
    """A closed filled shape."""

    points: tuple[tuple[float, float], ...]
    fill: float = 0.0


class Bars(Struct, frozen=True):
    """A symbol's dark cells as runs of (column, row, columns, rows), each cell so wide and high.

    x and y are the corner of the first cell, quiet zone not included; `text` is what it must decode to.
    """

    x: float
    y: float
    cell_width: float
    cell_height: float
    runs: tuple[tuple[int, int, int, int], ...]
    text: str

    @property
    def cells(self) -> tuple[int, int]:
        """The columns and rows of a whole symbol, by its last run.

        A QR code is square and has a finder pattern at its foot, of square cells; bars end with a bar.
        """
        column, row, columns, rows = self.runs[-1]
        is_square = self.cell_width == self.cell_height
        return (row + rows if is_square else column + columns), row + rows

    @property
    def size(self) -> tuple[float, float]:
        """Its width and height in mm."""
        columns, rows = self.cells
        return columns * self.cell_width, rows * self.cell_height


class Picture(Struct, frozen=True):
    """A picture, a PNG without an alpha channel, drawn into a rectangle."""

    x: float
    y: float
    width: float
    height: float
    png: bytes


class Field(Struct, frozen=True):
    """A form field.

    `kind` is check, screen (a check that is not printed, its caption as its value), text or kept (hidden,
    with a value); `spoken` is for a screen reader.
    """

    x: float
    y: float
    width: float
    height: float
    kind: FieldKind
    name: str
    spoken: str
    value: str = ""


class Group(Struct, frozen=True):
    """Marks that lie together: their own corner is at x, y."""

    x: float
    y: float
    marks: "tuple[Mark, ...]"


class Begin(Struct, frozen=True):
    """A part begins: marks up to its `End` are read as one thing, such as a heading or a cell of a table.

    Outside of parts each text is a paragraph, each symbol a figure, and all else is decoration. `alt` is what
    a screen reader says in place of a figure. Parts may hold parts.
    """

    role: Role
    alt: str = ""


class End(Struct, frozen=True):
    """Here ends the part that began last."""


class Element(Struct, frozen=True, tag=True, array_like=True):
    """A part as it is in ink.

    `kids` are other elements, stretches of a page's operators by number from 0, fields as -1, -2 and on. A
    cell of a table goes over `columns` of it.
    """

    role: str
    alt: str
    kids: "tuple[int | Element | Reading, ...]"
    columns: int = 1


class Reading(Struct, frozen=True, tag=True, array_like=True):
    """Elements in the order in which they are read; the first of their stretches and fields on the page."""

    stretch: int
    field: int
    kids: "tuple[int | Element | Reading, ...]"


class Drawn(Struct, frozen=True):
    """Marks that are ink already: a page's operators, the signs beyond ASCII of each face.

    `kept` are those of the marks that are still asked for: what must be read from a distance, and symbols,
    whose runs are then one that covers them. `kids` say how it is read, packed; `stretches` and `fields` how
    many it has. The fields themselves follow it on the page.
    """

    operators: SupportsBytes
    signs: tuple[tuple[str, frozenset[str]], ...]
    kept: "tuple[Mark, ...]" = ()
    kids: bytes = b""
    stretches: int = 0
    fields: int = 0


Mark = Text | Rect | Line | Polygon | Bars | Picture | Field | Group | Begin | End | Drawn


class Page(Struct, frozen=True):
    """One page of a document, its size and its marks in drawing order.

    `adjust` (scale x, scale y, shift x, shift y) undoes what a printer does to the whole page.
    """

    width: float
    height: float
    marks: tuple[Mark, ...]
    adjust: tuple[float, float, float, float] | None = None


def part(role: Role, marks: Iterable[Mark], alt: str = "") -> tuple[Mark, ...]:
    """The marks as one part."""
    return (Begin(role, alt), *marks, End())


def moved(marks: Iterable[Mark], dx: float, dy: float) -> tuple[Mark, ...]:
    """The same marks, dx to the right and dy down."""
    return tuple(_moved(mark, dx, dy) for mark in marks)


def flat(marks: Iterable[Mark]) -> Iterator[Mark]:
    """The marks, one by one where they lie: those of groups, and the kept ones of ink; no ends of parts."""
    for mark in marks:
        if isinstance(mark, Group):
            yield from moved(flat(mark.marks), mark.x, mark.y)
        elif isinstance(mark, Drawn):
            yield from mark.kept
        elif not isinstance(mark, Begin | End):
            yield mark


def _moved(mark: Mark, dx: float, dy: float) -> Mark:
    """One mark, moved."""
    match mark:
        case Line():
            return replace(mark, x1=mark.x1 + dx, y1=mark.y1 + dy, x2=mark.x2 + dx, y2=mark.y2 + dy)
        case Polygon():
            return replace(mark, points=tuple((x + dx, y + dy) for x, y in mark.points))
        case Begin() | End():
            return mark
        case Drawn():
            raise TypeError("what is drawn already lies where it lies; a group moves it")
        case _:
            return replace(mark, x=mark.x + dx, y=mark.y + dy)
