"""The line of every key of a TOML text, compared with where a generator put it and with tomli's keys."""

from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path

import pytest
import tomli
from hypothesis import given, settings
from hypothesis import strategies as st

from tagmaker.catalog.folders import layouts
from tagmaker.files.toml import TomlFile, read_toml
from tagmaker.files.toml_lines import Path as KeyPath
from tagmaker.files.toml_lines import key_lines
from tests.job_files import write_files
from tests.paths import EXAMPLES

FILES = sorted([*layouts().rglob("*.toml"), *EXAMPLES.rglob("*.toml")])

# --- a generator that knows where it puts its keys ----------------------------------------------------------

PLAIN_VALUES = (
    "1", "-3.5e7", "0xFF", "inf", "true", "07:32:00", "1979-05-27", "1979-05-27 07:32:00",
    "1979-05-27T07:32:00.5-07:00", '""', "''", '"# no comment"', "'[no.table]'", '"k = 1"', r'"\"\\ \u0041"',
    r"'C:\no\escape'", '"}],"', "'''one line'''", '"""one line"""', '""""quoted""""',
)  # fmt: skip
PIECES = ("a", "k = 1\n", "[no.table]\n", "[[no]]\n", "# no comment\n", "\n", "} ] , ", "\t")
BASIC_PIECES = (*PIECES, '"a', '""a', r"\"", "\\\\", "\\\n  ", "'''")
LITERAL_PIECES = (*PIECES, "'a", "''a", "\\", '"""')
LAST_QUOTES = ("", '"', '""')
WHITE = ("", " ", "\t")
BETWEEN = ("", "\n", " \t\n", "# a = 1\n", "  # [no.table] '''\n", "\n\n", '# """\n')
NAMES = ("unit", "box-2", "a_b", "7", "true", "1979-05-27")
QUOTED_NAMES = (
    ('"a.b{}"', "a.b{}"), ("'a.b{}'", "a.b{}"), (r'"\u00e9\"{}"', 'é"{}'), ('"# [x] = {}"', "# [x] = {}"),
    (r'"\t\U0001F600\\{}"', "\t\U0001f600\\{}"), ("'\"{}'", '"{}'), ("'\\{}'", "\\{}"), ('"é{}"', "é{}"),
)  # fmt: skip


@dataclass
class _Writer:
    """A document as it grows: its text, the line at its end, and where every path first stood."""

    draw: st.DrawFn
    text: str = ""
    lines: dict[KeyPath, int] = field(default_factory=dict)
    members: dict[KeyPath, int] = field(default_factory=dict)
    names: int = 0

    def add(self, text: str) -> None:
        self.text += text

    def pick(self, texts: tuple[str, ...]) -> str:
        return self.draw(st.sampled_from(texts))

    def stand(self, path: KeyPath) -> None:
        """Note that a path stands at the end of the text."""
        self.lines.setdefault(path, self.text.count("\n") + 1)

    def name(self) -> tuple[str, str]:
        """A key as written and as meant; a number in it makes it the only one of its name."""
        self.names += 1
        if self.draw(st.booleans()):
            written = f"{self.pick(NAMES)}{self.names}"
            return written, written
        written, meant = self.draw(st.sampled_from(QUOTED_NAMES))
        return written.format(self.names), meant.format(self.names)

    def dotted(self, path: KeyPath, most: int) -> KeyPath:
        """Write a key of one part or several under a path."""
        for number in range(self.draw(st.integers(1, most))):
            if number:
                self.add(f"{self.pick(WHITE)}.{self.pick(WHITE)}")
            written, meant = self.name()
            path = (*path, meant)
            self.stand(path)
            self.add(written)
        return path

    def pair(self, path: KeyPath, depth: int) -> None:
        path = self.dotted(path, 3)
        self.add(f"{self.pick(WHITE)}={self.pick(WHITE)}")
        self.value(path, depth)

    def value(self, path: KeyPath, depth: int) -> None:
        kinds = ("plain", "basic", "literal", "array", "table")[: 5 if depth else 3]
        match self.pick(kinds):
            case "plain":
                self.add(self.pick(PLAIN_VALUES))
            case "basic":
                self.add(f'"""{self.pieces(BASIC_PIECES)}a{self.pick(LAST_QUOTES)}"""')
            case "literal":
                last = self.pick(LAST_QUOTES).replace('"', "'")
                self.add(f"'''{self.pieces(LITERAL_PIECES)}a{last}'''")
            case "array":
                self.array(path, depth - 1)
            case _:
                self.inline_table(path, depth - 1)

    def pieces(self, pieces: tuple[str, ...]) -> str:
        return "".join(self.draw(st.lists(st.sampled_from(pieces), max_size=5)))

    def array(self, path: KeyPath, depth: int) -> None:
        count = self.draw(st.integers(0, 3))
        self.add(f"[{self.pick(BETWEEN)}")
        for index in range(count):
            self.stand((*path, index))
            self.value((*path, index), depth)
            last = index == count - 1
            self.add(self.pick(BETWEEN) + ("," if not last or self.draw(st.booleans()) else ""))
            self.add(self.pick(BETWEEN))
        self.add("]")

    def inline_table(self, path: KeyPath, depth: int) -> None:
        count = self.draw(st.integers(0, 3))
        self.add(f"{{{self.pick(WHITE)}")
        for number in range(count):
            self.pair(path, depth)
            self.add(self.pick(WHITE) + ("," if number < count - 1 else "") + self.pick(WHITE))
        self.add("}")

    def header(self) -> KeyPath:
        """A new table, or one more member of an array of tables, at the top or in one that stands already."""
        many = self.draw(st.booleans())
        path = self.draw(st.sampled_from([(), *filter(self.is_newest, self.members)]))
        self.add(self.pick(WHITE) + ("[[" if many else "[") + self.pick(WHITE))
        self.add(".".join(f'"{_escaped(part)}"' for part in path if isinstance(part, str)))
        if not (path and many and self.draw(st.booleans())):
            self.add("." if path else "")
            path = self.dotted((*path, self.members[path]) if path else (), 2)
        if many:
            self.members[path] = self.members.get(path, -1) + 1
            path = (*path, self.members[path])
        self.stand(path)
        self.add(self.pick(WHITE) + ("]]" if many else "]") + self.pick(WHITE))
        return path

    def is_newest(self, path: KeyPath) -> bool:
        """Whether a header can still reach an array of tables: it stands in newest members only."""
        return all(self.members[path[:at]] == part for at, part in enumerate(path) if isinstance(part, int))


def _escaped(name: str) -> str:
    return "".join(f"\\U{ord(sign):08x}" for sign in name)


@st.composite
def documents(draw: st.DrawFn) -> tuple[str, dict[KeyPath, int]]:
    """A TOML text, and the line of every table and key in it."""
    writer = _Writer(draw)
    table: KeyPath = ()
    for _ in range(draw(st.integers(0, 7))):
        writer.add(writer.pick(BETWEEN))
        if draw(st.integers(0, 2)):
            writer.add(writer.pick(WHITE))
            writer.pair(table, 2)
        else:
            table = writer.header()
        writer.add(writer.pick(("\n", "# a = 1\n", "\t# ]'\n")))
    writer.add(writer.pick(BETWEEN).rstrip("\n"))
    newline = writer.pick(("\n", "\n", "\r\n"))
    return writer.text.replace("\n", newline), writer.lines


def paths(value: object, path: KeyPath = ()) -> Iterator[KeyPath]:
    """Every path in what tomli gives: tables, keys, and members of arrays."""
    items: list[tuple[str | int, object]] = []
    if isinstance(value, dict):
        items = list(value.items())
    elif isinstance(value, list):
        items = list(enumerate(value))
    for key, member in items:
        yield (*path, key)
        yield from paths(member, (*path, key))


# --- claims -------------------------------------------------------------------------------------------------


@given(documents())
@settings(max_examples=100, deadline=None)
def test_keys_stand_where_they_were_put(document: tuple[str, dict[KeyPath, int]]) -> None:
    """Every table and key has the line on which the generator wrote it."""
    text, lines = document
    assert key_lines(text) == lines


@given(documents())
@settings(max_examples=100, deadline=None)
def test_keys_are_those_of_tomli(document: tuple[str, dict[KeyPath, int]]) -> None:
    """Every path that tomli yields has a line, and no other has."""
    text, _ = document
    assert set(key_lines(text)) == set(paths(tomli.loads(text)))


@pytest.mark.parametrize("file", FILES, ids=lambda path: f"{path.parent.name}/{path.name}")
def test_lines_in_real_files(file: Path) -> None:
    """In every TOML file of the project a key's line holds its name."""
    text = file.read_text(encoding="utf-8")
    rows = text.splitlines()
    lines = key_lines(text)
    assert set(lines) == set(paths(tomli.loads(text)))
    named = [(path[-1], rows[line - 1]) for path, line in lines.items() if isinstance(path[-1], str)]
    assert [(name, row) for name, row in named if name not in row] == []


def test_members_of_an_array_of_tables() -> None:
    """Each member has its own header's line; the array has the first one's."""
    text = '[[box]]\ntag = "A"\n\n[[box]]\ntag = "B"\n[box.more]\nx = 1\n'
    assert key_lines(text) == {
        ("box",): 1,
        ("box", 0): 1,
        ("box", 0, "tag"): 2,
        ("box", 1): 4,
        ("box", 1, "tag"): 5,
        ("box", 1, "more"): 6,
        ("box", 1, "more", "x"): 7,
    }


def test_a_table_that_comes_after_its_subtable() -> None:
    """Its own header counts, not the line that named it first."""
    assert key_lines("[a.b]\n[a]\n") == {("a",): 2, ("a", "b"): 1}


def test_key_that_spans_no_line_of_its_value() -> None:
    """A value over several lines leaves the key where it began, and the next key where it is."""
    text = 'a = """\nb = 1\n"""\nc = [\n  1, # d = 2\n  { e = 3 },\n]\nf = 4'
    assert key_lines(text) == {
        ("a",): 1,
        ("c",): 4,
        ("c", 0): 5,
        ("c", 1): 6,
        ("c", 1, "e"): 6,
        ("f",): 8,
    }


def test_empty_text_has_no_keys() -> None:
    """Nothing, and nothing but comments, has no lines."""
    assert (key_lines(""), key_lines("\n# a = 1\n")) == ({}, {})


def test_long_file_is_scanned_in_one_go() -> None:
    """Ten thousand rows have their lines too; a scan that restarts for each key would take minutes."""
    text = '[[unit]]\nunit = "u"\n' * 10_000
    assert key_lines(text)["unit", 9_999, "unit"] == 20_000


def test_an_inline_table_of_several_lines(tmp_path: Path) -> None:
    """TOML 1.1 allows them, with a comma and a comment after the last key: on every Python alike."""
    text = 'a = { # first\n b = "\\e\\x41",\n c = 2, # last\n}\nd = 3\n'
    write_files(tmp_path, {"a.toml": text})
    read = read_toml(tmp_path / "a.toml", "a.toml")
    assert isinstance(read, TomlFile)
    assert read.content == {"a": {"b": "\x1bA", "c": 2}, "d": 3}
    assert read.lines == {("a",): 1, ("a", "b"): 2, ("a", "c"): 3, ("d",): 5}
