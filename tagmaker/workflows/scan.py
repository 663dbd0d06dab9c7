"""The stages of `scan`: read → recognise → judge against the job → landing check → what it comes to."""

from collections import Counter
from collections.abc import Callable, Iterable, Iterator, Sequence
from contextlib import suppress
from dataclasses import dataclass, field
from itertools import chain
from pathlib import Path

import msgspec
from msgspec import Struct

from tagmaker.catalog.words import Words, load_words
from tagmaker.plan.model import Plan
from tagmaker.problems import Problem
from tagmaker.revisions.issued import IssuedPlacard
from tagmaker.revisions.plan_file import read_plan_file
from tagmaker.site.scans.age import UNCHANGED
from tagmaker.site.scans.codes import LineGatherer, scan_of
from tagmaker.site.scans.judge import Verdict, judge
from tagmaker.site.scans.landing import PROVES, Landing, PortResult
from tagmaker.site.scans.rebuild import rebuild
from tagmaker.site.scans.session import keeping, kept_lines, refused
from tagmaker.site.scans.sources import is_lines, read_file
from tagmaker.tags.kits import box_tags
from tagmaker.tags.model import Tag
from tagmaker.workflows.planning import plan

__all__ = ["Against", "Run", "scan", "summary_lines"]

Say = Callable[[str], None]
LIVE = Path("-")
BYTE_ORDER_MARK = "\ufeff"
KINDS = {
    "LIQ": "LIQUID", "GAS": "GAS", "COM": "COMM CABLE", "TRM": "TERMINAL",
    "LOC": "LOCATOR", "SUC": "MAIN SUCTION", "HOT": "MAIN HOT GAS",
}  # fmt: skip
MANY = {"tag": "tags", "placard": "placards", "unknown": "unknown"}


@dataclass
class Run:
    """All that was scanned and what it comes to."""

    plan: Plan | None
    tags: dict[str, Tag]
    say: Say
    landing: Landing | None = None
    issued: dict[str, IssuedPlacard] = field(default_factory=dict)
    verdicts: list[Verdict] = field(default_factory=list)
    problems: list[Problem] = field(default_factory=list)

    @property
    def is_wrong(self) -> bool:
        """Whether anything is crossed or a placard differs."""
        is_crossed = any(result.crossings for result in self.results())
        return is_crossed or any(verdict.is_wrong for verdict in self.verdicts)

    def take(self, text: str, source: str, *, in_order: bool) -> None:
        """Take one text: judge it, say a line, and land it where the order of scanning is known."""
        verdict = judge(scan_of(text, source), self.plan, self.tags, self.issued)
        self.verdicts.append(verdict)
        if in_order and self.landing and verdict.scan.tag:
            self.say(self.landing.put(verdict.scan))
        else:
            self.say(_verdict_line(verdict))
            for difference in verdict.differences:
                self.say(f"    {difference}")

    def results(self) -> list[PortResult]:
        """Every terminal's result, none where no terminal was scanned in order."""
        return list(self.landing.results()) if self.landing and self.landing.visits else []

    def as_json(self) -> dict[str, object]:
        """The run as `--json` prints it."""
        return {
            "scans": [_verdict_json(verdict) for verdict in self.verdicts],
            "landing": [_result_json(result) for result in self.results()],
            "proves": PROVES,
        }

    def rebuilt(self) -> list[dict[str, object]]:
        """The boxes that the scanned paper alone tells of."""
        found: list[dict[str, object]] = msgspec.to_builtins(
            rebuild(verdict.scan for verdict in self.verdicts)
        )
        return found


class Against(Struct, frozen=True):
    """What scans are judged against: a job, and the plan.json of the set that hangs on site."""

    job: Path | None = None
    since: Path | None = None


def scan(
    files: Sequence[Path], against: Against, session: Path | None, lines: Iterable[str], say: Say
) -> Run:
    """Read every file ("-" stands for `lines`, live) against a job.

    A session's earlier lines and the lines that go on from them are one source. No source goes on at the
    terminal at which another ended.
    """
    run = _run(against, say)
    if session and (problem := refused(session)):
        run.problems.append(problem)
        return run
    kept = kept_lines(session) if session else []
    if session and LIVE not in files:
        _take_lines(run, kept, session.name)
    for path in files:
        if run.landing:
            run.landing.leave()
        if path == LIVE:
            _take_lines(run, chain(kept, keeping(lines, session)) if session else lines, "-")
            continue
        for found in read_file(path):
            if isinstance(found, Problem):
                run.problems.append(found)
            else:
                run.take(*found, in_order=is_lines(path))
    return run


def _run(against: Against, say: Say) -> Run:
    if against.job is None:
        return Run(None, {}, say)
    checked = plan(against.job)
    if checked.plan is None:
        return Run(None, {}, say, problems=list(checked.problems))
    tags = {tag.code: tag for tag in _all_tags(checked.plan, load_words())}
    problems = [problem for problem in checked.problems if problem.severity == "error"]
    issued, refused_plan = _issued(against.since)
    return Run(
        checked.plan,
        tags,
        say,
        Landing(checked.plan, frozenset(tags)),
        issued,
        problems=[*problems, *refused_plan],
    )


def _issued(since: Path | None) -> tuple[dict[str, IssuedPlacard], list[Problem]]:
    """The placards that hang on site, by box."""
    earlier = read_plan_file(since) if since else None
    if earlier is None or isinstance(earlier, Problem):
        return {}, [earlier] if earlier else []
    return {each.box.upper(): each for each in earlier.placards}, []


def _all_tags(plan: Plan, words: Words) -> Iterator[Tag]:
    for box in plan.boxes:
        yield from box_tags(plan.job, box, words)


def _take_lines(run: Run, lines: Iterable[str], source: str) -> None:
    """Lines as they come, each answered before the next is waited for."""
    gatherer = LineGatherer()
    number = 0
    with suppress(KeyboardInterrupt):  # as good a way to end a session as the end of the lines
        for number, line in enumerate(lines, start=1):
            for text in gatherer.put(line.removeprefix(BYTE_ORDER_MARK) if number == 1 else line):
                run.take(text, f"{source}:{number}", in_order=True)
    for text in gatherer.rest():
        run.take(text, f"{source}:{number}", in_order=True)


def _verdict_line(verdict: Verdict) -> str:
    scan_, belongs = verdict.scan, verdict.belongs
    whose = "" if belongs is None else ", of this job" if belongs else ", NOT of this job"
    if scan_.tag:
        tag = scan_.tag
        parts = [part for part in (tag.box, tag.port, KINDS[tag.what], tag.unit) if part]
        on = ", cable that goes on" if tag.goes_on else ""
        return f"{scan_.text}: {' · '.join(parts)}, {tag.end} end{on}{whose}"
    if scan_.placard:
        state = "" if belongs is None else f": {_state(verdict)}"
        return f"placard {scan_.placard.box} revision {scan_.placard.revision}{whose}{state}"
    if scan_.fault:
        return f"placard {scan_.text.split(chr(10))[0].removeprefix('BOX ')}: DAMAGED OR ALTERED"
    return f"unknown code: {scan_.text!r} ({scan_.source})"


def _state(verdict: Verdict) -> str:
    if not verdict.differences:
        return "as the job is today" + (", and not changed since" if verdict.age == UNCHANGED else "")
    return f"DIFFERS, {verdict.age.upper()}" if verdict.age else "DIFFERS"


def _verdict_json(verdict: Verdict) -> dict[str, object]:
    found = verdict.scan
    row: dict[str, object] = {
        "text": found.text,
        "source": found.source,
        "kind": found.kind,
        "belongs": verdict.belongs,
    }
    if found.tag:
        tag = found.tag
        row |= {"box": tag.box, "port": tag.port, "what": tag.what, "unit": tag.unit, "end": tag.end}
    if found.placard:
        row |= msgspec.to_builtins(rebuild([found])[0]) | {"box": found.placard.box}
    return row | {"differences": list(verdict.differences), "age": verdict.age}


def _result_json(result: PortResult) -> dict[str, object]:
    crossings = [
        {"terminal": each.terminal, "tag": each.tag, "message": each.message, "mend": each.mend}
        for each in result.crossings
    ]
    return {
        "box": result.box,
        "port": result.letter,
        "result": result.result,
        "missing": list(result.missing),
        "crossed": crossings,
    }


def summary_lines(run: Run) -> list[str]:
    """What it comes to: each terminal that was opened, those that were not, and what that proves."""
    counts = Counter(verdict.scan.kind for verdict in run.verdicts)
    told = ", ".join(f"{count} {kind if count == 1 else MANY[kind]}" for kind, count in counts.items())
    lines = [f"scanned: {told or 'nothing'}"]
    results = run.results()
    if not results:
        return lines
    lines.append("")
    for result in results:
        if result.result != "not scanned":
            lines += _result_lines(result)
    left: dict[str, list[str]] = {}
    for result in results:
        if result.result == "not scanned":
            left.setdefault(result.box, []).append(result.letter)
    lines += [f"{box}: not scanned: {' '.join(letters)}" for box, letters in left.items()]
    return [*lines, "", PROVES]


def _result_lines(result: PortResult) -> list[str]:
    name = f"{result.box} {result.letter}"
    missing = f"; missing: {', '.join(result.missing)}" if result.missing else ""
    if result.result == "crossed":
        lines = [f"{name}: CROSSED{missing}"]
        for each in result.crossings:
            lines += [f"    {each.message}", f"    {each.mend}"]
        return lines
    return [f"{name}: {'tags agree' if result.result == 'agree' else 'not complete'}{missing}"]
