"""Marks that one file has, and another one left blank at the same place: which file, and of which date.

Takes a box's sheets of all files with their merged values; gives a line for marks of the same files. A mark
counts if one person set it: a blank may be a place that nobody looked at again, or a mark that somebody no
longer found true. The reader must see which of the two is later.
"""

from collections.abc import Iterator, Sequence

from tagmaker.catalog.words import Words
from tagmaker.site.stated import is_stated
from tagmaker.site.walk.gather import Returned
from tagmaker.site.walk.returns import Sheet
from tagmaker.tags import fields

__all__ = ["blanks_beside"]

SHOWN, FILES_SHOWN = 6, 3  # names in one line
STATEMENTS = {"switch", "tick"}


def blanks_beside(sheets: Sequence[Sheet], found: Returned, words: Words) -> Iterator[str]:
    """A line for the marks that count and that the same files have, and the same others have not."""
    if len(sheets) < 2:
        return
    places = [_places(sheet) for sheet in sheets]
    marked = dict.fromkeys(name for sheet in sheets for name in sheet.ticked if _is_statement(name))
    alike: dict[tuple[tuple[int, ...], tuple[int, ...]], list[str]] = {}
    for name in marked:
        has = tuple(at for at, sheet in enumerate(sheets) if sheet.values.get(name) is True)
        blank = tuple(at for at, sheet in enumerate(sheets) if _is_blank(name, sheet, places[at]))
        if blank and found.values.get(name) is True:
            alike.setdefault((has, blank), []).append(name.partition("/")[2])
    for (has, blank), names in alike.items():
        files, others = (
            _first(list(dict.fromkeys(_dated(sheets[at], words) for at in each)), FILES_SHOWN)
            for each in (has, blank)
        )
        yield words("punch.left_blank", file=files, other=others, names=_first(names, SHOWN))


def _is_statement(name: str) -> bool:
    field = fields.read_field(name)
    return field is not None and field.kind in STATEMENTS


def _places(sheet: Sheet) -> set[str]:
    """The boards, letters and groups of which a sheet has anything."""
    read = (fields.read_field(name) for name, value in sheet.values.items() if value)
    return {field.place for field in read if field}


def _is_blank(name: str, sheet: Sheet, places: set[str]) -> bool:
    """Whether a sheet has something of a mark's place and not the mark, nor OFF, nor that all else is OFF."""
    field = fields.read_field(name)
    others = (name, f"{name}/off", fields.board_seen(sheet.box, field.place if field else ""))
    is_there = field is not None and field.place in places
    return is_there and name not in sheet.unclear and not any(sheet.values.get(each) for each in others)


def _dated(sheet: Sheet, words: Words) -> str:
    """A file with the dates that are written on its sheet of the box."""
    read = ((fields.read_field(name), value) for name, value in sheet.values.items())
    dates = dict.fromkeys(str(value) for field, value in read if field and field.place == "date" and value)
    stated = ", ".join(filter(is_stated, dates)) or words("punch.no_date")
    return f"{sheet.source} ({stated})"


def _first(names: Sequence[str], shown: int) -> str:
    more = f" … ({len(names)})" if len(names) > shown else ""
    return ", ".join(names[:shown]) + more
