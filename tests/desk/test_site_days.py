"""First days on the site's page: what is unusual, and what was not read."""

from pathlib import Path

from tests.desk.running import RunningDesk
from tests.desk.site_on_page import Opened, read_page, texts

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
    assert window.one("#unread-1 summary").text.startswith("Not read: ")
