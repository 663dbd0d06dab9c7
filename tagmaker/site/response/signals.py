"""What was read at one place in all rounds, and how many of its readings differ from what a word would give.

A word is a number whose bit r is set where round r + 1 heats. A reading that is unclear or was not made
agrees with every word.
"""

from collections.abc import Sequence
from typing import Literal

from msgspec import Struct

__all__ = ["Reading", "State", "read", "word_of"]

State = Literal["", "opposite", "heat only", "cool only"]
"""How a port answers its word: as called, turned round, or in one mode alone (a valve that is stuck)."""


class Reading(Struct, frozen=True):
    """The rounds in which a place was hot, cold, or did not change though the unit ran, as sets of bits."""

    hot: int = 0
    cold: int = 0
    still: int = 0

    @property
    def count(self) -> int:
        """How many readings there are."""
        return (self.hot | self.cold | self.still).bit_count()

    @property
    def answers(self) -> int:
        """How many of them are hot or cold: all of them differ where nothing answers."""
        return (self.hot | self.cold).bit_count()

    @property
    def turned(self) -> "Reading":
        """The same with hot and cold exchanged."""
        return Reading(self.cold, self.hot, self.still)

    def wrong(self, word: int, state: State = "") -> int:
        """The rounds whose reading differs, as a set of bits."""
        match state:
            case "opposite":
                return (self.cold & ~word) | (self.hot & word) | self.still
            case "heat only":
                return self.cold | (self.still & word)
            case "cool only":
                return self.hot | (self.still & ~word)
            case _:
                return (self.hot & ~word) | (self.cold & word) | self.still

    def off(self, word: int, state: State = "") -> int:
        """How many readings differ."""
        return self.wrong(word, state).bit_count()


def read(readings: Sequence[str], rounds: int) -> Reading:
    """A place's readings, "H", "C", "0", "?" or "" a round; rounds beyond the test's are left out."""
    sets = {
        letter: sum(1 << at for at, each in enumerate(readings[:rounds]) if each == letter)
        for letter in "HC0"
    }
    return Reading(sets["H"], sets["C"], sets["0"])


def word_of(calls: str) -> int:
    """A word from its letters."""
    return sum(1 << at for at, letter in enumerate(calls) if letter == "H")
