"""Pipe identification bands: how many, how high, on which lines, and that they are not printed unasked."""

from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tagmaker.catalog.bands import BandRules
from tagmaker.cli.make import made_lines
from tagmaker.job.model import Bands, Job
from tagmaker.problems import Problem, Severity, Where
from tagmaker.revisions.selection import Selection
from tagmaker.sheets.band_sheets import Band
from tagmaker.sheets.bands import band_count, bands_of, check_bands
from tagmaker.workflows import make
from tests.job_files import write_files
from tests.measured import length, mains, sized
from tests.records import replace
from tests.strategies import first_box, one_box, words

HERE = Where("job.toml", 4)
FULL = {"liquid": "3/8 in", "gas": "7/8 in", "insulation": "3/4 in", "run": "62 ft"}
ONE = one_box(("FC-1", "A", "9 kBtu/h"))
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


@pytest.mark.parametrize(
    ("given", "height"), [(FULL, "3.5 in"), (FULL | {"liquid": "9.52 mm", "gas": "22.2 mm"}, "88.9 mm")]
)
def test_letters_that_no_sheet_holds(
    given: dict[str, str], height: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A pipe of more than 10 in takes letters of 3-1/2 in: no band is printed smaller, the line is reported.

    The height is in the system in which the pipe is given.
    """
    monkeypatch.setattr(BandRules, "letter_mm", lambda _self, _diameter: 88.9)
    found, problems = bands(banded(sized(ONE, **given)))
    assert found == []
    assert {each.code for each in problems} == {"band-incomplete"}
    assert [each.message for each in problems] == [
        f"no bands for BB-1 · A · {line} · FC-1: letters of {height} do not fit on the job's paper"
        for line in ("LIQUID", "GAS")
    ]


@pytest.mark.parametrize(
    ("given", "tall", "around"),
    [
        ({"liquid": "1/4 in", "insulation": "1/4 in"}, "3.07 in", "2.36 in"),
        ({"liquid": "6.35 mm", "insulation": "6.35 mm"}, "77.88 mm", "59.85 mm"),
    ],
)
def test_a_band_that_would_cover_its_own_words(given: dict[str, str], tall: str, around: str) -> None:
    """0.25 + 2 x 0.25 = 0.75 in, 2.36 in around [by hand]: two warnings in letters of 1/2 in are higher."""
    found, problems = bands(banded(sized(ONE, **{**FULL, **given, "gas": "2-1/8 in"}), "R-717"))
    assert [band.line for band in found] == ["BB-1 · A · GAS · FC-1"]
    why = f"a band is {tall} high, and its pipe is {around} around: it would cover its own words"
    assert [(each.code, each.message) for each in problems] == [
        ("band-incomplete", f"no bands for BB-1 · A · LIQUID · FC-1: {why}")
    ]


def test_a_run_that_would_take_too_many() -> None:
    """2 ft apart on a run of 1,000 ft are 501: a slip of the keyboard, reported."""
    job = banded(sized(ONE, **{**FULL, "run": "1000 ft"}), interval="2 ft")
    found, problems = bands(job)
    assert found == []
    assert [each.message.partition(": ")[2] for each in problems] == [
        "there would be 501; the limit is 500"
    ] * 2


def test_a_band_knows_once_around_its_line() -> None:
    """1.875 in and 2.375 in over the insulation, times pi [by hand]."""
    found, _ = bands(banded(sized(ONE, **FULL)))
    assert [band.around for band in found] == pytest.approx([149.62, 189.51], abs=0.01)


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


def band_codes(result: make.Made) -> list[str]:
    """The codes of a run's problems with bands."""
    return [each.code for each in result.checked.problems if each.code.startswith("band")]


def test_job_that_asks_has_a_file_of_bands(tmp_path: Path) -> None:
    """[bands] alone is enough: two lines of 62 ft and two mains of 40 ft, 5 + 5 + 3 + 3 bands."""
    result = made(tmp_path, JOB.replace("[[box]]", "[bands]\n[[box]]", 1))
    pages = dict(result.files)["bands.pdf"]
    assert (tmp_path / "out" / "bands.pdf").read_bytes().startswith(b"%PDF-")
    assert pages == 5
    (need,) = [each for each in result.checked.sheets if each.piece == "band"]
    assert (need.stock, need.labels, need.pages) == ("bands.pdf", 16, pages)
    assert "  bands.pdf: 16 bands, 5 pages" in made_lines(result)
    assert band_codes(result) == ["bands-authority"]


def test_job_that_does_not_ask_has_none(tmp_path: Path) -> None:
    """The same job without it has the mains' tags, and no bands."""
    result = made(tmp_path, JOB)
    assert "bands.pdf" not in dict(result.files)
    assert not (tmp_path / "out" / "bands.pdf").exists()
    assert "BX-1/SUC" in (tmp_path / "out" / "register.csv").read_text(encoding="utf-8")
    assert band_codes(result) == []


def test_job_with_an_unknown_refrigerant_writes_nothing(tmp_path: Path) -> None:
    """An error, with the nearest name."""
    result = made(tmp_path, JOB.replace("R-32", "R-33").replace("[[box]]", "[bands]\n[[box]]", 1))
    assert result.files == ()
    assert not (tmp_path / "out").exists()
    assert "refrigerant-unknown" in {each.code for each in result.checked.problems}
