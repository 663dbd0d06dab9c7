"""Rules for pipe identification bands, from `layouts/bands.toml`: groups, warnings, letters, interval."""

from functools import cache

from msgspec import Struct

from tagmaker.catalog.folders import layouts
from tagmaker.files.toml import Table, read_toml
from tagmaker.problems import Problem
from tagmaker.units import Length

__all__ = ["BandRules", "band_rules"]


class BandRules(Struct, frozen=True):
    """`letters` are (up to this outside diameter, letter height) in mm, rising."""

    interval: Length
    letters_least: Length
    groups: dict[str, str]
    warnings: dict[str, tuple[str, ...]]
    letters: tuple[tuple[float, float], ...]

    def letter_mm(self, diameter_mm: float) -> float:
        """Letter height for an outside diameter over the covering."""
        table = next(height for up_to, height in self.letters if diameter_mm <= up_to + 1e-9)
        return max(table, float(self.letters_least.mm))


@cache
def band_rules() -> BandRules:
    """The rules as the data file gives them."""
    file = read_toml(layouts() / "bands.toml", "layouts/bands.toml")
    if isinstance(file, Problem):
        raise FileNotFoundError(file.as_text())
    problems: list[Problem] = []
    table = Table.whole(file, problems)
    groups, told = table.table("safety_groups"), table.table("warnings")
    rules = BandRules(
        interval=_length(table, "interval"),
        letters_least=_length(table, "letters_least"),
        groups={name: groups.text(name) for name in groups.content},
        warnings={name: told.texts(name) for name in told.content},
        letters=tuple(
            (float(_length(row, "up_to").mm), float(_length(row, "height").mm))
            for row in table.tables("letters")
        ),
    )
    table.close()
    if problems:
        raise ValueError("; ".join(problem.as_text() for problem in problems))
    return rules


def _length(table: Table, key: str) -> Length:
    length = table.length(key)
    if length is None:
        raise ValueError(f"layouts/bands.toml: {key} is missing")
    return length
