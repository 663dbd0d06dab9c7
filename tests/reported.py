"""Problems as tests compare them."""

from collections.abc import Iterable

from tagmaker.problems import Problem

__all__ = ["told"]


def told(problems: Iterable[Problem]) -> list[tuple[str, str]]:
    """Codes and messages."""
    return [(each.code, each.message) for each in problems]
