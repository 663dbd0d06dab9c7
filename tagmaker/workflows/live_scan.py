"""The stages of a landing check as it is scanned: read what was scanned before → take a line → answer it.

Takes one line at a time, as `scan -` does, and keeps it in the session's file before it is answered. All
other sessions that came back count too, each as a source of its own, so that every terminal has its state.
"""

import datetime as dt
import re
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from pathlib import Path
from typing import Literal

from msgspec import Struct

from tagmaker.catalog.folders import outside
from tagmaker.files.plain import is_plain_file, lies_within, plain_size
from tagmaker.files.refused import cannot_write
from tagmaker.files.write import make_folder
from tagmaker.problems import Problem, Where, error
from tagmaker.site.scans.codes import is_remark
from tagmaker.site.scans.landing import LandingResult, PortResult
from tagmaker.site.scans.session import keeping, kept_lines, refused
from tagmaker.workflows.readback_scans import divided
from tagmaker.workflows.returned import RETURNED, returned_files, returned_folder
from tagmaker.workflows.scan import Against, Answer, Lines, open_session, take_file
from tagmaker.workflows.scan_words import verdict_line

__all__ = ["LiveAnswer", "LiveScan", "LiveState", "new_session", "sessions"]

SESSION = re.compile(r"scans-\d{4}-\d{2}-\d{2}-(\d{2,})\.txt", re.ASCII)
LiveState = Literal["agrees", "not complete", "crossed", "not counted", "matches", "differs", "unknown"]
"""What is shown large: a terminal's result, or what a code is that is no terminal's."""
STATES: Mapping[LandingResult, LiveState] = {
    "agree": "agrees", "missing": "not complete", "crossed": "crossed", "not scanned": "not counted",
}  # fmt: skip


class LiveAnswer(Struct, frozen=True):
    """The answer to one scanned text: what to show large, the line that says why, then what to do first.

    `at` is the terminal that the text was scanned at, None where none was open.
    """

    state: LiveState
    line: str
    details: tuple[str, ...] = ()
    at: PortResult | None = None


def sessions(job: Path) -> list[str]:
    """The names of the sessions that were kept by this, oldest first."""
    folder = returned_folder(job)
    files = (file for file in returned_files(job) if file.parent == folder)
    return sorted((file.name for file in files if SESSION.fullmatch(file.name)), key=_by_number)


def _by_number(name: str) -> tuple[str, int]:
    match = SESSION.fullmatch(name)
    return name[:16], int(match[1]) if match else 0


def new_session(job: Path, today: dt.date, taken: Sequence[str] = ()) -> str:
    """The name of a session of a day that nobody has begun; `taken` are those begun without a line yet."""
    begun = {*sessions(job), *taken}
    number = 1
    while (name := f"scans-{today.isoformat()}-{number:02}.txt") in begun:
        number += 1
    return name


class LiveScan:
    """A session of scanning that goes on; lines go in one by one. Not to be used by two threads at once."""

    def __init__(self, job: Path, name: str) -> None:
        self.job, self.name = job, name
        self._answers: list[Answer] = []
        self._minute, self._remarks = "", 0
        self._session, problems = open_session(Against(job), self._answers.append)
        self.job_problems = tuple(problems)
        for file in divided(returned_files(job))[0]:
            if file.name != name:
                take_file(self._session, file)
        self._session.leave_terminal()
        self._lines = Lines(self._session, name)
        folder = returned_folder(job)
        self._size = _size(folder / name) if isinstance(folder, Path) else 0
        for line in kept_lines(folder / name) if isinstance(folder, Path) else ():
            self._lines.put(line)
            self._remarks += is_remark(line)
        if self._session.landing:
            self._session.landing.is_live = True
        self._answers.clear()

    @property
    def is_judged(self) -> bool:
        """Whether the job could be planned, so that scans can be compared with it."""
        return self._session.landing is not None

    @property
    def lines(self) -> int:
        """How many lines the session has, less its remarks with times."""
        return self._lines.number - self._remarks

    @property
    def held(self) -> int:
        """The lines of a placard that is not complete yet."""
        return self._lines.held

    @property
    def problems(self) -> tuple[Problem, ...]:
        """What is to be said of the lines as a whole: the keyboard layout that they were typed on."""
        return tuple(self._lines.problems())

    @property
    def at(self) -> PortResult | None:
        """The terminal at which tags count now."""
        landing = self._session.landing
        return landing.result_at(landing.at) if landing and landing.at else None

    @property
    def terminals(self) -> tuple[PortResult, ...]:
        """Every terminal's result in walking order; none before the first was scanned."""
        return self._session.results

    @property
    def counts(self) -> Counter[str]:
        """How many terminals have each result."""
        return Counter(each.result for each in self.terminals)

    def put(self, text: str) -> tuple[LiveAnswer, ...] | Problem:
        """Take what was scanned: on disk first, then answered; a problem where it cannot be kept.

        One text is one line as a rule; each of several lines is kept and answered by itself.
        """
        folder = returned_folder(self.job)
        if isinstance(folder, Problem):
            return folder
        path = folder / self.name
        if not lies_within(path, self.job):
            return outside(f"{RETURNED}/{self.name}", Where(RETURNED))
        if _size(path) != self._size:  # lines of two scanners mixed would be taken for one person's
            message = f"another program changed {RETURNED}/{self.name} since it was read"
            return error("output-blocked", message, Where(path.as_posix()), "begin a new session")
        try:
            make_folder(folder)
            lines = [*self._time(), *text.splitlines()]
            return refused(path) or tuple(self._taken(keeping(lines, path)))
        except OSError as reason:
            return cannot_write(path, reason, "make room on the disk, then scan it again")
        finally:
            self._size = _size(path)

    def _time(self) -> Iterator[str]:
        """A remark with the time, once a minute: it places the lines among those of other sessions."""
        now = dt.datetime.now(dt.UTC).strftime("%Y-%m-%dT%H:%M")
        if now != self._minute:
            self._minute = now
            self._remarks += 1
            yield f"# {now}:00Z desk"

    def _taken(self, lines: Iterable[str]) -> Iterator[LiveAnswer]:
        """Answer lines that are on disk, one after the other."""
        for line in lines:
            before = self.at
            self._lines.put(line)
            yield from (self._answered(each, before) for each in self._answers)
            self._answers.clear()

    def _answered(self, answer: Answer, before: PortResult | None) -> LiveAnswer:
        at = self.at
        if at and answer.outcome in {"opened", "agrees", "crossed"}:
            return LiveAnswer(STATES[at.result], answer.landing.strip(), tuple(_details(at)), at)
        verdict = answer.verdict
        line = answer.landing.strip() or verdict_line(verdict)
        if answer.outcome == "not counted":
            return LiveAnswer("not counted", line, at=at)
        details = (*((verdict_line(verdict),) if answer.landing else ()), *verdict.differences)
        if verdict.scan.kind == "unknown":
            return LiveAnswer("unknown", line, details, before)
        return LiveAnswer("differs" if verdict.is_wrong else "matches", line, details, before)


def _size(path: Path) -> int:
    """Bytes of a session's file; 0 where there is none."""
    return plain_size(path) if is_plain_file(path) else 0


def _details(at: PortResult) -> Iterator[str]:
    """Each crossing with both ends and what to do first; what is missing."""
    for each in at.crossings:
        yield each.message
        yield each.mend
    if at.missing:
        yield f"missing: {', '.join(at.missing)}"
