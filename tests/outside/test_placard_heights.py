"""Heights of ON and OFF on placards, measured in the pixels of pages rendered at 600 dpi by poppler.

No figure of the program's own is used: pdftotext says where a word is, pdftoppm what it looks like.
"""

import re
import subprocess
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from tagmaker.catalog.stock import load_stock
from tagmaker.draw.pdf import draw_pdf
from tagmaker.problems import Where
from tagmaker.sheets.placard import placard_pages
from tagmaker.typeset.fonts import all_faces
from tests.sheets.boxes import filled, job_of
from tests.strategies import first_box, words

DPI = 600
DOT = 25.4 / DPI
POINT = 25.4 / 72
ROUND = 0.05  # mm: a pixel is 0.042
WORD = re.compile(r'<word xMin="([\d.]+)" yMin="([\d.]+)" xMax="([\d.]+)" yMax="([\d.]+)">(ON|OFF)</word>')
Dots = np.ndarray[tuple[int, ...], np.dtype[np.bool_]]


def heights(pdf: Path, page: int) -> list[float]:
    """The heights in mm of the ink of every ON and OFF of a page."""
    of_page = ["-f", str(page), "-l", str(page)]
    out = pdf.with_suffix("")
    subprocess.run(["pdftoppm", "-r", str(DPI), "-gray", "-singlefile", *of_page, pdf, out], check=True)
    told = subprocess.run(["pdftotext", "-bbox", *of_page, pdf, "-"], check=True, capture_output=True).stdout
    with Image.open(out.with_suffix(".pgm")) as picture:
        dark = np.asarray(picture) < 128
    places = [
        [round(float(each) * POINT / DOT) for each in found[:4]] for found in WORD.findall(told.decode())
    ]
    return [ink_height(dark[top:bottom, left:right]) for left, top, right, bottom in places]


def ink_height(cut: Dots) -> float:
    """The height in mm of the letters in a cut; white ones are measured on their black ground."""
    ground = np.concatenate((cut[:, :1], cut[:, -1:]), axis=1)
    middle = ground[cut.shape[0] // 3 : -cut.shape[0] // 3]
    inked = np.asarray((~cut if middle.mean() > 0.5 else cut).any(axis=1))
    edges = np.flatnonzero(np.diff(np.concatenate(([0], inked.astype(np.int8), [0]))))
    runs = [
        (start, end) for start, end in zip(edges[::2], edges[1::2], strict=True) if start and end < len(inked)
    ]
    return float(max(end - start for start, end in runs)) * DOT


@pytest.mark.parametrize(
    ("name", "least"), [("letter", 4.0), ("a4", 4.0), ("a5", 3.0), ("half-letter", 3.0), ("4x6", 3.0)]
)
@pytest.mark.parametrize("ports", [4, 12])
def test_on_and_off_are_as_high_as_they_must_be(ports: int, name: str, least: float, tmp_path: Path) -> None:
    """4 mm read at 0.86 m, 3 mm at 0.64 m (16 minutes of arc, NUREG-0700); all switches are pictured."""
    stock, _ = load_stock(name, "placard", None, Where("job.toml"))
    assert stock is not None
    job = job_of(filled(ports)).record()
    pages, problems = placard_pages(job, first_box(job), stock, words())
    assert problems == ()
    pdf = tmp_path / "placard.pdf"
    pdf.write_bytes(draw_pdf("", "", pages, all_faces()))
    found = [height for page in range(1, len(pages) + 1) for height in heights(pdf, page)]
    boards = -(-ports // 4)
    assert len(found) > boards * (
        2 * 2 + 4 + 3
    )  # the ends of both banks, and below every switch but "as found"
    assert min(found) >= least - ROUND
