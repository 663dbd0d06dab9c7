"""The stages in their order, every problem told before there is ink, the same job the same bytes."""

import csv
import json
import math
import shutil
from collections.abc import Iterable, Iterator, Sequence
from pathlib import Path

import msgspec
import pypdfium2
import pytest
from PIL import Image

from tagmaker.catalog.folders import layouts
from tagmaker.catalog.words import Words
from tagmaker.draw.marks import FaceFile, Mark, Page
from tagmaker.draw.pdf import pdf_pieces
from tagmaker.job.model import Job
from tagmaker.plan.model import BoxPlan
from tagmaker.problems import Problem, Severity, error
from tagmaker.revisions.selection import Selection
from tagmaker.sheets import place
from tagmaker.sheets.summary import Needed
from tagmaker.workflows import check, cores, documents, fitting, layout, make, planning, printing
from tagmaker.workflows.laid_out import Sheet
from tests.files.sets import put, whole
from tests.job_files import BOX, HEAD, UNIT, write_files
from tests.paths import EXAMPLES
from tests.records import replace
from tests.strategies import BoxSketch, JobSketch, UnitSketch
from tests.workflows.jobs import GOOD, JOB, OTHER, OVERLOADED, TOO_WIDE, UNPROVED, codes, contents, rows

# --- order --------------------------------------------------------------------------------------------------


def test_the_stages_follow_each_other(job: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Read, plan, tag and fit box by box, place, draw, prove, commit: each begins after the one before it."""
    stages = (
        "read_job",
        "plan_job",
        "check_bands",
        "fit_box",
        "stock_of",
        "check_letters",
        "check_stocks",
        "check_placards",
        "kit_pages",
        "summary_pages",
        "open_output_set",
        "pdf_pieces",
        "register_rows",
        "prove",
        "walk_html",
        "plan_pieces",
    )
    begun: list[str] = []
    for stage in stages:
        modules = (planning, fitting, place, layout, documents, make, printing)
        module = next(each for each in modules if hasattr(each, stage))
        monkeypatch.setattr(module, stage, noting(getattr(module, stage), begun, stage))
    assert codes(make.make(job, tmp_path / "out")) == []
    assert tuple(dict.fromkeys(begun)) == stages
    assert begun.count("fit_box") == 2


def noting(function: object, begun: list[str], stage: str) -> object:
    """The same function, which also notes that it was called."""
    assert callable(function)

    def noted(*arguments: object, **named: object) -> object:
        begun.append(stage)
        return function(*arguments, **named)

    return noted


@pytest.mark.parametrize("box", [OVERLOADED, TOO_WIDE])
def test_the_last_boxs_error_stops_the_first_boxs_ink(
    box: BoxSketch, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Whether the load or a text is too much, nothing is drawn and no folder is touched."""
    monkeypatch.setattr(make, "open_output_set", None)
    monkeypatch.setattr(printing, "pdf_pieces", None)
    source = replace(JOB, boxes=(GOOD, OTHER, box)).write(tmp_path / "job")
    made = make.make(source, tmp_path / "deep" / "out")
    assert (made.files, made.tags, made.boxes) == ((), 0, 0)
    assert set(codes(made)) - {"letters-small"} in ({"port-overloaded"}, {"text-too-long"})
    assert sorted(path.name for path in tmp_path.iterdir()) == ["job"]


def test_check_finds_all_that_make_stops_at(tmp_path: Path) -> None:
    """Loads and texts alike, in one run, without writing."""
    source = replace(JOB, boxes=(GOOD, TOO_WIDE, OVERLOADED)).write(tmp_path / "job")
    checked = check.check(source)
    found = {problem.code for problem in checked.problems if problem.severity is Severity.ERROR}
    assert found == {"port-overloaded", "text-too-long"}
    assert checked.problems == make.make(source, tmp_path / "out").checked.problems
    assert not (tmp_path / "out").exists()


def test_a_job_that_is_not_there_has_no_plan(tmp_path: Path) -> None:
    """One problem, no plan, nothing made."""
    made = make.make(tmp_path, tmp_path / "out")
    assert (made.checked.plan, made.files, codes(made)) == (None, (), ["job-missing"])
    assert planning.plan(tmp_path).plan is None


def test_warnings_and_notes_stop_nothing(tmp_path: Path) -> None:
    """They are told, and kept in plan.json."""
    needless = BoxSketch("BB-1", 4, (UnitSketch("AH-1", "A+B", "24 kBtu/h"), UnitSketch("FC-1", "C", "")))
    made = make.make(JobSketch((needless,), is_draft=True).write(tmp_path / "job"), tmp_path / "out")
    assert {problem.severity for problem in made.checked.problems} == {Severity.WARNING, Severity.NOTE}
    assert made.files
    kept = json.loads((tmp_path / "out" / "plan.json").read_bytes())["problems"]
    assert kept == [msgspec.to_builtins(problem.outline) for problem in made.checked.problems]


def wrong_summary(
    job: Job,
    _boxes: Sequence[BoxPlan],
    _needed: Sequence[Needed],
    words: Words,  # noqa: ARG001 — named by the caller
    *,
    is_part: bool,  # noqa: ARG001 — as above
) -> tuple[list[Page], list[Problem]]:
    """A summary with an error."""
    return [], [error("text-too-long", "summary: a text is too long", job.where, "")]


def test_an_error_of_what_is_laid_out_meanwhile_stops_the_set(
    job: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """By another process while the rest is drawn: reported as with one core, which draws nothing then."""
    monkeypatch.setattr(documents, "summary_pages", wrong_summary)
    put(tmp_path / "foreign", {"notes.txt": "mine"})
    outs = (tmp_path / "deep" / "out", tmp_path / "foreign")
    with monkeypatch.context() as patch:
        patch.setattr(cores, "cores", lambda: 1)
        patch.setattr(printing, "pdf_pieces", None)
        one = [make.make(job, out, selection=UNPROVED) for out in outs]
    monkeypatch.setattr(cores, "cores", lambda: 2)
    monkeypatch.setattr(cores, "start_method", lambda: "fork")
    monkeypatch.setattr(cores, "PAYS", {"fork": 0.0})
    assert [make.make(job, out, selection=UNPROVED) for out in outs] == one
    assert [(codes(each), each.files) for each in one] == [(["text-too-long"], ())] * 2
    assert contents(tmp_path / "foreign") == {"notes.txt": b"mine"}
    assert sorted(path.name for path in tmp_path.iterdir()) == ["foreign", "job"]


def test_codes_are_read_from_early_on_and_all_the_while() -> None:
    """The shortest document is drawn first, then the one that takes longest to read."""
    row, sheet = documents.DOCUMENTS[0], Sheet(Page(1, 1, ()))
    given = [
        documents.Document(row, [sheet] * pages, None, pieces) for pages, pieces in ((9, 90), (3, 0), (5, 0))
    ]
    assert [len(each.sheets) for each in make._in_turn(given)] == [3, 9, 5]
    assert make._in_turn([]) == []


# --- what is made -------------------------------------------------------------------------------------------


def test_what_is_told_is_what_is_there(job: Path, tmp_path: Path) -> None:
    """Files by name, their pages, tags as rows of the register, boxes."""
    made = make.make(job, tmp_path / "out")
    out = contents(tmp_path / "out")
    assert sorted(name for name, _ in made.files) == sorted(out)
    assert {"placards.pdf", "walk.pdf", "register.csv", "plan.json"} < set(out)
    assert {name: pages_of(out[name]) for name in out} == dict(made.files)
    assert made.tags == len(list(csv.DictReader(out["register.csv"].decode().splitlines())))
    assert made.boxes == 2


def pages_of(content: bytes) -> int:
    """Pages of a PDF, none of any other file."""
    if not content.startswith(b"%PDF"):
        return 0
    document = pypdfium2.PdfDocument(content)
    try:
        return len(document)
    finally:
        document.close()


def test_progress_is_told_box_by_box(job: Path, tmp_path: Path) -> None:
    """One of two, two of two."""
    told: list[tuple[int, int]] = []
    make.make(job, tmp_path / "out", progress=lambda done, of: told.append((done, of)))
    assert told == [(1, 2), (2, 2)]


def test_an_output_that_is_refused_is_a_problem_and_nothing_is_made(job: Path, tmp_path: Path) -> None:
    """The job's own problems are told with it."""
    put(tmp_path / "out", {"notes.txt": "mine"})
    made = make.make(job, tmp_path / "out")
    assert (made.files, codes(made)) == ((), ["output-foreign"])
    assert made.checked.plan is not None
    assert contents(tmp_path / "out") == {"notes.txt": b"mine"}


# --- proof and pictures -------------------------------------------------------------------------------------


def test_every_code_is_read_back(job: Path, tmp_path: Path) -> None:
    """A tag has one, a placard two, a page of a walk one."""
    made = make.make(job, tmp_path / "out")
    assert made.codes_read == made.tags + 2 * made.boxes + dict(made.files)["walk.pdf"] > 0


@pytest.fixture
def codeless(monkeypatch: pytest.MonkeyPatch) -> None:
    """A pen that leaves out the codes of the labels."""

    def draw(title: str, author: str, pages: Iterable[Page], faces: tuple[FaceFile, ...]) -> Iterator[bytes]:
        kept = [
            Page(each.width, each.height, tuple(without_codes(each, title)), each.adjust) for each in pages
        ]
        return pdf_pieces(title, author, kept, faces)

    monkeypatch.setattr(printing, "pdf_pieces", draw)


def without_codes(page: Page, title: str) -> list[Mark]:
    """A page's marks; a label file's have no ink, and so no codes."""
    return [] if "Labels" in title else list(page.marks)


@pytest.mark.usefixtures("codeless")
def test_a_code_that_does_not_read_back_refuses_the_whole_set(job: Path, tmp_path: Path) -> None:
    """Each is told by its file and page; what was there before stays, byte for byte."""
    put(tmp_path / "out", whole({"walk.pdf": "the old walk"}))
    before = contents(tmp_path / "out")
    made = make.make(job, tmp_path / "out")
    tags = made.checked.sheets[0].labels
    assert (made.files, made.tags, codes(made)) == ((), 0, ["code-unreadable"] * tags)
    first = made.checked.problems[0].message
    assert first == (
        "tags-letter-30-67x25.pdf page 1: the code 'BB-1/A/TRM' does not read back where it was printed"
    )
    assert contents(tmp_path / "out") == before


@pytest.mark.usefixtures("codeless")
def test_without_proof_nobody_notices(job: Path, tmp_path: Path) -> None:
    """That is what the proof is for."""
    assert make.make(job, tmp_path / "out", selection=UNPROVED).files


def test_pictures_are_of_the_printers_own_dots(tmp_path: Path) -> None:
    """One bit deep at a roll's 8 dots a millimetre, as the printer fires them; grey without a grid."""
    sketch = replace(JOB, boxes=(GOOD,), stocks=(("cable", "roll-51x25-203dpi"),))
    make.make(sketch.write(tmp_path / "job"), tmp_path / "out", selection=Selection(proof=False, png=True))
    told = {}
    for name in ("tags-roll-51x25-203dpi-1", "tags-letter-30-67x25-1"):
        with Image.open(tmp_path / "out" / "png" / f"{name}.png") as picture:
            told[name] = (picture.mode, *(math.ceil(dots / 8) for dots in picture.size))
    assert told == {"tags-roll-51x25-203dpi-1": ("1", 51, 26), "tags-letter-30-67x25-1": ("L", 216, 280)}


# --- the same job, the same bytes ---------------------------------------------------------------------------


def test_the_same_job_gives_the_same_bytes(job: Path, tmp_path: Path) -> None:
    """Into a new folder, and over the old one."""
    for out in ("one", "two", "one"):
        make.make(job, tmp_path / out, selection=UNPROVED)
    assert contents(tmp_path / "one") == contents(tmp_path / "two")


def test_the_same_job_gives_the_same_pictures(job: Path, tmp_path: Path) -> None:
    """Byte for byte too."""
    for out in ("one", "two"):
        make.make(job, tmp_path / out, Selection(kit="cables", proof=False, png=True))
    assert "png/tags-letter-30-67x25-1.png" in contents(tmp_path / "one")
    assert contents(tmp_path / "one") == contents(tmp_path / "two")


def test_proof_changes_no_byte_of_what_it_proves(job: Path, tmp_path: Path) -> None:
    """What is read back is what is printed; only the plan tells that it was."""
    make.make(job, tmp_path / "proved")
    make.make(job, tmp_path / "unproved", selection=UNPROVED)
    one, two = contents(tmp_path / "proved"), contents(tmp_path / "unproved")
    assert {name for name in one if one[name] != two[name]} == {"plan.json"}


def test_where_the_job_lies_changes_no_byte(
    job: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Its folder, the way to it, and the folder that one stands in are no part of the job."""
    make.make(job, tmp_path / "one", selection=UNPROVED)
    shutil.copytree(job, tmp_path / "elsewhere" / "copy of the job")
    monkeypatch.chdir(tmp_path / "elsewhere")
    make.make(Path("copy of the job") / "job.toml", tmp_path / "two", selection=UNPROVED)
    assert contents(tmp_path / "one") == contents(tmp_path / "two")


def test_what_was_made_before_changes_no_byte(job: Path, tmp_path: Path) -> None:
    """Another job drawn first in the same process leaves no trace."""
    make.make(job, tmp_path / "one", selection=UNPROVED)
    make.make(EXAMPLES / "bakery", tmp_path / "bakery", selection=UNPROVED)
    make.make(job, tmp_path / "two", selection=UNPROVED)
    assert contents(tmp_path / "one") == contents(tmp_path / "two")


def test_another_revision_gives_other_bytes(tmp_path: Path) -> None:
    """The claim above is not made of sheets that say nothing."""
    make.make(JOB.write(tmp_path / "job"), tmp_path / "one", selection=UNPROVED)
    make.make(replace(JOB, revision="P03").write(tmp_path / "job"), tmp_path / "two", selection=UNPROVED)
    one, two = contents(tmp_path / "one"), contents(tmp_path / "two")
    assert {name for name in one if one[name] != two[name]} == set(one)


# --- some boxes only ----------------------------------------------------------------------------------------


def test_one_bad_box_does_not_hold_up_the_others(bad: Path, tmp_path: Path) -> None:
    """Limited to the good ones the job is made; whole, it is not."""
    assert codes(make.make(bad, tmp_path / "whole")) == ["port-overloaded"]
    made = make.make(bad, tmp_path / "part", Selection(("BB-1", "BB-2")))
    assert (codes(made), made.boxes) == ([], 2)
    assert not (tmp_path / "whole").exists()
    plan = json.loads((tmp_path / "part" / "plan.json").read_bytes())
    assert [box["tag"] for box in plan["boxes"]] == ["BB-1", "BB-2"]
    assert (plan["partial"], plan["part"]["boxes"]) == (True, ["BB-1", "BB-2"])


def test_limited_to_the_bad_box_nothing_is_made(bad: Path, tmp_path: Path) -> None:
    """Its own error counts."""
    assert codes(make.make(bad, tmp_path / "out", Selection(("BB-3",)))) == ["port-overloaded"]
    assert not (tmp_path / "out").exists()


def test_a_box_that_the_job_does_not_have_is_an_error(job: Path, tmp_path: Path) -> None:
    """With the nearest right one; the boxes that there are do not make up for it."""
    made = make.make(job, tmp_path / "out", Selection(("BB-1", "BB-22")))
    (problem,) = made.checked.problems
    assert problem.as_text() == (
        "--box: error: the job has no box 'BB-22' [box-unknown]\n    did you mean 'BB-2'?"
    )
    assert not (tmp_path / "out").exists()


def test_a_part_does_not_replace_a_whole_set(job: Path, tmp_path: Path) -> None:
    """The other boxes' sheets would be gone."""
    make.make(job, tmp_path / "out")
    before = contents(tmp_path / "out")
    assert codes(make.make(job, tmp_path / "out", Selection(("BB-1",)))) == ["output-whole"]
    assert contents(tmp_path / "out") == before


def test_a_boxs_sheets_are_the_same_in_a_part_as_in_the_whole(job: Path, tmp_path: Path) -> None:
    """Its rows of the register say the same, their places aside."""
    make.make(job, tmp_path / "whole")
    make.make(job, tmp_path / "part", Selection(("BB-2",)))
    assert rows(tmp_path / "part") == [row for row in rows(tmp_path / "whole") if row[0].startswith("BB-2/")]


@pytest.mark.parametrize(
    "forms", ["", 'placard_code = ["contact", "link"]\nlink = "https://example.org/placard.html"']
)
def test_the_page_of_a_link_is_in_the_set(forms: str, tmp_path: Path) -> None:
    """With the worker that keeps it on phones, as shipped; neither where no code is a link."""
    folder = write_files(tmp_path / "job", {"job.toml": "\n".join((HEAD, "[print]", forms, BOX, UNIT))})
    made = make.make(folder, tmp_path / "out")
    assert [problem.code for problem in made.checked.problems if problem.severity == "error"] == []
    for name in ("placard.html", "placard-worker.js"):
        written = tmp_path / "out" / name
        assert written.exists() == bool(forms)
        assert not forms or written.read_bytes() == (layouts() / name).read_bytes()
