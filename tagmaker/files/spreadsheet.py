"""Texts in tables that spreadsheets open."""

import re

__all__ = ["plain_cell"]

FORMULA = re.compile(r"(^|[;,\t])(?=[=+\-@\t\r])")
"""Where a spreadsheet would begin a formula: in a cell, or in what it takes for one after a separator."""


def plain_cell(text: str) -> str:
    """A text that no spreadsheet takes for a formula: an apostrophe is put where one would begin."""
    return FORMULA.sub(r"\1'", text)
