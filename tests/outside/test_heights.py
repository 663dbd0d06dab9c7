"""Heights of printed capitals, measured in the pixels of labels rendered at 600 dpi by poppler.

No figure of the program's own is used: pdftotext says where a word is, pdftoppm what it looks like, and the
ink of its letters is measured. h = 6.283 x D x M / 21600, NUREG-0700 [read].
"""

import html
import re
import subprocess
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from statistics import median

import numpy as np
import pytest
from PIL import Image

from tagmaker.catalog.stock import Stock
from tagmaker.draw.marks import Page
from tagmaker.draw.pdf import draw_pdf
from tagmaker.job.prints import default_prints
from tagmaker.sheets.label import fit_label
from tagmaker.tags.model import Tag
from tagmaker.typeset.fonts import all_faces
from tests.measured import all_tags, outside_of
from tests.records import replace
from tests.strategies import one_box, stock_named, words

DPI = 600
DOT = 25.4 / DPI
POINT = 25.4 / 72
ROUND = 0.05  # mm: a pixel is 0.042
LETTER, LETTER_INSIDE, BOX, BOX_WIDE, KIND, UNIT, CAUTION, CAUTION_HIGH, FACT = (
    *(11.64, 3.30, 4.0, 6.98, 3.30, 3.25, 3.30, 4.13, 2.0),
)
"""mm: 2.5 m, 0.71 m, never below 4, 1.5 m, 0.71 m three times, 0.71 m at 20 minutes, 0.43 m."""
PLACE = re.compile(r'<word xMin="([-\d.]+)" yMin="([-\d.]+)" xMax="([-\d.]+)" yMax="([-\d.]+)">(.+?)</word>')
Dots = np.ndarray[tuple[int, ...], np.dtype[np.bool_]]


@dataclass(frozen=True)
class Word:
    """A word, and the median height in mm of the ink of its letters."""

    text: str
    height: float


def tags_of(signs: int) -> dict[str, Tag]:
    """The tags of a box of four ports whose tags have so many signs; B is spare, C and D are joined."""
    unit, box = f"FC-{7:0{signs - 3}d}", f"BB-{1:0{signs - 3}d}"
    other = f"FC-{8:0{signs - 3}d}"
    job = one_box((unit, "A", "9 kBtu/h"), (other, "C+D", "72 kBtu/h"), tag=box).record()
    return {tag.code.removeprefix(f"{box}/"): tag for tag in all_tags(job)}


def measured(tag: Tag, stock: Stock, folder: Path) -> list[Word]:
    """The words of a tag's label with their heights."""
    label, problems = fit_label(tag, stock, words())
    assert label, problems
    pdf = folder / "label.pdf"
    pdf.write_bytes(draw_pdf("", "", [Page(*stock.label, label.marks)], all_faces()))
    subprocess.run(["pdftoppm", "-r", str(DPI), "-gray", "-singlefile", pdf, folder / "label"], check=True)
    told = subprocess.run(["pdftotext", "-bbox", pdf, "-"], check=True, capture_output=True).stdout
    with Image.open(folder / "label.pgm") as picture:
        dark = np.asarray(picture) < 128
    places = PLACE.findall(told.decode())
    return [word for *corners, text in places if (word := _word(text, corners, dark))]


def _word(text: str, corners: list[str], dark: Dots) -> Word | None:
    """A word of pdftotext's, measured where it is; white letters are measured on their black ground."""
    left, top, right, bottom = (round(float(each) * POINT / DOT) for each in corners)
    cut = dark[max(top, 0) : bottom, max(left, 0) : right]
    middle = cut[cut.shape[0] // 4 : -cut.shape[0] // 4]
    is_white = np.concatenate((middle[:, :2], middle[:, -2:])).mean() > 0.5  # beside the word is its ground
    heights = list(_whole_pieces(~cut if is_white else cut))
    letters = [height for height in heights if height > 0.6 * max(heights)]  # no hyphens, no frames' lines
    return Word(html.unescape(text).replace("\u00a0", " "), median(letters) * DOT) if letters else None


def _whole_pieces(ink: Dots) -> Iterator[int]:
    """The heights in dots of the pieces of ink that end within the rows: from a piece's top to each foot."""
    above: dict[tuple[int, int], int] = {}  # runs of the row above, and where their piece began
    for number, row in enumerate(ink):
        edges = np.flatnonzero(np.diff(np.concatenate(([0], row.astype(np.int8), [0]))))
        runs = [(int(start), int(end)) for start, end in zip(edges[::2], edges[1::2], strict=True)]
        yield from (
            number - first
            for (a, b), first in above.items()
            if first > 0 and not any(a < end and start < b for start, end in runs)
        )
        above = {
            (start, end): min(
                (first for (a, b), first in above.items() if a < end and start < b), default=number
            )
            for start, end in runs
        }


def height_of(found: list[Word], text: str) -> float:
    """The height of the lowest copy of a text, all of whose words are on the label."""
    parts = [part for part in text.replace("\u00a0", " ").split() if part != "–"]
    heights = [word.height for word in found if word.text in parts or word.text == text]
    assert len(heights) >= len(parts) or any(word.text == text for word in found), (text, found)
    return min(heights)


@pytest.mark.parametrize("signs", [4, 7, 9, 10])
@pytest.mark.parametrize(
    ("code", "use"),
    [
        ("A/LIQ", "pipe"),
        ("C/GAS", "pipe"),
        ("B/LIQ", "pipe"),
        ("B/GAS", "pipe"),
        ("A/COM", "cable"),
        ("A/TRM", "terminal"),
        ("B/TRM", "terminal"),
        ("D/TRM", "terminal"),
    ],
)
def test_no_text_of_the_default_stock_is_short(code: str, use: str, signs: int, tmp_path: Path) -> None:
    """Letter, box, kind, unit, caution, end and revision, on tags of 4 to 10 signs."""
    tag = tags_of(signs)[code]
    found = measured(tag, default_prints().stocks[use], tmp_path)
    least = {
        tag.port: LETTER if use == "pipe" else LETTER_INSIDE,
        tag.box_shown: BOX_WIDE if signs == 4 and use != "cable" else BOX,
        tag.headline: KIND,
        **({tag.units[0]: UNIT} if tag.units else {}),
        **({tag.remark: CAUTION} if tag.is_caution else {}),
        tag.end_text: FACT,
        tag.revision_text: FACT,
    }
    low = {text: height_of(found, text) for text, mm in least.items() if height_of(found, text) < mm - ROUND}
    assert low == {}


@pytest.mark.parametrize(
    ("name", "diameter"),
    [
        ("a4-21-63x38", 0.0),
        ("roll-tie-on-76x51-203dpi", 0.0),
        ("roll-pipe-wrap-254x38-203dpi", 45.0),
        ("roll-flag-254x38-203dpi", 25.0),
    ],
)
def test_other_stocks_for_pipes(name: str, diameter: float, tmp_path: Path) -> None:
    """The same on larger labels, a tie-on tag, a wrap, a flag; cautions at 20 minutes, on the wrap at 16."""
    tags, stock = tags_of(7), stock_named(name)
    tag = replace(tags["A/LIQ"], outside=outside_of(diameter) if diameter else None)
    found = measured(tag, stock, tmp_path)
    heights = {text: height_of(found, text) for text in ("A", tag.box_shown, "LIQUID", tag.units[0])}
    least_mm = dict(zip(heights, (LETTER, BOX, KIND, UNIT), strict=True))
    assert {text: mm for text, mm in heights.items() if mm < least_mm[text] - ROUND} == {}
    spare = measured(tags["B/GAS"], stock, tmp_path)
    least = CAUTION if name == "roll-pipe-wrap-254x38-203dpi" else CAUTION_HIGH
    assert height_of(spare, tags["B/GAS"].remark) >= least - ROUND


def test_a_height_is_measured_as_it_is(tmp_path: Path) -> None:
    """The ink of a letter, and of a white caution on black, is as high as the label says it set them."""
    tag = tags_of(4)["B/GAS"]
    label, _ = fit_label(tag, default_prints().stocks["pipe"], words())
    assert label
    told = {word.text: word.height for word in measured(tag, default_prints().stocks["pipe"], tmp_path)}
    assert told["B"] == pytest.approx(label.heights["main"], abs=0.15)
    assert told["HOLD"] == pytest.approx(label.heights["caution"], abs=0.15)
