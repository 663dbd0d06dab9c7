"""Keys and tables of a TOML file are changed, and comments, order, style and line ends stay."""

import tomllib

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tagmaker.job.edit_toml import AddTable, RemoveTable, SetKeys, TomlChange, edited_toml
from tagmaker.problems import Problem

JOB = """\
# the school at the mill

[job]                       # facts
name = "Mill School"        # as on the drawings
  number   = 'MS-1'
sheets = [
  "Ports",                  # of units
  "Boxes",
]
# revision = 1

# the boxes, in walking order
[[box]]
tag = "BX-1"                # the first
ports = 4
mains.liquid = "3/4 in"
# a note on BX-1

# the second one
[[box]]
tag = "BX-2"
ports = 6
  [box.mains]
  liquid = "3/4 in"

# units
[[unit]]
unit = "FC-1"
note = '''
[[box]]
# no comment'''

# the end
"""


def edited(text: str, *changes: TomlChange) -> str:
    """The text with these changes."""
    new = edited_toml(text.encode(), changes, "job.toml")
    assert not isinstance(new, Problem), new.message
    return new.decode()


CASES = [
    (SetKeys(("job",), {"name": "New"}), 'name = "Mill School"', 'name = "New"'),
    (SetKeys(("job",), {"number": "A"}), "number   = 'MS-1'", 'number   = "A"'),
    (SetKeys(("job",), {"number": None}), "  number   = 'MS-1'\n", ""),
    (SetKeys(("job",), {"site": "S"}), "]\n# revision", ']\nsite = "S"\n# revision'),
    (SetKeys(("job",), {"number": None, "name": "Mill School"}), "  number   = 'MS-1'\n", ""),
    (SetKeys(("box", 0), {"ports": 8}), "ports = 4", "ports = 8"),
    (SetKeys(("box", 0), {"place": "Hall"}), '"3/4 in"\n# a note', '"3/4 in"\nplace = "Hall"\n# a note'),
    (SetKeys(("box", 1), {"level": "2"}), "ports = 6\n", 'ports = 6\nlevel = "2"\n'),
    (SetKeys(("print",), {"placard": "a4"}), "]\n# revision", ']\n\n[print]\nplacard = "a4"\n\n# revision'),
    (SetKeys(("print",), {"placard": None}), "", ""),
    (
        AddTable("box", {"tag": "BX-3", "ports": 4}),
        '  liquid = "3/4 in"\n\n#',
        '  liquid = "3/4 in"\n\n[[box]]\ntag = "BX-3"\nports = 4\n\n#',
    ),
    (
        RemoveTable("box", 0),
        '[[box]]\ntag = "BX-1"                # the first\nports = 4\nmains.liquid = "3/4 in"\n',
        "",
    ),
    (
        RemoveTable("box", 1),
        '[[box]]\ntag = "BX-2"\nports = 6\n  [box.mains]\n  liquid = "3/4 in"\n',
        "",
    ),
    (
        AddTable("walk_item", {"key": "hatch"}),
        "# the end\n",
        '# the end\n\n[[walk_item]]\nkey = "hatch"\n',
    ),
]


@pytest.mark.parametrize(("change", "was", "now"), CASES)
@pytest.mark.parametrize("end", ["\n", "\r\n"])
@pytest.mark.parametrize("mark", ["", "\ufeff"])
def test_only_what_is_asked_for_changes(change: TomlChange, was: str, now: str, end: str, mark: str) -> None:
    """Every other line is byte for byte what it was, its end and the file's mark too."""
    expected = JOB.replace(was, now, 1)
    assert edited(mark + JOB.replace("\n", end), change) == mark + expected.replace("\n", end)


def test_each_line_of_a_mixed_file_keeps_its_own_end() -> None:
    """New lines get the first line's."""
    text = '[job]\r\nname = "a"\nsite = "b"\r\n[print]\npipe = "c"'
    assert edited(text, SetKeys(("job",), {"name": "x", "number": "n"})) == (
        '[job]\r\nname = "x"\r\nsite = "b"\r\nnumber = "n"\r\n[print]\npipe = "c"'
    )
    assert edited(text, AddTable("box", {"tag": "A"})) == f'{text}\r\n\r\n[[box]]\r\ntag = "A"\r\n'


@pytest.mark.parametrize(
    ("text", "change", "now"),
    [
        ('job.name = "a" # x\n', SetKeys(("job",), {"name": "b"}), 'job.name = "b" # x\n'),
        ('job = { name = "a" } # x\n', SetKeys(("job",), {"name": "b"}), 'job = { name = "b" } # x\n'),
        (
            'box = [{tag = "A"}, {tag = "B"}]\n',
            SetKeys(("box", 1), {"tag": "C"}),
            'box = [{tag = "A"}, {tag = "C"}]\n',
        ),
        ('box = [{tag = "A"}]\n', AddTable("box", {"tag": "B"}), 'box = [{tag = "A"}, {tag = "B"}]\n'),
        ('box = [{tag = "A"}, {tag = "B"}]\n', RemoveTable("box", 0), 'box = [{tag = "B"}]\n'),
        (
            '[columns]\n"a b" = "x"\n',
            SetKeys(("columns",), {'c "d"': ""}),
            '[columns]\n"a b" = "x"\n"c \\"d\\"" = ""\n',
        ),
        ("", SetKeys(("job",), {"name": "é\\"}), '[job]\nname = "é\\\\"\n'),
    ],
)
def test_tables_in_other_notations_are_changed_too(text: str, change: TomlChange, now: str) -> None:
    """Dotted keys, tables and arrays in braces, quoted keys, an empty file."""
    assert edited(text, change) == now


@pytest.mark.parametrize(
    ("content", "change", "code"),
    [
        (b'[[box]]\ntag = "A"\n', SetKeys(("box", 1), {"tag": "B"}), "edit-refused"),
        (b'[[box]]\ntag = "A"\n', RemoveTable("box", 1), "edit-refused"),
        (b"box = 1\n", AddTable("box", {"tag": "A"}), "edit-refused"),
        (b"job = 1\n", SetKeys(("job",), {"name": "A"}), "edit-refused"),
        (b"job = \n", SetKeys(("job",), {"name": "A"}), "toml-syntax"),
        (b'[job]\nname = "\xff"\n', SetKeys(("job",), {"name": "A"}), "file-encoding"),
        (b'[job]\nname = "\x07"\n', SetKeys(("job",), {"name": "A"}), "file-encoding"),
    ],
)
def test_what_cannot_be_changed_is_a_problem(content: bytes, change: TomlChange, code: str) -> None:
    """A table that is not there, a file that cannot be read."""
    found = edited_toml(content, [change], "job.toml")
    assert isinstance(found, Problem)
    assert found.code == code


TEXTS = st.text(st.characters(codec="utf-8", exclude_categories=("C", "Zl", "Zp")), max_size=8)
KEYS = st.sampled_from(["name", "site", "number"])
CHANGES = st.lists(
    st.one_of(
        st.builds(SetKeys, st.sampled_from([("job",), ("columns",), ("box", 0), ("box", 1)]),
                  st.dictionaries(KEYS, st.one_of(st.none(), TEXTS, st.integers(0, 99)), max_size=2)),
        st.builds(AddTable, st.sampled_from(["box", "unit"]), st.dictionaries(TEXTS, TEXTS, max_size=2)),
        st.builds(RemoveTable, st.just("box"), st.integers(0, 1)),
    ),
    max_size=4,
)  # fmt: skip


@given(changes=CHANGES)
@settings(max_examples=300, deadline=None)
def test_any_changes_give_what_they_ask_for_and_keep_every_comment(changes: list[TomlChange]) -> None:
    """Read by Python's own reader; each line that is a comment alone is still there, in order."""
    new = edited(JOB, *changes)
    wanted = tomllib.loads(JOB)
    removed = set()
    for change in changes:
        if isinstance(change, SetKeys):
            name, *at = change.path
            table = wanted[str(name)][at[0]] if at else wanted.setdefault(str(name), {})
            table |= {key: value for key, value in change.values.items() if value is not None}
            for key in [key for key, value in change.values.items() if value is None]:
                table.pop(key, None)
        elif isinstance(change, AddTable):
            wanted[change.name].append(dict(change.values))
        else:
            removed.add(change.index)
    wanted["box"] = [box for at, box in enumerate(wanted["box"]) if at not in removed]
    assert tomllib.loads(new) == {key: value for key, value in wanted.items() if value}
    comments = [line for line in JOB.splitlines() if line.startswith("# ")]
    assert [line for line in new.splitlines() if line in comments] == comments
