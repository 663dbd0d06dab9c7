"""What one scanned text is: a tag's code, a placard's text, or neither; and lines gathered into texts.

The grammars are those of `tags/codes.py` and `tags/placard_forms.py`: here it is only decided which one
applies.
"""

from collections.abc import Collection, Mapping
from typing import Literal

from msgspec import Struct

from tagmaker.site.scans.times import NOT_KNOWN, REMARK, span_of
from tagmaker.site.scans.typed import Typed, plain_signs, tag_of
from tagmaker.tags.codes import TagCode
from tagmaker.tags.days_code import DaysPage
from tagmaker.tags.placard_forms import read_form
from tagmaker.tags.placard_text import BadPlacard, PlacardFacts
from tagmaker.tags.response_code import ResponsePage
from tagmaker.tags.sheet_names import SheetPage, read_sheet_code
from tagmaker.tags.system import SystemPage
from tagmaker.tags.walk_code import WalkPage

__all__ = ["LineGatherer", "Scan", "ScanKind", "is_remark", "scan_of"]

ScanKind = Literal[
    "tag", "placard", "walk page", "system page", "response page", "first-days page", "unknown"
]
PAGES: Mapping[type[SheetPage], ScanKind] = {
    WalkPage: "walk page", SystemPage: "system page", ResponsePage: "response page",
    DaysPage: "first-days page",
}  # fmt: skip
PLACARD_LINES_AT_MOST = 40
"""More than any placard has: a first line without a last one must not take in all scans that follow it."""


class Scan(Struct, frozen=True):
    """One scanned text, where it came from ("walk.pdf page 2"), and what it is.

    Of `tag`, `placard`, `fault` (a placard that cannot be read) and `page` at most one is given.
    """

    text: str
    source: str
    tag: TagCode | None = None
    placard: PlacardFacts | None = None
    fault: BadPlacard | None = None
    page: SheetPage | None = None

    @property
    def kind(self) -> ScanKind:
        """What it is in a word; a placard that cannot be read is a placard still."""
        if self.tag:
            return "tag"
        if self.page:
            return PAGES[type(self.page)]
        return "placard" if self.placard or self.fault else "unknown"

    @property
    def box(self) -> str:
        """The box that it names, "" where it names none."""
        named = self.placard or self.tag or (self.page if isinstance(self.page, WalkPage) else None)
        return named.box if named else ""


def is_remark(line: str) -> bool:
    """Whether a line of a session is a remark with a time, and no code."""
    return REMARK.fullmatch(line) is not None


def scan_of(text: str, source: str) -> Scan:
    """What a text is; one that begins or ends like a placard in any form and cannot be read has its fault."""
    if tag := tag_of(text):
        return Scan(plain_signs(text), source, tag=tag)
    if page := read_sheet_code(text.strip()):
        return Scan(text.strip(), source, page=page)
    read = read_form(text)
    if read is None:
        return Scan(text.strip(), source)
    if isinstance(read, BadPlacard):
        return Scan(text, source, fault=read)
    return Scan(text, source, placard=read)


class LineGatherer:
    """Lines as a hand scanner types them, gathered into texts: a placard's lines belong together.

    A placard that was never finished ends where the next tag or placard begins, so that neither is lost. A
    scanner may end codes with a tab instead of a line; texts are given as they were meant, see `Typed`.
    `at` is the time of the last remark: that of the codes after it.
    """

    def __init__(self, known: Collection[str] | None = None) -> None:
        self.at = NOT_KNOWN
        self.held: list[str] = []
        self.typed = Typed(known)

    def put(self, line: str) -> list[str]:
        """Take a line; the texts that are complete after it, in their order. A remark is no code."""
        if remark := REMARK.fullmatch(line):
            self.at = span_of(remark[1])
            return []
        return [text for part in line.rstrip("\r\n").split("\t") for text in self._put(part)]

    def _put(self, line: str) -> list[str]:
        if link := self.typed.link(line):
            return [*self.rest(), link]
        first = self.typed.begin(line)
        is_second = len(self.held) == 1 and self.typed.follows(self.held[0], line)
        if self.held and (is_second or (not first and not self.typed.is_port_tag(line))):
            return self._continue(line)
        cut = self.rest()  # of a placard that was never finished
        self.held = [first] if first else []
        return [*cut, self.typed.tag(line)] if line.strip() and not first else cut

    def _continue(self, line: str) -> list[str]:
        if line.strip():  # a scanner that ends each line twice adds nothing to the text
            self.held.append(line)
        if self.typed.ends(line):
            return [self.typed.placard(text) for text in self.rest()]
        return self.rest() if len(self.held) > PLACARD_LINES_AT_MOST else []

    def rest(self) -> list[str]:
        """Give up what is held, when the lines end."""
        text, self.held = "".join(f"{line}\n" for line in self.held), []
        return [text] if text else []
