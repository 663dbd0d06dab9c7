"""What the program is compared with prints the same labels: every code reads, on the sheets that it needs."""

import json
from pathlib import Path

from tagmaker.symbols.read import page_pictures, read_codes
from tests.bench.campus import write_campus
from tests.bench.label_tools import COLUMNS, ROWS, by_reportlab
from tests.bench.labels import by_tagmaker, texts_of

DPI = 200


def codes_of(pdf: Path) -> list[str]:
    """The codes of a file, in order of their texts."""
    pages = page_pictures(pdf.read_bytes(), DPI)
    return sorted(code.text for page in pages for code in read_codes(page, DPI))


def test_both_print_the_same_codes(tmp_path: Path) -> None:
    """One box of four ports: as many labels, each with its own code; the other two tools are extras."""
    job, texts = write_campus(tmp_path / "job", 1), tmp_path / "texts.json"
    found = texts_of(job)
    texts.write_text(json.dumps(found))
    by_tagmaker(job, tmp_path / "ours.pdf")
    by_reportlab(texts, tmp_path / "other.pdf")
    expected = sorted(text["code"] for text in found)
    assert codes_of(tmp_path / "ours.pdf") == codes_of(tmp_path / "other.pdf") == expected
    sheets = -(-len(found) // (COLUMNS * ROWS))
    assert len(list(page_pictures((tmp_path / "other.pdf").read_bytes(), DPI))) == sheets
    assert len((tmp_path / "ours.csv").read_text().splitlines()) == 1 + len(found)
