"""Jobs of a schedule on a desk, and what a person does on their page."""

from pathlib import Path

from selenium.webdriver.support.ui import Select

from tests.desk.running import RunningDesk
from tests.desk.window import Window

__all__ = ["FAMILY", "begin", "choose", "count", "questions"]

FAMILY = "four-port-boards"


def begin(window: Window, schedule: Path, name: str = "") -> str:
    """Begin a job with a schedule on the first page; gives its page's path."""
    window.go("/")
    window.one("#new-file").send_keys(str(schedule))
    if name:
        window.one("#new-name").clear()
        window.one("#new-name").send_keys(name)
    Select(window.one("#new-family")).select_by_value(FAMILY)
    window.one("#begin-schedule").click()
    window.until("return location.pathname.endsWith('/schedule')")
    window.one("#state")
    path: str = window.js("return location.pathname")
    return path


def questions(window: Window) -> list[str]:
    """The open questions' texts, in order."""
    texts: list[str] = window.js(
        "return [...document.querySelectorAll('#questions legend')].map((each) => each.textContent.trim())"
    )
    return texts


def choose(window: Window, question: str, choice: str) -> None:
    """Click the choice of a question, each known by a part of its text."""
    label = window.js(
        "const set = [...document.querySelectorAll('#questions fieldset')]"
        ".find((each) => each.querySelector('legend').textContent.includes(arguments[0]));"
        "return [...set.querySelectorAll('label.choice')]"
        ".find((each) => each.textContent.includes(arguments[1]))",
        question, choice,
    )  # fmt: skip
    label.click()


def count(desk: RunningDesk, path: str, what: str) -> int:
    """How many questions, errors or warnings the page counts."""
    text = desk.get(path).text
    badge = text[text.index('<p class="badges">') :]
    return int(badge[: badge.index(f" {what}")].rpartition(">")[2])
