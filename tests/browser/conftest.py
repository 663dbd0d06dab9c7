"""A real Chromium without a screen, shared by all tests, and a phone's page in it."""

import contextlib
import os
from collections.abc import Iterator
from pathlib import Path

import pytest
from selenium import webdriver
from selenium.webdriver.chrome.service import Service

from tagmaker.plan.model import Plan
from tests.browser.phone import (
    FULL,
    OPEN,
    PATIENCE_SECONDS,
    Findings,
    Phone,
    as_planned,
    plan_of,
    write_page,
)
from tests.paths import EXAMPLES

FLAGS = (
    "--headless=new",
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
    "--lang=en-US",
    "--host-resolver-rules=MAP plain.test 127.0.0.1",  # a host that is not secure
)

WRONG: Findings = {
    "BX-1/item/power": True,
    "BX-1/left/1/3": True,
    "BX-1/left/seen": True,
    "BX-1/right/1/1": True,
    "BX-1/port/A/pipe/ok": True,
    "BX-1/port/A/cable/found": "FC-9",
    "BX-1/port/B/pipe/ok": True,
    "BX-1/port/B/cable/ok": True,
    "BX-1/port/C/note": "dry",
    "BX-1/sign/verifier": "R. Hale",
    "BX-1/date/verifier": "2026-06-03",
}
"""Every state that a part can be in: untouched, begun, seen, differing."""
STATES = ("untouched", "whole", "begun and not kept", "found for an earlier plan")
"""The states that a page can be in."""
OLD_SHELF = "tagmaker-walk/TSB-1/Tide Street Bakery/0"
"""Where pages that kept no plan beside their findings kept them, an earlier revision's."""


@contextlib.contextmanager
def started(profile: Path, font_px: int) -> Iterator[webdriver.Chrome]:
    """Debian's Chromium with a fresh profile; its log holds what DevTools sees, dialogs among it.

    `font_px` is the size of letters that its user chose; 16 unless somebody changes it.
    """
    options = webdriver.ChromeOptions()
    options.binary_location = "/usr/bin/chromium"
    for flag in (*FLAGS, f"--user-data-dir={profile}"):
        options.add_argument(flag)
    options.add_experimental_option("prefs", {"webkit": {"webprefs": {"default_font_size": font_px}}})
    options.set_capability("goog:loggingPrefs", {"performance": "ALL", "browser": "ALL"})
    service = Service("/usr/bin/chromedriver", log_output=os.devnull)
    driver = webdriver.Chrome(options=options, service=service)
    driver.set_script_timeout(PATIENCE_SECONDS)
    try:
        yield driver
    finally:
        driver.quit()


@pytest.fixture(scope="session")
def browser(tmp_path_factory: pytest.TempPathFactory) -> Iterator[webdriver.Chrome]:
    """A browser as it comes."""
    with started(tmp_path_factory.mktemp("profile"), font_px=16) as driver:
        yield driver


@pytest.fixture(scope="session")
def large_browser(tmp_path_factory: pytest.TempPathFactory) -> Iterator[webdriver.Chrome]:
    """A browser whose user reads letters of twice the size only."""
    with started(tmp_path_factory.mktemp("profile"), font_px=32) as driver:
        yield driver


def in_hand(driver: webdriver.Chrome, downloads: Path) -> Iterator[Phone]:
    """A phone 360 px wide with nothing kept from other tests; its page reported no error at the end."""
    held = Phone(driver, downloads)
    yield held
    reported = held.errors()
    held.put_away()
    assert reported == []


@pytest.fixture
def phone(browser: webdriver.Chrome, tmp_path: Path) -> Iterator[Phone]:
    """A phone as it comes."""
    yield from in_hand(browser, tmp_path / "downloads")


@pytest.fixture
def large_phone(large_browser: webdriver.Chrome, tmp_path: Path) -> Iterator[Phone]:
    """A phone with letters of twice the size."""
    yield from in_hand(large_browser, tmp_path / "downloads")


@pytest.fixture(scope="session")
def plan() -> Plan:
    """The smallest example: six ports on two boards, a shared port, a joined pair, two spares."""
    return plan_of(EXAMPLES / "bakery")


@pytest.fixture(scope="session")
def page(plan: Plan, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The phone's page of the smallest example."""
    return write_page(plan, tmp_path_factory.mktemp("page"))


def brought(phone: Phone, state: str, page: Path, plan: Plan) -> Phone:
    """The page in a state, every card open, the hand-in shown."""
    if state == "begun and not kept":
        phone.before_every_page(FULL)
    phone.open(page)
    if state == "found for an earlier plan":
        phone.put_old(f"{OLD_SHELF}/BX-1", as_planned(plan.job, plan.boxes[0]))
        phone.put_old(f"{OLD_SHELF}/BX-9", {"BX-9/left/seen": True, "BX-9/port/A/note": "dry"})
        phone.put_lost(("BX-1", "left"), ("BX-1", "port/A"))
        phone.reload()
    phone.js(OPEN)
    if state != "untouched":
        phone.enter(as_planned(plan.job, plan.boxes[0]) if state == "whole" else WRONG)
        phone.js("showText(data.boxes, 'reported')")
    phone.settle()
    return phone


@pytest.fixture(params=STATES)
def shown(request: pytest.FixtureRequest, phone: Phone, page: Path, plan: Plan) -> Phone:
    """The page in each of the states that it can be in."""
    return brought(phone, request.param, page, plan)


@pytest.fixture(params=STATES)
def large_shown(request: pytest.FixtureRequest, large_phone: Phone, page: Path, plan: Plan) -> Phone:
    """The same in letters of twice the size, on the narrowest phone."""
    large_phone.size(320, 640)
    return brought(large_phone, request.param, page, plan)
