"""The desk's application: every page's routes behind the door."""

import contextlib
from collections.abc import AsyncIterator

from starlette.applications import Starlette
from starlette.exceptions import HTTPException
from starlette.middleware import Middleware
from starlette.requests import Request
from starlette.responses import JSONResponse, Response, StreamingResponse
from starlette.routing import BaseRoute, Mount, Route
from starlette.staticfiles import StaticFiles

from tagmaker.desk import (
    boxes_page,
    explain_page,
    handover_page,
    history_page,
    manual_page,
    paper_page,
    phones_page,
    room_page,
    scan_page,
    schedule_page,
    set_page,
    site_page,
    start_page,
    stocks_page,
)
from tagmaker.desk.bounds import Bounds
from tagmaker.desk.door import Door, Key
from tagmaker.desk.phones.serve import Phones
from tagmaker.desk.render import page
from tagmaker.desk.state import Desk, desk_of, job_of
from tagmaker.typeset.fonts import BOLD, PLAIN
from tagmaker.typeset.web_fonts import web_font

__all__ = ["application"]

PAGES = (
    start_page, schedule_page, boxes_page, paper_page, stocks_page, set_page, site_page, scan_page,
    handover_page, phones_page, history_page, room_page, explain_page, manual_page,
)  # fmt: skip
"""The pages, each a module with its `ROUTES`."""
FACES = {"plain": PLAIN, "bold": BOLD}


def application(desk: Desk, key: Key, phones: Phones) -> Starlette:
    """All pages of a desk; nobody gets to one without the key. `phones` is its other door."""
    own = [
        Route("/events", _events),
        Route("/job/{job}/events", _job_events),
        Route("/work/{number:int}", _work),
        Route("/work/{number:int}/stop", _stop, methods=["POST"]),
        Route("/face/{name}.woff", _face),
        Mount("/static", StaticFiles(packages=[("tagmaker.desk", "static")])),
    ]
    routes: list[BaseRoute] = [*own, *(route for each in PAGES for route in each.ROUTES)]
    app = Starlette(
        routes=routes,
        middleware=[Middleware(Door, key=key), Middleware(Bounds)],
        exception_handlers={HTTPException: _refused, 500: _broken},
        lifespan=_lifespan,
    )
    app.state.desk, app.state.phones = desk, phones
    return app


@contextlib.asynccontextmanager
async def _lifespan(app: Starlette) -> AsyncIterator[None]:
    """Events are sent within the server's loop."""
    import asyncio  # noqa: PLC0415 — the loop is this server's

    app.state.desk.events.loop = asyncio.get_running_loop()
    yield


async def _events(request: Request) -> Response:
    return _stream(request, "")


async def _job_events(request: Request) -> Response:
    return _stream(request, job_of(request).id)


def _stream(request: Request, job: str) -> Response:
    return StreamingResponse(desk_of(request).events.stream(job), media_type="text/event-stream")


def _work(request: Request) -> Response:
    """A work as it is now, with its result once it is done."""
    work = desk_of(request).works.works.get(request.path_params["number"])
    if work is None:
        raise HTTPException(404, "No such work: the desk was started again since.")
    return JSONResponse(work.shown)


def _stop(request: Request) -> Response:
    desk_of(request).works.stop(request.path_params["number"])
    return JSONResponse({"said": "Stopping. What was there before stays."})


def _face(request: Request) -> Response:
    """The typeface of the labels, so that the pages' I, l and 1 stay apart too."""
    name = FACES.get(request.path_params["name"])
    if name is None:
        raise HTTPException(404, "No such typeface.")
    return Response(web_font(name), media_type="font/woff")


def _refused(request: Request, reason: Exception) -> Response:
    """An address that leads nowhere, or a request that cannot be done."""
    status = reason.status_code if isinstance(reason, HTTPException) else 500
    text = str(getattr(reason, "detail", ""))
    if "application/json" in request.headers.get("accept", ""):
        return JSONResponse({"said": text, "problems": []}, status)
    return page(request, "refused.html", status, text=text)


def _broken(request: Request, _reason: Exception) -> Response:
    """A bug: the traceback is in the terminal; the page says so, and nothing of the job was changed half."""
    text = "The program made a mistake. Your files are as they were; the terminal window shows what happened."
    return _refused(request, HTTPException(500, text))
