"""What scans found, for `readback`: tags that were crossed or not scanned at a terminal, box by box.

Takes sessions of scanning, text files of codes as `scan` takes them. A scan shows only that tags match, so
that one which agrees adds nothing here: it makes nothing right.
"""

from collections.abc import Iterable, Iterator, Sequence
from pathlib import Path

from msgspec import Struct

from tagmaker.catalog.words import Words
from tagmaker.files.plain import read_head
from tagmaker.plan.model import Plan
from tagmaker.problems import Problem, Where, error
from tagmaker.site.scans.judge import Verdict
from tagmaker.site.scans.kinds import HEAD_BYTES
from tagmaker.site.scans.landing import PortResult
from tagmaker.site.scans.sources import is_lines
from tagmaker.tags.work_list import WorkItem
from tagmaker.workflows.scan import scan_session, take_file

__all__ = ["ScansBack", "divided", "scans_back"]

OTHER_TEXTS = {".json", ".csv", ".tsv", ".pdf"}
"""Endings of files that other readers take."""
SPACE = b"\xef\xbb\xbf \t\r\n"


class ScansBack(Struct, frozen=True):
    """Lines for what is crossed, and for what was not scanned at a terminal that was scanned.

    `results` has every terminal, none where none was scanned; `placards` what was scanned of placards.
    `differing` are lines for placards that differ from today's; `strange` are those that are damaged, or of
    no box of the job.
    """

    crossed: tuple[WorkItem, ...] = ()
    missing: tuple[WorkItem, ...] = ()
    results: tuple[PortResult, ...] = ()
    placards: tuple[Verdict, ...] = ()
    differing: tuple[WorkItem, ...] = ()
    strange: tuple[Verdict, ...] = ()

    @property
    def items(self) -> tuple[WorkItem, ...]:
        """All lines."""
        return (*self.crossed, *self.missing, *self.differing)

    @property
    def is_wrong(self) -> bool:
        """Whether anything is crossed, missing or differs, or a placard is damaged or of no box here."""
        return bool(self.items or self.strange)


def divided(files: Iterable[Path]) -> tuple[list[Path], list[Path]]:
    """The text files that may be sessions of scanning, and the rest."""
    sessions: list[Path] = []
    rest: list[Path] = []
    for file in files:
        (sessions if _is_session(file) else rest).append(file)
    return sessions, rest


def _is_session(file: Path) -> bool:
    """Whether a file is a text and no JSON: what a phone exports may be kept under any name."""
    try:
        is_text = file.suffix.lower() not in OTHER_TEXTS and is_lines(file)
        return is_text and not read_head(file, HEAD_BYTES).lstrip(SPACE).startswith(b"{")
    except OSError:
        return False


def scans_back(files: Sequence[Path], plan: Plan, words: Words) -> tuple[ScansBack, list[Problem]]:
    """What all sessions together found; one in which no terminal was scanned is a problem."""
    if not files:
        return ScansBack(), []
    problems: list[Problem] = []
    current, opened = scan_session(plan, lambda _answer: None), 0
    for file in files:
        problems += take_file(current, file)
        visits = sum(map(len, current.landing.visits.values())) if current.landing else 0
        if visits == opened:
            problems.append(_no_terminal(file))
        opened = visits
    crossed = [item for result in current.results for item in _crossed(result, words)]
    missing = [item for result in current.results for item in _missing(result, words)]
    placards = [verdict for verdict in current.verdicts if verdict.scan.kind == "placard"]
    strange = [verdict for verdict in placards if verdict.is_wrong and not _is_of_box(verdict)]
    wrong = [verdict for verdict in placards if verdict.is_wrong and _is_of_box(verdict)]
    differing = tuple(_differing(verdict, words) for verdict in wrong)
    found = (tuple(crossed), tuple(missing), current.results, tuple(placards))
    return ScansBack(*found, differing, tuple(strange)), problems


def _is_of_box(verdict: Verdict) -> bool:
    """Whether a placard is read, and of a box of the job."""
    return verdict.scan.placard is not None and verdict.belongs is not False


def _differing(verdict: Verdict, words: Words) -> WorkItem:
    """A placard of another revision or plan, at the box that it names."""
    wrong = "; ".join(verdict.differences)
    return WorkItem(verdict.scan.box, words("changes.placard"), wrong, words("handover.placard_do"))


def _no_terminal(file: Path) -> Problem:
    """It shows nothing of what is landed, or it is no session of scanning at all."""
    message = f"{file.name} has no code of a terminal of this job"
    hint = "hand in forms, phones' files, response tests, or text files of codes scanned terminal by terminal"
    return error("return-unreadable", message, Where(file.as_posix()), hint)


def _crossed(result: PortResult, words: Words) -> Iterator[WorkItem]:
    for each in result.crossings:
        yield WorkItem(result.box, words("punch.port", port=result.letter), each.message, each.mend)


def _missing(result: PortResult, words: Words) -> Iterator[WorkItem]:
    if result.missing:
        wrong = words("punch.not_scanned", what=", ".join(result.missing))
        yield WorkItem(result.box, words("punch.port", port=result.letter), wrong, words("punch.scan_it"))
