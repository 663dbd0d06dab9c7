"""The line of every key of a TOML text that tomli has already accepted.

tomli gives no positions of values. This scanner finds the lines of keys and never decides what they mean;
it may therefore assume that the text is sound, and skips values without understanding them.
"""

import re

__all__ = ["Path", "key_lines"]

Path = tuple[str | int, ...]
KEY = re.compile(r"""[ \t]*+(?:([A-Za-z0-9_-]++)|"((?:[^"\\]++|\\.)*)"|'([^']*+)')[ \t]*+""")
BLANK = re.compile(r"(?:[ \t\r\n]++|#[^\n]*+)*")
# texts are matched in possessive runs: a step per character would take 100 bytes of memory each. The groups
# around them are not possessive: Python before 3.11.5 then misses matches (cpython issue 106052)
TEXTS = re.compile(
    r'"""(?:[^"\\]++|\\.|"{1,2}(?!"))*"{3,5}'
    r"|'''(?:[^']++|'{1,2}(?!'))*'{3,5}"
    r'|"(?:[^"\\\n]++|\\.)*"'
    r"|'[^'\n]*+'|#[^\n]*+",
    re.DOTALL,
)
PLAIN = re.compile(r"[^,\]}\n#]*+")  # a number, a date, true or false
# of a quoted key, which may be written in several ways and means the same
ESCAPE = re.compile(r'\\(?:u([0-9A-Fa-f]{4})|U([0-9A-Fa-f]{8})|x([0-9A-Fa-f]{2})|(["\\bfnrte]))')
ESCAPED = {'"': '"', "\\": "\\", "b": "\b", "f": "\f", "n": "\n", "r": "\r", "t": "\t", "e": "\x1b"}


def key_lines(text: str) -> dict[Path, int]:
    """Line (from 1) of every table and key, by path; members of an array of tables by their index."""
    scanner = _Scanner(text.replace("\r\n", "\n"))
    scanner.run()
    return scanner.lines


def _unescaped(text: str) -> str:
    """A quoted key as tomli gives it."""

    def one(match: re.Match[str]) -> str:
        code = match[1] or match[2] or match[3]
        return chr(int(code, 16)) if code else ESCAPED[match[4]]

    return ESCAPE.sub(one, text)


class _Scanner:
    """A walk over the text: `at` is the next character, `counts` the members of each array of tables."""

    def __init__(self, text: str) -> None:
        self.text = text
        self.at = 0
        self.line = 1
        self.counted = 0
        self.lines: dict[Path, int] = {}
        self.counts: dict[Path, int] = {}

    def run(self) -> None:
        """Note the lines of all keys, one header or pair at a time."""
        table: Path = ()
        while self._skip_blank() < len(self.text):
            line = self._line()
            if self.text[self.at] == "[":
                table = self._header(line)
            else:
                self._pair(table)

    def _line(self) -> int:
        """The line of the next character; only what came since the last question is counted."""
        self.line += self.text.count("\n", self.counted, self.at)
        self.counted = self.at
        return self.line

    def _skip_blank(self) -> int:
        """Go on to the next character that is no white space or comment."""
        match = BLANK.match(self.text, self.at)
        self.at = match.end() if match else self.at
        return self.at

    def _key(self) -> list[str]:
        """The parts of the key here: a."b c".d has three."""
        parts: list[str] = []
        while match := KEY.match(self.text, self.at):  # pragma: no branch — a key follows every point
            bare, quoted, literal = match.groups()
            parts.append(bare if bare is not None else _unescaped(quoted) if quoted is not None else literal)
            self.at = match.end()
            if self.text[self.at : self.at + 1] != ".":
                break
            self.at += 1
        return parts

    def _header(self, line: int) -> Path:
        """Note a table's header, and give the path under which its keys are."""
        many = self.text.startswith("[[", self.at)
        self.at += 2 if many else 1
        parts = self._key()
        self.at += 2 if many else 1
        path: Path = ()
        for part in parts[:-1]:
            path = self._member((*path, part))
            self.lines.setdefault(path, line)
        path = (*path, parts[-1])
        if many:
            self.counts[path] = self.counts.get(path, -1) + 1
            self.lines.setdefault(path, line)
            path = (*path, self.counts[path])
        self.lines[path] = line  # its own header, though a table under it may have come before
        return path

    def _member(self, path: Path) -> Path:
        """The path itself, or its newest member where it is an array of tables."""
        return (*path, self.counts[path]) if path in self.counts else path

    def _pair(self, table: Path) -> None:
        """Note a key with its value; a.b = 1 notes a as well."""
        line = self._line()
        path = table
        for part in self._key():
            path = (*path, part)
            self.lines.setdefault(path, line)
        self.at += 1  # the equals sign
        self._value(path)

    def _value(self, path: Path) -> None:
        """Skip a value, noting the keys and members inside it."""
        self._skip_blank()
        opening = self.text[self.at]
        if opening == "{":
            self._inline_table(path)
        elif opening == "[":
            self._array(path)
        elif match := TEXTS.match(self.text, self.at):
            self.at = match.end()
        else:
            match = PLAIN.match(self.text, self.at)
            self.at = match.end() if match else self.at

    def _inline_table(self, path: Path) -> None:
        """Note the keys of { a = 1, b = 2 }."""
        self.at += 1
        self._skip_blank()
        while self.text[self.at] != "}":
            self._pair(path)
            self._comma()
        self.at += 1

    def _array(self, path: Path) -> None:
        """Note the members of [1, 2], by index."""
        self.at += 1
        self._skip_blank()
        index = 0
        while self.text[self.at] != "]":
            member = (*path, index)
            self.lines.setdefault(member, self._line())
            self._value(member)
            self._comma()
            index += 1
        self.at += 1

    def _comma(self) -> None:
        """Skip what is between two members."""
        self._skip_blank()
        if self.text[self.at] == ",":
            self.at += 1
            self._skip_blank()
