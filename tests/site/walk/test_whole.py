"""A sheet that has not the fields it was printed with: refused, never read as if a switch were OFF."""

import io
import json
import subprocess
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pikepdf
import pytest
from pypdf import PdfWriter

from tagmaker.plan.model import Plan
from tagmaker.workflows.readback import Readback, readback
from tests.site.walks import Values, as_planned, filled, form, phone, plan_of
from tests.strategies import BoxSketch, JobSketch, UnitSketch

ON = "BB-1/left/1/1"
FOUND = "BB-1/port/A/pipe/found"


def states(result: Readback) -> list[str]:
    """What it comes to, box by box."""
    return [box.state for box in result.boxes]


def form_changed(content: bytes, change: Callable[[pikepdf.Pdf], None], to: Path) -> Path:
    """A filled form with something in it changed."""
    with pikepdf.open(io.BytesIO(content)) as document:
        change(document)
        document.save(to)
    return to


def drop(name: str) -> Callable[[pikepdf.Pdf], None]:
    """A field is gone, from its page and from the form."""

    def change(document: pikepdf.Pdf) -> None:
        for notes in (*(page.Annots for page in document.pages), document.Root.AcroForm.Fields):
            at = [number for number, note in enumerate(notes) if str(note.T) == name]
            for number in at:
                del notes[number]

    return change


def rename(name: str, to: str) -> Callable[[pikepdf.Pdf], None]:
    """A field has another name, which some sheet may have."""

    def change(document: pikepdf.Pdf) -> None:
        note = next(note for page in document.pages for note in page.Annots if str(note.T) == name)
        note.T = pikepdf.String(to)

    return change


@pytest.mark.parametrize(
    ("value", "change", "named"),
    [
        ({ON: True}, drop(ON), ON),
        ({ON: True}, drop(f"{ON}/off"), f"{ON}/off"),
        ({ON: True}, rename(ON, "BB-1/LEFT/1/1"), "BB-1/LEFT/1/1"),
        ({ON: True}, rename(ON, "BB-1/left/1/01"), "BB-1/left/1/01"),
        ({ON: True}, rename(ON, "BB-1/only/1/1"), "BB-1/only/1/1"),
        ({FOUND: "FC-5"}, drop(FOUND), FOUND),
        ({FOUND: "FC-5"}, rename(FOUND, "BB-1/port/P/pipe/found"), "BB-1/port/P/pipe/found"),
    ],
)
def test_a_form_with_other_fields_than_were_printed_is_refused(  # noqa: PLR0917 — a case, and a job
    value: Values,
    change: Callable[[pikepdf.Pdf], None],
    named: str,
    tmp_path: Path,
    site_job: Path,
    site_plan: Plan,
) -> None:
    """What was found there must not be taken for a switch that is OFF, or for nothing found."""
    content = filled(form(site_plan), as_planned(site_plan) | value)
    result = readback([form_changed(content, change, tmp_path / "walk.pdf")], site_job)
    (problem,) = result.problems
    assert (problem.severity, problem.code) == ("error", "return-merged")
    assert named in problem.message
    assert states(result) == ["not seen", "not seen"]


@pytest.mark.parametrize("name", ["BB-1/LEFT/1/1", "BB-1/left/1/01", "BB-1/left/7/1", "BB-1/port/P/note"])
def test_a_phones_file_with_a_field_of_no_place_is_refused(
    name: str, tmp_path: Path, site_job: Path, site_plan: Plan
) -> None:
    """Edited by hand: nobody knows which switch is meant."""
    content = json.loads(phone(site_plan, as_planned(site_plan)))
    content["boxes"][0]["fields"][name] = "wet" if name.endswith("note") else True
    path = tmp_path / "walk.json"
    path.write_text(json.dumps(content), encoding="utf-8")
    result = readback([path], site_job)
    (problem,) = result.problems
    assert (problem.code, name in problem.message) == ("return-merged", True)
    assert states(result) == ["not seen", "not seen"]


@pytest.mark.parametrize(
    ("name", "value"),
    [
        (ON, "true"),
        (ON, "ON"),
        (ON, ""),
        (ON, 1),
        (ON, None),
        (ON, [True]),
        (FOUND, 5),
        (FOUND, False),
        ("BB-1/port/A/pipe/Found", "FC-5"),
        ("BB-1/port/a/pipe/found", "FC-5"),
        ("BB-1/response/A//1", "H"),
        ("BB-1/printed-for", "x"),
    ],
)
def test_a_phones_file_with_a_value_of_another_kind_is_refused(
    name: str, value: Any, tmp_path: Path, site_job: Path, site_plan: Plan
) -> None:
    """A switch that is "ON" or 1 in a file is none that is not marked."""
    content = json.loads(phone(site_plan, as_planned(site_plan)))
    content["boxes"][0]["fields"][name] = value
    path = tmp_path / "walk.json"
    path.write_text(json.dumps(content), encoding="utf-8")
    result = readback([path], site_job)
    assert [problem.code for problem in result.problems] == ["return-unreadable"]
    assert states(result) == ["not seen", "not seen"]


def test_what_another_box_was_printed_for_is_none(tmp_path: Path, site_job: Path, site_plan: Plan) -> None:
    """Boards of one build have one digest: the hidden text must be the box's own."""
    content = json.loads(phone(site_plan, as_planned(site_plan)))
    one, two = content["boxes"]
    one["printed_for"] = two["printed_for"]
    path = tmp_path / "walk.json"
    path.write_text(json.dumps(content), encoding="utf-8")
    result = readback([path], site_job)
    assert [problem.code for problem in result.problems] == ["return-unknown"]
    assert states(result) == ["not seen", "as planned"]


def test_a_form_without_boxes_for_off_is_read(tmp_path: Path, site_job: Path, site_plan: Plan) -> None:
    """Sheets of an earlier version had boxes for ON, and for a board that was seen."""

    def change(document: pikepdf.Pdf) -> None:
        for notes in (*(page.Annots for page in document.pages), document.Root.AcroForm.Fields):
            for number in reversed(range(len(notes))):
                if str(notes[number].T).endswith("/off"):
                    del notes[number]

    content = filled(form(site_plan), as_planned(site_plan))
    result = readback([form_changed(content, change, tmp_path / "walk.pdf")], site_job)
    assert result.problems == ()
    assert states(result) == ["as planned", "as planned"]


# --- pages of two sheets ------------------------------------------------------------------------------------


def two_pages(*, swapped: bool, revision: str) -> JobSketch:
    """A box whose sheet has two pages; two units of the second one's ports are exchanged, or not."""
    tags = [f"{'W' * 20}{number:04d}" for number in range(50)]
    if swapped:
        tags[44], tags[49] = tags[49], tags[44]
    units = tuple(UnitSketch(tag, "ABCDEFGHIJ"[at // 5], "6 kBtu/h") for at, tag in enumerate(tags))
    return JobSketch((BoxSketch("BB-1", 12, units),), number="ML-24", revision=revision)


@pytest.fixture(scope="module")
def sheets(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, Path, Path]:
    """Today's job, and the filled sheets of it and of the revision before."""
    folder = tmp_path_factory.mktemp("pages")
    for swapped in (True, False):
        job = two_pages(swapped=swapped, revision=str(int(swapped))).write(folder / f"job-{swapped}")
        (folder / f"{swapped}.pdf").write_bytes(filled(form(plan_of(job)), as_planned(plan_of(job))))
    return folder / "job-True", folder / "True.pdf", folder / "False.pdf"


def test_a_sheet_of_two_pages_is_read(sheets: tuple[Path, Path, Path]) -> None:
    """All of one sheet."""
    job, today, _ = sheets
    result = readback([today], job)
    assert (states(result), result.problems) == (["as planned"], ())


@pytest.mark.parametrize("has_code", [True, False])
def test_pages_of_two_revisions_are_no_sheet(
    has_code: bool,  # noqa: FBT001 — a case
    tmp_path: Path,
    sheets: tuple[Path, Path, Path],
) -> None:
    """The second page was ticked for other units than the first one's hidden text says."""
    job, today, before = sheets
    merged, out = tmp_path / "merged.pdf", tmp_path / "walk.pdf"
    command = ["qpdf", "--empty", "--pages", today, "1", before, "2", "--", merged]
    subprocess.run([str(part) for part in command], check=True, capture_output=True)
    change = drop("" if has_code else "BB-1/printed-for/2")
    form_changed(merged.read_bytes(), change, out)
    result = readback([out], job)
    (problem,) = result.problems
    assert (problem.code, "pages of two sheets of BB-1" in problem.message) == ("return-merged", True)
    assert states(result) == ["not seen"]


@pytest.mark.parametrize(("wrong", "expected"), [({}, "as planned"), ({ON: True}, "differs")])
def test_a_sheet_that_was_filled_in_blind_is_read(
    wrong: Values, expected: str, tmp_path: Path, site_job: Path, site_plan: Plan
) -> None:
    """It asks each item of each letter, so that it gives no port away."""
    path = tmp_path / "walk.pdf"
    path.write_bytes(filled(form(site_plan, blind=True), as_planned(site_plan) | wrong))
    result = readback([path], site_job)
    assert (states(result), result.problems) == ([expected, "as planned"], ())


def test_without_its_digest_no_tick_of_a_sheet_counts(
    tmp_path: Path, site_job: Path, site_plan: Plan
) -> None:
    """As the warning says."""
    content = json.loads(phone(site_plan, as_planned(site_plan)))
    for box in content["boxes"]:
        lines = box["printed_for"].splitlines(keepends=True)
        box["printed_for"] = "".join(line for line in lines if not line.startswith("DIGEST"))
    path = tmp_path / "walk.json"
    path.write_text(json.dumps(content), encoding="utf-8")
    result = readback([path], site_job)
    assert [problem.code for problem in result.problems] == ["return-older"]
    assert states(result) == ["not seen", "not seen"]


def test_a_form_whose_fields_were_taken_out_is_paper(tmp_path: Path, site_job: Path, site_plan: Plan) -> None:
    """What a program leaves of them is null: its pages are read like scans, with the set they are of."""
    writer = PdfWriter(clone_from=io.BytesIO(filled(form(site_plan), as_planned(site_plan))))
    writer.remove_annotations(subtypes=["/Widget"])
    writer.write(tmp_path / "walk.pdf")
    result = readback([tmp_path / "walk.pdf"], site_job)
    assert [problem.code for problem in result.problems] == ["paper-unread", "paper-unread"]
    assert "of a set that is not at hand" in result.problems[0].message
