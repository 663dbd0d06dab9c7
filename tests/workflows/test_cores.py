"""Several processes give what one gives, in its order, forked or started anew; what they do not, one does."""

import os
import signal
import threading
import time
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from tagmaker.workflows import cores as cores_module
from tagmaker.workflows.cores import Workers, cores, on_cores, start_method

HERE = os.getpid()
MANY = range(40)
PATIENCE_SECONDS = 60.0


@pytest.fixture(autouse=True)
def two(monkeypatch: pytest.MonkeyPatch) -> None:
    """Two cores, whatever this machine has; forked, whatever runs beside the tests."""
    monkeypatch.setattr(cores_module, "cores", lambda: 2)
    monkeypatch.setattr(cores_module, "start_method", lambda: "fork")


def where(item: int) -> tuple[int, int]:
    """An item, and the process that has it."""
    return item, os.getpid()


def where_at_first(item: int) -> tuple[int, int]:
    """The same, but no other process than the tests' does the later ones."""
    if item >= 20 and os.getpid() != HERE:
        raise MemoryError
    return where(item)


def where_alive(item: int) -> tuple[int, int]:
    """The same, but another process than the tests' is killed by the later ones."""
    if item >= 20 and os.getpid() != HERE:
        os.kill(os.getpid(), signal.SIGKILL)
    return where(item)


def fails(item: int) -> int:
    """A bug, wherever it is met."""
    return 1 // (item - 30)


def here(found: Iterator[tuple[int, int]]) -> list[bool]:
    """Of each item whether the tests' process did it; all of them are there, in order."""
    done = list(found)
    assert [item for item, _ in done] == list(MANY)
    return [process == HERE for _, process in done]


def test_other_processes_do_the_work() -> None:
    """All of it but the first item, in the items' order."""
    assert here(on_cores(where, MANY, 10)) == [True] + [False] * (len(MANY) - 1)


def test_processes_that_are_started_anew_do_the_same(monkeypatch: pytest.MonkeyPatch) -> None:
    """The only way where the system cannot fork, or threads run beside."""
    monkeypatch.setattr(cores_module, "start_method", lambda: "spawn")
    assert here(on_cores(where, MANY, 10)) == [False] * len(MANY)


def test_no_process_of_long_work_is_forked() -> None:
    """It would begin with all that this one holds; started anew it is told all that it needs."""
    assert here(on_cores(where, MANY, cores_module.ANEW)) == [False] * len(MANY)


@pytest.mark.parametrize("method", ["fork", "spawn"])
def test_one_work_after_the_other_is_done_by_the_same_processes(
    method: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """What is begun is done meanwhile; each work has its own results, those of short work too."""
    monkeypatch.setattr(cores_module, "start_method", lambda: method)
    with Workers() as workers:
        begun = [begin(workers, where, item, 10) for item in (1, 2)]
        assert here(workers.each(where, MANY, 0)) == [False] * len(MANY)
        others = [begin(workers, other, item, 0)() for item in MANY]
        assert [item for item, _ in others] == [-item for item in MANY]
        assert [item for item, _ in (each() for each in begun)] == [1, 2]
        done_by = {process for _, process in others} | {each()[1] for each in begun}
        assert HERE not in done_by
        assert len(done_by) <= 2


def begin(
    workers: Workers, function: Callable[[int], tuple[int, int]], item: int, seconds: float
) -> Callable[[], tuple[int, int]]:
    """Have processes begin with an item, which pay for it."""
    begun = workers.begin(function, item, seconds)
    assert begun
    return begun


def other(item: int) -> tuple[int, int]:
    """Another function than the first."""
    return -item, os.getpid()


def test_nothing_is_begun_where_it_does_not_pay() -> None:
    """Whoever asked does it, as is best in the same process."""
    done: list[int] = []
    with Workers() as workers:
        assert workers.begin(done.append, 1, 0.1) is None
        assert workers.processes is None
    assert done == []


@pytest.mark.parametrize("function", [where_at_first, where_alive])
def test_what_was_begun_and_no_process_gave_is_done_here(
    function: Callable[[int], tuple[int, int]], capfd: pytest.CaptureFixture[str]
) -> None:
    """So is all that is begun after the processes are gone."""
    with Workers() as workers:
        assert begin(workers, function, 30, 10)() == (30, HERE)
        assert begin(workers, function, 31, 10)() == (31, HERE)
    assert capfd.readouterr() == ("", "")


@pytest.mark.parametrize("function", [where_at_first, where_alive])
def test_what_others_do_not_is_done_here(
    function: Callable[[int], tuple[int, int]], capfd: pytest.CaptureFixture[str]
) -> None:
    """A process that runs out of memory or is killed takes nothing with it, and prints nothing."""
    assert all(here(on_cores(function, MANY, 10))[20:])
    assert capfd.readouterr() == ("", "")


def test_a_bug_is_raised_here() -> None:
    """With the place in which it is."""
    with pytest.raises(ZeroDivisionError):
        list(on_cores(fails, MANY, 10))


def test_items_are_taken_while_others_are_done() -> None:
    """And one that cannot be made ends all."""

    def items() -> Iterator[int]:
        yield from MANY[:20]
        raise KeyError

    with pytest.raises(KeyError):
        list(on_cores(where, items(), 10))


@pytest.mark.parametrize("why", ["little work", "one core", "a daemon", "no semaphores"])
def test_no_process_where_it_does_not_pay_or_cannot_be(why: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """All is done here then."""
    if why == "one core":
        monkeypatch.setattr(cores_module, "cores", lambda: 1)
    if why == "a daemon":
        monkeypatch.setattr("multiprocessing.process.BaseProcess.daemon", 1)
    if why == "no semaphores":
        monkeypatch.setattr("concurrent.futures.process._check_system_limits", no_semaphores)
    assert here(on_cores(where, MANY, 0.1 if why == "little work" else 100)) == [True] * len(MANY)


def no_semaphores() -> None:
    """As Python answers where the system has none."""
    raise NotImplementedError


def test_cores_are_those_that_may_be_used(monkeypatch: pytest.MonkeyPatch) -> None:
    """Of a system that gives them; of another all that it has."""
    assert cores() == len(os.sched_getaffinity(0))
    monkeypatch.delattr(os, "sched_getaffinity")
    assert cores() == os.cpu_count()


def test_nothing_is_forked_beside_a_thread(monkeypatch: pytest.MonkeyPatch) -> None:
    """Nor where the system forks nothing."""
    monkeypatch.setattr(threading, "active_count", lambda: 1)
    assert start_method() == "fork"
    monkeypatch.setattr(threading, "active_count", lambda: 2)
    assert start_method() == "spawn"
    monkeypatch.setattr(threading, "active_count", lambda: 1)
    monkeypatch.setattr("multiprocessing.get_all_start_methods", lambda: ["spawn"])
    assert start_method() == "spawn"


def told(item: Path | None) -> None:
    """Tell that this process is at work, then work without an end; the first item is done at once."""
    if item is None:
        return
    (item / str(os.getpid())).touch()
    time.sleep(PATIENCE_SECONDS)


def test_processes_end_with_a_run_that_is_killed(tmp_path: Path) -> None:
    """None of them works on for nobody."""
    child = os.fork()
    if child == 0:
        try:
            list(on_cores(told, [None, tmp_path, tmp_path], 10))
        finally:
            os._exit(1)
    until(lambda: len(list(tmp_path.iterdir())) == 2)
    os.kill(child, signal.SIGKILL)
    os.waitpid(child, 0)
    until(lambda: not any(is_running(int(each.name)) for each in tmp_path.iterdir()))


def until(is_so: Callable[[], bool]) -> None:
    """Wait for something that another process does."""
    end = time.monotonic() + PATIENCE_SECONDS / 2
    while not is_so():
        assert time.monotonic() < end, "it never happened"
        time.sleep(0.01)


def is_running(process: int) -> bool:
    """Whether a process is there and has not ended."""
    try:
        status = Path(f"/proc/{process}/stat").read_text(encoding="ascii")
    except OSError:
        return False
    return status.rpartition(")")[2].split()[0] != "Z"
