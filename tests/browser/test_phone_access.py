"""The walk on a phone for every eye, hand and voice: sizes, contrast, keys, names, and no network."""

import itertools
import re
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any

import pytest
from selenium.webdriver import Keys

from tagmaker.catalog.family import BANKS_AT_MOST, SWITCHES_AT_MOST
from tests.browser.phone import FULL, OPEN, Phone, as_planned, plan_of, write_page
from tests.paths import EXAMPLES
from tests.strategies import BoxSketch, JobSketch, UnitSketch

TARGET = 44
"""CSS pixels, WCAG 2.2 criterion 2.5.5 Target Size (Enhanced) [memory]."""
CONTRAST = 7.0
"""WCAG 2.2 criterion 1.4.6 Contrast (Enhanced) [memory]."""
EDGE_CONTRAST = 3.0
"""WCAG 2.2 criterion 1.4.11 Non-text Contrast [memory]."""


# --- contrast -----------------------------------------------------------------------------------------------


def luminance(colour: tuple[float, ...]) -> float:
    """Relative luminance of an sRGB colour of 0 to 255, as WCAG 2.2 defines it [memory]."""
    parts = [each / 255 for each in colour[:3]]
    red, green, blue = (
        each / 12.92 if each <= 0.04045 else ((each + 0.055) / 1.055) ** 2.4 for each in parts
    )
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(one: tuple[float, ...], other: tuple[float, ...]) -> float:
    """Contrast ratio of two colours, as WCAG 2.2 defines it [memory]."""
    darker, lighter = sorted((luminance(one), luminance(other)))
    return (lighter + 0.05) / (darker + 0.05)


def colour(css: str) -> tuple[float, ...]:
    """A computed colour's red, green, blue and, where it has one, alpha."""
    return tuple(float(part) for part in re.findall(r"[\d.]+", css))


COLOURS = """
const back = (node) => {
  for (let each = node; each; each = each.parentElement) {
    const found = getComputedStyle(each).backgroundColor;
    if (found !== "rgba(0, 0, 0, 0)") return found;
  }
  return "rgb(255, 255, 255)";
};
const shows = (node) => node.checkVisibility() && !node.closest(".told, option, script, style, noscript");
"""
TEXTS = f"""
{COLOURS}
const texts = [];
const walker = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
while (walker.nextNode()) {{
  const node = walker.currentNode.parentElement;
  if (walker.currentNode.data.trim() && shows(node))
    texts.push([walker.currentNode.data, getComputedStyle(node).color, back(node)]);
}}
for (const node of document.querySelectorAll("input:not([type=checkbox]), textarea, select"))
  if (shows(node)) texts.push([node.value || node.type, getComputedStyle(node).color, back(node)]);
return texts;
"""
EDGES = f"""
{COLOURS}
const controls = [...document.querySelectorAll("button, input, select, textarea, a, summary")].filter(shows);
return controls.map((node) => {{
  const card = node.tagName === "SUMMARY" ? node.parentElement : node;
  const edge = getComputedStyle(card).borderTopColor;
  return [node.outerHTML.slice(0, 90), edge, back(node), back(card.parentElement)];
}});
"""


def test_the_formula_gives_the_published_figures() -> None:
    """Black on white is 21:1, a colour on itself 1:1: the ends of WCAG 2.2's scale [memory]."""
    assert contrast((0, 0, 0), (255, 255, 255)) == pytest.approx(21)
    assert contrast((18, 52, 86), (18, 52, 86)) == pytest.approx(1)


@pytest.mark.parametrize(("grey", "ratio"), [(0x59, 7.0), (0x76, 4.54), (0x94, 3.03)])
def test_the_formula_gives_the_greys_that_designers_know(grey: int, ratio: float) -> None:
    """The lightest greys on white that reach 7, 4.5 and 3 [memory]."""
    assert contrast((grey,) * 3, (255,) * 3) == pytest.approx(ratio, abs=0.005)


def test_every_text_can_be_read_in_the_sun(shown: Phone) -> None:
    """At least 7:1, whatever state its part is in; no text is part transparent."""
    texts: list[tuple[str, str, str]] = shown.js(TEXTS)
    assert len(texts) > 100
    assert {len(colour(css)) for _, *both in texts for css in both} == {3}
    assert [each for each in texts if contrast(colour(each[1]), colour(each[2])) < CONTRAST] == []


def test_every_control_shows_where_it_is(shown: Phone) -> None:
    """Its edge, or its own ground, against what it lies on: at least 3:1."""
    edges: list[tuple[str, str, str, str]] = shown.js(EDGES)
    assert len(edges) > 80
    assert [
        (what, edge, own, ground)
        for what, edge, own, ground in edges
        if max(contrast(colour(each), colour(ground)) for each in (edge, own)) < EDGE_CONTRAST
    ] == []


# --- sizes --------------------------------------------------------------------------------------------------

TARGETS = """
return [...document.querySelectorAll("button, a, select, input, textarea, summary")]
  .filter((node) => node.checkVisibility())
  .map((node) => {
    const target = node.type === "checkbox" ? node.closest("label") : node;
    const { width, height } = target.getBoundingClientRect();
    return [node.outerHTML.slice(0, 90), width, height];
  });
"""
OUTSIDE = """
const isOutside = ({ left, right }) => left < 0 || right > innerWidth;
return [...document.querySelectorAll("body *")]
  .filter((node) => node.checkVisibility() && isOutside(node.getBoundingClientRect()))
  .map((node) => node.outerHTML.slice(0, 90));
"""
SCROLLS = "return [document.documentElement.scrollWidth, innerWidth]"


def test_every_target_fits_a_thumb(shown: Phone) -> None:
    """At least 44 by 44 px; a label around its box counts, since it takes the tap."""
    targets: list[tuple[str, float, float]] = shown.js(TARGETS)
    assert len(targets) > 80
    assert [each for each in targets if min(each[1:]) < TARGET] == []


def test_nothing_lies_outside_a_narrow_screen(shown: Phone) -> None:
    """360 px wide, no scrolling aside."""
    assert shown.js(SCROLLS) == [360, 360]
    assert shown.js(OUTSIDE) == []


def test_nothing_lies_outside_where_letters_are_twice_as_large(shown: Phone) -> None:
    """WCAG 2.2 criterion 1.4.4 Resize Text, 200 per cent [memory]."""
    shown.js("document.documentElement.style.fontSize = '38px'")
    assert shown.js(SCROLLS) == [360, 360]
    assert shown.js(OUTSIDE) == []


@pytest.mark.parametrize("example", ["three-port-boards", "clinic"])
@pytest.mark.parametrize(("width", "height"), [(360, 740), (740, 360), (768, 1024)])
def test_other_boards_and_screens_fit_too(
    phone: Phone, tmp_path: Path, example: str, width: int, height: int
) -> None:
    """Six switches a bank, three boards, a phone on its side, a tablet."""
    phone.size(width, height)
    phone.open(write_page(plan_of(EXAMPLES / example), tmp_path)).js(OPEN)
    phone.js("byId('choose').selectedIndex = data.boxes.length - 1; go(data.boxes.length - 1);" + OPEN)
    assert phone.js(SCROLLS) == [width] * 2
    assert phone.js(OUTSIDE) == []
    assert [each for each in phone.js(TARGETS) if min(each[1:]) < TARGET] == []


def test_the_longest_names_fit_too(phone: Phone, tmp_path: Path) -> None:
    """Tags of 24 capitals, and a place without a blank in it."""
    units = tuple(UnitSketch(f"{letter}{'W' * 23}", letter, "12 kBtu/h") for letter in "ABCD")
    box = BoxSketch("W" * 24, 4, units, place="W" * 60, power="W" * 60)
    plan = plan_of(JobSketch((box,), name="W" * 60).write(tmp_path / "job"))
    phone.open(write_page(plan, tmp_path)).js(OPEN)
    phone.enter({**as_planned(plan.job, plan.boxes[0]), f"{'W' * 24}/port/A/note": "W" * 200})
    assert phone.js(SCROLLS) == [360, 360]
    assert phone.js(OUTSIDE) == []


def family_of_banks(folder: Path, banks: int, switches: int, *, mirrored: bool = False) -> Path:
    """A job of one box whose boards have so many banks of so many switches."""
    shipped = (EXAMPLES.parent / "layouts" / "families" / "four-port-boards.toml").read_text(encoding="utf-8")
    head, _, rest = shipped.partition("[[bank]]")
    rules = "[[rule]]" + rest.partition("[[rule]]")[2]
    bank = f'[[bank]]\nname = "Bank {{}}"\nswitches = {switches}\n'
    bank += 'numbered_from = "right"\non_points = "down"\n' if mirrored else ""
    text = head + "".join(bank.format(number) for number in range(1, banks + 1)) + rules
    (folder / "families").mkdir(parents=True)
    (folder / "families" / "long-banks.toml").write_text(text, encoding="utf-8")
    box = BoxSketch("BB-1", 4, (UnitSketch("FC-1", "A"),))
    return JobSketch((box,), family="long-banks").write(folder)


RAILS = """
const rows = [];
for (const rail of document.querySelectorAll(".rail")) {
  let top = NaN;
  for (const each of rail.querySelectorAll(".number")) {
    if (each.getBoundingClientRect().top !== top) rows.push([]);
    top = each.getBoundingClientRect().top;
    rows.at(-1).push(Number(each.textContent));
  }
}
return rows;
"""
LARGEST = (BANKS_AT_MOST, SWITCHES_AT_MOST)


@pytest.mark.parametrize("mirrored", [False, True])
@pytest.mark.parametrize(("banks", "switches"), [(2, 4), (3, 8), (4, 7), LARGEST])
@pytest.mark.parametrize("width", [320, 360, 740])
def test_boards_of_any_size_wrap_and_every_switch_fits_a_thumb(
    phone: Phone, tmp_path: Path, banks: int, switches: int, width: int, *, mirrored: bool
) -> None:
    """Up to the largest boards that a family may have: rows in the board's order, nothing smaller."""
    phone.size(width, 740)
    phone.open(write_page(plan_of(family_of_banks(tmp_path, banks, switches, mirrored=mirrored)), tmp_path))
    rows: list[list[int]] = phone.js(RAILS)
    order = list(range(1, switches + 1))
    assert list(itertools.chain(*rows)) == (order[::-1] if mirrored else order) * banks
    assert phone.js(SCROLLS) == [width] * 2
    assert phone.js(OUTSIDE) == []
    assert [each for each in phone.js(TARGETS) if min(each[1:]) < TARGET] == []


def test_a_bank_of_many_switches_is_drawn_in_rows_of_one_length(phone: Phone, tmp_path: Path) -> None:
    """Ten switches are two rows of five, so that a row on the screen is found on the board."""
    phone.open(write_page(plan_of(family_of_banks(tmp_path, 2, 10)), tmp_path))
    assert phone.js(RAILS) == [[1, 2, 3, 4, 5], [6, 7, 8, 9, 10]] * 2


# --- keys and voices ----------------------------------------------------------------------------------------


BACK = Keys.SHIFT + Keys.TAB


def tab_to(phone: Phone, selector: str, key: str = Keys.TAB) -> list[Any]:
    """Press Tab until the element of a selector has the focus; where every stop on the way lay."""
    stops = []
    for _ in range(80):
        phone.press(key)
        stops.append(
            phone.js(
                """
                const bar = document.getElementById("bar").getBoundingClientRect().bottom;
                const at = document.activeElement;
                const rect = (at.type === "checkbox" ? at.closest("label") : at).getBoundingClientRect();
                const style = getComputedStyle(at);
                const isBelow = rect.top >= bar && rect.top < innerHeight;
                const isSeen = isBelow || Boolean(at.closest("#bar"));
                return [at.matches(arguments[0]), isSeen, style.outlineStyle, parseFloat(style.outlineWidth)];
                """,
                selector,
            )
        )
        if stops[-1][0]:
            return stops
    return pytest.fail(f"no Tab leads to {selector}")


def walked(phone: Phone, steps: Mapping[str, tuple[str, ...]]) -> list[Any]:
    """Tab to each element in turn, and press its keys there; where every stop on the way lay."""
    stops = []
    for selector, keys in steps.items():
        stops += tab_to(phone, selector)
        for key in keys:
            phone.press(key)
    return stops


def test_a_board_is_walked_by_keys_alone(phone: Phone, page: Path) -> None:
    """Tab goes from switch to switch, Space and Enter move them, Space ticks; every stop shows its focus.

    None lies below the bar, which is at its highest with the alarm in it, not on the way back either.
    """
    phone.before_every_page(FULL)
    phone.open(page)
    steps = {
        '[data-field="BX-1/left/1/1"]': (Keys.SPACE,),
        '[data-field="BX-1/left/2/2"]': (Keys.ENTER,),
        '[data-field="BX-1/left/seen"]': (Keys.SPACE,),
    }
    stops = walked(phone, steps)
    assert phone.entered() == {"BX-1/left/1/1": True, "BX-1/left/2/2": True, "BX-1/left/seen": True}
    stops += tab_to(phone, '[data-field="BX-1/item/power"]', BACK)
    assert {(True, "solid", 4.0)} == {tuple(stop[1:]) for stop in stops}


def test_a_port_is_walked_by_keys_alone(phone: Phone, page: Path) -> None:
    """The card opens and closes, both answers are given, a unit is written, the next card opens."""
    phone.open(page)
    steps = {
        "#letter-A summary": (Keys.ENTER,),
        '[data-field="BX-1/port/A/pipe/ok"]': (Keys.SPACE,),
        '[data-opens="BX-1/port/A/cable/found"]': (Keys.ENTER, "FC-2"),
        '[data-field="BX-1/port/A/tags/ok"]': (Keys.SPACE,),
        "#letter-A .wide": (Keys.ENTER,),
    }
    stops = walked(phone, steps)
    assert phone.entered() == {
        "BX-1/port/A/pipe/ok": True,
        "BX-1/port/A/cable/found": "FC-2",
        "BX-1/port/A/tags/ok": True,
    }
    assert phone.js("return [byId('letter-A').open, byId('letter-B').open]") == [False, True]
    assert phone.js("return document.activeElement.matches('#letter-B summary')") is True
    assert {(True, "solid", 4.0)} == {tuple(stop[1:]) for stop in stops}


def test_the_box_is_chosen_by_keys_alone(phone: Phone, tmp_path: Path) -> None:
    """The chooser keeps the focus, so that arrows go on from box to box."""
    phone.open(write_page(plan_of(EXAMPLES / "clinic"), tmp_path))
    tab_to(phone, "#choose")
    phone.press(Keys.ARROW_DOWN, Keys.ARROW_DOWN)
    assert phone.text("#name b") == "BB-13"
    assert phone.js("return document.activeElement.id") == "choose"


ROLES = {"button", "checkbox", "textbox", "combobox", "link", "DisclosureTriangle", "Date"}


def spoken(phone: Phone) -> Iterator[tuple[str, str]]:
    """The role and name of every control, as the browser tells them to a screen reader."""
    for node in phone.cdp("Accessibility.getFullAXTree")["nodes"]:
        properties = {each["name"]: each["value"].get("value") for each in node.get("properties", [])}
        name = str(node.get("name", {}).get("value", "")).strip()
        if name.startswith("Show date picker"):  # the browser's own, within a date
            continue
        if not node["ignored"] and (properties.get("focusable") or node["role"]["value"] in ROLES):
            yield str(node["role"]["value"]), name


def test_every_control_has_a_name(shown: Phone) -> None:
    """None is unnamed, and none but the two ways to the next and previous box shares its name."""
    told = [(role, name) for role, name in spoken(shown) if role not in {"RootWebArea", "heading"}]
    names = sorted(name for role, name in told if role in ROLES)
    assert [each for each in told if not each[1]] == []
    assert [name for name, same in itertools.groupby(names) if len(list(same)) > 1] == [
        "Next box",
        "Previous box",
    ]


def test_names_say_what_and_where(phone: Phone, page: Path) -> None:
    """A switch with its board and bank, an answer with its letter and what it is of."""
    phone.open(page).js(OPEN)
    told = set(spoken(phone))
    assert ("button", "left board, Bank 2, switch 1: ON") in told
    assert ("button", "left board, Bank 2, switch 1: OFF") in told
    assert ("checkbox", "left board: Board seen: all other switches are OFF") in told
    assert ("button", "C, Pipe: Correct") in told
    assert ("checkbox", "C: Tags at both ends") in told
    assert ("button", "Next box") in told
