"""TrueType files and web fonts as tables: ISO/IEC 14496-22, and WOFF 1.0 of the W3C [memory].

Takes a file's bytes; gives the figures that a layout needs, and packs tables as a web font. To load fontTools
and have it read two faces took a tenth of a small job; tests compare what is read and written here with it.
"""

import struct
import zlib
from collections.abc import Iterator, Mapping
from functools import cached_property

__all__ = ["TrueType", "packed"]

WINDOWS_UNICODE = (3, 1)  # the platform and encoding of the table of characters that is read
SEGMENTS = 4  # the format of that table: runs of characters, 16 bits each
STANDARD_NAMES = 258  # of glyphs, which a font's own follow in its table of names
CHECKSUM = 0xB1B0AFBA  # that a whole font must have
WHOLE = 1 << 32


class TrueType:
    """A font's tables by tag; figures are in the font's own units."""

    def __init__(self, content: bytes) -> None:
        (count,) = struct.unpack_from(">H", content, 4)
        entries = (struct.unpack_from(">4s4xLL", content, 12 + 16 * number) for number in range(count))
        self.tables = {tag.decode("ascii"): content[at : at + length] for tag, at, length in entries}

    @cached_property
    def units(self) -> int:
        """Of an em."""
        return self._number("head", 18, ">H")

    @cached_property
    def has_long_places(self) -> bool:
        """Whether places of outlines are written in bytes, not in pairs of bytes."""
        return self._number("head", 50, ">h") == 1

    @cached_property
    def cap_height(self) -> int:
        """The height of capitals."""
        return self._number("OS/2", 88, ">h")

    @cached_property
    def descent(self) -> int:
        """How far letters reach down, as a positive number."""
        return -self._number("hhea", 6, ">h")

    @cached_property
    def advances(self) -> list[int]:
        """Of each glyph by its number; the last one that is written is that of all others."""
        glyphs, written = self._number("maxp", 4, ">H"), self._number("hhea", 34, ">H")
        found = [advance for advance, _ in struct.iter_unpack(">Hh", self.tables["hmtx"][: 4 * written])]
        return found + found[-1:] * (glyphs - written)

    @cached_property
    def places(self) -> list[int]:
        """Where each glyph's outline begins in its table; one more for where the last one ends."""
        table = self.tables["loca"]
        if self.has_long_places:
            return [place for (place,) in struct.iter_unpack(">L", table)]
        return [2 * place for (place,) in struct.iter_unpack(">H", table)]

    @cached_property
    def glyphs(self) -> dict[int, int]:
        """The number of the glyph of each character, in the order of their codes."""
        table = self.tables["cmap"]
        (count,) = struct.unpack_from(">H", table, 2)
        parts = {each[:2]: each[2] for each in struct.iter_unpack(">HHL", table[4 : 4 + 8 * count])}
        start = parts[WINDOWS_UNICODE]
        if struct.unpack_from(">H", table, start)[0] != SEGMENTS:
            raise ValueError("a font with another table of characters")
        return {code: glyph for code, glyph in _segments(table[start:]) if glyph}

    def named(self, name: str) -> int:
        """The number of a glyph that has a name of the font's own."""
        table = self.tables["post"]
        (count,) = struct.unpack_from(">H", table, 32)
        names, at = [], 34 + 2 * count
        while at < len(table):
            end = at + 1 + table[at]
            names.append(table[at + 1 : end].decode("ascii"))
            at = end
        numbers = struct.unpack_from(f">{count}H", table, 34)
        return numbers.index(STANDARD_NAMES + names.index(name))

    def _number(self, tag: str, at: int, how: str) -> int:
        """A number of a table."""
        return int(struct.unpack_from(how, self.tables[tag], at)[0])


def _segments(table: bytes) -> Iterator[tuple[int, int]]:
    """Each character's code with its glyph's number; 0 for none."""
    count = struct.unpack_from(">H", table, 6)[0] // 2
    ends, starts, deltas, ranges = (
        struct.unpack_from(f">{count}{kind}", table, 14 + 2 * (column * count + (column > 0)))
        for column, kind in enumerate("HHhH")
    )
    for number, (start, end) in enumerate(zip(starts, ends, strict=True)):
        for code in range(start, min(end, 0xFFFE) + 1):
            glyph = code
            if ranges[number]:
                at = 16 + 2 * (3 * count + number + code - start) + ranges[number]
                (glyph,) = struct.unpack_from(">H", table, at)
            yield code, (glyph + deltas[number]) & 0xFFFF if glyph or not ranges[number] else 0


def packed(tables: Mapping[str, bytes]) -> bytes:
    """Tables as a web font, its checksums in place."""
    order = sorted(tables)
    head = tables["head"]
    plain = {**tables, "head": head[:8] + bytes(4) + head[12:]}
    sums = {tag: _checksum(plain[tag]) for tag in order}
    directory, at = _head_of_tables(len(order)), 12 + 16 * len(order)
    for tag in order:
        directory += struct.pack(">4sLLL", tag.encode("ascii"), sums[tag], at, len(plain[tag]))
        at += _filled(len(plain[tag]))
    whole = (CHECKSUM - sum(sums.values()) - _checksum(directory)) % WHOLE
    final = {**plain, "head": head[:8] + struct.pack(">L", whole) + head[12:]}
    bodies = {tag: final[tag] if tag == "head" else _shorter(final[tag]) for tag in order}
    entries, place = b"", 44 + 20 * len(order)
    for tag in order:
        sizes = place, len(bodies[tag]), len(final[tag]), sums[tag]
        entries += struct.pack(">4sLLLL", tag.encode("ascii"), *sizes)
        place += _filled(len(bodies[tag]))
    start = struct.pack(">4sLLHHL4s20x", b"wOFF", 0x10000, place, len(order), 0, at, head[4:8])
    return start + entries + b"".join(body.ljust(_filled(len(body)), b"\0") for body in bodies.values())


def _head_of_tables(count: int) -> bytes:
    """How a font file of so many tables begins; its last figures are for a search by halves."""
    power = count.bit_length() - 1
    reach = 16 << power
    return struct.pack(">LHHHH", 0x10000, count, reach, power, 16 * count - reach)


def _checksum(table: bytes) -> int:
    """The sum of its numbers of four bytes."""
    filled = table.ljust(_filled(len(table)), b"\0")
    return int(sum(struct.unpack(f">{len(filled) // 4}L", filled))) % WHOLE


def _shorter(table: bytes) -> bytes:
    """The table packed, where that is shorter."""
    short = zlib.compress(table)
    return short if len(short) < len(table) else table


def _filled(length: int) -> int:
    """A length up to whole numbers of four bytes."""
    return length + -length % 4
