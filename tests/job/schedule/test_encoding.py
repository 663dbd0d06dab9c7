"""The text of a CSV file: read where its bytes are unmistakable, else a problem."""

import pytest

from tagmaker.job.schedule.encoding import decoded
from tagmaker.problems import Problem


@pytest.mark.parametrize(
    ("content", "expected"),
    [
        (b"unit,room\nFC-1,Shop\n", ("unit,room\nFC-1,Shop\n", "UTF-8")),
        ("Café – ½".encode(), ("Café – ½", "UTF-8")),
        ("\ufeffCafé".encode(), ("Café", "UTF-8")),
        ("Café".encode("utf-16"), ("Café", "UTF-16")),
        ("\ufeffCafé".encode("utf-16-be"), ("Café", "UTF-16")),
        ("Café,Büro".encode("cp1252"), ("Café,Büro", "Windows-1252")),
        (b"a\r\nb\rc", ("a\nb\nc", "UTF-8")),
    ],
)
def test_encodings_of_spreadsheets(content: bytes, expected: tuple[str, str]) -> None:
    """UTF-8 and UTF-16 by their marks, Windows-1252 where no other code page gives a text."""
    assert decoded(content, "ports.csv") == expected


@pytest.mark.parametrize(
    ("text", "page"),
    [
        ("Crème", "cp1252"),  # Crčme in Windows-1250 (Unicode's mapping tables, by codecs)
        ("Kuželna", "cp1250"),
        ("Кабинет", "cp1251"),
        ("Γραφείο", "cp1253"),
        ("Salle n° 2 – Café", "mac_roman"),
        ("Café", "cp850"),
    ],
)
def test_a_code_page_that_could_be_another_is_a_problem(text: str, page: str) -> None:
    """What two code pages give different texts for is never guessed."""
    found = decoded(text.encode(page), "ports.csv")
    assert isinstance(found, Problem)
    assert (found.code, found.hint) == ("file-encoding", 'save it as "CSV UTF-8"')


def test_the_line_is_that_of_the_sign() -> None:
    """The first sign that is no UTF-8."""
    found = decoded("a\nb\nCrème".encode("cp1252"), "ports.csv")
    assert isinstance(found, Problem)
    assert found.where.line == 3


@pytest.mark.parametrize("content", [b"\xff\xfea", b"a\x00b", "a\u202eb".encode()])
def test_broken_text_and_control_characters_are_problems(content: bytes) -> None:
    """Half a character, a null, a sign that turns the text's direction."""
    found = decoded(content, "ports.csv")
    assert isinstance(found, Problem)
    assert found.code == "file-encoding"
