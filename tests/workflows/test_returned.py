"""What came back to a job: kept in its folder, read as the command line reads it, with each file's part."""

import json
import os
import shutil
from pathlib import Path

import pytest
from PIL import Image
from typer.testing import CliRunner

from tagmaker.cli.app import app
from tagmaker.plan.model import Plan
from tagmaker.plan.response import Asked
from tagmaker.workflows.handover import handover
from tagmaker.workflows.readback import readback
from tagmaker.workflows.returned import (
    job_digest,
    keep_returned,
    returned_digest,
    returned_files,
)
from tagmaker.workflows.returned_read import PUNCH_LIST, READBACK_JSON, ReturnedOutline, read_returned
from tests.paths import EXAMPLES
from tests.site.handed_over import all_right
from tests.site.photos import page_picture, saved, taken
from tests.site.walks import Values, filled, form, hand_in, only, phone
from tests.workflows.response_site import SITE, answers, fill_csv, made


@pytest.fixture
def job(tmp_path: Path, site_job: Path) -> Path:
    """A copy of the job of two boxes."""
    return Path(shutil.copytree(site_job, tmp_path / "jobs" / "job"))


def read(job: Path, tmp_path: Path) -> ReturnedOutline:
    """All that came back; what is written goes to the folder `out`."""
    (tmp_path / "out").mkdir(exist_ok=True)
    return read_returned(job, job.parent, tmp_path / "out")


def test_it_is_what_the_command_line_gives(
    tmp_path: Path, job: Path, site_plan: Plan, site_wrong: Values
) -> None:
    """The punch list byte for byte, the JSON character by character."""
    folder = job / "returned"
    folder.mkdir()
    (folder / "kim.pdf").write_bytes(filled(form(site_plan), only(site_wrong, ["BB-1/"])))
    (folder / "max.json").write_text(phone(site_plan, only(site_wrong, ["BB-2/"])), "utf-8")
    (folder / "scans.txt").write_text("BB-1/A/TRM\nBB-1/B/COM\n", "utf-8")
    (folder / "lunch.jpg").write_bytes(b"\xff\xd8\xff\xe0 no photo")
    done = read(job, tmp_path)
    words = ["readback", str(folder), "--job", str(job), "--json", "-o", str(tmp_path / "list.pdf")]
    run = CliRunner().invoke(app, words)
    assert run.exit_code == 1
    assert run.stdout == (tmp_path / "out" / READBACK_JSON).read_text("utf-8")
    assert (tmp_path / "list.pdf").read_bytes() == (tmp_path / "out" / PUNCH_LIST).read_bytes()
    content = json.loads(run.stdout)
    assert content["counts"] == {"as planned": 0, "differs": 2, "not seen": 0}
    assert [box.readback.box for box in done.boxes] == [box["box"] for box in content["boxes"]]
    lists = [[punch.wrong for punch in box.readback.punch_list] for box in done.boxes]
    assert lists == [[punch["wrong"] for punch in box["punch_list"]] for box in content["boxes"]]


def test_each_file_has_what_it_is_its_boxes_and_its_problems(
    tmp_path: Path, job: Path, site_plan: Plan, site_right: Values
) -> None:
    """A form, a phone's file, scanned codes, and files that are none of these."""
    folder = job / "returned"
    (folder / "monday").mkdir(parents=True)
    (folder / "kim.pdf").write_bytes(filled(form(site_plan), only(site_right, ["BB-1/"])))
    (folder / "monday" / "max.json").write_text(phone(site_plan, only(site_right, ["BB-2/"])), "utf-8")
    (folder / "scans.txt").write_text("BB-1/A/TRM\nBB-1/A/LIQ\n", "utf-8")
    (folder / "offer.docx").write_bytes(b"PK\x03\x04 an office document")
    (folder / "other.json").write_text("{}", "utf-8")
    found = {each.name: each for each in read(job, tmp_path).files}
    assert {name: (each.kind, each.boxes) for name, each in found.items()} == {
        "kim.pdf": ("sheet", ("BB-1",)),
        "monday/max.json": ("phone", ("bb-2",)),
        "offer.docx": ("other", ()),
        "other.json": ("phone", ()),
        "scans.txt": ("codes", ()),
    }
    wrong = {name: [each.code for each in one.problems] for name, one in found.items() if one.problems}
    assert wrong == {"offer.docx": ["return-unreadable"], "other.json": ["return-unreadable"]}
    assert all(
        str(tmp_path) not in each.message + each.where for one in found.values() for each in one.problems
    )


def test_terminals_and_placards_that_were_scanned_are_at_their_box(tmp_path: Path) -> None:
    """Of a session: the terminals' results; of a placard whether it is as the job is today."""
    job = Path(shutil.copytree(EXAMPLES / "bakery", tmp_path / "jobs" / "bakery"))
    run = CliRunner().invoke(app, ["make", str(job), "-o", str(tmp_path / "jobs" / "bakery-out")])
    assert run.exit_code == 0
    shutil.copy(tmp_path / "jobs" / "bakery-out" / "placards.pdf", job / "returned" / "wall.pdf")
    (job / "returned" / "scans.txt").write_text("BX-1/A/TRM\nBX-1/A/GAS\nBX-1/C/TRM\nBX-1/A/COM\n", "utf-8")
    done = read(job, tmp_path)
    (box,) = done.boxes
    assert [(each.letter, each.result) for each in box.terminals] == [("A", "missing"), ("C", "crossed")]
    assert [(each.is_placard, each.is_wrong, each.source) for each in box.codes][:1] == [
        (True, False, "wall.pdf page 1")
    ]
    assert {each.name: each.kind for each in done.files}["wall.pdf"] == "photo"
    assert not any(each.file == "wall.pdf" for each in done.problems)
    text = (job / "job.toml").read_text("utf-8").replace('port = "B"', 'port = "E"')
    (job / "job.toml").write_text(text, "utf-8")
    (box,) = read(job, tmp_path).boxes
    assert [each.is_wrong for each in box.codes if each.is_placard][:1] == [True]
    assert any(each.differences for each in box.codes)


def test_photos_of_tags_are_scans(tmp_path: Path) -> None:
    """A sheet of tags held before a phone: its codes are at their box; a photo of another job's at none."""
    job = Path(shutil.copytree(EXAMPLES / "bakery", tmp_path / "jobs" / "bakery"))
    out = tmp_path / "out-of-office"
    assert CliRunner().invoke(app, ["make", str(job), "-o", str(out)]).exit_code == 0
    (tags,) = out.glob("tags-*.pdf")
    saved(taken(page_picture(tags), 3), job / "returned" / "tags.jpg")
    done = read(job, tmp_path)
    (box,) = done.boxes
    assert {each.kind for each in done.files if each.name == "tags.jpg"} == {"photo"}
    assert len(box.codes) > 15
    assert {(each.source, each.is_wrong) for each in box.codes} == {("tags.jpg", False)}
    assert not any(each.file == "tags.jpg" for each in done.problems)
    text = (job / "job.toml").read_text("utf-8").replace("BX-1", "ZX-9")
    (job / "job.toml").write_text(text, "utf-8")
    other = read(job, tmp_path)
    assert [len(each.codes) for each in other.boxes] == [0]
    assert {each.is_wrong for each in other.codes} == {True}


def test_a_page_that_is_not_read_is_reported_though_tags_are_beside_it(tmp_path: Path) -> None:
    """One picture of a sheet, its lower half cut off, and of tags: the tags do not explain the sheet."""
    job = Path(shutil.copytree(EXAMPLES / "bakery", tmp_path / "jobs" / "bakery"))
    out = tmp_path / "jobs" / "bakery-out"
    assert CliRunner().invoke(app, ["make", str(job), "-o", str(out)]).exit_code == 0
    (tags,) = out.glob("tags-*.pdf")
    sheet, labels = page_picture(out / "walk.pdf"), page_picture(tags)
    upper = sheet.crop((0, 0, sheet.width, sheet.height // 2))
    both = Image.new("RGB", (max(upper.width, labels.width), upper.height + labels.height), "white")
    both.paste(upper, (0, 0))
    both.paste(labels, (0, upper.height))
    saved(both, job / "returned" / "desk.png")
    done = read(job, tmp_path)
    assert {each.kind for each in done.files if each.name == "desk.png"} == {"photo"}
    (problem,) = [each for each in done.problems if each.file == "desk.png"]
    assert problem.message == "not all four corner squares of the walk sheet of BX-1 are in it"


def test_a_job_that_cannot_be_read_says_so(tmp_path: Path, job: Path) -> None:
    """No box, and the job's own errors; the files stay listed."""
    keep_returned([EXAMPLES / "bakery" / "returned" / "walk-BX-1.json"], job)
    (job / "job.toml").write_text("[job\n", "utf-8")
    done = read(job, tmp_path)
    assert (done.boxes, [each.name for each in done.files]) == ((), ["walk-BX-1.json"])
    assert [each.code for each in done.problems] == ["toml-syntax"]
    assert done.is_wrong


def test_a_folder_that_leads_out_of_the_job_is_refused(tmp_path: Path, job: Path) -> None:
    """Nothing is written there, and nothing is read from there."""
    elsewhere = tmp_path / "elsewhere"
    elsewhere.mkdir()
    (elsewhere / "secret.json").write_text("{}", "utf-8")
    (job / "returned").symlink_to(elsewhere)
    keeping = keep_returned([EXAMPLES / "bakery" / "returned" / "walk-BX-1.json"], job)
    assert ([each.code for each in keeping.problems], keeping.kept) == (["file-outside"], ())
    assert [each.name for each in elsewhere.iterdir()] == ["secret.json"]
    assert returned_files(job) == []


def test_a_file_that_leads_out_of_the_job_is_skipped(tmp_path: Path, job: Path) -> None:
    """Its neighbours are read."""
    (tmp_path / "secret.json").write_text("{}", "utf-8")
    (job / "returned").mkdir()
    (job / "returned" / "mine.json").write_text("{}", "utf-8")
    (job / "returned" / "theirs.json").symlink_to(tmp_path / "secret.json")
    assert [each.name for each in returned_files(job)] == ["mine.json"]


def test_what_is_left_out_of_the_folder_is_an_error(tmp_path: Path, job: Path, site_plan: Plan) -> None:
    """A crossing may be behind it: nothing in a shared folder that is linked in, or in a pipe, is read."""
    returned = job / "returned"
    hand_in(returned, site_plan, all_right(site_plan))
    (share,) = hand_in(tmp_path / "share", site_plan, {"BB-1/port/A/pipe/found": "FC-5"})
    (returned / "share").symlink_to(share.parent)
    (returned / "theirs.json").symlink_to(tmp_path / "gone.json")
    os.mkfifo(returned / "pipe")
    (returned / ".hidden").symlink_to(share.parent)
    names = ["pipe", "share", "theirs.json"]
    outline = read(job, tmp_path)
    assert [(each.code, each.file, each.where) for each in outline.problems] == [
        ("return-unreadable", "", name) for name in names
    ]
    assert [Path(each.where.file).name for each in readback([returned], job).problems] == names
    record = handover(job, [returned]).record
    assert record
    assert [each.where for each in record.open] == [f"returned/{name}" for name in names]
    (returned / "theirs.json").unlink()
    (returned / "theirs.json").symlink_to(share)
    assert [each.code for each in read(job, tmp_path).problems] == [
        *["return-unreadable"] * 2,
        "file-outside",
    ]


def test_a_file_in_the_folders_place_is_a_problem(job: Path) -> None:
    """In words; the file stays."""
    (job / "returned").write_text("mine", "utf-8")
    keeping = keep_returned([EXAMPLES / "bakery" / "returned" / "walk-BX-1.json"], job)
    assert [each.code for each in keeping.problems] == ["output-blocked"]
    assert (job / "returned").read_text("utf-8") == "mine"


def test_digests_change_with_the_files_that_they_are_of(job: Path) -> None:
    """A scan changes what came back, not the job."""
    before = job_digest(job), returned_digest(job)
    keep_returned([EXAMPLES / "bakery" / "returned" / "walk-BX-1.json"], job)
    assert job_digest(job) == before[0]
    middle = returned_digest(job)
    (job / "returned" / "share").symlink_to(job)
    after = returned_digest(job)
    assert len({before[1], middle, after}) == 3
    (job / "job.toml").write_text((job / "job.toml").read_text("utf-8") + "# later\n", "utf-8")
    assert job_digest(job) != before[0]
    assert returned_digest(job) != after


def test_a_schedule_in_a_deeper_folder_counts_as_the_jobs(job: Path) -> None:
    """And one behind more files than are looked at: what was read before it changed is old."""
    text = (job / "job.toml").read_text("utf-8")
    assert "schedule =" not in text
    deep = job / "from-office" / "may" / "ports.csv"
    deep.parent.mkdir(parents=True)
    deep.write_text("Unit,Box,Port\n", "utf-8")
    (job / "job.toml").write_text(f'[job]\nname = "A"\nschedule = "{deep.relative_to(job)}"\n', "utf-8")
    before = job_digest(job)
    deep.write_text("Unit,Box,Port\nFC-1,BB-1,A\n", "utf-8")
    assert job_digest(job) != before


def test_two_response_tests_in_one_folder_are_told_apart(tmp_path: Path) -> None:
    """The second response.json gets a number, and the readings of each test still find their words."""
    job = SITE.write(tmp_path / "jobs" / "job")
    for name, left_out in (("one", ()), ("two", ("FC-6",))):
        out = tmp_path / name
        made(job, out, Asked(without=left_out))
        table = fill_csv(out / "response.csv", out / "filled" / f"{name}.csv", answers(out))
        keep_returned([out / "response.json", table], job)
    done = read(job, tmp_path)
    assert [each.name for each in done.files] == ["one.csv", "response-2.json", "response.json", "two.csv"]
    assert len({test.plan for test in done.response}) == 2
    assert [each for each in done.problems if each.severity == "error"] == []
