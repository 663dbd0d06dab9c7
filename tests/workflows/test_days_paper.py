"""First days filled in by pen: read from a photo or scan, handwriting listed and cut out, then typed."""

from collections.abc import Mapping
from pathlib import Path

import msgspec
import pytest
from PIL import Image, ImageDraw
from pypdf import PdfReader

from tagmaker.problems import Problem
from tagmaker.revisions.form_pages import FormPage
from tagmaker.revisions.plan_file import read_form_pages
from tagmaker.revisions.selection import Selection
from tagmaker.site.paper.typed import TYPED_FORMAT, Cut, TypedEntry, TypedFile
from tagmaker.symbols.read import page_pictures
from tagmaker.workflows.handover import handover
from tagmaker.workflows.make import make
from tagmaker.workflows.punch_list import write_punch_list
from tagmaker.workflows.readback import Readback, readback
from tests.site.days.readings import system_job

DOTS = 8  # a millimetre
WRITTEN = {
    "BB-1/first-days/FC-1/1/mode": "C",
    "BB-1/first-days/FC-1/1/set": "72",
    "BB-1/first-days/FC-1/1/in": "75",
    "BB-1/first-days/FC-1/1/out": "81",
}


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A job's set beside the job."""
    place = tmp_path_factory.mktemp("days")
    assert make(system_job(place / "job"), place / "out", Selection(proof=False)).files
    return place


@pytest.fixture(scope="module")
def form(made: Path) -> FormPage:
    """The sheet's page as the set keeps it."""
    pages = read_form_pages(made / "out")
    assert not isinstance(pages, Problem)
    return next(page for page in pages.pages if page.file == "first-days.pdf")


@pytest.fixture(scope="module")
def empty(made: Path) -> Image.Image:
    """The page as it is printed."""
    return next(page_pictures((made / "out" / "first-days.pdf").read_bytes(), DOTS * 25.4, only=[1]))


@pytest.fixture(scope="module")
def photo(made: Path, form: FormPage, empty: Image.Image) -> Path:
    """A photo of it with the readings of a unit's first day."""
    picture = empty.convert("RGB")
    for name, text in WRITTEN.items():
        place = form.fields[name]
        at = ((place.x_mm + 1.5) * DOTS, (place.y_mm + 1.2) * DOTS)
        ImageDraw.Draw(picture).text(at, text, (20, 30, 120), font_size=30)
    picture.rotate(1.5, expand=True, fillcolor=(190, 180, 170)).save(made / "photo.jpg", quality=85)
    return made / "photo.jpg"


def table(made: Path, out: str = "81") -> Path:
    """The same typed into the table."""
    lines = (made / "out" / "first-days.csv").read_text("utf-8").splitlines()
    typed = [line.replace(",1,,,,,,", f",1,,C,72,75,{out},") if ",FC-1," in line else line for line in lines]
    (made / "typed.csv").write_text("\n".join(typed) + "\n", "utf-8")
    return made / "typed.csv"


def typed_file(path: Path, values: Mapping[Cut, str]) -> Path:
    """What a person typed beside pictures, as the desk keeps it."""
    entries = tuple(
        TypedEntry(cut.picture, cut.field, value, "R. Hale", "2026-06-03T14:30:00Z")
        for cut, value in values.items()
    )
    path.write_bytes(msgspec.json.encode(TypedFile(TYPED_FORMAT, entries)))
    return path


def back(made: Path, *files: Path) -> Readback:
    """What is read of these files."""
    return readback(list(files), made / "job", [made / "out"])


def test_handwriting_is_listed_beside_its_places_and_cut_out(made: Path, photo: Path) -> None:
    """Nothing is guessed: the unit counts as not read until somebody typed it; no walk came back."""
    found = back(made, photo)
    (days,) = found.outline.first_days
    assert set(days.to_type) == set(WRITTEN)
    assert (days.read, days.of, days.findings, days.unread) == (0, 2, (), ("FC-1 day 1", "FC-2 day 1"))
    assert set(found.paper.cuts) == {f"{name.replace('/', '_')}.png" for name in WRITTEN}
    (problem,) = found.problems
    assert problem.message.startswith(
        "first-days sheet of HR-1: handwriting is not read: BB-1/first-days/FC-1"
    )
    assert (problem.code, found.is_wrong, found.is_walked) == ("paper-handwriting", True, False)


def test_what_is_typed_too_is_judged_and_on_the_punch_list(made: Path, photo: Path, tmp_path: Path) -> None:
    """The finding has a number, a place and what to do; the PDF has it."""
    found = back(made, photo, table(made))
    (days,) = found.outline.first_days
    assert (days.to_type, days.read) == ((), 1)
    (punch,) = days.punch_list
    assert (punch.number, punch.place) == (1, "FC-1 (BB-1 · A)")
    assert "the air comes out warmer than it goes in" in punch.wrong
    assert write_punch_list(found, tmp_path / "punch.pdf") is None
    text = " ".join(PdfReader(tmp_path / "punch.pdf").pages[0].extract_text().split())
    assert "HR-1: First days" in text
    assert "the air comes out warmer" in text
    assert punch.to_do in text


def test_a_blank_sheet_says_nothing(made: Path, empty: Image.Image) -> None:
    """No handwriting, no readings, nothing wrong."""
    empty.save(made / "empty.png")
    found = back(made, made / "empty.png")
    assert (found.problems, found.days, found.is_wrong) == ((), (), False)


def test_what_is_typed_beside_a_picture_counts_as_read(made: Path, photo: Path) -> None:
    """By a person whose name stays with it; a text that is no reading counts for nothing."""
    cuts = back(made, photo).paper.places
    entries = {cut: WRITTEN[cut.field] for cut in cuts.values()}
    found = back(made, photo, typed_file(made / "typed.json", entries))
    (days,) = found.outline.first_days
    assert (days.to_type, days.read, len(days.findings)) == ((), 1, 1)
    assert {(each.field, each.value, each.by) for each in days.typed} == {
        (name, text, "R. Hale") for name, text in WRITTEN.items()
    }
    wrong = dict.fromkeys(cuts.values(), "warm")
    refused = back(made, photo, typed_file(made / "typed.json", wrong))
    assert {each.code for each in refused.problems} == {"paper-handwriting", "paper-typed"}


def test_a_sheet_of_another_job_counts_for_nothing(made: Path, photo: Path, tmp_path: Path) -> None:
    """By the job that the code on its page names."""
    other = system_job(tmp_path / "job")
    text = (other / "job.toml").read_text("utf-8")
    assert 'number = "' in text
    (other / "job.toml").write_text(text.replace('number = "', 'number = "X'), "utf-8")
    found = readback([photo], other, [made / "out"])
    assert [each.code for each in found.problems if each.severity == "error"] == ["return-foreign"]
    assert found.days == ()


def test_handwriting_that_nobody_typed_keeps_a_record_open(made: Path, photo: Path) -> None:
    """With what is to be typed."""
    record = handover(made / "job", [photo], [made / "out"]).record
    assert record is not None
    (point,) = (each for each in record.open if each.kind == "handwriting")
    assert (point.where, "BB-1/first-days/FC-1/1/mode" in point.what) == ("HR-1", True)
