"""Keyboard layouts are data: what each character of a layout was meant to be."""

import unicodedata
from pathlib import Path

import pytest

from tagmaker.catalog.keyboards import Keyboard, keyboards
from tests.catalog.shipped import KEYBOARDS
from tests.job_files import write_files


def test_a_layout_of_its_own_is_read(own_layouts: Path) -> None:
    """Each key's two characters, and the same with both levels exchanged."""
    write_files(own_layouts, {"keyboards.toml": KEYBOARDS})
    meant, locked = (str.maketrans(*pair) for pair in (("bqBQ", "abAB"), ("bqBQ", "ABab")))
    (found,) = keyboards()
    assert (found.name, [chr(key) for key in found.meant]) == ("Turned", list("bqBQ"))
    assert "bqBQ".translate(found.meant) == "bqBQ".translate(meant) == "abAB"
    assert "bqBQ".translate(found.locked) == "bqBQ".translate(locked) == "ABab"


@pytest.mark.parametrize("keyboard", keyboards(), ids=lambda keyboard: keyboard.name)
def test_the_shipped_layouts_have_all_keys(keyboard: Keyboard) -> None:
    """Every character that a code or a placard may hold can be typed on each of them."""
    meant = {text for text in keyboard.meant.values() if len(text) == 1}
    assert meant == set(keyboard.locked.values()) & meant
    assert {*"ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789-/+:;|?."} <= meant


def test_a_composed_letter_is_its_dead_key_and_the_letter() -> None:
    """On a German layout a plus sign before E types an E with a grave accent; an Ö has a key of its own."""
    (german,) = (each for each in keyboards() if each.name == "German")
    assert "\u00c8".translate(german.meant) == "+E"
    assert unicodedata.normalize("NFD", "\u00d6") != "\u00d6"
    assert "\u00d6".translate(german.meant) == ":"
