"""The files that the program cannot run without: what is wrong with one of them is a bug and says so."""

import re
from pathlib import Path

import pytest

from tagmaker.catalog.shipped import shipped_table, shipped_text
from tests.catalog.shipped import BANDS, KEYBOARDS, READERS, READING
from tests.job_files import write_files
from tests.paths import ROOT
from tests.tables import table

ITEM = '[[item]]\nkey = "power"\ntext = "Power isolated"\n'
TEXTS = {
    "bands.toml": BANDS,
    "keyboards.toml": KEYBOARDS,
    "reading.toml": READING,
    "walk.toml": f'source = "x"\n{ITEM}',
}


@pytest.mark.usefixtures("own_layouts")
@pytest.mark.parametrize("name", READERS)
def test_a_file_that_is_missing_is_a_bug(name: str) -> None:
    """An installation without it stops with the file's name, before anything is made with half the rules."""
    with pytest.raises(FileNotFoundError, match=re.escape(f"layouts/{name} does not exist")):
        READERS[name]()


@pytest.mark.parametrize("name", TEXTS)
def test_a_whole_file_is_read(own_layouts: Path, name: str) -> None:
    """What the cases below take a line from, or add one to, is without fault."""
    write_files(own_layouts, {name: TEXTS[name]})
    assert READERS[name]()


@pytest.mark.parametrize(
    ("name", "old", "new", "message"),
    table(
        r"""
    bands.toml | interval = "5 m"\n |  | key 'interval' is missing
    bands.toml | height = "30 mm" |  | key 'letters.height' is missing
    bands.toml | interval = "5 m" | interval = "5 m"\ncolour = "blue" | unknown key 'colour'
    keyboards.toml | plain = "bq" | plain = "bqx" | Turned: a key is missing or twice
    keyboards.toml | plain = "bq" | plain = "bB" | Turned: a key is missing or twice
    keyboards.toml | name = "Turned" |  | key 'layout.name' is missing
    keyboards.toml | name = "Turned" | name = "Turned"\nkeys = 2 | unknown key
    reading.toml | minutes = 20\n |  | key 'letter.minutes' is missing
    reading.toml | low_label_mm = 20.0\n |  | key 'low_label_mm' is missing
    reading.toml | source = "an invented rule"\n |  | key 'source' is missing
    reading.toml | low_label_mm = 20.0 | low_label_mm = 20.0\nduct = 2 | unknown key 'duct'
    walk.toml | source = "x"\n |  | key 'source' is missing
    walk.toml | power | Power | layouts/walk.toml:3: error: 'Power' is not a valid item key
    """
    ),
)
def test_a_file_that_is_not_whole_is_a_bug(
    own_layouts: Path, name: str, old: str, new: str, message: str
) -> None:
    """A rule that is missing, wrong or known to nobody is not skipped: the error names it."""
    assert old in TEXTS[name]
    write_files(own_layouts, {name: TEXTS[name].replace(old, new)})
    with pytest.raises(ValueError, match=re.escape(message)):
        READERS[name]()


def test_an_error_of_the_reader_is_not_covered_up() -> None:
    """What goes wrong between the keys is raised as it is."""
    with pytest.raises(ZeroDivisionError), shipped_table("walk.toml"):
        raise ZeroDivisionError


def test_a_text_is_read_as_it_is() -> None:
    """With every sign of it."""
    assert shipped_text("walk.html") == (ROOT / "layouts" / "walk.html").read_text(encoding="utf-8")
