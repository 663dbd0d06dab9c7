"""Boxes, units and facts of a job typed and pasted on its page: what is saved is what is on disk."""

import tomllib
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from selenium.webdriver import Keys
from selenium.webdriver.support.ui import Select

from tests.desk.running import RunningDesk
from tests.desk.window import Window
from tests.job_files import BOX, HEAD, UNIT, write_files
from tests.workbooks import workbook

Opened = Callable[[RunningDesk], Window]
JOB = f"# by hand\n{HEAD}\n{BOX}place = 'Store'  # confirm: from the sheet\n\n{UNIT}"
PASTE = """
const data = new DataTransfer();
data.setData("text/plain", arguments[1]);
document.querySelector(arguments[0]).dispatchEvent(
  new ClipboardEvent("paste", { clipboardData: data, bubbles: true, cancelable: true }));
"""


@pytest.fixture
def job(desk: RunningDesk) -> Path:
    """A job of one box and one unit, without a schedule."""
    return write_files(desk.desk.folder / "small", {"job.toml": JOB})


def content(folder: Path) -> dict[str, Any]:
    """job.toml as it is."""
    return tomllib.loads((folder / "job.toml").read_text(encoding="utf-8"))


def opened(desk: RunningDesk, browser_on: Opened) -> Window:
    """The small job's page."""
    return browser_on(desk).go(desk.job("small") + "/schedule")


def type_in(window: Window, selector: str, text: str) -> None:
    """Type a text into a cell in place of its own, and leave it."""
    field = window.one(selector)
    field.send_keys(Keys.CONTROL + "a")
    field.send_keys(text + Keys.TAB)


def test_a_boxs_cell_is_saved_when_it_is_left(desk: RunningDesk, browser_on: Opened, job: Path) -> None:
    """That key alone; comments stay, and the next cell has the focus."""
    window = opened(desk, browser_on)
    type_in(window, "#box-0-power", "Panel LP-2, circuit 14")
    window.until("return document.getElementById('said').textContent.startsWith('Saved: BX-1: power')")
    window.until("return document.getElementById('box-0-power').defaultValue.startsWith('Panel')")
    assert content(job)["box"] == [
        {"tag": "BX-1", "ports": 4, "place": "Store", "power": "Panel LP-2, circuit 14"}
    ]
    assert (job / "job.toml").read_text(encoding="utf-8").startswith("# by hand\n")
    assert window.js("return document.activeElement.id") == "box-0-system"


def test_what_is_to_confirm_is_shown_at_its_cell(desk: RunningDesk, job: Path) -> None:
    """As the comment in job.toml has it, which nobody who works here reads."""
    text = desk.get(desk.job(job.name) + "/schedule").text
    assert 'id="confirm-0-place">confirm: from the sheet</span>' in text


def test_a_value_that_is_wrong_is_refused_at_once(desk: RunningDesk, browser_on: Opened, job: Path) -> None:
    """In the reader's own words; the typed text stays to be corrected."""
    window = opened(desk, browser_on)
    type_in(window, "#box-0-ports", "four")
    window.until_text("#refused", "'ports' must be a whole number")
    assert content(job)["box"][0]["ports"] == 4
    assert window.js("return document.getElementById('box-0-ports').value") == "four"
    assert window.axe() == []
    type_in(window, "#box-0-ports", "6")
    window.until("return !document.getElementById('refused').textContent.trim()")
    assert content(job)["box"][0]["ports"] == 6


def test_boxes_are_added_and_removed(desk: RunningDesk, browser_on: Opened, job: Path) -> None:
    """A new row is saved as a whole, with Enter or its button."""
    window = opened(desk, browser_on)
    window.one("#box-new-tag").send_keys("BX-2")
    window.one("#box-new-ports").send_keys("6" + Keys.ENTER)
    window.one("#box-1-tag")
    assert content(job)["box"][1] == {"tag": "BX-2", "ports": 6}
    assert window.one("#box-new-tag").get_attribute("value") == ""
    window.one("button[name=remove][value='BX-2']").click()
    window.until("return !document.getElementById('box-1-tag')")
    assert [box["tag"] for box in content(job)["box"]] == ["BX-1"]


def test_a_block_is_pasted_onto_a_cell(desk: RunningDesk, browser_on: Opened, job: Path) -> None:
    """From that cell on, to the right and down; looked at first, then saved."""
    write_files(job, {"job.toml": JOB + BOX.replace("BX-1", "BX-2")})
    window = opened(desk, browser_on)
    window.js(PASTE, "#box-0-place", "Shop\tPanel A\r\nYard\tPanel B\r\n")
    window.until_text("#paste-preview", "2 boxes")
    assert [box.get("power") for box in content(job)["box"]] == [None, None]
    assert window.axe() == []
    window.one("#save-block").click()
    window.until("return document.getElementById('box-1-power')?.value === 'Panel B'")
    assert [(box["place"], box["power"]) for box in content(job)["box"]] == [
        ("Shop", "Panel A"),
        ("Yard", "Panel B"),
    ]
    assert not window.js("return document.getElementById('paste-preview').textContent.trim()")


def test_a_block_with_headers_is_pasted_into_the_field(
    desk: RunningDesk, browser_on: Opened, job: Path
) -> None:
    """New boxes and known ones; a cell that is wrong is outlined, and nothing can be saved."""
    window = opened(desk, browser_on)
    window.one("#paste-part summary").click()
    field = window.one("#paste-block")
    block = "Box\tNo. of ports\tLocation\nBX-1\t\tAttic\nBX-7\teight\tRoof"
    window.js("arguments[0].value = arguments[1]", field, block)
    window.one("#paste-part button").click()
    window.until_text("#paste-preview td.wrong", "'eight' is not a number")
    assert not window.all("#save-block")
    window.js("arguments[0].value = arguments[1]", field, block.replace("eight", "8"))
    window.one("#paste-part button").click()
    window.one("#save-block").click()
    window.one("#box-1-tag")
    assert content(job)["box"] == [
        {"tag": "BX-1", "ports": 4, "place": "Attic"},
        {"tag": "BX-7", "ports": 8, "place": "Roof"},
    ]


def test_units_of_a_job_without_a_sheet_are_edited(desk: RunningDesk, browser_on: Opened, job: Path) -> None:
    """Changed, added, removed; a problem of a unit is in the list."""
    window = opened(desk, browser_on)
    assert window.axe() == []
    type_in(window, "#unit-0-room", "Bakehouse")
    window.until("return document.getElementById('said').textContent.startsWith('Saved')")
    window.until("return document.getElementById('unit-0-room').defaultValue === 'Bakehouse'")
    for key, text in (
        ("unit", "FC-2"),
        ("box", "BX-1"),
        ("port", "B"),
        ("capacity", "9 kBtu/h" + Keys.ENTER),
    ):
        window.js("document.getElementById(arguments[0]).focus()", f"unit-new-{key}")
        window.keys(text)  # where the focus is: the table may be shown again meanwhile
    window.one("#unit-1-unit")
    assert [unit.get("room") for unit in content(job)["unit"]] == ["Bakehouse", None]
    type_in(window, "#unit-1-port", "A")
    window.until("return document.getElementById('unit-1-port').defaultValue === 'A'")
    window.one("#units button[name=remove][value='1']").click()
    window.until("return !document.getElementById('unit-1-unit')")
    assert [unit["unit"] for unit in content(job)["unit"]] == ["FC-1"]


def test_job_facts_are_saved_together(desk: RunningDesk, browser_on: Opened, job: Path) -> None:
    """Texts, the date as a date, a revision as a number; an empty field removes its key."""
    window = opened(desk, browser_on)
    window.one("#fact-number").send_keys("TSB-1")
    window.one("#fact-revision").send_keys("3")
    window.js("document.getElementById('fact-date').value = '2026-05-12'")
    Select(window.one("#fact-status")).select_by_visible_text("draft")
    window.one("#save-facts").click()
    window.until("return document.getElementById('fact-number').defaultValue === 'TSB-1'")
    head = content(job)["job"]
    assert (head["number"], head["revision"], str(head["date"]), head["status"]) == (
        "TSB-1", 3, "2026-05-12", "draft",
    )  # fmt: skip
    window.one("#fact-number").clear()
    window.one("#save-facts").click()
    window.until("return document.getElementById('fact-number').defaultValue === ''")
    assert "number" not in content(job)["job"]


def test_a_box_of_a_workbooks_sheet_is_shown_with_its_cell(desk: RunningDesk, browser_on: Opened) -> None:
    """What the sheet gives is changed there; what it lacks is typed here, into a [[box]] of its own."""
    folder = write_files(desk.desk.folder / "listed", {"job.toml": f'{HEAD}schedule = "boxes.xlsx"\n'})
    workbook(folder / "boxes.xlsx", [("Box", "No. of ports", "Location"), ("BX-1", 6, "Store")])
    window = browser_on(desk).go(desk.job("listed") + "/schedule")
    assert not window.all("#box-0-place")
    assert "Store\nfrom boxes.xlsx:Ports!C2" in window.one("#boxes").text
    type_in(window, "#box-0-power", "Panel A")
    window.until("return document.getElementById('said').textContent.startsWith('Saved')")
    assert content(folder)["box"] == [{"tag": "BX-1", "power": "Panel A"}]


def test_what_is_typed_stays_with_its_box(desk: RunningDesk, browser_on: Opened, job: Path) -> None:
    """Another box that comes above it on disk meanwhile does not get the text."""
    window = opened(desk, browser_on)
    window.one("#box-0-power").send_keys("Panel")
    window.js("document.getElementById('box-0-tag').disabled = true")  # a sign of the part that is shown now
    text = (job / "job.toml").read_text(encoding="utf-8")
    (job / "job.toml").write_text(text.replace(BOX, BOX.replace("BX-1", "BX-0") + BOX), encoding="utf-8")
    window.until("return document.getElementById('box-0-tag').value === 'BX-0'")
    assert window.js("return document.getElementById('box-0-power').value") == ""
    assert len(content(job)["box"]) == 2


def test_many_boxes_are_shown_in_windows(desk: RunningDesk) -> None:
    """A hundred at a time; a row's number in the form is that in the job."""
    boxes = "".join(BOX.replace("BX-1", f"BX-{n}") for n in range(250))
    folder = write_files(desk.desk.folder / "many", {"job.toml": HEAD + boxes})
    path = desk.job(folder.name) + "/schedule"
    first, last = desk.get(path).text, desk.get(path + "?boxes=200").text
    assert "Boxes 1 to 100 of 250" in first
    assert 'name="box.249.tag"' in last
    assert 'name="box.199.tag"' not in last


def test_a_sheet_of_systems_is_shown_as_understood(desk: RunningDesk) -> None:
    """Its rows with what they are, a wrong cell with its problem; no question is asked about its columns."""
    systems = (
        ("System", "Outdoor unit", "Capacity (kBtu/h)", "Charge 3/8 in (lb/ft)", "Hold"),
        ("HR-1", "CU-1", 144, 0.039, "24 apples"),
    )
    units = (("Unit", "Box", "Port", "Cap. (MBH)"), ("FC-1", "BX-1", "A", 24))
    folder = write_files(desk.desk.folder / "listed", {"job.toml": f'{HEAD}schedule = "ports.xlsx"\n{BOX}'})
    workbook(folder / "ports.xlsx", systems, None, Units=units)
    shown = desk.get(desk.job("listed") + "/schedule?sheet=0")
    assert shown.status == 200
    assert '<tr class="system">' in shown.text
    assert "0.039 lb/ft" in shown.text
    assert "24 apples" in shown.text
    assert "unknown column" not in shown.text
