"""Templates: places filled in one pass, every other brace left as it is."""

import html

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from tagmaker.files.template import escaped, fill


def test_a_value_is_filled_wherever_it_is_named() -> None:
    """Numbers are written plainly; values that no place names are left."""
    assert fill("{port} of {box}, {port}", {"port": "A", "box": 3, "room": "x"}) == "A of 3, A"


def test_other_braces_are_text() -> None:
    """Styles, scripts and inline tables need no doubled braces."""
    text = "a { b: c } {} {1} {A} { d } ${{e: 1}}"
    assert fill(text, {}) == text


@given(st.text(st.sampled_from("{}ab_ ")), st.text(st.sampled_from("{}ab_ ")))
def test_a_value_is_no_place(first: str, second: str) -> None:
    """Whatever a name looks like, it is printed as it is."""
    assert fill("{a}|{b}", {"a": first, "b": second}) == f"{first}|{second}"


def test_a_place_without_a_value_is_a_bug() -> None:
    """Nothing is printed with a hole in it."""
    with pytest.raises(KeyError, match="box"):
        fill("{box}", {"port": "A"})


@given(st.text())
@example("<script>&amp; \"a\" 'b' ]]>\x00")
def test_no_text_becomes_code(text: str) -> None:
    """What is escaped is what Python's own library makes of it, within quotes and outside them."""
    assert escaped(text) == html.escape(text)
    assert escaped(text, quotes=False) == html.escape(text, quote=False)
