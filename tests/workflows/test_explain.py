"""As found without a job: what a box believes, what to move for a wish, and every wrong word answered."""

import json

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from typer.testing import CliRunner, Result

from tagmaker.cli import app as cli
from tagmaker.workflows.explain import Explained, Question, ask, explain
from tests.paths import ROOT
from tests.strategies import SIZES, port_uses, shipped_family

FAMILY = "four-port-boards"
THREE = ROOT / "example_jobs" / "three-port-boards"
A_IS_OUT = (
    "port A carries a unit but is switched out of service by Bank 1 switch 1: expect a unit not to be found"
)
CAUTION = (
    "Isolate the box's power and prove it dead before a switch is moved. "
    "The manual of the box in hand decides."
)


@pytest.fixture(autouse=True)
def wide(monkeypatch: pytest.MonkeyPatch) -> None:
    """A terminal wide enough that no message is broken."""
    monkeypatch.setenv("COLUMNS", "200")
    monkeypatch.setenv("TERMINAL_WIDTH", "200")


def run(*words: str, typed: str = "") -> Result:
    """`tagmaker explain` called with these words, and what is typed when it asks."""
    return CliRunner().invoke(cli.app, ["explain", *words], input=typed)


def explained(ports: int, found: str, wish: str = "") -> Explained:
    """An explanation that must be one."""
    answer = explain(Question(FAMILY, ports, found, wish))
    assert answer.problems == []
    return answer


# --- what the box believes ----------------------------------------------------------------------------------


def test_what_a_box_believes() -> None:
    """Board by board, each port in its own words, and at the end what to mind."""
    answer = explained(10, "left bank 1: 1 2; middle bank 2: 2; right bank 1: 1 2, bank 2: 4")
    assert answer.lines == [
        "left board: A out of service, B out of service, C in service, D in service",
        "middle board: E in service, F in service, G+H work as one",
        "right board: I out of service, J out of service, K has no port, L has no port",
        CAUTION,
    ]


@pytest.mark.parametrize(("ports", "place", "letters"), [(6, "right", "G and H"), (10, "right", "K and L")])
def test_what_cannot_be_is_told_without_a_wish(ports: int, place: str, letters: str) -> None:
    """Positions without a port left enabled: what to expect, and the move, whatever is wished."""
    answer = explained(ports, "none")
    told = f"{place} board: positions 3 and 4 have no port, yet Bank 2 switch 4 is OFF"
    expect = f"it to look for units on {letters} and start-up to stop on a communication fault"
    assert f"    {told}: expect {expect}" in answer.lines
    assert [board["move"] for board in answer.boards if board["move"]] == [["Bank 2 switch 4 to ON"]]


def test_a_factory_switch_where_all_ports_are_fitted() -> None:
    """A full board that says that two of its ports are not there is put right."""
    answer = explained(4, "bank 2: 4")
    assert answer.boards[0]["believes"] == ["A in service", "B in service", "C has no port", "D has no port"]
    assert answer.boards[0]["move"] == ["Bank 2 switch 4 to OFF"]


def test_switches_that_contradict_each_other_need_a_word() -> None:
    """Both cannot be: told, and no move until it is said what is meant."""
    found = "bank 1: 1, bank 2: 1"
    (board,) = explained(4, found).boards
    assert board["move"] == []
    assert "    say what A should be, and what to move is told" in explained(4, found).lines
    (meant,) = explained(4, found, "A+B joined").boards
    assert meant["move"] == ["Bank 1 switch 1 to OFF"]
    (other,) = explained(4, found, "A spare").boards
    assert other["move"] == ["Bank 2 switch 1 to OFF"]


# --- wishes -------------------------------------------------------------------------------------------------

WISHES = [
    ("none", "A spare", ["Bank 1 switch 1 to ON"]),
    ("bank 1: 1", "A used", ["Bank 1 switch 1 to OFF"]),
    ("none", "C+D joined", ["Bank 2 switch 2 to ON"]),
    ("bank 1: 4", "C and D joined", ["Bank 1 switch 4 to OFF", "Bank 2 switch 2 to ON"]),
    ("bank 2: 1", "A and B used", ["Bank 2 switch 1 to OFF"]),
    ("bank 2: 1", "A spare", ["Bank 1 switch 1 to ON", "Bank 2 switch 1 to OFF"]),
    ("bank 1: 1", "A spare", []),
    ("bank 2: 3", "all used", []),
]


@pytest.mark.parametrize(("found", "wish", "moves"), WISHES)
def test_what_to_move_for_a_wish(found: str, wish: str, moves: list[str]) -> None:
    """Exactly the switches that stand otherwise than wished; the one that no rule knows stays."""
    (board,) = explained(4, found, wish).boards
    assert moves == board["move"]


def test_a_wish_that_is_fulfilled_is_told() -> None:
    """Nothing is to be moved, and it says so."""
    assert "As wished: nothing is to be moved." in explained(4, "bank 1: 1", "A spare").lines
    assert "As wished: nothing is to be moved." not in explained(4, "bank 1: 1", "A used").lines
    assert "As wished: nothing is to be moved." not in explained(4, "bank 1: 1").lines


@given(st.sampled_from(SIZES).flatmap(lambda ports: st.tuples(st.just(ports), port_uses(ports))))
@settings(max_examples=60, deadline=None)
def test_after_the_moves_the_box_believes_the_wish(drawn: tuple[int, tuple[tuple[str, str], ...]]) -> None:
    """From all OFF, any port use of any size: once moved, the box believes exactly what was wished."""
    ports, uses = drawn
    wish = ", ".join(f"{name} {'used' if use == 'single' else use}" for name, use in uses)
    moved = explained(ports, "none", wish)
    told = "; ".join(f"{board['place']} {on_after(board['move'])}" for board in moved.boards)
    after = explained(ports, told, wish)
    assert "As wished: nothing is to be moved." in after.lines
    shown = {"spare": "{} out of service", "single": "{} in service", "joined": "{} work as one"}
    wished = [shown[use].format(name) for name, use in uses]
    believed = [text for board in after.boards for text in dict.fromkeys(texts(board["believes"]))]
    assert wished == [text for text in believed if not text.endswith("has no port")]


def texts(value: object) -> list[str]:
    """A list of texts out of an answer."""
    assert isinstance(value, list)
    return [str(each) for each in value]


def on_after(moves: object) -> str:
    """The switches that are ON after moves from all OFF, in words."""
    named = [text.split() for text in texts(moves)]
    assert all(words[-1] == "ON" for words in named)
    return ", ".join(f"bank {words[1]} switch {words[3]}" for words in named) or "none"


# --- wrong words --------------------------------------------------------------------------------------------

WRONG = {
    (FAMILY, "5", "none"): f"PORTS: error: family '{FAMILY}' has no box of 5 ports [size-unknown]",
    ("four-port", "4", "none"): "--family: error: no box family is named 'four-port' [family-unknown]",
    (FAMILY, "4", "foo"): "FOUND: error: 'foo' means nothing here [value-wrong]",
    (FAMILY, "4", "bank 1: 7"): "FOUND: error: bank 1 has no switch 7 [value-wrong]",
    (FAMILY, "10", "bank 1: 1"): "FOUND: error: switch 1: of which board? [value-wrong]",
    (FAMILY, "4", ""): "FOUND: error: no switch is named [value-wrong]",
}


@pytest.mark.parametrize("words", WRONG)
def test_wrong_words_are_answered(words: tuple[str, str, str]) -> None:
    """What is wrong, where, and what would be right; exit 1, nothing believed."""
    family, ports, found = words
    result = run(ports, found, "--family", family)
    first, hint = result.stderr.splitlines()
    assert (result.exit_code, result.stdout) == (1, "")
    assert first == WRONG[words]
    assert hint.startswith("    ")


def test_the_family_is_never_assumed() -> None:
    """Without one nothing is explained, though only one is known."""
    result = run("4", "bank 1: 1")
    assert result.exit_code == 1
    assert result.stderr.splitlines() == [
        "--family: error: no box family is named [family-unknown]",
        "    name it with --family: four-port-boards",
    ]


def test_found_and_wish_are_answered_together() -> None:
    """Two wrong texts: two answers."""
    result = run("4", "foo", "--family", FAMILY, "--wish", "K spare")
    assert [line.split(":")[0] for line in result.stderr.splitlines() if not line.startswith(" ")] == [
        "FOUND",
        "--wish",
    ]


def test_a_number_that_is_none_is_wrong_usage() -> None:
    """Ports are a number: exit 2."""
    assert run("four", "bank 1: 1", "--family", FAMILY).exit_code == 2


# --- the command --------------------------------------------------------------------------------------------


def test_the_command_on_a_ladder() -> None:
    """One line of words: what the box believes, what to expect, what to move; exit 0."""
    result = run("4", "bank 1: 1 2", "--family", FAMILY, "--wish", "B spare, A used")
    assert (result.exit_code, result.stderr) == (0, "")
    assert result.stdout.splitlines() == [
        "only board: A out of service, B out of service, C in service, D in service",
        f"    only board: {A_IS_OUT}",
        "    move Bank 1 switch 1 to OFF",
        CAUTION,
    ]


def test_its_example_runs() -> None:
    """The example of its help is one that answers."""
    shown = run("--help").stdout
    assert 'tagmaker explain 4 "bank 1: 1 2" --family four-port-boards --wish "A spare, B used"' in shown


def test_json_holds_the_same() -> None:
    """Board by board what is believed, expected, and to be moved; problems always."""
    result = run("6", "left bank 1: 1; right bank 2: 4", "--family", FAMILY, "--wish", "A used", "--json")
    assert result.exit_code == 0
    assert json.loads(result.stdout) == {
        "boards": [
            {
                "place": "left",
                "believes": ["A out of service", "B in service", "C in service", "D in service"],
                "expect": [f"left board: {A_IS_OUT}"],
                "move": ["Bank 1 switch 1 to OFF"],
            },
            {
                "place": "right",
                "believes": ["E in service", "F in service", "G has no port", "H has no port"],
                "expect": [],
                "move": [],
            },
        ],
        "problems": [],
    }


def test_json_holds_what_is_wrong() -> None:
    """A wrong word is a problem in the object, and nothing on standard error."""
    result = run("4", "foo", "--family", FAMILY, "--json")
    assert (result.exit_code, result.stderr) == (1, "")
    answer = json.loads(result.stdout)
    assert (answer["boards"], [problem["code"] for problem in answer["problems"]]) == ([], ["value-wrong"])


def test_a_family_of_a_job_is_known_with_it() -> None:
    """With --job the job's own families are known, by its folder or its file."""
    for job in (THREE, THREE / "job.toml"):
        result = run("5", "lower 6", "--family", "three-port-boards", "--job", str(job))
        assert result.exit_code == 0
        assert "lower board: D in service, E in service, F has no port" in result.stdout
    assert run("5", "lower 6", "--family", "three-port-boards").exit_code == 1


# --- question by question -----------------------------------------------------------------------------------


def test_bare_it_asks_question_by_question() -> None:
    """Family, size, switches, wish: four answers typed, one explanation."""
    result = run(typed="four-port-boards\n4 ports\nbank 1: 3\nC used\n")
    assert result.exit_code == 0
    questions = [
        "Which box family? (four-port-boards): ",
        "How many ports has the box?: ",
        "Which switches are ON? (left bank 1: 2 3, bank 2: 4; right none): ",
        "What should be? (A and B spare, G+H joined; empty for nothing): ",
    ]
    places = [result.stdout.index(question) for question in questions]
    assert sorted(places) == places
    assert "    move Bank 1 switch 3 to OFF" in result.stdout


def test_an_empty_wish_is_none() -> None:
    """Return alone: what is believed, nothing to move."""
    result = run(typed="four-port-boards\n4\nnone\n\n")
    assert result.exit_code == 0
    assert "only board: A in service, B in service, C in service, D in service" in result.stdout
    assert "move" not in result.stdout.replace("is moved", "")


def test_answers_that_help_nobody_are_answered() -> None:
    """An empty family, a size in words, an empty setting: each is a problem."""
    assert "no box family is named" in run(typed="\n4\nnone\n\n").stderr
    assert "has no box of 0 ports" in run(typed="four-port-boards\nmany\nnone\n\n").stderr
    assert "no switch is named" in run(typed="four-port-boards\n4\n\n\n").stderr


def test_it_asks_only_for_what_was_not_given() -> None:
    """What stands on the command line is not asked for."""
    asked: list[str] = []

    def answer(question: str) -> str:
        asked.append(question.split(maxsplit=1)[0])
        return "none"

    assert ask(answer, Question(FAMILY, 4, "", "A spare")) == Question(FAMILY, 4, "none", "A spare")
    assert asked == ["Which"]


@pytest.mark.parametrize("ports", SIZES)
def test_every_size_is_explained(ports: int) -> None:
    """Every port of every size is spoken of, and every board has its line."""
    answer = explained(ports, "none")
    letters = [text.split()[0] for board in answer.boards for text in texts(board["believes"])]
    family = shipped_family()
    assert len(answer.boards) == family.board_count(ports)
    assert letters[:ports] == list(family.port_names[:ports])
