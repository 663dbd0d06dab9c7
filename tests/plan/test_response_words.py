"""Words of a response test: the rules that they keep, and how few rounds they take."""

import random
from itertools import combinations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tagmaker.plan.response_words import BOX_AT_MOST, Caller, Found, find_words, least_rounds, letters
from tests.records import replace

A_N_3 = {4: 2, 5: 4, 6: 8, 7: 16, 8: 20, 9: 40, 10: 72, 11: 144, 12: 256}
"""A(n, 3): Agrell, Vardy and Zeger, IEEE Trans. Inform. Theory 47 (2001), from memory."""
LOADS = (7500, 9000, 12000, 18000, 24000, 36000, 48000)


def callers(*sizes: int, seed: int = 0) -> list[Caller]:
    """So many ports a box, their loads seeded."""
    rng = random.Random(seed)  # noqa: S311 — loads, nothing secret
    return [Caller(f"BB-{box}", rng.choice(LOADS)) for box, size in enumerate(sizes) for _ in range(size)]


def found(ports: list[Caller]) -> Found:
    """The words of these ports, which there must be."""
    words = find_words(ports)
    assert words is not None
    return words


def broken_rules(ports: list[Caller], words: Found) -> list[str]:
    """What the words of a system do not keep, from their letters alone."""
    texts = [letters(word, words.rounds) for word in words.words]
    broken = [
        f"{text} is constant"
        for text, port in zip(texts, ports, strict=True)
        if (len(set(text)) == 1) != port.is_cool_only
    ]
    for (one, first), (other, second) in combinations(zip(texts, ports, strict=True), 2):
        pairs = list(zip(one, other, strict=True))
        apart = sum(a != b for a, b in pairs)
        if one == other and not (first.is_cool_only and second.is_cool_only):
            broken.append(f"{one} is given twice")
        if first.box != second.box or (first.is_cool_only and second.is_cool_only):
            continue
        if apart < 3 or apart == words.rounds:
            broken.append(f"{one} and {other} differ in {apart} rounds")
        if not first.is_cool_only and not second.is_cool_only and not {("H", "C"), ("C", "H")} <= set(pairs):
            broken.append(f"{one} and {other}: one never heats where the other cools")
    return broken


SIZES = [(4,), (7,), (8,), (12,), (12, 12), (12,) * 3, (8,) * 8, (12,) * 8, (12,) * 16, (1,) * 9, (16,) * 16]


@pytest.mark.parametrize("sizes", SIZES)
def test_words_keep_every_rule(sizes: tuple[int, ...]) -> None:
    """From one box of four to 256 ports."""
    ports = callers(*sizes)
    assert broken_rules(ports, found(ports)) == []


@settings(max_examples=60, deadline=None)
@given(
    st.lists(st.integers(1, 12), min_size=1, max_size=6),
    st.integers(0, 10**6),
    st.sets(st.integers(0, 71), max_size=3),
)
def test_words_keep_every_rule_for_any_boxes(sizes: list[int], seed: int, cool: set[int]) -> None:
    """With ports that only cool too, whose word is all C."""
    ports = [replace(port, is_cool_only=at in cool) for at, port in enumerate(callers(*sizes, seed=seed))]
    assert broken_rules(ports, found(ports)) == []


@pytest.mark.parametrize(
    ("size", "rounds"), [(1, 4), (2, 5), (4, 5), (5, 6), (7, 6), (8, 7), (9, 7), (10, 8), (12, 8)]
)
def test_a_box_takes_as_few_rounds_as_can_be_shown(size: int, rounds: int) -> None:
    """What the search reaches is what nothing less can serve."""
    ports = callers(size)
    assert (least_rounds(ports), found(ports).rounds) == (rounds, rounds)


@pytest.mark.parametrize(
    ("sizes", "rounds"),
    [((7,) * 4, 6), ((8,) * 8, 7), ((12,) * 8, 8), ((12,) * 10, 8), ((12,) * 16, 9), ((16,) * 16, 9)],
)
def test_rounds_of_systems(sizes: tuple[int, ...], rounds: int) -> None:
    """6 up to seven ports a box, 8 for boxes of twelve and up to 120 ports, 9 for 192 and 256."""
    assert found(callers(*sizes)).rounds == rounds


@pytest.mark.parametrize(("rounds", "most"), [(4, 1), (5, 4), (6, 7), (7, 9)])
def test_no_box_has_more_words_than_the_bound(rounds: int, most: int) -> None:
    """Every set of words that agree is looked at, smaller ones of the same kind left out by a colouring."""
    assert largest_set(rounds) == most == BOX_AT_MOST[rounds]


def test_bounds_are_at_most_those_published() -> None:
    """Words of a box are a code whose words differ in three places at least."""
    assert all(BOX_AT_MOST[rounds] <= most for rounds, most in A_N_3.items())


def largest_set(rounds: int) -> int:
    """The size of the largest set of words that may be in one box, by branch and bound.

    Rounds may be exchanged, and heat with cool: a set whose fewest letters of a kind are so many may be taken
    to have the word that has them first.
    """
    words = [word for word in range(1 << rounds) if 2 <= word.bit_count() <= rounds - 2]
    mates = {one: sum(1 << other for other in words if _agree(one, other, rounds)) for one in words}
    best, left = 0, sum(1 << word for word in words)
    for heats in range(2, rounds // 2 + 1):
        first = (1 << heats) - 1
        best = max(best, 1 + _largest(left & mates[first], mates, best - 1))
        left &= ~sum(1 << word for word in words if word.bit_count() in {heats, rounds - heats})
    return best


def _largest(left: int, mates: dict[int, int], best: int) -> int:
    """The size of the largest set within these words, as far as it is larger than the best so far."""
    best = max(best, 0)
    for word, colours in reversed(_coloured(left, mates)):
        if colours <= best:
            break
        best = max(best, 1 + _largest(left & mates[word], mates, best - 1))
        left &= ~(1 << word)
    return best


def _agree(one: int, other: int, rounds: int) -> bool:
    pairs = {(one >> at & 1, other >> at & 1) for at in range(rounds)}
    return 3 <= (one ^ other).bit_count() < rounds and {(0, 1), (1, 0)} <= pairs


def _coloured(left: int, mates: dict[int, int]) -> list[tuple[int, int]]:
    """Words, each with how many colours serve all up to it; no two of a colour may be in one box."""
    order: list[tuple[int, int]] = []
    colour = 0
    while left:
        colour += 1
        options = left
        while options:
            lowest = options & -options
            word = lowest.bit_length() - 1
            left &= ~lowest
            options &= ~lowest & ~mates[word]
            order.append((word, colour))
    return order


@pytest.mark.parametrize("seed", range(8))
@pytest.mark.parametrize("sizes", [(12, 12), (12, 8, 6), (4,) * 4, (12,) * 8, (12,) * 16])
def test_what_heats_is_near_half_in_each_round(sizes: tuple[int, ...], seed: int) -> None:
    """40 to 60 % of the capacity, where the system has more than twelve ports."""
    share = found(callers(*sizes, seed=seed)).heat_share
    assert min(share) >= 0.4
    assert max(share) <= 0.6


def test_a_share_is_the_capacity_that_heats() -> None:
    """By its definition, from the letters."""
    ports = callers(12, 6)
    words = found(ports)
    total = sum(port.load for port in ports)
    for number in range(words.rounds):
        heats = [port.load for port, word in zip(ports, words.words, strict=True) if word >> number & 1]
        assert words.heat_share[number] == pytest.approx(sum(heats) / total)


def test_the_same_ports_get_the_same_words() -> None:
    """Nothing depends on a clock or on what ran before."""
    ports = callers(12, 12, 6)
    first = found(ports)
    find_words(callers(8))
    assert found(ports) == first


def test_kept_words_are_kept() -> None:
    """All but those of a box's two ports that are new."""
    ports = callers(12, 11)
    first = found(ports)
    kept = [
        replace(port, kept="" if at in {3, 20} else letters(word, first.rounds))
        for at, (port, word) in enumerate(zip(ports, first.words, strict=True))
    ]
    second = found(kept)
    assert broken_rules(kept, second) == []
    assert [at for at in range(23) if second.words[at] != first.words[at]] in ([], [3], [20], [3, 20])


def test_kept_words_are_continued_where_more_rounds_are_needed() -> None:
    """A box of seven, six rounds, gets an eighth port: each word begins as it was."""
    ports = callers(7)
    first = found(ports)
    kept = [
        replace(port, kept=letters(word, first.rounds)) for port, word in zip(ports, first.words, strict=True)
    ]
    more = [*kept, Caller("BB-0", 9000)]
    second = found(more)
    assert broken_rules(more, second) == []
    assert second.rounds > first.rounds
    starts = [letters(word, second.rounds)[: first.rounds] for word in second.words[:7]]
    assert starts == [port.kept for port in kept]


def test_no_words_for_more_than_any_search_serves() -> None:
    """A box of three hundred ports."""
    assert find_words(callers(300)) is None
