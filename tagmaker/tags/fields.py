"""Names of the walk's fields, written and read: the same in the form, on the phone and in what comes back.

Names are flat, their parts set apart by "/": a point would make one form field the parent of another (ISO
32000-1, 12.7.3.2, from memory). `layouts/walk.html` writes the same names on the phone.
"""

import re
from collections.abc import Mapping
from functools import lru_cache
from typing import Literal, get_args

from msgspec import Struct

from tagmaker.files.patterns import Pattern

__all__ = [
    "SHEET",
    "FieldKind",
    "WalkField",
    "board_seen",
    "box_item",
    "box_of",
    "date",
    "is_of_system",
    "port_field",
    "port_item",
    "printed_as",
    "printed_for",
    "read_field",
    "sheet_of_field",
    "sign",
    "switch_off",
    "switch_on",
]

FieldKind = Literal["switch", "switch_off", "tick", "unit", "remark", "printed_for", "response", "days"]
"""How a field is filled in: a switch found ON, or found OFF, a thing ticked, the unit that was found, a
person's own words.

`printed_for` is a hidden text: of the units for which a sheet was printed, or the code of one of its pages;
`response` is any field of a response test, `days` of the first days: `tags/response.py`, `first_days.py`.
"""

FIELD = Pattern(
    r"(?P<box>[A-Za-z0-9][A-Za-z0-9-]*)/(?:"
    r"(?P<switch>[A-Za-z]+/\d+/\d+)"
    r"|(?P<switch_off>[A-Za-z]+/\d+/\d+/off)"
    r"|(?P<tick>[A-Za-z]+/seen|port/[A-Z]/(?:(?:pipe|cable|tags)/ok|(?:pipe|cable)/proved)"
    r"|(?:port/[A-Z]/)?item/[a-z][a-z0-9-]*)"
    r"|(?P<unit>port/[A-Z]/(?:pipe|cable)/found)"
    r"|(?P<remark>port/[A-Z]/(?:note|proved)|(?:sign|date)/[a-z]+)"
    r"|(?P<printed_for>printed-for(?:/[1-9]\d{0,2})?)"
    r"|(?P<response>response(?:-[a-z]+)?(?:/[A-Za-z0-9+-]*)*)"
    r"|(?P<days>first-days(?:/[A-Za-z0-9-]*)*))",
    re.ASCII,
)


SHEET = "system"
"""The first part of the name of every field of a system's sheets."""
KINDS: Mapping[str, FieldKind] = {kind: kind for kind in get_args(FieldKind)}


class WalkField(Struct, frozen=True):
    """A field's name read back: its box as written, its kind, and where in the box it belongs.

    `place` is a board, a letter as "port/A", or the group of the field: "item", "sign", "date".
    """

    box: str
    kind: FieldKind
    place: str


@lru_cache(maxsize=4096)  # a sheet's fields are asked by each of its readers
def read_field(name: str) -> WalkField | None:
    """The box and the kind of a field; None where no sheet has a field of that name."""
    match = FIELD.fullmatch(name)
    if match is None or match.lastgroup is None:
        return None
    kind = KINDS[match.lastgroup]
    first, second = name.split("/")[1:3] if kind not in {"printed_for", "response", "days"} else ("", "")
    return WalkField(match["box"], kind, f"{first}/{second}" if first == "port" else first)


def box_of(name: str) -> str:
    """The box of a field, whether or not a sheet has a field of that name."""
    return name.partition("/")[0]


def sheet_of_field(name: str) -> str:
    """How the names of a sheet's fields begin: a box, or `system` and the system."""
    if is_of_system(name):
        return "/".join(name.split("/")[:2])
    return box_of(name)


def is_of_system(name: str) -> bool:
    """Whether a field is of a system's sheets; a box of that tag is in capitals."""
    return name.startswith(f"{SHEET}/")


def board_seen(box: str, place: str) -> str:
    """This board was looked at."""
    return f"{box.upper()}/{place}/seen"


def switch_on(box: str, place: str, bank: int, switch: int) -> str:
    """This switch was found ON."""
    return f"{box.upper()}/{place}/{bank}/{switch}"


def switch_off(box: str, place: str, bank: int, switch: int) -> str:
    """This switch was found OFF."""
    return f"{switch_on(box, place, bank, switch)}/off"


def port_field(box: str, letter: str, what: str) -> str:
    """A letter's field: ok, found or proved of pipe/ and cable/, tags/ok, proved (how, by whom) or note."""
    return f"{box.upper()}/port/{letter}/{what}"


def box_item(box: str, key: str) -> str:
    """An item of the box."""
    return f"{box.upper()}/item/{key}"


def port_item(box: str, letter: str, key: str) -> str:
    """An item of a letter."""
    return f"{box.upper()}/port/{letter}/item/{key}"


def sign(box: str, role: str) -> str:
    """A signature."""
    return f"{box.upper()}/sign/{role}"


def date(box: str, role: str) -> str:
    """The date of a signature."""
    return f"{box.upper()}/date/{role}"


def printed_for(box: str) -> str:
    """What a sheet was printed for; hidden, kept as it is."""
    return f"{box.upper()}/printed-for"


def printed_as(box: str, page: int) -> str:
    """The code of a page of a sheet of several; hidden, kept as it is."""
    return f"{printed_for(box)}/{page}"
