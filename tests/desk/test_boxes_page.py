"""The page of boxes in a real browser: pictures, problems, moves by hand and keyboard, kept or discarded."""

import csv
import io
import shutil
import time
from collections.abc import Callable
from pathlib import Path

import pytest
from selenium.webdriver import ActionChains, Keys
from selenium.webdriver.support.ui import Select

from tagmaker.revisions.selection import Selection
from tagmaker.workflows.changes import changes
from tagmaker.workflows.make import make
from tests.bench.campus import write_campus
from tests.desk.boxes_on_page import BoxesPage
from tests.desk.running import RunningDesk
from tests.desk.window import Window
from tests.job_files import BOX, HEAD, UNIT, write_files

Opened = Callable[[RunningDesk], Window]
HOSTILE = "<img src=x onerror=alert(1)>'\"</script>&amp;"


@pytest.fixture
def boxes(desk: RunningDesk, browser_on: Opened) -> Callable[..., BoxesPage]:
    """Opens the page of boxes of a job."""

    def opened(job: str, query: str = "") -> BoxesPage:
        return BoxesPage(browser_on(desk), desk, job, query)

    return opened


Boxes = Callable[..., BoxesPage]


def rows(path: Path) -> list[dict[str, str]]:
    """A schedule's rows."""
    return list(csv.DictReader(io.StringIO(path.read_text(encoding="utf-8"))))


# --- what is shown ------------------------------------------------------------------------------------------


def test_each_box_is_drawn_with_its_units_where_the_job_has_them(boxes: Boxes) -> None:
    """The placard's boards as pictures, a control for each unit, no problem where there is none."""
    page = boxes("clinic")
    page.window.until("return document.querySelectorAll('.picture[data-drawn]').length > 1")
    assert [page.at(unit) for unit in ("AH-101", "FC-102", "FC-103")] == ["BB-11 A+B", "BB-11 C", "BB-11 D"]
    assert "ONLY BOARD A B C D. Bank 1" in page.text("#box-BB-11 title")
    assert page.text("#problems").startswith("Problems 0 errors, 0 warnings, ")


@pytest.mark.parametrize("job", ["clinic", "full-of-mistakes"])
def test_the_page_is_accessible_and_fits(boxes: Boxes, job: str) -> None:
    """With a move and what it changes open too; at 1280 × 720, on a tablet, and 320 pixels wide."""
    page = boxes(job)
    assert page.window.axe() == []
    if job == "clinic":
        page.drag("FC-103", "BB-11-C")
        page.press("#draft-details summary")
        page.ask("FC-102", "BB-11")
        assert page.window.axe() == []
        page.window.keys(Keys.ESCAPE)
    for width, height in ((1280, 720), (820, 1180), (320, 640)):
        page.window.size(width, height)
        assert not page.window.overflows(), width
        assert page.window.axe() == []


def test_every_problem_leads_to_its_box_and_port(boxes: Boxes) -> None:
    """The link's target is there once the picture is, and has the focus."""
    page = boxes("full-of-mistakes")
    links = page.window.js("return [...document.querySelectorAll('#problems a')].map(each => each.hash)")
    assert {"#BB-1-A", "#box-BB-4"} <= set(links)
    for link in sorted(set(links)):
        page.press(f'#problems a[href="{link}"]')
        page.window.until("return '#' + document.activeElement.id === arguments[0]", link)
    page.open("#BB-1-A")
    page.window.until("return document.activeElement.id === 'BB-1-A'")


def test_boxes_are_filtered(boxes: Boxes) -> None:
    """By level, by system, by having problems; a link to one that is not shown says so."""
    page = boxes("clinic", "?level=2")
    assert page.text(".filter-sum") == "2 of 5 boxes"
    assert [each.get_attribute("id") for each in page.window.all(".box")] == ["box-BB-21", "box-BB-22"]
    page.window.go(f"{page.path}?only=problems")
    page.window.until_text("#boxes", "No box is like that.")
    page.window.js("location.hash = '#BB-11-C'")
    page.window.until("return document.getElementById('said').textContent.includes('BB-11')")


def test_a_box_or_unit_is_found_by_its_tag(boxes: Boxes) -> None:
    """The page goes to its port, whatever the case of its letters; a tag that is none is said."""
    page = boxes("clinic")
    for tag, place in (("bb-22", "box-BB-22"), ("ah-124", "BB-13-C")):
        page.window.go(f"{page.path}?find={tag}")
        page.window.until("return document.activeElement.id === arguments[0]", place)
    page.window.go(f"{page.path}?find=fc-999")
    page.window.until_text("#main", "FC-999 is neither a box nor a unit of this job.")


def test_a_job_that_cannot_be_read_says_why(desk: RunningDesk, desk_folder: Path) -> None:
    """In place of boxes."""
    (desk_folder / "bakery" / "job.toml").write_text("[job", encoding="utf-8")
    answer = desk.get(f"{desk.job('bakery')}/boxes")
    assert (answer.status, "not valid TOML" in answer.text) == (200, True)


# --- moves --------------------------------------------------------------------------------------------------


def test_a_unit_is_dragged_and_what_follows_is_shown_at_once(boxes: Boxes, desk_folder: Path) -> None:
    """Switches, problems and paper of the move; nothing is written; discarded, all is as before."""
    before = (desk_folder / "clinic" / "ports.csv").read_bytes()
    page = boxes("clinic")
    page.drag("FC-103", "BB-11-C")
    assert page.at("FC-103") == "BB-11 C"
    assert page.moves() == ["FC-103 BB-11 C"]
    assert "BB-11 only board, Bank 1, switch 4: OFF → to ON" in page.text("#draft")
    assert "11 tags" in page.text(".draft-sums")
    assert "ON 4" in page.text("#box-BB-11 svg")
    assert "1 switch to move" in page.window.said
    assert page.text("#draft .on-site") == ""
    with page.tried():
        page.press("#discard")
    assert (page.at("FC-103"), page.moves()) == ("BB-11 D", [])
    assert (desk_folder / "clinic" / "ports.csv").read_bytes() == before


def test_a_unit_is_dragged_by_touch(boxes: Boxes) -> None:
    """A finger's pointer does what a mouse's does."""
    page = boxes("clinic")
    chip, row = page.window.one('button.unit[data-unit="FC-103"]'), page.window.one('[id="BB-11-C"]')
    page.window.js("arguments[0].scrollIntoView({ block: 'center' })", chip)
    start, end = (
        page.window.js("const r = arguments[0].getBoundingClientRect(); return [r.x + 20, r.y + 9]", each)
        for each in (chip, row)
    )
    touches = [
        [{"x": start[0], "y": start[1]}],
        [{"x": end[0], "y": end[1] - 5}],
        [{"x": end[0], "y": end[1]}],
    ]
    with page.tried():
        for kind, points in zip(("touchStart", "touchMove", "touchMove"), touches, strict=True):
            page.window.cdp("Input.dispatchTouchEvent", type=kind, touchPoints=points)
        page.window.cdp("Input.dispatchTouchEvent", type="touchEnd", touchPoints=[])
    assert page.at("FC-103") == "BB-11 C"


def test_a_drag_that_ends_nowhere_or_is_broken_off_moves_nothing(boxes: Boxes) -> None:
    """Beside every port, on its own port, or with Escape."""
    page = boxes("clinic")
    chip = page.window.one('button.unit[data-unit="FC-103"]')
    page.window.js("arguments[0].scrollIntoView({ block: 'center' })", chip)
    for target in ("#title-BB-11", '[id="BB-11-D"]'):
        hold = ActionChains(page.window.driver, duration=30).click_and_hold(chip).move_by_offset(9, 9)
        hold.move_to_element(page.window.one(target)).release().perform()
    hold = ActionChains(page.window.driver, duration=30).click_and_hold(chip).move_by_offset(9, 9)
    hold.move_to_element(page.window.one('[id="BB-11-C"]')).send_keys(Keys.ESCAPE).release().perform()
    assert (page.moves(), page.at("FC-103")) == ([], "BB-11 D")
    assert page.window.js("return document.querySelectorAll('.ghost, .target').length") == 0


def test_a_unit_is_moved_by_keyboard_alone(boxes: Boxes, desk_folder: Path) -> None:
    """From the top of the page: to the unit, its list of ports, and Keep; the focus is never lost."""
    page = boxes("clinic")
    page.window.tab_to('button.unit[data-unit="FC-103"]')
    page.window.keys(Keys.ENTER)
    page.window.until("return document.activeElement.id === 'mover-port'")
    assert page.text("#mover-title") == "Move FC-103"
    with page.tried():
        page.window.keys(Keys.ARROW_UP, Keys.ENTER)
    assert page.moves() == ["FC-103 BB-11 C"]
    assert page.window.js("return document.activeElement.dataset.unit") == "FC-103"
    page.window.js("document.getElementById('main').focus()")
    page.window.tab_to("#keep")
    with page.tried():
        page.window.keys(Keys.ENTER)
    (row,) = [each for each in rows(desk_folder / "clinic" / "ports.csv") if each["unit"] == "FC-103"]
    assert (row["box"], row["port"]) == ("BB-11", "C")


def test_the_list_shows_loads_and_what_is_left(boxes: Boxes) -> None:
    """Of the ports of any box, free pairs too, as if the unit were on none."""
    page = boxes("clinic")
    page.ask("FC-103", "BB-12")
    choices = page.choices()
    assert "A · FC-111, FC-112, FC-113 · 27 kBtu/h of 54 kBtu/h · 27 kBtu/h left" in choices
    assert "G+H · free · 108 kBtu/h · 108 kBtu/h left" in choices
    page.window.keys(Keys.ESCAPE)
    page.ask("AH-101", "BB-12")
    assert "A · FC-111, FC-112, FC-113 · 27 kBtu/h of 54 kBtu/h · too much" in page.choices()


def test_several_moves_are_one_draft_and_each_can_be_taken_back(boxes: Boxes) -> None:
    """To another box, to a pair; new problems are marked in the list; a reload keeps the draft."""
    page = boxes("clinic")
    page.choose("FC-102", "BB-12", "G+H")
    page.choose("AH-101", "BB-11", "D")
    assert page.moves() == ["AH-101 BB-11 D", "FC-102 BB-12 G+H"]
    assert any("new" in each and "port D of BB-11" in each for each in page.problems())
    assert "error" in page.text("#box-BB-11 .box-problems")
    page.open()
    assert page.moves() == ["AH-101 BB-11 D", "FC-102 BB-12 G+H"]
    with page.tried():
        page.press('[data-back="AH-101"]')
    assert page.moves() == ["FC-102 BB-12 G+H"]
    assert not [each for each in page.problems() if each.startswith("error")]
    with page.tried():
        page.press("#discard")


def test_a_unit_that_is_on_no_port_is_moved_to_one(boxes: Boxes) -> None:
    """It is below the picture of its box, and its problem goes with the move."""
    page = boxes("full-of-mistakes")
    assert page.text('#box-BB-1 .off-ports button[data-unit="AH-1"]') == "AH-1"
    page.choose("AH-1", "BB-1", "E+F")
    assert page.at("AH-1") == "BB-1 E+F"
    assert "cannot join" not in page.text("#problems")
    assert "cannot join" in page.text("#draft")
    with page.tried():
        page.press("#discard")
    assert page.text('#box-BB-1 .off-ports button[data-unit="AH-1"]') == "AH-1"


def test_what_does_not_fit_its_label_is_told_with_the_move(boxes: Boxes, desk_folder: Path) -> None:
    """Laying out takes longer than planning: it follows."""
    path = desk_folder / "clinic" / "job.toml"
    text = path.read_text(encoding="utf-8")
    page = boxes("clinic")
    page.drag("FC-103", "BB-11-C")
    page.window.until_text("#on-paper", "Labels and sheets fit.")
    with page.tried():
        page.press("#discard")
    cable = 'cable = "roll-51x25-203dpi"\n'
    text = (
        text.replace("[print]\n", f"[print]\n{cable}") if "[print]" in text else f"{text}\n[print]\n{cable}"
    )
    path.write_text(text, encoding="utf-8")
    schedule = desk_folder / "clinic" / "ports.csv"
    long = schedule.read_text(encoding="utf-8")
    for unit in ("FC-102", "FC-103", "AH-101"):
        long = long.replace(f"{unit},", f"{unit}-{'W' * 17},")
    schedule.write_text(long, encoding="utf-8")
    page.open()
    page.drag(f"FC-103-{'W' * 17}", "BB-11-A")
    page.drag(f"FC-102-{'W' * 17}", "BB-11-A")
    page.window.until_text("#on-paper", "On labels and sheets")


def test_kept_is_one_cell_of_the_schedule_and_no_more(boxes: Boxes, desk_folder: Path) -> None:
    """Every other byte stays; the page shows the job as it is then, without a move."""
    schedule = desk_folder / "clinic" / "ports.csv"
    before = schedule.read_bytes()
    page = boxes("clinic")
    page.drag("FC-103", "BB-11-C")
    with page.tried():
        page.press("#keep")
    assert schedule.read_bytes() == before.replace(b"FC-103,BB-11,D,", b"FC-103,BB-11,C,")
    assert (page.at("FC-103"), page.moves()) == ("BB-11 C", [])
    assert page.window.said.startswith("Kept: ")
    time.sleep(1)  # the kept file is seen as changed, and shown again
    page.window.until("return document.activeElement.dataset.unit === 'FC-103'")


def test_a_file_that_changed_meanwhile_is_never_overwritten(
    desk: RunningDesk, boxes: Boxes, desk_folder: Path
) -> None:
    """The one who keeps later is told; the draft stays, and is tried with the files as they are."""
    schedule = desk_folder / "clinic" / "ports.csv"
    page = boxes("clinic")
    page.drag("FC-103", "BB-11-C")
    seen = page.window.js("return JSON.parse(document.getElementById('boxes').dataset.seen)")
    changed = schedule.read_bytes().replace(b"FC-102,BB-11,C,18", b"FC-102,BB-11,C,21")
    schedule.write_bytes(changed)
    answer = desk.post(
        f"{page.path}/keep",
        {"moves": [{"unit": "FC-103", "box": "BB-11", "port": "C"}], "seen": seen},
    ).json
    assert (answer["kept"], "changed on disk meanwhile" in answer["answer"]) == (False, True)
    assert schedule.read_bytes() == changed
    page.window.until_text("#box-BB-11 svg", "36 / 54")
    assert page.moves() == ["FC-103 BB-11 C"]
    with page.tried():
        page.press("#keep")
    assert schedule.read_bytes() == changed.replace(b"FC-103,BB-11,D,", b"FC-103,BB-11,C,")


def test_a_conflict_is_shown_and_the_draft_kept(boxes: Boxes, desk_folder: Path) -> None:
    """Where the page has not yet seen the change that somebody else saved."""
    page = boxes("clinic")
    page.drag("FC-103", "BB-11-C")
    page.window.js(
        "const boxes = document.getElementById('boxes'); const seen = JSON.parse(boxes.dataset.seen);"
        "seen['ports.csv'] = '0'.repeat(64); boxes.dataset.seen = JSON.stringify(seen)"
    )
    page.press("#keep")
    page.window.until_text("#answer", "changed on disk meanwhile")
    assert page.moves() == ["FC-103 BB-11 C"]
    assert page.window.axe() == []
    page.press("#answer-close")
    assert page.window.js("return document.activeElement.id") == "keep"
    assert b"FC-103,BB-11,D," in (desk_folder / "clinic" / "ports.csv").read_bytes()


def test_a_workbook_is_not_rewritten_its_cells_are_listed_or_a_csv_made(
    boxes: Boxes, desk_folder: Path
) -> None:
    """On the user's word alone."""
    workbook = desk_folder / "weir-school" / "ports.xlsx"
    before = workbook.read_bytes()
    page = boxes("weir-school")
    unit = page.window.one("button.unit").get_attribute("data-unit")
    assert unit
    box = page.at(unit).split()[0]
    page.ask(unit, box)
    port = next(each[0] for each in page.choices() if "free" in each and "here" not in each)
    page.window.keys(Keys.ESCAPE)
    page.choose(unit, box, port)
    page.press("#keep")
    page.window.until_text("#answer", "Cells to change")
    assert page.window.axe() == []
    assert page.text("#answer tbody td strong") == port
    assert workbook.read_bytes() == before
    with page.tried():
        page.press("#as-csv")
    assert workbook.read_bytes() == before
    assert page.at(unit) == f"{box} {port}"
    assert [path.name for path in (desk_folder / "weir-school").glob("*.csv")] == ["ports.csv"]


def test_a_move_that_was_made_in_the_spreadsheet_is_no_move_any_more(boxes: Boxes, desk_folder: Path) -> None:
    """The page sees the saved file, and nothing is left to keep."""
    schedule = desk_folder / "clinic" / "ports.csv"
    page = boxes("clinic")
    page.drag("FC-103", "BB-11-C")
    with page.tried():
        schedule.write_bytes(schedule.read_bytes().replace(b"FC-103,BB-11,D,", b"FC-103,BB-11,C,"))
    assert (page.moves(), page.at("FC-103")) == ([], "BB-11 C")
    page.open()
    assert page.moves() == []


# --- a job of which a set was issued ------------------------------------------------------------------------


def test_an_issued_job_shows_the_work_on_site_first(boxes: Boxes, desk_folder: Path) -> None:
    """As `changes` lists it from the set that is installed, before what is printed."""
    folder = desk_folder / "clinic"
    assert make(folder, desk_folder / "clinic-out", Selection(proof=False)).files
    page = boxes("clinic")
    assert page.text("#draft").startswith("Installed: revision 2, set clinic-out")
    page.drag("FC-103", "BB-11-C")
    headings = page.window.js("return [...document.querySelectorAll('#draft h3')].map(h => h.textContent)")
    assert headings == ["Work on site first", "Switches", "Problems", "To be printed"]
    shown = page.window.js(
        "return [...document.querySelectorAll('.steps .message')].map(each => each.textContent)"
    )
    moved = desk_folder / "moved"
    shutil.copytree(folder, moved)
    schedule = moved / "ports.csv"
    schedule.write_bytes(schedule.read_bytes().replace(b"FC-103,BB-11,D,", b"FC-103,BB-11,C,"))
    outline = changes(desk_folder / "clinic-out", moved).outline
    assert outline
    assert shown == [step.what for step in outline.steps]
    assert any("recover" in each for each in shown)


def test_boxes_that_are_not_as_installed_are_named(boxes: Boxes, desk_folder: Path) -> None:
    """A change that was kept since the set is work too, before any move."""
    folder = desk_folder / "clinic"
    assert make(folder, desk_folder / "clinic-out", Selection(proof=False)).files
    schedule = folder / "ports.csv"
    schedule.write_bytes(schedule.read_bytes().replace(b"FC-103,BB-11,D,", b"FC-103,BB-11,C,"))
    page = boxes("clinic")
    assert "Not as installed any more: BB-11." in page.text("#draft")


# --- names, sizes, other requests ---------------------------------------------------------------------------


def test_names_are_shown_and_never_act(boxes: Boxes, desk_folder: Path) -> None:
    """As place, room, level and system of a box, and in the job's name."""
    text = HOSTILE.replace('"', '\\"')
    facts = "".join(f'{key} = "{text}"\n' for key in ("place", "level", "system", "power"))
    unit = UNIT.replace("24 kBtu/h", "60 kBtu/h") + f'room = "{text}"\n'
    head = HEAD.replace("Tide Street Bakery", text)
    write_files(desk_folder / "hostile", {"job.toml": head + BOX + facts + unit})
    page = boxes("hostile")
    page.choose("FC-1", "BX-1", "B")
    page.window.go(f"{page.path}?find={HOSTILE}&level={HOSTILE}")
    page.window.until("return document.getElementById('draft').dataset.tried")
    assert page.window.js("return document.querySelectorAll('#main img').length") == 0
    page.open()
    assert page.window.js("return document.querySelectorAll('#main img').length") == 0
    assert HOSTILE in page.window.js("return document.querySelector('#box-BX-1 .facts').textContent")
    drawn = page.window.js("return document.querySelector('#box-BX-1 svg').textContent")
    assert "".join(HOSTILE.split()) in "".join(drawn.split())  # in two lines
    assert page.window.axe() == []


@pytest.mark.parametrize("way", ["pictures", "try", "choices", "keep"])
def test_what_a_page_never_sends_is_refused(desk: RunningDesk, way: str) -> None:
    """Another form is no bug of the desk; a unit that is gone is told."""
    path = f"{desk.job('clinic')}/boxes/{way}"
    for body in ([1], {"moves": 3}, {"moves": [{"unit": "FC-1"}]}, {"boxes": "BB-11", "moves": [1]}):
        assert desk.post(path, body).status == 400
    assert desk.post(path.replace(desk.job("clinic"), "/job/0123456789ab")).status in {400, 404}


def test_a_unit_that_is_listed_twice_is_not_moved(boxes: Boxes, desk_folder: Path) -> None:
    """The desk says why, and the draft stays as it was."""
    schedule = desk_folder / "clinic" / "ports.csv"
    schedule.write_bytes(schedule.read_bytes().replace(b"FC-102,", b"FC-103,"))
    page = boxes("clinic")
    page.ask("FC-103", "BB-11")
    Select(page.window.one("#mover-port")).select_by_value("A+B")
    page.press("#mover button[value=move]")
    page.window.until("return document.getElementById('said').textContent.includes('listed twice')")
    assert page.moves() == []


def test_a_unit_that_is_gone_is_told(desk: RunningDesk) -> None:
    """After a change of the files a draft may name what is not there."""
    answer = desk.post(
        f"{desk.job('clinic')}/boxes/try", {"moves": [{"unit": "FC-999", "box": "BB-11", "port": "C"}]}
    )
    assert (answer.status, "FC-999" in answer.json["said"]) == (409, True)


def test_pictures_far_from_the_window_are_put_away(boxes: Boxes, desk_folder: Path) -> None:
    """Of 120 boxes a few are drawn, at the top and at the end of the page."""
    write_campus(desk_folder / "campus", 120)
    page = boxes("campus")
    drawn = "return [...document.querySelectorAll('.picture[data-drawn]')].map(each => each.dataset.box)"
    page.window.until(f"{drawn}.includes('BB-2')")
    page.window.js("window.scrollTo(0, document.body.scrollHeight)")
    page.window.until(f"{drawn}.includes('BB-120')")
    page.window.until(f"return !({drawn.removeprefix('return ')}).includes('BB-1')")
    assert len(page.window.js(drawn)) < 40
    page.window.js("location.hash = '#BB-60-A'")
    page.window.until("return document.activeElement.id === 'BB-60-A'")
