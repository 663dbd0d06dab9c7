"""Names of a job on every page of the desk: shown as text, whatever they are; none is an element or code."""

from collections.abc import Iterator
from pathlib import Path

import pytest
from starlette.routing import Route
from typer.testing import CliRunner

from tagmaker.cli.app import app
from tagmaker.desk.app import application
from tagmaker.desk.door import Key
from tagmaker.desk.phones.serve import Phones, PhonesAsked
from tagmaker.desk.state import Desk
from tests.desk.hostile_jobs import BROKEN, IMAGE, WHOLE, hostile_folder
from tests.desk.running import RunningDesk, running_desk
from tests.desk.site_on_page import Opened
from tests.desk.window import Window

TAG = "%3Cx-owned%3E"
OUT = f"%22%3E{TAG}"  # out of an attribute's value
PAGES = {
    "/": ("/",),
    "/manual": ("/manual",),
    "/manual/{name}": ("/manual/problem-codes", f"/manual/{TAG}"),
    "/explain": ("/explain",),
    "/job/{job}/schedule": ("", f"?sheet={TAG}&from={OUT}&boxes={TAG}"),
    "/job/{job}/boxes": ("", f"?level={TAG}&system={OUT}"),
    "/job/{job}/paper": ("", f"?box={TAG}&document={OUT}"),
    "/job/{job}/paper/stocks/{use}": ("/job/{job}/paper/stocks/pipe", f"/job/{{job}}/paper/stocks/{TAG}"),
    "/job/{job}/paper/set/{set}": ("", f"/job/{{job}}/paper/set/{TAG}"),
    "/job/{job}/site": ("", f"?only={OUT}&from={TAG}"),
    "/job/{job}/site/scan": ("",),
    "/job/{job}/site/phones": ("",),
    "/job/{job}/site/handover": ("",),
    "/job/{job}/site/changes": ("", "?since={set}", f"?since={OUT}"),
    "/job/{job}/history": ("",),
    "/job/{job}/room": ("", f"?capacity={OUT}&box={TAG}&system={TAG}"),
    "/job/{job}/explain": ("", f"?box={OUT}"),
}
"""Every address that is a page, with those under which it is opened: a query goes after the address."""
NO_PAGES = {
    "/events",
    "/job/{job}/events",
    "/work/{number:int}",
    "/face/{name}.woff",
    "/job/{job}/state",
    "/job/{job}/history/bar",
    "/job/{job}/paper/picture/{key}",
    "/job/{job}/paper/stocks/{use}/picture/{at:int}",
    "/job/{job}/paper/set/{set}/zip",
    "/job/{job}/paper/set/{set}/file/{name:path}",
    "/job/{job}/paper/work/{number:int}",
    "/job/{job}/site/file/{name}",
    "/job/{job}/site/cut/{name}",
    "/job/{job}/site/handover/{name}",
}
"""Addresses of streams, pictures, files, and pieces that a page's script puts in place."""
ACTED = """
return [
  window.owned !== undefined && "a script of a name ran",
  document.querySelector("x-owned") && "an element of a name",
  document.querySelector("img[src='x']") && "a picture of a name",
  document.body.innerHTML.includes("1337") && "a template of a name was filled in",
  /[\\u202a-\\u202e\\u2066-\\u2069]/.test(document.title + document.documentElement.innerText)
    && "a name turns text round",
  [...document.querySelectorAll("script")].some((each) => !each.src) && "a script in the page",
].filter(Boolean)
"""


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Both jobs, a set, files that came back."""
    return hostile_folder(tmp_path_factory.mktemp("hostile"))


@pytest.fixture
def hostile(folder: Path, tmp_path: Path) -> Iterator[RunningDesk]:
    """A desk of them."""
    with running_desk(folder, tmp_path / "received") as desk:
        yield desk


def test_every_page_is_looked_at(tmp_path: Path) -> None:
    """A new page must be given its address here, or be named as something that no window shows."""
    desk = Desk(tmp_path, tmp_path)
    routes = application(desk, Key("secret", "127.0.0.1:1"), Phones(desk, PhonesAsked())).routes
    shown = {each.path for each in routes if isinstance(each, Route) and "GET" in (each.methods or ())}
    assert shown == PAGES.keys() | NO_PAGES


def settled(window: Window) -> None:
    """Wait until what the page's script asks for is there: pictures of boxes, states, what came back."""
    window.until("return document.readyState === 'complete'")
    window.until(
        "return !document.querySelector("
        "'#reading[data-state=running], #handover[data-state=running], .picture:not([data-drawn]) > .quiet')"
    )


@pytest.mark.parametrize("name", [WHOLE, BROKEN])
@pytest.mark.parametrize("path", PAGES)
def test_no_name_acts(hostile: RunningDesk, browser_on: Opened, path: str, name: str) -> None:
    """No dialog, no element, nothing in the console (which reports what the page's policy refused)."""
    job = hostile.job(name)
    chosen = next(iter(sets(hostile, job)), "none")
    if path.endswith("/handover"):  # its page shows the open points of the record that was made last
        made = hostile.ask(
            "POST", f"{job}/site/handover", b"", {"Origin": hostile.url, "Accept": "text/html"}
        )
        assert made.status == 303
    window = browser_on(hostile)
    for address in PAGES[path]:
        whole = address if address.startswith("/") else path + address
        window.go(whole.replace("/job/{job}", job).replace("{set}", chosen))
        settled(window)
        assert window.js(ACTED) == [], address
        assert window.axe() == [], address


def sets(desk: RunningDesk, job: str) -> list[str]:
    """The ids of a job's sets as the page of changes names them."""
    text = desk.get(f"{job}/site/changes").text
    return [piece.partition('"')[0] for piece in text.split('<option value="')[1:]]


def test_names_are_shown_as_they_are(hostile: RunningDesk, browser_on: Opened) -> None:
    """Not left out, not cut at a sign: the job's name, a room, a file that came back."""
    job = hostile.job(WHOLE)
    window = browser_on(hostile)
    for path in ("/", f"{job}/schedule", f"{job}/boxes", f"{job}/site", f"{job}/paper"):
        window.go(path)
        settled(window)
        assert IMAGE in window.js("return document.documentElement.textContent"), path


def test_what_a_name_answers_is_text_too(hostile: RunningDesk) -> None:
    """Addresses that lead nowhere, and files that no set has, answer without markup of the address."""
    for path in ("/<x-owned>", "/job/<x-owned>/site", "/manual/<x-owned>", "/?key=<x-owned>"):
        answer = hostile.get(path.replace("<", "%3C").replace(">", "%3E"))
        assert answer.status in {200, 403, 404}
        assert "<x-owned>" not in answer.text


def test_the_command_line_reads_the_same_names(folder: Path) -> None:
    """The jobs are as this file means them: one without an error, one with an error for each kind of name."""
    assert CliRunner().invoke(app, ["check", str(folder / WHOLE)]).exit_code == 0
    run = CliRunner().invoke(app, ["check", str(folder / BROKEN)])
    assert run.exit_code == 1
    assert "<x-owned>.csv" in run.stderr
    assert run.stderr.count(IMAGE) > 3
