"""Rows to ports: which letters each row names, what each port then carries.

A row that names no valid port keeps its unit out of the ports and is reported by the checks; the plan of the
rest of its box is still made, so that one run reports all mistakes.
"""

import heapq
import re
from collections.abc import Iterable
from fractions import Fraction
from operator import itemgetter

from tagmaker.catalog.family import UNITS_AT_MOST, Family
from tagmaker.job.model import BoxRow, UnitRow
from tagmaker.plan.model import Claim, Port, PortUse
from tagmaker.units import Capacity

__all__ = ["claim", "fitted_letters", "letters_text", "pairs", "plan_ports"]

PORT_TEXT = re.compile(r"[A-Za-z](?:\s*\+\s*[A-Za-z])*", re.ASCII)


def fitted_letters(family: Family, ports: int) -> tuple[str, ...]:
    """The letters of a box of so many ports."""
    return tuple(family.port_names[:ports])


def letters_text(letters: tuple[str, ...]) -> str:
    """Letters in words: "A to F" where they follow each other in the alphabet, else all of them."""
    codes = list(map(ord, letters))
    if len(letters) > 1 and codes == list(range(codes[0], codes[0] + len(codes))):
        return f"{letters[0]} to {letters[-1]}"
    return ", ".join(letters)


def claim(unit: UnitRow, box: BoxRow) -> Claim:
    """The letters that a row names, in the family's order, or what is wrong with its port text.

    "G+H", "h + g" and "H+G" are the same pair. Letters that repeat ("G+G") are no pair.
    """
    fitted = fitted_letters(box.family, box.ports)
    if not PORT_TEXT.fullmatch(unit.port):
        return Claim(unit, (), "port-unknown", "write one letter, or two joined with a plus: C or G+H")
    named = {letter for letter in unit.port.upper() if letter.isalpha()}
    letters = tuple(letter for letter in fitted if letter in named)
    if len(letters) < len(named):
        return Claim(unit, (), "port-unknown", f"its ports are {letters_text(fitted)}")
    joinable = pairs(box.family, box.ports)
    if len(letters) != unit.port.count("+") + 1 or (len(letters) > 1 and letters not in joinable):
        allowed = ", ".join("+".join(pair) for pair in joinable) or "none"
        return Claim(unit, (), "pair-forbidden", f"pairs that this family allows here: {allowed}")
    return Claim(unit, letters)


def pairs(family: Family, ports: int) -> tuple[tuple[str, ...], ...]:
    """The pairs of fitted letters that the family's rules can join; a pair is always within one board."""
    fitted = fitted_letters(family, ports)
    step = family.ports_per_board
    found: list[tuple[str, ...]] = []
    for first in range(0, len(fitted), step):
        board = fitted[first : first + step]
        found.extend(
            tuple(board[position - 1] for position in sorted(positions))
            for positions in family.joinable()
            if max(positions) <= len(board)
        )
    return tuple(found)


def plan_ports(box: BoxRow, claims: Iterable[Claim]) -> tuple[Port, ...]:
    """Every fitted port or joined pair in the family's order.

    Where rows conflict (a letter alone and in a pair, or in two pairs) the pair named first is planned; the
    checks report the conflict. Of more than `UNITS_AT_MOST` rows on one port the first ones are
    planned, as many as are usual: the checks refuse the rest, and texts that name a port's units stay short.
    """
    good = [each for each in claims if each.letters]
    joined: dict[str, tuple[str, ...]] = {}
    for each in good:
        if len(each.letters) > 1 and not any(letter in joined for letter in each.letters):
            joined |= dict.fromkeys(each.letters, each.letters)
    on_letter: dict[str, list[tuple[int, UnitRow]]] = {}
    for at, each in enumerate(good):
        on_letter.setdefault(each.letters[0], []).append((at, each.unit))
    ports: list[Port] = []
    for letter in fitted_letters(box.family, box.ports):
        letters = joined.get(letter, (letter,))
        if letter == letters[0]:
            rows = heapq.merge(*(on_letter.get(each, ()) for each in letters), key=itemgetter(0))
            units = tuple(unit for _, unit in rows)
            if len(units) > UNITS_AT_MOST:
                units = units[: box.family.units_per_port]
            ports.append(_port(box.family, letters, units))
    return tuple(ports)


def _port(family: Family, letters: tuple[str, ...], units: tuple[UnitRow, ...]) -> Port:
    use: PortUse = "joined" if len(letters) > 1 else "single" if units else "spare"
    limit = family.joined_limit if use == "joined" else family.port_limit
    capacities = [unit.capacity for unit in units]
    if any(capacity is None for capacity in capacities):
        return Port(letters, use, units, None, limit)
    total = Capacity(sum((capacity.btuh for capacity in capacities if capacity), start=Fraction(0)))
    return Port(letters, use, units, total, limit)
