"""Logged temperatures of a response test to readings, by the same rule as a person's.

Takes a table with the columns time and round, then one for each unit tag and each stub (BOX/PORT); gives rows
of readings. Temperatures are °F unless a column's header says °C. Of a round only what was logged after the
settling time counts; a place whose temperatures do not agree in that time is unclear.
"""

import datetime as dt
import re
from collections.abc import Callable, Iterator, Mapping, Sequence
from typing import Literal

from msgspec import Struct

from tagmaker.catalog.response import ReadingRule

__all__ = ["LogColumn", "TemperatureLog", "is_log", "read_log", "readings_of"]

CELSIUS = re.compile(r"\s*[(\[]?\s*(?:°|deg)\s*C\s*[)\]]?\s*$", re.IGNORECASE)
FAHRENHEIT = re.compile(r"\s*[(\[]?\s*(?:°|deg)\s*F\s*[)\]]?\s*$", re.IGNORECASE)
CLOCK = re.compile(r"([0-9]{1,2}):([0-9]{2})(?::([0-9]{2}))?")
NUMBER = re.compile(r"-?[0-9]+(?:[.,][0-9]+)?")
DAY = 24 * 60
LONGEST = 12 * 60  # minutes between two rows of a clock; a longer step is a time that goes back
ALL_COLD, ALL_HOT = 65.0, 86.0  # °F: above the first something is warm in each test, below the second cold
SEVERAL = 3  # columns and rounds that show it
COLDEST, HOTTEST = -100.0, 400.0  # °F: beyond them a sensor is broken or a column has another unit


class LogColumn(Struct, frozen=True):
    """A unit's tag, or a stub as BOX/PORT, in capitals, and its temperatures in °F: minute, round, value."""

    name: str
    values: tuple[tuple[float, int, float], ...]


class TemperatureLog(Struct, frozen=True):
    """A whole log; `starts` is the first minute of each round."""

    columns: tuple[LogColumn, ...]
    starts: Mapping[int, float]


def is_log(names: list[str]) -> bool:
    """Whether these are the names of a log's columns."""
    return {"time", "round"} <= {name.strip().casefold() for name in names}


def read_log(table: list[list[str]]) -> TemperatureLog | str:
    """The log of a table whose first row has the names; a sentence where a cell is none."""
    names = [name.strip() for name in table[0]]
    folded = [name.casefold() for name in names]
    times = {folded.index("time"), folded.index("round")}
    places = [at for at in range(len(names)) if at not in times and names[at]]
    values: dict[int, list[tuple[float, int, float]]] = {at: [] for at in places}
    rows = _rows(table, folded.index("time"), folded.index("round"))
    if isinstance(rows, str):
        return rows
    starts: dict[int, float] = {}
    for row in rows:
        starts.setdefault(row.round, row.minute)
        for at in places:
            degrees = _degrees(row.cells[at], is_celsius=bool(CELSIUS.search(names[at])))
            if isinstance(degrees, float):
                values[at].append((row.minute, row.round, degrees))
            elif degrees:
                return f"has {row.cells[at]!r} in row {row.number}, column {names[at]!r}: {degrees}"
    columns = tuple(LogColumn(_place(names[at]), tuple(values[at])) for at in places)
    return _other_unit({names[at]: values[at] for at in places}) or TemperatureLog(columns, starts)


class _Row(Struct, frozen=True):
    """A row that is not empty: its number in the table, its cells, when and in which round it was logged."""

    number: int
    cells: list[str]
    minute: float
    round: int


def _rows(table: list[list[str]], at_time: int, at_round: int) -> list[_Row] | str:
    """The rows, whose times and rounds never go back; a sentence where one does, or has none."""
    rows: list[_Row] = []
    for number, cells in enumerate(table[1:], start=2):
        if not any(cell.strip() for cell in cells):
            continue
        row = [cell.strip() for cell in cells] + [""] * (len(table[0]) - len(cells))
        before = rows[-1] if rows else None
        minute, test_round = _minute(row[at_time], before.minute if before else 0.0), _round(row[at_round])
        if minute is None or test_round is None:
            return f"has no time and round in row {number}: write 14:05 or 2026-06-03 14:05, and a number"
        if before and not _is_after(minute, before.minute, (row[at_time], before.cells[at_time])):
            return f"has a time in row {number} that is before the row above: sort it, or write dates"
        if before and test_round < before.round:
            return f"goes back to round {test_round} in row {number}: a round is logged once"
        rows.append(_Row(number, row, minute, test_round))
    return rows


def _is_after(minute: float, before: float, written: tuple[str, str]) -> bool:
    """Whether a row is not before the one above it; by a clock alone half a day later means before.

    Of times that are written in two ways, with a zone and without one, nobody knows which is first.
    """
    ways = set(map(_way, written))
    most = LONGEST if "clock" in ways else float("inf")
    return len(ways) == 1 and 0 <= minute - before <= most


def _way(text: str) -> Literal["clock", "zone", "date"]:
    """How a time that can be read is written."""
    if CLOCK.fullmatch(text):
        return "clock"
    return "zone" if dt.datetime.fromisoformat(text).tzinfo else "date"


def _other_unit(columns: Mapping[str, Sequence[tuple[float, int, float]]]) -> str:
    """Why temperatures are of another scale than the names of their columns say; empty if they are not."""
    celsius = [values for name, values in columns.items() if CELSIUS.search(name)]
    named = (CELSIUS, FAHRENHEIT)
    unnamed = [values for name, values in columns.items() if not any(unit.search(name) for unit in named)]
    if _is_all(unnamed, lambda degrees: degrees < ALL_COLD):
        return f"has no temperature above {ALL_COLD:g} °F: write °C or °F into the names of its columns"
    if _is_all(celsius, lambda degrees: degrees > ALL_HOT):
        return f"has no temperature below {ALL_HOT:g} °F: are its columns °C, as their names say?"
    return ""


def _is_all(columns: Sequence[Sequence[tuple[float, int, float]]], test: Callable[[float], bool]) -> bool:
    """Whether all temperatures of several places in several rounds are so; in a test some heat, some cool."""
    filled = [column for column in columns if column]
    rounds = {number for column in filled for _, number, _ in column}
    is_much = len(filled) >= SEVERAL and len(rounds) >= SEVERAL
    return is_much and all(test(degrees) for column in filled for _, _, degrees in column)


def _place(name: str) -> str:
    return FAHRENHEIT.sub("", CELSIUS.sub("", name)).strip().upper()


def _minute(text: str, before: float) -> float | None:
    """A time in minutes; of the clock alone it is on the next day where it is before the row above."""
    if match := CLOCK.fullmatch(text):
        hour, minute, second = (int(each or 0) for each in match.groups())
        if hour >= 24 or minute >= 60 or second >= 60:
            return None
        at = hour * 60 + minute + second / 60
        return at + DAY * max(0, -(-(before - at) // DAY)) if at < before else at
    try:
        moment = dt.datetime.fromisoformat(text)
        moment = moment.astimezone(dt.UTC).replace(tzinfo=None) if moment.tzinfo else moment
    except (ValueError, OverflowError):
        return None
    return (moment - dt.datetime(2000, 1, 1)).total_seconds() / 60


def _round(text: str) -> int | None:
    return int(text) if re.fullmatch(r"[1-9][0-9]?", text, re.ASCII) else None


def _degrees(text: str, *, is_celsius: bool) -> float | str:
    """A temperature in °F; "" for an empty cell, and why it is none."""
    if not text:
        return ""
    if not NUMBER.fullmatch(text):
        return "it is not a temperature"
    value = float(text.replace(",", "."))
    value = value * 9 / 5 + 32 if is_celsius else value
    return value if COLDEST <= value <= HOTTEST else f"{value:g} °F is not a temperature of a pipe"


def readings_of(log: TemperatureLog, rule: ReadingRule, rounds: int) -> Iterator[tuple[str, tuple[str, ...]]]:
    """Each place's readings, a round each."""
    first = min(log.starts, default=0)
    counts_from = {
        number: start + (rule.first_minutes if number == first else rule.settle_minutes)
        for number, start in log.starts.items()
    }
    for column in log.columns:
        letters: list[set[str]] = [set() for _ in range(rounds)]
        for minute, number, degrees in column.values:
            if number <= rounds and minute >= counts_from[number]:
                letters[number - 1].add(rule.letter(degrees))
        yield column.name, tuple(_one(each) for each in letters)


def _one(letters: set[str]) -> str:
    """The reading of a round: the one letter of all its temperatures."""
    return "" if not letters else letters.pop() if len(letters) == 1 else "?"
