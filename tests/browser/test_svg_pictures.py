"""A page as SVG in a real browser, beside the same page as PDF by pdfium: the two pictures agree."""

import base64
import io
from pathlib import Path

import pytest
from PIL import Image, ImageChops, ImageFilter, ImageStat
from selenium import webdriver

from tagmaker.draw.marks import Page, Rect, Text
from tagmaker.draw.pdf import draw_pdf
from tagmaker.draw.svg import FONT_FAMILY, FONT_WEIGHTS, svg
from tagmaker.revisions.selection import Selection
from tagmaker.symbols.read import page_pictures
from tagmaker.typeset.fonts import all_faces
from tagmaker.typeset.web_fonts import web_font
from tagmaker.workflows.layout import lay_out
from tagmaker.workflows.planning import plan
from tests.paths import EXAMPLES

DPI = 192
JOBS = ("bakery", "bakery-extended", "clinic", "quay-hotel", "three-port-boards", "weir-school")
BLUR = 3  # pixels: each renderer rounds edges to a grey of its own
MOST, MEAN = 90, 6
"""Of 255: what two pictures of one page differ by at most in one place, and on average. A line that is moved
by half a millimetre, or a text in another face, differs by twice as much."""


def pages(job: str) -> list[tuple[str, Page]]:
    """The first page of each document of an example, by its file."""
    checked = plan(EXAMPLES / job)
    _, laid_out = lay_out(checked, Selection(prints_all=True), lambda *_: None, inks=None)
    assert laid_out
    return [(each.file, each.sheets[0].page) for each in laid_out.documents]


def printed(page: Page) -> Image.Image:
    """The page as pdfium shows it."""
    return next(page_pictures(draw_pdf("Title", "Author", [page], all_faces()), DPI)).convert("L")


def shown(driver: webdriver.Chrome, folder: Path, page: Page, size: tuple[int, int]) -> Image.Image:
    """The page as the browser shows its SVG, in so many pixels."""
    width, height = size
    fonts = "".join(
        f"@font-face {{ font-family: {FONT_FAMILY}; font-weight: {weight}; "
        f"src: url(data:font/woff;base64,{base64.b64encode(web_font(name)).decode()}) }}"
        for name, weight in FONT_WEIGHTS.items()
    )
    rules = f"{fonts} body {{ margin: 0 }} svg {{ display: block; width: {width}px; height: {height}px }}"
    drawn = svg(page, all_faces(), "Page").replace("<svg ", '<svg preserveAspectRatio="none" ', 1)
    text = f"<!doctype html><meta charset=utf-8><style>{rules}</style>{drawn}"
    path = folder / "page.html"
    path.write_text(text, encoding="utf-8")
    driver.get(path.as_uri())
    driver.execute_async_script("document.fonts.ready.then(arguments[0])")
    clip = {"x": 0, "y": 0, "width": width, "height": height, "scale": 1}
    seen = driver.execute_cdp_cmd(
        "Page.captureScreenshot", {"format": "png", "clip": clip, "captureBeyondViewport": True}
    )
    return Image.open(io.BytesIO(base64.b64decode(seen["data"]))).convert("L")


def difference(driver: webdriver.Chrome, folder: Path, page: Page, other: Page) -> tuple[float, float]:
    """By how much a page as printed differs from one as shown, at most and on average, in greys of 255."""
    first = printed(page)
    second = shown(driver, folder, other, first.size)
    assert second.size == first.size  # else only a corner is compared
    soft = [image.filter(ImageFilter.GaussianBlur(BLUR)) for image in (first, second)]
    between = ImageChops.difference(*soft)
    levels = between.histogram()
    return max(grey for grey, count in enumerate(levels) if count), ImageStat.Stat(between).mean[0]


@pytest.mark.parametrize("job", JOBS)
def test_a_page_looks_in_a_browser_as_it_is_printed(
    job: str, browser: webdriver.Chrome, tmp_path: Path
) -> None:
    """The first page of each document of each example."""
    for file, page in pages(job):
        most, mean = difference(browser, tmp_path, page, page)
        assert (file, most <= MOST, mean <= MEAN) == (file, True, True), (most, mean)


def test_a_mark_that_is_moved_or_in_another_face_is_seen(browser: webdriver.Chrome, tmp_path: Path) -> None:
    """The comparison can fail: half a millimetre, and the plain face for the bold one."""
    text = Text(10, 20, "FC-101", "bold", 6.0)
    page = Page(60, 40, (Rect(5, 5, 50, 30, line=1), text))
    others = (
        Page(60, 40, (Rect(5.5, 5, 50, 30, line=1), text)),
        Page(60, 40, (page.marks[0], Text(10, 20, "FC-101", "plain", 6.0))),
    )
    assert difference(browser, tmp_path, page, page)[0] <= MOST
    for other in others:
        assert difference(browser, tmp_path, page, other)[0] > MOST


def test_a_page_that_is_moved_for_a_printer_is_moved_alike(browser: webdriver.Chrome, tmp_path: Path) -> None:
    """What undoes a printer's offset is in both."""
    page = Page(60, 40, (Rect(5, 5, 40, 25, fill=0.4), Text(10, 20, "C", "bold", 6.0)), (1.02, 0.98, 1.5, -2))
    most, mean = difference(browser, tmp_path, page, page)
    assert (most <= MOST, mean <= MEAN) == (True, True)
