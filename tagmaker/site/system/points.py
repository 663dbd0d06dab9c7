"""A line of what is wrong or open of a system, and how it is made of words."""

from collections.abc import Sequence

from msgspec import Struct

from tagmaker.catalog.words import Words
from tagmaker.site.system.filled import Filled

__all__ = ["Pen", "Point", "listed"]

SHOWN = 12  # names in one line


class Point(Struct, frozen=True):
    """Where, what, and what to do; where `is_wrong` is not set it is open: not done, or not known."""

    place: str
    text: str
    to_do: str = ""
    is_wrong: bool = False


class Pen(Struct, frozen=True):
    """Points of one part of the sheets: the words of its `place`, and what is filled in."""

    words: Words
    filled: Filled
    place: str

    def open_point(self, key: str, **values: object) -> Point:
        """What is not done, or not known."""
        return Point(self.place, self.words(f"system_found.{key}", **values))

    def wrong(self, key: str, **values: object) -> Point:
        """What is wrong, with what to do."""
        to_do = self.words(f"system_found.{key}_do")
        return Point(self.place, self.words(f"system_found.{key}", **values), to_do, is_wrong=True)

    def missing(self, what: str, *parts: str, how: str = "") -> Point:
        """A text that is empty, contradictory, in handwriting, or cannot be read; `how` it is written."""
        text, typed = self.filled.text(*parts), self.filled.typed.get(parts)
        if parts in self.filled.written:
            return self.open_point("to_type", what=what)
        if any(each.parts == parts for each in self.filled.conflicts):
            return self.open_point("conflict", what=what)
        if text:
            return self.open_point("unreadable", what=what, text=text, how=how)
        if typed:
            return self.open_point("unstated", what=what, text=typed.text)
        return self.open_point("missing", what=what)

    def unticked(self, what: str, *parts: str) -> Point:
        """A box that is not ticked, or not clearly."""
        return self.open_point("unclear" if parts in self.filled.unclear else "not_ticked", what=what)


def listed(names: Sequence[str]) -> str:
    """Names, the first of many with how many more."""
    more = f" and {len(names) - SHOWN} more" if len(names) > SHOWN else ""
    return f"{', '.join(names[:SHOWN])}{more}"
