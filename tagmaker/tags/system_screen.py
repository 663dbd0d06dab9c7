"""A system's sheets as a screen shows them: the same words and fields in the order of the printed pages.

Made by the pen that draws the pages, so that paper and phone never ask differently.
"""

from collections.abc import Iterable
from typing import Literal

from msgspec import Struct

__all__ = ["AskedField", "ScreenPart", "SectionKey", "SystemScreen", "sections_of"]

SectionKey = Literal["charge", "shut", "test", "vacuum", "gate"]
"""The sections in their order."""


class AskedField(Struct, frozen=True):
    """A field by its whole name: a box to tick or a text, its words, the unit of a bare number.

    `spoken` names it to a screen reader.
    """

    name: str
    kind: Literal["tick", "text"]
    text: str
    unit: str
    spoken: str


class ScreenPart(Struct, frozen=True):
    """A title of a `section`, a sentence (a `caution` in bold), a row of fields, or a table.

    `text` is what it says, of a row what its fields are of; `facts` are a row's words and figures as planned;
    `rows` are a table's, each with its head first.
    """

    kind: Literal["title", "sentence", "caution", "row", "table"]
    text: str = ""
    facts: tuple[str, ...] = ()
    asked: tuple[AskedField, ...] = ()
    rows: tuple[tuple[str, ...], ...] = ()
    section: SectionKey | None = None


class SystemScreen(Struct, frozen=True):
    """A system's sheets: its tag in capitals, how names of fields begin, its title, its facts, all parts.

    `printed_for` is the hidden text of the printed sheets: both are of one plan.
    """

    system: str
    sheet: str
    title: str
    facts: tuple[str, ...]
    printed_for: str
    parts: tuple[ScreenPart, ...]


def sections_of(parts: Iterable[ScreenPart]) -> list[tuple[ScreenPart, list[ScreenPart]]]:
    """Each title with the parts under it; a sheet begins with a title."""
    sections: list[tuple[ScreenPart, list[ScreenPart]]] = []
    for part in parts:
        if part.kind == "title":
            sections.append((part, []))
        else:
            sections[-1][1].append(part)
    return sections
