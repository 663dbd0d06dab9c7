"""What a box believes without a job, what to move for a wish, and what is asked for."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tagmaker.workflows.explain import Question, ask, explain
from tests.paths import EXAMPLES
from tests.strategies import SIZES, port_uses, shipped_family
from tests.workflows.explained import FAMILY, explained


def test_a_factory_switch_where_all_ports_are_fitted() -> None:
    """A full board that says that two of its ports are not there is put right."""
    answer = explained(4, "bank 2: 4")
    assert answer.boards[0].believes == ("A in service", "B in service", "C not fitted", "D not fitted")
    assert answer.boards[0].move == ("Bank 2 switch 4 to OFF",)


def test_switches_that_contradict_each_other_need_a_word() -> None:
    """Both cannot be: told, and no move until it is said what is meant."""
    found = "bank 1: 1, bank 2: 1"
    answer = explained(4, found)
    assert answer.boards[0].move == ()
    assert answer.undecided == {"only": ("A",)}
    (meant,) = explained(4, found, "A+B joined").boards
    assert meant.move == ("Bank 1 switch 1 to OFF",)
    (other,) = explained(4, found, "A spare").boards
    assert other.move == ("Bank 2 switch 1 to OFF",)


WISHES = [
    ("none", "A spare", ["Bank 1 switch 1 to ON"]),
    ("bank 1: 1", "A used", ["Bank 1 switch 1 to OFF"]),
    ("none", "C+D joined", ["Bank 2 switch 2 to ON"]),
    ("bank 1: 4", "C and D joined", ["Bank 1 switch 4 to OFF", "Bank 2 switch 2 to ON"]),
    ("bank 2: 1", "A and B used", ["Bank 2 switch 1 to OFF"]),
    ("bank 2: 1", "A spare", ["Bank 1 switch 1 to ON", "Bank 2 switch 1 to OFF"]),
    ("bank 1: 1", "A spare", []),
    ("bank 2: 3", "all used", []),
]


@pytest.mark.parametrize(("found", "wish", "moves"), WISHES)
def test_what_to_move_for_a_wish(found: str, wish: str, moves: list[str]) -> None:
    """Exactly the switches that stand otherwise than wished; the one that no rule knows stays."""
    (board,) = explained(4, found, wish).boards
    assert tuple(moves) == board.move


@given(st.sampled_from(SIZES).flatmap(lambda ports: st.tuples(st.just(ports), port_uses(ports))))
@settings(max_examples=60, deadline=None)
def test_after_the_moves_the_box_believes_the_wish(drawn: tuple[int, tuple[tuple[str, str], ...]]) -> None:
    """From all OFF, any port use of any size: once moved, the box believes exactly what was wished."""
    ports, uses = drawn
    wish = ", ".join(f"{name} {'used' if use == 'single' else use}" for name, use in uses)
    moved = explained(ports, "none", wish)
    told = "; ".join(f"{board.place} {on_after(board.move)}" for board in moved.boards)
    after = explained(ports, told, wish)
    assert [board.move for board in after.boards if board.move] == []
    shown = {"spare": "{} out of service", "single": "{} in service", "joined": "{} work as one"}
    wished = [shown[use].format(name) for name, use in uses]
    believed = [text for board in after.boards for text in dict.fromkeys(board.believes)]
    assert wished == [text for text in believed if not text.endswith("not fitted")]


def on_after(moves: tuple[str, ...]) -> str:
    """The switches that are ON after moves from all OFF, in words."""
    named = [text.split() for text in moves]
    assert all(words[-1] == "ON" for words in named)
    return ", ".join(f"bank {words[1]} switch {words[3]}" for words in named) or "none"


def test_it_asks_only_for_what_was_not_given() -> None:
    """What stands on the command line is not asked for."""
    asked: list[str] = []

    def answer(question: str) -> str:
        asked.append(question.split(maxsplit=1)[0])
        return "none"

    assert ask(answer, Question(FAMILY, 4, "", "A spare")) == Question(FAMILY, 4, "none", "A spare")
    assert asked == ["Which"]


@pytest.mark.parametrize("ports", SIZES)
def test_every_size_is_explained(ports: int) -> None:
    """Every port of every size is spoken of, and every board has its line."""
    answer = explained(ports, "none")
    letters = [text.split()[0] for board in answer.boards for text in board.believes]
    family = shipped_family()
    assert len(answer.boards) == family.board_count(ports)
    assert letters[:ports] == list(family.port_names[:ports])


def test_a_box_of_a_job_has_its_units_and_its_plan() -> None:
    """Its family and size are the job's, its units are named, and what is to be moved is to the plan."""
    answer = explain(Question("", 0, "none", box="BB-11"), EXAMPLES / "clinic")
    assert answer.problems == ()
    (board,) = answer.boards
    assert any("AH-101" in sentence for sentence in board.expect)
    assert board.move == ("Bank 2 switch 1 to ON",)
    out = explain(Question("", 0, "bank 1: 3, bank 2: 1", box="BB-11"), EXAMPLES / "clinic")
    assert any("FC-102" in sentence for sentence in out.boards[0].expect)
    assert out.boards[0].move == ("Bank 1 switch 3 to OFF",)


def test_a_box_that_is_not_as_described_is_refused() -> None:
    """Another size, another family, or none of the job's."""
    for asked, message in (
        (Question("", 12, "none", box="BB-11"), "box BB-11 of the job has 4 ports, not 12"),
        (
            Question("other", 0, "none", box="BB-11"),
            "box BB-11 of the job is of family 'four-port-boards', not 'other'",
        ),
        (Question("", 0, "none", box="XX-1"), "the job has no box 'XX-1'"),
    ):
        answer = explain(asked, EXAMPLES / "clinic")
        assert not answer.boards
        assert [problem.message for problem in answer.problems] == [message]


def test_a_wish_goes_before_the_plan_of_its_ports() -> None:
    """A pair of the plan that is wished apart is not joined again."""
    answer = explain(Question("", 0, "bank 2: 1", "A and B used", box="BB-11"), EXAMPLES / "clinic")
    assert answer.boards[0].move == ("Bank 2 switch 1 to OFF",)
