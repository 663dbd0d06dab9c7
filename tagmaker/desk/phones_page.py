"""The switch of the phones' door on a job's site page: its code, who is in, and one click to close it."""

import datetime as dt

from starlette.requests import Request
from starlette.responses import RedirectResponse, Response
from starlette.routing import Route

from tagmaker.desk.phones.serve import Phones
from tagmaker.desk.render import page
from tagmaker.desk.state import job_of
from tagmaker.problems import Problem
from tagmaker.symbols.encode import QR_QUIET, Symbol, qr

__all__ = ["ROUTES"]


def phones_of(request: Request) -> Phones:
    """The phones' door of the desk that a request came to."""
    found: Phones = request.app.state.phones
    return found


def _page(request: Request) -> Response:
    return _shown(request, None)


def _shown(request: Request, problem: Problem | None) -> Response:
    job, phones = job_of(request), phones_of(request)
    address = phones.address(job.id)
    return page(
        request,
        "site_phones.html",
        409 if problem else 200,
        job=job,
        address=address,
        code=_code(qr(address)) if address else None,
        who=[(device.name, _local(device.since), _ago(seen)) for device, seen in phones.who(job.id)],
        is_encrypted=phones.is_encrypted,
        problem=problem,
    )


def _code(symbol: Symbol) -> dict[str, object]:
    """A code for a screen: its side in cells with the quiet zone, and one path of its dark cells."""
    cells = "".join(
        f"M{column + QR_QUIET} {row + QR_QUIET}h{wide}v{high}h-{wide}z"
        for column, row, wide, high in symbol.runs
    )
    return {"side": symbol.columns + 2 * QR_QUIET, "cells": cells}


def _local(when: str) -> str:
    return dt.datetime.fromisoformat(when).astimezone().strftime("%Y-%m-%d %H:%M")


def _ago(seen: float) -> str:
    """When a phone was last here, by this computer's clock; "" since the desk was started."""
    return dt.datetime.fromtimestamp(seen).astimezone().strftime("%H:%M:%S") if seen else ""


def _open(request: Request) -> Response:
    return _clicked(request, phones_of(request).let_in(job_of(request).id))


def _close(request: Request) -> Response:
    return _clicked(request, phones_of(request).close(job_of(request).id))


def _clicked(request: Request, problem: Problem | None) -> Response:
    """The page again; a form without a script is sent on, so that a reload does nothing twice."""
    if problem:
        return _shown(request, problem)
    return RedirectResponse(f"{job_of(request).path}/site/phones", status_code=303)


ROUTES = [
    Route("/job/{job}/site/phones", _page),
    Route("/job/{job}/site/phones/open", _open, methods=["POST"]),
    Route("/job/{job}/site/phones/close", _close, methods=["POST"]),
]
