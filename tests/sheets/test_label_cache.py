"""What was laid out for one tag serves every tag that is alike, to the last mark."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tagmaker.catalog.stock import Stock
from tagmaker.draw.fonts import CODES, numbered
from tagmaker.draw.ink import drawn
from tagmaker.draw.marks import part
from tagmaker.sheets.label import fit_label
from tagmaker.sheets.label_cache import UNSHOWN, fit_cached
from tagmaker.tags.kits import box_tags
from tagmaker.tags.model import Tag
from tagmaker.typeset.fonts import BOLD, FIGURES, PLAIN, all_faces, face
from tests.records import replace
from tests.strategies import JobSketch, first_box, label_stocks, one_box, sketches, stock_named, words

SHEET, BARS = stock_named("letter-30-67x25"), stock_named("letter-10-102x51")
STOCKS = {stock.name: stock for stock in label_stocks()}
RARE = chr(next(sign for sign, code in numbered(all_faces()[0]).numbers.items() if code >= CODES))
SMALL = one_box(("FC-1", "A", "9 kBtu/h"), ("FC-2", "A", "9 kBtu/h"), ("AH-1", "C+D", "72 kBtu/h"))


def tags_of(sketch: JobSketch) -> list[Tag]:
    """The tags of a job's first box."""
    job = sketch.record()
    return list(box_tags(job, first_box(job), words()))


def assert_same(tag: Tag, stock: Stock) -> None:
    """Both ways lay the tag out the same, as marks, as ink and without either, or tell the same problems."""
    label, problems = fit_label(tag, stock, words())
    ink = label and replace(label, marks=drawn(part("P", label.marks), all_faces()))
    bare = label and replace(label, marks=())
    assert (label, problems) == fit_cached(tag, stock, words())
    assert (ink, problems) == fit_cached(tag, stock, words(), finish="ink")
    assert (bare, problems) == fit_cached(tag, stock, words(), finish="none")


@settings(max_examples=10, deadline=None)
@given(sketches((4, 12), most_boxes=1), st.sampled_from(sorted(STOCKS)))
def test_a_tag_lies_as_if_it_were_the_only_one(sketch: JobSketch, name: str) -> None:
    """Every mark's place, size and text, and the letter's height, on every stock."""
    for tag in tags_of(sketch):
        assert_same(tag, STOCKS[name])


@pytest.mark.parametrize("sign", f"AÅ({RARE}")
def test_signs_of_any_script_are_drawn_right(sign: str) -> None:
    """Those that another font of the face shows, or that operators have escaped."""
    for tag in tags_of(SMALL)[::4]:
        assert_same(replace(tag, port=sign), SHEET)
        assert_same(replace(tag, units=(f"{sign} 7",)), SHEET)
        assert_same(replace(tag, units=(f"{sign} 8",)), SHEET)


@pytest.mark.parametrize("stock", [SHEET, BARS], ids=lambda stock: stock.name)
@pytest.mark.parametrize("letter", "ABIMWQ")
def test_wide_letters_and_narrow_ones_lie_right(letter: str, stock: Stock) -> None:
    """M and W are wider than any stand-in; I is the narrowest."""
    for tag in tags_of(SMALL):
        assert_same(replace(tag, port=letter), stock)


def test_a_code_of_another_size_is_not_taken_for_one_of_its_length() -> None:
    """Figures take less room in a bar code than letters; lower-case letters take more in a QR code."""
    tag = tags_of(SMALL)[0]
    for code in ("BB-1/A/TRM/12345678", "BB-1/A/TRM/ABCDEFGH", "bb-1/a/trm/abcdefgh"):
        for stock in (SHEET, BARS):
            assert_same(replace(tag, code=code), stock)


def test_what_no_label_shows_changes_no_label() -> None:
    """A tag is laid out as the same tag without it."""
    for tag in tags_of(SMALL):
        bare = replace(tag, **UNSHOWN)
        label, problems = fit_label(tag, SHEET, words())
        assert label
        assert (replace(label, tag=bare), problems) == fit_label(bare, SHEET, words())


def test_problems_name_the_tag_itself() -> None:
    """Two tags that are alike and do not fit have each its own problem."""
    first, second = (replace(tag, units=("F" * 90,)) for tag in tags_of(SMALL)[:2])
    for tag in (first, second):
        assert_same(tag, SHEET)
        assert tag.code in fit_cached(tag, SHEET, words())[1][0].message


def test_more_figures_than_stand_ins_are_set_as_they_are() -> None:
    """Of any text, however long."""
    assert_same(replace(tags_of(SMALL)[0], remark="1" * len(FIGURES)), SHEET)


@pytest.mark.parametrize("name", [PLAIN, BOLD])
def test_every_figure_is_as_wide_as_its_stand_in(name: str) -> None:
    """In each face, slashed zero included."""
    widths = {face(name).width(figure, 1.0) for figure in "0123456789" + FIGURES}
    assert len(widths) == 1


@pytest.mark.parametrize("name", [PLAIN, BOLD])
def test_no_letter_that_is_stood_in_for_is_wider(name: str) -> None:
    """A letter narrower than the room has the size that the widest common one has."""
    assert face(name).letter < face(name).advances["M"]
