"""A scanning session in a file: nothing is lost when the program is killed, and it can be gone on with."""

import contextlib
import json
import os
import select
import signal
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

from tagmaker.site.scans.codes import scan_of
from tagmaker.site.scans.session import CUT, keep, keeping, kept_lines, refused
from tests.paths import ROOT
from tests.site.papers import LIBRARY, library, placards

PROGRAM = (sys.executable, "-c", "from tagmaker.cli.begin import run; run()", "scan", "-")
PATIENCE_S = 60  # only so that a program that never answers fails a test instead of holding it up
WALK = (
    "4006381333931",
    "BB-1/A/TRM",
    "BB-1/A/COM",
    "BB-1/A/LIQ",
    "BB-1/A/GAS",
    "BB-1/B/TRM",
    "BB-1/C/GAS",
)
ANSWERS = (
    "unknown code: '4006381333931' (-:1)",
    "terminal BB-1 A: expects FC-1",
    "  BB-1/A/COM: agrees with terminal BB-1 A",
    "  BB-1/A/LIQ: agrees with terminal BB-1 A",
    "  BB-1/A/GAS: agrees with terminal BB-1 A",
    "terminal BB-1 B: expects FC-2, FC-3",
    (
        "CROSSED: gas line tagged BB-1 C at terminal BB-1 B; "
        "its tag says BB-1 C: trace this gas line to its unit; never cut a pipe because of a tag; "
        "find what belongs on BB-1 B"
    ),
)


@pytest.fixture(scope="module")
def job(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The library's job on disk."""
    return LIBRARY.write(tmp_path_factory.mktemp("session") / "job")


@contextlib.contextmanager
def scanning(*words: str) -> "Iterator[subprocess.Popen[str]]":
    """The program in a process of its own, its standard input and output real pipes; killed at the end."""
    environment = {**os.environ, "PYTHONPATH": str(ROOT), "NO_COLOR": "1"}
    with subprocess.Popen(
        [*PROGRAM, *words],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        encoding="utf-8",
        env=environment,
    ) as process:
        try:
            yield process
        finally:
            process.kill()


def typed(process: "subprocess.Popen[str]", line: str) -> None:
    """A line typed by the scanner."""
    assert process.stdin
    process.stdin.write(f"{line}\n")
    process.stdin.flush()


def answer(process: "subprocess.Popen[str]") -> str:
    """The next line of output, which must come without anything more being typed."""
    assert process.stdout
    line = b""
    while not line.endswith(b"\n"):
        ready, _, _ = select.select([process.stdout], [], [], PATIENCE_S)
        assert ready, "the program waits for more before it answers"
        sign = os.read(process.stdout.fileno(), 1)  # a reader that takes more would hide it from select
        assert sign, "the program ended before it answered"
        line += sign
    return line.decode().rstrip("\n")


def ended(process: "subprocess.Popen[str]") -> tuple[str, int]:
    """The output after the last line was typed, and the exit code."""
    output, _ = process.communicate(timeout=PATIENCE_S)
    return output, process.returncode


# --- the file -----------------------------------------------------------------------------------------------


def test_lines_are_on_disk_before_they_are_handed_on(tmp_path: Path) -> None:
    """Each one, with its end, before the next is asked for."""
    file = tmp_path / "walk.txt"
    for number, line in enumerate(keeping(iter([f"{each}\r\n" for each in WALK]), file), start=1):
        assert line == f"{WALK[number - 1]}\r\n"
        assert file.read_text(encoding="utf-8") == "".join(f"{each}\n" for each in WALK[:number])


def test_kept_lines_come_back_as_they_were(tmp_path: Path) -> None:
    """Separators within a code (a hand scanner types group and record separators) do not part it."""
    lines = ["BB-1/A/TRM", "0104006381333931\x1d10AB\x1e\x0c", "größe\u2028\x85", "", "BB-1/A/COM"]
    assert list(keeping(lines, tmp_path / "walk.txt")) == lines
    assert kept_lines(tmp_path / "walk.txt") == lines


def test_a_session_that_was_not_begun_has_no_lines(tmp_path: Path) -> None:
    """A new file is no mistake, and is made."""
    assert kept_lines(tmp_path / "walk.txt") == []
    assert refused(tmp_path / "walk.txt") is None
    assert kept_lines(tmp_path / "walk.txt") == []


@pytest.mark.parametrize("rest", [b"BB-1/A/C\xc3", b"BB-1/A/COM/FC-1", b"BB-1/A/TR", b"BB-1/A/TRM", b"B"])
def test_a_line_that_was_half_written_is_no_code(rest: bytes, tmp_path: Path) -> None:
    """What is left of a code may be another one: it is marked, and stays so when the session goes on."""
    file = tmp_path / "walk.txt"
    file.write_bytes(b"BB-1/A/TRM\n" + rest)
    marked = rest.decode(errors="replace") + CUT
    assert kept_lines(file) == ["BB-1/A/TRM", marked]
    assert scan_of(marked, "").kind == "unknown"
    assert list(keeping(["BB-1/B/TRM"], file)) == ["BB-1/B/TRM"]
    assert kept_lines(file) == ["BB-1/A/TRM", marked, "BB-1/B/TRM"]


def test_a_line_that_was_cut_off_closes_its_terminal(job: Path, tmp_path: Path) -> None:
    """The lost code may have been the next terminal's: no tag counts before one is scanned."""
    file = tmp_path / "walk.txt"
    file.write_bytes(b"BB-1/A/TRM\nBB-1/B/TRM\nBB-1/B/COM\nBB-1/A/TR")
    with scanning("--job", str(job), "--session", str(file)) as process:
        assert [answer(process) for _ in range(5)][3:] == [
            f"unknown code: 'BB-1/A/TR{CUT}' (-:4)",
            "  terminal BB-1 B is closed: no tag counts until a terminal is scanned",
        ]
        typed(process, "BB-1/B/GAS")
        assert answer(process) == "BB-1/B/GAS: scan a terminal first; this tag is not counted"
        output, exit_code = ended(process)
    assert "BB-1 B: not complete; missing: liquid line, gas line; closed by an unknown code (-:4)" in output
    assert exit_code == 1


@pytest.mark.parametrize("place", [".", "no-such-folder/walk.txt"])
def test_where_no_session_can_be_kept_is_a_problem(place: str, tmp_path: Path) -> None:
    """A folder, or a file in a folder that is not there: told before anything is scanned."""
    problem = refused(tmp_path / place)
    assert problem is not None
    assert (problem.code, problem.where.file) == ("output-blocked", str(tmp_path / place))


@pytest.mark.parametrize("content", [b"%PDF-1.7\n", b"\x89PNG\r\n\x1a\n\0\0\0\rIHDR", "a".encode("utf-16")])
def test_a_file_of_another_kind_is_not_written_into(content: bytes, tmp_path: Path) -> None:
    """A photo or PDF named by mistake stays as it was."""
    (tmp_path / "photo.jpg").write_bytes(content)
    problem = refused(tmp_path / "photo.jpg")
    assert problem is not None
    assert "it is not a session file" in problem.message
    assert (tmp_path / "photo.jpg").read_bytes() == content


@pytest.mark.parametrize("name", ["walk.txt", "walk.json", "job.toml", "ports.CSV"])
def test_a_file_of_lines_that_is_no_session_is_not_written_into(name: str, tmp_path: Path) -> None:
    """A phone's file under any name, a job or a table: with codes at its end it could not be read."""
    content = b'\xef\xbb\xbf {"format": "tagmaker walk 1"}\n'
    (tmp_path / name).write_bytes(content)
    problem = refused(tmp_path / name)
    assert problem is not None
    assert "it is not a session file" in problem.message
    assert (tmp_path / name).read_bytes() == content


# --- live ---------------------------------------------------------------------------------------------------


def test_each_line_is_answered_at_once(job: Path) -> None:
    """Over a real pipe: the answer comes before the next line is typed; a placard's with its last line."""
    with scanning("--job", str(job)) as process:
        for line, expected in zip(WALK, ANSWERS, strict=True):
            typed(process, line)
            assert answer(process) == expected
        for line in placards(library())[0].splitlines():
            typed(process, line)
        assert answer(process) == "placard BB-1 revision 2, of this job: matches the current job"
        output, exit_code = ended(process)
    assert exit_code == 1
    assert output.splitlines()[:3] == ["scanned: 1 unknown, 6 tags, 1 placard", "", "BB-1 A: tags agree"]


def test_killed_after_each_line_nothing_is_lost(job: Path, tmp_path: Path) -> None:
    """A real SIGKILL after each line that was answered; each new process goes on where the last one was."""
    file = tmp_path / "walk.txt"
    for number, (line, expected) in enumerate(zip(WALK, ANSWERS, strict=True)):
        with scanning("--job", str(job), "--session", str(file)) as process:
            assert [answer(process) for _ in range(number)] == list(ANSWERS[:number])
            typed(process, line)
            assert answer(process) == expected
            process.kill()
            assert process.wait() == -9
        assert kept_lines(file) == list(WALK[: number + 1])
    with scanning("--job", str(job)) as process:
        for line in WALK:
            typed(process, line)
        uninterrupted = ended(process)
    with scanning("--job", str(job), "--session", str(file)) as process:
        assert ended(process) == uninterrupted


def test_killed_within_a_placard_it_is_gone_on_with(job: Path, tmp_path: Path) -> None:
    """The lines that came before the kill and those after it are one text."""
    file = tmp_path / "walk.txt"
    first, *rest = placards(library())[0].splitlines()
    with scanning("--job", str(job), "--session", str(file)) as process:
        typed(process, WALK[1])
        typed(process, first)
        typed(process, rest[0])
        while len(kept_lines(file) if file.exists() else []) < 3:  # nothing answers within a placard
            select.select([], [], [], 0.01)
        process.kill()
    with scanning("--job", str(job), "--session", str(file), "--json") as process:
        for line in rest[1:]:
            typed(process, line)
        output, exit_code = ended(process)
    scans = json.loads(output)["scans"]
    assert [(each["kind"], each["belongs"]) for each in scans] == [("tag", True), ("placard", True)]
    assert (exit_code, scans[1]["differences"]) == (0, [])


def test_an_interrupted_session_still_says_what_it_comes_to(job: Path) -> None:
    """Ctrl-C ends the lines as their end would."""
    with scanning("--job", str(job)) as process:
        for line, expected in zip(WALK, ANSWERS, strict=True):
            typed(process, line)
            assert answer(process) == expected
        process.send_signal(signal.SIGINT)
        output, exit_code = ended(process)
    assert "scanned: 1 unknown, 6 tags" in output
    assert "BB-1 B: CROSSED" in output
    assert exit_code == 1


def test_a_reader_that_has_enough_changes_no_exit_code(job: Path) -> None:
    """Output that nobody reads any more is no mistake of the site's."""
    with scanning("--job", str(job)) as process:
        assert process.stdout
        process.stdout.close()
        for line in WALK[1:5]:
            typed(process, line)
        assert process.stdin
        process.stdin.close()
        assert process.wait(PATIENCE_S) == 0


def test_a_terminal_that_was_open_when_killed_is_still_open(job: Path, tmp_path: Path) -> None:
    """The next tag is judged against it."""
    file = tmp_path / "walk.txt"
    file.write_text(f"{WALK[1]}\n", encoding="utf-8")
    with scanning("--job", str(job), "--session", str(file)) as process:
        answer(process)
        typed(process, WALK[2])
        assert answer(process) == ANSWERS[2]


def test_bytes_that_are_no_text_are_kept_and_told(job: Path, tmp_path: Path) -> None:
    """A scanner set to another alphabet does not end the session."""
    file = tmp_path / "walk.txt"
    done = subprocess.run(
        [*PROGRAM, "--job", str(job), "--session", str(file)],
        input=b"BB-1/A/TRM\r\nBB-\xff\xfe\r\nBB-1/A/COM\r\n",
        capture_output=True,
        check=False,
        env={**os.environ, "PYTHONPATH": str(ROOT), "PYTHONUTF8": "1"},
    )
    assert (done.returncode, done.stderr) == (1, b"")
    assert len(kept_lines(file)) == 3
    assert "scanned: 2 tags, 1 unknown" in done.stdout.decode()


def test_lines_that_belong_together_are_kept_as_single_ones(tmp_path: Path) -> None:
    """After a line that was cut off too, and with a text that has bytes of no character."""
    for name in ("one.txt", "many.txt"):
        (tmp_path / name).write_text("BB-1/A", encoding="utf-8")
    lines = ["# 2026-03-01 R. Hale\r\n", "BB-1/A/TRM", "a\udcffb"]
    list(keeping(lines, tmp_path / "one.txt"))
    keep(lines, tmp_path / "many.txt")
    assert (tmp_path / "many.txt").read_bytes() == (tmp_path / "one.txt").read_bytes()
