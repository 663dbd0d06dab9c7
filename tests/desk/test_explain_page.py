"""Switches as found, tapped in a real browser: what the box believes follows at once."""

from collections.abc import Callable
from pathlib import Path

import pytest
from selenium.webdriver import Keys

from tagmaker.workflows.explain import Question, explain
from tests.desk.running import RunningDesk
from tests.desk.window import Window
from tests.job_files import BOX, HEAD, UNIT, write_files

Opened = Callable[[RunningDesk], Window]
READY = "return document.querySelector('.switch')"
PRESSED = "return [...document.querySelectorAll('[aria-pressed=true]')].map(each => each.dataset.switch)"


def shown(window: Window) -> str:
    """The explanation as the page shows it."""
    text: str = window.js("return document.getElementById('explained').textContent")
    return " ".join(text.split())


def test_a_tapped_switch_is_explained_at_once(
    desk: RunningDesk, browser_on: Opened, desk_folder: Path
) -> None:
    """With what the job's plan wants of the box, in the words of the command."""
    window = browser_on(desk).go(f"{desk.job('clinic')}/explain?box=BB-11")
    window.until(READY)
    before = shown(window)
    window.one('[data-switch="only/1/3"]').click()
    window.until(f"{PRESSED}.includes('only/1/3')")
    assert shown(window) != before
    (board,) = explain(Question("", 0, "bank 1: 3", box="BB-11"), desk_folder / "clinic").boards
    for text in (*board.believes, *board.expect, *board.move):
        assert " ".join(text.split()) in shown(window)
    window.one("#all-off").click()
    window.until(f"return ({PRESSED.removeprefix('return ')}).length === 0")
    assert shown(window) == before


def test_it_is_used_by_keyboard_alone(desk: RunningDesk, browser_on: Opened) -> None:
    """The focus stays on the switch, so that it can be set back."""
    window = browser_on(desk).go(f"{desk.job('clinic')}/explain?box=BB-11")
    window.until(READY)
    window.tab_to('[data-switch="only/2/1"]')
    for expected in (["only/2/1"], []):
        window.keys(Keys.SPACE)
        window.until(f"return JSON.stringify(({PRESSED.removeprefix('return ')})) === arguments[0]",
                     '["only/2/1"]' if expected else "[]")  # fmt: skip
        window.until("return document.activeElement.dataset.switch === 'only/2/1'")


def test_words_that_were_typed_are_set_on_the_picture(desk: RunningDesk, browser_on: Opened) -> None:
    """Without a job too; a word that is not understood is a problem, and there is no picture."""
    path = "/explain?family=four-port-boards&ports=12&wish=A+spare&found="
    window = browser_on(desk).go(f"{path}left bank 1: 2, right bank 2: 4")
    window.until(READY)
    assert window.js(PRESSED) == ["left/1/2", "right/2/4"]
    window.go(f"{path}somewhere")
    window.until("return document.readyState === 'complete'")
    assert "problem" in window.js("return document.getElementById('explained').innerHTML")
    assert not window.js("return document.querySelector('.switch')")


@pytest.mark.parametrize("path", ["/explain", "/explain?family=four-port-boards&ports=8", "job"])
def test_the_page_is_accessible_and_fits(desk: RunningDesk, browser_on: Opened, path: str) -> None:
    """At 1280 × 720, on a tablet, and 320 pixels wide."""
    window = browser_on(desk).go(path if path != "job" else f"{desk.job('clinic')}/explain")
    if path != "/explain":
        window.until(READY)
    for width, height in ((1280, 720), (820, 1180), (320, 640)):
        window.size(width, height)
        assert window.axe() == []
        assert not window.overflows(), width


def test_names_are_shown_and_never_act(desk: RunningDesk, browser_on: Opened, desk_folder: Path) -> None:
    """A bank's name, a place, and what the address says."""
    text = "<img src=x onerror=1>"
    files = {"job.toml": f'{HEAD}{BOX}place = "{text}"\nbank_names = ["{text}", "B\'"]\n{UNIT}'}
    write_files(desk_folder / "hostile", files)
    window = browser_on(desk).go(f"{desk.job('hostile')}/explain?wish={text}&found={text}&box=BX-1")
    window.until("return document.getElementById('explained')")
    assert window.js("return document.querySelectorAll('#main img').length") == 0
    assert window.js("return document.querySelector('[name=wish]').value") == text
    window.go(f"{desk.job('hostile')}/explain")
    window.until(READY)
    assert window.js("return document.querySelectorAll('#main img').length") == 0
    assert window.axe() == []


def test_what_the_page_never_sends_is_refused(desk: RunningDesk) -> None:
    """Another form is no bug; a size that is no number is the size of no box."""
    assert desk.post("/explain/try", {"on": 3}).status == 400
    answer = desk.post("/explain/try", {"family": "four-port-boards", "ports": "٣", "on": ["only/1/1"]})
    assert (answer.status, answer.json["picture"]) == (200, None)
    assert "no box of 0 ports" in answer.json["answer"]
