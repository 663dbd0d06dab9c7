"""A document's objects and its file: reportlab's own as they are, many small ones packed together.

Takes objects as text; gives the bytes of a PDF 1.7 file. What a screen reader needs, and form fields, are a
dozen small objects for every one that is drawn: packed by the hundred (ISO 32000-1, 7.5.7 and 7.5.8 [memory])
they take a tenth of the room. reportlab keeps the fonts, the catalog and the numbers.
"""

import zlib
from struct import Struct
from typing import Any

__all__ = ["Objects", "pdf_text"]

HEAD = b"%PDF-1.7\n%\xe2\xe3\xcf\xd3\n"
PACKING = 5  # of nine ways to pack: two thirds of the time of the usual one, and 1 % more bytes
MANY = 300  # objects for which a stream is begun; those of one page stay in one
FREE, WHOLE, PACKED = 0, 1, 2  # kinds of an entry of the table of places
ENTRY = Struct(">BLH")  # kind, place in the file or number of the stream, place in the stream
UP = 12  # a predictor: rows are kept as their differences from the row above, ISO 32000-1 table 10 [memory]
ESCAPES = str.maketrans({"\\": "\\\\", "(": "\\(", ")": "\\)", "\n": "\\n"})
ESCAPED = frozenset(map(chr, ESCAPES))


class Objects:
    """The objects of a document; a number is taken before its object is there, for others to refer to."""

    def __init__(self, document: Any) -> None:
        self.document = document
        self.whole: dict[int, bytes] = {}
        self.waiting: dict[int, str] = {}  # to be packed
        self.table = bytearray(ENTRY.pack(FREE, 0, 0xFFFF))  # an entry for each number

    def number(self) -> int:
        """The next number."""
        self.document.objectcounter += 1
        return int(self.document.objectcounter)

    def put(self, number: int, text: str) -> None:
        """An object to be packed."""
        self.waiting[number] = text

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
        if len(self.waiting) >= MANY:
            self._pack()

    def file(self) -> bytes:
        """The whole file."""
        document = self.document
        document.Catalog.Outlines = None
        names = {"Root": document.Reference(document.Catalog), "Info": document.Reference(document.info)}
        links = "".join(f"/{name} {each.format(document).decode()} " for name, each in names.items())
        self._pack()
        parts, end = [HEAD], len(HEAD)
        number = 0
        while number < document.objectcounter:  # an object's text may ask for more objects
            number += 1
            if self._is_missing(number):
                content = self._content(number)
                self._enter(number, WHOLE, end, 0)
                parts.append(b"%d 0 obj\n%b\nendobj\n" % (number, content))
                end += len(parts[-1])
        digest = document.signature.hexdigest()
        parts.append(self._table(number + 1, end, f"{links}/ID [ <{digest}> <{digest}> ]"))
        return b"".join(parts)

    def _enter(self, number: int, kind: int, place: int, at: int) -> None:
        """Note in the table where an object is."""
        missing = (number + 1) * ENTRY.size - len(self.table)
        if missing > 0:
            self.table += bytes(missing)
        ENTRY.pack_into(self.table, number * ENTRY.size, kind, place, at)

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
        """Put all that waits into one stream."""
        if not self.waiting:
            return
        numbers = sorted(self.waiting)
        texts = [self.waiting[number] for number in numbers]
        places, at = [], 0
        for number, text in zip(numbers, texts, strict=True):
            places.append(f"{number} {at}")
            at += len(text) + 1
        index = " ".join(places) + "\n"
        packed = zlib.compress((index + "\n".join(texts)).encode("latin-1"), PACKING)
        self.document.updateSignature(packed)
        head = f"/Type /ObjStm /N {len(numbers)} /First {len(index)} /Filter /FlateDecode"
        stream = self.stream(head, packed)
        for place, number in enumerate(numbers):
            self._enter(number, PACKED, stream, place)
        self.waiting.clear()

    def _table(self, number: int, end: int, trailer: str) -> bytes:
        """The table of places as the file's last object, and where it is."""
        self._enter(number, WHOLE, end, 0)
        packed = zlib.compress(_differences(bytes(self.table)))
        rows = f"/Filter /FlateDecode /DecodeParms << /Predictor {UP} /Columns {ENTRY.size} >>"
        head = f"/Type /XRef /Size {number + 1} /W [ 1 4 2 ] {trailer} {rows}"
        return b"%d 0 obj\n<< %b /Length %d >>\nstream\n%b\nendstream\nendobj\nstartxref\n%d\n%%%%EOF\n" % (
            number,
            head.encode("latin-1"),
            len(packed),
            packed,
            end,
        )


def _differences(table: bytes) -> bytes:
    """Each entry less the one before it, as PNG's filter "up" has it: they pack into a tenth of the room."""
    size = ENTRY.size
    less = bytes((now - before) & 0xFF for now, before in zip(table, bytes(size) + table, strict=False))
    return b"".join([b"\2" + less[start : start + size] for start in range(0, len(less), size)])


def pdf_text(text: str) -> str:
    """A text as a PDF's dictionaries have it."""
    if text.isascii() and (text.isprintable() or text.replace("\n", "").isprintable()):
        return f"({text})" if ESCAPED.isdisjoint(text) else f"({text.translate(ESCAPES)})"
    return f"<FEFF{text.encode('utf-16-be').hex().upper()}>"
