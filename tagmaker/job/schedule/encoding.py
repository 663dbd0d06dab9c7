"""The text of a CSV file as spreadsheets save it: UTF-8, UTF-16, or unmistakably Windows-1252.

Takes bytes; gives text with the encoding's name, or the problem. Windows-1252 is accepted only where no other
common code page gives a text that could be meant: a room's name is printed, and é in one is č in another.
"""

import codecs
import itertools
import unicodedata

from tagmaker.files.toml import plain_text
from tagmaker.problems import Problem, Where, error

__all__ = ["MARKS", "decoded"]

MARKS = (
    (codecs.BOM_UTF8, "utf-8-sig", "UTF-8"),
    (codecs.BOM_UTF16_LE, "utf-16", "UTF-16"),
    (codecs.BOM_UTF16_BE, "utf-16", "UTF-16"),
)
WINDOWS = "cp1252"
OTHERS = ("cp1250", "cp1251", "cp1253", "cp1254", "cp1257", "mac_roman", "cp850", "cp437")
"""Code pages that spreadsheets elsewhere, or of another age, save as; Unicode's mapping tables, by codecs."""
SIGNS = set("°½¼¾²³±×µ·–—‘’“”…•€£§®™Øø\xa0")  # signs that schedules hold; others are a wrong code page
HINT = 'save it as "CSV UTF-8"'


def decoded(content: bytes, shown: str) -> tuple[str, str] | Problem:
    """A file's text and the name of its encoding, or the problem with it."""
    mark, codec, name = next((each for each in MARKS if content.startswith(each[0])), (b"", "utf-8", "UTF-8"))
    try:
        text = content.decode(codec)
    except UnicodeDecodeError as reason:
        name = "Windows-1252"
        windows = _as_windows(content) if not mark else None
        if windows is None:
            line = content.count(b"\n", 0, reason.start) + 1
            message = f"{shown} is not UTF-8 text, and its characters can be read in several ways"
            return error("file-encoding", message, Where(shown, line), HINT)
        text = windows
    plain = plain_text(text, shown)
    return plain if isinstance(plain, Problem) else (plain, name)


def _as_windows(content: bytes) -> str | None:
    """The text as Windows-1252, where no other code page gives another text that could be meant."""
    special = sorted({word for word in content.split() if not word.isascii()})
    own = [_decode(word, WINDOWS) for word in special]
    if not all(text is not None and _is_plausible(text) for text in own):
        return None
    for page in OTHERS:
        texts = [_decode(word, page) for word in special]
        if texts != own and all(text is not None and _is_plausible(text) for text in texts):
            return None
    return content.decode(WINDOWS)


def _decode(word: bytes, page: str) -> str | None:
    """A word in a code page, None where the page lacks one of its bytes."""
    try:
        return word.decode(page)
    except UnicodeDecodeError:
        return None


def _is_plausible(word: str) -> bool:
    """Whether a word could be meant: one script, no small letter before a capital, known signs."""
    pairs = itertools.pairwise(word)
    if any(one.islower() and two.isupper() and not (one + two).isascii() for one, two in pairs):
        return False
    special = [sign for sign in word if not sign.isascii()]
    if not all(sign in SIGNS or sign.isalpha() for sign in special):
        return False
    scripts = {
        unicodedata.name(sign, "").partition(" ")[0] for sign in word if sign.isalpha() and sign not in SIGNS
    }
    return len(scripts) <= 1
