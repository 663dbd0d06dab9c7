"""A page's marks as SVG text, for screens: the same marks as in the PDF, at the same places in millimetres.

Takes a page and its faces; gives one `<svg>` element that stands in an HTML page or in a file of its own. The
typeface is asked for by name, and each text is as wide as in the PDF, whichever face a browser sets it in.
Nothing in it is a style attribute or a script, so that it obeys a page's strictest content policy; texts are
escaped. Form fields are left out: what is printed of them are marks of the page itself.
"""

import re
from base64 import b64encode
from collections.abc import Callable, Iterable
from typing import Any

from tagmaker.draw.fonts import numbered
from tagmaker.draw.ink import HAIR
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
)
from tagmaker.files.template import escaped

__all__ = ["FONT_FAMILY", "FONT_WEIGHTS", "svg"]

FONT_FAMILY = "tag"
"""The name under which a page serves the typeface's web fonts."""
FONT_WEIGHTS = {"plain": 400, "bold": 700}
"""The weight by the name of a face."""
LOST_SPACE = re.compile("^ | (?= )| $")
NOT_XML = re.compile("[^\t\n\r\x20-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")
"""Characters that no XML text may hold (XML 1.0, 2.2)."""


def svg(page: Page, faces: Iterable[FaceFile], label: str = "") -> str:
    """The page as one element with a white ground; `label` is what a screen reader calls it."""
    pen = _Pen(faces)
    scale_x, scale_y, dx, dy = page.adjust or (1.0, 1.0, 0.0, 0.0)
    pen.draw(page.marks)
    if pen.ends:
        raise ValueError(f"{len(pen.ends)} parts are not ended")
    drawn = "".join(pen.out)
    if page.adjust:
        drawn = f'<g transform="matrix({scale_x:.8g} 0 0 {scale_y:.8g} {dx:.6g} {dy:.6g})">{drawn}</g>'
    size = f"{page.width:.6g} {page.height:.6g}"
    named = f' role="group" aria-label="{_escaped(label)}"' if label else ""
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {size}"{named} font-family="{FONT_FAMILY}">'
        f'<path d="M0 0H{page.width:.6g}V{page.height:.6g}H0Z" fill="#fff" />'
        f"{drawn}</svg>"
    )


class _Pen:
    """Writes the elements of one page; parts that are open end in the order of `ends`."""

    def __init__(self, faces: Iterable[FaceFile]) -> None:
        self.faces = {face.name: numbered(face) for face in faces}
        self.out: list[str] = []
        self.ends: list[str] = []
        self.add = self.out.append

    def draw(self, marks: Iterable[Mark]) -> None:
        """Marks in their order."""
        for mark in marks:
            WAYS[type(mark)](self, mark)

    def group(self, mark: Group) -> None:
        """Marks that move together."""
        self.add(f'<g transform="translate({mark.x:.6g} {mark.y:.6g})">')
        self.draw(mark.marks)
        self.add("</g>")

    def begin(self, mark: Begin) -> None:
        """A picture with its text in place of it; what is decoration is not read. Other parts are texts."""
        is_within = "picture" in self.ends
        if mark.role == "Figure" and not is_within:
            self.add(f'<g role="img"><title>{_escaped(mark.alt)}</title>')
            self.ends.append("picture")
        elif mark.role == "Artifact" and not is_within:
            self.add('<g aria-hidden="true">')
            self.ends.append("group")
        else:
            self.ends.append("")

    def end(self, _mark: End) -> None:
        """The part that began last ends here."""
        if self.ends.pop():
            self.add("</g>")

    def text(self, mark: Text) -> None:
        """A line of text, its left end where the PDF has it; a text of no width needs no place."""
        wide = self.faces[mark.face].width(mark.text) * mark.size
        x = mark.x - wide * {"left": 0.0, "center": 0.5, "right": 1.0}[mark.align]
        if wide <= 0:
            return
        bold = f' font-weight="{FONT_WEIGHTS[mark.face]}"' if mark.face != "plain" else ""
        ink = f' fill="{_grey(mark.ink)}"' if mark.ink else ""
        self.add(
            f'<text x="{x:.6g}" y="{mark.y:.6g}" font-size="{mark.size:.6g}"{bold}{ink} '
            f'textLength="{wide:.6g}" lengthAdjust="spacingAndGlyphs">{_escaped(_kept(mark.text))}</text>'
        )

    def rect(self, mark: Rect) -> None:
        """A rectangle as a path from its lower left corner, from where its dashes are counted."""
        if mark.line <= 0 and mark.fill is None:
            return
        left, right, top, bottom = mark.x, mark.x + mark.width, mark.y, mark.y + mark.height
        outline = f"M{left:.6g} {bottom:.6g}H{right:.6g}V{top:.6g}H{left:.6g}Z"
        if radius := mark.radius:
            arc = f"A{radius:.6g} {radius:.6g} 0 0 0 "
            outline = (
                f"M{left + radius:.6g} {bottom:.6g}H{right - radius:.6g}"
                f"{arc}{right:.6g} {bottom - radius:.6g}V{top + radius:.6g}"
                f"{arc}{right - radius:.6g} {top:.6g}H{left + radius:.6g}"
                f"{arc}{left:.6g} {top + radius:.6g}V{bottom - radius:.6g}"
                f"{arc}{left + radius:.6g} {bottom:.6g}Z"
            )
        fill = "none" if mark.fill is None else _grey(mark.fill)
        stroke = _stroke(mark.line, mark.ink, mark.dash) if mark.line > 0 else ""
        self.add(f'<path d="{outline}" fill="{fill}"{stroke} />')

    def line(self, mark: Line) -> None:
        """A straight line."""
        path = f"M{mark.x1:.6g} {mark.y1:.6g}L{mark.x2:.6g} {mark.y2:.6g}"
        self.add(f'<path d="{path}"{_stroke(mark.width, mark.ink, mark.dash)} />')

    def polygon(self, mark: Polygon) -> None:
        """A closed filled shape."""
        points = "L".join(f"{x:.6g} {y:.6g}" for x, y in mark.points)
        self.add(f'<path d="M{points}Z" fill="{_grey(mark.fill)}" />')

    def bars(self, mark: Bars) -> None:
        """One path for the whole symbol, so that no hairline shows between its cells; its unit is a cell."""
        low = HAIR if mark.cell_width == mark.cell_height else 0.0
        x, y = mark.x + mark.cell_width * HAIR / 2, mark.y + mark.cell_height * low / 2
        cells = "".join(
            f"M{column} {row}h{wide - HAIR:.6g}v{high - low:.6g}h{HAIR - wide:.6g}z"
            for column, row, wide, high in mark.runs
        )
        matrix = f"matrix({mark.cell_width:.6g} 0 0 {mark.cell_height:.6g} {x:.6g} {y:.6g})"
        symbol = f'<path transform="{matrix}" d="{cells}" />'
        is_within = "picture" in self.ends
        read = "" if is_within else f'<g role="img"><title>{_escaped(mark.text)}</title>'
        self.add(f"{read}{symbol}" + ("" if is_within else "</g>"))

    def picture(self, mark: Picture) -> None:
        """A picture within the text itself."""
        data = b64encode(mark.png).decode()
        place = f'x="{mark.x:.6g}" y="{mark.y:.6g}" width="{mark.width:.6g}" height="{mark.height:.6g}"'
        self.add(f'<image {place} preserveAspectRatio="none" href="data:image/png;base64,{data}" />')

    def field(self, _mark: Field) -> None:
        """A form field is no mark: nothing of it is printed."""

    def drawn(self, mark: Drawn) -> None:
        """Ink is operators of a PDF: a page for the screen is laid out as marks."""
        raise TypeError(f"{len(bytes(mark.operators))} bytes are ink already; lay the page out without ink")


WAYS: dict[type, Callable[[_Pen, Any], None]] = {
    Text: _Pen.text,
    Rect: _Pen.rect,
    Line: _Pen.line,
    Polygon: _Pen.polygon,
    Bars: _Pen.bars,
    Picture: _Pen.picture,
    Field: _Pen.field,
    Group: _Pen.group,
    Begin: _Pen.begin,
    End: _Pen.end,
    Drawn: _Pen.drawn,
}


def _escaped(text: str) -> str:
    """A text as content or attribute; what XML cannot hold is shown as replaced."""
    return escaped(NOT_XML.sub("\ufffd", text))


def _kept(text: str) -> str:
    """A text none of whose spaces a browser leaves out, as it does with all but one of a row."""
    return LOST_SPACE.sub("\u00a0", text)


def _grey(ink: float) -> str:
    """A grey from 0 (black) to 1 (white) as a colour."""
    return f"#{round(ink * 255):02x}" + f"{round(ink * 255):02x}" * 2


def _stroke(width: float, ink: float, dash: tuple[float, ...]) -> str:
    """The attributes of a line; without a fill of its own it has none to show."""
    dashes = f' stroke-dasharray="{" ".join(f"{length:.6g}" for length in dash)}"' if dash else ""
    return f' stroke="{_grey(ink)}" stroke-width="{width:.6g}"{dashes}'
