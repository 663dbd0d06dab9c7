"""Pages of sets: one made in the background, those on disk, their files to print or to download."""

import hashlib
import re
from collections.abc import Iterable
from pathlib import Path

from starlette.concurrency import run_in_threadpool
from starlette.datastructures import QueryParams
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import FileResponse, RedirectResponse, Response, StreamingResponse
from starlette.routing import Route

from tagmaker.catalog.words import load_words
from tagmaker.desk.paper_form import Asked, asked_of
from tagmaker.desk.paper_state import paper_state
from tagmaker.desk.render import page
from tagmaker.desk.state import Desk, DeskJob, desk_of, job_of
from tagmaker.files.plain import are_same, lies_within
from tagmaker.problems import Problem, Where, at_most_each, error, has_errors
from tagmaker.revisions.selection import Selection
from tagmaker.workflows.documents import title_of_file
from tagmaker.workflows.paper import Paper
from tagmaker.workflows.printed_set import make_set, printed_files, set_file, set_zip
from tagmaker.workflows.returned import RETURNED, returned_files
from tagmaker.workflows.sets import SetOnDisk, agreement, default_folder, sets_below

__all__ = ["ROUTES", "job_sets", "out_folder", "selection_of", "set_id", "weighing_files"]

ID_DIGITS = 12
SHOWN_INLINE = {".pdf": "application/pdf", ".png": "image/png"}
"""What a browser opens itself; all else is downloaded, and no file of a set runs as a page of the desk."""
PLAIN_NAME = re.compile(r"[^A-Za-z0-9._-]+")
FOLDER_HINT = "name a folder below the desk's, as in job-out"


# --- which sets there are


def set_id(desk: Desk, folder: Path) -> str:
    """A set's name in addresses: a digest of its path, so that no address leads elsewhere."""
    return hashlib.sha256(desk.below(folder).encode("utf-8", "surrogateescape")).hexdigest()[:ID_DIGITS]


def job_sets(desk: Desk, facts: Paper) -> list[SetOnDisk]:
    """The sets of a job below the desk's folder, newest first."""
    return sets_below(desk.folder, facts.name, facts.number) if facts.name else []


def out_folder(desk: Desk, job: DeskJob, asked: Asked) -> Path:
    """Where a set is written unless the user names a folder; a part has one of its own."""
    part = "-update" if asked.since and not asked.all else "-part" if asked.is_limited else ""
    return default_folder(desk.folder, job.folder, part)


def weighing_files(job: DeskJob) -> dict[str, Path]:
    """The forms and phones' files that came back, by their names below the folder: sheets may be in them."""
    files = [file for file in returned_files(job.folder) if file.suffix.lower() in {".pdf", ".json"}]
    return {file.relative_to(job.folder / RETURNED).as_posix(): file for file in files}


def selection_of(desk: Desk, job: DeskJob, facts: Paper, asked: Asked) -> Selection | Problem:
    """What is asked for, as a workflow takes it; a problem where its earlier set or a file is gone."""
    files = weighing_files(job) if asked.weighed_in else {}
    if gone := [name for name in asked.weighed_in if name not in files]:
        message = f"{gone[0]} is not among what came back any more"
        return error("return-unreadable", message, Where("--weighed-in"), "choose another file, or none")
    sets = {set_id(desk, each.folder): each.folder for each in job_sets(desk, facts)} if asked.since else {}
    if asked.since and asked.since not in sets:
        message = "the earlier set is not there any more"
        return error("plan-unreadable", message, Where("--since"), "choose another set, or none")
    return asked.selection(facts, sets.get(asked.since), tuple(files[name] for name in asked.weighed_in))


# --- one is made


async def _make(request: Request) -> Response:
    """Begin to make a set, or say why not."""
    form = await request.form()
    given = QueryParams([(name, text) for name, text in form.multi_items() if isinstance(text, str)])
    return await run_in_threadpool(_begin, request, given)


def _begin(request: Request, given: QueryParams) -> Response:
    job, desk = job_of(request), desk_of(request)
    asked, state = asked_of(given), paper_state(desk)
    selection = selection_of(desk, job, state.facts(job), asked)
    out = (desk.folder / given.get("out", "")).resolve()
    refused = selection if isinstance(selection, Problem) else _refused(desk, selection, out)
    if given.get("seen", "") != state.seen(job):
        message = "the job changed since its pages were shown"
        refused = error(
            "edit-conflict", message, Where(job.below), "look at the pages again, then make the set"
        )
    if refused is None:
        work = desk.works.start(job.id, "set", make_set, job.folder, out, selection)
        if work:
            return RedirectResponse(f"{job.path}/paper/work/{work.number}", 303)
        message = "a set of this job is being made already"
        refused = error("output-blocked", message, Where(job.below), "wait until it is done, or stop it")
    return page(request, "set_work.html", 409, job=job, work=None, made=None, asked=asked, problems=[refused])


def _refused(desk: Desk, selection: Selection, out: Path) -> Problem | None:
    """Why a set is not made into a folder, before anything is begun."""
    if not lies_within(out, desk.folder) or are_same(out, desk.folder):
        message = f"{out} is not below the desk's folder"
        return error("file-outside", message, Where(out.as_posix()), FOLDER_HINT)
    if selection.since and not selection.prints_all and are_same(selection.since, out):
        message = "the update would replace the set that it updates: the next one would find nothing changed"
        return error("output-whole", message, Where(out.as_posix()), "give the update a folder of its own")
    return None


def _work(request: Request) -> Response:
    """A set being made, or what became of it."""
    job, desk = job_of(request), desk_of(request)
    work = desk.works.works.get(request.path_params["number"])
    if work is None or (work.job, work.kind) != (job.id, "set"):
        raise HTTPException(404, "The desk was started again since: the sets on disk are listed under Paper.")
    made = work.result if work.state == "done" else None
    return page(
        request, "set_work.html", job=job, work=work, made=made, asked=None,
        set_id=set_id(desk, made.out) if made and made.files else "",
        problems=_errors_first(made.problems) if made else [],
    )  # fmt: skip


def _errors_first(problems: Iterable[Problem]) -> list[Problem]:
    """The problems with those first that stopped the set."""
    return sorted(at_most_each(problems), key=lambda each: not has_errors([each]))


def _stop(request: Request) -> Response:
    """Stop a set: what was in its folder before stays."""
    job = job_of(request)
    number = request.path_params["number"]
    desk_of(request).works.stop(number)
    return RedirectResponse(f"{job.path}/paper/work/{number}", 303)


# --- one on disk


def _set_of(request: Request) -> SetOnDisk:
    """The set that an address names; 404 where the job has none of that name."""
    desk, job = desk_of(request), job_of(request)
    sets = job_sets(desk, paper_state(desk).facts(job))
    found = next((each for each in sets if set_id(desk, each.folder) == request.path_params["set"]), None)
    if found is None:
        raise HTTPException(404, "No such set of this job: it was moved, removed or changed.")
    return found


def _set(request: Request) -> Response:
    """A set's files."""
    found, words = _set_of(request), load_words()
    files = [(each, title_of_file(each.name, words)) for each in printed_files(found.folder, found.head)]
    job = job_of(request)
    return page(
        request, "set.html", job=job, found=found, files=files, set=request.path_params["set"],
        agreement=agreement(job.folder, found.head),
        inline=tuple(SHOWN_INLINE), below=desk_of(request).below(found.folder),
    )  # fmt: skip


def _file(request: Request) -> Response:
    """A file of a set, to print or to download; nothing but what its plan.json lists."""
    found, name = _set_of(request), request.path_params["name"]
    path = set_file(found.folder, name)
    if isinstance(path, Problem):
        raise HTTPException(409, f"{path.message}: {path.hint}.")
    if path is None:
        raise HTTPException(404, "The set has no such file.")
    kind = SHOWN_INLINE.get(path.suffix)
    inline = kind is not None and "download" not in request.query_params
    return FileResponse(
        path, media_type=kind or "application/octet-stream", filename=_plain(path.name),
        content_disposition_type="inline" if inline else "attachment",
    )  # fmt: skip


def _zip(request: Request) -> Response:
    """All files of a set."""
    found = _set_of(request)
    pieces = set_zip(found.folder)
    if isinstance(pieces, Problem):
        raise HTTPException(409, f"{pieces.message}: {pieces.hint}.")
    headers = {"Content-Disposition": f'attachment; filename="{_plain(found.folder.name)}.zip"'}
    return StreamingResponse(pieces, media_type="application/zip", headers=headers)


def _plain(name: str) -> str:
    """A name that any system takes for a file."""
    return PLAIN_NAME.sub("_", name).strip("._") or "set"


ROUTES = [
    Route("/job/{job}/paper/make", _make, methods=["POST"]),
    Route("/job/{job}/paper/work/{number:int}", _work),
    Route("/job/{job}/paper/work/{number:int}/stop", _stop, methods=["POST"]),
    Route("/job/{job}/paper/set/{set}", _set),
    Route("/job/{job}/paper/set/{set}/zip", _zip),
    Route("/job/{job}/paper/set/{set}/file/{name:path}", _file),
]
