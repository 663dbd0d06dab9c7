"""The record of a whole site: what its PDF holds, and that it is never mixed up, overwritten or changed."""

import hashlib
import io
import re
import subprocess
from pathlib import Path
from typing import Any

import pikepdf
import pypdfium2
import pytest

from tagmaker.plan.model import Plan
from tagmaker.revisions.plan_file import read_plan_file
from tagmaker.revisions.selection import Selection
from tagmaker.site.paper.sheets import PaperReturns
from tagmaker.workflows.handover import HandedOver, handover, write_handover
from tagmaker.workflows.handover_files import read_files
from tagmaker.workflows.make import make
from tagmaker.workflows.readback import readback
from tests.records import replace
from tests.site.handed_over import all_right
from tests.site.walks import SITE, Values, hand_in, plan_of, without

READBACK = "tagmaker.workflows.handover.readback"


@pytest.fixture
def right(tmp_path: Path, site_plan: Plan) -> list[Path]:
    """A folder in which a walk came back that leaves nothing open."""
    hand_in(tmp_path / "returned", site_plan, all_right(site_plan))
    return [tmp_path / "returned"]


def written(job: Path, given: list[Path], out: Path, *sets: Path) -> HandedOver:
    """The record in a file."""
    done = write_handover(handover(job, given, sets), out)
    assert done.out == out
    return done


def page_texts(pdf: Path) -> list[str]:
    """What each page says."""
    document = pypdfium2.PdfDocument(pdf)
    try:
        return [" ".join(page.get_textpage().get_text_range().split()) for page in document]
    finally:
        document.close()


def saved(pdf: Path, folder: Path) -> dict[str, bytes]:
    """The files that poppler saves from it."""
    folder.mkdir()
    subprocess.run(["pdfdetach", "-saveall", "-o", folder, pdf], check=True)
    return {path.name: path.read_bytes() for path in folder.iterdir()}


# --- each page ----------------------------------------------------------------------------------------------


def test_every_page_shows_whether_anything_is_open(
    tmp_path: Path, site_job: Path, site_plan: Plan, right: list[Path]
) -> None:
    """Its digest too, and that it is no certificate."""
    wrong = hand_in(tmp_path / "in", site_plan, without(all_right(site_plan), "BB-2/item/tested"))
    cases: tuple[tuple[list[Path], str], ...] = (
        (right, "NO OPEN POINTS"),
        (wrong, "NOT COMPLETE – OPEN POINTS: 1"),
        ([], "NOT COMPLETE"),
    )
    for at, (given, state) in enumerate(cases):
        done = written(site_job, given, tmp_path / f"{at}.pdf")
        pages = page_texts(tmp_path / f"{at}.pdf")
        assert done.record is not None
        assert done.record.complete == (at == 0)
        shown = " ".join(done.record.digest[at : at + 4] for at in range(0, 16, 4))
        assert len(pages) == done.pages > 1
        for page in pages:
            assert state in page
            assert ("NOT COMPLETE" in page) == (at > 0)
            assert shown in page
            assert "Not a certificate" in page


def test_open_points_are_the_first_thing_on_the_first_page(
    tmp_path: Path, site_job: Path, site_plan: Plan
) -> None:
    """Before any box."""
    values = all_right(site_plan) | {"BB-1/left/1/1": True}
    written(site_job, hand_in(tmp_path, site_plan, values), tmp_path / "h.pdf")
    first = page_texts(tmp_path / "h.pdf")[0]
    places = [
        first.index(text) for text in ("Open points", "Bank 1 switch 1 is ON", "What this record covers")
    ]
    assert places == sorted(places)
    assert first.index("Box BB-1") > places[-1]


# --- what is attached ---------------------------------------------------------------------------------------


def test_register_plan_and_the_list_of_digests_are_attached(
    tmp_path: Path, site_job: Path, right: list[Path]
) -> None:
    """The list is one that sha256sum takes; its own digest is the record's."""
    done = written(site_job, right, tmp_path / "h.pdf")
    files = saved(tmp_path / "h.pdf", tmp_path / "saved")
    assert done.record is not None
    assert set(files) == {"register.csv", "plan.json", "read.sha256"}
    assert hashlib.sha256(files["read.sha256"]).hexdigest() == done.record.digest
    (tmp_path / "saved" / "returned").symlink_to(right[0])
    command = ["sha256sum", "--strict", "-c", "read.sha256"]
    run = subprocess.run(command, cwd=tmp_path / "saved", capture_output=True, text=True, check=False)
    assert run.stdout.splitlines() == ["register.csv: OK", "plan.json: OK", "returned/walk-1.json: OK"]
    found = read_plan_file(tmp_path / "saved" / "plan.json")
    assert getattr(found, "digest", "") != ""


def test_they_are_those_of_the_printed_set_where_it_is_of_this_plan(
    tmp_path: Path, site_job: Path, right: list[Path]
) -> None:
    """Byte for byte; the register is the same without a set."""
    assert make(site_job, tmp_path / "set", Selection(proof=False)).files
    done = written(site_job, right, tmp_path / "h.pdf", tmp_path / "set")
    bare = written(site_job, right, tmp_path / "b.pdf")
    files, without_set = saved(tmp_path / "h.pdf", tmp_path / "a"), saved(tmp_path / "b.pdf", tmp_path / "b")
    for name in ("register.csv", "plan.json"):
        assert files[name] == (tmp_path / "set" / name).read_bytes()
    assert files["register.csv"] == without_set["register.csv"]
    assert (done.record and done.record.plan_from, bare.record and bare.record.plan_from) == ("set", "job")
    assert done.record is not None
    assert done.record.complete


@pytest.mark.parametrize("how", ["another plan", "changed register", "no set"])
def test_a_set_of_another_plan_or_one_that_changed_is_open(
    how: str, tmp_path: Path, site_job: Path, right: list[Path]
) -> None:
    """What is on site is then not what is planned; nothing of that set is attached."""
    job = site_job if how != "another plan" else replace(SITE, revision="1").write(tmp_path / "old")
    assert make(job, tmp_path / "set", Selection(proof=False)).files
    if how == "changed register":
        (tmp_path / "set" / "register.csv").write_text("code\n", encoding="utf-8")
    if how == "no set":
        (tmp_path / "set" / "plan.json").unlink()
    done = handover(site_job, right, [tmp_path / "set"])
    assert done.record is not None
    assert [point.kind for point in done.record.open] == ["set"]
    assert done.record.plan_from == "job"


# --- the file -----------------------------------------------------------------------------------------------


def test_the_same_site_gives_the_same_bytes(tmp_path: Path, site_job: Path, right: list[Path]) -> None:
    """Written again over itself too."""
    written(site_job, right, tmp_path / "a.pdf")
    first = (tmp_path / "a.pdf").read_bytes()
    written(site_job, right, tmp_path / "a.pdf")
    assert (tmp_path / "a.pdf").read_bytes() == first


def test_a_record_as_it_was_written_is_replaced(tmp_path: Path, site_job: Path, right: list[Path]) -> None:
    """By one of the same site later on."""
    written(site_job, [], tmp_path / "h.pdf")
    written(site_job, right, tmp_path / "h.pdf")
    assert "NO OPEN POINTS" in page_texts(tmp_path / "h.pdf")[0]


def signed(pdf: bytes) -> bytes:
    """The same after another program added something at its end, as one that signs does."""
    return pdf + b"\n1 0 obj\n<< >>\nendobj\n%%EOF\n"


def saved_again(pdf: bytes) -> bytes:
    """The same as another program writes it."""
    out = io.BytesIO()
    with pikepdf.open(io.BytesIO(pdf)) as document:
        document.save(out)
    return out.getvalue()


@pytest.mark.parametrize("change", [signed, saved_again, lambda _: b"%PDF-1.7 another", lambda _: b"text"])
def test_a_record_that_was_signed_or_another_file_is_never_replaced(
    change: Any, tmp_path: Path, site_job: Path, right: list[Path]
) -> None:
    """A signature would be lost."""
    out = tmp_path / "h.pdf"
    written(site_job, right, out)
    kept = change(out.read_bytes())
    out.write_bytes(kept)
    done = write_handover(handover(site_job, right), out)
    assert ([problem.code for problem in done.problems], done.out) == (["output-foreign"], None)
    assert out.read_bytes() == kept


def test_one_changed_byte_is_seen(tmp_path: Path, site_job: Path, right: list[Path]) -> None:
    """Anywhere in the file."""
    out = tmp_path / "h.pdf"
    written(site_job, right, out)
    whole = bytearray(out.read_bytes())
    for at in range(20, len(whole), len(whole) // 9):
        changed = bytearray(whole)
        changed[at] ^= 1
        out.write_bytes(changed)
        assert write_handover(handover(site_job, []), out).out is None, at


def test_a_job_with_errors_has_no_record(tmp_path: Path) -> None:
    """What is planned is not known."""
    text = SITE.toml().replace('"12 kBtu/h"', '"120 kBtu/h"')
    (tmp_path / "job.toml").write_text(text, encoding="utf-8")
    done = handover(tmp_path, [])
    assert (done.record, "port-overloaded" in [problem.code for problem in done.problems]) == (None, True)
    assert write_handover(done, tmp_path / "h.pdf").out is None
    assert not (tmp_path / "h.pdf").exists()


def test_a_file_that_changes_meanwhile_is_refused(
    site_job: Path, right: list[Path], monkeypatch: pytest.MonkeyPatch
) -> None:
    """Its digest would be that of another content."""
    original = readback

    def read_and_change(*given: Any) -> Any:
        found = original(*given)
        (right[0] / "walk-1.json").write_text("{}", encoding="utf-8")
        return found

    monkeypatch.setattr(READBACK, read_and_change)
    done = handover(site_job, right)
    assert (done.record, [problem.code for problem in done.problems]) == (None, ["return-unreadable"])


# --- files --------------------------------------------------------------------------------------------------


def test_files_are_named_by_their_folder(tmp_path: Path) -> None:
    """Where two would have one name, by their whole path."""
    for folder in ("one/in", "two/in"):
        (tmp_path / folder).mkdir(parents=True)
        (tmp_path / folder / "a.json").write_text(folder, encoding="utf-8")
    (tmp_path / "b.json").write_text("b", encoding="utf-8")
    one = read_files([tmp_path / "one" / "in", tmp_path / "b.json"])
    assert [each.name for each in one.digests] == ["in/a.json", "b.json"]
    assert one.digests[1].sha256 == hashlib.sha256(b"b").hexdigest()
    assert one.short(f"{tmp_path}/one/in/a.json: ON; {tmp_path}/b.json: OFF") == "in/a.json: ON; b.json: OFF"
    both = read_files([tmp_path / "one" / "in", tmp_path / "two" / "in"])
    assert [each.name for each in both.digests] == [
        str(tmp_path / "one/in/a.json"), str(tmp_path / "two/in/a.json")
    ]  # fmt: skip


def test_a_file_that_is_not_there_has_no_digest(tmp_path: Path) -> None:
    """It is listed all the same."""
    assert [each.sha256 for each in read_files([tmp_path / "gone.json"]).digests] == [""]


# --- pictures -----------------------------------------------------------------------------------------------


def test_pictures_cut_from_paper_are_shown_and_attached(
    tmp_path: Path, site_job: Path, right: list[Path], monkeypatch: pytest.MonkeyPatch
) -> None:
    """Beside the box that they are of."""
    from PIL import Image  # noqa: PLC0415 — this test alone

    out = io.BytesIO()
    Image.new("L", (300, 40), 128).save(out, "PNG")
    cuts = {"BB-1_port_A_note.png": out.getvalue()}
    original = readback
    monkeypatch.setattr(READBACK, lambda *given: replace(original(*given), paper=PaperReturns(cuts=cuts)))
    done = written(site_job, right, tmp_path / "h.pdf")
    assert done.record is not None
    assert (done.record.boxes[0].pictures, done.record.boxes[1].pictures) == (tuple(cuts), ())
    assert saved(tmp_path / "h.pdf", tmp_path / "a")["BB-1_port_A_note.png"] == out.getvalue()
    assert any("Cut from paper: BB-1_port_A_note" in page for page in page_texts(tmp_path / "h.pdf"))
    with pikepdf.open(tmp_path / "h.pdf") as document:
        streams = [each for each in document.objects if isinstance(each, pikepdf.Stream)]
    assert sum(each.get("/Subtype") == "/Image" for each in streams) == 1


# --- what people wrote --------------------------------------------------------------------------------------

HOSTILE: Values = {
    "BB-1/port/A/note": "A" * 5000,
    "BB-1/port/B/note": "\u202e\u0000<script>alert(1)</script> \U0001f600 =cmd|'/C calc'!A0",
    "BB-1/port/C/proved": "K.A. \u4e2d\u6587 ( ) \\ \r\n second line",
    "BB-1/sign/installer": "W" * 300,
    "BB-1/date/installer": "%%EOF endobj stream",
}


def test_a_record_does_not_fail_because_of_what_people_wrote(
    tmp_path: Path, site_job: Path, site_plan: Plan
) -> None:
    """Signs that the face lacks are spelt out, long words are broken, a long text is cut with how much."""
    (file,) = hand_in(tmp_path, site_plan, all_right(site_plan) | HOSTILE)
    done = written(site_job, [file], tmp_path / "h.pdf")
    text = " ".join(page_texts(tmp_path / "h.pdf"))
    assert done.record is not None
    assert "U+1F600" in text
    assert "U+4E2D" in text
    assert "\u202e" not in text
    assert done.record.boxes[0].ports[0].note == "A" * 5000
    assert re.search(r"\(\+44\d\d\)", text)
    assert subprocess.run(["qpdf", "--check", tmp_path / "h.pdf"], check=False).returncode == 0


def test_a_name_on_the_job_is_shown(tmp_path: Path) -> None:
    """A job with names as long as they may be."""
    boxes = (replace(SITE.boxes[0], place="Corridor, " * 5 + "end", power="Panel, " * 5 + "6"), SITE.boxes[1])
    job = replace(SITE, boxes=boxes, name="Library, " * 6 + "north").write(tmp_path / "job")
    plan = plan_of(job)
    done = written(job, hand_in(tmp_path, plan, all_right(plan)), tmp_path / "h.pdf")
    assert done.record is not None
    assert done.record.complete
