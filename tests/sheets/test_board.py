"""The picture of a board: what a person sees who holds it beside the open control box."""

import pytest

from tagmaker.draw.marks import Line, Mark, Rect, Text
from tagmaker.plan.model import BankPlan, Board, SwitchPlan
from tagmaker.problems import Where
from tagmaker.sheets.board import BoardPicture
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


def drawn(board: Board, *, frame: Frame | None = None, is_blank: bool = False) -> Layout:
    """A board drawn alone."""
    layout = Layout("test", Where("job.toml"), "BB-1")
    picture = BoardPicture(layout, words(), 0 if is_blank else 7.0, side_by_side=True, blank=is_blank)
    picture.draw(board, frame or Frame(5, 5, 70, 60))
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
    ON OFF AS FOUND ON CHECK""",
    ("down", "left"): """\
Bank 1 | ON 1 4
OFF . # ? .
ON  # . ? #
    1 2 3 4
    ON OFF AS FOUND ON CHECK""",
    ("up", "right"): """\
Bank 1 | ON 1 4
ON  # ? . #
OFF . ? # .
    4 3 2 1
    ON CHECK AS FOUND OFF ON""",
    ("down", "right"): """\
Bank 1 | ON 1 4
OFF . ? # .
ON  # ? . #
    4 3 2 1
    ON CHECK AS FOUND OFF ON""",
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
    first, second = pictured(drawn(board, frame=Frame(5, 5, 150, 60)).marks)
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


def test_a_board_to_be_marked_by_hand() -> None:
    """On paper for what is found, slots have both ends empty, and numbers without words."""
    (picture,) = pictured(drawn(BOARD, is_blank=True).marks)
    assert (
        picture.as_text()
        == """\
Bank 1
ON  _ _ _ _
OFF _ _ _ _
    1 2 3 4
    - - - -"""
    )


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


def test_many_switches_keep_a_sign_for_as_found() -> None:
    """Where eight switches leave no room for the words, a question mark stands in the dashed slot's place."""
    many = tuple(SwitchPlan(number, "leave" if number == 3 else "off") for number in range(1, 9))
    (picture,) = pictured(
        drawn(replace(BOARD, banks=(replace(BANK, switches=many),)), frame=Frame(5, 5, 46, 40)).marks
    )
    assert [each.word for each in picture.switches] == ["OFF", "OFF", "?", *["OFF"] * 5]


def test_a_board_without_room_is_a_problem() -> None:
    """Too narrow a frame is told, not drawn over."""
    layout = Layout("placard of BB-1", Where("job.toml", 10), "BB-1")
    BoardPicture(layout, words(), 7.0, side_by_side=True).draw(BOARD, Frame(0, 0, 20, 60))
    assert {problem.code for problem in layout.problems} == {"text-too-long"}
    assert all(problem.message.startswith("placard of BB-1: ") for problem in layout.problems)
