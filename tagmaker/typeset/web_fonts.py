"""The project's own typeface as web fonts: the characters that a page needs, so that I, l and 1 stay apart.

Takes the text of a page; gives style rules with the fonts inside them, or a whole face as a file. Cut out of
the typeface as bytes: to load and to run fontTools' own cutter took a third of a second, more than all else
of a small job; its writer of files alone took a twentieth. Glyphs keep their numbers, and those not needed
are empty. TrueType's tables are as in ISO/IEC 14496-22 [memory].
"""

import base64
import string
import struct
from collections.abc import Iterable, Iterator, Mapping
from functools import cache
from itertools import accumulate
from typing import Any

from tagmaker.typeset.fonts import BOLD, PLAIN, face, font_tables, glyph_numbers
from tagmaker.typeset.woff import woff

__all__ = ["faces_css", "web_font"]

WEIGHTS = {PLAIN: 400, BOLD: 700}
TYPED = string.digits + string.ascii_letters + string.punctuation + " "  # what is written on a walk
KEPT = ("OS/2", "head", "hhea", "hmtx", "maxp", "name")
WINDOWS, WHOLE_UNICODE, RUNS = 3, 10, 12  # platform, its codes, and the form of a table of characters
WITHOUT_NAMES = b"\0\3\0\0"  # the version of a table of glyph names that has none
HAS_INSTRUCTIONS, HAS_MORE, WORDS = 0x100, 0x20, 0x1  # of a part of a composed glyph
SCALES = {0x8: 2, 0x40: 4, 0x80: 8}  # bytes of a part's scale by its flag


def faces_css(text: str) -> str:
    """@font-face rules, their fonts within, for a text and whatever is typed; the family is "walk"."""
    return "\n".join(
        "@font-face { font-family: walk; "
        f"font-weight: {weight}; src: url(data:font/woff;base64,{_in_base64(name, text + TYPED)}); }}"
        for name, weight in WEIGHTS.items()
    )


@cache
def web_font(name: str) -> bytes:
    """A face with every character that it has, as the file of a web font (WOFF)."""
    return _cut_out(name, "".join(face(name).advances))


def _in_base64(name: str, text: str) -> str:
    """A face's glyphs for these characters as text."""
    return base64.b64encode(_cut_out(name, text)).decode("ascii")


def _cut_out(name: str, text: str) -> bytes:
    """A face's glyphs for these characters, as a web font; the same text gives the same bytes."""
    font, numbers = font_tables(name), glyph_numbers(name)
    shown = {ord(sign): numbers[ord(sign)] for sign in sorted(set(text)) if ord(sign) in numbers}
    tables: dict[str, bytes] = {tag: font.get_table(tag) for tag in KEPT}
    tables["cmap"] = _signs(shown)
    tables["glyf"], tables["loca"] = _outlines(font, shown.values())
    tables["post"] = WITHOUT_NAMES + font.get_table("post")[4:32]
    return woff(tables)


def _signs(shown: Mapping[int, int]) -> bytes:
    """The table of characters with their glyphs, both by number: runs in which both count up together."""
    runs: list[list[int]] = []
    for sign, glyph in shown.items():
        if runs and sign == runs[-1][1] + 1 and glyph - runs[-1][2] == sign - runs[-1][0]:
            runs[-1][1] = sign
        else:
            runs.append([sign, sign, glyph])
    groups = b"".join(struct.pack(">LLL", *run) for run in runs)
    head = struct.pack(">HHHHL", 0, 1, WINDOWS, WHOLE_UNICODE, 12)
    return head + struct.pack(">HHLLL", RUNS, 0, 16 + len(groups), 0, len(runs)) + groups


def _outlines(font: Any, wanted: Iterable[int]) -> tuple[bytes, bytes]:
    """The outlines of the glyphs wanted and of what they are composed of; and where each glyph's begins."""
    data, places = font.get_table("glyf"), font.glyphPos
    kept: dict[int, bytes] = {}
    left = [0, *wanted]
    while left:
        number = left.pop()
        if number not in kept:
            glyph = data[places[number] : places[number + 1]]
            kept[number], parts = _plain(glyph) if glyph else (b"", [])
            left += parts
    outlines = [kept.get(number, b"") for number in range(font.numGlyphs)]
    starts = list(accumulate((len(outline) for outline in outlines), initial=0))
    if struct.unpack_from(">h", font.get_table("head"), 50) == (0,):  # places are counted in pairs of bytes
        return b"".join(outlines), struct.pack(f">{len(starts)}H", *(start // 2 for start in starts))
    return b"".join(outlines), struct.pack(f">{len(starts)}L", *starts)


def _plain(glyph: bytes) -> tuple[bytes, list[int]]:
    """A glyph without its instructions, of an even length; and the glyphs that it is composed of."""
    (contours,) = struct.unpack_from(">h", glyph)
    if contours < 0:
        parts = list(_parts(glyph))
        end = parts[-1][1]
        out = bytearray(glyph[:end])
        for at, _, flags, _ in parts:
            struct.pack_into(">H", out, at, flags & ~HAS_INSTRUCTIONS)
        return _even(bytes(out)), [number for _, _, _, number in parts]
    at = 10 + 2 * contours
    (length,) = struct.unpack_from(">H", glyph, at)
    return _even(glyph[:at] + b"\0\0" + glyph[at + 2 + length :]), []


def _parts(glyph: bytes) -> Iterator[tuple[int, int, int, int]]:
    """Of every part of a composed glyph: where it begins and ends, its flags, its number."""
    at, flags = 10, HAS_MORE
    while flags & HAS_MORE:
        flags, number = struct.unpack_from(">HH", glyph, at)
        scale = next((size for flag, size in SCALES.items() if flags & flag), 0)
        end = at + 4 + (4 if flags & WORDS else 2) + scale
        yield at, end, flags, number
        at = end


def _even(outline: bytes) -> bytes:
    """Filled up to an even length, as the table of places counts in pairs of bytes."""
    return outline + b"\0" * (len(outline) % 2)
