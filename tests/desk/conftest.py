"""A desk on copies of the examples, and a real browser that shows it."""

import shutil
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from selenium import webdriver

from tests.browser.conftest import started
from tests.desk.running import RunningDesk, running_desk
from tests.desk.window import Window
from tests.paths import EXAMPLES

SHOWN = ("bakery", "clinic", "weir-school", "full-of-mistakes")


@pytest.fixture
def desk_folder(tmp_path: Path) -> Path:
    """A folder with copies of some example jobs."""
    folder = tmp_path / "jobs"
    for name in SHOWN:
        shutil.copytree(EXAMPLES / name, folder / name, ignore=shutil.ignore_patterns("*.png", "returned"))
    return folder


@pytest.fixture
def desk(desk_folder: Path, tmp_path: Path) -> Iterator[RunningDesk]:
    """A desk of these jobs."""
    with running_desk(desk_folder, tmp_path / "received") as running:
        yield running


@pytest.fixture(scope="session")
def chromium(tmp_path_factory: pytest.TempPathFactory) -> Iterator[webdriver.Chrome]:
    """Chromium as it comes, for all tests of the desk."""
    with started(tmp_path_factory.mktemp("profile"), font_px=16) as driver:
        yield driver


@pytest.fixture
def browser_on(chromium: webdriver.Chrome, tmp_path: Path) -> Iterator[Callable[[RunningDesk], Window]]:
    """A window on a desk, opened with its first address; its console reported no error at the end."""
    opened: list[Window] = []

    def open_on(desk: RunningDesk) -> Window:
        opened.append(Window(chromium, desk, tmp_path / "downloads"))
        return opened[-1]

    yield open_on
    reported = [line for window in opened for line in window.errors()]
    chromium.get("about:blank")
    assert reported == []
