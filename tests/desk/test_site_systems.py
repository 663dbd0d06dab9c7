"""Systems' sheets on the site's page: what is wrong, what is open, and handwriting as a picture."""

import subprocess
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
from tests.desk.site_on_page import Opened, read_page, texts
from tests.site.systems import clinic, rightly, write_form

DOTS = 300 / 25.4  # a millimetre


def weighed(out: Path) -> FieldPlace:
    """Where the amount in the first system is written."""
    pages = read_form_pages(out)
    assert not isinstance(pages, Problem)
    name = "system/HR-1/charge/weighed"
    return next(page.fields[name] for page in pages.pages if name in page.fields)


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


def test_a_page_filled_in_by_pen_shows_its_handwriting(
    desk: RunningDesk, browser_on: Opened, desk_folder: Path
) -> None:
    """A picture of each line that is to be typed."""
    job, out = desk_folder / "clinic", desk_folder / "clinic-out"
    assert CliRunner().invoke(app, ["make", str(job), "-o", str(out), "--no-proof"]).exit_code == 0
    (job / "returned").mkdir(exist_ok=True)
    dots = ["-r", "300", "-f", "1", "-l", "1", "-hide-annotations", "-png", "-singlefile"]
    subprocess.run(["pdftoppm", *dots, out / "systems.pdf", desk_folder / "page"], check=True)
    page = cv2.imread(str(desk_folder / "page.png"))
    assert page is not None
    place = weighed(out)
    at = (round((place.x_mm + 4) * DOTS), round((place.y_mm + 4.2) * DOTS))
    cv2.putText(page, "102", at, cv2.FONT_HERSHEY_SIMPLEX, 1.4, (120, 60, 20), 4)
    content = scanned([np.asarray(page, np.uint8)], (215.9, 279.4), [0], np.random.default_rng(1))
    (job / "returned" / "scan.pdf").write_bytes(content)
    window = read_page(browser_on(desk), desk.job("clinic"))
    assert texts(window, ".system-back h3") == ["System HR-1 open", "System HR-2 not seen"]
    window.js("document.querySelectorAll('details').forEach((each) => { each.open = true; })")
    cuts = texts(window, ".system-back .cuts .code")
    assert cuts == ["system_HR-1_charge_weighed.png"]
    window.js("document.querySelector('.system-back img').scrollIntoView()")
    window.until("return document.querySelector('.system-back img').naturalWidth > 20")
