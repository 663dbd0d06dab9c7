"""Which phones are let in to which job: invitations, tokens, and one click that makes all of them void.

An invitation is the secret in a job's code. It is new whenever the desk starts; tokens stay, so that a phone
goes on where it was. Closing a job's door makes both void.
"""

import datetime as dt
import hashlib
import secrets
import threading
import time
from pathlib import Path

from msgspec.structs import replace

from tagmaker.desk.door import new_secret
from tagmaker.desk.phones.kept import Device, Kept, read_kept, write_kept
from tagmaker.workflows.typed import one_line

__all__ = ["DEVICES_AT_MOST", "NAME_AT_MOST", "Devices", "clean_name"]

DEVICES_AT_MOST = 200
NAME_AT_MOST = 40
"""Characters of a person's name: it is written into files and shown on other phones."""
ID_BYTES = 4


def clean_name(text: str) -> str:
    """A name as it is kept: one line, no characters that show as nothing, no longer than it may be."""
    return one_line(text, NAME_AT_MOST)


def _digest(token: str) -> str:
    return hashlib.sha256(token.encode("utf-8", "surrogateescape")).hexdigest()


class Devices:
    """The phones of all jobs of a desk, kept in a file; from any thread."""

    def __init__(self, file: Path) -> None:
        self._file = file
        self._kept = read_kept(file)
        self._lock = threading.Lock()
        self._invitations: dict[str, str] = {}
        self._seen: dict[str, float] = {}

    # --- the door -------------------------------------------------------------------------------------------

    @property
    def port(self) -> int:
        """The port that phones know; 0 before the first."""
        return self._kept.port

    @property
    def any(self) -> bool:
        """Whether any phone is let in."""
        return bool(self._kept.devices)

    @property
    def open_jobs(self) -> tuple[str, ...]:
        """The ids of the jobs that are open."""
        return self._kept.open

    def invitation(self, job: str) -> str:
        """The secret of a job's code, "" where its door is closed."""
        with self._lock:
            if job not in self._kept.open:
                return ""
            return self._invitations.setdefault(job, new_secret())

    def open_job(self, job: str, port: int) -> None:
        """Open a job's door at a port; OSError where that cannot be kept."""
        with self._lock:
            jobs = tuple(dict.fromkeys((*self._kept.open, job)))
            self._keep(replace(self._kept, port=port, open=jobs))

    def close(self, job: str) -> None:
        """Close a job's door: its code and the tokens of its phones are void."""
        with self._lock:
            self._invitations.pop(job, None)
            jobs = tuple(each for each in self._kept.open if each != job)
            left = tuple(each for each in self._kept.devices if each.job != job)
            self._kept = replace(self._kept, open=jobs, devices=left)  # void, even if it cannot be written
            self._keep(self._kept)

    # --- phones ---------------------------------------------------------------------------------------------

    def job_of_invitation(self, given: str) -> str:
        """The id of the job whose code has this secret; "" for none."""
        with self._lock:
            found = ""
            for job, secret in self._invitations.items():
                if secrets.compare_digest(given.encode("utf-8", "replace"), secret.encode()):
                    found = job
            return found

    def let_in(self, job: str, name: str) -> tuple[Device, str] | None:
        """A new phone of a job and its token; None where there are too many, or the door was closed."""
        token = new_secret()
        with self._lock:
            if job not in self._kept.open or len(self._kept.devices) >= DEVICES_AT_MOST:
                return None
            since = dt.datetime.now(dt.UTC).strftime("%Y-%m-%dT%H:%M:%SZ")
            device = Device(secrets.token_hex(ID_BYTES), name, job, _digest(token), since)
            self._keep(replace(self._kept, devices=(*self._kept.devices, device)))
            return device, token

    def of_token(self, token: str) -> Device | None:
        """The phone that has a token, of a job whose door is open."""
        digest = _digest(token)
        with self._lock:
            found = None
            for each in self._kept.devices:
                if secrets.compare_digest(each.token, digest) and each.job in self._kept.open:
                    found = each
            if found:
                self._seen[found.id] = time.time()
            return found

    def of_job(self, job: str) -> list[tuple[Device, float]]:
        """The phones of a job in the order in which they came, with when each was last here (0: not yet)."""
        with self._lock:
            return [(each, self._seen.get(each.id, 0.0)) for each in self._kept.devices if each.job == job]

    def _keep(self, kept: Kept) -> None:
        write_kept(self._file, kept)
        self._kept = kept
