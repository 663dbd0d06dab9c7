"""Undo, redo and the history in a real browser: one click goes back, in two windows and after a restart."""

import time
from collections.abc import Callable
from pathlib import Path

import pytest
from selenium.webdriver import Keys

from tagmaker.desk.watch import LOOK_SECONDS
from tagmaker.workflows.edit import apply, digests, history
from tagmaker.workflows.edit_kinds import AnswerColumn, Edit, Move, MoveUnits, SetJob
from tests.desk.running import PATIENCE_SECONDS, RunningDesk, running_desk
from tests.desk.window import Window

Opened = Callable[[RunningDesk], Window]
JOB = "bakery"


def change(folder: Path, *edits: Edit) -> None:
    """A change as another page makes it."""
    done = apply(folder / JOB, edits, digests(folder / JOB))
    assert done.problems == ()
    assert done.what


def state(folder: Path) -> bytes:
    """The job's file as it is."""
    return (folder / JOB / "job.toml").read_bytes()


def press(window: Window, selector: str) -> None:
    """Click a button as soon as it can be used; the head is put in place anew whenever the files change."""
    window.until(
        "const [each] = document.querySelectorAll(arguments[0] + ':enabled'); each?.click(); return each",
        selector,
    )


def until(is_true: Callable[[], bool]) -> None:
    """Wait for something that is no element of a page."""
    end = time.monotonic() + PATIENCE_SECONDS
    while not is_true():
        assert time.monotonic() < end
        time.sleep(0.01)


@pytest.fixture
def states(desk_folder: Path) -> list[bytes]:
    """A job with two changes; its files before them, after the first, and now."""
    found = [state(desk_folder)]
    for number in "12":
        change(desk_folder, SetJob({"site": f"Wing {number}"}))
        found.append(state(desk_folder))
    return found


def test_undo_and_redo_are_one_click_each(
    desk: RunningDesk, browser_on: Opened, desk_folder: Path, states: list[bytes]
) -> None:
    """The head says what would be undone; files go back byte for byte; a message is read aloud."""
    window = browser_on(desk).go(f"{desk.job(JOB)}/history")
    assert window.one("#undo").get_attribute("textContent") == "Undo: site Wing 2"
    assert window.one("#redo").get_attribute("disabled")
    press(window, "#undo")
    window.until_text("#said", "Undone: site Wing 2")
    assert state(desk_folder) == states[1]
    window.until("return document.querySelector('#redo:enabled')")
    press(window, "#undo")
    window.until("return document.querySelector('#undo:disabled')")
    assert state(desk_folder) == states[0]
    press(window, "#redo")
    window.until_text("#said", "Redone: site Wing 1")
    assert state(desk_folder) == states[1]


def test_one_click_goes_to_any_place(
    desk: RunningDesk, browser_on: Opened, desk_folder: Path, states: list[bytes]
) -> None:
    """Back before the first change, and forth to the last."""
    window = browser_on(desk).go(f"{desk.job(JOB)}/history")
    last, first = window.all("table.history button")
    assert first.text == "Go back to before this"
    first.click()
    window.until_text("#said", "2 changes undone")
    assert state(desk_folder) == states[0]
    window.until_text("table.history", "Redo up to here")
    window.all("table.history button")[0].click()
    window.until_text("#said", "2 changes redone")
    assert state(desk_folder) == states[2]
    assert last != first


def test_it_works_by_keyboard_and_keeps_the_focus(
    desk: RunningDesk, browser_on: Opened, desk_folder: Path, states: list[bytes]
) -> None:
    """Tab to the button, Enter, and Enter again."""
    window = browser_on(desk).go(f"{desk.job(JOB)}/history")
    window.tab_to("#undo")
    window.keys(Keys.ENTER)
    window.until_text("#said", "Undone")
    window.until("return document.activeElement.id == 'undo'")
    window.keys(Keys.ENTER)
    window.until("return document.querySelector('#undo:disabled')")
    assert state(desk_folder) == states[0]


def test_of_two_windows_the_later_is_told_and_nothing_is_lost(
    desk: RunningDesk, browser_on: Opened, desk_folder: Path, states: list[bytes]
) -> None:
    """It shows the other's change within a second, and a click that saw an older state does nothing."""
    assert len(states) == 3
    window = browser_on(desk).go(f"{desk.job(JOB)}/history")
    until(lambda: bool(desk.desk.events.watched()))
    time.sleep(2 * LOOK_SECONDS)  # the watcher has seen the files as they are
    stale = window.js(
        "return [...document.querySelectorAll('#history-bar form')].map(each => each.last.value)"
    )[0]
    change(desk_folder, SetJob({"number": "T-9"}))
    window.until_text("#undo", "Undo: number T-9")
    now = state(desk_folder)
    job = desk.job(JOB)
    answer = desk.post(f"{job}/history/go", {"to": 0, "last": stale})
    assert (answer.status, answer.json["said"]) == (409, "the history changed meanwhile")
    assert answer.json["problems"][0]["code"] == "edit-conflict"
    assert state(desk_folder) == now


def test_what_another_program_saved_is_not_written_over(
    desk: RunningDesk, browser_on: Opened, desk_folder: Path, states: list[bytes]
) -> None:
    """The reason is shown and stays for a while."""
    window = browser_on(desk).go(f"{desk.job(JOB)}/history")
    path = desk_folder / JOB / "job.toml"
    saved = states[2] + b"# mine\n"
    path.write_bytes(saved)
    press(window, "#undo")
    window.until_text("#said", "job.toml changed on disk meanwhile")
    assert path.read_bytes() == saved


def test_it_goes_back_after_a_restart_and_without_a_script(
    desk_folder: Path, tmp_path: Path, states: list[bytes]
) -> None:
    """A plain form does the same; a refusal is shown on the page."""
    for number in range(2):
        with running_desk(desk_folder, tmp_path / f"received-{number}") as desk:
            job = desk.job(JOB)
            past = history(desk_folder / JOB)
            assert past.undo
            body = f"to={past.undo.before}&last={past.undo.number}&at={job}/schedule".encode()
            form = {"Content-Type": "application/x-www-form-urlencoded", "Origin": desk.url}
            answer = desk.ask("POST", f"{job}/history/go", body, form)
            assert (answer.status, answer.headers["location"]) == (303, f"{job}/schedule")
            assert state(desk_folder) == states[1 - number]
            refused = desk.ask("POST", f"{job}/history/go", b"to=99&last=99", form)
            assert refused.status == 409
            assert "the history changed meanwhile" in refused.text


def test_an_address_to_go_back_to_stays_in_the_job(desk: RunningDesk, states: list[bytes]) -> None:
    """Whatever a form says, nobody is sent elsewhere; nonsense is no number."""
    job = desk.job(JOB)
    form = {"Content-Type": "application/x-www-form-urlencoded", "Origin": desk.url}
    for body in (b"to=x&last=y&at=//elsewhere", b"to=-1&last=2", b""):
        assert desk.ask("POST", f"{job}/history/go", body, form).status == 409
    answer = desk.ask("POST", f"{job}/history/go", b"to=1&last=2&at=//elsewhere.example/", form)
    assert (answer.status, answer.headers["location"]) == (303, f"{job}/history")
    headers = {"Content-Type": "application/json", "Origin": desk.url}
    assert desk.ask("POST", f"{job}/history/go", b"[", headers).status == 409
    assert len(states) == 3


HOSTILE = "<img src=x onerror=alert(1)>"


def test_the_history_is_accessible_fits_and_shows_hostile_names_as_text(
    desk: RunningDesk, browser_on: Opened, desk_folder: Path
) -> None:
    """At three sizes, with an undone change and a header that looks like markup."""
    (desk_folder / JOB / "more.csv").write_text(f"unit,box,port,{HOSTILE}\n", encoding="utf-8")
    change(desk_folder, SetJob({"site": "North"}))
    change(desk_folder, SetJob({"schedule": "more.csv"}), AnswerColumn(HOSTILE, ""))
    window = browser_on(desk).go(f"{desk.job(JOB)}/history")
    assert HOSTILE in window.one("table.history th[scope=row]").text
    assert window.all("main img") == []
    press(window, "#undo")
    window.until_text("table.history", "Redo up to here")
    assert window.axe() == []
    for width, height in ((1280, 720), (820, 1180), (320, 640)):
        window.size(width, height)
        assert not window.overflows(), width


def test_a_job_without_changes_says_so(desk: RunningDesk, browser_on: Opened) -> None:
    """And offers nothing to undo."""
    window = browser_on(desk).go(f"{desk.job('clinic')}/history")
    assert "Nothing was changed here yet." in window.one("#history").text
    assert [button.get_attribute("disabled") for button in window.all("#history-bar button")] == ["true"] * 2
    assert window.axe() == []


def test_a_move_is_undone_in_the_schedule(desk: RunningDesk, browser_on: Opened, desk_folder: Path) -> None:
    """The CSV's bytes come back by a click from any page of the job."""
    folder = desk_folder / "clinic"
    before = (folder / "ports.csv").read_bytes()
    done = apply(folder, [MoveUnits((Move("FC-102", "BB-11", "L"),))], digests(folder))
    assert done.problems == ()
    assert (folder / "ports.csv").read_bytes() != before
    window = browser_on(desk).go(f"{desk.job('clinic')}/history")
    assert window.one("#undo").get_attribute("textContent") == "Undo: FC-102 to BB-11 L"
    press(window, "#undo")
    window.until_text("#said", "Undone")
    assert (folder / "ports.csv").read_bytes() == before


def test_what_is_typed_and_not_saved_stays_when_a_change_is_undone(
    desk: RunningDesk, browser_on: Opened, desk_folder: Path, states: list[bytes]
) -> None:
    """The schedule's page follows the files, and the head with it."""
    window = browser_on(desk).go(f"{desk.job(JOB)}/schedule")
    until(lambda: bool(desk.desk.events.watched()))
    time.sleep(2 * LOOK_SECONDS)
    field = window.one("#facts input[name$='number']")
    field.send_keys("T-9")
    press(window, "#undo")
    window.until_text("#undo", "Undo: site Wing 1")
    assert state(desk_folder) == states[1]
    window.until("return document.querySelector(\"#facts input[name$='site']\").value === 'Wing 1'")
    assert window.one("#facts input[name$='number']").get_attribute("value") == "TSB-1T-9"
