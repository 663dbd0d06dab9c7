"""Landing checks that go on: each window of a browser scans into a session of its own.

Two people with two scanners never share a terminal: what one of them scanned last is not where the other
began. A window that is opened again goes on with the last session of the day that no window holds.
"""

import datetime as dt
import threading
from pathlib import Path

from msgspec import Struct

from tagmaker.workflows.live_scan import LiveScan, new_session, sessions
from tagmaker.workflows.returned import job_digest

__all__ = ["LiveScans"]

OLD = 12  # windows kept, each with its plan; the oldest are let go, and go on with the session that is free


class _Held(Struct):
    """A session that a window holds, and the job's files as they were when it was opened."""

    scan: LiveScan
    digest: str
    window: str


class LiveScans:
    """The open sessions of all jobs, by their folder and name. `lock` is held while one is used."""

    def __init__(self) -> None:
        self.lock = threading.Lock()
        self._held: dict[tuple[Path, str], _Held] = {}

    def of(self, folder: Path, window: str, *, is_new: bool = False) -> LiveScan:
        """The session of a window; with `is_new` one that nobody has begun. The lock must be held."""
        own = next(
            (each for (job, _), each in self._held.items() if job == folder and each.window == window), None
        )
        if own and not is_new:
            return self._fresh(folder, own.scan.name, window)
        if own:
            self.leave(folder, window)
        return self._fresh(folder, self._name(folder, is_new=is_new), window)

    def leave(self, folder: Path, window: str) -> None:
        """Let a window's session go: another may go on with it."""
        self._held = {
            key: each for key, each in self._held.items() if (key[0], each.window) != (folder, window)
        }

    def _name(self, folder: Path, *, is_new: bool) -> str:
        today = dt.datetime.now().astimezone().date()
        held = [name for job, name in self._held if job == folder]
        free = [name for name in sessions(folder) if name.startswith(f"scans-{today}") and name not in held]
        return free[-1] if free and not is_new else new_session(folder, today, held)

    def _fresh(self, folder: Path, name: str, window: str) -> LiveScan:
        """The session, read again where the job changed since it was opened."""
        digest = job_digest(folder)
        held = self._held.get((folder, name))
        if held is None or held.digest != digest:
            held = self._held[folder, name] = _Held(LiveScan(folder, name), digest, window)
        for old in list(self._held)[:-OLD]:
            del self._held[old]
        return held.scan
