"""The edge of every page stays bare as far as its stock says that a printer does not print, seen on rasters.

An office printer whose own edge is not known leaves 6.35 mm (a quarter inch) bare: common practice.
"""

from pathlib import Path

import pypdfium2
import pytest
from PIL import Image

from tagmaker.catalog.folders import names
from tagmaker.catalog.stock import Stock, load_stock
from tagmaker.draw.pdf import draw_pdf
from tagmaker.plan.plan_job import plan_job
from tagmaker.problems import Where
from tagmaker.sheets.placard import placard_pages
from tagmaker.typeset.fonts import all_faces
from tests.outside.finished import Finished
from tests.records import replace
from tests.strategies import JobSketch, one_box, words

DPI = 300
MM = 25.4 / DPI
BARE = 200  # of 255: what is lighter is paper
OFFICE_MM = 6.35
HALF_LINE = 0.15  # mm by which a line on the margin may be thicker
STOCKS = [stock for name in names("stocks", None) if (stock := load_stock(name, "", None, Where(""))[0])]
PAGES = [stock for stock in STOCKS if stock.kind == "page"]
FULL = replace(
    one_box(
        *[(f"FC-{number}", letter, "53.999 kBtu/h") for number, letter in enumerate("ABCDEFGHIJKL")], ports=12
    ),
    number="ML-2024/117",
)
SMALL = one_box(("FC-1", "A", "12 kBtu/h"), ("AH-1", "C+D", "72 kBtu/h"))


def bare_edge(pdf: bytes | Path) -> float:
    """How far the nearest ink of any page is from the nearest edge of its page, in mm."""
    document = pypdfium2.PdfDocument(pdf)
    try:
        pictures = [page.render(scale=DPI / 72, grayscale=True).to_pil() for page in document]
    finally:
        document.close()
    return min(edge for picture in pictures for edge in edges(picture))


def edges(picture: Image.Image) -> tuple[float, ...]:
    """The bare edges of a page, in mm; those of a page without ink are as wide as the page."""
    left, top, right, bottom = picture.point(lambda grey: 255 * (grey < BARE)).getbbox() or (0, 0, 0, 0)
    return tuple(dots * MM for dots in (left, top, picture.width - right, picture.height - bottom))


@pytest.mark.parametrize("stock", PAGES, ids=lambda stock: stock.name)
@pytest.mark.parametrize("sketch", [FULL, SMALL], ids=["full", "small"])
def test_a_placard_keeps_the_margin_of_its_stock(stock: Stock, sketch: JobSketch) -> None:
    """A printer would cut what lies nearer to the edge, or scale the page to save it."""
    job = sketch.record()
    pages, problems = placard_pages(job, plan_job(job)[0].boxes[0], stock, words())
    assert problems == ()
    assert bare_edge(draw_pdf("", "", pages, all_faces())) >= stock.margin - HALF_LINE


def test_a_page_for_an_office_printer_says_its_margin() -> None:
    """No page stock leaves it to chance: 6.35 mm on paper, 1.5 mm on a label printer's page."""
    assert {stock.name: stock.margin for stock in PAGES} == {
        **dict.fromkeys(("a4", "a5", "half-letter", "letter"), OFFICE_MM),
        **dict.fromkeys(("4x6", "4x6-300dpi"), 1.5),
    }


def test_every_file_keeps_the_margin_of_its_paper(finished: Finished) -> None:
    """Label sheets that of their stock, other pages an office printer's; a strip is printed to its edges."""
    margins = {f"tags-{each.name}.pdf": each.margin for each in finished.stocks if each.kind == "sheet"}
    margins |= dict.fromkeys(("walk.pdf", "kits.pdf", "bands.pdf", "summary.pdf"), OFFICE_MM)
    margins["placards.pdf"] = finished.plan.job.prints.stocks["placard"].margin
    found = {path.name: bare_edge(path) for path in finished.out.glob("*.pdf") if path.name in margins}
    assert found
    assert [(name, edge) for name, edge in found.items() if edge < margins[name] - HALF_LINE] == []
