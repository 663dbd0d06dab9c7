"""Boxes, boards, switches, ports, units and loads out of finished paper alone: its codes and placards.

What is rebuilt is compared with the plan in tests, and printed where no job is at hand. The records are those
of `--json`, their fields the keys.
"""

from collections.abc import Iterable, Mapping
from fractions import Fraction

from msgspec import Struct

from tagmaker.plan.outline import BoardHead, Btuh, PortHead, btuh
from tagmaker.site.scans.codes import Scan
from tagmaker.tags.placard_text import PlacardFacts, SeenBoard, SeenPort
from tagmaker.units import BTUH_EACH, Capacity

__all__ = ["RebuiltBank", "RebuiltBoard", "RebuiltBox", "RebuiltPort", "rebuild"]

Units = Mapping[tuple[str, str], Iterable[str]]
"""The tags of units by the box and the first letter that the tags at the units name, in capitals."""


class RebuiltBank(Struct, frozen=True):
    """A bank by its number, from 1, and its ON switches; the names of banks are in no code."""

    number: int
    on: tuple[int, ...]


class RebuiltBoard(BoardHead, frozen=True):
    """A board; how many of its positions have no port is known from the box's largest board."""

    banks: tuple[RebuiltBank, ...]


class RebuiltPort(PortHead, frozen=True):
    """A port or pair; its load is None where the placard has a question mark, a spare's limit always."""

    limit_btuh: Btuh


class RebuiltBox(Struct, frozen=True):
    """A box as its placard has it, with the revision and the job's number; loads are as exact as printed."""

    tag: str
    revision: str
    number: str
    port_count: int
    load_btuh: Btuh
    boards: tuple[RebuiltBoard, ...]
    ports: tuple[RebuiltPort, ...]


def rebuild(scans: Iterable[Scan]) -> list[RebuiltBox]:
    """Every box of which a placard was scanned, in that order; of two of a box the first one counts.

    Units come from the tags at the units' ends, in print order, in capitals.
    """
    placards: dict[str, PlacardFacts] = {}
    units: dict[tuple[str, str], dict[str, None]] = {}
    for scan in scans:
        if scan.placard:
            placards.setdefault(scan.placard.box.upper(), scan.placard)
        elif scan.tag and scan.tag.unit:
            units.setdefault((scan.tag.box, scan.tag.port), {})[scan.tag.unit] = None
    return [_box(placard, units) for placard in placards.values()]


def _box(placard: PlacardFacts, units: Units) -> RebuiltBox:
    letters = [letter for port in placard.ports for letter in port.name.split("+")]
    served = [
        _served(board, letters, following)
        for board, following in zip(placard.boards, (*placard.boards[1:], None), strict=True)
    ]
    step = max(len(each) for each in served)
    loads = [_load(port.load, placard.unit) for port in placard.ports if port.limit]
    known = [load for load in loads if load is not None]
    total = sum(known, start=Capacity(Fraction(0))) if len(known) == len(loads) else None
    return RebuiltBox(
        tag=placard.box,
        revision=placard.revision,
        number=placard.number,
        port_count=len(letters),
        load_btuh=btuh(total),
        boards=tuple(_board(*each, step) for each in zip(placard.boards, served, strict=True)),
        ports=tuple(_port(port, placard, units) for port in placard.ports),
    )


def _served(board: SeenBoard, letters: list[str], following: SeenBoard | None) -> list[str]:
    """A board's letters, its last one at the end.

    `letters` are the box's, by ports: the second letter of a pair comes before those between the two, so a
    board ends where the following one begins.
    """
    end = letters.index(following.first) if following else len(letters)
    own = [letter for letter in letters[letters.index(board.first) : end] if letter != board.last]
    return [*own, board.last]


def _board(board: SeenBoard, letters: list[str], step: int) -> RebuiltBoard:
    banks = tuple(RebuiltBank(number, on) for number, on in enumerate(board.banks, start=1))
    return RebuiltBoard(board.place, tuple(letters), step - len(letters), banks)


def _port(port: SeenPort, placard: PlacardFacts, units: Units) -> RebuiltPort:
    is_spare = not port.limit
    return RebuiltPort(
        port=port.name,
        use="joined" if "+" in port.name else "spare" if is_spare else "single",
        units=tuple(units.get((placard.box.upper(), port.name[0]), ())),
        load_btuh=0 if is_spare else btuh(_load(port.load, placard.unit)),
        limit_btuh=None if is_spare else btuh(_load(port.limit, placard.unit)),
    )


def _load(text: str, unit: str) -> Capacity | None:
    """A load as printed in a unit; None for a question mark."""
    return None if text == "?" else Capacity(Fraction(text) * BTUH_EACH[unit])
