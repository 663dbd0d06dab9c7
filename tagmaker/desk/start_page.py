"""The first page: the jobs below the desk's folder with their state, and three ways to begin a new one."""

import time
from collections.abc import Callable, Iterator
from pathlib import Path

from msgspec import Struct
from starlette.concurrency import run_in_threadpool
from starlette.datastructures import FormData
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import JSONResponse, RedirectResponse, Response
from starlette.routing import Route

from tagmaker.desk.render import page, part
from tagmaker.desk.state import Desk, DeskJob, desk_of, job_of
from tagmaker.desk.uploads import received_files
from tagmaker.problems import Problem, Where, error
from tagmaker.workflows.jobs import JobFound, JobState, job_found, job_state
from tagmaker.workflows.new_job import (
    EXAMPLES,
    NewJob,
    empty_job,
    family_choices,
    from_example,
    from_schedule,
)

__all__ = ["ROUTES"]

STATES_SECONDS = 0.4  # for planning jobs before the page is sent; the others' states are asked for by it
FILE = Where("file")


class Row(Struct, frozen=True):
    """A job in the list; its state is None where the page asks for it."""

    job: DeskJob
    found: JobFound
    state: JobState | None


def _start(request: Request) -> Response:
    return _shown(request, ())


def _shown(request: Request, refused: tuple[Problem, ...]) -> Response:
    """The page; with why a new job was refused, where a form was sent without a script."""
    values = {"rows": list(_rows(desk_of(request))), "families": family_choices(), "examples": EXAMPLES}
    return page(request, "start.html", 409 if refused else 200, refused=refused, **values)


def _rows(desk: Desk) -> Iterator[Row]:
    until = time.monotonic() + STATES_SECONDS
    for job in desk.jobs():
        found = job_found(job.folder, desk.folder)
        is_in_time = not found.problem and time.monotonic() < until
        yield Row(job, found, job_state(found, desk.folder) if is_in_time else None)


def _state(request: Request) -> Response:
    """The cells of one job's state, for a page that was sent without them."""
    job, desk = job_of(request), desk_of(request)
    found = job_found(job.folder, desk.folder)
    state = job_state(found, desk.folder)
    row = Row(job, found, state)
    return JSONResponse({"part": part(request, "start_state.html", row=row)})


# --- new jobs


async def _from_schedule(request: Request) -> Response:
    """A job of an uploaded schedule."""
    files = await received_files(request, "file")
    form = await request.form()
    name, family = _text(form, "name"), _text(form, "family")
    return await run_in_threadpool(_begun, request, lambda jobs: _of_file(jobs, name, family, files))


def _of_file(jobs: Path, name: str, family: str, files: list[Path]) -> NewJob:
    if len(files) != 1:
        hint = "an .xlsx or CSV file; more files are added in job.toml"
        return NewJob(None, (error("usage-wrong", "bring one schedule to begin a job", FILE, hint),))
    return from_schedule(jobs, name.strip() or files[0].stem, family, files[0])


async def _from_example(request: Request) -> Response:
    form = await request.form(max_files=0)
    name = _text(form, "example")
    return await run_in_threadpool(_begun, request, lambda jobs: from_example(jobs, name))


async def _empty(request: Request) -> Response:
    form = await request.form(max_files=0)
    name, family = _text(form, "name"), _text(form, "family")
    return await run_in_threadpool(_begun, request, lambda jobs: empty_job(jobs, name, family))


def _begun(request: Request, begin: Callable[[Path], NewJob]) -> Response:
    """The new job's page, or why there is none."""
    desk = desk_of(request)
    new = begin(desk.folder)
    is_script = "application/json" in request.headers.get("accept", "")
    if new.folder is None:
        if not is_script:
            return _shown(request, new.problems)
        refused = part(request, "refused_changes.html", refused=new.problems)
        said = f"Not begun: {new.problems[0].message}"
        return JSONResponse({"said": said, "is_wrong": True, "refused": refused, "go": ""})
    job = next((each for each in desk.jobs() if each.folder == new.folder), None)
    if job is None:
        raise HTTPException(404, f"The job was written to {new.folder}, too far down to be listed.")
    address = f"{job.path}/schedule"
    return JSONResponse({"go": address}) if is_script else RedirectResponse(address, status_code=303)


def _text(form: FormData, name: str) -> str:
    value = form.get(name)
    return value if isinstance(value, str) else ""


ROUTES = [
    Route("/", _start),
    Route("/job/{job}/state", _state),
    Route("/new/schedule/upload", _from_schedule, methods=["POST"]),
    Route("/new/example", _from_example, methods=["POST"]),
    Route("/new/empty", _empty, methods=["POST"]),
]
