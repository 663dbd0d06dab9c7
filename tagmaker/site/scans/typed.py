"""What a hand scanner meant by a line that it typed: its prefix, its signs, the computer's keyboard layout.

A scanner types as a keyboard does. It may put an identifier of the symbology before each code (ISO/IEC
15424). On a computer set to another keyboard layout, signs and some letters of a code come out as others:
the layout is recognised from the codes themselves, and only where nothing else could have been meant.
"""

import re
from collections.abc import Collection, Iterator

from tagmaker.catalog.keyboards import keyboards
from tagmaker.problems import Problem, Where, note, warning
from tagmaker.tags.codes import TagCode, read_code
from tagmaker.tags.placard_forms import begins_form, ends_form, is_link, read_form
from tagmaker.tags.placard_text import PlacardFacts, begins_box_line

__all__ = ["Typed", "plain_signs", "tag_of"]

IDENTIFIER = re.compile(r"\][A-Za-z]\d", re.ASCII)
"""An AIM symbology identifier as ISO/IEC 15424 has it: ]Q1 before a QR code, ]C0 before a Code 128."""
IDENTIFIER_LENGTH = 3
AROUND = "".join(map(chr, range(0x21))) + "\x7f\x85\xa0\u200b\u200c\u200d\u2028\u2029\u2060\ufeff\u3000"
"""What may be before or after a code and prints as nothing."""
SIGNS = {
    **{code: chr(code - 0xFEE0) for code in range(0xFF01, 0xFF5F)},  # full width
    0x3000: " ",
    **dict.fromkeys((0x2010, 0x2011, 0x2012, 0x2013, 0x2014, 0x2015, 0x2212, 0xFE58, 0xFE63), "-"),
    **dict.fromkeys((0x2044, 0x2215), "/"),
}
"""Signs that look like those of a code, and are typed for them by programs that set text."""
TAG_LENGTH_AT_MOST = (
    100  # of a line that may be a tag, a placard's beginning or its end: a code has 58 at most
)
LINK_LENGTH_LEAST = 60  # of a line that may be a link: the shortest text takes more
PLACARD_LENGTH_AT_MOST = 10_000
HINT = "set the scanner to the keyboard layout of the computer, or the computer to a US keyboard"


def plain_signs(text: str) -> str:
    """A text without what is around it, in plain signs, without an identifier of the symbology."""
    bare = text.strip(AROUND).translate(SIGNS)
    return bare[IDENTIFIER_LENGTH:].strip(AROUND) if IDENTIFIER.match(bare) else bare


def tag_of(text: str) -> TagCode | None:
    """The tag that a line is, whatever is around its code."""
    return read_code(plain_signs(text)) if len(text) <= TAG_LENGTH_AT_MOST else None


class Typed:
    """The lines of one source, typed on one keyboard.

    `known` are the codes of the job's tags, None without a job. Layouts are tried while no line reads as it
    is. One is accepted when a code translated by it is a tag of the job, or without a job if all lines so far
    could be translated, or when a placard's check sum proves it. Layouts that differ in a code give none.
    """

    def __init__(self, known: Collection[str] | None) -> None:
        self.known = known
        self.candidates = keyboards()
        self.is_found = self.is_mixed = False
        self.doubtful: tuple[str, ...] = ()

    def tag(self, line: str) -> str:
        """A line that is no placard's, as it was meant; as it is, where that is not known."""
        if tag_of(line):
            self._reads_as_it_is()
            return line
        read = self._tags(line)
        codes = set(read.values())
        if len(codes) > 1:
            self.doubtful = tuple(read)
        if len(codes) != 1 or not (self.is_found or self._proves(*codes)):
            self.is_mixed = self.is_mixed or not codes
            return line
        self._accept(read)
        return codes.pop()

    def is_port_tag(self, line: str) -> bool:
        """Whether a line is a port's tag, typed on any layout: no line of a placard is."""
        codes = filter(None, (tag_of(line), *map(read_code, self._tags(line).values())))
        return any(code.port for code in codes)

    def begin(self, line: str) -> str:
        """The first line of a placard without an identifier before it, as typed; "" for any other line."""
        for _, meant in self._ways(line[:TAG_LENGTH_AT_MOST]):
            skipped = IDENTIFIER_LENGTH if IDENTIFIER.match(meant) else 0
            if begins_form(meant[skipped:]):
                return line[skipped:]
        return ""

    def follows(self, first: str, line: str) -> bool:
        """Whether a line names box and revision after a first line that has the switches alone."""
        return self._is_box_line(line) and not self._is_box_line(first)

    def link(self, line: str) -> str:
        """A line that is a link with a placard's text, as it was meant; "" for any other line."""
        bare = line.strip(AROUND)
        for _, meant in self._ways(bare) if LINK_LENGTH_LEAST < len(bare) < PLACARD_LENGTH_AT_MOST else ():
            if is_link(meant):
                skipped = IDENTIFIER_LENGTH if IDENTIFIER.match(meant) else 0
                return self.placard(bare[skipped:])
        return ""

    def ends(self, line: str) -> bool:
        """Whether a line is a placard's last one, typed on any layout."""
        if len(line) > TAG_LENGTH_AT_MOST:
            return False
        return any(ends_form(meant) for _, meant in self._ways(line))

    def placard(self, text: str) -> str:
        """A placard's lines as they were meant; as they are, where no layout makes them whole."""
        if isinstance(read_form(text), PlacardFacts):
            self._reads_as_it_is()
            return text
        if len(text) > PLACARD_LENGTH_AT_MOST:
            return text
        ways = self._ways(text)
        whole = {name: meant for name, meant in ways if isinstance(read_form(meant), PlacardFacts)}
        if len(set(whole.values())) != 1:
            return text
        if "" not in whole:
            self._accept(whole)
        return next(iter(whole.values()))

    def problems(self, source: str) -> Iterator[Problem]:
        """Which layout was recognised, once; or between which ones it could not be decided."""
        if self.is_found:
            names = " or ".join(layout.name for layout in self.candidates)
            message = f"codes were typed on a {names} keyboard layout, and were read by it"
            yield note("scan-keyboard", message, Where(source), HINT)
        elif self.doubtful:
            names = " or ".join(self.doubtful)
            message = f"codes may be typed on a {names} keyboard layout, which make different tags of them"
            yield warning("scan-keyboard", message, Where(source), HINT)

    def _is_box_line(self, line: str) -> bool:
        return any(begins_box_line(meant) for _, meant in self._ways(line[:TAG_LENGTH_AT_MOST]))

    def _reads_as_it_is(self) -> None:
        if not self.is_found:
            self.candidates = ()

    def _proves(self, code: str) -> bool:
        return not self.is_mixed if self.known is None else code in self.known

    def _accept(self, names: Collection[str]) -> None:
        self.candidates = tuple(layout for layout in self.candidates if layout.name in names)
        self.is_found = True

    def _tags(self, line: str) -> dict[str, str]:
        """The code of the tag that a line is on each layout on which it is one, by the layout's name."""
        if len(line) > TAG_LENGTH_AT_MOST:
            return {}
        bare = line.strip(AROUND)
        found: dict[str, str] = {}
        for layout in self.candidates:
            for keys in (layout.locked, layout.meant):
                if tag := tag_of(bare.translate(keys)):
                    found[layout.name] = tag.text
        return found

    def _ways(self, text: str) -> Iterator[tuple[str, str]]:
        """A text as it is, in plain signs, and on each layout, with the layout's name or ""."""
        yield "", text
        yield "", text.translate(SIGNS)
        yield from ((layout.name, text.translate(layout.meant)) for layout in self.candidates)
