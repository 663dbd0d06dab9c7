"""The words by which a schedule's columns are known."""

from pathlib import Path

import pytest
from msgspec.structs import fields

from tagmaker.catalog.columns import REQUIRED, ColumnWords, column_words, plain_word
from tagmaker.job.box_facts import BOX_TEXTS
from tagmaker.job.model import UnitRow


@pytest.mark.parametrize("text", ["Room name", "ROOM  NAME", " room-name: ", "Room_Name", "(room) name."])
def test_case_and_punctuation_do_not_matter(text: str) -> None:
    """A header's word is the same however it is set."""
    assert plain_word(text) == "room name"


def test_letters_of_other_languages_stay() -> None:
    """Only punctuation goes, not letters."""
    assert plain_word("Größe, Nr. 7") == "grösse nr 7"


def test_columns_are_the_fields_of_a_unit() -> None:
    """Each field of a unit's row has a column, and each column a field."""
    known = {field.name for field in fields(UnitRow)} - {"where", "unread", "tag"} | {"unit"}
    assert set(column_words().kind_of) == known


def test_required_columns_are_texts() -> None:
    """What a row cannot be placed without is a text; quantities may be missing."""
    assert [column_words().kind_of[key] for key in REQUIRED] == ["text", "text", "text"]


def test_each_word_means_one_column() -> None:
    """A key is its own word, and words are plain, so that no two columns share one."""
    words = column_words()
    assert {key: words.key_of[plain_word(key)] for key in words.kind_of} == {
        key: key for key in words.kind_of
    }
    assert [word for word in words.key_of if word != plain_word(word)] == []


def test_no_word_is_known_and_ambiguous() -> None:
    """A word either means one column or is asked about; never a choice in silence."""
    words = column_words()
    assert set(words.key_of) & set(words.ambiguous) == set()
    assert [word for word, meanings in words.ambiguous.items() if len(meanings) < 2] == []


def test_a_word_of_remarks_or_of_another_thing_is_no_column() -> None:
    """Such a column is left out, or asked about, and never used."""
    words = column_words()
    assert (set(words.key_of) | set(words.ambiguous)) & (words.remarks | set(words.others)) == set()
    assert set(words.box_key_of.values()) == {"ports", *BOX_TEXTS}


def test_words_are_plain() -> None:
    """Words of every table are as headers are made plain, or they would never be found."""
    words = column_words()
    tables = (*words.ambiguous, *words.groups, *words.totals, *words.headings, *words.no_tags)
    tables += (*words.remarks, *words.others, *words.box_key_of, *words.levels, *words.named_levels)
    assert [word for word in tables if word != plain_word(word)] == []


def test_headings_of_several_columns_stand_over_known_keys() -> None:
    """What keeps its meaning below a heading is a column."""
    words = column_words()
    assert {key for keys in words.groups.values() for key in keys} - set(words.kind_of) == set()


def test_file_of_columns(own_layouts: Path) -> None:
    """Tables of kinds have columns with their words; other tables have words that mean no one column."""
    text = (
        'note = "x"\n[text]\nroom = ["Room", "Room name"]\n[capacity]\n[length]\nrun = ["run"]\n[volume]\n'
        '[ambiguous]\nsize = ["run", "room"]\n[groups]\npipe = ["run"]\n'
        '[left_out]\nremarks = ["notes"]\n[other]\npo = "an order"\n[box_sheet]\nports = ["ports"]\n'
        '[system_sheet]\n"test.hold" = ["hold"]\n'
        '[sheet_names]\nlevel = ["level"]\nnamed = ["roof"]\n'
        '[rows]\ntotal = ["sum"]\nheading = ["level"]\nspare = ["spare"]\nundecided = ["tbd"]\n'
    )
    (own_layouts / "columns.toml").write_text(text, encoding="utf-8")
    assert column_words() == ColumnWords(
        key_of={"room": "room", "room name": "room", "run": "run"},
        kind_of={"room": "text", "run": "length"},
        ambiguous={"size": ("run", "room")},
        groups={"pipe": ("run",)},
        remarks=frozenset({"notes"}),
        others={"po": "an order"},
        box_key_of={"ports": "ports"},
        system_key_of={"hold": "test.hold"},
        levels=frozenset({"level"}),
        named_levels=frozenset({"roof"}),
        totals=frozenset({"sum"}),
        headings=frozenset({"level"}),
        spares=frozenset({"spare"}),
        undecided=frozenset({"tbd"}),
    )
