"""What a page really shows, read back from its PDF by pdfium, in millimetres from its top left corner."""

import ctypes
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import pypdfium2
from pypdfium2 import raw

from tagmaker.catalog.faces import all_faces, face
from tagmaker.draw.pdf import draw_pdf
from tagmaker.marks import Bars, Page, Text

MM = 25.4 / 72
TOUCH = 0.01
"""Millimetres by which two boxes may seem to overlap: the PDF's own rounding."""
SOFT_HYPHEN = "\x02"  # pdfium's sign for a hyphen at the end of a line


@dataclass(frozen=True)
class Box:
    """A rectangle of ink."""

    left: float
    top: float
    right: float
    bottom: float

    def overlaps(self, other: "Box") -> bool:
        """Whether two boxes share more than an edge."""
        across = min(self.right, other.right) - max(self.left, other.left)
        down = min(self.bottom, other.bottom) - max(self.top, other.top)
        return across > TOUCH and down > TOUCH

    def holds(self, other: "Box") -> bool:
        """Whether the other box lies within this one."""
        return (
            self.left - TOUCH <= other.left
            and self.top - TOUCH <= other.top
            and other.right <= self.right + TOUCH
            and other.bottom <= self.bottom + TOUCH
        )


@dataclass(frozen=True)
class Printed:
    """A text as drawn in one go: what it says and the box around its glyphs' ink."""

    text: str
    box: Box
    capital_mm: float | None
    """The height of its flat capitals' ink, where it has any."""


def around(boxes: Iterable[Box]) -> Box:
    """The smallest box around others."""
    every = list(boxes)
    return Box(
        min(box.left for box in every),
        min(box.top for box in every),
        max(box.right for box in every),
        max(box.bottom for box in every),
    )


def printed_pages(pages: Sequence[Page]) -> list[list[Printed]]:
    """Every text of every page, read back; no pages give none."""
    if not pages:
        return []
    document = pypdfium2.PdfDocument(draw_pdf("test", "test", pages, all_faces()))
    try:
        return [_texts(page) for page in document]
    finally:
        document.close()


def _texts(page: pypdfium2.PdfPage) -> list[Printed]:
    height = page.get_height()
    text_page = page.get_textpage()
    groups: dict[int, list[tuple[str, Box]]] = {}
    for index in range(text_page.count_chars()):
        if raw.FPDFText_IsGenerated(text_page, index):
            continue
        drawn = raw.FPDFText_GetTextObject(text_page, index)
        sign = chr(raw.FPDFText_GetUnicode(text_page, index))
        left, bottom, right, top = text_page.get_charbox(index)
        box = Box(left * MM, (height - top) * MM, right * MM, (height - bottom) * MM)
        groups.setdefault(ctypes.addressof(drawn.contents), []).append((sign, box))
    return [_printed(group) for group in groups.values()]


def _printed(group: list[tuple[str, Box]]) -> Printed:
    text = "".join("-" if sign == SOFT_HYPHEN else sign for sign, _ in group)
    flat = [box.bottom - box.top for sign, box in group if sign in "BDEFHIKLMNPRTXZ"]
    return Printed(text, around(box for sign, box in group if sign.strip()), min(flat, default=None))


def marked_texts(pages: Iterable[Page]) -> list[list[Text]]:
    """The text marks of every page."""
    return [[mark for mark in page.marks if isinstance(mark, Text)] for page in pages]


def quiet_box(bars: Bars) -> Box:
    """A symbol with its quiet zones: 4 modules around a QR code (ISO/IEC 18004), 10 beside bars (15417)."""
    columns = max(column + wide for column, _, wide, _ in bars.runs)
    rows = max(row + high for _, row, _, high in bars.runs)
    across, down = (4, 4) if rows > 1 else (10, 0)
    return Box(
        bars.x - across * bars.cell_width,
        bars.y - down * bars.cell_height,
        bars.x + (columns + across) * bars.cell_width,
        bars.y + (rows + down) * bars.cell_height,
    )


def overlapping(texts: Sequence[Printed]) -> list[tuple[str, str]]:
    """Pairs of texts whose ink shares room."""
    ordered = sorted(texts, key=lambda each: each.box.top)
    found: list[tuple[str, str]] = []
    for index, first in enumerate(ordered):
        for second in ordered[index + 1 :]:
            if second.box.top > first.box.bottom:
                break
            if first.box.overlaps(second.box):
                found.append((first.text, second.text))
    return found


def outside(texts: Sequence[Printed], room: Box) -> list[str]:
    """Texts that leave a room."""
    return [each.text for each in texts if not room.holds(each.box)]


def too_small(texts: Sequence[Printed], least_mm: float) -> list[str]:
    """Texts whose capitals are lower than that."""
    return [each.text for each in texts if each.capital_mm and each.capital_mm < least_mm - TOUCH]


def capitals(text: Text) -> float:
    """The height of a text mark's capitals, in mm."""
    return text.size * face(text.face).cap_height
