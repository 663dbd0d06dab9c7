"""Whether a spreadsheet's number format shows something else than the number that its cell holds."""

import re

__all__ = ["shows_otherwise"]

ASIDE = re.compile(r"\[[^\]]*\]|_.|\*.|E[+-]0+", re.DOTALL)
"""Colours, conditions and currencies; blanks of a sign's width; what is filled up; powers of ten."""
UNIT = re.compile(r"""(?<=[0#?])\s*(?:"[^"]*"|\\ "[^"]*"|\\["'])$""")
WORDS = re.compile(r'"([^"]*)"|\\(.)|([-–/A-Za-z])', re.DOTALL)
SCALED = re.compile(r"[0#?],+(?![0#?,])")
DIAMETER = {"Ø", "ø", "⌀"}
JOINS = "-–/."


def shows_otherwise(form: str) -> bool:
    """Whether a format adds letters or hyphens to a number, divides it by thousands, or hides it.

    '"FC-"000' shows FC-101 for 101, "0-00" shows 1-07 for 107: the value is not what people read. A unit
    behind the number is read with it, and so is a fraction.
    """
    form = form.partition(";")[0] if ";" in form else form or "General"
    if form in {"General", "@"}:
        return False
    plain = UNIT.sub("", ASIDE.sub("", form).strip())
    if not re.search(r"[0#?]|General", plain) or SCALED.search(plain):
        return True
    plain = re.sub(r"[?#0]+/[?#\d]+", "", plain).replace("General", "")
    return any(_is_read(next(filter(None, match.groups()), "")) for match in WORDS.finditer(plain))


def _is_read(literal: str) -> bool:
    """Whether a text of a format is a part of what people read, not a mark of a currency or diameter."""
    return literal.strip() not in DIAMETER and any(sign.isalnum() or sign in JOINS for sign in literal)
