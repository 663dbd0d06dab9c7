"""The boards of a box: which letters each serves, and its banks and switches.

Boards are filled from left to right, each with as many letters as the family has ports a board; only the last
one may have positions without a port.
"""

from collections.abc import Iterable

from tagmaker.job.model import BoxRow
from tagmaker.plan.model import Board, Port
from tagmaker.plan.ports import fitted_letters
from tagmaker.plan.switches import State, plan_banks

__all__ = ["board_states", "plan_boards"]


def plan_boards(row: BoxRow, ports: Iterable[Port]) -> tuple[Board, ...]:
    """The boards of a box from left to right, with their switches."""
    family, step = row.family, row.family.ports_per_board
    fitted = fitted_letters(family, row.ports)
    boards: list[Board] = []
    for index, place in enumerate(family.places[family.board_count(row.ports) - 1]):
        letters = fitted[index * step : (index + 1) * step]
        # reasons of unfitted positions name letters beyond the box's size, as printed on a larger box; past
        # the family's last letter there is none
        named = family.port_names[index * step : (index + 1) * step].ljust(step, "?")
        states = board_states(letters, ports, step)
        boards.append(
            Board(
                place, letters, step - len(letters), plan_banks(family, row.bank_names, states, tuple(named))
            )
        )
    return tuple(boards)


def board_states(letters: tuple[str, ...], ports: Iterable[Port], step: int) -> tuple[State, ...]:
    """The state of every position of a board that serves these letters, from left to right.

    `ports` are those of the whole box; `step` is how many positions a board has.
    """
    by_letter = {letter: port for port in ports for letter in port.letters}
    states: list[State] = []
    for letter in letters:
        port = by_letter[letter]
        if port.use == "joined":
            states.append(tuple(letters.index(each) + 1 for each in port.letters))
        else:
            states.append("unused" if port.use == "spare" else "used")
    unfitted: list[State] = ["unfitted"] * (step - len(letters))
    return (*states, *unfitted)
