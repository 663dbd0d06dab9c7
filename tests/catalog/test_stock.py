"""A label stock: where its labels lie, what it serves, and every way in which its file contradicts itself."""

from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tagmaker.catalog.folders import names
from tagmaker.catalog.stock import SHAPES, USES, Stock, Use, load_stock
from tagmaker.problems import Problem, Where
from tests.job_files import write_files
from tests.tables import table

HERE = Where("job.toml", 6)
SHEET = """title = "Sheet of six"
source = "an invented stock"
kind = "sheet"
page_mm = [210.0, 297.0]
label_mm = [90.0, 80.0]
columns = 2
rows = 3
first_mm = [10.0, 20.0]
pitch_mm = [95.0, 85.0]
"""
ROLL = """source = "an invented stock"
kind = "roll"
label_mm = [60.0, 30.0]
"""


def load(folder: Path, text: str, use: Use = "cable") -> tuple[Stock | None, tuple[Problem, ...]]:
    """The stock of a text in a job's own folder, for a use."""
    write_files(folder, {"stocks/own.toml": text})
    return load_stock("own", use, folder, HERE)


def loaded(folder: Path, text: str, use: Use = "cable") -> Stock:
    """The same of a text without problems."""
    stock, problems = load(folder, text, use)
    assert problems == ()
    assert stock
    return stock


def told(folder: Path, text: str) -> list[str]:
    """The problems with a stock's text; then there is no stock."""
    stock, problems = load(folder, text)
    assert stock is None
    return [problem.as_text() for problem in problems]


# --- good files ---------------------------------------------------------------------------------------------


def test_sheet_is_filled_by_rows(tmp_path: Path) -> None:
    """The first label stands at the top left, the next beside it."""
    stock = loaded(tmp_path, SHEET)
    assert stock.per_page == 6
    assert [stock.corner(index) for index in range(4)] == [(10, 20), (105, 20), (10, 105), (105, 105)]


def test_sheet_is_filled_by_columns(tmp_path: Path) -> None:
    """Where the file says so, the next label stands below."""
    stock = loaded(tmp_path, SHEET + 'fill = "columns"\n')
    assert [stock.corner(index) for index in range(4)] == [(10, 20), (10, 105), (10, 190), (105, 20)]


def test_smallest_label(tmp_path: Path) -> None:
    """A label of half a millimetre is one, if not a useful one."""
    assert loaded(tmp_path, ROLL.replace("[60.0, 30.0]", "[0.5, 0.5]")).label == (0.5, 0.5)


def test_labels_may_touch(tmp_path: Path) -> None:
    """A pitch as long as the label is no overlap, and the last label may end with the printable page."""
    touching = SHEET.replace("[95.0, 85.0]", "[90.0, 80.0]").replace("[10.0, 20.0]", "[23.65, 50.65]")
    assert loaded(tmp_path, touching).per_page == 6


def test_roll_has_one_label_a_page(tmp_path: Path) -> None:
    """The page is the label."""
    stock = loaded(tmp_path, ROLL)
    assert (stock.page, stock.label, stock.per_page, stock.corner(0)) == ((60, 30), (60, 30), 1, (0, 0))


def test_page_is_its_own_label(tmp_path: Path) -> None:
    """A page stock needs its page only."""
    text = 'source = "ISO 216"\nkind = "page"\npage_mm = [148, 210]\n'
    stock = loaded(tmp_path, text, "placard")
    assert (stock.page, stock.label, stock.per_page) == ((148, 210), (148, 210), 1)


def test_stock_of_few_words(tmp_path: Path) -> None:
    """What a file leaves out: no dot grid, a QR code, a plain label, the file's name as title."""
    stock = loaded(tmp_path, ROLL)
    assert (stock.title, stock.symbol, stock.shape, stock.dots_per_mm) == ("own", "qr", "label", 0)


@pytest.mark.parametrize(
    ("key", "dots_per_mm"),
    [("dots_per_mm = 8", 8.0), ("dots_per_inch = 300", 11.811), ("dots_per_inch = 600", 23.622)],
)
def test_the_dot_grid_by_either_key(key: str, dots_per_mm: float, tmp_path: Path) -> None:
    """A millimetre is 1 / 25.4 of an inch: 300 dots an inch are 11.811 a millimetre."""
    assert loaded(tmp_path, f"{ROLL}{key}\n").dots_per_mm == pytest.approx(dots_per_mm, abs=0.0005)


def test_uses_that_a_stock_suits(tmp_path: Path) -> None:
    """Those that it names; else a page suits placards and signs, and labels suit all but placards."""
    page = 'source = "ISO 216"\nkind = "page"\npage_mm = [148, 210]\n'
    assert loaded(tmp_path, ROLL + 'suits = ["cable", "pipe"]\n').suits == ("cable", "pipe")
    assert set(loaded(tmp_path, ROLL).suits) == set(USES) - {"placard"}
    assert set(loaded(tmp_path, page, "placard").suits) == {"placard", "sign"}


@pytest.mark.parametrize("name", names("stocks", None))
def test_every_stock_that_ships_is_sound(name: str) -> None:
    """No stock of the program contradicts itself; each names its source and a use that it serves."""
    stock, problems = load_stock(name, "", None, HERE)
    assert problems == ()
    assert stock
    assert stock.source
    assert set(stock.suits) <= set(USES)
    assert (stock.kind == "page") == ("placard" in stock.suits)


@pytest.mark.parametrize("name", names("stocks", None))
def test_labels_of_every_stock_lie_apart_on_the_page(name: str) -> None:
    """Every label is inside its page, and no two of them overlap."""
    stock, _ = load_stock(name, "", None, HERE)
    assert stock
    width, height = stock.label
    corners = [stock.corner(index) for index in range(stock.per_page)]
    assert len(set(corners)) == stock.per_page
    for x, y in corners:
        assert 0 <= x <= x + width <= stock.page[0] + 0.001
        assert 0 <= y <= y + height <= stock.page[1] + 0.001
        beside = [(a, b) for a, b in corners if (a, b) != (x, y) and abs(a - x) < width - 0.001]
        assert [other for other in beside if abs(other[1] - y) < height - 0.001] == []


def test_every_shape_ships() -> None:
    """For each shape there is a stock to begin with."""
    stocks = [load_stock(name, "", None, HERE)[0] for name in names("stocks", None)]
    assert {stock.shape for stock in stocks if stock} == set(SHAPES)


# --- bad files ----------------------------------------------------------------------------------------------


def test_stock_that_does_not_exist(tmp_path: Path) -> None:
    """It is told where it was named, with the nearest name."""
    write_files(tmp_path, {"stocks/own.toml": ROLL})
    stock, problems = load_stock("owm", "cable", tmp_path, HERE)
    assert stock is None
    assert [problem.as_text() for problem in problems] == [
        "job.toml:6: error: no label stock is named 'owm' [stock-unknown]\n    did you mean 'own'?"
    ]


@pytest.mark.parametrize(
    ("name", "use", "message"),
    [
        ("letter", "cable", "stock 'letter' cannot be used for a cable: that needs a label stock"),
        (
            "letter-30-67x25",
            "placard",
            "stock 'letter-30-67x25' cannot be used for a placard: that needs a page stock (letter, a4, 4x6)",
        ),
    ],
)
def test_stock_that_does_not_serve_a_use(name: str, use: Use, message: str) -> None:
    """Placards take pages, everything else takes labels; the job's own line is named."""
    stock, problems = load_stock(name, use, None, HERE)
    assert stock is None
    assert [(each.code, each.message, each.where) for each in problems] == [("stock-unknown", message, HERE)]


@pytest.mark.parametrize(
    "key", ["source", "kind", "page_mm", "label_mm", "columns", "rows", "first_mm", "pitch_mm"]
)
def test_sheet_that_lacks_a_key(key: str, tmp_path: Path) -> None:
    """A sheet's measures must all be there."""
    text = "".join(line for line in SHEET.splitlines(keepends=True) if not line.startswith(f"{key} ="))
    assert told(tmp_path, text) == [f"stocks/own.toml: error: key {key!r} is missing [key-missing]"]


def test_page_without_measures(tmp_path: Path) -> None:
    """A roll or page has a page or a label."""
    assert told(tmp_path, 'source = "x"\nkind = "page"\n') == [
        "stocks/own.toml: error: key 'page_mm' is missing [key-missing]"
    ]


@pytest.mark.parametrize(
    ("text", "problem"),
    [
        (SHEET + "colour = 1\n", "stocks/own.toml:10: error: unknown key 'colour' [key-unknown]"),
        (SHEET + 'symbol = "qrr"\n', "stocks/own.toml:10: error: 'symbol' cannot be 'qrr' [value-wrong]"),
        (ROLL + 'suits = ["pip"]\n', "stocks/own.toml:4: error: 'suits' cannot hold 'pip' [value-wrong]"),
        (
            ROLL + "hole_mm = [1, 2]\n",
            "stocks/own.toml:4: error: 'hole_mm' must be a list of 3 numbers, 0 or more [value-wrong]",
        ),
        (
            ROLL + "temperature_c = [-300, 0]\n",
            "stocks/own.toml:4: error: 'temperature_c' must be a list of 2 numbers, -100 or more",
        ),
        (
            ROLL + "dots_per_mm = 12\ndots_per_inch = 300\n",
            "stocks/own.toml:5: error: 'dots_per_mm' and 'dots_per_inch' are both given: a printer has one",
        ),
        ("kind = \n", "stocks/own.toml:1: error: not valid TOML"),
    ],
)  # fmt: skip
def test_stock_that_is_not_well_formed(text: str, problem: str, tmp_path: Path) -> None:
    """A key that is unknown or wrong is told with its line."""
    assert [each[: len(problem)] for each in told(tmp_path, text)] == [problem]


@pytest.mark.parametrize(
    ("old", "new", "line", "message"),
    table(
        """
    pitch_mm = [95.0 | pitch_mm = [89.9 | 9 | columns overlap: the pitch is less than the label
    85.0]            | 79.9]            | 9 | rows overlap: the pitch is less than the label
    first_mm = [10.0 | first_mm = [25.5 | 8 | the last of the columns extends past the page by 0.50 mm
    20.0]            | 48.0]            | 8 | the last of the rows extends past the page by 1.00 mm
    label_mm = [90.0 | label_mm = [0.0  | 5 | a label or page has no size
    page_mm = [210.0 | page_mm = [0     | 5 | a label or page has no size
    297.0]           | 0]               | 5 | a label or page has no size
    """
    ),
)
def test_sheet_that_contradicts_itself(old: str, new: str, line: str, message: str, tmp_path: Path) -> None:
    """Labels overlap, leave the page or have no size: told once, at its line."""
    assert old in SHEET
    assert told(tmp_path, SHEET.replace(old, new, 1)) == [
        f"stocks/own.toml:{line}: error: {message} [stock-wrong]"
    ]


def test_labels_in_the_printers_margin(tmp_path: Path) -> None:
    """A sheet's labels keep off the edge that the printer does not reach; 6.35 mm where none is given."""
    near = SHEET.replace("first_mm = [10.0", "first_mm = [6.0")
    (problem,) = told(tmp_path, near)
    assert "columns lie 6.00 mm from the page's edge; the printer's margin is 6.35 mm" in problem
    assert loaded(tmp_path, near + "margin_mm = 6.0\n").margin == 6.0
    far = SHEET.replace("first_mm = [10.0", "first_mm = [20.0")
    (problem,) = told(tmp_path, far)
    assert "columns lie 5.00 mm from the page's edge" in problem


@pytest.mark.parametrize(
    ("keys", "message"),
    [
        ('shape = "wrap"\n', "a wrap needs 'printed_mm'"),
        ('shape = "wrap"\nprinted_mm = 61\n', "the printed zone is longer than the wrap"),
        ('shape = "wrap"\naround = "height"\nprinted_mm = 31\n', "the printed zone is longer than the wrap"),
        ('shape = "flag"\n', "a flag needs 'fold_mm', less than its width"),
        ('shape = "flag"\nfold_mm = 60\n', "a flag needs 'fold_mm', less than its width"),
        ('shape = "tie-on"\n', "a tie-on tag needs 'hole_mm'"),
        ('shape = "tie-on"\nhole_mm = [2.4, 15, 5]\n', "a tie-on tag needs 'hole_mm'"),
        ('shape = "tie-on"\nhole_mm = [57.6, 15, 5]\n', "a tie-on tag needs 'hole_mm'"),
        ('shape = "tie-on"\nhole_mm = [5, 2.4, 5]\n', "a tie-on tag needs 'hole_mm'"),
        ('shape = "tie-on"\nhole_mm = [5, 27.6, 5]\n', "a tie-on tag needs 'hole_mm'"),
        ('shape = "tie-on"\nhole_mm = [5, 15, 0]\n', "a tie-on tag needs 'hole_mm'"),
    ],
)
def test_shape_without_its_measures(keys: str, message: str, tmp_path: Path) -> None:
    """A wrap, flag or tie-on tag whose measures are absent, or larger than the label, is wrong."""
    (problem,) = told(tmp_path, ROLL + keys)
    assert message in problem


@pytest.mark.parametrize(
    "keys",
    [
        'shape = "wrap"\nprinted_mm = 20\n',
        'shape = "wrap"\noverlap_mm = 10\n',
        'shape = "wrap"\naround = "height"\nprinted_mm = 30\n',
        'shape = "flag"\nfold_mm = 20\n',
        'shape = "flag"\nfold_mm = 0.5\n',
        'shape = "tie-on"\nhole_mm = [2.5, 2.5, 5]\n',
        'shape = "tie-on"\nhole_mm = [57.5, 27.5, 5]\n',
        'shape = "tie-on"\nhole_mm = [5, 15, 1]\n',
        'shape = "strip"\n',
    ],
)
def test_shape_with_its_measures(keys: str, tmp_path: Path) -> None:
    """The same with measures that go together is right."""
    assert loaded(tmp_path, ROLL + keys).shape == keys.split('"')[1]


def test_side_that_goes_round(tmp_path: Path) -> None:
    """A wrap goes round by its width, or by its height where its file says so."""
    wrap = ROLL + 'shape = "wrap"\nprinted_mm = 20\n'
    assert loaded(tmp_path, wrap).length_around == 60
    assert loaded(tmp_path, wrap + 'around = "height"\n').length_around == 30


def test_life_of_a_stock(tmp_path: Path) -> None:
    """A stock lasts unless its file says that it is temporary."""
    assert loaded(tmp_path, ROLL).is_lasting
    assert not loaded(tmp_path, ROLL + 'life = "temporary"\n').is_lasting


@given(
    st.tuples(st.integers(1, 4), st.integers(1, 6)),
    st.tuples(st.floats(0, 30), st.floats(0, 30)),
    st.tuples(st.floats(10, 60), st.floats(10, 60)),
    st.tuples(st.floats(8, 70), st.floats(8, 70)),
)
@settings(max_examples=60, deadline=None)
def test_a_sheet_without_problems_has_labels_apart_on_its_page(
    tmp_path_factory: pytest.TempPathFactory,
    counts: tuple[int, int],
    first: tuple[float, float],
    label: tuple[float, float],
    pitch: tuple[float, float],
) -> None:
    """Whatever figures a file has: it is refused, or its labels lie on the page and do not overlap."""
    text = (
        f'source = "x"\nkind = "sheet"\npage_mm = [210, 297]\nmargin_mm = 0\n'
        f"columns = {counts[0]}\nrows = {counts[1]}\n"
        f"first_mm = {list(first)}\nlabel_mm = {list(label)}\npitch_mm = {list(pitch)}\n"
    )
    stock, problems = load(tmp_path_factory.mktemp("job"), text)
    sound = all(
        start + (count - 1) * step + size <= page + 0.001 and (count == 1 or step >= size - 0.001)
        for start, count, step, size, page in zip(first, counts, pitch, label, (210, 297), strict=True)
    )
    assert (stock is not None, problems == ()) == (sound, sound)
