"""Form fields as dictionaries written out; those of one kind and size share a look.

Takes fields and the page they are on; gives their numbers for the page's notes. A field has no frame and no
ground: the page itself has the box to tick and the place to write, so that a print without the form has them
too, and no frame is drawn twice. What is typed is set in the project's own face, which the document carries
whole: a viewer asks it for signs that nobody knows beforehand.
"""

from tagmaker.draw.embedding import embed_whole
from tagmaker.draw.ink import MM
from tagmaker.draw.marks import FaceFile, Field
from tagmaker.draw.objects import Objects, pdf_text, references

__all__ = ["Form"]

FIELD_POINTS = 8
DIGITS = 2  # of a field's place and size in points, as below: plan.json has them to 0.01 mm
PLACE = "/Rect[{:.2f} {:.2f} {:.2f} {:.2f}]"
FIELD_CHARACTERS = 2000
CHECKS = {"check", "screen"}
SCREEN_LINE = 0.5  # points, the frame of a box that is on screens alone
CAPS = 0.7  # of the em, the face's capitals
HIDDEN, PRINT = 2, 4  # a note's flags, ISO 32000-1 table 165 [memory]
READ_ONLY_LINES = 1 | 4096  # a text field's flags: not to be changed, and of several lines
TYPED = "field"  # the name of the fields' font in the form
CROSS_INSET, CROSS_LINE = 0.18, 0.11  # of a box's side: how far a cross keeps from its edges, how thick it is


class Form:
    """The form of a document."""

    def __init__(self, objects: Objects, face: FaceFile) -> None:
        self.objects = objects
        self.font = embed_whole(objects, face)
        self.looks: dict[tuple[str, float, float, str], str] = {}
        self.fields: list[int] = []

    def add(self, field: Field, number: int, page: int, height: float, key: int) -> None:
        """A field as the object of that number, on a page of that height in mm; its key in the tree."""
        wide, high = round(field.width * MM, DIGITS), round(field.height * MM, DIGITS)
        if field.kind == "check":
            wide = high = min(wide, high)
        x, y = field.x * MM, (height - field.y - field.height) * MM
        caption = field.value if field.kind == "screen" else ""
        look = self.looks.get((field.kind, wide, high, caption))
        if look is None:
            look = self._look(field.kind, wide, high, caption)
            self.looks[field.kind, wide, high, caption] = look
        more = f"/TU{pdf_text(field.spoken)}" if field.spoken else ""
        more += f"{PLACE.format(x, y, x + wide, y + high)}/P {page} 0 R"
        if field.kind != "kept":
            more += f"/StructParent {key}"
        if field.kind not in CHECKS:
            value = pdf_text(field.value)
            more += f"/V{value}/DV{value}"
        self.objects.put(number, f"<</Type/Annot/Subtype/Widget{look}/T{pdf_text(field.name)}{more}>>")
        self.fields.append(number)

    def end(self) -> bytes:
        """The form, once all fields are there, as the catalog has it."""
        number = self.objects.number()
        fonts = f"/DR<</Font<</{TYPED} {self.font} 0 R>>>>/DA(/{TYPED} 0 Tf 0 g)"
        self.objects.put_list(number, "<</Fields[", references(self.fields), f"]{fonts}>>")
        return b"%d 0 R" % number

    def _look(self, kind: str, wide: float, high: float, caption: str) -> str:
        """The entries that fields of one kind and size have alike.

        They share the look itself, not the dictionary that names it: a viewer replaces it there.
        """
        if kind in CHECKS:
            printed = PRINT if kind == "check" else 0
            around = _captioned(caption, high) if kind == "screen" else ""
            looks = (around + _cross(min(wide, high)), around)
            yes, off = (self._drawn(operators, wide, high) for operators in looks)
            mark = "/MK<</CA(8)>>"  # a cross, for a viewer that draws its own
            return f"/FT/Btn/F {printed}/H/N/V/Off/AS/Off{mark}/AP<</N<</Yes {yes} 0 R/Off {off} 0 R>>>>"
        flags = f"/F {PRINT}/MaxLen {FIELD_CHARACTERS}"
        if kind == "kept":
            flags = f"/F {HIDDEN}/Ff {READ_ONLY_LINES}"
        blank = self._drawn("/Tx BMC EMC", wide, high)
        return f"/FT/Tx{flags}/DA(/{TYPED} {FIELD_POINTS} Tf 0 g)/AP<</N {blank} 0 R>>"

    def _drawn(self, operators: str, wide: float, high: float) -> int:
        """A look as operators; its number."""
        fonts = f"/Font << /{TYPED} {self.font} 0 R >>"
        head = f"/Type /XObject /Subtype /Form /BBox [ 0 0 {wide:.2f} {high:.2f} ] /Resources << {fonts} >>"
        return self.objects.stream(head, operators.encode("ascii"))


def _cross(side: float) -> str:
    """A black cross in a box of that side in points."""
    near, far = CROSS_INSET * side, (1 - CROSS_INSET) * side
    lines = f"{near:.4f} {near:.4f} m {far:.4f} {far:.4f} l {near:.4f} {far:.4f} m {far:.4f} {near:.4f} l"
    return f"q 0 G {CROSS_LINE * side:.4f} w {lines} S Q"


def _captioned(caption: str, side: float) -> str:
    """A box with words beside it: a page has neither for what is on screens alone."""
    box = f"q 0 G {SCREEN_LINE} w {SCREEN_LINE} {SCREEN_LINE} {side - 2 * SCREEN_LINE:.4f}"
    shown = caption.encode("cp1252", "replace").hex().upper()
    base = (side - CAPS * FIELD_POINTS) / 2
    words = f"BT /{TYPED} {FIELD_POINTS} Tf 0 g {side + 3:.4f} {base:.4f} Td <{shown}> Tj ET"
    return f"{box} {side - 2 * SCREEN_LINE:.4f} re S Q {words} "
