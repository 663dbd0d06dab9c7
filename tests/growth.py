"""Work counted: which calls grow faster than what they are made for, whatever the clock says.

A call is known by the function that makes it and the one that is called, so that a loop over all boxes within
a loop over all boxes shows by itself, however cheap it is beside the rest.
"""

import cProfile
import sys
from collections import Counter
from collections.abc import Callable
from types import CodeType

__all__ = ["calls", "grown"]

Call = tuple[str, str]
"""The names of the function that calls and of the one that is called."""
FEW = 100  # calls of which growth shows nothing
MOST = 2.6  # times as often for twice as much: 2 is linear, 4 is each with each


def grown(few: Callable[[], object], many: Callable[[], object]) -> dict[Call, tuple[int, int]]:
    """The calls of the second work, which has twice as much to do, that are not twice those of the first."""
    first, second = calls(few), calls(many)
    return {
        call: (first[call], count)
        for call, count in second.items()
        if count > FEW and count > MOST * max(first[call], FEW / MOST)
    }


def calls(work: Callable[[], object]) -> Counter[Call]:
    """Every call of the package's functions, and how often it is made; what was remembered is forgotten."""
    _forget()
    profile = cProfile.Profile()
    profile.runcall(work)
    counted: Counter[Call] = Counter()
    for entry in profile.getstats():
        if isinstance(entry.code, CodeType) and "tagmaker" in entry.code.co_filename:
            for call in entry.calls or ():
                counted[_name(entry.code), _name(call.code)] += call.callcount
    return counted


def _name(code: CodeType | str) -> str:
    """A function by its file and line, one of C by its name."""
    if isinstance(code, str):
        return code
    return f"{code.co_filename.rpartition('tagmaker/')[2]}:{code.co_firstlineno} {code.co_name}"


def _forget() -> None:
    """Empty what the package remembers, so that no order of tests makes a difference."""
    for name, module in list(sys.modules.items()):
        if name.startswith("tagmaker."):
            for value in vars(module).values():
                if callable(getattr(value, "cache_clear", None)):
                    value.cache_clear()
