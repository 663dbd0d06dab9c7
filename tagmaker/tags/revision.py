"""The revision as it is printed on a tag, and which of two revisions is the later one."""

import re
from typing import Literal

from tagmaker.catalog.words import Words

__all__ = ["order_of", "revision_text"]

REVISION = re.compile(r"(.*?)(\d*)", re.ASCII)


def revision_text(revision: str, words: Words, *, is_draft: bool) -> str:
    """The revision, after DRAFT where the job is one."""
    text = words("tag.revision", revision=revision)
    return f"{words('tag.draft')} {text}" if is_draft else text


def order_of(revision: str, other: str) -> Literal["older", "newer", ""]:
    """Whether a revision is older or newer, where both count in the same way (2 and 3, P01 and P02)."""
    (word, number), (word_other, number_other) = (_parts(text) for text in (revision, other))
    if word != word_other or not number or not number_other or int(number) == int(number_other):
        return ""
    return "older" if int(number) < int(number_other) else "newer"


def _parts(revision: str) -> tuple[str, str]:
    """A revision's letters, in capitals, and the number at its end."""
    match = REVISION.fullmatch(revision)
    return (match[1].upper(), match[2]) if match else (revision, "")
