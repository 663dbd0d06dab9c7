"""First days on the site's page: what is unusual, and what was not read."""

from pathlib import Path

from PIL import ImageDraw

from tagmaker.problems import Problem
from tagmaker.revisions.plan_file import read_form_pages
from tagmaker.revisions.selection import Selection
from tagmaker.symbols.read import page_pictures
from tagmaker.workflows.make import make
from tests.desk.running import RunningDesk
from tests.desk.site_on_page import Opened, read_page, texts
from tests.site.days.readings import system_job

TABLE = (
    "job,system,box,port,unit,room,day,date,mode,set point (F),air in (F),air out (F),note\n"
    "ARC-7,HR-1,BB-11,C,FC-102,,1,,C,72,75,58,\n"
    "ARC-7,HR-1,BB-11,D,FC-103,,1,,C,72,75,81,\n"
)


def test_unusual_readings_are_shown(desk: RunningDesk, browser_on: Opened, desk_folder: Path) -> None:
    """With the unit, its port, and how much of its system was read."""
    returned = desk_folder / "clinic" / "returned"
    returned.mkdir()
    (returned / "first-days.csv").write_text(TABLE, "utf-8")
    window = read_page(browser_on(desk), desk.job("clinic"))
    (card,) = texts(window, "[aria-labelledby=days-title] article")
    assert card.startswith("System HR-1 2 of ")
    assert "FC-103 day 1: it is to cool, and the air comes out warmer" in card
    assert "BB-11 · D" in card
    assert "FC-102" not in card.partition("Not read")[0]
    assert texts(window, "#unread-1 summary")[0].startswith("Not read: ")


def test_handwriting_is_typed_beside_its_pictures(
    desk: RunningDesk, browser_on: Opened, desk_folder: Path
) -> None:
    """In the system's own card, by unit and day; what is typed there is judged."""
    job, out = system_job(desk_folder / "small"), desk_folder / "small-out"
    assert make(job, out, Selection(proof=False)).files
    pages = read_form_pages(out)
    assert not isinstance(pages, Problem)
    fields = next(page.fields for page in pages.pages if page.file == "first-days.pdf")
    picture = next(page_pictures((out / "first-days.pdf").read_bytes(), 8 * 25.4, only=[1]))
    for what, text in (("mode", "C"), ("set", "72"), ("in", "75"), ("out", "81")):
        place = fields[f"BB-1/first-days/FC-1/1/{what}"]
        ImageDraw.Draw(picture).text(((place.x_mm + 1.5) * 8, (place.y_mm + 1.2) * 8), text, 20, font_size=30)
    (job / "returned").mkdir()
    picture.save(job / "returned" / "photo.png")
    window = read_page(browser_on(desk), desk.job("small"))
    window.js("document.querySelectorAll('details').forEach((each) => { each.open = true; })")
    labels = ["FC-1, day 1: mode", "FC-1, day 1: set point", "FC-1, day 1: air in", "FC-1, day 1: air out"]
    assert texts(window, "[aria-labelledby=days-title] .cuts .field") == labels
    names = window.js(
        "return [...document.querySelectorAll('#day-cuts-1 li input[id]')].map((each) => each.id)"
    )
    for name, text in zip(names, ("C", "72", "75", "81"), strict=True):
        window.type_in(f"[id='{name}']", text)
    window.type_in("#day-cuts-1-by", "R. Hale")
    window.one("#day-cuts-1 button").click()
    window.until_text("[aria-labelledby=days-title] .problem", "the air comes out warmer")
    window.until_text("#day-cuts-1 summary", "4 pictures of handwriting, 0 to be typed")
