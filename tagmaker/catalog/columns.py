"""The words by which a schedule's columns and rows are known, from `layouts/columns.toml`.

Gives all words in their plain form, as `plain_word` makes it, so that a reader compares plain with plain. A
word that could mean two columns is in `ambiguous` and a problem for the user: a wrong diameter or length
would be a wrong label.
"""

from collections.abc import Mapping
from functools import cache
from typing import Literal, get_args

from msgspec import Struct

from tagmaker.catalog.shipped import shipped_toml

__all__ = ["REQUIRED", "ColumnKind", "ColumnWords", "column_words", "plain_word"]

REQUIRED = ("unit", "box", "port")
"""Columns without which a row cannot be placed; a capacity may be missing while the job is a draft."""
ColumnKind = Literal["text", "capacity", "length", "volume"]
KINDS: tuple[ColumnKind, ...] = get_args(ColumnKind)


class ColumnWords(Struct, frozen=True):
    """The words, all plain.

    `key_of` gives a column's key, `kind_of` what a key holds: text or a quantity. `ambiguous` gives what a
    word could mean; `groups` the keys whose words keep their meaning below a heading over several columns;
    `remarks` are columns left out with a note, `others` columns of other things; `box_key_of` gives a box's
    key on a sheet of boxes, `system_key_of` a system's on a sheet of systems; `levels` and `named_levels` are
    the words of a sheet's name that is a level; `totals` and `headings` are the first words of rows that hold
    no unit; `spares` and `undecided` are written in place of a unit.
    """

    key_of: Mapping[str, str]
    kind_of: Mapping[str, ColumnKind]
    ambiguous: Mapping[str, tuple[str, ...]]
    groups: Mapping[str, tuple[str, ...]]
    remarks: frozenset[str]
    others: Mapping[str, str]
    box_key_of: Mapping[str, str]
    system_key_of: Mapping[str, str]
    levels: frozenset[str]
    named_levels: frozenset[str]
    totals: frozenset[str]
    headings: frozenset[str]
    spares: frozenset[str]
    undecided: frozenset[str]

    @property
    def no_tags(self) -> frozenset[str]:
        """Words that people write in place of a tag."""
        return self.spares | self.undecided


def plain_word(text: str) -> str:
    """A header's word without case and punctuation."""
    return " ".join("".join(c if c.isalnum() else " " for c in text.casefold()).split())


@cache
def column_words() -> ColumnWords:
    """The columns and rows of a schedule."""
    content = shipped_toml("columns.toml").content
    tables = {name: table for name, table in content.items() if isinstance(table, dict)}
    keys = {key: (kind, words) for kind in KINDS for key, words in tables[kind].items()}
    return ColumnWords(
        key_of={plain_word(word): key for key, (_, words) in keys.items() for word in words},
        kind_of={key: kind for key, (kind, _) in keys.items()},
        ambiguous={word: tuple(meanings) for word, meanings in tables["ambiguous"].items()},
        groups={word: tuple(under) for word, under in tables["groups"].items()},
        remarks=frozenset(tables["left_out"]["remarks"]),
        others=dict(tables["other"]),
        box_key_of={word: key for key, words in tables["box_sheet"].items() for word in words},
        system_key_of={word: key for key, words in tables.get("system_sheet", {}).items() for word in words},
        levels=frozenset(tables["sheet_names"]["level"]),
        named_levels=frozenset(tables["sheet_names"]["named"]),
        totals=frozenset(tables["rows"]["total"]),
        headings=frozenset(tables["rows"]["heading"]),
        spares=frozenset(tables["rows"]["spare"]),
        undecided=frozenset(tables["rows"]["undecided"]),
    )
