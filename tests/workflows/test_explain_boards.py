"""Boards as found: drawn as they were set, each switch where the record says, explained as in words."""

from hypothesis import given
from hypothesis import strategies as st

from tagmaker.catalog.family import load_family
from tagmaker.problems import Where
from tagmaker.workflows.explain import Explained, FoundBox, Question, explain
from tagmaker.workflows.explain_boards import boards_picture, families_known, tapped
from tests.paths import EXAMPLES
from tests.strategies import SIZES

FAMILY = "four-port-boards"


def found_box(ports: int, *on: str, family: str = FAMILY) -> tuple[Explained, FoundBox]:
    """What is explained of a box with these switches ON."""
    answer = explain(Question(family, ports, ""), EXAMPLES / "three-port-boards", tapped(on))
    assert answer.box
    return answer, answer.box


def bank_in_words(place: str, bank: int, on: list[tuple[str, int, int]]) -> str:
    """What a person says of a bank."""
    numbers = " ".join(str(switch) for p, b, switch in sorted(on) if (p, b) == (place, bank))
    return f"{place} bank {bank}: {numbers or 'none'}"


@given(st.sampled_from(SIZES), st.data())
def test_tapped_switches_are_explained_as_the_same_in_words(ports: int, data: st.DataObject) -> None:
    """Whatever is set: a picture and a sentence cannot differ."""
    family, _ = load_family(FAMILY, None, Where("test"))
    assert family
    places = family.places[family.board_count(ports) - 1]
    every = [(place, bank, switch) for place in places for bank in (1, 2) for switch in range(1, 5)]
    on = data.draw(st.lists(st.sampled_from(every), unique=True))
    words = "; ".join(bank_in_words(place, bank, on) for place in places for bank in (1, 2))
    by_words = explain(Question(FAMILY, ports, words))
    by_taps = explain(Question(FAMILY, ports, ""), None, tapped(f"{p}/{b}/{s}" for p, b, s in on))
    assert by_words.problems == ()
    assert by_taps.boards == by_words.boards


def test_every_switch_has_its_place_and_state() -> None:
    """In the order of the boards, banks and numbers; ON where it was tapped, and nowhere else."""
    _, box = found_box(10, "left/1/3", "right/2/4")
    shown = boards_picture(box).switches
    assert [(each.board, each.bank, each.switch) for each in shown] == [
        (place, bank, number)
        for place in ("left", "middle", "right")
        for bank in (1, 2)
        for number in range(1, 5)
    ]
    assert [(each.board, each.bank, each.switch) for each in shown if each.is_on] == [
        ("left", 1, 3),
        ("right", 2, 4),
    ]
    for number, first in enumerate(shown):
        for second in shown[:number]:
            assert (
                first.frame.right <= second.frame.x + 1e-6
                or second.frame.right <= first.frame.x + 1e-6
                or first.frame.bottom <= second.frame.y + 1e-6
                or second.frame.bottom <= first.frame.y + 1e-6
            )


def test_banks_that_are_numbered_from_the_right_are_drawn_so() -> None:
    """The family of the example with banks of its own."""
    (family,) = [each for each in families_known(EXAMPLES / "three-port-boards") if each.name != FAMILY]
    _, box = found_box(family.port_counts[0], family=family.name)
    for bank in box.family.banks:
        assert bank.name
    shown = boards_picture(box).switches
    first = [each for each in shown if (each.board, each.bank) == (shown[0].board, 1)]
    numbers = [each.switch for each in sorted(first, key=lambda each: each.frame.x)]
    expected = list(range(1, box.family.banks[0].switches + 1))
    is_left = box.family.banks[0].numbered_from == "left"
    assert numbers == (expected if is_left else expected[::-1])


def test_what_is_no_switch_is_passed_over() -> None:
    """A page of another box, or of none."""
    assert tapped(["left/1/3", "x", "left/1", "left/a/3", "left/1/٣", "a/b/1/2"]) == {
        "left": {(1, 3): True},
        "a/b": {(1, 2): True},
    }
    answer, box = found_box(4, "left/1/3", "only/9/9")
    assert not any(each.is_on for each in boards_picture(box).switches)
    assert answer.problems == ()


def test_families_are_those_that_can_be_used() -> None:
    """With their sizes, a job's own among them."""
    assert [(each.name, each.port_counts) for each in families_known(None)] == [(FAMILY, SIZES)]
    assert len(families_known(EXAMPLES / "three-port-boards")) == 2


def test_the_slider_is_at_the_end_that_was_set() -> None:
    """ON points up on these boards."""
    _, box = found_box(4, "only/1/3")
    picture = boards_picture(box)
    assert picture.svg.count("<title>") == 1
    assert "Bank 1: ON 3" in picture.svg
