"""Every code of the finished PDFs, read by an independent decoder (zxing-cpp) from rasters at 300 dpi."""

from PIL.Image import Image

from tagmaker.symbols.encode import code128, qr
from tagmaker.tags.placard_text import placard_text
from tests.outside.finished import MM, Finished, Read, pages
from tests.outside.test_crc import crc32

PLACARDS = "placards.pdf"
WHITE = 250
EDGE_MM = 0.2  # zxing-cpp gives corners in whole pixels; an edge is blurred over one or two


def test_every_tags_code_reads_as_its_register_says_where_it_says(finished: Finished) -> None:
    """Each symbol lies in one registered rectangle and says that row's code; no row is without its symbol."""
    expected = sorted((row["file"], row["page"], row["code"], row["code"]) for row in finished.register)
    actual = sorted(
        (file, str(page), code.text, row["code"])
        for file, page, code in tag_codes(finished)
        for row in finished.register
        if (row["file"], row["page"]) == (file, str(page)) and lies_in(code, row)
    )
    assert expected == actual


def test_every_tag_has_one_code_and_no_code_stands_twice(finished: Finished) -> None:
    """As many symbols as rows, all different: the register leaves out nothing that is printed."""
    texts = [code.text for _, _, code in tag_codes(finished)]
    assert sorted(row["code"] for row in finished.register) == sorted(texts)
    assert len(set(texts)) == len(texts) > 0


def test_a_stock_has_the_kind_of_symbol_that_it_asks_for(finished: Finished) -> None:
    """QR codes or Code 128, file by file."""
    stocks = {f"tags-{stock.name}.pdf": stock for stock in finished.plan.job.prints.stocks.values()}
    assert [stocks[file].symbol for file, _, _ in tag_codes(finished)] == [
        code.kind for _, _, code in tag_codes(finished)
    ]


def test_every_placards_code_is_the_placards_text(finished: Finished) -> None:
    """One code a box, in the job's order, word for word."""
    job = finished.plan.job
    assert [placard_text(job, box) for box in finished.plan.boxes] == placard_texts(finished)


def test_every_placards_crc_is_right(finished: Finished) -> None:
    """The last line is the CRC-32 of every byte before it, worked out bit by bit."""
    for text in placard_texts(finished):
        body, crc, last = text.rpartition("CRC ")
        assert (crc, last) == ("CRC ", f"{crc32(body.encode()):08X}\n")


def test_no_other_page_has_a_code_of_a_tag(finished: Finished) -> None:
    """A code is scanned on the thing that it names: none of them stands on a placard or a walk sheet too."""
    tags = {row["code"] for row in finished.register}
    others = {
        code.text
        for (file, _), codes in finished.reads.items()
        if file not in finished.tag_files
        for code in codes
    }
    assert set() == tags & others


def test_every_symbol_has_its_quiet_zone(finished: Finished) -> None:
    """Nothing is printed within 4 modules of a QR code, nor within 10 of a Code 128's ends.

    Widths of quiet zones: ISO/IEC 18004, ISO/IEC 15417 [read].
    """
    stained = [
        (file, number, code.text)
        for file in (*finished.tag_files, PLACARDS)
        for number, picture in pages(finished.out / file)
        for code in finished.reads[file, number]
        for strip in quiet_strips(code)
        if not is_white(picture, strip)
    ]
    assert stained == []


def tag_codes(finished: Finished) -> list[tuple[str, int, Read]]:
    """File, page and symbol of every tag."""
    return [
        (file, page, code)
        for (file, page), codes in finished.reads.items()
        if file in finished.tag_files
        for code in codes
    ]


def placard_texts(finished: Finished) -> list[str]:
    """The texts of the placards' codes in page order."""
    return [code.text for (file, _), codes in finished.reads.items() if file == PLACARDS for code in codes]


def lies_in(code: Read, row: dict[str, str]) -> bool:
    """Whether a symbol lies in a row's rectangle."""
    x, y, width, height = (float(row[key]) for key in ("x_mm", "y_mm", "width_mm", "height_mm"))
    return x <= code.x and y <= code.y and code.right <= x + width and code.bottom <= y + height


def quiet_strips(code: Read) -> list[tuple[float, float, float, float]]:
    """The strips (left, top, right, bottom, in mm) that must be white, up to the edge's own blur."""
    bars = code.kind == "code128"
    columns = (code128(code.text) if bars else qr(code.text, code.level)).columns
    quiet = (10 if bars else 4) * (code.right - code.x) / columns - EDGE_MM
    left = (code.x - quiet, code.y, code.x - EDGE_MM, code.bottom)
    right = (code.right + EDGE_MM, code.y, code.right + quiet, code.bottom)
    above = (code.x - quiet, code.y - quiet, code.right + quiet, code.y - EDGE_MM)
    below = (code.x - quiet, code.bottom + EDGE_MM, code.right + quiet, code.bottom + quiet)
    return [left, right] if bars else [left, right, above, below]


def is_white(picture: Image, strip: tuple[float, float, float, float]) -> bool:
    """Whether a strip of a page is bare paper; beyond the page there is none to print on."""
    left, top, right, bottom = (round(mm / MM) for mm in strip)
    place = (max(0, left), max(0, top), min(picture.width, right), min(picture.height, bottom))
    darkest = picture.crop(place).getextrema()[0]
    return float(str(darkest)) >= WHITE
