"""Regions, widened masks and lengths of runs, compared with what OpenCV gives or with a count dot by dot."""

import cv2
import numpy as np
import pytest

from tagmaker.site.paper.regions import regions, run_lengths, widened
from tagmaker.site.paper.strokes import pen_width


@pytest.mark.parametrize("share", [0.0, 0.1, 0.3, 0.5, 1.0])
def test_regions_are_those_of_opencv(share: float) -> None:
    """The same dots hang together, whatever the numbers."""
    mask = np.random.default_rng(1).random((90, 70)) < share
    found = regions(mask)
    count, expected = cv2.connectedComponents(mask.astype(np.uint8), connectivity=8)
    assert len(set(zip(found.ravel(), expected.ravel(), strict=True))) == count - int(mask.all())
    assert len(np.unique(found)) == count - int(mask.all())
    assert not found[~mask].any()


@pytest.mark.parametrize("dots", range(8))
def test_a_mask_is_wider_by_as_many_dots_on_each_side(dots: int) -> None:
    """At the page's edge too."""
    mask = np.zeros((30, 40), bool)
    mask[20, 25] = mask[1, 2] = True
    expected = cv2.dilate(mask.astype(np.uint8), np.ones((2 * dots + 1, 2 * dots + 1), np.uint8))
    assert (widened(mask, dots) == expected.astype(bool)).all()


def test_each_dot_of_a_run_has_its_length() -> None:
    """Runs end at both ends of a row."""
    mask = np.array([[1, 1, 0, 1], [1, 0, 1, 1]], bool)
    assert run_lengths(mask).tolist() == [[2, 2, 0, 1], [1, 0, 2, 2]]


def test_the_width_of_a_pen_is_measured_across_its_stroke() -> None:
    """Level, upright and both ways slanting: a stroke of five dots."""
    row, column = np.indices((60, 70))
    for across in (row - 30, column - 30, (row - column) / np.sqrt(2), (row + column - 60) / np.sqrt(2)):
        assert abs(pen_width(np.abs(across) <= 2.5) - 5) <= 1
