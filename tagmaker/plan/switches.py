"""Switch settings from port use, and port use from switches as found; both from the family's rules alone.

`plan_banks` and `believe` are inverses: for every legal state of a board, what `believe` reads out of the
switches that `plan_banks` sets is that state again. `misread` checks it for a board in hand, so that a family
whose rules cannot express a state is a problem and never a wrong setting.
"""

from collections.abc import Mapping
from typing import Literal

from msgspec import Struct

from tagmaker.catalog.family import Condition, Family, Rule
from tagmaker.plan.model import BankPlan, SwitchPlan

__all__ = ["Belief", "State", "SwitchId", "believe", "is_covered", "misread", "plan_banks", "word_of"]

State = Literal["used", "unused", "unfitted"] | tuple[int, ...]
"""What a position of a board is; a joined one is the positions (from 1, in order) that work as one."""
SwitchId = tuple[int, int]
"""A switch of a board: its bank and its number in the bank, both from 1."""


class Belief(Struct, frozen=True):
    """What a board believes of each position, and the contradictions in its switches.

    A contradiction is a position and two rules whose switches are both ON, each with another state of it.
    """

    states: tuple[State, ...]
    contradictions: tuple[tuple[int, Rule, Rule], ...] = ()


def plan_banks(
    family: Family, names: tuple[str, ...], states: tuple[State, ...], letters: tuple[str, ...]
) -> tuple[BankPlan, ...]:
    """Every bank of a board whose positions are in these states; `letters` name all its positions.

    A position that the box has no port for has a state and a letter too: rules count positions, not ports.
    """
    return tuple(
        BankPlan(
            number=number,
            name=name,
            on_points=bank.on_points,
            numbered_from=bank.numbered_from,
            switches=tuple(
                _switch(family, number, switch, states, letters) for switch in range(1, bank.switches + 1)
            ),
        )
        for number, (bank, name) in enumerate(zip(family.banks, names, strict=True), start=1)
    )


def _switch(
    family: Family, bank: int, switch: int, states: tuple[State, ...], letters: tuple[str, ...]
) -> SwitchPlan:
    rules = family.rules_of(bank, switch)  # at most one: a family with two rules for a switch is refused
    if not rules:
        return SwitchPlan(switch, "leave")
    rule = rules[0]
    if not all(states[position - 1] == _state(rule) for position in rule.positions):
        return SwitchPlan(switch, "off")
    ports = tuple(letters[position - 1] for position in sorted(rule.positions))
    return SwitchPlan(switch, "on", rule.set_by == "factory", rule.when, ports)


def _state(rule: Rule) -> State:
    """The state in which a rule's positions must be."""
    return tuple(sorted(rule.positions)) if rule.when == "joined" else rule.when


def believe(family: Family, is_on: Mapping[SwitchId, bool]) -> Belief:
    """What a board believes whose switches are found so; switches that are not given count as OFF.

    Of two rules that contradict each other the first one of the family gives the state: the contradiction is
    reported in any case, and the order makes the result repeatable.
    """
    ruled: dict[int, Rule] = {}
    contradictions: list[tuple[int, Rule, Rule]] = []
    for rule in family.rules:
        if not is_on.get((rule.bank, rule.switch), False):
            continue
        for position in rule.positions:
            first = ruled.setdefault(position, rule)
            if _state(first) != _state(rule):
                contradictions.append((position, first, rule))
    states = tuple(
        _state(ruled[position]) if position in ruled else "used"
        for position in range(1, family.ports_per_board + 1)
    )
    return Belief(states, tuple(contradictions))


def misread(family: Family, banks: tuple[BankPlan, ...], states: tuple[State, ...]) -> tuple[int, ...]:
    """The positions (from 1) that the board would take for something else than they are.

    A state that no rule covers at a position (a family without rules for unfitted positions, say) is no
    fault: such a board cannot be wrong about it.
    """
    is_on = {(bank.number, number): True for bank in banks for number in bank.on()}
    belief = believe(family, is_on)
    contradicted = {position for position, _, _ in belief.contradictions}
    return tuple(
        position
        for position, (state, believed) in enumerate(zip(states, belief.states, strict=True), start=1)
        if position in contradicted or (state != believed and is_covered(family, position, state))
    )


def is_covered(family: Family, position: int, state: State) -> bool:
    """Whether a board can tell this state at this position; "used" is what it believes without a rule."""
    when = word_of(state)
    return when == "used" or any(rule.when == when and position in rule.positions for rule in family.rules)


def word_of(state: State) -> Literal["used"] | Condition:
    """A state as one word: that of a rule's condition, or "used"."""
    return "joined" if isinstance(state, tuple) else state
