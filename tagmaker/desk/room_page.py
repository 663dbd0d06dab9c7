"""Where one more unit can go: asked for by its capacity, listed nearest first, shown on the boxes."""

from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from tagmaker.desk.render import page
from tagmaker.desk.state import desk_of, job_of
from tagmaker.desk.works import Work
from tagmaker.problems import Problem, Where, error
from tagmaker.units import Unreadable, read_capacity
from tagmaker.workflows.kept_plan import KeptPlan, kept_plan
from tagmaker.workflows.room import RoomFor
from tagmaker.workflows.room_shown import RoomShown

__all__ = ["ROUTES"]


def _page(request: Request) -> Response:
    """The form, and the places for what was asked; of a large job first the work that looks for them."""
    job = job_of(request)
    asked = {key: request.query_params.get(key, "").strip() for key in ("capacity", "near", "system")}
    kept = kept_plan(job.folder)
    rows = kept.job.boxes if isinstance(kept, KeptPlan) else ()
    wrong: list[Problem] = []
    found: RoomShown | None = None
    work: Work | None = None
    if asked["capacity"]:
        capacity = read_capacity(asked["capacity"])
        if isinstance(capacity, Unreadable):
            wrong.append(error(capacity.code, capacity.message, Where("capacity"), capacity.hint))
        else:
            wanted = RoomFor(capacity, (), asked["near"].upper(), asked["system"].upper())
            answer = desk_of(request).rooms.of(job.id, job.folder, wanted, len(rows))
            work = answer if isinstance(answer, Work) else None
            found = answer.result if isinstance(answer, Work) else answer
    return page(
        request,
        "room.html",
        job=job,
        asked=asked,
        boxes=rows,
        systems=sorted({row.system for row in rows if row.system}),
        wrong=wrong,
        found=found,
        work=work if found is None else None,
    )


ROUTES = [Route("/job/{job}/room", _page)]
