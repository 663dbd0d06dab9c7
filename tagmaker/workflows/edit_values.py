"""What a form gives for keys of job.toml, as the values that TOML has for them.

Takes texts as typed; gives values by key, None where a key is to be removed. A text that is none of its kind
is passed on: the reader of job.toml reports it in its own words.
"""

import datetime as dt
from collections.abc import Mapping

from tagmaker.job.edit_toml import TomlValue
from tagmaker.problems import Where
from tagmaker.workflows.edit_draft import Draft
from tagmaker.workflows.edit_kinds import Typed

__all__ = ["given", "without_empty", "words"]

NUMBERS = {"ports", "revision"}
"""Keys that hold a number where what is typed is one."""
DIGITS_AT_MOST = 6
SHOWN_OF_A_VALUE = 30  # characters of a value that the words of a change have
LINE_HINT = "write it on one line"


def given(draft: Draft, values: Mapping[str, Typed], where: Where) -> dict[str, TomlValue | None]:
    """The values of keys; a text of several lines is a problem."""
    made: dict[str, TomlValue | None] = {}
    for key, typed in values.items():
        value = _value(key, typed)
        if isinstance(value, str) and not value.isprintable():
            draft.wrong(f"{key} holds a line break or a control character", where, LINE_HINT)
        made[key] = value
    return made


def _value(key: str, typed: Typed) -> TomlValue | None:
    if isinstance(typed, list):
        items = tuple(item.strip() for item in typed if item.strip())
        return items or None
    if not isinstance(typed, str):
        return typed
    text = typed.strip()
    if not text:
        return None
    if key in NUMBERS and text.isascii() and text.isdigit() and len(text) <= DIGITS_AT_MOST:
        # a revision "02" is a text: the number 2 is another
        return int(text) if key == "ports" or str(int(text)) == text else text
    if key == "date":
        return _date(text)
    return text


def _date(text: str) -> TomlValue:
    try:
        return dt.date.fromisoformat(text)
    except ValueError:
        return text


def words(values: Mapping[str, TomlValue | None]) -> str:
    """What becomes of keys, in words: "place Hall, power removed"."""
    return ", ".join(f"{key.replace('_', ' ')} {_shown(value)}" for key, value in values.items())


def _shown(value: TomlValue | None) -> str:
    if value is None:
        return "removed"
    text = ", ".join(value) if isinstance(value, tuple) else str(value)
    return text if len(text) <= SHOWN_OF_A_VALUE else f"{text[: SHOWN_OF_A_VALUE - 1]}…"


def without_empty(values: Mapping[str, TomlValue | None]) -> dict[str, TomlValue]:
    """The keys that have a value."""
    return {key: value for key, value in values.items() if value is not None}
