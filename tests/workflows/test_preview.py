"""A selection page by page: what is shown is what `make` writes, and nothing is written."""

import csv
import shutil
from pathlib import Path

import pytest

from tagmaker.catalog.alignment import Alignment, keep_alignment
from tagmaker.revisions.selection import Selection
from tagmaker.workflows.make import make
from tagmaker.workflows.preview import (
    KEPT,
    Preview,
    Previews,
    lay_out_preview,
    page_picture,
    page_view,
    preview_key,
)
from tests.job_files import BOX, HEAD, UNIT, write_files
from tests.paths import EXAMPLES
from tests.workflows.jobs import contents

pytestmark = pytest.mark.usefixtures("user_folder")

TAPES = '[print]\npipe = "roll-tie-on-76x51-203dpi"\ncable = "roll-flag-102x25-300dpi"\nplacard = "4x6"\n'
PLACE = ("x_mm", "y_mm", "width_mm", "height_mm")


def job_named(name: str, folder: Path) -> Path:
    """The bakery, or a job of one box on rolls."""
    if name == "bakery":
        return Path(shutil.copytree(EXAMPLES / "bakery", folder / "job"))
    return write_files(folder / "job", {"job.toml": HEAD + TAPES + BOX + UNIT})


def shown(path: Path, selection: Selection, work: Path) -> Preview:
    """A selection as laid out, beside a set that is not there."""
    return lay_out_preview(path, selection, work / "no-set", work / "pages")


@pytest.mark.parametrize("name", ["bakery", "rolls"])
def test_each_page_is_the_picture_that_make_writes(name: str, tmp_path: Path) -> None:
    """Byte for byte, every page of every document, on a printer that was aligned too."""
    job = job_named(name, tmp_path)
    keep_alignment("letter-30-67x25", Alignment(1.001, 1.0, 0.4, -0.3))
    keep_alignment("roll-tie-on-76x51-203dpi", Alignment(1.0, 1.0, 0.5, 0.0))
    selection = Selection(proof=False, png=True)
    made = make(job, tmp_path / "out", selection)
    preview = shown(job, selection, tmp_path)
    pictures = {
        f"png/{document.file.removesuffix('.pdf')}-{number}.png": page_picture(
            tmp_path / "pages", document, number
        )
        for document in preview.documents
        for number in range(1, document.pages + 1)
    }
    written = {file: content for file, content in contents(tmp_path / "out").items() if file.endswith(".png")}
    assert pictures == written
    assert [(each.file, each.pages) for each in preview.documents] == [
        (file, pages) for file, pages in made.files if pages
    ]
    assert preview.part_used == made.checked.part_used


@pytest.mark.parametrize("selection", [Selection(), Selection(skip=7, kit="cables"), Selection(("BX-1",))])
def test_labels_are_where_the_register_says(selection: Selection, tmp_path: Path) -> None:
    """In print order; their places on the sheet go on from the labels that are gone."""
    job = EXAMPLES / "bakery"
    make(
        job, tmp_path / "out", Selection(selection.boxes, kit=selection.kit, skip=selection.skip, proof=False)
    )
    with (tmp_path / "out" / "register.csv").open(encoding="utf-8", newline="") as file:
        rows = [
            (row["file"], row["code"], int(row["page"]), *(float(row[key]) for key in PLACE))
            for row in csv.DictReader(file)
        ]
    preview = shown(job, selection, tmp_path)
    labels = [
        (document.file, each.code, number, each.x, each.y, each.width, each.height)
        for document in preview.documents
        for number in range(1, document.pages + 1)
        for each in page_view(tmp_path / "pages", document, number).labels
    ]
    assert [row[:3] for row in labels] == [row[:3] for row in rows]
    assert [row[3:] for row in labels] == [pytest.approx(row[3:], abs=0.001) for row in rows]
    first = page_view(tmp_path / "pages", preview.documents[0], 1).labels
    assert [each.place for each in first][:2] == [selection.skip + 1, selection.skip + 2]
    places = preview.documents[0].places
    assert len(places) == 30
    assert [places[each.place - 1] for each in first] == [
        pytest.approx((each.x, each.y, each.width, each.height)) for each in first
    ]
    assert preview.documents[-1].places == ()


@pytest.mark.parametrize(
    ("name", "selection"),
    [
        ("full-of-mistakes", Selection()),
        ("full-of-mistakes", Selection(("BB-3",))),
        ("bakery", Selection(only=("BX-1/Z",))),
        ("bakery", Selection(skip=30)),
        ("bakery", Selection(since=Path("nowhere"))),
        ("clinic", Selection(stage="final")),
    ],
)
def test_the_problems_are_those_of_make(name: str, selection: Selection, tmp_path: Path) -> None:
    """With an error nothing is shown, as nothing would be written."""
    preview = shown(EXAMPLES / name, selection, tmp_path)
    made = make(EXAMPLES / name, tmp_path / "out", selection)
    assert preview.problems == made.checked.problems
    assert bool(preview.documents) == bool(made.files)
    assert (tmp_path / "pages").exists() == bool(made.files)


def test_a_job_that_differs_from_its_set_needs_a_revision(job: Path, tmp_path: Path) -> None:
    """The warning that `make` gives into the same folder; equal to it, none."""
    make(job, tmp_path / "out", Selection(proof=False))
    for name, found in (("BB-2", []), ("BB-9", ["revision-unchanged"])):
        for each in (job / "job.toml", job / "ports.csv"):
            each.write_text(each.read_text("utf-8").replace("BB-2", name), "utf-8")
        preview = lay_out_preview(job, Selection(), tmp_path / "out", tmp_path / "pages")
        assert [each.code for each in preview.problems] == found


def test_a_page_that_is_not_there_is_none(tmp_path: Path) -> None:
    """From 1 to the last."""
    (document, *_) = shown(EXAMPLES / "bakery", Selection(), tmp_path).documents
    for number in (0, document.pages + 1):
        with pytest.raises(IndexError):
            page_view(tmp_path / "pages", document, number)


def test_the_key_is_of_all_that_pages_depend_on(tmp_path: Path) -> None:
    """Any file that the job is read from, the selection, the earlier set, the user's printer."""
    job = Path(shutil.copytree(EXAMPLES / "three-port-boards", tmp_path / "job"))
    out = tmp_path / "out"
    make(job, out, Selection(proof=False))
    whole, since = Selection(), Selection(since=out)
    keys = [preview_key(job, whole), preview_key(job, since), preview_key(job, Selection(skip=1))]
    assert preview_key(job, whole) == keys[0]
    (job / "notes.txt").write_text("nothing of the job", "utf-8")
    assert preview_key(job, whole) == keys[0]
    own = next((job / "families").glob("*.toml"))
    for file in (job / "job.toml", own, *job.glob("*.csv")):
        file.write_bytes(file.read_bytes() + b"\n")
        keys.append(preview_key(job, whole))
    (out / "plan.json").write_bytes(b"{}")
    keys.append(preview_key(job, since))
    keep_alignment("letter-30-67x25", Alignment(1.001))
    keys.append(preview_key(job, whole))
    assert len(set(keys)) == len(keys)


def test_few_layouts_are_kept(tmp_path: Path) -> None:
    """The one that was not asked for longest goes, with its file."""
    previews = Previews(tmp_path)
    names = [str(number) for number in range(KEPT)]
    for name in [*names, "last"]:
        previews.file(name).write_bytes(b"pages")
        previews.keep(name, Preview(()))
        assert previews.find(names[0])
    assert previews.find(names[1]) is None
    assert sorted(path.stem for path in tmp_path.iterdir()) == sorted({*names, "last"} - {names[1]})
