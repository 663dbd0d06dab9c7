"""The schedule's page: sheets as understood, every problem at its cell, questions, boxes, units and facts.

What is typed or chosen goes to `workflows/edit.py` as changes; the page is then the job as it is on disk.
"""

from collections.abc import Callable, Coroutine, Iterable, Iterator, Mapping
from typing import Any

import msgspec
from starlette.concurrency import run_in_threadpool
from starlette.datastructures import FormData
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import JSONResponse, RedirectResponse, Response
from starlette.routing import Route

from tagmaker.desk.render import page, part
from tagmaker.desk.schedule_parts import schedule_parts
from tagmaker.desk.state import DeskJob, desk_of, job_of
from tagmaker.problems import Problem, has_errors
from tagmaker.workflows.edit import Edited, apply
from tagmaker.workflows.edit_kinds import Edit, PasteBoxes, RemoveBox, RemoveUnit
from tagmaker.workflows.job_tables import (
    BOX_KEYS,
    box_edits,
    box_lines,
    fact_cells,
    fact_edits,
    unit_edits,
    unit_keys,
    unit_lines,
)
from tagmaker.workflows.paste_preview import paste_preview
from tagmaker.workflows.question_of_columns import column_meanings
from tagmaker.workflows.questions import Understanding

__all__ = ["ROUTES"]

FIELDS_AT_MOST = 20_000  # of a form: 100 boxes or 500 units with all their fields
NOTHING = "Nothing was changed."
INCOMPLETE = "The page is not complete: load it again."

Fields = Mapping[str, list[str]]
"""A form's fields, each with all its values."""


def _schedule(request: Request) -> Response:
    return _shown(request, job_of(request))


def _shown(request: Request, job: DeskJob, refused: tuple[Problem, ...] = ()) -> Response:
    """The page; with what was refused at its top, where a form was sent without a script."""
    query = request.query_params
    understood = desk_of(request).understood.of(job.folder)
    parts = schedule_parts(
        job, understood, query.get("sheet", ""), query.get("from", ""), query.get("boxes", "")
    )
    values = msgspec.structs.asdict(parts)
    status = 409 if refused else 200
    return page(request, "schedule.html", status, job=job, refused=refused, **values)


# --- what a form asks for


def _answers(understood: Understanding, fields: Fields) -> Iterator[Edit]:
    """The answers to questions; a meaning from the list counts before the choice beside it."""
    for question in understood.questions:
        chosen = _first(fields, f"{question.id}.other") or _first(fields, question.id)
        yield from question.edits(chosen, fields.get(f"{question.id}.sheet", []))


def _meanings(understood: Understanding, fields: Fields) -> Iterator[Edit]:
    """Other meanings of columns that are understood, on any sheet."""
    questions = {
        question.id: question
        for source in understood.sources
        for number in range(len(source.sheets))
        for question in column_meanings(source, number)
    }
    for id_, question in questions.items():
        yield from question.edits(_first(fields, id_))


def _facts(understood: Understanding, fields: Fields) -> Iterator[Edit]:
    if understood.file:
        typed = {key: values[0] for key, values in fields.items()}
        yield from fact_edits(fact_cells(understood.file, understood.text), typed)


def _boxes(understood: Understanding, fields: Fields) -> Iterator[Edit]:
    """Cells of the table of boxes; `box.N.was` is the tag of the box that they are of, "" for a new one."""
    if removed := _first(fields, "remove"):
        yield RemoveBox(removed)
        return
    if understood.file:
        lines = box_lines(understood.file, understood.text, understood.sources)
        for at, typed in _rows(fields, "box", BOX_KEYS).items():
            yield from box_edits(lines, _first(fields, f"box.{at}.was"), typed)


def _units(understood: Understanding, fields: Fields) -> Iterator[Edit]:
    """Cells of the table of units; `unit.new` is the row of a new one."""
    lines = unit_lines(understood.file) if understood.file else ()
    removed = _first(fields, "remove")
    if removed.isdigit() and int(removed) < len(lines):
        line = lines[int(removed)]
        yield RemoveUnit(line.tag, line.where)
        return
    for at, typed in _rows(fields, "unit", unit_keys()).items():
        yield from unit_edits(lines, int(at) if at.isdigit() else None, typed)


def _pasted(_understood: Understanding, fields: Fields) -> Iterator[Edit]:
    if _first(fields, "block").strip():
        yield _block(fields)


def _block(fields: Fields) -> PasteBoxes:
    """The pasted block; `keys` say what its cells are where it has no headers."""
    keys = tuple(key for key in _first(fields, "keys").split(",") if key in BOX_KEYS)
    return PasteBoxes(_first(fields, "block"), keys or BOX_KEYS)


def _rows(fields: Fields, kind: str, keys: Iterable[str]) -> dict[str, dict[str, str]]:
    """The typed texts of each row, by its number in the form."""
    known = set(keys)
    rows: dict[str, dict[str, str]] = {}
    for name, values in fields.items():
        of, _, rest = name.partition(".")
        at, _, key = rest.partition(".")
        if of == kind and key in known:
            rows.setdefault(at, {})[key] = values[0]
    return rows


# --- changes


Handler = Callable[[Request], Coroutine[Any, Any, Response]]


def _with_form(answer: Callable[[Request, DeskJob, Fields], Response]) -> Handler:
    """A handler that takes a form's fields, and answers in a thread: what it calls takes its time."""

    async def handler(request: Request) -> Response:
        job = job_of(request)
        async with request.form(max_files=0, max_fields=FIELDS_AT_MOST) as form:
            fields = _fields(form)
        return await run_in_threadpool(answer, request, job, fields)

    return handler


def _change(asked: Callable[[Understanding, Fields], Iterable[Edit]]) -> Handler:
    """A handler that makes the changes of a form; it answers a script with JSON, a browser with the page."""

    def answer(request: Request, job: DeskJob, fields: Fields) -> Response:
        edits = list(asked(desk_of(request).understood.of(job.folder), fields))
        done = apply(job.folder, edits, _seen(fields)) if edits else Edited()
        said = f"Saved: {done.what}" if done.what else NOTHING
        if has_errors(done.problems):
            said = f"Not saved: {done.problems[0].message}"
        if "application/json" in request.headers.get("accept", ""):
            refused = part(request, "refused_changes.html", refused=done.problems)
            is_wrong = has_errors(done.problems)
            return JSONResponse(
                {"said": said, "is_wrong": is_wrong, "refused": refused, "is_saved": not is_wrong}
            )
        if done.problems:
            return _shown(request, job, done.problems)
        return RedirectResponse(f"{job.path}/schedule", status_code=303)

    return _with_form(answer)


def _preview(request: Request, job: DeskJob, fields: Fields) -> Response:
    """What a pasted block would do, before it is saved."""
    preview = paste_preview(job.folder, _block(fields))
    values: dict[str, Any] = {
        "preview": preview,
        "block": _first(fields, "block"),
        "keys": _first(fields, "keys"),
    }
    shown = part(request, "paste_preview.html", job=job, seen=_first(fields, "seen"), **values)
    if "application/json" in request.headers.get("accept", ""):
        return JSONResponse({"part": shown})
    return page(request, "paste_page.html", job=job, seen=_first(fields, "seen"), **values)


def _fields(form: FormData) -> dict[str, list[str]]:
    fields: dict[str, list[str]] = {}
    for name, value in form.multi_items():
        if isinstance(value, str):
            fields.setdefault(name, []).append(value)
    return fields


def _first(fields: Fields, name: str) -> str:
    return fields.get(name, [""])[0]


def _seen(fields: Fields) -> dict[str, str]:
    """The digests of the files that the page showed."""
    try:
        return msgspec.json.decode(_first(fields, "seen"), type=dict[str, str])
    except msgspec.MsgspecError as reason:
        raise HTTPException(400, INCOMPLETE) from reason


PAGE = "/job/{job}/schedule"
ROUTES = [
    Route(PAGE, _schedule),
    Route(f"{PAGE}/answers", _change(_answers), methods=["POST"]),
    Route(f"{PAGE}/columns", _change(_meanings), methods=["POST"]),
    Route(f"{PAGE}/facts", _change(_facts), methods=["POST"]),
    Route(f"{PAGE}/boxes", _change(_boxes), methods=["POST"]),
    Route(f"{PAGE}/units", _change(_units), methods=["POST"]),
    Route(f"{PAGE}/paste", _change(_pasted), methods=["POST"]),
    Route(f"{PAGE}/preview", _with_form(_preview), methods=["POST"]),
]
