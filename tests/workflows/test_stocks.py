"""The label stocks listed with their sizes, and drawn as they lie."""

from pathlib import Path

import msgspec
import pypdfium2
import pytest
import zxingcpp
from PIL import Image

from tagmaker.catalog.folders import names
from tagmaker.workflows import make
from tagmaker.workflows.stocks import draw, stocks
from tests.job_files import BOX, HEAD, UNIT, write_files
from tests.reported import told
from tests.tables import table

ALL = names("stocks", None)
NAME = "letter-30-67x25"
OWN = 'title = "Own roll"\nsource = "x"\nkind = "roll"\nlabel_mm = [60, 30]\nsuits = ["pipe"]\n'
SHEET = (
    'source = "x"\nkind = "sheet"\npage_mm = [100, 100]\nlabel_mm = [40, 40]\n'
    "columns = 2\nrows = 2\nfirst_mm = [8, 8]\npitch_mm = [42, 42]\n"
)

pytestmark = pytest.mark.usefixtures("user_folder")


def png_size(path: Path) -> tuple[int, int]:
    """The pixels of a picture."""
    with Image.open(path) as picture:
        return picture.size


def test_listing_has_every_stock() -> None:
    """By name, each with its sizes, shape, uses, distance, material and life."""
    listed, problems = stocks(None)
    assert problems == ()
    rows = msgspec.to_builtins(listed)["stocks"]
    assert [row["name"] for row in rows] == list(ALL)
    assert {key for row in rows for key in row} == {
        *("name", "title", "label_mm", "per_page", "shape", "suits", "reads_from_m"),
        *("symbol", "module_mm", "material", "life"),
        *("too_small", "no_spares", "one_sided"),
    }


def test_a_row_of_the_listing() -> None:
    """The default label sheet in full."""
    row = next(each for each in stocks(None)[0].stocks if each.name == NAME)
    assert msgspec.to_builtins(row) == {
        "name": NAME,
        "title": "Letter sheet, 30 labels of 66.7 x 25.4 mm",
        "label_mm": (66.7, 25.4),
        "per_page": 30,
        "shape": "label",
        "suits": ("pipe", "pipe_rough_in", "splitter", "cable", "terminal", "locator", "unit", "isolation"),
        "symbol": "qr",
        "module_mm": 0.4,
        "reads_from_m": pytest.approx(0.7, abs=0.05),
        "material": "white polyester film, permanent adhesive",
        "life": "lasting",
        "too_small": (),
        "no_spares": (),
        "one_sided": False,
    }


def test_a_stock_with_small_texts_says_which() -> None:
    """Each with its use, its height and both distances; a stock without room for a caution says so too."""
    row = next(each for each in stocks(None)[0].stocks if each.name == "tape-25-cut-60-203dpi")
    letter = next(each for each in row.too_small if (each.use, each.text) == ("pipe", "letter"))
    assert letter.distance_m == 2.5
    assert letter.reads_from_m < 2.5
    assert letter.height_mm == pytest.approx(letter.reads_from_m * 4.654, abs=0.3)
    flag = next(each for each in stocks(None)[0].stocks if each.name == "roll-flag-102x25-300dpi")
    assert flag.no_spares == ("pipe",)


def test_the_least_module_of_a_stock_is_whole_dots_of_its_printer() -> None:
    """0.4 mm or more of a QR code: 4 dots at 203 dpi, 5 at 300; 0.5 mm on a placard, 6 dots at 300."""
    listed = {each.name: (each.symbol, each.module_mm) for each in stocks(None)[0].stocks}
    assert listed["roll-51x25-203dpi"] == ("qr", 0.5)
    assert listed["roll-51x25-300dpi"] == ("qr", 0.423)
    assert listed["4x6-300dpi"] == ("qr", 0.508)
    assert listed["letter"] == ("qr", 0.5)
    assert listed["letter-10-102x51"] == ("code128", 0.25)
    assert listed["tape-12-cut-45-300dpi"] == listed["tape-12-strip-300dpi"] == ("none", 0.0)
    assert [name for name, (symbol, module) in listed.items() if symbol == "qr" and module < 0.4] == []


def test_every_stock_reads_from_somewhere() -> None:
    """Each names a distance, from a hand's to a few metres."""
    assert [each.name for each in stocks(None)[0].stocks if not 0.3 <= each.reads_from_m <= 10] == []


def test_listing_with_a_jobs_own_stocks(tmp_path: Path) -> None:
    """A job's own stand among the program's; one that is wrong is told and left out."""
    write_files(tmp_path, {"stocks/own.toml": OWN, "stocks/wrong.toml": SHEET.replace("[8, 8]", "[30, 8]")})
    listed, problems = stocks(tmp_path)
    assert [each.title for each in listed.stocks if each.name == "own"] == ["Own roll"]
    assert "wrong" not in {each.name for each in listed.stocks}
    assert told(problems) == [("stock-wrong", "the last of the columns extends past the page by 12.00 mm")]


@pytest.mark.parametrize("name", ["letter-30-67x25", "tape-12-strip-300dpi", "a4", "roll-wrap-38x51-300dpi"])
def test_a_stock_drawn_as_pdf_has_its_page(name: str, tmp_path: Path) -> None:
    """One page of the stock's size."""
    assert draw(name, tmp_path / "sheet.pdf", None) == ()
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
    assert draw(NAME, tmp_path / "sheet.PNG", None) == ()
    assert png_size(tmp_path / "sheet.PNG") == (1728, 2236)


def test_a_drawing_shows_codes_that_read(tmp_path: Path) -> None:
    """Thirty labels with thirty codes of the sample."""
    draw(NAME, tmp_path / "sheet.png", None)
    with Image.open(tmp_path / "sheet.png") as picture:
        codes = zxingcpp.read_barcodes(picture.convert("L"))
    assert [code.text for code in codes] == ["BB-1/C/COM/FC-1"] * 30


def test_a_jobs_own_stock_is_drawn_the_same(tmp_path: Path) -> None:
    """It works like the program's own."""
    write_files(tmp_path, {"stocks/own.toml": OWN})
    assert draw("own", tmp_path / "own.png", tmp_path) == ()
    assert png_size(tmp_path / "own.png") == (480, 240)


@pytest.mark.parametrize(
    ("old", "new", "message"),
    table(
        """
    [8, 8]   | [20, 8]  | the last of the columns extends past the page by 2.00 mm
    [42, 42] | [42, 39] | rows overlap: the pitch is less than the label
    [8, 8]   | [8, 5]   | rows lie 5.00 mm from the page's edge; the printer's margin is 6.35 mm
        """
    ),
)
def test_a_jobs_own_stock_is_checked(old: str, new: str, message: str, tmp_path: Path) -> None:
    """Labels inside the page, apart, off the printer's margin; else nothing is drawn and no set is made."""
    assert old in SHEET
    job = f'{HEAD}[print]\nterminal = "own"\n{BOX}{UNIT}'
    write_files(tmp_path, {"stocks/own.toml": SHEET.replace(old, new), "job.toml": job})
    assert told(draw("own", tmp_path / "own.png", tmp_path)) == [("stock-wrong", message)]
    assert not (tmp_path / "own.png").exists()
    made = make.make(tmp_path, tmp_path / "out")
    assert told(made.checked.problems) == [("stock-wrong", message)]
    assert not (tmp_path / "out").exists()


def test_a_stock_that_does_not_exist(tmp_path: Path) -> None:
    """It is told with the nearest name, and nothing is written."""
    (problem,) = draw("letter-30-67x26", tmp_path / "sheet.pdf", None)
    assert (problem.code, problem.hint) == ("stock-unknown", "did you mean 'letter-30-67x25'?")
    assert not (tmp_path / "sheet.pdf").exists()


@pytest.mark.parametrize("name", ["sheet.svg", "sheet", "sheet.pdf.txt"])
def test_a_picture_of_another_kind(name: str, tmp_path: Path) -> None:
    """Only .pdf and .png are drawn."""
    (problem,) = draw(NAME, tmp_path / name, None)
    assert problem.code == "output-blocked"
    assert "a picture must be .pdf or .png" in problem.message
    assert not (tmp_path / name).exists()


def test_a_picture_where_none_can_be(tmp_path: Path) -> None:
    """A folder stands where the file should be: a problem, no crash."""
    (tmp_path / "sheet.pdf").mkdir()
    assert [each.code for each in draw(NAME, tmp_path / "sheet.pdf", None)] == ["output-blocked"]
