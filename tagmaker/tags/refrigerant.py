"""A job's refrigerant in words, with its safety group where `layouts/bands.toml` gives one."""

from tagmaker.catalog.bands import band_rules
from tagmaker.catalog.words import Words

__all__ = ["refrigerant_text"]


def refrigerant_text(name: str, words: Words) -> str:
    """Such as "Refrigerant R-32, group A2L"; without a group that is not known, empty without a name."""
    if not name:
        return ""
    group = band_rules().groups.get(name, "")
    if group:
        return words("page.refrigerant_group", name=name, group=group)
    return words("page.refrigerant", name=name)
