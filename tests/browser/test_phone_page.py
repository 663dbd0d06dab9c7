"""The page itself: boards as they are built, one valid file, nothing asked of any network."""

import base64
import io
import re
import threading
from functools import partial
from http.server import SimpleHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path

import html5lib

from tagmaker.plan.model import Plan
from tests.browser.phone import Phone, as_planned, plan_of, write_page
from tests.paths import EXAMPLES
from tests.records import replace

# --- pictures of boards -------------------------------------------------------------------------------------

POLES = """
const [on, off] = ["", "/off"].map((way) => document.querySelector(`[data-field="${arguments[0]}${way}"]`));
const top = (node) => node.getBoundingClientRect().top;
const isChosen = (node) => node.getAttribute("aria-pressed") === "true";
return [top(on) < top(off) ? "ON is up" : "ON is down", isChosen(on), isChosen(off)];
"""


def test_sliders_are_at_the_end_that_the_board_in_hand_has(phone: Phone, page: Path, tmp_path: Path) -> None:
    """ON up or down as the family says; at neither end before one was tapped or the board was seen."""
    phone.open(page)
    assert phone.js(POLES, "BX-1/left/1/1") == ["ON is up", False, False]
    phone.tap("BX-1/left/1/1")
    phone.tap("BX-1/left/1/3/off")
    assert phone.js(POLES, "BX-1/left/1/2") == ["ON is up", False, False]
    phone.tap("BX-1/left/seen")
    assert [phone.js(POLES, f"BX-1/left/1/{switch}")[1:] for switch in (1, 2, 3)] == [
        [True, False],
        [False, True],
        [False, True],
    ]
    phone.open(write_page(plan_of(EXAMPLES / "three-port-boards"), tmp_path))
    phone.tap("HB-1/upper/1/1")
    assert phone.js(POLES, "HB-1/upper/1/1") == ["ON is down", True, False]


def test_a_board_stands_as_it_is_built(phone: Phone, page: Path, tmp_path: Path) -> None:
    """Switches in the board's own order; letters, and positions that no port is fitted to."""
    phone.open(page)
    cells = phone.js("return [...document.querySelectorAll('.cells')].map((each) => each.innerText)")
    assert [" ".join(each.split()) for each in cells] == ["A B C D", "E F not fitted not fitted"]
    phone.open(write_page(plan_of(EXAMPLES / "three-port-boards"), tmp_path))
    order = phone.js(
        "const rail = document.querySelector('.rail');"
        "return [...rail.children].map((each) => each.firstChild.textContent)"
    )
    assert order == list("654321")


def test_letters_are_set_in_the_projects_own_face(phone: Phone, page: Path) -> None:
    """Both weights load from the page itself; a capital I is no bar, so it is wider than an l."""
    phone.open(page)
    faces = phone.js("return [...document.fonts].map((each) => [each.family, each.weight, each.status])")
    assert sorted(faces) == [["walk", "400", "loaded"], ["walk", "700", "loaded"]]
    assert phone.js("return getComputedStyle(document.querySelector('.cell')).fontFamily").startswith("walk,")


FACTS = """
return [...document.querySelectorAll(".facts dt")]
  .map((each) => [each.textContent, each.nextSibling.textContent]);
"""


def test_a_box_says_where_it_is_and_what_is_in_it(phone: Phone, page: Path, plan: Plan) -> None:
    """Site and refrigerant with its safety group, and what it warns of; no empty line where none is given."""
    told = dict(phone.open(page).js(FACTS))
    assert list(told) == ["Place", "Isolate power at"]
    job = replace(plan.job, refrigerant="R-290", site="14 Tide Street")
    told = dict(phone.open(write_page(replace(plan, job=job), page.parent / "other")).js(FACTS))
    assert (phone.text(".fact"), told["Site"]) == ("Refrigerant R-290, group A3", "14 Tide Street")
    assert "Risk of Fire or Explosion" in phone.text("main .caution:not([hidden])")


# --- one file, and valid ------------------------------------------------------------------------------------


def test_the_page_is_valid_html(page: Path) -> None:
    """The parser of the HTML standard finds no error in the file."""
    parser = html5lib.HTMLParser(strict=True)
    assert parser.parse(io.BytesIO(page.read_bytes())) is not None
    assert parser.errors == []


def test_the_page_stays_valid_when_it_is_filled(shown: Phone) -> None:
    """Nor in what the script makes of it."""
    text = f"<!doctype html>{shown.js('return document.documentElement.outerHTML')}"
    parser = html5lib.HTMLParser(strict=True)
    assert parser.parse(text) is not None
    assert parser.errors == []
    ids = re.findall(r'\sid="([^"]*)"', text)
    assert sorted(set(ids)) == sorted(ids)


def test_the_page_names_nothing_outside_itself(page: Path) -> None:
    """No address but its own anchors and its own faces; its policy forbids every other."""
    tree = html5lib.parse(page.read_text(encoding="utf-8"), namespaceHTMLElements=False)
    named = {
        (each.tag, key): value
        for each in tree.iter()
        for key, value in each.attrib.items()
        if key in {"src", "href", "srcset", "data", "action", "poster", "background"}
    }
    text = page.read_text(encoding="utf-8")
    policy = [each.get("content") for each in tree.iter("meta") if each.get("http-equiv")]
    assert named == {}
    assert re.findall(r"https?:|//\w+\.\w", text) == []
    assert {"data:font/woff;base64"} == set(re.findall(r"url\(([^,]*),", text))
    assert [each.partition(";")[0] for each in policy if each] == ["default-src 'none'"]


def test_a_page_that_is_served_asks_for_nothing_more(phone: Phone, page: Path, plan: Plan) -> None:
    """One request in a whole walk, the page itself."""
    asked: list[str] = []

    class Handler(SimpleHTTPRequestHandler):
        def log_message(self, *_: object) -> None:
            asked.append(self.path)

    with ThreadingHTTPServer(("127.0.0.1", 0), partial(Handler, directory=page.parent)) as server:
        thread = threading.Thread(target=server.serve_forever)
        thread.start()
        try:
            phone.driver.get(f"http://127.0.0.1:{server.server_port}/walk.html")
            phone.enter(as_planned(plan.job, plan.boxes[0]))
            phone.export("export-one", "walk-BX-1.json")
        finally:
            server.shutdown()
            thread.join()
    assert asked == ["/walk.html"]


def test_a_page_without_scripts_says_what_to_do(phone: Phone, page: Path) -> None:
    """As where a mail program shows the file: which walk it is, and that it needs a browser."""
    phone.cdp("Emulation.setScriptExecutionDisabled", value=True)
    try:
        phone.driver.get(page.as_uri())
        shown = base64.b64decode(phone.cdp("Page.captureScreenshot")["data"])
        told = phone.text("noscript"), phone.text("h1")
    finally:
        phone.cdp("Emulation.setScriptExecutionDisabled", value=False)
    assert shown.startswith(b"\x89PNG")
    assert told == (
        "This page needs JavaScript: open the file in a web browser.",
        "Walk: TSB-1 Tide Street Bakery, revision 1",
    )
