"""One finished set through renderers that nobody here wrote, in one bit at 203 and 300 dots an inch.

The set has rolls of both resolutions, label sheets, a strip, and a placard of 4 x 6 in. Every code reads
where the register says, on its own page; at its printer's own dots every module is whole dots.
"""

import numpy as np
import pytest
import zxingcpp
from PIL import Image

from tagmaker.catalog.stock import Stock
from tests.outside.finished import PLACARDS, Finished, make
from tests.outside.renderers import RENDERERS, one_bit
from tests.tags.facts import code_texts

JOB = "quay-hotel"
MM_AN_INCH = 25.4
SLACK_MM = 0.5  # a reader's corners are found to about a module
FINDER = 7  # modules, the side of a QR code's finder pattern, ISO/IEC 18004 [memory]
QR_FORMAT = zxingcpp.BarcodeFormat.QRCode
PAGES_MEASURED = 4  # of each stock


@pytest.fixture(scope="module")
def printed(tmp_path_factory: pytest.TempPathFactory) -> Finished:
    """The set, made once for all renderers."""
    return make(JOB, tmp_path_factory.mktemp("printed"))


def stock_of(printed: Finished, file: str) -> Stock:
    """The stock of a label file."""
    return next(each for each in printed.stocks if file == f"tags-{each.name}.pdf")


def within(code: zxingcpp.Barcode, row: dict[str, str], dots: float) -> bool:
    """Whether a code lies within its label as the register gives it."""
    place = code.position
    corners = (place.top_left, place.top_right, place.bottom_left, place.bottom_right)
    left, top, width, height = (float(row[key]) for key in ("x_mm", "y_mm", "width_mm", "height_mm"))
    return all(
        left - SLACK_MM <= corner.x / dots <= left + width + SLACK_MM
        and top - SLACK_MM <= corner.y / dots <= top + height + SLACK_MM
        for corner in corners
    )


@pytest.mark.parametrize("dpi", [203, 300])
@pytest.mark.parametrize("renderer", RENDERERS)
def test_every_code_reads_where_the_register_says(printed: Finished, renderer: str, dpi: int) -> None:
    """One symbol a label on the page and label of its row, and no other: a tenth of a second a page."""
    missed, read = [], 0
    for file in printed.tag_files:
        for number, picture in one_bit(renderer, printed.out / file, dpi):
            rows = [row for row in printed.coded if (row["file"], row["page"]) == (file, str(number))]
            codes = {code.text: code for code in zxingcpp.read_barcodes(picture)}
            right = [
                row
                for row in rows
                if (code := codes.get(row["code"])) and within(code, row, dpi / MM_AN_INCH)
            ]
            missed += [row["code"] for row in rows if row not in right]
            assert set(codes) == {row["code"] for row in right}
            read += len(right)
    assert (missed, read) == ([], len(printed.coded))


@pytest.mark.parametrize("dpi", [203, 300])
@pytest.mark.parametrize("renderer", RENDERERS)
def test_both_codes_of_every_placard_read(printed: Finished, renderer: str, dpi: int) -> None:
    """Both forms of the text of its box, whichever page they are on."""
    read = [
        code.text
        for _, picture in one_bit(renderer, printed.out / PLACARDS, dpi)
        for code in zxingcpp.read_barcodes(picture)
    ]
    texts = [text for box in printed.plan.boxes for text in code_texts(printed.plan.job, box)]
    assert sorted(read) == sorted(texts)


@pytest.mark.parametrize("renderer", RENDERERS)
def test_the_code_of_every_walk_page_reads(printed: Finished, renderer: str) -> None:
    """Each page of the verification sheet says which it is: by its number and how many there are."""
    found = {
        number: [code.text for code in zxingcpp.read_barcodes(picture)]
        for number, picture in one_bit(renderer, printed.out / "walk.pdf", 300)
    }
    (box,) = printed.plan.boxes
    for number, texts in found.items():
        assert [text.split()[:3] for text in texts] == [["WALK", box.row.key, f"{number}/{len(found)}"]]


@pytest.mark.parametrize("renderer", RENDERERS)
def test_modules_are_whole_dots_of_the_printer(printed: Finished, renderer: str) -> None:
    """At a stock's own dots each module is as wide as every other: 4 dots and 0.4 mm, or more."""
    measured = set()
    for file in printed.tag_files:
        stock = stock_of(printed, file)
        if not stock.dots_per_mm or stock.symbol != "qr":
            continue
        pages = list(one_bit(renderer, printed.out / file, stock.dots_per_mm * MM_AN_INCH))
        for _, picture in pages[:PAGES_MEASURED]:
            for code in zxingcpp.read_barcodes(picture, formats=(QR_FORMAT,)):
                check_modules(picture, code, stock)
                measured.add(stock.name)
    assert {stock_of(printed, f"tags-{name}.pdf").dots_per_mm for name in measured} == {8, 300 / MM_AN_INCH}


def check_modules(picture: Image.Image, code: zxingcpp.Barcode, stock: Stock) -> None:
    """Every run of dots along every row of a symbol is a whole number of modules."""
    place = code.position
    xs, ys = (
        sorted((place.top_left.x, place.bottom_right.x)),
        sorted((place.top_left.y, place.bottom_right.y)),
    )
    reach = 3  # dots, less than the quiet zone
    area = np.asarray(picture.crop((xs[0] - reach, ys[0] - reach, xs[1] + reach, ys[1] + reach))) < 128
    columns, rows = np.flatnonzero(area.any(axis=0)), np.flatnonzero(area.any(axis=1))
    ink = area[rows[0] : rows[-1] + 1, columns[0] : columns[-1] + 1]
    module, rest = divmod(int(np.flatnonzero(~ink[1])[0]), FINDER)
    assert (rest, module >= 4, module / stock.dots_per_mm >= 0.4) == (0, True, True)
    assert ink.shape[1] % module == 0
    for row in ink[module // 2 :: module]:
        edges = np.flatnonzero(np.diff(row.astype(np.int8))) + 1
        assert set((edges % module).tolist()) <= {0}
