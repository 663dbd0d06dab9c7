"""From switches as found: what the board believes, against what is piped and wired, as what to expect.

Takes a board as built and its switches as found; gives sentences for a technician and the switches to move.
All of it follows from the family's rules: the code knows no switch's number. The sentences are the `[cause]`
words, one for each pair of what is true and what is believed.
"""

from collections.abc import Iterator, Mapping

from msgspec import Struct

from tagmaker.catalog.family import Family, Rule
from tagmaker.catalog.words import Words
from tagmaker.plan.switches import Belief, State, SwitchId, believe, is_covered, word_of
from tagmaker.tags.reasons import condition_text

__all__ = ["BoardFacts", "Cause", "Move", "causes", "moves"]

IN_THE_SINGULAR = {("unfitted", "used"), ("unused", "unfitted"), ("used", "unfitted")}
"""Pairs of what is true and what is believed whose sentence has a form of its own for a single letter."""


class BoardFacts(Struct, frozen=True):
    """A board as it is built: its place, and the letter, true state and units (as text) of every position.

    `planned` are the switches that must be ON; `banks` the banks' names, by number from 1.
    """

    place: str
    letters: tuple[str, ...]
    states: tuple[State, ...]
    units: tuple[str, ...]
    planned: frozenset[SwitchId]
    banks: tuple[str, ...]


class Cause(Struct, frozen=True):
    """What to expect of a board, and the letters that it concerns."""

    message: str
    letters: tuple[str, ...]


class Move(Struct, frozen=True):
    """A switch to move: its bank and number, and whether to ON."""

    bank: int
    switch: int
    to_on: bool


def moves(family: Family, planned: frozenset[SwitchId], is_on: Mapping[SwitchId, bool]) -> list[Move]:
    """The switches to move to the planned settings; a switch that no rule sets is left as found."""
    ruled = sorted({(rule.bank, rule.switch) for rule in family.rules})
    return [
        Move(bank, switch, (bank, switch) in planned)
        for bank, switch in ruled
        if is_on.get((bank, switch), False) != ((bank, switch) in planned)
    ]


def causes(family: Family, board: BoardFacts, is_on: Mapping[SwitchId, bool], words: Words) -> list[Cause]:
    """A sentence for every way in which the board believes something else than is built.

    Contradictions come first; what a board believes of a position with one cannot be known. The two letters
    of a pair give the same sentence, which is given once. A state that no switch can express is no cause
    while the board believes what it believes with the planned settings: there is nothing to move.
    """
    belief = believe(family, is_on)
    found = {cause.message: cause for cause in _contradictions(board, belief, words)}
    unclear = {position for position, _, _ in belief.contradictions}
    as_planned = believe(family, dict.fromkeys(board.planned, True)).states
    for position, (true, believed) in enumerate(zip(board.states, belief.states, strict=True), start=1):
        goal = true if is_covered(family, position, true) else as_planned[position - 1]
        if position not in unclear and believed not in {true, goal}:
            cause = _cause(family, board, position, true, believed, words)
            found.setdefault(cause.message, cause)
    return list(found.values())


def _contradictions(board: BoardFacts, belief: Belief, words: Words) -> Iterator[Cause]:
    for position, one, other in belief.contradictions:
        message = words(
            "cause.contradiction",
            place=board.place,
            one=_switch(board, one, words),
            says=_meaning(board, one, words),
            other=_switch(board, other, words),
            other_says=_meaning(board, other, words),
        )
        shared = {position, *one.positions}.intersection(other.positions)
        yield Cause(message, tuple(board.letters[each - 1] for each in sorted(shared)))


def _switch(board: BoardFacts, rule: Rule, words: Words) -> str:
    return words("cause.switch", bank=board.banks[rule.bank - 1], switch=rule.switch)


def _meaning(board: BoardFacts, rule: Rule, words: Words) -> str:
    """What a rule's switch means when it is ON, in words."""
    letters = [board.letters[position - 1] for position in sorted(rule.positions)]
    return condition_text(rule.when, letters, words)


def _cause(  # noqa: PLR0913, PLR0917 — one position, what is true and what is believed of it
    family: Family, board: BoardFacts, position: int, true: State, believed: State, words: Words
) -> Cause:
    """The sentence for one position: what is true of it, what the board believes, and by which switch.

    A pair, true or believed, has one sentence; a rule over several positions has one for all of them that are
    in the same state.
    """
    group = true if isinstance(true, tuple) else believed if isinstance(believed, tuple) else (position,)
    rule = _rule(family, position, true if believed == "used" else believed)
    if rule and not isinstance(true, tuple) and not isinstance(believed, tuple):
        group = tuple(each for each in rule.positions if board.states[each - 1] == true)
    names = [board.letters[each - 1] for each in sorted(group)]
    pair = (word_of(true), word_of(believed))
    one = "_one" if len(names) == 1 and pair in IN_THE_SINGULAR else ""
    message = words(
        f"cause.{pair[0]}_{pair[1]}{one}",
        place=board.place,
        letter=board.letters[position - 1],
        letters=words("cause.and").join(names),
        positions=words("cause.and").join(str(each) for each in sorted(group)),
        units=board.units[position - 1] or words("cause.no_unit"),
        switch=_switch(board, rule, words) if rule else words("cause.no_switch"),
    )
    return Cause(message, tuple(names))


def _rule(family: Family, position: int, state: State) -> Rule | None:
    """The rule whose switch expresses this state at this position; None where no switch can."""
    rules = [rule for rule in family.rules if rule.when == word_of(state) and position in rule.positions]
    exact = [rule for rule in rules if not isinstance(state, tuple) or tuple(sorted(rule.positions)) == state]
    best = exact or rules
    return best[0] if best else None
