"""The desk's plain pages in a real browser: they open, are accessible, and fit every window."""

from collections.abc import Callable

import pytest

from tagmaker.workflows.manual import PAGES
from tests.desk.running import RunningDesk
from tests.desk.window import Window

Opened = Callable[[RunningDesk], Window]
PATHS = ("/", "/manual", "/manual/schedules", "/nothing")


def test_the_secret_is_gone_from_the_address_bar(desk: RunningDesk, browser_on: Opened) -> None:
    """The first page is shown under an address that may be seen."""
    window = browser_on(desk)
    assert window.driver.current_url == f"{desk.url}/"
    assert window.one("h1").text == "Jobs"


@pytest.mark.parametrize("path", PATHS)
def test_a_page_is_accessible_and_fits(desk: RunningDesk, browser_on: Opened, path: str) -> None:
    """At 1280 × 720, on a tablet, and 320 pixels wide (WCAG 1.4.10)."""
    window = browser_on(desk).go(path)
    assert window.axe() == []
    for width, height in ((1280, 720), (820, 1180), (320, 640)):
        window.size(width, height)
        assert not window.overflows(), width


def test_every_page_of_the_manual_opens(desk: RunningDesk) -> None:
    """With its title; what looks like markup in it is text."""
    for name in PAGES:
        answer = desk.get(f"/manual/{name}")
        assert answer.status == 200
        assert answer.text.count("<h1>") == 1
