"""What a US keyboard's keys type on a computer set to another layout, from `layouts/keyboards.toml`.

Gives a layout's characters as those that were meant, with Caps Lock off and on.
"""

import unicodedata
from collections.abc import Mapping
from functools import cache

from msgspec import Struct

from tagmaker.catalog.shipped import shipped_table

__all__ = ["Keyboard", "keyboards"]

MARKS = {"`": "\u0300", "´": "\u0301", "^": "\u0302", "¨": "\u0308"}
"""What a dead key puts on the letter that follows it."""


class Keyboard(Struct, frozen=True):
    """A layout: its name, and what was meant by each of its characters, composed ones included.

    `locked` is the same with Caps Lock on, where that exchanges both levels of every key.
    """

    name: str
    meant: Mapping[int, str]
    locked: Mapping[int, str]


@cache
def keyboards() -> tuple[Keyboard, ...]:
    """Every layout of the data file."""
    with shipped_table("keyboards.toml") as table:
        table.text("source", required=True)
        keys = table.text("plain", required=True), table.text("shifted", required=True)
        found = []
        for each in table.tables("layout"):
            name, dead = each.text("name", required=True), each.text("dead")
            levels = each.text("plain", required=True), each.text("shifted", required=True)
            each.close()
            sizes, size = [len(level) for level in levels], len(keys[0])
            if sizes != [size, size] or len({*levels[0], *levels[1]}) != 2 * size:
                each.wrong("value-wrong", "plain", f"{name}: a key is missing or twice", "name each key once")
                continue
            found.append(Keyboard(name, _table(levels, keys, dead), _table(levels, keys[::-1], dead)))
    return tuple(found)


def _table(levels: tuple[str, str], meant: tuple[str, str], dead: str) -> dict[int, str]:
    """Characters as `str.translate` takes them; a letter with a mark was a dead key and the letter."""
    table = dict(zip("".join(levels), "".join(meant), strict=True))
    for mark in dead:
        for letter in (each for level in levels for each in level if each.isascii() and each.isalpha()):
            composed = unicodedata.normalize("NFC", letter + MARKS[mark])
            if len(composed) == 1 and composed not in table:
                table[composed] = table[mark] + table[letter]
    return str.maketrans(table)
