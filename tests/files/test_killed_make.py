"""Whole runs that are killed, starved, robbed of their files, or two at once: one whole set, no litter."""

import json
import shutil
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path
from unittest import mock

import pytest

from tagmaker.draw.pdf import pdf_pieces
from tagmaker.outputs.register import register_head
from tagmaker.problems import Problem
from tagmaker.revisions.selection import Selection
from tagmaker.workflows import make as workflow
from tagmaker.workflows import printing, schemas
from tests.bench.kills import begin, beside, contents, ended, job, make
from tests.job_files import BOX, HEAD, write_files
from tests.paths import ROOT

KILLS = 8
ROWS = "unit,box,port,capacity (kBtu/h)\nFC-1,BX-1,A,24\n"
FULL = """
import resource, subprocess, sys
from pathlib import Path
out = Path(sys.argv[2])
mounted = not subprocess.run(["mount", "-t", "tmpfs", "-o", "size=64k", "tmpfs", out.parent],
                             capture_output=True).returncode
if not mounted:
    resource.setrlimit(resource.RLIMIT_FSIZE, (9_000, 9_000))
try:
    from tagmaker.cli.app import app
    from tests.bench.kills import beside
    app(["make", "--no-proof", sys.argv[1], "-o", str(out)], standalone_mode=False)
finally:
    print(beside(out), list(out.glob("*")))
    if mounted:
        subprocess.run(["umount", out.parent], check=True)
"""


def run(*words: str) -> "subprocess.CompletedProcess[str]":
    """A Python program from the project's folder."""
    return subprocess.run([sys.executable, *words], cwd=ROOT, capture_output=True, text=True, check=False)


# --- killed -------------------------------------------------------------------------------------------------


def test_a_run_killed_at_any_moment_leaves_a_whole_set() -> None:
    """Byte for byte the old set or the new one; the next run writes the new one and clears what was left."""
    done = run("-m", "tests.bench.kills", str(KILLS), "forked")
    assert done.stderr == ""
    counted = json.loads(done.stdout)
    left = {told.partition(", after")[0] for told in counted}
    assert sum(counted.values()) == KILLS
    assert left <= {"old", "new"}
    assert "old" in left


@pytest.mark.parametrize("kind", ["alignment", "file"])
def test_a_file_killed_at_any_step_is_the_old_one_or_the_new_one(kind: str, tmp_path: Path) -> None:
    """A kept alignment, a punch list: whole, and the next run leaves nothing beside it."""
    done = run("-m", "tests.files.killed_files", kind, str(tmp_path))
    steps = [json.loads(line) for line in done.stdout.splitlines()]
    assert [step["killed"] for step in steps] == [True] * (len(steps) - 1) + [False]
    assert len(steps) > 3
    for step in steps:
        assert step["left"] in (step["before"], step["after"])
        assert len(step["beside"]) == 1
    assert {step["left"] == step["before"] for step in steps} == {True, False}


# --- twice at once ------------------------------------------------------------------------------------------


def test_two_runs_at_once_write_one_set(tmp_path: Path) -> None:
    """Of two revisions begun together one or both in turn succeed; one of them stands there, whole."""
    one, other, out = job(tmp_path / "one", 1), job(tmp_path / "other", 2), tmp_path / "place" / "out"
    sets = []
    for folder in (one, other):
        make(folder, out)
        sets.append(contents(out))
    for _ in range(2):
        children = [begin(folder, out, is_forked=True) for folder in (one, other)]
        codes = [ended(child) for child in children]
        assert set(codes) <= {0, 1}
        assert 0 in codes
        assert contents(out) in sets
        assert beside(out) == []


def test_two_measurements_at_once_are_both_kept(tmp_path: Path) -> None:
    """Of two printers, by two people of one user: none is lost, nothing is left beside the file."""
    program = (
        "import sys; from tagmaker.catalog.alignment import Alignment, keep_alignment\n"
        "for number in range(40): keep_alignment(f'{sys.argv[1]}-{number}', Alignment(shift_x=1.0))"
    )
    with mock.patch.dict("os.environ", {"XDG_CONFIG_HOME": str(tmp_path)}):
        runs = [subprocess.Popen([sys.executable, "-c", program, name], cwd=ROOT) for name in "ab"]
        assert [each.wait() for each in runs] == [0, 0]
    (file,) = (tmp_path / "tagmaker").iterdir()
    assert len(json.loads(file.read_text(encoding="utf-8"))) == 80


# --- what is taken away -------------------------------------------------------------------------------------


def test_a_job_deleted_after_it_was_read_is_made_all_the_same(tmp_path: Path) -> None:
    """Nothing is read twice: no set is half of one schedule and half of the next."""
    text = f'{HEAD}schedule = "ports.csv"\n{BOX}'
    folder = write_files(tmp_path / "job", {"job.toml": text, "ports.csv": ROWS})
    made = workflow.make(
        folder, tmp_path / "out", progress=lambda _done, _of: shutil.rmtree(folder),
        selection=Selection(proof=False),
    )  # fmt: skip
    assert made.checked.problems == ()
    assert {name for name, _ in made.files} == set(contents(tmp_path / "out") or {})


@pytest.mark.parametrize("gone", ["job.toml", "ports.csv"])
def test_a_file_that_vanishes_before_it_is_read_is_told(gone: str, tmp_path: Path) -> None:
    """And the set that is there stays."""
    text = f'{HEAD}schedule = "ports.csv"\n{BOX}'
    folder = write_files(tmp_path / "job", {"job.toml": text, "ports.csv": ROWS})
    assert make(folder, tmp_path / "out")
    before = contents(tmp_path / "out")
    (folder / gone).unlink()
    assert not make(folder, tmp_path / "out")
    assert before == contents(tmp_path / "out")


def problem_of(folder: Path, out: Path, gone: Path) -> Problem:
    """What is told where a folder vanishes while the second document is drawn."""
    drawn: list[str] = []

    def draw(*words: object) -> Iterator[bytes]:
        drawn.append("")
        if len(drawn) == 2:
            shutil.rmtree(gone)
        return pdf_pieces(*words)  # type: ignore[arg-type]

    with mock.patch.object(printing, "pdf_pieces", draw):
        made = workflow.make(folder, out, selection=Selection(proof=False))
    (problem,) = (each for each in made.checked.problems if each.severity == "error")
    return problem


@pytest.mark.parametrize("is_there", [True, False])
def test_a_place_that_vanishes_meanwhile_is_told(is_there: bool, tmp_path: Path) -> None:  # noqa: FBT001 — a case
    """The folder that OUT stands in: it is not created again elsewhere."""
    out = tmp_path / "place" / "out"
    if is_there:
        make(job(tmp_path / "job", 1), out)
    problem = problem_of(job(tmp_path / "job", 2), out, out.parent)
    assert (problem.code, problem.where.file) == ("output-blocked", str(out))
    assert not out.parent.exists()


def test_an_output_that_vanishes_meanwhile_is_made_anew(tmp_path: Path) -> None:
    """OUT alone: the new set takes its place all the same."""
    folder, out = job(tmp_path / "job", 1), tmp_path / "place" / "out"
    make(folder, out)
    before = contents(out)

    def register() -> bytes:
        shutil.rmtree(out)
        return register_head()

    with mock.patch.object(workflow, "register_head", register):
        assert make(folder, out)
    assert (before, []) == (contents(out), beside(out))


def test_a_full_disk_leaves_nothing(tmp_path: Path) -> None:
    """A really full one where this user may mount one, else the system's limit of a file's size."""
    (tmp_path / "place").mkdir()
    done = run("-c", FULL, str(ROOT / "example_jobs" / "bakery"), str(tmp_path / "place" / "out"))
    assert done.stdout.endswith("\n[] []\n")
    assert "[output-blocked]" in done.stderr
    assert "No space left on device" in done.stderr or "File too large" in done.stderr


def test_schemas_are_whole_or_told(tmp_path: Path) -> None:
    """Into a folder that vanished: a problem for each file, and no folder."""
    gone = tmp_path / "gone"
    assert {problem.code for problem in schemas.schemas(gone)[1]} == {"output-blocked"}
    assert not gone.exists()
