"""Systems as planned: boxes and units, capacity connected to the outdoor unit, distances, charge.

Takes a job; gives one record for each [[system]], in the job's order. A sum is None while a part of it is
unknown, a distance is known to be incomplete.
"""

from collections.abc import Collection, Mapping
from fractions import Fraction

from msgspec import Struct

from tagmaker.job.model import BoxRow, Job, SystemRow, UnitRow
from tagmaker.plan.charge import ChargePlan, plan_charge
from tagmaker.units import Capacity

__all__ = ["Distance", "SystemPlan", "plan_systems"]

NOTHING = Fraction(0)


class Distance(Struct, frozen=True):
    """A length of pipe in mm, as far as it is known; `is_whole` where all of it is."""

    mm: Fraction
    is_whole: bool

    def __add__(self, other: "Distance") -> "Distance":
        return Distance(self.mm + other.mm, self.is_whole and other.is_whole)


class SystemPlan(Struct, frozen=True):
    """A system with its boxes in walking order, its units box by box in row order, and its charge.

    `is_whole` is false where rows of units could not be read: then no sum is known. `mains` are the distances
    of boxes, by tag in capitals, from the outdoor unit; `fed` are the boxes that another box feeds.
    """

    row: SystemRow
    boxes: tuple[BoxRow, ...]
    units: tuple[UnitRow, ...]
    charge: ChargePlan
    is_whole: bool
    mains: Mapping[str, Distance]
    fed: frozenset[str]

    def has_any(self, boxes: Collection[str]) -> bool:
        """Whether one of these boxes, by tags in capitals, is its own."""
        return any(box.key in boxes for box in self.boxes)

    @property
    def connected(self) -> Capacity | None:
        """The capacity of all its units."""
        capacities = [unit.capacity for unit in self.units]
        if not self.is_whole or any(capacity is None for capacity in capacities):
            return None
        return Capacity(sum((each.btuh for each in capacities if each), start=NOTHING))

    @property
    def percent(self) -> Fraction | None:
        """The connected capacity, in per cent of the outdoor unit's."""
        connected, outdoor = self.connected, self.row.capacity
        return connected.btuh / outdoor.btuh * 100 if connected and outdoor else None

    def distance(self, unit: UnitRow) -> Distance:
        """From the outdoor unit to a unit."""
        own = Distance(unit.run.mm if unit.run else NOTHING, unit.run is not None)
        return self.mains[unit.box.upper()] + own

    @property
    def total(self) -> Distance:
        """All pipes together."""
        runs = [*(box.mains.run if box.mains else None for box in self.boxes), *(u.run for u in self.units)]
        known = sum((run.mm for run in runs if run), start=NOTHING)
        return Distance(known, self.is_whole and None not in runs)


def plan_systems(job: Job) -> tuple[SystemPlan, ...]:
    """Every system of a job."""
    boxes: dict[str, list[BoxRow]] = {}
    for box in job.boxes:
        boxes.setdefault(box.system.upper(), []).append(box)
    units: dict[str, list[UnitRow]] = {}
    for unit in job.units:
        units.setdefault(unit.box.upper(), []).append(unit)
    all_boxes = {box.key: box for box in job.boxes}
    return tuple(_system(job, row, boxes.get(row.key, []), units, all_boxes) for row in job.systems)


def _system(
    job: Job,
    row: SystemRow,
    boxes: list[BoxRow],
    units: Mapping[str, list[UnitRow]],
    all_boxes: Mapping[str, BoxRow],
) -> SystemPlan:
    own = tuple(unit for box in boxes for unit in units.get(box.key, ()))
    is_whole = not any(box.key in job.part_read for box in boxes)
    mains = {box.key: _from_outdoor(box, all_boxes) for box in boxes}
    fed = frozenset(box.key for box in boxes if box.fed_from.upper() in all_boxes)
    charge = plan_charge(row, boxes, units, is_whole=is_whole)
    return SystemPlan(row, tuple(boxes), own, charge, is_whole, mains, fed)


def _from_outdoor(box: BoxRow, boxes: Mapping[str, BoxRow]) -> Distance:
    """From the outdoor unit to a box: its own main pipe, and those of the boxes that it is fed through.

    Boxes that feed each other in a circle have no whole distance.
    """
    distance = Distance(NOTHING, is_whole=True)
    seen: set[str] = set()
    at: BoxRow | None = box
    while at:
        if at.key in seen:
            return Distance(distance.mm, is_whole=False)
        seen.add(at.key)
        run = at.mains.run if at.mains else None
        distance += Distance(run.mm if run else NOTHING, run is not None)
        at = boxes.get(at.fed_from.upper())
    return distance
