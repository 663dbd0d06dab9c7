"""The typeface's own measures: advances, capital height, coverage, from its TrueType files by fontTools.

IBM Plex Sans Condensed keeps I, l and 1 apart; its slashed zero is taken so that 0 and O are apart too.
"""

from dataclasses import dataclass
from functools import cache

from tagmaker.catalog.folders import font_folder
from tagmaker.marks import FaceFile

__all__ = ["BOLD", "PLAIN", "Face", "all_faces", "face"]

PLAIN = "plain"
BOLD = "bold"
FILES = {PLAIN: "IBMPlexSansCondensed-Regular.ttf", BOLD: "IBMPlexSansCondensed-Bold.ttf"}
SLASHED_ZERO = "zero.alt02"


@dataclass(frozen=True)
class Face:
    """A face's measures as fractions of the em; `advances` holds every character that it has."""

    file: FaceFile
    cap_height: float
    descent: float
    advances: dict[str, float]

    def width(self, text: str, size: float) -> float:
        """Width of a text at an em size, in the size's unit; every character must be in the face."""
        advances = self.advances
        return sum([advances[character] for character in text]) * size

    def missing(self, text: str) -> str:
        """The characters of a text that the face lacks."""
        return "".join(dict.fromkeys(character for character in text if character not in self.advances))

    def size_for_caps(self, cap_mm: float) -> float:
        """The em size, in mm, whose capitals are so high."""
        return cap_mm / self.cap_height


@cache
def face(name: str) -> Face:
    """The measures of a face by name ("plain", "bold")."""
    from fontTools.ttLib import TTFont  # noqa: PLC0415 — heavy, and `--help` needs none of it

    path = font_folder() / FILES[name]
    with TTFont(path, lazy=True) as font:
        units = font["head"].unitsPerEm
        metrics = font["hmtx"].metrics
        characters = {chr(code): glyph for code, glyph in font.getBestCmap().items() if code >= ord(" ")}
        characters["0"] = SLASHED_ZERO
        return Face(
            file=FaceFile(name, str(path), (("0", font.getGlyphID(SLASHED_ZERO)),)),
            cap_height=font["OS/2"].sCapHeight / units,
            descent=-font["hhea"].descent / units,
            advances={character: metrics[glyph][0] / units for character, glyph in characters.items()},
        )


def all_faces() -> tuple[FaceFile, ...]:
    """The files of every face, for `draw` to embed."""
    return tuple(face(name).file for name in FILES)
