"""How high a capital must be to be read from where people are: the rules' data and their arithmetic."""

from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tagmaker.catalog.reading import Sight, reading_rules
from tests.catalog.shipped import READING
from tests.tables import table


@pytest.mark.parametrize(
    ("text", "distance", "minutes", "caps", "floor"),
    table(
        """
    letter          | 2.5  | 16 | 11.64 | 11.64
    letter_cable    | 0.71 | 16 | 3.30  | 3.30
    letter_terminal | 0.71 | 16 | 3.30  | 3.30
    locator         | 2.5  | 16 | 11.64 | 11.64
    box             | 1.5  | 16 | 6.98  | 4.00
    caution         | 0.71 | 20 | 4.13  | 4.13
    caution_low     | 0.71 | 16 | 3.30  | 3.30
    kind            | 0.71 | 16 | 3.30  | 3.30
    unit            | 0.71 | 16 | 3.30  | 3.25
    units           | 0.5  | 16 | 2.33  | 2.33
    fact            | 0.44 | 16 | 2.05  | 2.05
    cell            | 0.45 | 16 | 2.09  | 2.09
    placard_page    | 1.5  | 16 | 6.98  | 6.98
    placard_label   | 0.7  | 16 | 3.26  | 3.26
    page            | 0.5  | 16 | 2.33  | 2.33
        """
    ),
)
def test_every_text_has_its_distance(text: str, distance: str, minutes: str, caps: str, floor: str) -> None:
    """6.283 x distance x minutes / 21600, NUREG-0700's formula [computed by hand]; distances [practice]."""
    sight = reading_rules().texts[text]
    assert (f"{sight.distance:g}", f"{sight.minutes:g}") == (distance, minutes)
    assert (f"{sight.caps:.2f}", f"{sight.floor:.2f}") == (caps, floor)
    assert sight.task


def test_no_text_is_missing_here() -> None:
    """The table above has all texts that the file has."""
    assert len(reading_rules().texts) == 15


@pytest.mark.parametrize(("height", "caps"), [(12.7, 3.3), (26.0, 3.3), (26.1, 4.1), (63.5, 4.1)])
def test_low_labels_have_lower_cautions(height: float, caps: float) -> None:
    """At 26 mm of height and less, 16 minutes in place of 20."""
    assert round(reading_rules().caution(height).caps, 1) == caps


@given(st.floats(0.05, 20), st.floats(5, 60))
def test_height_and_distance_are_each_others_answer(distance: float, minutes: float) -> None:
    """Capitals of the least height read from the distance that they were made for, and no further."""
    sight = Sight("sign", distance, minutes)
    assert sight.reads_from(sight.caps) == pytest.approx(distance)


@given(st.floats(0.1, 100))
def test_twice_the_height_reads_from_twice_as_far(caps: float) -> None:
    """The angle is small: height and distance grow alike."""
    sight = reading_rules().texts["unit"]
    assert sight.reads_from(2 * caps) == pytest.approx(2 * sight.reads_from(caps))


def test_rules_are_data(own_layouts: Path) -> None:
    """Who wants 20 minutes writes so into the file: 6.283 x 2500 x 20 / 21600 = 14.54 mm."""
    (own_layouts / "reading.toml").write_text(READING, encoding="utf-8")
    assert round(reading_rules().texts["letter"].caps, 2) == 14.54
