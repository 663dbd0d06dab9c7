"""A whole job in a real browser, from a fresh folder: dropped schedule, questions, set, and what comes back.

What is written is byte for byte what the command line writes for the same job.
"""

from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from selenium.webdriver import Keys

from tagmaker.revisions.plan_file import read_set
from tagmaker.workflows.make import make
from tests.desk.running import RunningDesk, running_desk
from tests.desk.schedules import begin, choose
from tests.desk.window import Window
from tests.workflows.jobs import contents
from tests.workflows.messy import five_questions

Opened = Callable[[RunningDesk], Window]
ANSWERS = (
    ("'Load'", "kBtu/h"),
    ("'Location'", "room"),
    ("'Colour'", "leave it out"),
    ("which sheets", "only Ports"),
)


@pytest.fixture
def fresh(tmp_path: Path) -> Iterator[RunningDesk]:
    """A desk of a folder with nothing in it."""
    (tmp_path / "work").mkdir()
    with running_desk(tmp_path / "work", tmp_path / "received") as running:
        yield running


def the_set(desk: RunningDesk, name: str, tmp_path: Path) -> None:
    """The desk's set of a job is what `make` writes for it."""
    made = desk.desk.folder / f"{name}-out"
    assert read_set(made)
    other = tmp_path / "by-command"
    assert make(desk.desk.folder / name, other).files
    assert contents(made) == contents(other)


def test_from_a_dropped_schedule_to_the_set(fresh: RunningDesk, browser_on: Opened, tmp_path: Path) -> None:
    """Ninety units, five questions: sixteen clicks, the choice of file and family among them."""
    window = browser_on(fresh)
    path = begin(window, five_questions(tmp_path / "ports.xlsx"), "Mill Lane Depot").removesuffix("/schedule")
    for question, choice in ANSWERS:
        choose(window, question, choice)
    window.one("#save-answers").click()
    window.until_text("#questions legend", "a hidden row holds FC-OLD")
    choose(window, "hidden row", "leave out FC-OLD")
    window.one("#save-answers").click()
    window.until_text("#state", "All is understood")
    window.one(f'#state a[href="{path}/paper"]').click()
    window.one("#make button.main").click()
    window.one("#open-set").click()
    window.until_text("h1", "Set")
    assert window.axe() == []
    (job,) = fresh.desk.jobs()
    the_set(fresh, job.below, tmp_path)


def files_of(job: Path) -> dict[str, bytes]:
    """A job's files, without what the desk keeps of them."""
    return {name: content for name, content in contents(job).items() if not name.startswith(".history/")}


def typed(window: Window, selector: str, *keys: str) -> None:
    """Go to a control by Tab and press keys there."""
    window.tab_to(selector)
    window.keys(*keys)


def test_by_keyboard_alone(fresh: RunningDesk, browser_on: Opened, tmp_path: Path) -> None:
    """An example is copied, a unit moved, kept and taken back, the set made: Tab, Enter, arrows, letters."""
    window = browser_on(fresh)
    typed(window, "#new-example", "b", "a", "k")
    typed(window, "#begin-example", Keys.ENTER)
    window.until("return location.pathname.endsWith('/schedule')")
    typed(window, '.tabs a[href$="/boxes"]', Keys.ENTER)
    window.until("return location.pathname.endsWith('/boxes')")
    job = fresh.desk.folder / "bakery"
    before = files_of(job)
    window.one('[data-unit="FC-1"]')
    typed(window, '[data-unit="FC-1"]', Keys.ENTER)
    window.until("return document.activeElement.id === 'mover-port'")
    window.keys(Keys.ARROW_DOWN, Keys.ENTER)
    window.one("#keep")
    typed(window, "#keep", Keys.ENTER)
    window.until("return document.querySelector('#undo:not(:disabled)')")
    assert files_of(job) != before
    typed(window, "#undo", Keys.ENTER)
    window.until("return document.querySelector('#undo:disabled')")
    assert files_of(job) == before
    typed(window, '.tabs a[href$="/paper"]', Keys.ENTER)
    window.until("return location.pathname.endsWith('/paper')")
    typed(window, "#make button.main", Keys.ENTER)
    window.one("#open-set")
    the_set(fresh, "bakery", tmp_path)
