"""Switch settings from port use, and port use from switches as found; both from the family's rules alone.

A position of a board is "used", "unused", "unfitted", or joined to another: then its state is the pair.
"""

from collections.abc import Mapping

from msgspec import Struct

from tagmaker.catalog.family import Family, Rule
from tagmaker.plan.model import BankPlan, SwitchPlan

__all__ = ["Belief", "State", "believe", "plan_banks", "unsaid"]

State = str | tuple[int, ...]
"""What a position is: "used", "unused", "unfitted", or the positions (from 1) that work as one."""


class Belief(Struct, frozen=True):
    """What a board believes of each position, and the contradictions in its switches.

    A contradiction names two rules whose switches are both ON and say different things of one position.
    """

    states: tuple[State, ...]
    contradictions: tuple[tuple[int, Rule, Rule], ...] = ()


def plan_banks(
    family: Family, names: tuple[str, ...], states: tuple[State, ...], letters: tuple[str, ...]
) -> tuple[BankPlan, ...]:
    """Every bank of a board whose positions are in these states; `letters` name all its positions."""
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
    rules = family.rules_of(bank, switch)
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


def believe(family: Family, is_on: Mapping[tuple[int, int], bool]) -> Belief:
    """What a board believes whose switches (bank, number) are found so; absent switches count as OFF."""
    said: dict[int, Rule] = {}
    contradictions: list[tuple[int, Rule, Rule]] = []
    for rule in family.rules:
        if not is_on.get((rule.bank, rule.switch), False):
            continue
        for position in rule.positions:
            first = said.setdefault(position, rule)
            if _state(first) != _state(rule):
                contradictions.append((position, first, rule))
    states = tuple(
        _state(said[position]) if position in said else "used"
        for position in range(1, family.ports_per_board + 1)
    )
    return Belief(states, tuple(contradictions))


def unsaid(family: Family, banks: tuple[BankPlan, ...], states: tuple[State, ...]) -> tuple[int, ...]:
    """The positions (from 1) that the board would take for something else than they are.

    A state that no rule speaks of at a position (as in a family without unfitted positions) is no fault.
    """
    is_on = {(bank.number, number): True for bank in banks for number in bank.on()}
    belief = believe(family, is_on)
    contradicted = {position for position, _, _ in belief.contradictions}
    return tuple(
        position
        for position, (state, believed) in enumerate(zip(states, belief.states, strict=True), start=1)
        if position in contradicted or (state != believed and _is_spoken_of(family, position, state))
    )


def _is_spoken_of(family: Family, position: int, state: State) -> bool:
    if state == "used":
        return True
    when = state if isinstance(state, str) else "joined"
    return any(rule.when == when and position in rule.positions for rule in family.rules)
