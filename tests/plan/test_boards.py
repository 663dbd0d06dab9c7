"""The boards of whole boxes, over every legal use of their ports."""

from collections.abc import Iterator
from fractions import Fraction
from itertools import product

import pytest

from tagmaker.catalog.family import Family
from tagmaker.job.model import BoxRow, UnitRow
from tagmaker.plan.boards import board_states, plan_boards
from tagmaker.plan.model import Board, Port, PortUse
from tagmaker.plan.switches import State, believe
from tagmaker.units import Capacity
from tests.plan.families import FOUR, four_states, three, three_states
from tests.records import replace
from tests.strategies import BoxSketch, UnitSketch, box_row, unit_row

UNIT = unit_row("BB-1", UnitSketch("FC-1", "A"))


def row_of(family: Family, ports: int) -> BoxRow:
    """A box of that size."""
    return box_row(BoxSketch("BB-1", ports, ()), family)


def ports_of(family: Family, boards: tuple[tuple[State, ...], ...]) -> list[Port]:
    """The ports of a box whose boards are in these states."""
    ports: list[Port] = []
    for index, states in enumerate(boards):
        letters = family.port_names[index * family.ports_per_board :]
        for position, state in enumerate(states, start=1):
            if isinstance(state, tuple):
                if position == state[0]:
                    ports.append(port(*(letters[each - 1] for each in state)))
            elif state != "unfitted":
                ports.append(port(letters[position - 1], is_used=state == "used"))
    return ports


def port(*letters: str, is_used: bool = True) -> Port:
    """A port or pair with one unit, or a spare one."""
    use: PortUse = "spare" if not is_used else "joined" if len(letters) > 1 else "single"
    units: tuple[UnitRow, ...] = (UNIT,) if is_used else ()
    return Port(letters, use, units, Capacity(Fraction(0)), FOUR.port_limit)


def believed(family: Family, board: Board) -> tuple[State, ...]:
    """What a board believes that is set as planned; no contradictions."""
    belief = believe(family, {(bank.number, number): True for bank in board.banks for number in bank.on()})
    assert not belief.contradictions
    return belief.states


def legal_boxes(family: Family, ports: int) -> Iterator[tuple[tuple[State, ...], ...]]:
    """Every legal state of a box's boards, left to right."""
    step = family.ports_per_board
    every = four_states if family is FOUR else three_states
    fitted = [min(step, ports - first) for first in range(0, ports, step)]
    yield from product(*(every(count) for count in fitted))


@pytest.mark.parametrize(("ports", "count"), [(4, 25), (6, 125), (8, 625), (10, 3125), (12, 15625)])
def test_every_four_port_box_reads_back_as_planned(ports: int, count: int) -> None:
    """Port use to boards to switches to belief is the identity for each of 5^(ports / 2) states."""
    row, seen = row_of(FOUR, ports), 0
    for states in legal_boxes(FOUR, ports):
        boards = plan_boards(row, ports_of(FOUR, states))
        assert states == tuple(believed(FOUR, board) for board in boards)
        seen += 1
    assert count == seen


@pytest.mark.parametrize(("ports", "count"), [(3, 12), (5, 12 * 5), (6, 12**2), (8, 12**2 * 5), (9, 12**3)])
def test_every_three_port_box_reads_back_as_planned(ports: int, count: int) -> None:
    """The same for a family with other boards, banks and pairs, without a line of code of its own."""
    row, seen = row_of(three(), ports), 0
    for states in legal_boxes(three(), ports):
        boards = plan_boards(row, ports_of(three(), states))
        assert states == tuple(believed(three(), board) for board in boards)
        seen += 1
    assert count == seen


@pytest.mark.parametrize(
    ("ports", "boards"),
    [
        (4, [("only", "ABCD", 0)]),
        (6, [("left", "ABCD", 0), ("right", "EF", 2)]),
        (8, [("left", "ABCD", 0), ("right", "EFGH", 0)]),
        (10, [("left", "ABCD", 0), ("middle", "EFGH", 0), ("right", "IJ", 2)]),
        (12, [("left", "ABCD", 0), ("middle", "EFGH", 0), ("right", "IJKL", 0)]),
    ],
)
def test_boards_stand_left_to_right(ports: int, boards: list[tuple[str, str, int]]) -> None:
    """Each board serves four letters; the last of a 6- or 10-port box has two positions without a port."""
    letters = [port(letter) for letter in FOUR.port_names[:ports]]
    planned = plan_boards(row_of(FOUR, ports), letters)
    assert boards == [(board.place, "".join(board.letters), board.unfitted) for board in planned]


def test_unfitted_positions_keep_their_names() -> None:
    """A 6-port box has no G and no H: the factory's switch says so by those letters."""
    right = plan_boards(row_of(FOUR, 6), [port(letter) for letter in "ABCDEF"])[1]
    factory = [switch.ports for bank in right.banks for switch in bank.switches if switch.check_only]
    assert factory == [("G", "H")]


def test_a_position_beyond_the_familys_letters_is_a_question_mark() -> None:
    """A family of six letters has no name for the last board's third and fourth position."""
    row = row_of(replace(FOUR, port_names="ABCDEF"), 6)
    right = plan_boards(row, [port(letter) for letter in "ABCDEF"])[1]
    factory = [switch.ports for bank in right.banks for switch in bank.switches if switch.check_only]
    assert factory == [("?", "?")]


def test_a_pair_is_told_by_its_positions_on_its_own_board() -> None:
    """G+H are positions 3 and 4 of the middle board."""
    states = board_states(("E", "F", "G", "H"), [port("E"), port("F", is_used=False), port("G", "H")], 4)
    assert states == ("used", "unused", (3, 4), (3, 4))
