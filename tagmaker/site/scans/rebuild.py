"""Boxes, boards, switches, ports, units and loads out of finished paper alone: its codes and placards."""

from collections.abc import Iterable
from fractions import Fraction

from tagmaker.site.scans.codes import Scan
from tagmaker.tags.placard_read import PlacardFacts, SeenBoard, SeenPort
from tagmaker.units import BTUH_EACH, number_text

__all__ = ["rebuild"]

Json = dict[str, object]


def rebuild(scans: Iterable[Scan]) -> list[Json]:
    """Every box that a placard tells of, in the order scanned; names of banks are not on paper's codes.

    Units come from the tags at the units' ends, in print order, in capitals; loads are as exact as printed.
    """
    placards: dict[str, PlacardFacts] = {}
    units: dict[tuple[str, str], dict[str, None]] = {}
    for scan in scans:
        if scan.placard:
            placards.setdefault(scan.placard.box.upper(), scan.placard)
        elif scan.tag and scan.tag.unit:
            units.setdefault((scan.tag.box, scan.tag.port), {})[scan.tag.unit] = None
    return [_box(placard, units) for placard in placards.values()]


def _box(placard: PlacardFacts, units: dict[tuple[str, str], dict[str, None]]) -> Json:
    letters = [letter for port in placard.ports for letter in port.name.split("+")]
    served = [letters[letters.index(board.first) : letters.index(board.last) + 1] for board in placard.boards]
    step = max(len(each) for each in served)
    loads = [_btuh(port.load, placard.unit) for port in placard.ports if port.limit]
    known = [load for load in loads if load is not None]
    return {
        "tag": placard.box,
        "revision": placard.revision,
        "number": placard.number,
        "port_count": len(letters),
        "load_btuh": _number(sum(known, start=Fraction(0))) if len(known) == len(loads) else None,
        "boards": [_board(*each, step) for each in zip(placard.boards, served, strict=True)],
        "ports": [_port(port, placard, units) for port in placard.ports],
    }


def _board(board: SeenBoard, letters: list[str], step: int) -> Json:
    banks = [{"number": number, "on": list(on)} for number, on in enumerate(board.banks, start=1)]
    return {"place": board.place, "ports": letters, "unfitted": step - len(letters), "banks": banks}


def _port(port: SeenPort, placard: PlacardFacts, units: dict[tuple[str, str], dict[str, None]]) -> Json:
    joined = "+" in port.name
    load = _btuh(port.load, placard.unit) if port.limit else Fraction(0)
    limit = _btuh(port.limit, placard.unit) if port.limit else None
    return {
        "port": port.name,
        "use": "joined" if joined else "single" if port.limit else "spare",
        "units": list(units.get((placard.box.upper(), port.name[0]), {})),
        "load_btuh": None if load is None else _number(load),
        "limit_btuh": None if limit is None else _number(limit),
    }


def _btuh(text: str, unit: str) -> Fraction | None:
    return None if text == "?" else Fraction(text) * BTUH_EACH[unit]


def _number(value: Fraction) -> int | float:
    text = number_text(value)
    return float(text) if "." in text else int(text)
