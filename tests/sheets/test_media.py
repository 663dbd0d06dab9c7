"""Does a label go round the thing, and where on it may words and codes stand: arithmetic worked by hand.

Circumference = pi x (tube + 2 x wall). A laminated wrap's printed zone is at most one turn, its clear tail at
least one; a wrap that sticks to itself needs one turn and its overlap; a flag one turn and two faces
[computed].
"""

import math
from collections.abc import Iterable
from itertools import combinations

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from tagmaker.catalog.stock import Stock
from tagmaker.draw.marks import Bars, Line, Mark, Page, Rect, Text
from tagmaker.sheets.label import fit_label
from tagmaker.sheets.label_code import PAD
from tagmaker.sheets.media import FACE_LEAST, FOLD_SLACK, TURN_LEAST, Panel, misfit, panels, stocks_that_fit
from tagmaker.tags.model import OutsideDiameter, Tag
from tagmaker.tags.outside_diameter import over
from tests.measured import SMALL, all_tags, length, on_stocks, outside_of
from tests.records import replace
from tests.sheets.printed import Box, ink, printed_pages
from tests.strategies import label_stocks, stock_named, words

WRAP = stock_named("roll-pipe-wrap-152x38-203dpi")
LAMINATED = stock_named("roll-wrap-38x51-300dpi")
FLAG = stock_named("roll-flag-102x25-300dpi")
LONG_WRAP = stock_named("roll-pipe-wrap-254x38-203dpi")
ROUND = [stock for stock in label_stocks() if stock.shape in {"wrap", "flag"}]
diameters = st.floats(3, 160)


def told(diameter_mm: float, stock: Stock) -> str:
    """Why a stock does not go round that diameter; empty where it does."""
    found = misfit(outside_of(diameter_mm), stock)
    return found.message if found else ""


def tag_round(outside: OutsideDiameter | None, kind: str = "liquid") -> Tag:
    """A tag of a kind that goes round a thing."""
    return replace(next(tag for tag in all_tags(SMALL.record()) if tag.kind == kind), outside=outside)


def box_of(panel: Panel) -> Box:
    """A panel's room on its label."""
    frame = panel.frame
    return Box(frame.x, frame.y, frame.right, frame.bottom)


def along(panel: Panel, stock: Stock) -> tuple[float, float]:
    """Where on the way round a panel begins and ends."""
    frame = panel.frame
    return (frame.x, frame.right) if stock.around == "width" else (frame.y, frame.bottom)


# --- does it go round, at the boundary from both sides ------------------------------------------------------


def test_a_wrap_needs_a_turn_and_its_overlap() -> None:
    """152.4 - 25 = 127.4 mm of turn: 127.4 / 3.14159 = 40.55 mm of diameter, and no more."""
    assert told(40.55, WRAP) == ""
    assert told(40.56, WRAP) == (
        "40.56 mm over insulation is 127.4 mm around, this wrap is 152.4 mm, of which 25.0 mm must overlap"
    )


def test_a_laminated_wraps_printed_zone_is_at_most_a_turn() -> None:
    """19 mm printed: 19 / 3.14159 = 6.048 mm of jacket at least."""
    assert told(6.05, LAMINATED) == ""
    assert told(6.0, LAMINATED) == (
        "6 mm over insulation is 18.8 mm around, and this wrap's printed zone of 19.0 mm is longer than that"
    )


def test_a_laminated_wraps_clear_tail_is_at_least_a_turn() -> None:
    """50.8 - 19 = 31.8 mm clear: 31.8 / 3.14159 = 10.12 mm of jacket at most."""
    assert told(10.12, LAMINATED) == ""
    assert told(10.2, LAMINATED) == (
        "10.2 mm over insulation is 32.0 mm around, and this wrap's clear tail is 31.8 mm"
    )


def test_a_flag_needs_a_turn_and_two_faces() -> None:
    """101.6 - 2 x 18 - 1.5 for the fold = 64.1 mm of turn: 64.1 / 3.14159 = 20.40 mm of diameter."""
    assert (FACE_LEAST, FOLD_SLACK) == (18.0, 1.5)
    assert told(20.40, FLAG) == ""
    assert told(20.41, FLAG) == (
        "20.41 mm over insulation is 64.1 mm around, which leaves no room for two faces on this "
        "flag of 101.6 mm"
    )


def test_numbers_are_told_in_the_units_of_the_job() -> None:
    """2.375 in over insulation is 7.46 in around (3.14159 x 2.375 = 7.461): a wrap of 6 in is too short."""
    found = misfit(over(length("7/8 in"), length("3/4 in")), WRAP)
    assert found
    assert found.message == (
        "2.375 in over insulation is 7.46 in around, this wrap is 6.00 in, of which 0.98 in must overlap"
    )


@given(diameters)
def test_a_wrap_goes_round_exactly_what_its_length_allows(diameter: float) -> None:
    """Whatever the diameter: it is refused when a turn and the overlap are longer than the wrap."""
    assume(abs(math.pi * diameter - 127.4) > 1e-6)
    assert (told(diameter, WRAP) == "") == (math.pi * diameter + 25 <= 152.4)


@given(diameters)
def test_a_flag_goes_round_exactly_what_its_length_allows(diameter: float) -> None:
    """Whatever the diameter: it is refused when a turn and two faces are longer than the flag."""
    assume(abs(math.pi * diameter - 64.1) > 1e-6)
    assert (told(diameter, FLAG) == "") == (math.pi * diameter + 1.5 + 36 <= 101.6)


@given(st.floats(0.1, 1000), st.sampled_from(label_stocks()))
def test_labels_tie_on_tags_and_strips_go_round_nothing(diameter: float, stock: Stock) -> None:
    """They fit whatever they are put on."""
    assume(stock.shape in {"label", "tie-on", "strip"})
    assert told(diameter, stock) == ""


@pytest.mark.parametrize("stock", ROUND, ids=lambda stock: stock.name)
def test_what_has_no_known_diameter_is_not_refused(stock: Stock) -> None:
    """Nothing is assumed: there is no number to compare with."""
    assert misfit(None, stock) is None


# --- the stocks that would ----------------------------------------------------------------------------------


def test_stocks_that_would_fit_a_large_pipe() -> None:
    """60.3 mm is 189.5 mm around: 254 - 25 = 229 and 406.4 - 25 = 381 go round it; 254 - 37.5 = 216.5 too."""
    assert stocks_that_fit(outside_of(60.3), "pipe", ROUND) == [
        "a4-5-pipe-wrap-254x38",
        "letter-5-pipe-wrap-254x38",
        "roll-flag-254x38-203dpi",
        "roll-pipe-wrap-254x38-203dpi",
        "roll-pipe-wrap-406x38-203dpi",
    ]


@given(diameters, st.sampled_from(["pipe", "cable", "pipe_rough_in"]))
def test_stocks_that_are_named_suit_and_go_round(diameter: float, use: str) -> None:
    """No more and no less."""
    names = stocks_that_fit(outside_of(diameter), use, label_stocks())
    assert names == [
        stock.name
        for stock in label_stocks()
        if use in stock.suits and not (stock.shape in {"wrap", "flag"} and told(diameter, stock))
    ]


@given(st.floats(0.1, 2000))
def test_a_tie_on_tag_fits_every_pipe(diameter: float) -> None:
    """There is always a stock to name, before brazing and after."""
    for use in ("pipe", "pipe_rough_in"):
        assert "letter-8-tie-on-102x64" in stocks_that_fit(outside_of(diameter), use, label_stocks())


# --- where words may stand ----------------------------------------------------------------------------------


@given(st.sampled_from(label_stocks()), st.one_of(st.none(), diameters))
@settings(max_examples=100)
def test_panels_lie_apart_on_their_label(stock: Stock, diameter: float | None) -> None:
    """On every stock that goes round the thing, no panel leaves the label or shares room with another."""
    outside = outside_of(diameter) if diameter else None
    assume(misfit(outside, stock) is None)
    boxes = [box_of(panel) for panel in panels(tag_round(outside), stock)]
    assert all(Box(0, 0, *stock.label).holds(box) for box in boxes)
    assert not any(one.overlaps(two) for one, two in combinations(boxes, 2))


@given(st.sampled_from(label_stocks()), st.one_of(st.none(), diameters))
@settings(max_examples=60)
def test_one_panel_has_the_code(stock: Stock, diameter: float | None) -> None:
    """A thing is scanned once, however often its words are repeated; a strip's cells have none."""
    outside = outside_of(diameter) if diameter else None
    assume(misfit(outside, stock) is None)
    holds = [panel.holds for panel in panels(tag_round(outside), stock)]
    assert len([each for each in holds if each in {"all", "turn"}]) == (0 if stock.shape == "strip" else 1)


def test_a_laminated_wrap_is_printed_in_its_zone_only() -> None:
    """19 mm of the 50.8 mm around the cable, all of its 38.1 mm along it; the tail stays clear."""
    (panel,) = panels(tag_round(outside_of(8), "cable"), LAMINATED)
    assert box_of(panel) == Box(0, 0, 38.1, 19.0)
    flat = replace(LAMINATED, label=(50.8, 38.1), around="width")
    (panel,) = panels(tag_round(outside_of(8), "cable"), flat)
    assert box_of(panel) == Box(0, 0, 19.0, 38.1)


def test_a_tie_on_tag_keeps_its_hole_clear() -> None:
    """Words begin a millimetre beside the hole: 7 + 3 + 1 = 11 mm from the edge."""
    (panel,) = panels(tag_round(None), stock_named("letter-8-tie-on-102x64"))
    assert box_of(panel) == Box(11.0, 0, 101.6, 63.5)


@given(st.floats(3, 20.4))
def test_a_flags_faces_are_alike_and_leave_a_turn_between_them(diameter: float) -> None:
    """Folded in the middle, one face lies on the other, and what is between them goes round the thing.

    A pad at the fold is part of the fold.
    """
    left, right = panels(tag_round(outside_of(diameter), "cable"), FLAG)
    assert left.frame.width == pytest.approx(right.frame.width)
    assert left.frame.x == FLAG.label[0] - right.frame.right == 0
    assert right.frame.x - left.frame.right == pytest.approx(math.pi * diameter + FOLD_SLACK - 2 * PAD)
    assert left.frame.width - PAD >= FACE_LEAST - 1e-9


def test_a_flag_for_an_unknown_diameter_has_its_own_fold() -> None:
    """Its file says how much goes round: 101.6 - 32 = 69.6, two faces of 34.8 mm, and a pad at the fold."""
    widths = [panel.frame.width - PAD for panel in panels(tag_round(None), FLAG)]
    assert widths == pytest.approx([34.8, 34.8])


# --- what a wrap shows when it is on the pipe ---------------------------------------------------------------


def pipe_wraps() -> st.SearchStrategy[Stock]:
    """Wraps that stick to themselves, round by their width or by their height."""
    wraps = [stock for stock in ROUND if stock.overlap]
    tall = [replace(stock, label=stock.label[::-1], around="height") for stock in wraps]
    return st.sampled_from([*wraps, *tall])


def outer(stock: Stock, outside: OutsideDiameter | None) -> Panel:
    """What of a wrap lies outside."""
    (panel,) = [panel for panel in panels(tag_round(outside), stock) if panel.holds != "start"]
    return panel


@given(pipe_wraps(), st.floats(TURN_LEAST / math.pi + 0.01, 120))
@settings(max_examples=100)
def test_words_are_on_the_turn_that_lies_outside(stock: Stock, diameter: float) -> None:
    """Stuck on by its first end, a wrap hides what is over a turn from its last: no word is there."""
    assume(misfit(outside_of(diameter), stock) is None)
    panel = outer(stock, outside_of(diameter))
    start, end = along(panel, stock)
    assert panel.holds == "turn"
    assert end == pytest.approx(stock.length_around)
    assert end - start == pytest.approx(math.pi * diameter)


def test_round_a_thin_pipe_words_are_there_once() -> None:
    """A third of 20.4 mm holds no letter beside a code: one panel of 44 mm, its code in the outer turn."""
    panel = outer(WRAP, outside_of(6.5))
    assert (panel.holds, panel.frame.width) == ("all", 44.0)


def test_a_wrap_of_unknown_pipe_is_laid_out_for_its_largest() -> None:
    """152.4 - 25 = 127.4 mm."""
    assert outer(WRAP, None).frame.width == pytest.approx(127.4)


def spans(marks: Iterable[Mark]) -> list[tuple[float, float]]:
    """From where to where on the way round each copy of letter and box goes."""
    texts = [mark for mark in marks if isinstance(mark, Text)]
    letters = [ink(mark) for mark in texts if mark.role == "main"]
    boxes = [ink(mark) for mark in texts if mark.role == "box"]
    assert len(letters) == len(boxes) == 6
    pairs = zip(letters, boxes, strict=True)
    return [(min(one.left, two.left), max(one.right, two.right)) for one, two in pairs]


@given(
    st.sampled_from([stock for stock in ROUND if stock.overlap]),
    st.floats(30, 120),
    st.floats(0, 1),
    st.sampled_from([tag for tag in all_tags(SMALL.record()) if tag.kind in {"liquid", "gas"} and tag.units]),
)
@settings(max_examples=60, deadline=None)
def test_every_third_of_a_turn_shows_letter_and_box(
    stock: Stock, diameter: float, side: float, tag: Tag
) -> None:
    """Whichever third of the pipe one sees, a whole copy is in it."""
    outside = outside_of(diameter)
    assume(misfit(outside, stock) is None)
    label, problems = fit_label(replace(tag, outside=outside), stock, words())
    assert label, problems
    turn = math.pi * diameter
    start = stock.length_around - turn * side
    seen = [
        (left, right)
        for left, right in spans(label.marks)
        for lap in (0.0, turn)
        if start - 1e-6 <= left + lap and right + lap <= start + turn / 3 + 1e-6
    ]
    assert seen


def test_hidden_end_of_a_wrap_says_so() -> None:
    """What is left of the wrap, 25 mm at least, is stuck on first."""
    first, *rest = panels(tag_round(outside_of(60)), LONG_WRAP)
    assert (first.holds, first.frame.x, first.frame.width) == ("start", 0, 30.0)
    assert "start" not in {panel.holds for panel in rest}


# --- what is on the parts -----------------------------------------------------------------------------------


@pytest.mark.parametrize("name", [stock.name for stock in ROUND if "pipe" in stock.suits])
def test_a_caution_is_on_every_side(name: str) -> None:
    """On both faces of a flag and on every third of a wrap; or the stock is refused for stubs."""
    tag, stock = next(tag for tag in all_tags(SMALL.record()) if tag.code == "BB-1/B/LIQ"), stock_named(name)
    label, problems = fit_label(tag, stock, words())
    if name == "roll-flag-102x25-300dpi":
        assert label is None
        assert "'CAPPED – MAY HOLD PRESSURE – DO NOT CUT'" in problems[0].message
        return
    assert label
    pages = printed_pages([Page(*stock.label, label.marks)])
    told = "".join("".join(text.text.split()) for text in pages[0])
    sides = 3 if stock.shape == "wrap" else 2
    assert told.count("CAPPED–MAYHOLDPRESSURE–DONOTCUT") == sides


@given(pipe_wraps(), st.floats(9, 120), st.sampled_from(all_tags(SMALL.record())))
@settings(max_examples=40, deadline=None)
def test_a_wrap_has_one_code(stock: Stock, diameter: float, tag: Tag) -> None:
    """A thing is scanned once; what does not fit a thin pipe is refused."""
    outside = outside_of(diameter)
    assume(misfit(outside, stock) is None)
    label, problems = fit_label(replace(tag, outside=outside), stock, words())
    assert label or problems
    if label:
        assert [mark.text for mark in label.marks if isinstance(mark, Bars)] == [tag.code]


def test_a_short_flag_that_no_job_named_is_a_tie_on_tag() -> None:
    """Where a cable is too thick for the sheet's flag, its tag has a hole in place of fold marks."""
    stock = SMALL.record().prints.stocks["cable"]
    tag = tag_round(outside_of(6), "cable")
    for outside, folds in ((outside_of(6), 2), (outside_of(60), 0)):
        label, problems = fit_label(replace(tag, outside=outside), stock, words())
        assert problems == ()
        assert label
        assert len([mark for mark in label.marks if isinstance(mark, Line)]) == folds
        rings = [mark for mark in label.marks if isinstance(mark, Rect) and mark.radius == 2.5]
        assert len(rings) == (not folds)


# --- stocks that no job named -------------------------------------------------------------------------------


@given(st.one_of(st.none(), st.floats(0.1, 2000)))
@settings(max_examples=60)
def test_default_stocks_take_whatever_they_are_put_on(diameter: float | None) -> None:
    """A pipe's is a tie-on tag, a cable's a flag or, where that is too short, a plain label."""
    outside = outside_of(diameter) if diameter else None
    stocks = on_stocks(SMALL.record(), {}).prints.stocks
    for kind, use in (("liquid", "pipe"), ("cable", "cable"), ("terminal", "terminal")):
        stock = stocks[use]
        boxes = [box_of(panel) for panel in panels(tag_round(outside, kind), stock)]
        assert all(Box(0, 0, *stock.label).holds(box) for box in boxes)
        assert all(box.right - box.left >= FACE_LEAST - 1e-9 for box in boxes)
