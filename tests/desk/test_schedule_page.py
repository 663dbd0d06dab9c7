"""The schedule's page in a real browser: a messy schedule becomes one without questions, sheet in hand."""

import time
from collections.abc import Callable, Sequence
from pathlib import Path

import pytest
from openpyxl import load_workbook
from selenium.webdriver.support.ui import Select

from tagmaker.problems import Problem
from tagmaker.workflows.new_job import from_schedule
from tagmaker.workflows.questions import understand_job
from tests.desk.running import RunningDesk
from tests.desk.schedules import FAMILY, begin, choose, count, questions
from tests.desk.window import Window
from tests.job_files import BOX, HEAD, write_files
from tests.workbooks import workbook
from tests.workflows.messy import everything_wrong, five_questions

Opened = Callable[[RunningDesk], Window]
LETTERS = "ABCDEFGHIJKL"
WIDTHS = ((1280, 720), (820, 1180), (320, 640))
ANSWERS = (
    ("'Load'", "kBtu/h"),
    ("'Location'", "room"),
    ("'Colour'", "leave it out"),
    ("which sheets", "only Ports"),
)


@pytest.fixture
def messy(desk: RunningDesk, tmp_path: Path) -> str:
    """The page of a job whose schedule has every mistake."""
    schedule = everything_wrong(tmp_path / "ports.xlsx")
    folder = from_schedule(desk.desk.folder, "Quarry Side School", FAMILY, schedule).folder
    assert folder
    return desk.job(folder.name) + "/schedule"


def folder_of(desk: RunningDesk, path: str) -> Path:
    """The folder of a page's job."""
    job = desk.desk.job(path.split("/")[2])
    assert job
    return job.folder


def test_five_questions_are_answered_with_ten_clicks(
    desk: RunningDesk, browser_on: Opened, tmp_path: Path
) -> None:
    """From the dropped workbook of 90 units to no more questions; nothing else is asked."""
    window = browser_on(desk)
    path = begin(window, five_questions(tmp_path / "ports.xlsx"), "Mill Lane Depot")
    assert len(questions(window)) == 4
    for question, choice in ANSWERS:
        choose(window, question, choice)
    window.one("#save-answers").click()
    window.until_text("#questions legend", "a hidden row holds FC-OLD")
    choose(window, "hidden row", "leave out FC-OLD")
    window.one("#save-answers").click()
    window.until_text("#state", "All is understood")
    assert (count(desk, path, "question"), count(desk, path, "error")) == (0, 0)
    plan = understand_job(folder_of(desk, path)).checked.plan
    assert plan
    assert len(plan.job.units) == 90


def test_the_page_is_accessible_and_fits(desk: RunningDesk, browser_on: Opened, messy: str) -> None:
    """With questions, problems at cells, and without."""
    window = browser_on(desk)
    for scheme in ("dark", "light"):
        window.cdp("Emulation.setEmulatedMedia", features=[{"name": "prefers-color-scheme", "value": scheme}])
        assert window.go(messy).axe() == [], scheme
    for path in (messy, desk.job("clinic") + "/schedule", desk.job("bakery") + "/schedule"):
        window.go(path)
        assert window.axe() == []
        for width, height in WIDTHS:
            window.size(width, height)
            assert not window.overflows(), (path, width)


def test_each_problem_is_at_its_cell_with_a_way_there_and_back(
    desk: RunningDesk, browser_on: Opened, messy: str
) -> None:
    """The list leads to the cell, the cell to the list or to its question."""
    window = browser_on(desk).go(messy)
    choose(window, "'Load'", "kBtu/h")
    choose(window, "'Zone'", "leave it out")
    window.one("#save-answers").click()
    window.until_text("#problems", "is a date, 2026-03-08")
    links = window.js("return [...document.querySelectorAll('#problems .where a')].map((each) => each.hash)")
    assert len(links) >= 4
    for hash_ in links:
        cell = window.js("return document.getElementById(arguments[0].slice(1))", hash_)
        back = window.js("return arguments[0].querySelector('a.at').hash", cell)
        assert window.js(
            "return document.getElementById(arguments[0].slice(1)).closest('#problems') !== null", back
        )
    date = window.js("return document.getElementById('c-0.0-6-5').textContent")
    assert "2026-03-08" in date
    assert "error: liquid is a date" in date
    asked = window.js("return document.querySelector('tr.hidden a.at').hash")
    assert window.js("return document.getElementById(arguments[0].slice(1)).tagName", asked) == "FIELDSET"


def test_what_was_understood_is_beside_what_is_written(desk: RunningDesk, messy: str) -> None:
    """A merged box is filled in; a total and the title are skipped, each with its reason."""
    text = desk.get(messy).text
    assert "above the header" in text
    assert '<strong class="key">liquid</strong>' in text
    sheet = desk.get(desk.job("weir-school") + "/schedule").text
    assert '<span class="means">WB-1 <span class="quiet">from E8</span></span>' in sheet
    assert '<span class="means">24 MBH</span>' in sheet


def test_a_sheet_that_is_saved_shows_at_once(desk: RunningDesk, browser_on: Opened, tmp_path: Path) -> None:
    """Within a second; what is chosen and not saved, focus and scroll stay."""
    window = browser_on(desk)
    path = begin(window, five_questions(tmp_path / "ports.xlsx"), "Mill Lane Depot")
    choose(window, "'Colour'", "leave it out")
    chosen = window.js("return document.querySelector('#questions input[type=radio]:checked').id")
    wide = "document.getElementById('sheet-wide')"
    window.js(f"{wide}.scrollTo(0, 300); {wide}.focus({{ preventScroll: true }}); scrollTo(0, 500)")
    at = window.js(f"return [{wide}.scrollTop, scrollY]")
    assert min(at) > 0
    file = folder_of(desk, path) / "ports.xlsx"
    book = load_workbook(file)
    book["Ports"]["D4"] = "Cap. (MBH)"
    time.sleep(0.7)  # the desk looks at the files of a job from when its page is open
    book.save(file)
    saved = time.monotonic()
    window.until("return !document.querySelector('#questions').textContent.includes(\"'Load'\")")
    assert time.monotonic() - saved < 5  # the aim is one second, on a machine that does nothing else
    window.until("return document.getElementById(arguments[0])?.checked", chosen)
    assert window.js("return document.activeElement.id") == "sheet-wide"
    assert window.js(f"return [{wide}.scrollTop, scrollY]") == at
    window.until("return document.getElementById('said').textContent.includes('ports.xlsx: read again')")


def test_a_page_that_is_behind_is_refused_and_then_follows(
    desk: RunningDesk, browser_on: Opened, messy: str
) -> None:
    """job.toml as another window left it is not written over; the answer can be given again."""
    window = browser_on(desk).go(messy)
    folder = folder_of(desk, messy)
    window.js("document.querySelector('#questions [name=seen]').value = '{\"job.toml\": \"0\"}'")
    before = (folder / "job.toml").read_bytes()
    choose(window, "'Zone'", "leave it out")
    window.one("#save-answers").click()
    window.until_text("#refused", "job.toml changed on disk meanwhile")
    assert (folder / "job.toml").read_bytes() == before
    window.until("return document.querySelector('#questions input[type=radio]:checked')")
    window.one("#save-answers").click()
    window.until("return !document.querySelector('#questions').textContent.includes(\"'Zone'\")")
    assert b'"Zone" = ""' in (folder / "job.toml").read_bytes()


def test_a_long_sheet_is_shown_in_windows(desk: RunningDesk) -> None:
    """Of 20,000 rows 200 at a time; the list leads into the window of each problem."""
    rows = ["Unit,Box,Port,Cap (MBH)", *(f"FC-{n},BX-{n // 12},{LETTERS[n % 12]},9" for n in range(20_000))]
    rows[15_000] = "FC-X,BX-1,A,nine"
    boxes = "".join(f'[[box]]\ntag = "BX-{n}"\nports = 12\n' for n in range(1667))
    folder = desk.desk.folder / "long"
    write_files(folder, {"job.toml": f'{HEAD}schedule = "ports.csv"\n{boxes}', "ports.csv": "\n".join(rows)})
    path = desk.job("long") + "/schedule"
    first = desk.get(path).text
    assert first.count("<tr") < 600
    assert "Rows 1 to 200 of 20001" in first
    assert "?sheet=0.0&amp;from=15000#c-0.0-15001-4" in first
    began = time.monotonic()
    later = desk.get(path + "?sheet=0.0&from=15000").text
    assert time.monotonic() - began < 2  # the job is not read again for another window
    assert 'id="c-0.0-15001-4"' in later
    assert "capacity &#39;nine&#39; is not a number" in later
    for odd in ("from=-1", "from=x", "from=999999999999", "sheet=../..", "sheet=9.9", "boxes=%00"):
        assert desk.get(f"{path}?{odd}").status == 200


ODD = {
    "no job at all": "",
    "no TOML": "[job",
    "a job of another type": "job = 1\nbox = 2\nunit = [3]\n",
    "a schedule that is not there": f'{HEAD}schedule = "gone.xlsx"\n{BOX}',
    "a schedule outside": f'{HEAD}schedule = "../clinic/ports.csv"\n{BOX}',
    "a schedule that is none": f'{HEAD}schedule = "job.toml"\n{BOX}',
    "no family": f'[job]\nname = "a"\n{BOX}',
    "boxes of other types": f"{HEAD}[[box]]\ntag = 7\nports = [1]\nmains = 3\n[[unit]]\nunit = {{}}\n",
}


@pytest.mark.parametrize("kind", ODD)
def test_a_job_that_cannot_be_used_has_its_page(desk: RunningDesk, browser_on: Opened, kind: str) -> None:
    """With what is to be corrected; nothing else of it fails."""
    write_files(desk.desk.folder / "odd", {"job.toml": ODD[kind]})
    window = browser_on(desk).go(desk.job("odd") + "/schedule")
    assert window.all("#problems li") or window.all("#questions legend")
    assert window.axe() == []


@pytest.mark.parametrize("name", ["bakery", "clinic", "weir-school", "full-of-mistakes"])
def test_every_problem_of_a_job_is_on_its_page(desk: RunningDesk, name: str) -> None:
    """In the list or as a question, once."""
    path = desk.job(name) + "/schedule"
    text = desk.get(path).text
    problems = understand_job(folder_of(desk, path)).checked.problems
    assert text.count('class="problem ') + text.count("<legend>") >= len(problems) - count_of_places(problems)


def test_notes_alone_are_nothing_to_correct(desk: RunningDesk) -> None:
    """The heading of the list is of what is in it."""
    for name, title in (("clinic", "Notes"), ("full-of-mistakes", "To correct"), ("bakery", "To correct")):
        text = desk.get(desk.job(name) + "/schedule").text
        assert f'<h2 id="problems-title">{title}</h2>' in text, name


def count_of_places(problems: Sequence[Problem]) -> int:
    """Problems at a place that has another one: a question answers both."""
    return len(problems) - len({each.where for each in problems})


def test_the_questions_are_answered_by_keyboard_alone(desk: RunningDesk, browser_on: Opened) -> None:
    """Tab to a choice, space, Tab on to the button, Enter."""
    folder = desk.desk.folder / "keys"
    write_files(folder, {"job.toml": f'{HEAD}schedule = "ports.xlsx"\n{BOX}'})
    workbook(folder / "ports.xlsx", [("Unit", "Box", "Port", "Capacity"), ("FC-1", "BX-1", "A", 24)])
    window = browser_on(desk).go(desk.job("keys") + "/schedule")
    window.tab_to("#questions input[type=radio]")
    window.keys(" ")
    window.tab_to("#save-answers")
    window.keys("\n")
    window.until_text("#state", "All is understood")
    assert 'Capacity = "capacity (kBtu/h)"' in (folder / "job.toml").read_text(encoding="utf-8")


def test_what_a_column_means_is_changed(desk: RunningDesk, browser_on: Opened) -> None:
    """A column that was understood in another way than it was meant."""
    window = browser_on(desk).go(desk.job("weir-school") + "/schedule")
    window.one("#meanings summary").click()
    field = window.js(
        "return [...document.querySelectorAll('#meanings label')]"
        ".find((each) => each.textContent.includes('Room')).control"
    )
    Select(field).select_by_visible_text("leave it out")
    assert window.axe() == []
    window.one("#save-columns").click()
    window.until("return document.getElementById('said').textContent.startsWith('Saved')")
    text = (folder_of(desk, desk.job("weir-school")) / "job.toml").read_text(encoding="utf-8")
    assert '"Indoor unit / Room" = ""' in text


def test_without_a_script_the_forms_work(desk: RunningDesk, messy: str) -> None:
    """An answer leads back to the page; one that is refused is shown on it."""
    understood = understand_job(folder_of(desk, messy))
    question = next(each for each in understood.questions if "'Zone'" in each.text)
    body = f"seen=%7B%22job.toml%22%3A%22{understood.seen['job.toml']}%22%7D&{question.id}=leave+it+out"
    form = {"Content-Type": "application/x-www-form-urlencoded", "Origin": desk.url}
    refused = desk.ask("POST", f"{messy}/answers", body.replace("%22%7D", "0%22%7D").encode(), form)
    assert (refused.status, "changed on disk meanwhile" in refused.text) == (409, True)
    saved = desk.ask("POST", f"{messy}/answers", body.encode(), form)
    assert (saved.status, saved.headers["location"]) == (303, messy)
    broken = desk.ask("POST", f"{messy}/answers", b"seen=x&" + question.id.encode() + b"=leave+it+out", form)
    assert broken.status in {303, 400}
