"""Names as they come: in a terminal, a spreadsheet, on disk; none is obeyed, and none makes a traceback."""

import contextlib
import csv
import io
import os
import subprocess
import sys
from dataclasses import dataclass
from pathlib import Path

import pytest
from typer.testing import CliRunner

from tagmaker.cli.app import app
from tagmaker.cli.options import shown
from tagmaker.problems import CONTROL, Where, error, visible
from tests.job_files import BOX, HEAD, UNIT, write_files
from tests.paths import ROOT
from tests.test_hostile_pdf import register_of

PROGRAM = (sys.executable, "-c", "from tagmaker.cli.begin import run; run()")
READ_BACK = ("readback", "example_jobs/bakery/returned", "--job", "example_jobs/bakery")
CLEAR = "\x1b[2J\x1b]0;owned\x07"


@dataclass(frozen=True)
class Ran:
    """How a run ended, and what it printed."""

    code: int
    out: str
    err: str


def tagmaker(*words: str) -> Ran:
    """A run of the program from the project's folder; it must end by itself, and never with a traceback."""
    with contextlib.chdir(ROOT):
        run = CliRunner().invoke(app, list(words), input="")
    assert run.exception is None or isinstance(run.exception, SystemExit)
    assert run.exit_code in {0, 1, 2}
    return Ran(run.exit_code, run.stdout, run.stderr)


def alone(*words: str | bytes, here: Path) -> None:
    """A run in a process of its own that must succeed, from another folder, with names of any bytes."""
    run = subprocess.run(
        [*PROGRAM, *words], cwd=here, capture_output=True, check=False,
        env={**os.environ, "PYTHONPATH": str(ROOT), "NO_COLOR": "1"},
    )  # fmt: skip
    assert (run.returncode, run.stderr) == (0, b"")


# --- a terminal ---------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("Lab A · 24 °C – ½", "Lab A · 24 °C – ½"),
        (CLEAR, "\\x1b[2J\\x1b]0;owned\\x07"),
        ("a\x9b2Jb", "a\\x9b2Jb"),
        ("a\nb.csv:1: error\r", "a\\nb.csv:1: error\\x0d"),
        ("\u202eBA\u2069\u061c\u200f", "\\u202eBA\\u2069\\u061c\\u200f"),
        ("a\U000e0041", "a\\U000e0041"),
        ("a\tb", "a\\tb"),
    ],
)
def test_what_a_terminal_would_obey_is_spelt_out(text: str, expected: str) -> None:
    """On one line; all else stays as it is."""
    assert expected == visible(text)


def test_every_control_character_is_among_them() -> None:
    """Those of Unicode's categories Cc and of its bidirectional formatting (UAX #9, from memory)."""
    bidirectional = "\u061c\u200e\u200f\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069"
    controls = {chr(code) for code in (*range(32), *range(127, 160))} - {"\t", "\n"}
    assert {sign for sign in {*controls, *bidirectional} if not CONTROL.fullmatch(sign)} == set()


def test_a_problem_is_as_many_lines_as_it_has_parts() -> None:
    """A name with a line's end begins no second problem."""
    problem = error("tag-wrong", "a\nb.csv:1: error: c", Where(f"x{CLEAR}\n.csv", 3), "h\ni")
    assert problem.as_text().split("\n") == [
        "x\\x1b[2J\\x1b]0;owned\\x07\\n.csv:3: error: a\\nb.csv:1: error: c [tag-wrong]",
        "    h\\ni",
    ]


def test_the_programs_own_styles_are_kept() -> None:
    """And nothing else that begins with an escape."""
    line = f"\x1b[1mBX-1\x1b[0m {CLEAR}\x1b[31;5m"
    assert shown(line) == "\x1b[1mBX-1\x1b[0m \\x1b[2J\\x1b]0;owned\\x07\\x1b[31;5m"


@pytest.mark.parametrize(
    "words",
    [
        ("check", f"no{CLEAR}job"),
        ("check", "example_jobs/bakery", "--box", f"B{CLEAR}"),
        ("make", "example_jobs/bakery", "--only", f"B{CLEAR}/A", "-o", "/dev/null"),
        ("changes", "example_jobs/bakery", f"no{CLEAR}plan.json"),
        ("stocks", f"s{CLEAR}"),
        ("explain", "4", f"bank 1: {CLEAR}", "--family", "four-port-boards"),
        ("explain", "4", "none", "--family", f"f{CLEAR}"),
        ("scan", f"no{CLEAR}.jpg"),
        ("readback", f"no{CLEAR}.pdf", "--job", "example_jobs/bakery"),
    ],
)
def test_words_of_the_command_line_are_not_obeyed(words: tuple[str, ...]) -> None:
    """A script may hand on any file's name."""
    run = tagmaker(*words)
    assert run.code in {1, 2}
    assert {"\x1b", "\x07"}.isdisjoint(run.out + run.err)


def test_scanned_texts_and_names_of_files_are_not_obeyed(tmp_path: Path) -> None:
    """A code that somebody stuck on a box, in a file that somebody named."""
    lines = f"BOX {CLEAR} REV 1\nCRC 00000000\n{CLEAR}\nBOX A REV \u202e1\n"
    write_files(tmp_path, {f"scans{CLEAR}.txt": lines, f"back{CLEAR}.json": "{}"})
    (scans, back) = sorted(tmp_path.iterdir(), reverse=True)
    back_read = tagmaker("readback", str(back), "--job", "example_jobs/bakery")
    seen = tagmaker("scan", str(scans)).out + back_read.err
    assert {"\x1b", "\x07", "\u202e"}.isdisjoint(seen)
    assert seen.count(r"\x1b[2J") >= 2


# --- disk ---------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "name",
    [
        b"-o", b"two\n'%s{0}$(words)", b"caf\xe9\xff", b"x" * 250]
)  # fmt: skip
def test_a_jobs_folder_may_have_any_name(name: bytes, tmp_path: Path) -> None:
    """Nothing beside it is touched."""
    folder = tmp_path / os.fsdecode(name)
    write_files(folder, {"job.toml": HEAD + BOX + UNIT})
    alone("make", "--no-proof", "-o", b"out-" + name[:20], "--", name, here=tmp_path)
    assert {os.fsencode(each.name) for each in tmp_path.iterdir()} == {name, b"out-" + name[:20]}


@pytest.mark.parametrize("name", ["x" * 300, "x/" * 3000, "job.toml/x", "loop/job", "/dev/null", "/dev/zero"])
@pytest.mark.parametrize("command", ["check", "switches"])
def test_a_path_that_leads_nowhere_is_told(command: str, name: str, tmp_path: Path) -> None:
    """Too long for the system, through a file, round in a circle, a device."""
    write_files(tmp_path, {"job.toml": ""})
    (tmp_path / "loop").symlink_to("loop")
    run = tagmaker(command, name if name[0] == "/" else str(tmp_path / name))
    assert run.code in {1, 2}
    assert run.err


@pytest.mark.parametrize("place", ["/dev/null", "/dev/full", "/dev/tty", "pipe", "folder"])
@pytest.mark.parametrize(
    "words",
    [
        (*READ_BACK, "-o"),
        ("stocks", "letter", "-o"),
        ("scan", "-", "--session"),
        ("make", "example_jobs/bakery", "--no-proof", "-o"),
    ],
)
def test_what_is_no_plain_file_is_never_written_over(
    words: tuple[str, ...], place: str, tmp_path: Path
) -> None:
    """Root could put a file in the place of a device; a pipe that nobody reads would hold the program up."""
    os.mkfifo(tmp_path / "pipe")
    write_files(tmp_path, {"folder/mine.txt": "mine"})
    at = Path(place) if place[0] == "/" else tmp_path / place
    kind = at.stat().st_mode
    assert tagmaker(*words, str(at)).code == 1
    assert (at.stat().st_mode, (tmp_path / "folder/mine.txt").read_text("utf-8")) == (kind, "mine")
    assert sorted(each.name for each in tmp_path.iterdir()) == ["folder", "pipe"]


def test_a_link_in_a_files_place_is_replaced_and_its_target_kept(tmp_path: Path) -> None:
    """As well where a killed run's litter would lie: what a link points at is never written."""
    mine = b"%PDF-1.4 /Creator (tagmaker) mine %%EOF"
    write_files(tmp_path, {"mine.pdf": mine})
    for name in ("punch.pdf", ".punch.pdf.tagmaker-new"):
        (tmp_path / name).symlink_to("mine.pdf")
    tagmaker(*READ_BACK, "-o", str(tmp_path / "punch.pdf"))
    assert (tmp_path / "mine.pdf").read_bytes() == mine
    assert (tmp_path / "punch.pdf").read_bytes().startswith(b"%PDF")
    assert sorted(each.name for each in tmp_path.iterdir()) == ["mine.pdf", "punch.pdf"]


def test_a_pipe_in_the_output_folder_holds_nobody_up(tmp_path: Path) -> None:
    """In the place of an earlier set's plan: a file of somebody else's."""
    (tmp_path / "out").mkdir()
    os.mkfifo(tmp_path / "out" / "plan.json")
    run = tagmaker("make", "example_jobs/bakery", "--no-proof", "-o", str(tmp_path / "out"))
    assert (run.code, "[output-foreign]" in run.err) == (1, True)


# --- a spreadsheet ------------------------------------------------------------------------------------------


ROOMS = {
    "Lab": "Lab",
    "=HYPERLINK(1)": "'=HYPERLINK(1)",
    "+1": "'+1",
    "-2+3": "'-2+3",
    "@SUM(1)": "'@SUM(1)",
    "A-1 = B": "A-1 = B",
    "x;=1+1": "x;'=1+1",
    "x,=1+1": "x,'=1+1",
    "'=1": "'=1",
}
"""Rooms, and what the register has of them."""


def test_a_room_begins_no_formula(tmp_path: Path) -> None:
    """An apostrophe stands before it; where semicolons part cells, a part of a cell is one."""
    units = [
        UNIT.replace("FC-1", f"FC-{n}").replace('"A"', f'"{"ABCDEFGHIJ"[n]}"') + f'room = "{room}"\n'
        for n, room in enumerate(ROOMS)
    ]
    text = HEAD + BOX.replace("4", "10") + "".join(units)
    rows = list(csv.DictReader(io.StringIO(register_of(text, tmp_path))))
    found = {row["unit"]: row["room"] for row in rows if row["end"] == "unit"}
    assert found == {f"FC-{n}": cell for n, cell in enumerate(ROOMS.values())}
    cells = [cell for row in rows for key, cell in row.items() if key != "room"]
    assert [cell for cell in cells if cell[:1] in tuple("=+-@\t\r")] == []
