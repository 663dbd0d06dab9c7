"""What the sheets of a system show: what is wrong, what is open, and each part as it was found.

Takes the merged sheets of a system and its plan; gives one record, which `readback`, the desk and the
handover take. A system of which nothing was filled in is not seen: nothing of it is known.
"""

from collections.abc import Iterator, Sequence
from typing import Literal

from msgspec import Struct

from tagmaker.catalog.words import Words
from tagmaker.plan.systems import SystemPlan
from tagmaker.site.system.charge import ChargeFound, charge_found, charge_points
from tagmaker.site.system.filled import Filled
from tagmaker.site.system.gates import (
    GateFound,
    Grounds,
    InstrumentFound,
    gate_points,
    gates_found,
    instrument_points,
    instruments_found,
)
from tagmaker.site.system.points import Pen, Point
from tagmaker.site.system.pressure import HoldFound, hold_found, hold_points
from tagmaker.site.system.sections import SectionFound, section_points, sections_found
from tagmaker.site.system.steps import StepFound, step_points, steps_found, ticks_points
from tagmaker.site.system.vacuum import VacuumFound, is_short, vacuum_found, vacuum_points
from tagmaker.tags.system import has_charge
from tagmaker.tags.work_list import WorkItem

__all__ = ["SystemFindings", "SystemState", "system_findings"]

SystemState = Literal["complete", "differs", "open", "not seen"]
"""`complete`: all is done and right; `differs`: something is wrong; `open`: not all is done, or known."""


class SystemFindings(Struct, frozen=True):
    """A system as it came back: `wrong` are lines of the punch list, `open` all else that is left.

    `points` has both, part by part. `filled` is what was ticked and written.
    """

    system: str
    outdoor: str
    state: SystemState
    wrong: tuple[WorkItem, ...]
    open: tuple[str, ...]
    points: tuple[Point, ...]
    sections: tuple[SectionFound, ...]
    steps: tuple[StepFound, ...]
    hold: HoldFound
    vacuum: VacuumFound
    charge: ChargeFound
    gates: tuple[GateFound, ...]
    instruments: tuple[InstrumentFound, ...]
    filled: Filled


def system_findings(
    system: SystemPlan, filled: Filled, unwalked: Sequence[str] | None, words: Words
) -> SystemFindings:
    """What the sheets show; `unwalked` are boxes that are not as planned, None where no walk came back."""
    parts = ("test", "vacuum", "charge")
    test, vacuum, charge = (Pen(words, filled, words(f"system_found.{key}")) for key in parts)
    shut, gate = Pen(words, filled, words("system.shut")), Pen(words, filled, words("system.gates"))
    hold, evacuated, charged = hold_found(test), vacuum_found(vacuum, system), charge_found(charge, system)
    sections, gates = sections_found(shut, system), gates_found(gate)
    steps = steps_found(test, system)

    def points() -> Iterator[Point]:
        yield from section_points(shut, system, sections)
        yield from ticks_points(test)
        yield from step_points(test, system, steps)
        yield from hold_points(test, system, hold)
        yield from instrument_points(test)
        yield from vacuum_points(vacuum, system, evacuated)
        yield from charge_points(charge, system, charged)
        yield from gate_points(gate, system, gates, _grounds(hold, evacuated, charged, unwalked, system))

    found = tuple(points()) if filled.has_any else ()
    return SystemFindings(
        system=system.row.tag,
        outdoor=system.row.outdoor,
        state=_state(filled, found),
        wrong=tuple(_item(system, point) for point in found if point.is_wrong),
        open=tuple(_text(point) for point in found if not point.is_wrong)
        if filled.has_any
        else (words("system_found.not_seen"),),
        points=found,
        sections=sections,
        steps=steps,
        hold=hold,
        vacuum=evacuated,
        charge=charged,
        gates=gates,
        instruments=instruments_found(test),
        filled=filled,
    )


def _grounds(
    hold: HoldFound,
    vacuum: VacuumFound,
    charge: ChargeFound,
    unwalked: Sequence[str] | None,
    system: SystemPlan,
) -> Grounds:
    """What the gates rest on; without figures of a charge its amount is not asked for."""
    is_charged = charge.weighed is not None or not has_charge(system.row)
    is_evacuated = vacuum.verdict == "within" and not is_short(vacuum, system)
    return Grounds(hold.verdict == "holds", is_evacuated, is_charged, unwalked)


def _state(filled: Filled, points: Sequence[Point]) -> SystemState:
    if not filled.has_any:
        return "not seen"
    if any(point.is_wrong for point in points):
        return "differs"
    return "open" if points else "complete"


def _item(system: SystemPlan, point: Point) -> WorkItem:
    return WorkItem(system.row.tag, point.place, point.text, point.to_do, is_system=True)


def _text(point: Point) -> str:
    return f"{point.place}: {point.text}"
