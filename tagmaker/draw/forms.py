"""Form fields as dictionaries written out; those of one size share a look.

Takes fields and the page they are on; gives their references for the page's notes. reportlab's own fields
took 0.66 ms each, and a campus has 60,000; these take 0.02 ms and 350 bytes. Its AcroForm still draws the
looks.
"""

from dataclasses import dataclass
from typing import Any

from tagmaker.draw.ink import MM
from tagmaker.draw.marks import Field

__all__ = ["Form"]

FIELD_POINTS = 8
FIELD_CHARACTERS = 2000
LINES = {
    "check": 0.5,
    "screen": 0.5,
    "text": 0.4,
    "kept": 0.0,
}  # width of a field's frame in points, by its kind
CHECKS = {"check", "screen"}
HIDDEN, PRINT = 2, 4  # a note's flags, ISO 32000-1 table 165 [memory]
READ_ONLY_LINES = 1 | 4096  # a text field's flags: not to be changed, and of several lines


@dataclass
class _Canvas:
    """All that reportlab's form asks of a canvas."""

    _doc: Any


class Form:
    """The form of a document: its fields share a blank look for each kind and size."""

    def __init__(self, document: Any) -> None:
        from reportlab.lib.colors import Color, white  # noqa: PLC0415 — heavy, and `check` draws nothing
        from reportlab.pdfbase.acroform import AcroForm  # noqa: PLC0415

        self.document = document
        self.canvas = _Canvas(document)
        self.inks = Color(0.1, 0.1, 0.1), Color(0.1, 0.1, 0.1), white  # of text, frame and ground
        self.form = document.Catalog.AcroForm = AcroForm(self.canvas)
        self.looks: dict[tuple[str, float, float, str], bytes] = {}
        self.font = ""

    def add(self, field: Field, page: bytes, height: float) -> bytes:
        """Add a field to a page of that height in mm, by its reference; the reference of the field."""
        wide, high = field.width * MM, field.height * MM
        if field.kind == "check":
            wide = high = min(wide, high)
        x, y = field.x * MM, (height - field.y - field.height) * MM
        caption = field.value if field.kind == "screen" else ""
        look = self.looks.get((field.kind, wide, high, caption))
        if look is None:
            look = self._look(field.kind, wide, high, caption)
            self.looks[field.kind, wide, high, caption] = look
        parts = [
            b"<< /Type /Annot /Subtype /Widget /P ", page, look,
            f" /Rect [{x:.4f} {y:.4f} {x + wide:.4f} {y + high:.4f}] /T ".encode(), self._string(field.name),
        ]  # fmt: skip
        if field.spoken:
            parts += [b" /TU ", self._string(field.spoken)]
        if field.kind not in CHECKS:
            value = self._string(field.value)
            parts += [b" /V ", value, b" /DV ", value]
        reference = self.document.Reference(b"".join([*parts, b" >>"]), f"field {len(self.form.fields)}")
        self.form.fields.append(reference)
        return bytes(reference.format(self.document))

    def _string(self, text: str) -> bytes:
        """A text as PDF has it; plain ASCII needs no help of reportlab's."""
        from reportlab.pdfbase.pdfdoc import PDFString  # noqa: PLC0415 — as above

        if text.isascii() and text.isprintable() and not {"(", ")", "\\"} & set(text):
            return f"({text})".encode()
        return bytes(PDFString(text).format(self.document))

    def _look(self, kind: str, wide: float, high: float, caption: str) -> bytes:
        """The entries that fields of one kind and size share; what never changes is written once for all."""
        line = f" /BS {self._shared(f'<< /S /S /W {LINES[kind]} >>')}" if LINES[kind] else ""
        frame = " /BC [ .1 .1 .1 ]" if LINES[kind] else ""
        if kind in CHECKS:
            boxes = (f"/{key} << {self._states(key, wide)} >>" for key in "NDR" if not caption)
            states = " ".join(boxes) or f"/N << {self._captioned(caption, wide, high)} >>"
            mark = self._shared(f"<< /CA (5){frame} /BG [ 1 1 1 ] >>")
            look = self._shared(f"<< {states} >>")
            printed = PRINT if kind == "check" else 0
            return f" /FT /Btn /F {printed} /Ff 0 /H /N /V /Off /AS /Off{line} /MK {mark} /AP {look}".encode()
        flags = f"/F {PRINT} /Ff 0 /MaxLen {FIELD_CHARACTERS}"
        if kind == "kept":
            flags = f"/F {HIDDEN} /Ff {READ_ONLY_LINES}"
        blank = self._blank(kind, wide, high)
        mark = self._shared(f"<<{frame} /BG [ 1 1 1 ] >>")
        style = f"/DA (/{self.font} {FIELD_POINTS} Tf .1 .1 .1 rg) /MK {mark}"
        return f" /FT /Tx {flags}{line} {style} /AP << /N {blank} >>".encode()

    def _shared(self, dictionary: str) -> str:
        """A reference to a dictionary, which is written once."""
        name = f"shared {dictionary}"
        if name not in self.document.idToObject:
            return str(self.document.Reference(dictionary.encode(), name).format(self.document).decode())
        number, version = self.document.idToObjectNumberAndVersion[name]
        return f"{number} {version} R"

    def _states(self, key: str, size: float) -> str:
        """A box to tick, ticked and not: at rest (N), pressed (D) or pointed at (R)."""
        text, frame, ground = self.form.varyColors(key, *self.inks)
        style = {"textColor": text, "borderColor": frame, "fillColor": ground, "borderWidth": LINES["check"]}
        looks = {
            state: self.form.checkboxAP(key, state, buttonStyle="cross", size=size, **style)
            for state in ("Yes", "Off")
        }
        return " ".join(f"/{state} {self.form.getRefStr(look)}" for state, look in looks.items())

    def _blank(self, kind: str, wide: float, high: float) -> str:
        """An empty field of text."""
        return self._text_look("", wide, high, LINES[kind])

    def _captioned(self, caption: str, wide: float, high: float) -> str:
        """A box with words beside it, ticked and not; both are on screens alone."""
        marks = {"Yes": "[X]", "Off": "[  ]"}
        return " ".join(
            f"/{state} {self._text_look(f'{mark} {caption}', wide, high, 0.0)}"
            for state, mark in marks.items()
        )

    def _text_look(self, text: str, wide: float, high: float, line: float) -> str:
        """A text in a frame."""
        font, self.font = self.form.makeFont(None)
        ink, frame, ground = self.inks
        look = self.form.txAP(
            "N", text, self.font, f"<</{self.font} {font}>>", FIELD_POINTS, fillColor=ground,
            borderColor=frame, textColor=ink, borderWidth=line, width=wide, height=high,
        )  # fmt: skip
        return str(self.form.getRefStr(look))
