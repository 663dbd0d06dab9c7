"""The page of boxes as a person uses it: units dragged or moved by the list, what the page then shows."""

import contextlib
from collections.abc import Iterator

from selenium.webdriver import ActionChains
from selenium.webdriver.common.by import By
from selenium.webdriver.support.ui import Select

from tests.desk.running import RunningDesk
from tests.desk.window import Window

__all__ = ["BoxesPage"]


class BoxesPage:
    """The page of boxes of one job in a window."""

    def __init__(self, window: Window, desk: RunningDesk, job: str, query: str = "") -> None:
        self.window = window
        self.path = f"{desk.job(job)}/boxes"
        self.open(query)

    def open(self, query: str = "") -> None:
        """The page, once its first pictures are drawn."""
        self.window.go(self.path + query)
        self.window.until(
            "return document.querySelector('.picture[data-drawn]') && "
            "document.getElementById('draft').dataset.tried"
        )

    def at(self, unit: str) -> str:
        """The box and port at which a unit is drawn."""
        chip = f'button.unit[data-unit="{unit}"]'  # one step: pictures are drawn again meanwhile
        found = "const chip = document.querySelector(arguments[0]); return chip && "
        return str(self.window.until(f"{found}`${{chip.dataset.box}} ${{chip.dataset.port}}`", chip))

    def drag(self, unit: str, port: str) -> None:
        """Drag a unit to a port, named as its place on the page ("BX-1-E"), and wait for what it changes."""
        chip, row = self.window.one(f'button.unit[data-unit="{unit}"]'), self.window.one(f'[id="{port}"]')
        self.window.js("arguments[0].scrollIntoView({ block: 'center' })", chip)
        with self.tried():
            actions = ActionChains(self.window.driver, duration=30)
            actions.click_and_hold(chip).move_by_offset(9, 9).move_to_element(row).release().perform()

    def choose(self, unit: str, box: str, port: str) -> None:
        """Move a unit by its dialog's lists."""
        self.ask(unit, box)
        Select(self.window.one("#mover-port")).select_by_value(port)
        with self.tried():
            self.window.one("#mover button[value=move]").click()

    def ask(self, unit: str, box: str) -> None:
        """Open a unit's dialog on the ports of a box."""
        self.press(f'button.unit[data-unit="{unit}"]')
        shown = Select(self.window.one("#mover-box"))
        if shown.first_selected_option.get_attribute("value") != box:
            shown.select_by_value(box)
        self.window.until("return document.getElementById('mover-port').dataset.box === arguments[0]", box)

    def choices(self) -> list[str]:
        """The ports that the dialog lists."""
        return [option.text for option in Select(self.window.one("#mover-port")).options]

    def moves(self) -> list[str]:
        """The moves that are not kept, as the page lists them: unit, box, port."""
        found: list[str] = self.window.js(
            "return [...document.querySelectorAll('.moves li')].map(each => each.dataset.move)"
        )
        return found

    @contextlib.contextmanager
    def tried(self) -> Iterator[None]:
        """What is done within this makes the page ask what its moves change, and show it."""
        asked = "return document.getElementById('draft').dataset.tried"
        before = self.window.js(asked)
        yield
        self.window.until(f"{asked} !== arguments[0]", before)

    def text(self, selector: str) -> str:
        """The text of the first element of a selector, hidden parts too."""
        text: str = self.window.js("return document.querySelector(arguments[0])?.textContent ?? ''", selector)
        return " ".join(text.split())

    def press(self, selector: str) -> None:
        """Click a control, wherever it is on the page."""
        control = self.window.one(selector)
        self.window.js("arguments[0].scrollIntoView({ block: 'center' })", control)
        self.window.js("arguments[0].click()", control)

    def problems(self) -> list[str]:
        """The list of problems of the job."""
        return [each.text for each in self.window.driver.find_elements(By.CSS_SELECTOR, "#problems .problem")]
