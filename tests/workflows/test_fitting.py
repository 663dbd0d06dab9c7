"""Boxes fitted on several cores are those fitted on one, byte for byte: files, problems, progress."""

from pathlib import Path

import pytest

from tagmaker.draw.marks import Drawn
from tagmaker.files.packed import unpack
from tagmaker.plan.plan_job import plan_job
from tagmaker.problems import Problem
from tagmaker.revisions.selection import Selection
from tagmaker.workflows import cores, make, processes
from tagmaker.workflows.fitting import Fitter, SentBox, fit_boxes
from tests.strategies import BoxSketch, JobSketch, UnitSketch, words

MANY = 16
CAMPUS = JobSketch(
    tuple(
        BoxSketch(
            f"BB-{number}",
            6,
            (
                UnitSketch(f"FC-{number}", "A", "12 kBtu/h", "Läden"),
                UnitSketch(f"AH-{number}", "C+D", "72 kBtu/h"),
            ),
            place=f"Level {number}",
        )
        for number in range(1, MANY + 2)
    ),
    number="ML-24",
)
"""As many boxes as several cores are used for, and one more; texts beyond ASCII."""
PLAN = plan_job(CAMPUS.record())[0]


@pytest.fixture(autouse=True)
def two(monkeypatch: pytest.MonkeyPatch) -> None:
    """Two cores, whatever this machine has; forked, whatever runs beside the tests."""
    monkeypatch.setattr(cores, "cores", lambda: 2)
    monkeypatch.setattr(cores, "start_method", lambda: "fork")


def fitted(*, inks: bool = True) -> list[tuple[SentBox, list[Problem]]]:
    """The boxes of the campus, laid out."""
    fitter = Fitter(PLAN.job, words(), Selection(), inks)
    return list(fit_boxes(fitter, PLAN.boxes, lambda _done, _of: None))


def made(out: Path, job: Path) -> dict[str, bytes]:
    """Every file of the campus's set, as it is on disk."""
    result = make.make(job, out, selection=Selection(proof=False))
    assert result.checked.problems == ()
    return {path.name: path.read_bytes() for path in sorted(out.iterdir())}


@pytest.mark.parametrize("method", ["fork", "spawn"])
def test_several_cores_make_the_same_files_as_one(
    method: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Byte for byte, labels that cross from one process's boxes to the next one's on a sheet included."""
    job = CAMPUS.write(tmp_path / "job")
    with monkeypatch.context() as patch:
        patch.setattr(cores, "start_method", lambda: method)
        patch.setattr(cores, "PAYS", {method: 0.0})
        several = made(tmp_path / "several", job)
    monkeypatch.setattr(cores, "cores", lambda: 1)
    assert several == made(tmp_path / "one", job)


def test_all_codes_are_read_by_whoever_proves_them(tmp_path: Path) -> None:
    """Every tag's and both of every placard's."""
    result = make.make(CAMPUS.write(tmp_path / "job"), tmp_path / "out")
    assert result.codes_read == result.tags + 2 * result.boxes + dict(result.files)["walk.pdf"]


def test_boxes_and_problems_come_in_the_jobs_order() -> None:
    """Each with its own."""
    fitter = Fitter(PLAN.job, words(), Selection())
    alone = [fitter.fit(box) for box in PLAN.boxes]
    assert [(box.labels, unpack(box.issued), problems) for box, problems in fitted()] == [
        (box.labels, unpack(box.issued), problems) for box, problems in alone
    ]


def test_progress_is_box_by_box() -> None:
    """To the end, and never beyond it."""
    steps: list[tuple[int, int]] = []
    fitter = Fitter(PLAN.job, words(), Selection())
    list(fit_boxes(fitter, PLAN.boxes, lambda done, of: steps.append((done, of))))
    assert steps == [(number, len(PLAN.boxes)) for number in range(1, len(PLAN.boxes) + 1)]


def test_where_nothing_is_printed_boxes_stay_marks(monkeypatch: pytest.MonkeyPatch) -> None:
    """`check` draws nothing, and starts no process."""
    monkeypatch.setattr(processes, "begun", lambda *_: pytest.fail("a process was started"))
    assert not any(isinstance(mark, Drawn) for box, _ in fitted(inks=False) for mark in box.labels[0].marks)
