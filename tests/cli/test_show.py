"""What a person sees in a terminal: boards as pictures, loads as bars, problems, summaries."""

import io
from pathlib import Path
from types import SimpleNamespace

import pytest

from tagmaker.catalog.family import Family, load_family
from tagmaker.cli.show import Bar, checked_lines, made_lines, problem_lines, switch_lines
from tagmaker.problems import Where, error, note, warning
from tagmaker.workflows.make import Made
from tagmaker.workflows.planning import Checked
from tests.paths import ROOT
from tests.records import replace
from tests.strategies import BoxSketch, JobSketch, UnitSketch, planned, shipped_family

ERROR = error("box-empty", "no unit hangs on box BB-2", Where("job.toml", 9), "add its units")
WARNING = warning("port-crowded", "port A has 6 units", Where("ports.csv", 7))
NOTE = note("pair-needless", "pair A+B", Where("ports.csv", 8))

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
    Bank 2     ON  · · ? ·   none ON
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
    Bank 1     ON  ■ ■ · ·   ON 1 2
               OFF · · ■ ■   1: port I is not used; 2: port J is not used
                   1 2 3 4
    Bank 2     ON  · · ? ■   ON 4
               OFF ■ ■ ? ·   3: leave as found; 4: K, L have no port (check only)
                   1 2 3 4
    A    SPARE
    B    SPARE
    C    ████████████░░░░ 42/54 kBtu/h, 12 left  FC-1, FC-2
    D    ████████████████ 60/54 kBtu/h, 6 over  FC-3
    E    ░░░░░░░░░░░░░░░░ ?/54 kBtu/h  FC-4
    F    SPARE
    G+H  ███████████░░░░░ 72/108 kBtu/h, 36 left  AH-1
    I    SPARE
    J    SPARE
"""

WORKSHOP = JobSketch(
    family="three-port-boards",
    capacity_unit="kW",
    boxes=(BoxSketch("HB-1", 5, (UnitSketch("HU-1", "A", "5.6 kW"), UnitSketch("HU-2", "B+C", "20 kW"))),),
)
WORKSHOP_PICTURE = """\
HB-1  5 ports, 25.6 kW
  upper board, A B C
    SW         OFF ■ · ■ ■ ■ ■   ON 5
               ON  · ■ · · · ·   5: ports B+C work as one
                   6 5 4 3 2 1
  lower board, D E and 1 position without a port
    SW         OFF · ■ ■ ■ · ·   ON 1 2 6
               ON  ■ · · · ■ ■   1: port D is not used; 2: port E is not used; 6: F has no port (check only)
                   6 5 4 3 2 1
    A    ██████░░░░░░░░░░ 5.6/14 kW, 8.4 left  HU-1
    B+C  █████████████░░░ 20/25 kW, 5 left  HU-2
    D    SPARE
    E    SPARE
"""


class Terminal(io.StringIO):
    """A stream that is a terminal."""

    def isatty(self) -> bool:
        """It is."""
        return True


@pytest.fixture
def terminal(monkeypatch: pytest.MonkeyPatch) -> Terminal:
    """Both streams as one terminal that shows colours."""
    stream = Terminal()
    monkeypatch.delenv("NO_COLOR", raising=False)
    monkeypatch.setattr("tagmaker.cli.show.sys", SimpleNamespace(stdout=stream, stderr=stream))
    return stream


def shown(sketch: JobSketch, family: Family | None = None) -> list[str]:
    """The picture of a job's boxes."""
    return switch_lines(Checked(planned(sketch.record(family))[0], ()))


def workshop_family() -> Family:
    """The family of the example that has one of its own: ON points down, numbered from the right."""
    family, problems = load_family(
        "three-port-boards", ROOT / "example_jobs" / "three-port-boards", Where("job.toml")
    )
    assert problems == ()
    assert family is not None
    return family


# --- boards -------------------------------------------------------------------------------------------------


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
    lines = switch_lines(Checked(planned(replace(job, boxes=(box,)))[0], ()))
    assert [line.index(sign) for line, sign in zip(lines[2:5], "■·1", strict=True)] == [33, 33, 33]
    assert [line.index(sign) for line, sign in zip(lines[5:8], "·■1", strict=True)] == [19, 19, 19]


def test_a_job_that_cannot_be_planned_shows_no_board() -> None:
    """There is nothing to show; the problems are told elsewhere."""
    assert switch_lines(Checked(None, (ERROR,))) == []


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


# --- problems and summaries ---------------------------------------------------------------------------------


def test_problems_are_told_with_place_severity_code_and_hint() -> None:
    """One after the other, no colours where no terminal shows them."""
    assert problem_lines([ERROR, NOTE]) == [
        "job.toml:9: error: no unit hangs on box BB-2 [box-empty]\n    add its units",
        "ports.csv:8: note: pair A+B [pair-needless]",
    ]


@pytest.mark.usefixtures("terminal")
def test_a_terminal_shows_each_severity_in_its_colour() -> None:
    """Errors red, warnings yellow, notes bold; the word says it too."""
    told = [line.splitlines()[0] for line in problem_lines([ERROR, WARNING, NOTE])]
    assert told == [
        "job.toml:9: \x1b[31merror:\x1b[0m no unit hangs on box BB-2 [box-empty]",
        "ports.csv:7: \x1b[33mwarning:\x1b[0m port A has 6 units [port-crowded]",
        "ports.csv:8: \x1b[1mnote:\x1b[0m pair A+B [pair-needless]",
    ]


def test_check_counts_what_it_found() -> None:
    """One is one, two are two."""
    assert checked_lines(Checked(None, (ERROR, WARNING, WARNING, NOTE))) == [
        "1 error, 2 warnings, 1 note",
        "make would write nothing until the errors are mended",
    ]


def test_check_says_what_can_be_made() -> None:
    """The job by name, and how many boxes."""
    plan, problems = planned(WORKSHOP.record(workshop_family()))
    assert problems == ()
    assert checked_lines(Checked(plan, ())) == [
        "Marsh Lane Library: 1 box can be made",
        "0 errors, 0 warnings, 0 notes",
    ]


def test_a_job_without_a_plan_and_without_an_error_is_only_counted() -> None:
    """No box, no promise."""
    assert checked_lines(Checked(None, ())) == ["0 errors, 0 warnings, 0 notes"]


FILES = (("walk.pdf", 2), ("placards.pdf", 1), ("plan.json", 0))


def test_make_tells_its_files_what_they_need_and_what_reads_back() -> None:
    """A line a file, those without pages have none told; a line a stock; last, how many codes read back."""
    needed = Checked(None, (), (("letter-30-67x25", 31, 2), ("roll-51x25-203dpi", 1, 1), ("letter", 0, 1)))
    assert made_lines(Made(needed, FILES, tags=32, boxes=2, codes_read=36), Path("out")) == [
        "out: 32 tags for 2 boxes",
        "  walk.pdf  2 pages",
        "  placards.pdf  1 page",
        "  plan.json",
        "needed:",
        "  letter-30-67x25: 31 labels, 2 pages",
        "  roll-51x25-203dpi: 1 label, 1 page",
        "  letter: 1 page",
        "36 of 36 codes read back",
    ]


def test_make_without_labels_needs_none() -> None:
    """No heading stands over nothing; no code is no proof left out."""
    assert made_lines(Made(Checked(None, ()), FILES[2:], boxes=1, codes_read=0), Path("out")) == [
        "out: 0 tags for 1 box",
        "  plan.json",
        "0 of 0 codes read back",
    ]


def test_make_says_that_its_codes_were_not_read_back() -> None:
    """Whoever left the proof out is told so, last, where else the proof stands."""
    lines = made_lines(Made(Checked(None, ()), FILES, tags=1, boxes=1), Path("out"))
    assert lines[-1] == "the codes were not read back (--no-proof)"


def test_make_counts_its_pictures_on_one_line() -> None:
    """A picture a page would push all else off the screen."""
    files = (*FILES, ("png/walk-1.png", 0), ("png/walk-2.png", 0))
    lines = made_lines(Made(Checked(None, ()), files, tags=1, boxes=1, codes_read=1), Path("out"))
    assert [line for line in lines if "png" in line] == ["  png/  2 pictures"]


def test_make_says_when_nothing_was_written() -> None:
    """With the count of what stopped it."""
    lines = made_lines(Made(Checked(None, (ERROR,))), Path("out"))
    assert lines == ["1 error, 0 warnings, 0 notes: nothing was written"]


# --- the bar ------------------------------------------------------------------------------------------------


def test_a_long_job_has_a_bar_that_goes_when_it_is_done(terminal: Terminal) -> None:
    """A line that is written over, and wiped at the end."""
    with Bar() as bar:
        bar.move(6, 12)
        bar.move(12, 12)
    half, whole = "#" * 15 + "." * 15, "#" * 30
    assert terminal.getvalue() == f"\r{half} 6 of 12 boxes\r{whole} 12 of 12 boxes\r\x1b[K"


def test_a_short_job_has_no_bar(terminal: Terminal) -> None:
    """It is done before one could read it."""
    with Bar() as bar:
        bar.move(5, 11)
    assert terminal.getvalue() == ""


def test_a_file_gets_no_bar(monkeypatch: pytest.MonkeyPatch) -> None:
    """Where standard error is no terminal, a log stays readable."""
    stream = io.StringIO()
    monkeypatch.setattr("tagmaker.cli.show.sys", SimpleNamespace(stderr=stream))
    with Bar() as bar:
        bar.move(40, 40)
    assert stream.getvalue() == ""
