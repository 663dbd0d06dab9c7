"""Sets made, listed and given out by the desk; what it writes is what the command line writes."""

import io
import os
import shutil
import time
import zipfile
from pathlib import Path
from urllib.parse import urlencode

import pytest
from typer.testing import CliRunner

from tagmaker.cli.app import app
from tagmaker.workflows.make import make
from tests.bench.campus import write_campus
from tests.desk.running import Answer, RunningDesk, running_desk
from tests.paths import EXAMPLES
from tests.site.systems import RUNS, WEIGHED, job_with_sign, write_form
from tests.site.walks import plan_of
from tests.workflows.jobs import UNPROVED, contents

PATIENCE_SECONDS = 60
SELECTIONS = {
    "whole": ({}, ()),
    "part-used": ({"skip": "7", "kit": "cables"}, ("--skip", "7", "--kit", "cables")),
    "one label": ({"only": "BX-1/A/LIQ"}, ("--only", "BX-1/A/LIQ")),
    "rough-in": ({"stage": "rough-in", "no_proof": "1"}, ("--stage", "rough-in", "--no-proof")),
    "box": ({"boxes": "BX-1", "blind": "1", "png": "1"}, ("--box", "BX-1", "--blind", "--png")),
}


def posted(desk: RunningDesk, path: str, **fields: str) -> Answer:
    """A form, sent as the browser sends it."""
    headers = {"Content-Type": "application/x-www-form-urlencoded", "Origin": desk.url}
    return desk.ask("POST", path, urlencode(fields).encode(), headers)


def seen(desk: RunningDesk, job: str) -> str:
    """What the page of paper carries of the job's files."""
    text = desk.get(f"{desk.job(job)}/paper").text
    return text.partition('name="seen" value="')[2].partition('"')[0]


def begun(desk: RunningDesk, job: str, **fields: str) -> str:
    """Begin to make a set; gives the page of the work."""
    answer = asked_for(desk, job, **fields)
    assert answer.status == 303, answer.text
    return answer.headers["location"]


def asked_for(desk: RunningDesk, job: str, **fields: str) -> Answer:
    """Ask for a set; the answer leads to the work, or says why there is none."""
    return posted(desk, f"{desk.job(job)}/paper/make", seen=seen(desk, job), **fields)


def made(desk: RunningDesk, job: str, **fields: str) -> str:
    """Ask for a set and wait for it; gives the text of the page that shows what became of it."""
    answer = asked_for(desk, job, **fields)
    if answer.status != 303:
        return answer.text
    page = answer.headers["location"]
    number = int(page.rpartition("/")[2])
    until = time.monotonic() + PATIENCE_SECONDS
    while desk.desk.works.works[number].state == "running":
        assert time.monotonic() < until
        time.sleep(0.05)
    return desk.get(page).text


def set_page(text: str) -> str:
    """The address of the set that a text links to."""
    links = (part.partition('"')[0] for part in text.split('href="'))
    return next(link for link in links if "/paper/set/" in link)


def on_disk(desk: RunningDesk) -> str:
    """A set made by the command line before the desk looked; gives its address."""
    make(desk.desk.folder / "bakery", desk.desk.folder / "bakery-out", UNPROVED)
    return set_page(desk.get(f"{desk.job('bakery')}/paper").text)


@pytest.mark.parametrize("name", SELECTIONS)
def test_a_set_is_byte_for_byte_that_of_the_command_line(
    name: str, desk: RunningDesk, tmp_path: Path
) -> None:
    """The same job and selection: every file, byte for byte."""
    fields, options = SELECTIONS[name]
    text = made(desk, "bakery", out="bakery-out", **fields)
    job, out = desk.desk.folder / "bakery", tmp_path / "by-command"
    done = CliRunner().invoke(app, ["make", str(job), "-o", str(out), *options])
    assert done.exit_code == 0
    assert contents(desk.desk.folder / "bakery-out") == contents(out)
    assert "holds the new set" in text


def test_an_update_since_an_earlier_set_is_that_of_the_command_line(
    desk: RunningDesk, tmp_path: Path
) -> None:
    """The earlier set is chosen by its folder; all of it in its own revisions too."""
    made(desk, "bakery", out="bakery-out")
    job = desk.desk.folder / "bakery"
    file = job / "job.toml"
    file.write_text(
        file.read_text("utf-8").replace("revision = 1", "revision = 2").replace("FC-2", "FC-22"), "utf-8"
    )
    page = desk.get(f"{desk.job('bakery')}/paper").text
    since = page.partition('<select name="since">')[2].split('<option value="')[2].partition('"')[0]
    for fields, options in (({}, ()), ({"all": "1"}, ("--all",))):
        made(desk, "bakery", out="next", since=since, **fields)
        out = tmp_path / "by-command"
        shutil.rmtree(out, ignore_errors=True)
        command = [
            "make",
            str(job),
            "-o",
            str(out),
            "--since",
            str(desk.desk.folder / "bakery-out"),
            *options,
        ]
        assert CliRunner().invoke(app, command).exit_code == 0
        assert contents(desk.desk.folder / "next") == contents(out)
        shutil.rmtree(desk.desk.folder / "next")
    answer = asked_for(desk, "bakery", out="bakery-out", since=since)
    assert answer.status == 409
    assert "give the update a folder of its own" in answer.text


def test_a_set_that_is_stopped_leaves_the_old_one(tmp_path: Path) -> None:
    """Byte for byte, and nothing beside it."""
    folder = tmp_path / "jobs"
    job = write_campus(folder / "campus", 20)
    out = folder / "campus-out"
    make(job, out, UNPROVED)
    before = contents(out)
    file = job / "job.toml"
    file.write_text(file.read_text("utf-8").replace("revision = 1", "revision = 2"), "utf-8")
    with running_desk(folder, tmp_path / "received") as desk:
        page = begun(desk, "campus", out="campus-out")
        answer = posted(desk, f"{page}/stop")
        assert (answer.status, answer.headers["location"]) == (303, page)
        assert "was stopped" in desk.get(page).text
        desk.desk.works.end()
    assert contents(out) == before
    assert sorted(path.name for path in folder.iterdir()) == ["campus", "campus-out"]


@pytest.mark.parametrize(
    ("out", "told"),
    [
        ("bakery", "which is not part of an earlier set"), ("..", "not below the desk&#39;s folder"),
        ("", "not below the desk&#39;s folder"), ("/elsewhere", "not below the desk&#39;s folder"),
        ("a/../../b", "not below the desk&#39;s folder"), ("bakery/job.toml", "is not a folder"),
    ],
)  # fmt: skip
def test_a_folder_that_cannot_be_taken_is_refused_in_words(desk: RunningDesk, out: str, told: str) -> None:
    """Before or while it is made; the job's files stay."""
    before = contents(desk.desk.folder)
    text = made(desk, "bakery", out=out)
    assert told in text
    assert "Nothing was written." in text
    assert contents(desk.desk.folder) == before


def test_a_filled_in_walk_is_kept(desk: RunningDesk) -> None:
    """The set that would replace it is refused, with what to do."""
    made(desk, "bakery", out="bakery-out")
    walk = desk.desk.folder / "bakery-out" / "walk.pdf"
    walk.write_bytes(walk.read_bytes() + b"filled in")
    text = made(desk, "bakery", out="bakery-out")
    assert "walk.pdf&#39;, which changed since it was written" in text
    assert "tagmaker readback" in text
    assert walk.read_bytes().endswith(b"filled in")


def test_a_job_that_changed_since_it_was_shown_is_not_made(desk: RunningDesk) -> None:
    """The pages are looked at first."""
    shown = seen(desk, "bakery")
    file = desk.desk.folder / "bakery" / "job.toml"
    file.write_text(file.read_text("utf-8") + "\n# another window\n", "utf-8")
    answer = posted(desk, f"{desk.job('bakery')}/paper/make", seen=shown, out="bakery-out")
    assert answer.status == 409
    assert "changed since its pages were shown" in answer.text
    assert not (desk.desk.folder / "bakery-out").exists()


def test_files_are_given_out_as_they_were_written(desk: RunningDesk) -> None:
    """A PDF opens in the browser, or is downloaded; what could run as a page is only ever downloaded."""
    page = on_disk(desk)
    out = desk.desk.folder / "bakery-out"
    listed = desk.get(page).text
    for path in out.iterdir():
        assert path.name in listed
        answer = desk.get(f"{page}/file/{path.name}")
        assert (answer.status, answer.body) == (200, path.read_bytes())
        kind, how = answer.headers["content-type"], answer.headers["content-disposition"]
        inline = path.suffix == ".pdf"
        assert kind == ("application/pdf" if inline else "application/octet-stream")
        assert how.startswith("inline" if inline else "attachment")
        assert (
            desk.get(f"{page}/file/{path.name}?download=1")
            .headers["content-disposition"]
            .startswith("attachment")
        )


def test_a_set_that_the_job_left_behind_says_so(desk: RunningDesk) -> None:
    """Before anybody prints an old label from it; once the job is as it was, nothing is said."""
    page, path = on_disk(desk), desk.desk.folder / "bakery" / "job.toml"
    before = path.read_text("utf-8")
    changed = "The job changed since this set was made"
    assert changed not in desk.get(page).text
    path.write_text(before.replace('port = "A"', 'port = "E"'), "utf-8")
    assert changed in desk.get(page).text
    path.write_text(before, "utf-8")
    assert changed not in desk.get(page).text


@pytest.mark.parametrize(
    "name", ["job.toml", "..%2fbakery%2fjob.toml", "../bakery/job.toml", "notes.txt", "%2fetc%2fpasswd", ""]
)
def test_nothing_else_is_given_out(desk: RunningDesk, name: str) -> None:
    """Only what the set's plan.json lists."""
    page = on_disk(desk)
    (desk.desk.folder / "bakery-out" / "notes.txt").write_text("mine", "utf-8")
    assert desk.get(f"{page}/file/{name}").status == 404
    assert desk.get(f"{desk.job('clinic')}/paper/set/{page.rpartition('/')[2]}").status == 404


def test_a_file_that_changed_is_not_given_out(desk: RunningDesk) -> None:
    """Nor the set as a ZIP; the page says which."""
    page = on_disk(desk)
    (desk.desk.folder / "bakery-out" / "placards.pdf").write_bytes(b"%PDF-1.7 other")
    assert "changed or gone since it was written" in desk.get(page).text
    for path in (f"{page}/file/placards.pdf", f"{page}/zip"):
        answer = desk.get(path)
        assert answer.status == 409
        assert "placards.pdf" in answer.text
    assert desk.get(f"{page}/file/walk.pdf").status == 200


def test_the_zip_is_the_set(desk: RunningDesk) -> None:
    """Every file of it."""
    page = on_disk(desk)
    answer = desk.get(f"{page}/zip")
    assert answer.headers["content-disposition"] == 'attachment; filename="bakery-out.zip"'
    with zipfile.ZipFile(io.BytesIO(answer.body)) as archive:
        found = {name.removeprefix("bakery-out/"): archive.read(name) for name in archive.namelist()}
    assert found == contents(desk.desk.folder / "bakery-out")


def test_a_folder_whose_name_is_no_text_has_its_pages(tmp_path: Path) -> None:
    """Its name as another system wrote it, and the desk opened within the job: the set is made there."""
    job = Path(os.fsdecode(os.fsencode(tmp_path) + b"/jobs/caf\xe9 <b>"))
    shutil.copytree(EXAMPLES / "bakery", job)
    for folder, below in ((tmp_path / "jobs", job.name), (job, ".")):
        with running_desk(folder, tmp_path / "received") as desk:
            assert desk.get("/").status == 200
            assert "caf? &lt;b&gt;-out" in desk.get(f"{desk.job(below)}/paper").text
            page = set_page(made(desk, below, out="some-out"))
            assert desk.get(page).status == 200
            assert (folder / "some-out" / "plan.json").exists()


def test_two_sets_of_a_job_are_not_made_at_once(tmp_path: Path) -> None:
    """The second is refused, and told to wait."""
    folder = tmp_path / "jobs"
    write_campus(folder / "campus", 40)
    with running_desk(folder, tmp_path / "received") as desk:
        begun(desk, "campus", out="campus-out")
        answer = asked_for(desk, "campus", out="other")
        assert answer.status == 409
        assert "is being made already" in answer.text
        desk.desk.works.end()
    assert sorted(path.name for path in folder.iterdir()) == ["campus"]


def test_signs_have_the_amount_of_a_sheet_that_came_back(desk: RunningDesk, desk_folder: Path) -> None:
    """As with --weighed-in: of a file that is chosen among those that came back, and of no other."""
    job = job_with_sign(desk_folder / "signed")
    (job / "returned").mkdir()
    plan = plan_of(job)
    write_form(job / "returned" / "HR-1.pdf", plan, [(plan.systems[0], {**RUNS, WEIGHED: "16.55"})])
    assert 'name="weighed_in" value="HR-1.pdf"' in desk.get(f"{desk.job('signed')}/paper").text
    made(desk, "signed", out="bare", no_proof="1")
    assert "signs.pdf" not in contents(desk_folder / "bare")
    made(desk, "signed", out="signed-out", no_proof="1", weighed_in="HR-1.pdf")
    by_command = desk_folder / "by-command"
    weighed = ["--weighed-in", str(job / "returned" / "HR-1.pdf"), "--no-proof"]
    assert CliRunner().invoke(app, ["make", str(job), "-o", str(by_command), *weighed]).exit_code == 0
    assert contents(desk_folder / "signed-out") == contents(by_command)
    assert "signs.pdf" in contents(by_command)
    refused = asked_for(desk, "signed", out="signed-out", weighed_in="../job.toml")
    assert refused.status == 409
    assert "../job.toml is not among what came back any more" in refused.text
