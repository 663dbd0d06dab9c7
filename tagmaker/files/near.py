"""The nearest of the names that are known, for a hint."""

import difflib
from collections.abc import Callable, Iterable

__all__ = ["did_you_mean"]

NEAR_NAMED = 5  # names that a hint proposes; more are no hint
PART_LETTERS = 3  # a shorter word is part of too much


def did_you_mean(word: str, known: Iterable[str]) -> str:
    """A hint that names the nearest known word, or all of them when none is near.

    The parts of a name ("letter-30" of "letter-30-67x25") count before likeness, by which a short word is
    near to any other.
    """
    words = list(known)
    by_parts = _with_parts(word, words)
    if 0 < len(by_parts) <= NEAR_NAMED:
        *others, last = map(repr, by_parts)
        return f"did you mean {', '.join(others)}{' or ' if others else ''}{last}?"
    by_case = {candidate.casefold(): candidate for candidate in words}
    near = difflib.get_close_matches(word.casefold(), by_case, n=3, cutoff=0.6)
    ratios = [round(difflib.SequenceMatcher(None, each, word.casefold()).ratio(), 6) for each in near]
    if near and ratios.count(ratios[0]) == 1:  # several equally near words would make a hint a guess
        return f"did you mean {by_case[near[0]]!r}?"
    return f"known: {', '.join(words)}" if words else "none exists here"


def _with_parts(word: str, known: Iterable[str]) -> list[str]:
    """The names that have all parts of a word, in its order; where none has, those that begin with them."""
    parts = word.casefold().split("-")
    if "" in parts or len(word) < PART_LETTERS:
        return []
    names = [(name, name.casefold().split("-")) for name in known]
    whole = [name for name, of_name in names if _are_in(parts, of_name, str.__eq__)]
    return whole or [name for name, of_name in names if _are_in(parts, of_name, str.startswith)]


def _are_in(parts: list[str], of_name: list[str], fits: Callable[[str, str], bool]) -> bool:
    """Whether each part fits one of a name's, all in the same order."""
    left = iter(of_name)
    return len(of_name) > len(parts) and all(any(fits(each, part) for each in left) for part in parts)
