"""Photocopies of photocopies: a sheet that is copied twice still has codes that read, by two readers.

Each copy is a little larger or smaller (1 %), askew, out of focus, noisy and with harder contrast than what
lay on the glass. How much of each is this project's choice: a worn office machine's, seeded.
"""

from collections.abc import Callable
from random import Random

import numpy as np
import pytest
import zxingcpp
from PIL import Image, ImageFilter
from pyzbar import pyzbar

from tests.outside.finished import PLACARDS, Finished, make, pages
from tests.tags.facts import code_texts

JOB = "bakery"
DPI = 300
GENERATIONS = 2
SEEDS = (1, 2)
SCALE = 0.01  # more or less
ASKEW = 0.4  # degrees, more or less
BLUR_MM = 0.06  # standard deviation
NOISE = 14  # of 255, standard deviation
SPECKS = 0.0004  # of all dots are black or white for no reason
CONTRAST = 1.35
MOVED_MM = 5.0  # of a label, at a page's far corner
Read = Callable[[Image.Image], set[str]]


@pytest.fixture(scope="module")
def original(tmp_path_factory: pytest.TempPathFactory) -> Finished:
    """The default sheets and the letter placard of a small job."""
    return make(JOB, tmp_path_factory.mktemp("original"))


def copied(picture: Image.Image, seed: int) -> Image.Image:
    """One copy of a page."""
    random, dice = Random(seed), np.random.default_rng(seed)  # noqa: S311 — seeded, for a test
    scale, askew = 1 + random.uniform(-SCALE, SCALE), random.uniform(-ASKEW, ASKEW)
    size = round(picture.width * scale), round(picture.height * scale)
    moved = picture.resize(size, Image.Resampling.BILINEAR).rotate(
        askew, Image.Resampling.BILINEAR, fillcolor=255
    )
    soft = moved.filter(ImageFilter.GaussianBlur(BLUR_MM * DPI / 25.4))
    grey = np.asarray(soft, dtype=np.float64)
    grey = 128 + (grey + dice.normal(0, NOISE, grey.shape) - 128) * CONTRAST
    specks = dice.random(grey.shape)
    grey[specks < SPECKS] = 255 * dice.integers(0, 2, int((specks < SPECKS).sum()))
    return Image.fromarray(np.clip(grey, 0, 255).astype(np.uint8))


def copy_of_copies(picture: Image.Image, seed: int) -> Image.Image:
    """A page after all generations."""
    for generation in range(GENERATIONS):
        picture = copied(picture, 100 * seed + generation)
    return picture


def with_zxing(picture: Image.Image) -> set[str]:
    """The texts that zxing-cpp reads."""
    return {code.text for code in zxingcpp.read_barcodes(picture)}


def with_zbar(picture: Image.Image) -> set[str]:
    """The texts that zbar reads."""
    symbols = pyzbar.decode(picture, symbols=[pyzbar.ZBarSymbol.QRCODE])
    return {code.data.decode() for code in symbols}


def around(picture: Image.Image, row: dict[str, str]) -> Image.Image:
    """A label of a copy, with as much around it as it may have moved."""
    left, top, width, height = (float(row[key]) for key in ("x_mm", "y_mm", "width_mm", "height_mm"))
    sides = (left - MOVED_MM, top - MOVED_MM, left + width + MOVED_MM, top + height + MOVED_MM)
    left, top, right, bottom = (round(mm * DPI / 25.4) for mm in sides)
    return picture.crop((max(0, left), max(0, top), min(picture.width, right), min(picture.height, bottom)))


@pytest.mark.parametrize("seed", SEEDS)
@pytest.mark.parametrize("read", [with_zxing, with_zbar])
def test_every_tags_code_reads_off_a_copy_of_a_copy(original: Finished, read: Read, seed: int) -> None:
    """Modules of 0.4 mm and more have that to spare; label by label, as a person reads them."""
    unread, labels = [], 0
    for file in original.tag_files:
        for number, picture in pages(original.out / file, DPI):
            copy = copy_of_copies(picture, seed)
            rows = [row for row in original.coded if (row["file"], row["page"]) == (file, str(number))]
            unread += [row["code"] for row in rows if row["code"] not in read(around(copy, row))]
            labels += len(rows)
    assert (unread, labels) == ([], len(original.coded))


@pytest.mark.parametrize("seed", SEEDS)
@pytest.mark.parametrize("read", [with_zxing, with_zbar])
def test_a_placards_code_reads_off_a_copy_of_a_copy(original: Finished, read: Read, seed: int) -> None:
    """A box's placard is what is copied most."""
    texts = {text for box in original.plan.boxes for text in code_texts(original.plan.job, box)}
    (page,) = [picture for _, picture in pages(original.out / PLACARDS, DPI)]
    assert read(copy_of_copies(page, seed)) == texts
