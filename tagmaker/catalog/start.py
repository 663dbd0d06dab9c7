"""The parts of a new job's file, from `layouts/start.toml`."""

from functools import cache

from tagmaker.catalog.folders import layouts
from tagmaker.files.toml import read_toml
from tagmaker.problems import Problem

__all__ = ["start_parts"]


@cache
def start_parts() -> dict[str, str]:
    """Each part's text, its $words to be filled in."""
    file = read_toml(layouts() / "start.toml", "layouts/start.toml")
    if isinstance(file, Problem):
        raise FileNotFoundError(file.as_text())
    return {name: text for name, text in file.content.items() if isinstance(text, str)}
