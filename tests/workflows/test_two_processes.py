"""Two cores make what one makes, byte for byte, and one does it all where the second fails."""

import os
import signal
from collections.abc import Iterator
from pathlib import Path

import pytest

from tagmaker.draw.marks import Drawn
from tagmaker.plan.model import BoxPlan
from tagmaker.plan.plan_job import plan_job
from tagmaker.problems import Problem, Where, note
from tagmaker.revisions.selection import Selection
from tagmaker.sheets.box import FittedBox
from tagmaker.workflows import make
from tagmaker.workflows import two_processes as two_cores
from tagmaker.workflows.two_processes import MANY, Fitter, fit_in_two_processes
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
HERE = os.getpid()


@pytest.fixture(autouse=True)
def two(monkeypatch: pytest.MonkeyPatch) -> None:
    """Two cores, whatever this machine has."""
    monkeypatch.setattr(two_cores, "_cores", lambda: 2)


def fitted(
    fitter: Fitter | None = None, boxes: int = len(PLAN.boxes)
) -> list[tuple[FittedBox, list[Problem]]]:
    """Boxes of the campus, laid out."""
    fitter = fitter or Fitter(PLAN.job, words(), Selection())
    return list(fit_in_two_processes(fitter, PLAN.boxes[:boxes], lambda _done, _of: None))


def made(out: Path, job: Path) -> dict[str, bytes]:
    """Every file of the campus's set, as it is on disk."""
    result = make.make(job, out, selection=Selection(proof=False))
    assert result.checked.problems == ()
    return {path.name: path.read_bytes() for path in sorted(out.iterdir())}


class Signing(Fitter, frozen=True):
    """Each box comes with a note of the process that laid it out."""

    def fit(self, box: BoxPlan) -> tuple[FittedBox, list[Problem]]:
        """As ever, and the process's number."""
        fitted, problems = super().fit(box)
        return fitted, [*problems, note("spare-in-middle", str(os.getpid()), Where(""))]


class Failing(Signing, frozen=True):
    """In the second process the last box but one cannot be laid out; in the first it can."""

    def fit(self, box: BoxPlan) -> tuple[FittedBox, list[Problem]]:
        """Fail where this is not the process in which the test runs."""
        if box is PLAN.boxes[-2] and os.getpid() != HERE:
            raise MemoryError
        return super().fit(box)


class Killed(Signing, frozen=True):
    """The second process is killed as it begins."""

    def fit(self, box: BoxPlan) -> tuple[FittedBox, list[Problem]]:
        """Be killed where this is not the process in which the test runs."""
        if os.getpid() != HERE:
            os.kill(os.getpid(), signal.SIGKILL)
        return super().fit(box)


def elsewhere(found: list[tuple[FittedBox, list[Problem]]]) -> list[bool]:
    """Of each box whether another process laid it out."""
    return [problems[-1].message != str(os.getpid()) for _, problems in found]


def test_two_cores_make_the_same_files_as_one(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Byte for byte, labels that cross from one half to the other on a sheet included."""
    job = CAMPUS.write(tmp_path / "job")
    both = made(tmp_path / "both", job)
    monkeypatch.setattr(two_cores, "_cores", lambda: 1)
    assert both == made(tmp_path / "one", job)


def test_a_second_process_takes_the_second_half() -> None:
    """In the job's order."""
    found = fitted(Signing(PLAN.job, words(), Selection()))
    assert elsewhere(found) == [False] * 9 + [True] * 8
    assert [box.box.row.tag for box, _ in found] == [f"BB-{number}" for number in range(1, MANY + 2)]


def test_codes_on_what_is_drawn_are_still_looked_for(tmp_path: Path) -> None:
    """Every tag's and both of every placard's."""
    result = make.make(CAMPUS.write(tmp_path / "job"), tmp_path / "out")
    assert result.codes_read == result.tags + 2 * result.boxes + dict(result.files)["walk.pdf"]


def test_few_boxes_need_no_second_process(monkeypatch: pytest.MonkeyPatch) -> None:
    """It would cost more than it saves."""
    monkeypatch.setattr(os, "fork", lambda: pytest.fail("a process was forked"))
    found = fitted(Signing(PLAN.job, words(), Selection()), MANY - 1)
    assert elsewhere(found) == [False] * (MANY - 1)


@pytest.mark.parametrize("sort", [Failing, Killed])
def test_what_the_second_does_not_make_the_first_makes(
    sort: type[Fitter], capfd: pytest.CaptureFixture[str]
) -> None:
    """A process that dies takes nothing with it, and says nothing."""
    found = fitted(sort(PLAN.job, words(), Selection()))
    assert [box.box.row.tag for box, _ in found] == [box.row.tag for box in PLAN.boxes]
    assert elsewhere(found)[-2:] == [False, False]
    assert capfd.readouterr() == ("", "")


def test_problems_come_with_their_boxes() -> None:
    """From either half."""
    fitter = Fitter(PLAN.job, words(), Selection())
    alone = [fitter.fit(box)[1] for box in PLAN.boxes]
    assert [problems for _, problems in fitted()] == alone


@pytest.mark.parametrize("boxes", [3, len(PLAN.boxes)])
def test_progress_ends_at_the_end(boxes: int) -> None:
    """Never beyond it."""
    told: list[tuple[int, int]] = []

    def steps() -> Iterator[tuple[FittedBox, list[Problem]]]:
        fitter = Fitter(PLAN.job, words(), Selection())
        return fit_in_two_processes(fitter, PLAN.boxes[:boxes], lambda done, of: told.append((done, of)))

    list(steps())
    assert told[-1] == (boxes, boxes)
    assert all(done <= of for done, of in told)


def test_where_nothing_is_printed_boxes_stay_marks(monkeypatch: pytest.MonkeyPatch) -> None:
    """`check` draws nothing, and forks nothing."""
    monkeypatch.setattr(os, "fork", lambda: pytest.fail("a process was forked"))
    found = fitted(Fitter(PLAN.job, words(), Selection(), inks=False))
    assert not any(isinstance(mark, Drawn) for box, _ in found for mark in box.labels[0].marks)


def test_cores_are_those_that_may_be_used(monkeypatch: pytest.MonkeyPatch) -> None:
    """Of a machine that says so; one where no process can be forked."""
    monkeypatch.undo()
    assert two_cores._cores() == len(os.sched_getaffinity(0))
    monkeypatch.delattr(os, "sched_getaffinity")
    assert two_cores._cores() == os.cpu_count()
    monkeypatch.delattr(os, "fork")
    assert two_cores._cores() == 1
