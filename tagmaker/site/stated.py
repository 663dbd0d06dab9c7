"""Whether what somebody wrote into a field states anything: a name, a date, how something was proved.

A dash, "no" or "not yet" fills a field and states nothing: it never counts as signed, proved or done.
"""

__all__ = ["is_date", "is_stated"]

NOTHING = {
    "n/a", "na", "nil", "no", "nobody", "none", "nothing", "open", "pending", "tba", "tbc", "tbd", "to do",
    "todo", "unknown", "x", "xx", "xxx",
}  # fmt: skip
"""What people write, or cross out, where there is nothing to write; common practice."""
NEGATION = "not "
AROUND = " .,;:!?()-–—_*/"


def is_stated(text: str) -> bool:
    """Whether a text states something; of several remarks, divided by " / ", one is enough."""
    return any(map(_is_one_stated, text.split(" / ")))


def is_date(text: str) -> bool:
    """Whether a text may be a date: it states something, and has a figure."""
    return is_stated(text) and any(map(str.isdigit, text))


def _is_one_stated(text: str) -> bool:
    words = " ".join(text.casefold().split()).strip(AROUND)
    is_word = any(map(str.isalnum, words))
    return is_word and words not in NOTHING and not f"{words} ".startswith(NEGATION)
