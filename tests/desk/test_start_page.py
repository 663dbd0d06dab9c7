"""The first page: what is found in the folder, and a new job in each of three ways."""

import json
from collections.abc import Callable
from pathlib import Path

import pytest
from selenium.webdriver.support.ui import Select

from tagmaker.desk import start_page
from tagmaker.workflows.make import make
from tagmaker.workflows.new_job import EXAMPLES
from tests.desk.running import RunningDesk
from tests.desk.schedules import FAMILY, begin
from tests.desk.window import Window
from tests.job_files import write_files
from tests.workbooks import csv_bytes
from tests.workflows.messy import five_questions

Opened = Callable[[RunningDesk], Window]
DROP = """
const data = new DataTransfer();
data.items.add(new File(["Unit,Box,Port\\nFC-1,BX-1,A\\n"], arguments[0], { type: "text/csv" }));
document.body.dispatchEvent(new DragEvent("drop", { dataTransfer: data, bubbles: true, cancelable: true }));
"""


def test_each_job_has_its_state_and_its_last_set(
    desk: RunningDesk, desk_folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Revision, errors, boxes, units, the set; one that cannot be read says why."""
    monkeypatch.setattr("tagmaker.desk.start_page.STATES_SECONDS", 60.0)  # also on a busy computer
    make(desk_folder / "bakery", desk_folder / "bakery-out")
    write_files(desk_folder / "broken", {"job.toml": "[job"})
    text = desk.get("/").text
    bakery = text[text.index("Tide Street Bakery") : text.index("Alder Row Clinic")]
    assert "no error" in bakery
    assert "revision 1" in bakery
    assert "bakery-out" in bakery
    mistakes = text[text.index("Mistake Lane Depot") :]
    assert "errors</span>" in mistakes[: mistakes.index("</tr>")]
    assert "cannot be read</span> not valid TOML" in text
    assert text.index('href="#new"') < text.index("<table") < text.index('id="new"')  # seen above many jobs


def test_the_states_of_many_jobs_follow(
    desk: RunningDesk, browser_on: Opened, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The page does not wait for them."""
    monkeypatch.setattr(start_page, "STATES_SECONDS", 0.0)
    assert desk.get("/").text.count("is being looked at") == 4
    window = browser_on(desk).go("/")
    window.until("return !document.querySelector('[data-state]')")
    assert len(window.all(".badge.good")) == 3
    assert window.axe() == []


def test_a_dropped_schedule_begins_a_job(desk: RunningDesk, browser_on: Opened) -> None:
    """Anywhere on the page; its name is proposed, its family chosen."""
    window = browser_on(desk).go("/")
    window.js(DROP, "North wing.csv")
    assert window.one("#new-name").get_attribute("value") == "North wing"
    assert window.js("return document.activeElement.id") == "new-family"
    Select(window.one("#new-family")).select_by_value(FAMILY)
    window.one("#begin-schedule").click()
    window.until("return location.pathname.endsWith('/schedule')")
    assert window.one("h1").text == "Schedule North wing"
    assert (desk.desk.folder / "north-wing" / "North wing.csv").is_file()


def test_an_example_and_an_empty_job_begin(desk: RunningDesk, browser_on: Opened) -> None:
    """Each leads to its page; a second copy of an example has a folder of its own."""
    window = browser_on(desk).go("/")
    Select(window.one("#new-example")).select_by_visible_text("clinic")
    window.one("#begin-example").click()
    window.until_text("h1", "Alder Row Clinic")
    assert (desk.desk.folder / "clinic-2" / "job.toml").is_file()
    window.go("/").one("#empty-name").send_keys("South wing")
    Select(window.one("#empty-family")).select_by_value(FAMILY)
    window.one("#begin-empty").click()
    window.until_text("h1", "South wing")
    window.until_text("#problems", "the job has no box")
    assert window.axe() == []


def test_what_is_no_schedule_is_refused_in_words(
    desk: RunningDesk, browser_on: Opened, tmp_path: Path
) -> None:
    """On the page, with what to do; nothing is written."""
    window = browser_on(desk).go("/")
    (tmp_path / "ports.xlsx").write_bytes(b"no workbook")
    window.one("#new-file").send_keys(str(tmp_path / "ports.xlsx"))
    Select(window.one("#new-family")).select_by_value(FAMILY)
    window.one("#begin-schedule").click()
    window.until_text("#refused", "is not an .xlsx workbook, or is damaged")
    assert not (desk.desk.folder / "ports").exists()
    assert window.axe() == []


def test_a_new_job_without_a_script(desk: RunningDesk) -> None:
    """A plain form leads on, or shows what is wrong."""
    form = {"Content-Type": "application/x-www-form-urlencoded", "Origin": desk.url}
    begun = desk.ask("POST", "/new/example", b"example=bakery", form)
    assert (begun.status, begun.headers["location"]) == (303, desk.job("bakery-2") + "/schedule")
    for path, body in (("/new/example", b"example=../x"), ("/new/empty", b"name=a"), ("/new/empty", b"")):
        refused = desk.ask("POST", path, body, form)
        assert (refused.status, "<h2>Not saved</h2>" in refused.text) == (409, True)
    assert desk.post("/new/schedule/upload", {}).json["go"] == ""


def test_every_example_is_offered(desk: RunningDesk) -> None:
    """By the name of its folder."""
    text = desk.get("/").text
    assert all(f"<option>{name}</option>" in text for name in EXAMPLES)


# --- names that look like code

MARK = '"><img src=x onerror=document.title=1>'
"""What a page that trusts a name would run."""


def test_names_never_act_as_code(desk: RunningDesk, browser_on: Opened, tmp_path: Path) -> None:
    """Of jobs, files, sheets, headers, units, boxes, in questions, cells, fields and messages."""
    schedule = tmp_path / "<img src=x onerror=alert(1)>.xlsx"
    five_questions(schedule)
    window = browser_on(desk)
    path = begin(window, schedule, MARK[:60])
    folder = desk.desk.job(path.split("/")[2])
    assert folder
    text = (folder.folder / "job.toml").read_text(encoding="utf-8")
    rows = [
        ("Unit", "Box", "Port", "{{7*7}}" + MARK),
        (MARK, "BX-1", "A", MARK),
        ("FC-2", MARK, "B", "x"),
        ("FC-3", "BX-1", "C", "</script>"),
    ]
    name = json.dumps(MARK)
    place = json.dumps(f"{MARK}'&amp;</textarea>")
    write_files(
        folder.folder,
        {
            "job.toml": text.replace("schedule = ", 'schedule = "hostile.csv" # ').replace(
                "\n[[box]]", f"\n[[box]]\ntag = {name}\nports = 4\nplace = {place}\n\n[[box]]", 1
            ),
            "hostile.csv": csv_bytes(rows, ",", "utf-8"),
        },
    )
    for page in ("/", path, f"{path}?sheet={MARK}&from={MARK}"):
        window.go(page)
        assert window.js("return document.querySelectorAll('img, main script').length") == 0
        assert window.js("return document.title").startswith(("Jobs", "Schedule – "))
        assert "49" not in window.js("return document.getElementById('main').textContent") or page == "/"
        assert window.axe() == []
    window.go(path)
    assert MARK in window.one("#questions legend").text
    assert window.js("return document.getElementById('box-0-place').value") == f"{MARK}'&amp;</textarea>"
    window.one("#box-0-power").send_keys("<b>x</b>\t")
    window.until("return document.getElementById('said').textContent.includes('aved')")
    assert window.js("return document.querySelectorAll('img, #said b, #refused b, main script').length") == 0
