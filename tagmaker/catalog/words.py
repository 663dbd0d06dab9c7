"""Every printed word, from `layouts/words/`; one file a language.

Gives a function of key and values. A test holds that every word is used and every used word is there.
"""

from functools import cache

from msgspec import Struct

from tagmaker.catalog.shipped import shipped_toml
from tagmaker.files.template import fill

__all__ = ["Words", "load_words"]


class Words(Struct, frozen=True):
    """Printed texts by key ("tag.liquid"), with named places for values."""

    texts: dict[str, str]

    def __hash__(self) -> int:
        """The same of all languages: there are few, and a dictionary has none."""
        return 0

    def __call__(self, key: str, **values: object) -> str:
        """The text of a key with its values filled in; an unknown key is a bug."""
        return fill(self.texts[key], values)


@cache
def load_words(language: str = "en") -> Words:
    """The words of a language."""
    texts: dict[str, str] = {}
    for section, table in shipped_toml(f"words/{language}.toml").content.items():
        if isinstance(table, dict):
            texts |= {f"{section}.{key}": str(text) for key, text in table.items()}
    return Words(texts)
