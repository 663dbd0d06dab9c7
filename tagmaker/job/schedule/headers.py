"""Where a table begins: its header below a title block, headings over several columns, a row of units.

Takes a sheet; gives the header's rows and the meaning of its columns, with what is unclear about them. The
header is the row with the most words by which columns are known, since nothing else marks it.
"""

from collections.abc import Callable, Iterable

from msgspec import Struct
from msgspec.structs import replace

from tagmaker.catalog.columns import REQUIRED, ColumnKind, column_words, plain_word
from tagmaker.job.schedule.columns import Header, chosen_name, is_word, meaning, quoted
from tagmaker.job.schedule.kinds import KNOWN_UNITS, READERS_OF, UNIT_CODES
from tagmaker.job.schedule.result import Choices, Column, Unknown
from tagmaker.job.schedule.sheet import Merged, Sheet, SheetRow
from tagmaker.problems import Problem, error, note
from tagmaker.units import unit_word

__all__ = ["HEADER_HINT", "Head", "find_header", "is_repeated", "read_head", "words_in"]

HEADER_HINT = "begin with a header row: unit, box, port, capacity (kBtu/h), room"
LOOKED_AT = 100  # rows in which the header is looked for; title blocks are shorter
ASKED = {"column-unknown", "column-ambiguous", "column-hidden", "column-twice"}
"""Problems of a header that [columns] can answer."""
LEAST = 2  # known words that make a row a header: one is common in titles


class Head(Struct, frozen=True):
    """A table's header: the rows (indices in the sheet) from `top` up to `body`, and its columns.

    Columns without a heading must stay empty. `notes` are of columns that are left out.
    """

    top: int
    row: int
    body: int
    columns: tuple[Column, ...] = ()
    problems: tuple[Problem, ...] = ()
    unknown: tuple[Unknown, ...] = ()
    has_units: bool = False
    texts: tuple[dict[int, str], ...] = ()
    notes: tuple[Problem, ...] = ()


def words_in(row: SheetRow, choices: Choices) -> int:
    """How many of a row's cells are words by which columns are known."""
    return len(
        {plain_word(value.text) for value in row.values if value.text and is_word(value.text, choices)}
    )


def find_header(sheet: Sheet, choices: Choices, *, least: int = LEAST) -> int | None:
    """The index of the row with the most words of a header, the first such; None where there is none."""
    counts = [words_in(row, choices) for row in sheet.rows[:LOOKED_AT]]
    best = max(counts, default=0)
    return counts.index(best) if best >= least else None


def is_repeated(row: SheetRow, head: Head) -> bool:
    """Whether a row has the same texts as one of the header's rows, as on every page of a printed list."""
    return _texts(row) in head.texts


def _texts(row: SheetRow) -> dict[int, str]:
    """A row's texts in plain form by column, for comparison."""
    return {
        index: plain_word(value.text) or value.text for index, value in enumerate(row.values) if value.text
    }


def read_head(sheet: Sheet, at: int, choices: Choices, *, above: bool = True) -> Head:
    """The header whose main row has that index, with what is wrong with it."""
    top = at - 1 if above and at and _is_heading(sheet, at) else at
    bottom = at + 1 if _is_second(sheet, at, choices) else at
    headers = _headers(sheet, top, bottom)
    columns, problems, unknown = meanings(sheet, headers, choices)
    notes = [left_out_note(column, choices) for column in columns if not (column.key or column.name)]
    units = _units_row(sheet, bottom + 1, columns)
    if units:
        columns, found_units = units
        problems += found_units
    where = sheet.where(sheet.rows[at].line, headers[0].index if headers else 0)
    missing = [key for key in REQUIRED if key not in {column.key for column in columns}]
    if missing and not problems:
        problems.append(error("columns-missing", f"no column {', '.join(missing)}", where, HEADER_HINT))
    if sheet.rows[at].is_hidden:
        message = f"the header, row {sheet.rows[at].line}, is hidden"
        problems.append(error("column-hidden", message, where, "unhide it, or delete it"))
    body = bottom + (2 if units else 1)
    texts = tuple(_texts(row) for row in sheet.rows[top:body])
    return Head(
        top, at, body, tuple(columns), tuple(problems), tuple(unknown), bool(units), texts, tuple(notes)
    )


def meanings(
    sheet: Sheet,
    headers: Iterable[Header],
    choices: Choices,
    means: Callable[[Header, Choices], Column | Problem] = meaning,
) -> tuple[list[Column], list[Problem], list[Unknown]]:
    """The columns of the headers that are understood, the others' problems, what [columns] can answer."""
    columns: list[Column] = []
    problems: list[Problem] = []
    unknown: list[Unknown] = []
    for header in headers:
        found = _hidden(sheet, header, choices) or means(header, choices)
        if isinstance(found, Problem):
            problems.append(found)
            unknown += [Unknown(header.text, found.message)] if found.code in ASKED else []
        else:
            columns.append(found)
    twice = _twice(columns, choices)
    unknown += [Unknown(header, problem.message) for header, problem in twice if header]
    return columns, [*problems, *(problem for _, problem in twice)], unknown


def left_out_note(column: Column, choices: Choices) -> Problem:
    """The note of a column that is left out because it holds remarks."""
    message = f"column {column.header!r} holds remarks and is left out"
    return note(
        "column-skipped",
        message,
        column.where,
        f'{quoted(column.header)} = "" in {choices.place} omits this note',
    )


def _twice(columns: list[Column], choices: Choices) -> list[tuple[str, Problem]]:
    """Problems of columns that mean the same, each with the header that [columns] may leave out, if any."""
    first: dict[str, Column] = {}
    problems: list[tuple[str, Problem]] = []
    for column in columns:
        if not column.key:
            continue
        if column.key in first:
            other = first[column.key]
            message = f"two columns mean {column.key!r}"
            hint = "delete one"
            if column.header != other.header:
                message += f": {other.header!r} and {column.header!r}"
                hint = f'delete one, or leave it out: {quoted(column.header)} = "" in {choices.place}'
            header = column.header if column.header != other.header else ""
            problems.append((header, error("column-twice", message, column.where, hint)))
        first.setdefault(column.key, column)
    return problems


def _hidden(sheet: Sheet, header: Header, choices: Choices) -> Problem | None:
    """A hidden column is neither used nor dropped unseen, unless the job names it."""
    if header.index not in sheet.hidden_columns or chosen_name(header, choices) is not None:
        return None
    message = f"column {header.text!r} is hidden"
    hint = f"unhide it, delete it, or name it in {choices.place}"
    return error("column-hidden", message, header.where, hint)


# --- several rows of headings


def _covered(sheet: Sheet, at: int, below: int) -> dict[int, str]:
    """The texts of a row of headings by column, each over the columns that it covers."""
    row, lower = sheet.rows[at], sheet.rows[below]
    texts = {index: value.text for index, value in enumerate(row.values) if value.text}
    spread = dict(texts)
    for index, text in texts.items():
        merged = _merged_at(sheet, row.line, index)
        last = merged.right if merged else index
        if merged is None:
            while last + 1 not in texts and lower.value(last + 1).text and lower.value(index).text:
                last += 1
        spread |= dict.fromkeys(range(index, last + 1), text)
    return spread


def _merged_at(sheet: Sheet, line: int, column: int) -> Merged | None:
    """The cells merged across columns that hold a cell."""
    across = (each for each in sheet.merged if each.right > each.left)
    return next((each for each in across if each.holds(line, column)), None)


def _headers(sheet: Sheet, top: int, bottom: int) -> list[Header]:
    """Every column's header, with the headings above it."""
    rows = [
        _covered(sheet, at, at + 1)
        if at < bottom
        else {index: value.text for index, value in enumerate(sheet.rows[at].values) if value.text}
        for at in range(top, bottom + 1)
    ]
    headers: list[Header] = []
    for index in sorted(set().union(*rows)):
        parts = tuple(row[index] for row in rows if index in row)
        last = max(number for number, row in enumerate(rows) if index in row)
        headers.append(Header(index, parts, sheet.where(sheet.rows[top + last].line, index)))
    return headers


def _is_heading(sheet: Sheet, at: int) -> bool:
    """Whether the row above a header has headings over several columns, rather than a title."""
    row, header = sheet.rows[at - 1], sheet.rows[at]
    filled = [index for index, value in enumerate(row.values) if value.text]
    heads = [index for index, value in enumerate(header.values) if value.text]
    if not filled or not heads:
        return False
    if any(_heads_several(sheet, at, index) for index in filled):
        return True
    if filled[0] > heads[0] and filled[0] <= heads[-1]:
        return True
    return len(filled) > 1 and any(_merged_at(sheet, row.line, index) for index in filled)


def _heads_several(sheet: Sheet, at: int, index: int) -> bool:
    """Whether a cell above a header is a known heading, not a label with its value, or heads a blank."""
    words = column_words()
    row = sheet.rows[at - 1]
    name, right = (plain_word(row.value(each).text.partition("(")[0]) for each in (index, index + 1))
    if name in words.key_of and not sheet.rows[at].value(index).text:
        return True
    return name in words.groups and (not right or right in words.groups or right in words.key_of)


def _is_second(sheet: Sheet, at: int, choices: Choices) -> bool:
    """Whether the header continues in the row below: words, and no unit, box or port there."""
    if at + 1 >= len(sheet.rows):
        return False
    row = sheet.rows[at + 1]
    texts = {index: value.text for index, value in enumerate(row.values) if value.text}
    own = {index: value.text for index, value in enumerate(sheet.rows[at].values) if value.text}
    keys = column_words().key_of
    if any(_unit(text, kind) for text in texts.values() for kind in READERS_OF):
        return False
    if any(keys.get(plain_word(own.get(index, ""))) in REQUIRED for index in texts):
        return False
    return any(plain_word(text) in keys or is_word(text, choices) for text in texts.values()) and not any(
        character.isdigit() for text in texts.values() for character in text
    )


# --- a row of units


def _units_row(sheet: Sheet, at: int, columns: list[Column]) -> tuple[list[Column], list[Problem]] | None:
    """The columns with the units of the row below the header, if it is one of units; its problems."""
    if at >= len(sheet.rows):
        return None
    row = sheet.rows[at]
    kinds = column_words().kind_of
    given = {column.index: row.value(column.index).text for column in columns}
    if any(_is_filled(given[column.index]) for column in columns if column.key in REQUIRED):
        return None
    known = {
        column.index: _unit(given[column.index], kinds[column.key])
        for column in columns
        if column.key and kinds[column.key] != "text" and _is_filled(given[column.index])
    }
    if not any(known.values()):
        return None
    problems: list[Problem] = []
    named: list[Column] = []
    for column in columns:
        unit = known.get(column.index, "")
        where = sheet.where(row.line, column.index)
        if column.index in known and not unit:
            kind = kinds[column.key]
            message = f"unit {given[column.index]!r} of column {column.header!r} is not known"
            problems.append(error(UNIT_CODES[kind], message, where, f"known units: {KNOWN_UNITS[kind]}"))
        elif unit and column.unit and unit != column.unit:
            kind = kinds[column.key]
            message = f"column {column.header!r} has the unit {column.unit}, and {unit} below it"
            problems.append(error(UNIT_CODES[kind], message, where, "remove one of them"))
        named.append(replace(column, unit=column.unit or unit))
    return named, problems


def _unit(text: str, kind: ColumnKind) -> str:
    """The unit that a cell is, in brackets or not."""
    return unit_word(text.strip("()[] "), kind)


def _is_filled(text: str) -> bool:
    """Whether a cell holds a word or a sign of inches or feet, and not just dashes."""
    return any(sign.isalnum() or sign in "\"'″′" for sign in text)
