"""A printer's shift and scale: worked out from two readings, undone, kept in the user's own folder."""

import json
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tagmaker.catalog.alignment import (
    Alignment,
    alignment_file,
    alignment_of,
    keep_alignment,
    measured,
)

OFF = Alignment(scale_x=0.992, scale_y=1.003, shift_x=1.5, shift_y=-0.8)
POINTS = ((25.0, 25.0), (190.9, 254.4))
sides = st.floats(0, 300)
shifts = st.floats(-10, 10)
scales = st.floats(0.95, 1.05)


def printed(alignment: Alignment, x: float, y: float) -> tuple[float, float]:
    """Where a printer that is so far off puts a point."""
    return alignment.scale_x * x + alignment.shift_x, alignment.scale_y * y + alignment.shift_y


@pytest.fixture(autouse=True)
def user_folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """The user's configuration folder, for this test alone."""
    monkeypatch.setenv("XDG_CONFIG_HOME", str(tmp_path))
    return tmp_path


# --- on a page ----------------------------------------------------------------------------------------------


def test_a_sheet_is_scaled_and_shifted() -> None:
    """Without a dot grid every point comes out where it was meant."""
    scale_x, scale_y, x, y = OFF.adjust((215.9, 279.4), 0)
    for point in POINTS:
        drawn = scale_x * point[0] + x, scale_y * point[1] + y
        assert printed(OFF, *drawn) == pytest.approx(point, abs=1e-9)


@given(st.builds(Alignment, scales, scales, shifts, shifts), st.sampled_from([8, 300 / 25.4]))
def test_on_a_dot_grid_a_page_moves_by_whole_dots(off: Alignment, dots_per_mm: float) -> None:
    """It is not scaled, and its middle comes out within half a dot, as the printer scales half a dot."""
    scale_x, scale_y, x, y = off.adjust((50.8, 25.4), dots_per_mm)
    assert (scale_x, scale_y) == (1, 1)
    for shift in (x, y):
        assert shift * dots_per_mm == pytest.approx(round(shift * dots_per_mm), abs=1e-6)
    middle = printed(off, 25.4 + x, 12.7 + y)
    assert middle == pytest.approx((25.4, 12.7), abs=1.06 * 0.5 / dots_per_mm)


# --- arithmetic ---------------------------------------------------------------------------------------------


def test_two_readings_tell_shift_and_scale() -> None:
    """Crosses meant at 25 and 190.9 mm, found at 26.3 and 190.8728: 99.2 % and 1.5 mm [by hand].

    (190.8728 - 26.3) / (190.9 - 25) = 164.5728 / 165.9 = 0.992; 26.3 - 0.992 x 25 = 1.5.
    """
    found = measured(POINTS, ((26.3, 25.0), (190.8728, 254.4)))
    assert (found.scale_x, found.shift_x) == pytest.approx((0.992, 1.5))
    assert (found.scale_y, found.shift_y) == pytest.approx((1.0, 0.0))


@given(st.builds(Alignment, scales, scales, shifts, shifts))
def test_what_a_printer_does_is_what_is_measured(off: Alignment) -> None:
    """Whatever its scale and shift, two crosses tell them."""
    first, second = (printed(off, *point) for point in POINTS)
    found = measured(POINTS, (first, second))
    assert (found.scale_x, found.scale_y) == pytest.approx((off.scale_x, off.scale_y))
    assert (found.shift_x, found.shift_y) == pytest.approx((off.shift_x, off.shift_y), abs=1e-9)


@given(st.builds(Alignment, scales, scales, shifts, shifts), sides, sides)
def test_what_a_printer_does_is_undone(off: Alignment, x: float, y: float) -> None:
    """Told to print where `undo` says, the printer prints where it was meant."""
    assert printed(off, *off.undo(x, y)) == pytest.approx((x, y), abs=1e-9)


def test_a_printer_that_is_right_is_left_alone() -> None:
    """Readings where they were meant change nothing."""
    assert measured(POINTS, POINTS) == Alignment()
    assert Alignment().undo(12.5, 80.0) == (12.5, 80.0)


# --- kept ---------------------------------------------------------------------------------------------------


def test_alignments_are_kept_in_the_users_folder(user_folder: Path) -> None:
    """One file in the folder that the system has for it, in plain JSON."""
    file = keep_alignment("letter-30-67x25", OFF)
    assert file == alignment_file() == user_folder / "tagmaker" / "alignment.json"
    assert json.loads(file.read_text(encoding="utf-8")) == {
        "letter-30-67x25": {"scale_x": 0.992, "scale_y": 1.003, "shift_x": 1.5, "shift_y": -0.8}
    }
    assert [path.name for path in file.parent.iterdir()] == ["alignment.json"]


def test_what_is_kept_is_found_again() -> None:
    """By the stock's name, for that stock alone."""
    keep_alignment("a4-21-63x38", OFF)
    assert (alignment_of("a4-21-63x38"), alignment_of("letter-30-67x25")) == (OFF, None)


def test_a_new_measurement_takes_the_old_ones_place() -> None:
    """The last one counts; another stock's stays."""
    keep_alignment("a4-21-63x38", OFF)
    keep_alignment("letter-30-67x25", OFF)
    keep_alignment("a4-21-63x38", Alignment(shift_x=0.2))
    assert alignment_of("a4-21-63x38") == Alignment(shift_x=0.2)
    assert alignment_of("letter-30-67x25") == OFF


def test_what_is_forgotten_is_gone() -> None:
    """Only for the stock that was named; to forget what is not there is no mistake."""
    keep_alignment("a4-21-63x38", OFF)
    keep_alignment("letter-30-67x25", OFF)
    keep_alignment("a4-21-63x38", None)
    keep_alignment("a4-65-38x21", None)
    assert (alignment_of("a4-21-63x38"), alignment_of("letter-30-67x25")) == (None, OFF)


def test_nothing_is_kept_at_first() -> None:
    """Before anything was measured there is no file and no alignment."""
    assert not alignment_file().exists()
    assert alignment_of("a4-21-63x38") is None


@pytest.mark.parametrize(
    "text",
    [
        "",
        "no JSON",
        "[]",
        '{"a4-21-63x38": {"scale": 1}}',
        '{"a4-21-63x38": [1, 2]}',
        '{"a4-21-63x38": null}',
        '{"a4-21-63x38": {"scale_x": 0}}',
        '{"a4-21-63x38": {"scale_y": "1"}}',
        '{"a4-21-63x38": {"scale_x": 1e300}}',
        '{"a4-21-63x38": {"shift_x": NaN}}',
        "[" * 100_000,
        "\xff",
    ],
)
def test_a_file_that_is_broken_counts_for_nothing(text: str) -> None:
    """What was written by hand, or half, is no alignment, and the next measurement replaces it."""
    alignment_file().parent.mkdir()
    alignment_file().write_bytes(text.encode("latin-1"))
    assert alignment_of("a4-21-63x38") is None
    keep_alignment("letter-30-67x25", OFF)
    assert alignment_of("letter-30-67x25") == OFF
