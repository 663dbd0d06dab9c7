"""The desk's plain pages in a real browser: they open, are accessible, and fit every window."""

import re
from collections.abc import Callable

import pytest
from selenium.webdriver import Keys

from tagmaker.workflows.manual import PAGES
from tests.desk.running import RunningDesk
from tests.desk.window import Window

Opened = Callable[[RunningDesk], Window]
OF_A_JOB = (
    "schedule", "boxes", "paper", "site", "site/scan", "site/changes", "site/phones",
    "site/handover", "room", "explain", "history",
)  # fmt: skip
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


def test_a_message_of_an_error_stays_until_it_is_dismissed(desk: RunningDesk, browser_on: Opened) -> None:
    """By its button, or by Escape; the focus is not lost. Other messages have time to be read, too."""
    window = browser_on(desk).go("/")
    complain = "import('/static/common.js').then(page => page.complain(arguments[0]))"
    for close in ("button", "key"):
        window.js(complain, "It went wrong.")
        window.until_text("#said", "It went wrong.")
        assert window.axe() == []
        if close == "button":
            window.one("#said-close").click()
        else:
            window.keys(Keys.ESCAPE)
        window.until("return !document.getElementById('said').textContent")
        assert window.js("return document.activeElement.id") == "main"


@pytest.mark.parametrize("path", OF_A_JOB)
def test_every_page_of_a_job_has_one_head(desk: RunningDesk, path: str) -> None:
    """The page's name, then the job's number and name; the window's title is the same."""
    text = desk.get(f"{desk.job('clinic')}/{path}").text
    (head,) = re.findall("<h1>(.*?)</h1>", text, re.DOTALL)
    name, job = re.findall(r'^([A-Z][a-z: ]+) <span id="job-name" class="quiet">(.*)</span>$', head)[0]
    assert job == "ARC-7 Alder Row Clinic"
    assert f"<title>{name} – {job} – tagmaker</title>" in text
