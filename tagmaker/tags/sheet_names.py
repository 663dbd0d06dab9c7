"""Which sheet a field or a page's code is of, of a box's walk, a system, a response test or first days.

Readers of forms and of paper ask here, so that one reader takes all sheets.
"""

from typing import Literal

from msgspec.structs import replace

from tagmaker.tags.days_code import DaysPage, days_page_code, read_days_code
from tagmaker.tags.fields import is_of_system, read_field, sheet_of_field
from tagmaker.tags.response import read_response_field
from tagmaker.tags.response_code import ResponsePage, read_response_code, response_page_code
from tagmaker.tags.system import SystemPage, read_system_code, read_system_field, system_page_code
from tagmaker.tags.walk_code import WalkPage, page_code, read_page_code

__all__ = [
    "SheetPage",
    "first_page_code",
    "is_cell",
    "is_hidden",
    "is_of_system",
    "is_reading",
    "is_tick",
    "read_sheet_code",
    "sheet_kind",
    "sheet_of_field",
]

SheetPage = WalkPage | SystemPage | ResponsePage | DaysPage
SheetKind = Literal["walk", "response", "system", "days"]
TICKS = {"switch", "switch_off", "tick"}


def read_sheet_code(text: str) -> SheetPage | None:
    """The page of which this is the code; None for any other text."""
    found = read_page_code(text) or read_system_code(text)
    return found or read_response_code(text) or read_days_code(text)


def first_page_code(page: SheetPage) -> str:
    """The code of a sheet's first page, by which its pages belong together."""
    if isinstance(page, SystemPage):
        return system_page_code(replace(page, page=1))
    if isinstance(page, ResponsePage):
        return response_page_code(replace(page, page=1))
    if isinstance(page, DaysPage):
        return days_page_code(replace(page, page=1))
    return page_code(replace(page, page=1))


def sheet_kind(name: str) -> SheetKind | None:
    """The kind of sheet with a field of that name; None where none has."""
    if is_of_system(name):
        return "system" if read_system_field(name) else None
    field = read_field(name)
    if field is None:
        return None
    if field.kind in {"response", "days"}:
        return "response" if field.kind == "response" else "days"
    return "walk"


def is_hidden(name: str) -> bool:
    """Whether a field keeps what its sheet was printed for."""
    field = read_system_field(name) if is_of_system(name) else read_field(name)
    return field is not None and field.kind == "printed_for"


def is_tick(name: str) -> bool | None:
    """Whether a field is a box to tick; None where no sheet has it."""
    field = read_system_field(name) if is_of_system(name) else read_field(name)
    return field.kind in TICKS if field else None


def is_cell(name: str) -> bool:
    """Whether a field is a small cell for a letter or a figure, of a response test or of first days."""
    return is_reading(name) or sheet_kind(name) == "days"


def is_reading(name: str) -> bool:
    """Whether a field is for a reading of a response test; all else on its pages is for the person alone."""
    return read_response_field(name) is not None
