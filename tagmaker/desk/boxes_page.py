"""The boxes of a job: each drawn as its placard draws it, its problems beside it, units moved between ports.

Moves are kept in the page until they are kept or discarded: each request brings all of them, and the answer
says what they change. Nothing is written before `keep`, which goes through the one way of changing a job's
files.
"""

import json
from collections.abc import Iterable, Mapping
from typing import Any

from msgspec import Struct
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response
from starlette.routing import Route

from tagmaker.desk.asked import json_answer, taking
from tagmaker.desk.render import page, part
from tagmaker.desk.state import desk_of, job_of
from tagmaker.problems import Problem, Severity
from tagmaker.workflows.boxes import (
    BoxHead,
    PlacedProblem,
    box_heads,
    box_picture,
    placed_problems,
    port_choices,
)
from tagmaker.workflows.edit import apply
from tagmaker.workflows.edit_kinds import Move, MoveUnits
from tagmaker.workflows.installed import installed_set
from tagmaker.workflows.kept_plan import KeptPlan, kept_plan
from tagmaker.workflows.moves import Tried, try_moves
from tagmaker.workflows.moves_on_paper import moves_on_paper

__all__ = ["ROUTES", "anchor"]

PICTURES_AT_MOST = 24  # of one request
SHOWN_OF_PROBLEMS = 300


class _Moves(Struct, frozen=True):
    """All moves of the page; `boxes` are those to draw, by their keys."""

    moves: tuple[Move, ...] = ()
    boxes: tuple[str, ...] = ()


class _Choices(Struct, frozen=True):
    """For which unit, and on which box, ports are listed."""

    unit: str
    box: str
    moves: tuple[Move, ...] = ()


class _Keep(Struct, frozen=True):
    """Moves to write; `seen` are the digests of the files that the page showed."""

    moves: tuple[Move, ...]
    seen: Mapping[str, str]
    as_csv: bool = False


def anchor(problem: PlacedProblem) -> str:
    """The address of a problem's port, or box, on the page; empty for one of the whole job."""
    if not problem.boxes:
        return ""
    return f"#{problem.boxes[0]}-{problem.port}" if problem.port else f"#box-{problem.boxes[0]}"


def _page(request: Request) -> Response:
    """All boxes, or those of a level or system, or with problems; their pictures follow as they are seen."""
    job = job_of(request)
    kept = kept_plan(job.folder)
    if not isinstance(kept, KeptPlan):
        return page(request, "boxes_none.html", job=job, problems=kept)
    sought = request.query_params.get("find", "").strip().upper()
    if place := _found(kept, sought):
        return RedirectResponse(f"{job.path}/boxes{place}", 303)
    heads, problems = box_heads(kept), placed_problems(kept)
    asked = {key: request.query_params.get(key, "") for key in ("level", "system", "only")}
    shown = [head for head in heads if _is_shown(head, asked)]
    return page(
        request,
        "boxes.html",
        job=job,
        heads=heads,
        shown=shown,
        asked=asked,
        sought=sought,
        levels=sorted({head.level for head in heads if head.level}),
        systems=sorted({head.system for head in heads if head.system}),
        by_box=_by_box(problems),
        seen=json.dumps(dict(kept.digests)),
        **_listed(problems),
    )


def _found(kept: KeptPlan, sought: str) -> str:
    """The anchor of a box or unit by its tag in capitals; empty where there is none."""
    if sought in kept.boxes:
        return f"#box-{sought}"
    for box in kept.plan.boxes:
        for port in box.ports:
            if any(unit.key == sought for unit in port.units):
                return f"#{box.row.key}-{port.letters[0]}"
    units = (f"#box-{key}" for key, box in kept.boxes.items() if any(u.key == sought for u in box.units))
    return next(units, "")


def _is_shown(head: BoxHead, asked: Mapping[str, str]) -> bool:
    has_problems = bool(head.errors or head.warnings or not head.is_planned)
    return (
        asked["level"] in {"", head.level}
        and asked["system"] in {"", head.system}
        and (has_problems or not asked["only"])
    )


def _by_box(problems: Iterable[PlacedProblem]) -> dict[str, list[PlacedProblem]]:
    found: dict[str, list[PlacedProblem]] = {}
    for problem in problems:
        for key in problem.boxes:
            found.setdefault(key, []).append(problem)
    return found


def _listed(problems: Iterable[PlacedProblem], new: frozenset[str] = frozenset()) -> dict[str, Any]:
    """The values of the list of problems: those of the moves, by their messages `new`, then the gravest."""
    rank = list(Severity)
    ordered = sorted(problems, key=lambda each: (each.message not in new, rank.index(each.severity)))
    return {
        "problems": ordered[:SHOWN_OF_PROBLEMS],
        "more": max(0, len(ordered) - SHOWN_OF_PROBLEMS),
        "counts": {str(each): sum(one.severity is each for one in ordered) for each in rank},
        "new": new,
        "anchor": anchor,
    }


# --- what the script asks for ------------------------------------------------------------------------------


def _pictures(request: Request, asked: _Moves) -> Response:
    """Some boxes drawn, with the page's moves."""
    tried = try_moves(job_of(request).folder, asked.moves)
    if tried.after is None:
        return _refused(tried.wrong)
    return json_answer({"boxes": _drawn(request, tried.after, asked.boxes)})


def _drawn(request: Request, kept: KeptPlan, keys: Iterable[str]) -> dict[str, Any]:
    """Pictures of boxes with their problems as the page shows them."""
    problems = _by_box(placed_problems(kept))
    return {
        key: {
            "picture": box_picture(kept, key),
            "problems": part(request, "boxes_problems.html", problems=problems.get(key, [])),
        }
        for key in list(dict.fromkeys(keys))[:PICTURES_AT_MOST]
        if key in kept.boxes
    }


def _try(request: Request, asked: _Moves) -> Response:
    """What the moves change: boxes that differ, problems, switches, paper, and the work on site."""
    folder = job_of(request).folder
    kept = kept_plan(folder)
    if not isinstance(kept, KeptPlan):
        return _refused(kept)
    earlier, unread = installed_set(kept.job, desk_of(request).folder)
    tried = try_moves(folder, asked.moves, earlier.folder if earlier else None)
    if tried.after is None:
        return _refused(tried.wrong)
    problems = placed_problems(tried.after)
    new = placed_problems(tried.after, tried.new)
    draft = part(
        request, "boxes_draft.html", tried=tried, new=new, earlier=earlier, unread=unread, anchor=anchor
    )
    listed = _listed(problems, frozenset(each.message for each in new))
    return json_answer(
        {
            "units": [each.unit.upper() for each in tried.moves],
            "touched": tried.boxes,
            "draft": draft,
            "problems": part(request, "boxes_list.html", **listed),
            "boxes": _drawn(request, tried.after, (*tried.boxes, *asked.boxes)),
            "said": _summary(tried) if tried.moves else "",
        }
    )


def _summary(tried: Tried) -> str:
    """What a try found, in a line to be read aloud."""
    switches = sum(each.count for each in tried.switches)
    parts = [
        _count(len(tried.moves), "move", "not kept"),
        _count(switches, "switch", "to move"),
        _count(len(tried.new), "new problem"),
        _count(len(tried.gone), "problem", "gone"),
        _count(tried.tags, "tag", "to print"),
    ]
    return ", ".join(each for each in parts if each) + "."


def _count(number: int, name: str, what: str = "") -> str:
    """A number of things in words; empty for none."""
    many = name + ("es" if name.endswith("ch") else "s")
    return f"{number} {name if number == 1 else many} {what}".rstrip() if number else ""


def _choices(request: Request, asked: _Choices) -> Response:
    """The ports of a box to which a unit can be moved."""
    tried = try_moves(job_of(request).folder, asked.moves)
    if tried.after is None:
        return _refused(tried.wrong)
    return json_answer({"choices": port_choices(tried.after, asked.unit.upper(), asked.box.upper())})


def _paper(request: Request, asked: _Moves) -> Response:
    """Whether labels, placards and sheets of the boxes that differ fit, in words."""
    tried = try_moves(job_of(request).folder, asked.moves)
    if tried.after is None:
        return _refused(tried.wrong)
    found = moves_on_paper(tried.after)
    shown = part(
        request, "boxes_paper.html", found=found, new=placed_problems(tried.after, found.new), anchor=anchor
    )
    said = _count(len(found.new), "more problem", "on paper")
    return json_answer({"paper": shown, "said": f"{said}." if said else ""})


def _keep(request: Request, asked: _Keep) -> Response:
    """The moves written into the job's files; what a person must do where they cannot be."""
    job = job_of(request)
    done = apply(job.folder, [MoveUnits(asked.moves, asked.as_csv)], asked.seen)
    is_kept = bool(done.what)
    said = f"Kept: {done.what}." if is_kept else "Not kept. Your moves are still here."
    answer = part(request, "boxes_kept.html", problems=done.problems, cells=done.cells, is_kept=is_kept)
    return json_answer({"kept": is_kept, "answer": answer, "said": said, "is_wrong": not is_kept})


def _refused(problems: Iterable[Problem]) -> Response:
    """Moves that cannot be tried any more, as after a change of the files."""
    said = " ".join(f"{each.message}." for each in problems)
    return json_answer({"said": said, "problems": [each.outline for each in problems]}, 409)


ROUTES = [
    Route("/job/{job}/boxes", _page),
    Route("/job/{job}/boxes/pictures", taking(_Moves, _pictures), methods=["POST"]),
    Route("/job/{job}/boxes/try", taking(_Moves, _try), methods=["POST"]),
    Route("/job/{job}/boxes/choices", taking(_Choices, _choices), methods=["POST"]),
    Route("/job/{job}/boxes/paper", taking(_Moves, _paper), methods=["POST"]),
    Route("/job/{job}/boxes/keep", taking(_Keep, _keep), methods=["POST"]),
]
