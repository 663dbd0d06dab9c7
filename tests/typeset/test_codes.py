"""How large codes are: whole printer dots, quiet zones kept, and never too small to read."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tagmaker.symbols.encode import code128, qr
from tagmaker.typeset.codes import BAR_HEIGHT_LEAST, BAR_LEAST, MODULE_MOST, PlacedCode, bar_code, square_code

TEXT = "BB-1/A/LIQ"
HAIR = 0.001  # mm
MODULES = 21 + 2 * 4
"""A version 1 QR code has 21 modules, its quiet zones 4 on each side (ISO/IEC 18004, read)."""


def placed(code: PlacedCode | None) -> PlacedCode:
    """A code that must have found its place."""
    assert code is not None
    return code


# --- QR ----------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("dots_per_mm", "least"),
    [
        (0, 0.4),  # the printer's dots are not known: what a phone reads at arm's length (common practice)
        (8, 4 / 8),  # whole dots of 0.4 mm or more: 4 at 203 dpi
        (300 / 25.4, 5 * 25.4 / 300),  # 0.42 mm at 300 dpi
        (12, 5 / 12),
        (600 / 25.4, 10 * 25.4 / 600),
        (5, 4 / 5),  # never less than 4 dots a module (read)
    ],
)
def test_the_smallest_square_that_takes_a_code(dots_per_mm: float, least: float) -> None:
    """A side of exactly the least modules takes the code at that size; a hair less takes none."""
    assert qr(TEXT).columns == 21
    code = placed(square_code(TEXT, MODULES * least, dots_per_mm))
    assert code.cell == pytest.approx(least)
    assert square_code(TEXT, MODULES * least - HAIR, dots_per_mm) is None


@pytest.mark.parametrize(("dots", "cell"), [(4, 0.5), (5, 0.5), (6, 0.5)])
def test_a_module_is_whole_dots_at_203_dpi(dots: int, cell: float) -> None:
    """With 8 dots a millimetre 0.6 mm, the most, leaves 4 whole dots."""
    assert placed(square_code(TEXT, MODULES * dots / 8, 8)).cell == cell


def test_a_module_steps_from_dot_to_dot_at_300_dpi() -> None:
    """A side for 6 dots a module gives 6; a hair less gives 5, never something between."""
    dot = 25.4 / 300
    assert placed(square_code(TEXT, MODULES * 6 * dot, 1 / dot)).cell == pytest.approx(6 * dot)
    assert placed(square_code(TEXT, MODULES * 6 * dot - HAIR, 1 / dot)).cell == pytest.approx(5 * dot)


def test_the_least_module_is_taken_even_where_it_is_more_than_the_most() -> None:
    """A label that asks for modules of 0.4 mm at most gets 5 dots at 300 dpi, since 4 are too small."""
    assert placed(square_code(TEXT, 20, 300 / 25.4, 0.4)).cell == pytest.approx(5 * 25.4 / 300)


@given(st.floats(5, 60), st.sampled_from((0, 8, 12, 24)), st.text("ABC0/-", min_size=1, max_size=60))
@settings(max_examples=100, deadline=None)
def test_a_square_code_keeps_its_quiet_zone_in_its_side(side: float, dots: int, text: str) -> None:
    """Quiet zones included, the code is no larger than its side, no module over the most, dots whole."""
    code = square_code(text, side, dots)
    if code is not None:
        assert code.width == code.height == pytest.approx((qr(text).columns + 8) * code.cell)
        assert code.width <= side + 1e-9
        assert code.quiet == pytest.approx(4 * code.cell)
        assert code.cell <= MODULE_MOST
        assert not dots or code.cell * dots == pytest.approx(round(code.cell * dots))


# --- Code 128 ----------------------------------------------------------------------------------------------


def modules_of(text: str) -> int:
    """Modules of a Code 128 with its quiet zones of 10 on either side (ISO/IEC 15417, read)."""
    return code128(text).columns + 20


def test_modules_follow_the_standard() -> None:
    """11 modules a character with start and check, 13 for the stop (ISO/IEC 15417, read)."""
    assert modules_of("ABC-DE/F") == 11 * (8 + 2) + 13 + 20


@pytest.mark.parametrize("dots_per_mm", [0, 8, 12, 24])
def test_the_narrowest_place_that_takes_bars(dots_per_mm: int) -> None:
    """Bars of exactly 0.25 mm stand where they just go in; a hair less and there are none."""
    width = modules_of(TEXT) * BAR_LEAST
    code = placed(bar_code(TEXT, width, 20, dots_per_mm))
    assert code.cell == pytest.approx(0.25)
    assert code.width == pytest.approx(width)
    assert bar_code(TEXT, width - HAIR, 20, dots_per_mm) is None


def test_bars_need_their_height() -> None:
    """Bars lower than 6 mm are missed by a hand scanner."""
    assert placed(bar_code(TEXT, 90, BAR_HEIGHT_LEAST, 0)).height == BAR_HEIGHT_LEAST
    assert bar_code(TEXT, 90, BAR_HEIGHT_LEAST - HAIR, 0) is None


def test_bars_step_from_dot_to_dot() -> None:
    """At 203 dpi a bar is 2 dots (0.25 mm) until there is room for 3."""
    assert placed(bar_code(TEXT, modules_of(TEXT) * 3 / 8, 20, 8)).cell == 3 / 8
    assert placed(bar_code(TEXT, modules_of(TEXT) * 3 / 8 - HAIR, 20, 8)).cell == 2 / 8


def test_bars_are_no_wider_than_they_need_be() -> None:
    """A wide label does not blow the bars up beyond 0.5 mm; the quiet zone stays 10 bars."""
    code = placed(bar_code(TEXT, 500, 20, 0))
    assert code.cell == 0.5
    assert code.quiet == pytest.approx(5.0)
