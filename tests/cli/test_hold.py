"""`hold` as a person on site meets it."""

import json

import pytest

from tests.cli.commands import run

NIGHT = ("600 psi", "70 F", "40 F")
FINE = ("--gauge", "0.5 psi", "--thermometer", "0.5 F")
LAST = "This is not a certificate: the manual in hand and local code decide."


def test_what_to_expect() -> None:
    """Before the morning's reading."""
    done = run("hold", *NIGHT)
    assert (done.exit_code, done.stdout.splitlines()) == (
        0,
        ["dry nitrogen, 600 psi at 70 F: expect 561.6 psi at 40 F, 38.4 psi lower", LAST],
    )


@pytest.mark.parametrize(
    ("words", "code", "compared", "verdict"),
    [
        (
            ("562 psi", *FINE),
            0,
            "562 psi was read, 0.4 psi above that",
            "holds: no fall of 1.8 psi or more is",
        ),
        (
            ("540 psi", *FINE),
            1,
            "540 psi was read, 21.6 psi below that",
            "falls: the instruments do not explain",
        ),
        (
            ("560.8 psi", *FINE),
            1,
            "560.8 psi was read, 0.8 psi below that",
            "cannot tell: a fall of 1.8 psi can",
        ),
        (("561 psi",), 1, "561 psi was read, 0.6 psi below that", "cannot tell: give the accuracy of both"),
        (
            ("590 psi", *FINE),
            1,
            "590 psi was read, 28.4 psi above",
            "cannot tell: the pressure is higher than",
        ),
    ],
)
def test_each_verdict_has_its_reason(words: tuple[str, ...], code: int, compared: str, verdict: str) -> None:
    """Only what holds is 0: what cannot be told is not shown to hold."""
    done = run("hold", *NIGHT, *words)
    lines = done.stdout.splitlines()
    assert done.exit_code == code
    assert [lines[1].startswith(compared), lines[2].startswith(verdict), lines[3]] == [True, True, LAST]


def test_json_is_in_the_unit_of_the_start() -> None:
    """A gauge in psi may be read at the end: 561.6 psi are 38.722 bar."""
    done = run("hold", "41.3685 bar", "21.111 C", "40 F", "561.6 psi", *FINE, "--json")
    made = json.loads(done.stdout)
    assert made["problems"] == []
    assert (made["unit"], made["verdict"]) == ("bar", "holds")
    assert (round(made["expected"], 2), round(made["difference"], 2)) == (38.72, 0)
    assert {key for key in made if made[key] is None} == set()


def test_json_without_a_reading_has_no_verdict() -> None:
    """Nulls, not guesses."""
    made = json.loads(run("hold", *NIGHT, "--json").stdout)
    assert (made["expected"], made["difference"], made["verdict"]) == (
        pytest.approx(561.627, abs=0.01),
        None,
        None,
    )


def test_a_pressure_below_zero_is_named() -> None:
    """It is the value that is wrong: no option of that name is looked for."""
    done = run("hold", "-600 psi", "70 F", "40 F")
    assert (done.exit_code, done.stderr.startswith("START: ")) == (2, True)


@pytest.mark.parametrize("cold", ["-10 C", "-10C", "−10 C", "-10 °C", "14 F"])
def test_below_zero(cold: str) -> None:
    """A minus is no option's."""
    made = json.loads(run("hold", "600 psi", "70 F", cold, "--json").stdout)
    assert made["expected"] == pytest.approx(528.2, abs=0.3)


@pytest.mark.parametrize(
    ("words", "message"),
    [
        (("600", "70 F", "40 F"), "START: pressure '600' has no unit"),
        (("600 psi", "70 psi", "40 F"), "AT: temperature '70 psi' has a unit that is not known, 'psi'"),
        (("600 psia", "70 F", "40 F"), "START: pressure '600 psia' has a unit that is not known, 'psia'"),
        ((*NIGHT, "five"), "READ: pressure 'five' is not a number with a unit"),
        ((*NIGHT, "--thermometer", "1 K"), "--thermometer: temperature difference '1 K' has a unit"),
        (("6000 psi", "70 F", "40 F"), "START: 6000 psi is not within 10 psi to 1000 psi"),
    ],
)
def test_what_is_no_reading_is_wrong_usage(words: tuple[str, ...], message: str) -> None:
    """Exit code 2, as text and as JSON."""
    done = run("hold", *words)
    assert (done.exit_code, message in done.stderr) == (2, True)
    (problem,) = json.loads(run("hold", *words, "--json").stdout)["problems"]
    assert problem["message"].startswith(message)
