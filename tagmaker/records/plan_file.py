"""plan.json: the whole plan of a set, for other programs and for the next run."""

import json
from collections.abc import Iterable, Sequence

from tagmaker import __version__
from tagmaker.plan.as_json import boxes_json
from tagmaker.plan.records import Plan
from tagmaker.problems import Problem

__all__ = ["PLAN_FILE", "plan_json"]

PLAN_FILE = "plan.json"


def plan_json(plan: Plan, files: Iterable[str], problems: Iterable[Problem], only: Sequence[str]) -> bytes:
    """The plan with its job's head, the files of the set, and the boxes that a part is limited to."""
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
        "partial": bool(only),
        "only_boxes": list(only),
        "files": [*files, PLAN_FILE],
        "boxes": boxes_json(plan),
        "problems": [problem.as_json() for problem in problems],
    }
    return (json.dumps(content, indent=1, ensure_ascii=False) + "\n").encode(errors="backslashreplace")
