"""Runs that are stopped from outside, at many moments: no traceback, nothing left, the documented exit code.

A run that had ended before the signal came is no case: its exit code is its own.
"""

import os
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

from tests.bench.kills import beside, contents, job
from tests.paths import EXAMPLES, ROOT

MODULE = (sys.executable, "-m", "tagmaker")
SIGNALS = (signal.SIGINT, signal.SIGTERM, signal.SIGHUP)
MOMENTS = 8


def begin(*words: str, stdin: int = subprocess.DEVNULL) -> "subprocess.Popen[str]":
    """The program, from its own first step on: what a signal does while Python itself starts is Python's."""
    child = subprocess.Popen(
        [*MODULE, *words],
        text=True,
        env={**os.environ, "PYTHONPATH": str(ROOT)},
        stdin=stdin,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
    )
    while child.poll() is None and not _catches(child.pid):
        time.sleep(0.001)
    return child


def _catches(process: int) -> bool:
    """Whether a process has handlers for all of the signals, by its status (man proc)."""
    status = Path(f"/proc/{process}/status").read_text(encoding="ascii")
    caught = int(next(line for line in status.splitlines() if line.startswith("SigCgt")).split()[1], 16)
    return all(caught >> (number - 1) & 1 for number in SIGNALS)


def stop(child: "subprocess.Popen[str]", number: int, seconds: float) -> tuple[int, str]:
    """The exit code and the errors of a run that is stopped at a moment."""
    time.sleep(seconds)
    child.send_signal(number)
    _, errors = child.communicate(timeout=60)
    return child.returncode, errors


@pytest.mark.parametrize("number", SIGNALS)
def test_a_stopped_make_leaves_one_whole_set_and_nothing_else(tmp_path: Path, number: int) -> None:
    """The old one or the new one, and where it says which, that is the one."""
    out = tmp_path / "place" / "out"
    words = [("make", "--no-proof", str(job(tmp_path / str(each), each)), "-o", str(out)) for each in (1, 2)]
    sets = []
    for each in words:
        began = time.monotonic()
        begin(*each).communicate()
        takes = time.monotonic() - began
        sets.append(contents(out))
    codes = set()
    for moment in range(MOMENTS):
        before = contents(out)
        code, errors = stop(begin(*words[moment % 2]), number, takes * moment / MOMENTS)
        left = contents(out)
        assert (left in sets, beside(out), "Traceback" in errors) == (True, [], False), errors
        assert code in {0, 128 + number}, errors
        assert errors.startswith("interrupted") == (code != 0), errors
        if "as it was" in errors:
            assert left == before
        if "holds the new set" in errors or code == 0:
            assert left == sets[moment % 2]
        codes.add(code)
    assert 128 + number in codes


@pytest.mark.parametrize("number", SIGNALS)
def test_a_first_set_that_is_stopped_leaves_no_folder(tmp_path: Path, number: int) -> None:
    """Neither OUT nor the folders above it that were made for it."""
    words = ("make", str(EXAMPLES / "quay-hotel"), "-o", str(tmp_path / "a" / "b" / "out"))
    stopped = 0
    for moment in range(4):
        code, errors = stop(begin(*words), number, 0.1 + 0.25 * moment)
        if (tmp_path / "a" / "b" / "out" / "plan.json").exists():  # a quick machine was done before
            break
        stopped += 1
        assert (code, errors.split(":")[0].strip(), list(tmp_path.iterdir())) == (
            128 + number, "interrupted", [],
        )  # fmt: skip
    assert stopped


@pytest.mark.parametrize("number", SIGNALS)
@pytest.mark.parametrize(
    "words",
    [("explain",), ("align", "letter-30-67x25")],
)
def test_a_run_that_waits_for_somebody_is_stopped(words: tuple[str, ...], number: int, place: Path) -> None:
    """While it reads what is typed."""
    child = begin(*words, stdin=subprocess.PIPE)
    code, errors = stop(child, number, 2)
    assert (code, errors) == (128 + number, "interrupted\n")
    assert not list(place.glob(".*.tagmaker-*"))


def test_what_was_ignored_from_the_start_stays_ignored(tmp_path: Path) -> None:
    """As `nohup` has it: a terminal that is closed does not end the run."""
    words = ("make", "--no-proof", str(job(tmp_path / "job", 1)), "-o", str(tmp_path / "place" / "out"))
    child = subprocess.Popen(
        ["nohup", *MODULE, *words],
        env={**os.environ, "PYTHONPATH": str(ROOT)},
        stdin=subprocess.DEVNULL,
        stdout=subprocess.DEVNULL,
        stderr=subprocess.DEVNULL,
    )
    for _ in range(10):
        time.sleep(0.05)
        child.send_signal(signal.SIGHUP)
    assert child.wait() == 0
    assert beside(tmp_path / "place" / "out") == []


def test_loading_is_interrupted_without_a_traceback() -> None:
    """Most of a short run is that: Ctrl-C in its first moments."""
    for moment in range(MOMENTS):
        code, errors = stop(begin("--version"), signal.SIGINT, 0.02 * moment)
        assert (code, errors) in {(130, "interrupted\n"), (0, "")}
