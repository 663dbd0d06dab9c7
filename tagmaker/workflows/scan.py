"""The stages of `scan`: plan the job → read each file → recognise a text → judge it → landing check → sum up.

Takes photos, PDFs, files of lines or a live stream of lines; gives a verdict for every scanned text, and a
result for every terminal once one was scanned in order. Each text is answered at once through a callback, so
that a person with a hand scanner sees a crossing before the next scan.
"""

from collections.abc import Callable, Iterable, Iterator, Sequence
from contextlib import suppress
from itertools import chain
from pathlib import Path

from msgspec import Struct

from tagmaker.catalog.words import Words, load_words
from tagmaker.files.refused import cannot_write
from tagmaker.files.stopping import interrupt_raises
from tagmaker.job.model import Job
from tagmaker.plan.model import Plan
from tagmaker.problems import Problem, Severity, Where, note, warning
from tagmaker.revisions.issued import IssuedPlacard
from tagmaker.revisions.plan_file import read_plan_file, unproved
from tagmaker.site.scans.codes import LineGatherer, scan_of
from tagmaker.site.scans.judge import Judge, Verdict
from tagmaker.site.scans.landing import Landed, Landing, Outcome, PortResult
from tagmaker.site.scans.rebuild import rebuild
from tagmaker.site.scans.session import keeping, kept_lines, refused
from tagmaker.site.scans.sources import Found, Stamp, is_lines, read_file, read_files
from tagmaker.site.scans.times import Span
from tagmaker.tags.kits import box_tags
from tagmaker.tags.model import Tag
from tagmaker.workflows.planning import plan
from tagmaker.workflows.scan_outline import RebuiltOutline, ScansOutline, scans_outline

__all__ = ["Against", "Answer", "Lines", "ScanSession", "Scanned"]
__all__ += ["open_session", "scan", "scan_session", "take_file"]

LIVE = Path("-")
"""The file name that stands for the live stream of lines."""
BYTE_ORDER_MARK = "\ufeff"


class Against(Struct, frozen=True):
    """What scans are judged against: a job, and the plan.json of the set that hangs on site."""

    job: Path | None = None
    since: Path | None = None


class Answer(Struct, frozen=True):
    """The answer to one scanned text, given at once: its verdict, and the landing check's line.

    `landing` is "" where the text neither belongs to a terminal nor closes one, and for any text of a photo,
    whose codes have no order of scanning; `outcome` is what it did there.
    """

    verdict: Verdict
    landing: str = ""
    outcome: Outcome = ""


OnAnswer = Callable[[Answer], None]


class Scanned(Struct, frozen=True):
    """Everything that was scanned: a verdict a text, a result a terminal (none where none was scanned)."""

    verdicts: tuple[Verdict, ...]
    results: tuple[PortResult, ...]
    problems: tuple[Problem, ...]

    @property
    def is_wrong(self) -> bool:
        """Whether anything is crossed, unknown or not of the job, or a placard differs."""
        is_crossed = any(result.crossings for result in self.results)
        return is_crossed or any(verdict.is_wrong for verdict in self.verdicts)

    @property
    def outline(self) -> ScansOutline:
        """The same as a record of the JSON keys."""
        return scans_outline(self.verdicts, self.results)

    @property
    def rebuilt(self) -> RebuiltOutline:
        """The boxes that the scanned paper alone gives, without a job."""
        return RebuiltOutline(tuple(rebuild(verdict.scan for verdict in self.verdicts)))


def scan(
    files: Sequence[Path], against: Against, session: Path | None, lines: Iterable[str], on_answer: OnAnswer
) -> Scanned:
    """Read every file ("-" is the live `lines`) and judge its texts; `on_answer` gets each answer at once.

    The lines kept in a session and the lines that go on from them are one source. No source goes on at the
    terminal at which another ended: what one person scanned last is not where another began.
    """
    current, problems = open_session(against, on_answer)
    if session and (problem := refused(session)):
        return Scanned((), (), (*problems, problem))
    kept = kept_lines(session) if session else []
    if session and LIVE not in files:
        problems += current.take_lines(kept, session.name)
    for path, found in read_files(files, current.known):
        if path == LIVE:
            current.leave_terminal()
            problems += _live(current, lines, session, kept)
        else:
            before, taken = len(current.verdicts), _take(current, path, found)
            problems += taken or ([_empty(path)] if len(current.verdicts) == before else [])
    return Scanned(tuple(current.verdicts), current.results, tuple(_once(problems)))


def _live(
    current: "ScanSession", lines: Iterable[str], session: Path | None, kept: Sequence[str]
) -> Iterable[Problem]:
    """Take the lines as they come, those that were kept first; the session ends where one cannot be kept."""
    live = current.live(lines)
    if session is None:
        return current.take_lines(live, LIVE.name)
    try:
        return current.take_lines(chain(kept, keeping(live, session)), LIVE.name)
    except OSError as reason:
        return [cannot_write(session, reason, "the last line counts for nothing: scan on into another file")]


def scan_session(plan: Plan, on_answer: OnAnswer) -> "ScanSession":
    """A session against a plan at hand, without the placards that hang on site."""
    return ScanSession(plan, {tag.code: tag for tag in _all_tags(plan, load_words())}, {}, on_answer)


def take_file(current: "ScanSession", path: Path) -> list[Problem]:
    """Take every text of a file, at no terminal that was open before; the problems found in it."""
    return _take(current, path, read_file(path, current.known))


def _take(current: "ScanSession", path: Path, found: Iterable[Found]) -> list[Problem]:
    """Take what a file has."""
    current.leave_terminal()
    problems: list[Problem] = []
    in_order = is_lines(path)
    for each in found:
        if isinstance(each, Problem):
            problems.append(each)
        elif isinstance(each, Stamp):
            current.stamp(each.at)
        else:
            current.take(*each, in_order=in_order)
    return problems


def _once(problems: Iterable[Problem]) -> Iterator[Problem]:
    """A keyboard layout is reported for the first source alone: all were typed on one computer."""
    said: set[str] = set()
    for problem in problems:
        if problem.code != "scan-keyboard" or problem.message not in said:
            yield problem
        said.add(problem.message)


def open_session(against: Against, on_answer: OnAnswer) -> "tuple[ScanSession, list[Problem]]":
    """A session with the job's plan, tags and issued placards; without a job nothing is judged.

    Warnings and notes of the job are left out: they were reported when it was made.
    """
    if against.job is None:
        return ScanSession(None, {}, {}, on_answer), []
    checked = plan(against.job)
    if checked.plan is None:
        return ScanSession(None, {}, {}, on_answer), list(checked.problems)
    tags = {tag.code: tag for tag in _all_tags(checked.plan, load_words())}
    issued, unread = _issued(against.since)
    errors = [problem for problem in checked.problems if problem.severity is Severity.ERROR]
    unknown = [] if checked.plan.job.number else [_job_unknown()]
    reported = [*errors, *unread, *unknown, *_without_codes(checked.plan.job)]
    return ScanSession(checked.plan, tags, issued, on_answer), reported


def _job_unknown() -> Problem:
    message = "the job has no number: scanned codes do not show of which job they are"
    hint = "a box of another job may have the same tag; give [job] number, which placards carry"
    return note("scan-job-unknown", message, Where("job.toml"), hint)


def _empty(path: Path) -> Problem:
    """What is to be reported of a file that could be read, and gave no code."""
    hint = "scan or photograph again: codes whole and sharp, in even light"
    return warning("scan-empty", "no code was found in it", Where(path.as_posix()), hint)


def _without_codes(job: Job) -> Iterator[Problem]:
    """A note for each stock of labels that carries no code: none of its labels is expected."""
    for use, stock in job.prints.without_codes.items():
        message = f"{use.replace('_', ' ')} labels on {stock.name} carry no code: none is expected"
        hint = "to check what is landed, type BOX/PORT/TRM before the tags of a port"
        yield note("scan-no-code", message, Where("job.toml"), hint if use == "terminal" else "")


def _issued(since: Path | None) -> tuple[dict[str, IssuedPlacard], list[Problem]]:
    """The placards that hang on site, by box in capitals."""
    if since is None:
        return {}, []
    earlier = read_plan_file(since)
    if isinstance(earlier, Problem):
        return {}, [earlier]
    return {each.box.upper(): each for each in earlier.placards}, unproved(earlier, since)


def _all_tags(plan: Plan, words: Words) -> Iterator[Tag]:
    for box in plan.boxes:
        yield from box_tags(plan.job, box, words)


class ScanSession:
    """Scanning in progress: texts go in one by one, each is judged, landed and answered before the next."""

    def __init__(
        self, plan: Plan | None, tags: dict[str, Tag], issued: dict[str, IssuedPlacard], on_answer: OnAnswer
    ) -> None:
        self.judge, self.on_answer = Judge(plan, tags, issued), on_answer
        self.known = tags if plan else None
        self.landing = Landing(plan, frozenset(tags)) if plan else None
        self.verdicts: list[Verdict] = []

    def take(self, text: str, source: str, *, in_order: bool) -> None:
        """Judge one text, land it where the order of scanning is known, and answer it."""
        verdict = self.judge.verdict(scan_of(text, source))
        self.verdicts.append(verdict)
        landed = self.landing.put(verdict.scan) if in_order and self.landing else Landed()
        self.on_answer(Answer(verdict, landed.line, landed.outcome))

    def take_lines(self, lines: Iterable[str], source: str) -> Iterator[Problem]:
        """Take lines as they come, each answered before the next is waited for; what is to say of them."""
        taken = Lines(self, source)
        with (
            suppress(KeyboardInterrupt),
            interrupt_raises(),
        ):  # Ctrl-C ends a session as the end of the lines does
            for line in lines:
                taken.put(line)
        taken.end()
        return taken.problems()

    def leave_terminal(self) -> None:
        """Close the terminal that is open: the next source opens its own."""
        if self.landing:
            self.landing.leave()

    def stamp(self, at: Span) -> None:
        """Give the scans that follow from this source their time."""
        if self.landing:
            self.landing.time = at

    def live(self, lines: Iterable[str]) -> Iterator[str]:
        """The lines as they come, each later than all that was taken before it."""
        for line in lines:
            if self.landing:
                self.landing.is_live = True
            yield line

    @property
    def results(self) -> tuple[PortResult, ...]:
        """Every terminal's result; none where no terminal was scanned in order."""
        return tuple(self.landing.results()) if self.landing and self.landing.visits else ()


class Lines:
    """The lines of one source, put into a session one by one as a hand scanner types them."""

    def __init__(self, session: ScanSession, source: str) -> None:
        self.session, self.source = session, source
        self.number = 0
        self._gatherer = LineGatherer(session.known)

    @property
    def held(self) -> int:
        """The lines of a placard that is not complete: they are answered with its last one."""
        return len(self._gatherer.held)

    def put(self, line: str) -> None:
        """Take a line; each text that is complete with it is judged and answered."""
        self.number += 1
        whole = line.removeprefix(BYTE_ORDER_MARK) if self.number == 1 else line
        texts = self._gatherer.put(whole)
        self.session.stamp(self._gatherer.at)
        for text in texts:
            self._take(text)

    def end(self) -> None:
        """Take what is left of a placard that was never finished."""
        for text in self._gatherer.rest():
            self._take(text)

    def problems(self) -> Iterator[Problem]:
        """On which keyboard layout the lines were typed, where that is to be reported."""
        return self._gatherer.typed.problems(self.source)

    def _take(self, text: str) -> None:
        self.session.take(text, f"{self.source}:{self.number}", in_order=True)
