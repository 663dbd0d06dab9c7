"""What the sheets of a system's first days write and read back: the table, and the form's fields.

A row of the table is a unit on a day: its mode (H heats, C cools, F fan only, 0 off), its set point, the
temperature of the air that it takes in and that it blows out. What was not read is left blank. Temperatures
are in the scale that the head of their column names, or in that of their own cell ("22 C").
"""

import csv
import io
import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from fractions import Fraction
from typing import Literal

from msgspec import Struct

from tagmaker.catalog.first_days import MODES, TEMPERATURES, TemperatureKey
from tagmaker.files.spreadsheet import plain_cell
from tagmaker.job.model import Job
from tagmaker.measures import Temperature
from tagmaker.plan.systems import SystemPlan
from tagmaker.tags.response import table_of
from tagmaker.units import Unreadable

__all__ = [
    "DAY_READINGS",
    "DayReading",
    "DayRow",
    "Scale",
    "blank_row",
    "day_field",
    "day_rows_of_form",
    "days_csv",
    "filled_days",
    "fits_day",
    "is_day_field",
    "is_days_table",
    "job_text",
    "kept_day_field",
    "read_day_field",
    "scale_of",
]

Scale = Literal["F", "C"]
DayReading = Literal["mode", TemperatureKey]
DAY_READINGS: tuple[DayReading, ...] = ("mode", *TEMPERATURES)
HEAD = ("job", "system", "box", "port", "unit", "room", "day", "date", "mode")
COLUMNS: Mapping[TemperatureKey, str] = {"set": "set point", "in": "air in", "out": "air out"}
NOTE = "note"
TEMPERATURE_HEAD = re.compile(r"(set point|air in|air out)(?: \((F|C)\))?", re.IGNORECASE)
LETTERS = {**{mode: mode for mode in MODES}, "O": "0", "": ""}
"""What a mode may be, capitals and spaces aside; the letter O is taken for the figure."""
DAY = re.compile(r"[1-9][0-9]{0,3}", re.ASCII)
ROOM: tuple[TemperatureKey, ...] = ("set", "in")
"""Temperatures of rooms: a bare number that no room has in its column's scale may be of the other one."""
ROOM_LIMITS: Mapping[str, tuple[Fraction, str]] = {"F": (Fraction(40), "C"), "C": (Fraction(45), "F")}
COLDEST, WARMEST = Temperature.of_number(Fraction(-60), "F"), Temperature.of_number(Fraction(250), "F")
"""Air beyond these is a slip of the keyboard."""
FIELD = re.compile(
    r"(?P<box>[A-Za-z0-9][A-Za-z0-9-]*)/first-days"
    r"(?:/(?P<unit>[A-Za-z0-9-]+)/(?P<day>[1-9][0-9]{0,3})/(?P<what>mode|set|in|out)"
    r"|/(?P<kept>for/[FC]))",
    re.ASCII,
)


class DayRow(Struct, frozen=True):
    """A unit on a day as it came back; `mode` is empty, and a temperature None, where it was not read."""

    job: str
    box: str
    unit: str
    day: int
    mode: str
    temperatures: Mapping[TemperatureKey, Temperature | None]

    @property
    def is_blank(self) -> bool:
        """Whether nothing was read."""
        return not self.mode and not any(self.temperatures.values())


def scale_of(job: Job) -> Scale:
    """The scale of a job's sheets: that of its other units."""
    return "C" if job.capacity_unit == "kW" else "F"


def job_text(job: Job) -> str:
    """By what a job's sheets name it: its number, or its name where it has none."""
    return " ".join((job.number or job.name).split())


# --- the table ----------------------------------------------------------------------------------------------


def days_csv(job: Job, systems: Iterable[SystemPlan], days: Sequence[int]) -> bytes:
    """The file to fill in: a row a unit and day, system by system, day by day, units in walking order."""
    out = io.StringIO(newline="")
    writer = csv.writer(out, lineterminator="\n")
    scale = scale_of(job)
    heads = [f"{head} ({scale})" for head in COLUMNS.values()]
    writer.writerow((*HEAD, *heads, NOTE))
    for system in systems:
        for day in days:
            for unit in system.units:
                texts = (job_text(job), system.row.tag, unit.box, unit.port, unit.tag, unit.room)
                writer.writerow((*map(plain_cell, texts), day, *[""] * (2 + len(heads) + 1)))
    return out.getvalue().encode()


def is_days_table(text: str) -> bool:
    """Whether a text's first line has the columns of the first days."""
    first = text.partition("\n")[0].casefold()
    return all(head in first for head in ("unit", "day", "mode", *COLUMNS.values()))


def filled_days(text: str) -> list[DayRow] | str:
    """The rows of a table that was filled in; a sentence where it cannot be read."""
    table = table_of(text)
    if isinstance(table, str):
        return table
    names = [name.strip() for name in table[0]]
    columns = _columns(names)
    if isinstance(columns, str):
        return columns
    rows: list[DayRow] = []
    for number, cells in enumerate(table[1:], start=2):
        if any(cell.strip() for cell in cells):
            texts = [cell.strip() for cell in (*cells, *[""] * len(names))]
            row = _row(texts, columns)
            if isinstance(row, str):
                return f"has {row} in row {number}"
            rows.append(row)
    return rows


Columns = Mapping[str, tuple[int, str]]
"""Where each column is, and the scale that its head names."""


def _columns(names: Sequence[str]) -> Columns | str:
    found: dict[str, tuple[int, str]] = {}
    keys = {head: key for key, head in COLUMNS.items()}
    for at, name in enumerate(names):
        match = TEMPERATURE_HEAD.fullmatch(name)
        key = keys[match[1].lower()] if match else name.casefold()
        if key in found:
            return f"has two columns {name!r}"
        found[key] = (at, (match[2] or "").upper() if match else "")
    needed = {"job", "box", "unit", "day", *DAY_READINGS}
    absent = sorted(needed - found.keys())
    named: dict[str, str] = {str(key): name for key, name in COLUMNS.items()}
    return f"lacks the column {named.get(absent[0], absent[0])!r}" if absent else found


def _row(texts: Sequence[str], columns: Columns) -> DayRow | str:
    """A row, or what is wrong in it."""
    day, mode = texts[columns["day"][0]], texts[columns["mode"][0]]
    if not DAY.fullmatch(day):
        return f"day {day!r}"
    cells = {key: (texts[columns[key][0]], columns[key][1]) for key in TEMPERATURES}
    names = [texts[columns[key][0]].removeprefix("'") for key in ("job", "box", "unit")]
    return day_row((names[0], names[1], names[2], int(day)), mode, cells)


def day_row(
    head: tuple[str, str, str, int], mode: str, cells: Mapping[TemperatureKey, tuple[str, str]]
) -> DayRow | str:
    """A row of texts with the scale of each; a sentence for one that is no mode or temperature."""
    letter = LETTERS.get(mode.strip().upper())
    if letter is None:
        return f"mode {mode!r}, which is none of H, C, F and 0"
    temperatures: dict[TemperatureKey, Temperature | None] = {}
    for key, (text, scale) in cells.items():
        read = Temperature.read(text, scale) if text.strip() else None
        if isinstance(read, Unreadable):
            return f"{COLUMNS[key]} {text!r}: {read.message}"
        if read and (doubt := _doubt(key, text, read)):
            return f"{COLUMNS[key]} {text!r}: {doubt}"
        temperatures[key] = read
    return DayRow(*head, letter, temperatures)


def _doubt(key: TemperatureKey, text: str, read: Temperature) -> str:
    """Why a temperature cannot be believed; "" for one that can."""
    if not COLDEST.value <= read.value <= WARMEST.value:
        return "it is not a temperature of air"
    if key not in ROOM or any(map(str.isalpha, text)):
        return ""
    limit, other = ROOM_LIMITS[read.unit]
    turned = Temperature.of_number(limit, read.unit)
    is_doubtful = read < turned if read.unit == "F" else turned < read
    return f"it may be in {other}; write its scale behind it" if is_doubtful else ""


# --- the form -----------------------------------------------------------------------------------------------


def day_field(box: str, unit: str, day: int, what: DayReading) -> str:
    """The field of a reading."""
    return f"{box.upper()}/first-days/{unit.upper()}/{day}/{what}"


def kept_day_field(box: str, scale: Scale) -> str:
    """The hidden text with the job's name, at each box of the sheet; the field's own name has the scale."""
    return f"{box.upper()}/first-days/for/{scale}"


def is_day_field(name: str) -> bool:
    """Whether a field is one of the first days' form."""
    return FIELD.fullmatch(name) is not None


def read_day_field(name: str) -> tuple[str, str, int, DayReading] | None:
    """Box, unit, day and reading of a field; None for every other field."""
    match = FIELD.fullmatch(name)
    if match is None or match["kept"]:
        return None
    what = next(each for each in DAY_READINGS if each == match["what"])
    return match["box"], match["unit"], int(match["day"]), what


def fits_day(name: str, text: str) -> bool:
    """Whether a text can be of a reading's field: a mode, or a temperature."""
    field = read_day_field(name)
    if field is None or not text.strip():
        return False
    *_, what = field
    if what == "mode":
        return text.strip().upper() in LETTERS
    return not isinstance(Temperature.read(text, "F"), Unreadable)


def blank_row(job: str, name: str) -> DayRow | None:
    """The row of a reading's field of which nothing is known; None for every other field."""
    field = read_day_field(name)
    return DayRow(job, *field[:3], "", dict.fromkeys(TEMPERATURES)) if field else None


def day_rows_of_form(values: Mapping[str, object]) -> Iterator[DayRow | str]:
    """The rows of a form's fields; a sentence for a row that cannot be read."""
    kept: dict[str, tuple[str, str]] = {}
    rows: dict[tuple[str, str, int], dict[str, str]] = {}
    for name, value in values.items():
        match = FIELD.fullmatch(name)
        if match and match["kept"]:
            kept[match["box"].upper()] = (str(value), match["kept"][-1])
        elif field := read_day_field(name):
            rows.setdefault(field[:3], {})[field[3]] = str(value)
    for (box, unit, day), texts in rows.items():
        job, scale = kept.get(box.upper(), ("", ""))
        cells = {key: (texts.get(key, ""), scale) for key in TEMPERATURES}
        row = day_row((job, box, unit, day), texts.get("mode", ""), cells)
        yield f"{box} {unit}, day {day}: {row}" if isinstance(row, str) else row
