"""The parts of a new job's file, from `layouts/start.toml`.

`start` puts them together; they are data so that their comments can be edited without touching code.
"""

from functools import cache

from tagmaker.catalog.shipped import shipped_toml

__all__ = ["start_parts"]


@cache
def start_parts() -> dict[str, str]:
    """Each part's text by name, its {words} to be filled in."""
    content = shipped_toml("start.toml").content
    return {name: text for name, text in content.items() if isinstance(text, str)}
