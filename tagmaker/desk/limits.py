"""The limits of the desk and its phones' door, for the manual's page: each from its constant."""

from tagmaker.desk import bounds, schedule_parts, site_page
from tagmaker.desk.phones import app, devices, door, photos
from tagmaker.site.paper import typed
from tagmaker.site.scans import times
from tagmaker.workflows import phone_marks, sheet_view

__all__ = ["desk_limits"]

Rows = list[tuple[str, str]]


def desk_limits() -> list[tuple[str, Rows]]:
    """Every limit under its heading."""
    return [("Pages of the desk", _pages()), ("Phones on site", _phones())]


def _pages() -> Rows:
    rows, boxes = sheet_view.ROWS_AT_MOST, schedule_parts.BOXES_AT_MOST
    return [
        ("rows of a schedule shown at once", f"{rows}; the rest follows in further parts"),
        ("boxes of a schedule shown at once", f"{boxes}; the rest follows in further parts"),
        ("boxes of the page *Site* shown at once", f"{site_page.BOXES_A_PAGE}; so too"),
        ("files dropped at once", f"{bounds.UPLOAD_MB} MB"),
        ("any other request", f"{bounds.PLAIN_MB} MB"),
        ("a text typed beside a picture", f"{typed.VALUE_AT_MOST} characters"),
        ("texts typed beside pictures of a job", f"{typed.ENTRIES_AT_MOST:,}"),
    ]


def _phones() -> Rows:
    wrong = door.WRONG_A_MINUTE
    waiting, of_a_phone = photos.WAITING_AT_MOST, photos.OF_A_PHONE
    at_once, a_second = door.ASKED_AT_ONCE, door.ASKED_A_SECOND
    return [
        ("phones that are let in", str(devices.DEVICES_AT_MOST)),
        ("a person's name", f"{devices.NAME_AT_MOST} characters"),
        ("a photo", f"{app.PHOTO_MB} MB"),
        (
            "photos received or waiting to be read",
            f"{waiting}, {of_a_phone} of a phone",
        ),
        ("a picture of tags shows how a terminal is now", f"{times.NOW_MINUTES} minutes, then it is old"),
        ("entries of one request", str(phone_marks.CHANGES_AT_MOST)),
        ("an entered text", f"{phone_marks.TEXT_AT_MOST:,} characters"),
        ("requests of a phone", f"{at_once} at once, then {a_second} a second"),
        ("wrong secrets from one address", f"{wrong} at once, then {wrong} a minute"),
    ]
