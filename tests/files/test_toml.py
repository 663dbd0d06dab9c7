"""Typed reading of TOML: every wrong, missing or unknown key becomes a problem with its file and line."""

import datetime as dt
from collections.abc import Callable
from fractions import Fraction
from pathlib import Path

import pytest

from tagmaker.files.toml import TAG, Table, TomlFile, did_you_mean, read_text, read_toml
from tagmaker.problems import Problem, Where
from tagmaker.units import Capacity, Length
from tests.job_files import write_files

Read = Callable[[Table], object]


def table_of(folder: Path, text: str) -> Table:
    """The outermost table of a TOML text on disk."""
    write_files(folder, {"a.toml": text})
    file = read_toml(folder / "a.toml", "a.toml")
    assert isinstance(file, TomlFile), file
    return Table.whole(file, [])


def problem_of(folder: Path, content: str | bytes) -> Problem:
    """The problem with a TOML file of that content."""
    write_files(folder, {"a.toml": content})
    read = read_toml(folder / "a.toml", "a.toml")
    assert isinstance(read, Problem), read
    return read


# --- text of files ------------------------------------------------------------------------------------------


@pytest.mark.parametrize("content", [b"a = 1\n", b"\xef\xbb\xbfa = 1\r\n", b"a = 1\r"])
def test_text_is_the_same_however_it_was_saved(content: bytes, tmp_path: Path) -> None:
    """A byte order mark and the sort of line end do not matter."""
    write_files(tmp_path, {"a.txt": content})
    assert read_text(tmp_path / "a.txt", "a.txt") == "a = 1\n"


def test_text_of_no_file(tmp_path: Path) -> None:
    """A file that is absent, a folder, or a name too long for the system is unreadable."""
    for name in ("absent.csv", ".", "a" * 300):
        read = read_text(tmp_path / name, "ports.csv")
        assert isinstance(read, Problem)
        assert (read.code, str(read.where)) == ("file-unreadable", "ports.csv")


def test_text_of_a_huge_file(tmp_path: Path) -> None:
    """More than 20 MB is no schedule."""
    with (tmp_path / "huge.csv").open("wb") as file:
        file.truncate(20_000_001)
    read = read_text(tmp_path / "huge.csv", "huge.csv")
    assert isinstance(read, Problem)
    assert read.message == "huge.csv is larger than 20 MB"


@pytest.mark.parametrize(
    ("content", "line"),
    [
        (b"unit\nCaf\xe9\n", 2),
        (b"\xef\xbb\xbf\n\xff", 2),
        ("unit\n".encode("utf-16"), 1),
        (b"unit\r\nA\x00B\r\n", 2),
        ("a\nb\nc\u2028d".encode(), 3),
        ("\n\u202eA".encode(), 2),
    ],
)
def test_text_that_is_not_plain_utf8(content: bytes, line: int, tmp_path: Path) -> None:
    """Other encodings, control signs and signs that turn the writing round are told with their line."""
    write_files(tmp_path, {"a.csv": content})
    read = read_text(tmp_path / "a.csv", "a.csv")
    assert isinstance(read, Problem)
    assert (read.code, read.where) == ("file-encoding", Where("a.csv", line))


# --- TOML's own errors --------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("text", "line"),
    [
        ("a = 1\nb =\n", 2),
        ("a = 1\n\na = 2\n", 3),
        ("# x\n[job\n", 2),
        ('a = "open\nb = 2\n', 1),
        ("a = '''open\n\n", 3),
        ("a = [1,\n2,\n", 3),
        ("a = 1", 0),
    ],
)
def test_toml_error_has_its_line(text: str, line: int, tmp_path: Path) -> None:
    """Also where tomli says "end of document" only; a text without an error has none."""
    write_files(tmp_path, {"a.toml": text})
    read = read_toml(tmp_path / "a.toml", "a.toml")
    assert (read.where.line if isinstance(read, Problem) else 0) == line


def test_toml_error_says_what_is_wrong(tmp_path: Path) -> None:
    """The parser's own words are passed on."""
    problem = problem_of(tmp_path, "a = 1\na = 2\n")
    assert problem.as_text() == (
        "a.toml:2: error: not valid TOML: Cannot overwrite a value (at line 2, column 6) [toml-syntax]"
    )


def test_toml_that_is_no_text(tmp_path: Path) -> None:
    """A problem of the file comes before those of its grammar."""
    assert problem_of(tmp_path, b"a = \xff\n").code == "file-encoding"


def test_toml_of_any_depth_is_no_crash(tmp_path: Path) -> None:
    """Brackets nested to any depth are read or refused, just below the parser's limit too."""
    codes = set()
    for depth in range(300, 700, 3):
        for opening, closing in (("[", "]"), ("{a=", "}")):
            write_files(tmp_path, {"a.toml": f"a = {opening * depth}1{closing * depth}\n"})
            read = read_toml(tmp_path / "a.toml", "a.toml")
            codes.add(read.code if isinstance(read, Problem) else "")
    assert codes == {"", "toml-syntax"}


# --- places -------------------------------------------------------------------------------------------------


def test_place_of_a_key_and_of_what_is_absent(tmp_path: Path) -> None:
    """A key has its own line; one that is absent has its table's; the outermost table has none."""
    table = table_of(tmp_path, "a = 1\n\n[job]\nb = 2\n")
    job = table.table("job")
    assert [table.where("a").line, job.where("b").line, job.where("c").line, job.where().line] == [1, 4, 3, 3]
    assert str(table.where("nowhere")) == "a.toml"


def test_problem_bears_the_boxes_of_its_table(tmp_path: Path) -> None:
    """A table that belongs to a box marks its problems with it."""
    table = table_of(tmp_path, "")
    table.boxes = ("BX-1",)
    table.wrong("value-wrong", "", "no")
    assert [problem.boxes for problem in table.problems] == [("BX-1",)]


# --- values -------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("value", "read", "expected"),
    [
        ('"  two words "', lambda t: t.text("k"), "two words"),
        ('""', lambda t: t.text("k"), ""),
        ('"x"', lambda t: t.text("k", required=True), "x"),
        ('"12345"', lambda t: t.text("k", at_most=5), "12345"),
        ('"up"', lambda t: t.choice("k", ("up", "down"), "down"), "up"),
        ('"BX-1"', lambda t: t.tag("k"), "BX-1"),
        ("0", lambda t: t.whole_number("k"), 0),
        ("12", lambda t: t.whole_number("k", least=12), 12),
        ("2", lambda t: t.number("k"), 2.0),
        ("2.5", lambda t: t.number("k"), 2.5),
        ("true", lambda t: t.flag("k"), True),
        ("false", lambda t: t.flag("k"), False),
        ("[1, 2.5]", lambda t: t.numbers("k", 2), (1.0, 2.5)),
        ("[-40, 60]", lambda t: t.numbers("k", 2, least=-40), (-40.0, 60.0)),
        ("[3, 1]", lambda t: t.whole_numbers("k"), (3, 1)),
        ('"one"', lambda t: t.texts("k"), ("one",)),
        ('["one ", "two"]', lambda t: t.texts("k"), ("one", "two")),
        ("[]", lambda t: t.texts("k"), ()),
        ("2026-04-30", lambda t: t.date("k"), dt.date(2026, 4, 30)),
        ('"2 ton"', lambda t: t.capacity("k"), Capacity(Fraction(24000), "ton")),
        ('"1 in"', lambda t: t.length("k"), Length(Fraction("25.4"), "1 in")),
        ("{ a = 1 }", lambda t: t.table("k").whole_number("a"), 1),
        ("[{ a = 1 }, { a = 2 }]", lambda t: [e.whole_number("a") for e in t.tables("k")], [1, 2]),
    ],
)
def test_value_that_is_right(value: str, read: Read, expected: object, tmp_path: Path) -> None:
    """Each sort of value is taken as what it says, without a problem."""
    table = table_of(tmp_path, f"k = {value}\n")
    assert read(table) == expected
    assert table.problems == []


@pytest.mark.parametrize(
    ("read", "default"),
    [
        (lambda t: t.text("k", "x"), "x"),
        (lambda t: t.choice("k", ("up", "down"), "down"), "down"),
        (lambda t: t.tag("k", required=False), ""),
        (lambda t: t.whole_number("k", 7), 7),
        (lambda t: t.number("k", 0.5), 0.5),
        (lambda t: t.has("k"), False),
        (lambda t: t.flag("k"), False),
        (lambda t: t.numbers("k", 2, required=False), (0.0, 0.0)),
        (lambda t: t.texts("k"), ()),
        (lambda t: t.date("k"), None),
        (lambda t: t.capacity("k"), None),
        (lambda t: t.length("k"), None),
        (lambda t: dict(t.table("k").content), {}),
        (lambda t: t.tables("k"), []),
    ],
)
def test_value_that_is_absent(read: Read, default: object, tmp_path: Path) -> None:
    """An absent key that may be absent gives its default, without a problem."""
    table = table_of(tmp_path, "")
    assert read(table) == default
    assert table.problems == []


@pytest.mark.parametrize(
    "read",
    [
        lambda t: t.text("k", required=True),
        lambda t: t.tag("k"),
        lambda t: t.whole_number("k", required=True),
        lambda t: t.number("k", required=True),
        lambda t: t.numbers("k", 2),
        lambda t: t.whole_numbers("k"),
        lambda t: t.capacity("k", required=True),
    ],
)
def test_value_that_is_required(read: Read, tmp_path: Path) -> None:
    """An absent key that must be there is told once, by its whole name, at its table's line."""
    table = table_of(tmp_path, "\n[job]\n").table("job")
    read(table)
    assert [problem.as_text() for problem in table.problems] == [
        "a.toml:2: error: key 'job.k' is missing [key-missing]"
    ]


LINE = "'k' must be one line of text, at most 200 characters"
WRONG: list[tuple[Read, str, list[str]]] = [
    (lambda t: t.text("k"), LINE, ["3", '"a\\nb"', '"a\\tb"', '"\\u0000"', '"\\u202e"']),
    (lambda t: t.text("k", at_most=5), "'k' must be one line of text, at most 5 characters", ['"123456"']),
    (lambda t: t.text("k", required=True), "'k' is empty", ['" "']),
    (lambda t: t.choice("k", ("up", "down"), "up"), "'k' cannot be 'upp'", ['"upp"']),
    (
        lambda t: t.whole_number("k"),
        "'k' must be a whole number, 0 or more",
        ["-1", "4.0", "true", "1000001"],
    ),
    (lambda t: t.whole_number("k", least=4), "'k' must be a whole number, 4 or more", ["3"]),
    (lambda t: t.number("k"), "'k' must be a number, 0 or more", ["-0.5", "nan", "true"]),
    (lambda t: t.flag("k"), "'k' must be true or false", ["1"]),
    (lambda t: t.numbers("k", 2, least=-40), "'k' must be a list of 2 numbers, -40 or more", ["[-41, 60]"]),
    (
        lambda t: t.numbers("k", 2),
        "'k' must be a list of 2 numbers, 0 or more",
        ["[1]", "[1, -1]", "[1, true]", '"1 2"'],
    ),
    (
        lambda t: t.whole_numbers("k"),
        "'k' must be a list of whole numbers, 1 or more",
        ["[]", "[0]", "[true]", "4"],
    ),
    (
        lambda t: t.texts("k"),
        "'k' must be a text or a list of texts",
        ["[1]", '[" "]', '"a\\u0000"', "4"],
    ),
    (
        lambda t: t.date("k"),
        "'k' must be a date without quotes, like 2026-04-30",
        ['"2026-04-30"', "2026-04-30T08:00:00"],
    ),
    (lambda t: t.table("k"), "'k' must be a table: write [k]", ["3"]),
    (lambda t: t.tables("k"), "'k' must be an array of tables: write [[k]]", ["3", "[1]"]),
]
"""What reads a value, what is reported, and the values that are wrong."""


@pytest.mark.parametrize(
    ("value", "read", "message"),
    [(value, read, message) for read, message, values in WRONG for value in values],
)
def test_value_that_is_wrong(value: str, read: Read, message: str, tmp_path: Path) -> None:
    """A value of the wrong sort is told once, with its line."""
    table = table_of(tmp_path, f"\nk = {value}\n")
    read(table)
    assert [(each.code, each.message, each.where.line) for each in table.problems] == [
        ("value-wrong", message, 2)
    ]


@pytest.mark.parametrize(
    ("kind", "value", "fault"),
    [
        ("capacity", "54", "unit"),
        ("capacity", '"0 kW"', "wrong"),
        ("length", "9.52", "unit"),
        ("length", '"none in"', "wrong"),
    ],
)
def test_quantity_that_is_wrong(kind: str, value: str, fault: str, tmp_path: Path) -> None:
    """A bare number is a quantity without a unit, never a guess."""
    table = table_of(tmp_path, f"k = {value}\n")
    assert (table.capacity("k") if kind == "capacity" else table.length("k")) is None
    assert [problem.code for problem in table.problems] == [f"{kind}-{fault}"]


# --- tags ---------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("tag", ["A", "7", "BX-1", "bx-1-", "a" * 24])
def test_tag(tag: str) -> None:
    """1 to 24 letters, digits and hyphens."""
    assert TAG.fullmatch(tag)


@pytest.mark.parametrize("tag", ["-A", "a" * 25, "BX 1", "BX_1", "BX/1", "BÜ-1", "٣", "A\n", ""])
def test_no_tag(tag: str) -> None:
    """A hyphen first, 25 signs, other letters and signs make no tag."""
    assert not TAG.fullmatch(tag)


def test_wrong_tag_is_told_with_the_grammar(tmp_path: Path) -> None:
    """The hint says what a tag is."""
    table = table_of(tmp_path, 'tag = "BX 1"\n')
    table.tag("tag")
    (problem,) = table.problems
    assert problem.as_text() == (
        "a.toml:1: error: tag 'BX 1' is not a valid tag [tag-wrong]\n"
        "    use 1 to 24 letters, digits and hyphens, beginning with a letter or digit"
    )


# --- unknown words ------------------------------------------------------------------------------------------


def test_keys_that_nobody_took(tmp_path: Path) -> None:
    """Each is told with its line and the nearest key that is known."""
    table = table_of(tmp_path, "[job]\nnaem = 1\nname = 2\nzzz = 3\n").table("job")
    table.take("name")
    table.take("number")
    table.close()
    assert [problem.as_text() for problem in table.problems] == [
        "a.toml:2: error: unknown key 'naem' [key-unknown]\n    did you mean 'name'?",
        "a.toml:4: error: unknown key 'zzz' [key-unknown]\n    known: name, number",
    ]


@pytest.mark.parametrize(
    ("word", "known", "hint"),
    [
        ("prot", ["unit", "box", "port"], "did you mean 'port'?"),
        ("PORT", ["unit", "port"], "did you mean 'port'?"),
        ("bx1", ["BX-1", "AH-2"], "did you mean 'BX-1'?"),
        ("BX-3", ["BX-1", "BX-2"], "known: BX-1, BX-2"),
        ("zzz", ["unit", "box"], "known: unit, box"),
        ("zzz", [], "none exists here"),
    ],
)
def test_nearest_right_word(word: str, known: list[str], hint: str) -> None:
    """The nearest word apart from case; all of them where none, or more than one, is nearest."""
    assert did_you_mean(word, known) == hint
