"""Names in a PDF: they read back exactly as they are, and bring no object, action or page with them."""

import io
from pathlib import Path

import pikepdf
import pypdfium2
import pytest
from pypdf import PdfReader

from tagmaker.draw.marks import Field, Page, Text
from tagmaker.draw.pdf import draw_pdf
from tagmaker.problems import has_errors
from tagmaker.revisions.selection import Selection
from tagmaker.typeset.fonts import PLAIN, all_faces
from tagmaker.workflows import make
from tests.job_files import write_files
from tests.strategies import one_box

HOSTILE = (
    "(", ")", "\\", "%", "((", "))", "\\)", "a) Tj ET (b", ") /AA <</S/JavaScript/JS(app.alert(1))>> (",
    "endstream endobj", "<</S/URI/URI(http://x)>>", ">>", "<<", "[", "]", "<", ">", "/Name#20", "\\101\\n",
    "'\"`$%&", "trailer startxref 0 %%EOF", "q Q BT ET", "e' é ü ß ½ ×", "100 %", "A" * 55,
)  # fmt: skip
"""Texts that mean something to a PDF's syntax, each at most as long as a name of a job may be."""
ACTIONS = (
    "/JS",
    "/JavaScript",
    "/AA",
    "/OpenAction",
    "/Launch",
    "/URI",
    "/SubmitForm",
    "/EmbeddedFile",
    "/RichMedia",
)


def register_of(toml: str, folder: Path) -> str:
    """The register of a job's set."""
    write_files(folder, {"job.toml": toml})
    made = make.make(folder, folder / "out", selection=Selection(proof=False))
    assert not has_errors(made.checked.problems)
    return (folder / "out" / "register.csv").read_text(encoding="utf-8")


def drawn(text: str) -> bytes:
    """A page with a text and a form field, both of that name, and kept with it."""
    marks = (
        Text(5, 20, text, PLAIN, 2.0),
        Field(5, 30, 40, 5, "text", f"BX/{text}", text),
        Field(5, 40, 4, 4, "check", f"BX/check/{text}", text),
        Field(5, 50, 40, 5, "kept", "BX/kept", "kept", value=text),
    )
    return draw_pdf(text, text, [Page(200, 100, marks)], all_faces())


def shape(pdf: bytes) -> list[tuple[str, ...]]:
    """Every object's kind and keys, in order."""
    with pikepdf.open(io.BytesIO(pdf)) as document:
        return [
            tuple(sorted(each.keys()))
            if isinstance(each, pikepdf.Dictionary | pikepdf.Stream)
            else (str(type(each)),)
            for each in document.objects
        ]


@pytest.mark.parametrize("text", HOSTILE)
def test_a_name_adds_no_object(text: str) -> None:
    """The document has the objects of one with a harmless name, each with the same keys."""
    pdf = drawn(text)
    assert shape(drawn("harmless")) == shape(pdf)
    with pikepdf.open(io.BytesIO(pdf)) as document:
        assert document.check_pdf_syntax() == []
        keys = {key for each in document.objects if isinstance(each, pikepdf.Dictionary) for key in each}
        assert keys.isdisjoint(ACTIONS)


@pytest.mark.parametrize("text", HOSTILE)
def test_a_name_reads_back_exactly(text: str) -> None:
    """By three readers: on the page, in the title, in the form's names, what is told of them, and values."""
    pdf = drawn(text)
    with pikepdf.open(io.BytesIO(pdf)) as document:
        info = document.docinfo
        assert (str(info["/Title"]), str(info["/Author"])) == (text, text)
    reader = PdfReader(io.BytesIO(pdf))
    fields = reader.get_fields() or {}
    assert set(fields) == {f"BX/{text}", f"BX/check/{text}", "BX/kept"}
    assert fields["BX/kept"]["/V"] == text
    assert {fields[name]["/TU"] for name in fields if name != "BX/kept"} == {text}
    page = pypdfium2.PdfDocument(pdf)[0]
    told = page.get_textpage().get_text_bounded().replace("\r\n", "\n").split("\n")
    assert text in told


def test_a_jobs_names_are_text_wherever_they_are_printed(tmp_path: Path) -> None:
    """Every document of a set whose every text is hostile has no action, and opens without a fault."""
    evil = ") Tj ET (/JS \\"
    box = f"place = '''{evil}'''\npower = '''{evil}'''\nshown = 'A)(\\'\nbank_names = [')(', '\\']\n"
    toml = one_box(("FC-1", "A", "24 kBtu/h")).toml()
    toml = toml.replace("ports = 4\n", f"ports = 4\n{box}").replace(
        "Marsh Lane Library", "M) /S /JavaScript ("
    )
    register_of(f"{toml}room = '''{evil}'''\naddress = '2-07'\n", tmp_path)
    for path in sorted((tmp_path / "out").glob("*.pdf")):
        with pikepdf.open(path) as document:
            keys = {key for each in document.objects if isinstance(each, pikepdf.Dictionary) for key in each}
            assert keys.isdisjoint(ACTIONS), path
    whole = "".join(page.extract_text() for page in PdfReader(tmp_path / "out" / "placards.pdf").pages)
    assert evil in whole
