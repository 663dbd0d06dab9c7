"""What a cell is, before its column is asked: not what was typed, a dash, words of a total or a heading.

Takes values and texts of cells; gives why a value cannot be believed, and which words a text begins or ends
with.
"""

from collections.abc import Collection

from tagmaker.catalog.columns import column_words, plain_word
from tagmaker.files.toml import CONTROL
from tagmaker.job.schedule.sheet import MONTHS, Kind, SheetRow, Value
from tagmaker.units import Unreadable

__all__ = [
    "HIDDEN_KEY",
    "HIDDEN_LEFT_OUT",
    "UNCALCULATED_HINT",
    "begins_with",
    "cell_fault",
    "hidden_name",
    "is_dash",
    "names_total",
    "unnumbered",
]

HIDDEN_KEY = "hidden_left_out"
"""Key of [job] that names the hidden rows to leave out."""
HIDDEN_LEFT_OUT = "hidden, left out by the job"

UNCALCULATED_HINT = "open the file in a spreadsheet program, let it calculate, and save it"
NUMBERED_LEAST = 5  # letters of a word that may be numbered
FAULTS = {
    Kind.BOOLEAN: ("cell-value", "is {text}, true or false", "write it as text"),
    Kind.ERROR: ("cell-value", "is an error value, {text}", "correct the formula, or write the value"),
    Kind.FORMULA: (
        "cell-value",
        "is a formula without a stored result, {text}",
        UNCALCULATED_HINT,
    ),
    Kind.FORMATTED: (
        "cell-value",
        "is the number {text}, and its number format shows something else",
        "format the column as text, and type what the sheet shows",
    ),
    Kind.STRUCK: ("cell-value", "{text!r} is struck out", "delete it, or remove the strikethrough"),
}


def cell_fault(value: Value) -> Unreadable | None:
    """Why a value is not what was typed, or does not print."""
    if value.kind is Kind.DATE:
        hint = "format the column as text and type it again"
        return Unreadable(
            "cell-date",
            f"is a date, {value.text}: the spreadsheet converted {_typed(value.text)}",
            hint,
        )
    if value.kind in FAULTS:
        code, message, hint = FAULTS[value.kind]
        return Unreadable(code, message.format(text=value.text), hint)
    if control := CONTROL.search(value.text):
        return Unreadable(
            "file-encoding", f"holds the control character U+{ord(control[0]):04X}", "delete it"
        )
    return None


def _typed(date: str) -> str:
    """What may have been typed where a spreadsheet shows a date."""
    numbers = date.partition(" ")[0].split("-")
    months = MONTHS.split("|")
    if len(numbers) > 1 and numbers[1] in months:
        numbers = ["0000", str(months.index(numbers[1]) + 1), numbers[0]]
    if len(numbers) == 3 and len(numbers[0]) == 4 and all(number.isdigit() for number in numbers):
        month, day = int(numbers[1]), int(numbers[2])
        return f"what was typed, perhaps {month}/{day} or {day}-{month}"
    return "what was typed, perhaps 3/8 or 2-07"


def is_dash(text: str) -> bool:
    """Whether a text is blank, or dashes that people write for a blank."""
    return not text.strip("-–— ")


def unnumbered(text: str) -> str:
    """A text's plain words; of a numbered word the word alone: "SPARE-2" is a spare, no unit's tag.

    Short words stay as they are, since "NA-2" may well be a tag.
    """
    plain = plain_word(text)
    word, _, number = plain.partition(" ")
    return word if len(word) >= NUMBERED_LEAST and (number.isdigit() or len(number) == 1) else plain


def hidden_name(row: SheetRow, column: int) -> str:
    """What a hidden row is named by in the job: its tag, in that column, else its first text.

    Not its number: rows move when a sheet is edited, and another row must not be left out by it.
    """
    return row.value(column).text or next((value.text for value in row.values if value.text), "")


def begins_with(text: str, phrases: Collection[str]) -> bool:
    """Whether a text begins with one of these phrases, whole words only."""
    return _has_phrase(plain_word(text), phrases)


def _has_phrase(plain: str, phrases: Collection[str], *, at_end: bool = False) -> bool:
    """Whether plain words begin, or end, with one of these phrases."""
    words = plain.split()
    most = max((phrase.count(" ") + 1 for phrase in phrases), default=0)
    counts = range(1, min(most, len(words)) + 1)
    return any(" ".join(words[-count:] if at_end else words[:count]) in phrases for count in counts)


def names_total(text: str) -> bool:
    """Whether a text begins or ends with a word of totals."""
    plain = plain_word(text)
    totals = column_words().totals
    return _has_phrase(plain, totals) or _has_phrase(plain, totals, at_end=True)
