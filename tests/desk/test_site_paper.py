"""Sheets filled in by pen on the site's page: read as any other, handwriting shown as a picture."""

from pathlib import Path

from PIL import Image, ImageDraw
from typer.testing import CliRunner

from tagmaker.cli.app import app
from tagmaker.problems import Problem
from tagmaker.revisions.plan_file import read_form_pages
from tests.desk.running import RunningDesk
from tests.desk.site_on_page import Opened, read_page, texts
from tests.site.photos import page_picture

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
    assert CliRunner().invoke(app, ["make", str(bakery), "-o", str(out)]).exit_code == 0
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
