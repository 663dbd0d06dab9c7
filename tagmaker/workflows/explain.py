"""The stages of `explain`: switches as found → what the box believes → what to move for a wish."""

import re
from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path

from msgspec import Struct

from tagmaker.catalog.family import Family, load_family
from tagmaker.catalog.folders import names
from tagmaker.catalog.words import Words, load_words
from tagmaker.plan.ports import fitted_letters, pairs
from tagmaker.plan.switches import Belief, State, believe, plan_banks
from tagmaker.problems import Problem, Where, error
from tagmaker.site.walk.causes import BoardFacts, causes, moves
from tagmaker.site.walk.words_typed import Misread, read_found, read_wish

__all__ = ["Explained", "Question", "ask", "explain"]

SwitchesOn = dict[str, dict[tuple[int, int], bool]]


class Question(Struct, frozen=True):
    """What a person says: the family, the size, the switches found ON, and the wish; each as typed."""

    family: str
    ports: int
    found: str
    wish: str = ""


@dataclass
class Explained:
    """The answer, in lines for a person and as JSON."""

    lines: list[str] = field(default_factory=list)
    boards: list[dict[str, object]] = field(default_factory=list)
    problems: list[Problem] = field(default_factory=list)


def ask(question: Callable[[str], str], given: Question) -> Question:
    """Ask for what was not given, question by question."""
    family = given.family or question(f"Which box family? ({', '.join(names('families', None))})")
    ports = given.ports or _number(question("How many ports has the box?"))
    found = given.found or question("Which switches are ON? (left bank 1: 2 3, bank 2: 4; right none)")
    wish = given.wish or question("What should be? (A and B spare, G+H joined; empty for nothing)")
    return Question(family, ports, found, wish)


def _number(text: str) -> int:
    digits = re.search(r"\d+", text, re.ASCII)
    return int(digits[0]) if digits else 0


def explain(asked: Question, job_folder: Path | None = None) -> Explained:
    """What a box of that family and size believes with these switches, and what to move."""
    answer = Explained()
    if not asked.family:
        hint = f"name it with --family: {', '.join(names('families', job_folder))}"
        answer.problems.append(error("family-unknown", "no box family is named", Where("--family"), hint))
        return answer
    family, problems = load_family(asked.family, job_folder, Where("--family"))
    answer.problems += problems
    if family is None:
        return answer
    if asked.ports not in family.port_counts:
        sizes = ", ".join(map(str, family.port_counts))
        message = f"family {family.name!r} has no box of {asked.ports} ports"
        answer.problems.append(error("size-unknown", message, Where("PORTS"), f"sizes: {sizes}"))
        return answer
    places = family.places[family.board_count(asked.ports) - 1]
    letters = fitted_letters(family, asked.ports)
    found = read_found(asked.found, family, places)
    wish = read_wish(asked.wish, letters, pairs(family, asked.ports))
    for read, where in ((found, "FOUND"), (wish, "--wish")):
        if isinstance(read, Misread):
            answer.problems.append(error("value-wrong", read.message, Where(where), read.hint))
    if not isinstance(found, Misread) and not isinstance(wish, Misread):
        _Box(family, letters, places, load_words(), answer).tell(found, wish)
    return answer


@dataclass
class _Box:
    family: Family
    letters: tuple[str, ...]
    places: tuple[str, ...]
    words: Words
    answer: Explained

    def tell(self, found: SwitchesOn, wish: dict[str, str]) -> None:
        for index, place in enumerate(self.places):
            step = self.family.ports_per_board
            fitted = self.letters[index * step : (index + 1) * step]
            named = tuple(self.family.port_names[index * step : (index + 1) * step].ljust(step, "?"))
            self._board(place, fitted, named, found[place], wish)
        if wish and not any(board["move"] for board in self.answer.boards):
            self.answer.lines.append(self.words("explain.nothing"))
        self.answer.lines.append(self.words("explain.caution"))

    def _board(
        self,
        place: str,
        fitted: tuple[str, ...],
        named: tuple[str, ...],
        is_on: dict[tuple[int, int], bool],
        wish: dict[str, str],
    ) -> None:
        belief = believe(self.family, is_on)
        true = tuple(
            _wished(letter, named, wish, belief, position) if letter in fitted else "unfitted"
            for position, letter in enumerate(named)
        )
        banks = tuple(bank.name for bank in self.family.banks)
        planned = frozenset(
            (bank.number, switch)
            for bank in plan_banks(self.family, banks, true, named)
            for switch in bank.on()
        )
        facts = BoardFacts(place, named, true, ("",) * len(named), planned, banks)
        told = [cause.message for cause in causes(self.family, facts, is_on, self.words)]
        torn = {named[position - 1] for position, _, _ in belief.contradictions}
        is_open = not torn.isdisjoint(set(fitted) - wish.keys())  # nobody has said what is meant
        to_move = [] if is_open else moves(self.family, planned, is_on)
        believed = [
            self._believed(letter, state, named) for letter, state in zip(named, belief.states, strict=True)
        ]
        name = self.words("placard.board", place=place)
        self.answer.lines.append(f"{name}: {', '.join(dict.fromkeys(believed))}")
        self.answer.lines += [f"    {line}" for line in told]
        told_moves = [self._move(move.bank, move.switch, move.to_on) for move in to_move]
        self.answer.lines += [f"    {self.words('explain.move', move=line)}" for line in told_moves]
        self.answer.lines += [f"    {self.words('explain.open', ports=', '.join(sorted(torn)))}"] * is_open
        self.answer.boards.append({"place": place, "believes": believed, "expect": told, "move": told_moves})

    def _believed(self, letter: str, state: State, named: tuple[str, ...]) -> str:
        if isinstance(state, tuple):
            return self.words("explain.joined", ports="+".join(named[position - 1] for position in state))
        return self.words(f"explain.{state}", port=letter)

    def _move(self, bank: int, switch: int, to_on: bool) -> str:  # noqa: FBT001 — ON or OFF
        name = self.words("cause.switch", bank=self.family.banks[bank - 1].name, switch=switch)
        return self.words("explain.to", switch=name, state=self.words("state.on" if to_on else "state.off"))


def _wished(
    letter: str, named: tuple[str, ...], wish: dict[str, str], belief: Belief, position: int
) -> State:
    """What a fitted position is to be: as wished, or as the board believes it, or else used."""
    wanted = wish.get(letter)
    if wanted and "+" in wanted:
        return tuple(sorted(named.index(each) + 1 for each in wanted.split("+") if each in named))
    if wanted:
        return "unused" if wanted == "spare" else "used"
    state = belief.states[position]
    if isinstance(state, tuple):
        broken = any(wish.get(named[each - 1], "") for each in state)
        return "used" if broken else state
    return "used" if state == "unfitted" else state
