"""What one scanned text is: a tag's code, a placard, or neither."""

import re

from msgspec import Struct

from tagmaker.tags.placard_read import BadPlacard, PlacardFacts, read_placard

__all__ = ["LineGatherer", "Scan", "TagCode", "scan_of"]

TAG = "[A-Z0-9][A-Z0-9-]{0,23}"
PORT_CODE = re.compile(rf"({TAG})/([A-Z])/(LIQ|GAS|COM|TRM)(?:/({TAG})(/ON)?)?")
BOX_CODE = re.compile(rf"({TAG})/(LOC|LIQ|SUC|HOT)")
PLACARD_START = re.compile(r"BOX \S+ REV ")
PLACARD_END = re.compile(r"(?:^|\n)CRC [0-9A-F]{8}\s*$")
PLACARD_LINES_AT_MOST = 40


class TagCode(Struct, frozen=True):
    """A tag's code in its parts, in capitals; port and unit are empty where it has none."""

    box: str
    port: str
    what: str
    unit: str
    goes_on: bool = False

    @property
    def end(self) -> str:
        """Which end of the line the tag belongs on."""
        return "unit" if self.unit else "box"


class Scan(Struct, frozen=True):
    """One scanned text, where it came from, and what it is: tag, placard (readable or not), or unknown."""

    text: str
    source: str
    tag: TagCode | None = None
    placard: PlacardFacts | None = None
    fault: BadPlacard | None = None

    @property
    def kind(self) -> str:
        """What it is in a word: tag, placard or unknown."""
        if self.tag:
            return "tag"
        return "placard" if self.placard or self.fault else "unknown"


def scan_of(text: str, source: str) -> Scan:
    """What a text is; a text that begins or ends like a placard and cannot be read keeps its fault."""
    bare = text.strip()
    if match := PORT_CODE.fullmatch(bare.upper()):
        is_box_end = not match[4]
        if match[3] != "TRM" or is_box_end:
            return Scan(bare, source, TagCode(match[1], match[2], match[3], match[4] or "", bool(match[5])))
    if match := BOX_CODE.fullmatch(bare.upper()):
        return Scan(bare, source, TagCode(match[1], "", match[2], ""))
    if PLACARD_START.match(text) or PLACARD_END.search(text):
        read = read_placard(text)
        if isinstance(read, BadPlacard):
            return Scan(text, source, fault=read)
        return Scan(text, source, placard=read)
    return Scan(bare, source)


class LineGatherer:
    """Lines as a hand scanner types them, gathered into texts: a placard's lines belong together."""

    def __init__(self) -> None:
        self.held: list[str] = []

    def put(self, line: str) -> list[str]:
        """The texts that are whole after this line."""
        line = line.rstrip("\r\n")
        if self.held:
            return self._continue(line)
        if PLACARD_START.match(line):
            self.held = [line]
            return []
        return [line] if line.strip() else []

    def _continue(self, line: str) -> list[str]:
        if PLACARD_START.match(line) or PORT_CODE.fullmatch(line.strip().upper()):
            cut = self.rest()  # the placard before was never finished
            return [*cut, *self.put(line)]
        if line.strip():  # a scanner that ends each line twice adds nothing to the text
            self.held.append(line)
        if PLACARD_END.search(line) or len(self.held) > PLACARD_LINES_AT_MOST:
            return self.rest()
        return []

    def rest(self) -> list[str]:
        """What is held when the lines end."""
        text, self.held = "".join(f"{line}\n" for line in self.held), []
        return [text] if text else []
