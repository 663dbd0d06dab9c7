"""Sheets filled in by pen on the site's page: read as any other, handwriting shown as a picture."""

import shutil
from pathlib import Path
from urllib.parse import urlencode

from PIL import Image, ImageDraw
from typer.testing import CliRunner

from tagmaker.cli.app import app
from tagmaker.problems import Problem
from tagmaker.revisions.plan_file import read_form_pages
from tests.desk.running import Answer, RunningDesk
from tests.desk.site_on_page import FRESH, Opened, read_page, texts, value
from tests.site.photos import page_picture
from tests.workflows.response_paper import on_paper

PX_MM = 200 / 25.4  # a scanner's resolution
TICKED, WRITTEN = "BX-1/item/power", "BX-1/port/A/note"


def scanned(out: Path, to: Path) -> None:
    """The first page of a set's walk as a scanner gives it: one box ticked, one note written."""
    pages = read_form_pages(out)
    assert not isinstance(pages, Problem)
    page = next(each for each in pages.pages if each.file == "walk.pdf" and each.page == 1)
    picture: Image.Image = page_picture(out / "walk.pdf", 1, PX_MM).convert("L")
    pen = ImageDraw.Draw(picture)
    for name in (TICKED, WRITTEN):
        place = page.fields[name]
        left, top = place.x_mm * PX_MM, place.y_mm * PX_MM
        wide, high = place.width_mm * PX_MM, place.height_mm * PX_MM
        strokes = 1 if name == TICKED else 9
        for number in range(strokes):
            at, step = left + wide * number / strokes, wide / strokes
            xs, ys = (at + step * 0.15, at + step * 0.85), (top + high * 0.2, top + high * 0.8)
            pen.line([xs[0], ys[0], xs[1], ys[1]], fill=40, width=4)
            pen.line([xs[0], ys[1], xs[1], ys[0]], fill=40, width=4)
    picture.save(to)


def test_a_sheet_filled_in_by_pen(desk: RunningDesk, browser_on: Opened, desk_folder: Path) -> None:
    """Its set is found beside the job; the page names the sheet at each part, and shows the note."""
    bakery, out = desk_folder / "bakery", desk_folder / "bakery-out"
    assert CliRunner().invoke(app, ["make", str(bakery), "-o", str(out), "--no-proof"]).exit_code == 0
    (bakery / "returned").mkdir()
    scanned(out, bakery / "returned" / "sheet.png")
    window = read_page(browser_on(desk), desk.job("bakery"))
    assert texts(window, ".returned .name") == ["sheet.png"]
    window.js("document.querySelectorAll('details').forEach((each) => { each.open = true; })")
    rows = {
        row.partition(" as ")[0].partition(" not ")[0]: row for row in texts(window, "#parts-BX-1 tbody tr")
    }
    assert rows["Items"].endswith("sheet.png")
    (cut,) = texts(window, "#cuts-BX-1 .code")
    assert cut == f"{WRITTEN.replace('/', '_')}.png"
    window.until("return document.querySelector('#cuts-BX-1 img').naturalWidth > 50")
    assert window.axe() == []
    assert "port A: note" in texts(window, "#cuts-BX-1 label")[0]
    window.type_in("#cuts-BX-1 [name^='now']", "<b>damp</b> above")
    window.type_in("#cuts-BX-1-by", "J. Moss")
    window.one("#cuts-BX-1 button").click()
    window.until_text("#box-BX-1 > p", "port/A/note: “<b>damp</b> above”, typed from paper by J. Moss")
    window.until(FRESH)
    assert window.js("return document.querySelector('#cuts-BX-1').open")
    assert value(window, "#cuts-BX-1 [name^='now']") == "<b>damp</b> above"
    assert value(window, "#cuts-BX-1-by") == "J. Moss"
    assert any(each.startswith("Typed by J. Moss from paper") for each in texts(window, "#cuts-BX-1 .quiet"))
    assert window.axe() == []


def test_what_is_typed_needs_a_name_and_a_place_that_there_is(desk: RunningDesk, desk_folder: Path) -> None:
    """Refused on the page, in words; an older page's value never replaces a newer one."""
    job, now = desk.job("bakery"), f"now {'a' * 64} {WRITTEN}"
    was = now.replace("now", "was")
    assert posted(desk, job, {now: "wet"}).status == 409
    assert "your name is missing" in posted(desk, job, {now: "wet"}).text
    assert posted(desk, job, {"by": "A", f"now x {WRITTEN}": "wet"}).status == 409
    assert not (desk_folder / "bakery" / "returned").exists()
    answer = posted(desk, job, {"by": "A", "at": "cuts-BX-1", now: "wet", was: ""})
    assert (answer.status, answer.headers["location"]) == (303, f"{job}/site#cuts-BX-1")
    posted(desk, job, {"by": "B", now: "dry", was: "dry"})
    kept = (desk_folder / "bakery" / "returned" / "typed.json").read_text("utf-8")
    assert '"wet"' in kept
    assert '"dry"' not in kept


def test_a_response_sheet_filled_in_by_pen(desk: RunningDesk, browser_on: Opened, desk_folder: Path) -> None:
    """Its written cells are shown with their rounds; what is chosen for them is read as a table's."""
    job, out = desk_folder / "bakery", desk_folder / "bakery-response"
    assert CliRunner().invoke(app, ["response", str(job), "-o", str(out)]).exit_code == 0
    paper = on_paper(out, desk_folder / "pages")
    number = paper.cells[1]
    cell = next(name for name in paper.fields[number] if "/response/" in name)
    (job / "returned").mkdir(exist_ok=True)
    shutil.copy(out / "response.json", job / "returned")
    paper.scan(job / "returned" / "a.pdf", paper.written(number, {cell: "H"}))
    window = read_page(browser_on(desk), desk.job("bakery"))
    window.js("document.querySelectorAll('details').forEach((each) => { each.open = true; })")
    assert len(texts(window, "#test-cuts-1 .code")) == 1
    assert "round 1" in texts(window, "#test-cuts-1 label")[0]
    window.until("return document.querySelector('#test-cuts-1 img').naturalWidth > 20")
    assert window.axe() == []
    window.type_in("#test-cuts-1 select", "H")
    window.type_in("#test-cuts-1-by", "J. Moss")
    window.one("#test-cuts-1 button").click()
    window.until_text("article p", "readings typed from paper by J. Moss: 1")
    assert value(window, "#test-cuts-1 select") == "H"


def posted(desk: RunningDesk, job: str, values: dict[str, str]) -> Answer:
    """A form as a browser without scripts sends it."""
    headers = {"Content-Type": "application/x-www-form-urlencoded", "Origin": desk.url}
    return desk.ask("POST", f"{job}/site/typed", urlencode(values).encode(), headers)
