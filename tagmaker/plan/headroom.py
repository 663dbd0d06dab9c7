"""Where one more unit can go.

Every port and every free pair is tried: the box is planned and checked with the unit on it. Limits and rules
are thus in the checks alone; a second calculation of what a port can carry could drift from them. 500 boxes
take 2.5 s.
"""

from collections.abc import Iterable, Iterator
from fractions import Fraction

from msgspec import Struct
from msgspec.structs import replace

from tagmaker.job.model import BoxRow, Job, UnitRow
from tagmaker.plan.checks import check_box
from tagmaker.plan.model import BoxPlan, Port, Setting
from tagmaker.plan.plan_job import plan_box
from tagmaker.plan.ports import pairs
from tagmaker.plan.system_checks import capacity_within_ratio, units_within_limit
from tagmaker.plan.systems import SystemPlan
from tagmaker.problems import Problem, Severity, Where, has_errors
from tagmaker.units import Capacity

__all__ = [
    "Candidate",
    "Headroom",
    "Move",
    "candidates",
    "headrooms",
    "largest_headroom",
    "moves",
    "nearest_first",
    "one_more",
    "over_with_one_more",
]


OF_SPARES = {"spare-in-service"}
"""Warnings about ports that are spare with and without the unit: no question about the unit."""


class Move(Struct, frozen=True):
    """A switch that must be moved: its board and bank, its number, and its state before and after."""

    board: str
    bank: str
    switch: int
    before: Setting
    after: Setting


class Candidate(Struct, frozen=True):
    """A port or pair that would carry the unit: the box as planned today, and with the unit on it.

    `port` is the port of the box with the unit; `questions` are the warnings that the unit would raise there.
    """

    before: BoxPlan
    after: BoxPlan
    port: Port
    questions: tuple[Problem, ...]

    @property
    def is_shared(self) -> bool:
        """Whether other units are on it already."""
        return len(self.port.units) > 1

    @property
    def headroom(self) -> Capacity:
        """What the port's limit leaves with the unit on it; below zero where that is a question."""
        load = self.port.load or Capacity(Fraction(0))
        return Capacity(self.port.limit.btuh - load.btuh)

    @property
    def box_headroom(self) -> Capacity | None:
        """What the box's own limit leaves; None where its family gives none, or a load is not known."""
        return _left_in_box(self.after)


class Headroom(Struct, frozen=True):
    """How much more a port or pair could carry; `is_shared` where units are on it already."""

    box: BoxRow
    name: str
    is_shared: bool
    capacity: Capacity


def one_more(units: Iterable[UnitRow], box: BoxRow, capacity: Capacity, port: str) -> UnitRow:
    """The row of a unit beside these, with a tag that none of them has (NEW, NEW-2, …)."""
    taken = {unit.key for unit in units}
    tag = next(tag for tag in _new_tags() if tag not in taken)
    return UnitRow(tag, box.tag, port, capacity, Where("--capacity"))


def _new_tags() -> Iterator[str]:
    yield "NEW"
    number = 2
    while True:
        yield f"NEW-{number}"
        number += 1


def candidates(job: Job, box: BoxPlan, capacity: Capacity) -> tuple[Candidate, ...]:
    """Every port and pair that would carry the unit: free ports, free pairs, then shared ports.

    None where the box has errors already: a mistyped row may belong on any port that looks free. Free pairs
    are left out where one port carries the unit without a question; a port whose load is not known gets
    nothing more.
    """
    own = replace(job, units=tuple(claim.unit for claim in box.claims))
    before = tuple(check_box(own, box))
    if has_errors(before):
        return ()
    unit = one_more(own.units, box.row, capacity, "")
    found = (_tried(own, box, before, replace(unit, port=name)) for name in _names(box, capacity))
    return tuple(each for each in found if each)


def _names(box: BoxPlan, capacity: Capacity) -> Iterator[str]:
    """The names of ports and pairs to try: free ones, then used ones."""
    yield from (port.name for port in box.ports if port.use == "spare")
    if not capacity <= box.row.family.port_limit:
        yield from ("+".join(pair) for pair in _free_pairs(box))
    yield from (port.name for port in box.ports if port.units and port.load is not None)


def _free_pairs(box: BoxPlan) -> list[tuple[str, ...]]:
    spare = {port.letters[0] for port in box.ports if port.use == "spare"}
    return [pair for pair in pairs(box.row.family, box.row.ports) if spare.issuperset(pair)]


def _tried(own: Job, box: BoxPlan, before: tuple[Problem, ...], unit: UnitRow) -> Candidate | None:
    """The box planned with the unit; None where that is an error.

    `own` is the job with this box's units alone, `before` what the checks report of it without the unit.
    """
    job = replace(own, units=(*own.units, unit))
    after = plan_box(box.row, (each for each in job.units if each.box.upper() == box.row.key))
    problems = tuple(check_box(job, after))
    if has_errors(problems) or _known_over(after):
        return None
    known = {problem.message for problem in before}
    questions = tuple(
        problem
        for problem in problems
        if problem.severity is Severity.WARNING
        and problem.message not in known
        and problem.code not in OF_SPARES
    )
    return Candidate(box, after, after.port_of(unit.port[0]), questions)


def _known_over(box: BoxPlan) -> bool:
    """Whether the known loads alone are over the box's limit; its check needs every load to be known."""
    limit = box.row.family.box_limit
    return limit is not None and limit < _known(box)


def _known(box: BoxPlan) -> Capacity:
    given = (unit.capacity for port in box.ports for unit in port.units)
    return sum((each for each in given if each), start=Capacity(Fraction(0)))


def _left_in_box(box: BoxPlan) -> Capacity | None:
    limit, load = box.row.family.box_limit, box.load
    return Capacity(limit.btuh - load.btuh) if limit and load else None


def largest_headroom(boxes: Iterable[BoxPlan]) -> tuple[Headroom, ...]:
    """The free port, the free pair and the used port that could carry most, where there is one of each."""
    most: dict[tuple[bool, bool], Headroom] = {}
    for each in (each for box in boxes for each in headrooms(box)):
        kind = (each.is_shared, not each.is_shared and "+" in each.name)
        if each.capacity.btuh > 0 and (kind not in most or most[kind].capacity < each.capacity):
            most[kind] = each
    return tuple(most[kind] for kind in sorted(most))


def headrooms(box: BoxPlan) -> Iterator[Headroom]:
    """How much more each port could carry whose load is known, and each free pair."""
    family = box.row.family
    for port in box.ports:
        if port.load is not None:
            left = Capacity(port.limit.btuh - port.load.btuh)
            yield Headroom(box.row, port.name, is_shared=bool(port.units), capacity=_within_box(box, left))
    for pair in _free_pairs(box):
        left = _within_box(box, family.joined_limit)
        yield Headroom(box.row, "+".join(pair), is_shared=False, capacity=left)


def _within_box(box: BoxPlan, left: Capacity) -> Capacity:
    limit = box.row.family.box_limit
    return min(left, Capacity(limit.btuh - _known(box).btuh)) if limit else left


def over_with_one_more(job: Job, system: SystemPlan, capacity: Capacity) -> Iterator[Problem]:
    """The errors of a system with one more unit of that capacity, whichever of its boxes it is on."""
    if not system.boxes:
        return
    more = replace(system, units=(*system.units, one_more(system.units, system.boxes[0], capacity, "")))
    for check in (capacity_within_ratio, units_within_limit):
        for problem in check(job, more):
            if problem.severity is Severity.ERROR:
                yield replace(problem, message=f"with one more unit, {problem.message}")


def moves(before: BoxPlan, after: BoxPlan) -> tuple[Move, ...]:
    """The switches that differ between two plans of one box, by board, bank and number."""
    return tuple(
        Move(old.place, bank.name, switch.number, switch.state, new_switch.state)
        for old, new in zip(before.boards, after.boards, strict=True)
        for bank, new_bank in zip(old.banks, new.banks, strict=True)
        for switch, new_switch in zip(bank.switches, new_bank.switches, strict=True)
        if switch.state != new_switch.state
    )


def nearest_first(boxes: Iterable[BoxPlan], job: Job, near: str = "") -> list[BoxPlan]:
    """The boxes by their distance in the job's order, which is walking order, from a box (its key).

    Without `near` they come in the job's order.
    """
    at = {row.key: number for number, row in enumerate(job.boxes)}
    start = at.get(near, 0)
    return sorted(boxes, key=lambda box: (abs(at[box.row.key] - start), at[box.row.key]))
