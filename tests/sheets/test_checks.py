"""What the media say: does it go round, does it last, is it made for that, do its letters read from there."""

from pathlib import Path
from typing import Literal

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tagmaker.catalog.reading import reading_rules
from tagmaker.catalog.stock import Stock
from tagmaker.draw.marks import Page, Text, TextRole
from tagmaker.job.model import Job
from tagmaker.problems import Severity, Where
from tagmaker.sheets.checks import Alike, check_fit, check_letters, check_placards, check_sides, check_stocks
from tagmaker.sheets.label import FittedLabel, fit_label
from tagmaker.sheets.placard import placard_pages
from tagmaker.tags.model import OutsideDiameter, Stage, Tag, TagKind
from tagmaker.tags.outside_diameter import over
from tagmaker.typeset.fonts import BOLD, face
from tests.job_files import write_files
from tests.measured import SMALL, all_tags, length, mains, on_stocks, outside_of, sized
from tests.records import replace
from tests.reported import told
from tests.strategies import first_box, label_stocks, one_box, stock_named, words

NOWHERE = Path()
HERE = Where("job.toml", 8)
WRAP = stock_named("roll-pipe-wrap-152x38-203dpi")
CABLE_WRAP = stock_named("roll-wrap-38x51-300dpi")
LABELS = stock_named("letter-30-67x25")
FADING = stock_named("roll-51x25-203dpi")
FULL = {"liquid": "3/8 in", "gas": "7/8 in", "insulation": "3/4 in", "cable": "0.26 in"}


def tag_of(kind: str, outside: OutsideDiameter | None = None) -> Tag:
    """A tag of port A that goes round a thing."""
    tags = all_tags(SMALL.record())
    return replace(next(tag for tag in tags if tag.kind == kind), outside=outside)


# --- does it go round ---------------------------------------------------------------------------------------


def test_misfit_has_the_numbers_and_the_stocks_that_would() -> None:
    """3.14159 x 2.375 in = 7.46 in of turn: not on a wrap of 6 in, but on one of 10 or 16, or on a flag."""
    outside = over(length("7/8 in"), length("3/4 in"))
    (problem,) = check_fit(tag_of("gas", outside), WRAP, NOWHERE)
    assert (problem.severity, problem.code, problem.boxes) == (Severity.ERROR, "stock-misfit", ("BB-1",))
    assert problem.message == (
        "gas line BB-1/A on roll-pipe-wrap-152x38-203dpi: 2.375 in over insulation is 7.46 in around, "
        "this wrap is 6.00 in, of which 0.98 in must overlap"
    )
    assert problem.hint == (
        "these fit: a4-5-pipe-wrap-254x38, letter-5-pipe-wrap-254x38, letter-8-tie-on-102x64, "
        "roll-flag-254x38-203dpi, roll-pipe-wrap-254x38-203dpi, roll-pipe-wrap-406x38-203dpi, "
        "roll-tie-on-76x51-203dpi, roll-tie-on-76x51-300dpi"
    )


def test_misfit_of_a_main_names_its_box() -> None:
    """A main has no port; the line is named by what it carries."""
    box = replace(SMALL.record().boxes[0], mains=mains("3/4 in", suction="1-1/8 in"))
    job = replace(SMALL.record(), boxes=(box,))
    (problem,) = check_fit(all_tags(job)[0], WRAP, NOWHERE)
    assert problem.message.startswith(
        "main-suction line BB-1 on roll-pipe-wrap-152x38-203dpi: 2.625 in over insulation is 8.25 in around"
    )


def test_misfit_of_a_cable() -> None:
    """12.7 mm is 39.9 mm around, and 31.8 mm of the wrap are clear; a label or a flag fits."""
    (problem,) = check_fit(tag_of("cable", outside_of(12.7)), CABLE_WRAP, NOWHERE)
    assert problem.message.startswith("cable BB-1/A on roll-wrap-38x51-300dpi: ")
    assert problem.message.endswith("is 39.9 mm around, and this wrap's clear tail is 31.8 mm")
    assert "roll-flag-102x25-300dpi" in problem.hint
    assert CABLE_WRAP.name not in problem.hint


def test_jobs_own_stock_is_among_those_that_fit(tmp_path: Path) -> None:
    """A stock file of the job counts like the program's own."""
    wrap = 'source = "x"\nkind = "roll"\nlabel_mm = [300, 30]\nshape = "wrap"\noverlap_mm = 25\n'
    wrap += 'elastomeric = "itself"\nsuits = ["pipe"]\n'
    write_files(tmp_path, {"stocks/own-wrap.toml": wrap, "stocks/broken.toml": "x"})
    (problem,) = check_fit(tag_of("gas", outside_of(80)), WRAP, tmp_path)
    assert "own-wrap" in problem.hint
    assert "broken" not in problem.hint


def test_what_fits_is_not_told() -> None:
    """30 mm is 94 mm around and 152 - 25 = 127 mm are there."""
    assert check_fit(tag_of("gas", outside_of(30)), WRAP, NOWHERE) == ()


@given(st.floats(0.1, 500))
@settings(max_examples=40, deadline=None)
def test_a_stock_that_no_job_named_never_misfits(diameter: float) -> None:
    """Default stocks never stop a job, and every tag is printed on them, whatever it goes round."""
    stocks = SMALL.record().prints.stocks
    for kind, use in (("liquid", "pipe"), ("gas", "pipe_rough_in"), ("cable", "cable")):
        tag = tag_of(kind, outside_of(diameter))
        assert check_fit(tag, stocks[use], NOWHERE) == ()
        label, problems = fit_label(tag, stocks[use], words())
        assert problems == ()
        assert label


@given(st.sampled_from(label_stocks()))
@settings(max_examples=20)
def test_a_diameter_that_is_not_given_is_not_assumed(stock: Stock) -> None:
    """No stock is refused for a thing whose size nobody knows."""
    assert check_fit(tag_of("gas"), stock, NOWHERE) == ()


def test_wraps_whose_words_are_on_one_side_are_named_once_a_use() -> None:
    """A laminated wrap's zone goes once round; a pipe wrap of 75 mm or more has its words three times."""
    cables = [tag_of("cable"), tag_of("cable")]
    (problem,) = check_sides(cables, {"cable": stock_named("roll-wrap-38x51-300dpi")})
    assert (problem.code, problem.severity) == ("wrap-one-sided", Severity.NOTE)
    assert list(check_sides(cables, {"cable": LABELS})) == []
    wrap = stock_named("roll-pipe-wrap-254x38-203dpi")
    for millimetres, count in ((20, 1), (30, 0)):
        thing = over(length(f"{millimetres} mm"), None, bare=True)
        assert len(list(check_sides([replace(tag_of("gas"), outside=thing)], {"pipe": wrap}))) == count


# --- does it last, is it made for that ----------------------------------------------------------------------


def stock_warnings(job: Job, stage: Literal[Stage, ""] = "") -> list[tuple[str, str]]:
    """What is said of the stocks of a job's tags."""
    return told(check_stocks(all_tags(job, stage), job.prints.stocks))


def test_default_stocks_are_never_warned_about() -> None:
    """A job that names no stock hears nothing, with diameters and without."""
    assert stock_warnings(SMALL.record()) == []
    assert stock_warnings(sized(SMALL, **FULL)) == []
    assert stock_warnings(sized(SMALL, **FULL), "rough-in") == []


def test_lasting_tags_on_a_stock_that_fades() -> None:
    """Direct thermal paper is for the rough-in; told once, however many tags there are."""
    job = on_stocks(SMALL.record(), {"terminal": FADING})
    message = (
        "terminal tags must last; roll-51x25-203dpi is temporary "
        "(coated paper, direct thermal: fades in light and warmth)"
    )
    assert stock_warnings(job) == [("stock-temporary", message)]


def test_rough_in_tags_may_fade() -> None:
    """They hang until the lasting ones are stuck on."""
    job = on_stocks(sized(SMALL, **FULL), {"pipe_rough_in": FADING})
    assert stock_warnings(job, "rough-in") == []


def test_a_plain_label_on_elastomeric_foam() -> None:
    """It drops off [practice]: told where insulation is given, of pipes only."""
    named = replace(LABELS, is_default=False)
    job = on_stocks(sized(SMALL, **FULL), {"pipe": named, "cable": named})
    assert [code for code, _ in stock_warnings(job)] == ["stock-drops-off"]


@pytest.mark.parametrize(
    "name", [stock.name for stock in label_stocks() if "pipe" in stock.suits and stock.shape != "label"]
)
def test_what_holds_on_foam(name: str) -> None:
    """What wraps and sticks to itself, or is tied on, does not drop off."""
    job = on_stocks(sized(SMALL, **FULL), {"pipe": stock_named(name)})
    assert "stock-drops-off" not in {code for code, _ in stock_warnings(job)}


def test_a_stock_for_something_else() -> None:
    """A strip of terminals is not made for cables."""
    job = on_stocks(SMALL.record(), {"cable": stock_named("tape-12-strip-300dpi")})
    assert ("stock-unsuited", "cable tags on tape-12-strip-300dpi, which is made for terminal") in (
        stock_warnings(job)
    )


def test_a_wrap_for_a_cable_of_unknown_size() -> None:
    """Nothing is assumed in silence: the first row without a jacket is named."""
    job = on_stocks(SMALL.record(), {"cable": CABLE_WRAP})
    (problem,) = check_stocks(all_tags(job), job.prints.stocks)
    assert (problem.code, problem.severity) == ("diameter-missing", Severity.WARNING)
    assert problem.message == (
        "cable tags on roll-wrap-38x51-300dpi: no diameter is given to check whether it fits"
    )
    assert problem.where == job.units[0].where
    assert stock_warnings(on_stocks(sized(SMALL, cable="0.26 in"), {"cable": CABLE_WRAP})) == []


def test_a_wrap_for_mains_of_unknown_size() -> None:
    """Mains without a wall are told, though no unit hangs on them."""
    job = on_stocks(sized(SMALL, **FULL), {"pipe": stock_named("roll-pipe-wrap-254x38-203dpi")})
    thin = replace(job.boxes[0], mains=mains(liquid="3/4 in"))
    assert stock_warnings(job) == []
    assert [code for code, _ in stock_warnings(replace(job, boxes=(thin,)))] == ["diameter-missing"]


# --- do letters read from there -----------------------------------------------------------------------------


KINDS: dict[str, TagKind] = {"terminal": "terminal", "cable": "cable", "locator": "locator"}


def labelled(use: str, heights: dict[TextRole, float]) -> list[FittedLabel]:
    """A label of a use whose texts are so high."""
    tag = replace(tag_of("liquid"), kind=KINDS.get(use, "liquid"), stock_use=use)
    return [FittedLabel(tag, (), heights)]


@pytest.mark.parametrize(
    ("use", "role", "floor"),
    [
        ("terminal", "main", 3.30),
        ("cable", "main", 3.30),
        ("pipe", "main", 11.64),
        ("pipe_rough_in", "main", 11.64),
        ("locator", "main", 11.64),
        ("pipe", "box", 4.0),
        ("cable", "kind", 3.30),
        ("pipe", "unit", 3.25),
        ("pipe", "units", 2.33),
        ("pipe", "fact", 2.05),
        ("pipe", "caution", 3.30),
    ],
)
def test_texts_at_the_floor_are_silent_and_below_it_are_reported(
    use: str, role: TextRole, floor: float
) -> None:
    """6.283 x distance x 16 / 21600: NUREG-0700 [read], at 0.44 to 2.5 m [computed by hand]."""
    stocks = {use: LABELS}
    assert list(check_letters(Alike(labelled(use, {role: floor})), stocks, NOWHERE)) == []
    (problem,) = check_letters(Alike(labelled(use, {role: floor - 0.1})), stocks, NOWHERE)
    assert (problem.code, problem.severity) == ("letters-small", Severity.WARNING)
    assert f"({floor:.1f} mm)" in problem.message


def test_a_caution_on_a_high_label_is_higher() -> None:
    """20 minutes above 26 mm of height: 4.13 mm."""
    high = stock_named("a4-21-63x38")
    assert list(check_letters(Alike(labelled("pipe", {"caution": 4.13})), {"pipe": high}, NOWHERE)) == []
    (problem,) = check_letters(Alike(labelled("pipe", {"caution": 4.0})), {"pipe": high}, NOWHERE)
    assert "caution 4.0 mm high reads from 0.7 m, not from 0.71 m (4.1 mm)" in problem.message


def test_small_texts_are_reported_once_a_use_with_the_lowest() -> None:
    """How many tags, and the worst of each text; the stocks that read from there are named."""
    labels = [label for caps in (8.0, 7.0, 9.5, 12.0) for label in labelled("pipe", {"main": caps})]
    labels += labelled("pipe", {"main": 12.0, "kind": 2.9})
    (problem,) = check_letters(Alike(labels), {"pipe": WRAP}, NOWHERE)
    assert problem.message == (
        "4 pipe tags on roll-pipe-wrap-152x38-203dpi: "
        "letter 7.0 mm high reads from 1.5 m, not from 2.5 m (11.6 mm); "
        "kind 2.9 mm high reads from 0.6 m, not from 0.71 m (3.3 mm), on BB-1/A/LIQ"
    )
    assert "letter-8-tie-on-102x64" in problem.hint
    assert "tape-25-cut-60-203dpi" not in problem.hint


def test_stocks_that_read_from_there_are_named() -> None:
    """A locator is read from 2.5 m."""
    (problem,) = check_letters(Alike(labelled("locator", {"main": 7.8})), {"locator": LABELS}, NOWHERE)
    assert problem.hint == ("high enough on: a4-21-63x38, letter-10-102x51, tape-25-cut-60-203dpi")


def test_letters_of_a_real_label_are_measured() -> None:
    """The height is the font's own: size in em x sCapHeight, read back from the label's marks."""
    label, _ = fit_label(tag_of("terminal"), LABELS, words())
    assert label
    letter = next(mark for mark in label.marks if isinstance(mark, Text) and mark.text == "A")
    assert label.letter_caps == pytest.approx(letter.size * face(BOLD).cap_height)
    assert label.letter_caps > reading_rules().texts["letter_terminal"].caps


def test_huge_word_on_two_lines_is_measured_too() -> None:
    """A locator's box may stand on two lines; its letters count all the same."""
    job = one_box(("FC-1", "A", "9 kBtu/h"), tag="BB-NORTH-WING-LEVEL-2-01").record()
    job = on_stocks(job, {"locator": LABELS})
    tag = next(tag for tag in all_tags(job) if tag.kind == "locator")
    label, problems = fit_label(tag, LABELS, words())
    assert problems == ()
    assert label
    main = [mark for mark in label.marks if isinstance(mark, Text) and mark.role == "main"]
    assert "".join(mark.text for mark in main) == "BB-NORTH-WING-LEVEL-2-01"
    assert label.letter_caps == pytest.approx(main[0].size * face(BOLD).cap_height)


# --- placards -----------------------------------------------------------------------------------------------


def placard_at(caps: float) -> tuple[Page, ...]:
    """A placard whose list of switches has capitals so high."""
    size = face(BOLD).size_for_caps(caps)
    small = Text(10, 60, "not meant to be read from afar", BOLD, 2.0)
    return (Page(215.9, 279.4, (small, Text(10, 40, "ON 1 2", BOLD, size, role="main"))),)


@pytest.mark.parametrize(("page", "floor", "distance"), [("letter", 6.98, "1.5"), ("4x6", 3.26, "0.7")])
def test_placards_at_the_floor_are_silent_and_below_it_are_told(
    page: str, floor: float, distance: str
) -> None:
    """A page is read from 1.5 m, a 4 x 6 in label from 0.7 m, at 16 minutes, NUREG-0700 [read]."""
    job = on_stocks(SMALL.record(), {"placard": stock_named(page)})
    assert list(check_placards([placard_at(floor)], job)) == []
    low = [placard_at(floor - 0.1), placard_at(floor - 1), placard_at(floor)]
    message = (
        f"placards on {page}: 'ON 1 2' is {floor - 1:.1f} mm high; "
        f"read at {distance} m it needs {floor:.1f} mm"
    )
    assert told(check_placards(low, job)) == [("letters-small", message)]


def test_a_box_without_a_placard_is_silent() -> None:
    """Its problem is told elsewhere."""
    assert list(check_placards([()], SMALL.record())) == []


@pytest.mark.parametrize("page", ["letter", "a4", "4x6"])
def test_placards_of_an_ordinary_box_read_from_there(page: str) -> None:
    """Box and list of switches are high enough on every page."""
    job = on_stocks(SMALL.record(), {"placard": stock_named(page)})
    pages, problems = placard_pages(job, first_box(job), stock_named(page), words())
    assert problems == ()
    assert list(check_placards([pages], job)) == []
