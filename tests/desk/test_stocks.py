"""Stocks chosen by their pictures: tried on the job, written into its file, undone like any change."""

import json
import time
from pathlib import Path
from urllib.parse import urlencode

import pytest

from tagmaker.workflows.edit import digests, history, undo
from tests.desk.running import Answer, RunningDesk

PATIENCE_SECONDS = 60
OWN = """title = "Placard page of our own"
source = "x"
kind = "page"
page_mm = [200, 200]
suits = ["placard"]
"""


def chosen(desk: RunningDesk, use: str, **fields: str) -> Answer:
    """The form of a use, sent as the browser sends it."""
    headers = {"Content-Type": "application/x-www-form-urlencoded", "Origin": desk.url}
    return desk.ask("POST", f"{desk.job('bakery')}/paper/stocks/{use}", urlencode(fields).encode(), headers)


def seen(desk: RunningDesk) -> str:
    """The digests that the page carries."""
    return json.dumps(digests(desk.desk.folder / "bakery"))


def job_text(desk: RunningDesk) -> str:
    """The job's file."""
    return (desk.desk.folder / "bakery" / "job.toml").read_text("utf-8")


def test_a_stock_is_named_in_the_jobs_file_and_nothing_else_changes(desk: RunningDesk) -> None:
    """Comments and order stay; choosing none takes it out again."""
    before = job_text(desk)
    answer = chosen(desk, "placard", key="a4", seen=seen(desk))
    assert (answer.status, answer.headers["location"]) == (303, f"{desk.job('bakery')}/paper#stocks")
    lines = job_text(desk).splitlines()
    assert 'placard = "a4"' in lines
    assert [line for line in lines if line and line in before] == [
        line for line in before.splitlines() if line
    ]
    assert "placard" in history(desk.desk.folder / "bakery").changes[0].what
    chosen(desk, "placard", key="", seen=seen(desk))
    assert "placard" not in job_text(desk)
    for _ in range(2):
        assert undo(desk.desk.folder / "bakery").problems == ()
    assert job_text(desk) == before


@pytest.mark.parametrize("carried", ['{"job.toml": "another"}', "{}", "", "[]", "x"])
def test_a_job_that_changed_meanwhile_is_not_written_over(desk: RunningDesk, carried: str) -> None:
    """The page says so, and shows the job as it is now."""
    before = job_text(desk)
    answer = chosen(desk, "placard", key="a4", seen=carried)
    assert answer.status == 409
    assert "edit-conflict" in answer.text or "job.toml" in answer.text
    assert job_text(desk) == before


def test_a_stock_that_does_not_exist_is_refused(desk: RunningDesk) -> None:
    """What no page offers is not written."""
    before = job_text(desk)
    answer = chosen(desk, "placard", key="no-such-stock", seen=seen(desk))
    assert answer.status == 409
    assert job_text(desk) == before


@pytest.mark.parametrize("path", ["pipes", "name", "terminal_pitch", "placard/picture/900"])
def test_what_is_no_use_has_no_stocks(desk: RunningDesk, path: str) -> None:
    """Nor a picture that nobody made."""
    assert desk.get(f"{desk.job('bakery')}/paper/stocks/{path}").status == 404


def test_each_stock_has_its_picture_and_what_fits(desk: RunningDesk) -> None:
    """Tried by a process of its own; pictures are kept while the job is the same."""
    page = f"{desk.job('bakery')}/paper/stocks/placard"
    until = time.monotonic() + PATIENCE_SECONDS
    while "data-work" in (text := desk.get(page).text):
        assert time.monotonic() < until
        time.sleep(0.1)
    assert text.count("fits this job") == text.count('type="radio"') > 5
    for at in range(text.count('type="radio"')):
        picture = desk.get(f"{page}/picture/{at}")
        assert (picture.status, picture.headers["content-type"]) == (200, "image/png")
        assert picture.body.startswith(b"\x89PNG")


def test_a_stock_of_the_jobs_own_is_offered(desk: RunningDesk) -> None:
    """As soon as its file is there."""
    own: Path = desk.desk.folder / "bakery" / "stocks" / "mine.toml"
    own.parent.mkdir()
    own.write_text(OWN, "utf-8")
    page = f"{desk.job('bakery')}/paper/stocks/placard"
    until = time.monotonic() + PATIENCE_SECONDS
    while "data-work" in (text := desk.get(page).text):
        assert time.monotonic() < until
        time.sleep(0.1)
    assert "Placard page of our own" in text
