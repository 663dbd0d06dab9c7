"""The checks of systems: pure functions of a job and a planned system, each of which yields problems.

Limits are those of the manual in hand, as the job gives them: over one is an error, what cannot be compared a
note. Every problem names the boxes of its system (in capitals).
"""

from collections.abc import Iterable, Iterator
from fractions import Fraction

from tagmaker.catalog.amounts import amounts
from tagmaker.catalog.practice import practice
from tagmaker.files.near import did_you_mean
from tagmaker.job.model import Job, SystemRow
from tagmaker.job.schedule.shared_causes import first_few
from tagmaker.plan.checks import CONVERSION_SLACK
from tagmaker.plan.concentration import Concentration, amount_text, concentration
from tagmaker.plan.systems import Distance, SystemPlan
from tagmaker.problems import Problem, error, note, warning
from tagmaker.units import Capacity, Length, length_text, number_text

__all__ = ["SYSTEM_CHECKS", "capacity_within_ratio", "check_systems", "units_within_limit"]

FIGURES = (
    "capacity",
    "ratio",
    "units_most",
    "addresses",
    "longest_run",
    "total_run",
    "first_box",
    "port_run",
    "source",
)
"""Keys of [[system]] whose absence is noted, with those of its tables."""
NAMED = 20  # of what a charge lacks; each is named in the lines of the charge too
FAR = 2
"""A charge beyond so many times the planned one, or below such a part, is probably of another unit."""
TESTS = ("pressure", "hold", "steps", "vacuum", "vacuum_rise", "vacuum_hold")


def check_systems(job: Job, systems: Iterable[SystemPlan]) -> Iterator[Problem]:
    """Every check of every system, and boxes of no system; nothing where the job has no [[system]]."""
    if job.systems:
        yield from boxes_of_a_system(job)
        yield from feeds_within_systems(job)
        yield from outdoor_units_distinct(job)
    for system in systems:
        for check in SYSTEM_CHECKS:
            yield from check(job, system)


def boxes_of_a_system(job: Job) -> Iterator[Problem]:
    """A box whose system is not among those of the job: its units are missing in every sum."""
    known = {row.key: row.tag for row in job.systems}
    for box in job.boxes:
        if box.system.upper() not in known:
            named = f"names system {box.system!r}, which is not among the [[system]]s" if box.system else ""
            message = f"box {box.tag} {named or 'names no system, while the job has [[system]]s'}"
            hint = (
                did_you_mean(box.system, known.values())
                if box.system
                else 'write system = "…" in its [[box]]'
            )
            yield warning("system-unknown", message, box.where, hint, (box.key,))


def feeds_within_systems(job: Job) -> Iterator[Problem]:
    """A box that is fed from a box of another system: their refrigerant never meets."""
    boxes = {box.key: box for box in job.boxes}
    for box in job.boxes:
        feeder = boxes.get(box.fed_from.upper())
        if feeder and box.system and feeder.system and box.system.upper() != feeder.system.upper():
            message = (
                f"box {box.tag} of system {box.system} is fed from {feeder.tag} of system {feeder.system}"
            )
            hint = "correct 'fed_from' or 'system' of one of them"
            yield error("system-unknown", message, box.where, hint, (box.key, feeder.key))


def outdoor_units_distinct(job: Job) -> Iterator[Problem]:
    """Two systems of one outdoor unit: isolated, tested and charged by the wrong one."""
    first: dict[str, SystemRow] = {}
    for row in job.systems:
        other = first.setdefault(row.outdoor.upper(), row) if row.outdoor else row
        if other is not row:
            message = f"system {row.tag} has outdoor unit {row.outdoor}, that of system {other.tag} too"
            yield warning("system-twice", message, row.where, f"see {other.where}; check the nameplates")


def has_boxes(_job: Job, system: SystemPlan) -> Iterator[Problem]:
    """A system that no box names."""
    if not system.boxes:
        message = f"no box names system {system.row.tag}"
        hint = 'write system = "…" in each [[box]] of it, or delete the system'
        yield warning("system-empty", message, system.row.where, hint)


def figures_given(_job: Job, system: SystemPlan) -> Iterator[Problem]:
    """Figures that the system lacks, in one note."""
    row = system.row
    absent = [key for key in FIGURES if not getattr(row, key)]
    absent += ["charge"] * (not (row.charge.factory or row.charge.per_length))
    absent += [f"test.{key}" for key in TESTS if not getattr(row.test, key)]
    absent += ["heater_hours"] * (row.heater_hours is None)
    if absent:
        message = f"system {row.tag}: not given, so not checked or printed: {', '.join(absent)}"
        hint = "give what the manual in hand has; nothing is assumed"
        yield note("system-incomplete", message, row.where, hint, _boxes(system))


def weighed_in_whole(_job: Job, system: SystemPlan) -> Iterator[Problem]:
    """Less weighed in than the factory charge alone: the charge that was added was given for the whole.

    An amount far from the planned charge is a question: 20 kg written as 20 lb would be on the sign.
    """
    weighed, factory = system.row.weighed_in, system.row.charge.factory
    if weighed and factory and weighed < factory:
        message = (
            f"system {system.row.tag}: weighed_in {weighed.text()} is less than the factory charge, "
            f"{factory.text()}"
        )
        hint = "write all refrigerant that is in the system: the factory charge and what was added"
        yield error("charge-weighed", message, system.row.where, hint, _boxes(system))
        return
    total = system.charge.total
    if weighed and total and not total.value <= FAR * weighed.value <= FAR**2 * total.value:
        message = (
            f"system {system.row.tag}: weighed_in {weighed.text()} is far from the planned charge, "
            f"{total.text(weighed.unit)}"
        )
        hint = "compare it with the sheet, and its unit of measure"
        yield warning("charge-weighed", message, system.row.where, hint, _boxes(system))


def tests_usual(_job: Job, system: SystemPlan) -> Iterator[Problem]:
    """Figures of the test that are not usual: people stand beside what they are set by."""
    usual, test = practice(), system.row.test
    what: list[str] = []
    if test.pressure and test.pressure < usual.test_pressure_least:
        what.append(f"test.pressure of {test.pressure.text()}; less than {usual.test_pressure_least.text()}")
    if test.pressure and usual.test_pressure < test.pressure:
        what.append(f"test.pressure of {test.pressure.text()}; more than {usual.test_pressure.text()}")
    if test.vacuum and usual.vacuum < test.vacuum:
        what.append(f"test.vacuum of {test.vacuum.text()}; more than {usual.vacuum.text()}")
    for each in what:
        hint = f"check the figure and its unit ({usual.source.partition(';')[0]})"
        message = f"system {system.row.tag}: {each} is not usual"
        yield warning("dimension-unusual", message, system.row.where, hint, _boxes(system))


def refrigerant_agrees(job: Job, system: SystemPlan) -> Iterator[Problem]:
    """A system of another refrigerant than the one that placards and labels of the job print."""
    own = system.row.refrigerant
    if own and job.refrigerant and own != job.refrigerant:
        message = f"system {system.row.tag} has refrigerant {own}, and the job {job.refrigerant}"
        hint = "placards and bands print that of [job]: correct one, or make a job of each"
        yield error("system-refrigerant", message, system.row.where, hint, _boxes(system))


def capacity_within_ratio(job: Job, system: SystemPlan) -> Iterator[Problem]:
    """Connected capacity outside the ratio; by at most 2 % in another unit system it is a question."""
    row, unit = system.row, job.capacity_unit
    if row.ratio is None or row.capacity is None:
        return
    if system.percent is None or system.connected is None:
        yield _unchecked(system, "ratio", _without(system, "capacity"))
        return
    least, most = row.ratio
    if least <= system.percent <= most:
        return
    message = (
        f"system {row.tag}: {system.connected.text(unit)} are connected to {row.capacity.text(unit)}, "
        f"{number_text(system.percent, 1)} %; allowed are {number_text(least)} to {number_text(most)} %"
    )
    if _is_conversion(system, row.capacity, least / 100, most / 100):
        hint = f"the capacities were given in another unit system; look it up, in both units{_source(system)}"
        yield warning("system-capacity", message, row.where, hint, _boxes(system))
    else:
        hint = f"correct the capacities, or the units of the system{_source(system)}"
        yield error("system-capacity", message, row.where, hint, _boxes(system))


def _is_conversion(system: SystemPlan, outdoor: Capacity, least: Fraction, most: Fraction) -> bool:
    """Whether it may be outside only because two unit systems round a machine's size differently."""
    other = any(unit.capacity and unit.capacity.is_metric != outdoor.is_metric for unit in system.units)
    share = system.connected.btuh / outdoor.btuh if system.connected else Fraction(0)
    return other and least / CONVERSION_SLACK <= share <= most * CONVERSION_SLACK


def units_within_limit(_job: Job, system: SystemPlan) -> Iterator[Problem]:
    """More units than the system may have."""
    most = system.row.units_most
    if most is not None and len(system.units) > most:
        message = f"system {system.row.tag} has {len(system.units)} units; it may have {most}"
        hint = f"limit from [[system]]{_source(system)}"
        yield error("system-crowded", message, system.row.where, hint, _boxes(system))


def addresses_within_system(_job: Job, system: SystemPlan) -> Iterator[Problem]:
    """An address that the system does not have; one that is none is reported with its family's."""
    limits = system.row.addresses
    if limits is None:
        return
    least, most = limits
    for unit in system.units:
        if unit.address_number and not least <= unit.address_number[1] <= most:
            message = (
                f"unit {unit.tag} has address {unit.address}; "
                f"addresses of system {system.row.tag} are {least} to {most}"
            )
            hint = f"addresses from [[system]]{_source(system)}"
            yield error("address-wrong", message, unit.where, hint, (unit.box.upper(),))
    if without := [unit.tag for unit in system.units if not unit.address]:
        yield _unchecked(system, "addresses", f"no address: {first_few(without)}")


def runs_within_limits(_job: Job, system: SystemPlan) -> Iterator[Problem]:
    """Runs over a limit of the system: as far as they are known, which may be enough to be over."""
    row = system.row
    to_units = [(f"unit {unit.tag}", system.distance(unit)) for unit in system.units]
    yield from _compared(system, "longest_run", row.longest_run, to_units)
    own = [
        (f"unit {u.tag}", Distance(u.run.mm if u.run else Fraction(0), u.run is not None))
        for u in system.units
    ]
    yield from _compared(system, "port_run", row.port_run, own)
    first = [(f"box {box.tag}", system.mains[box.key]) for box in system.boxes if box.key not in system.fed]
    yield from _compared(system, "first_box", row.first_box, first)
    yield from _compared(system, "total_run", row.total_run, [("all pipes", system.total)])


def _compared(
    system: SystemPlan, key: str, most: Length | None, runs: list[tuple[str, Distance]]
) -> Iterator[Problem]:
    """An error for each run that is over, and a note for those that are not known."""
    if most is None:
        return
    for whose, run in runs:
        if run.mm > most.mm:
            known = "" if run.is_whole else " or more"
            message = (
                f"system {system.row.tag}: {whose}: a run of "
                f"{length_text(run.mm, is_metric=most.is_metric)}{known}; {key} is {most.text}"
            )
            yield error("run-too-long", message, system.row.where, _limit_hint(system), _boxes(system))
    open_runs = [whose for whose, run in runs if not run.is_whole and run.mm <= most.mm]
    if open_runs:
        yield _unchecked(system, key, f"a length is missing: {first_few(open_runs)}")


HEIGHTS = {
    "outdoor_above": "outdoor unit above the others", "outdoor_below": "outdoor unit below the others",
    "between_units": "between indoor units",
}  # fmt: skip
"""The limits of height as a person reads them."""


def heights_noted(_job: Job, system: SystemPlan) -> Iterator[Problem]:
    """Limits of height: a job has no heights."""
    heights = system.row.heights
    given = [HEIGHTS[key] for key in heights.__struct_fields__ if getattr(heights, key)]
    if given:
        yield _unchecked(system, "heights", f"measure on site: {', '.join(given)}")


def charge_known(_job: Job, system: SystemPlan) -> Iterator[Problem]:
    """What the total charge lacks, where any figure of it is given."""
    row, charge = system.row, system.charge
    if (row.charge.factory or row.charge.per_length) and charge.total is None:
        missing = [*charge.missing(), *["rows that cannot be read"] * (not charge.is_whole)]
        message = f"the charge of system {row.tag} is unknown, without: {first_few(missing, NAMED)}"
        hint = 'give each; where the manual adds no charge, write "0 lb"'
        yield note("charge-unknown", message, row.where, hint, _boxes(system))


def amount_in_smallest_room(job: Job, system: SystemPlan) -> Iterator[Problem]:
    """All of the charge in the smallest room, against the code's table: always a note, for the engineer."""
    refrigerant = system.row.refrigerant or job.refrigerant
    if not refrigerant or not (system.row.charge.factory or system.row.charge.per_length):
        return
    found = concentration(system, refrigerant)
    hint = "a note for the engineer: the code in force decides, with what it allows for other spaces"
    yield note("refrigerant-amount", _amount(system, found), system.row.where, hint, _boxes(system))


def _amount(system: SystemPlan, found: Concentration) -> str:
    """The sentence of the note."""
    whose, table = f"system {system.row.tag}, {found.refrigerant}", amounts()
    if found.unknown:
        return f"{whose} in the smallest room: unknown, without {' and '.join(found.unknown)}"
    unit, total = found.smallest, system.charge.total
    if unit is None or unit.room_volume is None or total is None or found.grams_m3 is None:
        raise RuntimeError("an amount that is known has its room")
    room = f"{unit.room or unit.tag}, {unit.room_volume.text()}"
    made = amount_text(found.grams_m3, unit.room_volume)
    own = f"{total.text(places=2)} in the smallest room ({room}) are {made}"
    if found.limit is None or found.amount is None:
        return f"{whose}: {own}; {table.source} as kept here has no figure for it"
    half = ", half of the table's in an institution" if system.row.is_institutional else ""
    over = "more than" if found.is_over else "at most"
    limit = amount_text(found.limit, unit.room_volume)
    return f"{whose}: {own}, {over} {limit}{half} ({table.source}{found.amount.doubt})"


def _unchecked(system: SystemPlan, key: str, why: str) -> Problem:
    """A limit that cannot be compared."""
    message = f"system {system.row.tag}: not checked: {key} ({why})"
    return note("system-unchecked", message, system.row.where, "", _boxes(system))


def _without(system: SystemPlan, what: str) -> str:
    """Which units lack a capacity; or that rows cannot be read."""
    tags = [unit.tag for unit in system.units if unit.capacity is None]
    return f"no {what}: {first_few(tags)}" if tags else "rows of units cannot be read"


def _limit_hint(system: SystemPlan) -> str:
    return f"limit from [[system]]{_source(system)}"


def _source(system: SystemPlan) -> str:
    return f" ({system.row.source})" if system.row.source else ""


def _boxes(system: SystemPlan) -> tuple[str, ...]:
    return tuple(box.key for box in system.boxes)


SYSTEM_CHECKS = (
    has_boxes,
    figures_given,
    weighed_in_whole,
    tests_usual,
    refrigerant_agrees,
    capacity_within_ratio,
    units_within_limit,
    addresses_within_system,
    runs_within_limits,
    heights_noted,
    charge_known,
    amount_in_smallest_room,
)
"""The checks of one system, in the order in which their problems are reported."""
