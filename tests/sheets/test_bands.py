"""Pipe identification bands: how many, how high, what they say, and that they are not printed unasked."""

import math
from itertools import pairwise
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tagmaker.catalog.bands import BandRules, band_rules
from tagmaker.catalog.folders import layouts
from tagmaker.draw.marks import Page, Rect, Text
from tagmaker.job.model import Bands, Job
from tagmaker.problems import Problem, Severity, Where
from tagmaker.revisions.selection import Selection
from tagmaker.sheets.bands import Band, band_count, band_pages, bands_of, check_bands
from tagmaker.workflows import make
from tests.job_files import write_files
from tests.measured import length, mains, sized
from tests.records import replace
from tests.sheets.printed import Box, capitals, faults, ink
from tests.strategies import first_box, one_box, words

HERE = Where("job.toml", 4)
FULL = {"liquid": "3/8 in", "gas": "7/8 in", "insulation": "3/4 in", "run": "62 ft"}
ONE = one_box(("FC-1", "A", "9 kBtu/h"))
FIRE = "WARNING - Risk of Fire. Flammable Refrigerant."
EXPLOSION = "DANGER - Risk of Fire or Explosion. Flammable Refrigerant."
TOXIC = "DANGER - Toxic Refrigerant."
LETTERS = (12.7, 19.05, 31.75)
"""1/2, 3/4 and 1-1/4 in: ASME A13.1's letters for pipes of up to 6 in [read, in a summary]."""
CITATIONS = ("IMC", "1109", "ASHRAE", "A13", "ASME", "Mechanical Code", "memory")
"""What the rules are recalled from or read in; a band cites none of it, since part of it was not read."""
JOB = """[job]
name = "Tide Street Bakery"
family = "four-port-boards"
refrigerant = "R-32"
[[box]]
tag = "BX-1"
ports = 4
mains = { liquid = "3/4 in", suction = "1-1/8 in", insulation = "3/4 in", run = "40 ft" }
[[unit]]
unit = "FC-1"
box = "BX-1"
port = "A"
capacity = "24 kBtu/h"
liquid = "3/8 in"
gas = "7/8 in"
insulation = "3/4 in"
run = "62 ft"
"""


def banded(job: Job, refrigerant: str = "R-32", interval: str = "") -> Job:
    """The job, asking for bands."""
    bands = Bands(length(interval) if interval else None, HERE)
    return replace(job, refrigerant=refrigerant, bands=bands)


def bands(job: Job) -> tuple[list[Band], list[Problem]]:
    """The bands of a job's first box."""
    return bands_of(job, first_box(job), words())


def pages_of(job: Job, *found: Band) -> list[Page]:
    """The sheets of bands, which must all fit."""
    pages, problems = band_pages(job, found)
    assert problems == []
    return pages


def lines(pages: list[Page]) -> list[str]:
    """Every printed text, page after page."""
    return [mark.text for page in pages for mark in page.marks if isinstance(mark, Text)]


def text_of(pages: list[Page]) -> str:
    """All of it in a row."""
    return " ".join(lines(pages))


# --- how many -----------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("run_ft", "count"),
    [(0.5, 2), (19.9, 2), (20, 2), (20.1, 3), (40, 3), (62, 5), (120, 7)],
)
def test_bands_of_a_run(run_ft: float, count: int) -> None:
    """One at each end and none further than 20 ft apart: 62 ft have 4 gaps, so 5 bands [by hand]."""
    assert band_count(run_ft * 304.8, 20 * 304.8) == count


@given(st.floats(1, 1e6), st.floats(100, 20000))
def test_bands_are_enough_and_not_more(run_mm: float, interval_mm: float) -> None:
    """Spread evenly they are at most the interval apart, and with one fewer they would not be."""
    gaps = band_count(run_mm, interval_mm) - 1
    assert run_mm / gaps <= interval_mm * (1 + 1e-6)
    assert gaps == 1 or run_mm / (gaps - 1) > interval_mm


def test_bands_of_a_line_set() -> None:
    """62 ft: five bands on the liquid line and five on the gas line, with whose they are.

    Liquid: 3/8 + 2 x 3/4 = 1.875 in, letters 3/4 in; gas: 7/8 + 2 x 3/4 = 2.375 in, letters 1-1/4 in
    (ASME A13.1 [read, in a summary]: 1-1/2 to 2 in and 2-1/2 to 6 in; between them the larger is taken,
    this project's choice).
    """
    found, problems = bands(banded(sized(ONE, **FULL)))
    assert problems == []
    assert [(band.line, band.count, band.letter_mm) for band in found] == [
        ("BB-1 · A · LIQUID · FC-1", 5, 19.05),
        ("BB-1 · A · GAS · FC-1", 5, 31.75),
    ]


def test_interval_of_the_job() -> None:
    """Whoever asks for a band every 10 ft has 8 on 62 ft."""
    found, _ = bands(banded(sized(ONE, **FULL), interval="10 ft"))
    assert [band.count for band in found] == [8, 8]


def test_mains_have_bands() -> None:
    """The largest pipes come first: 120 ft, seven bands each."""
    job = banded(sized(ONE, **FULL))
    given_mains = mains("3/4 in", "120 ft", liquid="3/4 in", suction="1-1/8 in")
    found, problems = bands(replace(job, boxes=(replace(job.boxes[0], mains=given_mains),)))
    assert problems == []
    assert [(band.line, band.count) for band in found[:2]] == [
        ("BB-1 · MAIN LIQUID", 7),
        ("BB-1 · MAIN SUCTION", 7),
    ]


@pytest.mark.parametrize("missing", ["run", "insulation"])
def test_line_that_is_not_fully_given(missing: str) -> None:
    """It has no bands, and says so: nothing is assumed in silence."""
    job = banded(sized(ONE, **{key: text for key, text in FULL.items() if key != missing}))
    found, problems = bands(job)
    assert found == []
    assert [(each.code, each.severity, each.message) for each in problems] == [
        (
            "band-incomplete",
            Severity.WARNING,
            f"no bands for BB-1 · A · {line} · FC-1: its tube, insulation or run is not given",
        )
        for line in ("LIQUID", "GAS")
    ]
    assert {each.boxes for each in problems} == {("BB-1",)}


def test_mains_that_are_not_fully_given() -> None:
    """Mains without a run are told at their box."""
    job = banded(sized(ONE, **FULL))
    bare = replace(job.boxes[0], mains=mains("3/4 in", suction="1-1/8 in"))
    _, problems = bands(replace(job, boxes=(bare,)))
    assert [(each.code, each.where) for each in problems] == [("band-incomplete", bare.where)]


# --- what they say ------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("refrigerant", "group", "told"),
    [
        ("R-410A", "A1", []),
        ("R-32", "A2L", [FIRE]),
        ("R-290", "A3", [EXPLOSION]),
        ("R-717", "B2L", [FIRE, TOXIC]),
    ],
)
def test_a_band_says_refrigerant_group_and_warnings(refrigerant: str, group: str, told: list[str]) -> None:
    """Group: ASHRAE 34 [2nd]; warnings: IMC 1109.2.7 [memory]; and whose line it is."""
    pages = pages_of(banded(ONE.record(), refrigerant), Band("BB-1 · A · GAS · FC-1", 1, 12.7))
    assert text_of(pages) == " ".join([f"{refrigerant}  {group}", *told, "BB-1 · A · GAS · FC-1"])


@pytest.mark.parametrize("refrigerant", sorted(band_rules().groups))
def test_nothing_is_printed_as_a_citation(refrigerant: str) -> None:
    """What was recalled and not read is data to be confirmed, and no band says that a standard says so."""
    pages = pages_of(banded(ONE.record(), refrigerant), Band("BB-1 · A · GAS · FC-1", 1, 31.75))
    assert [word for word in CITATIONS if word in text_of(pages)] == []


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
    pages = pages_of(banded(ONE.record(), refrigerant), Band("BB-1 · A · GAS · FC-1", 1, letter_mm))
    told = [mark for page in pages for mark in page.marks if isinstance(mark, Text)]
    main = [mark for mark in told if mark.text in f"{refrigerant}  {band_rules().groups[refrigerant]}"]
    assert [capitals(mark) for mark in main] == pytest.approx([letter_mm] * len(main))
    assert "".join("".join(mark.text.split()) for mark in main) == (
        f"{refrigerant}{band_rules().groups[refrigerant]}"
    )


@pytest.mark.parametrize("letter_mm", [63.5, 88.9])
def test_letters_that_no_sheet_holds(letter_mm: float, monkeypatch: pytest.MonkeyPatch) -> None:
    """A pipe of more than 6 in takes letters of 2-1/2 in: no band is printed smaller, the line is told."""
    monkeypatch.setattr(BandRules, "letter_mm", lambda _self, _diameter: letter_mm)
    found, problems = bands(banded(sized(ONE, **FULL)))
    assert found == []
    assert {each.code for each in problems} == {"band-incomplete"}
    assert [each.message for each in problems] == [
        f"no bands for BB-1 · A · {line} · FC-1: letters of {letter_mm:g} mm do not fit on the job's paper"
        for line in ("LIQUID", "GAS")
    ]


def test_warnings_are_half_an_inch_high() -> None:
    """Letters of at least 1/2 in, 12.7 mm: IMC 1109.2.7 [memory]."""
    pages = pages_of(banded(ONE.record(), "R-717"), Band("BB-1 · A · GAS · FC-1", 1, 12.7))
    told = [mark for page in pages for mark in page.marks if isinstance(mark, Text)]
    warned = [capitals(mark) for mark in told if mark.text in f"{FIRE} {TOXIC}"]
    assert warned == pytest.approx([12.7] * len(warned))
    assert len(warned) >= 2


# --- the sheets ---------------------------------------------------------------------------------------------


@given(
    st.lists(
        st.tuples(st.integers(1, 5), st.sampled_from(LETTERS)),
        min_size=1,
        max_size=4,
    ),
    st.sampled_from(sorted(band_rules().groups)),
)
@settings(max_examples=30, deadline=None)
def test_every_band_lies_whole_on_a_sheet(counts: list[tuple[int, float]], refrigerant: str) -> None:
    """As many as asked for, each in a frame of its own to cut along, apart from the others, on the page."""
    asked = [Band(f"BB-1 · A · GAS · FC-{at}", *each) for at, each in enumerate(counts)]
    pages = pages_of(banded(ONE.record(), refrigerant), *asked)
    wanted = [band.line for band in asked for _ in range(band.count)]
    assert [text for text in lines(pages) if text.startswith("BB-1")] == wanted
    for page in pages:
        frames = [mark for mark in page.marks if isinstance(mark, Rect)]
        boxes = [Box(mark.x, mark.y, mark.x + mark.width, mark.y + mark.height) for mark in frames]
        assert all(Box(6.35, 6.35, page.width - 6.35, page.height - 6.35).holds(box) for box in boxes)
        assert all(one.bottom < two.top for one, two in pairwise(boxes))
        for text in (mark for mark in page.marks if isinstance(mark, Text)):
            assert any(box.holds(ink(text)) for box in boxes)


def test_bands_are_in_order_when_read_back() -> None:
    """No text is cut, struck through, lost or over another in the finished PDF."""
    asked = [Band("BB-1 · A · GAS · FC-1", 2, 12.7), Band("BB-1 · MAIN SUCTION", 2, 31.75)]
    assert faults(pages_of(banded(ONE.record(), "R-717"), *asked), margin_mm=6.35, least_mm=2.5) == []


def test_sheets_are_the_jobs_paper_lying() -> None:
    """Letter, 11 x 8.5 in, where the job prints on letter."""
    (page,) = pages_of(banded(ONE.record()), Band("BB-1 · A · GAS · FC-1", 1, 12.7))
    assert (page.width, page.height) == (279.4, 215.9)


def test_no_bands_make_no_sheets() -> None:
    """A job all of whose lines are incomplete has no file of them."""
    assert pages_of(banded(ONE.record())) == []


# --- what is said once --------------------------------------------------------------------------------------


def test_bands_are_off_unless_asked_for() -> None:
    """A job without [bands] has none, and hears nothing of them, whatever its refrigerant."""
    job = replace(sized(ONE, **FULL), refrigerant="R-33")
    assert list(check_bands(job)) == []
    assert bands(job) == ([], [])


def test_authority_decides() -> None:
    """Said once, as a note: part of the rules was not read."""
    (problem,) = check_bands(banded(ONE.record()))
    assert (problem.code, problem.severity, problem.where) == ("bands-authority", Severity.NOTE, HERE)
    assert "the authority having jurisdiction decides" in problem.hint


@pytest.mark.parametrize("refrigerant", ["R-33", "", "r-32", "R32"])
def test_unknown_refrigerant(refrigerant: str) -> None:
    """A refrigerant without a safety group stops the job: its warning is not known."""
    problem, *_ = check_bands(banded(ONE.record(), refrigerant))
    assert (problem.code, problem.severity, problem.where) == ("refrigerant-unknown", Severity.ERROR, HERE)
    assert problem.message == (
        f"bands are asked for, and refrigerant {refrigerant!r} has no safety group here"
    )


# --- a real job ---------------------------------------------------------------------------------------------


def made(folder: Path, text: str) -> make.Made:
    """A set made from a job on disk, its codes not read back."""
    write_files(folder / "job", {"job.toml": text})
    return make.make(folder / "job", folder / "out", selection=Selection(proof=False))


def test_job_that_asks_has_a_file_of_bands(tmp_path: Path) -> None:
    """[bands] alone is enough: two lines of 62 ft and two mains of 40 ft, 5 + 5 + 3 + 3 bands."""
    result = made(tmp_path, JOB.replace("[[box]]", "[bands]\n[[box]]", 1))
    pages = dict(result.files)["bands.pdf"]
    assert (tmp_path / "out" / "bands.pdf").read_bytes().startswith(b"%PDF-")
    assert pages >= math.ceil(16 / 5)
    assert [each.code for each in result.checked.problems] == ["bands-authority"]


def test_job_that_does_not_ask_has_none(tmp_path: Path) -> None:
    """The same job without it has the mains' tags, and no bands."""
    result = made(tmp_path, JOB)
    assert "bands.pdf" not in dict(result.files)
    assert not (tmp_path / "out" / "bands.pdf").exists()
    assert "BX-1/SUC" in (tmp_path / "out" / "register.csv").read_text(encoding="utf-8")
    assert result.checked.problems == ()


def test_job_with_an_unknown_refrigerant_writes_nothing(tmp_path: Path) -> None:
    """An error, with the nearest name."""
    result = made(tmp_path, JOB.replace("R-32", "R-33").replace("[[box]]", "[bands]\n[[box]]", 1))
    assert result.files == ()
    assert not (tmp_path / "out").exists()
    assert "refrigerant-unknown" in {each.code for each in result.checked.problems}
