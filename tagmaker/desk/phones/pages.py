"""The pages of a phone that was let in: its name, what there is to do, walk, response test, check of tags.

A phone's job is that of its token: no address names one.
"""

import datetime as dt
import re
from typing import Any

from jinja2 import Environment, PackageLoader, StrictUndefined
from msgspec import Struct
from starlette.concurrency import run_in_threadpool
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import HTMLResponse, RedirectResponse, Response
from starlette.routing import Route

from tagmaker.desk.asked import json_answer, taking
from tagmaker.desk.door import HEADERS
from tagmaker.desk.phones.devices import NAME_AT_MOST, clean_name
from tagmaker.desk.phones.door import JOIN, device_of
from tagmaker.desk.phones.placard import PLACARD, PLACARD_ROUTES
from tagmaker.desk.phones.state import OpenJob, open_job_of, open_of
from tagmaker.problems import Problem, visible
from tagmaker.workflows.check_tags import CODES_AT_MOST, TagAnswer, Visit
from tagmaker.workflows.phone_marks import Change, Marks, Phone
from tagmaker.workflows.phone_system import phone_hold

__all__ = ["ROUTES", "show"]

LAST_SHOWN = 30
CODE = re.compile(r"[!-~]{1,100}", re.ASCII)
"""A code that a phone sends back with its next picture: a tag's has 58 characters at most."""
AGO = re.compile(r"[0-9]{1,10}", re.ASCII)
"""How many seconds ago, by the phone's own clock, a visit's oldest picture was taken."""
UNKNOWN = dt.datetime.min.replace(tzinfo=dt.UTC)
TOKEN_SECONDS = 90 * 24 * 3600
TEMPLATES = Environment(
    loader=PackageLoader("tagmaker.desk.phones"),
    autoescape=True,
    undefined=StrictUndefined,
    trim_blocks=True,
    lstrip_blocks=True,
)
TEMPLATES.filters["visible"] = visible


class _Sync(Struct, frozen=True):
    """What a phone entered since it last sent, and how far it knows what others entered."""

    changes: tuple[Change, ...] = ()
    epoch: str = ""
    version: int = 0


class _Readings(Struct, frozen=True):
    """What a phone shows as entered on a system's sheet, by fields whose names begin with `sheet`."""

    sheet: str
    fields: dict[str, bool | str]


def show(request: Request, template: str, /, status: int = 200, **values: Any) -> Response:
    """A page of a template; every value is shown as text."""
    is_encrypted = request.app.state.key.is_encrypted
    text = TEMPLATES.get_template(template).render(is_encrypted=is_encrypted, **values)
    return HTMLResponse(text.encode("utf-8", "replace"), status)


# --- letting in ---------------------------------------------------------------------------------------------


def _home(request: Request) -> Response:
    """What there is to do; for a phone that brings an invitation and is not in yet, its name is asked for."""
    device, invited = request.scope.get("phone"), request.scope.get("invited", "")
    open_ = open_of(request)
    if invited and (device is None or device.job != invited):
        given = request.query_params.get("key", "")
        return show(
            request, "join.html", title=open_.title(invited), key=given, name="", fault="", most=NAME_AT_MOST
        )
    if request.url.query:
        return RedirectResponse("/", status_code=303)
    device = device_of(request)
    return show(request, "home.html", title=open_.title(device.job), name=device.name, placard=PLACARD)


async def _join(request: Request) -> Response:
    """Let a phone in with its person's name; the cookie is all that it is known by."""
    async with request.form(max_files=0, max_fields=4) as form:
        key, given = str(form.get("key", "")), str(form.get("name", ""))
    return await run_in_threadpool(_joined, request, key, clean_name(given))


def _joined(request: Request, key: str, name: str) -> Response:
    open_ = open_of(request)
    job = open_.devices.job_of_invitation(key)
    if not job:
        open_.wrong.take(request.client.host if request.client else "")
        raise HTTPException(403, "This code is void: the door was closed. Scan the code that the desk shows.")
    if not name:
        fault = "Enter your name: others see whose marks these are."
        return show(
            request,
            "join.html",
            400,
            title=open_.title(job),
            key=key,
            name="",
            fault=fault,
            most=NAME_AT_MOST,
        )
    let_in = open_.devices.let_in(job, name)
    if let_in is None:
        raise HTTPException(403, "No more phones are let in. Close the door at the desk, and open it again.")
    open_.desk.events.send(job, "phones", [])
    answer = RedirectResponse("/", status_code=303)
    door = request.app.state.key
    answer.set_cookie(
        door.cookie, let_in[1], max_age=TOKEN_SECONDS, httponly=True, samesite="strict", path="/",
        secure=door.is_encrypted,
    )  # fmt: skip
    return answer


# --- walk and response test ---------------------------------------------------------------------------------


def _walk(request: Request) -> Response:
    """The walk's page; its own inline parts are named by their digests."""
    page = open_job_of(request).page
    policy = HEADERS["Content-Security-Policy"]
    policy = policy.replace("script-src 'self'", f"script-src 'self' {' '.join(page.scripts)}")
    policy = policy.replace("style-src 'self'", f"style-src 'self' {' '.join(page.styles)}")
    policy = policy.replace("font-src 'self'", "font-src 'self' data:")
    return Response(page.page, media_type="text/html", headers={"Content-Security-Policy": policy})


def _walk_sync(request: Request, asked: _Sync) -> Response:
    job = open_job_of(request)
    return _synced(request, job, job.walk, asked)


def _hold(request: Request, asked: _Readings) -> Response:
    """The verdict of a pressure test as it is entered: nothing is kept."""
    found = phone_hold(open_job_of(request).plan, asked.sheet, asked.fields)
    if found is None:
        raise HTTPException(404, "The job has no such system.")
    return json_answer(found)


def _readings_sync(request: Request, asked: _Sync) -> Response:
    job = open_job_of(request)
    return _synced(request, job, job.readings, asked)


def _synced(request: Request, job: OpenJob, marks: Marks, asked: _Sync) -> Response:
    """What was entered is on disk before it is answered."""
    device = device_of(request)
    found = marks.sync(Phone(device.id, device.name), asked.changes, asked.epoch, asked.version)
    if isinstance(found, Problem):
        return json_answer({"said": visible(found.message)}, 507)
    return json_answer({"plan": job.digest[:16], "name": device.name, "synced": found})


def _response(request: Request) -> Response:
    job = open_job_of(request)
    return show(request, "response.html", title=job.plan.job.title, name=device_of(request).name)


def _tests(request: Request) -> Response:
    """What there is to read, for the page's script."""
    job = open_job_of(request)
    return json_answer({"number": job.plan.job.number, "job": job.plan.job.name, "tests": job.tests})


# --- tags ---------------------------------------------------------------------------------------------------


def _check(request: Request) -> Response:
    device = device_of(request)
    open_ = open_of(request)
    return show(request, "check.html", title=open_.title(device.job), name=device.name)


async def _photo(request: Request) -> Response:
    """Read a photo's codes, add them to the visit's, and answer the terminal.

    The phone sends an age and no time: so it does not matter what its clock shows. The age is that at which
    it began to send, so the time is taken before the photo has come.
    """
    came, ago = dt.datetime.now(dt.UTC), request.headers.get("x-taken-ago", "")
    taken = came - dt.timedelta(seconds=int(ago)) if AGO.fullmatch(ago) else UNKNOWN
    given = request.headers.get("x-codes", "").split(" ")[:CODES_AT_MOST]
    before = tuple(each for each in given if CODE.fullmatch(each))
    photos, device = open_of(request).photos, device_of(request)
    if not photos.has_room(device.id):
        raise HTTPException(503, "The desk has too many photos to read: take it again in a while.")
    codes = await photos.codes(device.id, request.body())
    visit = Visit(Phone(device.id, device.name), taken, came, before)
    return await run_in_threadpool(_photographed, request, codes, visit)


def _photographed(request: Request, codes: tuple[str, ...] | None, visit: Visit) -> Response:
    device, open_ = device_of(request), open_of(request)
    check = open_.check(device.job)
    if check is None:
        raise HTTPException(404, "No such job: it was moved or removed.")
    if codes is None:
        raise HTTPException(415, "The desk cannot read this photo: send JPEG, PNG or WebP.")
    answer = check.check(visit, codes)
    if isinstance(answer, Problem):
        return json_answer({"said": visible(answer.message)}, 507)
    return json_answer(_shown(answer))


def _last(request: Request) -> Response:
    """The last answer of each terminal, whoever asked."""
    check = open_of(request).check(device_of(request).job)
    return json_answer([_shown(each) for each in check.last_ones(LAST_SHOWN)] if check else [])


def _shown(answer: TagAnswer) -> dict[str, Any]:
    """An answer as a page shows it; texts of others' codes show every character."""
    return {
        "state": answer.state, "place": visible(answer.place), "message": visible(answer.message),
        "first": visible(answer.first), "lines": [visible(each) for each in answer.lines],
        "codes": [each for each in answer.codes if CODE.fullmatch(each)],
        "who": answer.who, "at": answer.at, "ends": answer.ends,
    }  # fmt: skip


ROUTES = [
    Route("/", _home),
    Route(JOIN, _join, methods=["POST"]),
    Route("/walk", _walk),
    Route("/walk", taking(_Sync, _walk_sync), methods=["POST"]),
    Route("/walk/hold", taking(_Readings, _hold), methods=["POST"]),
    Route("/response", _response),
    Route("/response/tests", _tests),
    Route("/response", taking(_Sync, _readings_sync), methods=["POST"]),
    Route("/check", _check),
    Route("/check/last", _last),
    Route("/check/upload", _photo, methods=["POST"]),
    *PLACARD_ROUTES,
]
