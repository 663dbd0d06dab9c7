"""Streams that take no more: no traceback, and the exit code says whether the command was done."""

import os
import subprocess
import sys
from pathlib import Path

import pytest

from tests.cli.commands import BAKERY, CLINIC, MISTAKES
from tests.paths import ROOT

MODULE = (sys.executable, "-m", "tagmaker")
LOST = "could not be printed: No space left on device\n"


def full(*words: str, stream: str = "stdout") -> "subprocess.CompletedProcess[str]":
    """The program with a full disk under one of its streams."""
    with Path("/dev/full").open("w", encoding="utf-8") as disk:
        return subprocess.run(
            [*MODULE, *words],
            stdin=subprocess.DEVNULL,
            stdout=disk if stream == "stdout" else subprocess.PIPE,
            stderr=disk if stream == "stderr" else subprocess.PIPE,
            check=False,
            text=True,
            env={**os.environ, "PYTHONPATH": str(ROOT)},
        )


@pytest.mark.parametrize(
    "words",
    [
        ("check", BAKERY), ("check", BAKERY, "--json"), ("switches", BAKERY), ("manual", "job-file"),
        ("stocks",),
        ("scan", f"{CLINIC}/scans.txt", "--job", CLINIC), ("readback", f"{BAKERY}/returned", "--job", BAKERY),
        ("--help",), ("make", "--help"), ("--version",),
    ],
)  # fmt: skip
def test_a_result_that_cannot_be_printed_is_3(words: tuple[str, ...]) -> None:
    """One line with the system's reason, whatever printed it."""
    done = full(*words)
    assert (done.returncode, done.stderr.count("\n")) == (3, 1)
    assert done.stderr.endswith(LOST)


def test_a_set_that_was_written_is_reported_as_written() -> None:
    """1 would say that nothing was."""
    done = full("make", BAKERY, "-o", "out", "--no-proof")
    assert (done.returncode, done.stderr) == (3, f"the command was done, but the result {LOST}")
    assert Path("out", "plan.json").exists()


def test_errors_stay_errors() -> None:
    """1 with a full disk too, and 2."""
    assert full("check", MISTAKES).returncode == 1
    assert full("check", MISTAKES, stream="stderr").returncode == 1
    for words in (("mak",), (), ("check", "no-such-job")):
        assert full(*words, stream="stderr").returncode == 2
    wrong = full("mak", "--json")
    assert (wrong.returncode, wrong.stderr) == (2, "")


@pytest.mark.parametrize("words", [("--help",), ("--version",), ("make", "--help"), ("switches", BAKERY)])
def test_a_reader_that_closes_early_is_no_error_for_help_either(words: tuple[str, ...]) -> None:
    """As with `--help | head -1`."""
    read, write = os.pipe()
    os.close(read)
    done = subprocess.run(
        [*MODULE, *words], stdout=write, stderr=subprocess.PIPE, check=False, text=True,
        env={**os.environ, "PYTHONPATH": str(ROOT)},
    )  # fmt: skip
    os.close(write)
    assert (done.returncode, done.stderr) == (0, "")
