"""The stages of `explain`: read the words → what each board believes → what to expect → what to move.

No job is needed: a family, a size and the switches found ON are enough. Gives, board by board, what the box
believes of its ports, what to expect of it, and the switches to move for a wish. A wrong word is a problem.
"""

import re
from collections.abc import Callable, Iterable, Iterator, Mapping
from pathlib import Path

from msgspec import Struct
from msgspec.structs import replace

from tagmaker.catalog.family import Family, load_family
from tagmaker.catalog.folders import names
from tagmaker.catalog.words import Words, load_words
from tagmaker.files.plain import is_folder
from tagmaker.plan.model import BoxPlan
from tagmaker.plan.ports import fitted_letters, pairs
from tagmaker.plan.switches import Belief, State, believe, plan_banks
from tagmaker.problems import Problem, Severity, Where, error
from tagmaker.revisions.selection import Selection
from tagmaker.site.walk.causes import BoardFacts, causes, moves
from tagmaker.site.walk.words_typed import Misread, read_found, read_wish
from tagmaker.workflows.planning import plan

__all__ = ["BoardExplained", "ExplainOutline", "Explained", "FoundBox", "Question", "ask", "explain"]

Setting = Mapping[tuple[int, int], bool]
"""Whether a switch is ON, by bank and number, both from 1."""
Wish = Mapping[str, str]
"""What ports should be, by letter: used, spare, or the pair ("C+D") that they should be joined in."""


class Question(Struct, frozen=True):
    """What a person says: the family, the size, the switches found ON, and the wish; each as typed.

    `box` is a box of the job (in capitals): its family and size are known, what its ports should be is the
    plan where nothing is wished, and its units are named.
    """

    family: str
    ports: int
    found: str
    wish: str = ""
    box: str = ""


class BoardExplained(Struct, frozen=True):
    """A board explained, in words; the fields are keys of `explain --json`.

    `believes` has a text for each position, `expect` what the box will do, `move` the switches to move.
    """

    place: str
    believes: tuple[str, ...]
    expect: tuple[str, ...]
    move: tuple[str, ...]


class ExplainOutline(Struct, frozen=True):
    """What `explain --json` prints beside the problems: boards from left to right."""

    boards: tuple[BoardExplained, ...]


class FoundBox(Struct, frozen=True):
    """A box as found: its family, its size, the switches of each board."""

    family: Family
    ports: int
    found: Mapping[str, Setting]


class Explained(Struct, frozen=True):
    """The answer; no boards where the question is wrong, and no `box`.

    `undecided` has, by a board's place, the letters whose switches contradict each other and of which the
    wish says nothing: such a board has no moves. `has_wish` is whether anything was wished.
    """

    problems: tuple[Problem, ...]
    boards: tuple[BoardExplained, ...] = ()
    undecided: Mapping[str, tuple[str, ...]] = {}
    has_wish: bool = False
    box: FoundBox | None = None

    @property
    def outline(self) -> ExplainOutline:
        """The boards as a record of the JSON keys."""
        return ExplainOutline(self.boards)


def ask(question: Callable[[str], str], given: Question) -> Question:
    """The question completed: `question` is called with a prompt for each part that was not given."""
    asks_found = "Which switches are ON? (left bank 1: 2 3, bank 2: 4; right none)"
    if given.box:  # what it is and should be is in the job
        return replace(given, found=given.found or question(asks_found))
    family = given.family or question(f"Which box family? ({', '.join(names('families', None))})")
    ports = given.ports or _number(question("How many ports does the box have?"))
    found = given.found or question(asks_found)
    wish = given.wish or question("What should the ports be? (A and B spare, G+H joined; empty for nothing)")
    return Question(family, ports, found, wish)


def _number(text: str) -> int:
    """The first number in a text ("4 ports"); 0, a size that no family has, where there is none."""
    digits = re.search(r"\d+", text, re.ASCII)
    return int(digits[0]) if digits else 0


def explain(
    asked: Question, job: Path | None = None, tapped: Mapping[str, Setting] | None = None
) -> Explained:
    """What a box of that family and size believes with these switches, and what to move.

    Families of the job's folder are known beside the shipped ones. `tapped` are the switches by board where
    they were set on a picture, in place of the words.
    """
    box: BoxPlan | None = None
    if asked.box and job:
        box, wrong = _box_of(job, asked)
        if box is None:
            return Explained(wrong)
        asked = replace(asked, family=box.row.family.name, ports=box.row.ports)
    family, problems = _family(asked, job if job is None or is_folder(job) else job.parent)
    if family is None:
        return Explained(problems)
    places = family.places[family.board_count(asked.ports) - 1]
    letters = fitted_letters(family, asked.ports)
    found = read_found(asked.found, family, places) if tapped is None else _of_boards(tapped, places)
    wish = read_wish(asked.wish, letters, pairs(family, asked.ports))
    if isinstance(found, Misread) or isinstance(wish, Misread):
        read = ((found, "FOUND"), (wish, "--wish"))  # both are reported in one run
        return Explained((*problems, *(_misread(each, at) for each, at in read if isinstance(each, Misread))))
    units: Mapping[str, str] = {}
    if box:
        wish = _planned(box, wish) | wish
        units = _units(box)
    boards = [
        _board(_BoardAsked(family, place, index, letters, found[place], wish, units), load_words())
        for index, place in enumerate(places)
    ]
    undecided = {board.place: letters for board, letters in boards if letters}
    explained = tuple(board for board, _ in boards)
    return Explained(
        problems, explained, undecided, has_wish=bool(wish), box=FoundBox(family, asked.ports, found)
    )


def _of_boards(tapped: Mapping[str, Setting], places: Iterable[str]) -> dict[str, Setting]:
    """The switches of each board of a box; of a board of which nothing is given all are OFF."""
    return {place: tapped.get(place, {}) for place in places}


def _box_of(job: Path, asked: Question) -> tuple[BoxPlan | None, tuple[Problem, ...]]:
    """The plan of the job's box; None where it has errors, or is not the box that was described."""
    checked = plan(job, Selection((asked.box,)))
    errors = tuple(problem for problem in checked.problems if problem.severity is Severity.ERROR)
    if errors or checked.plan is None or not checked.plan.boxes:
        return None, errors
    box = checked.plan.boxes[0]
    for given, known, what, where in (
        (asked.family, box.row.family.name, "is of family {!r}", "--family"),
        (asked.ports, box.row.ports, "has {!r} ports", "PORTS"),
    ):
        if given and given != known:
            message = f"box {box.row.tag} of the job {what.format(known)}, not {given!r}"
            return None, (error("value-wrong", message, Where(where), "leave it out, or correct the job"),)
    return box, ()


def _planned(box: BoxPlan, wish: Wish) -> dict[str, str]:
    """What the plan says of every port of which the wish names no letter."""
    use = {"spare": "spare", "single": "used"}
    free = (port for port in box.ports if wish.keys().isdisjoint(port.letters))
    return {letter: use.get(port.use, port.name) for port in free for letter in port.letters}


def _units(box: BoxPlan) -> dict[str, str]:
    """The units of every letter as text, as readback names them."""
    return {
        letter: ", ".join(unit.tag for unit in port.units) for port in box.ports for letter in port.letters
    }


def _family(asked: Question, job_folder: Path | None) -> tuple[Family | None, tuple[Problem, ...]]:
    """The family that was named, where it has a box of that size. None is ever assumed."""
    if not asked.family:
        hint = f"name it with --family: {', '.join(names('families', job_folder))}"
        return None, (error("family-unknown", "no box family is named", Where("--family"), hint),)
    family, problems = load_family(asked.family, job_folder, Where("--family"))
    if family and asked.ports not in family.port_counts:
        sizes = f"sizes: {', '.join(map(str, family.port_counts))}"
        message = f"family {family.name!r} has no box of {asked.ports} ports"
        return None, (*problems, error("size-unknown", message, Where("PORTS"), sizes))
    return family, tuple(problems)


def _misread(read: Misread, where: str) -> Problem:
    return error("value-wrong", read.message, Where(where), read.hint)


class _BoardAsked(Struct, frozen=True):
    """One board of the question.

    `index` counts boards from the left, from 0; `letters` are the whole box's.
    """

    family: Family
    place: str
    index: int
    letters: tuple[str, ...]
    found: Setting
    wish: Wish
    units: Mapping[str, str] = {}

    @property
    def names(self) -> tuple[str, ...]:
        """The letter of each position; "?" for those beyond the family's last letter."""
        step = self.family.ports_per_board
        return tuple(self.family.port_names[self.index * step : (self.index + 1) * step].ljust(step, "?"))

    @property
    def fitted(self) -> tuple[str, ...]:
        """The letters of the positions that have a port."""
        step = self.family.ports_per_board
        return self.letters[self.index * step : (self.index + 1) * step]


def _board(asked: _BoardAsked, words: Words) -> tuple[BoardExplained, tuple[str, ...]]:
    """A board explained, and its letters that are undecided.

    What is wished is turned into the switches that it needs, by the same rules as a job's boards; what the
    wish does not name stays as the board believes it, so that no switch is moved that nobody asked about.
    """
    belief = believe(asked.family, dict(asked.found))
    states = tuple(_states_wished(asked, belief))
    banks = tuple(bank.name for bank in asked.family.banks)
    needed = plan_banks(asked.family, banks, states, asked.names)
    planned = frozenset((bank.number, switch) for bank in needed for switch in bank.on())
    units = tuple(asked.units.get(letter, "") for letter in asked.names)
    facts = BoardFacts(asked.place, asked.names, states, units, planned, banks)
    undecided = _undecided(asked, belief)
    to_move = [] if undecided else moves(asked.family, planned, dict(asked.found))
    expect = tuple(cause.message for cause in causes(asked.family, facts, dict(asked.found), words))
    move = tuple(_move(asked.family, each.bank, each.switch, words, to_on=each.to_on) for each in to_move)
    return BoardExplained(asked.place, _believed(asked.names, belief, words), expect, move), undecided


def _undecided(asked: _BoardAsked, belief: Belief) -> tuple[str, ...]:
    """The letters whose switches contradict each other, where the wish leaves one of them open."""
    contradicted = {asked.names[position - 1] for position, _, _ in belief.contradictions}
    is_open = not contradicted.isdisjoint(set(asked.fitted) - asked.wish.keys())
    return tuple(letter for letter in asked.names if letter in contradicted) if is_open else ()


def _states_wished(asked: _BoardAsked, belief: Belief) -> Iterator[State]:
    """What each position is to be: as wished, else as the board believes, else used."""
    for position, letter in enumerate(asked.names):
        wanted = asked.wish.get(letter, "") if letter in asked.fitted else ""
        if letter not in asked.fitted:
            yield "unfitted"
        elif "+" in wanted:
            joined = (each for each in wanted.split("+") if each in asked.names)
            yield tuple(sorted(asked.names.index(each) + 1 for each in joined))
        elif wanted:
            yield "unused" if wanted == "spare" else "used"
        else:
            yield _state_kept(asked, belief.states[position])


def _state_kept(asked: _BoardAsked, state: State) -> State:
    """What a position without a wish stays: a pair that a wish breaks up leaves its other port used."""
    if isinstance(state, tuple):
        is_broken = any(asked.wish.get(asked.names[each - 1], "") for each in state)
        return "used" if is_broken else state
    return "used" if state == "unfitted" else state


def _believed(letters: tuple[str, ...], belief: Belief, words: Words) -> tuple[str, ...]:
    """What the board believes of each position, in words; of a pair the same text twice."""
    return tuple(
        words("explain.joined", ports="+".join(letters[position - 1] for position in state))
        if isinstance(state, tuple)
        else words(f"explain.{state}", port=letter)
        for letter, state in zip(letters, belief.states, strict=True)
    )


def _move(family: Family, bank: int, switch: int, words: Words, *, to_on: bool) -> str:
    name = words("cause.switch", bank=family.banks[bank - 1].name, switch=switch)
    return words("explain.to", switch=name, state=words("state.on" if to_on else "state.off"))
