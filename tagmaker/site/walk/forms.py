"""A printed form read, of a walk, a response test or a system: every field once, with its page's value.

Takes the bytes of a PDF; gives values by field name, or why the form cannot be trusted. A sheet as printed
has every field once, each on a page and in the document's form. Programs that merge files break that in their
own ways: they keep two fields of one name, rename one, join both in one field, or leave fields on pages that
the form does not list. A reader of such a file gets one sheet, and the other is lost. So anything but a form
as printed is refused, with the boxes concerned.
"""

import io
import logging
from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from typing import TYPE_CHECKING, Any

from msgspec import Struct

from tagmaker.symbols.unlock import unlocked
from tagmaker.tags.sheet_names import (
    first_page_code,
    is_hidden,
    is_of_system,
    read_sheet_code,
    sheet_kind,
    sheet_of_field,
)

if TYPE_CHECKING:
    from pypdf import PdfReader

__all__ = ["BadForm", "Value", "read_form"]

Value = bool | str
"""A tick, or a text."""
PAGES_AT_MOST = 5_000
TEXT_AT_MOST = 100_000  # characters of one field
DEPTH_AT_MOST = 20  # of fields within fields; a sheet's own are flat
BOXES_SHOWN = 5
OFF = {"", "/Off", "Off"}
"""What a check box that is not ticked can have as its state, from memory of ISO 32000-1, 12.7.4.2.3."""
NO_SHEET = "-"
ON = "/Yes"
"""The state of a check box that is ticked, where its pictures were left out."""
MARKS = ((b"\xfe\xff", "utf-16"), (b"\xff\xfe", "utf-16"), (b"\xef\xbb\xbf", "utf-8-sig"))
"""The first bytes of a text that is not in PDF's own encoding, ISO 32000-2, 7.9.2.2 [memory]."""
BROKEN = (ValueError, KeyError, TypeError, AttributeError, RecursionError, LookupError)
"""What a broken PDF makes of a reader."""


class BadForm(Struct, frozen=True):
    """Why a file cannot be read as a filled-in sheet: a problem's code, message and hint.

    The message is a sentence whose subject is the file, without its name.
    """

    code: str
    message: str
    hint: str


HAND_IN_HINT = "hand in the form that was filled in, or the file that the phone exported"
MERGED_HINT = "hand in each filled form as its own file, as it was saved"
FLATTENED = BadForm(
    "return-flattened",
    "has no form fields: it is a flattened or scanned copy",
    "save the filled form itself, or type the findings into an empty one",
)
LOCKED = BadForm("return-unreadable", "is encrypted", "save it without a password, and hand that in")
NO_WALK = BadForm("return-unreadable", "is a form, but none of the sheets of a set", HAND_IN_HINT)


CUT = BadForm(
    "return-unreadable",
    "does not end as a PDF does: what was saved last is not whole",
    "save the form once more, or copy it again, and hand that in",
)
END = b"%%EOF"
AFTER_END = b"\x00\t\n\x0c\r \x1a"
"""What programs leave after the end; of an update that was cut there the fields are those before it."""


class _Field(Struct, frozen=True):
    """A field of the document's form or of a page: the object that holds its value, its name, its value.

    `shown` is whether its page shows it as ticked, where that is kept apart from the value.
    """

    holder: int
    name: str
    kind: str
    value: Value
    shown: bool | None

    @property
    def is_blank(self) -> bool:
        """Whether nothing was filled in; the hidden text is never filled in."""
        return not self.value or is_hidden(self.name)

    @property
    def is_filled_in(self) -> bool:
        """Whether it holds or shows an entry; a picture of its page need not show that."""
        return bool(self.shown) or not self.is_blank


def read_form(content: bytes) -> dict[str, Value] | BadForm:
    """The values of a form by field name.

    A file that opens without a password but may not be changed is read like any other.
    """
    from pypdf.errors import PyPdfError  # noqa: PLC0415 — needed for what comes back only

    logging.getLogger("pypdf").setLevel(
        logging.CRITICAL
    )  # what is wrong with a file is reported as a problem
    try:
        found = _read_unlocked(content)
        if found is None:
            plain = unlocked(content)
            found = _read_unlocked(plain) if plain else None
    except (*BROKEN, PyPdfError) as reason:
        return BadForm("return-unreadable", f"is not a readable PDF: {reason}", HAND_IN_HINT)
    if isinstance(found, dict) and END in content and content.rpartition(END)[2].strip(AFTER_END):
        return CUT
    return LOCKED if found is None else found


def _read_unlocked(content: bytes) -> dict[str, Value] | BadForm | None:
    """The values of a PDF; None for one that is encrypted, with ciphers that pypdf has or has not.

    A reader's objects refer to each other, and nothing collects them while a run lasts: they are let go here,
    with the file's bytes, so that hundreds of forms take the memory of one.
    """
    from pypdf import PdfReader  # noqa: PLC0415 — as above
    from pypdf.errors import DependencyError  # noqa: PLC0415

    with io.BytesIO(content) as stream:
        try:
            reader = PdfReader(stream)
        except DependencyError:
            return None
        with reader:
            return None if reader.is_encrypted else _read(reader)


def _read(reader: "PdfReader") -> dict[str, Value] | BadForm:
    if len(reader.pages) > PAGES_AT_MOST:
        raise ValueError(f"it has more than {PAGES_AT_MOST:,} pages")
    pages = [list(_on_page(page)) for page in reader.pages]
    shown = [field for fields in pages for field in fields]
    listed = list(_listed(reader))
    if not listed and not any(field.is_filled_in for field in shown):
        return FLATTENED
    if not shown and all(field.is_blank for field in listed):
        return FLATTENED
    if not any(sheet_kind(field.name.rpartition(".")[2]) for field in (*shown, *listed)):
        return NO_WALK
    bare = [number for number, fields in enumerate(pages, start=1) if not fields]
    fault = _fault(shown, listed) or _bare_pages(bare) or _two_sheets(pages)
    return fault or {field.name: field.value for field in shown}


# --- is it as printed? --------------------------------------------------------------------------------------


def _fault(shown: list[_Field], listed: list[_Field]) -> BadForm | None:
    """The first way in which a form is not as printed."""
    on_pages, in_form = (Counter(field.name for field in fields) for fields in (shown, listed))
    holders, kept = {field.holder for field in listed}, set(on_pages)
    left = [field for field in listed if field.name not in kept and not field.is_blank]
    faults: tuple[tuple[str, Iterable[str]], ...] = (
        ("holds two sheets{boxes}", (name for name in on_pages if on_pages[name] > 1)),
        ("lists two sheets{boxes}", (name for name in in_form if in_form[name] > 1)),
        ("has renamed fields{boxes}", (name for name in on_pages | in_form if sheet_kind(name) is None)),
        ("has fields{boxes} that its form does not list", (f.name for f in shown if f.holder not in holders)),
        ("has entries{boxes} that no page shows", (field.name for field in left)),
        ("shows ticks{boxes} that it has not stored", (f.name for f in shown if _is_shown_other(f))),
        ("holds sheets of two kinds{boxes}", _of_two_kinds(in_form)),
    )
    for what, names in faults:
        affected = list(names)
        if affected:
            return _merged(what.format(boxes=_of_boxes(affected)))
    return None


def _of_two_kinds(names: Iterable[str]) -> Iterable[str]:
    """The fields of a form that has those of two kinds of sheets, which are printed apart."""
    kinds = {name: sheet_kind(name) for name in names}
    return kinds if len(set(kinds.values())) > 1 else ()


def _is_shown_other(field: _Field) -> bool:
    return field.shown is not None and field.shown != field.value


def _bare_pages(numbers: list[int]) -> BadForm | None:
    """A page without a field may be another sheet as ink; a sheet's own pages all have fields."""
    return _merged(f"has no form fields on page {numbers[0]}") if numbers else None


def _two_sheets(pages: Iterable[Sequence[_Field]]) -> BadForm | None:
    """A sheet of several pages keeps on each its code: all are of one sheet, or pages were exchanged."""
    codes: dict[str, set[str]] = {}
    for fields in pages:
        of_page = {_sheet_in_capitals(field): "" for field in fields}
        for field in fields:
            _, _, number = field.name.upper().partition("/PRINTED-FOR/")
            if number:
                sheet = _sheet_in_capitals(field)
                of_page[sheet] = _sheet_of(str(field.value), sheet, number)
        for box, code in of_page.items():
            codes.setdefault(box, set()).add(code)
    boxes = [f"{box}/" for box, found in codes.items() if len(found) > 1 or NO_SHEET in found]
    return _merged(f"has pages of two sheets{_of_boxes(boxes)}") if boxes else None


def _sheet_in_capitals(field: _Field) -> str:
    sheet = sheet_of_field(field.name)
    return sheet if is_of_system(field.name) else sheet.upper()


def _sheet_of(code: str, sheet: str, number: str) -> str:
    """The sheet that a page's code names, whichever page it is; none where it is another one's."""
    page = read_sheet_code(code)
    if page is None or (page.sheet, str(page.page)) != (sheet, number):
        return NO_SHEET
    return first_page_code(page)


def _merged(what: str) -> BadForm:
    return BadForm("return-merged", f"{what}: it was merged or changed by another program", MERGED_HINT)


def _of_boxes(names: Iterable[str]) -> str:
    """The boxes to which fields belong, as far as their names still show it."""
    boxes = sorted({sheet_of_field(name).rpartition(".")[2] for name in names if "/" in name})
    more = f" and {len(boxes) - BOXES_SHOWN} more boxes" if len(boxes) > BOXES_SHOWN else ""
    return f" of {', '.join(boxes[:BOXES_SHOWN])}{more}" if boxes else ""


# --- fields -------------------------------------------------------------------------------------------------


def _on_page(page: Any) -> Iterator[_Field]:
    """The fields that a page shows, signatures by certificate aside."""
    for note in page.get("/Annots") or ():
        widget = note.get_object()
        if hasattr(widget, "get") and widget.get("/Subtype") == "/Widget":  # one that was taken out is null
            field = _field(widget, _chain(widget))
            if field.kind != "/Sig":
                yield field


def _chain(widget: Any) -> list[Any]:
    """A widget and the fields that it is within, from the inside out."""
    chain = [widget]
    while (parent := chain[-1].get("/Parent")) is not None:
        chain.append(parent.get_object())
        if len(chain) > DEPTH_AT_MOST:
            raise ValueError("its fields are too deep within each other")
    return chain


def _listed(reader: "PdfReader") -> Iterator[_Field]:
    """The fields that the document's form lists: those at the ends of its tree."""
    form: Any = reader.root_object.get("/AcroForm")
    roots: Any = form.get_object().get("/Fields") if form is not None else None
    left: list[tuple[Any, int]] = [(each, 0) for each in (roots.get_object() if roots is not None else ())]
    passed: set[int] = set()
    while left:
        reference, depth = left.pop()
        node = reference.get_object()
        if not hasattr(node, "get"):
            continue
        if id(node) in passed:
            raise ValueError("a field is listed twice")
        passed.add(id(node))
        kids = node.get("/Kids")
        named = [kid for kid in (kids.get_object() if kids is not None else ()) if "/T" in kid.get_object()]
        if named:
            if depth > DEPTH_AT_MOST:
                raise ValueError("its fields are too deep within each other")
            left += [(kid, depth + 1) for kid in named]
            continue
        field = _field(node, _chain(node))
        if field.kind != "/Sig":
            yield field


def _field(widget: Any, chain: list[Any]) -> _Field:
    """A field from its innermost object; kind and value may be those of a field that it is within."""
    name = ".".join(reversed([str(each["/T"]) for each in chain if "/T" in each]))
    holder = next((each for each in chain if "/T" in each), widget)
    kind = str(_inherited(chain, "/FT"))
    raw = _inherited(chain, "/V")
    if kind == "/Btn":
        state = widget.get("/AS")
        shown = None if state is None else _is_marked(state, widget)
        return _Field(id(holder), name, kind, raw is not None and _is_marked(raw, widget), shown)
    return _Field(id(holder), name, kind, _text(raw), None)


def _is_marked(state: Any, widget: Any) -> bool:
    """Whether a check box of this state is ticked; its page must have a picture for that state."""
    name = str(state)
    if name in OFF:
        return False
    looks = widget.get("/AP")
    normal = looks.get_object().get("/N") if looks is not None else None
    known = {str(key) for key in normal.get_object()} if normal is not None else {ON}
    if f"/{name.removeprefix('/')}" not in known:
        raise ValueError(f"a check box has the state {name}, which it does not show")
    return True


def _inherited(chain: list[Any], key: str) -> Any:
    return next((each[key] for each in chain if key in each), None)


def _text(raw: Any) -> str:
    """A text, which a PDF may keep as a string or as a stream of bytes."""
    from pypdf.generic import (  # noqa: PLC0415 — as above
        ByteStringObject,
        NullObject,
        StreamObject,
        TextStringObject,
    )

    if raw is None or isinstance(raw, NullObject):
        return ""
    if isinstance(raw, StreamObject):
        text = _decoded(raw.get_data())
    elif isinstance(raw, ByteStringObject):
        text = _decoded(bytes(raw))
    elif isinstance(raw, TextStringObject):
        text = str(raw)
    else:
        raise ValueError("a text field holds something other than a text")  # noqa: TRY004 — not a bug, but a bad file
    if len(text) > TEXT_AT_MOST:
        raise ValueError(f"a text has more than {TEXT_AT_MOST:,} characters")
    return text.strip()


def _decoded(data: bytes) -> str:
    """The text of bytes that begin with the mark of their encoding, or are in PDF's own."""
    from pypdf.generic import create_string_object  # noqa: PLC0415 — as above

    for mark, encoding in MARKS:
        if data.startswith(mark):
            return data.decode(encoding)
    return str(create_string_object(data))
