"""Walk sheets filled in with a pen, as photos and scans: each box ticked, blank or unclear, never guessed."""

import cv2
import numpy as np
import pytest

from tagmaker.revisions.form_pages import FormPage
from tagmaker.site.paper.pages import read_picture
from tagmaker.site.paper.readings import PageFault, PageReading, PrintedPages
from tagmaker.symbols.read import open_picture, page_pictures
from tests.bench.pen import Printed, Truth, filled_in, is_box, print_set, trial
from tests.bench.pen_camera import SCAN_DPI, Photo, photographed, scanned
from tests.bench.pen_strokes import CLEAR, PENS, Field, Ink, Mark, draw, write
from tests.records import replace
from tests.site.walks import SITE

RENDERED = 300 / 25.4


@pytest.fixture(scope="module")
def printed(tmp_path_factory: pytest.TempPathFactory) -> Printed:
    """The walk sheets of a site of two boxes."""
    folder = tmp_path_factory.mktemp("paper")
    return print_set(SITE.write(folder / "job"), folder)


@pytest.fixture
def page(printed: Printed) -> FormPage:
    """The sheet of the first box, one page."""
    return printed.pages[0]


@pytest.fixture
def ink(printed: Printed) -> Ink:
    """Its paper, empty, and a steady hand."""
    return Ink(printed.pictures[0].copy(), RENDERED, np.random.default_rng(1))


def field(page: FormPage, name: str) -> Field:
    """Where a field is."""
    place = page.fields[name]
    return Field(place.x_mm, place.y_mm, place.width_mm, place.height_mm)


def scan(printed: Printed, ink: Ink, quarter: int = 0) -> PageReading | PageFault:
    """What a scan of a page gives."""
    content = scanned([ink.page], printed.pages[0].size_mm, [quarter], ink.chance)
    (picture,) = page_pictures(content, SCAN_DPI)
    (reading,) = read_picture(picture, printed.sets.pages)
    return reading


def photo(printed: Printed, ink: Ink, how: Photo | None = None) -> PageReading | PageFault:
    """What a photo of a page gives."""
    content = photographed(ink.page, printed.pages[0].size_mm, how or Photo(), ink.chance)
    (reading,) = read_picture(open_picture(content), printed.sets.pages)
    return reading


def wrong(truth: Truth, reading: PageReading) -> list[str]:
    """Boxes with a clear mark, or none, that are not read as that; and doubtful ones that are ticked."""
    expected = {name: "ticked" if mark in CLEAR else "blank" for name, (mark, _) in truth.items()}
    clear = {name for name, (mark, _) in truth.items() if mark in {*CLEAR, "blank"}}
    return [
        f"{name}: {truth[name][0]} is {tick}"
        for name, tick in reading.ticks.items()
        if (name in clear and tick != expected[name]) or (name not in clear and tick == "ticked")
    ]


# --- another print ------------------------------------------------------------------------------------------


@pytest.mark.parametrize("row", ["A", "C"])
def test_a_strip_of_another_sheet_makes_its_row_unclear(printed: Printed, ink: Ink, row: str) -> None:
    """Glued over a row with its ticks, in its place: no box of the row counts, every other one does."""
    own = printed.pages[0].fields[f"BB-1/port/{row}/pipe/ok"]
    other = printed.pages[1].fields[f"BB-2/port/{row}/pipe/ok"]
    theirs = Ink(printed.pictures[1].copy(), RENDERED, np.random.default_rng(2))
    draw(theirs, "cross", field(printed.pages[1], f"BB-2/port/{row}/pipe/ok"), PENS["ball pen, blue"])
    top, start = (round((place.y_mm - 2) * RENDERED) for place in (own, other))
    high = round((own.height_mm + 4) * RENDERED)
    ink.page[top : top + high] = theirs.page[start : start + high]
    draw(ink, "cross", field(printed.pages[0], "BB-1/item/power"), PENS["ball pen, blue"])
    reading = scan(printed, ink) if row == "C" else photo(printed, ink)
    assert isinstance(reading, PageReading)
    names = {name for name in reading.ticks if name.startswith(f"BB-1/port/{row}/")}
    assert {name for name, tick in reading.ticks.items() if tick in {"unclear", "unseen"}} == names
    assert set(reading.covered) == {name for name in names if reading.ticks[name] == "unclear"}
    assert reading.ticks["BB-1/item/power"] == "ticked"


# --- what is marked -----------------------------------------------------------------------------------------


@pytest.mark.parametrize("seed", range(6))
def test_clear_marks_are_read_and_nothing_else(printed: Printed, seed: int) -> None:
    """Photos, tilted, curled, shaded and blurred, and scans, of pages with a hundred clear marks."""
    read = trial(printed, seed, doubtful=0.0)
    assert read.reading is not None
    assert wrong(read.filled.truth, read.reading) == []


@pytest.mark.parametrize("quarter", range(4))
def test_a_page_may_lie_any_way_round(printed: Printed, quarter: int) -> None:
    """The same readings at all four turns."""
    filled = filled_in(printed, 0, np.random.default_rng(quarter), 0.0)
    reading = scan(printed, Ink(filled.picture, RENDERED, np.random.default_rng(2)), quarter)
    assert isinstance(reading, PageReading)
    assert wrong(filled.truth, reading) == []


DOUBTS: tuple[Mark, ...] = ("dot", "faint", "crossed out", "scribble", "filled whole")


@pytest.mark.parametrize("mark", DOUBTS)
@pytest.mark.parametrize("pen", ["pencil", "felt pen"])
def test_what_could_mean_two_things_is_unclear(
    printed: Printed, page: FormPage, ink: Ink, mark: Mark, pen: str
) -> None:
    """A doubtful mark in each tenth box of a photo: none is ticked."""
    boxes = [name for name, place in page.fields.items() if is_box(place)]
    marked = boxes[::10]
    for name in marked:
        draw(ink, mark, field(page, name), PENS[pen])
    reading = photo(printed, ink)
    assert isinstance(reading, PageReading)
    allowed = {"unclear", "blank"} if mark == "filled whole" else {"unclear"}
    assert {reading.ticks[name] for name in marked} <= allowed
    assert "ticked" not in reading.ticks.values()


def test_one_stroke_through_on_and_off_is_neither(printed: Printed, page: FormPage, ink: Ink) -> None:
    """Nobody knows which of the two it is meant for."""
    draw(ink, "across", field(page, "BB-1/left/1/2"), PENS["ball pen, blue"])
    reading = photo(printed, ink)
    assert isinstance(reading, PageReading)
    assert {reading.ticks[name] for name in ("BB-1/left/1/2", "BB-1/left/1/2/off")} == {"unclear"}


def test_a_mark_beside_its_box_is_not_overlooked(printed: Printed, page: FormPage, ink: Ink) -> None:
    """It touches no box: the box that it is beside is unclear."""
    box = field(page, "BB-1/port/D/tags/ok")
    left = Field(box.x - 1.2 * box.width, box.y + 0.1 * box.height, box.width * 0.7, box.height * 0.7)
    draw(ink, "tick", left, PENS["pencil"])
    reading = scan(printed, ink)
    assert isinstance(reading, PageReading)
    assert reading.ticks["BB-1/port/D/tags/ok"] == "unclear"


def test_a_faint_mark_at_on_never_reads_as_off(printed: Printed, page: FormPage, ink: Ink) -> None:
    """Every switch faintly ON: none is OFF."""
    switches = [name for name in page.fields if f"{name}/off" in page.fields]
    for name in switches:
        draw(ink, "faint", field(page, name), PENS["pencil"])
    for reading in (photo(printed, ink), scan(printed, ink)):
        assert isinstance(reading, PageReading)
        assert {reading.ticks[f"{name}/off"] for name in switches} == {"blank"}
        assert "ticked" not in {reading.ticks[name] for name in switches}


# --- what is written ----------------------------------------------------------------------------------------


def test_handwriting_is_cut_out(printed: Printed, page: FormPage, ink: Ink) -> None:
    """Each line that is written on, and no other, with a picture."""
    written = ["BB-1/port/A/note", "BB-1/port/E/proved", "BB-1/sign/installer"]
    write(ink, [field(page, name) for name in written], PENS["ball pen, blue"])
    reading = photo(printed, ink)
    assert isinstance(reading, PageReading)
    assert sorted(reading.written) == written
    assert all(reading.cuts[name].startswith(b"\x89PNG") for name in written)


def test_correct_beside_another_unit_counts_once_that_is_typed(
    printed: Printed, page: FormPage, ink: Ink
) -> None:
    """Both filled in: whose cable it is decides, and that is handwriting."""
    draw(ink, "cross", field(page, "BB-1/port/A/cable/ok"), PENS["ball pen, black"])
    draw(ink, "cross", field(page, "BB-1/port/B/cable/ok"), PENS["ball pen, black"])
    write(ink, [field(page, "BB-1/port/A/cable/found")], PENS["ball pen, black"])
    reading = scan(printed, ink)
    assert isinstance(reading, PageReading)
    assert [reading.ticks[f"BB-1/port/{letter}/cable/ok"] for letter in "AB"] == ["unclear", "ticked"]


# --- pages that are not read --------------------------------------------------------------------------------


def fault(reading: PageReading | PageFault) -> str:
    """Why a page was refused."""
    assert isinstance(reading, PageFault)
    return reading.message


def test_a_hidden_corner_refuses_the_page(printed: Printed, ink: Ink) -> None:
    """A thumb on one of the four squares."""
    x, y = (round(side * RENDERED) for side in (9, 270))
    cv2.circle(ink.page, (x, y), 90, (120, 150, 200), -1)
    assert fault(photo(printed, ink)) == "not all four corner squares of the walk sheet of BB-1 are in it"


def test_a_hidden_code_refuses_the_page(printed: Printed, ink: Ink) -> None:
    """Without its code nobody knows which page it is."""
    ink.page[:350, 2000:2400] = 255
    assert fault(photo(printed, ink)) == "no code of a sheet can be read in it"


def test_a_page_that_was_printed_otherwise_is_refused(printed: Printed, page: FormPage, ink: Ink) -> None:
    """Its code is right, its boxes are 5 mm lower, as under a longer head: nothing is read beside them."""
    down = round(5 * RENDERED)
    middle = ink.page[450:3100].copy()
    ink.page[450 + down : 3100] = middle[:-down]
    assert fault(scan(printed, ink)).startswith(
        "the boxes of the walk sheet of BB-1 are not where its set has them"
    )
    assert page.printed_for


def test_a_page_of_another_set_is_refused(printed: Printed, ink: Ink) -> None:
    """It names which page it is."""
    content = scanned([ink.page], printed.pages[0].size_mm, [0], ink.chance)
    (picture,) = page_pictures(content, SCAN_DPI)
    other = type(printed.sets.pages)({}, printed.sets.pages.empty)
    (reading,) = read_picture(picture, other)
    expected = "it is page 1 of 1 of the walk sheet of BB-1, revision 2, of a set that is not at hand"
    assert fault(reading) == expected


def test_sets_that_read_a_page_differently_refuse_it(page: FormPage, ink: Ink) -> None:
    """The same code and the same boxes, but two letters changed places: neither set is chosen."""
    draw(ink, "cross", field(page, "BB-1/port/A/cable/ok"), PENS["ball pen, black"])
    content = scanned([ink.page], page.size_mm, [0], ink.chance)
    (picture,) = page_pictures(content, SCAN_DPI)
    swap = {"/port/A/": "/port/B/", "/port/B/": "/port/A/"}
    fields = {
        name.replace(found, swap[found]) if (found := name[4:12]) in swap else name: place
        for name, place in page.fields.items()
    }
    other = replace(page, fields=fields)
    expected = (
        "sets at hand have the boxes of the walk sheet of BB-1 at different places, and more than one fits"
    )
    for pages in ((page, other), (other, page)):
        (reading,) = read_picture(picture, PrintedPages({page.code: pages}, lambda _: None))
        assert fault(reading) == expected
    (reading,) = read_picture(picture, PrintedPages({page.code: (page, page)}, lambda _: None))
    assert isinstance(reading, PageReading)


def test_two_pages_in_one_picture_are_both_read(printed: Printed) -> None:
    """Side by side on a table."""
    both = np.hstack([printed.pictures[0], printed.pictures[1]])
    mm = (printed.pages[0].size_mm[0] * 2, printed.pages[0].size_mm[1])
    (picture,) = page_pictures(scanned([both], mm, [0], np.random.default_rng(3)), SCAN_DPI)
    readings = list(read_picture(picture, printed.sets.pages))
    found = {reading.code for reading in readings if isinstance(reading, PageReading)}
    assert found == {page.code for page in printed.pages}


def test_a_page_at_the_pictures_edge_is_a_fault_not_an_exception(printed: Printed, ink: Ink) -> None:
    """Cut off below the code."""
    ink.page = ink.page[:900]
    content = scanned([ink.page], (215.9, 900 / RENDERED), [0], ink.chance)
    (picture,) = page_pictures(content, SCAN_DPI)
    (reading,) = read_picture(picture, printed.sets.pages)
    assert "corner squares" in fault(reading)
