"""Words that a technician would type: understood as meant, or answered; never guessed."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tagmaker.site.walk.words_typed import Misread, read_found, read_wish
from tests.plan.families import FOUR, three
from tests.tables import table

PLACES = ("left", "middle", "right")
LETTERS = tuple("ABCDEFGHIJ")
PAIRS = (("A", "B"), ("C", "D"), ("E", "F"), ("G", "H"), ("I", "J"))


def on(text: str, places: tuple[str, ...] = PLACES) -> str:
    """The switches read as ON, as "left 1/2 2/4; right 1/1"."""
    found = read_found(text, FOUR, places)
    assert not isinstance(found, Misread), found
    boards = ((place, sorted(pair for pair, is_on in found[place].items() if is_on)) for place in places)
    return "; ".join(
        f"{place} {' '.join(f'{bank}/{n}' for bank, n in pairs)}" for place, pairs in boards if pairs
    )


FOUND = {
    # how it is asked for
    "left bank 1: 2 3, bank 2: 4; right none": "left 1/2 1/3 2/4",
    "left bank 1: 1 2; right bank 1: 1 2, bank 2: 4": "left 1/1 1/2; right 1/1 1/2 2/4",
    # in other words
    "Left board, bank 1: switches 1 and 2 are ON": "left 1/1 1/2",
    "LEFT Bank 1: 1 & 2. Right bank 2: 4.": "left 1/1 1/2; right 2/4",
    "left board bank one switch two": "left 1/2",
    "left b1 1 2 b2 4": "left 1/1 1/2 2/4",
    "left 1/1 1/2, right 2/4": "left 1/1 1/2; right 2/4",
    "left bank 1 1+2": "left 1/1 1/2",
    "right bank 2 sw 4": "right 2/4",
    "right: bank 2: 4; left: bank 1: 3": "left 1/3; right 2/4",
    # ON and OFF said, before or after
    "left bank 1 1 on 2 on 3 off 4 off": "left 1/1 1/2",
    "left bank 1: 1 on, 2 on, 3 off, 4 off": "left 1/1 1/2",
    "left bank 1: ON 1 2, OFF 3 4": "left 1/1 1/2",
    "left bank 1 switch 1 is on and 3 is off": "left 1/1",
    "left bank 1: 1, 2 and 3 on; 4 off": "left 1/1 1/2 1/3",
    "left bank 1 1, 2 off": "",
    "left bank 1: 1 2 off, bank 2: 4 on": "left 2/4",
    "left bank 1: on 1 2; bank 2: off 3": "left 1/1 1/2",
    "left bank 1: 2; 3 off": "left 1/2",
    # all and none
    "left bank 1: all": "left 1/1 1/2 1/3 1/4",
    "left bank 1 all on, bank 2 all off": "left 1/1 1/2 1/3 1/4",
    "left bank 1: all off": "",
    "left all off, right bank 2: 4": "right 2/4",
    "none": "",
    "none on": "",
    "nothing on": "",
    "all off": "",
    "left none, middle none, right bank 2 switch 4 is on": "right 2/4",
    "left bank 1: ON 1 2; bank 2: none ON": "left 1/1 1/2",
    "Left bank 1: all OFF; bank 2: rest OFF": "",
    "left bank 1: ON 1 2, rest OFF; right bank 2: 4": "left 1/1 1/2; right 2/4",
    "left bank 1: 1 2 rest off, right bank 2: 4": "left 1/1 1/2; right 2/4",
    "nothing on the right board, left bank 1 switches 1 and 2 are on": "left 1/1 1/2",
    "left bank 1 off": "",
}


@pytest.mark.parametrize(("text", "expected"), FOUND.items())
def test_words_of_what_is_on(text: str, expected: str) -> None:
    """What is understood is exactly what is ON."""
    assert expected == on(text)


def test_one_board_needs_no_name() -> None:
    """A box with one board: its name may be left out or said."""
    for text in ("bank 1: 2, bank 2: 1", "only board bank 1: 2, bank 2: 1", "1/2 2/1"):
        assert on(text, ("only",)) == "only 1/2 2/1"


def test_one_bank_needs_no_name() -> None:
    """A family with one bank: numbers alone name its switches."""
    assert read_found("upper 1 2; lower 6", three(), ("upper", "lower")) == {
        "upper": {(1, 1): True, (1, 2): True},
        "lower": {(1, 6): True},
    }


def test_boards_are_known_in_capitals_and_small_letters() -> None:
    """A family may name its boards in capitals."""
    assert read_found("LEFT bank 1: 1", FOUR, ("Left", "Right")) == {"Left": {(1, 1): True}, "Right": {}}


UNCLEAR = {
    "": "no switch is named",
    "left": "no switch is named",
    "left bank": "no switch is named",
    "left bank 1 on": "no switch is named",
    "all on": "no switch is named",
    "all": "no switch is named",
    "bank 1: 2": "switch 2: of which board?",
    "left: 2": "switch 2: of which bank?",
    "left 1: 1": "1: is that a bank?",
    "left bank 1: 1 2, 2: 4": "2: is that a bank?",
    "left bank 3: 1": "there is no bank 3",
    "left 3/1": "there is no bank 3",
    "left bank 0: 1": "there is no bank 0",
    "left bank 1: 9": "bank 1 has no switch 9",
    "left bank 1: 0": "bank 1 has no switch 0",
    "left bank 1: 1 2, 3 off": "which of these are OFF?",
    "rest\nOFF rest": "'rest' is not understood here",
    "left bank 1: rest": "'rest' is not understood here",
    "left bank 1: OFF 3, rest ON": "'rest' is not understood here",
    "left bank 1: ON, rest OFF": "no switch is named",
    "left bank rest OFF": "no switch is named",
    "none off": "none off: which switches are ON?",
    "off none": "off none: which switches are ON?",
    "left none 3": "none, and switch 3?",
    "left bank 1: 1-3": "'-' is not understood here",
    "left bank 1: not 2": "'not' is not understood here",
    "left bank no. 1: 2": "'no' is not understood here",
    "lefft bank 1: 2": "'lefft' is not understood here",
    "front bank 1: 2": "'front' is not understood here",
    "what is on?": "'what' is not understood here",
    "左 1": "'左' is not understood here",
    "left bank ²": "'²' is not understood here",
    f"left bank 1: {'9' * 5000}": "bank 1 has no switch 999999999",
}


@pytest.mark.parametrize(("text", "message"), UNCLEAR.items())
def test_what_is_unclear_is_answered(text: str, message: str) -> None:
    """What could be read in two ways, or not at all, is said, with how to write it."""
    found = read_found(text, FOUR, PLACES)
    assert isinstance(found, Misread)
    assert found.message == message
    assert found.hint


PAIRS_OF_SWITCHES = st.sampled_from([(bank, switch) for bank in (1, 2) for switch in (1, 2, 3, 4)])


@given(st.dictionaries(st.sampled_from(PLACES), st.sets(PAIRS_OF_SWITCHES)))
@settings(max_examples=100, deadline=None)
def test_any_setting_said_reads_back(boards: dict[str, set[tuple[int, int]]]) -> None:
    """Every setting of every board, in the words in which the program itself shows it."""
    parts = [
        f"{place} board, {bank_told(pairs, 1)}, {bank_told(pairs, 2)}" for place, pairs in boards.items()
    ]
    found = read_found("; ".join(parts) or "none", FOUR, PLACES)
    assert not isinstance(found, Misread), found
    read = {place: {pair for pair, is_on in found[place].items() if is_on} for place in found}
    assert read == {place: boards.get(place, set()) for place in PLACES}


def bank_told(pairs: set[tuple[int, int]], number: int) -> str:
    """A bank's setting as a placard has it."""
    on_ = [str(switch) for bank, switch in sorted(pairs) if bank == number]
    off = "rest OFF" if number == 2 else "all OFF"
    return f"bank {number}: ON {' '.join(on_)}" if on_ else f"bank {number}: {off}"


@given(st.text(max_size=40))
@settings(max_examples=100, deadline=None)
def test_any_text_is_read_or_answered(text: str) -> None:
    """No text is a traceback."""
    assert isinstance(read_found(text, FOUR, PLACES), dict | Misread)
    assert isinstance(read_wish(text, LETTERS, PAIRS), dict | Misread)


# --- wishes -------------------------------------------------------------------------------------------------


def wished(text: str) -> str:
    """The wish, letter by letter: s spare, u used, j joined, - not named."""
    wish = read_wish(text, LETTERS, PAIRS)
    assert not isinstance(wish, Misread), wish
    for letter, meant in wish.items():
        assert "+" not in meant or letter in meant.split("+")
    return "".join({"": "-", "spare": "s", "used": "u"}.get(wish.get(letter, ""), "j") for letter in LETTERS)


WISHES = table(
    """
                                       | ----------
    A and B spare, G+H joined, C used  | ssu---jj--
    a spare                            | s---------
    A unused; B empty; C free          | sss-------
    ports A, B and C are spare         | sss-------
    A+B spare                          | ss--------
    G H joined                         | ------jj--
    G and H together                   | ------jj--
    G + H as one                       | ------jj--
    h+g joined                         | ------jj--
    G+H work as one                    | ------jj--
    A+B and C+D joined                 | jjjj------
    A+B paired, C alone                | jju-------
    A out of service, C in service     | s-u-------
    all used                           | uuuuuuuuuu
    A spare, the rest used             | suuuuuuuuu
    G+H to be joined; all others spare | ssssssjjss
    A spare, A spare                   | s---------
    """
)


@pytest.mark.parametrize(("text", "expected"), WISHES)
def test_words_of_a_wish(text: str, expected: str) -> None:
    """What is understood is exactly what each port should be."""
    assert expected == wished(text)


UNCLEAR_WISHES = table(
    """
    A                   | no state is given for A
    spare A             | 'spare': which ports?
    K spare             | 'K' is neither a port nor a state
    A not used          | 'not' is neither a port nor a state
    A heated            | 'heated' is neither a port nor a state
    B+C joined          | B+C cannot be joined
    B and C joined      | B+C cannot be joined
    A, B, C joined      | A+B+C cannot be joined
    A joined            | A cannot be joined
    A+A joined          | A+A cannot be joined
    D+E as one          | D+E cannot be joined
    A spare, A used     | A has two states
    A+B joined, B spare | B has two states
    1 spare             | '1' is neither a port nor a state
    """
)


@pytest.mark.parametrize(("text", "message"), UNCLEAR_WISHES)
def test_an_unclear_wish_is_answered(text: str, message: str) -> None:
    """A port that is not there, a pair that may not be, two states of one port: said, with what may be."""
    wish = read_wish(text, LETTERS, PAIRS)
    assert isinstance(wish, Misread)
    assert wish.message == message
    assert wish.hint


@pytest.mark.parametrize("text", ["I+H joined", "H+I joined", "h and i joined"])
def test_a_pair_is_named_in_the_familys_order(text: str) -> None:
    """Ports named from L on: the family joins I and H, however they are typed."""
    letters = ("L", "K", "J", "I", "H", "G")
    assert read_wish(text, letters, (("I", "H"),)) == {"I": "I+H", "H": "I+H"}
