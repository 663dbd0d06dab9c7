"""Works run in processes of their own: progress, results, a bug, a kill, a stop, one of a kind at a time."""

import time
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from tagmaker.desk.events import Events
from tagmaker.desk.works import Work, Works
from tests.desk import slow

PATIENCE_SECONDS = 60.0


@pytest.fixture
def works() -> Iterator[Works]:
    """The works of a desk without pages; all ended at the end."""
    own = Works(Events())
    yield own
    own.end()


def until(is_so: Callable[[], bool]) -> None:
    """Wait for something that another process does."""
    end = time.monotonic() + PATIENCE_SECONDS
    while not is_so():
        assert time.monotonic() < end, "it never happened"
        time.sleep(0.01)


def ended(work: Work | None) -> Work:
    """The work, once it is over."""
    assert work
    until(lambda: work.state != "running")
    return work


def test_a_result_and_its_progress_arrive(works: Works) -> None:
    """The last step that was reported is the last one done."""
    work = ended(works.start("job", "count", slow.counted, 3))
    assert (work.state, work.done, work.of, work.result) == ("done", 3, 3, "counted to 3")


@pytest.mark.parametrize("function", [slow.fails, slow.dies, slow.dies_speaking])
def test_a_process_that_ends_without_a_result_has_failed(
    works: Works, function: Callable[..., str], capfd: pytest.CaptureFixture[str]
) -> None:
    """A bug leaves its traceback in the terminal; the page is told that the work failed."""
    work = ended(works.start("job", "bug", function))
    assert (work.state, work.result) == ("failed", None)
    assert ("ZeroDivisionError" in capfd.readouterr().err) == (function is slow.fails)


def test_one_of_a_kind_runs_for_a_job_at_a_time(works: Works, tmp_path: Path) -> None:
    """Another kind, or another job's, runs beside it."""
    first = works.start("job", "hold", slow.holds, tmp_path / "started")
    assert works.start("job", "hold", slow.holds, tmp_path / "again") is None
    assert ended(works.start("job", "count", slow.counted, 1)).state == "done"
    assert ended(works.start("other", "hold", slow.counted, 1)).state == "done"
    assert first
    works.stop(first.number)
    assert ended(works.start("job", "hold", slow.counted, 1)).state == "done"


def test_a_stopped_work_ends_its_process(works: Works, tmp_path: Path) -> None:
    """And is reported as stopped, not as failed."""
    work = works.start("job", "hold", slow.holds, started := tmp_path / "started")
    until(started.exists)
    assert work
    works.stop(work.number)
    until(lambda: not works.running())
    assert (work.state, work.result) == ("stopped", None)


def test_a_process_that_cannot_begin_leaves_the_way_free(
    works: Works, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The system has no process left: the error is the page's, and the next try is not refused."""

    def refuse(*_arguments: object, **_values: object) -> None:
        raise OSError("no process left")

    with monkeypatch.context() as patched:
        patched.setattr("tagmaker.desk.works.SPAWN.Process", refuse)
        with pytest.raises(OSError, match="no process left"):
            works.start("job", "count", slow.counted, 1)
    assert ended(works.start("job", "count", slow.counted, 1)).state == "done"


def test_the_end_of_the_desk_stops_all(tmp_path: Path) -> None:
    """No process is left."""
    own = Works(Events())
    own.start("job", "hold", slow.holds, started := tmp_path / "started")
    until(started.exists)
    own.end()
    until(lambda: not own.running())


def test_old_results_are_dropped(works: Works, monkeypatch: pytest.MonkeyPatch) -> None:
    """A desk runs all day; the newest results stay."""
    monkeypatch.setattr("tagmaker.desk.works.KEPT", 1)
    numbers = [ended(works.start("job", "count", slow.counted, 1)).number for _ in range(3)]
    assert sorted(works.works) == numbers[-2:]
