"""The phone's page in a real browser: tap, type, leave, reload, export, and see what a person sees."""

import json
import time
from collections.abc import Callable, Iterator, Mapping
from pathlib import Path
from typing import Any

from selenium.webdriver import Chrome, Keys
from selenium.webdriver.common.by import By
from selenium.webdriver.remote.webelement import WebElement

from tagmaker.catalog.walk_items import ROLES
from tagmaker.catalog.words import load_words
from tagmaker.job.model import Job
from tagmaker.outputs.walk_html import walk_html
from tagmaker.plan.model import BoxPlan, Plan
from tagmaker.tags import fields
from tagmaker.tags.walk import items_of_box, items_of_letter, letters_of
from tagmaker.workflows import planning
from tests.strategies import BoxSketch, JobSketch, UnitSketch

WIDTH, HEIGHT = 360, 740
PATIENCE_SECONDS = 60
"""Only so that a page that never does it fails a test instead of holding it up."""
Findings = Mapping[str, bool | str]
"""What was found, by field name: a tick or a text."""

ENTER = """
const [findings] = arguments;
for (const letter of document.querySelectorAll("details")) letter.open = true;
for (const [name, value] of Object.entries(findings)) {
  const opener = document.querySelector(`[data-opens="${name}"]`);
  if (opener && opener.getAttribute("aria-pressed") !== "true") opener.click();
  const control = document.querySelector(`[data-field="${name}"]`);
  if (!control) continue;
  if (value === true) { control.click(); continue; }
  control.value = value;
  control.dispatchEvent(new Event("input", { bubbles: true }));
}
"""
ENTERED = """
return Object.fromEntries([...document.querySelectorAll("[data-field]")].map((control) => [
  control.dataset.field,
  control.matches(".pole") ? control.matches(".marked")
    : control.tagName === "BUTTON" ? control.getAttribute("aria-pressed") === "true"
    : control.type === "checkbox" ? control.checked : control.value,
]).filter(([, value]) => value));
"""
OPEN = "for (const each of document.querySelectorAll('details')) each.open = true;"
FULL = 'Storage.prototype.setItem = () => { throw new DOMException("full", "QuotaExceededError"); };'


def plan_of(folder: Path) -> Plan:
    """The plan of a job folder, which must have no errors."""
    checked = planning.plan(folder)
    assert checked.plan is not None
    assert [problem for problem in checked.problems if problem.severity == "error"] == []
    return checked.plan


def write_page(plan: Plan, folder: Path) -> Path:
    """The phone's page of a plan, on disk."""
    folder.mkdir(parents=True, exist_ok=True)
    path = folder / "walk.html"
    path.write_bytes(walk_html(plan, load_words()))
    return path


def as_planned(job: Job, box: BoxPlan) -> dict[str, bool | str]:
    """Everything that can be entered for a box, all of it as planned."""
    key = box.row.key
    found: dict[str, bool | str] = {fields.box_item(key, item.key): True for item in items_of_box(job)}
    for board in box.boards:
        switches = [(bank, switch) for bank in board.banks for switch in bank.switches]
        found |= {
            (fields.switch_on if switch.state == "on" else fields.switch_off)(
                key, board.place, bank.number, switch.number
            ): True
            for bank, switch in switches
        }
        found[fields.board_seen(key, board.place)] = True
    for letter, port in letters_of(box):
        found |= {fields.port_field(key, letter, what): True for what in ("pipe/ok", "cable/ok", "tags/ok")}
        found |= {
            fields.port_item(key, letter, item.key): True for item in items_of_letter(job, port, letter)
        }
        found |= {fields.port_field(key, letter, f"{line}/proved"): True for line in ("pipe", "cable")}
        found[fields.port_field(key, letter, "proved")] = f"rung, {letter} R.H."
        found[fields.port_field(key, letter, "note")] = f'"{letter}" <dry> &'
    for role in ROLES:
        found |= {fields.sign(key, role): "R. Hale", fields.date(key, role): "2026-06-03"}
    return found


def is_json(path: Path) -> bool:
    """Whether a file is whole, and JSON."""
    try:
        json.loads(path.read_text(encoding="utf-8"))
    except ValueError:
        return False
    return True


def two_boxes(folder: Path) -> tuple[Path, Plan]:
    """A job of two boxes on disk, and its plan."""
    boxes = tuple(
        BoxSketch(tag, 4, (UnitSketch(f"FC-{tag}", "C", "18 kBtu/h"),), place=f"Level {tag}")
        for tag in ("BB-1", "BB-2")
    )
    job = JobSketch(boxes, number="TWO").write(folder / "job")
    return job, plan_of(job)


class Phone:
    """A page held in a hand."""

    def __init__(self, driver: Chrome, downloads: Path) -> None:
        self.driver = driver
        self.downloads = downloads
        self.early: list[str] = []
        self.size(WIDTH, HEIGHT)
        downloads.mkdir(parents=True, exist_ok=True)
        self.cdp("Browser.setDownloadBehavior", behavior="allow", downloadPath=str(downloads))

    def cdp(self, command: str, **values: object) -> Any:
        """A DevTools command."""
        return self.driver.execute_cdp_cmd(command, values)

    def js(self, script: str, *values: object) -> Any:
        """A script within the page."""
        return self.driver.execute_script(script, *values)

    def size(self, width: int, height: int) -> None:
        """The screen, in CSS pixels."""
        self.cdp(
            "Emulation.setDeviceMetricsOverride",
            width=width, height=height, deviceScaleFactor=2, mobile=True,
        )  # fmt: skip

    def open(self, page: Path | str) -> "Phone":
        """Open a page, a file or an address, with nothing kept."""
        address = page.as_uri() if isinstance(page, Path) else page
        self.driver.get(address)
        if not address.startswith("data:"):
            self.js("localStorage.clear()")
            self.reload()
        self.settle()
        return self

    def put_old(self, key: str, findings: Findings) -> None:
        """Keep findings as pages did that kept no plan beside them."""
        self.js("localStorage.setItem(arguments[0], arguments[1])", key, json.dumps(dict(findings)))

    def put_lost(self, *places: tuple[str, str]) -> None:
        """Leave word that some places had no room in the storage."""
        ids = json.dumps([json.dumps(place, separators=(",", ":")) for place in places])
        self.js("localStorage.setItem(keyOf('lost'), arguments[0])", ids)

    def reload(self) -> None:
        """Reload the page."""
        self.driver.refresh()
        self.settle()

    def settle(self) -> None:
        """Wait until letters are set and everything is where it stays: a tap must not miss what it is for."""
        self.driver.execute_async_script(
            "const next = (then) => requestAnimationFrame(() => requestAnimationFrame(then));"
            "document.fonts.ready.then(() => next(arguments[0]));"
        )

    def before_every_page(self, script: str) -> None:
        """Run a script before the scripts of every page that is opened from now on."""
        answer = self.cdp("Page.addScriptToEvaluateOnNewDocument", source=script)
        self.early.append(answer["identifier"])

    def put_away(self) -> None:
        """Leave the page, with nothing left over for the next test."""
        for identifier in self.early:
            self.cdp("Page.removeScriptToEvaluateOnNewDocument", identifier=identifier)
        first, *others = self.driver.window_handles
        for other in others:
            self.driver.switch_to.window(other)
            self.driver.close()
        self.driver.switch_to.window(first)
        self.driver.get("about:blank")
        self.cdp("Emulation.clearDeviceMetricsOverride")
        self.errors()

    def errors(self) -> list[str]:
        """What the browser's console told."""
        return [str(entry["message"]) for entry in self.driver.get_log("browser")]  # type: ignore[no-untyped-call]

    def dialogs(self) -> list[str]:
        """The kinds of dialog that opened since this was asked last."""
        log = self.driver.get_log("performance")  # type: ignore[no-untyped-call]
        messages = (json.loads(entry["message"])["message"] for entry in log)
        return [
            each["params"]["type"] for each in messages if each["method"] == "Page.javascriptDialogOpening"
        ]

    # --- what a person does --------------------------------------------------------------------------------

    def find(self, selector: str) -> WebElement:
        """The one element of a selector."""
        (element,) = self.driver.find_elements(By.CSS_SELECTOR, selector)
        return element

    def field(self, name: str) -> WebElement:
        """The control of a field."""
        return self.find(f'[data-field="{name}"]')

    def tap(self, target: str | WebElement) -> None:
        """Tap a field's control, or an element, where it stands in the middle of the screen."""
        element = self.field(target) if isinstance(target, str) else target
        self.js('arguments[0].scrollIntoView({ block: "center" })', element)
        element.click()

    def press(self, *keys: str) -> None:
        """Press keys, wherever the focus is."""
        self.driver.switch_to.active_element.send_keys(*keys)

    def type(self, name: str, text: str) -> None:
        """Type a text into a field; a date by its parts."""
        box = self.field(name)
        if box.get_attribute("type") == "date":  # a tap would begin with the part that it meets
            year, month, day = text.split("-")
            box.send_keys(month, day, year)
        else:
            self.tap(box)
            box.send_keys(Keys.END, text)

    def open_letter(self, letter: str) -> None:
        """Open a letter's card."""
        self.tap(self.find(f"#letter-{letter} summary"))

    def walk(self, findings: Findings) -> None:
        """Tap and type all of it, a letter's card opened where it is closed."""
        for name, value in findings.items():
            if "/port/" in name and not self.field(name).is_displayed():
                self.open_letter(name.split("/")[2])
            if value is True:
                self.tap(name)
            else:
                self.type(name, str(value))

    def enter(self, findings: Findings) -> None:
        """The same in one go, for tests of what comes after."""
        self.js(ENTER, dict(findings))

    def go(self, box: str) -> None:
        """Choose a box."""
        self.js(
            'const list = document.getElementById("choose"); list.value = arguments[0];'
            'list.dispatchEvent(new Event("change"));',
            box,
        )

    def export(self, button: str, name: str) -> Path:
        """Press an export button; the file that the browser saved, once all of it is there."""
        path = self.downloads / name
        path.unlink(missing_ok=True)
        self.tap(self.find(f"#{button}"))
        self.wait(lambda: path.exists() and is_json(path))
        return path

    def wait(self, is_done: Callable[[], object]) -> None:
        """Wait until something is so that the browser does in its own time."""
        until = time.monotonic() + PATIENCE_SECONDS
        while not is_done():
            assert time.monotonic() < until, "it never comes"
            time.sleep(0.02)

    # --- what a person sees --------------------------------------------------------------------------------

    def entered(self) -> dict[str, bool | str]:
        """What the page shows as entered for its box, by field name."""
        shown: dict[str, bool | str] = self.js(ENTERED)
        return shown

    def text(self, selector: str = "body") -> str:
        """The text that shows within an element."""
        return self.find(selector).text

    def told(self) -> Iterator[str]:
        """The differences that the page tells."""
        yield from (each.text for each in self.driver.find_elements(By.CSS_SELECTOR, ".planned .differs"))
