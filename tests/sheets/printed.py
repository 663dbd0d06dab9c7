"""What a page really shows, read back from its PDF by pdfium, in millimetres from its top left corner."""

import ctypes
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import cache

import pypdfium2
from fontTools.ttLib import TTFont
from pypdfium2 import raw

from tagmaker.draw.marks import Bars, Line, Mark, Page, Rect, Text
from tagmaker.draw.pdf import draw_pdf
from tagmaker.problems import Problem
from tagmaker.typeset.fonts import all_faces, face
from tagmaker.typeset.text import LEGIBLE_MM

Pages = tuple[Page, ...]

MM = 25.4 / 72
TOUCH = 0.05
"""Millimetres by which two boxes may overlap: less than half a dot at 203 dpi, which nobody sees."""
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


def texts(pages: Iterable[Page]) -> list[str]:
    """The texts of pages in drawing order, with ordinary spaces."""
    return [mark.text.replace("\u00a0", " ") for marks in marked_texts(pages) for mark in marks]


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


# --- ink as marks tell it -----------------------------------------------------------------------------------


@cache
def outlines(face_name: str) -> dict[str, tuple[float, float, float]]:
    """Each character's advance and how far its outline reaches up and down, in ems, from the font."""
    font = TTFont(face(face_name).file.path)
    units, glyphs, advances = font["head"].unitsPerEm, font["glyf"], font["hmtx"].metrics
    found = {
        chr(code): (
            advances[name][0] / units,
            getattr(glyphs[name], "yMax", 0) / units,
            getattr(glyphs[name], "yMin", 0) / units,
        )
        for code, name in font.getBestCmap().items()
    }
    font.close()
    return found


def ink(text: Text) -> Box:
    """A line's ink: its sides from its characters' advances, its top and foot from their outlines."""
    signs = [outlines(text.face)[sign] for sign in text.text]
    width = sum(advance for advance, _, _ in signs) * text.size
    left = text.x - {"left": 0.0, "center": width / 2, "right": width}[text.align]
    drawn = [outlines(text.face)[sign] for sign in text.text if sign.strip()]
    top = max(up for _, up, _ in drawn) * text.size
    foot = min(down for _, _, down in drawn) * text.size
    return Box(left, text.y - top, left + width, text.y - foot)


def strokes(marks: Iterable[Mark]) -> list[Box]:
    """What level and upright lines and the outlines of rectangles cover."""
    found: list[Box] = []
    for mark in marks:
        if isinstance(mark, Rect) and mark.line:
            found += _outline(mark)
        elif isinstance(mark, Line) and (mark.x1 == mark.x2 or mark.y1 == mark.y2):
            half = mark.width / 2
            found.append(
                Box(
                    min(mark.x1, mark.x2) - half,
                    min(mark.y1, mark.y2) - half,
                    max(mark.x1, mark.x2) + half,
                    max(mark.y1, mark.y2) + half,
                )
            )
    return found


def _outline(rect: Rect) -> list[Box]:
    half, right, bottom = rect.line / 2, rect.x + rect.width, rect.y + rect.height
    return [
        Box(rect.x - half, rect.y - half, right + half, rect.y + half),
        Box(rect.x - half, bottom - half, right + half, bottom + half),
        Box(rect.x - half, rect.y - half, rect.x + half, bottom + half),
        Box(right - half, rect.y - half, right + half, bottom + half),
    ]


def struck(texts: Iterable[Printed], marks: Iterable[Mark]) -> list[str]:
    """Texts that a line or a frame's edge runs through."""
    lines = strokes(marks)
    return [each.text for each in texts if any(each.box.overlaps(line) for line in lines)]


def against_the_ground(page: Page) -> list[str]:
    """Texts that are black on black, white on white, or half of each."""
    dark = [
        Box(mark.x, mark.y, mark.x + mark.width, mark.y + mark.height)
        for mark in page.marks
        if isinstance(mark, Rect) and mark.fill is not None and mark.fill < 0.5
    ]
    wrong: list[str] = []
    for text in (mark for mark in page.marks if isinstance(mark, Text)):
        box = ink(text)
        is_light = text.ink > 0.5
        if is_light != any(ground.holds(box) for ground in dark):
            wrong.append(text.text)
        if not is_light and any(ground.overlaps(box) for ground in dark):
            wrong.append(text.text)
    return wrong


def faults(pages: Sequence[Page], *, margin_mm: float, least_mm: float) -> list[str]:
    """Everything that is wrong with the printed words of pages, in words."""
    found: list[str] = []
    for number, (page, marks, texts) in enumerate(
        zip(pages, marked_texts(pages), printed_pages(pages), strict=True), start=1
    ):
        room = Box(margin_mm, margin_mm, page.width - margin_mm, page.height - margin_mm)
        wanted = sorted("".join(mark.text.split()) for mark in marks)
        if wanted != sorted("".join(text.text.split()) for text in texts):
            found.append(f"page {number} does not read back as it was laid out")
        codes = [quiet_box(mark) for mark in page.marks if isinstance(mark, Bars)]
        found += [f"page {number}: a code leaves the page" for code in codes if not room.holds(code)]
        over = [each.text for each in texts if any(each.box.overlaps(code) for code in codes)]
        told: dict[str, Sequence[object]] = {
            "leaves the page": outside(texts, room),
            "overlaps": overlapping(texts),
            "is too small": too_small(texts, least_mm),
            "is struck through": struck(texts, page.marks),
            "is lost on its ground": against_the_ground(page),
            "lies on a code": over,
        }
        found += [f"page {number}: {text} {fault}" for fault, each in told.items() for text in each]
    return found


def faultless(pages: Pages, problems: Iterable[Problem], *, margin_mm: float) -> Pages:
    """Pages that must fit and read back without a fault."""
    assert [problem.message for problem in problems] == []
    assert faults(pages, margin_mm=margin_mm, least_mm=LEGIBLE_MM) == []
    return pages


def faultless_or_told(pages: Pages, problems: Sequence[Problem], what: str, *, margin_mm: float) -> None:
    """Pages of any box: without a fault, or with problems that begin with what does not fit."""
    assert all(problem.message.startswith(f"{what}: ") for problem in problems)
    if not problems:
        faultless(pages, problems, margin_mm=margin_mm)
