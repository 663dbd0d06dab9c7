"""The typeface's own measures: advances, capital height, coverage, from its TrueType files.

IBM Plex Sans Condensed keeps I, l and 1 apart; its slashed zero is used so that 0 and O are apart too. A
plain sans-serif has I as a bar, and on a box with a port I and a switch 1 that is a wrong setting.
"""

import importlib.util
import math
import string
import struct
from functools import cache, cached_property
from pathlib import Path
from typing import Any

from msgspec import Struct

from tagmaker.draw.fonts import read_face
from tagmaker.draw.marks import FaceFile

__all__ = [
    "BOLD",
    "FIGURES",
    "LETTER",
    "PLAIN",
    "Face",
    "all_faces",
    "face",
    "font_folder",
    "font_tables",
    "glyph_numbers",
    "has_stand_ins",
    "may_stand_for",
    "reach",
]

PLAIN = "plain"
BOLD = "bold"
FILES = {PLAIN: "IBMPlexSansCondensed-Regular.ttf", BOLD: "IBMPlexSansCondensed-Bold.ttf"}
SLASHED_ZERO = "zero.alt02"
STANDARD_NAMES = 258  # of glyphs, which a file does not spell out; its own are counted on from there
THOUSANDTHS = 1000  # of an em, in which reportlab has heights
FIGURES = "".join(map(chr, range(0xD800, 0xDA00)))
"""Stand-ins for digits, each as wide as any digit: lone surrogates, which no text that was read can hold."""
LETTER = chr(0xDBFF)
"""A stand-in for a capital letter, as wide as the widest common one but M and W."""
FLAT = frozenset(f"{string.ascii_uppercase}{string.digits} -+{FIGURES}{LETTER}") - {"Q"}
"""Signs that reach neither above capitals nor below their line; a test compares them with the outlines."""
OVERSHOOT = 0.03  # of a capital: what round letters reach beyond flat ones
MEASURED = 65536  # texts whose widths are kept


class _Widths(dict[str, float]):
    """Widths of texts in em, each summed once while it is kept."""

    def __init__(self, advances: dict[str, float]) -> None:
        self.advances = advances

    def __missing__(self, text: str) -> float:
        if len(self) >= MEASURED:
            self.clear()
        width = self[text] = sum([self.advances[character] for character in text])
        return width


class Face(Struct, frozen=True, dict=True):
    """A face's measures as fractions of the em; `advances` holds every character that it has."""

    file: FaceFile
    cap_height: float
    descent: float
    advances: dict[str, float]

    def width(self, text: str, size: float) -> float:
        """Width of a text at an em size, in the size's unit; every character must be in the face."""
        return self._widths[text] * size

    def missing(self, text: str) -> str:
        """The characters of a text that the face lacks."""
        if self._signs.issuperset(text):
            return ""
        return "".join(dict.fromkeys(character for character in text if character not in self._signs))

    @cached_property
    def figures_are_even(self) -> bool:
        """Whether all figures are equally wide."""
        return len({self.advances[figure] for figure in string.digits}) == 1

    @cached_property
    def letter(self) -> float:
        """The advance of the widest capital but M and W."""
        return max(self.advances[sign] for sign in set(string.ascii_uppercase) - {"M", "W"})

    @cached_property
    def _widths(self) -> _Widths:
        """Widths of texts, stand-ins included."""
        stand_ins = dict.fromkeys(FIGURES, self.advances["0"]) | {LETTER: self.letter}
        return _Widths(self.advances | stand_ins)

    @cached_property
    def _signs(self) -> frozenset[str]:
        """The characters that it has, stand-ins excluded."""
        return frozenset(self._widths.advances)

    def size_for_caps(self, cap_mm: float) -> float:
        """The em size, in mm, whose capitals are so high."""
        return cap_mm / self.cap_height


def font_folder() -> Path:
    """The folder of the typeface's TrueType files, from its package."""
    spec = importlib.util.find_spec("fontpkg_ibm_plex_sans_condensed")
    if spec is None or spec.origin is None:
        raise ModuleNotFoundError("fontpkg-ibm-plex-sans-condensed is not installed")
    return Path(spec.origin).parent / "files"


def font_tables(name: str) -> Any:
    """The file of a face ("plain", "bold") as the drawing has it: its tables, and what was read of them."""
    return read_face((font_folder() / FILES[name]).as_posix()).face


@cache
def glyph_numbers(name: str) -> dict[int, int]:
    """The glyph of each character of a face, the slashed zero for 0: their numbers, by code."""
    tables = font_tables(name)
    numbers = {code: number for code, number in sorted(tables.charToGlyph.items()) if number}
    numbers[ord("0")] = _glyph_named(SLASHED_ZERO, tables.get_table("post"))
    return numbers


def _glyph_named(name: str, post: bytes) -> int:
    """The number of a glyph by its name in a table "post" of version 2; ValueError where none has it."""
    (count,) = struct.unpack_from(">H", post, 32)
    names_of_glyphs = struct.unpack_from(f">{count}H", post, 34)
    names, at = [], 34 + 2 * count
    while at < len(post):
        names.append(post[at + 1 : at + 1 + post[at]])
        at += 1 + post[at]
    return names_of_glyphs.index(STANDARD_NAMES + names.index(name.encode("ascii")))


@cache
def face(name: str) -> Face:
    """The measures of a face by name."""
    tables, numbers = font_tables(name), glyph_numbers(name)
    path = (font_folder() / FILES[name]).as_posix()
    return Face(
        file=FaceFile(name, path, (("0", numbers[ord("0")]),)),
        cap_height=tables.capHeight / THOUSANDTHS,
        descent=-struct.unpack_from(">h", tables.get_table("hhea"), 6)[0] / tables.unitsPerEm,
        advances={
            chr(code): tables.hmetrics[number][0] / tables.unitsPerEm
            for code, number in numbers.items()
            if code >= ord(" ")
        },
    )


def reach(name: str, text: str) -> tuple[float, float]:
    """How far the outlines of a text reach above capitals and below their line, in capitals of a face.

    What round letters overshoot counts as nothing, as do signs that the face lacks, and stand-ins.
    """
    if FLAT.issuperset(text):
        return 0.0, 0.0
    own = _outlines(name)
    lowest, highest = zip(*(own.get(sign, (0.0, 1.0)) for sign in text), strict=True)
    above, below = max(highest) - 1, -min(lowest)
    return (above if above > OVERSHOOT else 0.0), (below if below > OVERSHOOT else 0.0)


@cache
def _outlines(name: str) -> dict[str, tuple[float, float]]:
    """The lowest and the highest point of each character, in capitals: of the headers of its outlines."""
    tables = font_tables(name)
    outlines, places = tables.get_table("glyf"), tables.glyphPos
    capital = tables.capHeight / THOUSANDTHS * tables.unitsPerEm
    found: dict[str, tuple[float, float]] = {}
    for code, number in glyph_numbers(name).items():
        if places[number] < places[number + 1]:  # a blank has no outline
            _, _, low, _, high = struct.unpack_from(">hhhhh", outlines, places[number])
            found[chr(code)] = low / capital, high / capital
    return found


@cache
def has_stand_ins() -> bool:
    """Whether stand-ins may be measured in place of digits: in every face all digits are equally wide."""
    return all(face(name).figures_are_even for name in FILES)


def may_stand_for(letter: str) -> bool:
    """Whether the stand-in may be measured in place of a port's letter: the letter is no wider."""
    return len(letter) == 1 and face(BOLD).advances.get(letter, math.inf) <= face(BOLD).letter


def all_faces() -> tuple[FaceFile, ...]:
    """The files of every face, for `draw` to embed."""
    return tuple(face(name).file for name in FILES)
