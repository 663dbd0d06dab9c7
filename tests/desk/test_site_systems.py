"""Systems' sheets on the site's page: what is wrong, what is open, and handwriting as a picture."""

import subprocess
from collections.abc import Mapping
from pathlib import Path

import cv2
import numpy as np
from typer.testing import CliRunner

from tagmaker.cli.app import app
from tagmaker.problems import Problem
from tagmaker.revisions.form_pages import FieldPlace
from tagmaker.revisions.plan_file import read_form_pages
from tests.bench.pen_camera import scanned
from tests.desk.running import RunningDesk
from tests.desk.site_on_page import FRESH, Opened, read_page, texts, value
from tests.site.systems import clinic, rightly, write_form

DOTS = 300 / 25.4  # a millimetre


TIME, SETTLED = "system/HR-1/hold/start/time", "system/HR-1/test/settled"


def second_page(out: Path) -> Mapping[str, FieldPlace]:
    """The fields of the second page of the first system's sheets."""
    pages = read_form_pages(out)
    assert not isinstance(pages, Problem)
    return next(page.fields for page in pages.pages if TIME in page.fields)


def test_systems_beside_boxes(desk: RunningDesk, browser_on: Opened, desk_folder: Path) -> None:
    """One complete, one with a leak that was ticked as held."""
    job = desk_folder / "clinic"
    (job / "returned").mkdir(exist_ok=True)
    one, two = clinic().systems
    leak = {**rightly(two), ("hold", "end", "pressure"): "510"}
    write_form(job / "returned" / "systems.pdf", clinic(), [(one, rightly(one)), (two, leak)])
    window = read_page(browser_on(desk), desk.job("clinic"))
    assert texts(window, ".system-back h3") == ["System HR-1 complete", "System HR-2 differs"]
    wrong = texts(window, ".system-back .problem .message")
    assert "“holds” is ticked, the readings come to “falls”" in wrong
    assert window.axe() == []


def test_a_page_filled_in_by_pen_is_typed_beside_its_pictures(
    desk: RunningDesk, browser_on: Opened, desk_folder: Path
) -> None:
    """A picture of each line with writing, to be typed, and of each doubtful box, to be confirmed."""
    job, out = desk_folder / "clinic", desk_folder / "clinic-out"
    assert CliRunner().invoke(app, ["make", str(job), "-o", str(out), "--no-proof"]).exit_code == 0
    (job / "returned").mkdir(exist_ok=True)
    dots = ["-r", "300", "-f", "2", "-l", "2", "-hide-annotations", "-png", "-singlefile"]
    subprocess.run(["pdftoppm", *dots, out / "systems.pdf", desk_folder / "page"], check=True)
    page = cv2.imread(str(desk_folder / "page.png"))
    assert page is not None
    places = second_page(out)
    place, box = places[TIME], places[SETTLED]
    at = (round((place.x_mm + 4) * DOTS), round((place.y_mm + 4.2) * DOTS))
    cv2.putText(page, "08:15", at, cv2.FONT_HERSHEY_SIMPLEX, 1.4, (120, 60, 20), 4)
    start = (round((box.x_mm - 2) * DOTS), round((box.y_mm + box.height_mm / 2) * DOTS))
    cv2.line(page, start, (start[0] + 55, start[1]), (60, 40, 30), 5)
    content = scanned([np.asarray(page, np.uint8)], (215.9, 279.4), [0], np.random.default_rng(1))
    (job / "returned" / "scan.pdf").write_bytes(content)
    window = read_page(browser_on(desk), desk.job("clinic"))
    assert texts(window, ".system-back h3") == ["System HR-1 open", "System HR-2 not seen"]
    window.js("document.querySelectorAll('details').forEach((each) => { each.open = true; })")
    cuts = texts(window, ".system-back .cuts .code")
    assert sorted(cuts) == [f"{name.replace('/', '_')}.png" for name in (TIME, SETTLED)]
    window.js("document.querySelector('.system-back img').scrollIntoView()")
    window.until("return document.querySelector('.system-back img').naturalWidth > 20")
    choices = ["not looked at", "it is ticked", "it is not ticked", "the picture does not show it"]
    assert texts(window, "#system-cuts-1 option") == choices
    assert window.axe() == []
    window.type_in("#system-cuts-1 select", "i")  # one key: a blank in a slow text opens the list
    window.type_in("#system-cuts-1-by", "J. Moss")
    window.one("#system-cuts-1 button").click()
    window.until_text("#system-cuts-1 .quiet", "Confirmed by J. Moss from the picture")
    assert value(window, "#system-cuts-1 select") == "ticked"
    window.until(FRESH)
    assert not [each for each in texts(window, "#result .problem .message") if "not clear whether" in each]
