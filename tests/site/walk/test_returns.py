"""What came back: forms, phones' files and folders of them; whatever else is a problem, never a traceback."""

import io
import json
import random
from pathlib import Path
from typing import cast

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from pypdf import PdfReader, PdfWriter
from pypdf.generic import DictionaryObject, NameObject, TextStringObject
from reportlab.pdfgen.canvas import Canvas

from tagmaker.problems import Problem
from tagmaker.site.walk import returns
from tagmaker.site.walk.returns import Return, read_returns
from tagmaker.tags.walk import WALK_FORMAT, printed_for
from tests.site.walks import SINGLE, Values, as_planned, filled, form, phone, plan_of


def read(path: Path) -> Return:
    """A file that must be readable."""
    (result,) = read_returns([path])
    assert isinstance(result, Return)
    return result


def refused(path: Path) -> Problem:
    """A file that must be a problem."""
    (result,) = read_returns([path])
    assert isinstance(result, Problem)
    return result


def written(path: Path, content: bytes | str) -> Path:
    """A file of that content."""
    path.write_bytes(content.encode() if isinstance(content, str) else content)
    return path


# --- what a file says ---------------------------------------------------------------------------------------


def test_a_form_and_a_phones_file_say_the_same(tmp_path: Path, site_job: Path, site_form: bytes) -> None:
    """The same findings: the same ticks and texts, and the same of what each box was printed for."""
    plan = plan_of(site_job)
    values = as_planned(plan) | {"BB-1/port/A/pipe/found": "FC-5", "BB-2/port/B/note": "drain – dry"}
    pdf = read(written(tmp_path / "walk.pdf", filled(site_form, values)))
    json_ = read(written(tmp_path / "walk.json", phone(plan, values)))
    assert {name: value for name, value in pdf.values.items() if value} == json_.values == values
    assert pdf.printed == json_.printed == {box.row.key: printed_for(plan.job, box) for box in plan.boxes}


def test_texts_lose_the_space_around_them(tmp_path: Path, site_job: Path, site_form: bytes) -> None:
    """A blank alone is nothing."""
    values: Values = {"BB-1/port/A/note": " wet ", "BB-1/port/B/note": "  "}
    for path in (
        written(tmp_path / "walk.pdf", filled(site_form, values)),
        written(tmp_path / "walk.json", phone(plan_of(site_job), values)),
    ):
        back = read(path).values
        assert [back[name] for name in values] == ["wet", ""]


@pytest.mark.parametrize("name", ["walk.PDF", "a walk (2).pdf", "Gänge.pdf"])
def test_a_forms_name_may_be_any(name: str, tmp_path: Path, site_form: bytes) -> None:
    """Capitals, spaces, and signs outside ASCII."""
    path = written(tmp_path / name, site_form)
    assert read(path).source == str(path)


@pytest.mark.parametrize("name", ["walk.json", "walk.txt", "pasted"])
def test_a_phones_file_may_be_a_pasted_text(name: str, tmp_path: Path, site_job: Path) -> None:
    """The text that the phone shows, saved by hand, with a byte order mark or without."""
    text = phone(plan_of(site_job), {"BB-1/left/seen": True})
    for content in (text, f"\ufeff{text}", text.replace("\n", "\r\n")):
        assert read(written(tmp_path / name, content)).values == {"BB-1/left/seen": True}


def test_a_hidden_text_keeps_its_lines(tmp_path: Path, site_job: Path, site_form: bytes) -> None:
    """A viewer that saves other line ends changes nothing of what a sheet was printed for."""
    plan = plan_of(site_job)
    expected = printed_for(plan.job, plan.boxes[0])
    for end in ("\r", "\r\n", "\n"):
        path = written(tmp_path / "walk.pdf", site_form)
        writer = PdfWriter(clone_from=PdfReader(path))
        field = writer.pages[0].annotations[0].get_object()  # type: ignore[index]
        field[NameObject("/V")] = TextStringObject(expected.replace("\n", end))
        writer.write(path)
        assert read(path).printed["BB-1"] == expected


# --- many files ---------------------------------------------------------------------------------------------


def test_a_folder_stands_for_its_files(tmp_path: Path, site_job: Path, site_form: bytes) -> None:
    """And for those of its folders, in the order of their names; what a system hides in it is none."""
    names = ("a.json", "b.pdf", "c/kim.json")
    (tmp_path / "c").mkdir()
    for name in (*names, ".listing", "c/.listing"):
        written(tmp_path / name, site_form if name.endswith("pdf") else phone(plan_of(site_job), {}))
    sources = [each.source for each in read_returns([tmp_path]) if isinstance(each, Return)]
    assert sources == [str(tmp_path / name) for name in names]


def test_two_files_of_one_name_are_told_apart(tmp_path: Path, site_job: Path) -> None:
    """Two people hand in a walk.json each: both are named by their folders."""
    paths = [tmp_path / who / "walk.json" for who in ("kim", "max")]
    for path in paths:
        path.parent.mkdir()
        written(path, phone(plan_of(site_job), {}))
    assert [read(path).source for path in paths] == [str(path) for path in paths]


def test_one_bad_file_spoils_no_other(tmp_path: Path, site_job: Path) -> None:
    """It is a problem; the others are read."""
    written(tmp_path / "a.json", "{}")
    written(tmp_path / "b.json", phone(plan_of(site_job), {}))
    bad, good = read_returns([tmp_path])
    assert isinstance(bad, Problem)
    assert isinstance(good, Return)


# --- broken and foreign files -------------------------------------------------------------------------------

HEAD = '{"format": "tagmaker walk 1", "boxes": '
NO_JSON: dict[str, str | bytes] = {
    "empty": "",
    "no JSON": "hello",
    "cut short": HEAD + '[{"box": "BB-1", "printed_for": "", "fie',
    "a list": "[]",
    "a number": "7",
    "an object": "{}",
    "another format": '{"format": "tagmaker walk 2", "boxes": []}',
    "boxes a number": HEAD + "7}",
    "a box a text": HEAD + '["BB-1"]}',
    "a box without fields": HEAD + '[{"box": "BB-1", "printed_for": ""}]}',
    "fields a list": HEAD + '[{"box": "BB-1", "printed_for": "", "fields": []}]}',
    "systems a number": HEAD + '[], "systems": 7}',
    "a system without fields": HEAD + '[], "systems": [{"system": "HR-1", "printed_for": ""}]}',
    "a field of another system": HEAD
    + '[], "systems": [{"system": "HR-1", "printed_for": "", "fields": {"system/HR-2/test/relief": true}}]}',
    "a text for a system's tick": HEAD
    + '[], "systems": [{"system": "HR-1", "printed_for": "", "fields": {"system/HR-1/test/relief": "x"}}]}',
    "a box's field at a system": HEAD
    + '[], "systems": [{"system": "HR-1", "printed_for": "", "fields": {"BB-1/left/seen": true}}]}',
    "deep": "[" * 100_000,
    "UTF-16": "hello".encode("utf-16"),
    "not UTF-8": b'{"format": "\xff"}',
    "a picture": b"\x89PNG\r\n\x1a\n\0\0\0\rIHDR",
}


@pytest.mark.parametrize("case", NO_JSON)
def test_what_no_phone_exported_is_refused(case: str, tmp_path: Path) -> None:
    """Whatever is in the file: one problem that names it and says what to hand in."""
    path = written(tmp_path / "walk.json", NO_JSON[case])
    problem = refused(path)
    assert problem.code == "return-unreadable"
    assert problem.message == f"{path.name} is not a phone export"
    assert "the file that the phone exported" in problem.hint


KEYS = st.sampled_from(("box", "boxes", "printed_for", "fields", "format"))
ANY_JSON = st.recursive(
    st.none() | st.booleans() | st.text() | st.integers(),
    lambda inner: st.lists(inner) | st.dictionaries(KEYS, inner),
)


@given(ANY_JSON)
@settings(max_examples=100, deadline=None)
def test_no_json_is_a_traceback(tmp_path_factory: pytest.TempPathFactory, content: object) -> None:
    """Any JSON in the boxes' place is read or refused."""
    path = tmp_path_factory.getbasetemp() / "any.json"
    written(path, json.dumps({"format": WALK_FORMAT, "boxes": content}))
    (result,) = read_returns([path])
    assert isinstance(result, Return | Problem)


NO_PDF: dict[str, bytes] = {
    "empty": b"",
    "a text": b"hello",
    "a header alone": b"%PDF-1.7\n",
    "a cross table to nowhere": b"%PDF-1.4\nxref\n0 1\ntrailer<</Root 9 0 R>>\nstartxref\n9\n%%EOF",
}


@pytest.mark.parametrize("case", NO_PDF)
def test_what_is_no_pdf_is_refused(
    case: str, tmp_path: Path, caplog: pytest.LogCaptureFixture, capsys: pytest.CaptureFixture[str]
) -> None:
    """One problem, and nothing else is said of it anywhere."""
    problem = refused(written(tmp_path / "walk.pdf", NO_PDF[case]))
    assert (problem.code, problem.where.file) == ("return-unreadable", str(tmp_path / "walk.pdf"))
    assert (caplog.text, *capsys.readouterr()) == ("", "", "")


def test_a_damaged_form_is_no_traceback(tmp_path: Path) -> None:
    """A form cut, or with bytes changed or lost anywhere: read, or one problem."""
    whole = form(plan_of(SINGLE.write(tmp_path / "job")))
    chance = random.Random(7)  # noqa: S311 — the same damage every time
    for _ in range(40):
        pdf = bytearray(whole)
        for _ in range(chance.randint(1, 30)):
            start = chance.randrange(len(pdf))
            pdf[start : start + chance.randint(0, 9)] = chance.randbytes(chance.randint(0, 3))
        end = chance.choice((len(pdf), chance.randrange(len(pdf))))
        (result,) = read_returns([written(tmp_path / "walk.pdf", bytes(pdf[:end]))])
        assert isinstance(result, Return | Problem)


def test_a_form_whose_last_saving_was_cut_is_refused(
    tmp_path: Path, site_job: Path, site_form: bytes
) -> None:
    """A tick that was taken back is lost with it: the fields would be those of the day before."""
    tick = "BB-1/port/A/pipe/ok"
    day = filled(site_form, as_planned(plan_of(site_job)))
    writer, out = PdfWriter(io.BytesIO(day), incremental=True), io.BytesIO()
    for note in writer.pages[0].annotations or ():
        field = cast("DictionaryObject", note.get_object())
        if str(field["/T"]) == tick:
            field[NameObject("/V")] = field[NameObject("/AS")] = NameObject("/Off")
    writer.write(out)
    saved = out.getvalue()
    assert saved.startswith(day)
    path = tmp_path / "walk.pdf"
    assert [read(written(path, each)).values[tick] for each in (day, saved, saved + b"\r\n\x00")] == [
        True,
        False,
        False,
    ]
    for end in (len(day) + 40, len(saved) - 8):
        assert refused(written(path, saved[:end])).message.startswith("walk.pdf does not end as a PDF does")


def other_pdf(path: Path, fields: int) -> Path:
    """A page of somebody else's, with so many fields."""
    out = io.BytesIO()
    canvas = Canvas(out)
    canvas.drawString(72, 72, "BB-1")
    for number in range(fields):
        canvas.acroForm.textfield(name=f"line{number}", x=72, y=72 + 40 * number)
    canvas.save()
    return written(path, out.getvalue())


def test_a_pdf_without_fields_is_flattened(tmp_path: Path) -> None:
    """A scan or a print: refused, and what to do instead."""
    problem = refused(other_pdf(tmp_path / "scan.pdf", 0))
    assert problem.code == "return-flattened"
    assert problem.hint == "save the filled form itself, or type the findings into an empty one"


def test_another_form_is_no_walk_sheet(tmp_path: Path) -> None:
    """A form whose fields are none of a walk's: one problem, not one for each field."""
    problem = refused(other_pdf(tmp_path / "tax.pdf", 9))
    assert (problem.code, problem.message) == (
        "return-unreadable",
        "tax.pdf is a form, but none of the sheets of a set",
    )


def test_what_is_not_there_is_refused(tmp_path: Path) -> None:
    """A path that does not exist, or is not a regular file."""
    missing, device = refused(tmp_path / "none.pdf"), refused(Path("/dev/null"))
    assert (missing.code, missing.message) == ("return-unreadable", "none.pdf does not exist")
    assert (device.code, device.message) == ("return-unreadable", "null is not a regular file")


def test_a_huge_file_is_not_opened(tmp_path: Path) -> None:
    """Over 50 MB it is no walk sheet."""
    path = tmp_path / "walk.pdf"
    with path.open("wb") as file:
        file.truncate(50_000_001)
    assert refused(path).code == "return-unreadable"


def test_a_file_that_may_not_be_read_is_refused(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The system's reason is told."""

    def deny(*_: object) -> bytes:
        raise PermissionError(13, "Permission denied")

    path = written(tmp_path / "walk.json", "{}")
    monkeypatch.setattr(returns, "read_plain", deny)
    assert refused(path).message == f"{path.name} cannot be read: Permission denied"
