"""The stocks of a use, each tried on the job: choose one by its picture."""

import json
from typing import Any

from starlette.concurrency import run_in_threadpool
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response
from starlette.routing import Route

from tagmaker.catalog.stock import Use
from tagmaker.desk.paper_state import paper_state
from tagmaker.desk.render import page
from tagmaker.desk.state import DeskJob, desk_of, job_of
from tagmaker.desk.works import Work
from tagmaker.job.prints import PRINT_USES
from tagmaker.problems import Problem
from tagmaker.workflows.edit import apply, digests
from tagmaker.workflows.edit_kinds import SetPrint
from tagmaker.workflows.stock_choice import StockChoice

__all__ = ["ROUTES"]


def _use(request: Request) -> Use:
    """The use that an address names."""
    name = request.path_params["use"]
    use = next((each for each in PRINT_USES if each == name), None)
    if use is None:
        raise HTTPException(404, "No such use of a stock.")
    return use


def _stocks(request: Request) -> Response:
    """The stocks of a use, or the work that tries them."""
    return _shown(request, job_of(request), _use(request), ())


def _shown(
    request: Request, job: DeskJob, use: Use, problems: tuple[Problem, ...], status: int = 200
) -> Response:
    found = paper_state(desk_of(request)).choice(job, use)
    work, choice = (found, None) if isinstance(found, Work) else (None, found)
    seen = json.dumps(digests(job.folder))
    return page(
        request, "stocks.html", status, job=job, use=use, work=work, choice=choice, seen=seen,
        problems=problems,
    )  # fmt: skip


async def _choose(request: Request) -> Response:
    """Name a stock for a use in the job's file."""
    form = await request.form()
    given = {name: text for name, text in form.items() if isinstance(text, str)}
    return await run_in_threadpool(_chosen, request, given)


def _chosen(request: Request, given: dict[str, str]) -> Response:
    job, use = job_of(request), _use(request)
    edited = apply(job.folder, [SetPrint({use: given.get("key", "")})], _digests(given.get("seen", "")))
    if edited.what:
        return RedirectResponse(f"{job.path}/paper#stocks", 303)
    return _shown(request, job, use, edited.problems, 409 if edited.problems else 200)


def _digests(text: str) -> dict[str, str]:
    """The files' digests as the page carried them; none where they are not as it sent them."""
    try:
        found: Any = json.loads(text)
    except (ValueError, RecursionError):
        return {}
    return {str(name): str(digest) for name, digest in found.items()} if isinstance(found, dict) else {}


def _picture(request: Request) -> Response:
    """The picture of a stock that was tried."""
    choice = paper_state(desk_of(request)).choice(job_of(request), _use(request))
    at = request.path_params["at"]
    if not isinstance(choice, StockChoice) or at >= len(choice.stocks):
        raise HTTPException(404, "This picture is not kept any more: open the stocks again.")
    return Response(choice.stocks[at].picture, media_type="image/png")


ROUTES = [
    Route("/job/{job}/paper/stocks/{use}", _stocks),
    Route("/job/{job}/paper/stocks/{use}", _choose, methods=["POST"]),
    Route("/job/{job}/paper/stocks/{use}/picture/{at:int}", _picture),
]
