"""The site's page in a real browser: what is dropped is kept, read, and shown as the command line has it."""

import json
import shutil
import threading
from pathlib import Path

import pytest
from selenium.webdriver import Keys
from typer.testing import CliRunner

from tagmaker.cli.app import app
from tests.desk.running import RunningDesk, running_desk
from tests.desk.site_on_page import Opened, as_json, kept, read_page, sent, texts
from tests.paths import EXAMPLES
from tests.site.walks import as_planned, filled, form, phone, plan_of

WALK = EXAMPLES / "bakery" / "returned" / "walk-BX-1.json"


@pytest.fixture
def clinic(desk_folder: Path) -> Path:
    """The clinic with a form that differs, a phone's file, crossed scans, and a file that is none."""
    job = desk_folder / "clinic"
    plan = plan_of(job)
    first, second = (box.row.key for box in plan.boxes[:2])
    one = as_planned(plan, first)
    one.pop(f"{first}/port/A/pipe/ok")
    one |= {f"{first}/port/A/pipe/found": "FC-102", f"{first}/port/C/note": "<b>wet</b>"}
    (job / "returned").mkdir()
    (job / "returned" / "kim.pdf").write_bytes(filled(form(plan), one))
    (job / "returned" / "max.json").write_text(phone(plan, as_planned(plan, second)), "utf-8")
    (job / "returned" / "scans.txt").write_text(f"{second}/A/TRM\n{second}/B/COM\n", "utf-8")
    (job / "returned" / "offer.docx").write_bytes(b"PK\x03\x04 an office document")
    return job


def test_what_is_dropped_is_kept_read_and_shown(
    desk: RunningDesk, browser_on: Opened, desk_folder: Path
) -> None:
    """The bakery's walk: kept as it is, and its box is as planned."""
    window = read_page(browser_on(desk), desk.job("bakery"))
    window.one("#drop-files").send_keys(str(WALK))
    window.until_text("#sum", "1 as planned")
    assert kept(desk_folder / "bakery") == {WALK.name: WALK.read_bytes()}
    assert texts(window, ".returned .name") == [WALK.name]
    assert texts(window, ".box-back h3") == ["BX-1 as planned"]
    window.one("#parts-BX-1 summary").click()
    assert {each for each in texts(window, "#parts-BX-1 td.code") if each != "–"} == {WALK.name}


def test_box_by_box_with_what_to_expect_and_to_do(
    desk: RunningDesk, browser_on: Opened, clinic: Path
) -> None:
    """In `readback`'s own sentences; each part with the file that it is in; notes are text."""
    assert clinic.is_dir()
    window = read_page(browser_on(desk), desk.job("clinic"))
    assert texts(window, "#sum .badge") == ["0 as planned", "2 differ", "3 not seen"]
    (box,) = [each for each in texts(window, ".box-back") if each.startswith("BB-11 differs")]
    run = CliRunner().invoke(app, ["readback", str(clinic / "returned"), "--job", str(clinic), "--json"])
    (punch,) = json.loads(run.stdout)["boxes"][0]["punch_list"]
    for sentence in (punch["place"], punch["wrong"], f"Do: {punch['to_do']}", *punch["expect"]):
        assert sentence in box
    assert "Note: C: <b>wet</b>" in box
    row = next(each for each in texts(window, ".overview tbody tr") if each.startswith("BB-11"))
    assert row.startswith("BB-11 differs as planned 1 differs as planned as planned as planned")
    scanned = next(each for each in texts(window, ".overview tbody tr") if each.startswith("BB-12"))
    assert "1 crossed" in scanned
    (refused,) = texts(window, ".returned .wrong")
    assert "offer.docx" in refused
    assert "ZIP file or an office document" in refused


def test_what_a_response_test_did_not_see_is_shown(
    desk: RunningDesk, browser_on: Opened, desk_folder: Path
) -> None:
    """A table that was cut off: no finding is not all right."""
    lines = (EXAMPLES / "clinic" / "returned" / "response.csv").read_bytes().splitlines(keepends=True)
    (desk_folder / "clinic" / "returned").mkdir()
    (desk_folder / "clinic" / "returned" / "response.csv").write_bytes(b"".join(lines[:-1]))
    window = read_page(browser_on(desk), desk.job("clinic"))
    last = lines[-1].split(b",")[4].decode()
    whole, cut = texts(window, "[aria-labelledby=response-title] article")
    assert "No finding." in whole
    assert f"No finding in what was read. Not seen: {last}" in cut


def test_the_punch_list_and_the_json_are_the_command_lines(
    desk: RunningDesk, browser_on: Opened, clinic: Path, tmp_path: Path
) -> None:
    """Byte for byte."""
    job = desk.job("clinic")
    read_page(browser_on(desk), job)
    words = [
        "readback",
        str(clinic / "returned"),
        "--job",
        str(clinic),
        "--json",
        "-o",
        str(tmp_path / "l.pdf"),
    ]
    run = CliRunner().invoke(app, words)
    assert desk.get(f"{job}/site/file/readback.json").text == run.stdout
    answer = desk.get(f"{job}/site/file/punch-list.pdf")
    assert answer.body == (tmp_path / "l.pdf").read_bytes()
    assert answer.headers["content-type"] == "application/pdf"
    for name in ("job.toml", "..%2Fjob.toml", "%2Fetc%2Fpasswd", ""):
        assert desk.get(f"{job}/site/file/{name}").status == 404
        assert desk.get(f"{job}/site/cut/{name}").status == 404


def test_a_file_that_another_program_puts_there_is_read_at_once(
    desk: RunningDesk, browser_on: Opened, desk_folder: Path
) -> None:
    """A phone that is synchronised with the folder; what is open on the page stays open."""
    window = read_page(browser_on(desk), desk.job("bakery"))
    (desk_folder / "bakery" / "returned").mkdir()
    shutil.copy(WALK, desk_folder / "bakery" / "returned")
    window.until_text("#sum", "1 as planned")
    window.one("#parts-BX-1 summary").click()
    (desk_folder / "bakery" / "returned" / "scans.txt").write_text("BX-1/A/TRM\nBX-1/A/LIQ\n", "utf-8")
    window.until_text(".box-back", "A not complete")
    assert window.js("return document.getElementById('parts-BX-1').open")


def test_which_boxes_are_shown_is_chosen(desk: RunningDesk, browser_on: Opened, clinic: Path) -> None:
    """Those that differ, were not seen, or are not proved or signed; by links alone."""
    assert clinic.is_dir()
    window = read_page(browser_on(desk), desk.job("clinic"))
    counts = {}
    for title in ("Differ", "Not seen", "As planned"):
        window.js(
            "[...document.querySelectorAll('#boxes nav a')].find("
            "(each) => each.textContent === arguments[0]).click()", title,
        )  # fmt: skip
        window.until(
            "return document.querySelector('#boxes nav [aria-current]')?.textContent === arguments[0]", title
        )
        counts[title] = len(texts(window, ".box-back"))
    assert counts == {"Differ": 2, "Not seen": 3, "As planned": 0}
    assert desk.get(f"{desk.job('clinic')}/site?only=open&from=9999999999").status == 200


def test_it_survives_a_restart(tmp_path: Path, desk_folder: Path, browser_on: Opened) -> None:
    """What was dropped into one desk is what the next one shows."""
    with running_desk(desk_folder, tmp_path / "one") as desk:
        assert sent(desk, desk.job("bakery"), [(WALK.name, WALK.read_bytes())]).status == 200
    with running_desk(desk_folder, tmp_path / "two") as desk:
        window = read_page(browser_on(desk), desk.job("bakery"))
        assert texts(window, ".box-back h3") == ["BX-1 as planned"]
        window.driver.get("about:blank")  # a page that is open asks for more


def test_nothing_that_is_there_is_replaced(desk: RunningDesk, desk_folder: Path) -> None:
    """Another content of a name gets a number, the same content is taken once; both are said."""
    job = desk.job("bakery")
    first = sent(desk, job, [("walk.json", b"one")])
    second = sent(desk, job, [("walk.json", b"two"), ("again.json", b"one")])
    assert first.json["said"] == "1 file kept in the folder “returned”."
    assert second.json["said"] == (
        "1 file kept in the folder “returned”. 1 file was there already. walk.json is kept as walk-2.json."
    )
    assert kept(desk_folder / "bakery") == {"walk.json": b"one", "walk-2.json": b"two"}


def test_many_uploads_at_once_lose_nothing(desk: RunningDesk, desk_folder: Path) -> None:
    """Two windows, and each file of one name: all are there."""
    job = desk.job("bakery")
    files = [[("walk.json", as_json(number))] for number in range(8)]
    uploads = [threading.Thread(target=sent, args=(desk, job, each)) for each in files]
    for each in uploads:
        each.start()
    for each in uploads:
        each.join()
    assert sorted(kept(desk_folder / "bakery").values()) == sorted(as_json(number) for number in range(8))


@pytest.mark.parametrize(
    "name",
    [
        "../../job.toml",
        "..\\..\\job.toml",
        "/etc/passwd",
        "C:\\Windows\\x.json",
        ".hidden",
        "a" * 400 + ".json",
        "<img src=x onerror=alert(1)>.json",
        "\u202egnp.json",
        "con\x07trol.json",
        " ",
    ],
)
def test_no_name_leads_out_or_replaces(desk: RunningDesk, desk_folder: Path, name: str) -> None:
    """Whatever a file is called it is one new file in the folder."""
    before = (desk_folder / "bakery" / "job.toml").read_bytes()
    answer = sent(desk, desk.job("bakery"), [(name, b"{}")])
    assert answer.status in {200, 400}
    assert (desk_folder / "bakery" / "job.toml").read_bytes() == before
    folder = desk_folder / "bakery" / "returned"
    names = [each.name for each in folder.iterdir()] if folder.exists() else []
    assert len(names) == (1 if answer.status == 200 and name.strip() else len(names))
    assert not any(each.startswith(".") for each in names)
    assert {each.name for each in desk_folder.iterdir()} >= {"bakery", "clinic"}


HOSTILE = {
    "bomb.json": b'{"format": "tagmaker walk 1", "boxes": ' + b"[" * 100_000,
    "twice.json": b'{"format": "tagmaker walk 1", "boxes": [], "boxes": []}',
    "null.json": b"\x00" * 1000,
    "utf16.txt": "BX-1/A/TRM\n".encode("utf-16"),
    "cut.pdf": b"%PDF-1.7\n1 0 obj\n<<",
    "cut.png": b"\x89PNG\r\n\x1a\n\x00\x00\x00\rIHDR\xff\xff\xff\xff\xff\xff\xff\xff",
    "markup.json": as_json(
        {
            "format": "tagmaker walk 1",
            "boxes": [
                {
                    "box": "BX-1",
                    "printed_for": "<script>alert(1)</script>",
                    "fields": {"BX-1/port/A/note": "<script>alert(1)</script>{{ 7 * 7 }}"},
                }
            ],
        }
    ),
    "markup.txt": b"BX-1/A/TRM\n<script>alert(1)</script>\n\x1b[2J\n" + "\u202eMRT/A/1-XB\n".encode(),
    "response.json": b"{}",
    "response.csv": b"plan,system,box,port,unit,round 1\n<script>,,,,,H\n",
    "empty.json": b"",
    "line.txt": b"A" * 2_000_000,
}


def test_hostile_contents_are_problems_in_words(desk: RunningDesk, browser_on: Opened) -> None:
    """Each file is named with what to do; nothing acts as code, and the page is whole."""
    job = desk.job("bakery")
    assert sent(desk, job, HOSTILE.items()).status == 200
    window = read_page(browser_on(desk), job)
    assert sorted(texts(window, ".returned .name")) == sorted(HOSTILE)
    wrong = " ".join(texts(window, ".returned .wrong"))
    for name in HOSTILE.keys() - {"markup.txt"}:
        assert name in wrong
    assert window.js("return document.querySelectorAll('main script').length") == 0
    assert window.axe() == []


def test_what_changed_since_a_set(desk: RunningDesk, browser_on: Opened, desk_folder: Path) -> None:
    """The sets beside the job to choose from; the steps as `changes` lists them, in its order."""
    bakery = desk_folder / "bakery"
    run = CliRunner().invoke(app, ["make", str(bakery), "-o", str(desk_folder / "bakery-out")])
    assert run.exit_code == 0
    text = (bakery / "job.toml").read_text("utf-8").replace('port = "B"', 'port = "E"')
    (bakery / "job.toml").write_text(text.replace("revision = 1", "revision = 2"), "utf-8")
    window = browser_on(desk).go(f"{desk.job('bakery')}/site/changes")
    assert [each.partition(" – ")[0] for each in texts(window, "#since option")] == ["bakery-out"]
    window.one("main form button").click()
    window.one("main table")
    run = CliRunner().invoke(app, ["changes", str(desk_folder / "bakery-out"), str(bakery), "--json"])
    steps = json.loads(run.stdout)["steps"]
    assert len(steps) > 3
    rows = texts(window, "main tbody tr")
    assert [row.split(" ")[0] for row in rows] == [str(step["number"]) for step in steps]
    for row, step in zip(rows, steps, strict=True):
        assert " ".join(f"{step['what']} {step['how']} {step['role']}".split()) in row
    assert window.axe() == []
    assert desk.get(f"{desk.job('bakery')}/site/changes?since=../../etc").status == 200


@pytest.mark.parametrize("size", [(1280, 720), (820, 1180), (320, 640)])
def test_pages_are_accessible_and_fit(
    desk: RunningDesk, browser_on: Opened, clinic: Path, size: tuple[int, int]
) -> None:
    """With all parts open; at a desktop's, a tablet's and a magnified size."""
    assert clinic.is_dir()
    window = read_page(browser_on(desk), desk.job("clinic"))
    window.size(*size)
    window.js("document.querySelectorAll('details').forEach((each) => { each.open = true; })")
    assert window.axe() == []
    assert not window.overflows()
    window.go(f"{desk.job('clinic')}/site/changes")
    assert window.axe() == []
    assert not window.overflows()


def test_by_keyboard_alone(desk: RunningDesk, browser_on: Opened, clinic: Path) -> None:
    """From the top of the page to a box's parts and to the punch list."""
    assert clinic.is_dir()
    window = read_page(browser_on(desk), desk.job("clinic"))
    window.tab_to("#drop-files")
    window.tab_to("#drop-folder")
    assert window.tab_to("a[href$='punch-list.pdf']").text == "Print the punch list"
    window.tab_to(".overview a[href='#box-BB-11']")
    window.keys(Keys.ENTER)
    window.tab_to("#parts-BB-11 summary")
    window.keys(Keys.ENTER)
    assert window.js("return document.getElementById('parts-BB-11').open")


def test_a_job_that_cannot_be_read_shows_why(
    desk: RunningDesk, browser_on: Opened, desk_folder: Path
) -> None:
    """Its own problem; what came back is kept and listed all the same."""
    job = desk.job("bakery")
    (desk_folder / "bakery" / "job.toml").write_text("[job\n", "utf-8")
    assert sent(desk, job, [(WALK.name, WALK.read_bytes())]).status == 200
    window = read_page(browser_on(desk), job)
    assert any("job.toml" in each for each in texts(window, "#result .problems .problem"))
    assert texts(window, ".returned .name") == [WALK.name]
    assert window.axe() == []


def test_five_thousand_scans_are_read(desk: RunningDesk, browser_on: Opened, desk_folder: Path) -> None:
    """A week of a large site in one file."""
    plan = plan_of(desk_folder / "clinic")
    codes = [
        f"{box.row.key}/{letter}/{what}"
        for box in plan.boxes
        for letter in box.letters
        for what in ("TRM", "LIQ", "GAS")
    ]
    lines = "".join(f"{code}\n" for code in codes * (5_000 // len(codes) + 1))
    assert sent(desk, desk.job("clinic"), [("scans.txt", lines.encode())]).status == 200
    window = read_page(browser_on(desk), desk.job("clinic"))
    assert len(texts(window, ".box-back h4")) == len(plan.boxes)
