"""Words of heat and cool for a response test: a letter a round for every port that is called.

Takes the ports of one system with their capacities; gives a word for each, as few rounds as a plain seeded
search reaches. A word is a number whose bit r is set where the port heats in round r + 1.

Within a box two words differ in at least three rounds, so that one wrong reading is corrected; they are no
opposites, since main gas pipes that are exchanged turn every word round; and each heats where the other
cools, since a unit that is called to heat and gets suction gas shows nothing. In a system all words differ.

A box has at most A(n, 3) words of n rounds: A(5, 3) = 4, A(6, 3) = 8, A(7, 3) = 16, A(8, 3) = 20,
A(9, 3) = 40, A(10, 3) = 72, A(11, 3) = 144, A(12, 3) = 256 (tables of A(n, d): Agrell, Vardy and Zeger, IEEE
Trans. Inform. Theory 47 (2001), from memory). The other rules allow 4 with 5 rounds, 7 with 6 and 9 with 7: a
search of all sets shows it, so that 8 rounds are the least for a box of ten to twelve ports.
"""

import random
from collections.abc import Iterator, Sequence
from functools import cache
from typing import Final

from msgspec import Struct

__all__ = ["PORTS_AT_MOST", "Caller", "Found", "find_words", "least_rounds", "letters", "may_share_a_box"]

PORTS_AT_MOST: Final = 256
"""Called ports of a system that words are searched for."""
LEAST_APART = 3
LEAST_ROUNDS = 4
ROUNDS_AT_MOST = 12
BOX_AT_MOST = {4: 1, 5: 4, 6: 7, 7: 9, 8: 20, 9: 40, 10: 72, 11: 144, 12: 256}
"""The most words that a box can have: A(n, 3), and less where a search of all sets shows it."""
STRICTEST = 3
"""How far words of two boxes are kept apart, strictest first, while that costs no round: see `_taken`."""
BOX_TRIES = 40
SYSTEM_TRIES = 12
SAMPLE = 24  # candidates compared for the next word of a box
PASSES = 60  # of exchanges that balance what heats
BALANCED = 0.08  # of a half, either way: below it a balance is not looked at again


class Caller(Struct, frozen=True):
    """A port to be called: its box, the capacity that its units have, whether they only cool.

    `kept` is the word that an earlier test gave it ("HCC"), which is kept as the beginning of its word.
    """

    box: str
    load: int
    is_cool_only: bool = False
    kept: str = ""


class Found(Struct, frozen=True):
    """The words in the order of the callers, and the share of the capacity that heats in each round.

    `apart` is how strictly words of two boxes are kept apart: 3 and 2 in two rounds at least (3: opposites
    too), 1 no opposites, 0 they only differ.
    """

    rounds: int
    words: tuple[int, ...]
    heat_share: tuple[float, ...]
    apart: int


def letters(word: int, rounds: int) -> str:
    """A word as text, a letter a round."""
    return "".join("H" if word >> number & 1 else "C" for number in range(rounds))


def may_share_a_box(one: int, other: int, rounds: int) -> bool:
    """Whether two words may be in one box."""
    apart = (one ^ other).bit_count()
    return LEAST_APART <= apart < rounds and bool(one & ~other) and bool(other & ~one)


def least_rounds(callers: Sequence[Caller]) -> int:
    """The fewest rounds that are not ruled out: by the bounds of a box, and by how many words there are."""
    called = [each for each in callers if not each.is_cool_only]
    sizes = [sum(each.box == box for each in called) for box in {each.box for each in called}]
    kept = max((len(each.kept) for each in callers), default=0)
    for rounds in range(max(LEAST_ROUNDS, kept), ROUNDS_AT_MOST + 1):
        if max(sizes, default=0) <= BOX_AT_MOST[rounds] and len(called) <= len(_all_words(rounds)):
            return rounds
    return ROUNDS_AT_MOST + 1


def find_words(callers: Sequence[Caller]) -> Found | None:
    """Words for all callers in the fewest rounds that the search reaches; None where it reaches none."""
    for rounds in range(least_rounds(callers), ROUNDS_AT_MOST + 1):
        for apart in range(STRICTEST, -1, -1):
            found = _best(callers, rounds, apart)
            if found:
                return found
    return None


def _best(callers: Sequence[Caller], rounds: int, apart: int) -> Found | None:
    """The best balanced of some tries at so many rounds; the same callers give the same words."""
    rng = random.Random(rounds * 10 + apart)  # noqa: S311 — a search, nothing secret
    best: Found | None = None
    for _ in range(SYSTEM_TRIES):
        words = _Search(callers, rounds, apart, rng).words()
        if words is None:
            continue
        _balance(words, callers, rounds, apart)
        found = Found(rounds, tuple(words), _shares(words, callers, rounds), apart)
        if best is None or _off(found) < _off(best):
            best = found
        if _off(best) <= BALANCED:
            break
    return best


def _off(found: Found) -> float:
    """How far from a half the share that heats is at most."""
    return max(abs(share - 0.5) for share in found.heat_share)


# --- words that agree with each other -----------------------------------------------------------------------


@cache
def _all_words(rounds: int) -> tuple[int, ...]:
    """Every word that one wrong reading does not make constant."""
    return tuple(word for word in range(1 << rounds) if 2 <= word.bit_count() <= rounds - 2)


@cache
def _mates(rounds: int, word: int) -> int:
    """The words that may be in a box with this one, as a set of bits."""
    return sum(1 << other for other in _all_words(rounds) if may_share_a_box(word, other, rounds))


@cache
def _taken(rounds: int, word: int, apart: int) -> int:
    """The words of other boxes that a word rules out, as a set of bits."""
    opposite = word ^ ((1 << rounds) - 1)
    near = [word, *(word ^ (1 << number) for number in range(rounds))]
    match apart:
        case 3:
            ruled_out = {*near, *(each ^ ((1 << rounds) - 1) for each in near)}
        case 2:
            ruled_out = {*near, opposite}
        case 1:
            ruled_out = {word, opposite}
        case _:
            ruled_out = {word}
    return sum(1 << each for each in ruled_out)


def _members(bits: int) -> Iterator[int]:
    """The numbers of a set of bits, from the least."""
    while bits:
        lowest = bits & -bits
        yield lowest.bit_length() - 1
        bits ^= lowest


class _Search:
    """One try to find words for a system, box by box, the largest first."""

    def __init__(self, callers: Sequence[Caller], rounds: int, apart: int, rng: random.Random) -> None:
        self.callers, self.rounds, self.apart, self.rng = callers, rounds, apart, rng
        self.free = sum(1 << word for word in _all_words(rounds))
        self.result = [0] * len(callers)
        boxes: dict[str, list[int]] = {}
        for place, each in enumerate(callers):
            boxes.setdefault(each.box, []).append(place)
        self.boxes = sorted(boxes.values(), key=len, reverse=True)
        self.allowed = [self._start(box) for box in self.boxes]

    def _start(self, box: Sequence[int]) -> int:
        """The words that a box may have at first: beside a word that never heats, those that heat enough."""
        every = (1 << (1 << self.rounds)) - 1
        if any(self.callers[place].is_cool_only for place in box):
            return sum(1 << word for word in _all_words(self.rounds) if word.bit_count() >= LEAST_APART)
        return every

    def words(self) -> list[int] | None:
        """A word for every caller; None where this try finds none."""
        for number, box in enumerate(self.boxes):
            for place in box:
                if self.callers[place].kept and not self._keep(number, place):
                    return None
        for number, box in enumerate(self.boxes):
            places = [place for place in box if not self._is_settled(self.callers[place])]
            words = self._of_box(number, len(places))
            if words is None:
                return None
            for place, word in zip(places, words, strict=True):
                self._take(number, place, word)
        return self.result

    def _is_settled(self, caller: Caller) -> bool:
        return caller.is_cool_only or bool(caller.kept)

    def _keep(self, number: int, place: int) -> bool:
        """Give a caller a word that begins as the one that it had."""
        caller = self.callers[place]
        if caller.is_cool_only:
            return True
        kept = sum(1 << each for each, letter in enumerate(caller.kept) if letter == "H")
        mask = (1 << len(caller.kept)) - 1
        options = [word for word in _members(self.free & self.allowed[number]) if word & mask == kept]
        if options:
            self._take(number, place, self.rng.choice(options))
        return bool(options)

    def _take(self, number: int, place: int, word: int) -> None:
        self.result[place] = word
        self.free &= ~_taken(self.rounds, word, 0)
        for other in range(len(self.boxes)):
            ruled_out = _taken(self.rounds, word, self.apart)
            self.allowed[other] &= _mates(self.rounds, word) if other == number else ~ruled_out

    def _of_box(self, number: int, count: int) -> list[int] | None:
        """So many words for a box; each next one leaves the most to choose from."""
        for _ in range(BOX_TRIES):
            left, chosen = self.free & self.allowed[number], list[int]()
            while len(chosen) < count and len(chosen) + left.bit_count() >= count:
                options = list(_members(left))
                sample = options if len(options) <= SAMPLE else self.rng.sample(options, SAMPLE)
                room = {word: (left & _mates(self.rounds, word)).bit_count() for word in sample}
                word = max(sample, key=lambda each: room[each] + self.rng.random())
                chosen.append(word)
                left &= _mates(self.rounds, word)
            if len(chosen) == count:
                return chosen
        return None


# --- what heats in each round -------------------------------------------------------------------------------


def _heating(words: Sequence[int], callers: Sequence[Caller], rounds: int) -> list[int]:
    """The capacity that heats, a round each."""
    return [
        sum(each.load for word, each in zip(words, callers, strict=True) if word >> number & 1)
        for number in range(rounds)
    ]


def _shares(words: Sequence[int], callers: Sequence[Caller], rounds: int) -> tuple[float, ...]:
    total = sum(each.load for each in callers) or 1
    return tuple(heat / total for heat in _heating(words, callers, rounds))


def _balance(words: list[int], callers: Sequence[Caller], rounds: int, apart: int) -> None:
    """Exchange words within boxes, and take words that are free, until no exchange balances better."""
    total = sum(each.load for each in callers)
    heat = [2 * each - total for each in _heating(words, callers, rounds)]
    movable = [place for place, each in enumerate(callers) if not each.is_cool_only and not each.kept]
    boxes: dict[str, list[int]] = {}
    for place in movable:
        boxes.setdefault(callers[place].box, []).append(place)
    pairs = [(one, other) for box in boxes.values() for at, one in enumerate(box) for other in box[:at]]
    for _ in range(PASSES):
        moved = [_exchange(words, callers, heat, one, other) for one, other in pairs]
        if not any(moved) and not _replace(words, callers, heat, movable, apart):
            return


def _exchange(words: list[int], callers: Sequence[Caller], heat: list[int], one: int, other: int) -> bool:
    """Exchange the words of two callers where that balances better."""
    difference = 2 * (callers[other].load - callers[one].load)
    if not difference:
        return False
    change = [
        difference * ((words[one] >> number & 1) - (words[other] >> number & 1))
        for number in range(len(heat))
    ]
    if not _improves(heat, change):
        return False
    words[one], words[other] = words[other], words[one]
    return True


def _improves(heat: list[int], change: Sequence[int]) -> bool:
    """Make a change of twice what heats where the sum of squares gets smaller."""
    if sum(step * (2 * now + step) for now, step in zip(heat, change, strict=True)) >= 0:
        return False
    heat[:] = [now + step for now, step in zip(heat, change, strict=True)]
    return True


def _replace(
    words: list[int], callers: Sequence[Caller], heat: list[int], movable: Sequence[int], apart: int
) -> bool:
    """Give one caller a word that is free and balances better; whether there was one."""
    rounds, total = len(heat), sum(each.load for each in callers)
    if max(map(abs, heat)) <= 2 * BALANCED * total:
        return False
    for place in movable:
        allowed = _allowed(words, callers, place, rounds, apart)
        for word in _members(allowed):
            step = 2 * callers[place].load
            change = [step * ((word >> n & 1) - (words[place] >> n & 1)) for n in range(rounds)]
            if _improves(heat, change):
                words[place] = word
                return True
    return False


def _allowed(words: Sequence[int], callers: Sequence[Caller], place: int, rounds: int, apart: int) -> int:
    """The words that a caller could have in place of its own, as a set of bits."""
    allowed = sum(1 << word for word in _all_words(rounds))
    for other, (word, each) in enumerate(zip(words, callers, strict=True)):
        if other == place:
            continue
        if each.box != callers[place].box:
            allowed &= ~_taken(rounds, word, apart)
        elif each.is_cool_only:
            allowed &= sum(1 << one for one in _all_words(rounds) if one.bit_count() >= LEAST_APART)
        else:
            allowed &= _mates(rounds, word)
    return allowed
