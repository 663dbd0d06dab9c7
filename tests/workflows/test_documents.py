"""The table of documents: which go with which selection, and what the summary lists."""

from collections.abc import Iterator
from pathlib import Path

import pypdfium2
import pytest

from tagmaker.catalog.words import load_words
from tagmaker.cli.make import made_lines
from tagmaker.draw.marks import Page
from tagmaker.problems import Problem
from tagmaker.revisions.baseline import Baseline
from tagmaker.revisions.issuing import issued_plan
from tagmaker.revisions.selection import WHOLE, Selection
from tagmaker.workflows import documents, make, planning
from tagmaker.workflows.layout import lay_out
from tagmaker.workflows.make import Made
from tests.paths import EXAMPLES
from tests.records import replace
from tests.strategies import UnitSketch
from tests.workflows.jobs import GOOD, JOB, OTHER, UNPROVED


def codes(made: Made) -> list[str]:
    """The codes of a run's problems."""
    return [problem.code for problem in made.checked.problems]


def pdf_lines(path: Path) -> list[str]:
    """A PDF's text, line by line as pdfium reads it."""
    document = pypdfium2.PdfDocument(path)
    try:
        return [
            line.strip() for page in document for line in page.get_textpage().get_text_range().splitlines()
        ]
    finally:
        document.close()


def test_the_summary_says_what_the_set_is_printed_on(tmp_path: Path) -> None:
    """File by file, as many sheets as it has pages and as many labels as the register has rows."""
    made = make.make(EXAMPLES / "clinic", tmp_path / "out", selection=UNPROVED)
    lines = pdf_lines(tmp_path / "out" / "summary.pdf")
    printed = [(name, pages) for name, pages in made.files if name.endswith(".pdf") and name != "summary.pdf"]
    assert len(printed) == 6
    for name, pages in printed:
        labels = str(made.tags) if name.startswith("tags-") else "–"
        (line,) = [line for line in lines if line.startswith(name)]
        assert line.split()[-2:] == [labels, str(pages)]


def test_bands_are_counted_among_what_is_needed(tmp_path: Path) -> None:
    """In the summary and where the set is told: how many, on how many sheets.

    Three mains of 85 ft have six each; the lines of 28, 34, 41, 47, 55, 62 and 19 ft have 3, 3, 4, 4, 4, 5
    and 2, liquid and gas: 18 + 2 x 25 [by hand, 20 ft apart].
    """
    made = make.make(EXAMPLES / "quay-hotel", tmp_path / "out", selection=UNPROVED)
    pages = dict(made.files)["bands.pdf"]
    (line,) = [line for line in pdf_lines(tmp_path / "out" / "summary.pdf") if line.startswith("bands.pdf")]
    assert line.split()[-2:] == ["68", str(pages)]
    assert f"  bands.pdf: 68 bands, {pages} pages" in made_lines(made)


@pytest.mark.parametrize(
    ("part", "is_there"),
    [
        (Selection(), True),
        (Selection(boxes=("BB-1",)), True),
        (Selection(stage="final"), True),
        (Selection(stage="rough-in"), False),
        (Selection(only=("BB-1/C",)), False),
        (Selection(kit="box"), False),
    ],
)
def test_the_summary_goes_with_placards(part: Selection, is_there: bool, job: Path, tmp_path: Path) -> None:  # noqa: FBT001
    """Tags alone have none; that of a part says that it is one."""
    made = make.make(job, tmp_path / "out", replace(part, proof=False))
    assert codes(made) == (["stock-unsuited"] if part.stage == "final" else [])
    names = {name for name, _ in made.files}
    assert ({"summary.pdf", "placards.pdf"} <= names) == is_there
    if is_there:
        told = any("PART OF THE JOB" in line for line in pdf_lines(tmp_path / "out" / "summary.pdf"))
        assert told == part.is_limited


def test_an_update_has_no_summary(job: Path, tmp_path: Path) -> None:
    """It prints what changed alone; the whole set has the summary."""
    make.make(job, tmp_path / "out", selection=UNPROVED)
    checked = planning.plan(job)
    assert checked.plan
    since = Baseline(issued_plan(checked.plan, load_words()))
    made = make.make(job, tmp_path / "update", Selection(baseline=since, proof=False))
    assert codes(made) == []
    assert "summary.pdf" not in {name for name, _ in made.files}
    assert "summary.pdf" in {path.name for path in (tmp_path / "out").iterdir()}


@pytest.mark.parametrize(
    ("part", "is_there"),
    [
        (Selection(), True),
        (Selection(boxes=("BB-1",)), True),
        (Selection(stage="rough-in"), True),
        (Selection(stage="final"), False),  # the tie-on tags of the rough-in stay: no labels, no kit
        (Selection(kit="cables"), True),
        (Selection(only=("BB-1/C",)), False),
    ],
)
def test_kit_slips_go_with_every_part_but_single_ports(
    part: Selection,
    is_there: bool,  # noqa: FBT001 — a case's column
    job: Path,
    tmp_path: Path,
) -> None:
    """At the rough-in too, labels are handed out by box and by room; a reprint of one port is no kit."""
    made = make.make(job, tmp_path / "out", replace(part, proof=False))
    assert ("kits.pdf" in {name for name, _ in made.files}) == is_there
    if is_there:
        lines = pdf_lines(tmp_path / "out" / "kits.pdf")
        assert [line for line in lines if line.startswith(("LABEL KITS", "AT THE UNITS, BY ROOM"))]


@pytest.mark.parametrize(
    ("part", "told"),
    [
        (Selection(), ""),
        (Selection(stage="rough-in"), "ROUGH-IN"),
        (Selection(kit="cables"), "CABLES ONLY"),
        (Selection(boxes=("BB-1",), kit="box"), "LABELS AT THE BOX ONLY · PART OF THE JOB: 1 of 2 boxes"),
    ],
)
def test_slips_and_rooms_say_what_of_the_job_they_cover(
    part: Selection, told: str, job: Path, tmp_path: Path
) -> None:
    """On each page and on each slip, so that those of two stages are not taken for each other."""
    make.make(job, tmp_path / "out", replace(part, proof=False))
    text = " ".join(pdf_lines(tmp_path / "out" / "kits.pdf"))
    boxes = len(part.boxes) or 2
    assert (
        text.count("Revision P02 ") == text.count(f"Revision P02 · {told}" if told else "Revision P02 ") > 0
    )
    assert text.count("· REV P02") == text.count(f"· REV P02 · {told}" if told else "· REV P02") == boxes


def test_an_update_says_since_which_revision(job: Path, tmp_path: Path) -> None:
    """Its slips list what changed alone."""
    make.make(job, tmp_path / "out", selection=UNPROVED)
    added = replace(GOOD, units=(*GOOD.units, UnitSketch("FC-9", "D")))
    grown = replace(JOB, revision="P03", boxes=(added, OTHER))
    job = grown.write(tmp_path / "next")
    made = make.make(job, tmp_path / "two", replace(UNPROVED, since=tmp_path / "out" / "plan.json"))
    assert "kits.pdf" in {name for name, _ in made.files}, codes(made)
    assert any("WHAT CHANGED SINCE REV P02" in line for line in pdf_lines(tmp_path / "two" / "kits.pdf"))


def test_pages_laid_out_apart_wait_one_by_one(job: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Those of 2,000 boxes are 37 MB: none is kept until the last is there."""
    done: list[str] = []

    def pages(*_: object, **_words: object) -> tuple[Iterator[Page], list[Problem]]:
        return (made(number) for number in range(3)), []

    def made(number: int) -> Page:
        done.append(f"page {number}")
        return Page(100, 100, ())

    def put(content: bytes) -> bytes:
        done.append("waits")
        return content

    monkeypatch.setattr(documents, "summary_pages", pages)
    assert lay_out(planning.plan(job), WHOLE, lambda _done, _of: None, inks=put)[1]
    assert done[-6:] == ["page 0", "waits", "page 1", "waits", "page 2", "waits"]
