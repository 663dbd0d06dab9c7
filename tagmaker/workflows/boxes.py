"""Boxes for a screen: each as its placard draws it, with the places of its ports, units and problems.

Takes a kept plan; gives the heads of all boxes, which are cheap, and the pictures of those that are asked
for. Every text is the house's own; a page lays its controls over the rectangles, in millimetres of the
picture.
"""

from collections.abc import Iterable, Iterator
from typing import Literal

from msgspec import Struct

from tagmaker.catalog.words import load_words
from tagmaker.draw.svg import svg
from tagmaker.job.model import BoxRow, Job, UnitRow
from tagmaker.plan.headroom import headrooms
from tagmaker.plan.model import BoxPlan, Port, PortUse
from tagmaker.plan.plan_job import plan_box
from tagmaker.problems import Problem, Severity, Where
from tagmaker.sheets.screen_box import PortPlace, screen_box
from tagmaker.typeset.fonts import all_faces
from tagmaker.typeset.frame import Frame
from tagmaker.units import Capacity, CapacityUnit
from tagmaker.workflows.kept_plan import KeptPlan

__all__ = [
    "BoxHead",
    "BoxPicture",
    "PlacedProblem",
    "PortChoice",
    "PortShown",
    "UnitShown",
    "box_heads",
    "box_picture",
    "placed_problems",
    "port_choices",
]

PortState = Literal["spare", "within", "over", "unknown"]
"""How a port's load is: none, within its limit, over it, or not known."""


class PlacedProblem(Struct, frozen=True):
    """A problem and where on the boxes it is.

    `boxes` are tags in capitals, none for one of the whole job; `port` is the first letter of a port of the
    first box, empty where the problem is not of one port.
    """

    severity: Severity
    code: str
    message: str
    where: str
    hint: str
    boxes: tuple[str, ...]
    port: str


class BoxHead(Struct, frozen=True):
    """What a list of boxes shows of each; `key` is its tag in capitals.

    `load` is in the job's unit, "?" where a capacity is missing; a box that is not planned has no picture.
    """

    key: str
    tag: str
    shown: str
    place: str
    power: str
    system: str
    level: str
    ports: int
    units: int
    load: str
    is_planned: bool
    errors: int
    warnings: int


class UnitShown(Struct, frozen=True):
    """A unit: `frame` is its place on the picture, None where no port has it; `port` is as it is written.

    `is_drawn` is whether its tag is set there.
    """

    unit: str
    room: str
    capacity: str
    port: str
    frame: Frame | None = None
    is_drawn: bool = False


class PortShown(Struct, frozen=True):
    """A port or pair with its row on the picture; loads are texts with their unit, "" where there is none."""

    port: str
    letter: str
    use: PortUse
    state: PortState
    load: str
    limit: str
    left: str
    row: Frame
    units: tuple[UnitShown, ...]


class BoxPicture(Struct, frozen=True):
    """A box drawn, so many millimetres wide and high; `off_ports` are its units that no port has."""

    key: str
    svg: str
    width: float
    height: float
    ports: tuple[PortShown, ...]
    off_ports: tuple[UnitShown, ...]


class PortChoice(Struct, frozen=True):
    """A port or free pair to which a unit could be moved: what is there already, and what its limit leaves.

    Load and `left` are without the unit; `fits` is None where a capacity is not known, `is_present` whether
    the unit is there now.
    """

    port: str
    units: tuple[str, ...]
    load: str
    limit: str
    left: str
    fits: bool | None
    is_present: bool


def box_heads(kept: KeptPlan) -> tuple[BoxHead, ...]:
    """Every box in the job's order."""
    counts: dict[tuple[str, Severity], int] = {}
    for problem in kept.problems:
        for key in problem.boxes:
            counts[key, problem.severity] = counts.get((key, problem.severity), 0) + 1
    return tuple(_head(kept, row, counts) for row in kept.job.boxes)


def _head(kept: KeptPlan, row: BoxRow, counts: dict[tuple[str, Severity], int]) -> BoxHead:
    planned, key = kept.boxes[row.key], row.key
    load = planned.plan.load if planned.plan else None
    return BoxHead(
        key=key,
        tag=row.tag,
        shown=row.shown,
        place=row.place,
        power=row.power,
        system=row.system,
        level=row.level,
        ports=row.ports,
        units=len(planned.units),
        load=load.text(kept.job.capacity_unit) if load else "?",
        is_planned=planned.plan is not None,
        errors=counts.get((key, Severity.ERROR), 0),
        warnings=counts.get((key, Severity.WARNING), 0),
    )


def box_picture(kept: KeptPlan, key: str) -> BoxPicture | None:
    """A box drawn; None where the job has no such box, or it cannot be planned."""
    box = kept.box(key)
    if box is None:
        return None
    drawn = screen_box(kept.job, box, load_words())
    return BoxPicture(
        key=key,
        svg=svg(drawn.page, all_faces(), box.row.shown),
        width=drawn.page.width,
        height=drawn.page.height,
        ports=tuple(_port(kept.job, place) for place in drawn.ports),
        off_ports=tuple(_unit(kept.job, unit) for unit in _off_ports(box)),
    )


def _port(job: Job, place: PortPlace) -> PortShown:
    port, unit = place.port, job.capacity_unit
    return PortShown(
        port=port.name,
        letter=port.letters[0],
        use=port.use,
        state=_state(port),
        load=_load(port, unit),
        limit=port.limit.text(unit),
        left=_left(port.limit, port.load).text(unit) if port.load else "",
        row=place.row,
        units=tuple(_unit(job, each.unit, each.frame, is_drawn=each.is_drawn) for each in place.units),
    )


def _state(port: Port) -> PortState:
    if not port.units:
        return "spare"
    if port.load is None:
        return "unknown"
    return "within" if port.load <= port.limit else "over"


def _left(limit: Capacity, load: Capacity) -> Capacity:
    return Capacity(limit.btuh - load.btuh)


def _unit(job: Job, unit: UnitRow, frame: Frame | None = None, *, is_drawn: bool = False) -> UnitShown:
    capacity = unit.capacity.text(job.capacity_unit) if unit.capacity else ""
    return UnitShown(unit.tag, unit.room, capacity, unit.port, frame, is_drawn)


def _off_ports(box: BoxPlan) -> Iterator[UnitRow]:
    """Units of a box that no port of it has: their port is written wrongly, or they are too many on one."""
    placed = {id(unit) for port in box.ports for unit in port.units}
    return (claim.unit for claim in box.claims if id(claim.unit) not in placed)


# --- problems ---------------------------------------------------------------------------------------------


def placed_problems(kept: KeptPlan, problems: Iterable[Problem] | None = None) -> tuple[PlacedProblem, ...]:
    """Problems, all of them unless some are given, each with its boxes and port.

    A problem is of a port where it is reported at a row of one of the port's units.
    """
    ports = _ports_by_row(kept)
    return tuple(
        PlacedProblem(
            severity=each.severity,
            code=each.code,
            message=each.message,
            where=str(each.where),
            hint=each.hint,
            boxes=each.boxes,
            port=ports.get((each.boxes[0], _row(each.where)), "") if each.boxes else "",
        )
        for each in (kept.problems if problems is None else problems)
    )


def _ports_by_row(kept: KeptPlan) -> dict[tuple[str, tuple[str, int, int]], str]:
    """The first letter of the port of each row, by box and place."""
    return {
        (key, _row(unit.where)): port.letters[0]
        for key, each in kept.boxes.items()
        if each.plan
        for port in each.plan.ports
        for unit in port.units
    }


def _row(where: Where) -> tuple[str, int, int]:
    """A place without its column."""
    return where.file, where.sheet_number, where.line


# --- where a unit could go --------------------------------------------------------------------------------


def port_choices(kept: KeptPlan, unit: str, key: str) -> tuple[PortChoice, ...]:
    """The ports and free pairs of a box for a unit, both by their tags in capitals, as if it were on none."""
    box = kept.box(key)
    row = next((each for each in kept.job.units if each.key == unit), None)
    if box is None or row is None:
        return ()
    present = next((port.name for port in box.ports if any(each is row for each in port.units)), "")
    without = plan_box(box.row, (claim.unit for claim in box.claims if claim.unit is not row))
    ports = {port.name: port for port in without.ports}
    left = {each.name: each.capacity for each in headrooms(without)}
    rank = {letter: number for number, letter in enumerate(box.letters)}
    names = sorted(ports.keys() | left.keys(), key=lambda name: (rank[name[0]], len(name)))
    pair = box.row.family.joined_limit
    unit_of_job = kept.job.capacity_unit
    return tuple(
        PortChoice(
            port=name,
            units=tuple(each.tag for each in ports[name].units) if name in ports else (),
            load=_load(ports.get(name), unit_of_job),
            limit=(ports[name].limit if name in ports else pair).text(unit_of_job),
            left=left[name].text(unit_of_job) if name in left else "",
            fits=row.capacity <= left[name] if row.capacity and name in left else None,
            is_present=name == present,
        )
        for name in names
    )


def _load(port: Port | None, unit: CapacityUnit) -> str:
    """A port's load as text; empty where it carries nothing, or its load is not known."""
    return port.load.text(unit) if port and port.load and port.units else ""
