"""plan.json: the whole plan of a set, for other programs and for the next run."""

import json
from collections.abc import Iterable

from tagmaker import __version__
from tagmaker.plan.as_json import boxes_json
from tagmaker.plan.records import Plan
from tagmaker.problems import Problem
from tagmaker.tags.part import Part

__all__ = ["PLAN_FILE", "plan_json"]

PLAN_FILE = "plan.json"


def plan_json(
    plan: Plan, files: Iterable[str], problems: Iterable[Problem], part: Part, *, proof: bool
) -> bytes:
    """The plan with its job's head, the files of the set, and what a part of it is limited to."""
    job = plan.job
    content = {
        "program": f"tagmaker {__version__}",
        "job": {
            "name": job.name,
            "number": job.number,
            "revision": job.revision,
            "date": job.date.isoformat() if job.date else "",
            "status": "draft" if job.is_draft else "issued",
            "capacity_unit": job.capacity_unit,
        },
        "proof": proof,
        "partial": part.is_limited,
        "part": {"boxes": part.boxes, "ports": part.ports, "stage": part.stage, "kit": part.kit},
        "files": [*files, PLAN_FILE],
        "boxes": boxes_json(plan),
        "problems": [problem.as_json() for problem in problems],
    }
    return (json.dumps(content, indent=1, ensure_ascii=False) + "\n").encode(errors="backslashreplace")
