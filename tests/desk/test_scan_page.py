"""The landing check in a real browser: a hand scanner types, each code is answered at once, shown large."""

import time
from pathlib import Path

import pytest
from selenium.webdriver import Keys
from typer.testing import CliRunner

from tagmaker.cli.app import app
from tests.desk.running import RunningDesk, running_desk
from tests.desk.site_on_page import Opened, read_page, scan, scan_page, texts
from tests.desk.window import Window

A = ["BX-1/A/TRM", "BX-1/A/COM", "BX-1/A/LIQ", "BX-1/A/GAS"]
B = ["BX-1/B/TRM", "BX-1/B/COM", "BX-1/B/LIQ", "BX-1/B/GAS"]
ANSWER_SECONDS = 5  # the aim is one; a machine that is busy must not fail a test


def sessions(desk_folder: Path) -> dict[str, list[str]]:
    """The lines of each session that was kept, less the remarks with times."""
    folder = desk_folder / "bakery" / "returned"
    kept = {each.name: each.read_text("utf-8").splitlines() for each in sorted(folder.glob("scans-*.txt"))}
    return {name: [line for line in lines if not line.startswith("# ")] for name, lines in kept.items()}


def state(window: Window) -> str:
    """What is shown large."""
    return " ".join(texts(window, "#answer .word"))


def until(window: Window, word: str) -> None:
    """Wait for the large word."""
    window.until_text("#answer .word", word)


def test_a_terminal_agrees_once_all_is_scanned(
    desk: RunningDesk, browser_on: Opened, desk_folder: Path
) -> None:
    """Not complete until then; each line is in the job's folder, the state of its terminal beside."""
    window = scan_page(browser_on(desk), desk.job("bakery"))
    scan(window, A[:3])
    until(window, "NOT COMPLETE")
    window.until_text("#head .open", "missing: gas line")
    scan(window, A[3:])
    until(window, "AGREES")
    assert state(window) == "AGREES BX-1 A"
    assert "A agrees" in texts(window, "#list li.is-open")[0]
    (kept,) = sessions(desk_folder).values()
    assert kept == A
    assert texts(window, "#log li") == [
        "NOT COMPLETE BX-1 A: BX-1/A/LIQ: agrees with terminal BX-1 A",
        "NOT COMPLETE BX-1 A: BX-1/A/COM: agrees with terminal BX-1 A",
        "NOT COMPLETE BX-1 A: terminal BX-1 A: expects FC-1",
    ]


def test_a_crossing_shows_both_ends_and_what_to_do_first(
    desk: RunningDesk, browser_on: Opened, desk_folder: Path
) -> None:
    """In the same second, in a live region, in the words of `scan`."""
    window = scan_page(browser_on(desk), desk.job("bakery"))
    scan(window, A[:1])
    until(window, "NOT COMPLETE")
    began = time.monotonic()
    scan(window, [B[1]])
    until(window, "CROSSED")
    assert time.monotonic() - began < ANSWER_SECONDS
    (ends,) = texts(window, "#answer .ends")
    (first,) = texts(window, "#answer .first")
    assert ends == "cable tagged BX-1 B at terminal BX-1 A"
    assert first.startswith("Do first: isolate power, prove it dead, ring this cable out")
    live = window.js(
        "const region = document.getElementById('answer');"
        "return [region.getAttribute('aria-live'), region.getAttribute('aria-atomic'), region.role]"
    )
    assert live == ["assertive", "true", "status"]
    (path,) = (desk_folder / "bakery" / "returned").glob("scans-*.txt")
    run = CliRunner().invoke(app, ["scan", str(path), "--job", str(desk_folder / "bakery")])
    assert f"CROSSED: {ends}; {first.removeprefix('Do first: ')}" in run.stdout
    assert window.axe() == []


def test_the_field_is_ready_wherever_the_focus_is(desk: RunningDesk, browser_on: Opened) -> None:
    """At the start, and after a click elsewhere; a person can switch that off."""
    window = scan_page(browser_on(desk), desk.job("bakery"))
    assert window.js("return document.activeElement.id") == "code"
    window.one("#state").click()
    scan(window, A[:1])
    until(window, "NOT COMPLETE")
    window.one("#anywhere").click()
    window.keys("x")
    assert window.js("return document.activeElement.id") == "anywhere"
    assert window.js("return document.getElementById('code').value") == ""


def test_codes_that_come_faster_than_answers_keep_their_order(
    desk: RunningDesk, browser_on: Opened, desk_folder: Path
) -> None:
    """Eight codes in one go; a scanner that ends codes with a tab too."""
    window = scan_page(browser_on(desk), desk.job("bakery"))
    window.js(
        """
        const field = document.getElementById("code");
        for (const code of arguments[0]) { field.value = code; field.form.requestSubmit(); }
        """,
        [*A, *B],
    )
    window.until_text("#list", "B agrees")
    assert list(sessions(desk_folder).values()) == [[*A, *B]]
    window.one("#code").send_keys("BX-1/C/TRM" + Keys.TAB)
    window.until_text("#head .open", "BX-1 C")
    assert window.js("return document.activeElement.id") == "code"


def test_tab_moves_on_for_a_person(desk: RunningDesk, browser_on: Opened) -> None:
    """The field is no trap: after a pause Tab leaves it, also with a text in it."""
    window = scan_page(browser_on(desk), desk.job("bakery"))
    window.keys("x")
    time.sleep(0.3)
    window.keys(Keys.TAB)
    assert window.js("return document.activeElement.id") != "code"
    assert window.js("return document.getElementById('code').value") == "x"


def test_a_reload_goes_on_with_the_session(desk: RunningDesk, browser_on: Opened, desk_folder: Path) -> None:
    """At the terminal that was open."""
    window = scan_page(browser_on(desk), desk.job("bakery"))
    scan(window, A[:2])
    window.until_text("#head", "2 lines")
    window = scan_page(window, desk.job("bakery"))
    assert "Open terminal: BX-1 A" in texts(window, "#head .open")[0]
    scan(window, A[2:])
    until(window, "AGREES")
    assert list(sessions(desk_folder).values()) == [A]


def test_a_restarted_desk_goes_on_with_the_session(
    desk_folder: Path, tmp_path: Path, browser_on: Opened
) -> None:
    """All that was answered is there."""
    for number, codes in enumerate((A[:2], A[2:])):
        with running_desk(desk_folder, tmp_path / str(number)) as desk:
            window = scan_page(browser_on(desk), desk.job("bakery"))
            scan(window, codes)
            window.until_text("#log, #answer", codes[-1])
            window.go("/manual")
    assert list(sessions(desk_folder).values()) == [A]
    with running_desk(desk_folder, tmp_path / "more") as desk:
        window = scan_page(browser_on(desk), desk.job("bakery"))
        assert texts(window, "#list li")[0] == "A agrees"
        window.go("/manual")  # its session is let go while the desk is there


def test_two_windows_never_share_a_terminal(desk: RunningDesk, desk_folder: Path) -> None:
    """Each has a session of its own: a tag counts for nothing in a window that has no terminal open."""
    job = desk.job("bakery")
    for window in ("one", "two"):
        assert desk.post(f"{job}/site/scan/open", {"window": window}).status == 200
    desk.post(f"{job}/site/scan", {"window": "one", "text": A[0]})
    answer = desk.post(f"{job}/site/scan", {"window": "two", "text": A[1]}).json
    assert "NOT COUNTED" in answer["answers"][0]
    desk.post(f"{job}/site/scan", {"window": "one", "text": A[1]})
    assert list(sessions(desk_folder).values()) == [A[:2], A[1:2]]
    desk.post(f"{job}/site/scan/leave", {"window": "two"})
    third = desk.post(f"{job}/site/scan/open", {"window": "three"}).json
    assert third["session"].endswith("-02.txt")
    new = desk.post(f"{job}/site/scan/new", {"window": "three"}).json
    assert new["session"].endswith("-03.txt")


def test_a_job_that_changes_meanwhile_judges_the_next_scan(desk: RunningDesk, desk_folder: Path) -> None:
    """A unit that was moved in the office is expected at its new port at once."""
    job = desk.job("bakery")
    assert "expects FC-1" in desk.post(f"{job}/site/scan", {"window": "w", "text": A[0]}).json["answers"][0]
    path = desk_folder / "bakery" / "job.toml"
    path.write_text(path.read_text("utf-8").replace('port = "A"', 'port = "E"'), "utf-8")
    answer = desk.post(f"{job}/site/scan", {"window": "w", "text": A[0]}).json["answers"][0]
    assert "spare; expect capped stubs" in answer


def test_a_scan_that_cannot_be_kept_is_not_answered_as_if_it_were(
    desk: RunningDesk, browser_on: Opened, desk_folder: Path
) -> None:
    """Large, with the code, so that it is scanned again."""
    window = scan_page(browser_on(desk), desk.job("bakery"))
    (desk_folder / "bakery" / "returned").write_text("a file in the folder's place", "utf-8")
    scan(window, A[:1])
    until(window, "NOT KEPT")
    assert texts(window, "#answer .ends") == [A[0]]
    (desk_folder / "bakery" / "returned").unlink()
    scan(window, A[:1])
    until(window, "NOT COMPLETE")


HOSTILE = ("<img src=x onerror=alert(1)>", "{{ 7 * 7 }}", "\u202eMRT/A/1-XB", "'; alert(1); '", "A" * 3_000)


def test_hostile_codes_are_text(desk: RunningDesk, browser_on: Opened, desk_folder: Path) -> None:
    """Shown as they are, on one line, kept as they are; none is an element or code."""
    window = scan_page(browser_on(desk), desk.job("bakery"))
    for code in HOSTILE:
        window.js(
            "document.getElementById('code').value = arguments[0];"
            "document.getElementById('scan').requestSubmit()", code,
        )  # fmt: skip
        window.until_text("#answer .word", "UNKNOWN CODE")
    window.until_text("#head", f"{len(HOSTILE)} lines")
    assert window.js("return document.querySelectorAll('main img, main script').length") == 0
    assert list(sessions(desk_folder).values()) == [list(HOSTILE)]
    assert not window.overflows()
    assert window.axe() == []


@pytest.mark.parametrize("body", [{}, {"window": 1, "text": "x"}, {"text": "x"}, []])
def test_a_request_of_another_form_is_refused(desk: RunningDesk, desk_folder: Path, body: object) -> None:
    """Nothing is kept."""
    assert desk.post(f"{desk.job('bakery')}/site/scan", body).status == 400
    assert not (desk_folder / "bakery" / "returned").exists()


@pytest.mark.parametrize("size", [(1280, 720), (820, 1180), (320, 640)])
def test_it_is_accessible_and_fits(desk: RunningDesk, browser_on: Opened, size: tuple[int, int]) -> None:
    """With a crossing shown; the large word is in the window without scrolling on a desktop and a tablet."""
    window = browser_on(desk)
    window.size(*size)
    scan_page(window, desk.job("bakery"))
    scan(window, [A[0], B[1]])
    until(window, "CROSSED")
    assert window.axe() == []
    assert not window.overflows()
    bottom = window.js("return document.querySelector('#answer .first').getBoundingClientRect().bottom")
    assert size[0] == 320 or bottom < size[1]


def test_what_was_scanned_here_is_part_of_what_came_back(desk: RunningDesk, browser_on: Opened) -> None:
    """The site's page reads the session as any other file."""
    window = scan_page(browser_on(desk), desk.job("bakery"))
    scan(window, [A[0], B[1]])
    until(window, "CROSSED")
    read_page(window, desk.job("bakery"))
    assert "cable tagged BX-1 B at terminal BX-1 A" in texts(window, ".punches li")[0]


def test_five_thousand_scans_before_keep_it_quick(desk: RunningDesk, desk_folder: Path) -> None:
    """A session that was long goes on, and a scan is answered in its second."""
    job = desk.job("bakery")
    folder = desk_folder / "bakery" / "returned"
    folder.mkdir()
    (folder / "before.txt").write_text("".join(f"{code}\n" for code in [*A, *B] * 625), "utf-8")
    assert "agrees" in desk.post(f"{job}/site/scan/open", {"window": "w"}).json["list"]
    began = time.monotonic()
    for code in A:
        assert desk.post(f"{job}/site/scan", {"window": "w", "text": code}).status == 200
    assert time.monotonic() - began < len(A) * ANSWER_SECONDS
