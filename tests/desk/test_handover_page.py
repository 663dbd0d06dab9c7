"""The handover record on the site's pages: the command's own files, everything open shown first."""

import shutil
import time
from pathlib import Path

from tests.cli.commands import run
from tests.desk.running import RunningDesk
from tests.desk.site_on_page import Opened, texts
from tests.paths import EXAMPLES

PATIENCE_SECONDS = 60


def made(desk: RunningDesk, at: str) -> str:
    """The page of a record, begun as its form does, once that is made."""
    headers = {"Origin": desk.url, "Accept": "text/html"}
    begun = desk.ask("POST", at, b"", headers)
    assert (begun.status, begun.headers["location"]) == (303, at)
    until = time.monotonic() + PATIENCE_SECONDS
    while 'data-state="running"' in (text := desk.get(at).text):
        assert time.monotonic() < until
        time.sleep(0.05)
    return text


def test_the_record_is_the_commands_byte_for_byte(
    desk: RunningDesk, desk_folder: Path, tmp_path: Path
) -> None:
    """PDF and JSON, of the same files, with the set beside the job attached; old once a file changes."""
    job, at = desk_folder / "bakery", f"{desk.job('bakery')}/site/handover"
    assert desk.get(f"{at}/handover.pdf").status == 404
    shutil.copytree(EXAMPLES / "bakery" / "returned", job / "returned")
    assert run("make", job, "-o", desk_folder / "bakery-out", "--no-proof").exit_code == 0
    page = made(desk, at)
    assert "<h2>No open points</h2>" in page
    by_command = run("handover", job, "-o", tmp_path / "own.pdf", "--json")
    assert desk.get(f"{at}/handover.pdf").body == (tmp_path / "own.pdf").read_bytes()
    assert desk.get(f"{at}/handover.json").text == by_command.stdout
    assert '"plan_from": "set"' in by_command.stdout
    assert "Files changed since" not in page
    shutil.copy(job / "returned" / "walk-BX-1.json", job / "returned" / "again.json")
    assert "Files changed since" in desk.get(at).text
    assert desk.get(f"{at}/plan.json").status == 404


def test_open_points_come_first_and_files_follow(desk: RunningDesk, browser_on: Opened) -> None:
    """A button makes it; all that is open is listed with what to do; a job with errors has no record."""
    window = browser_on(desk)
    window.go(f"{desk.job('bakery')}/site/handover").js("document.getElementById('make-record').click()")
    window.until("return document.getElementById('open-record')")
    heads = texts(window, "#handover h2")
    points = texts(window, "#handover .problem.error")
    assert heads == ["NOT COMPLETE: 1 open point", "Files"]
    assert points[0].startswith("1. BX-1")
    assert "Do: " in points[0]
    assert window.axe() == []
    mistakes = f"{desk.job('full-of-mistakes')}/site/handover"
    assert "No record was written." in made(desk, mistakes)
    assert desk.get(f"{mistakes}/handover.pdf").status == 404
