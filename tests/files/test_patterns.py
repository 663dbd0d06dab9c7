"""Patterns that are compiled when they are first used: each answer is that of `re`."""

import importlib
import pkgutil
import re

import pytest

import tagmaker
from tagmaker.files.patterns import Pattern

TEXT = "a1, b22; c"


def test_nothing_is_compiled_before_it_is_asked_for() -> None:
    """What is wrong with a pattern is found when it is used."""
    late = Pattern("(")
    with pytest.raises(re.error):
        late.search(TEXT)


def test_every_pattern_of_the_program_can_be_compiled() -> None:
    """A run that uses a rare one must not be the first to compile it."""
    modules = [each.name for each in pkgutil.walk_packages(tagmaker.__path__, "tagmaker.")]
    found = [
        value.compiled
        for name in modules
        if not name.endswith("__main__")
        for value in vars(importlib.import_module(name)).values()
        if isinstance(value, Pattern)
    ]
    assert len(found) > 30


def test_every_answer_is_that_of_a_compiled_pattern() -> None:
    """With its flags, from a place on, for texts and for bytes."""
    late, own = (
        Pattern(r"[A-Z]\d+", re.ASCII | re.IGNORECASE),
        re.compile(r"[A-Z]\d+", re.ASCII | re.IGNORECASE),
    )
    for method in ("fullmatch", "match", "search"):
        for words in ((TEXT,), ("b22",), (TEXT, 4), ("",)):
            found, expected = getattr(late, method)(*words), getattr(own, method)(*words)
            assert (found and found.span()) == (expected and expected.span())
    assert [each[0] for each in late.finditer(TEXT)] == own.findall(TEXT)
    assert (late.split(TEXT), late.sub("-", TEXT)) == (own.split(TEXT), own.sub("-", TEXT))
    assert Pattern(rb"\d").sub(b"", b"a1") == b"a"
