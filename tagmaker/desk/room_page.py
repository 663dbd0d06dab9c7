"""Where one more unit can go: asked for by its capacity, listed nearest first, shown on the boxes."""

import json
from collections.abc import Iterable
from typing import Any

from msgspec import Struct
from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from tagmaker.catalog.words import Words, load_words
from tagmaker.desk.render import page
from tagmaker.desk.state import job_of
from tagmaker.job.model import Job
from tagmaker.plan.headroom import Candidate, Move, moves
from tagmaker.problems import Problem, Where, error
from tagmaker.units import Unreadable, read_capacity
from tagmaker.workflows.kept_plan import KeptPlan, kept_plan
from tagmaker.workflows.room import PlacesFound, RoomFor, new_tags, room

__all__ = ["ROUTES"]

PICTURES = 6  # boxes that are drawn
LISTED = 60  # places of a kind


class _Place(Struct, frozen=True):
    """A row of the list; loads are with the unit on the port."""

    key: str
    box: str
    where: str
    port: str
    letter: str
    load: str
    limit: str
    left: str
    switches: tuple[Move, ...]
    tags: tuple[str, ...]
    questions: tuple[str, ...]


def _page(request: Request) -> Response:
    """The form, and the places for what was asked."""
    job = job_of(request)
    asked = {key: request.query_params.get(key, "").strip() for key in ("capacity", "near", "system")}
    kept = kept_plan(job.folder)
    rows = kept.job.boxes if isinstance(kept, KeptPlan) else ()
    wrong: list[Problem] = []
    found: PlacesFound | None = None
    if asked["capacity"]:
        capacity = read_capacity(asked["capacity"])
        if isinstance(capacity, Unreadable):
            wrong.append(error(capacity.code, capacity.message, Where("capacity"), capacity.hint))
        else:
            wanted = RoomFor(capacity, (), asked["near"].upper(), asked["system"].upper())
            found = room(job.folder, wanted)
    return page(
        request,
        "room.html",
        job=job,
        asked=asked,
        boxes=rows,
        systems=sorted({row.system for row in rows if row.system}),
        wrong=wrong,
        **_found(found),
    )


def _found(found: PlacesFound | None) -> dict[str, Any]:
    """The values of what was found."""
    if found is None or found.job is None:
        return {"found": found, "free": [], "shared": [], "places": "{}", "most": [], "caution": ""}
    words, job = load_words(), found.job
    free, shared = (
        [_place(job, each, words) for each in group[:LISTED]] for group in (found.free, found.shared)
    )
    return {
        "found": found,
        "free": free,
        "shared": shared,
        "places": json.dumps(_by_box((*free, *shared))),
        "most": [(each.box.tag, each.name, each.capacity.text(job.capacity_unit)) for each in found.most],
        "caution": words("explain.caution"),
    }


def _place(job: Job, place: Candidate, words: Words) -> _Place:
    row, port, unit = place.after.row, place.port, job.capacity_unit
    return _Place(
        key=row.key,
        box=row.tag,
        where=row.place,
        port=port.name,
        letter=port.letters[0],
        load=port.load.number(unit) if port.load else "?",
        limit=port.limit.text(unit),
        left=place.headroom.text(unit),
        switches=moves(place.before, place.after),
        tags=new_tags(job, place, words),
        questions=tuple(each.message for each in place.questions),
    )


def _by_box(places: Iterable[_Place]) -> dict[str, list[str]]:
    """The ports of the first boxes, for their pictures."""
    found: dict[str, list[str]] = {}
    for each in places:
        if each.key in found or len(found) < PICTURES:
            found.setdefault(each.key, []).append(each.port)
    return found


ROUTES = [Route("/job/{job}/room", _page)]
