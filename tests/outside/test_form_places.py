"""plan.json's places of fields against the finished PDF: its form by pikepdf, its ink alone by pdfium."""

import io
import json
from contextlib import closing
from pathlib import Path
from typing import Any

import pikepdf
import pypdfium2
import pytest
from PIL.Image import Image
from pypdf import PdfReader

from tagmaker.revisions.selection import Selection
from tagmaker.symbols.read import read_codes
from tagmaker.tags.walk_code import MARK, MARK_EDGE
from tagmaker.workflows import make
from tests.site.walks import SITE

MM = 25.4 / 72
PRINT = 4  # the flag of an annotation that is printed: ISO 32000-1, table 165 (from memory)
DOTS = 8  # a millimetre, as a coarse printer


@pytest.fixture(scope="module")
def out(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The finished set of a site."""
    folder = tmp_path_factory.mktemp("places")
    made = make.make(SITE.write(folder / "job"), folder / "out", Selection())
    assert made.files
    return folder / "out"


@pytest.fixture(scope="module")
def form_pages(out: Path) -> list[Any]:
    """What plan.json has of the pages of forms."""
    return list(json.loads((out / "plan.json").read_text(encoding="utf-8"))["form_pages"])


def test_every_printed_field_is_where_plan_json_says(out: Path, form_pages: list[Any]) -> None:
    """The same names on the same pages, within 0.01 mm; what no printer prints is left out."""
    with pikepdf.open(io.BytesIO((out / "walk.pdf").read_bytes())) as document:
        printed = [
            {str(note["/T"]): place_of(note, page) for note in page["/Annots"] if int(note["/F"]) & PRINT}
            for page in document.pages
        ]
    assert [(page["file"], page["page"]) for page in form_pages] == [
        ("walk.pdf", number) for number in range(1, len(printed) + 1)
    ]
    for page, fields in zip(form_pages, printed, strict=True):
        assert list(page["fields"]) == list(fields)
        for name, place in page["fields"].items():
            assert place == pytest.approx(fields[name], abs=0.01)


def place_of(note: Any, page: Any) -> list[float]:
    """x, y, width and height in mm from the page's top left corner."""
    left, bottom, right, top = (float(side) * MM for side in note["/Rect"])
    return [left, float(page.mediabox[3]) * MM - top, right - left, top - bottom]


def test_every_field_has_a_black_frame_on_paper(out: Path, form_pages: list[Any]) -> None:
    """Printed without its form each box and line still has its four edges in black, and white within."""
    for page, picture in zip(form_pages, bare_pictures(out / "walk.pdf"), strict=True):
        for name, (x, y, width, height) in page["fields"].items():
            edges = [(x, y + height / 2), (x + width, y + height / 2)]
            edges += [(x + width / 2, y), (x + width / 2, y + height)]
            assert [darkest(picture, at) < 60 for at in edges] == [True] * 4, name
            assert darkest(picture, (x + width / 2, y + height / 2)) == 255, name


def bare_pictures(pdf: Path) -> list[Image]:
    """The pages as grey pictures without what the form draws."""
    with closing(pypdfium2.PdfDocument(pdf)) as document:
        scale = DOTS * MM
        return [
            page.render(scale=scale, draw_annots=False, may_draw_forms=False).to_pil().convert("L")
            for page in document
        ]


def around(picture: Image, at: tuple[float, float]) -> Image:
    """The dots within 0.3 mm of a place."""
    x, y = (side * DOTS for side in at)
    return picture.crop((round(x) - 3, round(y) - 3, round(x) + 3, round(y) + 3))


def darkest(picture: Image, at: tuple[float, float]) -> float:
    """The darkest dot at a place."""
    low, _ = around(picture, at).getextrema()
    return float(str(low))


def test_a_page_is_found_by_its_code(form_pages: list[Any]) -> None:
    """Each page keeps the text of its code, and its fields are of the box that the code names."""
    for page in form_pages:
        word, box, *_ = page["code"].split(" ")
        assert word == "WALK"
        assert {name.partition("/")[0] for name in page["fields"]} == {box}


def test_places_are_written_in_a_line_each(out: Path) -> None:
    """A campus has 90,000 fields: a line a field, less than 90 bytes."""
    lines = (out / "plan.json").read_text(encoding="utf-8").splitlines()
    places = [line for line in lines if "/port/" in line and "[" in line]
    assert len(places) > 50
    assert all(line.rstrip(",").endswith("]") and len(line) < 90 for line in places)


def test_the_code_and_the_corner_squares_are_where_a_reader_looks(out: Path, form_pages: list[Any]) -> None:
    """The code within half a millimetre; the squares solid, and white around them."""
    near = MARK_EDGE + MARK / 2
    for page, picture in zip(form_pages, bare_pictures(out / "walk.pdf"), strict=True):
        (code,) = (each for each in read_codes(picture, DOTS * 25.4) if each.text == page["code"])
        assert [code.x, code.y, code.width, code.height] == pytest.approx(page["code_place"], abs=0.5)
        for x in (near, page["width_mm"] - near):
            for y in (near, page["height_mm"] - near):
                square = picture.crop(
                    (
                        round((x - 2) * DOTS),
                        round((y - 2) * DOTS),
                        round((x + 2) * DOTS),
                        round((y + 2) * DOTS),
                    )
                )
                assert square.getextrema() == (0, 0)
                ring = [(x + 4.2 * sign, y) for sign in (-1, 1)] + [(x, y + 4.2 * sign) for sign in (-1, 1)]
                assert [darkest(picture, at) for at in ring] == [255] * 4


def test_the_first_page_of_a_box_keeps_what_its_sheet_was_printed_for(
    out: Path, form_pages: list[Any]
) -> None:
    """The same text as the form's hidden field."""
    fields = PdfReader(out / "walk.pdf").get_fields() or {}
    hidden = {name: str(field["/V"]) for name, field in fields.items() if name.endswith("/printed-for")}
    kept = {page["code"].split(" ")[1]: page["printed_for"] for page in form_pages if page["printed_for"]}
    assert {f"{box}/printed-for": text for box, text in kept.items()} == hidden
