"""Port use to switches and back, over every state that there is."""

from collections.abc import Iterator, Mapping
from itertools import product

import pytest

from tagmaker.catalog.family import Family, Rule
from tagmaker.plan.model import BankPlan, SwitchPlan
from tagmaker.plan.switches import Belief, State, believe, misread, plan_banks
from tests.plan.families import FOUR, four_states, three, three_states
from tests.records import replace

Found = dict[tuple[int, int], bool]
BOARDS = [
    pytest.param(FOUR, [*four_states(4), *four_states(2)], id="four-port-boards"),
    pytest.param(three(), [*three_states(3), *three_states(2)], id="three-port-boards"),
]


def banks_of(family: Family, states: tuple[State, ...]) -> tuple[BankPlan, ...]:
    """The banks of a board in these states, its positions lettered from A."""
    names = tuple(bank.name for bank in family.banks)
    return plan_banks(family, names, states, tuple("ABCDEFGH"[: len(states)]))


def on_switches(banks: tuple[BankPlan, ...]) -> set[tuple[int, int]]:
    """Every (bank, switch) that is planned ON."""
    return {(bank.number, number) for bank in banks for number in bank.on()}


def everything(family: Family) -> Iterator[Found]:
    """Every way in which the switches of a board can stand."""
    places = [
        (number, switch)
        for number, bank in enumerate(family.banks, start=1)
        for switch in range(1, bank.switches + 1)
    ]
    for ons in product((False, True), repeat=len(places)):
        yield dict(zip(places, ons, strict=True))


def without_left(family: Family, found: Mapping[tuple[int, int], bool]) -> set[tuple[int, int]]:
    """The switches found ON, less those that no rule knows."""
    known = {(rule.bank, rule.switch) for rule in family.rules}
    return {place for place, is_on in found.items() if is_on and place in known}


# --- the two families as data ------------------------------------------------------------------------------


def test_states_are_counted_right() -> None:
    """A pair has 5 states, so a board 25; a last board of two ports 5; three-port boards 12 and 5."""
    counts = [len(set(four_states(4))), len(set(four_states(2)))]
    counts += [len(set(three_states(3))), len(set(three_states(2)))]
    assert counts == [25, 5, 12, 5]


@pytest.mark.parametrize("fitted", [2, 4])
def test_four_port_boards_follow_common_practice(fitted: int) -> None:
    """Each state of each board gives the switches that common practice names (no published source).

    Bank 1, n: the n-th port is not used. Bank 2, 1 and 2: the first and the second pair work as one;
    4: positions 3 and 4 are not fitted. All others are OFF, and bank 2, 3 is left as found.
    """
    for states in four_states(fitted):
        expected = {(1, number) for number, state in enumerate(states, 1) if state == "unused"}
        expected |= {
            (2, number) for number in (1, 2) if states[2 * number - 1] == (2 * number - 1, 2 * number)
        }
        expected |= {(2, 4)} if fitted == 2 else set()
        banks = banks_of(FOUR, states)
        assert expected == on_switches(banks)
        left = [
            (bank.number, each.number) for bank in banks for each in bank.switches if each.state == "leave"
        ]
        assert left == [(2, 3)]


def test_only_the_factory_switch_is_check_only() -> None:
    """A switch that the factory sets is checked, not set; every other ON is the site's."""
    banks = banks_of(FOUR, ("used", "unused", "unfitted", "unfitted"))
    assert banks[0].switches[1] == SwitchPlan(2, "on", check_only=False, when="unused", ports=("B",))
    assert banks[1].switches[3] == SwitchPlan(4, "on", check_only=True, when="unfitted", ports=("C", "D"))


def test_an_on_switch_names_the_ports_that_it_speaks_of() -> None:
    """The reason of a joined pair is both of its letters, in order."""
    banks = banks_of(three(), ("used", (2, 3), (2, 3)))
    on = [switch for switch in banks[0].switches if switch.state == "on"]
    assert on == [SwitchPlan(5, "on", check_only=False, when="joined", ports=("B", "C"))]


def test_every_switch_is_planned_with_its_number() -> None:
    """Whether it is ON, OFF or left as found: A of a four-port board is spare, B used, C and D joined."""
    first, second = banks_of(FOUR, ("unused", "used", (3, 4), (3, 4)))
    assert [(switch.number, switch.state) for switch in first.switches] == [
        *((1, "on"), (2, "off"), (3, "off"), (4, "off"))
    ]
    assert [(switch.number, switch.state) for switch in second.switches] == [
        *((1, "off"), (2, "on"), (3, "leave"), (4, "off"))
    ]


def test_banks_keep_how_they_lie_on_the_board() -> None:
    """Number, name as marked in hand, direction of ON and of counting are carried into the plan."""
    (bank,) = plan_banks(three(), ("DIP-X",), ("used", "used", "used"), ("A", "B", "C"))
    shape = (bank.number, bank.name, bank.on_points, bank.numbered_from, len(bank.switches))
    assert shape == (1, "DIP-X", "down", "right", 6)


# --- forward and back --------------------------------------------------------------------------------------


@pytest.mark.parametrize(("family", "every_state"), BOARDS)
def test_forward_then_back_is_the_identity(family: Family, every_state: list[tuple[State, ...]]) -> None:
    """A board set by the plan believes exactly the plan, whatever legal state it is in."""
    for states in every_state:
        banks = banks_of(family, states)
        belief = believe(family, dict.fromkeys(on_switches(banks), True))
        assert belief == Belief(states)
        assert misread(family, banks, states) == ()


@pytest.mark.parametrize(("family", "every_state"), BOARDS)
def test_no_two_states_share_their_switches(family: Family, every_state: list[tuple[State, ...]]) -> None:
    """Different port use gives different switches, so that what is found can be read."""
    settings = {frozenset(on_switches(banks_of(family, states))) for states in every_state}
    assert len(settings) == len(every_state)


@pytest.mark.parametrize(
    ("family", "count", "explained"),
    [
        # 25 full boards and 5 with positions 3 and 4 unfitted, each with bank 2 switch 3 either way
        pytest.param(FOUR, 256, 60, id="four-port-boards"),
        pytest.param(three(), 64, 17, id="three-port-boards"),
    ],
)
def test_every_board_state_is_explained_or_contradicts_itself(
    family: Family, count: int, explained: int
) -> None:
    """However the switches stand: they are the plan of what the board believes, or two of them disagree."""
    good, seen = 0, 0
    for found in everything(family):
        seen += 1
        belief = believe(family, found)
        if not belief.contradictions:
            good += 1
            assert without_left(family, found) == on_switches(banks_of(family, belief.states))
    assert (seen, good) == (count, explained)


@pytest.mark.parametrize("family", [FOUR, three()], ids=lambda family: family.name)
def test_a_contradiction_names_two_on_switches_of_one_position(family: Family) -> None:
    """Both rules of a contradiction have their switch ON, speak of its position, and differ."""
    for found in everything(family):
        for position, first, second in believe(family, found).contradictions:
            assert found[(first.bank, first.switch)]
            assert found[(second.bank, second.switch)]
            assert position in first.positions
            assert position in second.positions
            assert (first.when, first.positions) != (second.when, second.positions)


def test_a_used_and_joined_port_is_no_contradiction_but_an_unused_one_is() -> None:
    """Bank 1 switch 1 with bank 2 switch 1: port A cannot be out of use and half of a pair."""
    belief = believe(FOUR, {(1, 1): True, (2, 1): True})
    unused, joined = FOUR.rules_of(1, 1)[0], FOUR.rules_of(2, 1)[0]
    assert belief.contradictions == ((1, unused, joined),)


def test_two_pairs_over_one_port_contradict_each_other() -> None:
    """A+B and B+C at once: port B is named."""
    belief = believe(three(), {(1, 4): True, (1, 5): True})
    assert [position for position, _, _ in belief.contradictions] == [2]


def test_switches_not_looked_at_count_as_off() -> None:
    """With nothing found ON every position is in use."""
    assert believe(FOUR, {}) == Belief(("used",) * 4)


def test_a_switch_without_a_rule_changes_no_belief() -> None:
    """Bank 2 switch 3 is left as found, and what is found there says nothing."""
    assert believe(FOUR, {(2, 3): True}) == believe(FOUR, {(2, 3): False})


# --- rules that cannot say what they should ----------------------------------------------------------------


def family_with(*rules: Rule) -> Family:
    """The four-port family with other rules."""
    return replace(FOUR, rules=rules)


def test_a_rule_over_two_ports_cannot_say_that_one_is_unused() -> None:
    """One switch for A and B: while B is in use the board would believe that A is too."""
    family = family_with(Rule("unused", (1, 2), 1, 1), Rule("unused", (3,), 1, 3), Rule("unused", (4,), 1, 4))
    lone: tuple[State, ...] = ("unused", "used", "used", "unused")
    both: tuple[State, ...] = ("unused", "unused", "used", "unused")
    assert misread(family, banks_of(family, lone), lone) == (1,)
    assert misread(family, banks_of(family, both), both) == ()


def test_a_state_that_no_rule_speaks_of_is_no_fault() -> None:
    """A family without a switch for unfitted positions leaves them alone."""
    family = family_with(*(rule for rule in FOUR.rules if rule.when != "unfitted"))
    states: tuple[State, ...] = ("used", "unused", "unfitted", "unfitted")
    assert misread(family, banks_of(family, states), states) == ()


def test_only_rules_of_that_position_speak_of_it() -> None:
    """That A has a switch for "not used" does not make B's lack of one a fault."""
    family = family_with(Rule("unused", (1,), 1, 1))
    states: tuple[State, ...] = ("unused", "unused", "used", "used")
    assert misread(family, banks_of(family, states), states) == ()


def test_a_joined_pair_without_its_switch_on_is_misread() -> None:
    """Banks that do not say what the ports are, are caught at every position of the pair."""
    states: tuple[State, ...] = ((1, 2), (1, 2), "used", "used")
    assert misread(FOUR, banks_of(FOUR, ("used",) * 4), states) == (1, 2)


def test_a_used_port_with_its_switch_on_is_misread() -> None:
    """A used port that the switches take out of service is caught."""
    assert misread(FOUR, banks_of(FOUR, ("used", "unused", "used", "used")), ("used",) * 4) == (2,)
