"""Pages filled in by a simulated pen: marks in boxes as people make them, and words on lines.

Takes a printed page in colour and the places of its fields; draws with OpenCV, which the reader of paper does
not use. All places are in millimetres on the page.
"""

from collections.abc import Callable, Iterable, Mapping
from typing import Literal

import cv2
import numpy as np
from msgspec import Struct
from numpy.typing import NDArray

__all__ = ["CLEAR", "DOUBTFUL", "PENS", "Field", "Ink", "Mark", "Pen", "draw", "write"]

Picture = NDArray[np.uint8]
Points = NDArray[np.float64]
Mark = Literal[
    "tick", "cross", "line", "scribble", "dot", "beside", "across", "faint", "crossed out", "filled whole"
]
CLEAR: tuple[Mark, ...] = ("tick", "cross", "line")
"""Marks that mean one thing, whatever they are drawn with."""
DOUBTFUL: tuple[Mark, ...] = ("scribble", "dot", "beside", "across", "faint", "crossed out", "filled whole")
WORDS = ("FC-101", "AH 3", "none", "rung out JK", "see note", "12 Nov", "J. Kim", "traced", "wet", "BB-2 C")
SHIFT = 4  # binary places of the parts of a pixel, as OpenCV takes them


class Field(Struct, frozen=True):
    """A field's rectangle."""

    x: float
    y: float
    width: float
    height: float


class Pen(Struct, frozen=True):
    """A pen: the share of each colour (blue, green, red) that its ink takes from paper, and its width, mm."""

    takes: tuple[float, float, float]
    least: float
    most: float


PENS: Mapping[str, Pen] = {
    "ball pen, blue": Pen((0.35, 0.75, 0.85), 0.35, 0.6),
    "ball pen, black": Pen((0.82, 0.82, 0.82), 0.35, 0.6),
    "pencil": Pen((0.52, 0.52, 0.52), 0.4, 0.7),
    "felt pen": Pen((0.9, 0.9, 0.9), 0.8, 1.2),
}
FAINT = Pen((0.13, 0.13, 0.13), 0.35, 0.6)


class Ink(Struct):
    """A page being drawn on, so many pixels a millimetre."""

    page: Picture
    scale: float
    chance: np.random.Generator

    def stroke(self, points: Points, pen: Pen, width: float) -> None:
        """One stroke through these points, pressed more in some places than in others."""
        x, y = np.floor((points.min(axis=0) - 2) * self.scale).astype(int).clip(0)
        right, bottom = np.ceil((points.max(axis=0) + 2) * self.scale).astype(int)
        part = self.page[y:bottom, x:right]
        taken = np.zeros(part.shape[:2], np.uint8)
        pixels = np.round((points * self.scale - (x, y)) * (1 << SHIFT)).astype(np.int32)
        thick = max(1, round(width * self.scale))
        cv2.polylines(
            taken, [pixels], isClosed=False, color=255, thickness=thick, lineType=cv2.LINE_AA, shift=SHIFT
        )
        self.take(part, taken, pen, self.chance.uniform(0.88, 1.0))

    def take(self, part: Picture, taken: Picture, pen: Pen, press: float = 1.0) -> None:
        """Take from a part of the page what a pen's ink takes, pressed so hard."""
        share = taken[:, :, None].astype(np.float32) / 255 * press
        part[:] = (part * (1 - share * np.array(pen.takes, np.float32))).astype(np.uint8)


def draw(ink: Ink, mark: Mark, box: Field, pen: Pen) -> None:
    """A mark in, beside or across a box."""
    pen = FAINT if mark == "faint" else pen
    width = ink.chance.uniform(pen.least, pen.most)
    middle = np.array([box.x + box.width / 2, box.y + box.height / 2])
    for points in SHAPES[mark](ink.chance, width / box.width):
        shaken = points + ink.chance.normal(0, 0.012, points.shape)
        ink.stroke(middle + curved(shaken) * box.width, pen, width)


def curved(points: Points) -> Points:
    """Corners rounded, as a hand rounds them (Chaikin's way, from memory)."""
    for _ in range(2):
        if len(points) > 2:
            before, after = points[:-1], points[1:]
            cut = np.stack([0.8 * before + 0.2 * after, 0.2 * before + 0.8 * after], axis=1).reshape(-1, 2)
            points = np.vstack([points[:1], cut, points[-1:]])
    return points


# --- shapes: strokes in units of a box's side, from its middle ----------------------------------------------


def tick(chance: np.random.Generator, _width: float) -> list[Points]:
    """Down a little, then up to the right, its end often outside."""
    size, off = chance.uniform(0.75, 1.25), chance.normal(0, 0.07, 2)
    end = (chance.uniform(0.3, 0.55), chance.uniform(-0.62, -0.35))
    corners = np.array([(-0.36, chance.uniform(-0.08, 0.12)), (-0.1, chance.uniform(0.25, 0.38)), end])
    return [corners * size + off]


def cross(chance: np.random.Generator, _width: float) -> list[Points]:
    """Two diagonals, within the box or a little beyond it."""
    size, off = chance.uniform(0.32, 0.58), chance.normal(0, 0.06, 2)
    ends = np.array([[(-1, -1), (1, 1)], [(-1, 1), (1, -1)]], float)
    return [stroke * size * chance.uniform(0.85, 1.15, (2, 2)) + off for stroke in ends]


def line(chance: np.random.Generator, _width: float) -> list[Points]:
    """One diagonal."""
    size, off = chance.uniform(0.38, 0.6), chance.normal(0, 0.06, 2)
    slope = chance.uniform(0.6, 1.2)
    return [np.array([(-1, slope), (1, -slope)]) * size + off]


def scribble(chance: np.random.Generator, _width: float) -> list[Points]:
    """To and fro across the box, six to ten times."""
    count = int(chance.integers(6, 11))
    xs = np.linspace(-0.4, 0.4, count)
    ys = 0.42 * (-1.0) ** np.arange(count) * chance.uniform(0.8, 1.1, count)
    return [np.column_stack([xs, ys])]


def dot(chance: np.random.Generator, _width: float) -> list[Points]:
    """The pen rested on the paper."""
    at = chance.uniform(-0.25, 0.25, 2)
    return [np.array([at, at + chance.uniform(0.005, 0.05, 2)])]


def beside(chance: np.random.Generator, width: float) -> list[Points]:
    """A small tick to the left of the box, which it misses or just touches."""
    return [points * 0.75 + np.array([-0.82, 0.0]) for points in tick(chance, width)]


def across(chance: np.random.Generator, _width: float) -> list[Points]:
    """One line down through this box and the one below it."""
    lean = chance.uniform(-0.12, 0.12)
    return [np.array([(-lean, -0.4), (lean, 1.5)])]


def crossed_out(chance: np.random.Generator, width: float) -> list[Points]:
    """A tick or a cross with one to three lines through it, from side to side."""
    made = (tick if chance.random() < 0.5 else cross)(chance, width)
    for height in chance.uniform(-0.2, 0.2, int(chance.integers(1, 4))):
        tilt = chance.uniform(-0.18, 0.18)
        made.append(np.array([(-0.62, height + tilt), (0.62, height - tilt)]))
    return made


def filled_whole(chance: np.random.Generator, width: float) -> list[Points]:
    """Filled line by line until no white is left, as the sheet says how a mark is taken back."""
    ys = np.arange(-0.48, 0.48, width * 0.55)
    xs = 0.47 * (-1.0) ** np.arange(len(ys))
    return [*tick(chance, width), np.column_stack([xs, ys])]


SHAPES: Mapping[Mark, Callable[[np.random.Generator, float], list[Points]]] = {
    "tick": tick,
    "cross": cross,
    "line": line,
    "scribble": scribble,
    "dot": dot,
    "beside": beside,
    "across": across,
    "faint": tick,
    "crossed out": crossed_out,
    "filled whole": filled_whole,
}


def write(ink: Ink, fields: Iterable[Field], pen: Pen) -> None:
    """A word on each of these lines, in one of OpenCV's faces of handwriting."""
    for field in fields:
        word = WORDS[int(ink.chance.integers(len(WORDS)))]
        face = cv2.FONT_HERSHEY_SCRIPT_SIMPLEX
        (wide, high), _ = cv2.getTextSize(word, face, 1, 1)
        size = min((field.width - 3) * ink.scale / wide, field.height * 0.45 * ink.scale / high)
        x, y = round((field.x - 2) * ink.scale), round((field.y - 2) * ink.scale)
        part = ink.page[y : round((field.y + field.height + 2) * ink.scale), max(0, x) :]
        taken = np.zeros(part.shape[:2], np.uint8)
        at = (round(3.5 * ink.scale), round((field.height * 0.72 + 2) * ink.scale))
        cv2.putText(taken, word, at, face, size, 255, max(1, round(pen.least * ink.scale)), cv2.LINE_AA)
        ink.take(part, taken, pen)
