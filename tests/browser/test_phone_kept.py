"""What was entered on a phone is kept, box by box; where it is not, the page says so before it is lost."""

import base64
import json
from pathlib import Path

from selenium.webdriver.common.by import By

from tagmaker.workflows.readback import readback
from tests.browser.phone import FULL, Findings, Phone, as_planned, plan_of, two_boxes, write_page
from tests.records import replace
from tests.strategies import BoxSketch, JobSketch, UnitSketch, one_box


def test_boxes_keep_what_was_entered_when_they_are_changed(phone: Phone, tmp_path: Path) -> None:
    """There and back by the chooser and the buttons; a reload comes back to the same box."""
    _, plan = two_boxes(tmp_path)
    phone.open(write_page(plan, tmp_path))
    first: Findings = {"BB-1/only/1/1": True}
    second: Findings = {"BB-2/only/1/2": True, "BB-2/port/A/note": "dry"}
    phone.enter(first)
    phone.tap(phone.find("#on"))
    assert phone.entered() == {}
    phone.enter(second)
    phone.tap(phone.find("#back-below"))
    assert first == phone.entered()
    phone.go("BB-2")
    phone.reload()
    assert second == phone.entered()
    assert phone.text("#name").split("\n") == ["BB-2", "box 2 of 2"]


def test_a_box_is_emptied_after_a_question_only(phone: Phone, page: Path) -> None:
    """For another walk; no other way loses what was entered."""
    phone.open(page).enter({"BX-1/item/valves": True})
    phone.tap(phone.find("#empty"))
    phone.driver.switch_to.alert.dismiss()
    assert phone.entered() == {"BX-1/item/valves": True}
    phone.tap(phone.find("#empty"))
    phone.driver.switch_to.alert.accept()
    assert phone.entered() == {}
    phone.reload()
    assert phone.entered() == {}


DAMAGED = (
    "",
    "{",
    "null",
    "7",
    '[1, "x"]',
    '"text"',
    '{"BX-1/item/valves": {"a": 1}, "BX-2/item/valves": true}',
    '{"fields": null}',
    '{"fields": "text"}',
    '{"fields": [true]}',
    '{"fields": {"BX-1/item/valves": {"a": 1}, "BX-1/left/seen": true, "BX-2/item/valves": true}}',
)
KEYS = """
return [
  OLD_SHELF + "1/BX-1", keyOf("BX-1", "item", plansOf(box).get("item")), keyOf("BX-1", "item", "other plan"),
  keyOf("lost"), keyOf("at"), keyOf("spare"),
  SHELF_START, SHELF_START + "1", keyOf(), keyOf("BX-1", "item"), keyOf(1, 2, "3"), keyOf(null, null, "3"),
];
"""


def test_what_was_kept_and_is_damaged_stops_nothing(phone: Phone, page: Path) -> None:
    """The page opens, and what no walk can hold is left out, under keys of today, of old and of no page."""
    keys = phone.open(page).js(KEYS)
    for kept in DAMAGED:
        phone.js("for (const key of arguments[0]) localStorage.setItem(key, arguments[1])", keys, kept)
        phone.reload()
        assert phone.entered() == {}
        assert json.loads(phone.js("return exported([box])"))["boxes"][0]["fields"] == {}
        assert phone.driver.find_elements(By.CSS_SELECTOR, ".earlier") == []


def test_while_all_is_kept_leaving_asks_nothing(phone: Phone, page: Path) -> None:
    """No alarm, no dialog."""
    phone.open(page)
    phone.tap("BX-1/item/valves")
    assert phone.text("#alarm") == ""
    phone.dialogs()
    phone.driver.get("about:blank")
    assert phone.dialogs() == []


def test_where_nothing_is_kept_the_page_says_so_and_leaving_warns(phone: Phone, page: Path) -> None:
    """Until what was entered is exported; the export still has all of it."""
    phone.before_every_page(FULL)
    phone.open(page)
    assert phone.text("#alarm") == "Nothing is stored: export before closing."
    phone.driver.get("about:blank")
    assert phone.dialogs() == []
    phone.driver.get(page.as_uri())
    phone.tap("BX-1/item/valves")
    phone.driver.get("about:blank")
    assert phone.dialogs() == ["beforeunload"]
    phone.driver.get(page.as_uri())
    phone.tap("BX-1/item/cover")
    file = phone.export("export-one", "walk-BX-1.json")
    assert json.loads(file.read_text(encoding="utf-8"))["boxes"][0]["fields"] == {"BX-1/item/cover": True}
    phone.driver.get("about:blank")
    assert phone.dialogs() == []


def test_a_store_that_fills_up_on_the_way_is_told(phone: Phone, page: Path) -> None:
    """From the first finding that was not kept, and no longer once all is kept again."""
    phone.open(page)
    phone.tap("BX-1/item/valves")
    phone.js(f"window.real = Storage.prototype.setItem; {FULL}")
    phone.tap("BX-1/item/cover")
    assert phone.text("#alarm") == "Storage is full, 1 not stored: export before closing."
    phone.js("Storage.prototype.setItem = window.real")
    phone.tap("BX-1/item/power")
    assert phone.text("#alarm") == ""
    phone.reload()
    assert set(phone.entered()) == {"BX-1/item/valves", "BX-1/item/cover", "BX-1/item/power"}


FILL = """
let size = 1 << 22;
while (size >= 1) {
  try {
    localStorage.setItem("another page's " + size + Math.random(), "x".repeat(size));
  } catch (full) {
    size >>= 1;
  }
}
"""
"""Another page takes all the room that there is."""
EMPTY = """
for (const key of Object.keys(localStorage))
  if (key.startsWith("another page's")) localStorage.removeItem(key);
"""


def test_a_real_store_that_is_full_is_reported_and_again_after_a_reload(phone: Phone, page: Path) -> None:
    """What is stored stays; what is not is named at once, and named as lost when the page is opened again."""
    phone.open(page)
    phone.tap("BX-1/item/valves")
    phone.js(FILL)
    phone.enter({"BX-1/port/A/note": "behind the duct " * 300})
    assert phone.text("#alarm") == "Storage is full, 1 not stored: export before closing."
    assert "Not stored: BX-1 Port A." in phone.text("#keeps")
    phone.js(FILL)
    phone.dialogs()
    phone.reload()
    assert phone.dialogs() == ["beforeunload"]
    assert phone.entered() == {"BX-1/item/valves": True}
    assert phone.text("#alarm") == "Storage is full: export, then clear a box."
    assert "check BX-1 Port A." in phone.text(".lost")
    phone.reload()
    assert "check BX-1 Port A." in phone.text(".lost")
    phone.tap(phone.find(".lost button"))
    assert not phone.find(".lost").is_displayed()
    phone.js(EMPTY)
    phone.tap("BX-1/item/power")
    assert phone.text("#alarm") == ""
    phone.reload()
    assert (phone.text("#alarm"), phone.find(".lost").is_displayed()) == ("", False)
    assert phone.entered() == {"BX-1/item/valves": True, "BX-1/item/power": True}


def test_a_store_that_is_almost_full_is_reported_while_all_is_stored(phone: Phone, page: Path) -> None:
    """The page has some room in hand."""
    phone.open(page)
    phone.js(FILL)
    phone.tap("BX-1/item/valves")
    assert phone.text("#alarm") == "Storage is full: export, then clear a box."
    assert phone.text("#keeps").startswith("The browser's storage is full: export what is done")
    phone.dialogs()
    phone.reload()
    assert phone.dialogs() == []
    assert phone.entered() == {"BX-1/item/valves": True}
    assert phone.text("#alarm") == "Storage is full: export, then clear a box."


def test_what_had_no_room_is_stored_once_there_is(phone: Phone, page: Path) -> None:
    """No word of a loss after that."""
    phone.open(page)
    phone.js(FILL)
    phone.enter({"BX-1/port/A/note": "behind the duct " * 300})
    phone.js(EMPTY)
    phone.tap("BX-1/item/power")
    assert phone.text("#alarm") == ""
    phone.dialogs()
    phone.reload()
    assert phone.dialogs() == []
    assert set(phone.entered()) == {"BX-1/item/power", "BX-1/port/A/note"}
    assert not phone.find(".lost").is_displayed()


def test_a_page_without_any_store_works_and_says_so(phone: Phone, page: Path) -> None:
    """As where a phone shows a file within another program: a data address has no storage at all."""
    phone.open(f"data:text/html;base64,{base64.b64encode(page.read_bytes()).decode()}")
    assert phone.text("#alarm") == "Nothing is stored: export before closing."
    phone.tap("BX-1/left/1/1")
    assert phone.entered() == {"BX-1/left/1/1": True}
    phone.dialogs()
    phone.driver.get("about:blank")
    assert phone.dialogs() == ["beforeunload"]


# --- names and sizes ----------------------------------------------------------------------------------------

HOSTILE = "</script><img src=x onerror='hit=1'>&\"$&{at}{data}"


def test_names_are_text_and_nothing_else(phone: Phone, tmp_path: Path) -> None:
    """Marks of HTML, ends of scripts, quotes, places of words and of the template stand as written."""
    sketch = one_box(("FC-1", "A", "24 kBtu/h"))
    box = replace(sketch.boxes[0], place=HOSTILE, power=HOSTILE, shown="B&<b>1</b>")
    folder = replace(sketch, name=HOSTILE, boxes=(box,)).write(tmp_path / "job")
    with (folder / "job.toml").open("a", encoding="utf-8") as file:
        file.write(f"[[walk_item]]\nkey = \"mine\"\ntext = '''{HOSTILE}'''\n")
    phone.open(write_page(plan_of(folder), tmp_path))
    assert phone.text("h1") == f"Walk: {HOSTILE}, revision 0"
    assert phone.text(".facts").split("\n") == ["Place", HOSTILE, "Isolate power at", HOSTILE]
    assert phone.text("#name b") == "B&<b>1</b>"
    assert HOSTILE in phone.text("label:has([data-field='BB-1/item/mine'])")
    assert phone.driver.title == f"Walk: {HOSTILE}, revision 0"
    assert phone.js("return window.hit") is None
    assert phone.js("return document.querySelectorAll('img, b b, script ~ :not(script)').length") == 0
    assert json.loads(phone.js("return exported([box])"))["job"]["name"] == HOSTILE


def test_forty_boxes_stay_one_box_on_the_page(phone: Phone, tmp_path: Path) -> None:
    """The page holds the box in hand only, writes that box only, and stays small."""
    units = tuple(UnitSketch(f"FC-{letter}", letter, "18 kBtu/h", "Room") for letter in "ABCDEFGHIJK")
    boxes = tuple(
        BoxSketch(
            f"BB-{n}", 12, tuple(replace(unit, tag=f"{unit.tag}-{n}") for unit in units), place=f"Grid {n}"
        )
        for n in range(1, 41)
    )
    plan = plan_of(JobSketch(boxes, number="FORTY").write(tmp_path / "job"))
    page = write_page(plan, tmp_path)
    assert page.stat().st_size < 500_000
    phone.open(page)
    counts = phone.js(
        """
        const counts = [document.querySelectorAll("[data-field]").length];
        while (!document.getElementById("on").disabled) {
          document.getElementById("on").click();
          counts.push(document.querySelectorAll("[data-field]").length);
        }
        return counts;
        """
    )
    assert counts == [counts[0]] * 40
    everything = as_planned(plan.job, plan.boxes[39])
    phone.enter(everything)
    phone.reload()
    assert everything == phone.entered()
    kept = {tuple(json.loads(key)[1:-1]) for key in phone.js("return Object.keys(localStorage)")}
    places = {"left", "middle", "right", *(f"port/{letter}" for letter in "ABCDEFGHIJKL"), "item", "sign"}
    shelf = ("FORTY", "Marsh Lane Library")
    assert kept == {shelf} | {(*shelf, "BB-40", place) for place in places}
    returned = readback([phone.export("export-all", "walk.json")], tmp_path / "job")
    assert [box.state for box in returned.boxes] == ["not seen"] * 39 + ["as planned"]
