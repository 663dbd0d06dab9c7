"""What only a system like the simulated one shows: files in use, names without case, names of devices.

`.ci/run` runs this file by its name, with tests/simulated_system.py; on Linux itself it would show nothing.
"""

import os
from pathlib import Path

import pytest

from tagmaker.files import system
from tagmaker.files.history import change_files, file_digest
from tagmaker.files.lock import locked
from tagmaker.workflows import cores
from tests.bench.kills import beside, contents, job
from tests.cli.commands import BAKERY, result, run, there


@pytest.fixture
def out(place: Path) -> Path:
    """A set in the folder "out", and a job of the next revision in "job"."""
    job(place / "job", 2)
    assert run("make", "--no-proof", str(job(place / "first", 1)), "-o", "out").exit_code == 0
    return place / "out"


def test_this_is_the_simulated_system(place: Path) -> None:
    """Else these tests would show nothing."""
    assert "fcntl" in vars(system)
    assert vars(system)["fcntl"] is None
    assert [name for name in ("fork", "sched_getaffinity") if hasattr(os, name)] == []
    (place / "one").mkdir()
    (place / "other").mkdir()
    assert not system.exchange(place / "one", place / "other")
    with (place / "one" / "a").open("w"), pytest.raises(PermissionError):
        (place / "one" / "A").unlink()
    with (place / "one" / "a").open("w"), pytest.raises(PermissionError):
        (place / "one").rename(place / "third")


def test_sets_are_replaced_one_after_the_other(out: Path) -> None:
    """The next revision takes the place of the first, and nothing of either run is left beside it."""
    before = contents(out)
    done = run("make", "--no-proof", "job", "-o", "out")
    assert (done.exit_code, done.stderr) == (0, "")
    assert contents(out) != before
    assert not [name for name in beside(out) if name.startswith(".out")]


@pytest.mark.parametrize("name", ["walk.pdf", "plan.json", "register.csv"])
def test_a_set_that_is_open_in_a_viewer_is_refused_by_name_and_kept(out: Path, name: str) -> None:
    """Each file of it; once it is closed the set is made."""
    before = contents(out)
    with (out / name).open("rb"):
        done = run("make", "--no-proof", "job", "-o", "out", "--json")
        assert done.exit_code == 1
        (problem,) = [each for each in result(done)["problems"] if each["severity"] == "error"]
        assert problem["code"] == "output-blocked"
        assert problem["message"] == f"{out} holds {name!r}, which is open in another program"
        assert problem["where"] == f"{out.as_posix()}/{name}"
    assert contents(out) == before
    assert not [each for each in beside(out) if each.startswith(".out")]
    assert run("make", "--no-proof", "job", "-o", "out").exit_code == 0


def test_a_set_that_is_opened_while_the_next_is_drawn_is_kept(
    out: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """It is looked at again right before it would be replaced."""
    from tagmaker.workflows import make as workflow  # noqa: PLC0415 — a module of its own is patched

    before, viewers = contents(out), []
    register = vars(workflow)["register_head"]

    def opened(*words: object) -> bytes:
        viewers.append((out / "walk.pdf").open("rb"))
        return bytes(register(*words))

    monkeypatch.setattr(workflow, "register_head", opened)
    done = run("make", "--no-proof", "job", "-o", "out")
    assert done.exit_code == 1
    assert "walk.pdf', which is open in another program" in done.stderr
    viewers[0].close()
    assert contents(out) == before
    assert not [each for each in beside(out) if each.startswith(".out")]


def test_an_old_set_that_cannot_be_cleared_yet_stops_no_run_but_the_next(out: Path) -> None:
    """What a viewer holds of what a killed run left is named; once it is closed, all of it goes."""
    left = out.with_name(".out.tagmaker-old")
    left.mkdir()
    (left / "walk.pdf").write_bytes(b"older")
    with (left / "walk.pdf").open("rb"):
        done = run("make", "--no-proof", "job", "-o", "out")
        assert done.exit_code == 1
        assert "which is open in another program" in done.stderr
    assert run("make", "--no-proof", "job", "-o", "out").exit_code == 0
    assert not [each for each in beside(out) if each.startswith(".out")]


def test_two_runs_at_once_are_kept_apart(out: Path) -> None:
    """By the lock file alone: one that is open is held, one that a killed run left is not."""
    with locked(out):
        done = run("make", "--no-proof", "job", "-o", "out")
        assert (done.exit_code, "another run is writing" in done.stderr) == (1, True)
    out.with_name(".out.tagmaker-lock").touch()
    assert run("make", "--no-proof", "job", "-o", "out").exit_code == 0
    assert ".out.tagmaker-lock" not in beside(out)


@pytest.mark.parametrize("name", ["CON", "aux", "Nul", "com1.d"])
def test_a_device_is_no_output_folder(name: str) -> None:
    """By any spelling; nothing is written."""
    done = run("make", "--no-proof", BAKERY, "-o", name)
    assert (done.exit_code, there()) == (1, [])
    assert "[output-blocked]" in done.stderr
    assert "device" in done.stderr


@pytest.mark.parametrize(
    "words",
    [("start", "AUX"), ("stocks", "letter-30-67x25", "-o", "con.pdf"), ("response", BAKERY, "-o", "nul")],
)
def test_a_device_is_no_job_and_no_file(words: tuple[str, ...]) -> None:
    """Whatever writes it."""
    done = run(*words)
    assert (done.exit_code, there()) == (1, [])
    assert "[output-blocked]" in done.stderr


@pytest.mark.parametrize("name", ["con", "AUX/job.toml"])
def test_a_device_is_read_as_no_job(name: str) -> None:
    """Wrong usage, or a problem, as the system has it; no traceback."""
    done = run("check", name)
    assert done.exit_code in {1, 2}
    assert isinstance(done.exception, SystemExit)


def test_names_differ_not_by_case_alone(out: Path) -> None:
    """The set that an update goes on from is that set in any spelling; so is the current folder."""
    done = run("make", "--no-proof", "job", "--since", "OUT", "-o", "out")
    assert (done.exit_code, "a folder of its own" in done.stderr) == (2, True)
    os.chdir(out)
    done = run("make", "--no-proof", BAKERY, "-o", "../Out")
    assert (done.exit_code, "current folder" in done.stderr) == (1, True)


def test_a_jobs_file_that_is_open_elsewhere_is_not_changed(place: Path) -> None:
    """Nor is a file that goes with it: both or none."""
    files = {"job.toml": b"job", "ports.csv": b"ports"}
    for name, content in files.items():
        (place / name).write_bytes(content)
    seen = {name: file_digest(place / name) for name in files}
    new = {"job.toml": b"new job", "ports.csv": b"new ports"}
    with (place / "ports.csv").open("rb"):
        (problem,) = change_files(place, new, seen, "a change").problems
    assert (problem.code, "ports.csv" in problem.message) == ("output-blocked", True)
    assert {name: (place / name).read_bytes() for name in files} == files
    assert change_files(place, new, seen, "a change").problems == ()
    assert {name: (place / name).read_bytes() for name in files} == new


def test_processes_are_started_anew_and_make_the_same(place: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """On such a system none is forked; one core or several, the files are the same bytes."""
    assert cores.start_method() == "spawn"
    monkeypatch.setattr(cores, "cores", lambda: 2)
    monkeypatch.setattr(cores, "PAYS", {"spawn": 0.0})
    assert run("make", BAKERY, "-o", "several").exit_code == 0
    monkeypatch.setattr(cores, "cores", lambda: 1)
    assert run("make", BAKERY, "-o", "one").exit_code == 0
    assert contents(place / "several") == contents(place / "one")
