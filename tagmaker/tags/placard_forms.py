r"""The forms in which a code carries a placard's text, written and read.

    text     the text by itself
    contact  a vCard 3.0 (RFC 2426): N is the box, FN the text's short line, NOTE the whole text
    link     the address of a page, `#`, and the text percent-encoded in the fragment (RFC 3986)

A phone's camera opens contact cards and links by itself, and may do nothing with plain text. In a card lines
end in CRLF and are folded after 75 bytes; in a value backslash, comma and semicolon have a backslash before
them, and a line's end is `\n`. A fragment is not sent to the page's host.
"""

import re

from tagmaker.files.patterns import Pattern
from tagmaker.job.prints import PlacardForm
from tagmaker.tags.placard_text import (
    BadPlacard,
    PlacardFacts,
    begins_placard,
    ends_placard,
    read_placard,
)

__all__ = ["begins_form", "ends_form", "form_heading", "in_form", "is_link", "read_form"]

FOLD_BYTES = 75  # of a line without its end, RFC 2426 section 2.6
HEADING_AT_MOST = 60
CARD = Pattern(r"BEGIN:VCARD\nVERSION:3\.0\nN:(.*)\nFN:(.*)\nNOTE:(.*)\nEND:VCARD\n?")
CARD_BEGINS, CARD_ENDS = "BEGIN:VCARD", Pattern(r"(?:^|\n)END:VCARD\s*$")
CARD_MARK = Pattern(r"\n(?:FN|NOTE):\S{1,24} R\S{1,8} \d{1,3} ON: |CRC [0-9A-F]{8}", re.ASCII)
LINK = Pattern(r"https?://[^#\s]{1,200}#(\S*)\s*", re.ASCII)
LINK_MARK = Pattern(r"https?://\S{0,200}%20ON:%20|CRC%20[0-9A-F]{8}", re.ASCII)
ENCODED, OTHER = Pattern(rb"%([0-9A-F]{2})"), Pattern(rb"[^A-Za-z0-9._~:;/?-]")
ESCAPED, TO_ESCAPE = Pattern(r"\\(.)"), Pattern(r"[\\,;\n]")
BOX = Pattern(r"BOX (\S+ REV \S+.*)")
CUT_CARD = "its contact card is cut short or was altered"
OTHER_NAME = "the name of its contact card and its settings differ"


# --- written ------------------------------------------------------------------------------------------------


def in_form(text: str, form: PlacardForm, link: str = "") -> str:
    """What a code of a form says: `text` is a placard's, `link` the address of the page."""
    if form == "contact":
        return _card(text)
    return f"{link}#{_encoded(text)}" if form == "link" else text


def _card(text: str) -> str:
    short = text.partition("\n")[0]
    values = (
        "VERSION:3.0",
        f"N:{_escaped(short.split(' ')[0])}",
        f"FN:{_escaped(short)}",
        f"NOTE:{_escaped(text)}",
    )
    return "".join(f"{_folded(line)}\r\n" for line in (CARD_BEGINS, *values, "END:VCARD"))


def _escaped(text: str) -> str:
    return TO_ESCAPE.sub(lambda sign: "\\n" if sign[0] == "\n" else f"\\{sign[0]}", text)


def _folded(line: str) -> str:
    """A line in parts of 75 bytes at most, each but the first begun by the space that marks it as one."""
    parts, room = [""], FOLD_BYTES
    for sign in line:
        size = len(sign.encode())
        if size > room:
            parts.append("")
            room = FOLD_BYTES - 1
        parts[-1] += sign
        room -= size
    return "\r\n ".join(parts)


def _encoded(text: str) -> str:
    return OTHER.sub(lambda sign: b"%%%02X" % ord(sign[0]), text.encode()).decode()


# --- read ---------------------------------------------------------------------------------------------------


def begins_form(line: str) -> bool:
    """Whether a line begins a placard's text, alone or in a contact card; a link is whole in one line."""
    return begins_placard(line) or line.rstrip() == CARD_BEGINS


def ends_form(text: str) -> bool:
    """Whether a text or line ends as a placard's text or a contact card does."""
    return ends_placard(text) or CARD_ENDS.search(text) is not None


def is_link(text: str) -> bool:
    """Whether a text is a link to a page with a placard's text, damaged or not."""
    return LINK_MARK.search(text) is not None


def read_form(code: str) -> PlacardFacts | BadPlacard | None:
    """The facts of a code in any form, or why they cannot be read; None for what is no placard's code.

    A card or link is of a placard if one of its beginning and its end is: one may be damaged.
    """
    if code.startswith(CARD_BEGINS) or CARD_ENDS.search(code):
        return _read_card(_unfolded(code))
    if is_link(code):
        link = LINK.fullmatch(code)
        text = _decoded(link[1]) if link else None
        return (
            BadPlacard("its link is cut short or was altered", is_altered=True)
            if text is None
            else read_placard(text)
        )
    return read_placard(code) if begins_placard(code) or ends_placard(code) else None


def form_heading(code: str) -> str:
    """By what a code is named in a message: box, revision and job, as far as they can be made out."""
    text = ESCAPED.sub(_unescape, _unfolded(code)) if CARD_BEGINS in code else code
    link = LINK.fullmatch(code)
    text = (_decoded(link[1]) or text) if link else text
    box = BOX.search(text)
    return (box[1] if box else text.partition("\n")[0])[:HEADING_AT_MOST]


def _read_card(card: str) -> PlacardFacts | BadPlacard | None:
    if not CARD_MARK.search(card):
        return None
    parts = CARD.fullmatch(card)
    if parts is None:
        return BadPlacard(CUT_CARD, is_altered=True)
    box, name, text = (ESCAPED.sub(_unescape, part) for part in parts.groups())
    facts = read_placard(text)
    if isinstance(facts, PlacardFacts) and (box, name) != (facts.box, text.partition("\n")[0]):
        return BadPlacard(OTHER_NAME, is_altered=True)
    return facts


def _unfolded(card: str) -> str:
    return card.replace("\r\n", "\n").replace("\r", "\n").replace("\n ", "")


def _unescape(sign: re.Match[str]) -> str:
    return "\n" if sign[1] == "n" else sign[1]


def _decoded(fragment: str) -> str | None:
    """A fragment's text; None where it is not UTF-8."""
    try:
        return ENCODED.sub(lambda code: bytes([int(code[1], 16)]), fragment.encode()).decode()
    except UnicodeDecodeError:
        return None
