"""What `changes` compares: jobs and sets, and what it refuses."""

from pathlib import Path
from typing import Any

import msgspec
import pytest

from tagmaker.revisions.selection import Selection
from tagmaker.workflows import make
from tagmaker.workflows.changes import Compared, changes
from tests.workflows.jobs import NEW, OLD


@pytest.fixture
def jobs(tmp_path: Path) -> tuple[Path, Path]:
    """Two jobs on disk."""
    return OLD.write(tmp_path / "old"), NEW.write(tmp_path / "new", schedule="ports.csv")


def test_sets_and_jobs_compare_alike(jobs: tuple[Path, Path], tmp_path: Path) -> None:
    """A job's folder, its job.toml, its set's folder, its plan.json: the same changes."""
    old, new = jobs
    for path in jobs:
        make.make(path, tmp_path / f"{path.name}-out", selection=Selection(proof=False))
    sides = [
        (path, path / "job.toml", tmp_path / f"{path.name}-out", tmp_path / f"{path.name}-out" / "plan.json")
        for path in (old, new)
    ]
    expected = changes(old, new)
    assert expected.problems == ()
    assert expected.is_work
    assert [changes(was, now) for was in sides[0] for now in sides[1]] == [expected] * 16


def test_json_has_the_same_as_data(jobs: tuple[Path, Path]) -> None:
    """Head, units, boxes, and whether anything is to be done; no null where a text is empty."""
    found: dict[str, Any] = msgspec.to_builtins(changes(*jobs).outline)
    assert list(found) == ["was", "now", "units", "boxes", "systems", "steps", "to_do"]
    (box,) = found["boxes"]
    assert list(box) == [
        *("kind", "was", "now", "place", "power", "boards", "facts", "switches", "ports"),
        *("tags_off", "tags_on", "placard_off", "placard_on", "bands", "check"),
        *("kinds", "pipes", "cables", "mains", "valves", "systems", "sources", "letters"),
    ]
    assert (box["kinds"], box["pipes"]) == (("pipe", "cable", "switch"), ("A", "B"))
    assert box["switches"][0] == {
        "board": "only", "bank": 1, "name": "Bank 1", "switch": 1, "was": "off", "now": "on",
        "then_on": (1, 3, 4),
    }  # fmt: skip
    assert (box["check"], box["power"]) == (("A", "B"), "LP-2")


@pytest.mark.parametrize(
    ("name", "content", "code"),
    [
        ("plan.json", b"{}", "plan-unreadable"),
        ("plan.json", b"[" * 100_000, "plan-unreadable"),
        ("job.toml", b"= broken", "toml-syntax"),
        ("notes.txt", b"mine", "job-missing"),
    ],
)
def test_what_is_neither_job_nor_set_is_a_problem(
    name: str, content: bytes, code: str, jobs: tuple[Path, Path], tmp_path: Path
) -> None:
    """A folder with something else in it."""
    (tmp_path / "what").mkdir()
    (tmp_path / "what" / name).write_bytes(content)
    for pair in ((tmp_path / "what", jobs[1]), (jobs[0], tmp_path / "what")):
        assert [problem.code for problem in changes(*pair).problems] == [code]


def test_compared_without_changes_has_no_work() -> None:
    """Where one side could not be read."""
    assert Compared(None, ()).is_work is False
