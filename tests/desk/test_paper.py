"""The page of paper in a real browser: pages turned, labels chosen, sets made, printed and downloaded."""

import csv
import io
import time
import zipfile
from collections.abc import Callable
from pathlib import Path

import pytest
import zxingcpp
from PIL import Image
from selenium.webdriver import Keys

from tagmaker.revisions.selection import Selection
from tagmaker.workflows.preview import lay_out_preview, page_picture
from tests.bench.campus import write_campus
from tests.desk.running import RunningDesk, running_desk
from tests.desk.window import Window
from tests.job_files import write_files

Opened = Callable[[RunningDesk], Window]
SIZES = ((1280, 720), (820, 1180), (320, 640))
HOSTILE = "\"'><img src=x onerror=document.title='owned'><script>document.title='owned'</script>{{7*7}}"
HOSTILE_NAME = "</title><script>1"
HOSTILE_JOB = f"""[job]
name = '''{HOSTILE_NAME}'''
number = '''"><b>'''
family = "four-port-boards"
site = '''{HOSTILE[:30]}'''
[[box]]
tag = "BX-1"
ports = 4
shown = "BX <b>1</b>"
place = '''<img src=x onerror=alert(1)>'''
system = '''"><b>S'''
level = '''</option><b>2'''
[[unit]]
unit = "FC-1"
box = "BX-1"
port = "A"
capacity = "24 kBtu/h"
room = '''<b>"{{7*7}}'''
"""


def rows(out: Path) -> list[dict[str, str]]:
    """The register of a set."""
    with (out / "register.csv").open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def fits_everywhere(window: Window) -> None:
    """No finding of axe, and no scrolling sideways at any size."""
    assert window.axe() == []
    for width, height in SIZES:
        window.size(width, height)
        assert not window.overflows(), width
    window.size(*SIZES[0])


def test_pages_are_turned_in_place(desk: RunningDesk, browser_on: Opened) -> None:
    """The address follows, the focus stays, and one goes back with the browser's own button."""
    window = browser_on(desk).go(f"{desk.job('clinic')}/paper")
    fits_everywhere(window)
    window.js("window.same = true")
    window.one("#page-after").click()
    window.until_text("#pages .turn", "Page 2 of 10")
    assert window.js("return window.same && document.activeElement.id") == "page-after"
    assert "page=2" in window.driver.current_url
    next(each for each in window.all(".documents a") if "Placards" in each.text).click()
    window.until_text("#pages .turn", "Page 1 of 5")
    fits_everywhere(window)
    window.driver.back()
    window.until_text("#pages .turn", "Page 2 of 10")


def test_the_picture_is_what_prints(desk: RunningDesk, browser_on: Opened, tmp_path: Path) -> None:
    """The page that `make --png` writes, loaded by the browser; labels lie on it as links."""
    window = browser_on(desk).go(f"{desk.job('bakery')}/paper")
    address = window.one(".page image").get_dom_attribute("href")
    assert address
    job = desk.desk.folder / "bakery"
    preview = lay_out_preview(job, Selection(), tmp_path / "none", tmp_path / "pages")
    assert desk.get(address).body == page_picture(tmp_path / "pages", preview.documents[0], 1)
    assert len(window.all(".page a")) == 30
    loaded = "return performance.getEntriesByName(arguments[0]).some(each => each.decodedBodySize > 10000)"
    window.until(loaded, f"{desk.url}{address}")


@pytest.mark.parametrize("query", ["page=0", "page=99", "page=x", "file=none.pdf", "page=1", ""])
def test_a_picture_that_is_not_kept_is_none(desk: RunningDesk, query: str) -> None:
    """A key of no layout, a page or a file that it has not."""
    text = desk.get(f"{desk.job('bakery')}/paper").text
    key = text.partition("/paper/picture/")[2].partition("?")[0]
    first = desk.get(f"{desk.job('bakery')}/paper/picture/{key}?file=placards.pdf&page=1")
    assert first.status == 200
    for used in {"0" * 64, key} - ({key} if query == "page=1" else set()):
        assert desk.get(f"{desk.job('bakery')}/paper/picture/{used}?{query}").status == 404


def test_one_torn_label_is_printed_on_a_used_sheet(desk: RunningDesk, browser_on: Opened) -> None:
    """It is clicked on its page, then the first label that is left on a sheet's picture."""
    window = browser_on(desk).go(f"{desk.job('bakery')}/paper")
    window.js("document.querySelector('.page a[aria-label^=\"BX-1/C/GAS:\"]').dispatchEvent("
              "new MouseEvent('click', {bubbles: true, cancelable: true}))")  # fmt: skip
    window.until_text("#pages .badge", "BX-1/C/GAS")
    assert len(window.all(".page a")) == 1
    fits_everywhere(window)
    window.one("#place-12").click()
    window.until_text(".used summary", "11 labels are gone")
    assert window.one('#what [name="skip"]').get_attribute("value") == "11"
    window.one("#make button").click()
    window.one("#open-set")
    (row,) = rows(desk.desk.folder / "bakery-out-part")
    assert (row["code"], row["page"]) == ("BX-1/C/GAS", "1")
    assert float(row["x_mm"]) == pytest.approx(4.8 + 2 * 69.9, abs=0.1)
    assert float(row["y_mm"]) == pytest.approx(12.7 + 3 * 25.4, abs=0.1)
    fits_everywhere(window)


def test_a_set_is_made_printed_and_downloaded(desk: RunningDesk, browser_on: Opened) -> None:
    """With its progress; a PDF opens in the browser's own viewer; the ZIP holds all files."""
    window = browser_on(desk).go(f"{desk.job('bakery')}/paper")
    window.one("#make button").click()
    window.one("#open-set")
    assert "All 37 codes read back." in window.one("#making").text
    assert window.said.startswith("bakery-out holds the new set")
    window.one("#open-set").click()
    fits_everywhere(window)
    window.one(".actions a").click()
    kept = window.downloads / "bakery-out.zip"
    until = time.monotonic() + 30
    while not kept.exists():
        assert time.monotonic() < until
        time.sleep(0.05)
    with zipfile.ZipFile(kept) as archive:
        assert {Path(name).name for name in archive.namelist()} == {
            path.name for path in (desk.desk.folder / "bakery-out").iterdir()
        }
    page = window.driver.current_url
    (placards,) = (each for each in window.all("td a") if "placards.pdf, opens" in each.text)
    window.driver.get(placards.get_attribute("href") or "")
    assert window.js("return document.contentType") == "application/pdf"
    until = time.monotonic() + 30
    while not any("BX-1 R1" in text for text in shown_codes(window)):
        assert time.monotonic() < until
    window.driver.get(page)


def shown_codes(window: Window) -> list[str]:
    """The texts of the codes on what the window shows now."""
    with Image.open(io.BytesIO(window.driver.get_screenshot_as_png())) as picture:
        return [code.text for code in zxingcpp.read_barcodes(picture.convert("L"))]


def test_paper_is_made_by_keyboard_alone(desk: RunningDesk, browser_on: Opened) -> None:
    """A label, the first one left on a used sheet, the set, its files."""
    window = browser_on(desk).go(f"{desk.job('bakery')}/paper")
    window.tab_to('.page a[aria-label^="BX-1/A/TRM"]')
    window.keys(Keys.ENTER)
    window.until_text("#pages .badge", "BX-1/A/TRM")
    window.tab_to("#place-4")
    window.keys(Keys.ENTER)
    window.until_text(".used summary", "3 labels are gone")
    window.until("return document.activeElement.id === 'place-4'")
    window.tab_to("#make button")
    window.keys(Keys.ENTER)
    window.one("#open-set")
    window.tab_to("#open-set")
    window.keys(Keys.ENTER)
    window.one("table")
    assert [row["code"] for row in rows(desk.desk.folder / "bakery-out-part")] == ["BX-1/A/TRM"]


def test_choices_limit_the_pages(desk: RunningDesk, browser_on: Opened) -> None:
    """A form that also works without a script: stage and boxes are in the address."""
    window = browser_on(desk).go(f"{desk.job('clinic')}/paper")
    window.one('[name="stage"][value="rough-in"]').click()
    window.one("#what summary").click()
    window.one('[name="boxes"][value="BB-11"]').click()
    window.one("#what button").click()
    window.until(
        "return location.search.includes('stage=rough-in') && location.search.includes('boxes=BB-11')"
    )
    assert {each.text.split("\n")[0] for each in window.all(".documents a")} == {
        "Labels – letter-30-67x25", "Label kits",
    }  # fmt: skip
    assert window.one('#make [name="out"]').get_attribute("value") == "clinic-out-part"
    fits_everywhere(window)


def test_errors_stand_in_place_of_pages(desk: RunningDesk, browser_on: Opened) -> None:
    """Nothing is shown that would not be printed, and no set can be made."""
    window = browser_on(desk).go(f"{desk.job('full-of-mistakes')}/paper")
    window.until_text("#pages", "Nothing is printed until the errors are corrected")
    assert window.all(".page") == []
    assert window.all("#make button") == []
    assert window.all("#pages .problem.error")
    fits_everywhere(window)


def test_a_change_on_disk_shows_at_once(desk: RunningDesk, browser_on: Opened) -> None:
    """The pages are those of the job as it is now."""
    window = browser_on(desk).go(f"{desk.job('bakery')}/paper")
    file = desk.desk.folder / "bakery" / "job.toml"
    window.until("return document.querySelector('.page image')")
    time.sleep(1)  # until the desk has looked at the files once
    file.write_text(file.read_text("utf-8") + '\n[print]\nterminal = "letter-80-44x13"\n', "utf-8")
    window.until_text("#stocks", "letter-80-44x13")
    window.until_text(".documents", "letter-80-44x13")


def test_a_stock_is_chosen_by_its_picture(desk: RunningDesk, browser_on: Opened) -> None:
    """Each is tried on the job; the chosen one is in the job's file, and the pages follow."""
    window = browser_on(desk).go(f"{desk.job('bakery')}/paper")
    next(each for each in window.all("#stocks a") if "Placards" in each.text).click()
    window.one('.stock input[value="4x6"]').click()
    fits_everywhere(window)
    window.one(".actions button").click()
    window.until_text("#stocks", "4x6 · 101.6 × 152.4 mm")
    assert 'placard = "4x6"' in (desk.desk.folder / "bakery" / "job.toml").read_text("utf-8")


def test_a_large_job_is_laid_out_beside_the_desk(tmp_path: Path, browser_on: Opened) -> None:
    """With its progress; the desk answers meanwhile, and the pages come by themselves."""
    folder = tmp_path / "jobs"
    write_campus(folder / "campus", 24)
    with running_desk(folder, tmp_path / "received") as desk:
        window = browser_on(desk).go(f"{desk.job('campus')}/paper")
        assert window.one("#pages progress")
        assert window.axe() == []
        window.one(".page")
        assert len(window.all(".documents a")) == 5
        window.one("#page-after").click()
        window.until_text("#pages .turn", "Page 2 of")
        window.go("/manual")


def test_a_torn_strip_is_printed_as_a_whole(desk: RunningDesk, browser_on: Opened) -> None:
    """A cell is no label of its own: the terminals of its board are one strip."""
    file = desk.desk.folder / "bakery" / "job.toml"
    strip = '\n[print]\nterminal = "tape-12-strip-300dpi"\nterminal_pitch = "10 mm"\n'
    file.write_text(file.read_text("utf-8") + strip, "utf-8")
    window = browser_on(desk).go(f"{desk.job('bakery')}/paper?file=tags-tape-12-strip-300dpi.pdf")
    assert len(window.all(".page")) == 2
    fits_everywhere(window)
    window.go(window.one('.page a[aria-label^="BX-1/B/TRM"]').get_dom_attribute("href") or "")
    window.until("return document.querySelectorAll('.page').length === 1")
    codes = [each.text for each in window.all("#pages .badge")]
    assert codes == [f"BX-1/{port}/TRM" for port in "ABCD"]
    assert len(window.all(".page a")) == 4


def test_two_windows_on_a_large_job_do_not_stop_each_other(tmp_path: Path) -> None:
    """Each gets its pages; with a third the first one is stopped, and begins again where it is asked for."""
    folder = tmp_path / "jobs"
    write_campus(folder / "campus", 24)
    with running_desk(folder, tmp_path / "received") as desk:
        path = f"{desk.job('campus')}/paper"
        asked = [f"{path}?skip={number}" for number in range(3)]
        for each in (asked[0], asked[1], asked[0], asked[2]):
            assert "data-work" in desk.get(each).text
        states = [work.state for work in desk.desk.works.works.values()]
        assert states == ["stopped", "running", "running"]
        until = time.monotonic() + 60
        while any("data-work" in desk.get(each).text for each in asked[1:]):
            assert time.monotonic() < until
            time.sleep(0.1)
        assert "data-work" in desk.get(asked[0]).text


def test_names_never_act_as_code(tmp_path: Path, browser_on: Opened) -> None:
    """Whatever the job says is text, on every page of paper."""
    folder = tmp_path / "jobs"
    write_files(folder / "a <b>'job'", {"job.toml": HOSTILE_JOB})
    with running_desk(folder, tmp_path / "received") as desk:
        window = browser_on(desk)
        paper = f"{desk.desk.jobs()[0].path}/paper"
        queries = ("", "?level=%3Cscript%3E1", "?only=%22%3E%3Cb%3E/A", "/stocks/placard")
        for query in queries:
            window.go(f"{paper}{query}")
            assert window.axe() == []
            assert not window.overflows()
            assert window.driver.title.endswith("tagmaker")
            assert window.all("main b, main img[src='x']") == []
        window.go(paper)
        window.one("#make button").click()
        window.one("#open-set").click()
        window.one("table")
        assert window.axe() == []
        assert HOSTILE_NAME in window.one("main").text
        assert window.all("main b, main img[src='x']") == []
