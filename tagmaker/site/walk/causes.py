"""From switches as found: what the board believes, against what is piped and wired, as what to expect.

Every sentence comes from the family's rules: no switch's number stands in the code.
"""

from collections.abc import Iterator, Mapping

from msgspec import Struct

from tagmaker.catalog.family import Family, Rule
from tagmaker.catalog.words import Words
from tagmaker.plan.switches import State, believe

__all__ = ["BoardFacts", "Cause", "Move", "causes", "moves"]

IN_THE_SINGULAR = {("unfitted", "used"), ("unused", "unfitted"), ("used", "unfitted")}
"""What is true and what is believed, where the sentence about one letter alone is another than about two."""


class BoardFacts(Struct, frozen=True):
    """A board as it is built: its place, the name and true state of every position, whose units hang there.

    `planned` are the switches (bank, number) that must be ON; `banks` the banks' names.
    """

    place: str
    letters: tuple[str, ...]
    states: tuple[State, ...]
    units: tuple[str, ...]
    planned: frozenset[tuple[int, int]]
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


def moves(
    family: Family, planned: frozenset[tuple[int, int]], is_on: Mapping[tuple[int, int], bool]
) -> list[Move]:
    """The switches that stand otherwise than planned; those that no rule knows are left."""
    ruled = sorted({(rule.bank, rule.switch) for rule in family.rules})
    return [
        Move(bank, switch, (bank, switch) in planned)
        for bank, switch in ruled
        if is_on.get((bank, switch), False) != ((bank, switch) in planned)
    ]


def causes(
    family: Family, board: BoardFacts, is_on: Mapping[tuple[int, int], bool], words: Words
) -> list[Cause]:
    """A sentence for every way in which the board believes something else than is built."""
    told = list(_contradictions(family, board, is_on, words))
    seen: dict[str, Cause] = {cause.message: cause for cause in told}
    belief = believe(family, is_on)
    torn = {position for position, _, _ in belief.contradictions}
    for position, (true, believed) in enumerate(zip(board.states, belief.states, strict=True), start=1):
        if position not in torn and true != believed:
            cause = _cause(family, board, position, true, believed, words)
            seen.setdefault(cause.message, cause)
    return list(seen.values())


def _contradictions(
    family: Family, board: BoardFacts, is_on: Mapping[tuple[int, int], bool], words: Words
) -> Iterator[Cause]:
    for position, one, other in believe(family, is_on).contradictions:
        message = words(
            "cause.contradiction",
            place=board.place,
            one=_switch(board, one, words),
            says=_says(board, one, words),
            other=_switch(board, other, words),
            other_says=_says(board, other, words),
        )
        torn = {position, *one.positions}.intersection(other.positions)
        yield Cause(message, tuple(board.letters[each - 1] for each in sorted(torn)))


def _switch(board: BoardFacts, rule: Rule, words: Words) -> str:
    return words("cause.switch", bank=board.banks[rule.bank - 1], switch=rule.switch)


def _says(board: BoardFacts, rule: Rule, words: Words) -> str:
    names = [board.letters[position - 1] for position in sorted(rule.positions)]
    between = "+" if rule.when == "joined" else ", "
    one = "_one" if rule.when == "unfitted" and len(names) == 1 else ""
    return words(f"reason.{rule.when}{one}", ports=between.join(names))


def _cause(  # noqa: PLR0913, PLR0917 — one position, what is true and what is believed of it
    family: Family, board: BoardFacts, position: int, true: State, believed: State, words: Words
) -> Cause:
    """The sentence for one position: what is true of it, what the board believes."""
    group = true if isinstance(true, tuple) else believed if isinstance(believed, tuple) else (position,)
    rule = _rule(family, position, true if believed == "used" else believed)
    if rule and not isinstance(true, tuple) and not isinstance(believed, tuple):
        group = tuple(each for each in rule.positions if board.states[each - 1] == true)
    names = [board.letters[each - 1] for each in sorted(group)]
    said = (_word(true), _word(believed))
    one = "_one" if len(names) == 1 and said in IN_THE_SINGULAR else ""
    message = words(
        f"cause.{said[0]}_{said[1]}{one}",
        place=board.place,
        letter=board.letters[position - 1],
        letters=words("cause.and").join(names),
        positions=words("cause.and").join(str(each) for each in sorted(group)),
        units=board.units[position - 1] or words("cause.no_unit"),
        switch=_switch(board, rule, words) if rule else words("cause.no_switch"),
    )
    return Cause(message, tuple(names))


def _rule(family: Family, position: int, state: State) -> Rule | None:
    """The rule by which a switch says this state of this position."""
    when = "joined" if isinstance(state, tuple) else state
    rules = [rule for rule in family.rules if rule.when == when and position in rule.positions]
    exact = [rule for rule in rules if not isinstance(state, tuple) or tuple(sorted(rule.positions)) == state]
    best = exact or rules
    return best[0] if best else None


def _word(state: State) -> str:
    return "joined" if isinstance(state, tuple) else state
