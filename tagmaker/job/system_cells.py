"""A row of a sheet of systems as the table that [[system]] would be: both are read by the same rules.

Takes the texts of cells; gives a table whose problems are at their cells. Lists and numbers, which TOML
writes otherwise, are made of their texts here; a text that is none of these stays: its reader reports it.
"""

import re
from collections.abc import Mapping

from tagmaker.files.patterns import Pattern
from tagmaker.files.toml import Table, TomlFile
from tagmaker.files.toml_lines import Path as KeyPath
from tagmaker.job.schedule.result import SystemFacts
from tagmaker.problems import Problem, Where

__all__ = ["table_of_cells"]

TWO = Pattern(r"(\d+(?:\.\d+)?) ?%? ?(?:-|–|to|,|;|/) ?(\d+(?:\.\d+)?) ?%?", re.ASCII)
NUMBER = Pattern(r"\d+(?:\.\d+)?", re.ASCII)
YES_NO = {"yes": True, "y": True, "true": True, "no": False, "n": False, "false": False}


class _Cells(TomlFile, frozen=True):
    """A row as a file, whose keys have the places of cells."""

    cells: Mapping[KeyPath, Where] = {}

    def where(self, path: KeyPath) -> Where:
        """The cell of a key; that of the system's tag for what has no column."""
        return self.cells.get(path, self.cells["tag",])


def table_of_cells(facts: SystemFacts, problems: list[Problem]) -> Table:
    """The row as a table; a key behind a point is in a table of its own."""
    content: dict[str, object] = {}
    for key, text in facts.texts.items():
        table, point, inner = key.partition(".")
        if point:
            tables = content.setdefault(table, {})
            if isinstance(tables, dict):
                tables[inner] = _value(key, text)
        else:
            content[key] = _value(key, text)
    cells = {_path(key): where for key, where in facts.places.items()}
    return Table(_Cells(facts.where.file, content, "", None, cells), problems, (), content)


def _path(key: str) -> KeyPath:
    table, point, inner = key.partition(".")
    return (table, inner) if point else (key,)


def _value(key: str, text: str) -> object:
    """A cell's text as a TOML value of its key."""
    if key in {"ratio", "addresses"} and (two := TWO.fullmatch(text)):
        return [_number(two[1]), _number(two[2])]
    if key in {"units_most", "heater_hours"} and NUMBER.fullmatch(text):
        return _number(text)
    if key == "institutional":
        return YES_NO.get(text.casefold(), text)
    return [part.strip() for part in text.split(";")] if key == "test.steps" else text


def _number(text: str) -> int | float:
    return float(text) if "." in text else int(text)
