"""The readers of the program's own files, each by the file's path below `layouts/`."""

from collections.abc import Mapping
from typing import Protocol

from tagmaker.catalog.bands import band_rules
from tagmaker.catalog.columns import column_words
from tagmaker.catalog.reading import reading_rules
from tagmaker.catalog.start import start_parts
from tagmaker.catalog.walk_items import walk_items
from tagmaker.catalog.words import load_words

__all__ = ["READERS"]


class Reader(Protocol):
    """A function that reads a file once."""

    def __call__(self) -> object:
        """What the file holds."""

    def cache_clear(self) -> None:
        """Read it again the next time."""


READERS: Mapping[str, Reader] = {
    "bands.toml": band_rules,
    "columns.toml": column_words,
    "reading.toml": reading_rules,
    "start.toml": start_parts,
    "walk.toml": walk_items,
    "words/en.toml": load_words,
}
