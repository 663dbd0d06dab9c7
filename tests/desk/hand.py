"""A phone in somebody's hand: a real browser with a phone's screen at the phones' door."""

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from selenium.webdriver import Chrome
from selenium.webdriver.common.by import By
from selenium.webdriver.remote.webelement import WebElement
from selenium.webdriver.support.ui import WebDriverWait

from tests.browser.phone import ENTER
from tests.desk.phone_client import invited
from tests.desk.running import RunningDesk
from tests.site.walks import Values

__all__ = ["PATIENCE_SECONDS", "Hand"]

WIDTH, HEIGHT = 360, 740
PATIENCE_SECONDS = 40


class Hand:
    """A phone in somebody's hand."""

    def __init__(self, driver: Chrome, downloads: Path) -> None:
        self.driver, self.downloads, self.host = driver, downloads, ""
        downloads.mkdir(parents=True, exist_ok=True)
        command = driver.execute_cdp_cmd
        command("Browser.setDownloadBehavior", {"behavior": "allow", "downloadPath": str(downloads)})
        size = {"width": WIDTH, "height": HEIGHT, "deviceScaleFactor": 1, "mobile": True}
        command("Emulation.setDeviceMetricsOverride", size)

    def scan(self, desk: RunningDesk, job: str, name: str) -> "Hand":
        """Scan the code that the desk shows, and enter a name."""
        self.host, key = invited(desk, job)
        self.driver.get(f"http://{self.host}/?key={key}")
        self.one("#name").send_keys(name)
        self.one("form button").click()
        self.until("return location.pathname === '/' && !location.search && document.querySelector('nav a')")
        return self

    def go(self, path: str) -> "Hand":
        """Open one of the pages."""
        self.driver.get(f"http://{self.host}{path}")
        return self

    def walk(self) -> "Hand":
        """The walk, once the desk answered."""
        self.go("/walk")
        self.linked("sent")
        self.until("return signer !== ''")
        return self

    @contextmanager
    def another_tab(self) -> Iterator[None]:
        """A second tab in front, empty; closed at the end, with the first one in front."""
        first = self.driver.current_window_handle
        self.driver.switch_to.new_window("tab")
        second = self.driver.current_window_handle
        try:
            yield
        finally:
            self.driver.switch_to.window(second)
            self.driver.close()
            self.driver.switch_to.window(first)

    def linked(self, state: str) -> None:
        """Wait for what the page reports of the link."""
        self.until("return document.getElementById('link')?.dataset.state === arguments[0]", state)

    def enter(self, values: Values) -> None:
        """Tap and type all of it."""
        self.js(ENTER, dict(values))

    def all_sent(self) -> None:
        """Wait until nothing waits to be sent."""
        self.until("return sync.unsent.size === 0")

    def one(self, selector: str) -> WebElement:
        """The first element of a CSS selector, waited for."""
        find = self.driver.find_elements
        WebDriverWait(self.driver, PATIENCE_SECONDS, 0.05).until(lambda _: find(By.CSS_SELECTOR, selector))
        return find(By.CSS_SELECTOR, selector)[0]

    def js(self, script: str, *values: object) -> Any:
        """A script within the page."""
        return self.driver.execute_script(script, *values)

    def until(self, script: str, *values: object) -> Any:
        """Wait until a script's `return` is true."""
        return WebDriverWait(self.driver, PATIENCE_SECONDS, 0.05).until(lambda _: self.js(script, *values))

    def text(self, selector: str) -> str:
        """What an element shows."""
        return " ".join(self.one(selector).text.split())

    def shows(self, field: str) -> bool:
        """Whether a tick or a switch's end shows as set."""
        shown: bool = self.js(
            "const each = document.querySelector('[data-field=\"' + arguments[0] + '\"]');"
            "return each.type === 'checkbox' ? each.checked : each.getAttribute('aria-pressed') === 'true'",
            field,
        )
        return shown

    def errors(self) -> list[str]:
        """What the console reported, refused and lost connections aside."""
        log: list[dict[str, str]] = self.driver.get_log("browser")  # type: ignore[no-untyped-call]
        known = ("status of 4", "ERR_CONNECTION", "net::ERR", "favicon")
        return [each["message"] for each in log if not any(part in each["message"] for part in known)]
