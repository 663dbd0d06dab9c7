"""The command `desk` as a person runs it: its first line, its end, a port that is taken."""

import contextlib
import os
import re
import shlex
import signal
import socket
import subprocess
import sys
import time
from collections.abc import Iterator
from http.client import HTTPConnection
from pathlib import Path
from urllib.parse import urlsplit

import pytest
from typer.testing import CliRunner

from tagmaker.cli.app import app
from tests.paths import EXAMPLES

END_SECONDS = 10  # the aim is two; a machine that is busy must not fail a test


@contextlib.contextmanager
def run_desk(*options: str, **environment: str) -> "Iterator[subprocess.Popen[str]]":
    """The command, its address on its standard output; killed where a test fails while it runs."""
    command = [sys.executable, "-m", "tagmaker", "desk", "--no-open", *options]
    with subprocess.Popen(
        command,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        env=os.environ | environment,
    ) as run:
        try:
            yield run
        finally:
            run.kill()


def ask(address: str, path: str) -> HTTPConnection:
    """A connection on which a path was asked for, with the cookie that the address gives."""
    host = urlsplit(address).netloc
    first = HTTPConnection(host, timeout=30)
    first.request("GET", address.removeprefix(f"http://{host}"))
    cookie = first.getresponse().headers["set-cookie"].partition(";")[0]
    first.close()
    connection = HTTPConnection(host, timeout=30)
    connection.request("GET", path, headers={"Cookie": cookie})
    return connection


@pytest.mark.parametrize("number", [signal.SIGINT, signal.SIGTERM])
def test_it_ends_cleanly_with_a_stream_open(tmp_path: Path, number: signal.Signals) -> None:
    """Exit code 0, nothing on standard error, no temporary folder left."""
    temporary = tmp_path / "tmp"
    temporary.mkdir()
    with run_desk(str(tmp_path), TMPDIR=str(temporary)) as run:
        assert run.stdout
        address = run.stdout.readline().strip()
        assert address.startswith("http://127.0.0.1:")
        stream = ask(address, "/events")
        assert stream.getresponse().read(5) == b"retry"
        began = time.monotonic()
        run.send_signal(number)
        out, err = run.communicate(timeout=60)
        assert (run.returncode, out, err) == (0, "", "")
        assert time.monotonic() - began < END_SECONDS
        stream.close()
    assert list(temporary.iterdir()) == []


def test_its_help_has_an_example_that_runs() -> None:
    """On the examples that are shipped."""
    shown = CliRunner().invoke(app, ["desk", "--help"]).stdout
    (example,) = re.findall(r"Example: tagmaker desk (.+?)\s*$", shown, re.MULTILINE)
    options = [word.replace("example_jobs", str(EXAMPLES)) for word in shlex.split(example)]
    with run_desk(*options) as run:
        assert run.stdout
        assert run.stdout.readline().startswith("http://127.0.0.1:")
        run.send_signal(signal.SIGINT)
        assert (run.wait(timeout=60), run.communicate()) == (0, ("", ""))


def test_a_port_that_is_taken_is_a_problem() -> None:
    """In words, with what to do."""
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", 0))
        taken.listen()
        with run_desk("--port", str(taken.getsockname()[1])) as run:
            out, err = run.communicate(timeout=60)
    assert (run.returncode, out) == (1, "")
    assert "cannot be opened" in err
    assert "leave --port out" in err


def test_a_folder_that_does_not_exist_is_wrong_usage(tmp_path: Path) -> None:
    """Exit code 2."""
    with run_desk(str(tmp_path / "nothing")) as run:
        assert "no such folder" in run.communicate(timeout=60)[1]
    assert run.returncode == 2
