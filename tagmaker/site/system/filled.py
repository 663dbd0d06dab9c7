"""The sheets of one system merged: what is ticked, what is written, and in which unit its bare numbers are.

Takes the fields of all files with what each sheet was printed for. A tick counts where one file sets it; a
text must be the same in all. Ticks and the names of those who set them are statements about what was planned:
they count where the sheet was printed for what is planned now. What was read of an instrument or measured is
a fact of the site, in the units of its own sheet.
"""

import datetime as dt
import re
from collections.abc import Collection, Iterable, Mapping, Sequence
from typing import TypeVar

from msgspec import Struct
from msgspec.structs import replace

from tagmaker.measures import Measure
from tagmaker.site.stated import is_day, is_stated
from tagmaker.tags.revision import order_of
from tagmaker.tags.system import SystemPrinted, UnitKey
from tagmaker.units import Length, Unreadable, read_length

__all__ = ["Conflict", "Filled", "Moment", "SystemSheet", "fill", "read_moment"]

Parts = tuple[str, ...]
"""A field's name without its system."""
Value = bool | str
Kind = TypeVar("Kind", bound=Measure)
MOMENT = re.compile(r"(\d{4})-(\d{2})-(\d{2})(?:(?:T| +)(\d{1,2}):(\d{2}))?", re.ASCII)
TAKEN_BACK = "taken back"
STATED = {"by", "time", "since"}
"""What goes with a tick, and counts with it."""


class SystemSheet(Struct, frozen=True):
    """What one file has of one system: values by field, and the ticks that were neither marked nor blank.

    `is_current` is set where it was printed for what is planned now. `taken_back` are ticks and texts of
    another phone that this one's person took back. `confirmed` is what a person found unclear ticks of paper
    to show.
    """

    source: str
    values: Mapping[Parts, Value]
    unclear: Collection[Parts]
    printed: SystemPrinted
    is_current: bool
    taken_back: Collection[Parts] = ()
    confirmed: Mapping[Parts, str] = {}


class Typed(Struct, frozen=True):
    """A text with the units of the sheet on which it is."""

    text: str
    units: Mapping[UnitKey, str]


class Conflict(Struct, frozen=True):
    """A field of which files have different texts: each file's source with its text."""

    parts: Parts
    texts: tuple[tuple[str, str], ...]


class Moment(Struct, frozen=True):
    """A day, with the time of day where it was written."""

    day: dt.date
    time: dt.time | None = None

    def is_before(self, other: "Moment") -> bool:
        """Whether it is surely earlier."""
        if self.day != other.day or self.time is None or other.time is None:
            return self.day < other.day
        return self.time < other.time

    def hours_to(self, other: "Moment") -> float | None:
        """Hours until another moment; None where a time of day is missing."""
        if self.time is None or other.time is None:
            return None
        span = dt.datetime.combine(other.day, other.time) - dt.datetime.combine(self.day, self.time)
        return span.total_seconds() / 3600


class Filled(Struct, frozen=True):
    """All files of a system together; a field of which they differ has no text.

    `written` are the fields with handwriting that no file has as a text; `has_any` is set where
    anything is filled in. `confirmed` are boxes that are unclear on paper, and of which a person found in
    the picture whether they are ticked: those that are ticked are in `ticked`, none is in `unclear`.
    """

    ticked: frozenset[Parts] = frozenset()
    unclear: frozenset[Parts] = frozenset()
    typed: Mapping[Parts, Typed] = {}
    conflicts: tuple[Conflict, ...] = ()
    written: frozenset[Parts] = frozenset()
    has_any: bool = False
    confirmed: frozenset[Parts] = frozenset()

    def is_ticked(self, *parts: str) -> bool:
        """Whether a box is ticked; one that is unclear is not."""
        return parts in self.ticked

    def text(self, *parts: str) -> str:
        """What is written; empty where nothing is stated."""
        typed = self.typed.get(parts)
        return typed.text if typed and is_stated(typed.text) else ""

    def measure(self, kind: type[Kind], unit: UnitKey, *parts: str) -> Kind | None:
        """A quantity; a bare number is in the unit printed beside it. None where it cannot be read."""
        typed = self.typed.get(parts)
        read = kind.read(typed.text, typed.units[unit]) if typed else None
        return None if read is None or isinstance(read, Unreadable) else read

    def length(self, *parts: str) -> Length | None:
        """A length of pipe, in the same way."""
        typed = self.typed.get(parts)
        read = read_length(typed.text, typed.units["run"]) if typed else None
        return None if read is None or isinstance(read, Unreadable) else read

    def moment(self, *parts: str) -> Moment | None:
        """A date, with its time of day where that is given."""
        return read_moment(self.text(*parts))


def read_moment(text: str) -> Moment | None:
    """A date as 2026-06-03, with or without 14:30 behind it; None for any other, which may mean two days."""
    match = MOMENT.fullmatch(text.strip())
    if match is None:
        return None
    year, month, day, hour, minute = match.groups()
    if not is_day(int(year), int(month), int(day)):
        return None
    try:
        time = dt.time(int(hour), int(minute)) if hour else None
        return Moment(dt.date(int(year), int(month), int(day)), time)
    except ValueError:
        return None


def fill(sheets: Sequence[SystemSheet], written: Iterable[Parts] = ()) -> Filled:
    """The sheets of one system merged; `written` are its fields with handwriting."""
    sheets = _set_back(sheets)
    set_by_any = {parts for sheet in sheets for parts, value in _counted(sheet).items() if value is True}
    denied = {parts for sheet in sheets for parts in sheet.taken_back if parts in set_by_any}
    ticked = set_by_any - denied
    found = {parts: is_ticked for parts, is_ticked in _found(sheets).items() if parts not in set_by_any}
    ticked |= {parts for parts, is_ticked in found.items() if is_ticked}
    unclear = ({parts for sheet in sheets for parts in sheet.unclear} - ticked - found.keys()) | denied
    texts = _texts(sheets)
    conflicts = tuple(
        Conflict(parts, tuple((source, typed.text) for source, typed in each))
        for parts, each in texts.items()
        if _differ([typed for _, typed in each])
    )
    differ = {each.parts for each in conflicts}
    agreed = {parts: each[0][1] for parts, each in texts.items() if parts not in differ}
    left = frozenset(written).difference(texts)
    has_any = bool(ticked or unclear or texts or left)
    return Filled(
        frozenset(ticked), frozenset(unclear), agreed, conflicts, left, has_any, frozenset(found)
    )  # fmt: skip


def _set_back(sheets: Sequence[SystemSheet]) -> list[SystemSheet]:
    """The sheets, those not of today's plan that are older than another plan's that was filled in.

    Where the plan came back, what was ticked before the one in between is of another state of the site.
    """
    others = [each.printed.revision for each in sheets if not each.is_current and any(each.values.values())]
    return [
        replace(each, is_current=False)
        if any(order_of(other, each.printed.revision) == "newer" for other in others)
        else each
        for each in sheets
    ]


def _texts(sheets: Iterable[SystemSheet]) -> dict[Parts, list[tuple[str, Typed]]]:
    """What is written in each file; one that took back what another wrote has that in place of a text."""
    texts: dict[Parts, list[tuple[str, Typed]]] = {}
    back: dict[Parts, list[tuple[str, Typed]]] = {}
    for sheet in sheets:
        for parts, value in _counted(sheet).items():
            if isinstance(value, str) and value.strip():
                typed = Typed(" ".join(value.split()), sheet.printed.units)
                texts.setdefault(parts, []).append((sheet.source, typed))
            elif isinstance(value, str) and parts in sheet.taken_back:
                back.setdefault(parts, []).append((sheet.source, Typed(TAKEN_BACK, {})))
    return {parts: [*each, *back.get(parts, ())] for parts, each in texts.items()}


def _found(sheets: Iterable[SystemSheet]) -> dict[Parts, bool]:
    """Whether persons found unclear boxes ticked; not of one of which they found two things."""
    found: dict[Parts, set[bool]] = {}
    for sheet in sheets:
        for parts, value in sheet.confirmed.items() if sheet.is_current else ():
            if value in {"ticked", "blank"}:
                found.setdefault(parts, set()).add(value == "ticked")
    return {parts: True in values for parts, values in found.items() if len(values) == 1}


def _counted(sheet: SystemSheet) -> Mapping[Parts, Value]:
    """What of a sheet counts: all, or of one for an earlier plan what was read and measured."""
    if sheet.is_current:
        return sheet.values
    return {parts: value for parts, value in sheet.values.items() if not _is_statement(parts, value)}


def _is_statement(parts: Parts, value: Value) -> bool:
    return isinstance(value, bool) or (parts[0] in {"gate", "shut"} and parts[-1] in STATED)


def _differ(texts: Iterable[Typed]) -> bool:
    """Whether texts say different things; the same digits in two units do."""
    return len({(typed.text.casefold(), tuple(sorted(typed.units.items()))) for typed in texts}) > 1
