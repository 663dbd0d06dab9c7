"""The stages of `response`: plan the job → find words → lay out → write.

Takes a job and a folder of its own; gives the words of each system, and the sheets and the table to fill in
there, or leaves the folder as it was. A table or form that was filled in there is never replaced.
"""

from pathlib import Path

from msgspec import Struct
from msgspec.structs import replace

from tagmaker.catalog.words import load_words
from tagmaker.draw.pdf import draw_pdf
from tagmaker.files.output_set import open_output_set
from tagmaker.files.refused import OutputRefused
from tagmaker.plan.model import Plan
from tagmaker.plan.response import Asked, SystemCalls, boxes_by_system, plan_response
from tagmaker.problems import Problem, has_errors
from tagmaker.revisions.form_pages import FormPage, form_pages
from tagmaker.revisions.response_file import (
    RESPONSE_FILE,
    ResponseFile,
    read_manifest,
    read_response_file,
    response_json,
)
from tagmaker.sheets.response import response_pages
from tagmaker.tags.response import lines_of, response_csv
from tagmaker.typeset.fonts import all_faces
from tagmaker.workflows.planning import in_order, plan

__all__ = ["Responded", "ResponseRequest", "response"]


RESPONSE_PDF = "response.pdf"


class ResponseRequest(Struct, frozen=True):
    """What is asked for; `since` is an earlier response.json, `expected` prints what is called."""

    asked: Asked = Asked()
    since: Path | None = None
    expected: bool = False


class Responded(Struct, frozen=True):
    """The test as written; no systems where it was refused. `files` have their numbers of pages (0: none)."""

    problems: tuple[Problem, ...]
    systems: tuple[SystemCalls, ...] = ()
    out: Path = Path()
    files: tuple[tuple[str, int], ...] = ()
    digests: dict[str, str] = {}
    form_pages: tuple[FormPage, ...] = ()

    @property
    def outline(self) -> ResponseFile:
        """What `response --json` prints beside the problems: the object of response.json."""
        return ResponseFile(self.systems, self.digests, form_pages=self.form_pages)


def response(path: Path, out: Path, request: ResponseRequest) -> Responded:
    """Write the response test of a job into `out`, or nothing where there is an error."""
    earlier = read_response_file(request.since) if request.since else ()
    if isinstance(earlier, Problem):
        return Responded((earlier,))
    checked = plan(path)
    if checked.plan is None or has_errors(checked.problems):
        return Responded(checked.problems)
    systems, found = plan_response(checked.plan, replace(request.asked, earlier=earlier))
    problems = in_order((*checked.problems, *found))
    if has_errors(problems):
        return Responded(problems)
    return _write(checked.plan, out, systems, problems, expected=request.expected)


def _write(
    planned: Plan,
    out: Path,
    systems: tuple[SystemCalls, ...],
    problems: tuple[Problem, ...],
    *,
    expected: bool,
) -> Responded:
    """Lay out and write the sheets, the table and response.json."""
    words, job = load_words(), planned.job
    pages, unfit = response_pages(planned, systems, words, expected=expected)
    problems = (*problems, *unfit)
    if has_errors(problems):
        return Responded(problems)
    places = tuple(form_pages(RESPONSE_PDF, pages))
    boxes = boxes_by_system(planned)
    tables = [(calls, lines_of(calls, boxes.get(calls.system.upper(), ()))) for calls in systems]
    contents = {
        RESPONSE_PDF: draw_pdf(
            f"{job.title} – {words('document.response')}", job.prepared_by, pages, all_faces()
        ),
        "response.csv": response_csv(tables, expected=expected),
    }
    try:
        with open_output_set(out, read_manifest, partial=False) as output_set:
            for name, content in contents.items():
                output_set.write(name, content)
            digests = dict(output_set.digests)
            output_set.write(RESPONSE_FILE, response_json(systems, digests, problems, places))
            digests = dict(read_manifest(output_set.new).digests or {})
            output_set.finish()
    except OutputRefused as reason:
        return Responded((*problems, reason.problem))
    files = ((RESPONSE_PDF, len(pages)), ("response.csv", 0), (RESPONSE_FILE, 0))
    return Responded(problems, systems, out, files, digests, places)
