"""A browser's window on a desk: pages by their paths, elements, keys, what its console reports."""

from pathlib import Path
from typing import Any

from selenium.common.exceptions import ElementNotInteractableException, StaleElementReferenceException
from selenium.webdriver import ActionChains, Chrome, Keys
from selenium.webdriver.common.by import By
from selenium.webdriver.remote.webelement import WebElement
from selenium.webdriver.support.ui import WebDriverWait

from tests.desk.axe import axe_findings
from tests.desk.running import RunningDesk

__all__ = ["Window"]

WIDTH, HEIGHT = 1280, 720
PATIENCE_SECONDS = 30


class Window:
    """A desktop window of 1280 × 720 pixels, opened with the desk's first address."""

    def __init__(self, driver: Chrome, desk: RunningDesk, downloads: Path) -> None:
        self.driver = driver
        self.desk = desk
        self.downloads = downloads
        downloads.mkdir(parents=True, exist_ok=True)
        self.cdp("Browser.setDownloadBehavior", behavior="allow", downloadPath=str(downloads))
        self.size(WIDTH, HEIGHT)
        self.log()
        driver.get(desk.key.address)

    def cdp(self, command: str, **values: object) -> Any:
        """A DevTools command."""
        return self.driver.execute_cdp_cmd(command, values)

    def size(self, width: int, height: int) -> None:
        """The window's inside, in CSS pixels."""
        self.cdp(
            "Emulation.setDeviceMetricsOverride",
            width=width,
            height=height,
            deviceScaleFactor=1,
            mobile=False,
        )

    def go(self, path: str) -> "Window":
        """Open a page of the desk."""
        self.driver.get(f"{self.desk.url}{path}")
        return self

    def js(self, script: str, *values: object) -> Any:
        """A script within the page."""
        return self.driver.execute_script(script, *values)

    def all(self, selector: str) -> list[WebElement]:
        """Every element of a CSS selector, as it is now."""
        return self.driver.find_elements(By.CSS_SELECTOR, selector)

    def one(self, selector: str) -> WebElement:
        """The first element of a CSS selector, waited for."""
        WebDriverWait(self.driver, PATIENCE_SECONDS, 0.05).until(lambda _: self.all(selector))
        return self.all(selector)[0]

    def type_in(self, selector: str, text: str) -> None:
        """Type into a field; once more where the page was replaced just then, as it is while files change."""
        moved = (StaleElementReferenceException, ElementNotInteractableException)

        def typed(_: Chrome) -> bool:
            self.one(selector).send_keys(text)
            return True

        WebDriverWait(self.driver, PATIENCE_SECONDS, 0.05, moved).until(typed)

    def until(self, script: str, *values: object) -> Any:
        """Wait until a script's `return` is true; gives what it returned."""
        return WebDriverWait(self.driver, PATIENCE_SECONDS, 0.05).until(lambda _: self.js(script, *values))

    def until_text(self, selector: str, text: str) -> None:
        """Wait until an element shows a text."""
        self.until(
            "return [...document.querySelectorAll(arguments[0])].some("
            "each => each.textContent.includes(arguments[1]))",
            selector, text,
        )  # fmt: skip

    def keys(self, *keys: str) -> None:
        """Press keys, one after the other, wherever the focus is."""
        for key in keys:
            ActionChains(self.driver).send_keys(key).perform()

    def tab_to(self, selector: str, at_most: int = 200) -> WebElement:
        """Press Tab until the focus is on an element of the selector, as a person without a mouse does."""
        for _ in range(at_most):
            self.keys(Keys.TAB)
            if self.js("return document.activeElement.matches(arguments[0])", selector):
                return self.driver.switch_to.active_element
        raise AssertionError(f"{selector} is not reached by Tab")

    @property
    def said(self) -> str:
        """The message that is shown and read aloud now."""
        text: str = self.js("return document.getElementById('said').textContent")
        return text

    def axe(self) -> list[str]:
        """What axe-core finds on the page as it is now."""
        return axe_findings(self.driver)

    def overflows(self) -> bool:
        """Whether the page is wider than the window, so that a person must scroll sideways."""
        wider: bool = self.js("return document.documentElement.scrollWidth > window.innerWidth")
        return wider

    def errors(self) -> list[str]:
        """What the console reported: errors and refused loads; answers of 4xx that a test provoked aside."""
        return [line for line in self.log() if "the server responded with a status of 4" not in line]

    def log(self) -> list[str]:
        """What the console reported as severe since this was last asked."""
        entries: list[dict[str, str]] = self.driver.get_log("browser")  # type: ignore[no-untyped-call]
        return [entry["message"] for entry in entries if entry["level"] == "SEVERE"]
