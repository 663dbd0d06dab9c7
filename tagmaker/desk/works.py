"""Long works in processes of their own: a set made, a long check; with progress, and a way to stop them.

A process keeps the pages quick and its memory ends with it; `spawn` is the way to start one that every system
has, and the only safe one beside threads. A work that is stopped undoes what it began, as a stopped command
does; the desk's end stops all.
"""

import gc
import itertools
import multiprocessing
import threading
from collections.abc import Callable
from multiprocessing.connection import Connection
from typing import Any, Literal

from msgspec import Struct

from tagmaker.desk.events import Events
from tagmaker.files.stopping import stop_cleanly

__all__ = ["Function", "Work", "Works"]

SPAWN = multiprocessing.get_context("spawn")
KEPT = 50  # finished works whose results can still be asked for
END_SECONDS = 1.0
State = Literal["running", "done", "stopped", "failed"]


Function = Callable[..., Any]
"""A function of a module that takes, after its own arguments, `progress(done, of)`; its result is pickled."""


class Work(Struct):
    """A work as it is now: how much is done of how much, and its result once it is done."""

    number: int
    job: str
    kind: str
    state: State = "running"
    done: int = 0
    of: int = 0
    result: Any = None

    @property
    def shown(self) -> dict[str, Any]:
        """What the event `work` tells its pages; the result is asked for."""
        return {
            "number": self.number, "kind": self.kind, "state": self.state, "done": self.done, "of": self.of,
        }  # fmt: skip


class Works:
    """All works of a desk; one of a kind at a time for a job."""

    def __init__(self, events: Events) -> None:
        self.events = events
        self.works: dict[int, Work] = {}
        self._processes: dict[int, Any] = {}
        self._numbers = itertools.count(1)
        self._lock = threading.Lock()

    def start(self, job: str, kind: str, function: Function, *arguments: Any) -> Work | None:
        """Begin a work; None where one of this kind is running for the job already."""
        with self._lock:
            if any(
                (work.job, work.kind, work.state) == (job, kind, "running") for work in self.works.values()
            ):
                return None
            work = Work(next(self._numbers), job, kind)
            self.works[work.number] = work
            for old in [each for each in self.works.values() if each.state != "running"][:-KEPT]:
                del self.works[old.number]
        try:
            self._begin(work, function, arguments)
        except BaseException:  # no process, no file handles left: the next try must not wait for this one
            work.state = "failed"
            raise
        return work

    def _begin(self, work: Work, function: Function, arguments: tuple[Any, ...]) -> None:
        """Start the work's process, and the thread that takes what it sends.

        It is no daemon, as it has processes of its own for a large job.
        """
        receiving, sending = SPAWN.Pipe(duplex=False)
        with sending:  # once it is closed the child's end alone is open, so that its death is seen
            process = SPAWN.Process(target=_run, args=(sending, function, arguments))
            process.start()
        self._processes[work.number] = process
        threading.Thread(target=self._follow, args=(work, receiving, process), daemon=True).start()

    def running(self) -> list[int]:
        """The numbers of the works whose processes have not ended."""
        return list(self._processes)

    def stop(self, number: int) -> None:
        """Ask a work's process to end; it undoes what it began."""
        work, process = self.works.get(number), self._processes.get(number)
        if work and process and work.state == "running":
            work.state = "stopped"
            process.terminate()

    def end(self) -> None:
        """Stop every work; called when the desk ends, which would wait for one that goes on."""
        for number in list(self._processes):
            self.stop(number)
        for process in list(self._processes.values()):
            process.join(END_SECONDS)
            process.kill()

    def _follow(self, work: Work, receiving: Connection, process: Any) -> None:
        """Take what the process sends until it ends; its own thread."""
        with receiving:
            try:
                while True:
                    match receiving.recv():
                        case ("progress", done, of):
                            work.done, work.of = done, of
                        case ("result", result):
                            work.result, work.state = result, "done"
                    self.events.send(work.job, "work", work.shown)
            except (EOFError, OSError):  # the process has ended, perhaps in the middle of a message
                pass
        process.join()
        if work.state == "running":
            work.state = "failed"
        self._processes.pop(work.number, None)
        self.events.send(work.job, "work", work.shown)


def _run(sending: Connection, function: Function, arguments: tuple[Any, ...]) -> None:
    """Child process: run the function, and send its progress and result."""
    stop_cleanly()
    gc.disable()  # as a command does: a run keeps what it makes

    def progress(done: int, of: int) -> None:
        sending.send(("progress", done, of))

    sending.send(("result", function(*arguments, progress=progress)))
    sending.close()
