"""What a plan's records say of themselves."""

import pytest

from tests.strategies import first_box, one_box

ROWS = (("FC-1", "A", "24 kBtu/h"), ("AH-1", "C+D", "72 kBtu/h"))


def test_a_box_carries_all_of_its_ports() -> None:
    """The total is the sum over ports and pairs."""
    load = first_box(one_box(*ROWS).record()).load
    assert load is not None
    assert load.text("kBtu/h") == "96 kBtu/h"


def test_a_box_with_a_missing_capacity_has_no_total() -> None:
    """A total that leaves a unit out would be wrong, so there is none."""
    assert first_box(one_box(*ROWS, ("FC-2", "B", "")).record()).load is None


@pytest.mark.parametrize(("letter", "name"), [("A", "A"), ("B", "B"), ("C", "C+D"), ("D", "C+D")])
def test_a_letter_finds_its_port(letter: str, name: str) -> None:
    """Both letters of a pair belong to the pair."""
    assert first_box(one_box(*ROWS).record()).port_of(letter).name == name


def test_a_bank_lists_what_must_be_on() -> None:
    """B is not used: bank 1, switch 2; C+D work as one: bank 2, switch 2."""
    (board,) = first_box(one_box(*ROWS).record()).boards
    assert [bank.on() for bank in board.banks] == [(2,), (2,)]
