"""The words by which a schedule's columns are known, from `layouts/columns.toml`."""

from dataclasses import dataclass
from functools import cache

from tagmaker.catalog.folders import layouts
from tagmaker.catalog.tables import read_toml
from tagmaker.problems import Problem

__all__ = ["REQUIRED", "ColumnWords", "column_words", "plain_word"]

REQUIRED = ("unit", "box", "port")
"""Columns without which a row cannot be placed; a capacity may be missing while the job is a draft."""


@dataclass(frozen=True)
class ColumnWords:
    """`key_of` gives a column's key by its plain word, `kind_of` what a key holds: text, capacity, length."""

    key_of: dict[str, str]
    kind_of: dict[str, str]


def plain_word(text: str) -> str:
    """A header's word without case and punctuation."""
    return " ".join("".join(c if c.isalnum() else " " for c in text.casefold()).split())


@cache
def column_words() -> ColumnWords:
    """The columns of a schedule."""
    file = read_toml(layouts() / "columns.toml", "layouts/columns.toml")
    if isinstance(file, Problem):
        raise FileNotFoundError(file.as_text())
    key_of: dict[str, str] = {}
    kind_of: dict[str, str] = {}
    for kind, table in file.content.items():
        if isinstance(table, dict):
            for key, words in table.items():
                kind_of[key] = kind
                key_of |= {plain_word(word): key for word in words}
    return ColumnWords(key_of, kind_of)
