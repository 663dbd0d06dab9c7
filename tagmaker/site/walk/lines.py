"""Whose pipe and cable belong on a letter, and which units a person wrote to be there."""

import re
from typing import Literal

from tagmaker.plan.model import Port

__all__ = ["LINES", "NOTHING", "Line", "expected_units", "is_blank", "is_right", "named_units"]

Line = Literal["pipe", "cable"]
LINES: tuple[Line, ...] = ("pipe", "cable")
UNIT = re.compile(r"[A-Za-z0-9][A-Za-z0-9-]*")
BETWEEN = re.compile(r"[\s,;+&/.:()]*")
"""What may be around tags of units; any other sign may mean something else than they do."""
BLANKS = {"-", "no", "n/a"}
"""What people write where nothing is connected, and where there is nothing to write."""
NOTHING = {"none", "nothing", "spare", "empty", "capped", *BLANKS}
"""What people write where nothing is connected."""


def expected_units(port: Port, letter: str, line: Line) -> frozenset[str]:
    """The units (in capitals) whose line belongs on a letter; a pair's cable is on its first letter alone."""
    is_connected = line == "pipe" or letter == port.letters[0]
    return frozenset(unit.key for unit in port.units) if is_connected else frozenset()


def is_right(text: str, expected: frozenset[str]) -> bool:
    """Whether what was written to be there is what belongs there; of several units one is enough."""
    named = named_units(text) if text.upper() not in expected else {text.upper()}
    return named <= expected if named else not expected


def is_blank(text: str) -> bool:
    """Whether a text may fill a field of which nobody looked: it makes no empty letter right."""
    return text.casefold() in BLANKS


def named_units(text: str) -> set[str]:
    """The units that a text names, in capitals; empty where it means that nothing is there.

    A text with other signs ("FC-101?", "≠ FC-101") names no unit of the job: it is given whole.
    """
    if text.casefold() in NOTHING:
        return set()
    if not BETWEEN.fullmatch(UNIT.sub("", text)):
        return {text.upper()}
    return {word.upper() for word in UNIT.findall(text)} - {"AND"} or {text.upper()}
