"""Files within a PDF: other programs list and save them byte for byte, and find no fault."""

import io
import subprocess
from pathlib import Path

import pikepdf
import pytest

from tagmaker.draw.attachments import Attachment, Enclosed
from tagmaker.draw.marks import Page, Text
from tagmaker.draw.pdf import draw_pdf
from tagmaker.typeset.fonts import PLAIN, all_faces

FILES = (
    Attachment("register.csv", b"code,kind\nBB-1/A/LIQ,liquid\n", "text/csv", "the register (all tags)"),
    Attachment(
        "plan.json", '{"job": "\u00e9"}'.encode() * 400, "application/json", "the plan \u2013 as issued"
    ),
    Attachment("empty.txt", b"", "text/plain", ""),
)
PAGE = Page(60, 40, (Text(5, 10, "one", PLAIN, 4),))


def document(*files: Attachment, identifier: str = "") -> bytes:
    """A page with these files."""
    return draw_pdf("t", "", [PAGE], all_faces(), Enclosed(files, identifier))


def test_other_programs_list_and_save_them(tmp_path: Path) -> None:
    """As poppler and qpdf do, with names and every byte."""
    path = tmp_path / "whole.pdf"
    path.write_bytes(document(*FILES))
    subprocess.run(["pdfdetach", "-saveall", "-o", tmp_path, path], check=True)
    assert {file.name: (tmp_path / file.name).read_bytes() for file in FILES} == {
        file.name: file.content for file in FILES
    }
    listed = subprocess.run(
        ["qpdf", "--list-attachments", path], capture_output=True, text=True, check=True
    ).stdout
    assert [line.split()[0] for line in listed.splitlines()] == ["empty.txt", "plan.json", "register.csv"]
    assert subprocess.run(["qpdf", "--check", path], capture_output=True, check=False).returncode == 0


def test_they_are_associated_with_the_whole_document() -> None:
    """Each as data from which it was made, in the order given, with its size, media type and words."""
    with pikepdf.open(io.BytesIO(document(*FILES))) as pdf:
        associated = list(pdf.Root.AF)
        assert [(str(each.UF), str(each.AFRelationship)) for each in associated] == [
            (file.name, "/Data") for file in FILES
        ]
        for spec, file in zip(associated, FILES, strict=True):
            stream = spec.EF.UF
            assert (str(spec.Desc), str(stream.Subtype)) == (file.about, f"/{file.media}")
            assert int(stream.Params.Size) == len(file.content)
            assert spec.F == spec.UF


def test_without_files_nothing_is_added() -> None:
    """Every other document has neither names nor associated files, and the bytes that it had."""
    with pikepdf.open(io.BytesIO(document())) as pdf:
        assert {"/AF", "/Names"}.isdisjoint(pdf.Root.keys())
    assert document() == draw_pdf("t", "", [PAGE], all_faces())


def test_the_same_files_give_the_same_bytes() -> None:
    """They have no dates."""
    assert document(*FILES) == document(*FILES)


def test_two_files_of_one_name_are_a_bug() -> None:
    """One of them would be lost."""
    with pytest.raises(ValueError, match="one name"):
        document(FILES[0], FILES[0])


def test_the_identifier_is_in_the_metadata_as_plain_text() -> None:
    """Once in the file, not packed, so that it can be filled in when the file is whole."""
    pdf = document(identifier="sha256:<&>" + "0" * 64)
    assert pdf.count(b"0" * 64) == 1
    with pikepdf.open(io.BytesIO(pdf)) as opened, opened.open_metadata() as metadata:
        assert metadata["dc:identifier"] == "sha256:<&>" + "0" * 64
