"""What another figure of a system asks for, from `layouts/system-changes.toml`: papers, and work on site."""

from collections.abc import Iterable
from functools import cache

from msgspec import Struct

from tagmaker.catalog.shipped import shipped_table
from tagmaker.files.toml import Table

__all__ = ["PAPERS", "SystemChangeRule", "rules_of", "system_change_rules"]

PAPERS = ("systems", "signs", "first-days")
"""The documents that a system's figures are printed on, in the order in which they are printed."""


class SystemChangeRule(Struct, frozen=True):
    """Figures by their keys (one that ends with a point: all that begin so), papers, and work on site."""

    figures: tuple[str, ...]
    papers: tuple[str, ...]
    work: str

    def is_for(self, figure: str) -> bool:
        """Whether it is a rule of a figure."""
        return any(figure.startswith(each) if each.endswith(".") else figure == each for each in self.figures)


@cache
def system_change_rules() -> tuple[SystemChangeRule, ...]:
    """The rules as the data file gives them."""
    with shipped_table("system-changes.toml") as table:
        table.text("standing", required=True)
        return tuple(map(_rule, table.tables("rule")))


def rules_of(figures: Iterable[str]) -> list[SystemChangeRule]:
    """The rules of these figures, each once, in the order of the file."""
    figures = list(figures)
    return [rule for rule in system_change_rules() if any(map(rule.is_for, figures))]


def _rule(table: Table) -> SystemChangeRule:
    papers = table.texts("papers")
    if unknown := sorted(set(papers).difference(PAPERS)):
        table.wrong("value-wrong", "papers", f"'papers' cannot be {', '.join(unknown)}")
    rule = SystemChangeRule(table.texts("figures"), papers, table.text("work"))
    table.close()
    return rule
