"""A document's small objects: packed tightly, and read by others as they are."""

import io

import pikepdf
import pypdf
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from pypdf.filters import FlateDecode
from pypdf.generic import DictionaryObject, NameObject, NumberObject

from tagmaker.draw.marks import Field, Mark, Page, Text
from tagmaker.draw.objects import MANY
from tagmaker.draw.pdf import draw_pdf
from tagmaker.draw.rows import differences
from tagmaker.typeset.fonts import PLAIN, all_faces

BYTES_A_FIELD = 22  # with its place in lists, its element and the way back; 52 as objects in their order
FIELDS, PAGES = 120, 30


def fields(page: int) -> list[Mark]:
    """Boxes to tick and lines to write, ten in a row, as a walk sheet names them."""
    return [
        Field(10.0 + 6 * (number % 10), 20.0 + 6 * (number // 10), 5.0, 5.0, kind, name, spoken)
        for number in range(FIELDS)
        for kind in ("text" if number % 10 == 9 else "check",)
        for name, spoken in ((f"BB-{page}/port/{number}/ok", f"port {number}: pipe is on its letter"),)
    ]


def printed(*, with_fields: bool) -> bytes:
    """Pages of a text and their fields."""
    return draw_pdf(
        "Title",
        "",
        [
            Page(100, 120, (Text(10, 10, f"Box {page}", PLAIN, 3.0), *(fields(page) if with_fields else ())))
            for page in range(PAGES)
        ],
        all_faces(),
    )


@pytest.fixture(scope="module")
def form() -> bytes:
    """A form of more objects than one stream holds."""
    return printed(with_fields=True)


@settings(deadline=None, max_examples=50)
@given(st.integers(1, 90), st.data())
def test_rows_read_back(columns: int, data: st.DataObject) -> None:
    """Any bytes, as another program undoes the filter."""
    count = data.draw(st.integers(1, 120))
    rows = data.draw(st.binary(min_size=count * columns, max_size=count * columns))
    how = {"/Predictor": 12, "/Columns": columns}
    terms = DictionaryObject({NameObject(key): NumberObject(value) for key, value in how.items()})
    assert FlateDecode.decode(FlateDecode.encode(differences(rows, columns)), terms) == rows


def test_a_field_takes_few_bytes(form: bytes) -> None:
    """A campus has a hundred thousand; a font and the first of each look are in the file once."""
    fixed = len(draw_pdf("Title", "", [Page(100, 120, tuple(fields(0)))], all_faces()))
    more = len(form) - fixed - (len(printed(with_fields=False)) - len(draw_pdf("Title", "", [], all_faces())))
    assert more / (FIELDS * (PAGES - 1)) < BYTES_A_FIELD


def test_every_field_is_found_by_other_readers(form: bytes) -> None:
    """In several streams: on its page, in the form's list, and by the tree's own way back to it."""
    names = [f"BB-{page}/port/{number}/ok" for page in range(PAGES) for number in range(FIELDS)]
    assert len(names) > MANY
    assert sorted(pypdf.PdfReader(io.BytesIO(form)).get_fields() or {}) == sorted(names)
    with pikepdf.open(io.BytesIO(form)) as document:
        assert document.check_pdf_syntax() == []
        notes = [note for page in document.pages for note in page.obj["/Annots"]]
        assert [str(note["/T"]) for note in notes] == names
        assert [str(field["/T"]) for field in document.Root["/AcroForm"]["/Fields"]] == names
        ways = pikepdf.NumberTree(document.Root["/StructTreeRoot"]["/ParentTree"])
        owners = [ways[int(note["/StructParent"])] for note in notes]
        assert [owner["/K"]["/Obj"]["/T"] for owner in owners] == names


def test_pages_are_packed_with_nothing_else(form: bytes) -> None:
    """A viewer reads all pages before the one that it shows: it would hold all their fields too."""
    with pikepdf.open(io.BytesIO(form)) as document:
        pages = {page.obj.objgen[0] for page in document.pages}
    packed = pypdf.PdfReader(io.BytesIO(form)).xref_objStm
    streams = {packed[number][0] for number in pages}
    assert {number for number, (stream, _) in packed.items() if stream in streams} == pages
