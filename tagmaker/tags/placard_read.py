"""A placard's text read back into settings and loads; its grammar stands in the README."""

import re
import zlib

from msgspec import Struct

__all__ = ["BadPlacard", "PlacardFacts", "SeenBoard", "SeenPort", "read_placard"]

FIRST = re.compile(r"BOX (\S+) REV (\S+)(?: JOB (.+))?")
BOARD = re.compile(r"([A-Z]+) ([A-Z])(?:-([A-Z]))?: (BANK .+)")
BANK = re.compile(r"BANK (\d{1,3}) ON (none|\d{1,3}(?: \d{1,3})*)", re.ASCII)
LOADS = re.compile(r"(kBtu/h|Btu/h|ton|kW): (.+)")
PORT = re.compile(
    r"([A-Z](?:\+[A-Z])*) (?:(spare)|(\?|\d{1,12}(?:\.\d{1,3})?)/(\d{1,12}(?:\.\d{1,3})?))", re.ASCII
)
CRC = re.compile(r"CRC ([0-9A-F]{8})")


class SeenBoard(Struct, frozen=True):
    """A board as the placard has it: its place, first and last letter, the ON switches of each bank."""

    place: str
    first: str
    last: str
    banks: tuple[tuple[int, ...], ...]


class SeenPort(Struct, frozen=True):
    """A port as the placard has it; load and limit are the texts printed, empty for a spare."""

    name: str
    load: str
    limit: str


class PlacardFacts(Struct, frozen=True):
    """All that a placard's text says."""

    box: str
    revision: str
    number: str
    boards: tuple[SeenBoard, ...]
    unit: str
    ports: tuple[SeenPort, ...]


class BadPlacard(Struct, frozen=True):
    """Why a text that begins like a placard is none: `is_altered` when its CRC does not match."""

    message: str
    is_altered: bool = False


def read_placard(text: str) -> PlacardFacts | BadPlacard:
    """What a placard's text says; Unreadable where its CRC or its grammar is broken."""
    body, found, tail = text.rpartition("CRC ")
    fault = _damage(body, f"{found}{tail}".rstrip("\n"))
    if fault:
        return BadPlacard(fault, is_altered=True)
    first, *lines = body.removesuffix("\n").split("\n")
    head = FIRST.fullmatch(first)
    boards = [board for line in lines if (board := _board(line))]
    loads = [match for line in lines if (match := LOADS.fullmatch(line))]
    if not head or len(boards) + len(loads) != len(lines):
        return BadPlacard("a line breaks the grammar of placards")
    ports = [_port(part) for load in loads for part in load[2].split(" | ")]
    known = [port for port in ports if port]
    if len(known) != len(ports) or len({load[1] for load in loads}) > 1:
        return BadPlacard("a port breaks the grammar of placards")
    letters = [letter for port in known for letter in port.name.split("+")]
    if not boards or any(each not in letters for board in boards for each in (board.first, board.last)):
        return BadPlacard("it does not say the boards and the ports that they serve")
    return PlacardFacts(head[1], head[2], head[3] or "", tuple(boards), loads[0][1], tuple(known))


def _damage(body: str, last: str) -> str:
    """What the last line tells of the lines before it; empty where they are whole."""
    crc = CRC.fullmatch(last)
    if crc and not body:
        return "its first lines are missing: the text is cut short"
    if not crc or not body.endswith("\n"):
        return "its last line is no CRC: the text is cut short"
    if f"{zlib.crc32(body.encode()):08X}" != crc[1]:
        return "its CRC does not match: the text is damaged or was altered"
    return ""


def _board(line: str) -> SeenBoard | None:
    """A board's line with every bank by its number; None where it is no such line."""
    match = BOARD.fullmatch(line)
    banks = [BANK.fullmatch(part) for part in match[4].split("; ")] if match else []
    known = [bank for bank in banks if bank]
    if match is None or [bank[1] for bank in known] != [str(n) for n in range(1, len(banks) + 1)]:
        return None
    on = tuple(() if bank[2] == "none" else tuple(map(int, bank[2].split())) for bank in known)
    return SeenBoard(match[1].lower(), match[2], match[3] or match[2], on)


def _port(text: str) -> SeenPort | None:
    match = PORT.fullmatch(text)
    return SeenPort(match[1], match[3] or "", match[4] or "") if match else None
