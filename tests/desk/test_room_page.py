"""Room for one more unit in a real browser: the places of the command, listed and shown on the boxes."""

from collections.abc import Callable
from pathlib import Path
from urllib.parse import urlencode

import pytest

from tagmaker.desk import room_answers
from tagmaker.workflows.room import RoomFor, room
from tests.desk.running import RunningDesk
from tests.desk.window import Window
from tests.job_files import BOX, HEAD, UNIT, write_files
from tests.strategies import capacity

Opened = Callable[[RunningDesk], Window]


def asked(desk: RunningDesk, job: str, **values: str) -> str:
    """The address of the page with its form filled in."""
    return f"{desk.job(job)}/room?{urlencode(values)}"


def listed(window: Window) -> list[str]:
    """The ports that are listed, in order."""
    found: list[str] = window.js("return [...document.querySelectorAll('tbody th')].map(e => e.textContent)")
    return found


def test_places_are_those_of_the_command_nearest_first(
    desk: RunningDesk, browser_on: Opened, desk_folder: Path
) -> None:
    """Free ones, then shared ones; each is marked on its box's picture, and linked."""
    window = browser_on(desk).go(asked(desk, "clinic", capacity="36 kBtu/h", near="BB-13"))
    found = room(desk_folder / "clinic", RoomFor(capacity("36 kBtu/h"), near="BB-13"))
    expected = [f"{each.after.row.tag} {each.port.name}" for each in (*found.free, *found.shared)]
    assert listed(window) == expected
    window.until("return document.querySelector('.fits')")
    marked = window.js(
        "return [...document.querySelectorAll('.offered')].map(e => `${e.dataset.box} ${e.dataset.port}`)"
    )
    assert sorted(marked) == sorted(expected)
    assert "2 boxes of other systems" in window.js("return document.getElementById('main').textContent")
    window.one("tbody th a").click()
    window.until("return document.activeElement.id === 'BB-13-K'")


def test_a_free_pair_is_marked_on_both_its_ports(desk: RunningDesk, browser_on: Opened) -> None:
    """Where one port does not carry the unit."""
    window = browser_on(desk).go(asked(desk, "clinic", capacity="96 kBtu/h", near="BB-12"))
    assert listed(window)[0] == "BB-12 G+H"
    window.until("return document.querySelector('.fits')")
    assert window.js("return document.querySelectorAll('#BB-12-G.offered, #BB-12-H.offered').length") == 2


@pytest.mark.parametrize(
    ("job", "text", "said"),
    [
        ("clinic", "36", "has no unit"),
        ("weir-school", "400 kBtu/h", "No port carries this unit"),
        ("clinic", "400 kBtu/h", "with one more unit, system HR-1: 979 kBtu/h are connected"),
        ("clinic", "x", "is not a number with a unit"),
    ],
)
def test_what_cannot_be_answered_says_why(desk: RunningDesk, job: str, text: str, said: str) -> None:
    """A capacity without its unit, one that no port or no system carries, none at all."""
    assert said in desk.get(asked(desk, job, capacity=text)).text


def test_boxes_with_errors_are_not_judged(desk: RunningDesk) -> None:
    """An error that names no box leaves none judged."""
    answer = desk.get(asked(desk, "full-of-mistakes", capacity="9 kBtu/h"))
    assert "No box could be judged" in answer.text
    assert desk.get(asked(desk, "clinic", capacity="9 kBtu/h", near="NO-1")).text.count("no box") == 1


def test_a_large_job_is_searched_in_a_process_of_its_own(
    desk: RunningDesk, browser_on: Opened, desk_folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The page answers at once, follows the search, and then shows the same places."""
    expected = room(desk_folder / "clinic", RoomFor(capacity("36 kBtu/h")))
    monkeypatch.setattr(room_answers, "BOXES_AT_ONCE", 2)
    address = asked(desk, "clinic", capacity="36 kBtu/h")
    assert "being planned and checked" in desk.get(address).text
    window = browser_on(desk).go(address)
    window.until("return document.querySelector('.fits')")
    places = [*expected.free, *expected.shared]
    assert listed(window) == [f"{each.after.row.tag} {each.port.name}" for each in places]
    (work,) = desk.desk.works.works.values()
    assert (work.state, work.of) == ("done", expected.judged)


@pytest.mark.parametrize("values", [{}, {"capacity": "36 kBtu/h"}, {"capacity": "400 kBtu/h"}])
def test_the_page_is_accessible_and_fits(
    desk: RunningDesk, browser_on: Opened, values: dict[str, str]
) -> None:
    """At 1280 × 720, on a tablet, and 320 pixels wide."""
    window = browser_on(desk).go(asked(desk, "clinic", **values))
    if values.get("capacity") == "36 kBtu/h":
        window.until("return document.querySelector('.fits')")
    for width, height in ((1280, 720), (820, 1180), (320, 640)):
        window.size(width, height)
        assert window.axe() == []
        assert not window.overflows(), width


def test_names_are_shown_and_never_act(desk: RunningDesk, browser_on: Opened, desk_folder: Path) -> None:
    """A place, a system, and what the address says."""
    text = "<img src=x onerror=1>'\\\""
    write_files(
        desk_folder / "hostile",
        {"job.toml": f'{HEAD}{BOX}place = "{text}"\nsystem = "{text}"\n{UNIT}room = "{text}"\n'},
    )
    window = browser_on(desk).go(asked(desk, "hostile", capacity="9 kBtu/h", system=text, near=text))
    window.go(asked(desk, "hostile", capacity="9 kBtu/h"))
    window.until("return document.querySelector('.fits')")
    assert window.js("return document.querySelectorAll('#main img').length") == 0
    assert window.axe() == []
