"""How a page is read aloud: stretches of its operators, and the elements that they belong to.

Takes what is drawn as it is drawn; puts marks round stretches of operators (ISO 32000-1, 14.6 [memory]) and
gives elements in the order of drawing. Stretches are numbered only when their page is whole: ink that is made
before it is on a page has a sign in place of each number.
"""

from collections.abc import Sequence
from itertools import groupby
from typing import get_args

import msgspec
from msgspec.structs import replace

from tagmaker.draw.marks import Element, Reading, Role, Text

__all__ = ["Before", "Kid", "Reader", "gathered", "numbered_stretches", "packed", "unpacked"]

Kid = int | Element | Reading
DECODER = msgspec.msgpack.Decoder(tuple[Kid, ...])
NUMBER = "\1"  # in place of a stretch's number; no operator holds one, as texts have it escaped
"""Parts that hold parts: what is not one of them is content itself."""
WHOLE = frozenset({"Figure", "Artifact"})
"""Parts that are one thing with all that is in them."""
CELLS = frozenset({"TH", "TD"})
"""Parts that are there though nothing is in them: each row of a table has as many."""
BEGIN = {role: f"/{role} <</MCID {NUMBER}>> BDC" for role in get_args(Role)}
AFTER = {role: f"EMC\n{begin}" for role, begin in BEGIN.items()}
"""How a stretch begins, and how it does right after another."""
LINE = 1.3  # em, more than from a line of a paragraph to the next
SHOWN = ") Tj ET"  # how a text ends
Before = tuple[list[Kid], list[Kid], str]


class Reader:
    """The elements of a page or of ink so far."""

    def __init__(self, lines: list[str]) -> None:
        self.lines = lines
        self.kids: list[Kid] = []  # of the part that is being drawn
        self.fields: list[Kid] = self.kids  # where form fields go
        self.role = ""  # of the part that texts and shapes belong to; none: each text is a paragraph
        self.opened = ""  # the stretch that is open
        self.last: Text | None = None
        self.line = -1  # where the part's or paragraph's last text is
        self.stretches = 0

    def text(self, mark: Text) -> None:
        """A text is next; one right below the one before it, and set like it, goes on with its paragraph."""
        last = self.last
        if self.role:
            if self.opened != "own":
                self._own()
            if self.line >= 0:
                self._space()
        elif self.opened == "P" and last and _goes_on(mark, last):
            self._space()
        else:
            self.kids.append(Element("P", "", (self._begin("P"),)))
        self.last, self.line = mark, len(self.lines)

    def shape(self) -> None:
        """A line or an area is next: decoration, unless it is in a part."""
        if self.role:
            if self.opened != "own":
                self._own()
        elif self.opened != "Artifact":
            self._artifact()

    def symbol(self, text: str) -> None:
        """A symbol is next: a figure that says its text."""
        if self.role in WHOLE:
            if self.opened != "own":
                self._own()
        else:
            self.kids.append(Element("Figure", text, (self._begin("Figure"),)))

    def field(self, number: int) -> None:
        """A form field, by its number on the page from 0; never within a figure, whose parts are not read."""
        self.fields.append(-1 - number)

    def drawn(self, kids: bytes, stretches: int, field: int) -> None:
        """Ink of so many stretches is next; the page's next field is of that number."""
        self.end()
        self.kids.append(Reading(self.stretches, field, unpacked(kids)))
        self.stretches += stretches

    def enter(self, role: Role) -> Before | None:
        """A part begins; what to give back where it ends."""
        if self.role in WHOLE:
            return None
        self.end()
        before = self.kids, self.fields, self.role
        self.kids, self.role, self.line = [], "" if role == "TR" else role, -1
        self.fields = [] if role in WHOLE else self.kids
        return before

    def leave(self, role: Role, alt: str, before: Before | None) -> None:
        """The part ends."""
        if before is None:
            return
        self.end()
        kids, fields = self.kids, self.fields
        self.kids, self.fields, self.role = before
        self.line = -1
        if role != "Artifact" and (kids or role in CELLS):
            self.kids.append(Element(role, alt, gathered(kids)))
        if fields is not kids:
            self.fields += fields

    def end(self) -> None:
        """End the stretch that is open."""
        if self.opened:
            self.lines.append("EMC")
            self.opened = ""

    def _own(self) -> None:
        """Begin a stretch of the part's own content."""
        if self.role == "Artifact":
            self._artifact()
        else:
            self.kids.append(self._begin(self.role))
        self.opened = "own"

    def _begin(self, role: str) -> int:
        """Begin a stretch; its number."""
        self.lines.append(AFTER[role] if self.opened else BEGIN[role])
        self.opened = role
        self.stretches += 1
        return self.stretches - 1

    def _artifact(self) -> None:
        self.lines.append("EMC\n/Artifact BMC" if self.opened else "/Artifact BMC")
        self.opened = "Artifact"

    def _space(self) -> None:
        """A space after the text before: lines that are read as one have their words apart."""
        text = self.lines[self.line]
        if text.endswith(SHOWN):
            self.lines[self.line] = f"{text[: -len(SHOWN)]} {SHOWN}"


def gathered(kids: Sequence[Kid]) -> tuple[Kid, ...]:
    """The same, with rows that follow each other in a table; the last cell of a short row goes to its end."""
    if not any(map(_is_row, kids)):
        return tuple(kids)
    found: list[Kid] = []
    for are_rows, run in groupby(kids, _is_row):
        own = tuple(run)
        found += [_table(own)] if are_rows else own
    return tuple(found)


def packed(kids: tuple[Kid, ...]) -> bytes:
    """Elements as bytes: a campus has 150,000 that wait for their pages, and as records they take 35 MB."""
    return msgspec.msgpack.encode(kids)


def unpacked(kids: bytes) -> tuple[Kid, ...]:
    """The same elements again."""
    return DECODER.decode(kids)


def _is_row(kid: Kid) -> bool:
    """Whether it is a row of a table."""
    return isinstance(kid, Element) and kid.role == "TR"


def _table(kids: Sequence[Kid]) -> Element:
    """Rows as a table."""
    rows = [kid for kid in kids if isinstance(kid, Element)]
    columns = max(len(row.kids) for row in rows)
    return Element("Table", "", tuple(_widened(row, columns - len(row.kids)) for row in rows))


def _widened(row: Element, by: int) -> Element:
    """A row whose last cell goes over so many more columns."""
    last = row.kids[-1]
    if not by or not isinstance(last, Element):
        return row
    return replace(row, kids=(*row.kids[:-1], replace(last, columns=1 + by)))


def _goes_on(mark: Text, last: Text) -> bool:
    """Whether a text is the next line of a paragraph."""
    is_below = mark.x == last.x and mark.size == last.size and 0 < mark.y - last.y < LINE * mark.size
    return is_below and mark.face == last.face and mark.align == last.align


def numbered_stretches(operators: str) -> str:
    """The operators of a whole page with their stretches numbered from 0."""
    first, *rest = operators.split(NUMBER)
    return first + "".join([f"{number}{piece}" for number, piece in enumerate(rest)])
