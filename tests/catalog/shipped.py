"""The readers of the program's own files, each by the file's path below `layouts/`; small files for them."""

from collections.abc import Mapping
from typing import Protocol

from tagmaker.catalog.bands import band_rules
from tagmaker.catalog.columns import column_words
from tagmaker.catalog.hold_rule import hold_rule
from tagmaker.catalog.keyboards import keyboards
from tagmaker.catalog.nitrogen import nitrogen
from tagmaker.catalog.practice import practice
from tagmaker.catalog.reading import TEXTS, reading_rules
from tagmaker.catalog.start import start_parts
from tagmaker.catalog.walk_items import walk_items
from tagmaker.catalog.words import load_words

__all__ = ["BANDS", "KEYBOARDS", "READERS", "READING"]

BANDS = """interval = "5 m"
letters_least = "12 mm"
[safety_groups]
[warnings]
[[letters]]
up_to = "5 m"
height = "30 mm"
"""
KEYBOARDS = """source = "an invented keyboard"
plain = "ab"
shifted = "AB"
[[layout]]
name = "Turned"
plain = "bq"
shifted = "BQ"
"""
READING = 'source = "an invented rule"\nlow_label_mm = 20.0\n' + "".join(
    f'[{name}]\ntask = "read a sign"\ndistance_m = 2.5\nminutes = 20\n' for name in TEXTS
)
"""Small files without fault, of other rules than the shipped ones."""


class Reader(Protocol):
    """A function that reads a file once."""

    def __call__(self) -> object:
        """What the file holds."""

    def cache_clear(self) -> None:
        """Read it again the next time."""


READERS: Mapping[str, Reader] = {
    "bands.toml": band_rules,
    "columns.toml": column_words,
    "hold.toml": hold_rule,
    "keyboards.toml": keyboards,
    "nitrogen.toml": nitrogen,
    "practice.toml": practice,
    "reading.toml": reading_rules,
    "start.toml": start_parts,
    "walk.toml": walk_items,
    "words/en.toml": load_words,
}
