"""Texts that people wrote on site, as a record can print them: all of their signs, in any column.

A record must not fail because of a remark that it quotes, nor hide what it cannot set: a character that the
typeface lacks is spelt out, a word that is longer than its column is broken, and only what is longer than any
remark is cut, with how much. The JSON of the record has each text as it is.
"""

from tagmaker.problems import visible
from tagmaker.typeset.fonts import BOLD, PLAIN, face
from tagmaker.typeset.text import LEGIBLE_MM, text_width

__all__ = ["LONGEST", "printable"]

LONGEST = 600
"""Characters of one text."""
NARROW = 0.97  # of a column, which bold type fills earlier


def printable(text: str, width: float) -> str:
    """A text that fits a column of that width in so many lines as it takes."""
    shown = " ".join(_spelt(visible(text[:LONGEST])).split())
    cut = len(text) - LONGEST
    words = [piece for word in shown.split(" ") for piece in _pieces(word, width * NARROW)]
    return " ".join(words) + (f" … (+{cut})" if cut > 0 else "")


def _spelt(text: str) -> str:
    """A text with the code of each character that a face lacks."""
    missing = {*face(PLAIN).missing(text), *face(BOLD).missing(text)}
    return "".join(f"U+{ord(sign):04X}" if sign in missing else sign for sign in text)


def _pieces(word: str, width: float) -> list[str]:
    """A word in pieces that fit on a line at the least size that is legible."""
    pieces: list[str] = []
    rest = word
    while text_width(rest, LEGIBLE_MM, bold=True) > width and len(rest) > 1:
        count = len(rest) - 1
        while count > 1 and text_width(rest[:count], LEGIBLE_MM, bold=True) > width:
            count = count * 3 // 4
        pieces.append(rest[:count])
        rest = rest[count:]
    return [*pieces, rest]
