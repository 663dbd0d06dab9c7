"""The walk's form under three independent PDF libraries, and its columns under public form conventions."""

import ctypes
import io
from collections.abc import Callable, Iterator
from contextlib import closing
from functools import partial
from pathlib import Path

import pikepdf
import pypdf
import pypdfium2
import pytest
from pikepdf.form import CheckboxField, Form, TextField
from pypdfium2 import raw

from tagmaker.catalog.walk_items import walk_items
from tagmaker.plan.model import Plan
from tagmaker.problems import Problem
from tagmaker.site.walk.returns import Return, read_returns
from tagmaker.workflows.readback import Counts, readback
from tests.site.walks import SITE, Values, as_planned, plan_of

FOUND: Values = {
    "BB-1/left/1/3": True,
    "BB-1/port/A/pipe/ok": False,
    "BB-1/port/A/pipe/found": "FC-5",
    "BB-1/port/A/proved": "rung out, K. Åberg",
    "BB-1/port/B/note": "drain trap dry – 3/4″, “left of the beam”",
    "BB-2/sign/verifier": "M. Osei",
    "BB-2/date/verifier": "2026-05-02",
}
"""What differs from the plan, and what was written; signs outside ASCII among it."""


@pytest.fixture(scope="module")
def found(site_job: Path) -> Values:
    """A walk with findings of every kind."""
    return as_planned(plan_of(site_job)) | FOUND


# --- the three libraries ------------------------------------------------------------------------------------


def by_pypdf(pdf: bytes, values: Values) -> bytes:
    """Filled and saved by pypdf (written in Python alone)."""
    writer = pypdf.PdfWriter(clone_from=io.BytesIO(pdf))
    written = {
        name: ("/Off", "/Yes")[value] if isinstance(value, bool) else value for name, value in values.items()
    }
    for page in writer.pages:
        writer.update_page_form_field_values(page, written, auto_regenerate=False)
    out = io.BytesIO()
    writer.write(out)
    return out.getvalue()


def by_pikepdf(pdf: bytes, values: Values) -> bytes:
    """Filled and saved by pikepdf (libqpdf)."""
    out = io.BytesIO()
    with pikepdf.open(io.BytesIO(pdf)) as document:
        fields = Form(document)
        for name, value in values.items():
            field = fields[name]
            if isinstance(field, CheckboxField):
                field.checked = value is True
            elif isinstance(field, TextField):
                field.value = str(value)
        document.save(out)
    return out.getvalue()


def by_pdfium(pdf: bytes, values: Values) -> bytes:
    """Filled as a person does, by clicks and typing in pdfium's form engine, and saved."""
    with closing(pypdfium2.PdfDocument(pdf)) as document:
        document.init_forms()
        for page in document:
            raw.FORM_OnAfterLoadPage(page, document.formenv)
            for name, x, y in middles(document, page):
                if values.get(name):
                    click(document, page, x, y)
                if isinstance(values.get(name), str):
                    type_in(document, page, str(values[name]))
            raw.FORM_ForceToKillFocus(document.formenv)
            raw.FORM_OnBeforeClosePage(page, document.formenv)
        out = io.BytesIO()
        document.save(out)
    return out.getvalue()


def middles(document: pypdfium2.PdfDocument, page: pypdfium2.PdfPage) -> Iterator[tuple[str, float, float]]:
    """Every field of a page with the middle of its rectangle, in points."""
    for index in range(raw.FPDFPage_GetAnnotCount(page)):
        note = raw.FPDFPage_GetAnnot(page, index)
        length = raw.FPDFAnnot_GetFormFieldName(document.formenv, note, None, 0)
        name = ctypes.create_string_buffer(length)
        raw.FPDFAnnot_GetFormFieldName(document.formenv, note, wide(name), length)
        box = raw.FS_RECTF()
        raw.FPDFAnnot_GetRect(note, box)
        raw.FPDFPage_CloseAnnot(note)
        middle = ((box.left + box.right) / 2, (box.top + box.bottom) / 2)
        yield name.raw.decode("utf-16-le").rstrip("\0"), *middle


def click(document: pypdfium2.PdfDocument, page: pypdfium2.PdfPage, x: float, y: float) -> None:
    """Press and let go the left button there."""
    raw.FORM_OnMouseMove(document.formenv, page, 0, x, y)
    raw.FORM_OnLButtonDown(document.formenv, page, 0, x, y)
    raw.FORM_OnLButtonUp(document.formenv, page, 0, x, y)


def type_in(document: pypdfium2.PdfDocument, page: pypdfium2.PdfPage, text: str) -> None:
    """Replace the focused field's text."""
    raw.FORM_SelectAllText(document.formenv, page)
    typed = ctypes.create_string_buffer(text.encode("utf-16-le") + b"\0\0")
    raw.FORM_ReplaceSelection(document.formenv, page, wide(typed))


def wide(buffer: "ctypes.Array[ctypes.c_char]") -> "ctypes._Pointer[ctypes.c_ushort]":
    """A buffer as pdfium takes UTF-16."""
    return ctypes.cast(buffer, ctypes.POINTER(ctypes.c_ushort))


LIBRARIES = {"pypdf": by_pypdf, "pikepdf": by_pikepdf, "pdfium": by_pdfium}
Fill = Callable[[bytes, Values], bytes]


@pytest.fixture(params=LIBRARIES)
def fill(request: pytest.FixtureRequest) -> Fill:
    """Each of the three."""
    return LIBRARIES[str(request.param)]


def returned(path: Path, pdf: bytes) -> Return | Problem:
    """A file as it comes back."""
    path.write_bytes(pdf)
    (result,) = read_returns([path])
    return result


def read(path: Path, pdf: bytes) -> Return:
    """A file that must be readable."""
    result = returned(path, pdf)
    assert isinstance(result, Return)
    return result


# --- round trips --------------------------------------------------------------------------------------------


def test_an_untouched_form_says_nothing(tmp_path: Path, site_form: bytes) -> None:
    """As printed, nothing is ticked and nothing written."""
    assert set(read(tmp_path / "walk.pdf", site_form).values.values()) == {False, ""}


def test_what_is_filled_in_comes_back(fill: Fill, tmp_path: Path, site_form: bytes, found: Values) -> None:
    """Every tick and every text reads back the same, and no other field has a value."""
    back = read(tmp_path / "walk.pdf", fill(site_form, found))
    assert {name: value for name, value in back.values.items() if value} == {
        name: value for name, value in found.items() if value
    }


def test_saved_by_one_and_all_is_kept(tmp_path: Path, site_form: bytes, found: Values) -> None:
    """A form begun in one program, gone on with in the next and ended in the third keeps all of it."""
    names = sorted(found)
    parts = [{name: found[name] for name in names[start::3]} for start in range(3)]
    pdf = by_pikepdf(by_pdfium(by_pypdf(site_form, parts[0]), parts[1]), parts[2])
    assert {name: value for name, value in read(tmp_path / "a.pdf", pdf).values.items() if value} == {
        name: value for name, value in found.items() if value
    }


def test_a_tick_taken_back_is_no_tick(fill: Fill, tmp_path: Path, site_form: bytes) -> None:
    """Ticked by one program and unticked by another: not ticked."""
    ticked = by_pikepdf(site_form, {"BB-1/left/1/1": True})
    change: Values = {"BB-1/left/1/1": fill is by_pdfium}  # a second click takes the tick away
    assert read(tmp_path / "walk.pdf", fill(ticked, change)).values["BB-1/left/1/1"] is False


def test_what_it_was_printed_for_is_kept(fill: Fill, tmp_path: Path, site_form: bytes, found: Values) -> None:
    """The hidden text of each box is the same after filling and saving."""
    before, after = read(tmp_path / "a.pdf", site_form), read(tmp_path / "b.pdf", fill(site_form, found))
    assert sorted(before.printed) == ["BB-1", "BB-2"]
    assert before.printed == after.printed


def test_all_three_give_the_same_result(
    tmp_path: Path, site_job: Path, site_form: bytes, found: Values
) -> None:
    """Whatever program the form was filled in with, the readback is the same."""
    results = []
    for name, each in LIBRARIES.items():
        (tmp_path / f"{name}.pdf").write_bytes(each(site_form, found))
        results.append(readback([tmp_path / f"{name}.pdf"], site_job).outline)
    assert results[0] == results[1] == results[2]
    assert results[0].counts == Counts(as_planned=1, differs=1, not_seen=0)


@pytest.mark.parametrize("program", ["pypdf", "pdfium"])
def test_a_text_that_looks_like_a_tick_is_a_text(program: str, tmp_path: Path, site_form: bytes) -> None:
    """A note that begins with a stroke is a note."""
    values: Values = {"BB-1/port/A/note": "/Off", "BB-1/port/B/note": "/Yes, but wet"}
    back = read(tmp_path / "walk.pdf", LIBRARIES[program](site_form, values))
    assert {name: back.values[name] for name in values} == values


# --- flattened and locked copies ----------------------------------------------------------------------------


def flattened_by_pdfium(pdf: bytes) -> bytes:
    """As a "print to PDF" leaves it: what was filled in is ink."""
    with closing(pypdfium2.PdfDocument(pdf)) as document:
        document.init_forms()
        for page in document:
            assert raw.FPDFPage_Flatten(page, raw.FLAT_NORMALDISPLAY) == raw.FLATTEN_SUCCESS
        out = io.BytesIO()
        document.save(out)
    return out.getvalue()


def flattened_by_pikepdf(pdf: bytes) -> bytes:
    """Flattened pages of which the form is left behind, without a place on any page."""
    out = io.BytesIO()
    with pikepdf.open(io.BytesIO(pdf)) as document:
        document.generate_appearance_streams()
        document.flatten_annotations("all")
        document.save(out)
    return out.getvalue()


@pytest.mark.parametrize("flatten", [flattened_by_pdfium, flattened_by_pikepdf])
def test_a_flattened_copy_is_refused(
    flatten: Callable[[bytes], bytes], tmp_path: Path, site_form: bytes, found: Values
) -> None:
    """Its fields are gone: it is called flattened, with what to do instead."""
    problem = returned(tmp_path / "walk.pdf", flatten(by_pikepdf(site_form, found)))
    assert isinstance(problem, Problem)
    assert problem.code == "return-flattened"
    assert "no form fields: it is a flattened or scanned copy" in problem.message
    assert problem.hint == "save the filled form itself, or type the findings into an empty one"


def protected(pdf: bytes, password: str, cipher: str) -> bytes:
    """A copy that only its owner may change, and that needs this password to open."""
    out = io.BytesIO()
    with pikepdf.open(io.BytesIO(pdf)) as document:
        document.save(out, encryption=CIPHERS[cipher](owner="owner", user=password))
    return out.getvalue()


CIPHERS = {
    "RC4": partial(pikepdf.Encryption, R=3, aes=False, metadata=False),
    "AES-128": partial(pikepdf.Encryption, R=4),
    "AES-256": partial(pikepdf.Encryption, R=6),
}


@pytest.mark.filterwarnings("ignore::UserWarning")  # pikepdf advises against the older ciphers
@pytest.mark.parametrize("cipher", CIPHERS)
def test_a_protected_copy_that_opens_is_read(
    cipher: str, tmp_path: Path, site_form: bytes, found: Values
) -> None:
    """It may not be changed without its owner's password; reading needs none."""
    pdf = by_pypdf(site_form, found)
    back = read(tmp_path / "walk.pdf", protected(pdf, "", cipher))
    assert back == read(tmp_path / "walk.pdf", pdf)


@pytest.mark.filterwarnings("ignore::UserWarning")
@pytest.mark.parametrize("cipher", CIPHERS)
def test_an_encrypted_copy_is_refused(cipher: str, tmp_path: Path, site_form: bytes) -> None:
    """One that needs a password to open: a problem that says so and what to do, no traceback."""
    problem = returned(tmp_path / "walk.pdf", protected(site_form, "secret", cipher))
    assert isinstance(problem, Problem)
    assert (problem.code, problem.message) == ("return-unreadable", "walk.pdf is encrypted")
    assert problem.hint == "save it without a password, and hand that in"


# --- texts as streams ---------------------------------------------------------------------------------------


def with_value(pdf: bytes, name: str, value: "Callable[[pikepdf.Pdf], pikepdf.Object]") -> bytes:
    """A form of which one field has that value."""
    out = io.BytesIO()
    with pikepdf.open(io.BytesIO(pdf)) as document:
        note = next(note for page in document.pages for note in page.Annots if str(note.T) == name)
        note.V = value(document)
        document.save(out)
    return out.getvalue()


TEXT = "rung out, K. Åberg – 3/4″"


@pytest.mark.parametrize(
    "data",
    [
        b"\xfe\xff" + TEXT.encode("utf-16-be"),
        b"\xff\xfe" + TEXT.encode("utf-16-le"),
        b"\xef\xbb\xbf" + TEXT.encode(),
    ],
    ids=["UTF-16 BE", "UTF-16 LE", "UTF-8"],
)
def test_a_text_kept_as_a_stream_is_read(data: bytes, tmp_path: Path, site_form: bytes) -> None:
    """ISO 32000-1, 12.7.4.3 (from memory): a text field's value is a string or a stream."""
    name = "BB-1/port/A/proved"
    pdf = with_value(site_form, name, lambda document: document.make_stream(data))
    assert read(tmp_path / "walk.pdf", pdf).values[name] == TEXT


def test_what_is_no_text_is_refused(tmp_path: Path, site_form: bytes) -> None:
    """A list where a unit belongs: refused with what to do, never read as something."""
    pdf = with_value(site_form, "BB-1/port/A/pipe/found", lambda _: pikepdf.Array([1]))
    problem = returned(tmp_path / "walk.pdf", pdf)
    assert isinstance(problem, Problem)
    assert problem.code == "return-unreadable"
    assert problem.message.endswith("a text field holds something other than a text")
    assert "hand in the form" in problem.hint


# --- public pre-functional forms ----------------------------------------------------------------------------
# The forms of the Unified Facilities Guide Specifications, section 23 08 00, carry for each item the initials
# of each role and the date, "X" for what does not apply, and numbered deficiencies (read). No public form was
# found that compares port with terminal and unit: that part is a method of our own.


def test_each_item_has_a_role_that_answers_for_it() -> None:
    """No item is anybody's: each names one of the three roles that sign."""
    assert {item.role for item in walk_items()} <= {"installer", "technician", "verifier"}


def printed_words(pdf: bytes) -> str:
    """Everything printed, in one line."""
    with closing(pypdfium2.PdfDocument(pdf)) as document:
        return " ".join(" ".join(page.get_textpage().get_text_range().split()) for page in document)


def test_each_role_is_printed_beside_its_item(site_plan: Plan, site_form: bytes) -> None:
    """The sheet says who answers for what the box is asked, as public forms head a column with each role.

    What is asked of labels at splitters is on it where the job prints those, and else nowhere.
    """
    words = printed_words(site_form)
    asked = {item.key for item in site_plan.job.items_asked}
    assert {item.key for item in walk_items()} - asked == {"splitters"}
    for item in walk_items():
        assert (item.text in words) == (item.key in asked), item.key
    for role in ("installer", "technician", "verifier"):
        beside_items = sum(item.role == role for item in walk_items() if item.per == "box")
        assert words.count(role.capitalize()) == len(SITE.boxes) * (beside_items + 1)  # and at its signature


def test_each_role_signs_and_dates(tmp_path: Path, site_form: bytes) -> None:
    """Every role has a place for its initials or name, and one for the date."""
    names = set(read(tmp_path / "walk.pdf", site_form).values)
    for box in ("BB-1", "BB-2"):
        for role in ("installer", "technician", "verifier"):
            assert {f"{box}/sign/{role}", f"{box}/date/{role}"} <= names


def test_what_does_not_apply_is_not_asked(tmp_path: Path, site_form: bytes) -> None:
    """Where a public form wants an X for not applicable, this one has no box to tick."""
    names = set(read(tmp_path / "walk.pdf", site_form).values)
    assert "BB-1/port/A/item/polarity" in names
    assert "BB-1/port/F/item/polarity" not in names  # a spare
    assert "BB-1/port/D/item/polarity" not in names  # the second of a pair: no cable lands


def test_deficiencies_are_numbered(tmp_path: Path, site_job: Path, site_form: bytes, found: Values) -> None:
    """What is to be corrected is numbered through, over all boxes, from 1."""
    values = found | {"BB-2/only/1/1": True}
    (tmp_path / "walk.pdf").write_bytes(by_pikepdf(site_form, values))
    boxes = readback([tmp_path / "walk.pdf"], site_job).boxes
    assert [punch.number for box in boxes for punch in box.punches] == [1, 2, 3]
