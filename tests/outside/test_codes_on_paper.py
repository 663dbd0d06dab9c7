"""Every code of the finished PDFs, read by an independent decoder (zxing-cpp) from rasters at 300 dpi."""

import json
import re

from tagmaker.catalog.folders import names
from tagmaker.tags.days_code import read_days_code
from tagmaker.tags.placard_forms import read_form
from tagmaker.tags.walk_code import read_page_code
from tests.checksums import crc32
from tests.outside.finished import PLACARDS, PRINTS, Finished, Read
from tests.tags.facts import code_texts, planned_facts

CARD = re.compile(r"BEGIN:VCARD\r\n.*?\nNOTE:|\r\nEND:VCARD\r\n", re.DOTALL)
"""What is around the text in a contact card."""


def test_every_stock_is_printed_on() -> None:
    """No stock is shipped whose codes are not read here."""
    used = {stock for stocks in PRINTS.values() for stock in stocks.values()}
    assert set(names("stocks", None)) - used == set()


def test_every_tags_code_reads_as_its_register_says_where_it_says(finished: Finished) -> None:
    """Each symbol lies in one registered rectangle and says that row's code; no row is without its symbol."""
    expected = sorted((row["file"], row["page"], row["code"], row["code"]) for row in finished.coded)
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
    assert sorted(row["code"] for row in finished.coded) == sorted(texts)
    assert len(set(texts)) == len(texts) > 0


def test_a_stock_has_the_kind_of_symbol_that_it_asks_for(finished: Finished) -> None:
    """QR codes or Code 128, file by file."""
    stocks = {f"tags-{stock.name}.pdf": stock for stock in finished.stocks}
    assert [stocks[file].symbol for file, _, _ in tag_codes(finished)] == [
        code.kind for _, _, code in tag_codes(finished)
    ]


def test_every_placards_code_is_the_placards_text(finished: Finished) -> None:
    """Two a box, a contact card and the text, in the job's order, word for word."""
    job = finished.plan.job
    texts = [code_texts(job, box) for box in finished.plan.boxes]
    found = placard_texts(finished)
    assert sorted(map(sorted, texts)) == sorted(
        sorted(pair) for pair in zip(found[::2], found[1::2], strict=True)
    )
    assert [read_form(text) for text in found] == [
        planned_facts(job, box) for box in finished.plan.boxes for _ in range(2)
    ]


def test_every_placards_crc_is_right(finished: Finished) -> None:
    """The last line is the CRC-32 of every byte before it, worked out bit by bit."""
    for code in placard_texts(finished):
        text = CARD.sub("", code.replace("\r\n ", "")).replace("\\n", "\n").replace("\\", "")
        body, crc, last = text.rpartition("CRC ")
        assert (crc, last) == ("CRC ", f"{crc32(body.encode()):08X}\n")


def test_no_other_page_has_a_code(finished: Finished) -> None:
    """A code is scanned on the thing that it names: none is on a kit's slip or a band."""
    assert finished.other_reads == []


def test_every_page_of_a_system_names_itself(finished: Finished) -> None:
    """Two pages a system, each with one code: system, page of how many, job and revision."""
    plan = json.loads((finished.out / "plan.json").read_text(encoding="utf-8"))
    job = plan["job"]
    assert [[code.rpartition(" ")[0] for code in codes] for codes in finished.system_reads] == [
        [f"SYSTEM {system['tag']} {page}/2 {job['number']} {job['revision']}"]
        for system in plan["systems"]
        for page in (1, 2)
    ]


def test_every_page_of_first_days_names_itself(finished: Finished) -> None:
    """Each with one code: system, page of how many, job and revision; no system's page is missing."""
    assert {len(codes) for codes in finished.days_reads} <= {1}
    read = [read_days_code(code) for (code,) in finished.days_reads]
    plan = json.loads((finished.out / "plan.json").read_text(encoding="utf-8"))
    found = [(page.system, page.page, page.job, page.revision) for page in read if page]
    assert found == [
        (system["tag"], number, plan["job"]["number"], plan["job"]["revision"])
        for system in plan["systems"]
        for number in range(1, 1 + sum(page.system == system["tag"] for page in read if page))
    ]
    assert {page.system for page in read if page} == {system["tag"] for system in plan["systems"]}


def test_every_page_of_a_walk_names_itself(finished: Finished) -> None:
    """Each page of a verification sheet has one code: its box, its number of how many, job, revision."""
    assert {len(codes) for codes in finished.walk_reads} == {1}
    read = [read_page_code(code) for (code,) in finished.walk_reads]
    plan = json.loads((finished.out / "plan.json").read_text(encoding="utf-8"))
    assert {(page.job, page.revision) for page in read if page} == {
        (plan["job"]["number"], plan["job"]["revision"])
    }
    counts = {page.box: page.pages for page in read if page}
    assert list(counts) == [box["tag"].upper() for box in plan["boxes"]]
    assert [(page.box, page.page) for page in read if page] == [
        (box, number) for box, pages in counts.items() for number in range(1, pages + 1)
    ]


def test_every_symbol_has_its_quiet_zone(finished: Finished) -> None:
    """Nothing is printed within 4 modules of a QR code, nor within 10 of a Code 128's ends."""
    assert [code.text for codes in finished.reads.values() for code in codes if not code.is_quiet] == []


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
