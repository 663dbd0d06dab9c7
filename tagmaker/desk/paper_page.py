"""The page "Paper": stocks, what to print, every page as it prints, and the sets that were made."""

from pathlib import Path
from typing import Any

from msgspec import Struct
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from tagmaker.desk.paper_form import Asked, asked_of
from tagmaker.desk.paper_state import paper_state
from tagmaker.desk.render import page
from tagmaker.desk.set_page import job_sets, out_folder, selection_of, set_id, weighing_files
from tagmaker.desk.state import DeskJob, desk_of, job_of
from tagmaker.desk.works import Work
from tagmaker.problems import Problem, at_most_each, has_errors
from tagmaker.workflows.paper import Paper
from tagmaker.workflows.preview import PageView, PreviewDocument, page_picture, page_view

__all__ = ["ROUTES"]

LOW_MM = 90.0  # pages that are lower, as labels of rolls are, are shown several at a time
LOW_SHOWN = 12


class Shown(Struct, frozen=True):
    """Some pages of a document, each by its number with what lies on it; `step` is how many are shown."""

    document: PreviewDocument
    first: int
    step: int
    views: tuple[tuple[int, PageView], ...]

    @property
    def last(self) -> int:
        """The number of the last page that is shown."""
        return self.first + len(self.views) - 1

    @property
    def before(self) -> int:
        """The first page of those before; 0 where there are none."""
        return max(self.first - self.step, 1) if self.first > 1 else 0

    @property
    def after(self) -> int:
        """The first page of those that follow; 0 where there are none."""
        return self.last + 1 if self.last < self.document.pages else 0


def _paper(request: Request) -> Response:
    """The whole page; `file` and `page` of the address say which page of the paper is shown."""
    job, desk = job_of(request), desk_of(request)
    asked, state = asked_of(request.query_params), paper_state(desk)
    facts = state.facts(job)
    sets = [(set_id(desk, each.folder), desk.below(each.folder), each) for each in job_sets(desk, facts)]
    shown = _preview(request, job, asked, facts)
    return page(
        request, "paper.html", job=job, asked=asked, facts=facts, sets=sets, seen=state.seen(job),
        weighing=list(weighing_files(job)) if _has_signs(facts) else [],
        out=desk.below(out_folder(desk, job, asked)), is_stopped=has_errors(shown["problems"]), **shown,
    )  # fmt: skip


def _has_signs(facts: Paper) -> bool:
    """Whether the job asks for signs, which show the amount that was weighed in."""
    return any(each.use == "sign" and each.stock for each in facts.stocks)


def _preview(request: Request, job: DeskJob, asked: Asked, facts: Paper) -> dict[str, Any]:
    """What is shown of the pages: the preview, or the work that makes it, or why there is none."""
    desk = desk_of(request)
    state = paper_state(desk)
    shown: dict[str, Any] = {"key": "", "preview": None, "work": None, "shown": None, "problems": ()}
    selection = selection_of(desk, job, facts, asked)
    if isinstance(selection, Problem):
        return shown | {"problems": (selection,)}
    if not facts.boxes:
        return shown | {"problems": at_most_each(facts.problems)}
    key, preview = state.preview(job, selection, out_folder(desk, job, asked))
    if isinstance(preview, Work):
        return shown | {"work": preview}
    given = request.query_params
    document = preview.document(given.get("file", "")) or next(iter(preview.documents), None)
    pages = _pages(state.previews.file(key), document, _number(given.get("page", ""))) if document else None
    problems = at_most_each(preview.problems)
    return shown | {"key": key, "preview": preview, "shown": pages, "problems": problems}


def _number(text: str) -> int:
    """A page's number as an address has it; 0 where it is none."""
    return int(text) if text.isascii() and text.isdigit() and len(text) < 10 else 0


def _pages(file: Path, document: PreviewDocument, number: int) -> Shown:
    """The page of that number, or the nearest; with those that follow it where pages are low."""
    step = LOW_SHOWN if document.page_mm[1] < LOW_MM else 1
    first = min(max(number, 1), document.pages)
    numbers = range(first, min(first + step, document.pages + 1))
    return Shown(document, first, step, tuple((each, page_view(file, document, each)) for each in numbers))


def _picture(request: Request) -> Response:
    """The picture of a page of a layout that is kept."""
    previews, key = paper_state(desk_of(request)).previews, request.path_params["key"]
    preview, number = previews.find(key), _number(request.query_params.get("page", ""))
    document = preview.document(request.query_params.get("file", "")) if preview else None
    if document is None or not 0 < number <= document.pages:
        raise HTTPException(404, "This page is not kept any more: open the paper again.")
    return Response(page_picture(previews.file(key), document, number), media_type="image/png")


ROUTES = [
    Route("/job/{job}/paper", _paper),
    Route("/job/{job}/paper/picture/{key}", _picture),
]
