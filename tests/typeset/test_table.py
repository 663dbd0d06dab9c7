"""Rows run down pages under heads that stand again; none is cut, no head stands alone."""

import gc
from collections.abc import Sequence

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from tagmaker.draw.marks import Line, Mark, Text
from tagmaker.problems import Where
from tagmaker.typeset.canvas import Layout
from tagmaker.typeset.flow import Block
from tagmaker.typeset.frame import Frame
from tagmaker.typeset.table import Cell, Running, Table
from tagmaker.typeset.text import Style
from tests.sheets.printed import ink

ROOM = Frame(10, 20, 180, 100)


def paper() -> Running:
    """Pages that begin empty."""
    return Running(Layout("test", Where("job.toml"), ""), ROOM)


def block(running: Running, text: str, tall: float) -> Block:
    """Something so high that writes its name."""
    return tall, lambda frame: running.layout.marks.append(Text(frame.x, frame.bottom, text, "face", tall))


def said(pages: Sequence[Sequence[Mark]]) -> list[list[str]]:
    """What stands on each page, from the top."""
    return [[mark.text for mark in page if isinstance(mark, Text)] for page in pages]


# --- pages --------------------------------------------------------------------------------------------------


def test_heads_stand_again_overleaf() -> None:
    """Title and columns above the rows that run on."""
    running = paper()
    running.head(0, block(running, "title", 10))
    running.head(1, block(running, "columns", 10))
    for number in range(3):
        running.put(block(running, f"row {number}", 40))
    assert said(running.end()) == [["title", "columns", "row 0", "row 1"], ["title", "columns", "row 2"]]


def test_a_head_takes_the_place_of_those_below_it() -> None:
    """A new title ends the columns before it; a new group leaves both above it."""
    running = paper()
    for level, name in enumerate(("title", "columns", "group")):
        running.head(level, block(running, name, 5))
    running.put(block(running, "row", 5))
    running.head(2, block(running, "other group", 5))
    running.put(block(running, "row", 5))
    running.head(0, block(running, "other title", 5))
    running.put(block(running, "row", 90))
    assert said(running.end()) == [
        ["title", "columns", "group", "row", "other group", "row"],
        ["other title", "row"],
    ]


def test_a_head_ends_that_of_its_level_where_one_between_is_missing() -> None:
    """Levels are what they are called, however many there are."""
    running = paper()
    for level, name in ((0, "title"), (3, "card"), (3, "other card")):
        running.head(level, block(running, name, 5))
        running.put(block(running, "row", 5))
    running.put(block(running, "row", 80))
    assert said(running.end()) == [
        ["title", "row", "card", "row", "other card", "row"],
        ["title", "other card", "row"],
    ]


def test_no_head_stands_alone_at_the_foot() -> None:
    """It goes with the first row below it; one without a row is not printed."""
    running = paper()
    running.put(block(running, "row", 80))
    running.head(0, block(running, "title", 10))
    running.put(block(running, "next", 15))
    running.head(0, block(running, "no rows", 10))
    assert said(running.end()) == [["row"], ["title", "next"]]


@pytest.mark.parametrize(
    ("keep", "pages"), [(60.0, [["a"], ["b", "c"]]), (50.0, [["a", "b", "c"]]), (0.0, [["a", "b", "c"]])]
)
def test_rows_that_belong_together(keep: float, pages: list[list[str]]) -> None:
    """The first of them begins a page where this one does not hold all."""
    running = paper()
    running.put(block(running, "a", 50))
    running.put(block(running, "b", 25), keep)
    running.put(block(running, "c", 25))
    assert said(running.end()) == pages


def test_what_no_page_holds_begins_one_and_runs_on() -> None:
    """Rows that belong together and are higher than a page are divided between rows."""
    running = paper()
    running.put(block(running, "a", 10))
    for number in range(4):
        running.put(block(running, f"row {number}", 40), 160.0 if number == 0 else 0.0)
    assert said(running.end()) == [["a"], ["row 0", "row 1"], ["row 2", "row 3"]]


@given(
    st.lists(st.tuples(st.sampled_from("hr"), st.floats(1, 45), st.integers(0, 2)), min_size=1, max_size=40)
)
@example([("h", 40.0, 0), ("h", 40.0, 1), ("r", 45.0, 0), ("r", 1.0, 0)])
@settings(max_examples=60, deadline=None)
def test_every_row_stands_once_and_whole(parts: list[tuple[str, float, int]]) -> None:
    """In order, none twice, and none leaves the page's room unless its own heads fill it."""
    running = paper()
    rows = []
    for number, (kind, tall, level) in enumerate(parts):
        if kind == "h":
            running.head(level, block(running, "head", min(tall, 15.0)))
        else:
            rows.append(f"row {number}")
            running.put(block(running, rows[-1], tall))
    pages = running.end()
    assert [text for page in said(pages) for text in page if text != "head"] == rows
    ends = [mark.y for page in pages for mark in page if isinstance(mark, Text)]
    assert all(end <= ROOM.bottom + 0.01 for end in ends)


def test_nothing_is_left_of_pages_that_ended() -> None:
    """No head refers back to them: no garbage is collected while a command runs."""
    running = paper()
    table = Table(running, (1.0, 1.0))
    table.head(0, [Cell("port"), Cell("unit")])
    table.row([Cell("A"), Cell("FC-1")])
    gc.collect()
    gc.disable()
    try:
        assert len(running.end()) == 1
        del running, table
        assert gc.collect() == 0
    finally:
        gc.enable()


# --- cells --------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("text", "width", "lines"),
    [("", 10, 1), ("Hall", 30, 1), ("Hall and stairs of the north wing", 30, 2), ("FC-1, FC-2, FC-3", 10, 3)],
)
def test_a_cell_takes_as_many_lines_as_it_needs(text: str, width: float, lines: int) -> None:
    """At its own height of capitals."""
    assert Cell(text).sized(width) == (2.3, lines)


def test_a_word_that_is_too_long_is_set_smaller() -> None:
    """Not cut; and where even the least is too wide it is a problem that names it."""
    layout = Layout("test", Where("job.toml"), "BB-1")
    running = Running(layout, ROOM)
    table = Table(running, (1.0,))
    for text in ("W" * 100, "W" * 130):
        table.row([Cell(text)])
    assert [problem.code for problem in layout.problems] == ["text-too-long"]
    assert "W" * 130 in layout.problems[0].message
    (page,) = running.end()
    sizes = [mark.size for mark in page if isinstance(mark, Text)]
    assert len(sizes) == 1
    assert sizes[0] < 2.3 / 0.69


def test_a_sign_that_the_face_lacks_is_a_problem() -> None:
    """Named with its code, like anywhere."""
    layout = Layout("test", Where("job.toml"), "BB-1")
    Table(Running(layout, ROOM), (1.0, 1.0)).row([Cell("廊下" * 60), Cell("Hall")])
    assert [problem.code for problem in layout.problems] == ["character-missing"]


def test_cells_of_a_row_stand_at_its_top() -> None:
    """Side by side, the first lines at one height; the row is as high as its highest cell."""
    running = paper()
    table = Table(running, (0.2, 0.8))
    cells = [Cell("Hall and stairs of the north wing"), Cell("1", align="right")]
    table.row(cells)
    table.row([Cell("Hall"), Cell("2")])
    (page,) = running.end()
    texts = [mark for mark in page if isinstance(mark, Text)]
    first = [mark for mark in texts if mark.text in {"Hall and stairs of the", "1"}]
    assert len({round(mark.y, 6) for mark in first}) == 1
    assert table.height(cells) > table.height([Cell("Hall"), Cell("2")])
    assert Cell("1", bold=True).style(30) == Style(2.3, 2.3, bold=True, upright="bottom")


@pytest.mark.parametrize("bold", [False, True])
def test_accents_do_not_reach_the_rule_above(bold: bool) -> None:  # noqa: FBT001
    """A row with accented capitals is higher by what they reach above the others; first lines stay level."""
    running = paper()
    table = Table(running, (0.5, 0.5))
    table.row([Cell("ÅÉŐÜ Åsgård", bold=bold), Cell("Hall", bold=bold)])
    (page,) = running.end()
    accented, plain = (mark for mark in page if isinstance(mark, Text))
    (rule,) = (mark for mark in page if isinstance(mark, Line))
    assert ink(accented).top > rule.y1 + rule.width / 2
    assert accented.y == pytest.approx(plain.y)
