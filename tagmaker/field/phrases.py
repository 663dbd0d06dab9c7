"""What a technician types about switches and ports, in the words that they would use.

Found: "left bank 1: 1 2, bank 2: 4; right bank 2 4". Wish: "A and B spare, G+H joined, C used".
"""

import re
from dataclasses import dataclass

from tagmaker.catalog.family import Family

__all__ = ["Misread", "read_found", "read_wish"]

WORD = re.compile(r"[A-Za-z]\s*\+\s*[A-Za-z]\b|[A-Za-z]+|\d+/\d+|\d+|\S", re.ASCII)
FILLERS = {
    "board",
    "switch",
    "switches",
    "on",
    "is",
    "are",
    "found",
    "the",
    "and",
    "sw",
    "port",
    "ports",
    "as",
    "one",
    ",",
    ";",
    ":",
    ".",
}
BANK_WORDS = {"bank", "b"}
NONE_WORDS = {"none", "no", "nothing", "off", "all"}
STATES = {
    "spare": "spare", "empty": "spare", "unused": "spare", "free": "spare",
    "used": "used", "alone": "used", "single": "used",
    "joined": "joined", "pair": "joined", "paired": "joined", "together": "joined",
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Misread:
    """A word that means nothing here, and what would."""

    message: str
    hint: str


def read_found(
    text: str, family: Family, places: tuple[str, ...]
) -> dict[str, dict[tuple[int, int], bool]] | Misread:
    """The switches found ON of each board by (bank, number); a board that is not named has none ON."""
    found: dict[str, dict[tuple[int, int], bool]] = {place: {} for place in places}
    place = places[0] if len(places) == 1 else ""
    bank = 1 if len(family.banks) == 1 else 0
    expects_bank = False
    for word in WORD.findall(text.lower()):
        if word in places:
            place, bank = word, 1 if len(family.banks) == 1 else 0
        elif word in BANK_WORDS:
            expects_bank = True
        elif word.isdigit() and expects_bank:
            bank, expects_bank = int(word), False
        elif word.isdigit() or "/" in word[1:]:
            switch = _switch(word, bank, family)
            if isinstance(switch, Misread) or not place:
                return switch if isinstance(switch, Misread) else _no_board(word, places)
            found[place][switch] = True
        elif word not in FILLERS | NONE_WORDS:
            return Misread(
                f"{word!r} means nothing here", f"write it like: {places[0]} bank 1: 2 3, bank 2: 4"
            )
    return found


def _no_board(word: str, places: tuple[str, ...]) -> Misread:
    return Misread(f"switch {word}: of which board?", f"name the board first: {', '.join(places)}")


def _switch(word: str, bank: int, family: Family) -> tuple[int, int] | Misread:
    first, _, second = word.rpartition("/")
    number, of = int(second), int(first) if first else bank
    if not of:
        return Misread(f"switch {number}: of which bank?", "name the bank first: bank 1: 2 3")
    if of > len(family.banks):
        return Misread(f"there is no bank {of}", f"a board has {len(family.banks)}")
    if not 1 <= number <= family.banks[of - 1].switches:
        return Misread(f"bank {of} has no switch {number}", f"it has 1 to {family.banks[of - 1].switches}")
    return of, number


def read_wish(text: str, letters: tuple[str, ...]) -> dict[str, str] | Misread:
    """What each named letter is to be: "spare", "used", or the pair ("G+H") that it is to be joined in."""
    wish: dict[str, str] = {}
    named: list[str] = []
    for word in WORD.findall(text):
        bare = "".join(word.split()).upper()
        state = STATES.get(word.lower())
        if state:
            if not named:
                return Misread(f"{word!r}: which ports?", "write it like: A and B spare, G+H joined, C used")
            wish |= {letter: _meant(each, state) for each in named for letter in each.split("+")}
            named = []
        elif all(part in letters for part in bare.split("+")):
            named.append(bare)
        elif word.lower() not in FILLERS:
            hint = f"ports are {letters[0]} to {letters[-1]}; states are spare, used, joined"
            return Misread(f"{word!r} is no port and no state", hint)
    if named:
        return Misread(f"what is {named[0]} to be?", "say spare, used or joined")
    return wish


def _meant(name: str, state: str) -> str:
    return name if "+" in name and state != "spare" else state
