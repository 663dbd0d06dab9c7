"""The site's page in a real browser: what is dropped is kept, read and shown as the command line has it."""

from collections.abc import Callable
from pathlib import Path

from tests.desk.running import RunningDesk
from tests.desk.window import Window
from tests.paths import EXAMPLES

Opened = Callable[[RunningDesk], Window]
WALK = EXAMPLES / "bakery" / "returned" / "walk-BX-1.json"


def test_what_is_dropped_is_kept_read_and_shown(
    desk: RunningDesk, browser_on: Opened, desk_folder: Path
) -> None:
    window = browser_on(desk).go(f"{desk.job('bakery')}/site")
    window.until("return document.getElementById('reading').dataset.state === 'done'")
    window.one("#drop-files").send_keys(str(WALK))
    window.until_text("#sum", "1 as planned")
    assert (desk_folder / "bakery" / "returned" / WALK.name).read_bytes() == WALK.read_bytes()
    window.driver.save_full_page_screenshot if False else None
    window.driver.save_screenshot("/tmp/site-1.png")
    assert window.axe() == []
