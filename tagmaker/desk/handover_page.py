"""The handover record on the site's pages: made in the background, everything open first, its files."""

from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import FileResponse, RedirectResponse, Response
from starlette.routing import Route

from tagmaker.desk.render import page
from tagmaker.desk.state import desk_of, job_of
from tagmaker.workflows.handover_made import HANDOVER_JSON, HANDOVER_PDF

__all__ = ["ROUTES"]

POINTS_SHOWN = 200
FILES = {HANDOVER_PDF: "application/pdf", HANDOVER_JSON: "application/json"}


def _page(request: Request) -> Response:
    """The record that was made last, or that none was."""
    job = job_of(request)
    last = desk_of(request).handovers.of(job.id, job.folder)
    return page(
        request, "site_handover.html", job=job, last=last, made=last.made if last else None,
        shown=POINTS_SHOWN,
    )  # fmt: skip


def _make(request: Request) -> Response:
    """Begin a record of what came back."""
    job = job_of(request)
    desk_of(request).handovers.begin(job.id, job.folder)
    return RedirectResponse(f"{job.path}/site/handover", 303)


def _stop(request: Request) -> Response:
    """Stop the record that is being made."""
    job = job_of(request)
    last = desk_of(request).handovers.of(job.id, job.folder)
    if last:
        desk_of(request).works.stop(last.work.number)
    return RedirectResponse(f"{job.path}/site/handover", 303)


def _file(request: Request) -> Response:
    """The record as a PDF, to print or to download, or as JSON."""
    job, name = job_of(request), request.path_params["name"]
    last = desk_of(request).handovers.of(job.id, job.folder)
    if name not in FILES or last is None or last.made is None or not last.made.pages:
        raise HTTPException(404, "There is no such record: make it again.")
    is_shown = name == HANDOVER_PDF and "download" not in request.query_params
    return FileResponse(
        last.out / name,
        media_type=FILES[name],
        filename=name,
        content_disposition_type="inline" if is_shown else "attachment",
    )


ROUTES = [
    Route("/job/{job}/site/handover", _page),
    Route("/job/{job}/site/handover", _make, methods=["POST"]),
    Route("/job/{job}/site/handover/stop", _stop, methods=["POST"]),
    Route("/job/{job}/site/handover/{name}", _file),
]
