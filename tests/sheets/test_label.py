"""One tag on one label: everything on it, nothing over its edge, nothing over its code."""

from collections.abc import Iterable

import pytest
from hypothesis import Phase, given, settings
from hypothesis import strategies as st

from tagmaker.catalog.stock import Stock
from tagmaker.draw.marks import Bars, Line, Mark, Page, Rect, Text
from tagmaker.job.prints import default_prints
from tagmaker.sheets.label import FittedLabel, fit_label
from tagmaker.symbols.encode import code128
from tagmaker.tags.kits import box_tags
from tagmaker.tags.model import Tag
from tagmaker.typeset.fonts import face
from tagmaker.typeset.text import LEGIBLE_MM
from tests.records import replace
from tests.sheets.printed import Box, capitals, faults, ink
from tests.strategies import (
    BoxSketch,
    JobSketch,
    UnitSketch,
    first_box,
    label_stocks,
    one_box,
    rooms,
    stock_named,
    tags,
    words,
)

SMALL = one_box(("FC-1", "A", "9 kBtu/h"), ("FC-2", "A", "9 kBtu/h"), ("AH-1", "C+D", "72 kBtu/h"))
DEFAULT = stock_named("letter-30-67x25")
BARRED = stock_named("letter-10-102x51")
STRIP_OVER = 0.075  # mm: half of the line that a strip is cut along


def tags_of(sketch: JobSketch) -> dict[str, Tag]:
    """The tags of a job's first box, by code."""
    job = sketch.record()
    return {tag.code: tag for tag in box_tags(job, first_box(job), words())}


def fitted(tag: Tag, stock: Stock) -> FittedLabel:
    """A tag that must fit."""
    label, problems = fit_label(tag, stock, words())
    assert label is not None, problems
    return label


def texts_of(label: FittedLabel) -> list[str]:
    """The texts of a label in drawing order."""
    return [mark.text for mark in label.marks if isinstance(mark, Text)]


def bars_of(label: FittedLabel) -> Bars:
    """The label's one code."""
    (bars,) = [mark for mark in label.marks if isinstance(mark, Bars)]
    return bars


@st.composite
def hard_boxes(draw: st.DrawFn) -> JobSketch:
    """A box of four ports whose tags may have 24 characters and whose rooms may be long."""
    unit_tags = draw(st.lists(tags(), min_size=4, max_size=4, unique_by=str.upper))
    ports = draw(st.sampled_from((("A", "A", "B", "C+D"), ("A+B", "D", "D", "D"), ("A", "B", "C", "D"))))
    units = [
        UnitSketch(tag, port, "9 kBtu/h", draw(rooms(40))) for tag, port in zip(unit_tags, ports, strict=True)
    ]
    sketch = JobSketch((BoxSketch(draw(tags()), 4, tuple(units)),))
    return replace(
        sketch, is_draft=draw(st.booleans()), revision=draw(st.sampled_from(("0", "P02", "A-12345B")))
    )


# --- everything inside, nothing over anything --------------------------------------------------------------


@given(hard_boxes(), st.sampled_from(label_stocks()))
@settings(max_examples=15, deadline=None, phases=(Phase.explicit, Phase.reuse, Phase.generate))
def test_a_tag_fits_its_label_or_is_named(sketch: JobSketch, stock: Stock) -> None:
    """Whatever a tag says: it is printed whole, legible, apart from its code, or told as a problem."""
    pages: list[Page] = []
    for tag in tags_of(sketch).values():
        label, problems = fit_label(tag, stock, words())
        assert (label is None) == bool(problems)
        assert all(tag.code in problem.message and stock.name in problem.message for problem in problems)
        if label:
            pages.append(Page(*stock.label, label.marks))
    check_pages(pages, over_mm=STRIP_OVER if stock.shape == "strip" else 0.0)


def check_pages(pages: list[Page], over_mm: float = 0.0) -> None:
    """Every label, read back from the PDF, is in order; lines may go over the edge by so much."""
    assert faults(pages, margin_mm=0.0, least_mm=LEGIBLE_MM) == []
    for page in pages:
        label = Box(-over_mm, -over_mm, page.width + over_mm, page.height + over_mm)
        assert all(label.holds(box) for box in edges(page.marks))


def edges(marks: Iterable[Mark]) -> Iterable[Box]:
    """What rectangles and lines cover, half their line's width included."""
    for mark in marks:
        if isinstance(mark, Rect):
            half = mark.line / 2
            yield Box(mark.x - half, mark.y - half, mark.x + mark.width + half, mark.y + mark.height + half)
        elif isinstance(mark, Line):
            half = mark.width / 2
            yield Box(
                min(mark.x1, mark.x2) - half,
                min(mark.y1, mark.y2) - half,
                max(mark.x1, mark.x2) + half,
                max(mark.y1, mark.y2) + half,
            )


@pytest.mark.parametrize("stock", label_stocks(), ids=lambda stock: stock.name)
def test_ordinary_tags_fit_every_plain_label(stock: Stock) -> None:
    """Short tags, shared, spare and joined ports, on every stock that is a plain label of 25 mm or higher."""
    if stock.shape != "label" or stock.label[1] < 25:
        return
    kinds = {"liquid", "gas", "cable", "terminal"} if "pipe" in stock.suits else {"cable", "terminal"}
    tags = [tag for tag in tags_of(SMALL).values() if tag.kind in kinds]
    tags = [tag for tag in tags if stock.name != "roll-51x25-203dpi" or not tag.remark.startswith("CAPPED")]
    check_pages([Page(*stock.label, fitted(tag, stock).marks) for tag in tags])


def test_a_stock_without_room_for_a_stubs_caution_is_refused_for_it() -> None:
    """At 3.3 mm the caution needs four lines beside the code of 14.5 mm; the message names it."""
    for kind in ("LIQ", "GAS"):
        label, problems = fit_label(
            tags_of(SMALL)[f"BB-1/B/{kind}"], stock_named("roll-51x25-203dpi"), words()
        )
        assert label is None
        assert [problem.code for problem in problems] == ["text-too-long"]
        assert "'CAPPED – MAY HOLD PRESSURE – DO NOT CUT'" in problems[0].message


@pytest.mark.parametrize("stock", [DEFAULT, BARRED, stock_named("a4-21-63x38")], ids=lambda stock: stock.name)
def test_long_tags_fit_sheet_labels(stock: Stock) -> None:
    """A unit of 24 characters on a box of 8 fits a sheet's label, its code with it."""
    sketch = one_box(("AHU-LEVEL-2-NORTH-WING-1", "A", "9 kBtu/h"), tag="BB-L2-01")
    check_pages([Page(*stock.label, fitted(tag, stock).marks) for tag in tags_of(sketch).values()])


# --- what stands on a label --------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("code", "said"),
    [
        ("BB-1/A/LIQ", ["A", "BB-1", "AT THE BOX", "REV 0", "LIQUID", "FC-1, FC-2"]),
        (
            "BB-1/A/COM/FC-2",
            ["A", "BB-1", "COMM CABLE", "FC-2", "AT THE UNIT", "REV 0", "from FC-1, not power"],
        ),
        (
            "BB-1/B/GAS",
            ["B", "BB-1", "AT THE BOX", "REV 0", "GAS", "CAPPED – MAY HOLD", "PRESSURE – DO NOT CUT"],
        ),
    ],
)
def test_the_words_of_a_label(code: str, said: list[str]) -> None:
    """Letter, box, what it is, whose, remark, which end, revision, and nothing else."""
    label = fitted(tags_of(SMALL)[code], DEFAULT)
    assert said == [text.replace("\u00a0", " ") for text in texts_of(label)]
    assert bars_of(label).text == code


def test_the_second_terminal_names_unit_and_reason() -> None:
    """D of C+D: the unit that it belongs to, and loud that no cable lands here."""
    texts = texts_of(fitted(tags_of(SMALL)["BB-1/D/TRM"], DEFAULT))
    said = [text.replace("\u00a0", " ") for text in texts]
    assert said == ["D", "BB-1", "AT THE BOX", "REV 0", "TERMINAL", "AH-1", "NO CABLE HERE – C+D ON C"]


@pytest.mark.parametrize("name", ["letter-30-67x25", "a4-21-63x38", "a4-65-38x21"])
@pytest.mark.parametrize("code", ["BB-1/D/TRM", "BB-1/B/TRM"])
def test_white_is_left_between_words_and_the_black_of_a_caution(code: str, name: str) -> None:
    """No letter of the unit, of the end or of the revision touches the black band below it."""
    label = fitted(tags_of(SMALL)[code], stock_named(name))
    (black,) = [mark for mark in label.marks if isinstance(mark, Rect) and mark.fill == 0.0]
    above = [mark.y for mark in label.marks if isinstance(mark, Text) and not mark.ink]
    assert black.y - max(above) >= 0.3
    white = [mark for mark in label.marks if isinstance(mark, Text) and mark.ink]
    assert min(mark.y - capitals(mark) for mark in white) - black.y >= 0.4
    assert black.y + black.height - max(mark.y for mark in white) >= 0.4


@pytest.mark.parametrize("stock", [DEFAULT, BARRED], ids=lambda stock: stock.name)
@pytest.mark.parametrize("letter", "ABCD")
def test_the_letter_is_the_one_huge_thing(stock: Stock, letter: str) -> None:
    """The port's letter is at least half as high again as its box, nearly three times as high as all else."""
    texts = [
        mark for mark in fitted(tags_of(SMALL)[f"BB-1/{letter}/TRM"], stock).marks if isinstance(mark, Text)
    ]
    heights = {mark.text: capitals(mark) for mark in texts}
    high = heights.pop(letter)
    assert high >= 1.5 * heights.pop("BB-1")
    assert high >= 2.8 * max(heights.values())


def test_all_letters_of_a_stock_are_of_one_size() -> None:
    """A and I are as high as W would be wide: no letter seems more important than another."""
    heights = set()
    for letter in "ABCDEFGHIJKL":
        tag = replace(tags_of(SMALL)["BB-1/A/LIQ"], port=letter)
        (mark,) = [
            mark for mark in fitted(tag, DEFAULT).marks if isinstance(mark, Text) and mark.text == letter
        ]
        heights.add(round(capitals(mark), 3))
    assert len(heights) == 1


def test_a_strips_cell_of_two_units_has_its_letter_as_high_as_the_others() -> None:
    """How many more is below the first unit: neither letter nor unit is lower than beside it."""
    two = tags_of(
        one_box(
            *((unit, port, "9 kBtu/h") for unit, port in (("HF-303", "C"), ("HF-304", "C"), ("HF-305", "D")))
        )
    )
    strip = stock_named("tape-12-strip-300dpi")
    many, single = (fitted(two[f"BB-1/{letter}/TRM"], strip).heights for letter in "CD")
    assert (many["main"], many["box"], many["unit"]) == pytest.approx(
        (single["main"], single["box"], single["unit"])
    )


def test_four_kinds_have_four_frames() -> None:
    """Liquid in a frame, gas white on black, cable dashed, terminal rounded: apart in black and white."""
    shapes = []
    for what in ("LIQ", "GAS", "COM", "TRM"):
        label = fitted(tags_of(SMALL)[f"BB-1/A/{what}"], DEFAULT)
        (frame,) = [mark for mark in label.marks if isinstance(mark, Rect)]
        shapes.append((frame.fill is not None, bool(frame.dash), frame.radius > 0))
    assert shapes == [(False, False, False), (True, False, False), (False, True, False), (False, False, True)]


def test_many_rooms_become_a_number() -> None:
    """Where several units' rooms do not fit by name, their number stands instead; one room keeps its name."""
    units = [
        UnitSketch(f"FC-12{each}", "A", room=f"Consulting room {each} of the east wing") for each in range(5)
    ]
    label = fitted(tags_of(JobSketch((BoxSketch("BB-1", 4, tuple(units)),)))["BB-1/A/LIQ"], DEFAULT)
    assert "5 rooms" in texts_of(label)


# --- problems ----------------------------------------------------------------------------------------------


def test_a_code_without_room_is_named() -> None:
    """Two tags of 24 characters make a code that a narrow roll cannot hold at a size that reads."""
    sketch = one_box(("U" * 24, "A", "9 kBtu/h"), tag="B" * 24)
    tag = tags_of(sketch)[f"{'B' * 24}/A/COM/{'U' * 24}"]
    label, (problem,) = fit_label(tag, replace(stock_named("roll-51x25-203dpi"), label=(26.0, 25.4)), words())
    assert label is None
    assert (problem.code, problem.boxes) == ("code-too-long", ("B" * 24,))
    assert tag.code in problem.message


def test_a_text_without_room_is_named() -> None:
    """A unit of many wide letters is too long for a small label: told with the tag, at its row."""
    tag = tags_of(one_box(("W" * 24, "A", "6 kBtu/h")))["BB-1/A/LIQ"]
    label, (problem,) = fit_label(tag, replace(DEFAULT, label=(40.0, 25.4)), words())
    assert label is None
    assert (problem.code, str(problem.where)) == ("text-too-long", "job.toml:100")
    assert problem.message.startswith("tag BB-1/A/LIQ on letter-30-67x25: ")


def test_units_that_do_not_fit_by_name_are_the_first_and_a_number() -> None:
    """On stubs, terminals and cables of a shared port, and on the second terminal of a pair."""
    units = tuple(UnitSketch(f"{'W' * 18}-{each}", "A", "6 kBtu/h", f"Room {each}") for each in range(5))
    pair = tuple(UnitSketch(f"{'M' * 18}-{each}", "C+D", "20 kBtu/h") for each in range(5))
    tags = tags_of(JobSketch((BoxSketch("BB-1", 4, (*units, *pair)),)))
    for code, first in (("A/LIQ", "W"), ("A/TRM", "W"), ("D/TRM", "M")):
        said = " ".join(texts_of(fitted(tags[f"BB-1/{code}"], DEFAULT)))
        assert f"{first * 18}-0 +4" in said.replace("- 0", "-0")


def test_a_room_without_room_is_left_out() -> None:
    """A room's name too long for its label gives way; what the tag is and whose it is stay."""
    sketch = JobSketch((BoxSketch("BB-1", 4, (UnitSketch("FC-1", "A", room="W" * 60),)),))
    said = " ".join(texts_of(fitted(tags_of(sketch)["BB-1/A/LIQ"], DEFAULT)))
    assert all(word in said for word in ("A", "BB-1", "LIQUID", "FC-1", "AT THE BOX", "REV 0"))
    assert "WWW" not in said


@pytest.mark.parametrize("where", ["room", "box"])
def test_a_character_that_the_face_lacks_is_named(where: str) -> None:
    """It is told by its number, for it cannot be printed; a room with one is not left out instead."""
    unit = UnitSketch("FC-1", "A", room="茶室" if where == "room" else "")
    box = BoxSketch("BB-1", 4, (unit,), shown="茶室" if where == "box" else "")
    _, (problem,) = fit_label(tags_of(JobSketch((box,)))["BB-1/A/LIQ"], DEFAULT, words())
    assert problem.code == "character-missing"
    assert "U+8336, U+5BA4" in problem.message


def test_a_default_stock_for_pipes_has_a_hole() -> None:
    """A tie-on tag of a plain sheet shows where to punch, and no mark but the ring lies at the hole."""
    stock = default_prints().stocks["pipe"]
    x, y, diameter = stock.hole
    marks = fitted(tags_of(SMALL)["BB-1/A/LIQ"], stock).marks
    (ring,) = [mark for mark in marks if isinstance(mark, Rect) and mark.radius == diameter / 2]
    assert (ring.x, ring.y) == (x - diameter / 2, y - diameter / 2)
    texts = [mark for mark in marks if isinstance(mark, Text)]
    assert all(mark.x > x + diameter / 2 for mark in texts)


def test_a_default_stock_for_cables_is_a_flag() -> None:
    """In front what it is and whose, behind letter, end and remark with the code; the fold stays clear."""
    stock = default_prints().stocks["cable"]
    label = fitted(tags_of(SMALL)["BB-1/A/COM"], stock)
    said = texts_of(label)
    assert [said.count(word) for word in ("BB-1", "A")] == [1, 2]
    assert " ".join(said).count("COMM CABLE") == 1
    assert bars_of(label).text == "BB-1/A/COM"
    fold = Box((stock.label[0] - stock.fold) / 2, 0, (stock.label[0] + stock.fold) / 2, stock.label[1])
    assert not any(ink(mark).overlaps(fold) for mark in label.marks if isinstance(mark, Text))


def test_a_label_tells_how_high_its_letter_is() -> None:
    """The height of the smallest copy of the letter, by which the distance it reads from is judged."""
    for use in ("pipe", "cable", "terminal"):
        label = fitted(tags_of(SMALL)["BB-1/A/COM"], default_prints().stocks[use])
        letters = [capitals(mark) for mark in label.marks if isinstance(mark, Text) and mark.text == "A"]
        assert label.letter_caps == pytest.approx(min(letters))


# --- which code --------------------------------------------------------------------------------------------


def is_bars(label: FittedLabel) -> bool:
    """Whether a label's code is a row of bars."""
    return all(row == 0 for _, row, _, _ in bars_of(label).runs)


@pytest.mark.parametrize(("length", "has_bars"), [(23, True), (24, False)])
def test_bars_give_way_to_a_square_at_one_character(length: int, *, has_bars: bool) -> None:
    """101.6 mm take 31 characters: 11 × (31 + 2) + 13 + 20 = 396 modules of 0.25 mm and 2 mm of edge.

    One character more needs 101.75 + 2 mm, and a QR code stands instead.
    """
    tag = tags_of(one_box(("U" * length, "A", "9 kBtu/h"), tag="B"))[f"B/A/LIQ/{'U' * length}"]
    assert code128(tag.code).columns + 20 == 11 * (len(tag.code) + 2) + 33
    assert has_bars == is_bars(fitted(tag, BARRED))


def test_bars_give_way_at_the_very_module() -> None:
    """A label on which the bars are 0.25 mm has them; 0.01 mm narrower, it has a QR code."""
    tag = tags_of(SMALL)["BB-1/A/LIQ"]
    width = (code128(tag.code).columns + 20) * 0.25 + 2
    exact, narrow = (replace(BARRED, label=(wide, 50.8)) for wide in (width, width - 0.01))
    assert is_bars(fitted(tag, exact))
    assert bars_of(fitted(tag, exact)).cell_width == pytest.approx(0.25)
    assert not is_bars(fitted(tag, narrow))


@pytest.mark.parametrize("symbol", ["qr", "code128"])
def test_codes_stand_on_the_printers_dots(symbol: str) -> None:
    """On a stock with a dot grid every edge of a module lies on a dot."""
    stock = replace(BARRED, kind="roll", symbol=symbol, dots_per_mm=8)
    for tag in tags_of(SMALL).values():
        bars = bars_of(fitted(tag, stock))
        for length in (bars.x, bars.cell_width, *((bars.y,) if symbol == "qr" else ())):
            assert length * 8 == pytest.approx(round(length * 8))


def test_the_letter_is_as_high_as_the_widest_allows() -> None:
    """The size is set by the bold M, so that no common letter is cut."""
    bold = face("bold")
    assert all(bold.width(letter, 1) <= bold.width("M", 1) for letter in "ABCDEFGHIJKLMNOPQRSTUVXYZ")
