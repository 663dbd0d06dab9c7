"""Stocks listed and drawn, a printer aligned: real files, a printer that is simulated dot by dot."""

import csv
import io
import json
import re
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import pypdfium2
import pytest
import zxingcpp
from PIL import Image

from tagmaker.catalog.alignment import Alignment, alignment_file, alignment_of, keep_alignment
from tagmaker.catalog.folders import names
from tagmaker.problems import Problem
from tagmaker.revisions.selection import Selection
from tagmaker.sheets.sample import align_points
from tagmaker.workflows import make
from tagmaker.workflows import stocks as stock_tools
from tests.job_files import BOX, HEAD, UNIT, write_files
from tests.strategies import stock_named

ALL = names("stocks", None)
NAME = "letter-30-67x25"
OWN = 'title = "Own roll"\nsource = "x"\nkind = "roll"\nlabel_mm = [60, 30]\nsuits = ["pipe"]\n'
SHEET = (
    'source = "x"\nkind = "sheet"\npage_mm = [100, 100]\nlabel_mm = [40, 40]\n'
    "columns = 2\nrows = 2\nfirst_mm = [8, 8]\npitch_mm = [42, 42]\n"
)
DPI = 400
MM = 25.4 / DPI


@pytest.fixture(autouse=True)
def user_folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """The user's configuration folder, for this test alone."""
    folder = tmp_path / "config"
    monkeypatch.setenv("XDG_CONFIG_HOME", str(folder))
    return folder


def told(problems: list[Problem]) -> list[tuple[str, str]]:
    """Codes and messages."""
    return [(each.code, each.message) for each in problems]


def png_size(path: Path) -> tuple[int, int]:
    """The pixels of a picture."""
    with Image.open(path) as picture:
        return picture.size


# --- listing ------------------------------------------------------------------------------------------------


def test_listing_has_every_stock() -> None:
    """By name, each with its sizes, shape, uses, distance, material and life."""
    rows, problems = stock_tools.listing(None)
    assert problems == []
    assert [row["name"] for row in rows] == list(ALL)
    assert {key for row in rows for key in row} == {
        *("name", "title", "label_mm", "per_page", "shape", "suits", "reads_from_m", "material", "life")
    }
    assert json.loads(json.dumps(rows)) == rows


def test_a_row_of_the_listing() -> None:
    """The default label sheet in full."""
    row = next(row for row in stock_tools.listing(None)[0] if row["name"] == NAME)
    assert row == {
        "name": NAME,
        "title": "Letter sheet, 30 labels of 66.7 x 25.4 mm",
        "label_mm": [66.7, 25.4],
        "per_page": 30,
        "shape": "label",
        "suits": ["pipe", "pipe_rough_in", "cable", "terminal", "locator"],
        "reads_from_m": pytest.approx(2.8, abs=0.5),
        "material": "white polyester film, permanent adhesive",
        "life": "lasting",
    }


def test_every_stock_reads_from_somewhere() -> None:
    """Each names a distance, from a terminal's half metre to a few metres."""
    assert [row["name"] for row in stock_tools.listing(None)[0] if not 0.5 <= metres(row) <= 10] == []


def metres(row: dict[str, object]) -> float:
    """From how far a row's stock reads."""
    return float(str(row["reads_from_m"]))


def test_listing_for_a_terminal() -> None:
    """Two lines a stock: what it is; what for, from how far, of what, for how long."""
    rows, _ = stock_tools.listing(None)
    lines = stock_tools.listing_lines([row for row in rows if row["name"] == "letter-80-44x13"])
    assert lines[0] == "letter-80-44x13  Letter sheet, 80 small terminal labels of 44.5 x 12.7 mm"
    assert re.fullmatch(
        r"    for terminal, cable; reads from \d\.\d m; white polyester film, permanent adhesive \(lasting\)",
        lines[1],
    )
    assert len(lines) == 2


def test_listing_with_a_jobs_own_stocks(tmp_path: Path) -> None:
    """A job's own stand among the program's; one that is wrong is told and left out."""
    write_files(tmp_path, {"stocks/own.toml": OWN, "stocks/wrong.toml": SHEET.replace("[8, 8]", "[30, 8]")})
    rows, problems = stock_tools.listing(tmp_path)
    assert [row["title"] for row in rows if row["name"] == "own"] == ["Own roll"]
    assert "wrong" not in {row["name"] for row in rows}
    assert told(problems) == [("stock-wrong", "the last of the columns leaves the page by 12.00 mm")]


# --- drawing ------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("name", ["letter-30-67x25", "tape-12-strip-300dpi", "a4", "roll-wrap-38x51-300dpi"])
def test_a_stock_drawn_as_pdf_has_its_page(name: str, tmp_path: Path) -> None:
    """One page of the stock's size."""
    assert stock_tools.draw(name, tmp_path / "sheet.pdf", None) == []
    document = pypdfium2.PdfDocument(tmp_path / "sheet.pdf")
    sizes = [tuple(points * 25.4 / 72 for points in page.get_size()) for page in document]
    document.close()
    assert len(sizes) == 1
    assert sizes[0] == pytest.approx(page_of(name), abs=0.01)


def page_of(name: str) -> tuple[float, float]:
    """The page of a stock that is drawn here."""
    return {
        "letter-30-67x25": (215.9, 279.4),
        "tape-12-strip-300dpi": (10.0, 12.0),
        "a4": (210.0, 297.0),
        "roll-wrap-38x51-300dpi": (38.1, 50.8),
    }[name]


def test_a_stock_drawn_as_png_is_a_picture(tmp_path: Path) -> None:
    """By the file's ending, in any case; 8 pixels a millimetre, whole: 215.9 x 8 = 1727.2, so 1728."""
    assert stock_tools.draw(NAME, tmp_path / "sheet.PNG", None) == []
    assert png_size(tmp_path / "sheet.PNG") == (1728, 2236)


def test_a_drawing_shows_codes_that_read(tmp_path: Path) -> None:
    """Thirty labels with thirty codes of the sample."""
    stock_tools.draw(NAME, tmp_path / "sheet.png", None)
    with Image.open(tmp_path / "sheet.png") as picture:
        codes = zxingcpp.read_barcodes(picture.convert("L"))
    assert [code.text for code in codes] == ["BB-1/C/COM/FC-1"] * 30


def test_a_jobs_own_stock_is_drawn_the_same(tmp_path: Path) -> None:
    """It works like the program's own."""
    write_files(tmp_path, {"stocks/own.toml": OWN})
    assert stock_tools.draw("own", tmp_path / "own.png", tmp_path) == []
    assert png_size(tmp_path / "own.png") == (480, 240)


@pytest.mark.parametrize(
    ("old", "new", "message"),
    [
        ("first_mm = [8, 8]", "first_mm = [20, 8]", "the last of the columns leaves the page by 2.00 mm"),
        ("pitch_mm = [42, 42]", "pitch_mm = [42, 39]", "rows overlap: the pitch is less than the label"),
        (
            "first_mm = [8, 8]",
            "first_mm = [8, 5]",
            "rows lie 5.00 mm from the page's edge; the printer's margin is 6.35 mm",
        ),
    ],
)
def test_a_jobs_own_stock_is_checked(old: str, new: str, message: str, tmp_path: Path) -> None:
    """Labels inside the page, apart, off the printer's margin; else nothing is drawn and no set is made."""
    assert old in SHEET
    job = f'{HEAD}[print]\nterminal = "own"\n{BOX}{UNIT}'
    write_files(tmp_path, {"stocks/own.toml": SHEET.replace(old, new), "job.toml": job})
    assert told(stock_tools.draw("own", tmp_path / "own.png", tmp_path)) == [("stock-wrong", message)]
    assert not (tmp_path / "own.png").exists()
    made = make.make(tmp_path, tmp_path / "out")
    assert told(list(made.checked.problems)) == [("stock-wrong", message)]
    assert not (tmp_path / "out").exists()


def test_a_stock_that_does_not_exist(tmp_path: Path) -> None:
    """It is told with the nearest name, and nothing is written."""
    (problem,) = stock_tools.draw("letter-30-67x26", tmp_path / "sheet.pdf", None)
    assert (problem.code, problem.hint) == ("stock-unknown", "did you mean 'letter-30-67x25'?")
    assert not (tmp_path / "sheet.pdf").exists()


@pytest.mark.parametrize("name", ["sheet.svg", "sheet", "sheet.pdf.txt"])
def test_a_picture_of_another_kind(name: str, tmp_path: Path) -> None:
    """Only .pdf and .png are drawn."""
    (problem,) = stock_tools.draw(NAME, tmp_path / name, None)
    assert problem.code == "output-blocked"
    assert "a picture is .pdf or .png" in problem.message
    assert not (tmp_path / name).exists()


def test_a_picture_where_none_can_be(tmp_path: Path) -> None:
    """A folder stands where the file should be: a problem, no crash."""
    (tmp_path / "sheet.pdf").mkdir()
    assert [each.code for each in stock_tools.draw(NAME, tmp_path / "sheet.pdf", None)] == ["output-blocked"]


# --- aligning -----------------------------------------------------------------------------------------------


def test_two_readings_are_kept() -> None:
    """Shift and scale are told as they are kept, with the file."""
    problems, lines = stock_tools.align(NAME, "26.3,25.5", "190.87, 254.9")
    assert problems == []
    assert lines == [f"{NAME}: shift +1.50, +0.50 mm, scale 99.20%, 100.00%; kept in {alignment_file()}"]
    assert alignment_of(NAME) is not None


@pytest.mark.parametrize("text", ["26.3 , 25.5", "26.3;25.5", " 26.3 25.5 "])
def test_readings_as_people_write_them(text: str) -> None:
    """A comma, a semicolon or a space between the two."""
    assert stock_tools.align(NAME, text, "190.9,254.4")[0] == []


@pytest.mark.parametrize(
    "text", ["", "25", "25,25,25", "x,y", "41,25", "25,9.9", "2,5 2,6", "25.4in,25", "nan,25"]
)
@pytest.mark.parametrize("is_first", [True, False])
def test_bad_readings_are_refused(text: str, is_first: bool) -> None:  # noqa: FBT001 — a case's column
    """What is no pair of numbers, or more than 15 mm from its cross, is told, and nothing is kept."""
    good = "190.9,254.4" if is_first else "25,25"
    meant = "25,25" if is_first else "190.9,254.4"
    problems, lines = stock_tools.align(NAME, *((text, good) if is_first else (good, text)))
    assert [(each.code, each.message, each.hint) for each in problems] == [
        (
            "value-wrong",
            f"{text!r} is no reading near its cross",
            f"write X,Y in mm; the cross is meant at {meant}",
        )
    ]
    assert lines == []
    assert alignment_of(NAME) is None


def test_readings_that_tell_of_an_absurd_scale_are_refused() -> None:
    """On a small label both crosses may be read at one place: nothing could be undone with that."""
    problems, _ = stock_tools.align("tape-12-strip-300dpi", "5,5", "5,5")
    assert told(problems) == [
        ("value-wrong", "these readings tell of scale 0.00%, 0.00%, which no printer has")
    ]
    assert alignment_of("tape-12-strip-300dpi") is None


def test_what_was_measured_is_forgotten() -> None:
    """For that stock alone."""
    keep_alignment(NAME, Alignment(shift_x=1))
    keep_alignment("letter-80-44x13", Alignment(shift_x=2))
    assert stock_tools.forget(NAME) == ([], [f"{NAME}: forgotten in {alignment_file()}"])
    assert (alignment_of(NAME), alignment_of("letter-80-44x13")) == (None, Alignment(shift_x=2))


def test_a_folder_that_cannot_be_written(user_folder: Path) -> None:
    """A file stands where the user's folder should be: a problem, no crash."""
    user_folder.write_text("a file")
    assert [each.code for each in stock_tools.align(NAME, "25,25", "190.9,254.4")[0]] == ["output-blocked"]


def test_a_page_is_written_then_the_readings_are_asked_for(tmp_path: Path) -> None:
    """First the page to print, then cross 1, then cross 2."""
    asked: list[str] = []
    answers = iter(["25.2,25.1", "191.1,254.5"])

    def ask(question: str) -> str:
        assert (tmp_path / "page.pdf").read_bytes().startswith(b"%PDF-")
        asked.append(question)
        return next(answers)

    problems, lines = stock_tools.align_by_asking(NAME, tmp_path / "page.pdf", ask)
    assert problems == []
    assert lines[0].startswith(f"{NAME}: shift +0.20, +0.10 mm")
    assert ["Cross 1" in asked[0], "Cross 2" in asked[1], len(asked)] == [True, True, 2]
    assert "at 100 %" in asked[0]


@pytest.mark.parametrize(("name", "file"), [("no-such", "page.pdf"), (NAME, "page.txt")])
def test_nothing_is_asked_where_no_page_was_written(name: str, file: str, tmp_path: Path) -> None:
    """An unknown stock, or a file of another kind."""

    def ask(_question: str) -> str:
        raise AssertionError("nothing is to be asked")

    problems, lines = stock_tools.align_by_asking(name, tmp_path / file, ask)
    assert len(problems) == 1
    assert lines == []
    assert not (tmp_path / file).exists()


def test_an_unknown_stock_cannot_be_aligned() -> None:
    """It is told before anything is read."""
    assert [each.code for each in stock_tools.align("no-such", "25,25", "25,25")[0]] == ["stock-unknown"]


# --- a printer that is off ----------------------------------------------------------------------------------


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
    read: list[float] = []

    def ask(_question: str) -> str:
        (picture,) = pictures(page)
        point = align_points(stock_named(NAME))[len(read) // 2]
        read.extend(round(mm, 2) for mm in cross_at(OFF.print(picture), *point))
        return f"{read[-2]},{read[-1]}"

    problems, _ = stock_tools.align_by_asking(NAME, page, ask)
    assert problems == []
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
