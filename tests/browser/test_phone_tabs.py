"""Two tabs of a walk in one browser: neither loses what was entered, nor what is being typed."""

from collections.abc import Iterator
from pathlib import Path

import pytest
from selenium.webdriver import Keys

from tests.browser.phone import Findings, Phone, two_boxes, write_page
from tests.browser.test_phone_plans import NOTED, ONE, SWAPPED, exported, notes, page_of

A_NOTE, A_CABLE = "BX-1/port/A/note", "BX-1/port/A/cable/ok"


@pytest.fixture
def tabs(phone: Phone, page: Path) -> tuple[str, str]:
    """Two tabs of one page, the first in front."""
    phone.open(page)
    first = phone.driver.current_window_handle
    phone.driver.switch_to.new_window("tab")
    phone.driver.get(page.as_uri())
    phone.settle()
    second = phone.driver.current_window_handle
    phone.driver.switch_to.window(first)
    return first, second


def go_to(phone: Phone, tab: str) -> None:
    """Bring a tab to the front."""
    phone.driver.switch_to.window(tab)


def await_found(phone: Phone, findings: Findings) -> None:
    """Wait until this tab has heard of all that another one stored: browsers tell it in their own time."""
    phone.wait(lambda: exported(phone) == findings)


def test_another_tab_takes_over_what_was_entered(phone: Phone, tabs: tuple[str, str]) -> None:
    """Two tabs do not write over each other's findings."""
    go_to(phone, tabs[1])
    phone.enter({"BX-1/item/valves": True, "BX-1/left/1/1/off": True})
    go_to(phone, tabs[0])
    await_found(phone, {"BX-1/item/valves": True, "BX-1/left/1/1/off": True})
    phone.enter({"BX-1/item/cover": True})
    assert phone.entered() == {"BX-1/item/valves": True, "BX-1/left/1/1/off": True, "BX-1/item/cover": True}


def test_what_is_typed_keeps_its_card_its_focus_and_its_letters(phone: Phone, tabs: tuple[str, str]) -> None:
    """While another tab answers the same port, another port and a board; what is typed next is kept too."""
    phone.open_letter("A")
    phone.open_letter("B")
    phone.type(A_NOTE, "wet ")
    phone.press(Keys.ARROW_LEFT, Keys.ARROW_LEFT)
    top = "return document.activeElement.getBoundingClientRect().top"
    before = phone.js(top)
    go_to(phone, tabs[1])
    await_found(phone, {A_NOTE: "wet"})
    others: Findings = {A_CABLE: True, "BX-1/port/B/note": "dry", "BX-1/left/seen": True}
    phone.enter(others)
    go_to(phone, tabs[0])
    await_found(phone, {A_NOTE: "wet", **others})
    state = """
        const at = document.activeElement;
        const open = [...document.querySelectorAll("details[open]")].map((each) => each.id);
        return [at.dataset.field, at.value, at.selectionStart, open];
    """
    assert phone.js(state) == [A_NOTE, "wet ", 2, ["letter-A", "letter-B"]]
    assert phone.js(top) == pytest.approx(before, abs=200)  # the plan of a board may have come in above
    phone.press("!")
    assert phone.js("return document.activeElement.value") == "we!t "
    await_found(phone, {A_NOTE: "we!t", **others})
    assert phone.entered() == {A_NOTE: "we!t ", **others}
    go_to(phone, tabs[1])
    await_found(phone, {A_NOTE: "we!t", **others})
    assert phone.entered() == {A_NOTE: "we!t", **others}


def test_a_page_that_the_back_button_brings_back_is_loaded_again(phone: Phone, page: Path) -> None:
    """It slept while a newer page entered more: it would write its own state over that."""
    phone.open(page).enter({A_CABLE: True})
    phone.js("window.slept = true; found.get('BX-1')['BX-1/item/cover'] = true")
    phone.js("dispatchEvent(new PageTransitionEvent('pageshow', { persisted: true }))")
    phone.wait(lambda: phone.js("return window.slept === undefined && document.readyState === 'complete'"))
    assert phone.entered() == {A_CABLE: True}


def test_a_text_that_two_tabs_write_is_the_last_one(phone: Phone, tabs: tuple[str, str]) -> None:
    """Nothing changes under a hand; what the other tab wrote shows when the field is left."""
    phone.open_letter("A")
    phone.type(A_NOTE, "dry")
    go_to(phone, tabs[1])
    await_found(phone, {A_NOTE: "dry"})
    phone.enter({A_NOTE: "wet"})
    go_to(phone, tabs[0])
    await_found(phone, {A_NOTE: "wet"})
    assert phone.entered() == {A_NOTE: "dry"}
    phone.press(Keys.TAB)
    phone.wait(lambda: phone.entered() == {A_NOTE: "wet"})
    phone.type(A_NOTE, "!")
    go_to(phone, tabs[1])
    await_found(phone, {A_NOTE: "wet!"})


def test_a_field_that_is_written_in_stays_open(phone: Phone, tabs: tuple[str, str]) -> None:
    """Another unit is being written in when the other tab says that its own is there: the last counts."""
    phone.open_letter("A")
    phone.tap(phone.find('[data-opens="BX-1/port/A/cable/found"]'))
    go_to(phone, tabs[1])
    phone.enter({A_CABLE: True})
    go_to(phone, tabs[0])
    await_found(phone, {A_CABLE: True})
    assert phone.js("return document.activeElement.dataset.field") == "BX-1/port/A/cable/found"
    assert phone.field("BX-1/port/A/cable/found").is_displayed()
    phone.press("FC-2")
    assert exported(phone) == {"BX-1/port/A/cable/found": "FC-2"}
    go_to(phone, tabs[1])
    await_found(phone, {"BX-1/port/A/cable/found": "FC-2"})
    assert phone.entered() == {"BX-1/port/A/cable/found": "FC-2"}


def test_the_box_in_hand_is_each_tabs_own(phone: Phone, tmp_path: Path) -> None:
    """Another box in the other tab moves nobody; its progress shows in the chooser."""
    _, plan = two_boxes(tmp_path)
    phone.open(write_page(plan, tmp_path))
    first = phone.driver.current_window_handle
    phone.driver.switch_to.new_window("tab")
    phone.driver.get((tmp_path / "walk.html").as_uri())
    phone.settle()
    phone.go("BB-2")
    phone.enter({"BB-2/only/1/1": True, "BB-2/only/seen": True})
    go_to(phone, first)
    chosen = "return [byId('choose').value, byId('choose').options[1].textContent.includes('differs')]"
    phone.wait(lambda: phone.js(chosen) == ["BB-1", True])
    assert phone.text("#name b") == "BB-1"


# --- tabs of two plans --------------------------------------------------------------------------------------


def both_tabs(phone: Phone, tmp_path: Path) -> Iterator[str]:
    """Tabs of two plans of one job, the second in front."""
    for job, folder in ((ONE, tmp_path / "one"), (SWAPPED, tmp_path / "two")):
        page_of(job, folder)
    phone.open(tmp_path / "one" / "walk.html")
    yield phone.driver.current_window_handle
    phone.driver.switch_to.new_window("tab")
    phone.driver.get((tmp_path / "two" / "walk.html").as_uri())
    yield phone.driver.current_window_handle


def test_two_tabs_of_two_plans_keep_their_findings_apart(phone: Phone, tmp_path: Path) -> None:
    """What one enters at a letter that both plan otherwise, the other shows apart; neither loses its own."""
    one, two = both_tabs(phone, tmp_path)
    phone.enter({"BB-1/port/A/cable/ok": True, "BB-1/port/C/note": "for both"})
    phone.driver.switch_to.window(one)
    await_found(phone, {"BB-1/port/C/note": "for both"})
    phone.enter(NOTED)
    assert exported(phone) == {**NOTED, "BB-1/port/C/note": "for both"}
    assert "Revision 0, planned: FC-2\nCable: Correct" in notes(phone)["Port A"]
    phone.driver.switch_to.window(two)
    phone.wait(lambda: "wet joint" in notes(phone).get("Port A", ""))
    assert exported(phone) == {"BB-1/port/A/cable/ok": True, "BB-1/port/C/note": "for both"}
    assert "wet joint" in notes(phone)["Port A"]
    phone.reload()
    assert exported(phone) == {"BB-1/port/A/cable/ok": True, "BB-1/port/C/note": "for both"}
    assert "wet joint" in notes(phone)["Port A"]
