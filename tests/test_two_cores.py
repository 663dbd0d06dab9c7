"""Two cores make what one makes, byte for byte, and one does it all where the second fails."""

import os
import signal
from collections.abc import Iterator
from pathlib import Path

import pytest

from tagmaker import pipeline, two_cores
from tagmaker.plan.make import plan_job
from tagmaker.problems import Problem
from tagmaker.sheets.box import FittedBox
from tagmaker.tags.part import Part
from tagmaker.two_cores import MANY, Fitter, fit_on_two_cores
from tests.strategies import BoxSketch, JobSketch, UnitSketch, words

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
"""As many boxes as two cores are used for, and one more; texts beyond ASCII."""
PLAN = plan_job(CAMPUS.record())[0]


@pytest.fixture(autouse=True)
def two(monkeypatch: pytest.MonkeyPatch) -> None:
    """Two cores, whatever this machine has."""
    monkeypatch.setattr(two_cores, "_cores", lambda: 2)


def fitted(
    fitter: Fitter | None = None, boxes: int = len(PLAN.boxes)
) -> list[tuple[FittedBox, list[Problem]]]:
    """Boxes of the campus, laid out."""
    fitter = fitter or Fitter(PLAN.job, words(), Part())
    return list(fit_on_two_cores(fitter, PLAN.boxes[:boxes], lambda _done, _of: None))


def made(out: Path, job: Path) -> dict[str, bytes]:
    """Every file of the campus's set, as it is on disk."""
    result = pipeline.make(job, out, options=pipeline.Options(proof=False))
    assert result.checked.problems == ()
    return {path.name: path.read_bytes() for path in sorted(out.iterdir())}


def drawn_already(found: list[tuple[FittedBox, list[Problem]]]) -> list[bool]:
    """Of each box whether it came as ink from the second process."""
    return [type(box.labels[0].marks[0]).__name__ == "Drawn" for box, _ in found]


def test_two_cores_make_the_same_files_as_one(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Byte for byte, labels that cross from one half to the other on a sheet included."""
    job = CAMPUS.write(tmp_path / "job")
    both = made(tmp_path / "both", job)
    monkeypatch.setattr(two_cores, "_cores", lambda: 1)
    assert both == made(tmp_path / "one", job)


def test_a_second_process_takes_the_second_half() -> None:
    """In the job's order."""
    found = fitted()
    assert drawn_already(found) == [False] * 9 + [True] * 8
    assert [box.box.row.tag for box, _ in found] == [f"BB-{number}" for number in range(1, MANY + 2)]


def test_codes_on_what_is_drawn_are_still_looked_for(tmp_path: Path) -> None:
    """Every tag's and both of every placard's."""
    result = pipeline.make(CAMPUS.write(tmp_path / "job"), tmp_path / "out")
    assert result.codes_read == result.tags + 2 * result.boxes


def test_few_boxes_need_no_second_process(monkeypatch: pytest.MonkeyPatch) -> None:
    """It would cost more than it saves."""
    monkeypatch.setattr(os, "fork", lambda: pytest.fail("a process was forked"))
    assert drawn_already(fitted(boxes=MANY - 1)) == [False] * (MANY - 1)


class Failing(Fitter):
    """In the second process a box cannot be laid out; in the first it can."""

    def fit_drawn(self, box: object) -> tuple[FittedBox, list[Problem]]:
        """Fail at the last but one."""
        if box is PLAN.boxes[-2]:
            raise MemoryError
        return super().fit_drawn(box)  # type: ignore[arg-type]


class Killed(Fitter):
    """The second process is killed as it begins."""

    def fit_drawn(self, box: object) -> tuple[FittedBox, list[Problem]]:
        """Be killed."""
        os.kill(os.getpid(), signal.SIGKILL)
        return super().fit_drawn(box)  # type: ignore[arg-type]


@pytest.mark.parametrize(("sort", "drawn"), [(Failing, 6), (Killed, 0)])
def test_what_the_second_does_not_make_the_first_makes(
    sort: type[Fitter], drawn: int, capfd: pytest.CaptureFixture[str]
) -> None:
    """A process that dies takes nothing with it, and says nothing."""
    found = fitted(sort(PLAN.job, words(), Part()))
    assert [box.box.row.tag for box, _ in found] == [box.row.tag for box in PLAN.boxes]
    assert drawn_already(found).count(True) in {drawn, 0}
    assert capfd.readouterr() == ("", "")


def test_problems_come_with_their_boxes() -> None:
    """From either half."""
    fitter = Fitter(PLAN.job, words(), Part())
    alone = [fitter.fit(box)[1] for box in PLAN.boxes]
    assert [problems for _, problems in fitted()] == alone


@pytest.mark.parametrize("boxes", [3, len(PLAN.boxes)])
def test_progress_ends_at_the_end(boxes: int) -> None:
    """Never beyond it."""
    told: list[tuple[int, int]] = []

    def steps() -> Iterator[tuple[FittedBox, list[Problem]]]:
        fitter = Fitter(PLAN.job, words(), Part())
        return fit_on_two_cores(fitter, PLAN.boxes[:boxes], lambda done, of: told.append((done, of)))

    list(steps())
    assert told[-1] == (boxes, boxes)
    assert all(done <= of for done, of in told)


def test_cores_are_those_that_may_be_used(monkeypatch: pytest.MonkeyPatch) -> None:
    """Of a machine that says so; one where no process can be forked."""
    monkeypatch.undo()
    assert two_cores._cores() == len(os.sched_getaffinity(0))
    monkeypatch.delattr(os, "sched_getaffinity")
    assert two_cores._cores() == os.cpu_count()
    monkeypatch.delattr(os, "fork")
    assert two_cores._cores() == 1
