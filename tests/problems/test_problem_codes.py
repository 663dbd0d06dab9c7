"""Each problem code has a folder here: the smallest bad job, and in `expected.txt` what it prints.

What is told is what `check` finds; for the codes in `OUT` it is what `make` finds, told to write there.
A folder's own `out/` stands for an output folder as an earlier run or somebody else left it. No job makes an
unreadable code: for that one the pen is made to leave one out.
After a change of wording `python -m tests.problems.test_problem_codes` writes every `expected.txt` anew:
read the difference before it is committed. Where a folder has a `returned/`, that is what came back from the
walk, and what is told is what `readback` finds; an `earlier.json` is the plan of the set that hangs on site;
a `scans.txt` is what was scanned, and what is told is what `scan` finds. For the codes in `CHANGED` it is
what a change of the job's files finds, for those in `PAPER` what `readback` makes of the job's sheets.
"""

import contextlib
import json
import shutil
import tempfile
from collections.abc import Callable, Iterable, Iterator
from pathlib import Path
from unittest import mock

import msgspec
import pytest
from typer.testing import CliRunner

from tagmaker.cli.app import app
from tagmaker.draw.marks import FaceFile, Page
from tagmaker.draw.pdf import pdf_pieces
from tagmaker.problems import CODES, Problem, ProblemOutline, Severity, Where
from tagmaker.revisions.selection import Selection
from tagmaker.workflows import check, edit, make, printing
from tagmaker.workflows.edit import Edited
from tagmaker.workflows.edit_kinds import Move, MoveUnits, RemoveBox
from tagmaker.workflows.readback import readback
from tagmaker.workflows.scan import Against, scan
from tests.problems.paper import PAPER, returned_on_paper
from tests.records import replace
from tests.site.systems import write_form
from tests.site.walks import plan_of

HERE = Path(__file__).parent
EXPECTED = "expected.txt"
RETURNED = "returned"
SCANS = "scans.txt"
EARLIER = "earlier.json"
FOLDERS = sorted(path.name for path in HERE.iterdir() if path.is_dir() and path.name != "__pycache__")
OUT = {
    "code-unreadable": "out",
    "output-changed": "output-changed/out",
    "output-foreign": "output-foreign/out",
    "output-whole": "output-whole/out",
    "output-blocked": ".",
}
RESPONSE = ("response", "-o", "out")
CALLED = {
    "handover-set": ("handover", "handover-set", "--since", "handover-set/set", "-o", "h.pdf"),
    "sign-weighed": ("make", "sign-weighed", "-o", "out", "--weighed-in", "sign-weighed/systems.pdf"),
    "usage-wrong": ("make", "usage-wrong", "out"),
    "response-words": (*RESPONSE, "response-words", "--without", "FC-1"),
    "response-balance": (*RESPONSE, "response-balance"),
    "response-alike": (*RESPONSE, "response-alike", "--cool-only", "FC-1", "--cool-only", "FC-2"),
}
"""The codes that the command line finds, with what is called."""
MOVED = (Move("FC-1", "BX-1", "B"),)
CHANGED: dict[str, Callable[[Path], Edited]] = {
    "edit-conflict": lambda job: edit.apply(job, [MoveUnits(MOVED)], {"job.toml": "another"}),
    "edit-refused": lambda job: edit.apply(job, [RemoveBox("BX-9")], edit.digests(job)),
    "edit-workbook": lambda job: edit.apply(job, [MoveUnits(MOVED)], edit.digests(job)),
    "history-end": edit.undo,
}
"""The codes that a change of the job's files finds, with the change."""
ONLY = {
    "output-whole": Selection(boxes=("BX-1",)),
    "tag-unknown": Selection(only=("BX-1/A/LIQ/FC-2",)),
}
WITH = {
    "plan-foreign": {"plan-unproved"},
    "sign-more": {"refrigerant-amount"},
    "refrigerant-unknown": {"bands-authority"},
    "band-incomplete": {"bands-authority"},
    "diameter-missing": {"letters-small", "wrap-one-sided"},
    "wrap-one-sided": {"letters-small"},
    "system-empty": {"system-incomplete"},
    "system-twice": {"system-incomplete"},
    "system-refrigerant": {"refrigerant-amount"},
}
"""What a smallest job prints beside its own code: the authority is named wherever bands are asked for."""
LINES_AT_MOST = 50  # of all files of a smallest bad job


def told(code: str, work: Path) -> tuple[str, set[str]]:
    """What is printed of a copy of a code's job by one who stands in `work`, and the codes in it."""
    shutil.copytree(HERE / code, work / code)
    job, only = Path(code), ONLY.get(code, Selection())
    if code == "sign-weighed":
        weighed_sheet(work / code)
    with contextlib.chdir(work):
        if code in OUT:
            pen = draw_all_but_a_code if code == "code-unreadable" else pdf_pieces
            with mock.patch.object(printing, "pdf_pieces", pen):
                problems = make.make(job, Path(OUT[code]), only).checked.problems
        else:
            earlier = job / EARLIER
            problems = check.check(job, replace(only, since=earlier if earlier.exists() else None)).problems
        if (job / RETURNED).is_dir():
            problems = tuple(readback([job / RETURNED], job).problems)
        if (job / SCANS).exists():
            problems = scan([job / SCANS], Against(job), None, (), lambda _answer: None).problems
        if code in PAPER:
            problems = returned_on_paper(code, job)
        if code in CHANGED:
            problems = CHANGED[code](job).problems
        if code in CALLED:
            done = CliRunner().invoke(app, [*CALLED[code], "--json"])
            found = [msgspec.convert(each, ProblemOutline) for each in json.loads(done.stdout)["problems"]]
            problems = tuple(
                Problem(Severity(each.severity), each.code, each.message, Where(each.where), each.hint)
                for each in found
            )
    here = str(work.resolve())
    text = "".join(f"{problem.as_text()}\n" for problem in problems)
    return text.replace(f"{here}/", "").replace(here, "."), {problem.code for problem in problems}


def weighed_sheet(job: Path) -> None:
    """What came back to a job with one system: its sheet with the planned charge as weighed in."""
    plan = plan_of(job)
    (system,) = plan.systems
    assert system.charge.total
    weighed = system.charge.total.number(system.charge.unit)
    write_form(job / "systems.pdf", plan, [(system, {("charge", "weighed"): weighed})])


def draw_all_but_a_code(
    title: str, author: str, pages: Iterable[Page], faces: tuple[FaceFile, ...]
) -> Iterator[bytes]:
    """A document as it is meant, a label file's first code left out."""
    first, *others = pages
    kept = replace(first, marks=first.marks[1:]) if "Labels" in title else first
    return pdf_pieces(title, author, [kept, *others], faces)


@pytest.mark.parametrize("code", FOLDERS)
def test_each_code_has_a_smallest_bad_job(code: str, tmp_path: Path) -> None:
    """The job prints exactly what its `expected.txt` says, and no code but its own and what comes with it."""
    text, codes = told(code, tmp_path)
    assert (HERE / code / EXPECTED).read_text(encoding="utf-8") == text
    assert {code} | WITH.get(code, set()) == codes


def test_folders_are_exactly_the_codes() -> None:
    """No code is without its bad job, and no job without its code."""
    assert sorted(CODES) == FOLDERS


@pytest.mark.parametrize("code", FOLDERS)
def test_a_smallest_bad_job_is_small(code: str) -> None:
    """All files of a bad job together fit one screen."""
    files = [path for path in (HERE / code).rglob("*") if path.is_file()]
    assert sum(path.read_bytes().count(b"\n") for path in files) <= LINES_AT_MOST


if __name__ == "__main__":
    for each in FOLDERS:
        with tempfile.TemporaryDirectory() as folder:
            printed, _ = told(each, Path(folder))
        (HERE / each / EXPECTED).write_text(printed, encoding="utf-8")
