"""The records of a job as declared, before the trade's rules are applied.

Everything that can be checked without the rules of a box is checked when these exist: tags are tags,
quantities have their units, families and stocks are loaded. Whether ports and pairs make sense is the plan's
matter.
"""

import datetime as dt
import re
from fractions import Fraction
from pathlib import Path

from msgspec import Struct

from tagmaker.catalog.family import Family
from tagmaker.catalog.walk_items import WalkItem
from tagmaker.job.prints import Prints
from tagmaker.measures import Mass, MassPerLength, Pressure, Time, Vacuum, Volume
from tagmaker.problems import Where
from tagmaker.units import Capacity, CapacityUnit, Length

__all__ = [
    "Bands",
    "BoxRow",
    "Charge",
    "HeightLimits",
    "Job",
    "Mains",
    "PressureStep",
    "PressureTest",
    "SystemRow",
    "UnitRow",
]


ADDRESS = re.compile(r"(?:([0-9]{1,4})-)?([0-9]{1,4})")
NO_GROUP = -1


class Mains(Struct, frozen=True):
    """The pipes that feed a box: tube diameters by kind (liquid, suction, hot_gas), their wall and run."""

    tubes: dict[str, Length]
    insulation: Length | None
    run: Length | None


class BoxRow(Struct, frozen=True):
    """One [[box]]: its key tag, the tag as shown, size, place, and the family whose rules it follows."""

    tag: str
    shown: str
    ports: int
    family: Family
    place: str
    power: str
    system: str
    level: str
    fed_from: str
    bank_names: tuple[str, ...]
    where: Where
    mains: Mains | None = None

    @property
    def key(self) -> str:
        """The tag in capitals, as codes and form fields have it."""
        return self.tag.upper()

    @property
    def hardware(self) -> str:
        """Its family's name and its size: with another of them it is another box, whatever its tag."""
        return f"{self.family.name}/{self.ports}"


class UnitRow(Struct, frozen=True):
    """One row: an indoor unit and the port, or pair of ports, that it hangs on (`port` as written).

    `unread` names the cells that could not be read; their problems are reported already.
    """

    tag: str
    box: str
    port: str
    capacity: Capacity | None
    where: Where
    room: str = ""
    address: str = ""
    liquid: Length | None = None
    gas: Length | None = None
    insulation: Length | None = None
    run: Length | None = None
    cable: Length | None = None
    room_volume: Volume | None = None
    unread: frozenset[str] = frozenset()

    @property
    def key(self) -> str:
        """The tag in capitals, as codes have it."""
        return self.tag.upper()

    @property
    def address_number(self) -> tuple[int, int] | None:
        """Group and number of its address, "2-07" or "12" (NO_GROUP); None without one, or if it is none."""
        match = ADDRESS.fullmatch(self.address)
        return (int(match[1]) if match[1] else NO_GROUP, int(match[2])) if match else None


class Bands(Struct, frozen=True):
    """[bands]: the job asks for pipe identification bands, so far apart (None = the rules' interval)."""

    interval: Length | None
    where: Where


class Charge(Struct, frozen=True):
    """What the manual in hand gives of a charge: from the factory, for each box and unit, and by length.

    `per_length` has the diameters of liquid lines as given. None is a figure that is not given, never zero.
    """

    factory: Mass | None = None
    per_box: Mass | None = None
    per_unit: Mass | None = None
    per_length: tuple[tuple[Length, MassPerLength], ...] = ()

    @property
    def unit(self) -> str:
        """The unit in which the charge is printed: that of the first figure of a mass."""
        given = (each for each in (self.factory, self.per_box, self.per_unit) if each)
        return next((each.unit for each in given), "g")


class PressureStep(Struct, frozen=True):
    """A step on the way to the pressure of the test, and how long it is kept."""

    pressure: Pressure
    hold: Time

    @property
    def text(self) -> str:
        """As it is written in a job."""
        return f"{self.pressure.text()} for {self.hold.text()}"


class PressureTest(Struct, frozen=True):
    """Pressure and time of the test, the vacuum to reach, by how much it may rise and in which time.

    `steps` lead up to the pressure; empty where the job gives none.
    """

    pressure: Pressure | None = None
    hold: Time | None = None
    steps: tuple[PressureStep, ...] = ()
    vacuum: Vacuum | None = None
    vacuum_rise: Vacuum | None = None
    vacuum_hold: Time | None = None


class HeightLimits(Struct, frozen=True):
    """The most that the outdoor unit is above or below its units, and the units are from each other."""

    outdoor_above: Length | None = None
    outdoor_below: Length | None = None
    between_units: Length | None = None


class SystemRow(Struct, frozen=True):
    """One [[system]]: what the manual of its equipment gives; what is absent is empty or None, never assumed.

    `ratio` are the least and most connected capacity in per cent of the outdoor unit's, `addresses` the least
    and greatest number of an address. Limits of runs: `longest_run` from the outdoor unit to a unit,
    `total_run` of all pipes, `first_box` from the outdoor unit to a box, `port_run` from a box to a unit. In
    an institutional occupancy half of the refrigerant is allowed. `weighed_in` is all refrigerant in the
    system, as it was weighed. `heater_hours` is how long crankcase heaters are powered before the start, zero
    where there are none.
    """

    tag: str
    where: Where
    outdoor: str = ""
    capacity: Capacity | None = None
    refrigerant: str = ""
    ratio: tuple[Fraction, Fraction] | None = None
    units_most: int | None = None
    addresses: tuple[int, int] | None = None
    longest_run: Length | None = None
    total_run: Length | None = None
    first_box: Length | None = None
    port_run: Length | None = None
    heights: HeightLimits = HeightLimits()
    charge: Charge = Charge()
    test: PressureTest = PressureTest()
    heater_hours: Fraction | None = None
    is_institutional: bool = False
    installer: str = ""
    lubricant: str = ""
    weighed_in: Mass | None = None
    source: str = ""

    @property
    def key(self) -> str:
        """The tag in capitals."""
        return self.tag.upper()


class Job(Struct, frozen=True):
    """A whole job. `part_read` names the boxes (in capitals) some of whose rows could not be read."""

    name: str
    number: str
    revision: str
    date: dt.date | None
    is_draft: bool
    refrigerant: str
    site: str
    prepared_by: str
    capacity_unit: CapacityUnit
    prints: Prints
    boxes: tuple[BoxRow, ...]
    units: tuple[UnitRow, ...]
    part_read: frozenset[str]
    folder: Path
    where: Where
    bands: Bands | None = None
    walk_items: tuple[WalkItem, ...] = ()
    systems: tuple[SystemRow, ...] = ()

    @property
    def items_asked(self) -> tuple[WalkItem, ...]:
        """The walk's items, without those about labels that the job does not print."""
        stocks = self.prints.stocks
        return tuple(item for item in self.walk_items if not item.printed or item.printed in stocks)

    @property
    def title(self) -> str:
        """Number and name, as far as they are given."""
        return " ".join(filter(None, (self.number, self.name)))
