"""The history of a job: what was changed, newest first, and one click to any place of it."""

from collections.abc import Mapping

import msgspec
from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import HTMLResponse, JSONResponse, RedirectResponse, Response
from starlette.routing import Route

from tagmaker.desk.render import page, part
from tagmaker.desk.state import job_of
from tagmaker.files.history import KEPT_BYTES_AT_MOST
from tagmaker.problems import Problem
from tagmaker.workflows.edit import go_to, history

__all__ = ["ROUTES"]

MB = 1_000_000
TABS = ("schedule", "boxes", "paper", "site", "room", "explain")
"""Pages of a job from which one goes back and forth, and to which one returns."""
DIGITS_AT_MOST = 9


def _history(request: Request) -> Response:
    return _shown(request, ())


def _shown(request: Request, problems: tuple[Problem, ...]) -> Response:
    job = job_of(request)
    return page(
        request, "history.html", 409 if problems else 200, job=job, past=history(job.folder),
        problems=problems, kept_mb=KEPT_BYTES_AT_MOST // MB,
    )  # fmt: skip


def _bar(request: Request) -> Response:
    """The bar with what can be undone now, for a page at the path `at`."""
    job = job_of(request)
    return HTMLResponse(part(request, "history_bar.html", job=job))


async def _go(request: Request) -> Response:
    """Go to a place of the history: `to` and `last` are numbers of changes, `at` the page to go back to."""
    is_json = request.headers.get("content-type", "").startswith("application/json")
    fields = await _json(request) if is_json else await request.form()
    given = {key: str(fields.get(key, "")) for key in ("to", "last", "at")}
    return await run_in_threadpool(_gone, request, given, is_json=is_json)


async def _json(request: Request) -> Mapping[str, object]:
    """The object of a request; what is none has no keys."""
    try:
        content = await request.json()
    except ValueError:
        return {}
    return content if isinstance(content, dict) else {}


def _gone(request: Request, given: Mapping[str, str], *, is_json: bool) -> Response:
    job = job_of(request)
    done = go_to(job.folder, _number(given["to"]), _number(given["last"]))
    if is_json:
        said = "; ".join(filter(None, (_sentence(done.what), *(each.message for each in done.problems))))
        outlines = [msgspec.to_builtins(each.outline) for each in done.problems]
        return JSONResponse({"said": said, "problems": outlines}, 409 if outlines else 200)
    if done.problems:
        return _shown(request, done.problems)
    tab = given["at"].removeprefix(f"{job.path}/").partition("/")[0]
    return RedirectResponse(f"{job.path}/{tab if tab in TABS else 'history'}", 303)


def _sentence(text: str) -> str:
    return text[:1].upper() + text[1:]


def _number(text: str) -> int:
    """A change's number; -1, which no change has, for anything else."""
    return int(text) if text.isascii() and text.isdigit() and len(text) <= DIGITS_AT_MOST else -1


ROUTES = [
    Route("/job/{job}/history", _history),
    Route("/job/{job}/history/bar", _bar),
    Route("/job/{job}/history/go", _go, methods=["POST"]),
]
