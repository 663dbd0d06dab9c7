"""Marks move as one: the same marks, elsewhere."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from msgspec.structs import fields

from tagmaker.draw.marks import Bars, Group, Line, Mark, Polygon, Rect, Text, flat, moved
from tagmaker.symbols.encode import code128, qr
from tests.records import replace

MARKS: tuple[Mark, ...] = (
    Text(1.0, 2.0, "A", "bold", 3.0, "center", 0.5),
    Rect(1.0, 2.0, 3.0, 4.0, fill=0.5, line=0.3, radius=0.2, dash=(1.0, 2.0)),
    Line(1.0, 2.0, 3.0, 4.0, width=0.5, dash=(1.0,)),
    Polygon(((1.0, 2.0), (3.0, 2.0), (3.0, 4.0)), fill=0.2),
    Bars(1.0, 2.0, 0.5, 6.0, ((0, 0, 2, 1),), "BB-1/A/LIQ"),
)


def test_every_sort_of_mark_moves_by_the_same_way() -> None:
    """10 to the right and 20 down, nothing else about a mark changes."""
    text, rect, line, polygon, bars = MARKS
    corner = {"x": 11.0, "y": 22.0}
    assert moved(MARKS, 10.0, 20.0) == (
        replace(text, **corner),
        replace(rect, **corner),
        replace(line, x1=11.0, y1=22.0, x2=13.0, y2=24.0),
        replace(polygon, points=((11.0, 22.0), (13.0, 22.0), (13.0, 24.0))),
        replace(bars, **corner),
    )


@settings(max_examples=50, deadline=None)
@given(st.integers(-500, 500), st.integers(-500, 500))
def test_there_and_back_is_where_they_were(dx: int, dy: int) -> None:
    """Moving back undoes moving."""
    assert moved(moved(MARKS, dx, dy), -dx, -dy) == MARKS


def test_a_groups_marks_lie_from_its_corner() -> None:
    """As if each had been moved by itself, groups within groups too, and in the order of drawing."""
    inner = Group(1.0, 2.0, MARKS[:2])
    expected = (MARKS[2], *moved(MARKS[:2], 11.0, 22.0), *moved(MARKS[3:4], 10.0, 20.0), MARKS[4])
    assert expected == tuple(flat([MARKS[2], Group(10.0, 20.0, (inner, MARKS[3])), MARKS[4]]))


@pytest.mark.parametrize("mark", MARKS, ids=lambda mark: type(mark).__name__)
def test_a_mark_cannot_be_changed(mark: Mark) -> None:
    """Stages hand on what no later stage can alter."""
    with pytest.raises(AttributeError):
        setattr(mark, fields(mark)[0].name, 5.0)


@pytest.mark.parametrize("text", ["BB-1/A/LIQ", "BB-12/L/COM/FC-345", "A" * 300])
def test_a_symbols_size_is_that_of_all_its_runs(text: str) -> None:
    """Though only the last is asked: of a QR code the finder pattern at its foot, of bars the last bar."""
    for symbol, wide, high in ((qr(text), 0.5, 0.5), (code128(text), 0.25, 6.0)):
        columns = max(column + count for column, _, count, _ in symbol.runs)
        rows = max(row + count for _, row, _, count in symbol.runs)
        mark = Bars(1.0, 2.0, wide, high, symbol.runs, text)
        assert mark.cells == (columns, rows) == (symbol.columns, symbol.rows)
        assert mark.size == (columns * wide, rows * high)
