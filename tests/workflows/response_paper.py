"""A response test on paper: its sheets drawn by another program, written on, scanned or photographed."""

import json
import subprocess
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

import cv2
import numpy as np
from msgspec import Struct
from numpy.typing import NDArray

from tests.bench.pen_camera import Photo, photographed, scanned
from tests.bench.pen_strokes import PENS, Field, Ink

__all__ = ["Paper", "on_paper", "reading"]

Picture = NDArray[np.uint8]
DPI = 300
SCALE = DPI / 25.4
PEN = PENS["ball pen, blue"]
LETTER = 3.6  # mm, the height of a letter in a cell


class Paper(Struct, frozen=True):
    """The pages of a response.pdf: pictures, and the rectangles of their fields in mm by name."""

    pictures: tuple[Picture, ...]
    fields: tuple[Mapping[str, Sequence[float]], ...]
    size_mm: tuple[float, float]

    @property
    def cells(self) -> list[int]:
        """The numbers of the pages with cells, from 0."""
        return [at for at, names in enumerate(self.fields) if any("/response/" in name for name in names)]

    def written(self, number: int, letters: Mapping[str, str], seed: int = 1) -> Picture:
        """A page with these letters in its cells."""
        ink = Ink(self.pictures[number].copy(), SCALE, np.random.default_rng(seed))
        for name, letter in letters.items():
            write_letter(ink, Field(*self.fields[number][name]), letter)
        return ink.page

    def scan(self, path: Path, *pages: Picture, turn: int = 0) -> Path:
        """A scanner's PDF of pages, each another way round."""
        turns = [(turn + at) % 4 for at in range(len(pages))]
        path.write_bytes(scanned(list(pages), self.size_mm, turns, np.random.default_rng(5)))
        return path

    def photo(self, path: Path, page: Picture, seed: int = 6) -> Path:
        """A phone's photo of a page."""
        path.write_bytes(photographed(page, self.size_mm, Photo(), np.random.default_rng(seed)))
        return path


def on_paper(out: Path, folder: Path) -> Paper:
    """The sheets of the test in a folder, as a printer gives them: without what screens show."""
    folder.mkdir(parents=True, exist_ok=True)
    dots = ["-r", str(DPI), "-hide-annotations", "-png"]
    subprocess.run(["pdftoppm", *dots, out / "response.pdf", folder / "page"], check=True)
    found: Any = json.loads((out / "response.json").read_text(encoding="utf-8"))
    pages = found["form_pages"]
    pictures = tuple(cv2.imread(str(file)) for file in sorted(folder.glob("page-*.png")))
    size = pages[0]["width_mm"], pages[0]["height_mm"]
    return Paper(pictures, tuple(page["fields"] for page in pages), size)  # type: ignore[arg-type]


def reading(box: str, port: str, unit: str, number: int) -> str:
    """A cell's name."""
    return f"{box}/response/{port}/{unit}/{number}"


def write_letter(ink: Ink, field: Field, letter: str) -> None:
    """A letter in the middle of a cell, as large as a person writes it there."""
    face = cv2.FONT_HERSHEY_SIMPLEX
    (wide, high), _ = cv2.getTextSize(letter, face, 1, 1)
    size = LETTER * ink.scale / high
    left, top = round(field.x * ink.scale), round(field.y * ink.scale)
    part = ink.page[top : round((field.y + field.height) * ink.scale), left:]
    taken = np.zeros(part.shape[:2], np.uint8)
    x = round((field.width * ink.scale - wide * size) / 2)
    y = round((field.height + LETTER) / 2 * ink.scale)
    cv2.putText(taken, letter, (x, y), face, size, 255, round(PEN.least * ink.scale), cv2.LINE_AA)
    ink.take(part, taken, PEN)
