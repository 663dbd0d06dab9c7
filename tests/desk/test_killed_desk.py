"""A desk that is killed while it writes leaves no half-written file, and the next one goes on from there."""

import json
import random
import shutil
import signal
import threading
import time
from contextlib import closing
from http.client import HTTPConnection, HTTPException
from pathlib import Path
from urllib.parse import urlsplit

from tagmaker.desk.state import Desk
from tagmaker.job.read import read_job
from tagmaker.workflows.edit import apply, digests, history, redo, undo
from tagmaker.workflows.edit_kinds import Edit, Move, MoveUnits, SetJob
from tests.desk.test_run import run_desk
from tests.paths import EXAMPLES

KILLS = 4
NAMES = ("job.toml", "ports.csv")
State = tuple[bytes, ...]


def state(folder: Path) -> State:
    """The two files that each change writes together."""
    return tuple((folder / name).read_bytes() for name in NAMES)


def back_and_forth(address: str, job: str, last: int, to: int) -> None:
    """Ask for undo and redo without an end, until the desk is gone."""
    host = urlsplit(address).netloc
    headers = {"Content-Type": "application/json", "Origin": f"http://{host}"}
    with closing(HTTPConnection(host, timeout=30)) as connection:
        connection.request("GET", address.removeprefix(f"http://{host}"))
        answer = connection.getresponse()
        headers["Cookie"] = answer.headers["set-cookie"].partition(";")[0]
        answer.read()
        while True:
            try:
                connection.request("POST", f"{job}/history/go", json.dumps({"to": to, "last": last}), headers)
                connection.getresponse().read()
            except (OSError, HTTPException):
                return
            last, to = to, last


def test_killed_at_any_moment_both_files_are_of_one_change(tmp_path: Path) -> None:
    """SIGKILL while undo and redo follow each other: old or new, never a mixture for a reader of the job."""
    folder = tmp_path / "jobs" / "clinic"
    shutil.copytree(EXAMPLES / "clinic", folder)
    before = state(folder)
    edits: list[Edit] = [MoveUnits((Move("FC-102", "BB-11", "L"),)), SetJob({"site": "North"})]
    assert not apply(folder, edits, digests(folder)).problems
    after = state(folder)
    last = history(folder).undo
    assert last
    moments = random.Random(7)  # noqa: S311 — moments, no secrets
    job = Desk(tmp_path / "jobs", tmp_path).jobs()[0].path
    for _ in range(KILLS):
        with run_desk(str(tmp_path / "jobs")) as run:
            assert run.stdout
            address = run.stdout.readline().strip()
            numbers = (last.number, 0) if state(folder) == after else (0, last.number)
            asking = threading.Thread(target=back_and_forth, args=(address, job, *numbers))
            asking.start()
            time.sleep(0.5 + moments.uniform(0, 0.3))
            run.send_signal(signal.SIGKILL)
            run.wait(timeout=30)
            asking.join(timeout=30)
        found, _ = read_job(folder)
        assert found
        assert state(folder) in (before, after)
    for step in (undo, redo) if state(folder) == after else (redo, undo):
        assert step(folder).problems == ()
    assert [path.name for path in folder.iterdir() if path.name.endswith(".tagmaker-new")] == []
