"""The files of `layouts/` that the program cannot run without: one way to read each kind.

What is wrong with a file of the program's own is a bug, not a user's mistake: it raises. A problem of a
user's file, from which a job goes on to report more, is `folders.find`'s business.
"""

import contextlib
from collections.abc import Iterator

from tagmaker.catalog.folders import layouts
from tagmaker.files.plain import read_plain
from tagmaker.files.toml import Table, TomlFile, read_text, toml_of
from tagmaker.problems import Problem

__all__ = ["shipped_table", "shipped_text", "shipped_toml"]

BYTES_AT_MOST = 1_000_000


def shipped_text(name: str) -> str:
    """The text of a file by its path below `layouts/`."""
    return read_plain(layouts() / name, BYTES_AT_MOST).decode()


def shipped_toml(name: str) -> TomlFile:
    """A TOML file by its path below `layouts/`; FileNotFoundError with the reason where it cannot be read."""
    shown = f"layouts/{name}"
    text = read_text(layouts() / name, shown)
    if isinstance(text, Problem):
        raise FileNotFoundError(text.as_text())
    return toml_of(text, shown)


@contextlib.contextmanager
def shipped_table(name: str) -> Iterator[Table]:
    """The file's outermost table, to be read key by key; ValueError at the end for wrong and unknown keys."""
    problems: list[Problem] = []
    table = Table.whole(shipped_toml(name), problems)
    yield table
    table.close()
    if problems:
        raise ValueError("; ".join(problem.as_text() for problem in problems))
