"""A placard's text read back into settings and loads; its grammar stands in the README."""

import re
import zlib
from dataclasses import dataclass

__all__ = ["PlacardFacts", "SeenBoard", "SeenPort", "Unreadable", "read_placard"]

FIRST = re.compile(r"BOX (\S+) REV (\S+)(?: JOB (.+))?")
BOARD = re.compile(r"([A-Z]+) ([A-Z])(?:-([A-Z]))?: (BANK .+)")
BANK = re.compile(r"BANK (\d+) ON (none|\d+(?: \d+)*)")
LOADS = re.compile(r"(kBtu/h|Btu/h|ton|kW): (.+)")
PORT = re.compile(r"([A-Z](?:\+[A-Z])*) (?:(spare)|(\?|\d+(?:\.\d+)?)/(\d+(?:\.\d+)?))")
CRC = re.compile(r"CRC ([0-9A-F]{8})")


@dataclass(frozen=True, slots=True)
class SeenBoard:
    """A board as the placard has it: its place, first and last letter, the ON switches of each bank."""

    place: str
    first: str
    last: str
    banks: tuple[tuple[int, ...], ...]


@dataclass(frozen=True, slots=True)
class SeenPort:
    """A port as the placard has it; load and limit are the texts printed, empty for a spare."""

    name: str
    load: str
    limit: str


@dataclass(frozen=True, slots=True)
class PlacardFacts:
    """All that a placard's text says."""

    box: str
    revision: str
    number: str
    boards: tuple[SeenBoard, ...]
    unit: str
    ports: tuple[SeenPort, ...]


@dataclass(frozen=True, slots=True)
class Unreadable:
    """Why a text that begins like a placard is none: `is_altered` when its CRC does not match."""

    message: str
    is_altered: bool = False


def read_placard(text: str) -> PlacardFacts | Unreadable:
    """What a placard's text says; Unreadable where its CRC or its grammar is broken."""
    body, found, tail = text.rpartition("CRC ")
    crc = CRC.fullmatch(f"{found}{tail}".rstrip("\n"))
    if not crc or not body.endswith("\n"):
        return Unreadable("its last line is no CRC: the text is cut short", is_altered=True)
    if f"{zlib.crc32(body.encode()):08X}" != crc[1]:
        return Unreadable("its CRC does not match: the text is damaged or was altered", is_altered=True)
    first, *lines = body.splitlines()
    head = FIRST.fullmatch(first)
    boards = [_board(line) for line in lines if BOARD.fullmatch(line)]
    loads = [match for line in lines if (match := LOADS.fullmatch(line))]
    if not head or len(boards) + len(loads) != len(lines):
        return Unreadable("a line breaks the grammar of placards")
    ports = [_port(part) for load in loads for part in load[2].split(" | ")]
    known = [port for port in ports if port]
    if len(known) != len(ports) or len({load[1] for load in loads}) > 1:
        return Unreadable("a port breaks the grammar of placards")
    unit = loads[0][1] if loads else ""
    return PlacardFacts(head[1], head[2], head[3] or "", tuple(boards), unit, tuple(known))


def _board(line: str) -> SeenBoard:
    match = BOARD.fullmatch(line)
    if match is None:
        raise ValueError(line)
    banks = [BANK.fullmatch(part) for part in match[4].split("; ")]
    on = tuple(
        () if bank is None or bank[2] == "none" else tuple(int(number) for number in bank[2].split())
        for bank in banks
    )
    return SeenBoard(match[1].lower(), match[2], match[3] or match[2], on)


def _port(text: str) -> SeenPort | None:
    match = PORT.fullmatch(text)
    return SeenPort(match[1], match[3] or "", match[4] or "") if match else None
