"""How high a capital must be to be read from where people stand: the rules' data and their arithmetic."""

from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tagmaker.catalog.reading import Reading, reading_rules
from tests.catalog.shipped import READING

WHATS = ("terminal", "cable", "pipe", "locator", "placard_page", "placard_label")


def test_distances_of_what_is_read() -> None:
    """Terminals at an open box, cables at arm's length, pipes and placards from the floor [practice]."""
    assert reading_rules().distances == {
        "terminal": 0.5,
        "cable": 0.7,
        "pipe": 1.5,
        "locator": 2.5,
        "placard_page": 1.5,
        "placard_label": 0.7,
    }


def test_least_angle_is_sixteen_minutes() -> None:
    """At least 16 minutes of arc, NUREG-0700 [read]."""
    assert reading_rules().minutes == 16


def test_least_heights() -> None:
    """6.283 x distance x 16 / 21600 for each thing, NUREG-0700's formula [computed by hand]."""
    heights = {what: round(reading_rules().least_caps(what), 2) for what in WHATS}
    assert heights == {
        "terminal": 2.33,
        "cable": 3.26,
        "pipe": 6.98,
        "locator": 11.64,
        "placard_page": 6.98,
        "placard_label": 3.26,
    }


@given(st.floats(0.05, 20), st.floats(5, 60))
def test_height_and_distance_are_each_others_answer(distance: float, minutes: float) -> None:
    """Capitals of the least height read from the distance that they were made for, and no further."""
    rules = Reading(minutes, {"sign": distance})
    assert rules.reads_from(rules.least_caps("sign")) == pytest.approx(distance)


@given(st.floats(0.1, 100))
def test_twice_the_height_reads_from_twice_as_far(caps: float) -> None:
    """The angle is small: height and distance grow alike."""
    assert reading_rules().reads_from(2 * caps) == pytest.approx(2 * reading_rules().reads_from(caps))


def test_rules_are_data(own_layouts: Path) -> None:
    """Who wants 20 minutes writes so into the file: 6.283 x 1500 x 20 / 21600 = 8.73 mm."""
    (own_layouts / "reading.toml").write_text(READING, encoding="utf-8")
    assert round(reading_rules().least_caps("pipe"), 2) == 8.73
