"""The picture of a board: what a person sees who holds it beside the open control box."""

import pytest

from tagmaker.draw.marks import Line, Mark, Rect, Text
from tagmaker.plan.model import BankPlan, Board, SwitchPlan
from tagmaker.problems import Where
from tagmaker.sheets.board_grid import LABEL_SIZES, PAGE_SIZES, Grid, grid_of
from tagmaker.sheets.board_pictures import BoardPictures
from tagmaker.typeset.canvas import Layout
from tagmaker.typeset.frame import Frame
from tests.records import replace
from tests.sheets.pictured import pictured
from tests.strategies import first_box, one_box, words

SWITCHES = (
    SwitchPlan(1, "on", when="unused", ports=("E",)),
    SwitchPlan(2, "off"),
    SwitchPlan(3, "leave"),
    SwitchPlan(4, "on", check_only=True, when="unfitted", ports=("G", "H")),
)
BANK = BankPlan(1, "Bank 1", "up", "left", SWITCHES)
BOARD = Board("right", ("E", "F"), 2, (BANK,))


def grid(*boards: Board, width: float = 70, height: float = 80) -> Grid:
    """The grid of boards on a page of that size."""
    return grid_of(boards, width, (height, height), PAGE_SIZES, words())


def drawn(*boards: Board, width: float = 70, height: float = 80) -> Layout:
    """Boards drawn alone on one page."""
    layout = Layout("test", Where("job.toml"), "BB-1")
    planned = grid(*boards, width=width, height=height)
    (parts,) = planned.pages(height, height)
    BoardPictures(layout, words(), planned).draw(parts, Frame(5, 5, width, height))
    assert layout.problems == []
    return layout


def texts(marks: list[Mark]) -> list[str]:
    """The texts among marks."""
    return [mark.text for mark in marks if isinstance(mark, Text)]


# --- golden pictures ---------------------------------------------------------------------------------------

GOLDEN = {
    ("up", "left"): """\
Bank 1 | ON 1 4
ON  # . ? #
OFF . # ? .
    1 2 3 4
    ON OFF AS FOUND ON""",
    ("down", "left"): """\
Bank 1 | ON 1 4
OFF . # ? .
ON  # . ? #
    1 2 3 4
    ON OFF AS FOUND ON""",
    ("up", "right"): """\
Bank 1 | ON 1 4
ON  # ? . #
OFF . ? # .
    4 3 2 1
    ON AS FOUND OFF ON""",
    ("down", "right"): """\
Bank 1 | ON 1 4
OFF . ? # .
ON  # ? . #
    4 3 2 1
    ON AS FOUND OFF ON""",
}


@pytest.mark.parametrize(("on_points", "numbered_from"), GOLDEN)
def test_a_bank_as_one_faces_it(on_points: str, numbered_from: str) -> None:
    """ON up or down, numbered from the left or from the right: sliders, numbers and words agree."""
    bank = replace(BANK, on_points=on_points, numbered_from=numbered_from)
    (picture,) = pictured(drawn(replace(BOARD, banks=(bank,))).marks)
    assert GOLDEN[on_points, numbered_from] == picture.as_text()


def test_a_board_of_two_banks() -> None:
    """Ports A unused, C and D joined: bank 1 has 1 ON, bank 2 has 2 ON and 3 as found."""
    (board,) = first_box(one_box(("FC-1", "B", "9 kBtu/h"), ("AH-1", "C+D", "72 kBtu/h")).record()).boards
    first, second = pictured(drawn(board, width=150).marks)
    assert (
        first.as_text()
        == """\
Bank 1 | ON 1
ON  # . . .
OFF . # # #
    1 2 3 4
    ON OFF OFF OFF"""
    )
    assert (
        second.as_text()
        == """\
Bank 2 | ON 2
ON  . # ? .
OFF # . ? #
    1 2 3 4
    OFF ON AS FOUND OFF"""
    )


def test_nothing_on_says_all_off() -> None:
    """A bank without an ON switch says "all OFF": a blank could be a misprint."""
    off = replace(BANK, switches=tuple(SwitchPlan(number, "off") for number in range(1, 5)))
    (picture,) = pictured(drawn(replace(BOARD, banks=(off,))).marks)
    assert picture.head == ("Bank 1", "all OFF")
    assert picture.at_end("ON") == ()


# --- around the switches -----------------------------------------------------------------------------------


def test_the_head_names_the_board_and_its_positions() -> None:
    """Place in capitals, a box a letter, and a crossed grey box for each position without a port."""
    marks = drawn(BOARD).marks
    assert texts(marks)[:3] == ["RIGHT BOARD", "E", "F"]
    assert len([mark for mark in marks if isinstance(mark, Rect) and mark.fill == 0.88]) == 2
    assert len([mark for mark in marks if isinstance(mark, Line)]) == 4


def test_every_setting_has_its_reason_below() -> None:
    """ON and left-as-found switches say why, by number; check-only ones that they are only checked."""
    told = "   ".join(texts(drawn(BOARD).marks)).replace("\u00a0", " ")
    assert "1: port E is not used" in told
    assert "3: leave as found" in told
    assert "4: G, H not fitted (check only)" in told
    assert "2: " not in told


def test_on_is_white_on_black_and_off_is_not() -> None:
    """ON and OFF are told apart without colour: by place, by word, and by a black ground."""
    marks = drawn(BOARD).marks
    inks = {mark.text: mark.ink for mark in marks if isinstance(mark, Text) and mark.text in ("ON", "OFF")}
    white = [mark for mark in marks if isinstance(mark, Text) and mark.ink == 1.0]
    assert {mark.text for mark in white} == {"ON"}
    assert len(white) == 1  # the other ON of this board is only checked, and stands in an open frame
    assert inks["OFF"] == 0.0


def test_a_bank_bears_the_name_on_the_board_in_hand() -> None:
    """Not the family's name for it but the one that the job gives."""
    (picture,) = pictured(drawn(replace(BOARD, banks=(replace(BANK, name="DSW-2"),))).marks)
    assert picture.head[0] == "DSW-2"


def test_many_switches_keep_a_word_for_as_found() -> None:
    """Where eight switches leave no room for the words, a short one is below the dashed slot."""
    many = tuple(SwitchPlan(number, "leave" if number == 3 else "off") for number in range(1, 9))
    board = replace(BOARD, banks=(replace(BANK, switches=many),))
    layout = Layout("test", Where("job.toml"), "BB-1")
    small = grid_of((board,), 80, (60, 60), LABEL_SIZES, words())
    BoardPictures(layout, words(), small).draw(small.pages(60, 60)[0], Frame(5, 5, 80, 60))
    (picture,) = pictured(layout.marks)
    assert [each.word for each in picture.switches] == ["OFF", "OFF", "KEEP", *["OFF"] * 5]
    assert layout.problems == []


def test_switches_with_one_reason_share_it() -> None:
    """Their numbers before the reason, which is given once."""
    switches = tuple(SwitchPlan(number, "leave") for number in range(1, 4))
    told = texts(drawn(replace(BOARD, banks=(replace(BANK, switches=switches),))).marks)
    assert "1 2 3: leave as found" in [text.replace("\u00a0", " ") for text in told]


def test_a_board_without_room_is_a_problem() -> None:
    """Too narrow a page is told, not drawn over."""
    layout = Layout("placard of BB-1", Where("job.toml", 10), "BB-1")
    narrow = grid(BOARD, width=20)
    BoardPictures(layout, words(), narrow).draw(narrow.pages(80, 80)[0], Frame(0, 0, 20, 80))
    assert {problem.code for problem in layout.problems} == {"text-too-long"}
    assert all(problem.message.startswith("placard of BB-1: ") for problem in layout.problems)


# --- the grid -----------------------------------------------------------------------------------------------

TWO = replace(BOARD, banks=(BANK, replace(BANK, number=2, name="Bank 2")))


@pytest.mark.parametrize(
    ("count", "width", "height", "abreast", "across"),
    [(1, 200, 80, 1, 2), (2, 200, 120, 2, 1), (3, 200, 110, 3, 1), (3, 135, 300, 1, 2), (3, 60, 400, 1, 1)],
)
def test_boards_are_abreast_as_far_as_the_width_allows(
    count: int, width: float, height: float, abreast: int, across: int
) -> None:
    """Left to right as in the control box; banks are side by side where that leaves ON and OFF larger."""
    planned = grid(*[TWO] * count, width=width, height=height)
    assert (planned.abreast, planned.across) == (abreast, across)
    assert planned.height <= height


def test_a_larger_page_has_larger_switches() -> None:
    """Words, lists and slots grow with the page; at the least sizes boards go on overleaf."""
    sizes = [grid(TWO, TWO, width=200, height=height).sizes for height in (100, 120, 140)]
    assert sizes[0].word < sizes[1].word < sizes[2].word
    low = grid(TWO, TWO, width=60, height=110)
    assert low.sizes.word == PAGE_SIZES.word
    assert [len(parts) for parts in low.pages(110, 110)] == [1, 1]


def test_a_board_that_no_page_holds_is_divided_between_banks() -> None:
    """Each part has its rows of banks once, in order."""
    planned = grid(TWO, width=70, height=70)
    parts = [part for page in planned.pages(70, 70) for part in page]
    assert [(part.row, part.first, part.end) for part in parts] == [(0, 0, 1), (0, 1, 2)]


def test_reasons_take_the_same_room_on_boards_side_by_side() -> None:
    """One board without a reason, one with two: their second banks are at one height."""
    off = replace(BANK, switches=tuple(SwitchPlan(number, "off") for number in range(1, 5)))
    quiet = replace(TWO, banks=(off, replace(off, number=2, name="Bank 2")))
    bodies = [mark for mark in drawn(quiet, TWO, width=150, height=120).marks if isinstance(mark, Rect)]
    tops = sorted({round(mark.y, 3) for mark in bodies if mark.line == 0.6})
    assert len(tops) == 2
