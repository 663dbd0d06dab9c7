"""The typeface's own measures: advances, capital height, coverage, from its TrueType files by fontTools.

IBM Plex Sans Condensed keeps I, l and 1 apart; its slashed zero is used so that 0 and O are apart too. A
plain sans-serif has I as a bar, and on a box with a port I and a switch 1 that is a wrong setting.
"""

import importlib.util
import io
import math
import string
import struct
from functools import cache, cached_property
from pathlib import Path
from typing import Any

from msgspec import Struct

from tagmaker.draw.marks import FaceFile
from tagmaker.files.plain import read_plain

__all__ = [
    "BOLD",
    "FIGURES",
    "LETTER",
    "PLAIN",
    "Face",
    "all_faces",
    "face",
    "font_file",
    "font_folder",
    "has_stand_ins",
    "may_stand_for",
    "reach",
]

PLAIN = "plain"
BOLD = "bold"
FILES = {PLAIN: "IBMPlexSansCondensed-Regular.ttf", BOLD: "IBMPlexSansCondensed-Bold.ttf"}
FACE_BYTES = 10_000_000  # at most, of a typeface's file
SLASHED_ZERO = "zero.alt02"
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


@cache
def font_file(name: str) -> Any:
    """The file of a face ("plain", "bold") as fontTools has it: a table is read once, when asked for."""
    from fontTools.ttLib import TTFont  # noqa: PLC0415 — heavy, and `--help` needs none of it

    return TTFont(io.BytesIO(read_plain(font_folder() / FILES[name], FACE_BYTES)), lazy=True)


@cache
def face(name: str) -> Face:
    """The measures of a face by name."""
    font = font_file(name)
    units = font["head"].unitsPerEm
    metrics = font["hmtx"].metrics
    characters = {chr(code): glyph for code, glyph in font.getBestCmap().items() if code >= ord(" ")}
    characters["0"] = SLASHED_ZERO
    path = (font_folder() / FILES[name]).as_posix()
    return Face(
        file=FaceFile(name, path, (("0", font.getGlyphID(SLASHED_ZERO)),)),
        cap_height=font["OS/2"].sCapHeight / units,
        descent=-font["hhea"].descent / units,
        advances={character: metrics[glyph][0] / units for character, glyph in characters.items()},
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
    """The lowest and the highest point of each character, in capitals: of the headers of the glyf table."""
    font = font_file(name)
    capital, places, table = font["OS/2"].sCapHeight, font["loca"], font.reader["glyf"]
    found: dict[str, tuple[float, float]] = {}
    for code, glyph in font.getBestCmap().items():
        number = font.getGlyphID(glyph)
        if places[number] < places[number + 1]:  # a blank has no outline
            _, _, low, _, high = struct.unpack_from(">hhhhh", table, places[number])
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
