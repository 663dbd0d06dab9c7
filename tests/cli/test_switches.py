"""`switches` as a person meets it: boards as pictures, loads as bars, the same as JSON."""

import os
import subprocess
from collections.abc import Sequence
from pathlib import Path

import pytest
from typer.testing import CliRunner

from tagmaker.catalog.family import Family
from tagmaker.cli.printing import SPELT_OUT
from tagmaker.cli.show import problem_lines
from tagmaker.cli.switches import switch_lines
from tagmaker.workflows.switches import Switches
from tests.cli.commands import (
    BAKERY,
    CLINIC,
    ERROR,
    OVERLOADED,
    PROGRAM,
    WARNING,
    WORKSHOP,
    Terminal,
    result,
    run,
    there,
    workshop_family,
)
from tests.paths import ROOT
from tests.records import replace
from tests.strategies import BoxSketch, JobSketch, UnitSketch, planned, shipped_family

BAKERY_PICTURE = """\
BX-1  6 ports, 117 kBtu/h  Above the cold store lobby, hatch 3
  left board, A B C D
    Bank 1     ON  · · · ·   all OFF
               OFF ■ ■ ■ ■
                   1 2 3 4
    Bank 2     ON  · ■ ? ·   ON 2
               OFF ■ · ? ■   2: ports C+D work as one; 3: leave as found
                   1 2 3 4
  right board, E F and 2 positions without a port
    Bank 1     ON  ■ ■ · ·   ON 1 2
               OFF · · ■ ■   1: port E is not used; 2: port F is not used
                   1 2 3 4
    Bank 2     ON  · · ? ■   ON 4
               OFF ■ ■ ? ·   3: leave as found; 4: G, H not fitted (check only)
                   1 2 3 4
    A    ███████░░░░░░░░░ 24/54 kBtu/h, 30 left  FC-1
    B    ██████░░░░░░░░░░ 21/54 kBtu/h, 33 left  FC-2, FC-3
    C+D  ███████████░░░░░ 72/108 kBtu/h, 36 left  AH-1
    E    SPARE
    F    SPARE

"""


def test_switches_shows_the_boards() -> None:
    """Pictures to standard output; the bakery's, word for word."""
    done = run("switches", BAKERY)
    assert (done.exit_code, done.stderr, there()) == (0, "", [])
    code_page = CliRunner().charset
    assert done.stdout == BAKERY_PICTURE.encode(code_page, SPELT_OUT).decode(code_page)


def test_switches_of_one_box_shows_that_box() -> None:
    """And no other."""
    done = run("switches", CLINIC, "--box", "bb-12")
    assert [line for line in done.stdout.splitlines() if line.startswith("BB")] == [
        "BB-12  8 ports, 165 kBtu/h  Level 1 corridor, ceiling at grid C4"
    ]


def test_switches_of_a_job_with_errors_shows_them_and_what_could_be_planned(place: Path) -> None:
    """1; an overloaded port is marked in the picture too."""
    OVERLOADED.write(place / "job")
    done = run("switches", "job")
    assert done.exit_code == 1
    assert "[port-overloaded]" in done.stderr
    assert "60/54 kBtu/h, 6 over  FC-1" in done.stdout


def test_switches_json_has_the_documented_shape() -> None:
    """Boxes with boards, banks and ports; lists in order; the bakery's, value for value."""
    done = run("switches", BAKERY, "--json")
    assert done.exit_code == 0
    assert result(done) == {"boxes": [BAKERY_BOX], "problems": []}
    assert list(result(done)) == ["boxes", "problems"]


def bank(name: str, on: Sequence[int], factory: Sequence[int] = (), leave: Sequence[int] = ()) -> object:
    """A bank as JSON."""
    return {"name": name, "on": list(on), "factory": list(factory), "leave": list(leave)}


def port(name: str, use: str, units: Sequence[str], load: int, limit: int) -> object:
    """A port as JSON."""
    return {"port": name, "use": use, "units": list(units), "load_btuh": load, "limit_btuh": limit}


BAKERY_BOX = {
    "tag": "BX-1",
    "family": "four-port-boards",
    "port_count": 6,
    "load_btuh": 117000,
    "boards": [
        {
            "place": "left",
            "ports": ["A", "B", "C", "D"],
            "unfitted": 0,
            "banks": [bank("Bank 1", []), bank("Bank 2", [2], leave=[3])],
        },
        {
            "place": "right",
            "ports": ["E", "F"],
            "unfitted": 2,
            "banks": [bank("Bank 1", [1, 2]), bank("Bank 2", [4], factory=[4], leave=[3])],
        },
    ],
    "ports": [
        port("A", "single", ["FC-1"], 24000, 54000),
        port("B", "single", ["FC-2", "FC-3"], 21000, 54000),
        port("C+D", "joined", ["AH-1"], 72000, 108000),
        port("E", "spare", [], 0, 54000),
        port("F", "spare", [], 0, 54000),
    ],
}


@pytest.mark.parametrize("encoding", ["ascii", "latin-1", "cp1252", "utf-8"])
def test_no_encoding_of_a_terminal_breaks_a_picture(encoding: str) -> None:
    """A sign that the terminal lacks is spelt out: a question mark would say "as found" of a switch."""
    done = subprocess.run(
        [*PROGRAM, "switches", BAKERY],
        capture_output=True,
        check=False,
        env={**os.environ, "PYTHONPATH": str(ROOT), "PYTHONIOENCODING": encoding},
    )
    assert done.returncode == 0
    plain = BAKERY_PICTURE
    for sign, instead in {"■": "#", "█": "#", "░": "."}.items():
        if not sign.encode(encoding, "ignore") and encoding != "ascii":  # to which typer prints UTF-8
            plain = plain.replace(sign, instead)
    assert done.stdout.decode("utf-8" if encoding == "ascii" else encoding) == plain


LIBRARY = JobSketch(
    is_draft=True,
    boxes=(
        BoxSketch(
            "BB-1",
            10,
            (
                UnitSketch("FC-1", "C", "24 kBtu/h"),
                UnitSketch("FC-2", "C", "18 kBtu/h"),
                UnitSketch("AH-1", "G+H", "72 kBtu/h"),
                UnitSketch("FC-3", "D", "60 kBtu/h"),
                UnitSketch("FC-4", "E", ""),
                UnitSketch("FC-5", "J", "12 kBtu/h"),
            ),
            place="Level 2 corridor",
            shown="BB 1/L2",
        ),
    ),
)
LIBRARY_PICTURE = """\
BB 1/L2  10 ports, ? kBtu/h  Level 2 corridor
  left board, A B C D
    Bank 1     ON  ■ ■ · ·   ON 1 2
               OFF · · ■ ■   1: port A is not used; 2: port B is not used
                   1 2 3 4
    Bank 2     ON  · · ? ·   rest OFF
               OFF ■ ■ ? ■   3: leave as found
                   1 2 3 4
  middle board, E F G H
    Bank 1     ON  · ■ · ·   ON 2
               OFF ■ · ■ ■   2: port F is not used
                   1 2 3 4
    Bank 2     ON  · ■ ? ·   ON 2
               OFF ■ · ? ■   2: ports G+H work as one; 3: leave as found
                   1 2 3 4
  right board, I J and 2 positions without a port
    Bank 1     ON  ■ · · ·   ON 1
               OFF · ■ ■ ■   1: port I is not used
                   1 2 3 4
    Bank 2     ON  · · ? ■   ON 4
               OFF ■ ■ ? ·   3: leave as found; 4: K, L not fitted (check only)
                   1 2 3 4
    A    SPARE
    B    SPARE
    C    ████████████░░░░ 42/54 kBtu/h, 12 left  FC-1, FC-2
    D    ████████████████ 60/54 kBtu/h, 6 over  FC-3
    E    ░░░░░░░░░░░░░░░░ ?/54 kBtu/h  FC-4
    F    SPARE
    G+H  ███████████░░░░░ 72/108 kBtu/h, 36 left  AH-1
    I    SPARE
    J    ████░░░░░░░░░░░░ 12/54 kBtu/h, 42 left  FC-5
"""
WORKSHOP_PICTURE = """\
HB-1  5 ports, 25.6 kW
  upper board, A B C
    SW         OFF ■ · ■ ■ ■ ■   ON 5
               ON  · ■ · · · ·   5: ports B+C work as one
                   6 5 4 3 2 1
  lower board, D E and 1 position without a port
    SW         OFF · ■ ■ ■ · ·   ON 1 2 6
               ON  ■ · · · ■ ■   1: port D is not used; 2: port E is not used; 6: F not fitted (check only)
                   6 5 4 3 2 1
    A    ██████░░░░░░░░░░ 5.6/14 kW, 8.4 left  HU-1
    B+C  █████████████░░░ 20/25 kW, 5 left  HU-2
    D    SPARE
    E    SPARE
"""


def shown(sketch: JobSketch, family: Family | None = None) -> list[str]:
    """The picture of a job's boxes."""
    return switch_lines(Switches(planned(sketch.record(family))[0], ()))


def test_switches_are_shown_as_one_faces_the_boards() -> None:
    """Each slider at its end, what is ON beside it with its reason, ports with loads and what is left."""
    assert "\n".join(shown(LIBRARY)) == LIBRARY_PICTURE


def test_a_board_whose_on_points_down_is_shown_so() -> None:
    """OFF above, ON below, the numbers from the right, as this family's boards are."""
    assert "\n".join(shown(WORKSHOP, workshop_family())) == WORKSHOP_PICTURE


def test_numbers_of_two_digits_stay_under_their_sliders() -> None:
    """A bank of ten is as straight as one of four."""
    family = shipped_family()
    bank = replace(family.banks[1], switches=10)
    lines = shown(LIBRARY, replace(family, banks=(family.banks[0], bank)))
    rows = [line[19:48] for line in lines[5:8]]
    assert rows == [
        " ·  ·  ?  ·  ?  ?  ?  ?  ?  ?",
        " ■  ■  ?  ■  ?  ?  ?  ?  ?  ?",
        " 1  2  3  4  5  6  7  8  9 10",
    ]


def test_a_long_name_of_a_bank_does_not_push_its_picture_apart() -> None:
    """All three rows of a bank begin in one column."""
    sketch = replace(LIBRARY, boxes=(replace(LIBRARY.boxes[0], ports=4, units=LIBRARY.boxes[0].units[:1]),))
    job = sketch.record()
    box = replace(job.boxes[0], bank_names=("Dip switch bank SW-101 X", "B"))
    lines = switch_lines(Switches(planned(replace(job, boxes=(box,)))[0], ()))
    assert [line.index(sign) for line, sign in zip(lines[2:5], "■·1", strict=True)] == [33, 33, 33]
    assert [line.index(sign) for line, sign in zip(lines[5:8], "·■1", strict=True)] == [19, 19, 19]


def test_a_job_that_cannot_be_planned_shows_no_board() -> None:
    """There is nothing to show; the problems are told elsewhere."""
    assert switch_lines(Switches(None, (ERROR,))) == []


@pytest.mark.usefixtures("terminal")
def test_a_terminal_shows_boxes_and_settings_bold() -> None:
    """The box's tag, and what is ON."""
    lines = shown(WORKSHOP, workshop_family())
    assert lines[0] == "\x1b[1mHB-1\x1b[0m  5 ports, 25.6 kW"
    assert lines[2].endswith("\x1b[1mON 5\x1b[0m")


def test_no_color_takes_every_colour_away(terminal: Terminal, monkeypatch: pytest.MonkeyPatch) -> None:
    """NO_COLOR, if set to anything but nothing, as no-color.org asks [memory]."""
    assert terminal.isatty()
    monkeypatch.setenv("NO_COLOR", "1")
    assert "\n".join(shown(WORKSHOP, workshop_family())) == WORKSHOP_PICTURE
    assert problem_lines([WARNING]) == ["ports.csv:7: warning: port A has 6 units [port-crowded]"]
