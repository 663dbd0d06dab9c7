"""Where a printer puts things: two readings kept, bad ones refused, and labels moved against it."""

import csv
import io
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import pypdfium2
import pytest
import zxingcpp
from msgspec.structs import astuple
from PIL import Image

from tagmaker.catalog.alignment import Alignment, alignment_file, alignment_of, keep_alignment
from tagmaker.revisions.selection import Selection
from tagmaker.sheets.sample import align_points
from tagmaker.workflows import make
from tagmaker.workflows.align import align, forget, print_page
from tests.job_files import BOX, HEAD, UNIT, write_files
from tests.reported import told
from tests.strategies import stock_named

NAME = "letter-30-67x25"
DPI = 400
MM = 25.4 / DPI

pytestmark = pytest.mark.usefixtures("user_folder")


def test_two_readings_are_kept() -> None:
    """Shift and scale, in mm from the left and top edge."""
    done = align(NAME, "26.3,25.5", "190.87, 254.9")
    assert (done.problems, done.file) == ((), alignment_file())
    assert done.alignment
    assert astuple(done.alignment) == pytest.approx((0.992, 1.0, 1.5, 0.5), abs=0.001)
    assert alignment_of(NAME) == done.alignment


@pytest.mark.parametrize("text", ["26.3 , 25.5", "26.3;25.5", " 26.3 25.5 "])
def test_readings_as_people_write_them(text: str) -> None:
    """A comma, a semicolon or a space between the two."""
    assert align(NAME, text, "190.9,254.4").problems == ()


@pytest.mark.parametrize(
    "text", ["", "25", "25,25,25", "x,y", "41,25", "25,9.9", "2,5 2,6", "25.4in,25", "nan,25"]
)
@pytest.mark.parametrize("is_first", [True, False])
def test_bad_readings_are_refused(text: str, is_first: bool) -> None:  # noqa: FBT001 — a case's column
    """What is no pair of numbers, or more than 15 mm from its cross, is told, and nothing is kept."""
    good = "190.9,254.4" if is_first else "25,25"
    meant = "25,25" if is_first else "190.9,254.4"
    done = align(NAME, *((text, good) if is_first else (good, text)))
    assert [(each.code, each.message, each.hint) for each in done.problems] == [
        (
            "value-wrong",
            f"{text!r} is {'too far from its cross' if text in {'41,25', '25,9.9'} else 'not two numbers'}",
            f"write X,Y in mm; the cross should be at {meant}",
        )
    ]
    assert (done.alignment, alignment_of(NAME)) == (None, None)


def test_readings_that_give_an_absurd_scale_are_refused() -> None:
    """On a small label both crosses may be read at one place: nothing could be undone with that."""
    done = align("tape-12-strip-300dpi", "5,5", "5,5")
    assert told(done.problems) == [
        ("value-wrong", "these readings give scale 0.00%, 0.00%, which is not plausible")
    ]
    assert alignment_of("tape-12-strip-300dpi") is None


def test_what_was_measured_is_forgotten() -> None:
    """For that stock alone."""
    keep_alignment(NAME, Alignment(shift_x=1))
    keep_alignment("letter-80-44x13", Alignment(shift_x=2))
    done = forget(NAME)
    assert (done.alignment, done.problems, done.file) == (None, (), alignment_file())
    assert (alignment_of(NAME), alignment_of("letter-80-44x13")) == (None, Alignment(shift_x=2))


def test_a_folder_that_cannot_be_written(user_folder: Path) -> None:
    """A file stands where the user's folder should be: a problem, no crash."""
    user_folder.write_text("a file")
    assert [each.code for each in align(NAME, "25,25", "190.9,254.4").problems] == ["output-blocked"]


def test_an_unknown_stock_cannot_be_aligned() -> None:
    """It is told before anything is read."""
    assert [each.code for each in align("no-such", "25,25", "25,25").problems] == ["stock-unknown"]


@dataclass(frozen=True)
class Printer:
    """A printer that puts everything at scale x place + shift, in mm."""

    scale: float
    shift: float

    def print(self, picture: Image.Image) -> Image.Image:
        """What comes out of it for a page, on paper of the page's size."""
        off = -self.shift / MM / self.scale
        matrix = (1 / self.scale, 0, off, 0, 1 / self.scale, off)
        return picture.transform(
            picture.size, Image.Transform.AFFINE, matrix, Image.Resampling.BILINEAR, fillcolor=255
        )


OFF = Printer(scale=0.992, shift=1.5)


def pictures(pdf: Path) -> Iterator[Image.Image]:
    """The pages of a PDF in grey."""
    document = pypdfium2.PdfDocument(pdf)
    try:
        for page in document:
            yield page.render(scale=DPI / 72, grayscale=True).to_pil()
    finally:
        document.close()


def ink(
    picture: Image.Image, x: float, y: float, reach: float
) -> "np.ndarray[tuple[int, int], np.dtype[np.bool_]]":
    """The dark pixels around a place in mm."""
    left, top = round((x - reach) / MM), round((y - reach) / MM)
    side = round(2 * reach / MM)
    return np.asarray(picture.crop((left, top, left + side, top + side))) < 128


def cross_at(picture: Image.Image, x: float, y: float) -> tuple[float, float]:
    """Where the cross near a place is found: its upright line's and its level line's middle, in mm."""
    dark = ink(picture, x, y, 12.0)
    found = []
    for axis, place in ((0, x), (1, y)):
        sums = dark.sum(axis=axis)
        line = np.flatnonzero(sums > sums.max() * 0.8)
        found.append(round((place - 12.0) / MM) * MM + float(line.mean() + 0.5) * MM)
    return found[0], found[1]


def code_boxes(picture: Image.Image, places: list[tuple[float, float, float]]) -> list[list[float]]:
    """Left, top, right and bottom of the ink around each place (middle and half a code's side), in mm."""
    boxes: list[list[float]] = []
    for x, y, half in places:
        reach = half + 1.0  # within the quiet zone
        dark = ink(picture, x, y, reach)
        columns, rows = np.flatnonzero(dark.any(axis=0)), np.flatnonzero(dark.any(axis=1))
        left, top = round((x - reach) / MM) * MM, round((y - reach) / MM) * MM
        boxes.append(
            [
                left + float(columns[0]) * MM,
                top + float(rows[0]) * MM,
                left + float(columns[-1] + 1) * MM,
                top + float(rows[-1] + 1) * MM,
            ]
        )
    return boxes


def code_places(picture: Image.Image) -> list[tuple[float, float, float]]:
    """The middle of every code of a page and half its side, in mm."""
    places: list[tuple[float, float, float]] = []
    for code in zxingcpp.read_barcodes(picture, formats=(zxingcpp.BarcodeFormat.QRCode,)):
        near, far = code.position.top_left, code.position.bottom_right
        places.append(((near.x + far.x) / 2 * MM, (near.y + far.y) / 2 * MM, (far.x - near.x) / 2 * MM))
    return places


def farthest(one: list[list[float]], two: list[list[float]]) -> float:
    """The largest difference between two lists of boxes."""
    return float(np.abs(np.asarray(one) - np.asarray(two)).max())


def test_a_printers_shift_and_scale_are_undone(tmp_path: Path) -> None:
    """A printer at 99.2 % and 1.5 mm off prints every code within 0.1 mm of where it belongs, once measured.

    The page of crosses goes through it, what is read off it is kept, and then the tags go through it.
    """
    job = write_files(tmp_path / "job", {"job.toml": f"{HEAD}{BOX}{UNIT}"})
    make.make(job, tmp_path / "plain", selection=Selection(proof=False))
    (plain,) = pictures(tmp_path / "plain" / f"tags-{NAME}.pdf")
    places = code_places(plain)
    meant = code_boxes(plain, places)
    assert len(meant) == 16
    assert farthest(meant, code_boxes(OFF.print(plain), places)) > 0.7  # or nothing is shown by what follows

    read = measured_by_hand(tmp_path / "align.pdf")
    assert read == pytest.approx(
        [0.992 * mm + 1.5 for point in align_points(stock_named(NAME)) for mm in point], abs=0.05
    )
    make.make(job, tmp_path / "aligned")
    (aligned,) = pictures(tmp_path / "aligned" / f"tags-{NAME}.pdf")
    assert farthest(meant, code_boxes(OFF.print(aligned), places)) <= 0.1


def measured_by_hand(page: Path) -> list[float]:
    """The readings off the alignment page as the printer printed it, given to the program."""
    assert print_page(NAME, page) == ()
    (picture,) = pictures(page)
    printed = OFF.print(picture)
    crosses = [cross_at(printed, *point) for point in align_points(stock_named(NAME))]
    read = [round(mm, 2) for cross in crosses for mm in cross]
    done = align(NAME, f"{read[0]},{read[1]}", f"{read[2]},{read[3]}")
    assert done.problems == ()
    return read


def test_an_aligned_set_is_proved_and_its_register_is_the_papers(tmp_path: Path) -> None:
    """Codes read back where the printer is told to put them; the register says where they come to lie."""
    job = write_files(tmp_path / "job", {"job.toml": f"{HEAD}{BOX}{UNIT}"})
    plain = make.make(job, tmp_path / "plain")
    keep_alignment(NAME, Alignment(0.992, 0.992, 1.5, 1.5))
    aligned = make.make(job, tmp_path / "aligned")
    assert plain.codes_read == aligned.codes_read > 0
    registers = [
        (tmp_path / name / "register.csv").read_text(encoding="utf-8") for name in ("plain", "aligned")
    ]
    assert registers[0] == registers[1]
    assert len(list(csv.DictReader(io.StringIO(registers[0])))) == aligned.tags
    files = [(tmp_path / name / f"tags-{NAME}.pdf").read_bytes() for name in ("plain", "aligned")]
    assert files[0] != files[1]


def test_only_labels_are_aligned(tmp_path: Path) -> None:
    """A placard's place on its page does not matter to a millimetre: its file is the same."""
    job = write_files(tmp_path / "job", {"job.toml": f"{HEAD}{BOX}{UNIT}"})
    make.make(job, tmp_path / "plain", selection=Selection(proof=False))
    keep_alignment(NAME, Alignment(0.992, 0.992, 1.5, 1.5))
    make.make(job, tmp_path / "aligned", selection=Selection(proof=False))
    for name in ("placards.pdf", "walk.pdf", "kits.pdf", "summary.pdf"):
        assert (tmp_path / "plain" / name).read_bytes() == (tmp_path / "aligned" / name).read_bytes()
