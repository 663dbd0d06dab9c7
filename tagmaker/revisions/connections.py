"""Lines of work about connections: pipes and cables of units that come, go, or share a port in another order.

Pipes and cables are never listed one by one: a unit is disconnected as a whole, while its old tags still say
what is what, and a port is connected as a whole by its new tags.
"""

from collections.abc import Iterable, Iterator
from fractions import Fraction

from tagmaker.catalog.words import Words
from tagmaker.plan.outline import PortOutline
from tagmaker.revisions.issued import IssuedUnit
from tagmaker.revisions.model import NEW_HARDWARE, BoxChange, Changes, FactChange, PortChange, UnitChange
from tagmaker.units import BTUH_EACH, number_text

__all__ = ["Line", "at", "facts_text", "load_text", "off_lines", "on_lines", "unit_lines"]

Line = tuple[str, str, str]
"""A line of work: where, what to do, and how."""


def off_lines(changes: Changes, box: BoxChange, words: Words) -> Iterator[Line]:
    """Units that leave their port, while their old tags still say which is which."""
    groups: dict[tuple[str, str], list[str]] = {}
    for unit in changes.units:
        if unit.was and unit.is_reconnected and box.had(unit) and not _stays(box, unit):
            groups.setdefault((unit.was.port, at(unit.now)), []).append(unit.was.unit)
    for (port, to), units in sorted(groups.items(), key=lambda each: (box.order_of(each[0][0]), each[0])):
        key = "changes.off_to" if to else "changes.off"
        what = words(key, units=", ".join(units), to=to)
        yield words("changes.port", port=port), what, words("changes.off_how")


def _stays(box: BoxChange, unit: UnitChange) -> bool:
    """Whether a unit keeps a letter of its port (a port that becomes a pair), or its whole box is another."""
    if unit.was is None or unit.now is None or not box.has(unit):
        return False
    return box.kind in NEW_HARDWARE or bool(set(unit.was.port.split("+")) & set(unit.now.port.split("+")))


def on_lines(changes: Changes, box: BoxChange, words: Words) -> Iterator[Line]:
    """Ports at which something is connected, or whose cable runs another way.

    At a box that is new or replaced that is every port, in one line.
    """
    if box.kind in NEW_HARDWARE:
        yield words("changes.box"), words("changes.on_all"), words("changes.on_all_how")
        return
    names = {unit.was.unit: unit.now.unit for unit in changes.units if unit.was and unit.now}
    for port in box.ports:
        if port.now and _is_wired_otherwise(port, names):
            yield _on_line(changes, box, port.now, words)


def _is_wired_otherwise(port: PortChange, names: dict[str, str]) -> bool:
    """Whether the port's use or its chain of units differs; `names` are new names of the same units."""
    if port.was is None or port.now is None:
        return True
    chain = tuple(names.get(unit, unit) for unit in port.was.units)
    return (port.was.use, chain) != (port.now.use, port.now.units)


def _on_line(changes: Changes, box: BoxChange, port: PortOutline, words: Words) -> Line:
    """A port's line: which units come, and the whole chain from the terminal on; a pair has one cable."""
    place = words("changes.port", port=port.port)
    if not port.units:
        return place, words("changes.on_none"), words("changes.on_none_how")
    comers = [
        words("changes.on_from", unit=unit.now.unit, at=at(unit.was))
        if unit.was
        else words("changes.on_new", unit=unit.now.unit)
        for unit in changes.units
        if unit.now and unit.is_reconnected and box.has(unit) and unit.now.port == port.port
    ]
    what = words("changes.on", units=", ".join(comers)) if comers else words("changes.on_same")
    first, _, second = port.port.partition("+")
    how = "changes.on_pair_how" if second else "changes.on_how"
    chain = " – ".join((words("changes.terminal", port=first), *port.units))
    return place, what, words(how, port=first, second=second, chain=chain)


def unit_lines(changes: Changes, box: BoxChange, words: Words) -> Iterator[Line]:
    """Units that are now another machine, of another address, or on other pipes."""
    for unit in changes.units:
        if unit.now and unit.on_site and box.has(unit):
            facts = facts_text(unit.on_site, changes.now.capacity_unit, words)
            place = words("changes.port", port=unit.now.port)
            yield place, words("changes.facts", unit=unit.now.unit, facts=facts), words("changes.facts_how")


def facts_text(facts: Iterable[FactChange], unit: str, words: Words) -> str:
    """Facts of a unit's row, each as it was and as it is; capacities in `unit`."""
    return ", ".join(
        words(
            "changes.unit_fact",
            what=words(f"changes.{fact.what}"),
            was=_fact(fact, fact.was, unit) or words("changes.nothing"),
            now=_fact(fact, fact.now, unit) or words("changes.nothing"),
        )
        for fact in facts
    )


def _fact(fact: FactChange, value: str, unit: str) -> str:
    if fact.what != "capacity_btuh" or not value:
        return value
    return f"{load_text(value, unit)} {unit}"


def load_text(load: object, unit: str) -> str:
    """A capacity in Btu/h, as it is in JSON, in another unit; a question mark where there is none."""
    return "?" if load is None else number_text(Fraction(str(load)) / BTUH_EACH[unit])


def at(unit: IssuedUnit | None) -> str:
    """A unit's box and port."""
    return f"{unit.box} {unit.port}" if unit else ""
