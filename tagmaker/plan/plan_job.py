"""A job to its plan: claims, ports, boards, switches, systems, and every check.

Takes a job that was read; gives the plan and all problems, never an exception for a mistake in the job.
"""

from collections.abc import Iterable, Mapping

from msgspec import Struct

from tagmaker.job.model import BoxRow, Job, UnitRow
from tagmaker.plan.boards import plan_boards
from tagmaker.plan.checks import check_box, check_job, check_size
from tagmaker.plan.model import BoxPlan, Plan
from tagmaker.plan.ports import claim, plan_ports
from tagmaker.plan.systems import plan_systems
from tagmaker.problems import Problem

__all__ = ["PlannedBox", "plan_box", "plan_boxes", "plan_job"]


class PlannedBox(Struct, frozen=True):
    """A box as planned from the rows of its units, with what the checks of this box alone found.

    `plan` is None for a box of an unknown size: which boards it has cannot be known.
    """

    units: tuple[UnitRow, ...]
    plan: BoxPlan | None
    problems: tuple[Problem, ...]


def plan_job(job: Job, boxes: Mapping[str, PlannedBox] | None = None) -> tuple[Plan, tuple[Problem, ...]]:
    """The plan of every box whose size its family has, with all that the checks found.

    `boxes` are those of `plan_boxes`, where they are known already.
    """
    boxes = plan_boxes(job) if boxes is None else boxes
    problems: list[Problem] = list(check_job(job))
    problems += [problem for each in boxes.values() for problem in each.problems]
    systems = plan_systems(job)
    if systems:
        from tagmaker.plan.system_checks import check_systems  # noqa: PLC0415 — most small jobs have none

        problems += check_systems(job, systems)
    plans = tuple(each.plan for each in boxes.values() if each.plan)
    return Plan(job, plans, systems), tuple(problems)


def plan_boxes(job: Job, known: Mapping[str, PlannedBox] | None = None) -> dict[str, PlannedBox]:
    """Every box by its key, in the job's order.

    `known` are those of a job that differs from this one in its units alone: a box with the same units is
    taken from them, as its plan and checks depend on no other box.
    """
    units: dict[str, list[UnitRow]] = {}
    for unit in job.units:
        units.setdefault(unit.box.upper(), []).append(unit)
    planned: dict[str, PlannedBox] = {}
    for row in job.boxes:
        own = tuple(units.get(row.key, ()))
        before = known.get(row.key) if known else None
        planned[row.key] = before if before and before.units == own else _planned(job, row, own)
    return planned


def _planned(job: Job, row: BoxRow, units: tuple[UnitRow, ...]) -> PlannedBox:
    wrong_size = tuple(check_size(row))
    if wrong_size:
        return PlannedBox(units, None, wrong_size)
    box = plan_box(row, units)
    return PlannedBox(units, box, tuple(check_box(job, box)))


def plan_box(row: BoxRow, units: Iterable[UnitRow]) -> BoxPlan:
    """One box's ports and boards, from the rows of its units."""
    claims = tuple(claim(unit, row) for unit in units)
    ports = plan_ports(row, claims)
    return BoxPlan(row, plan_boards(row, ports), ports, claims)
