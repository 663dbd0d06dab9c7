"""Where a label has little room: what a stock is listed for it serves, and the word DRAFT never refuses."""

from collections.abc import Iterator

import pytest
from fontTools.pens.boundsPen import BoundsPen
from fontTools.ttLib import TTFont
from hypothesis import given, settings
from hypothesis import strategies as st

from tagmaker.catalog.stock import Stock
from tagmaker.draw.marks import Bars, Page, Rect, Text
from tagmaker.outputs.proof import expected_of_labels
from tagmaker.sheets.label import FittedLabel, fit_label
from tagmaker.sheets.label_cache import fit_cached
from tagmaker.sheets.label_parts import within
from tagmaker.sheets.media import misfit
from tagmaker.sheets.place import place_labels, stock_of
from tagmaker.tags.model import Tag
from tagmaker.typeset.fonts import BOLD, FIGURES, FILES, FLAT, LETTER, OVERSHOOT, font_folder
from tagmaker.typeset.frame import Frame
from tagmaker.typeset.text import LEGIBLE_MM
from tests.measured import SMALL, all_tags, on_stocks, outside_of
from tests.records import replace
from tests.sheets.printed import faults
from tests.strategies import JobSketch, label_stocks, one_box, stock_named, words

SMALLEST = stock_named("letter-80-44x13")
WRAP = stock_named("roll-wrap-38x51-300dpi")
LABEL_USES = ("pipe", "pipe_rough_in", "cable", "terminal", "locator")
LISTED = [
    (stock, use)
    for stock in label_stocks()
    for use in LABEL_USES
    if stock.shape != "strip" and use in stock.suits
]
NO_CAUTION = {"roll-51x25-203dpi", "roll-flag-102x25-300dpi"}
"""Stocks on which the caution of a spare stub has no room at 3.3 mm."""
CABLES = [each / 10 for each in range(62, 98, 8)]
"""Diameters of cables in mm, over what a default flag goes round and a little more."""


def sketch_of(signs: int, units: int) -> JobSketch:
    """A box whose tags are so long, with so many units on a port and on a pair, and a spare port."""
    numbers = range(1, 2 * units + 1)
    rows = [(f"FC-{each:0{signs - 3}d}", "A" if each <= units else "C+D", "6 kBtu/h") for each in numbers]
    return one_box(*rows, tag=f"BB-{1:0{signs - 3}d}")


def tags_on(stock: Stock, use: str, sketch: JobSketch) -> Iterator[Tag]:
    """The tags of a use round nothing known, and round the thinnest thing that the stock goes round.

    Every unit has an address.
    """
    job = on_stocks(sketch.record(), {"locator": stock})
    job = replace(job, units=tuple(replace(unit, address="2-07") for unit in job.units))
    found = [
        tag for tag in all_tags(job, "rough-in" if use == "pipe_rough_in" else "") if tag.stock_use == use
    ]
    yield from (replace(tag, outside=None) for tag in found)
    diameters = (outside_of(each) for each in (6.5, 8.0, 25.0, 35.0, 38.0))
    thin = next((each for each in diameters if misfit(each, stock) is None), None)
    if stock.shape in {"wrap", "flag"}:
        yield from (replace(tag, outside=thin) for tag in found)


@pytest.mark.parametrize(("stock", "use"), LISTED, ids=lambda each: getattr(each, "name", each))
def test_a_stock_serves_every_use_that_it_is_listed_for(stock: Stock, use: str) -> None:
    """Ports of 1 to 5 units, tags of 4 to 10 signs; stubs' cautions are too long for two stocks."""
    pages: list[Page] = []
    for signs in range(4, 11):
        for units in range(1, 6):
            for tag in tags_on(stock, use, sketch_of(signs, units)):
                label, problems = fit_cached(tag, stock, words())
                if stock.name in NO_CAUTION and tag.remark.startswith("CAPPED"):
                    assert label is None
                    assert all("'CAPPED – " in problem.message for problem in problems)
                    continue
                assert label, problems
                pages += [Page(*stock.label, label.marks)] if signs == 10 and units in {1, 5} else []
    assert faults(pages, margin_mm=0, least_mm=LEGIBLE_MM) == []


def test_a_wrap_holds_a_port_of_five_units() -> None:
    """The first by name and the number of the others; the remark with its warning whole."""
    tag = next(tag for tag in all_tags(sketch_of(8, 5).record()) if tag.code == "BB-00001/C/COM")
    label, _ = fit_label(tag, WRAP, words())
    assert label
    said = " ".join(mark.text for mark in label.marks if isinstance(mark, Text)).replace("\xa0", " ")
    assert all(text in said for text in ("BB-00001", "FC-00006 +4", "to FC-00006, not power", "REV 0"))


# --- DRAFT --------------------------------------------------------------------------------------------------


def told_of_draft(label: FittedLabel) -> bool:
    """Whether a label says DRAFT."""
    return any("DRAFT" in mark.text for mark in label.marks if isinstance(mark, Text))


@pytest.mark.parametrize("is_draft", [True, False])
@pytest.mark.parametrize("revision", ["0", "P02"])
def test_a_default_flag_takes_every_cable(revision: str, *, is_draft: bool) -> None:
    """Where its faces are too narrow for a text as high as it must be, it is a tie-on tag."""
    sketch = one_box(("FCU-2-131", "A", "9 kBtu/h"), ("FCU-2-132", "A", "9 kBtu/h"), tag="BB-11")
    job = replace(sketch.record(), is_draft=is_draft, revision=revision)
    cables = [tag for tag in all_tags(job) if tag.kind == "cable"]
    for diameter in CABLES:
        for tag in cables:
            stock = stock_of(job, tag)
            label, problems = fit_label(replace(tag, outside=outside_of(diameter)), stock, words())
            assert label, (diameter, problems)
            assert label.has_code
            assert told_of_draft(label) == is_draft


@given(
    st.sampled_from([each for each in label_stocks() if each.shape != "strip"]),
    st.integers(4, 16),
    st.integers(1, 5),
    st.sampled_from(["0", "P02", "2026-A"]),
)
@settings(max_examples=10, deadline=None)
def test_a_draft_fits_where_the_issued_tag_does(stock: Stock, signs: int, units: int, revision: str) -> None:
    """On every stock, whatever the length of tags; and it says that it is a draft."""
    job = replace(sketch_of(signs, units).record(), revision=revision)
    for tag, draft in zip(all_tags(job), all_tags(replace(job, is_draft=True)), strict=True):
        issued, _ = fit_label(tag, stock, words())
        label, problems = fit_label(draft, stock, words())
        assert label or not issued, problems
        if label:
            assert told_of_draft(label)


def low_draft() -> tuple[Tag, FittedLabel]:
    """A draft's tag for which the smallest label has no room but in its code's place."""
    for signs in range(4, 17):
        job = replace(sketch_of(signs, 2).record(), is_draft=True, revision="P02")
        for tag in all_tags(job):
            label, _ = fit_label(tag, SMALLEST, words())
            if label and not label.has_code:
                return tag, label
    raise AssertionError("none")


def test_draft_is_in_the_codes_place_where_nothing_else_is_left() -> None:
    """The word is printed instead of the code, and the printed page is not searched for that code."""
    tag, label = low_draft()
    assert not any(isinstance(mark, Bars) for mark in label.marks)
    assert "DRAFT" in [mark.text for mark in label.marks if isinstance(mark, Text)]
    job = on_stocks(SMALL.record(), {tag.stock_use: SMALLEST})
    assert expected_of_labels(place_labels([label], job)) == []
    cached, _ = fit_cached(tag, SMALLEST, words())
    assert cached
    assert (cached.has_code, told_of_draft(cached)) == (False, True)


def test_a_label_without_a_code_has_a_border() -> None:
    """A stock that prints no code has a thick border where the word DRAFT has no room."""
    tag, _ = low_draft()
    for tenths in range(280, 445):
        bare = replace(SMALLEST, symbol="none", label=(tenths / 10, 12.7))
        label, _ = fit_label(tag, bare, words())
        if label:
            break
    assert label
    (border,) = [mark for mark in label.marks if isinstance(mark, Rect) and mark.line > 0.5]
    assert (border.x, border.width, border.height) == pytest.approx((0.4, bare.label[0] - 0.8, 11.9))


def outlines(sign: str) -> tuple[float, float]:
    """A sign's lowest and highest point in capitals, as its bold outline is drawn."""
    font = TTFont(font_folder() / FILES[BOLD])
    pen, glyphs = BoundsPen(font.getGlyphSet()), font.getGlyphSet()
    glyphs[font.getBestCmap()[ord(sign)]].draw(pen)
    _, lowest, _, highest = pen.bounds or (0, 0, 0, font["OS/2"].sCapHeight)
    return lowest / font["OS/2"].sCapHeight, highest / font["OS/2"].sCapHeight


def test_a_text_stays_in_the_frame_of_a_tag() -> None:
    """Small letters, brackets, strokes and accents: the face's own outlines are within the frame."""
    for sign in "bdfhkltijgpqyQ,;()[]{}/|_@çÅÖé":
        for text in (f"BB {sign}1", f"bd-{sign}", f"Q/{sign}"):
            frame = within(text, Frame(0, 0, 50, 10))
            lowest, highest = outlines(sign)
            over = OVERSHOOT * frame.height  # what round signs overshoot
            assert frame.bottom - highest * frame.height >= -over, text
            assert frame.bottom - lowest * frame.height <= 10 + over, text


def test_signs_that_are_counted_as_flat_are_flat() -> None:
    """Their outlines, which are not looked up, reach neither above capitals nor below their line."""
    for sign in FLAT - set(FIGURES) - {LETTER, " "}:
        lowest, highest = outlines(sign)
        assert lowest > -OVERSHOOT, sign
        assert highest < 1 + OVERSHOOT, sign
