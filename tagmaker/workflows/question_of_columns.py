"""Questions about columns: what a header means, in which unit its bare numbers are, which of two counts.

Takes the schedules of a job as read, and their problems; gives a question for each header that the job's
[columns] can answer, with cells from below it.
"""

from collections.abc import Iterator, Sequence

from msgspec import Struct

from tagmaker.catalog.columns import REQUIRED, column_words, plain_word
from tagmaker.job.schedule.columns import Header, meaning, near_word, unit_in
from tagmaker.job.schedule.kinds import KNOWN_UNITS, READERS_OF, UNIT_CODES
from tagmaker.job.schedule.result import Choices, Column, ReadSheet
from tagmaker.job.schedule.sheet import Sheet
from tagmaker.job.sources import Source
from tagmaker.problems import Problem, column_letters
from tagmaker.units import Unreadable, unit_word
from tagmaker.workflows.edit_kinds import AnswerColumn
from tagmaker.workflows.question_records import Choice, Question, question_id

__all__ = ["LABELS", "column_meanings", "column_questions", "unused_columns"]

OF_UNITS = frozenset(UNIT_CODES.values())
COLUMN_CODES = {"column-unknown", "column-ambiguous", "column-hidden", "column-twice", *OF_UNITS}
"""Problems of headers; those of a cell have the same codes, and no header of their text."""
LABELS = {
    "unit": "indoor unit's tag", "box": "box's tag", "port": "port", "room": "room", "address": "address",
    "capacity": "capacity", "liquid": "liquid line", "gas": "gas line", "insulation": "insulation wall",
    "run": "run length", "cable": "cable jacket", "room_volume": "volume of the room",
}  # fmt: skip
"""What a column holds, in words, by its key."""
RUN_UNITS, TUBE_UNITS = ("ft", "m"), ("in", "mm")
LEAVE_OUT, TAKE_BACK = "leave it out", "take back"
TAG_OF_BOX = "tag"  # a key that only the columns of a sheet of boxes have
UNIT_HINT = "or write the unit in the header, in the spreadsheet program"
HINTS = {
    "column-hidden": "or unhide it, or delete it, in the spreadsheet program",
    "column-twice": "or delete one in the spreadsheet program",
    **dict.fromkeys(OF_UNITS, UNIT_HINT),
}
"""What answers a question beside its choices."""
SAMPLES = 4
LOOKED_AT = 200  # rows below a header from which cells are shown


class _Place(Struct, frozen=True):
    """A header that is asked about: its whole text, its sheet as written and as read, its column from 0."""

    header: str
    sheet: Sheet
    read: ReadSheet
    index: int
    line: int

    @property
    def texts(self) -> list[str]:
        """The filled cells below it."""
        below = (row for row in self.sheet.rows[self.line : self.line + LOOKED_AT])
        return [value.text for row in below if (value := row.value(self.index)).text]

    @property
    def taken(self) -> set[str]:
        """The keys that other columns of its sheet have."""
        return {column.key for column in self.read.columns if column.index != self.index}


def column_questions(sources: Sequence[Source], problems: Sequence[Problem]) -> Iterator[Question]:
    """A question for each header with a problem, once for all sheets that have it."""
    asked: set[str] = set()
    for source in sources:
        for read in source.schedule.sheets:
            sheet = next(each for each in source.sheets if each.where() == read.where)
            for unknown in read.unknown:
                found = [each for each in problems if _is_about(each, unknown.message)]
                if found and unknown.header not in asked:
                    asked.add(unknown.header)
                    at = found[0].where
                    yield _question(_Place(unknown.header, sheet, read, at.column - 1, at.line), found[0])
            yield from _missing(sheet, read, problems)


def _is_about(problem: Problem, message: str) -> bool:
    """Whether a problem is the one of a header; other sheets with the same header are joined to it."""
    return problem.code in COLUMN_CODES and problem.message.startswith(message)


def _question(place: _Place, problem: Problem) -> Question:
    """The question of one header."""
    return Question(
        id=question_id("column", place.header),
        where=problem.where,
        text=problem.message,
        choices=tuple(_choices(place, problem)),
        samples=tuple(dict.fromkeys(place.texts))[:SAMPLES],
        hint=HINTS.get(problem.code, ""),
    )


def _choices(place: _Place, problem: Problem) -> list[Choice]:
    """What a header can be, by what is wrong with it."""
    out = Choice(LEAVE_OUT, _left_out(place), (AnswerColumn(place.header, ""),))
    if problem.code in OF_UNITS:
        key = next(column.key for column in place.read.columns if column.index == place.index)
        return [*_meaning_choices(place.header, key, place.texts), *([] if key in REQUIRED else [out])]
    if problem.code == "column-twice":
        return _of_two(place)
    if any(column.key == TAG_OF_BOX for column in place.read.columns):
        return [out]  # on a sheet of boxes [columns] can do nothing else
    likely = _likely(place)
    others = [key for key in LABELS if key not in likely and key not in place.taken]
    return [*_named(place, likely, is_likely=True), out, *_named(place, others, is_likely=False)]


def _named(place: _Place, keys: Sequence[str], *, is_likely: bool) -> list[Choice]:
    """The choices of several keys."""
    chosen = (_meaning_choices(place.header, key, place.texts, is_likely=is_likely) for key in keys)
    return [choice for choices in chosen for choice in choices]


def _meaning_choices(header: str, key: str, texts: Sequence[str], *, is_likely: bool = True) -> list[Choice]:
    """The choices that make a header one column: a choice for each unit where its numbers have none."""
    units = _units(key) if _needs_unit(header, key, texts) else ()
    if not units:
        return [Choice(key, LABELS[key], (AnswerColumn(header, key),), is_likely=is_likely)]
    return [
        Choice(
            f"{key} ({unit})",
            f"{LABELS[key]} ({unit})",
            (AnswerColumn(header, key, unit),),
            is_likely=is_likely,
        )
        for unit in units
    ]


def _units(key: str) -> tuple[str, ...]:
    kind = column_words().kind_of[key]
    if kind == "length":
        return RUN_UNITS if key == "run" else TUBE_UNITS
    return tuple(KNOWN_UNITS[kind].split(", "))


def _needs_unit(header: str, key: str, texts: Sequence[str]) -> bool:
    """Whether bare numbers are below a header that names no unit, nor does the row below it."""
    kind = column_words().kind_of[key]
    own = header.rpartition(" / ")[2]
    if (
        kind == "text"
        or unit_in(own, kind)
        or any(unit_word(text.strip("()[] "), kind) for text in texts[:1])
    ):
        return False
    found = (READERS_OF[kind](text, "") for text in texts)
    return any(isinstance(each, Unreadable) and each.code == UNIT_CODES[kind] for each in found)


def _left_out(place: _Place) -> str:
    """What leaving a column out says: what else its word can mean, that no column of a job holds."""
    words = column_words()
    others = [each for each in _meanings(place.header) if each not in words.kind_of]
    return f"{LEAVE_OUT}: {', '.join(others)}" if others else LEAVE_OUT


def _meanings(header: str) -> tuple[str, ...]:
    """What the last part of a header could mean, its unit aside."""
    own = header.rpartition(" / ")[2]
    words = column_words().ambiguous
    return words.get(plain_word(own)) or words.get(plain_word(own.partition("(")[0])) or ()


def _likely(place: _Place) -> list[str]:
    """The keys that a header may well be: what its word can mean, or what it means but for being hidden."""
    words = column_words()
    header = Header(place.index, tuple(place.header.split(" / ")), place.sheet.where(place.line, place.index))
    means = meaning(header, Choices(of_job=True))
    if isinstance(means, Column):
        return [means.key] if means.key and means.key not in place.taken else []
    near = words.key_of.get(near_word(plain_word(header.parts[-1]), words.key_of), "")
    return [
        key for key in (*_meanings(place.header), near) if key in words.kind_of and key not in place.taken
    ]


def _of_two(place: _Place) -> list[Choice]:
    """Which of two columns of one meaning is left out."""
    key = next(column.key for column in place.read.columns if column.index == place.index)
    same = [column for column in place.read.columns if column.key == key]
    return [
        Choice(
            f"without {column_letters(column.index + 1)}",
            f"leave out column {column_letters(column.index + 1)}, {column.header!r}",
            (AnswerColumn(column.header, ""),),
        )
        for column in same
    ]


def column_meanings(source: Source, number: int) -> Iterator[Question]:
    """For each column of a sheet that is understood: another meaning that the job can give it.

    Each is a question that needs no answer: its text is the meaning today.
    """
    sheet = source.sheets[number]
    read = next((each for each in source.schedule.sheets if each.where == sheet.where()), None)
    columns = read.columns if read and not read.boxes else ()
    headers: set[str] = set()
    for column in columns:
        if read and column.header not in headers:
            headers.add(column.header)
            place = _Place(column.header, sheet, read, column.index, column.where.line)
            yield _meaning_of(place, column)


def _meaning_of(place: _Place, column: Column) -> Question:
    """What a column could mean instead."""
    header = column.name or column.header
    keys = [key for key in LABELS if key not in place.taken and key != column.key]
    choices = [
        *([Choice(TAKE_BACK, "as its header says", (AnswerColumn(header, None),))] if column.name else []),
        *([Choice(LEAVE_OUT, LEAVE_OUT, (AnswerColumn(header, ""),))] if column.key else []),
        *_named(place, keys, is_likely=True),
    ]
    today = f"{LABELS.get(column.key, column.key)}{f' ({column.unit})' if column.unit else ''}"
    return Question(
        id=question_id("meaning", column.header),
        where=column.where,
        text=today if column.key else "left out",
        choices=tuple(choices),
        samples=(column.header,),
        is_needed=False,
    )


def _missing(sheet: Sheet, read: ReadSheet, problems: Sequence[Problem]) -> Iterator[Question]:
    """For each column that a sheet must have and has not: which of those left out it is."""
    problem = next((each for each in problems if each.code == "columns-missing" and _is_in(each, read)), None)
    spare = [column for column in read.columns if not column.key]
    if problem is None or not spare:
        return
    for key in REQUIRED:
        if key not in {column.key for column in read.columns}:
            choices = (
                Choice(
                    f"column {column_letters(column.index + 1)}",
                    f"column {column_letters(column.index + 1)}, {column.header!r}",
                    (AnswerColumn(column.name or column.header, key),),
                )
                for column in spare
            )
            text = f"no column is the {LABELS[key]}: which one is it?"
            yield Question(
                question_id("missing", sheet.name, key),
                problem.where,
                text,
                tuple(choices),
                hint=problem.hint,
            )


def _is_in(problem: Problem, read: ReadSheet) -> bool:
    at = problem.where
    return (at.file, at.sheet, at.line > 0) == (read.where.file, read.where.sheet, True)


def unused_columns(
    choices: Choices, sources: Sequence[Source], problems: Sequence[Problem]
) -> Iterator[Question]:
    """For each answer in [columns] that no schedule has a header for: remove it."""
    columns = [column for each in sources for sheet in each.schedule.sheets for column in sheet.columns]
    used = {column.name for column in columns}
    for name in choices.columns:
        found = [each for each in problems if each.message == f"no schedule has a column {name!r}"]
        if name not in used and found:
            remove = Choice("remove", f"remove the answer for {name!r}", (AnswerColumn(name, None),))
            yield Question(
                question_id("unused", name), found[0].where, found[0].message, (remove,), hint=found[0].hint
            )
