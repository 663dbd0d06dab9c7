"""Typed reading of TOML: every wrong, missing or unknown key becomes a problem with its file and line.

Takes a file by path; gives a `TomlFile`, or the one problem with it. A reader of a certain kind of file takes
its keys from `Table`s, one call a key, and goes on after a wrong one with a default, so that one run reports
all mistakes. Whoever judges the result looks at the list of problems, not at the values.

Python's own tomllib is the same parser, of the version that each Python came with, and three times slower.
"""

import datetime as dt
import re
from collections.abc import Iterable, Mapping
from functools import cached_property
from pathlib import Path
from types import MappingProxyType
from typing import TypeGuard, TypeVar

import tomli
from msgspec import Struct

from tagmaker.files.near import did_you_mean
from tagmaker.files.plain import is_plain_file, plain_size, read_plain, why_not_plain
from tagmaker.files.toml_lines import Path as KeyPath
from tagmaker.files.toml_lines import key_lines
from tagmaker.measures import Measure
from tagmaker.problems import CONTROL, Problem, Where, error
from tagmaker.units import Capacity, Length, Unreadable, read_capacity, read_length

__all__ = [
    "CONTROL",
    "FILE_BYTES_AT_MOST",
    "QUANTITY",
    "TAG",
    "KeyRead",
    "Table",
    "TomlFile",
    "did_you_mean",
    "parsed_toml",
    "plain_text",
    "read_bytes",
    "read_text",
    "read_toml",
    "toml_of",
]

TAG = re.compile(r"[A-Za-z0-9][A-Za-z0-9-]{0,23}", re.ASCII)
Kind = TypeVar("Kind", bound=Measure)
Quantity = TypeVar("Quantity", bound=Capacity | Length | Measure)  # Python 3.11 has no other way to write it
Choice = TypeVar("Choice", bound=str)
FILE_BYTES_AT_MOST = 20_000_000
TOML_BYTES_AT_MOST = 8_000_000  # some 2,000 boxes with all their units; read, it takes fifty times as much
TABLES_AT_MOST = 100
UNKNOWN_REPORTED = 10  # of one table; a file of another kind has hundreds
TEXT_AT_MOST = 200  # characters, of a text whose reader gives no other limit
KEY_PARTS_AT_MOST = 32
KEY_PART = r"""(?:[A-Za-z0-9_-]++|"[^"\n]*+"|'[^'\n]*+')[ \t]*+\.[ \t]*+"""
# of a key's parts: tomli's time and memory grow with the square of their number. Runs are possessive (++),
# since a pattern that gives back what it took needs the square of the time as well
NESTED = re.compile(rf"(?<![A-Za-z0-9_-])(?:{KEY_PART}){{{KEY_PARTS_AT_MOST}}}")
NUMBER_DIGITS_AT_MOST = 64  # Python refuses to convert longer numbers with an exception of its own
LONG_NUMBER = re.compile(
    r"0x[0-9a-f_]{N}|0[ob][0-7_]{N}|\d[\d_]{N}".replace("N", str(NUMBER_DIGITS_AT_MOST)),
    re.ASCII | re.IGNORECASE,
)
SHALLOW = 100  # brackets of any kind: with so few, none are nested too deeply
MOST = 10**6
ANY: Mapping[str, object] = MappingProxyType({})
QUANTITY = {"type": "string", "pattern": "^[0-9.]"}  # a number with its unit


class KeyRead(Struct, frozen=True):
    """A key that a reader took, and what it may hold as JSON Schema."""

    path: KeyPath
    schema: Mapping[str, object]
    required: bool


class TomlFile(Struct, frozen=True, dict=True):
    """A parsed TOML file: the name shown in problems, its content, and the text that this was.

    Where `asked` is a list, every key that is taken is noted there: that is how schemas are made.
    """

    shown: str
    content: Mapping[str, object]
    text: str
    asked: list[KeyRead] | None = None

    @cached_property
    def lines(self) -> Mapping[KeyPath, int]:
        """The line of every key; nobody asks for those of a file of the program's own that is sound."""
        return key_lines(self.text)

    def where(self, path: KeyPath) -> Where:
        """The place of a key, or of the nearest table around it."""
        while path and path not in self.lines:
            path = path[:-1]
        return Where(self.shown, self.lines.get(path, 0))


def read_bytes(path: Path, shown: str, at_most: int = FILE_BYTES_AT_MOST) -> bytes | Problem:
    """A file's bytes, or the problem with it."""
    try:
        if not is_plain_file(path):
            return error("file-unreadable", f"{shown} {why_not_plain(path)}", Where(shown))
        if plain_size(path) > at_most:
            return error("file-unreadable", f"{shown} is larger than {at_most // 10**6} MB", Where(shown))
        return read_plain(path, at_most)
    except OSError as reason:
        return error("file-unreadable", f"{shown} cannot be read: {reason.strerror}", Where(shown))


def read_text(path: Path, shown: str, at_most: int = FILE_BYTES_AT_MOST) -> str | Problem:
    """A file's UTF-8 text, with or without a byte order mark, or the problem with it."""
    content = read_bytes(path, shown, at_most)
    if isinstance(content, Problem):
        return content
    try:
        text = content.decode("utf-8-sig")
    except UnicodeDecodeError as reason:
        line = reason.object[: reason.start].count(b"\n") + 1
        hint = "save it as UTF-8 text"
        return error("file-encoding", f"{shown} is not UTF-8 text", Where(shown, line), hint)
    return plain_text(text, shown)


def plain_text(text: str, shown: str) -> str | Problem:
    """A text with plain line ends, or the problem with a control character in it."""
    text = text.replace("\r\n", "\n").replace("\r", "\n")
    if control := CONTROL.search(text):
        line = text.count("\n", 0, control.start()) + 1
        message = f"{shown} holds the control character U+{ord(control[0]):04X}"
        return error("file-encoding", message, Where(shown, line), "delete it; it would not print")
    return text


def read_toml(path: Path, shown: str) -> TomlFile | Problem:
    """A TOML file with the lines of its keys, or the problem with it."""
    text = read_text(path, shown, TOML_BYTES_AT_MOST)
    return text if isinstance(text, Problem) else parsed_toml(text, shown)


def toml_of(text: str, shown: str = "", asked: list[KeyRead] | None = None) -> TomlFile:
    """A text of the program's own, sound, as a file; without a name it has no place."""
    return TomlFile(shown, tomli.loads(text), text if shown else "", asked)


def parsed_toml(text: str, shown: str) -> TomlFile | Problem:
    """A text as TOML; what tomli would take too long for is refused before it is parsed."""
    if odd := NESTED.search(text) or LONG_NUMBER.search(text):
        what = "a key of too many parts" if odd.re is NESTED else "a number of too many digits"
        return error("toml-syntax", what, Where(shown, text.count("\n", 0, odd.start()) + 1))
    try:
        file = TomlFile(shown, tomli.loads(text), text)
        if text.count("[") + text.count("{") > SHALLOW:
            file.lines  # noqa: B018 — found here, since that fails where brackets are nested deeply
    except tomli.TOMLDecodeError as reason:
        line = re.search(r"line (\d+)", str(reason))
        at = int(line[1]) if line else text.count("\n") + 1
        return error("toml-syntax", f"not valid TOML: {reason}", Where(shown, at))
    except RecursionError:
        return error("toml-syntax", "not valid TOML: nested too deeply", Where(shown))
    return file


class Table(Struct):
    """A TOML table being read: each call takes one key, `close` reports the keys left.

    `boxes` are those that a problem in this table touches; without any, a problem touches the whole job.
    """

    file: TomlFile
    problems: list[Problem]
    path: KeyPath = ()
    content: Mapping[str, object] = {}
    boxes: tuple[str, ...] = ()
    taken: set[str] = set()

    @classmethod
    def whole(cls, file: TomlFile, problems: list[Problem]) -> "Table":
        """The file's outermost table."""
        return cls(file, problems, (), file.content)

    def where(self, key: str = "") -> Where:
        """The place of a key, or of the table."""
        return self.file.where((*self.path, key) if key else self.path)

    def wrong(self, code: str, key: str, message: str, hint: str = "") -> None:
        """Note a problem at a key."""
        self.problems.append(error(code, message, self.where(key), hint, self.boxes))

    def has(self, key: str) -> bool:
        """Whether the table has the key."""
        return key in self.content

    def take(self, key: str, schema: Mapping[str, object] = ANY, *, required: bool = False) -> object:
        """The raw value of a key, None where it is absent; `schema` is what it may hold."""
        self.taken.add(key)
        if self.file.asked is not None:
            self.file.asked.append(KeyRead((*self.path, key), schema, required))
        value = self.content.get(key)
        if value is None and required:
            name = ".".join(str(part) for part in (*self.path, key) if isinstance(part, str))
            self.wrong("key-missing", key, f"key {name!r} is missing")
        return value

    def text(
        self, key: str, default: str = "", *, required: bool = False, at_most: int = TEXT_AT_MOST
    ) -> str:
        """A one-line text."""
        value = self.take(key, {"type": "string", "maxLength": at_most}, required=required)
        if value is None:
            return default
        if not _is_line(value) or len(value) > at_most:
            self.wrong("value-wrong", key, f"{key!r} must be one line of text, at most {at_most} characters")
            return default
        if required and not value.strip():
            self.wrong("value-wrong", key, f"{key!r} is empty")
        return value.strip()

    def choice(self, key: str, known: Iterable[Choice], default: Choice) -> Choice:
        """A text that must be one of those known; its type is theirs, so that a reader's typo is an error."""
        words = list(known)
        self.take(key, {"enum": words})
        value = self.text(key, default)
        for word in words:
            if word == value:
                return word
        self.wrong("value-wrong", key, f"{key!r} cannot be {value!r}", did_you_mean(value, words))
        return default

    def tag(self, key: str, *, required: bool = True) -> str:
        """A tag: 1 to 24 letters, digits and hyphens."""
        self.take(key, {"pattern": f"^{TAG.pattern}$"})
        value = self.text(key, required=required)
        if value and not TAG.fullmatch(value):
            self.wrong("tag-wrong", key, f"{key} {value!r} is not a valid tag", TAG_HINT)
        return value

    def whole_number(
        self, key: str, default: int = 0, *, least: int = 0, at_most: int = MOST, required: bool = False
    ) -> int:
        """A whole number from `least` to `at_most`."""
        schema = {"type": "integer", "minimum": least, "maximum": at_most}
        value = self.take(key, schema, required=required)
        if value is None:
            return default
        if not isinstance(value, int) or isinstance(value, bool) or not least <= value <= at_most:
            most = f"{least} to {at_most}" if at_most < MOST else f"{least} or more"
            self.wrong("value-wrong", key, f"{key!r} must be a whole number, {most}")
            return default
        return value

    def number(self, key: str, default: float = 0.0, *, required: bool = False) -> float:
        """A number of zero or more."""
        value = self.take(key, {"type": "number", "minimum": 0, "maximum": MOST}, required=required)
        if value is None:
            return default
        if not isinstance(value, int | float) or isinstance(value, bool) or not 0 <= value <= MOST:
            self.wrong("value-wrong", key, f"{key!r} must be a number, 0 or more")
            return default
        return float(value)

    def flag(self, key: str) -> bool:
        """True or false; false where it is absent."""
        value = self.take(key, {"type": "boolean"})
        if value is not None and not isinstance(value, bool):
            self.wrong("value-wrong", key, f"{key!r} must be true or false")
        return value is True

    def numbers(
        self, key: str, count: int, *, required: bool = True, least: float = 0.0
    ) -> tuple[float, ...]:
        """A list of so many numbers, none below `least`."""
        item = {"type": "number", "minimum": least, "maximum": MOST}
        schema = {"type": "array", "items": item, "minItems": count, "maxItems": count}
        value = self.take(key, schema, required=required)
        if value is None:
            return (0.0,) * count
        items = value if isinstance(value, list) else []
        good = [
            float(item)
            for item in items
            if isinstance(item, int | float) and not isinstance(item, bool) and least <= item <= MOST
        ]
        if len(items) != count or len(good) != count:
            self.wrong("value-wrong", key, f"{key!r} must be a list of {count} numbers, {least:g} or more")
            return (0.0,) * count
        return tuple(good)

    def whole_numbers(self, key: str) -> tuple[int, ...]:
        """A list of whole numbers of at least 1, not empty."""
        schema = {"type": "array", "items": {"type": "integer", "minimum": 1}, "minItems": 1}
        value = self.take(key, schema, required=True)
        items = value if isinstance(value, list) else []
        good = [item for item in items if isinstance(item, int) and not isinstance(item, bool) and item >= 1]
        if value is not None and (not items or len(good) != len(items)):
            self.wrong("value-wrong", key, f"{key!r} must be a list of whole numbers, 1 or more")
        return tuple(good)

    def texts(self, key: str) -> tuple[str, ...]:
        """A list of texts, or a single text; empty where the key is absent."""
        value = self.take(key, {"type": ["string", "array"], "items": {"type": "string"}})
        items = [value] if isinstance(value, str) else value
        if items is None:
            return ()
        if not isinstance(items, list) or not all(_is_line(item) and item.strip() for item in items):
            self.wrong("value-wrong", key, f"{key!r} must be a text or a list of texts")
            return ()
        return tuple(item.strip() for item in items)

    def date(self, key: str) -> dt.date | None:
        """A TOML date without a time."""
        value = self.take(key, {"type": "string", "format": "date"})
        if value is None:
            return None
        if not isinstance(value, dt.date) or isinstance(value, dt.datetime):
            self.wrong("value-wrong", key, f"{key!r} must be a date without quotes, like 2026-04-30")
            return None
        return value

    def capacity(self, key: str, *, required: bool = False) -> Capacity | None:
        """A capacity with its unit."""
        value = self.take(key, QUANTITY, required=required)
        if value is None:
            return None
        return self._quantity(key, read_capacity(_as_text(value)))

    def length(self, key: str, *, required: bool = False) -> Length | None:
        """A length with its unit."""
        value = self.take(key, QUANTITY, required=required)
        if value is None:
            return None
        return self._quantity(key, read_length(_as_text(value)))

    def measure(self, key: str, kind: type[Kind], *, required: bool = False) -> Kind | None:
        """A measure of a kind, with its unit."""
        value = self.take(key, QUANTITY, required=required)
        return None if value is None else self._quantity(key, kind.read(_as_text(value)))

    def _quantity(self, key: str, read: Quantity | Unreadable) -> Quantity | None:
        """A quantity that was read, or None with its problem noted."""
        if isinstance(read, Unreadable):
            self.wrong(read.code, key, read.message, read.hint)
            return None
        return read

    def table(self, key: str) -> "Table":
        """A table under this one, empty where it is absent."""
        value = self.take(key, {"type": "object"})
        if value is not None and not isinstance(value, dict):
            self.wrong("value-wrong", key, f"{key!r} must be a table: write [{key}]")
        content = value if isinstance(value, dict) else {}
        return Table(self.file, self.problems, (*self.path, key), content)

    def tables(self, key: str, at_most: int = TABLES_AT_MOST) -> "list[Table]":
        """An array of tables under this one, empty where it is absent."""
        value = self.take(key, {"type": "array", "items": {"type": "object"}})
        if value is None:
            return []
        if not isinstance(value, list) or not all(isinstance(item, dict) for item in value):
            self.wrong("value-wrong", key, f"{key!r} must be an array of tables: write [[{key}]]")
            return []
        if len(value) > at_most:
            self.wrong("value-wrong", key, f"there are {len(value):,} [[{key}]]; the limit is {at_most:,}")
        return [
            Table(self.file, self.problems, (*self.path, key, index), item)
            for index, item in enumerate(value[:at_most])
        ]

    def close(self) -> None:
        """Report each key that no call took, with the nearest key that one did; call it last."""
        unknown = [key for key in self.content if key not in self.taken]
        for key in unknown[:UNKNOWN_REPORTED]:
            self.wrong("key-unknown", key, f"unknown key {key!r}", did_you_mean(key, sorted(self.taken)))
        if more := unknown[UNKNOWN_REPORTED:]:
            self.wrong("key-unknown", more[0], f"{len(more)} more unknown keys after this one")


TAG_HINT = "use 1 to 24 letters, digits and hyphens, beginning with a letter or digit"


def _is_line(value: object) -> TypeGuard[str]:
    """Whether a value is text that prints on one line; TOML escapes get past the file's own check."""
    return isinstance(value, str) and not CONTROL.search(value) and "\n" not in value and "\t" not in value


def _as_text(value: object) -> str:
    """A bare number as text: it has no unit, which is then the problem reported."""
    return value if isinstance(value, str) else str(value)
