"""Lines that only pass through boxes: none of them is a tick, a switch setting or a proof."""

from collections.abc import Callable

import cv2
import numpy as np
import pytest
from numpy.typing import NDArray

from tagmaker.site.paper.pages import read_picture
from tagmaker.site.paper.readings import PageReading
from tagmaker.symbols.read import page_pictures
from tests.bench.pen import Printed, print_set, trial
from tests.bench.pen_camera import SCAN_DPI, scanned
from tests.bench.pen_strays import stray_page
from tests.site.walks import SITE

RENDERED = 300 / 25.4
Picture = NDArray[np.uint8]


@pytest.fixture(scope="module")
def printed(tmp_path_factory: pytest.TempPathFactory) -> Printed:
    """The walk sheets of a site of two boxes."""
    folder = tmp_path_factory.mktemp("paper")
    return print_set(SITE.write(folder / "job"), folder)


def ticked(printed: Printed, page: Picture) -> list[str]:
    """The boxes of the first page that are read as ticked."""
    content = scanned([page], printed.pages[0].size_mm, [0], np.random.default_rng(1))
    (picture,) = page_pictures(content, SCAN_DPI)
    (reading,) = read_picture(picture, printed.sets.pages)
    assert isinstance(reading, PageReading)
    return [name for name, tick in reading.ticks.items() if tick == "ticked"]


def crossed_out(page: Picture, _printed: Printed) -> None:
    """A sheet that is void: two long strokes from corner to corner."""
    high, wide = page.shape[:2]
    for x in (250, wide - 250):
        cv2.line(page, (x, 300), (wide - x, high - 250), (120, 40, 20), 6)


def stained(page: Picture, _printed: Printed) -> None:
    """The rings that cups leave."""
    for middle in ((900, 1400), (1500, 1900), (1200, 2500)):
        cv2.circle(page, middle, 480, (60, 90, 120), 10)


def dusty(page: Picture, printed: Printed) -> None:
    """A hair on a scanner's glass: a thin line down the page, through a box that is alone in its column."""
    box = printed.pages[0].fields["BB-1/port/E/item/polarity"]
    x = round((box.x_mm + 2.1) * RENDERED)
    cv2.line(page, (x, 0), (x, page.shape[0]), (0, 0, 0), 2)


def circled(radius: float) -> Callable[[Picture, Printed], None]:
    """Circles of so many mm drawn round something beside boxes, each through the middle of a lone box."""

    def mark(page: Picture, printed: Printed) -> None:
        for letter in "ACE":
            box = printed.pages[0].fields[f"BB-1/port/{letter}/item/polarity"]
            middle = box.x_mm + box.width_mm / 2 + radius, box.y_mm + box.height_mm / 2
            x, y = (round(side * RENDERED) for side in middle)
            cv2.circle(page, (x, y), round(radius * RENDERED), (120, 40, 20), 6)

    return mark


CIRCLES = [circled(radius) for radius in (3, 4, 9)]


@pytest.mark.parametrize("mark", [crossed_out, stained, dusty, *CIRCLES])
def test_a_line_that_passes_through_boxes_ticks_none(
    printed: Printed, mark: Callable[[Picture, Printed], None]
) -> None:
    """Nobody marked anything on the page."""
    page = printed.pictures[0].copy()
    mark(page, printed)
    assert ticked(printed, page) == []


def test_what_comes_from_elsewhere_ticks_no_box(printed: Printed) -> None:
    """Arrows, words and crossings-out of one scan each, at a few boxes of a page."""
    for number, kind in enumerate(["arrow", "note", "crossed row"]):
        page, touched = stray_page(printed, 0, kind, np.random.default_rng(number))
        assert touched
        assert (kind, ticked(printed, page)) == (kind, [])


BLUE = (120, 40, 20)


def test_short_strokes_that_are_no_marks_tick_no_box(printed: Printed) -> None:
    """Rings of 5 to 8 mm through a box or two, a dash, an upright line and a bracket's arms: one scan."""
    page, fields = printed.pictures[0].copy(), printed.pages[0].fields

    def at(name: str, x: float, y: float) -> tuple[int, int]:
        box = fields[f"BB-1/{name}"]
        middle = box.x_mm + box.width_mm / 2 + x, box.y_mm + box.height_mm / 2 + y
        return round(middle[0] * RENDERED), round(middle[1] * RENDERED)

    for letter, radius in zip("ABCDE", (2.5, 2.8, 3.1, 3.4, 3.7), strict=True):
        for column, x, y in (("pipe", radius - 0.5, 0.6), ("cable", 0.5, 1.2 - radius)):
            cv2.circle(page, at(f"port/{letter}/{column}/ok", x, y), round(radius * RENDERED), BLUE, 14)
    for name, x, y in (("port/A/tags/ok", 1.8, -0.2), ("port/C/tags/ok", -0.2, 1.9)):
        cv2.line(page, at(name, -x, -y), at(name, x, y), BLUE, 8)
    for name, end in (("port/C/item/polarity", 8.0), ("port/E/item/polarity", -8.0)):
        cv2.line(page, at(name, -0.9, 0.1), at(name, 2.4, -0.1), BLUE, 10)
        cv2.line(page, at(name, 2.4, -0.1), at(name, 2.4, end), BLUE, 10)
    assert ticked(printed, page) == []


def test_strokes_that_end_near_their_boxes_are_ticks(printed: Printed) -> None:
    """Of a page filled in as people do, no mark passes through its box."""
    read = trial(printed, 100, doubtful=0.0)
    assert read.reading is not None
    marked = [name for name, (mark, _) in read.filled.truth.items() if mark != "blank"]
    assert marked
    assert [name for name in marked if read.reading.ticks[name] != "ticked"] == []
