"""The checks of what a job says of single units and pipes: addresses, diameters, lengths.

What a family gives is a limit, and an error beyond it; what common practice gives (`layouts/practice.toml`)
is a question, since only the manual for the box decides.
"""

from collections.abc import Iterator

from tagmaker.catalog.practice import is_tube, practice
from tagmaker.job.model import BoxRow, Job, UnitRow
from tagmaker.job.systems import SAME_TUBE_MM
from tagmaker.plan.model import BoxPlan
from tagmaker.problems import Problem, Where, error, warning
from tagmaker.units import Capacity, Length

__all__ = [
    "addresses_unique",
    "addresses_within_family",
    "boxes_distinct",
    "liquid_below_gas",
    "mains_usual",
    "runs_within_family",
    "units_usual",
]

ADDRESS_HINT = "an address is a number or GROUP-NUMBER: 12 or 2-07"


def boxes_distinct(job: Job) -> Iterator[Problem]:
    """Two boxes that are printed alike, or one that is printed as another's tag: a label at the wrong box."""
    tags = {_folded(box.tag): box for box in job.boxes}
    first: dict[str, BoxRow] = {}
    for box in job.boxes:
        shown = _folded(box.shown)
        other = first.setdefault(shown, box)
        if other is box and tags.get(shown, box) is not box:
            other = tags[shown]
        if other is not box:
            message = f"box {box.tag} is printed as {box.shown!r}, which is what box {other.tag} is called"
            hint = f"see {other.where}; give each box a name of its own in 'shown'"
            yield error("box-twice", message, box.where, hint, (other.key, box.key))


def _folded(name: str) -> str:
    """A name without case and spaces, as people compare them."""
    return "".join(name.split()).casefold()


def addresses_unique(job: Job) -> Iterator[Problem]:
    """Two units of one system with the same address, reported at the later row.

    Boxes that name no system are taken for one system together.
    """
    system_of = {box.key: box.system.upper() for box in job.boxes}
    first: dict[tuple[str, tuple[int, int]], UnitRow] = {}
    for unit in job.units:
        system = system_of.get(unit.box.upper(), "")
        earlier = first.setdefault((system, unit.address_number), unit) if unit.address_number else unit
        if earlier is not unit:
            of = f" of system {system}" if system else ""
            message = f"unit {unit.tag} has address {unit.address}{of}, which unit {earlier.tag} already has"
            hint = f"see {earlier.where}; two units that answer to one address stop the system at start-up"
            yield error("address-twice", message, unit.where, hint, (earlier.box.upper(), unit.box.upper()))


def addresses_within_family(_job: Job, box: BoxPlan) -> Iterator[Problem]:
    """An address that is none, or whose number the family does not have."""
    limits, key = box.row.family.addresses, (box.row.key,)
    for claim in box.claims:
        unit = claim.unit
        if not unit.address:
            continue
        if unit.address_number is None:
            message = f"unit {unit.tag}: {unit.address!r} is not an address"
            yield error("address-wrong", message, unit.where, ADDRESS_HINT, key)
        elif limits and not limits[0] <= unit.address_number[1] <= limits[1]:
            message = f"unit {unit.tag} has address {unit.address}; addresses are {limits[0]} to {limits[1]}"
            hint = f"addresses from {box.row.family.where} ({box.row.family.source})"
            yield error("address-wrong", message, unit.where, hint, key)


def liquid_below_gas(_job: Job, box: BoxPlan) -> Iterator[Problem]:
    """A liquid line that is larger than its gas line; one of the same size is a question."""
    for claim in box.claims:
        unit = claim.unit
        yield from _liquid(unit.liquid, unit.gas, f"unit {unit.tag}", "gas line", unit.where, box)
    tubes = box.row.mains.tubes if box.row.mains else {}
    whose = f"mains of {box.row.tag}"
    yield from _liquid(tubes.get("liquid"), tubes.get("suction"), whose, "suction line", box.row.where, box)


def _liquid(  # noqa: PLR0913, PLR0917 — two lines, their names, where they are given
    liquid: Length | None, gas: Length | None, whose: str, line: str, where: Where, box: BoxPlan
) -> Iterator[Problem]:
    if liquid is None or gas is None or liquid.mm <= gas.mm - SAME_TUBE_MM:
        return
    if liquid.mm >= gas.mm + SAME_TUBE_MM:
        message = f"{whose}: the liquid line ({liquid.text}) is larger than the {line} ({gas.text})"
        hint = "the two are probably exchanged: liquid is the smaller tube"
        yield error("liquid-not-smaller", message, where, hint, (box.row.key,))
    else:
        message = f"{whose}: the liquid line and the {line} are of the same size ({liquid.text})"
        hint = "liquid is the smaller tube: check both in the manual for this unit"
        yield warning("liquid-not-smaller", message, where, hint, (box.row.key,))


def runs_within_family(_job: Job, box: BoxPlan) -> Iterator[Problem]:
    """A run to a unit that is longer than the family allows."""
    most = box.row.family.longest_run
    for claim in box.claims:
        unit = claim.unit
        if most and unit.run and unit.run.mm > most.mm:
            longest = f"its family's longest run is {most.like(unit.run)}"
            message = f"unit {unit.tag}: a run of {unit.run.text}; {longest}"
            hint = f"limit from {box.row.family.where} ({box.row.family.source})"
            yield error("run-too-long", message, unit.where, hint, (box.row.key,))


def units_usual(_job: Job, box: BoxPlan) -> Iterator[Problem]:
    """A unit's capacity, and dimensions of its pipes and cable, that are not usual."""
    usual = practice()
    for claim in box.claims:
        unit, whose = claim.unit, f"unit {claim.unit.tag}"
        if unit.capacity and unit.capacity < usual.capacity_least:
            given = unit.capacity.text(unit.capacity.unit)
            message = f"{whose}: capacity of {given}; less than {_least(unit.capacity)} is not usual"
            yield warning("dimension-unusual", message, unit.where, _hint(), (box.row.key,))
        run = None if box.row.family.longest_run else unit.run
        yield from _beyond(whose, "run", run, usual.run, unit.where, box)
        yield from _beyond(whose, "insulation wall", unit.insulation, usual.insulation, unit.where, box)
        yield from _beyond(whose, "cable jacket", unit.cable, usual.cable, unit.where, box)
        yield from _no_tube(whose, "liquid line", unit.liquid, unit.where, box)
        yield from _no_tube(whose, "gas line", unit.gas, unit.where, box)


def mains_usual(_job: Job, box: BoxPlan) -> Iterator[Problem]:
    """Dimensions of the pipes that feed a box that are not usual."""
    usual, mains, whose = practice(), box.row.mains, f"mains of {box.row.tag}"
    if mains:
        yield from _beyond(whose, "run", mains.run, usual.mains, box.row.where, box)
        yield from _beyond(whose, "insulation wall", mains.insulation, usual.insulation, box.row.where, box)
        for kind, tube in mains.tubes.items():
            yield from _no_tube(whose, f"{kind.replace('_', ' ')} line", tube, box.row.where, box)


def _beyond(  # noqa: PLR0913, PLR0917 — a dimension, its name and limit, where it is given
    whose: str, what: str, given: Length | None, most: Length, where: Where, box: BoxPlan
) -> Iterator[Problem]:
    if given and given.mm > most.mm:
        message = f"{whose}: {what} of {given.text}; more than {most.like(given)} is not usual"
        yield warning("dimension-unusual", message, where, _hint(), (box.row.key,))


def _no_tube(whose: str, what: str, tube: Length | None, where: Where, box: BoxPlan) -> Iterator[Problem]:
    if tube and not is_tube(tube):
        message = f"{whose}: {what} of {tube.text}; tubes of that outside diameter are not usual"
        yield warning("dimension-unusual", message, where, _hint(), (box.row.key,))


def _least(capacity: Capacity) -> str:
    """The least usual capacity, in SI units where the given one is."""
    return practice().capacity_least.text("kW" if capacity.is_metric else "kBtu/h")


def _hint() -> str:
    return f"check the figure and its unit ({practice().source.partition(';')[0]})"
