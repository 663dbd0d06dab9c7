"""A job to its plan: claims, ports, boards, switches, systems, and every check.

Takes a job that was read; gives the plan and all problems, never an exception for a mistake in the job.
"""

from collections.abc import Iterable

from tagmaker.job.model import BoxRow, Job, UnitRow
from tagmaker.plan.boards import plan_boards
from tagmaker.plan.checks import check_box, check_job, check_size
from tagmaker.plan.model import BoxPlan, Plan
from tagmaker.plan.ports import claim, plan_ports
from tagmaker.plan.system_checks import check_systems
from tagmaker.plan.systems import plan_systems
from tagmaker.problems import Problem

__all__ = ["plan_box", "plan_job"]


def plan_job(job: Job) -> tuple[Plan, tuple[Problem, ...]]:
    """The plan of every box whose size its family has, with all that the checks found.

    A box of an unknown size is reported and left out: which boards it has cannot be known.
    """
    problems: list[Problem] = list(check_job(job))
    boxes: list[BoxPlan] = []
    units: dict[str, list[UnitRow]] = {}
    for unit in job.units:
        units.setdefault(unit.box.upper(), []).append(unit)
    for row in job.boxes:
        wrong_size = list(check_size(row))
        problems += wrong_size
        if wrong_size:
            continue
        box = plan_box(row, units.get(row.key, ()))
        problems += check_box(job, box)
        boxes.append(box)
    systems = plan_systems(job)
    problems += check_systems(job, systems)
    return Plan(job, tuple(boxes), systems), tuple(problems)


def plan_box(row: BoxRow, units: Iterable[UnitRow]) -> BoxPlan:
    """One box's ports and boards, from the rows of its units."""
    claims = tuple(claim(unit, row) for unit in units)
    ports = plan_ports(row, claims)
    return BoxPlan(row, plan_boards(row, ports), ports, claims)
