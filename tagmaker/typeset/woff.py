"""The tables of a TrueType face as the file of a web font: WOFF 1.0 (W3C Recommendation, 13 December 2012).

Each table is packed by itself, and listed with the place that it has in the TrueType file of the same tables,
which a browser restores and checks. A test compares the bytes with those that fontTools writes.
"""

import struct
import zlib
from collections.abc import Mapping

__all__ = ["woff"]

VERSION = 0x00010000  # of a file with TrueType outlines
HEADER, ENTRY = struct.Struct(">4sLLHHLHHLLLLL"), struct.Struct(">4sLLLL")  # of a WOFF file
TRUETYPE_HEADER, TRUETYPE_ENTRY = struct.Struct(">LHHHH"), struct.Struct(">4sLLL")
CHECKED = 0xB1B0AFBA  # what all of a TrueType file sums up to
ADJUSTMENT = 8  # where the table "head" has what brings the sum to that


def woff(tables: Mapping[str, bytes]) -> bytes:
    """The web font of a face's tables by their names, "head" among them; the same tables, the same bytes."""
    names = sorted(tables)
    plain = {name: tables[name] for name in names}
    plain["head"] = _adjusted(plain["head"], 0)
    sums = {name: _sum(table) for name, table in plain.items()}
    directory, size = _truetype_directory(plain, sums)
    plain["head"] = _adjusted(plain["head"], CHECKED - sum(sums.values()) - _sum(directory))
    packed = {name: _packed(name, table) for name, table in plain.items()}
    at, entries = HEADER.size + ENTRY.size * len(names), b""
    for name in names:
        entries += ENTRY.pack(name.encode(), at, len(packed[name]), len(plain[name]), sums[name])
        at += len(_filled(packed[name]))
    revision = struct.unpack_from(">HH", plain["head"], 4)
    header = HEADER.pack(b"wOFF", VERSION, at, len(names), 0, size, *revision, 0, 0, 0, 0, 0)
    return header + entries + b"".join(map(_filled, packed.values()))


def _truetype_directory(tables: Mapping[str, bytes], sums: Mapping[str, int]) -> tuple[bytes, int]:
    """The head of the TrueType file of these tables, and the length of that file."""
    power = len(tables).bit_length() - 1
    reach = 16 << power
    head = TRUETYPE_HEADER.pack(VERSION, len(tables), reach, power, 16 * len(tables) - reach)
    at, entries = TRUETYPE_HEADER.size + TRUETYPE_ENTRY.size * len(tables), b""
    for name, table in tables.items():
        entries += TRUETYPE_ENTRY.pack(name.encode(), sums[name], at, len(table))
        at += len(_filled(table))
    return head + entries, at


def _adjusted(head: bytes, adjustment: int) -> bytes:
    """The table "head" with what the whole file's sum needs."""
    return head[:ADJUSTMENT] + struct.pack(">L", adjustment & 0xFFFFFFFF) + head[ADJUSTMENT + 4 :]


def _packed(name: str, table: bytes) -> bytes:
    """A table as it lies in the file: packed where that is shorter; "head" never is."""
    packed = table if name == "head" else zlib.compress(table)
    return packed if len(packed) < len(table) else table


def _filled(table: bytes) -> bytes:
    """A table filled up to whole groups of four bytes."""
    return table + b"\0" * (-len(table) % 4)


def _sum(table: bytes) -> int:
    """The sum of a table's numbers of four bytes."""
    filled = _filled(table)
    numbers: tuple[int, ...] = struct.unpack(f">{len(filled) // 4}L", filled)
    return sum(numbers) & 0xFFFFFFFF
