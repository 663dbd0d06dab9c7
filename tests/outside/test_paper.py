"""Papers have the sizes that the standards give them, in the stocks and in the finished PDFs."""

from pathlib import Path

import pypdf
import pypdfium2
import pytest
from pypdf.generic import DictionaryObject

from tagmaker.catalog.folders import names
from tagmaker.catalog.stock import Stock, load_stock
from tagmaker.problems import Where
from tagmaker.sheets.paper import paper_size
from tests.outside.finished import Finished

INCH = 25.4
PAPERS = {
    "a4": (210.0, 297.0),  # ISO 216 [read]
    "a5": (148.0, 210.0),  # ISO 216 [read]
    "a6": (105.0, 148.0),  # ISO 216 [read]
    "letter": (8.5 * INCH, 11 * INCH),  # ASME Y14.1, size A [read]
    "ledger": (11 * INCH, 17 * INCH),  # ASME Y14.1, size B [read]
    "4x6": (4 * INCH, 6 * INCH),  # the size that its name says [computed]
}


def paper(name: str) -> str:
    """The paper that a stock is named after."""
    return name.partition("-")[0]


SHEETS = [name for name in names("stocks", None) if paper(name) in PAPERS]
POINT = 72 / INCH


def stock(name: str) -> Stock:
    """A stock of the program's own, whatever it serves."""
    found, problems = load_stock(name, "", None, Where("job.toml"))
    assert problems == ()
    assert found
    return found


@pytest.mark.parametrize("name", SHEETS)
def test_a_sheet_has_its_papers_size(name: str) -> None:
    """A stock named after a paper has that paper's page, exactly; its long side may be across."""
    assert PAPERS[paper(name)] == pytest.approx(tuple(sorted(stock(name).page)), abs=1e-9)


def test_the_papers_are_there() -> None:
    """Both standards' common paper is among the label sheets and among the pages of placards."""
    assert {"a4", "letter", "4x6"} <= set(SHEETS)
    assert {"a4", "letter"} <= {paper(name) for name in SHEETS if "-" in name}


def test_finished_pdfs_have_the_media_boxes_of_their_papers(finished: Finished) -> None:
    """Every page's MediaBox is its stock's page in points of 1/72 in, from 0, 0, to a thousandth."""
    job = finished.plan.job
    expected = {f"tags-{each.name}.pdf": each.page for each in finished.stocks if each.shape != "strip"}
    width, height = paper_size(job)
    expected |= {"placards.pdf": job.prints.stocks["placard"].page}
    expected |= dict.fromkeys(("walk.pdf", "kits.pdf", "summary.pdf"), (width, height))
    for name, (width, height) in expected.items():
        for box in media_boxes(finished.out / name):
            assert box == pytest.approx((0, 0, width * POINT, height * POINT), abs=0.001)
    for box in media_boxes(finished.out / "bands.pdf"):  # on the same paper, upright or lying
        sides = [side * POINT for side in paper_size(job)]
        assert sorted(box) == pytest.approx([0, 0, *sides], abs=0.001)


def test_a_strip_is_as_long_as_its_boards_terminal_row(finished: Finished) -> None:
    """One page a board: the pitch of the terminals, as the job gives it, once for each port."""
    for strip in (each for each in finished.stocks if each.shape == "strip"):
        pitch = finished.plan.job.prints.terminal_pitch
        assert pitch
        ports = [len(board.letters) for box in finished.plan.boxes for board in box.boards]
        boxes = media_boxes(finished.out / f"tags-{strip.name}.pdf")
        assert [width for _, _, width, _ in boxes] == [
            pytest.approx(count * float(pitch.mm) * POINT, abs=0.001) for count in ports
        ]


def test_walk_sheets_are_on_a_standard_paper(finished: Finished) -> None:
    """A walk sheet is a letter or A4 page, the one that the job's other pages use."""
    job = finished.plan.job
    is_metric = any(sorted(each.page) == list(PAPERS["a4"]) for each in job.prints.stocks.values())
    assert PAPERS["a4" if is_metric else "letter"] == pytest.approx(paper_size(job), abs=1e-9)


def test_every_file_asks_to_be_printed_as_large_as_it_is(finished: Finished) -> None:
    """/PrintScaling /None, ISO 32000-1, table 150, since version 1.6; read by pypdf."""
    files = sorted(finished.out.glob("*.pdf"))
    assert len(files) > 2
    for path in files:
        reader = pypdf.PdfReader(path)
        preferences = reader.root_object["/ViewerPreferences"]
        assert isinstance(preferences, DictionaryObject)
        assert (path.name, str(preferences["/PrintScaling"])) == (path.name, "/None")
        assert reader.pdf_header >= "%PDF-1.6"


def media_boxes(pdf: Path) -> list[tuple[float, float, float, float]]:
    """The MediaBox of every page; none where the set has no such file."""
    if not pdf.exists():
        return []
    document = pypdfium2.PdfDocument(pdf)
    try:
        return [page.get_mediabox() for page in document]
    finally:
        document.close()
