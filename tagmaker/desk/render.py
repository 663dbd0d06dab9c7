"""A page of a template and its values: every value is shown as text, a missing one is a bug.

Templates hold the words of the pages; they decide nothing but what is shown.
"""

import datetime as dt
import functools
from typing import Any

from jinja2 import Environment, PackageLoader, StrictUndefined
from starlette.requests import Request
from starlette.responses import HTMLResponse, Response

from tagmaker.desk.state import Desk, DeskJob, desk_of
from tagmaker.problems import Problem, visible
from tagmaker.workflows.edit import History, history
from tagmaker.workflows.jobs import job_found

__all__ = ["page", "part"]


@functools.cache
def _templates() -> Environment:
    """The templates; names and texts of a job never become markup (autoescape)."""
    templates = Environment(
        loader=PackageLoader("tagmaker.desk"),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    templates.filters["visible"] = visible
    templates.filters["place"] = _place
    templates.filters["local_time"] = _local_time
    templates.globals["history_of"] = _history
    templates.globals["title_of"] = _title
    return templates


def _local_time(when: str) -> str:
    """A time of UTC, ISO 8601, by this computer's clock."""
    return dt.datetime.fromisoformat(when).astimezone().strftime("%Y-%m-%d %H:%M")


def _history(job: DeskJob) -> History:
    """What the head of a job's pages offers to undo and to make again."""
    return history(job.folder)


def _title(job: DeskJob, desk: Desk) -> str:
    """A job's number and name, as the head of each of its pages has them."""
    found = job_found(job.folder, desk.folder)
    return f"{found.number} {found.name}".strip()


def _place(problem: Problem) -> str:
    """Where a problem is, as the command line writes it."""
    return str(problem.where)


def page(request: Request, template: str, /, status: int = 200, **values: Any) -> Response:
    """A whole page. `job` among the values is the `DeskJob` that it is about; without it, none."""
    return HTMLResponse(part(request, template, **values), status)


def part(request: Request, template: str, /, **values: Any) -> str:
    """The text of a template: a page, or a piece of one that a script puts in place.

    A sign that is no character, of a folder's name in another encoding, is shown as a question mark.
    """
    job: DeskJob | None = values.pop("job", None)
    desk = desk_of(request)
    at = request.url.path
    text = _templates().get_template(template).render(job=job, desk=desk, at=at, **values)
    return text.encode("utf-8", "replace").decode("utf-8")
