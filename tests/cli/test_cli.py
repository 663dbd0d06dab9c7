"""The command line as a person meets it: what it prints where, how it ends; mistakes write nothing."""

import contextlib
import csv
import io
import json
import os
import re
import shlex
import subprocess
import sys
from collections.abc import Sequence
from pathlib import Path

import pytest
import typer
from typer.testing import CliRunner, Result

from tagmaker import __version__
from tagmaker.cli import app as cli
from tagmaker.cli.options import print_lines
from tagmaker.cli.show import Bar
from tests.paths import EXAMPLES, ROOT
from tests.strategies import BoxSketch, JobSketch, UnitSketch

BAKERY, CLINIC, MISTAKES = (str(EXAMPLES / name) for name in ("bakery", "clinic", "full-of-mistakes"))
JOB_COMMANDS = ("make", "check", "switches")
COMMANDS = (
    *(*JOB_COMMANDS, "changes", "stocks", "align", "read", "start", "schemas"),
    *("scan", "readback", "explain", "room", "manual"),
)
PROGRAM = (sys.executable, "-c", "from tagmaker.cli.app import run; run()")
SHOW_COMPLETION = "--show-completion"
OVERLOADED = JobSketch(
    (
        BoxSketch("BB-1", 4, (UnitSketch("FC-1", "A", "60 kBtu/h"),)),
        BoxSketch("BB-2", 4, (UnitSketch("FC-2", "A", "12 kBtu/h"),)),
    )
)


@pytest.fixture(autouse=True)
def place(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """An empty folder to stand in, a terminal wide enough that no message is broken, no printer measured."""
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("XDG_CONFIG_HOME", str(tmp_path / ".config"))
    monkeypatch.setenv("COLUMNS", "200")
    monkeypatch.setenv("TERMINAL_WIDTH", "200")
    return tmp_path


def run(*words: str) -> Result:
    """The program called with these words."""
    return CliRunner().invoke(cli.app, list(words))


def process(*words: str, **environment: str) -> "subprocess.CompletedProcess[str]":
    """The program in a process of its own."""
    return subprocess.run(
        [*PROGRAM, *words],
        capture_output=True,
        check=False,
        encoding="utf-8",
        env={**os.environ, "PYTHONPATH": str(ROOT), **environment},
    )


def there(folder: str = ".") -> list[str]:
    """What stands where the person stands, or in a folder there."""
    return sorted(path.name for path in Path(folder).iterdir() if path.name != ".config")


def rows(folder: str = "out") -> list[dict[str, str]]:
    """The register of a set."""
    with (Path(folder) / "register.csv").open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def result(done: Result) -> dict[str, object]:
    """The one JSON object that was printed."""
    content = json.loads(done.stdout)
    assert isinstance(content, dict)
    return content


# --- make ---------------------------------------------------------------------------------------------------


def test_make_writes_the_set_and_says_so() -> None:
    """Files, what to load into the printers, and last how many codes read back; nothing to standard error."""
    done = run("make", BAKERY, "-o", "out")
    assert (done.exit_code, done.stderr, there()) == (0, "", ["out"])
    first, *files, heading, labels, paper, left, last = done.stdout.splitlines()
    tags = len(rows())
    assert first == f"out: {tags} tags for 1 box"
    assert sorted(line.split()[0] for line in files) == there("out")
    assert (heading, paper) == ("needed:", "  letter: 1 page")
    assert labels == f"  letter-30-67x25: {tags} labels, 2 pages"
    assert left == "26 labels of the last sheet of letter-30-67x25 left: --skip 4 goes on there"
    assert tags + 26 == 60
    assert last == f"{tags + 2} of {tags + 2} codes read back"  # the placard has its code twice


def test_make_without_proof_says_so_last_and_in_the_plan() -> None:
    """A set that nobody read back can be told from one that was."""
    done = run("make", BAKERY, "-o", "out", "--no-proof")
    assert done.stdout.splitlines()[-1] == "the codes were not read back (--no-proof)"
    assert json.loads(Path("out/plan.json").read_bytes())["proof"] is False


def test_only_prints_the_tags_of_one_port() -> None:
    """In any case of its letters; no placard, no walk sheet; labels for the one port."""
    done = run("make", BAKERY, "-o", "out", "--only", "bx-1/a")
    assert (done.exit_code, done.stderr) == (0, "")
    assert [row["code"] for row in rows()] == [
        *("BX-1/A/TRM", "BX-1/A/LIQ", "BX-1/A/GAS"),
        *("BX-1/A/COM", "BX-1/A/COM/FC-1", "BX-1/A/LIQ/FC-1", "BX-1/A/GAS/FC-1"),
    ]
    assert there("out") == ["plan.json", "register.csv", "tags-letter-30-67x25.pdf"]


def test_only_may_be_given_again() -> None:
    """Two ports' tags, in the register's order."""
    run("make", BAKERY, "-o", "out", "--no-proof", "--only", "BX-1/F", "--only", "BX-1/A")
    assert list(dict.fromkeys(row["port"] for row in rows())) == ["A", "F"]


@pytest.mark.parametrize("port", ["BX-1/G", "BX-9/A", "BX-1", "A"])
def test_a_port_that_is_not_in_the_job_is_an_error(port: str) -> None:
    """With the way to write one; nothing is written."""
    done = run("make", BAKERY, "-o", "out", "--only", port)
    assert (done.exit_code, there()) == (1, [])
    assert f"--only: error: the job has no port '{port}' [port-unknown]\n    write BOX/PORT" in done.stderr


def test_stages_print_what_each_of_them_needs() -> None:
    """Rough-in: all that hangs before brazing, no placard; final: the pipes' lasting labels and the rest."""
    for stage in ("rough-in", "final"):
        assert run("make", BAKERY, "-o", stage, "--no-proof", "--stage", stage).exit_code == 0
    kinds = {stage: {row["kind"] for row in rows(stage)} for stage in ("rough-in", "final")}
    assert kinds == {"rough-in": {"liquid", "gas", "cable", "terminal"}, "final": {"liquid", "gas"}}
    assert [("placards.pdf" in there(stage)) for stage in ("rough-in", "final")] == [False, True]


def test_kits_are_the_whole_between_them() -> None:
    """Each tag is in one kit: at the box, both ends of cables, the lines' unit ends."""
    run("make", BAKERY, "-o", "out", "--no-proof")
    for kit in ("box", "cables", "lines"):
        assert run("make", BAKERY, "-o", kit, "--no-proof", "--kit", kit).exit_code == 0
    assert [row["code"] for kit in ("box", "cables", "lines") for row in rows(kit)] == [
        row["code"] for row in rows()
    ]
    assert {row["kind"] for row in rows("cables")} == {"cable"}
    assert {(row["kind"], row["end"]) for row in rows("lines")} == {("liquid", "unit"), ("gas", "unit")}
    assert {row["end"] for row in rows("box")} == {"box"}


def test_skip_begins_on_a_used_sheet() -> None:
    """Seven labels of three columns are gone: the first lies in the second place of the third row."""
    run("make", BAKERY, "-o", "out", "--no-proof", "--skip", "7")
    first = rows()[0]
    assert (first["page"], first["x_mm"], first["y_mm"]) == ("1", "74.700", "63.500")
    assert json.loads(Path("out/plan.json").read_bytes())["partial"] is False


def test_png_writes_every_page_as_a_picture_too() -> None:
    """One a page of every PDF, told among the files, and nothing foreign to the next run."""
    done = run("make", BAKERY, "-o", "out", "--no-proof", "--png", "--json")
    written = result(done)["files"]
    pdfs = {"tags-letter-30-67x25": 2, "placards": 1, "walk": 1, "kits": 2, "summary": 1}
    pictures = {f"{name}-{number}.png" for name, pages in pdfs.items() for number in range(1, pages + 1)}
    assert isinstance(written, list)
    assert {name for name in written if name.startswith("png/")} == {f"png/{name}" for name in pictures}
    assert set(there("out/png")) == pictures
    assert all(Path("out/png", name).read_bytes().startswith(b"\x89PNG") for name in pictures)
    again = run("make", BAKERY, "-o", "out", "--no-proof", "--png")
    assert "  png/  7 pictures" in again.stdout.splitlines()
    assert run("make", BAKERY, "-o", "out", "--no-proof").exit_code == 0
    assert "png" not in there("out")


def test_a_printer_that_was_measured_moves_its_labels() -> None:
    """`align` once, and from then on that stock's sheets are made up for; every code is still read back."""
    run("make", BAKERY, "-o", "out")
    plain, walk = (Path("out", name).read_bytes() for name in ("tags-letter-30-67x25.pdf", "walk.pdf"))
    assert run("align", "letter-30-67x25", "--first", "26.1,25.4", "--second", "191.4,254.8").exit_code == 0
    done = run("make", BAKERY, "-o", "out")
    assert (done.exit_code, done.stdout.splitlines()[-1]) == (0, "36 of 36 codes read back")
    assert Path("out/tags-letter-30-67x25.pdf").read_bytes() != plain
    assert Path("out/walk.pdf").read_bytes() == walk
    assert run("align", "letter-30-67x25", "--forget").exit_code == 0
    run("make", BAKERY, "-o", "out")
    assert Path("out/tags-letter-30-67x25.pdf").read_bytes() == plain


def test_make_names_its_folder_after_the_job() -> None:
    """Without -o, here, whether the folder was named or its file."""
    assert run("make", BAKERY).exit_code == 0
    assert run("make", f"{BAKERY}/job.toml").exit_code == 0
    assert there() == ["bakery-out"]


def test_make_here_names_its_folder_after_the_one_it_stands_in(place: Path) -> None:
    """A person in the job's folder writes a point for the job."""
    OVERLOADED.write(place / "library")
    os.chdir(place / "library")
    assert run("make", ".", "--box", "BB-2").exit_code == 0
    assert there() == ["job.toml", "library-out"]


def test_make_without_a_job_says_how_to_begin(place: Path) -> None:
    """Wrong usage, and the smallest job, which works as it stands there."""
    done = run("make")
    assert (done.exit_code, done.stdout, there()) == (2, "", [])
    assert done.stderr.startswith("No job was named.")
    smallest = "\n".join(line[4:] for line in done.stderr.splitlines() if line.startswith("    "))
    (place / "mine").mkdir()
    (place / "mine" / "job.toml").write_text(smallest, encoding="utf-8")
    assert run("make", "mine", "-o", "out").exit_code == 0


@pytest.mark.parametrize("command", ["check", "switches"])
def test_every_command_without_a_job_says_how_to_begin(command: str) -> None:
    """They need one too."""
    done = run(command)
    assert (done.exit_code, done.stdout) == (2, "")
    assert done.stderr.startswith("No job was named.")


def test_make_with_errors_writes_nothing() -> None:
    """Each error to standard error with its place, the count to standard output, 1."""
    done = run("make", MISTAKES, "-o", "out")
    assert (done.exit_code, there()) == (1, [])
    assert re.fullmatch(r"\d+ errors, \d+ warnings?, \d+ notes?: nothing was written\n", done.stdout)
    assert re.search(r"^ports\.csv:\d+: error: .* \[port-overloaded\]$", done.stderr, re.MULTILINE)


def test_make_into_a_folder_with_a_file_of_ones_own_changes_nothing(place: Path) -> None:
    """1, and the file is named."""
    (place / "out").mkdir()
    (place / "out" / "notes.txt").write_text("mine", encoding="utf-8")
    done = run("make", BAKERY, "-o", "out")
    assert done.exit_code == 1
    assert "notes.txt" in done.stderr
    assert "nothing was written" in done.stdout
    assert there("out") == ["notes.txt"]


def test_one_bad_box_does_not_hold_up_the_others(place: Path) -> None:
    """Whole, nothing is made; with --box, the good box is."""
    OVERLOADED.write(place / "job")
    assert run("make", "job", "-o", "out").exit_code == 1
    assert there() == ["job"]
    done = run("make", "job", "-o", "out", "--box", "bb-2")
    assert (done.exit_code, done.stderr) == (0, "")
    assert done.stdout.splitlines()[0].endswith("for 1 box")


def test_box_may_be_given_again() -> None:
    """Two of the clinic's five."""
    done = run("make", CLINIC, "-o", "out", "--no-proof", "--box", "BB-11", "--box", "BB-22")
    assert done.stdout.splitlines()[0].endswith("for 2 boxes")


@pytest.mark.parametrize("command", JOB_COMMANDS)
def test_a_box_that_is_not_in_the_job_is_answered_with_the_nearest(command: str) -> None:
    """The job has an error then: 1, and nothing is written."""
    done = run(command, CLINIC, "--box", "BB11")
    assert (done.exit_code, there()) == (1, [])
    assert "the job has no box 'BB11'" in done.stderr
    assert "did you mean 'BB-11'?" in done.stderr


# --- check and switches -------------------------------------------------------------------------------------


def test_check_says_that_all_is_well() -> None:
    """To standard output, 0, and writes nothing."""
    done = run("check", BAKERY)
    assert (done.exit_code, done.stderr, there()) == (0, "", [])
    assert done.stdout == "Tide Street Bakery: 1 box can be made\n0 errors, 0 warnings, 0 notes\n"


def test_check_tells_every_error_at_once() -> None:
    """All of them, each with file and line, 1."""
    done = run("check", MISTAKES)
    assert (done.exit_code, there()) == (1, [])
    errors = re.findall(r"^(\S+\.(?:toml|csv):\d+): error: .*\[(\S+)\]$", done.stderr, re.MULTILINE)
    assert len(errors) == len(set(errors)) >= 10
    assert done.stdout.startswith(f"{len(errors)} errors, ")
    assert "make would write nothing until the errors are mended" in done.stdout


def test_check_with_warnings_only_is_well() -> None:
    """They are told, and the exit code is 0."""
    done = run("check", str(EXAMPLES / "three-port-boards"))
    assert done.exit_code == 0
    assert "warning:" in done.stderr
    assert "error:" not in done.stderr


def test_switches_shows_the_boards() -> None:
    """Pictures to standard output; the bakery's, word for word."""
    done = run("switches", BAKERY)
    assert (done.exit_code, done.stderr, there()) == (0, "", [])
    assert done.stdout == BAKERY_PICTURE


BAKERY_PICTURE = """\
BX-1  6 ports, 117 kBtu/h  Above the cold store lobby, hatch 3
  left board, A B C D
    Bank 1     ON  · · · ·   none ON
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
               OFF ■ ■ ? ·   3: leave as found; 4: G, H have no port (check only)
                   1 2 3 4
    A    ███████░░░░░░░░░ 24/54 kBtu/h, 30 left  FC-1
    B    ██████░░░░░░░░░░ 21/54 kBtu/h, 33 left  FC-2, FC-3
    C+D  ███████████░░░░░ 72/108 kBtu/h, 36 left  AH-1
    E    SPARE
    F    SPARE

"""


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


# --- JSON ---------------------------------------------------------------------------------------------------


def test_make_json_tells_what_was_made() -> None:
    """Folder, tags, boxes, files, problems; one object, and nothing else on either stream."""
    done = run("make", BAKERY, "-o", "out", "--json")
    content = result(done)
    assert (done.exit_code, done.stderr) == (0, "")
    assert list(content) == ["out", "tags", "boxes", "files", "part_used", "problems"]
    assert (content["out"], content["boxes"], content["problems"]) == ("out", 1, [])
    assert isinstance(content["files"], list)
    assert sorted(content["files"]) == there("out")


def test_check_json_tells_the_problems() -> None:
    """Each with its severity, code, message, place and hint; 1 where one is an error."""
    done = run("check", MISTAKES, "--json")
    assert (done.exit_code, done.stderr) == (1, "")
    assert list(result(done)) == ["problems"]
    problems = result(done)["problems"]
    assert isinstance(problems, list)
    assert {tuple(problem) for problem in problems} == {("severity", "code", "message", "where", "hint")}
    assert {problem["severity"] for problem in problems} == {"error", "warning"}


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


@pytest.mark.parametrize("command", JOB_COMMANDS)
def test_json_of_a_job_that_cannot_be_read_is_still_one_object(command: str, place: Path) -> None:
    """With its problem in it; 1."""
    (place / "job").mkdir()
    done = run(command, "job", "--json")
    assert (done.exit_code, done.stderr, there()) == (1, "", ["job"])
    problems = result(done)["problems"]
    assert isinstance(problems, list)
    assert [problem["code"] for problem in problems] == ["job-missing"]


def test_json_is_plain_ascii_and_one_line() -> None:
    """It reads the same whatever the terminal's encoding is."""
    done = run("check", MISTAKES, "--json")
    assert done.stdout.isascii()
    assert done.stdout.count("\n") == 1


# --- wrong usage --------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("words", "answer"),
    [
        (("mak", BAKERY), "Did you mean 'make'?"),
        (("swiches", BAKERY), "Did you mean 'switches'"),
        (("make", BAKERY, "--bx", "BX-1"), "--box"),
        (("check", BAKERY, "--jsn"), "--json"),
        (("make", BAKERY, "--ot", "x"), "--out"),
        (("check", BAKERY, "--box"), "'--box' requires an argument"),
        (("check", BAKERY, "extra"), "extra"),
        (("check", "no-such-job"), "no-such-job: no such folder or file"),
        (("make", "no-such-job", "-o", "out"), "name a folder that holds job.toml"),
        (("--nonsense",), "No such option: --nonsense"),
        (("make", BAKERY, "--stage", "ruff-in"), "'ruff-in' is not one of 'rough-in', 'final'"),
        (("make", BAKERY, "--kit", "boxes"), "'boxes' is not one of 'box', 'cables', 'lines'"),
        (("make", BAKERY, "--skip", "-1"), "--skip"),
        (("make", BAKERY, "--no-prof"), "--no-proof"),
        (("stocks", "--job", "no-such-job"), "no-such-job: no such folder or file"),
        (("align",), "Missing argument 'STOCK'"),
        (("align", "letter-30-67x25", "--first", "25,25"), "--first and --second go together"),
        (("align", "letter-30-67x25", "--second", "190,254"), "--first and --second go together"),
        (("scan",), "Missing argument 'FILES'"),
        (("scan", "-", "--job", "no-such-job"), "no-such-job: no such folder or file"),
    ],
)
def test_wrong_usage_is_answered_with_the_nearest_right_word(words: tuple[str, ...], answer: str) -> None:
    """2, to standard error; nothing is written."""
    done = run(*words)
    assert (done.exit_code, done.stdout, there()) == (2, "", [])
    assert answer in done.stderr


@pytest.mark.parametrize("session", ["no-such-folder/session.txt", "."])
def test_a_session_that_cannot_be_kept_is_refused_before_a_line_is_lost(session: str) -> None:
    """1, with the place; nothing is asked for."""
    done = run("scan", "-", "--session", session)
    assert (done.exit_code, there()) == (1, [])
    assert f"cannot keep the session in {session}" in done.stderr


@pytest.mark.parametrize("job", ["job", "job/job.toml"])
def test_a_jobs_own_stocks_are_listed_whether_folder_or_file_is_named(job: str, place: Path) -> None:
    """A job's path is the same for every command."""
    OVERLOADED.write(place / "job")
    (place / "job" / "stocks").mkdir()
    own = 'title = "Ours"\nsource = "this test"\nkind = "roll"\nlabel_mm = [60, 30]\n'
    (place / "job" / "stocks" / "own.toml").write_text(own, encoding="utf-8")
    assert "own  Ours" in run("stocks", "--job", job).stdout.splitlines()
    assert "own  Ours" not in run("stocks").stdout.splitlines()


def test_a_folder_without_a_job_is_told_what_a_job_is() -> None:
    """The path exists, so it is the job that has an error: 1."""
    done = run("check", str(EXAMPLES))
    assert done.exit_code == 1
    assert "no job.toml here [job-missing]" in done.stderr
    assert "a job is a folder with a file job.toml" in done.stderr


def test_the_program_alone_shows_its_help() -> None:
    """Wrong usage, but no error message: one who types the name alone wants to know what there is."""
    done = run()
    assert done.exit_code == 2
    assert all(command in done.output for command in COMMANDS)


# --- help, version, completion ------------------------------------------------------------------------------


@pytest.mark.parametrize("words", [(), *((command,) for command in COMMANDS)])
def test_every_help_has_an_example_that_runs(words: tuple[str, ...]) -> None:
    """A call of that command on a job that is shipped; one is full of mistakes, one asks for work on site."""
    done = run(*words, "--help")
    assert (done.exit_code, done.stderr) == (0, "")
    (example,) = re.findall(r"Example: tagmaker (.+?)\s*$", done.stdout, re.MULTILINE)
    called = [word.replace("example_jobs", str(EXAMPLES)) for word in shlex.split(example)]
    assert called[0] in (words or COMMANDS)
    assert run(*called).exit_code == int("full-of-mistakes" in example or called[0] == "changes")


@pytest.mark.parametrize("words", [(), *((command,) for command in COMMANDS)])
def test_help_has_a_short_name(words: tuple[str, ...]) -> None:
    """-h is --help."""
    assert run(*words, "-h").stdout == run(*words, "--help").stdout != ""


def test_help_names_every_option() -> None:
    """With what it is for."""
    shown = run("make", "--help").stdout
    options = (
        "--out",
        "-o",
        "--box",
        "--only",
        "--stage",
        "--kit",
        "--skip",
        "--png",
        "--no-proof",
        "--json",
    )
    assert all(word in shown for word in (*options, "JOB", "BOX/PORT", "default: JOB's name and -out"))


def test_a_flag_does_not_look_as_if_it_took_a_value() -> None:
    """`--json true` would name a job called true."""
    shown = [run(command, "--help").stdout for command in COMMANDS]
    for flag in ("--json", "--png", "--no-proof", "--forget", "--rebuild"):
        lines = [line for text in shown for line in text.splitlines() if f" {flag} " in line]
        assert {("<" in line, "TAG" in line) for line in lines} == {(False, False)}


def test_version_is_the_packages() -> None:
    """One line."""
    assert run("--version").stdout == f"tagmaker {__version__}\n"
    assert run("--version").exit_code == 0


@pytest.mark.parametrize("shell", ["bash", "zsh", "fish"])
def test_shell_completion_is_there(shell: str) -> None:
    """A script for the shell in use."""
    done = process(SHOW_COMPLETION, shell, _TYPER_COMPLETE_TEST_DISABLE_SHELL_DETECTION="1")
    assert done.returncode == 0
    assert "complete" in done.stdout


def test_completion_knows_the_commands() -> None:
    """What the shell is told when a person presses Tab after the program's name."""
    script = "from tagmaker.cli.app import app; app(prog_name='tagmaker')"
    done = subprocess.run(
        [sys.executable, "-c", script],
        capture_output=True,
        check=False,
        text=True,
        env={
            **os.environ,
            "PYTHONPATH": str(ROOT),
            "_TAGMAKER_COMPLETE": "complete_bash",
            "COMP_WORDS": "tagmaker ",
            "COMP_CWORD": "1",
        },
    )
    assert sorted(done.stdout.split()) == sorted(COMMANDS)


# --- streams ------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("command", JOB_COMMANDS)
def test_a_pipe_gets_no_colours_and_a_log_no_bar(command: str) -> None:
    """In a process of its own, both streams into pipes."""
    done = process(command, BAKERY)
    assert done.returncode == 0
    assert "\x1b" not in done.stdout + done.stderr
    assert "\r" not in done.stdout + done.stderr


@pytest.mark.parametrize("environment", [{"NO_COLOR": "1"}, {"TERM": "dumb"}])
def test_help_has_no_colours_where_none_are_wanted(environment: dict[str, str]) -> None:
    """NO_COLOR is respected by the help too (no-color.org)."""
    done = process("make", "--help", **environment)
    assert done.returncode == 0
    assert "\x1b[3" not in done.stdout


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
    assert done.stdout.count(b"?") == BAKERY_PICTURE.count("?")
    assert b"ON 1 2" in done.stdout


@pytest.mark.parametrize(("job", "code"), [(CLINIC, 0), (MISTAKES, 1)])
@pytest.mark.parametrize("as_json", [(), ("--json",)])
def test_a_reader_that_closes_early_is_no_error(job: str, code: int, as_json: tuple[str, ...]) -> None:
    """As with `| head`: the exit code stays the job's, and no traceback is left on the screen."""
    read, write = os.pipe()
    os.close(read)
    done = subprocess.run(
        [*PROGRAM, "switches", job, *as_json],
        stdout=write,
        stderr=subprocess.PIPE,
        check=False,
        text=True,
        env={**os.environ, "PYTHONPATH": str(ROOT)},
    )
    os.close(write)
    assert done.returncode == code
    assert "Traceback" not in done.stderr
    assert "BrokenPipe" not in done.stderr


def test_an_error_stream_that_is_closed_early_is_no_error_either(
    monkeypatch: pytest.MonkeyPatch, place: Path
) -> None:
    """Problems go nowhere then, the result still comes."""
    (place / "log").touch()
    with (place / "log").open("a", encoding="utf-8") as log:
        monkeypatch.setattr(sys, "stderr", log)
        monkeypatch.setattr(typer, "echo", broken)
        print_lines(["one"], err=True)
        log.write("lost")
    assert (place / "log").read_text(encoding="utf-8") == ""


def broken(*_words: object, **_options: object) -> None:
    """A pipe whose reader is gone."""
    raise BrokenPipeError


def test_a_long_jobs_bar_is_moved_by_make(place: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Box by box."""
    moves: list[tuple[int, int]] = []
    monkeypatch.setattr(Bar, "move", lambda _bar, done, of: moves.append((done, of)))
    OVERLOADED.write(place / "job")
    run("make", "job", "-o", "out", "--box", "BB-2")
    assert moves == [(1, 1)]


def test_the_entry_point_runs_the_program(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """What the installed command calls."""
    monkeypatch.setattr(sys, "argv", ["tagmaker", "--version"])
    with pytest.raises(SystemExit) as ended:
        cli.run()
    assert (ended.value.code, capsys.readouterr().out) == (0, f"tagmaker {__version__}\n")


def test_a_stream_of_another_kind_is_left_as_it_is(monkeypatch: pytest.MonkeyPatch) -> None:
    """A program that runs this one may have put anything in standard output's place."""
    stream = io.StringIO()
    monkeypatch.setattr(sys, "argv", ["tagmaker", "--version"])
    with contextlib.redirect_stdout(stream), pytest.raises(SystemExit):
        cli.run()
    assert stream.getvalue() == f"tagmaker {__version__}\n"
