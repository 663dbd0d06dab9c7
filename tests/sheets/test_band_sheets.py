"""Bands on paper: what they say, how high, whole, apart from each other, and as many on a sheet as fit."""

import math
from itertools import combinations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tagmaker.catalog.bands import band_rules
from tagmaker.catalog.folders import layouts
from tagmaker.draw.marks import Page, Rect, Text
from tagmaker.job.model import Bands, Job
from tagmaker.problems import Where
from tagmaker.sheets.band_sheets import Band, band_pages
from tests.records import replace
from tests.sheets.boxes import filled, job_of
from tests.sheets.printed import Box, capitals, faults, ink, texts
from tests.strategies import one_box, words

HERE = Where("job.toml", 4)
ONE = one_box(("FC-1", "A", "9 kBtu/h")).record()
GAS = "BB-1 · A · GAS · FC-1"
LONGEST = "NORTH-WING-LEVEL-2-BB-12 · G+H · LIQUID · NORTH-WING-LEVEL-2-FC-12"
FIRE = "WARNING - Risk of Fire. Flammable Refrigerant."
EXPLOSION = "DANGER - Risk of Fire or Explosion. Flammable Refrigerant."
TOXIC = "DANGER - Toxic Refrigerant."
LETTERS = (12.7, 19.05, 31.75, 63.5)
"""1/2, 3/4, 1-1/4 and 2-1/2 in: ASME A13.1's letters for pipes of up to 10 in [read, in a summary]."""
CITATIONS = ("IMC", "1109", "ASHRAE", "A13", "ASME", "Mechanical Code", "memory")
"""What the rules are recalled from or read in; a band cites none of it, since part of it was not read."""
MARGIN = 6.35


def banded(refrigerant: str = "R-32", job: Job = ONE) -> Job:
    """The job, asking for bands."""
    return replace(job, refrigerant=refrigerant, bands=Bands(None, HERE))


def pages_of(job: Job, *found: Band) -> list[Page]:
    """The sheets of bands, which must all fit."""
    pages, problems = band_pages(job, found, words())
    assert problems == []
    return pages


def outlines(page: Page) -> list[Box]:
    """Where a sheet's bands are cut out."""
    rects = [mark for mark in page.marks if isinstance(mark, Rect)]
    return [Box(mark.x, mark.y, mark.x + mark.width, mark.y + mark.height) for mark in rects]


def bands_on(pages: list[Page]) -> list[list[Text]]:
    """The texts of each band, sheet by sheet."""
    return [
        [mark for mark in page.marks if isinstance(mark, Text) and box.holds(ink(mark))]
        for page in pages
        for box in outlines(page)
    ]


def said(band: list[Text]) -> str:
    """A band's words in a row."""
    return " ".join(text.text for text in band)


# --- what they say ------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("refrigerant", "group", "warned"),
    [
        ("R-410A", "A1", []),
        ("R-32", "A2L", [FIRE]),
        ("R-290", "A3", [EXPLOSION]),
        ("R-717", "B2L", [FIRE, TOXIC]),
    ],
)
def test_a_band_gives_refrigerant_group_and_warnings(refrigerant: str, group: str, warned: list[str]) -> None:
    """Group: ASHRAE 34 [2nd]; warnings: IMC 1109.2.7 [memory]; and whose line it is."""
    (band,) = bands_on(pages_of(banded(refrigerant), Band(GAS, 1, 12.7)))
    assert said(band) == " ".join([f"{refrigerant}  {group}", *warned, GAS])


@pytest.mark.parametrize("refrigerant", sorted(band_rules().groups))
def test_nothing_is_printed_as_a_citation(refrigerant: str) -> None:
    """What was recalled and not read is data to be confirmed, and no band says that a standard says so."""
    printed = " ".join(texts(pages_of(banded(refrigerant), Band(GAS, 1, 31.75))))
    assert [word for word in CITATIONS if word in printed] == []


def test_no_printed_word_is_a_citation() -> None:
    """Nor does any other word of the program, on whatever sheet."""
    text = (layouts() / "words" / "en.toml").read_text(encoding="utf-8")
    assert [word for word in CITATIONS if word in text] == []


@pytest.mark.parametrize("letter_mm", LETTERS)
@pytest.mark.parametrize("refrigerant", sorted(band_rules().groups))
def test_letters_are_as_high_as_they_must_be(letter_mm: float, refrigerant: str) -> None:
    """The capitals of refrigerant and group have the height, by the font's own sCapHeight.

    Heights: ASME A13.1 [read, in a summary]. A long name takes two lines; it is never printed smaller.
    """
    named = f"{refrigerant}  {band_rules().groups[refrigerant]}"
    pages = pages_of(banded(refrigerant), Band(GAS, 1, letter_mm))
    if not pages:  # letters of 2-1/2 in and the warnings of two dangers are higher than the paper
        assert letter_mm == LETTERS[-1]
        return
    (band,) = bands_on(pages)
    main = [mark for mark in band if mark.text in named]
    assert [capitals(mark) for mark in main] == pytest.approx([letter_mm] * len(main))
    assert "".join("".join(mark.text.split()) for mark in main) == "".join(named.split())


def test_warnings_are_half_an_inch_high() -> None:
    """Letters of at least 1/2 in, 12.7 mm: IMC 1109.2.7 [memory]."""
    (band,) = bands_on(pages_of(banded("R-717"), Band(GAS, 1, 12.7)))
    warned = [capitals(mark) for mark in band if mark.text in f"{FIRE} {TOXIC}"]
    assert warned == pytest.approx([12.7] * len(warned))
    assert len(warned) >= 2


# --- the sheets ---------------------------------------------------------------------------------------------


@given(
    st.lists(
        st.tuples(st.integers(1, 9), st.sampled_from(LETTERS[:3]), st.sampled_from((80.0, 150.0, math.inf))),
        min_size=1,
        max_size=5,
    ),
    st.sampled_from(sorted(band_rules().groups)),
    st.sampled_from(("GAS", LONGEST)),
)
@settings(max_examples=30, deadline=None)
def test_every_band_is_whole_on_a_sheet(
    counts: list[tuple[int, float, float]], refrigerant: str, line: str
) -> None:
    """As many as asked for, each in a frame of its own to cut along, apart from the others, on the page."""
    asked = [Band(f"{at} {line}", *each) for at, each in enumerate(counts)]
    pages = pages_of(banded(refrigerant), *asked)
    wanted = [band.line for band in asked for _ in range(band.count)]
    found = [said(band) for band in bands_on(pages)]
    assert sorted(band[band.index(f" {line[:5]}") - 1 :] for band in found) == sorted(wanted)
    for page in pages:
        frames = outlines(page)
        assert all(
            Box(MARGIN, MARGIN, page.width - MARGIN, page.height - MARGIN).holds(box) for box in frames
        )
        assert not any(one.overlaps(two) for one, two in combinations(frames, 2))


@pytest.mark.parametrize("page", ["letter", "a4"])
def test_bands_are_in_order_when_read_back(page: str) -> None:
    """No text is cut, struck through, lost or over another in the finished PDF; the long names too."""
    asked = [Band(GAS, 2, 12.7), Band("BB-1 · MAIN SUCTION", 2, 31.75), Band(LONGEST, 3, 19.05)]
    job = job_of(filled(4), page=page, is_draft=True).record()
    for refrigerant in ("R-410A", "R-32", "R-717", "R-1234ze(E)"):
        pages = pages_of(banded(refrigerant, job), *asked)
        assert faults(pages, margin_mm=MARGIN - 0.01, least_mm=2.3) == []


@pytest.mark.parametrize(
    ("refrigerant", "letter_mm", "a_sheet"),
    [("R-410A", 12.7, 22), ("R-410A", 31.75, 4), ("R-32", 12.7, 4), ("R-32", 19.05, 4), ("R-32", 31.75, 3)],
)
def test_as_many_bands_as_fit_on_a_sheet(refrigerant: str, letter_mm: float, a_sheet: int) -> None:
    """So many on one sheet, and one more takes a second."""
    for count, sheets in ((a_sheet, 1), (a_sheet + 1, 2), (10 * a_sheet, 10)):
        assert len(pages_of(banded(refrigerant), Band(GAS, count, letter_mm, 300))) == sheets


def test_low_bands_fill_what_high_ones_leave() -> None:
    """Two of 1-1/4 in leave room for one of 1/2 in on the same sheet, whichever is asked for first."""
    high, low = Band("BB-1 · MAIN LIQUID", 2, 31.75), Band(GAS, 1, 12.7)
    assert len(pages_of(banded(), high, low)) == len(pages_of(banded(), low, high)) == 1


@pytest.mark.parametrize("refrigerant", ["R-410A", "R-32"])
def test_a_band_is_no_higher_than_once_around_its_pipe(refrigerant: str) -> None:
    """A pipe of 1 in over all is 80 mm around: what is wrapped around it does not cover itself."""
    for page in pages_of(banded(refrigerant), Band(GAS, 9, 12.7, 80.0)):
        assert max(box.bottom - box.top for box in outlines(page)) <= 80.0


def test_sheets_are_the_jobs_paper_and_numbered() -> None:
    """Letter, upright or lying, where the job prints on letter; whose they are and which of how many."""
    job = replace(banded(), number="ML-24", site="14 Mill Street", is_draft=True)
    pages = pages_of(job, Band(GAS, 9, 31.75))
    assert {tuple(sorted((page.width, page.height))) for page in pages} == {(215.9, 279.4)}
    for number, page in enumerate(pages, start=1):
        *printed, of = texts([page])
        assert of == f"page {number} of 3"
        assert " ".join(printed).endswith(
            "PIPE BANDS · ML-24 Marsh Lane Library · 14 Mill Street · Revision 0 · "
            "Refrigerant R-32, group A2L · DRAFT – NOT FOR START-UP"
        )


def test_no_bands_make_no_sheets() -> None:
    """A job all of whose lines are incomplete has no file of them."""
    assert pages_of(banded()) == []
