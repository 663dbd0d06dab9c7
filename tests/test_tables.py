"""Tables of cases are read as they are written."""

import pytest

from tests.tables import table


def test_a_table_is_read_row_by_row() -> None:
    """White space around cells is left out, an empty last cell counts, and a written line end is one."""
    text = r"""
        a | b c | 1\n
        d |     |
    """
    assert table(text) == [("a", "b c", "1\n"), ("d", "", "")]


def test_a_row_of_another_length_is_an_error() -> None:
    """A bar that was forgotten must not shift a case's cells."""
    with pytest.raises(ValueError, match="more or fewer cells"):
        table("a | b\nc")
