"""Readings of the first days as `readback` prints them: JSON records, and lines for a terminal."""

from msgspec import Struct

from tagmaker.catalog.words import Words
from tagmaker.site.days.judge import DayFinding, DaysResult

__all__ = ["DaysOutline", "days_lines", "days_outline"]

UNREAD_SHOWN = 12


class DaysOutline(Struct, frozen=True):
    """A system's first days as `readback --json` has them; `read` of `of` readings of units are whole."""

    system: str
    days: tuple[int, ...]
    read: int
    of: int
    findings: tuple[DayFinding, ...]
    unread: tuple[str, ...]


def days_outline(result: DaysResult) -> DaysOutline:
    """A result as its record."""
    return DaysOutline(result.system, result.days, result.read, result.of, result.findings, result.unread)


def days_lines(result: DaysResult, words: Words) -> list[str]:
    """How much was read, what stands out, and what was not read."""
    lines = [words("days.head", system=result.system, read=result.read, of=result.of)]
    lines += [f"    {each.unit} ({each.box} · {each.port}): {each.text}" for each in result.findings]
    if result.unread:
        names = list(result.unread[:UNREAD_SHOWN])
        more = len(result.unread) - len(names)
        lines.append(
            "    " + words("days.unread", names=", ".join([*names, *([f"+{more}"] if more else [])]))
        )
    return lines
