"""The landing check's page: a field for a hand scanner, each code answered at once, each terminal's state."""

import secrets
from typing import Any

from msgspec import Struct
from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from tagmaker.desk.asked import json_answer, taking
from tagmaker.desk.render import page, part
from tagmaker.desk.state import DeskJob, desk_of, job_of
from tagmaker.problems import Problem, visible
from tagmaker.site.scans.landing import PROVES, PortResult
from tagmaker.workflows.live_scan import LiveScan

__all__ = ["ROUTES"]

Boxes = dict[str, list[PortResult]]


class _Scanned(Struct, frozen=True):
    """A text as the scanner typed it, by which window."""

    window: str
    text: str


class _Window(Struct, frozen=True):
    """A window of the page."""

    window: str


def _page(request: Request) -> Response:
    """The page as a window opens it: its session is taken when its script asks for it."""
    return page(request, "scan.html", job=job_of(request), window=secrets.token_hex(8))


def _open(request: Request, asked: _Window) -> Response:
    return _opened(request, asked.window, is_new=False)


def _new(request: Request, asked: _Window) -> Response:
    """A session that nobody has begun: another person, or another visit."""
    return _opened(request, asked.window, is_new=True)


def _opened(request: Request, window: str, *, is_new: bool) -> Response:
    job = job_of(request)
    live = desk_of(request).live_scans
    with live.lock:
        scan = live.of(job.folder, window, is_new=is_new)
        return json_answer(_state(request, job, scan) | {"list": _list(request, scan)})


def _leave(request: Request, asked: _Window) -> Response:
    """The window is closed or reloaded."""
    live = desk_of(request).live_scans
    with live.lock:
        live.leave(job_of(request).folder, asked.window)
    return json_answer({})


def _scanned(request: Request, asked: _Scanned) -> Response:
    """Keep a text and answer it; where it cannot be kept on disk it counts for nothing."""
    job = job_of(request)
    live = desk_of(request).live_scans
    with live.lock:
        scan = live.of(job.folder, asked.window)
        before = scan.at
        answers = scan.put(asked.text)
        if isinstance(answers, Problem):
            said = f"Not kept, scan it again: {visible(answers.message)}"
            return json_answer({"said": said, "problems": [answers.outline]}, 409)
        touched = [at for at in (before, scan.at, *(answer.at for answer in answers)) if at]
        boxes = {at.box: _box(request, scan, at.box) for at in touched}
        shown = [part(request, "scan_answer.html", answer=answer) for answer in answers]
        return json_answer(
            _state(request, job, scan)
            | {"answers": shown, "boxes": boxes, "states": [a.state for a in answers]}
        )


def _state(request: Request, job: DeskJob, scan: LiveScan) -> dict[str, Any]:
    """What every answer has: the session, the open terminal, counts, what is to be said of the lines."""
    head = part(request, "scan_head.html", job=job, scan=scan, now=scan.at, counts=scan.counts)
    return {"session": scan.name, "head": head, "held": scan.held}


def _list(request: Request, scan: LiveScan) -> str:
    return part(request, "scan_boxes.html", boxes=_by_box(scan), now=scan.at, proves=PROVES)


def _box(request: Request, scan: LiveScan, box: str) -> str:
    return part(request, "scan_box.html", box=box, terminals=_by_box(scan).get(box, []), now=scan.at)


def _by_box(scan: LiveScan) -> Boxes:
    """The terminals of each box of which one was scanned."""
    found: Boxes = {}
    for each in scan.terminals:
        found.setdefault(each.box, []).append(each)
    return {
        box: terminals
        for box, terminals in found.items()
        if any(each.result != "not scanned" for each in terminals)
    }


ROUTES = [
    Route("/job/{job}/site/scan", _page),
    Route("/job/{job}/site/scan", taking(_Scanned, _scanned), methods=["POST"]),
    Route("/job/{job}/site/scan/open", taking(_Window, _open), methods=["POST"]),
    Route("/job/{job}/site/scan/new", taking(_Window, _new), methods=["POST"]),
    Route("/job/{job}/site/scan/leave", taking(_Window, _leave), methods=["POST"]),
]
