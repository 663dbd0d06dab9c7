"""The phone's page where letters are twice as large, and where the system chooses the colours."""

import io
from pathlib import Path
from typing import Any

import pytest
from PIL import Image

from tagmaker.plan.model import Plan
from tests.browser.conftest import WRONG, brought
from tests.browser.phone import OPEN, Phone, as_planned, plan_of, write_page
from tests.browser.test_phone_access import SCROLLS, contrast, family_of_banks
from tests.paths import EXAMPLES
from tests.records import replace


@pytest.fixture
def two_phones(phone: Phone, large_phone: Phone) -> tuple[Phone, Phone]:
    """A phone as it comes, and one with letters of twice the size."""
    return phone, large_phone


@pytest.fixture
def page_and_plan(page: Path, plan: Plan) -> tuple[Path, Plan]:
    """The smallest example's page and its plan."""
    return page, plan


# --- the size of letters is the browser's -------------------------------------------------------------------

SIZES = """
const shows = (node) => node.checkVisibility() && !node.closest(".told, option, script, style, noscript");
const sizes = {};
for (const node of document.querySelectorAll("body *"))
  if (shows(node)) sizes[node.tagName + "." + node.className] = parseFloat(getComputedStyle(node).fontSize);
return sizes;
"""


def test_all_letters_follow_the_size_that_the_browser_is_set_to(
    two_phones: tuple[Phone, Phone], page_and_plan: tuple[Path, Plan]
) -> None:
    """Twice as large where the user chose letters of twice the size; no text has a size of its own."""
    ordinary, large = (brought(each, "begun and not kept", *page_and_plan).js(SIZES) for each in two_phones)
    assert len(ordinary) > 50
    assert {name: 2 * size for name, size in ordinary.items()} == pytest.approx(large)


# --- nothing overlaps ---------------------------------------------------------------------------------------

TEXTS = """
const shows = (node) => node.checkVisibility()
  && !node.closest(".told, option, script, style, noscript, select, textarea");
const found = [];
const walker = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
while (walker.nextNode()) {
  const text = walker.currentNode;
  if (!text.data.trim() || !shows(text.parentElement)) continue;
  const range = document.createRange();
  range.selectNodeContents(text);
  const size = parseFloat(getComputedStyle(text.parentElement).fontSize);
  for (const { left, top, right, bottom } of range.getClientRects())
    found.push({ text: text.data.trim(), node: text.parentElement, size, left, top, right, bottom });
}
"""
OVERLAPS = f"""
{TEXTS}
const overlaps = [];
for (const [at, one] of found.entries()) for (const other of found.slice(at + 1)) {{
  const width = Math.min(one.right, other.right) - Math.max(one.left, other.left);
  const height = Math.min(one.bottom, other.bottom) - Math.max(one.top, other.top);
  if (width > 1 && height > 0.35 * Math.min(one.size, other.size)) overlaps.push([one.text, other.text]);
}}
return [found.length, overlaps];
"""
"""A rectangle of text is higher than its letters: lines that follow each other may share 0.35 of a size."""
SPILT = f"""
{TEXTS}
const frames = "button, a, summary, label, .state, .cell, .slot, .old, .caution, .board, .letter";
return found.flatMap((each) => {{
  const frame = each.node.closest(frames);
  if (!frame) return [];
  const {{ left, top, right, bottom }} = frame.getBoundingClientRect();
  const slack = 0.2 * each.size;
  const isIn = each.left >= left - 1 && each.right <= right + 1
    && each.top >= top - slack && each.bottom <= bottom + slack;
  return isIn ? [] : [[each.text, frame.className || frame.tagName]];
}});
"""
OUTSIDE = """
const isOutside = ({ left, right }) => left < 0 || right > arguments[0];
return [...document.querySelectorAll("body *")]
  .filter((node) => node.checkVisibility() && isOutside(node.getBoundingClientRect()))
  .map((node) => node.outerHTML.slice(0, 90));
"""
CUT = """
return [...document.querySelectorAll("input[type=date]")]
  .filter((node) => node.checkVisibility() && node.scrollWidth > node.clientWidth)
  .map((node) => node.dataset.field);
"""


def faults(phone: Phone, width: int) -> dict[str, Any]:
    """What overlaps, leaves its frame, lies outside of the screen, or is cut, with the bar in its place."""
    phone.js("scrollTo(0, 0)")
    count, overlaps = phone.js(OVERLAPS)
    assert count > 80
    return {
        "overlaps": overlaps,
        "spilt": phone.js(SPILT),
        "outside": phone.js(OUTSIDE, width),
        "cut": phone.js(CUT),
        "wide": [each for each in phone.js(SCROLLS) if each != width],
    }


NO_FAULTS: dict[str, Any] = {"overlaps": [], "spilt": [], "outside": [], "cut": [], "wide": []}


def test_nothing_overlaps_in_letters_as_they_come(shown: Phone) -> None:
    """On the phone of every test, in each state."""
    assert faults(shown, 360) == NO_FAULTS


def test_nothing_overlaps_where_letters_are_twice_as_large(large_shown: Phone) -> None:
    """320 px wide: WCAG 2.2 criteria 1.4.4 Resize Text and 1.4.10 Reflow [memory]."""
    assert faults(large_shown, 320) == NO_FAULTS


@pytest.mark.parametrize("width", [360, 740])
def test_large_boards_do_not_overlap_where_letters_are_twice_as_large(
    large_phone: Phone, tmp_path: Path, width: int
) -> None:
    """Three banks of ten switches: as many side by side as have room."""
    large_phone.size(width, 740)
    large_phone.open(write_page(plan_of(family_of_banks(tmp_path, 3, 10)), tmp_path)).js(OPEN)
    large_phone.tap("BB-1/only/seen")
    assert faults(large_phone, width) == NO_FAULTS


BROKEN = f"""
{TEXTS}
const broken = new Set();
for (const {{ node }} of found) for (const text of node.childNodes) {{
  if (text.nodeType !== Node.TEXT_NODE) continue;
  for (const {{ 0: word, index }} of text.data.matchAll(/\\S*\\d\\S*/g)) {{
    const range = document.createRange();
    range.setStart(text, index);
    range.setEnd(text, index + word.length);
    if (new Set([...range.getClientRects()].map((rect) => rect.top)).size > 1) broken.add(word);
  }}
}}
return [...broken];
"""


def test_no_line_breaks_within_a_tag_or_an_address(large_phone: Phone, tmp_path: Path) -> None:
    """Units, boxes, panels and addresses are whole, however narrow the screen is."""
    large_phone.size(320, 640)
    plan = plan_of(EXAMPLES / "clinic")
    job = replace(plan.job, refrigerant="R-454B", site="14 Alder Row", number="ARC-2026-07")
    page = write_page(replace(plan, job=job), tmp_path)
    large_phone.open(page).put_old(
        f"tagmaker-walk/{job.number}/{job.name}/0/BB-12", {"BB-12/left/seen": True}
    )
    large_phone.put_lost(("BB-12", "left"))
    large_phone.reload()
    large_phone.js("go(1);" + OPEN)
    large_phone.enter({**as_planned(job, plan.boxes[1]), "BB-12/port/A/cable/found": "FC-201-NORTH"})
    assert large_phone.js(BROKEN) == []
    assert large_phone.js(OUTSIDE, 320) == []


# --- the bar ------------------------------------------------------------------------------------------------

BAR = """
scrollTo(0, document.body.scrollHeight / 2);
const bar = document.getElementById("bar").getBoundingClientRect();
return [Math.max(0, bar.bottom) / innerHeight, bar.top === 0];
"""
SCREENS = [(320, 568), (320, 640), (360, 640), (360, 740), (640, 360), (740, 360), (768, 1024)]


@pytest.mark.parametrize(("width", "height"), SCREENS)
@pytest.mark.parametrize("state", ["untouched", "begun and not kept"])
def test_the_bar_takes_a_quarter_of_the_screen_at_most(
    two_phones: tuple[Phone, Phone], page_and_plan: tuple[Path, Plan], width: int, height: int, state: str
) -> None:
    """Whatever the size of letters, and with the alarm in it; the boxes are at hand wherever one is."""
    for each in two_phones:
        each.size(width, height)
        share, is_at_hand = brought(each, state, *page_and_plan).js(BAR)
        assert share <= 0.25
        assert is_at_hand
        assert each.js("return document.querySelectorAll('#parts a').length") == 4


def test_the_bar_has_its_sections_where_there_is_room(phone: Phone, page: Path) -> None:
    """They leave it when the screen is turned and come back with it, and what has the focus keeps it."""
    phone.open(page)
    phone.js("document.querySelector('#parts a').focus()")
    is_inside = "return [Boolean(document.querySelector('#bar #parts')), document.activeElement.hash]"
    assert phone.js(is_inside) == [True, "#part-box"]
    phone.size(740, 360)
    phone.settle()
    assert phone.js(is_inside) == [False, "#part-box"]
    phone.size(360, 740)
    phone.settle()
    assert phone.js(is_inside) == [True, "#part-box"]


# --- colours that the system chooses ------------------------------------------------------------------------

Colour = tuple[int, ...]


def emulate(phone: Phone, **media: str) -> None:
    """What the system asks of pages."""
    features = [{"name": name.replace("_", "-"), "value": value} for name, value in media.items()]
    phone.cdp("Emulation.setEmulatedMedia", features=features)


GROUND_PX = 14
"""From the left, two a CSS pixel, at a quarter of the height: past the edge, before text and mark."""


def ground(phone: Phone, selector: str) -> Colour:
    """The colour within an element, as the screen shows it."""
    element = phone.find(selector)
    phone.js('arguments[0].scrollIntoView({ block: "center" }); document.activeElement.blur()', element)
    picture = Image.open(io.BytesIO(element.screenshot_as_png)).convert("RGB")
    pixel = picture.getpixel((GROUND_PX, picture.height // 4))
    assert isinstance(pixel, tuple)
    return tuple(map(int, pixel))


PAIRS = {
    "a switch found ON": ("[data-field='BX-1/left/1/3']", "[data-field='BX-1/left/1/3/off']"),
    "a switch found OFF": ("[data-field='BX-1/left/1/1']", "[data-field='BX-1/left/1/1/off']"),
    "an answer": ("[data-field='BX-1/port/A/pipe/ok']", "[data-opens='BX-1/port/A/pipe/found']"),
    "a tick": ("[data-field='BX-1/item/power']", "[data-field='BX-1/item/cover']"),
}
"""Two controls of which one is chosen and the other is not."""


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("forced", ["none", "active"])
@pytest.mark.parametrize("pair", PAIRS)
def test_what_is_chosen_shows_in_every_choice_of_colours(
    phone: Phone, page: Path, pair: str, forced: str, scheme: str
) -> None:
    """The end of a switch, an answer, a tick: 3:1 against what is not chosen, on the screen itself."""
    phone.open(page).js(OPEN)
    phone.enter(WRONG)
    emulate(phone, forced_colors=forced, prefers_color_scheme=scheme)
    try:
        one, other = (ground(phone, selector) for selector in PAIRS[pair])
        assert contrast(one, other) >= 3
    finally:
        emulate(phone, forced_colors="none", prefers_color_scheme="light")


def test_a_dark_system_leaves_the_page_as_it_is(phone: Phone, page: Path) -> None:
    """Black on white is read in the sun: no browser inverts it."""
    phone.open(page)
    emulate(phone, prefers_color_scheme="dark")
    try:
        assert ground(phone, ".facts") == (255, 255, 255)
    finally:
        emulate(phone, prefers_color_scheme="light")
