"""Cables: what a self-laminating wrap needs by its formula, and that no jacket is ever made up.

Printed zone p at most pi x D, clear tail at least pi x D, so the whole at least p + pi x D, D being the
jacket's diameter [computed]. A conductor's gauge says nothing of the jacket round several of them: the
program reads none.
"""

import math
from pathlib import Path

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from msgspec.structs import fields

from tagmaker.catalog.columns import column_words, plain_word
from tagmaker.catalog.stock import Stock
from tagmaker.job.model import UnitRow
from tagmaker.sheets.media import misfit
from tagmaker.tags.model import OutsideDiameter
from tagmaker.workflows import check
from tests.job_files import BOX, HEAD, UNIT, write_files
from tests.strategies import label_stocks

WRAPS = [stock for stock in label_stocks() if stock.printed]
GAUGES = ("AWG", "gauge", "wire gauge", "wire size", "conductors", "mm2")
WRAP = "roll-wrap-38x51-300dpi"
OTHERS = 'liquid = "3/8 in"\ngas = "5/8 in"\ninsulation = "3/8 in"\nrun = "20 ft"\n'


def goes_round(stock: Stock, jacket_mm: float) -> bool:
    """Whether the program says that a wrap goes round a jacket."""
    return misfit(OutsideDiameter(jacket_mm, f"{jacket_mm:g} mm", is_metric=True), stock) is None


@pytest.mark.parametrize("stock", WRAPS, ids=lambda stock: stock.name)
@given(jacket_mm=st.floats(1, 40))
def test_a_wrap_fits_by_its_formula(stock: Stock, jacket_mm: float) -> None:
    """P <= pi D and length - p >= pi D [computed], whatever the jacket."""
    turn = math.pi * jacket_mm
    tail = stock.length_around - stock.printed
    assume(min(abs(turn - stock.printed), abs(turn - tail)) > 1e-6)
    assert goes_round(stock, jacket_mm) == (stock.printed <= turn <= tail)


@pytest.mark.parametrize(
    ("jacket_in", "fits"),
    [(0.22, False), (0.24, True), (0.26, True), (0.39, True), (0.41, False)],
)
def test_wraps_on_common_jackets(jacket_in: float, fits: bool) -> None:  # noqa: FBT001 — a case's column
    """19 of 50.8 mm are printed: 0.22 in is 17.6 mm round, too thin; 0.41 in is 32.7, too thick for 31.8."""
    assert [goes_round(stock, jacket_in * 25.4) for stock in WRAPS] == [fits] * len(WRAPS)


def test_wraps_ship_on_sheets_and_on_a_roll() -> None:
    """What this is tried on is there."""
    assert [stock.kind for stock in WRAPS] == ["sheet", "roll"]


# --- no jacket is made up -----------------------------------------------------------------------------------


@pytest.mark.parametrize("word", GAUGES)
def test_no_column_is_read_as_a_gauge(word: str) -> None:
    """A schedule's column of gauges is an unknown column, so nobody takes it for the jacket's diameter."""
    assert plain_word(word) not in column_words().key_of


def test_no_field_holds_a_gauge() -> None:
    """A row has its jacket's diameter or none."""
    assert [each.name for each in fields(UnitRow) if "awg" in each.name or "gauge" in each.name] == []
    assert "cable" in {each.name for each in fields(UnitRow)}


def test_a_jacket_that_is_not_given_is_told(tmp_path: Path) -> None:
    """Every other measure is there: the wrap's fit is not known, and the job hears of it."""
    prints = f'[print]\ncable = "{WRAP}"\n'
    write_files(tmp_path, {"job.toml": f"{HEAD}{prints}{BOX}{UNIT}{OTHERS}"})
    told = {each.code: each.message for each in check.check(tmp_path).problems}
    assert told.keys() == {"diameter-missing", "letters-small", "wrap-one-sided"}
    assert told["diameter-missing"] == f"cable tags on {WRAP}: no diameter is given to check whether it fits"


def test_a_jacket_that_is_given_is_compared(tmp_path: Path) -> None:
    """0.5 in is 1.57 in around, and 1.25 in of the wrap are clear [by hand]."""
    prints = f'[print]\ncable = "{WRAP}"\n'
    write_files(tmp_path, {"job.toml": f'{HEAD}{prints}{BOX}{UNIT}{OTHERS}cable = "0.5 in"\n'})
    (problem,) = {(each.code, each.message) for each in check.check(tmp_path).problems}
    assert problem == (
        "stock-misfit",
        f"cable BX-1/A on {WRAP}: 0.5 in is 1.57 in around, and this wrap's clear tail is 1.25 in",
    )
