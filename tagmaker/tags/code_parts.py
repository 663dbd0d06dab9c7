"""Texts as parts of a page's code: without spaces, and never empty.

Every sign but letters, digits, "-", ".", "_" and "~" is percent-encoded (RFC 3986). What there is none of is
"-"; a text that is "-" is "%2D".
"""

from urllib.parse import quote, unquote

__all__ = ["PART", "code_part", "read_code_part"]

NOT_GIVEN = "-"
PART = r"(?:[A-Za-z0-9._~-]|%[0-9A-F]{2})+"
"""A part, as a pattern."""


def code_part(text: str) -> str:
    """A text as a part."""
    if text in {"", NOT_GIVEN}:
        return "%2D" if text else NOT_GIVEN
    return quote(text, safe="")


def read_code_part(part: str) -> str:
    """The text of a part; UnicodeDecodeError where its bytes are no text."""
    return "" if part == NOT_GIVEN else unquote(part, errors="strict")
