"""The site's page: files that came back, what they say box by box, the punch list, what changed since a set.

Files are dropped and kept in the job's own folder; the reading is a work in a process of its own.
"""

import datetime as dt
import re
from collections.abc import Mapping
from pathlib import Path
from typing import Any, Literal
from urllib.parse import quote, unquote

from starlette.concurrency import run_in_threadpool
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import FileResponse, JSONResponse, RedirectResponse, Response
from starlette.routing import Route

from tagmaker.desk.render import page
from tagmaker.desk.set_page import set_id
from tagmaker.desk.site_reads import SiteRead
from tagmaker.desk.state import DeskJob, desk_of, job_of
from tagmaker.desk.uploads import received_files
from tagmaker.problems import Problem, visible
from tagmaker.site.paper.typed import VALUE_AT_MOST, WHO_AT_MOST
from tagmaker.workflows.changes import changes
from tagmaker.workflows.jobs import job_found
from tagmaker.workflows.returned import Keeping, keep_returned
from tagmaker.workflows.returned_read import PUNCH_LIST, READBACK_JSON, BoxBack, ReturnedOutline
from tagmaker.workflows.sets import SetOnDisk, sets_below
from tagmaker.workflows.typed import Place, keep_typed, one_line, typed_at

__all__ = ["ROUTES"]

BOXES_A_PAGE = 50
UNKNOWN_SHOWN = 12
"""Lines of what was not seen that a box shows before the rest is counted."""
Wanted = Literal["", "differs", "not seen", "as planned", "open"]
WANTED: tuple[Wanted, ...] = ("", "differs", "not seen", "as planned", "open")
TYPED_FIELDS_AT_MOST = 8_000
AT = re.compile(r"[A-Za-z0-9-]{1,60}")
DOWNLOADS = {PUNCH_LIST: "application/pdf", READBACK_JSON: "application/json"}


def _page(request: Request) -> Response:
    return _shown(request, None)


def _shown(request: Request, problem: Problem | None) -> Response:
    """All that came back; a part of the boxes where there are many."""
    job = job_of(request)
    read = _read(request, job)
    asked = request.query_params.get("only", "")
    wanted: Wanted = next((each for each in WANTED if each == asked), "")
    boxes = [each for each in read.result.boxes if _is_wanted(each, wanted)] if read.result else []
    first = _first(request, len(boxes))
    return page(
        request,
        "site.html",
        409 if problem else 200,
        job=job,
        read=read,
        wanted=wanted,
        boxes=boxes[first : first + BOXES_A_PAGE],
        windows=range(0, len(boxes), BOXES_A_PAGE),
        first=first,
        shown=BOXES_A_PAGE,
        found=len(boxes),
        unknown_shown=UNKNOWN_SHOWN,
        open_count=_open_count(read.result),
        typed=typed_at(job.folder),
        who=unquote(request.cookies.get(_who(request), ""))[:WHO_AT_MOST],
        refused=problem,
        value_most=VALUE_AT_MOST,
        who_most=WHO_AT_MOST,
    )


def _read(request: Request, job: DeskJob) -> SiteRead:
    return desk_of(request).site_reads.of(job.id, job.folder)


def _is_wanted(box: BoxBack, wanted: Wanted) -> bool:
    if wanted == "open":
        return bool(box.readback.unproved or box.readback.unsigned)
    return wanted in {"", box.readback.result}


def _open_count(result: ReturnedOutline | None) -> int:
    return sum(_is_wanted(box, "open") for box in result.boxes) if result else 0


def _first(request: Request, count: int) -> int:
    """The first box to show, of the page's query; 0 for anything that is no number of a box."""
    asked = request.query_params.get("from", "")
    number = int(asked) if asked.isdecimal() and len(asked) < 9 else 0
    return number - number % BOXES_A_PAGE if number < count else 0


async def _upload(request: Request) -> Response:
    """Keep files that were dropped; the page reads them once they are there."""
    job = job_of(request)
    files = await received_files(request)
    keeping = await run_in_threadpool(_kept, request, job, files)
    said = _said(keeping)
    if "application/json" in request.headers.get("accept", ""):
        problems = [{"message": each.message, "hint": each.hint} for each in keeping.problems]
        return JSONResponse({"said": said, "problems": problems}, 409 if keeping.problems else 200)
    return RedirectResponse(f"{job.path}/site", status_code=303)


def _again(request: Request) -> Response:
    """Read what came back again, after a reading that failed."""
    job = job_of(request)
    desk_of(request).site_reads.again(job.id)
    return RedirectResponse(f"{job.path}/site", status_code=303)


def _kept(request: Request, job: DeskJob, files: list[Path]) -> Keeping:
    with desk_of(request).site_reads.keeping:  # one upload at a time: each looks at what is there
        return keep_returned(files, job.folder)


def _said(keeping: Keeping) -> str:
    """What became of the files, in a sentence each."""
    if keeping.problems:
        return "; ".join(visible(each.message) for each in keeping.problems)
    new = [each for each in keeping.kept if each.is_new]
    said = (
        [f"{len(new)} {'file' if len(new) == 1 else 'files'} kept in the folder “returned”."] if new else []
    )
    if known := len(keeping.kept) - len(new):
        said.append(f"{known} {'file was' if known == 1 else 'files were'} there already.")
    said += [f"{each.came_as} is kept as {each.name}." for each in new if each.name != each.came_as][:3]
    return visible(" ".join(said)) if keeping.kept else "No file was sent."


# --- what the reading wrote ---------------------------------------------------------------------------------


def _download(request: Request) -> Response:
    """The punch list as `readback -o` writes it, or the JSON of `readback`."""
    name = request.path_params["name"]
    read = _read(request, job_of(request))
    if name not in DOWNLOADS or read.out is None:
        raise HTTPException(404, "There is no punch list: nothing was read yet.")
    return FileResponse(read.out / name, media_type=DOWNLOADS[name])


def _cut(request: Request) -> Response:
    """A picture of what is unclear or written by hand on a sheet."""
    name = request.path_params["name"]
    read = _read(request, job_of(request))
    cuts = {each.name for each in read.result.cuts} if read.result else set()
    if name not in cuts or read.out is None:
        raise HTTPException(404, "There is no such picture: the files were read again since.")
    return FileResponse(read.out / name, media_type="image/png")


# --- what is typed beside pictures --------------------------------------------------------------------------


async def _typed(request: Request) -> Response:
    """Keep what was typed beside pictures of a box, a system or a test; the page shows it in its place."""
    async with request.form(max_files=0, max_fields=TYPED_FIELDS_AT_MOST) as form:
        given = {name: str(value) for name, value in form.multi_items()}
    return await run_in_threadpool(_keep_typed, request, given)


def _keep_typed(request: Request, given: Mapping[str, str]) -> Response:
    """Values that differ from what the page showed: nobody's newer one is replaced by an old one."""
    job, desk = job_of(request), desk_of(request)
    changed = {
        _place(name): value
        for name, value in given.items()
        if name.startswith("now ") and value != given.get(f"was {name.removeprefix('now ')}", "")
    }
    by = given.get("by", "")
    with desk.site_reads.keeping:
        problem = keep_typed(job.folder, by, changed, dt.datetime.now(dt.UTC))
    if problem:
        return _shown(request, problem)
    at = given.get("at", "")
    answer = RedirectResponse(f"{job.path}/site{f'#{at}' if AT.fullmatch(at) else ''}", status_code=303)
    name = one_line(by, WHO_AT_MOST)
    answer.set_cookie(_who(request), quote(name), httponly=True, samesite="strict", path=f"{job.path}/site")
    return answer


def _who(request: Request) -> str:
    """The cookie that keeps the name of whoever types; cookies do not separate ports (RFC 6265, 8.5)."""
    return f"typist-{request.url.port}"


def _place(name: str) -> Place:
    """The picture and field of a form field `now DIGEST FIELD`."""
    _, picture, field = (*name.split(" ", 2), "", "")[:3]
    return picture, field


# --- what changed since -------------------------------------------------------------------------------------


def _changes(request: Request) -> Response:
    """What is to be done on site since a set was issued, as `changes` lists it."""
    job = job_of(request)
    sets = _sets(request, job)
    since = request.query_params.get("since", "")
    chosen = sets.get(since)
    compared = changes(chosen.folder, job.folder) if chosen else None
    values: Mapping[str, Any] = {
        "sets": sets,
        "since": since,
        "chosen": chosen,
        "problems": compared.problems if compared else (),
        "changes": compared.outline if compared else None,
    }
    return page(request, "site_changes.html", job=job, **values)


def _sets(request: Request, job: DeskJob) -> dict[str, SetOnDisk]:
    """The job's sets by an id that names no path, newest first."""
    desk = desk_of(request)
    found = job_found(job.folder, desk.folder)
    return {set_id(desk, each.folder): each for each in sets_below(desk.folder, found.name, found.number)}


ROUTES = [
    Route("/job/{job}/site", _page),
    Route("/job/{job}/site/upload", _upload, methods=["POST"]),
    Route("/job/{job}/site/again", _again, methods=["POST"]),
    Route("/job/{job}/site/typed", _typed, methods=["POST"]),
    Route("/job/{job}/site/changes", _changes),
    Route("/job/{job}/site/file/{name}", _download),
    Route("/job/{job}/site/cut/{name}", _cut),
]
