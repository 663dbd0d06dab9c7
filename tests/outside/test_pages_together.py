"""Pages that belong together say so: job, revision and page of how many, as pdfium reads them back."""

import re
from pathlib import Path

import pypdfium2
import pytest

from tagmaker.catalog.stock import Stock
from tests.outside.finished import Finished

LISTS = ("kits.pdf", "bands.pdf", "summary.pdf")
CLEAR, LINE = 1.5, 3.5  # mm
PAGE = re.compile(r"page (\d+) of (\d+)")


def texts(pdf: Path) -> list[str]:
    """The text of each page, its lines joined."""
    with pypdfium2.PdfDocument(pdf) as document:
        return [" ".join(page.get_textpage().get_text_range().split()) for page in document]


def numbered(pages: list[str]) -> list[tuple[int, int]]:
    """Which page of how many each page says that it is."""
    return [(int(number), int(of)) for text in pages for number, of in PAGE.findall(text)[-1:]]


@pytest.mark.parametrize("name", LISTS)
def test_every_page_of_a_list_names_job_and_revision(finished: Finished, name: str) -> None:
    """On each page: a page that was dropped is known, and is known to be old."""
    job = finished.plan.job
    if not (finished.out / name).exists():
        assert name == "bands.pdf"
        return
    for text in texts(finished.out / name):
        assert f"{job.number} {job.name}".strip() in text
        assert f"Revision {job.revision}" in text


@pytest.mark.parametrize("name", ["bands.pdf", "summary.pdf"])
def test_pages_of_a_list_are_numbered_from_the_first_to_the_last(finished: Finished, name: str) -> None:
    """Page 1 of n to page n of n, each once."""
    if (finished.out / name).exists():
        pages = texts(finished.out / name)
        assert numbered(pages) == [(number, len(pages)) for number in range(1, len(pages) + 1)]


def test_slips_and_rooms_are_numbered_each_for_itself(finished: Finished) -> None:
    """They are handed to different people."""
    pages = texts(finished.out / "kits.pdf")
    slips = [text for text in pages if "LABEL KITS" in text]
    rooms = [text for text in pages if "AT THE UNITS, BY ROOM" in text]
    assert [*slips, *rooms] == pages
    for part in (slips, rooms):
        last = [(number, len(part)) for number in range(1, len(part) + 1)]
        assert [each[-1] for each in (PAGE.findall(text) for text in part)] == [
            (str(number), str(of)) for number, of in last
        ]


def test_label_sheets_are_numbered_in_their_margin(finished: Finished) -> None:
    """Job and page, as the slip of the box names them, wherever the margin has room for the line."""
    job = finished.plan.job
    for stock in {each.name: each for each in finished.stocks}.values():
        pdf = finished.out / f"tags-{stock.name}.pdf"
        if stock.kind != "sheet" or not pdf.exists():
            continue
        pages = texts(pdf)
        last = [(number, len(pages)) for number in range(1, len(pages) + 1)]
        assert numbered(pages) == (last if has_room(stock) else [])
        if has_room(stock):
            assert all(job.name in text or job.number in text for text in pages)


def has_room(stock: Stock) -> bool:
    """Whether a line of 2.3 mm capitals has room above or below the labels, 1.5 mm clear of them."""
    above = stock.first[1]
    below = stock.page[1] - stock.corner(stock.per_page - 1)[1] - stock.label[1]
    return max(above, below) - stock.margin - CLEAR >= LINE
