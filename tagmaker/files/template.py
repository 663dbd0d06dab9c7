"""The one way of filling a template: printed words, a new job's file and the phone's page; and of escaping.

A place for a value is a name in braces, {unit}; any other brace is text, as styles, scripts and inline
tables have them. Values are filled in one pass, so that a name with braces in it is never a place itself.
"""

import re
from collections.abc import Mapping
from functools import lru_cache

__all__ = ["escaped", "fill"]

PLACE = re.compile(r"\{([a-z_]+)\}")
IN_TEXT = str.maketrans({"&": "&amp;", "<": "&lt;", ">": "&gt;"})
IN_QUOTES = IN_TEXT | str.maketrans({'"': "&quot;", "'": "&#x27;"})


def escaped(text: str, *, quotes: bool = True) -> str:
    """A text as content of HTML or XML, within quotes too unless that is left out.

    The same as `html.escape`, whose module knows 2,200 names of signs besides: 1.5 ms of each run.
    """
    return text.translate(IN_QUOTES if quotes else IN_TEXT)


def fill(text: str, values: Mapping[str, object]) -> str:
    """The text with every place filled; a place without a value is a bug, a KeyError."""
    pieces = _pieces(text)
    if len(pieces) == 1:
        return text
    filled = pieces.copy()
    filled[1::2] = [str(values[name]) for name in pieces[1::2]]
    return "".join(filled)


@lru_cache(maxsize=1024)  # the same few hundred words are filled for every label
def _pieces(text: str) -> list[str]:
    """Texts and names of places in turn, beginning and ending with a text."""
    return PLACE.split(text)
