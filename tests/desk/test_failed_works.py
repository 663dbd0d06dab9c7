"""A process of the desk is killed in the middle: each page says so, offers the work again, never breaks."""

import time
from pathlib import Path

import pytest

from tests.desk.running import RunningDesk

PATIENCE_SECONDS = 60.0


def kill(desk: RunningDesk, kind: str) -> None:
    """Kill the process of a running work, as a system that lacks memory does; wait until it is noticed."""
    works = desk.desk.works
    work = next(each for each in works.works.values() if each.kind.startswith(kind))
    if process := works._processes.get(work.number):
        process.kill()
    end = time.monotonic() + PATIENCE_SECONDS
    while work.state == "running":
        assert time.monotonic() < end, "nobody noticed"
        time.sleep(0.01)
    assert work.state == "failed"


def shown(desk: RunningDesk, path: str, words: str) -> str:
    """The page, once it has the words: 200 each time."""
    end = time.monotonic() + PATIENCE_SECONDS
    while words not in (answer := desk.get(path)).text:
        assert (answer.status, time.monotonic() < end) == (200, True), answer.text
        time.sleep(0.05)
    assert answer.status == 200
    return answer.text


def test_a_reading_that_was_killed_is_offered_again(desk: RunningDesk) -> None:
    """The site's page, and the pages beside it."""
    site = f"{desk.job('bakery')}/site"
    assert desk.get(site).status == 200
    kill(desk, "readback")
    page = shown(desk, site, "ended before it was done")
    assert "Read again" in page
    assert {desk.get(f"{site}{path}").status for path in ("/scan", "/changes", "?only=differs")} == {200}
    assert desk.get(f"{site}/file/punch-list.pdf").status == 404
    assert desk.post(f"{site}/again").status == 303
    shown(desk, site, "Nothing came back yet.")


def test_a_layout_that_was_killed_is_begun_again(desk: RunningDesk, monkeypatch: pytest.MonkeyPatch) -> None:
    """The page says once that it failed; asked for again, it is laid out again."""
    monkeypatch.setattr("tagmaker.desk.paper_state.LAID_OUT_AT_ONCE", 0)
    paper = f"{desk.job('clinic')}/paper"
    assert desk.get(paper).status == 200
    kill(desk, "preview")
    assert "failed." in shown(desk, paper, "failed.")
    shown(desk, paper, "Page 1 of")


def test_stocks_whose_trial_was_killed_are_tried_again(desk: RunningDesk) -> None:
    """As the layout is."""
    stocks = f"{desk.job('clinic')}/paper/stocks/pipe"
    assert desk.get(stocks).status == 200
    kill(desk, "stocks")
    shown(desk, stocks, "failed.")
    shown(desk, stocks, "fits this job")


def test_a_set_whose_process_was_killed_leaves_what_was_there(desk: RunningDesk, desk_folder: Path) -> None:
    """The page says so, and nothing half made is in the folder of the set."""
    job = desk.job("clinic")
    page = desk.get(f"{job}/paper").text
    seen = page.split('name="seen" value="')[1].split('"')[0]
    form = {"Content-Type": "application/x-www-form-urlencoded", "Origin": desk.url}
    body = f"seen={seen}&out=clinic-out".encode()
    answer = desk.ask("POST", f"{job}/paper/make", body, form)
    assert answer.status == 303
    kill(desk, "set")
    assert "failed." in shown(desk, answer.headers["location"], "failed.")
    assert not (desk_folder / "clinic-out" / "plan.json").exists()
    assert desk.get(f"{job}/paper").status == 200
