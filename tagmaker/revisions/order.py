"""Which of two revisions came first, as far as their texts show it."""

import re

__all__ = ["is_before"]

PARTS = re.compile(r"([^0-9]*)([0-9]*)", re.ASCII)


def is_before(one: str, two: str) -> bool:
    """Whether a revision is surely before another: 2 before 10, P01 before P03, A before B.

    P03 and C01 are of two series, of which either may be the later: then neither is.
    """
    first, second = (PARTS.fullmatch(each.upper()) for each in (one, two))
    if not first or not second or bool(first[2]) != bool(second[2]):
        return False
    if first[2]:
        return first[1] == second[1] and int(first[2]) < int(second[2])
    return len(first[1]) == len(second[1]) == 1 and first[1] < second[1]
