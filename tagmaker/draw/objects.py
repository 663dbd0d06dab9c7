"""A document's objects and its file: reportlab's own as they are, many small ones packed together.

Takes objects as text; gives the bytes of a PDF 1.7 file. What a screen reader needs, and form fields, are a
dozen small objects for every one that is drawn: packed by the thousand (ISO 32000-1, 7.5.7 and 7.5.8
[memory]), those beside each other that are most alike, they take a twentieth of the room. reportlab keeps the
fonts, the catalog and the numbers.
"""

import zlib
from collections.abc import Iterable, Iterator, Mapping
from itertools import accumulate, chain
from struct import Struct
from typing import Any

from tagmaker.draw.rows import CELL, differences, filled, in_cells, parameters

__all__ = ["Objects", "pdf_text", "references"]

HEAD = b"%PDF-1.7\n%\xe2\xe3\xcf\xd3\n"
MANY = 2400  # objects for which a stream is begun; those of one page stay in one, pages in one of their own
PLAIN = 0  # columns of what is no rows
ELEMENT = 72  # columns of an element's row: most are a role and two or three numbers
LIST = 2 * CELL  # columns of a list's row: two references, or a key and one
FREE, WHOLE, PACKED = 0, 1, 2  # kinds of an entry of the table of places
ENTRY = Struct(">BLH")  # kind, place in the file or number of the stream, place in the stream
ESCAPES = str.maketrans({"\\": "\\\\", "(": "\\(", ")": "\\)", "\n": "\\n"})
ESCAPED = frozenset(map(chr, ESCAPES))


class Objects:
    """The objects of a document; a number is taken before its object is there, for others to refer to."""

    def __init__(self, document: Any) -> None:
        self.document = document
        self.whole: dict[int, bytes] = {}
        self.waiting: dict[int, str] = {}  # to be packed, as are those below
        self.elements: dict[int, str] = {}
        self.lists: dict[int, str] = {}
        self.pages: dict[int, str] = {}
        self.table = bytearray(ENTRY.pack(FREE, 0, 0xFFFF))  # an entry for each number

    def number(self) -> int:
        """The next number."""
        self.document.objectcounter += 1
        return int(self.document.objectcounter)

    def put(self, number: int, text: str) -> None:
        """An object to be packed."""
        self.waiting[number] = text

    def put_page(self, number: int, text: str) -> None:
        """A page, to be packed with other pages alone: a viewer asks for all before the one that it shows."""
        self.pages[number] = text

    def put_list(self, number: int, *parts: str | Iterable[str]) -> None:
        """A long list to be packed, in texts and rows of cells; each part begins a row."""
        rows = [filled(part if isinstance(part, str) else in_cells(part), LIST) for part in parts]
        self.lists[number] = "".join(rows)

    def stream(self, head: str, content: bytes) -> int:
        """A stream, written as it is; its number. `head` has its entries beside its length."""
        number = self.number()
        self.whole[number] = b"<< %b /Length %d >>\nstream\n%b\nendstream" % (
            head.encode("latin-1"),
            len(content),
            content,
        )
        return number

    def page_ends(self) -> None:
        """Pack what waits, if it is much."""
        if len(self.waiting) + len(self.elements) >= MANY:
            self._pack()

    def file(self) -> Iterator[bytes]:
        """The whole file piece by piece; what was given is no longer kept."""
        document = self.document
        document.Catalog.Outlines = None
        names = {"Root": document.Reference(document.Catalog), "Info": document.Reference(document.info)}
        links = "".join(f"/{name} {each.format(document).decode()} " for name, each in names.items())
        self._pack()
        self._packed(self.pages, PLAIN)
        yield HEAD
        end = len(HEAD)
        number = 0
        while number < document.objectcounter:  # an object's text may ask for more objects
            number += 1
            if self._is_missing(number):
                content = self._content(number)
                self._enter(number, WHOLE, end, 0)
                piece = b"%d 0 obj\n%b\nendobj\n" % (number, content)
                yield piece
                end += len(piece)
        digest = document.signature.hexdigest()
        yield self._table(number + 1, end, f"{links}/ID [ <{digest}> <{digest}> ]")

    def _enter(self, number: int, kind: int, place: int, at: int) -> None:
        """Note in the table where an object is."""
        self._make_room(number)
        ENTRY.pack_into(self.table, number * ENTRY.size, kind, place, at)

    def _make_room(self, number: int) -> None:
        """Have the table reach to a number."""
        missing = (number + 1) * ENTRY.size - len(self.table)
        if missing > 0:
            self.table += bytes(missing)

    def _is_missing(self, number: int) -> bool:
        """Whether the table does not know yet where an object is."""
        at = number * ENTRY.size
        return at >= len(self.table) or self.table[at] == FREE

    def _content(self, number: int) -> bytes:
        """What an object holds; reportlab's are asked for it."""
        if number in self.whole:
            return self.whole.pop(number)
        from reportlab.pdfbase.pdfdoc import format as formatted  # noqa: PLC0415 — heavy

        name = self.document.numberToId[number]
        content = formatted(self.document.idToObject[name], self.document, toplevel=1)
        return content if isinstance(content, bytes) else str(content).encode("latin-1")

    def _pack(self) -> None:
        """Put all that waits into streams: what is alike into rows, all else by its text."""
        long = {number: text for number, text in self.elements.items() if len(text) > ELEMENT}
        others = self.waiting | long
        self._packed({number: others[number] for number in sorted(others, key=others.__getitem__)}, PLAIN)
        short = {number: self.elements[number] for number in self.elements.keys() - long.keys()}
        by_role = sorted(short, key=lambda number: (short[number].partition(" ")[0], number))
        self._packed({number: short[number].ljust(ELEMENT) for number in by_role}, ELEMENT)
        self._packed(self.lists, LIST)
        for each in (self.waiting, self.elements, self.lists):
            each.clear()

    def _packed(self, texts: Mapping[int, str], columns: int) -> None:
        """A stream of objects in their order, each text already of whole rows."""
        if not texts:
            return
        gap, place = ("", f"%-{CELL}d%-{CELL}d{' ' * (columns - LIST)}") if columns else ("\n", "%d %d ")
        ends = accumulate(len(text) + len(gap) for text in texts.values())
        index = "".join([place % each for each in zip(texts, chain((0,), ends), strict=False)])
        content = (index + gap.join(texts.values())).encode("latin-1")
        packed = zlib.compress(differences(content, columns) if columns else content)
        self.document.updateSignature(packed)
        how = parameters(columns) if columns else "/Filter /FlateDecode"
        stream = self.stream(f"/Type /ObjStm /N {len(texts)} /First {len(index)} {how}", packed)
        self._make_room(max(texts))
        for at, number in enumerate(texts):
            ENTRY.pack_into(self.table, number * ENTRY.size, PACKED, stream, at)

    def _table(self, number: int, end: int, trailer: str) -> bytes:
        """The table of places as the file's last object, and where it is."""
        self._enter(number, WHOLE, end, 0)
        packed = zlib.compress(differences(bytes(self.table), ENTRY.size))
        head = f"/Type /XRef /Size {number + 1} /W [ 1 4 2 ] {trailer} {parameters(ENTRY.size)}"
        return b"%d 0 obj\n<< %b /Length %d >>\nstream\n%b\nendstream\nendobj\nstartxref\n%d\n%%%%EOF\n" % (
            number,
            head.encode("latin-1"),
            len(packed),
            packed,
            end,
        )


def pdf_text(text: str) -> str:
    """A text as a PDF's dictionaries have it."""
    if text.isascii() and (text.isprintable() or text.replace("\n", "").isprintable()):
        return f"({text})" if ESCAPED.isdisjoint(text) else f"({text.translate(ESCAPES)})"
    return f"<FEFF{text.encode('utf-16-be').hex().upper()}>"


def references(numbers: Iterable[int]) -> list[str]:
    """Numbers of objects as references."""
    return [f"{number} 0 R" for number in numbers]
