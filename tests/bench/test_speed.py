"""The pieces of the bench: the campus is a legal job, and the plain loop prints what the program printed."""

from collections import Counter
from pathlib import Path

import pikepdf
import pytest

from tagmaker.revisions.selection import Selection
from tagmaker.symbols.read import page_pictures, read_codes
from tagmaker.workflows import check
from tagmaker.workflows import make as workflow
from tests.bench.campus import campus, write_campus
from tests.bench.replay import Replay, taken
from tests.bench.speed import make, printed_again, tell_tags


@pytest.fixture(scope="module")
def out(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A set of two boxes."""
    folder = tmp_path_factory.mktemp("campus")
    made = workflow.make(write_campus(folder / "job", 2), folder / "out", selection=Selection(proof=False))
    assert made.boxes == 2
    return folder / "out"


def test_a_campus_is_legal_and_has_so_many_boxes(tmp_path: Path) -> None:
    """No error, warning or note; about 56 tags a box."""
    checked = check.check(write_campus(tmp_path / "job", 30))
    assert checked.problems == ()
    assert checked.plan is not None
    assert len(checked.plan.boxes) == 30
    assert 54 <= sum(need.labels for need in checked.sheets) / 30 <= 58


def test_a_campus_has_every_use_of_ports() -> None:
    """Boxes of every size; pairs joined, ports shared and spare; and it is the same each time."""
    files = campus(30)
    assert files == campus(30)
    rows = [row.split(",") for row in files["ports.csv"].splitlines()[1:]]
    ports = [(box, port) for _, box, port, *_ in rows]
    assert {size for size in (4, 6, 8, 10, 12) if f"ports = {size}\n" in files["job.toml"]} == {
        4,
        6,
        8,
        10,
        12,
    }
    assert any("+" in port for _, port in ports)
    assert len(set(ports)) < len(ports)
    assert "BB-3,H" not in files["ports.csv"]


@pytest.mark.parametrize("name", ["tags-letter-30-67x25.pdf", "placards.pdf", "walk.pdf", "kits.pdf"])
def test_what_was_printed_is_taken_and_drawn_again(name: str, out: Path) -> None:
    """As many pages, every code of them, and what a scanner reads of both is the same."""
    pages, again = list(taken(out / name)), Replay()
    again.document(pages)
    texts = [sorted(code.text for code in page.codes) for page in pages]
    for pdf in ((out / name).read_bytes(), again.printed[0]):
        seen = [
            sorted(code.text for code in read_codes(picture, 8 * 25.4))
            for picture in page_pictures(pdf, 8 * 25.4)
        ]
        assert seen == texts
    assert again.codes == sum(map(len, texts))


def test_a_label_sheet_is_taken_whole(out: Path) -> None:
    """A code for each row of the register, and the words beside them."""
    rows = (out / "register.csv").read_text().splitlines()[1:]
    pages = list(taken(out / "tags-letter-30-67x25.pdf"))
    codes = [code.text for page in pages for code in page.codes]
    assert sorted(codes) == sorted(row.split(",")[0] for row in rows)
    assert sum(len(page.calls) for page in pages) > 20 * len(rows)


def test_the_form_is_taken_with_its_fields(out: Path) -> None:
    """The walk drawn again has as many fields as the walk that was printed."""
    again = Replay()
    again.document(taken(out / "walk.pdf"))
    with pikepdf.open(out / "walk.pdf") as document:
        kinds = Counter(str(note.FT) for page in document.pages for note in page.Annots)
    for kind in ("/Btn", "/Tx"):
        assert again.printed[0].count(f"/FT {kind}".encode()) == kinds[kind] > 10


def test_a_run_tells_what_it_took(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """A process by itself, and the tags alone: figures above nothing."""
    job = write_campus(tmp_path / "job", 1)
    took = make(job, tmp_path / "out", "--no-proof")
    assert min(took.wall, took.processor, took.peak_mb) > 0
    assert "28 tags for 1 box" in took.told
    tell_tags(str(job))
    assert "a tag alone, of 28 " in capsys.readouterr().out
    assert printed_again(tmp_path / "out").seconds > 0
