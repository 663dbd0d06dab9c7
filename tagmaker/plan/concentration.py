"""Refrigerant in the smallest room of a system, if all of its charge leaks there, against the code's table.

Takes a planned system; gives a sentence for the engineer. It decides nothing: exceptions, ventilation and
connected spaces are not known here.
"""

from fractions import Fraction

from msgspec import Struct

from tagmaker.catalog.amounts import Amount, Amounts, amounts
from tagmaker.job.model import UnitRow
from tagmaker.measures import Mass, Volume
from tagmaker.plan.systems import SystemPlan
from tagmaker.units import number_text

__all__ = ["Concentration", "amount_text", "concentration"]

INSTITUTIONAL = Fraction(1, 2)


class Concentration(Struct, frozen=True):
    """The charge in the smallest room, in grams in a cubic metre, or why it is unknown.

    `limit` is what the table allows, halved for an institution; None where it has no such refrigerant.
    """

    refrigerant: str
    unknown: tuple[str, ...] = ()
    smallest: UnitRow | None = None
    grams_m3: Fraction | None = None
    amount: Amount | None = None
    limit: Fraction | None = None

    @property
    def is_over(self) -> bool:
        """Whether it is more than the table allows."""
        return self.grams_m3 is not None and self.limit is not None and self.grams_m3 > self.limit


def concentration(system: SystemPlan, refrigerant: str) -> Concentration:
    """What all of a system's charge would be in its smallest room."""
    table: Amounts = amounts()
    amount = table.of.get(refrigerant)
    share = INSTITUTIONAL if system.row.is_institutional else Fraction(1)
    limit = amount.grams_m3 * share if amount else None
    unknown = tuple(_unknown(system))
    volumes = [(unit.room_volume, unit) for unit in system.units if unit.room_volume]
    total = system.charge.total
    if unknown or total is None or not volumes:
        return Concentration(refrigerant, unknown, amount=amount, limit=limit)
    volume, smallest = min(volumes, key=lambda pair: pair[0].value)
    return Concentration(refrigerant, (), smallest, total.value / volume.value, amount, limit)


def _unknown(system: SystemPlan) -> list[str]:
    """What is missing, in words."""
    without = [unit.tag for unit in system.units if unit.room_volume is None]
    found = ["the charge"] if system.charge.total is None else []
    if without or not system.units:
        found.append(f"the room volume of {len(without)} of {len(system.units)} units")
    return found


def amount_text(grams_m3: Fraction, volume: Volume) -> str:
    """An amount in the units that belong to a room's: lb/1000 ft3 or g/m3."""
    if volume.unit == "m3":
        return f"{number_text(grams_m3, 1)} g/m3"
    pounds = grams_m3 * 1000 * Volume.each["ft3"] / Mass.each["lb"]
    return f"{number_text(pounds, 2)} lb/1000 ft3"
