"""Switches as found, tapped on the picture of a box's boards: what the box believes, and what to move.

With a job a box is chosen by its tag, and is wished to be as planned; without one, by its family and size.
"""

from typing import Any

from msgspec import Struct
from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from tagmaker.catalog.words import load_words
from tagmaker.desk.asked import json_answer, taking
from tagmaker.desk.render import page, part
from tagmaker.desk.state import DeskJob, job_of
from tagmaker.workflows.explain import Explained, Question, explain
from tagmaker.workflows.explain_boards import boards_picture, families_known, tapped
from tagmaker.workflows.kept_plan import KeptPlan, kept_plan

__all__ = ["ROUTES"]


class _Tapped(Struct, frozen=True):
    """A box, and its switches that are ON: "left/1/3" is board, bank, switch. Texts as the form has them."""

    family: str = ""
    ports: str = ""
    box: str = ""
    wish: str = ""
    on: tuple[str, ...] = ()


def _page(request: Request) -> Response:
    """The form, and the answer to what was typed; the picture follows."""
    job = job_of(request) if "job" in request.path_params else None
    asked = {key: request.query_params.get(key, "") for key in ("box", "family", "ports", "wish", "found")}
    kept = kept_plan(job.folder) if job else None
    boxes = [box.row for box in kept.plan.boxes] if isinstance(kept, KeptPlan) else []
    of = request.query_params.get("of", "other" if asked["family"] else "job")
    is_other = not boxes or of == "other"
    if is_other:
        asked["box"] = ""
    elif not asked["box"]:
        asked["box"] = boxes[0].key
    is_asked = bool(asked["box"] or (asked["family"] and asked["ports"]))
    answer = _explained(job, asked, asked["found"] or "none") if is_asked else None
    return page(
        request,
        "explain.html",
        job=job,
        asked=asked,
        boxes=boxes,
        is_other=is_other,
        families=families_known(job.folder if job else None),
        **_values(answer),
    )


def _explained(job: DeskJob | None, asked: dict[str, str], found: str) -> Explained:
    return explain(_question(asked, found), job.folder if job else None)


def _question(asked: dict[str, str], found: str) -> Question:
    ports = asked["ports"].strip()
    number = int(ports) if ports.isascii() and ports.isdecimal() and len(ports) < 4 else 0
    return Question(asked["family"], number, found, asked["wish"], asked["box"].upper())


def _on(answer: Explained) -> str:
    """The switches that are ON, one word each."""
    if answer.box is None:
        return ""
    found = answer.box.found.items()
    return " ".join(
        f"{place}/{bank}/{no}" for place, on in found for (bank, no), is_on in on.items() if is_on
    )


def _values(answer: Explained | None) -> dict[str, Any]:
    """What the answer's part of the page shows."""
    if answer is None:
        return {"answer": None, "on": ""}
    words = load_words()
    is_still = answer.has_wish and not any(board.move for board in answer.boards)
    undecided = answer.undecided.items()
    return {
        "answer": answer,
        "on": _on(answer),
        "names": {board.place: words("placard.board", place=board.place) for board in answer.boards},
        "open_texts": {place: words("explain.open", ports=", ".join(each)) for place, each in undecided},
        "nothing": words("explain.nothing") if is_still else "",
        "caution": words("explain.caution"),
    }


def _try(request: Request, asked: _Tapped) -> Response:
    """The picture with these switches, and what the box believes then."""
    job = job_of(request) if "job" in request.path_params else None
    texts = {"family": asked.family, "ports": asked.ports, "box": asked.box, "wish": asked.wish}
    answer = explain(_question(texts, ""), job.folder if job else None, tapped(asked.on))
    return json_answer(
        {
            "picture": boards_picture(answer.box) if answer.box else None,
            "answer": part(request, "explain_answer.html", **_values(answer)),
        }
    )


ROUTES = [
    Route("/explain", _page),
    Route("/explain/try", taking(_Tapped, _try), methods=["POST"]),
    Route("/job/{job}/explain", _page),
    Route("/job/{job}/explain/try", taking(_Tapped, _try), methods=["POST"]),
]
