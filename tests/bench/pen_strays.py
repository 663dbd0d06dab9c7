"""Long strokes that are no marks of the boxes which they touch: drawn round, through, along and beside them.

Run: python -m tests.bench.pen_strays [pages of each shape]

Each shape is given in millimetres around a point of a box that it touches. Nothing else is on the pages: a
box that is read as ticked is wrong. Two pages of three are scans, one is a photo.
"""

import sys
import tempfile
from collections import Counter
from collections.abc import Callable, Mapping
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from tagmaker.revisions.form_pages import FieldPlace
from tagmaker.site.paper.pages import read_picture
from tagmaker.site.paper.readings import PageReading
from tagmaker.symbols.read import open_picture, page_pictures
from tests.bench.pen import RENDERED_DPI, Printed, is_box, print_set
from tests.bench.pen_camera import SCAN_DPI, Photo, photographed, scanned
from tests.bench.pen_strokes import PENS, Field, Ink, Pen, write
from tests.paths import ROOT

__all__ = ["STRAYS", "STRAY_PENS", "stray_page"]

Points = NDArray[np.float64]
Shape = Callable[[np.random.Generator], list[Points]]
STRAY_PENS: Mapping[str, Pen] = {
    "black": Pen((0.85, 0.85, 0.85), 0.4, 1.2),
    "blue": Pen((0.35, 0.75, 0.85), 0.4, 1.2),
}


def turned(points: Points, angle: float) -> Points:
    """Turned around the origin."""
    cos, sin = np.cos(angle), np.sin(angle)
    return np.asarray(points @ np.array([[cos, -sin], [sin, cos]]))


def any_way(points: Points, chance: np.random.Generator) -> Points:
    """Turned by any angle."""
    return turned(points, chance.uniform(0, 2 * np.pi))


def circle(least: float, most: float) -> Shape:
    """A circle of so many mm across, round something beside the box; a hand closes it roughly."""

    def shape(chance: np.random.Generator) -> list[Points]:
        across = chance.uniform(least, most)
        at = np.linspace(0, 2 * np.pi * chance.uniform(0.92, 1.15), 90) + chance.uniform(0, 2 * np.pi)
        out = across / 2 * (1 + 0.04 * np.sin(at * chance.uniform(1, 3)))
        ring = np.column_stack([out * np.cos(at), out * np.sin(at)])
        return [ring - ring[int(chance.integers(len(ring)))]]

    return shape


def ellipse(chance: np.random.Generator) -> list[Points]:
    """Round a word or a number."""
    long, short = chance.uniform(4, 25), chance.uniform(2.5, 8)
    at = np.linspace(0, 2 * np.pi * chance.uniform(0.95, 1.1), 120) + chance.uniform(0, 2 * np.pi)
    ring = np.column_stack([long * np.cos(at), short * np.sin(at)])
    ring = turned(ring, chance.normal(0, 0.3))
    return [ring - ring[int(chance.integers(len(ring)))]]


def wave(chance: np.random.Generator) -> list[Points]:
    """A line that waves, in any direction."""
    along = np.linspace(-chance.uniform(6, 20), chance.uniform(6, 20), 120)
    high, often = chance.uniform(0.5, 3), chance.uniform(0.3, 1.6)
    return [any_way(np.column_stack([along, high * np.sin(often * along + chance.uniform(0, 6))]), chance)]


def zigzag(chance: np.random.Generator) -> list[Points]:
    """To and fro, in any direction."""
    count = int(chance.integers(5, 16))
    along = np.arange(count) * chance.uniform(1.2, 5)
    points = np.column_stack([along, chance.uniform(1.5, 5) * (-1.0) ** np.arange(count)])
    points = points + chance.normal(0, 0.3, points.shape)
    return [any_way(points - points[int(chance.integers(count))] * chance.uniform(0.4, 1), chance)]


def spiral(chance: np.random.Generator) -> list[Points]:
    """Round and round, as a pen is tried."""
    at = np.linspace(0, 2 * np.pi * chance.uniform(2, 5), 200)
    out = at / at[-1] * chance.uniform(3, 15)
    points = np.column_stack([out * np.cos(at), out * np.sin(at)])
    return [any_way(points - points[int(chance.integers(len(points)))], chance)]


def loops(chance: np.random.Generator) -> list[Points]:
    """A row of loops, as a pen is tried or a name is written."""
    at = np.linspace(0, 2 * np.pi * chance.uniform(3, 8), 240)
    points = np.column_stack(
        [at * chance.uniform(0.4, 1.2) - chance.uniform(1, 3) * np.sin(at), chance.uniform(1, 4) * np.cos(at)]
    )
    return [turned(points - points[int(chance.integers(len(points)))], chance.normal(0, 0.5))]


def underline(chance: np.random.Generator) -> list[Points]:
    """One or two lines that are nearly level."""
    left, right, slope = chance.uniform(4, 30), chance.uniform(4, 30), chance.normal(0, 0.06)
    count = 1 + int(chance.random() < 0.3)
    return [
        np.array([(-left, -slope * left), (right, slope * right)]) + np.array((0, 1.4 * at))
        for at in range(count)
    ]


def through(chance: np.random.Generator) -> list[Points]:
    """One straight line in any direction."""
    ends = np.array([(-chance.uniform(9, 40), 0.0), (0, chance.normal(0, 0.2)), (chance.uniform(9, 40), 0.0)])
    return [any_way(ends, chance)]


def arrow(chance: np.random.Generator) -> list[Points]:
    """A line that comes from elsewhere, its tip in the box."""
    long, head = chance.uniform(8, 40), chance.uniform(2, 4)
    angle = chance.uniform(0, 2 * np.pi)
    tip = np.array([(-head, -head * 0.6), (0.0, 0.0), (-head, head * 0.6)])
    return [
        turned(np.array([(-long, chance.normal(0, 2)), (-long / 2, 0), (0, 0)]), angle),
        turned(tip, angle),
    ]


def leader(chance: np.random.Generator) -> list[Points]:
    """A line that comes from elsewhere and ends in the box."""
    ends = np.array([(-chance.uniform(12, 40), chance.normal(0, 3)), (-6, 0), (chance.uniform(0, 2.5), 0)])
    return [any_way(ends, chance)]


def bracket(chance: np.random.Generator) -> list[Points]:
    """Beside rows, the tip of an arm in the box."""
    high, arm = chance.uniform(8, 45), chance.uniform(2, 6)
    side = chance.choice([-1.0, 1.0])
    corners = [(0.0, 0.0), (-arm, 0.5), (-arm, high / 2), (-arm, high - 0.5), (0.0, high)]
    if chance.random() < 0.5:
        corners[2:3] = [(-arm, high / 2 - 1), (-arm - 2.5, high / 2), (-arm, high / 2 + 1)]
    points = np.array(corners) * (side, chance.choice([-1.0, 1.0]))
    return [points + np.array((side * chance.uniform(0.5, 3), 0))]


def signature(chance: np.random.Generator) -> list[Points]:
    """A quick stroke in loops, up and down, and a line under it."""
    count = int(chance.integers(8, 16))
    along = np.cumsum(chance.uniform(-0.8, 3.5, count)) + 1.2 * np.arange(count)
    points = np.column_stack([along, chance.uniform(2, 6) * chance.normal(0, 0.6, count)])
    fine = np.linspace(0, count - 1, count * 8)
    smooth = np.column_stack([np.interp(fine, range(count), side) for side in points.T])
    kernel = np.ones(7) / 7
    smooth = np.column_stack(
        [np.convolve(np.pad(side, 3, mode="edge"), kernel, "valid") for side in smooth.T]
    )
    middle = smooth[int(chance.integers(len(smooth)))]
    under = np.array([(points[0, 0], 4.0), (points[-1, 0], 3.0)])
    return [smooth - middle, under - middle]


def crossed_row(chance: np.random.Generator) -> list[Points]:
    """A row that is void: one to three long lines, or a zigzag along it."""
    left, right = chance.uniform(15, 90), chance.uniform(15, 90)
    if chance.random() < 0.5:
        heights = chance.uniform(-2, 2, int(chance.integers(1, 4)))
        return [
            np.array([(-left, y + chance.normal(0, 1)), (right, y + chance.normal(0, 1))]) for y in heights
        ]
    along = np.arange(-left, right, chance.uniform(3, 9))
    return [np.column_stack([along, chance.uniform(1.5, 4) * (-1.0) ** np.arange(len(along))])]


def crossed_part(chance: np.random.Generator) -> list[Points]:
    """A part of the page that is void: a large cross."""
    wide, high = chance.uniform(15, 80), chance.uniform(10, 60)
    at = chance.uniform(-0.9, 0.9)
    ends = np.array([(-wide, -high), (wide, high)])
    return [ends - ends[1] * at, ends * (1, -1) - ends[1] * at]


def hook(chance: np.random.Generator) -> list[Points]:
    """A tick as large as a row, meant for all of it or for none."""
    size = chance.uniform(14, 40)
    corners = np.array([(-0.3, -0.1), (0.0, 0.35), (0.7, -0.8)]) * size
    share = chance.uniform(0, 1)
    on = corners[0] * (1 - share) + corners[1] * share if chance.random() < 0.3 else None
    return [corners - (corners[1] * (1 - share) + corners[2] * share if on is None else on)]


STRAYS: Mapping[str, Shape] = {
    "circle 5-8": circle(5, 8),
    "circle 8-15": circle(8, 15),
    "circle 15-60": circle(15, 60),
    "ellipse": ellipse,
    "wave": wave,
    "zigzag": zigzag,
    "spiral": spiral,
    "loops": loops,
    "underline": underline,
    "line": through,
    "arrow": arrow,
    "leader": leader,
    "bracket": bracket,
    "signature": signature,
    "crossed row": crossed_row,
    "crossed part": crossed_part,
    "large tick": hook,
    "note": lambda _: [],
}
APART = 45.0  # mm between the boxes at which strokes are drawn
KEPT = np.array([[3, 45], [212, 276]])  # mm: code and corner marks are above
DARKER, TOUCHED = 60, 0.25  # of 255; mm² of ink in a box that is touched


def stray_page(
    printed: Printed, number: int, kind: str, chance: np.random.Generator
) -> tuple[NDArray[np.uint8], list[str]]:
    """An empty page with strokes of a shape at some of its boxes, and the boxes that they touch."""
    page, before = printed.pages[number], printed.pictures[number]
    scale = RENDERED_DPI / 25.4
    ink = Ink(before.copy(), scale, chance)
    boxes = {name: place for name, place in page.fields.items() if is_box(place)}
    used: list[Points] = []
    for name in chance.permutation(list(boxes)):
        box = boxes[name]
        middle = np.array([box.x_mm + box.width_mm / 2, box.y_mm + box.height_mm / 2])
        if all(np.hypot(*(middle - other)) >= APART for other in used):
            used.append(middle)
            _stroke(ink, kind, middle, STRAY_PENS[str(chance.choice(list(STRAY_PENS)))])
    return ink.page, [name for name, box in boxes.items() if _is_touched(ink.page, before, box, scale)]


def _stroke(ink: Ink, kind: str, middle: Points, pen: Pen) -> None:
    """One stray, or a word, at a point."""
    if kind == "note":
        wide, high = ink.chance.uniform(14, 40), ink.chance.uniform(6, 14)
        left = middle[0] - ink.chance.uniform(3, wide - 2)
        write(ink, [Field(left, middle[1] - high / 2, wide, high)], PENS["ball pen, blue"])
        return
    width = ink.chance.uniform(pen.least, pen.most)
    for points in STRAYS[kind](ink.chance):
        ink.stroke((points + middle).clip(*KEPT), pen, width)


def _is_touched(page: NDArray[np.uint8], before: NDArray[np.uint8], box: FieldPlace, scale: float) -> bool:
    top, left = round((box.y_mm + 0.6) * scale), round((box.x_mm + 0.6) * scale)
    inside = np.s_[
        top : top + round((box.height_mm - 1.2) * scale), left : left + round((box.width_mm - 1.2) * scale)
    ]
    darker = before[inside].astype(int).max(axis=2) - page[inside].min(axis=2) > DARKER
    return bool(darker.sum() > TOUCHED * scale**2)


def main(pages: int = 6, job: str = "clinic") -> None:
    """Print by shape how many boxes were touched, and how many of all were read as ticked."""
    touched: Counter[str] = Counter()
    ticked: Counter[str] = Counter()
    with tempfile.TemporaryDirectory() as folder:
        printed = print_set(ROOT / "example_jobs" / job, Path(folder))
        for seed, kind in ((seed, kind) for seed in range(pages) for kind in STRAYS):
            chance = np.random.default_rng([17, seed, list(STRAYS).index(kind)])
            number = seed % len(printed.pages)
            page, names = stray_page(printed, number, kind, chance)
            size = printed.pages[number].size_mm
            if seed % 3 == 2:
                picture = open_picture(photographed(page, size, Photo(), chance))
            else:
                (picture,) = page_pictures(scanned([page], size, [0], chance), SCAN_DPI)
            touched[kind] += len(names)
            for reading in read_picture(picture, printed.sets.pages):
                if isinstance(reading, PageReading):
                    ticked[kind] += list(reading.ticks.values()).count("ticked")
    for kind in STRAYS:
        sys.stdout.write(f"{kind:<16}{touched[kind]:>6} touched{ticked[kind]:>5} ticked\n")
    sys.stdout.write(f"all {touched.total()} touched, {ticked.total()} ticked\n")


if __name__ == "__main__":
    main(*(kind(word) for kind, word in zip((int, str), sys.argv[1:], strict=False)))
