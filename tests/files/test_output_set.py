"""A set takes OUT's place as one: the old set or the new one stands there, never a mixture, never a loss."""

import errno
import fcntl
import json
import os
import resource
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from pathlib import Path

import pytest

from tagmaker.files import output_set as commit_module
from tagmaker.files.output_set import OutputSet, open_output_set
from tagmaker.files.refused import OutputRefused
from tagmaker.problems import Problem
from tagmaker.revisions.plan_file import read_manifest
from tests.files.sets import NEW, OLD, Files, beside, commit, contents, put, whole
from tests.paths import ROOT


@pytest.fixture
def out(tmp_path: Path) -> Path:
    """An output folder that is not there yet, alone in its folder."""
    return tmp_path / "work" / "out"


def refusal(out: Path, *, partial: bool = False) -> Problem:
    """The problem with which a set is refused."""
    with pytest.raises(OutputRefused) as refused:
        commit(out, NEW, partial=partial)
    return refused.value.problem


# --- the set ------------------------------------------------------------------------------------------------


def test_a_first_set_makes_its_folder_and_those_above_it(out: Path) -> None:
    """Every file is there, nothing stands beside."""
    commit(out / "a" / "b", NEW)
    assert whole(NEW) == contents(out / "a" / "b")
    assert beside(out / "a" / "b") == []


def test_an_empty_folder_is_taken(out: Path) -> None:
    """Somebody made the folder first: it holds nothing of theirs."""
    out.mkdir(parents=True)
    commit(out, NEW)
    assert whole(NEW) == contents(out)


def test_a_next_set_replaces_the_whole_of_the_last(out: Path) -> None:
    """A file that the new set does not have is gone: no stale placard stays."""
    commit(out, OLD)
    commit(out, NEW)
    assert whole(NEW) == contents(out)
    assert beside(out) == []


def test_nothing_shows_before_the_set_is_finished(out: Path) -> None:
    """While a set is being built the old one stands whole; the new one is hidden beside it."""
    commit(out, OLD)
    with open_output_set(out, read_manifest, partial=False) as stage:
        stage.write("walk.pdf", b"new walk")
        assert whole(OLD) == contents(out)
        assert beside(out) == [".out.tagmaker-lock", ".out.tagmaker-new"]
    assert whole(OLD) == contents(out)
    assert beside(out) == []


def test_a_set_that_fails_half_way_leaves_the_old_one(out: Path) -> None:
    """A bug in drawing is raised as it is; OUT is untouched and nothing is left beside it."""
    commit(out, OLD)
    with pytest.raises(TypeError), open_output_set(out, read_manifest, partial=False) as stage:
        stage.write("walk.pdf", None)  # type: ignore[arg-type]
    assert (whole(OLD), []) == (contents(out), beside(out))


# --- what is refused ----------------------------------------------------------------------------------------


@pytest.mark.parametrize("name", ["notes.txt", ".hidden", "walk (copy).pdf", "~$register.csv"])
def test_a_file_of_somebody_elses_is_refused_and_kept(out: Path, name: str) -> None:
    """The problem names the file; everything stays as it was."""
    commit(out, OLD)
    put(out, {name: "mine"})
    problem = refusal(out)
    assert (problem.code, problem.where.file) == ("output-foreign", str(out / name))
    assert {**whole(OLD), name: "mine"} == contents(out)
    assert beside(out) == []


def test_a_folder_of_somebody_elses_is_refused_and_kept(out: Path) -> None:
    """A folder is foreign too, whatever is in it."""
    commit(out, OLD)
    put(out / "photos", {"a.jpg": "light"})
    assert refusal(out).code == "output-foreign"
    assert contents(out / "photos") == {"a.jpg": "light"}


@pytest.mark.parametrize(
    "plan", ["", "{", "[]", "null", '{"files": 7, "partial": false}', '{"files": ["walk.pdf"]}', "\udcff"]
)
def test_a_plan_that_says_nothing_vouches_for_no_file(out: Path, plan: str) -> None:
    """A folder with somebody's own plan.json is theirs."""
    put(out, {"walk.pdf": "mine"})
    (out / "plan.json").write_bytes(plan.encode("utf-8", "surrogateescape"))
    assert refusal(out).code == "output-foreign"
    assert (out / "walk.pdf").read_text(encoding="utf-8") == "mine"


def test_a_file_in_outs_place_is_refused_and_kept(out: Path) -> None:
    """OUT is a folder; a file of that name is somebody's."""
    put(out.parent, {"out": "mine"})
    problem = refusal(out)
    assert (problem.code, problem.message) == ("output-foreign", f"{out} is not a folder")
    assert out.read_text(encoding="utf-8") == "mine"


def test_a_place_under_a_file_is_refused(out: Path) -> None:
    """No folder can be made there."""
    put(out.parent, {"out": "mine"})
    problem = refusal(out / "deeper" / "still")
    assert (problem.code, problem.message) == ("output-foreign", f"{out} is not a folder")


def test_a_whole_set_is_not_replaced_by_a_part(out: Path) -> None:
    """A make limited to a box would throw the other boxes' sheets away."""
    commit(out, OLD)
    assert refusal(out, partial=True).code == "output-whole"
    assert whole(OLD) == contents(out)


@pytest.mark.parametrize("partial", [True, False])
def test_a_part_is_replaced_by_any_set(out: Path, partial: bool) -> None:  # noqa: FBT001 — a case
    """A part gives way to a part and to a whole set."""
    commit(out, OLD, partial=True)
    commit(out, NEW, partial=partial)
    assert whole(NEW, partial=partial) == contents(out)


@pytest.mark.parametrize("place", [".", "/", "../work"])
def test_a_folder_that_cannot_be_replaced_is_refused(
    out: Path, place: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The folder that one stands in would vanish under one's feet; the root has no place beside it."""
    out.parent.mkdir(parents=True)
    monkeypatch.chdir(out.parent)
    assert refusal(Path(place)).code == "output-blocked"
    assert list(out.parent.iterdir()) == []


@pytest.fixture
def read_only() -> Iterator[Path]:
    """A folder that the user may read and not write; root, who may do anything, is nobody meanwhile."""
    folder = Path(tempfile.mkdtemp())
    folder.chmod(0o555)
    is_root = os.geteuid() == 0
    if is_root:
        os.seteuid(65534)
    yield folder
    if is_root:
        os.seteuid(0)
    folder.chmod(0o755)
    folder.rmdir()


@pytest.mark.parametrize("below", ["out", "a/b/out"])
def test_a_read_only_folder_is_refused(read_only: Path, below: str) -> None:
    """The system's own reason is told, and that nothing was changed."""
    problem = refusal(read_only / below)
    assert problem.code == "output-blocked"
    assert (problem.message, problem.hint) == (
        f"cannot write {read_only / below}: Permission denied",
        "nothing was changed there",
    )


def test_a_name_that_is_too_long_is_refused(out: Path) -> None:
    """No traceback for a name that the file system does not take."""
    assert refusal(out.with_name("x" * 300)).code == "output-blocked"


# --- links --------------------------------------------------------------------------------------------------


def test_a_link_stays_and_its_target_is_replaced(out: Path, tmp_path: Path) -> None:
    """OUT may be a link to where the sets live: the link stays a link."""
    commit(tmp_path / "real", OLD)
    out.parent.mkdir()
    out.symlink_to(tmp_path / "real")
    commit(out, NEW)
    assert out.is_symlink()
    assert whole(NEW) == contents(out) == contents(tmp_path / "real")
    assert beside(out) == []


def test_a_link_to_nothing_gets_its_target(out: Path, tmp_path: Path) -> None:
    """The folder that it points at is made."""
    out.parent.mkdir()
    out.symlink_to(tmp_path / "real")
    commit(out, NEW)
    assert out.is_symlink()
    assert whole(NEW) == contents(tmp_path / "real")


def test_a_link_to_itself_is_refused(out: Path) -> None:
    """No traceback for a loop."""
    out.parent.mkdir()
    out.symlink_to(out)
    assert refusal(out).code == "output-blocked"
    assert beside(out) == []


# --- failures while writing ---------------------------------------------------------------------------------


def test_a_full_disk_leaves_the_old_set(out: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """No space left for the new set: the old one stands, nothing is left beside it."""

    def full(_handle: int) -> None:
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    commit(out, OLD)
    monkeypatch.setattr(os, "fsync", full)
    assert refusal(out).message == f"cannot write {out}: No space left on device"
    assert (whole(OLD), []) == (contents(out), beside(out))


def test_a_file_over_the_systems_limit_leaves_the_old_set(out: Path) -> None:
    """The system itself stops a write half way through a file."""
    commit(out, OLD)
    soft, hard = resource.getrlimit(resource.RLIMIT_FSIZE)
    resource.setrlimit(resource.RLIMIT_FSIZE, (50_000, hard))
    try:
        with pytest.raises(OutputRefused) as refused:
            commit(out, {"walk.pdf": "small", "placards.pdf": "x" * 200_000})
    finally:
        resource.setrlimit(resource.RLIMIT_FSIZE, (soft, hard))
    assert refused.value.problem.message == f"cannot write {out}: File too large"
    assert (whole(OLD), []) == (contents(out), beside(out))


# --- systems that cannot exchange two folders ---------------------------------------------------------------


@pytest.fixture
def no_exchange(monkeypatch: pytest.MonkeyPatch) -> None:
    """A system without an atomic exchange."""
    monkeypatch.setattr(commit_module, "exchange", lambda _one, _other: False)


@pytest.mark.usefixtures("no_exchange")
def test_without_an_exchange_the_set_is_replaced_in_two_steps(out: Path) -> None:
    """The outcome is the same."""
    commit(out, OLD)
    commit(out, NEW)
    assert (whole(NEW), []) == (contents(out), beside(out))


@pytest.mark.usefixtures("no_exchange")
def test_a_second_step_that_fails_undoes_the_first(out: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The old set is put back at once, not only by the next run."""
    commit(out, OLD)
    rename = Path.rename

    def fail_for_the_new(path: Path, target: Path) -> Path:
        if path.name.endswith("-new"):
            raise OSError(errno.EIO, os.strerror(errno.EIO))
        return rename(path, target)

    monkeypatch.setattr(Path, "rename", fail_for_the_new)
    problem = refusal(out)
    assert (problem.message, problem.hint) == (
        f"cannot write {out}: Input/output error",
        "nothing was changed there",
    )
    assert (whole(OLD), []) == (contents(out), beside(out))


# --- killed runs --------------------------------------------------------------------------------------------


def killed(out: Path, *words: str) -> list[dict[str, object]]:
    """What a commit left that was killed before each of its steps."""
    run = subprocess.run(
        [sys.executable, "-m", "tests.files.killed", str(out), *words],
        cwd=ROOT,
        capture_output=True,
        text=True,
        check=True,
    )
    return [json.loads(line) for line in run.stdout.splitlines()]


@pytest.mark.parametrize("words", [("exchange",), ("exchange", "first"), ("journal",), ("journal", "first")])
def test_a_killed_run_leaves_the_old_set_or_the_new_one(out: Path, words: tuple[str, ...]) -> None:
    """Killed before any step, the next run finds one whole set, goes on, and clears the litter.

    Where folders can be exchanged OUT holds a whole set at every moment; elsewhere it may be gone between
    two steps, and the next run puts the old set back.
    """
    old: Files | None = None if "first" in words else whole(OLD)
    found = killed(out, *words)
    assert [step["killed"] for step in found] == [True] * (len(found) - 1) + [False]
    assert len(found) > 8
    for step in found:
        assert step["recovered"] in (old, whole(NEW))
        assert step["left"] in (step["recovered"], None if "journal" in words else step["recovered"])
        assert step["last"] == whole({"walk.pdf": "last walk"})
        assert step["litter"] == []
    assert {step["left"] == whole(NEW) for step in found} == {True, False}


def test_litter_of_a_killed_run_is_cleared(out: Path) -> None:
    """A half-built set and an old set already replaced are no longer needed."""
    commit(out, OLD)
    stage = OutputSet(out, read_manifest, partial=False)
    put(stage.new, {"walk.pdf": "half"})
    put(stage.old, {"walk.pdf": "older"})
    put(out.parent, {".out.tagmaker-lock": ""})
    commit(out, NEW)
    assert (whole(NEW), []) == (contents(out), beside(out))


def test_an_old_set_moved_away_is_put_back_before_anything_else(out: Path) -> None:
    """So that a whole set found there still refuses a part."""
    put(OutputSet(out, read_manifest, partial=False).old, whole(OLD))
    assert refusal(out, partial=True).code == "output-whole"
    assert (whole(OLD), []) == (contents(out), beside(out))


# --- two runs at once ---------------------------------------------------------------------------------------

HOLD = """
import sys
from pathlib import Path
from tests.files.sets import open_output_set
from tagmaker.revisions.plan_file import read_manifest
with open_output_set(Path(sys.argv[1]), read_manifest, partial=False) as stage:
    stage.write("walk.pdf", b"theirs")
    stage.write("plan.json", b'{"files": ["walk.pdf", "plan.json"], "partial": false}')
    print("held", flush=True)
    if sys.stdin.readline():
        stage.finish()
"""


@pytest.fixture
def holder(out: Path) -> Iterator["subprocess.Popen[str]"]:
    """Another process that is writing OUT; a line to it lets it finish."""
    with subprocess.Popen(
        [sys.executable, "-c", HOLD, str(out)],
        cwd=ROOT,
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        text=True,
    ) as process:
        assert process.stdout is not None
        assert process.stdout.readline() == "held\n"
        yield process
        process.kill()


def test_a_second_run_is_refused_while_the_first_writes(out: Path, holder: "subprocess.Popen[str]") -> None:
    """The first one is not disturbed: its set is there when it ends, and then the next run may write."""
    problem = refusal(out)
    assert (problem.code, problem.message) == ("output-blocked", f"another run is writing {out}")
    assert holder.communicate("go on\n")[0] == ""
    assert holder.returncode == 0
    assert (out / "walk.pdf").read_text(encoding="utf-8") == "theirs"
    commit(out, NEW)
    assert (whole(NEW), []) == (contents(out), beside(out))


def test_another_output_may_be_written_meanwhile(out: Path, holder: "subprocess.Popen[str]") -> None:
    """The lock is OUT's, not the folder's that it stands in."""
    commit(out.with_name("other"), NEW)
    assert whole(NEW) == contents(out.with_name("other"))
    assert holder.poll() is None


def test_a_killed_holder_holds_no_longer(out: Path, holder: "subprocess.Popen[str]") -> None:
    """Its lock ends with it; what it had built is cleared."""
    holder.kill()
    holder.wait()
    assert beside(out) == [".out.tagmaker-lock", ".out.tagmaker-new"]
    commit(out, NEW)
    assert (whole(NEW), []) == (contents(out), beside(out))


@pytest.mark.parametrize("is_replaced", [True, False])
def test_a_lock_file_that_its_owner_deletes_is_asked_for_anew(
    out: Path, monkeypatch: pytest.MonkeyPatch, *, is_replaced: bool
) -> None:
    """Between opening and locking, the run before ends: a lock on its deleted file would keep nobody out."""
    lock = out.with_name(".out.tagmaker-lock")
    flock, asked = fcntl.flock, list[int]()

    def owner_ends_first(handle: int, how: int) -> None:
        asked.append(handle)
        if len(asked) == 1:
            lock.unlink()
            if is_replaced:
                lock.touch()
        flock(handle, how)

    monkeypatch.setattr(fcntl, "flock", owner_ends_first)
    with open_output_set(out, read_manifest, partial=False):
        assert os.path.samestat(os.fstat(asked[-1]), lock.stat())
    assert len(asked) == 2


def test_a_file_system_without_locks_is_told_as_such(out: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """It is not taken for another run."""

    def no_locks(_handle: int, _how: int) -> None:
        raise OSError(errno.ENOLCK, os.strerror(errno.ENOLCK))

    monkeypatch.setattr(fcntl, "flock", no_locks)
    assert refusal(out).message == f"cannot write {out}: No locks available"
