"""The checks of a plan: pure functions of a job and a box, each of which yields problems.

Limits, sizes and pairs come from the family's data, never from here. A message says what is wrong with its
figures and units, a hint what to look up or change. Every problem names its box (in capitals): `--box` leaves
out the problems of other boxes by that.
"""

from collections.abc import Iterator
from fractions import Fraction

from tagmaker.catalog.family import UNITS_AT_MOST
from tagmaker.job.model import BoxRow, Job, UnitRow
from tagmaker.plan.boards import board_states
from tagmaker.plan.model import BoxPlan, Claim, Port
from tagmaker.plan.ports import fitted_letters
from tagmaker.plan.row_checks import (
    addresses_unique,
    addresses_within_family,
    boxes_distinct,
    liquid_below_gas,
    mains_usual,
    runs_within_family,
    units_usual,
)
from tagmaker.plan.switches import is_covered, misread
from tagmaker.problems import Problem, error, note, warning
from tagmaker.units import Capacity

__all__ = ["BOX_CHECKS", "check_box", "check_job", "check_size"]

CONVERSION_SLACK = Fraction(102, 100)
"""Up to this much over a limit of the other unit system is a question and no error.

16 kW is sold as 54,000 Btu/h and is 1.1 % more (common practice).
"""


def check_job(job: Job) -> Iterator[Problem]:
    """What concerns the whole job: units named twice, boxes printed alike, addresses given twice."""
    yield from _units_twice(job)
    yield from boxes_distinct(job)
    yield from addresses_unique(job)


def _units_twice(job: Job) -> Iterator[Problem]:
    first: dict[str, UnitRow] = {}
    for unit in job.units:
        earlier = first.setdefault(unit.key, unit)
        if earlier is not unit:
            boxes = (earlier.box.upper(), unit.box.upper())
            message = f"unit {unit.tag} is listed twice: it is already on {earlier.box} {earlier.port}"
            hint = f"see {earlier.where}; each row is one indoor unit with its own tag"
            yield error("unit-twice", message, unit.where, hint, boxes)


def check_size(row: BoxRow) -> Iterator[Problem]:
    """A size that the family does not have."""
    family = row.family
    if row.ports not in family.port_counts:
        sizes = ", ".join(map(str, family.port_counts))
        message = f"box {row.tag} has {row.ports} ports; family {family.name!r} has none of that size"
        yield error("size-unknown", message, row.where, f"sizes in {family.where}: {sizes}", (row.key,))


def check_box(job: Job, box: BoxPlan) -> Iterator[Problem]:
    """Every check of one box, in the order of `BOX_CHECKS`."""
    for check in BOX_CHECKS:
        yield from check(job, box)


def letters_exist(_job: Job, box: BoxPlan) -> Iterator[Problem]:
    """A letter that the box does not have, or a pair that the family forbids."""
    for claim in box.claims:
        if claim.fault:
            unit = claim.unit
            verb = "cannot join" if claim.fault == "pair-forbidden" else "has no port"
            message = f"box {box.row.tag} {verb} {unit.port!r} (unit {unit.tag})"
            yield error(claim.fault, message, unit.where, claim.hint, (box.row.key,))


def letters_agree(_job: Job, box: BoxPlan) -> Iterator[Problem]:
    """One letter used both alone and in a pair, or in two pairs; reported at the later row."""
    first_claims: dict[str, dict[tuple[str, ...], Claim]] = {}  # by letter, the first claim of each use
    for claim in box.claims:
        for letter in claim.letters:
            first_claims.setdefault(letter, {}).setdefault(claim.letters, claim)
        for letter in claim.letters:
            others = first_claims[letter].items()
            other = next((first for letters, first in others if letters != claim.letters), None)
            if other:
                message = (
                    f"port {letter} of {box.row.tag} carries {claim.unit.tag} on {claim.unit.port!r} "
                    f"and {other.unit.tag} on {other.unit.port!r}"
                )
                hint = f"see {other.unit.where}; a port is used alone or in one pair, not both"
                yield error("port-single-and-joined", message, claim.unit.where, hint, (box.row.key,))
                break


def has_units(job: Job, box: BoxPlan) -> Iterator[Problem]:
    """A box without units; a box with unreadable rows is left out, since its units may be in those."""
    if not box.claims and box.row.key not in job.part_read:
        message = f"no unit is connected to box {box.row.tag}"
        yield error("box-empty", message, box.row.where, "add its units, or delete the box", (box.row.key,))


def capacities_given(job: Job, box: BoxPlan) -> Iterator[Problem]:
    """A unit without a capacity: an error, in a draft a warning; a cell that was unreadable has its own."""
    for claim in box.claims:
        if claim.unit.capacity is None and "capacity" not in claim.unit.unread:
            make = warning if job.is_draft else error
            port = f"{box.row.tag} {claim.unit.port}"
            message = f"unit {claim.unit.tag} has no capacity: the load of {port} is unknown"
            hint = 'give it with its unit: "24 kBtu/h"; while it is not known, set status = "draft"'
            yield make("capacity-missing", message, claim.unit.where, hint, (box.row.key,))


def loads_within_limits(job: Job, box: BoxPlan) -> Iterator[Problem]:
    """A port over its limit; by at most 2 % in another unit system it is a question for the manual."""
    for port in box.ports:
        if port.load is None or port.load <= port.limit:
            continue
        where, unit = port.units[-1].where, job.capacity_unit
        over = Capacity(port.load.btuh - port.limit.btuh)
        message = (
            f"port {port.name} of {box.row.tag} carries {port.load.text(unit)}, "
            f"{over.text(unit)} over its limit of {port.limit.text(unit)}"
        )
        source = f"limit from {box.row.family.where} ({box.row.family.source})"
        if _is_conversion(port):
            message += "; the capacities were given in another unit system than the limit"
            hint = f"{source}; look up the limit in the manual for this box, in both units"
            yield warning("port-over-by-conversion", message, where, hint, (box.row.key,))
        else:
            hint = f"{source}; move a unit to another port, or join a pair"
            yield error("port-overloaded", message, where, hint, (box.row.key,))


def _is_conversion(port: Port) -> bool:
    """Whether a port may be over only because two unit systems round a machine's size differently."""
    other = any(unit.capacity and unit.capacity.is_metric != port.limit.is_metric for unit in port.units)
    return other and port.load is not None and port.load.btuh <= port.limit.btuh * CONVERSION_SLACK


def box_within_limit(job: Job, box: BoxPlan) -> Iterator[Problem]:
    """A box over the limit that its family may give."""
    limit, load = box.row.family.box_limit, box.load
    if limit and load and limit < load:
        unit = job.capacity_unit
        message = f"box {box.row.tag} carries {load.text(unit)}; its family's limit is {limit.text(unit)}"
        hint = f"limit from {box.row.family.where} ({box.row.family.source})"
        yield error("box-overloaded", message, box.row.where, hint, (box.row.key,))


def ports_not_flooded(_job: Job, box: BoxPlan) -> Iterator[Problem]:
    """More rows on one port than are ever planned: one error a port, at the first row too many."""
    port_of = {letter: port.name for port in box.ports for letter in port.letters}
    claims: dict[str, list[Claim]] = {}
    for claim in box.claims:
        if claim.letters:
            claims.setdefault(port_of[claim.letters[0]], []).append(claim)
    for name, own in claims.items():
        if len(own) > UNITS_AT_MOST:
            message = f"port {name} of {box.row.tag} has {len(own):,} units; at most {UNITS_AT_MOST} are read"
            hint = "check the column of the ports: the other rows of this port are left out"
            yield error("port-flooded", message, own[UNITS_AT_MOST].unit.where, hint, (box.row.key,))


def ports_not_crowded(_job: Job, box: BoxPlan) -> Iterator[Problem]:
    """More units on a port than the family takes without a question."""
    most = box.row.family.units_per_port
    for port in box.ports:
        if len(port.units) > most:
            message = (
                f"port {port.name} of {box.row.tag} has {len(port.units)} units; at most {most} is usual"
            )
            hint = "check in the manual for this box how many units a port takes"
            yield warning("port-crowded", message, port.units[-1].where, hint, (box.row.key,))


def pairs_needed(job: Job, box: BoxPlan) -> Iterator[Problem]:
    """A pair that one port would carry."""
    for port in box.ports:
        single = box.row.family.port_limit
        if port.use == "joined" and port.load and port.load <= single:
            unit = job.capacity_unit
            message = (
                f"pair {port.name} of {box.row.tag} carries {port.load.text(unit)}, "
                f"which one port can carry ({single.text(unit)})"
            )
            hint = "leave it if the unit's own manual asks for two ports"
            yield note("pair-needless", message, port.units[0].where, hint, (box.row.key,))


def spares_at_ends(job: Job, box: BoxPlan) -> Iterator[Problem]:
    """A spare port between used ones while the box's last port is used.

    An addition is brazed more easily at an end of the box (common practice).
    """
    if box.row.key in job.part_read or not box.ports or box.ports[-1].use == "spare":
        return
    used = [index for index, port in enumerate(box.ports) if port.use != "spare"]
    between = [port.name for port in box.ports[used[0] :] if port.use == "spare"] if used else []
    if between:
        many = "port " + between[0] if len(between) == 1 else "ports " + ", ".join(between)
        message = f"spare {many} of {box.row.tag}: between used ports, while the last port is used"
        hint = "a later addition is easier to braze at an end of the box"
        yield note("spare-in-middle", message, box.row.where, hint, (box.row.key,))


def spares_out_of_service(job: Job, box: BoxPlan) -> Iterator[Problem]:
    """Spare ports that no switch of the family takes out of service: the board believes them to be used."""
    family, step = box.row.family, box.row.family.ports_per_board
    spare = {port.name for port in box.ports if port.use == "spare"}
    in_service = [
        letter
        for index, letter in enumerate(fitted_letters(family, box.row.ports))
        if letter in spare and not is_covered(family, index % step + 1, "unused")
    ]
    if in_service and box.row.key not in job.part_read:
        is_one = len(in_service) == 1
        ports = f"port {in_service[0]}" if is_one else f"ports {', '.join(in_service)}"
        message = (
            f"spare {ports} of {box.row.tag} {'stays' if is_one else 'stay'} in service: "
            f"{family.name!r} has no switch for an unused port there, "
            f"and the board will expect a unit there"
        )
        hint = f"compare the rules in {family.where} with the manual for this box"
        yield warning("spare-in-service", message, box.row.where, hint, (box.row.key,))


def switches_unambiguous(_job: Job, box: BoxPlan) -> Iterator[Problem]:
    """Settings from which the board would believe another port use than the planned one."""
    for place, position in misread_positions(box):
        family = box.row.family
        message = (
            f"{place} board of {box.row.tag}: "
            f"no switch setting of {family.name!r} gives the use of position {position}"
        )
        hint = f"compare the rules in {family.where} with the manual for this box"
        yield error("switches-ambiguous", message, box.row.where, hint, (box.row.key,))


def misread_positions(box: BoxPlan) -> Iterator[tuple[str, int]]:
    """The place of a board, and a position (from 1) whose state its switches cannot express."""
    step = box.row.family.ports_per_board
    for board in box.boards:
        states = board_states(board.letters, box.ports, step)
        for position in misread(box.row.family, board.banks, states):
            yield board.place, position


BOX_CHECKS = (
    letters_exist,
    letters_agree,
    has_units,
    capacities_given,
    loads_within_limits,
    box_within_limit,
    ports_not_flooded,
    ports_not_crowded,
    pairs_needed,
    spares_at_ends,
    spares_out_of_service,
    switches_unambiguous,
    addresses_within_family,
    liquid_below_gas,
    runs_within_family,
    units_usual,
    mains_usual,
)
"""The checks of one box, in the order in which their problems are reported."""
