"""What a column's header means: by the job's own [columns], else by the trade's words; never a choice.

Takes a header with the headings above it; gives a column, or the problem that names the ways to answer it.
Below a heading over several columns a word keeps its meaning only where `[groups]` allows it: "Length" below
"Cable" is not the pipe's run. Long texts are not searched for units, since every way to split them would be
tried.
"""

import re
from collections.abc import Iterable, Iterator

from msgspec import Struct
from msgspec.structs import replace

from tagmaker.catalog.columns import ColumnKind, column_words, plain_word
from tagmaker.files.patterns import Pattern
from tagmaker.job.schedule.kinds import KNOWN_UNITS, UNIT_CODES
from tagmaker.job.schedule.result import Choices, Column
from tagmaker.problems import Problem, Where, error
from tagmaker.units import unit_word

__all__ = [
    "Header",
    "chosen_name",
    "is_word",
    "known_name",
    "meaning",
    "name_hint",
    "near_word",
    "quoted",
    "same_header",
    "unit_in",
    "unknown_column",
]

UNIT_IN_HEADER = Pattern(r"(.*?)\s*[(\[]\s*([^)\]]*)\s*[)\]]\s*", re.DOTALL)
BREAK = Pattern(r"\s*[,/;:]\s*|\s+[-–]\s+|\s+")
AND = Pattern(r"\s*[/&+,]\s*|\s+and\s+", re.IGNORECASE)
SLIP_LEAST = 4  # letters of a word that a slip may change; a shorter one is soon another word
HEADER_AT_MOST = 120  # characters; in longer texts no unit is looked for, which takes time
SEVERAL_HINT = "give each its own column"


class Header(Struct, frozen=True):
    """A column's header: its own text and the texts above it, from the top."""

    index: int
    parts: tuple[str, ...]
    where: Where

    @property
    def text(self) -> str:
        """The whole header as problems name it."""
        return " / ".join(self.parts)


def quoted(text: str) -> str:
    """A text as a TOML key or value, so that a hint can be copied."""
    if '"' in text and "'" not in text and text.isprintable():
        return f"'{text}'"
    plain = text.replace("\\", "\\\\").replace('"', '\\"')
    return '"' + "".join(sign if sign.isprintable() else f"\\U{ord(sign):08X}" for sign in plain) + '"'


def chosen_name(header: Header, choices: Choices) -> str | None:
    """The name in [columns] that means this header: by its whole text, its own, or that without its unit."""
    own = header.parts[-1]
    texts = [header.text, " ".join(header.parts), own, *(name for name, _ in _splits(own))]
    names = {_key(name): name for name in choices.columns}
    return next((names[_key(text)] for text in texts if _key(text) in names), None)


def same_header(one: str, other: str) -> bool:
    """Whether two texts are the same header, apart from case and punctuation."""
    return _key(one) == _key(other)


def _key(text: str) -> str:
    """A name for comparison; one of nothing but punctuation is kept as it is."""
    return plain_word(text) or " ".join(text.split())


def is_word(text: str, choices: Choices) -> bool:
    """Whether a text is a word by which some column is known, whichever it is."""
    words = column_words()
    names = {_key(name) for name in choices.columns}
    return any(
        _key(name) in names or plain_word(name) in words.key_of or plain_word(name) in words.ambiguous
        for name, _ in ((text, ""), *_bracketed(text), *_known_splits(text))
    )


def meaning(header: Header, choices: Choices) -> Column | Problem:
    """The column that a header means, or why that is unclear."""
    name = chosen_name(header, choices)
    if name is not None:
        return _chosen(header, name, choices)
    if len(header.parts) > 1:
        return _grouped(header, choices)
    return _plain(header, header.parts[-1], choices)


def known_name(value: str) -> bool:
    """Whether a value of [columns] is a column's key, alone or with a unit of its kind in brackets."""
    kinds = column_words().kind_of
    key, unit = next(_bracketed(value), (value, ""))
    return key in kinds and (not unit or bool(unit_word(unit, kinds[key])))


def _chosen(header: Header, name: str, choices: Choices) -> Column | Problem:
    """A column as the job names it; its unit is in its name there or in the header."""
    value = choices.columns[name]
    if not value:
        return Column(header.index, header.text, header.where, "", name=name)
    key, unit = next(_bracketed(value), (value, ""))
    own = unit_in(header.parts[-1], column_words().kind_of[key])
    given = unit_word(unit, column_words().kind_of[key]) if unit else ""
    if own and given and own != given:
        message = f"column {header.text!r} has its unit in the header and another in [columns]"
        return error("value-wrong", message, header.where, "remove one of them")
    return Column(header.index, header.text, header.where, key, own or given, name)


def unit_in(text: str, kind: ColumnKind) -> str:
    """A unit that a header ends with, if it is one of the kind."""
    return next((known for _, unit in _splits(text) if (known := unit_word(unit, kind))), "")


def _grouped(header: Header, choices: Choices) -> Column | Problem:
    """A header below a heading over several columns: known together, or known alone and allowed there."""
    words = column_words()
    *above, own = header.parts
    heading, unit = next(_bracketed(" ".join(above)), (" ".join(above), ""))
    together = _plain(header, f"{heading} {own}", choices)
    if isinstance(together, Column):
        return _with_unit(together, unit)
    alone = _plain(header, own, choices)
    if isinstance(alone, Problem):
        return together if alone.code == "column-unknown" else alone
    if alone.key and alone.key not in words.groups.get(plain_word(heading), ()):
        hint = f"{name_hint(header, choices)}; if {heading!r} is a title, leave a blank row below it"
        return error("column-unknown", f"unknown column {header.text!r}", header.where, hint)
    return _with_unit(alone, unit)


def _with_unit(column: Column, unit: str) -> Column:
    """A column with its heading's unit, where it has none of its own."""
    kind = column_words().kind_of.get(column.key, "text")
    return replace(column, unit=column.unit or unit_word(unit, kind))


def _plain(header: Header, text: str, choices: Choices) -> Column | Problem:
    """A column by the trade's words, its unit in the header; one of remarks has no key."""
    words = column_words()
    if plain_word(text) in words.remarks:
        return Column(header.index, header.text, header.where, "")
    if len(both := _several(text)) > 1:
        message = f"column {header.text!r} holds several values: {', '.join(both)}"
        return error("column-ambiguous", message, header.where, SEVERAL_HINT)
    splits = [*_known_splits(text), (text, "")]
    for name, unit in splits:
        key = words.key_of.get(plain_word(name))
        if key:
            kind = words.kind_of[key]
            return Column(header.index, header.text, header.where, key, unit_word(unit, kind) if unit else "")
    return _unknown(header, text, choices)


def _several(text: str) -> list[str]:
    """The keys of which a header names more than one: "Box / port", "Liquid & gas (in)"."""
    words = column_words()
    name, _ = next(_bracketed(text), (text, ""))
    keys = [words.key_of.get(plain_word(part), "") for part in AND.split(name)]
    return list(dict.fromkeys(keys)) if all(keys) else []


def _unknown(header: Header, text: str, choices: Choices) -> Problem:
    """Why a header is not understood: an unknown unit, several meanings, another thing, or no known word."""
    words = column_words()
    name, unit = next(_bracketed(text), (text, ""))
    key = words.key_of.get(plain_word(name))
    if key and unit:
        kind = words.kind_of[key]
        code = UNIT_CODES.get(kind, "column-unknown")
        hint = f"known units: {KNOWN_UNITS[kind]}" if kind != "text" else f"{key!r} has no unit"
        return error(code, f"column {header.text!r} has a unit that is not known", header.where, hint)
    for each in (name, text, *(split for split, _ in _splits(text))):
        if meanings := words.ambiguous.get(plain_word(each)):
            means = f"{', '.join(meanings[:-1])} or {meanings[-1]}"
            message = f"column {header.text!r} could mean {means}"
            hint = name_hint(header, choices, meanings[0])
            return error("column-ambiguous", message, header.where, hint)
    return unknown_column(header, text, words.key_of, choices)


def unknown_column(header: Header, text: str, known: Iterable[str], choices: Choices) -> Problem:
    """A header of no known word, with the known one that it misspells, if there is one."""
    message = f"unknown column {header.text!r}"
    if other := column_words().others.get(plain_word(text)):
        message += f": {other}"
    near = "" if other else near_word(plain_word(text), known)
    hint = name_hint(header, choices)
    return error(
        "column-unknown", message, header.where, f"did you mean {near!r}? – or {hint}" if near else hint
    )


def name_hint(header: Header, choices: Choices, key: str = "") -> str:
    """How the job's [columns] names a header; without a key, how it leaves the column out."""
    if key:
        return f'say which in {choices.place}: {quoted(header.text)} = "{key}", or "" to leave it out'
    return f'name it in {choices.place}: {quoted(header.text)} = "" leaves it out'


def near_word(text: str, known: Iterable[str]) -> str:
    """The one known word that a text misspells: as many words, each right or a slip away; else nothing.

    A looser comparison would propose "port no" for "PO no", which is another thing.
    """
    own = text.split()
    near = {
        word
        for word in known
        if word != text
        and len(parts := word.split()) == len(own)
        and all(a == b or _is_slip(a, b) for a, b in zip(own, parts, strict=True))
    }
    return near.pop() if len(near) == 1 else ""


def _is_slip(text: str, word: str) -> bool:
    """Whether a word of four letters or more has one letter missing, added or wrong, or two exchanged."""
    if len(word) < SLIP_LEAST or text[:1] != word[:1] or abs(len(text) - len(word)) > 1:
        return False
    at = next(
        (at for at, (a, b) in enumerate(zip(text, word, strict=False)) if a != b), min(len(text), len(word))
    )
    rest, right = text[at:], word[at:]
    exchanged = rest[:2] == right[:2][::-1] and rest[2:] == right[2:]
    return exchanged or rest[1:] == right[1:] or rest[1:] == right or rest == right[1:]


def _bracketed(text: str) -> Iterator[tuple[str, str]]:
    """A text's name and what is in brackets at its end, if anything is."""
    if len(text) <= HEADER_AT_MOST and (match := UNIT_IN_HEADER.fullmatch(text)):
        yield match[1], match[2]


def _splits(text: str) -> Iterator[tuple[str, str]]:
    """Every way in which a header could be a name and a unit: brackets, comma, slash, dash, space."""
    yield from _bracketed(text)
    for sign in BREAK.finditer(text if len(text) <= HEADER_AT_MOST else ""):
        yield text[: sign.start()], text[sign.end() :].strip("()[] ")


def _known_splits(text: str) -> Iterator[tuple[str, str]]:
    """Those whose name is a column of numbers and whose unit is one of its kind."""
    words = column_words()
    for name, unit in _splits(text):
        if unit_word(unit, words.kind_of.get(words.key_of.get(plain_word(name), ""), "text")):
            yield name, unit
