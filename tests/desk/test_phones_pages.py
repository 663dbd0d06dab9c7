"""The phones' pages in a real browser: two phones on one box, a lost link, a closed door, photos, readings.

Two browsers with profiles of their own are two phones.
"""

import base64
import calendar
import json
import os
import re
import time
from collections.abc import Iterator
from pathlib import Path

import pytest
from selenium.webdriver import Chrome
from selenium.webdriver.support.ui import WebDriverWait

from tagmaker.tags.placard_forms import in_form
from tagmaker.tags.placard_text import placard_text
from tagmaker.workflows.readback import readback
from tests.browser.conftest import started
from tests.browser.phone import is_json
from tests.desk.axe import axe_findings
from tests.desk.hand import PATIENCE_SECONDS, Hand
from tests.desk.phone_client import invited
from tests.desk.running import RunningDesk, running_desk
from tests.desk.site_on_page import Opened
from tests.desk.tag_photos import noted, tags_photo
from tests.site.systems import clinic, named, rightly
from tests.site.walks import as_planned, plan_of

READ_OF_HOLD = re.compile(r"/(hold/(start|end)|instrument)/")


@pytest.fixture(scope="module")
def drivers(tmp_path_factory: pytest.TempPathFactory) -> Iterator[list[Chrome]]:
    """Two browsers with profiles of their own."""
    with (
        started(tmp_path_factory.mktemp("one"), font_px=16) as one,
        started(tmp_path_factory.mktemp("two"), font_px=16) as two,
    ):
        yield [one, two]


@pytest.fixture
def hands(drivers: list[Chrome], tmp_path: Path) -> Iterator[list[Hand]]:
    """Two phones; nothing was reported in their consoles at the end."""
    found = [Hand(driver, tmp_path / f"downloads-{at}") for at, driver in enumerate(drivers)]
    yield found
    errors = [line for each in found for line in each.errors()]
    for each in found:
        each.driver.get("about:blank")
    assert errors == []


@pytest.fixture
def bakery(desk_folder: Path) -> Path:
    """The bakery's folder."""
    return desk_folder / "bakery"


def both(hands: list[Hand], desk: RunningDesk, job: str) -> list[Hand]:
    """Two people who scanned the code of a job."""
    return [hand.scan(desk, job, name) for hand, name in zip(hands, ("R. Hale", "T. Moss"), strict=True)]


def fine(hand: Hand) -> None:
    """Nothing that axe finds, and nothing to scroll sideways for."""
    assert axe_findings(hand.driver) == []
    assert not hand.js("return document.documentElement.scrollWidth > innerWidth")


def test_every_page_is_accessible_on_a_small_screen(
    desk: RunningDesk, hands: list[Hand], desk_folder: Path
) -> None:
    """With a hostile name, and a job whose names are hostile."""
    job = desk_folder / "bakery" / "job.toml"
    job.write_text(job.read_text("utf-8").replace("Tide Street Bakery", "<b>Tide</b> & ’Street"), "utf-8")
    hand = hands[0]
    host, key = invited(desk, "bakery")
    hand.driver.get(f"http://{host}/?key={key}")
    hand.one("#name")
    fine(hand)
    hand.scan(desk, "bakery", "<img src=x onerror=alert(1)> Hale")
    fine(hand)
    for path, ready in (("/walk", "#who"), ("/check", "#last"), ("/response", ".keys"), ("/nothing", "h1")):
        hand.go(path).one(ready)
        fine(hand)
    assert hand.js("return document.querySelectorAll('b, img').length") == 0


def test_a_whole_box_walked_on_a_phone_reads_back_as_planned(
    desk: RunningDesk, hands: list[Hand], bakery: Path
) -> None:
    """Everything that was entered and nothing else is in the phone's file."""
    values = as_planned(plan_of(bakery), "BX-1")
    hand = hands[0].scan(desk, "bakery", "R. Hale").walk()
    hand.enter(values)
    hand.all_sent()
    (file,) = (bakery / "returned").glob("walk-phone-*.json")
    assert json.loads(file.read_bytes())["boxes"][0]["fields"] == values
    found = readback([file], bakery)
    assert (found.problems, found.outline.boxes[0].result) == ((), "as planned")


def test_a_systems_sheet_is_sent_and_the_desk_answers_the_hold(
    desk: RunningDesk, hands: list[Hand], desk_folder: Path
) -> None:
    """The readings are in the phone's file, and come to the same in the readback."""
    one = clinic().systems[0]
    readings = {name: value for name, value in named(one, rightly(one)).items() if READ_OF_HOLD.search(name)}
    hand = hands[0].scan(desk, "clinic", "R. Hale").walk()
    hand.js("go(sheets.findIndex((each) => each.box === 'system/HR-1'))")
    hand.enter(readings)
    hand.until("return document.getElementById('verdict').dataset.verdict === 'holds'")
    assert hand.text("#verdict").startswith("The readings come to: holds. ")
    hand.all_sent()
    hand.js("scrollTo(0, 0)")
    fine(hand)
    (file,) = (desk_folder / "clinic" / "returned").glob("walk-phone-*.json")
    assert json.loads(file.read_bytes())["systems"][0]["fields"] == readings
    computed = readback([file], desk_folder / "clinic").outline.systems[0].hold.computed
    assert computed is not None
    assert computed.verdict == "holds"


def test_name_and_date_are_entered_by_a_tap(desk: RunningDesk, hands: list[Hand]) -> None:
    """The name is that of the phone, the date today's."""
    hand = hands[0].scan(desk, "bakery", "R. Hale").walk()
    button = hand.one(".dates button")
    assert button.text == "Sign as R. Hale (Installer), today"
    hand.js("arguments[0].click()", button)
    fields = hand.js("return found.get('BX-1')")
    assert fields["BX-1/sign/installer"] == "R. Hale"
    assert re.fullmatch(r"\d{4}-\d\d-\d\d", fields["BX-1/date/installer"])


def test_two_people_on_one_box_see_each_others_marks(
    desk: RunningDesk, hands: list[Hand], bakery: Path
) -> None:
    """With the name of the other; each file has its own person's entries alone."""
    hale, moss = (each.walk() for each in both(hands, desk, "bakery"))
    hale.enter({"BX-1/port/A/pipe/ok": True, "BX-1/left/1/1": True})
    moss.enter({"BX-1/port/B/pipe/ok": True})
    for hand in (hale, moss):
        hand.until("return get('BX-1/port/A/pipe/ok') && get('BX-1/port/B/pipe/ok') && get('BX-1/left/1/1')")
    assert moss.shows("BX-1/left/1/1")
    moss.until("return document.getElementById('who').textContent.includes('R. Hale: 2 entries')")
    assert not moss.js("return document.getElementById('clash').offsetHeight")
    files = [json.loads(each.read_bytes()) for each in (bakery / "returned").glob("walk-phone-*.json")]
    kept = {each["device"]["name"]: set(each["boxes"][0]["fields"]) for each in files}
    assert kept == {
        "R. Hale": {"BX-1/port/A/pipe/ok", "BX-1/left/1/1"}, "T. Moss": {"BX-1/port/B/pipe/ok"},
    }  # fmt: skip


def test_a_contradiction_is_shown_to_both_and_none_wins(
    desk: RunningDesk, hands: list[Hand], bakery: Path
) -> None:
    """A switch that one found ON and the other OFF is unknown on both phones, and in readback."""
    hale, moss = (each.walk() for each in both(hands, desk, "bakery"))
    hale.enter({"BX-1/left/1/1": True})
    moss.until("return get('BX-1/left/1/1') === true")
    moss.enter({"BX-1/left/1/1/off": True})
    for hand in (hale, moss):
        hand.until("return document.getElementById('clash').offsetHeight > 0")
        assert "R. Hale" in hand.text("#clash")
        assert "T. Moss" in hand.text("#clash")
        assert not hand.shows("BX-1/left/1/1")
        assert not hand.shows("BX-1/left/1/1/off")
        fine(hand)
    hale.all_sent()
    moss.all_sent()
    found = readback([bakery / "returned"], bakery)
    assert [each.code for each in found.problems] == ["return-contradiction"]


def test_a_tick_of_another_is_taken_back_for_all_to_see(desk: RunningDesk, hands: list[Hand]) -> None:
    """It is no longer set on this phone, and both see that they differ."""
    hale, moss = (each.walk() for each in both(hands, desk, "bakery"))
    tick = "BX-1/port/A/tags/ok"
    hale.enter({tick: True})
    moss.until("return get(arguments[0]) === true", tick)
    moss.enter({tick: True})  # tapped again
    moss.until("return get(arguments[0]) === false", tick)
    for hand in (hale, moss):
        hand.until("return document.getElementById('clash').textContent.includes('taken back')")


def test_who_ticks_a_board_as_seen_stands_for_what_it_shows(
    desk: RunningDesk, hands: list[Hand], bakery: Path
) -> None:
    """Switches that another found ON stay ON: no contradiction where both agree."""
    hale, moss = (each.walk() for each in both(hands, desk, "bakery"))
    hale.enter({"BX-1/left/1/1": True})
    moss.until("return get('BX-1/left/1/1') === true")
    moss.enter({"BX-1/left/seen": True})
    moss.all_sent()
    hale.all_sent()
    assert readback([bakery / "returned"], bakery).problems == ()
    assert not moss.js("return document.getElementById('clash').offsetHeight")


def test_with_the_link_lost_the_walk_goes_on_and_catches_up(
    desk_folder: Path, tmp_path: Path, hands: list[Hand]
) -> None:
    """The desk ends and is started again at the same port; a reload of the page loses nothing either."""
    kept, bakery = tmp_path / "phones.json", desk_folder / "bakery"
    hand = hands[0]
    with running_desk(desk_folder, tmp_path / "one", kept) as desk:
        hand.scan(desk, "bakery", "R. Hale").walk()
        hand.enter({"BX-1/port/A/pipe/ok": True})
        hand.all_sent()
    hand.enter({"BX-1/port/B/pipe/ok": True, "BX-1/port/B/note": "wet"})
    hand.linked("waiting")
    assert "2 entries wait" in hand.text("#link")
    with running_desk(desk_folder, tmp_path / "two", kept) as desk:
        assert desk.phones.start() is None
        hand.js("sync.soon(0)")
        hand.linked("sent")
        hand.all_sent()
        hand.walk()
        assert hand.shows("BX-1/port/B/pipe/ok")
        (file,) = (bakery / "returned").glob("walk-phone-*.json")
        assert json.loads(file.read_bytes())["boxes"][0]["fields"] == {
            "BX-1/port/A/pipe/ok": True, "BX-1/port/B/pipe/ok": True, "BX-1/port/B/note": "wet",
        }  # fmt: skip


OFFLINE = "window.online ??= window.fetch; window.fetch = () => Promise.reject(new TypeError('no link'))"


def test_two_tabs_without_a_link_lose_nothing_of_each_other(desk: RunningDesk, hands: list[Hand]) -> None:
    """A tick that one took back is not there again once the other, which stays open, is sent."""
    hand, field = hands[0].scan(desk, "bakery", "R. Hale").walk(), "BX-1/port/A/pipe/ok"
    hand.enter({field: True})
    hand.all_sent()
    with hand.another_tab():
        hand.walk()
        hand.js(OFFLINE)
        hand.js(f"put({{'{field}': false}})")
        hand.driver.switch_to.window(hand.driver.window_handles[0])
        hand.js(OFFLINE)
        hand.until(f"return get('{field}') === undefined")
        hand.enter({"BX-1/port/B/pipe/ok": True})
    hand.js("window.fetch = window.online; sync.epoch = ''; sync.soon(0)")
    hand.all_sent()
    assert hand.js("return Object.keys(found.get('BX-1'))") == ["BX-1/port/B/pipe/ok"]


def test_a_reading_corrected_in_another_tab_is_not_put_back(
    desk: RunningDesk, hands: list[Hand], desk_folder: Path
) -> None:
    """The tab that knew the first reading shows the second, and the desk keeps it."""
    hand = hands[0].scan(desk, "clinic", "R. Hale").go("/response")
    hand.one('[data-reading="C"]').click()
    hand.all_sent()
    with hand.another_tab():
        hand.go("/response").one('[data-reading="H"]').click()
        hand.all_sent()
        hand.driver.switch_to.window(hand.driver.window_handles[0])
        hand.until("return document.querySelector('[data-reading=H]').ariaPressed === 'true'")
        hand.js("sync.epoch = ''; sync.soon(0)")
        hand.until("return sync.epoch !== '' && sync.unsent.size === 0")
    (table,) = (desk_folder / "clinic" / "returned").glob("response-phone-*.csv")
    assert "H" in table.read_text("utf-8").splitlines()[1].split(",")


def test_a_browser_that_lost_its_store_gets_its_own_entries_back(
    desk: RunningDesk, hands: list[Hand]
) -> None:
    """From the desk."""
    hand = hands[0].scan(desk, "bakery", "R. Hale").walk()
    hand.enter({"BX-1/port/A/pipe/ok": True})
    hand.all_sent()
    hand.js("localStorage.clear()")
    hand.walk()
    hand.until("return get('BX-1/port/A/pipe/ok') === true")


def test_a_closed_door_leaves_the_file_to_be_handed_in(
    desk: RunningDesk, hands: list[Hand], bakery: Path
) -> None:
    """What was not sent is in the file that the page saves, as without a desk."""
    hand = hands[0].scan(desk, "bakery", "R. Hale").walk()
    desk.phones.let_in(desk.job("clinic").rpartition("/")[2])  # so that the server answers
    desk.post(f"{desk.job('bakery')}/site/phones/close")
    hand.enter({"BX-1/port/A/pipe/ok": True})
    hand.linked("closed")
    assert "save a file" in hand.text("#link")
    fine(hand)
    path = hand.downloads / "walk-BX-1.json"
    hand.js("document.getElementById('export-one').click()")
    WebDriverWait(hand.driver, PATIENCE_SECONDS).until(lambda _: path.exists() and is_json(path))
    found = readback([path], bakery)
    assert found.problems == ()
    assert found.sheets["BX-1"][0].ticked == ["BX-1/port/A/pipe/ok"]


def test_tags_are_checked_by_photo(desk: RunningDesk, hands: list[Hand], tmp_path: Path) -> None:
    """Several pictures of a terminal; the crossing with both ends; the other phone sees who found it."""
    hale, moss = both(hands, desk, "clinic")
    one, two = tmp_path / "1.jpg", tmp_path / "2.jpg"
    one.write_bytes(tags_photo("BB-11/C/TRM", "BB-11/C/COM"))
    two.write_bytes(tags_photo("BB-11/C/LIQ", "BB-11/C/GAS", seed=2))
    hale.go("/check").one("#camera").send_keys(str(one))
    hale.until("return document.querySelector('#answer .word')?.textContent === 'NOT COMPLETE BB-11 C'")
    hale.one("#pictures").send_keys(str(two))
    hale.until("return document.querySelector('#answer .word')?.textContent === 'AGREES BB-11 C'")
    sent = "performance.getEntriesByType('resource').filter((each) => each.name.endsWith('/upload')).length"
    hale.until(f"return {sent} === 3")  # what was not complete as the camera wrote it too
    one.write_bytes(tags_photo("BB-11/D/TRM", "BB-11/C/COM", seed=3))
    hale.one("#next").click()
    hale.one("#camera").send_keys(str(one))
    hale.until("return document.querySelector('#answer .word')?.textContent === 'CROSSED BB-11 D'")
    assert (
        "tags disagree at D and C: isolate and prove dead, ring out both, then move the cable or the tag, "
        "whichever is wrong"
    ) in hale.text("#answer")
    fine(hale)
    moss.go("/check").until("return document.querySelectorAll('#last li').length === 2")
    shown = re.sub(r"\d\d:\d\d", "9:99", moss.text("#last"))
    assert shown == "BB-11 D: CROSSED · R. Hale, 9:99 BB-11 C: AGREES · R. Hale, 9:99"
    fine(moss)


MOMENTS = """
const [pictures, done] = arguments;
import("/static/taken.js").then(async ({ taken }) => {
  const found = [];
  for (const [bytes, lastModified] of pictures) {
    const content = Uint8Array.from(atob(bytes), (each) => each.charCodeAt(0));
    found.push(await taken(new File([content], "1.jpg", { lastModified }), Date.UTC(2026, 5, 3, 15)));
  }
  done(found);
});
"""


def moments(hand: Hand, *pictures: tuple[bytes, int]) -> list[int]:
    """When pictures with these times of their files were taken, as the page reads them at 15:00 UTC."""
    sent = [(base64.b64encode(content).decode(), time) for content, time in pictures]
    found: list[int] = hand.driver.execute_async_script(MOMENTS, sent)
    return found


def utc(*time: int) -> int:
    """A time in ms since 1970."""
    return calendar.timegm((*time, 0, 0, 0)[:6]) * 1000


def test_the_time_of_a_picture_is_its_cameras_or_its_files(desk: RunningDesk, hands: list[Hand]) -> None:
    """With its zone, else in the phone's; one that is not known, or has not come yet, is long ago."""
    hand = hands[0].scan(desk, "bakery", "R. Hale").go("/check")
    hand.driver.execute_cdp_cmd("Emulation.setTimezoneOverride", {"timezoneId": "Asia/Kolkata"})
    file = utc(2026, 6, 3, 14, 59)
    noon = "2026:06:03 12:00:00"
    cases = {
        (noon, "+02:00"): utc(2026, 6, 3, 10),
        (noon, "-02:00"): utc(2026, 6, 3, 14),
        (noon, "Z"): utc(2026, 6, 3, 6, 30),
        (noon, ""): utc(2026, 6, 3, 6, 30),
        ("1980:01:01 00:00:00", "+00:00"): utc(1980, 1, 1),
        ("1920:01:01 00:00:00", "+00:00"): 0,
        ("2026:06:03 15:00:30", "+00:00"): utc(2026, 6, 3, 15, 0, 30),
        ("2026:06:03 15:02:00", "+00:00"): 0,
        ("2036:06:03 12:00:00", "+00:00"): 0,
        ("2026:13:03 12:00:00", ""): 0,
        ("last week", ""): 0,
        ("0000:00:00 00:00:00", ""): file,
        ("    :  :     :  :  ", ""): file,
        ("", ""): file,
    }
    pictures = [(noted(*texts), file) for texts in cases]
    found = moments(hand, *pictures)
    hand.driver.execute_cdp_cmd("Emulation.setTimezoneOverride", {"timezoneId": ""})
    assert dict(zip(cases, found, strict=True)) == cases


def test_a_picture_without_whole_notes_has_its_files_time(desk: RunningDesk, hands: list[Hand]) -> None:
    """Of any kind, cut off anywhere, in either order of bytes; never one out of the rest of the file."""
    hand = hands[0].scan(desk, "bakery", "R. Hale").go("/check")
    file, noon = utc(2026, 6, 3, 14, 59), utc(2026, 6, 3, 10)
    whole = noted("2026:06:03 12:00:00", "+02:00")
    cuts = [(whole[:size], file) for size in range(0, len(whole), 3)]
    plain = tags_photo(size=(60, 40), plain=True)
    found = moments(hand, *cuts, (plain, file), (b"\x89PNG", file), (whole, file), (whole, 0))
    of_cuts, rest = found[: len(cuts)], found[len(cuts) :]
    assert rest == [file, file, noon, noon]
    assert set(of_cuts) <= {file, noon}
    assert moments(hand, (b"", 0), (b"", utc(2026, 6, 3, 16)), (plain, -5)) == [0, 0, 0]
    assert moments(hand, (noted("2026:06:03 12:00:00", "+02:00", order=">"), file)) == [noon]


def test_a_picture_chosen_from_before_a_crossing_does_not_clear_it(
    desk: RunningDesk, hands: list[Hand], tmp_path: Path
) -> None:
    """The page says when it was taken; a new one begins a visit of its own, and clears it."""
    hale = hands[0].scan(desk, "clinic", "R. Hale").go("/check")
    codes = ("BB-11/C/TRM", "BB-11/C/COM", "BB-11/C/LIQ", "BB-11/C/GAS")
    old, crossed, new = (tmp_path / name for name in ("old.jpg", "crossed.jpg", "new.jpg"))
    old.write_bytes(noted("2025:01:02 03:04:05", "", tags_photo(*codes, size=(1800, 700))))
    crossed.write_bytes(tags_photo(*codes, "BB-11/D/COM"))
    new.write_bytes(tags_photo(*codes, size=(1800, 700), seed=2))
    word = "return document.querySelector('#answer .word')?.textContent === arguments[0]"
    hale.one("#pictures").send_keys(str(old))
    hale.until(word, "OLD PICTURE")
    assert "Taken on 2025-01-02 at 03:04" in hale.text("#answer")
    hale.one("#camera").send_keys(str(crossed))
    hale.until(word, "CROSSED BB-11 C")
    hale.one("#next").click()
    hale.one("#pictures").send_keys(str(old))
    hale.until("return document.getElementById('answer').textContent.includes('Taken on 2025-01-02')")
    assert hale.text("#answer .word") == "CROSSED BB-11 C"
    fine(hale)
    soon = time.time() + 30  # what a page takes for now: after the crossing, whatever the machine is doing
    os.utime(new, (soon, soon))
    hale.one("#camera").send_keys(str(new))
    hale.until(word, "AGREES BB-11 C")


def test_readings_are_entered_round_by_round_and_shown_to_the_other(
    desk: RunningDesk, hands: list[Hand], desk_folder: Path
) -> None:
    """Two phones that read one place differently both see it."""
    hale, moss = (each.go("/response") for each in both(hands, desk, "clinic"))
    for hand, reading in ((hale, "H"), (moss, "C")):
        hand.one(f'[data-reading="{reading}"]').click()
    for hand in (hale, moss):
        hand.until("return document.getElementById('clash').textContent.includes('round 1')")
        fine(hand)
    hale.until("return sync.unsent.size === 0")
    assert hale.text("#count").startswith("Round 1: 1 of ")
    moss.one("#more").click()
    assert moss.text("#count").startswith("Round 2: 0 of ")
    moss.one('[data-reading="0"]').click()
    moss.until("return sync.unsent.size === 0")
    moss.go("/response").one(".keys")
    assert moss.one('[data-reading="C"]').get_attribute("aria-pressed") == "true"
    assert len(list((desk_folder / "clinic" / "returned").glob("response-phone-*.csv"))) == 2
    moss.js("document.getElementById('save').click()")
    path = moss.downloads / "response.csv"
    WebDriverWait(moss.driver, PATIENCE_SECONDS).until(lambda _: path.exists())


def test_a_link_code_is_drawn_from_the_doors_own_address(
    desk: RunningDesk, hands: list[Hand], bakery: Path
) -> None:
    """The page is one tap from the first one; a scanned link of it is drawn; the page is kept."""
    hand = hands[0].scan(desk, "bakery", "R. Hale")
    address = hand.js("return document.querySelector('nav a[href*=placard]').href")
    planned = plan_of(bakery)
    box = planned.boxes[0]
    link = f"{address}{in_form(placard_text(planned.job, box), 'link')}"
    hand.driver.get(link)
    assert hand.text("h1") == box.row.shown
    boards = hand.js("return [...document.querySelectorAll('.board h2')].map((each) => each.textContent)")
    assert boards == [f"{board.place.upper()} BOARD" for board in box.boards]
    fine(hand)
    hand.until("return document.getElementById('kept').textContent.includes('opens without a network')")


def test_the_desk_shows_the_code_and_who_is_in(
    desk: RunningDesk, browser_on: Opened, hands: list[Hand], tmp_path: Path
) -> None:
    """The code on the screen is the address; closing is one click, and the code is gone."""
    window = browser_on(desk)
    window.go(f"{desk.job('bakery')}/site/phones")
    assert window.axe() == []
    window.one("#open-door").click()
    window.one(".door-code")
    assert window.axe() == []
    picture = tmp_path / "code.png"
    picture.write_bytes(window.one(".door-code").screenshot_as_png)
    from tagmaker.symbols.read import open_picture, read_codes  # noqa: PLC0415

    (code,) = read_codes(open_picture(picture.read_bytes()), 96)
    assert code.text == window.one(".address").text
    assert code.text == desk.phones.address(desk.job("bakery").rpartition("/")[2])
    hands[0].driver.get(code.text)
    hands[0].one("#name").send_keys("R. Hale")
    hands[0].one("form button").click()
    window.until_text("#phones tbody th", "R. Hale")
    assert window.axe() == []
    window.one("#close-door").click()
    window.one("#open-door")
    assert not window.all(".door-code")
