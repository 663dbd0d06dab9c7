"""The two families that the plan's tests go through, and every legal state of their boards.

Four-port boards: common practice. Three-port boards: invented for the example job that brings them along.
"""

from functools import cache
from itertools import product

from tagmaker.catalog.family import Family, load_family
from tagmaker.plan.switches import State
from tagmaker.problems import Where
from tests.paths import EXAMPLES
from tests.strategies import shipped_family

FOUR = shipped_family()
ALONE: tuple[State, ...] = ("used", "unused")
PAIR_STATES: tuple[tuple[State, State] | None, ...] = (
    ("used", "used"),
    ("used", "unused"),
    ("unused", "used"),
    ("unused", "unused"),
    None,  # joined: each position's state is then the pair itself
)


@cache
def three() -> Family:
    """Three ports a board, one bank of six, A+B and B+C joinable; ON points down, numbered from the right."""
    folder = EXAMPLES / "three-port-boards"
    family, problems = load_family("three-port-boards", folder, Where("job.toml"))
    if family is None:
        raise ValueError(problems)
    return family


def four_states(fitted: int) -> list[tuple[State, ...]]:
    """Every legal state of a four-port board that so many ports (an even number) are fitted to."""
    firsts = range(1, fitted, 2)
    states: list[tuple[State, ...]] = []
    for pairs in product(PAIR_STATES, repeat=fitted // 2):
        board: list[State] = []
        for first, pair in zip(firsts, pairs, strict=True):
            board += pair or ((first, first + 1),) * 2
        states.append((*board, *unfitted(4 - fitted)))
    return states


def three_states(fitted: int) -> list[tuple[State, ...]]:
    """Every legal state of a three-port board that so many ports are fitted to."""
    singles: list[tuple[State, ...]] = list(product(ALONE, repeat=fitted))
    joined: list[tuple[State, ...]] = []
    for first in range(1, fitted):
        for rest in product(ALONE, repeat=fitted - 2):
            board: list[State] = list(rest)
            board[first - 1 : first - 1] = [(first, first + 1), (first, first + 1)]
            joined.append(tuple(board))
    return [(*state, *unfitted(3 - fitted)) for state in (*singles, *joined)]


def unfitted(count: int) -> list[State]:
    """So many positions without a port."""
    return ["unfitted"] * count
