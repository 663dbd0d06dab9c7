"""Where one more unit can go: every place is planned and checked with the unit on it, none is guessed."""

from collections.abc import Iterable, Iterator
from fractions import Fraction

from msgspec import Struct
from msgspec.structs import replace

from tagmaker.job.model import BoxRow, Job, UnitRow
from tagmaker.plan.checks import check_box
from tagmaker.plan.model import BoxPlan, Port
from tagmaker.plan.plan_job import plan_box
from tagmaker.plan.ports import pairs
from tagmaker.problems import Problem, Severity, Where, has_errors
from tagmaker.units import Capacity

__all__ = ["Headroom", "Move", "Place", "moves", "one_more", "places", "roomiest", "walked_from"]


class Move(Struct, frozen=True):
    """A switch that must be moved: its board and bank, its number, and its state before and after."""

    board: str
    bank: str
    switch: int
    before: str
    after: str


class Place(Struct, frozen=True):
    """A port or pair that would carry the unit: the box as planned today, and with the unit on it.

    `questions` are the warnings that the unit would raise there.
    """

    before: BoxPlan
    after: BoxPlan
    port: Port
    questions: tuple[Problem, ...]

    @property
    def is_shared(self) -> bool:
        """Whether other units hang on it already."""
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
    """What a port or pair could carry today, whether it is used already, or None where nothing can go on."""

    box: BoxRow
    name: str
    is_shared: bool
    capacity: Capacity


def one_more(job: Job, box: BoxRow, capacity: Capacity, port: str) -> UnitRow:
    """A unit that the job does not have yet, with a tag that nothing else in it has."""
    taken = {unit.key for unit in job.units}
    tag = next(tag for tag in _new_tags() if tag not in taken)
    where = Where("--capacity")
    return UnitRow(tag, box.tag, port, capacity, "", "", None, None, None, None, None, where)


def _new_tags() -> Iterator[str]:
    yield "NEW"
    number = 2
    while True:
        yield f"NEW-{number}"
        number += 1


def places(job: Job, box: BoxPlan, capacity: Capacity) -> tuple[Place, ...]:
    """Every place of a box without errors that would carry the unit: free ports and pairs, then shared ones.

    Free pairs are left out where one port carries the unit without a question; ports whose load is not
    known carry nothing more.
    """
    own = replace(job, units=tuple(claim.unit for claim in box.claims))
    before = tuple(check_box(own, box))
    if has_errors(before):
        return ()
    unit = one_more(own, box.row, capacity, "")
    found = (_place(own, box, before, replace(unit, port=name)) for name in _candidates(box, capacity))
    return tuple(each for each in found if each)


def _candidates(box: BoxPlan, capacity: Capacity) -> Iterator[str]:
    """The names of ports and pairs to try: free ones, then used ones."""
    yield from (port.name for port in box.ports if port.use == "spare")
    if not capacity <= box.row.family.port_limit:
        yield from ("+".join(pair) for pair in _free_pairs(box))
    yield from (port.name for port in box.ports if port.units and port.load is not None)


def _free_pairs(box: BoxPlan) -> list[tuple[str, ...]]:
    spare = {port.letters[0] for port in box.ports if port.use == "spare"}
    return [pair for pair in pairs(box.row.family, box.row.ports) if spare.issuperset(pair)]


def _place(own: Job, box: BoxPlan, before: tuple[Problem, ...], unit: UnitRow) -> Place | None:
    """The box planned with the unit; None where that is an error."""
    job = replace(own, units=(*own.units, unit))
    after = plan_box(box.row, (each for each in job.units if each.box.upper() == box.row.key))
    problems = tuple(check_box(job, after))
    if has_errors(problems) or _known_over(after):
        return None
    told = {problem.message for problem in before}
    questions = tuple(p for p in problems if p.severity is Severity.WARNING and p.message not in told)
    return Place(box, after, after.port_of(unit.port[0]), questions)


def _known_over(box: BoxPlan) -> bool:
    """Whether the loads that are known are too much for the box already."""
    limit = box.row.family.box_limit
    return limit is not None and limit < _known(box)


def _known(box: BoxPlan) -> Capacity:
    given = (unit.capacity for port in box.ports for unit in port.units)
    return sum((each for each in given if each), start=Capacity(Fraction(0)))


def _left_in_box(box: BoxPlan) -> Capacity | None:
    limit, load = box.row.family.box_limit, box.load
    return Capacity(limit.btuh - load.btuh) if limit and load else None


def roomiest(boxes: Iterable[BoxPlan]) -> tuple[Headroom, ...]:
    """The free port, the free pair and the used port that could carry most, where there is one of each."""
    most: dict[tuple[bool, bool], Headroom] = {}
    for room in (room for box in boxes for room in _rooms(box)):
        kind = (room.is_shared, not room.is_shared and "+" in room.name)
        if room.capacity.btuh > 0 and (kind not in most or most[kind].capacity < room.capacity):
            most[kind] = room
    return tuple(most[kind] for kind in sorted(most))


def _rooms(box: BoxPlan) -> Iterator[Headroom]:
    family = box.row.family
    for port in box.ports:
        if port.load is not None:
            left = Capacity(port.limit.btuh - port.load.btuh)
            yield Headroom(box.row, port.name, bool(port.units), _within_box(box, left))
    for pair in _free_pairs(box):
        yield Headroom(box.row, "+".join(pair), False, _within_box(box, family.joined_limit))  # noqa: FBT003


def _within_box(box: BoxPlan, left: Capacity) -> Capacity:
    limit = box.row.family.box_limit
    return min(left, Capacity(limit.btuh - _known(box).btuh)) if limit else left


def moves(before: BoxPlan, after: BoxPlan) -> tuple[Move, ...]:
    """The switches that differ between two plans of one box, by board, bank and number."""
    return tuple(
        Move(old.place, bank.name, switch.number, switch.state, new_switch.state)
        for old, new in zip(before.boards, after.boards, strict=True)
        for bank, new_bank in zip(old.banks, new.banks, strict=True)
        for switch, new_switch in zip(bank.switches, new_bank.switches, strict=True)
        if switch.state != new_switch.state
    )


def walked_from(boxes: Iterable[BoxPlan], job: Job, near: str = "") -> list[BoxPlan]:
    """The boxes in the job's order, which is walking order, or nearest first by it from a box (a key)."""
    at = {row.key: number for number, row in enumerate(job.boxes)}
    start = at.get(near, 0)
    return sorted(boxes, key=lambda box: (abs(at[box.row.key] - start), at[box.row.key]))
