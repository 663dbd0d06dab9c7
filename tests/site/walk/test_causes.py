"""From switches as found to what to expect: complete over every state and setting of two families."""

import re
from collections.abc import Iterator, Mapping
from functools import cache
from itertools import combinations, product

import pytest

from tagmaker.catalog.family import Family
from tagmaker.plan.model import Board, BoxPlan
from tagmaker.plan.switches import State
from tagmaker.site.walk.causes import BoardFacts, Cause, Move, causes, moves
from tagmaker.site.walk.findings import board_facts
from tests.plan.families import FOUR, four_states, three, three_states
from tests.records import replace
from tests.sheets.boxes import KINDS, job_of
from tests.strategies import SIZES, BoxSketch, UnitSketch, first_box, words

Pair = tuple[int, int]
Setting = Mapping[Pair, bool]

# What each switch says of which positions, by hand from the two families' files: four ports a board (common
# practice), three ports a board (invented for the example job that brings it along).
MEANS: dict[str, dict[Pair, tuple[State, tuple[int, ...]]]] = {
    "four-port-boards": {
        (1, 1): ("unused", (1,)),
        (1, 2): ("unused", (2,)),
        (1, 3): ("unused", (3,)),
        (1, 4): ("unused", (4,)),
        (2, 1): ((1, 2), (1, 2)),
        (2, 2): ((3, 4), (3, 4)),
        (2, 4): ("unfitted", (3, 4)),
    },
    "three-port-boards": {
        (1, 1): ("unused", (1,)),
        (1, 2): ("unused", (2,)),
        (1, 3): ("unused", (3,)),
        (1, 4): ((1, 2), (1, 2)),
        (1, 5): ((2, 3), (2, 3)),
        (1, 6): ("unfitted", (3,)),
    },
}
LEAVE = {"four-port-boards": [(2, 3)], "three-port-boards": []}
"""Switches that no rule knows: however they stand, nothing follows."""


def right_setting(family: Family, states: tuple[State, ...]) -> frozenset[Pair]:
    """The switches that must be ON, by hand: those of whose positions all are what the switch says."""
    return frozenset(
        pair
        for pair, (state, positions) in MEANS[family.name].items()
        if all(states[position - 1] == state for position in positions)
    )


def facts_of(family: Family, states: tuple[State, ...], place: str = "left") -> BoardFacts:
    """A board in these states, with a unit on every port that has one."""
    letters = tuple(family.port_names[: len(states)])
    units = tuple(
        "" if state in {"unused", "unfitted"} else f"FC-{n}" for n, state in enumerate(states, start=1)
    )
    banks = tuple(bank.name for bank in family.banks)
    return BoardFacts(place, letters, states, units, right_setting(family, states), banks)


def settings(family: Family) -> Iterator[Setting]:
    """Every way in which a board's switches can stand."""
    pairs = sorted([*MEANS[family.name], *LEAVE[family.name]])
    for ons in product((False, True), repeat=len(pairs)):
        yield dict(zip(pairs, ons, strict=True))


def wrong_positions(family: Family, states: tuple[State, ...], is_on: Setting) -> list[int]:
    """The positions of which the switches say anything else than what is there, by hand."""
    said: dict[int, set[State]] = {}
    for pair, (state, positions) in MEANS[family.name].items():
        if is_on[pair]:
            for position in positions:
                said.setdefault(position, set()).add(state)
    return [p for p, state in enumerate(states, start=1) if said.get(p, {"used"}) != {state}]


FAMILIES = {"four-port-boards": FOUR, "three-port-boards": three()}
STATES = {
    "four-port-boards": [*four_states(4), *four_states(2)],
    "three-port-boards": [*three_states(3), *three_states(2)],
}
BOARDS = [(name, states) for name, every in STATES.items() for states in every]
"""Every legal state of a board: used, spare, joined, unfitted in all combinations, of both families."""


@cache
def told(name: str, states: tuple[State, ...]) -> list[tuple[Setting, list[Cause]]]:
    """What is told of a board in these states, for each of all settings of its switches."""
    family = FAMILIES[name]
    facts = facts_of(family, states)
    return [(is_on, causes(family, facts, is_on, words())) for is_on in settings(family)]


def named(board: tuple[str, tuple[State, ...]]) -> str:
    """A board's states as a test's name."""
    return "-".join("+".join(map(str, s)) if isinstance(s, tuple) else s for s in board[1])


# --- completeness -------------------------------------------------------------------------------------------


def test_all_states_and_settings_are_gone_through() -> None:
    """Twenty-five boards of four, five with two unfitted, all 256 settings; seventeen of three, all 64."""
    counts = {name: sum(len(told(name, states)) for states in STATES[name]) for name in STATES}
    assert counts == {"four-port-boards": 30 * 256, "three-port-boards": 17 * 64}


@pytest.mark.parametrize("board", BOARDS, ids=named)
def test_a_sentence_exactly_when_something_must_be_moved(board: tuple[str, tuple[State, ...]]) -> None:
    """For all settings: at least one sentence where a switch stands wrongly, none where all are right."""
    name, states = board
    right = right_setting(FAMILIES[name], states)
    for is_on, found in told(name, states):
        stands = {pair for pair, on in is_on.items() if on and pair in MEANS[name]}
        assert bool(found) == (stands != right), is_on


@pytest.mark.parametrize("board", BOARDS, ids=named)
def test_every_letter_that_is_taken_for_something_else_is_told(board: tuple[str, tuple[State, ...]]) -> None:
    """For all settings: each position of which something else is said than is there stands in a sentence."""
    name, states = board
    for is_on, found in told(name, states):
        wrong = {"ABCD"[p - 1] for p in wrong_positions(FAMILIES[name], states, is_on)}
        assert wrong <= {letter for cause in found for letter in cause.letters}, is_on


@pytest.mark.parametrize("board", BOARDS, ids=named)
def test_each_sentence_is_whole(board: tuple[str, tuple[State, ...]]) -> None:
    """For all settings: a sentence names the board, its letters and a switch, and says what to expect."""
    for _, found in told(*board):
        for cause in found:
            assert cause.message.startswith("left board: ")
            assert re.search(r"\bexpect [a-zA-Z]", cause.message)
            assert re.search(r"(Bank [12]|SW) switch \d", cause.message)
            assert cause.letters
            assert all(re.search(rf"\b{letter}\b", cause.message) for letter in cause.letters)


@pytest.mark.parametrize("board", BOARDS, ids=named)
def test_no_sentence_stands_twice(board: tuple[str, tuple[State, ...]]) -> None:
    """For all settings: each sentence once."""
    for _, found in told(*board):
        messages = [cause.message for cause in found]
        assert sorted(set(messages)) == sorted(messages)


@pytest.mark.parametrize("board", BOARDS, ids=named)
def test_moving_what_is_told_makes_it_right(board: tuple[str, tuple[State, ...]]) -> None:
    """For all settings: the moves are exactly the switches that stand wrongly, and leave nothing to tell."""
    name, states = board
    family, facts = FAMILIES[name], facts_of(FAMILIES[name], states)
    for is_on, _ in told(name, states):
        to_move = moves(family, facts.planned, is_on)
        assert [(each.bank, each.switch, each.to_on) for each in to_move] == [
            (*pair, pair in facts.planned)
            for pair in sorted(MEANS[name])
            if is_on[pair] != (pair in facts.planned)
        ]
        moved = {**is_on, **{(each.bank, each.switch): each.to_on for each in to_move}}
        assert causes(family, facts, moved, words()) == []


def test_no_sentence_is_dead() -> None:
    """Every sentence that is kept in words is told of some board."""
    texts = {
        text for key, text in words().texts.items() if re.match(r"cause\.[a-z]+_[a-z]+|cause\.contra", key)
    }
    kept = {text for text in texts if " board: " in text}
    spoken = {cause.message for name, states in BOARDS for _, found in told(name, states) for cause in found}
    dead = [text for text in kept if not any(re.fullmatch(as_pattern(text), each) for each in spoken)]
    assert dead == []


def as_pattern(text: str) -> str:
    """A sentence with its places open."""
    return re.sub(r"\\{[a-z_]+\\}", ".+", re.escape(text))


@pytest.mark.parametrize("name", FAMILIES)
def test_a_switch_that_no_rule_knows_changes_nothing(name: str) -> None:
    """Found ON or OFF, a switch that is left as found is neither a cause nor a move."""
    family = FAMILIES[name]
    for states in STATES[name]:
        facts = facts_of(family, states)
        right = dict.fromkeys(facts.planned, True)
        for pair in LEAVE[name]:
            found = {**right, pair: True}
            assert (causes(family, facts, found, words()), moves(family, facts.planned, found)) == ([], [])


# --- every size of box --------------------------------------------------------------------------------------


def boards_of(ports: int, kind: str) -> Iterator[tuple[BoxPlan, Board]]:
    """The boards of a box of that size, full, nearly empty or all joined."""
    box = first_box(job_of(KINDS[kind](ports)).record())
    for board in box.boards:
        yield box, board


def flipped(facts: BoardFacts, *pairs: Pair) -> Setting:
    """The right setting with these switches the wrong way."""
    return {pair: (pair in facts.planned) != (pair in pairs) for pair in MEANS["four-port-boards"]}


@pytest.mark.parametrize("kind", ["filled", "sparse", "paired"])
@pytest.mark.parametrize("ports", SIZES)
def test_every_single_error_of_every_size_is_told(ports: int, kind: str) -> None:
    """Each switch of each board the wrong way: a sentence that names that board and its own letters."""
    for box, board in boards_of(ports, kind):
        facts = board_facts(box, board)
        assert causes(FOUR, facts, flipped(facts), words()) == []
        for pair in MEANS["four-port-boards"]:
            found = causes(FOUR, facts, flipped(facts, pair), words())
            assert found
            assert all(cause.message.startswith(f"{board.place} board: ") for cause in found)
            assert {letter for cause in found for letter in cause.letters} <= set(facts.letters)
            assert moves(FOUR, facts.planned, flipped(facts, pair)) == [
                Move(*pair, to_on=pair in facts.planned)
            ]


@pytest.mark.parametrize("kind", ["filled", "sparse", "paired"])
def test_every_pair_of_errors_is_told(kind: str) -> None:
    """Two switches of a board the wrong way, on every board of a box of ten: told, and both to be moved."""
    for box, board in boards_of(10, kind):
        facts = board_facts(box, board)
        for pairs in combinations(sorted(MEANS["four-port-boards"]), 2):
            found = causes(FOUR, facts, flipped(facts, *pairs), words())
            assert found
            assert all(cause.message.startswith(f"{board.place} board: ") for cause in found)
            to_move = moves(FOUR, facts.planned, flipped(facts, *pairs))
            assert [(move.bank, move.switch) for move in to_move] == list(pairs)


# --- sentences, word by word --------------------------------------------------------------------------------


def sentences(box: BoxPlan, place: str, *pairs: Pair) -> list[str]:
    """What is told of a board some of whose switches stand the wrong way, without the board's name."""
    board = next(board for board in box.boards if board.place == place)
    facts = board_facts(box, board)
    found = causes(FOUR, facts, flipped(facts, *pairs), words())
    return [cause.message.removeprefix(f"{place} board: ") for cause in found]


def box_of(*rows: tuple[str, str], ports: int = 8) -> BoxPlan:
    """A box with these units."""
    units = tuple(UnitSketch(unit, port, "72 kBtu/h" if "+" in port else "12 kBtu/h") for unit, port in rows)
    return first_box(job_of(BoxSketch("BB-1", ports, units)).record())


SENTENCES: dict[str, tuple[BoxPlan, str, Pair, str]] = {
    "an unfitted board's factory switch moved": (
        box_of(("FC-1", "I"), ports=10), "right", (2, 4),
        """positions 3 and 4 have no port, but Bank 2 switch 4 is OFF: expect the board to look for units on K
        and L and start-up to stop on a communication fault""",
    ),
    "a used port out of service": (
        box_of(("FC-201", "C")), "left", (1, 3),
        """port C serves FC-201 but Bank 1 switch 3 takes it out of service: expect FC-201 not to be found""",
    ),
    "an empty port in service": (
        box_of(("FC-201", "C")), "left", (1, 1),
        """port A is spare but in service, because Bank 1 switch 1 is OFF: expect the board to look for a unit
        on A and start-up to stop on a communication fault""",
    ),
    "a pair not joined": (
        box_of(("AH-1", "E+F")), "right", (2, 1),
        """E and F are piped as one but not joined, because Bank 2 switch 1 is OFF: expect AH-1 to get the
        flow of one port, and the board to look for a unit on the other""",
    ),
    "two ports joined that are piped apart": (
        box_of(("FC-1", "A"), ("FC-2", "B")), "left", (2, 1),
        """A and B are piped separately but joined by Bank 2 switch 1: expect FC-1 to run whenever the unit
        on the other port runs, and in its mode
        A and B are piped separately but joined by Bank 2 switch 1: expect FC-2 to run whenever the unit
        on the other port runs, and in its mode""",
    ),
    "a pair joined and its first port out of service": (
        box_of(("AH-1", "A+B")), "left", (1, 1),
        """Bank 1 switch 1 means “port A is not used”, but Bank 2 switch 1 means “ports A+B work as one”:
        these conflict, expect neither to work as planned""",
    ),
    "a fitted pair of ports taken for none": (
        box_of(("FC-3", "G"), ("FC-4", "H")), "right", (2, 4),
        """Bank 2 switch 4 marks G and H as not fitted, but G serves FC-3: expect FC-3 not to be found
        Bank 2 switch 4 marks G and H as not fitted, but H serves FC-4: expect FC-4 not to be found""",
    ),
    "a port that two units share out of service": (
        box_of(("FC-1", "B"), ("FC-2", "B")), "left", (1, 2),
        """port B serves FC-1, FC-2 but Bank 1 switch 2 takes it out of service: expect FC-1, FC-2 not to be
        found""",
    ),
}  # fmt: skip


@pytest.mark.parametrize("case", SENTENCES)
def test_what_is_told(case: str) -> None:
    """The sentences of the commonest mistakes, word by word."""
    box, place, pair, expected = SENTENCES[case]
    assert " ".join(expected.split()) == " ".join(sentences(box, place, pair))


def test_a_bank_is_named_as_marked_on_the_board() -> None:
    """The names that the job gives to the banks stand in the sentence."""
    facts = replace(facts_of(FOUR, ("used", "used", "used", "used")), banks=("SW-A", "SW-B"))
    (cause,) = causes(FOUR, facts, {(1, 1): True}, words())
    assert "SW-A switch 1 takes it out of service" in cause.message


def test_one_position_is_spoken_of_in_the_singular() -> None:
    """A board of three with its last position unfitted: has, not have."""
    family = three()
    (cause,) = causes(family, facts_of(family, ("used", "used", "unfitted")), {}, words())
    assert cause.message == (
        "left board: position 3 has no port, but SW switch 6 is OFF: expect the board to look for a unit "
        "on C and start-up to stop on a communication fault"
    )
