"""What a technician types about switches and ports, in their own words, as switches and port states.

Found: "left bank 1: 1 2, bank 2: 4; right bank 2 4 on, 3 off". Wish: "A and B spare, G+H joined, C used".
Whatever could mean two things is refused with a question, never guessed: with one switch read wrongly the box
does not start.
"""

import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from types import MappingProxyType
from typing import Literal, get_args

from msgspec import Struct

from tagmaker.catalog.family import Family
from tagmaker.plan.ports import letters_text
from tagmaker.plan.switches import SwitchId

__all__ = ["Misread", "read_found", "read_wish"]

FOUND_WORD = re.compile(r"rest\s+off\b|\d{1,9}\s*/\s*\d{1,9}|\d{1,9}\s*:|\d{1,9}|[a-z]+|\S", re.ASCII)
WISH_WORD = re.compile(r"[A-Za-z](?:\s*\+\s*[A-Za-z])+\b|[A-Za-z]+|\S", re.ASCII)
FILLERS = {"board", "switch", "switches", "is", "are", "found", "the", "and", "sw", "as", *",:&+"}
WISH_FILLERS = {
    "port",
    "ports",
    "is",
    "are",
    "the",
    "and",
    "as",
    "to",
    "be",
    "work",
    "of",
    "service",
    *",;:.&",
}
BANK_WORDS = {"bank", "b"}
NUMBERS = {
    "one": "1",
    "two": "2",
    "three": "3",
    "four": "4",
    "five": "5",
    "six": "6",
    "seven": "7",
    "eight": "8",
}
NoneWord = Literal["none", "nothing"]
OnOff = Literal["on", "off", NoneWord]
NONE_WORDS: frozenset[NoneWord] = frozenset(get_args(NoneWord))
ON_OFF: Mapping[str, OnOff] = MappingProxyType({word: word for word in get_args(OnOff)})
REST_WORDS = {"all", "rest", "others", "other"}
PortState = Literal["spare", "used", "joined"]
STATES: Mapping[str, PortState] = {
    "spare": "spare", "empty": "spare", "unused": "spare", "free": "spare", "out": "spare",
    "used": "used", "alone": "used", "single": "used", "in": "used",
    "joined": "joined", "pair": "joined", "paired": "joined", "together": "joined", "one": "joined",
}  # fmt: skip


class Misread(Struct, frozen=True):
    """Why a text is refused, and what to write instead."""

    message: str
    hint: str


Switches = dict[SwitchId, bool]


def read_found(text: str, family: Family, places: tuple[str, ...]) -> dict[str, Switches] | Misread:
    """The switches named on each board by bank and number, whether ON; what is not named is not ON.

    `places` are those of the box's boards; a box with one board, or a board with one bank, need not be named.
    """
    reader = _FoundReader(family, {place.lower(): place for place in places}, {place: {} for place in places})
    words = [NUMBERS.get(word, word) for word in FOUND_WORD.findall(text.lower())]
    if all(word in reader.places or word in FILLERS for word in words):
        return Misread("no switch is named", "write none if no switch is ON")
    for word in words:
        misread = reader.take(word)
        if misread:
            return misread
    return reader.ended() or reader.found


@dataclass
class _FoundReader:
    """Takes word by word; keeps the board and bank that are meant, and the switches that ON or OFF may mean.

    People write ON and OFF before their switches or after them: `ahead` is a word that came before. `run` are
    the switches since then, `separators` what is between them, commas or spaces: in "1, 2 3 off" nobody knows
    which switches are OFF.
    """

    family: Family
    places: dict[str, str]
    found: dict[str, Switches]
    place: str = ""
    bank: int = 0
    expects_bank: bool = False
    ahead: OnOff | Literal["all", ""] = ""
    run: list[SwitchId] = field(default_factory=list)
    separators: set[Literal[",", " "]] = field(default_factory=set)
    after_comma: bool = False

    def __post_init__(self) -> None:
        self._go_to(next(iter(self.places.values())) if len(self.places) == 1 else "")

    def _go_to(self, place: str) -> None:
        self.place, self.bank = place, 1 if len(self.family.banks) == 1 else 0

    def take(self, word: str) -> Misread | None:
        """Take one word; why it is refused, None where it is not."""
        if "0" <= word[0] <= "9":
            return self._number(word)
        if word in ON_OFF:
            return self._state(ON_OFF[word])
        if word == "all":
            return self._all()
        if word.split() == ["rest", "off"]:
            return self.ended()
        self.after_comma |= word == ","
        return None if word in FILLERS else self._part(word)

    def _part(self, word: str) -> Misread | None:
        """A new part begins: a board, a bank, or another sentence."""
        if word not in {";", "."} | BANK_WORDS | self.places.keys():
            hint = f"write it like: {next(iter(self.places))} bank 1: 2 3, bank 2: 4"
            return Misread(f"{word!r} is not understood here", hint)
        misread = self.ended()
        self.expects_bank = word in BANK_WORDS
        if word in self.places:
            self._go_to(self.places[word])
        return misread

    def ended(self) -> Misread | None:
        """End what an ON or OFF applies to; refused where it had nothing to apply to."""
        is_idle = self.ahead in {"on", "all"} and not self.run
        self.ahead, self.run, self.separators, self.after_comma = "", [], set(), False
        if is_idle or self.expects_bank:
            return Misread("no switch is named", "name the switches that are ON: bank 1: 2 3")
        return None

    def _state(self, word: OnOff) -> Misread | None:
        """ON, OFF or none: of the switches before it, or else of those that follow."""
        if self.run and not self.ahead and word not in NONE_WORDS:
            return self._state_after(word)
        if not self.run and self.ahead:
            both = {self.ahead, word}
            if "off" in both and both & NONE_WORDS:
                return Misread(
                    f"{self.ahead} {word}: which switches are ON?",
                    "name the switches that are ON: bank 1: 2 3",
                )
            if both & NONE_WORDS or both == {"all", "off"}:
                self.ahead = "off"
                return None
        misread = self.ended()
        self.ahead = word
        return misread

    def _state_after(self, word: OnOff) -> Misread | None:
        """ON or OFF after its switches; OFF after switches with two separators could mean some or all."""
        if word == "off" and len(self.separators) > 1:
            return Misread("which of these are OFF?", "name only the switches that are ON: bank 1: 2 3")
        self.found[self.place] |= dict.fromkeys(self.run, word == "on")
        self.run, self.separators = [], set()
        return None

    def _number(self, word: str) -> Misread | None:
        digits = word.rstrip(": ")
        of, _, number = digits.rpartition("/")
        if self.expects_bank and not of:
            self.expects_bank, self.bank = False, int(number)
            return self._no_bank()
        if word.endswith(":"):
            return Misread(f"{number}: is that a bank?", "write it like: bank 1: 2 3, bank 2: 4")
        if self.ahead == "all":
            self.ahead = ""
        if self.ahead in NONE_WORDS:
            return Misread(
                f"{self.ahead}, and switch {number}?", "write none, or name the switches that are ON"
            )
        if self.run:
            self.separators.add("," if self.after_comma else " ")
        self.after_comma = False
        if of:
            self.bank = int(of)
        return self._switch(int(number))

    def _no_bank(self) -> Misread | None:
        if 1 <= self.bank <= len(self.family.banks):
            return None
        return Misread(f"there is no bank {self.bank}", f"a board has {len(self.family.banks)}")

    def _switch(self, number: int) -> Misread | None:
        if not self.place:
            places = ", ".join(self.places.values())
            return Misread(f"switch {number}: of which board?", f"name the board first: {places}")
        if not self.bank:
            return Misread(f"switch {number}: of which bank?", "name the bank first: bank 1: 2 3")
        if misread := self._no_bank():
            return misread
        switches = self.family.banks[self.bank - 1].switches
        if not 1 <= number <= switches:
            return Misread(f"bank {self.bank} has no switch {number}", f"it has 1 to {switches}")
        self.found[self.place][self.bank, number] = self.ahead != "off"
        self.run.append((self.bank, number))
        return None

    def _all(self) -> Misread | None:
        """All switches of the bank that is meant; without one, "all" may only be followed by OFF."""
        if self.place and self.bank:
            numbers = range(1, self.family.banks[self.bank - 1].switches + 1)
            return next((misread for number in numbers if (misread := self._switch(number))), None)
        self.ahead = "all"
        return None


def read_wish(
    text: str, letters: tuple[str, ...], pairs: tuple[tuple[str, ...], ...]
) -> dict[str, str] | Misread:
    """What each named letter is to be: "spare", "used", or the pair ("G+H") that it is to be joined in."""
    wish: dict[str, str] = {}
    named: list[str] = []
    for word in WISH_WORD.findall(text):
        if word.lower() in STATES:
            meant = _meant(word, named, letters, pairs)
            if isinstance(meant, Misread):
                return meant
            twice = [letter for letter in meant if wish.get(letter, meant[letter]) != meant[letter]]
            if twice:
                return Misread(f"{twice[0]} has two states", "give each port one state only")
            wish, named = wish | meant, []
        elif word.lower() in REST_WORDS:
            named += [letter for letter in letters if letter not in {*wish, *named}]
        elif all(part in letters for part in _bare(word).split("+")):
            named.append(_bare(word))
        elif word.lower() not in WISH_FILLERS:
            hint = f"ports are {letters_text(letters)}; states are spare, used, joined"
            return Misread(f"{word!r} is neither a port nor a state", hint)
    return Misread(f"no state is given for {named[0]}", "write spare, used or joined") if named else wish


def _bare(word: str) -> str:
    """A port or a pair as a plan has it: capitals, no spaces."""
    return "".join(word.split()).upper()


def _meant(
    word: str, named: list[str], letters: tuple[str, ...], pairs: tuple[tuple[str, ...], ...]
) -> dict[str, str] | Misread:
    """What the letters named before a state are to be; two letters that are joined are one pair.

    `letters` are the box's, in the family's order: that is the order of a pair's letters.
    """
    state = STATES[word.lower()]
    if not named:
        return Misread(f"{word!r}: which ports?", "write it like: A and B spare, G+H joined, C used")
    if state == "joined" and not any("+" in each for each in named):
        named = ["+".join(named)]
    wish: dict[str, str] = {}
    for each in named:
        parts = tuple(sorted(each.split("+"), key=letters.index))
        is_pair = state == "joined" or (state == "used" and len(parts) > 1)
        if is_pair and parts not in pairs:
            allowed = ", ".join("+".join(pair) for pair in pairs) or "none"
            return Misread(f"{each} cannot be joined", f"pairs that may be joined: {allowed}")
        wish |= dict.fromkeys(parts, "+".join(parts) if is_pair else state)
    return wish
