"""Two filled forms merged into one file by common programs: never as planned, whichever comes first.

One sheet is all as planned, the other has two findings. Each program keeps, renames, joins or drops fields in
its own way (seen by trying the versions of PyPI and Debian 12).
"""

import subprocess
import warnings
from collections.abc import Callable
from contextlib import closing
from pathlib import Path

import pikepdf
import pypdf
import pypdfium2
import pytest

from tagmaker.problems import Severity
from tagmaker.revisions.selection import Selection
from tagmaker.workflows.make import make
from tagmaker.workflows.readback import readback
from tests.site.walks import SITE, Values, as_planned, filled, form, plan_of

WRONG: Values = {"BB-1/left/1/4": True, "BB-2/port/A/pipe/ok": False, "BB-2/port/A/pipe/found": "FC-7"}


@pytest.fixture(scope="module")
def job(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The job that is walked, on disk."""
    return SITE.write(tmp_path_factory.mktemp("walk") / "job")


@pytest.fixture(scope="module")
def good(job: Path) -> Path:
    """A sheet on which all is as planned."""
    path = job.parent / "good.pdf"
    path.write_bytes(filled(form(plan_of(job)), as_planned(plan_of(job))))
    return path


@pytest.fixture(scope="module")
def bad(job: Path) -> Path:
    """The same with a wrong switch and another unit's pipe."""
    path = job.parent / "bad.pdf"
    path.write_bytes(filled(form(plan_of(job)), as_planned(plan_of(job)) | WRONG))
    return path


# --- the programs -------------------------------------------------------------------------------------------


def pypdf_append(one: Path, two: Path, out: Path) -> None:
    """Appended to an empty document."""
    writer = pypdf.PdfWriter()
    writer.append(one)
    writer.append(two)
    writer.write(out)


def pypdf_clone(one: Path, two: Path, out: Path) -> None:
    """Appended to the first one."""
    writer = pypdf.PdfWriter(clone_from=one)
    writer.append(two)
    writer.write(out)


def pypdf_pages(one: Path, two: Path, out: Path) -> None:
    """Page by page, without the form."""
    writer = pypdf.PdfWriter()
    for path in (one, two):
        for page in pypdf.PdfReader(path).pages:
            writer.add_page(page)
    writer.write(out)


def pypdf_parents(one: Path, two: Path, out: Path) -> None:
    """Each form under a parent field of its own."""
    writer = pypdf.PdfWriter()
    for path in (one, two):
        reader = pypdf.PdfReader(path)
        reader.add_form_topname(path.stem)
        writer.append(reader)
    writer.write(out)


def pikepdf_pages(one: Path, two: Path, out: Path) -> None:
    """Pages alone, which leaves the second one's fields off the form; pikepdf warns of it."""
    with warnings.catch_warnings(), pikepdf.open(one) as first, pikepdf.open(two) as second:
        warnings.simplefilter("ignore")
        first.pages.extend(second.pages)
        first.save(out)


def pikepdf_both(one: Path, two: Path, out: Path) -> None:
    """Pages alone of both, in an empty document."""
    with warnings.catch_warnings(), pikepdf.new() as whole:
        warnings.simplefilter("ignore")
        for path in (one, two):
            with pikepdf.open(path) as part:
                whole.pages.extend(part.pages)
        whole.save(out)


def pdfium(one: Path, two: Path, out: Path) -> None:
    """The second one's pages imported into the first."""
    with closing(pypdfium2.PdfDocument(one)) as first, closing(pypdfium2.PdfDocument(two)) as second:
        first.import_pages(second)
        first.save(out)


def command(*parts: str) -> Callable[[Path, Path, Path], None]:
    """A program of Debian's; ONE, TWO and OUT stand for the files."""

    def merge(one: Path, two: Path, out: Path) -> None:
        paths = {"ONE": str(one), "TWO": str(two), "OUT": str(out)}
        subprocess.run([paths.get(part, part) for part in parts], check=True, capture_output=True)

    return merge


PROGRAMS: dict[str, Callable[[Path, Path, Path], None]] = {
    "pypdf append": pypdf_append,
    "pypdf clone": pypdf_clone,
    "pypdf pages": pypdf_pages,
    "pypdf parents": pypdf_parents,
    "pikepdf pages": pikepdf_pages,
    "pikepdf both": pikepdf_both,
    "pdfium": pdfium,
    "pdfunite": command("pdfunite", "ONE", "TWO", "OUT"),
    "qpdf": command("qpdf", "ONE", "--pages", ".", "TWO", "--", "OUT"),
    "qpdf empty": command("qpdf", "--empty", "--pages", "ONE", "TWO", "--", "OUT"),
    "qpdf overlay": command("qpdf", "ONE", "--overlay", "TWO", "--", "OUT"),
    "pdftk": command("pdftk", "ONE", "TWO", "cat", "output", "OUT"),
    "mutool": command("mutool", "merge", "-o", "OUT", "ONE", "TWO"),
    "ghostscript": command(
        "gs", "-q", "-dNOPAUSE", "-dBATCH", "-sDEVICE=pdfwrite", "-o", "OUT", "ONE", "TWO"
    ),
}

AS_INK = {"mutool", "ghostscript"}
"""Programs that leave no field: the first drops the entries too, the second draws them on the page."""


@pytest.mark.parametrize("order", ["good first", "bad first"])
@pytest.mark.parametrize("program", PROGRAMS)
def test_two_sheets_of_one_box_in_one_file_are_refused(  # noqa: PLR0917 — a case and what it is made of
    program: str, order: str, tmp_path: Path, job: Path, good: Path, bad: Path
) -> None:
    """No box is as planned, and an error says what to do."""
    out = tmp_path / "merged.pdf"
    PROGRAMS[program](*((good, bad) if order == "good first" else (bad, good)), out)
    result = readback([out], job)
    assert [box.state for box in result.boxes] == ["not seen", "not seen"]
    assert {problem.severity for problem in result.problems} == {Severity.ERROR}
    expected = ["paper-unread"] * 4 if program in AS_INK else ["return-merged"]
    assert [problem.code for problem in result.problems] == expected
    assert all(problem.hint for problem in result.problems)


@pytest.mark.parametrize("program", PROGRAMS)
def test_no_set_at_hand_makes_two_sheets_one(program: str, tmp_path: Path, job: Path) -> None:
    """Pages as ink are read by their set: what differs is not clear; entries that are lost are reported."""
    out = tmp_path / "set"
    made = make(job, out, Selection(proof=False))
    assert made.files
    good, bad, merged = (tmp_path / name for name in ("good.pdf", "bad.pdf", "merged.pdf"))
    printed = (out / "walk.pdf").read_bytes()
    good.write_bytes(filled(printed, as_planned(plan_of(job))))
    bad.write_bytes(filled(printed, as_planned(plan_of(job)) | WRONG))
    PROGRAMS[program](good, bad, merged)
    result = readback([merged], job, [out])
    assert [box.state for box in result.boxes] == ["not seen", "not seen"]
    codes = [problem.code for problem in result.problems]
    if program != "ghostscript":
        assert codes == ["return-flattened" if program in AS_INK else "return-merged"]
        return
    assert codes == ["paper-unclear", "paper-unclear"]
    unclear = [name for box in result.outline.boxes for name in box.unclear]
    assert unclear == ["BB-1/left/1/4", "BB-2/port/A/pipe/ok"]


@pytest.mark.parametrize("program", ["pypdf append", "pikepdf pages", "pdfunite", "qpdf", "pdftk"])
def test_the_boxes_of_a_merged_file_are_named(
    program: str, tmp_path: Path, job: Path, good: Path, bad: Path
) -> None:
    """With the way to hand them in."""
    out = tmp_path / "merged.pdf"
    PROGRAMS[program](good, bad, out)
    (problem,) = readback([out], job).problems
    assert problem.code == "return-merged"
    assert "BB-1, BB-2" in problem.message
    assert problem.hint == "hand in each filled form as its own file, as it was saved"


# --- what a merging program may leave behind, by hand -------------------------------------------------------


def changed(path: Path, out: Path, change: Callable[[pikepdf.Pdf], None]) -> Path:
    """A filled form with something in it changed."""
    with warnings.catch_warnings(), pikepdf.open(path) as document:
        warnings.simplefilter("ignore")  # pikepdf notices fields that the form does not list
        change(document)
        document.save(out)
    return out


def drop_from_form(document: pikepdf.Pdf) -> None:
    """A field is on its page, and the form does not list it."""
    del document.Root.AcroForm.Fields[3]


def drop_from_page(document: pikepdf.Pdf) -> None:
    """A ticked field is in the form alone: its page was replaced."""
    notes = document.pages[0].Annots
    at = next(n for n, note in enumerate(notes) if note.get("/V") == pikepdf.Name.Yes)
    del notes[at]


def show_other(document: pikepdf.Pdf) -> None:
    """A page shows a tick that the form does not hold."""
    note = next(note for note in document.pages[0].Annots if note.get("/V") == pikepdf.Name.Yes)
    note.V = pikepdf.Name.Off


def rename(document: pikepdf.Pdf) -> None:
    """One field has a suffix."""
    note = document.pages[0].Annots[3]
    note.T = pikepdf.String(f"{note.T}#1")


def add_bare_page(document: pikepdf.Pdf) -> None:
    """Another sheet's page as ink."""
    document.add_blank_page()


@pytest.mark.parametrize(
    ("change", "told"),
    [
        (drop_from_form, "has fields of BB-1 that its form does not list"),
        (drop_from_page, "has entries of BB-1 that no page shows"),
        (show_other, "shows ticks of BB-1 that it has not stored"),
        (rename, "has renamed fields of BB-1"),
        (add_bare_page, "has no form fields on page 3"),
    ],
)
def test_a_form_that_is_not_as_printed_is_refused(
    change: Callable[[pikepdf.Pdf], None], told: str, tmp_path: Path, job: Path, good: Path
) -> None:
    """One change each: the file counts for nothing."""
    result = readback([changed(good, tmp_path / "walk.pdf", change)], job)
    (problem,) = result.problems
    assert problem.code == "return-merged"
    assert problem.message == f"walk.pdf {told}: it was merged or changed by another program"
    assert [box.state for box in result.boxes] == ["not seen", "not seen"]


@pytest.mark.parametrize("state", ["/No", "/off", "/false", "/On", "No"])
def test_a_tick_of_a_state_that_its_page_does_not_show_is_refused(
    state: str, tmp_path: Path, job: Path, good: Path
) -> None:
    """A program may write any name as a state: one that has no picture is drawn as blank."""

    def set_state(document: pikepdf.Pdf) -> None:
        note = next(note for note in document.pages[0].Annots if str(note.T).endswith("/pipe/ok"))
        note.V = pikepdf.Name(state) if state.startswith("/") else pikepdf.String(state)
        if state.startswith("/"):
            note.AS = pikepdf.Name(state)

    result = readback([changed(good, tmp_path / "walk.pdf", set_state)], job)
    (problem,) = result.problems
    assert problem.code == "return-unreadable"
    assert f"a check box has the state {state}, which it does not show" in problem.message
    assert [box.state for box in result.boxes] == ["not seen", "not seen"]


def test_a_tick_of_a_state_of_another_name_is_read(tmp_path: Path, job: Path, good: Path) -> None:
    """A program may rename the state with its picture."""

    def rename_states(document: pikepdf.Pdf) -> None:
        for page in document.pages:
            for note in page.Annots:
                if pikepdf.Name.Btn == note.FT:
                    note.AP.N["/Ja"] = note.AP.N["/Yes"]
                    del note.AP.N["/Yes"]
                    if pikepdf.Name.Yes == note.V:
                        note.V = note.AS = pikepdf.Name.Ja

    result = readback([changed(good, tmp_path / "walk.pdf", rename_states)], job)
    assert result.problems == ()
    assert [box.state for box in result.boxes] == ["as planned", "as planned"]


def test_pages_of_one_box_taken_out_of_the_whole_are_read(tmp_path: Path, job: Path) -> None:
    """The other box's fields, left behind empty in the form, hide nothing."""
    blank = tmp_path / "blank.pdf"
    blank.write_bytes(filled(form(plan_of(job)), as_planned(plan_of(job), "BB-1")))

    def take_out(document: pikepdf.Pdf) -> None:
        while any(str(note.T).startswith("BB-2/") for note in document.pages[-1].Annots):
            del document.pages[-1]

    result = readback([changed(blank, tmp_path / "walk.pdf", take_out)], job)
    assert result.problems == ()
    assert [box.state for box in result.boxes] == ["as planned", "not seen"]
