"""The records of a job as declared, before the trade's rules are applied.

Everything that can be checked without the rules of a box is checked when these exist: tags are tags,
quantities have their units, families and stocks are loaded. Whether ports and pairs make sense is the plan's
matter.
"""

import datetime as dt
import re
from pathlib import Path

from msgspec import Struct

from tagmaker.catalog.family import Family
from tagmaker.catalog.walk_items import WalkItem
from tagmaker.job.prints import Prints
from tagmaker.measures import Volume
from tagmaker.problems import Where
from tagmaker.units import Capacity, CapacityUnit, Length

__all__ = ["Bands", "BoxRow", "Job", "Mains", "UnitRow"]


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

    @property
    def title(self) -> str:
        """Number and name, as far as they are given."""
        return " ".join(filter(None, (self.number, self.name)))
