"""The two families that the plan's tests go through with every legal state of their boards; random families.

Four-port boards: common practice. Three-port boards: invented for the example job that brings them along.
"""

from functools import cache
from itertools import combinations, product
from string import ascii_uppercase

from hypothesis import strategies as st

from tagmaker.catalog.family import Bank, Family, Rule, load_family
from tagmaker.plan.ports import fitted_letters, pairs
from tagmaker.plan.switches import State
from tagmaker.problems import Where
from tests.paths import EXAMPLES
from tests.records import replace
from tests.strategies import BoxSketch, JobSketch, UnitSketch, shipped_family

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
    for uses in product(PAIR_STATES, repeat=fitted // 2):
        board: list[State] = []
        for first, pair in zip(firsts, uses, strict=True):
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


# --- random families ----------------------------------------------------------------------------------------

PLACES = (("only",), ("left", "right"), ("left", "middle", "right"))


@st.composite
def random_families(draw: st.DrawFn) -> Family:
    """A family of up to three boards: letters in any order, any pairs, any ports that have switches."""
    step = draw(st.integers(2, 4))
    positions = range(1, step + 1)
    joined = draw(st.lists(st.sampled_from(list(combinations(positions, 2))), unique=True, max_size=3))
    unused = draw(st.lists(st.sampled_from(positions), unique=True))
    unfitted = draw(st.integers(2, step + 1))  # from this position on one switch; one past the last: none
    rules = [Rule("joined", tuple(draw(st.permutations(list(pair)))), 1, 1) for pair in joined]
    rules += [Rule("unused", (position,), 1, 1) for position in unused]
    if unfitted <= step:
        rules.append(Rule("unfitted", tuple(range(unfitted, step + 1)), 1, 1, "factory"))
    numbered = tuple(
        replace(rule, switch=number) for number, rule in enumerate(draw(st.permutations(rules)), start=1)
    )
    counts = draw(st.lists(st.integers(1, 3 * step), min_size=1, max_size=3, unique=True))
    return replace(
        FOUR,
        name="random",
        port_names="".join(draw(st.permutations(ascii_uppercase))[: max(counts)]),
        ports_per_board=step,
        port_counts=tuple(counts),
        places=PLACES,
        banks=(Bank("Bank 1", len(numbered) + 1),),
        rules=numbered,
    )


@st.composite
def random_boxes(draw: st.DrawFn, family: Family, tag: str = "BB-1") -> BoxSketch:
    """A box of a family with any use of its ports but all spare; pairs written in either order."""
    ports = draw(st.sampled_from(family.port_counts))
    free = set(fitted_letters(family, ports))
    named: list[str] = []
    for pair in draw(st.permutations(pairs(family, ports))):
        if free.issuperset(pair) and draw(st.booleans()):
            free -= set(pair)
            named.append("+".join(draw(st.permutations(pair))))
    named += draw(st.lists(st.sampled_from(sorted(free)), unique=True)) if free else []
    named = named or [family.port_names[0]]
    count = st.integers(1, 2)
    rows = [port for port in draw(st.permutations(named)) for _ in range(draw(count))]
    units = tuple(UnitSketch(f"{tag}-U{at}", port, "6 kBtu/h") for at, port in enumerate(rows, start=1))
    return BoxSketch(tag, ports, units)


@st.composite
def random_jobs(draw: st.DrawFn) -> tuple[Family, JobSketch]:
    """A random family and a job of one box of it; its rules may be unable to express the ports' use."""
    family = draw(random_families())
    return family, JobSketch((draw(random_boxes(family)),))
