"""What a response test writes and reads back: response.csv's columns, and the names of the form's fields.

Takes a system's calls with its boxes; gives rows in walking order, a port's gas stubs first, then units. A
cell that was filled in is H, C, 0 (runs, no change) or ? (unclear); a blank one was not seen.
"""

import csv
import io
import re
from collections.abc import Iterable, Iterator, Mapping, Sequence

from msgspec import Struct

from tagmaker.files.spreadsheet import plain_cell
from tagmaker.plan.model import BoxPlan
from tagmaker.plan.response import Call, SystemCalls

__all__ = [
    "READINGS",
    "FilledRow",
    "Line",
    "filled_rows",
    "is_response_field",
    "kept_field",
    "kept_text",
    "lines_of",
    "note_field",
    "read_kept_text",
    "read_response_field",
    "reading_name",
    "response_csv",
    "response_field",
    "rows_of_form",
    "table_of",
    "tick_field",
]

HEAD = ("plan", "system", "box", "port", "unit")
ROUND = "round {number}"
EXPECTED = "expected"
READINGS = {"H": "H", "C": "C", "0": "0", "O": "0", "?": "?", "": ""}
"""What a cell may hold, capitals and spaces aside; the letter O is taken for the figure."""
KEPT = re.compile(r"([0-9A-F]{8}) ([0-9]{1,2}) ?(.*)")
"""The first line of a form's hidden text: the test's digest, its rounds, its system."""
BUILT = re.compile(r"(?:[0-9A-F]{8})?", re.ASCII)
FIELD = re.compile(
    r"(?P<box>[A-Za-z0-9][A-Za-z0-9-]*)/(?:"
    r"response/(?P<port>[A-Z](?:\+[A-Z])?)/(?P<unit>[A-Za-z0-9-]*)/(?P<round>[0-9]{1,2})"
    r"|(?P<kept>response-for)"
    r"|response-(?:set|fan|note)/[A-Za-z0-9/-]+)",
    re.ASCII,
)


class Line(Struct, frozen=True):
    """A line to fill in: a letter's gas stub (`unit` empty), or a unit with its port; `calls` its word.

    A stub that is not called has no word. `call` is the name of its port or pair.
    """

    box: str
    port: str
    unit: str
    calls: str
    call: str = ""


class FilledRow(Struct, frozen=True):
    """A row as it came back: readings a round each, "" where a round was not seen."""

    plan: str
    system: str
    box: str
    port: str
    unit: str
    readings: tuple[str, ...]


def lines_of(calls: SystemCalls, boxes: Iterable[BoxPlan]) -> list[Line]:
    """Every stub of the system's boxes, spare ones too, then every unit that is called."""
    words = {(call.box.upper(), letter): call for call in calls.ports for letter in call.port.split("+")}
    stubs: list[Line] = []
    for box in boxes:
        for letter in box.letters:
            call = words.get((box.row.key, letter))
            stubs.append(Line(box.row.tag, letter, "", call.calls if call else "", call.port if call else ""))
    units = [
        Line(call.box, call.port, unit, call.calls, call.port) for call in calls.ports for unit in call.units
    ]
    return [*stubs, *units]


def response_csv(systems: Iterable[tuple[SystemCalls, Sequence[Line]]], *, expected: bool = False) -> bytes:
    """The file to fill in; with `expected` a last column has what is called, which nobody reads back."""
    systems = list(systems)
    most = max((calls.rounds for calls, _ in systems), default=0)
    out = io.StringIO(newline="")
    writer = csv.writer(out, lineterminator="\n")
    more = (EXPECTED,) if expected else ()
    writer.writerow((*HEAD, *(ROUND.format(number=number + 1) for number in range(most)), *more))
    for calls, lines in systems:
        for line in lines:
            head = (calls.plan, plain_cell(calls.system), line.box, line.port, line.unit)
            writer.writerow((*head, *([""] * most), *((line.calls,) if expected else ())))
    return out.getvalue().encode()


def table_of(text: str) -> list[list[str]] | str:
    """The cells of a table; a sentence where it is none.

    A spreadsheet may have set the cells apart by semicolons or tabs.
    """
    first = text.partition("\n")[0]
    separator = max(",;\t", key=first.count)
    try:
        return list(csv.reader(io.StringIO(text, newline=""), delimiter=separator, strict=True))
    except csv.Error as reason:
        return f"is not a table: {reason}"


def filled_rows(text: str) -> list[FilledRow] | str:
    """The rows of a file that was filled in; a sentence where it is none, or a cell holds something else."""
    table = table_of(text)
    if isinstance(table, str):
        return table
    names = [name.strip().casefold() for name in table[0]] if table else []
    rounds = {name: int(name.split()[1]) for name in names if re.fullmatch(r"round [1-9][0-9]?", name)}
    if not set(HEAD) <= set(names) or not rounds or len(set(names)) < len(names):
        return "has not the columns of a response test"
    unknown = [name for name in names if name not in {*HEAD, *rounds, EXPECTED}]
    if unknown:
        return f"has a column {unknown[0]!r}, which a response test has not"
    return _rows(table, names, rounds)


def _rows(table: list[list[str]], names: list[str], rounds: Mapping[str, int]) -> list[FilledRow] | str:
    """The rows, each with its readings by number: a round without a column was not seen."""
    most = max(rounds.values())
    rows: list[FilledRow] = []
    for number, cells in enumerate(table[1:], start=2):
        if not any(cell.strip() for cell in cells):
            continue
        if any(cell.strip() for cell in cells[len(names) :]):
            return f"has more cells than columns in row {number}"
        row = dict(zip(names, (cell.strip() for cell in cells), strict=False))
        readings = [""] * most
        for name, at in rounds.items():
            reading = READINGS.get(row.get(name, "").upper())
            if reading is None:
                return f"has {row[name]!r} in row {number}: a reading is H, C, 0, ? or nothing"
            readings[at - 1] = reading
        head = {name: row.get(name, "") for name in HEAD}
        rows.append(FilledRow(**head, readings=tuple(readings)))
    return rows


# --- the form -----------------------------------------------------------------------------------------------


def kept_text(calls: SystemCalls) -> str:
    """The calls as a form's hidden text, so that it is read without its folder: the test, a line a port."""
    rows = [
        f"{call.box} {call.port} {'/'.join(filter(None, (call.calls, call.built)))} {' '.join(call.units)}"
        for call in calls.ports
    ]
    return "\n".join([f"{calls.plan} {calls.rounds} {calls.system}", *rows])


def read_kept_text(text: str) -> SystemCalls | None:
    """The calls of a form's hidden text; None where the text is not whole."""
    lines = text.replace("\r\n", "\n").replace("\r", "\n").split("\n")
    head = KEPT.fullmatch(lines[0])
    calls = [_call(line.split(" ")) for line in lines[1:] if line]
    if head is None or None in calls:
        return None
    return SystemCalls(head[3], int(head[2]), head[1], (), tuple(each for each in calls if each))


def _call(parts: Sequence[str]) -> Call | None:
    word, _, built = parts[2].partition("/") if len(parts) > 3 else ("?", "", "")
    if not set(word) <= {"H", "C"} or not BUILT.fullmatch(built):
        return None
    return Call(parts[0], parts[1], tuple(parts[3:]), word, built)


def response_field(line: Line, number: int) -> str:
    """The field of a line in a round, from 1."""
    return f"{line.box.upper()}/response/{line.port}/{line.unit.upper()}/{number}"


def kept_field(box: str) -> str:
    """The hidden text of a form: the calls of its system, at its first box."""
    return f"{box.upper()}/response-for"


def tick_field(what: str, box: str, unit: str, number: int = 0) -> str:
    """A tick that is for the person alone: a unit that was `set` in a round, or blew in the `fan` round."""
    return f"{box.upper()}/response-{what}/{unit.upper()}/{number}"


def note_field(box: str, what: str) -> str:
    """A remark on the first page: outdoor, name or date."""
    return f"{box.upper()}/response-note/{what}"


def is_response_field(name: str) -> bool:
    """Whether a field is one of a response test's form."""
    return FIELD.fullmatch(name) is not None


def read_response_field(name: str) -> tuple[str, str, str, int] | None:
    """Box, port, unit and round of a field with a reading; None for every other field."""
    match = FIELD.fullmatch(name)
    if match is None or match["round"] is None:
        return None
    return match["box"], match["port"], match["unit"], int(match["round"])


def reading_name(name: str) -> str:
    """A field with a reading as people name it: a unit, or a box and its stub, and the round."""
    box, port, unit, number = read_response_field(name) or ("", "", name, 0)
    return f"{unit or f'{box}/{port}'} round {number}"


def rows_of_form(values: Iterable[tuple[str, str]], plan: str, system: str) -> Iterator[FilledRow]:
    """The rows of a form's fields, whose values are readings."""
    lines: dict[tuple[str, str, str], dict[int, str]] = {}
    for name, value in values:
        field = read_response_field(name)
        if field:
            lines.setdefault(field[:3], {})[field[3]] = value
    for (box, port, unit), readings in lines.items():
        most = max(readings)
        yield FilledRow(plan, system, box, port, unit, tuple(readings.get(n + 1, "") for n in range(most)))
