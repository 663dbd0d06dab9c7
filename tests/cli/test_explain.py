"""`explain` as a person meets it: lines and JSON, wrong words answered, question by question."""

import json

import pytest

from tagmaker.cli.explain import explained_lines
from tests.cli.commands import run
from tests.paths import ROOT
from tests.workflows.explained import FAMILY, explained

THREE = ROOT / "example_jobs" / "three-port-boards"
A_IS_OUT = "port A serves a unit but Bank 1 switch 1 takes it out of service: expect a unit not to be found"
CAUTION = "Isolate the box's power and prove it dead before moving a switch. The manual for this box decides."


def test_what_a_box_believes() -> None:
    """Board by board, each port in its own words, and at the end what to mind."""
    answer = explained(10, "left bank 1: 1 2; middle bank 2: 2; right bank 1: 1 2, bank 2: 4")
    assert explained_lines(answer) == [
        "left board: A out of service, B out of service, C in service, D in service",
        "middle board: E in service, F in service, G+H work as one",
        "right board: I out of service, J out of service, K not fitted, L not fitted",
        CAUTION,
    ]


@pytest.mark.parametrize(("ports", "place", "letters"), [(6, "right", "G and H"), (10, "right", "K and L")])
def test_what_cannot_be_is_told_without_a_wish(ports: int, place: str, letters: str) -> None:
    """Positions without a port left enabled: what to expect, and the move, whatever is wished."""
    answer = explained(ports, "none")
    told = f"{place} board: positions 3 and 4 have no port, but Bank 2 switch 4 is OFF"
    expect = f"the board to look for units on {letters} and start-up to stop on a communication fault"
    assert f"    {told}: expect {expect}" in explained_lines(answer)
    assert [board.move for board in answer.boards if board.move] == [("Bank 2 switch 4 to ON",)]


def test_a_wish_that_is_fulfilled_is_told() -> None:
    """Nothing is to be moved, and it says so."""
    assert "Already as wanted: no switch to move." in explained_lines(explained(4, "bank 1: 1", "A spare"))
    assert "Already as wanted: no switch to move." not in explained_lines(explained(4, "bank 1: 1", "A used"))
    assert "Already as wanted: no switch to move." not in explained_lines(explained(4, "bank 1: 1"))


def test_a_board_that_contradicts_itself_asks_for_a_wish() -> None:
    """In place of moves: nobody has said what is meant."""
    lines = explained_lines(explained(4, "bank 1: 1, bank 2: 1"))
    assert "    give the wanted state of A to get the moves" in lines
    assert [line for line in lines if line.startswith("    move")] == []


WRONG = {
    (FAMILY, "5", "none"): f"PORTS: error: family '{FAMILY}' has no box of 5 ports [size-unknown]",
    ("four-port", "4", "none"): "--family: error: no box family is named 'four-port' [family-unknown]",
    (FAMILY, "4", "foo"): "FOUND: error: 'foo' is not understood here [value-wrong]",
    (FAMILY, "4", "bank 1: 7"): "FOUND: error: bank 1 has no switch 7 [value-wrong]",
    (FAMILY, "10", "bank 1: 1"): "FOUND: error: switch 1: of which board? [value-wrong]",
    (FAMILY, "4", ""): "FOUND: error: no switch is named [value-wrong]",
}


@pytest.mark.parametrize("words", WRONG)
def test_wrong_words_are_answered(words: tuple[str, str, str]) -> None:
    """What is wrong, where, and what would be right; exit 1, nothing believed."""
    family, ports, found = words
    result = run("explain", ports, found, "--family", family)
    first, hint = result.stderr.splitlines()
    assert (result.exit_code, result.stdout) == (1, "")
    assert first == WRONG[words]
    assert hint.startswith("    ")


def test_the_family_is_never_assumed() -> None:
    """Without one nothing is explained, though only one is known."""
    result = run("explain", "4", "bank 1: 1")
    assert result.exit_code == 1
    assert result.stderr.splitlines() == [
        "--family: error: no box family is named [family-unknown]",
        "    name it with --family: four-port-boards",
    ]


def test_found_and_wish_are_answered_together() -> None:
    """Two wrong texts: two answers."""
    result = run("explain", "4", "foo", "--family", FAMILY, "--wish", "K spare")
    assert [line.split(":")[0] for line in result.stderr.splitlines() if not line.startswith(" ")] == [
        "FOUND",
        "--wish",
    ]


def test_a_number_that_is_none_is_wrong_usage() -> None:
    """Ports are a number: exit 2."""
    assert run("explain", "four", "bank 1: 1", "--family", FAMILY).exit_code == 2


def test_the_command_on_a_ladder() -> None:
    """One line of words: what the box believes, what to expect, what to move; exit 0."""
    result = run("explain", "4", "bank 1: 1 2", "--family", FAMILY, "--wish", "B spare, A used")
    assert (result.exit_code, result.stderr) == (0, "")
    assert result.stdout.splitlines() == [
        "only board: A out of service, B out of service, C in service, D in service",
        f"    only board: {A_IS_OUT}",
        "    move Bank 1 switch 1 to OFF",
        CAUTION,
    ]


def test_its_example_runs() -> None:
    """The example of its help is one that answers."""
    shown = run("explain", "--help").stdout
    assert 'tagmaker explain 4 "bank 1: 1 2" --family four-port-boards --wish "A spare, B used"' in shown


def test_json_holds_the_same() -> None:
    """Board by board what is believed, expected, and to be moved; problems always."""
    result = run(
        "explain", "6", "left bank 1: 1; right bank 2: 4", "--family", FAMILY, "--wish", "A used", "--json"
    )
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
                "believes": ["E in service", "F in service", "G not fitted", "H not fitted"],
                "expect": [],
                "move": [],
            },
        ],
        "problems": [],
    }


def test_json_holds_what_is_wrong() -> None:
    """A wrong word is a problem in the object, and nothing on standard error."""
    result = run("explain", "4", "foo", "--family", FAMILY, "--json")
    assert (result.exit_code, result.stderr) == (1, "")
    answer = json.loads(result.stdout)
    assert (answer["boards"], [problem["code"] for problem in answer["problems"]]) == ([], ["value-wrong"])


def test_a_family_of_a_job_is_known_with_it() -> None:
    """With --job the job's own families are known, by its folder or its file."""
    for job in (THREE, THREE / "job.toml"):
        result = run("explain", "5", "lower 6", "--family", "three-port-boards", "--job", str(job))
        assert result.exit_code == 0
        assert "lower board: D in service, E in service, F not fitted" in result.stdout
    assert run("explain", "5", "lower 6", "--family", "three-port-boards").exit_code == 1


def test_bare_it_asks_question_by_question() -> None:
    """Family, size, switches, wish: four answers typed, one explanation."""
    result = run("explain", typed="four-port-boards\n4 ports\nbank 1: 3\nC used\n")
    assert result.exit_code == 0
    questions = [
        "Which box family? (four-port-boards): ",
        "How many ports does the box have?: ",
        "Which switches are ON? (left bank 1: 2 3, bank 2: 4; right none): ",
        "What should the ports be? (A and B spare, G+H joined; empty for nothing): ",
    ]
    places = [result.stdout.index(question) for question in questions]
    assert sorted(places) == places
    assert "    move Bank 1 switch 3 to OFF" in result.stdout


def test_an_empty_wish_is_none() -> None:
    """Return alone: what is believed, nothing to move."""
    result = run("explain", typed="four-port-boards\n4\nnone\n\n")
    assert result.exit_code == 0
    assert "only board: A in service, B in service, C in service, D in service" in result.stdout
    assert "move" not in result.stdout


def test_answers_that_help_nobody_are_answered() -> None:
    """An empty family, a size in words, an empty setting: each is a problem."""
    assert "no box family is named" in run("explain", typed="\n4\nnone\n\n").stderr
    assert "has no box of 0 ports" in run("explain", typed="four-port-boards\nmany\nnone\n\n").stderr
    assert "no switch is named" in run("explain", typed="four-port-boards\n4\n\n\n").stderr


def test_a_box_needs_its_job() -> None:
    """Without --job the units are not known: wrong usage."""
    assert run("explain", "4", "none", "--box", "BB-11").exit_code == 2
