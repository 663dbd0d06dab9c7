"""The stages of `changes`: jobs and sets on disk, what is printed of them, and what cannot be compared."""

from pathlib import Path
from typing import Any

import pytest

from tagmaker.revisions.selection import Selection
from tagmaker.workflows import make
from tagmaker.workflows.changes import Compared, changes, changes_lines
from tests.records import replace
from tests.strategies import BoxSketch, JobSketch, UnitSketch

OLD = JobSketch(
    (
        BoxSketch("BB-1", 4, (UnitSketch("FC-1", "A", "24 kBtu/h", "Shop"),), place="Level 2", power="LP-2"),
        BoxSketch("BB-2", 4, (UnitSketch("FC-2", "A"), UnitSketch("FC-3", "B"))),
    ),
    revision="1",
)
NEW = replace(
    OLD,
    revision="2",
    boxes=(replace(OLD.boxes[0], units=(UnitSketch("FC-1", "B", "24 kBtu/h", "Shop"),)), OLD.boxes[1]),
)


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


@pytest.mark.parametrize("other", [OLD, replace(OLD, revision="9", date=None)])
def test_nothing_to_do_is_said(other: JobSketch, tmp_path: Path) -> None:
    """A job compared with itself, and with a revision that only has another number."""
    found = changes(OLD.write(tmp_path / "old"), other.write(tmp_path / "new", schedule="ports.csv"))
    assert (found.is_work, found.as_json()["boxes"], found.as_json()["to_do"]) == (False, [], False)
    assert changes_lines(found) == [
        f"Marsh Lane Library: revision 1 → {other.revision}",
        "",
        "Nothing is to be done on site.",
    ]


def test_lines_are_by_box_with_where_it_hangs(jobs: tuple[Path, Path]) -> None:
    """A box of which nothing differs is not named."""
    lines = changes_lines(changes(*jobs))
    assert lines[:6] == [
        "Marsh Lane Library: revision 1 → 2",
        "",
        "BB-1  Level 2",
        "    1. power: isolate the box's power and prove it dead",
        "       LP-2: a switch or button is not isolation; stop a live system first",
        "    2. only board: Bank 1 switch 1: OFF → ON",
    ]
    assert "       (FC-1 moves from BB-1 A to BB-1 B)" in lines
    assert [line for line in lines if "BB-2" in line or "FC-2" in line] == []


def test_json_has_the_same_as_data(jobs: tuple[Path, Path]) -> None:
    """Head, units, boxes, and whether anything is to be done; no null where a text is empty."""
    found: dict[str, Any] = changes(*jobs).as_json()
    assert list(found) == ["was", "now", "units", "boxes", "to_do"]
    (box,) = found["boxes"]
    assert list(box) == [
        *("kind", "was", "now", "place", "power", "boards", "facts", "switches", "ports"),
        *("tags_off", "tags_on", "placard_off", "placard_on", "bands", "check"),
    ]
    assert box["switches"][0] == {
        "board": "only", "bank": 1, "name": "Bank 1", "switch": 1, "was": "off", "now": "on",
        "then_on": [1, 3, 4],
    }  # fmt: skip
    assert (box["check"], box["power"]) == (["A", "B"], "LP-2")


def test_a_job_with_errors_is_not_compared(tmp_path: Path) -> None:
    """Its errors are told, of both sides; warnings are the job's own affair."""
    wrong = replace(OLD, boxes=(BoxSketch("BB-1", 4, (UnitSketch("FC-1", "A", "90 kBtu/h"),)),))
    paths = wrong.write(tmp_path / "old"), replace(wrong, revision="2").write(tmp_path / "new")
    found = changes(*paths)
    assert (found.changes, found.is_work, found.as_json(), changes_lines(found)) == (None, False, {}, [])
    assert [problem.code for problem in found.problems] == ["port-overloaded", "port-overloaded"]


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
