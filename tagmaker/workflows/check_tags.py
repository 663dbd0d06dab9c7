"""The stages of a check of tags by photo: read the codes → find the terminal → keep them → judge → answer.

Takes pictures of a terminal with what is connected there, in any order, of any number of people at once. A
visit is one person at one terminal: the codes of all its pictures belong together. What a visit saw is a part
of the phone's session file, on disk before it is answered, with the person's name and its times before it:
when its oldest picture was taken, and when it came. An old picture makes nothing right; what it shows crossed
counts, until a picture that was taken later.
"""

import datetime as dt
import re
import threading
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Literal

from msgspec import Struct
from msgspec.structs import replace

from tagmaker.files.jobs_below import marks_of
from tagmaker.files.refused import cannot_write
from tagmaker.files.write import make_folder
from tagmaker.problems import Problem
from tagmaker.site.scans.landing import LandingResult, PortResult
from tagmaker.site.scans.session import keep, refused
from tagmaker.site.scans.sources import BROKEN, PICTURE_DPI
from tagmaker.site.scans.times import FIRST, span_of, span_text
from tagmaker.site.scans.typed import tag_of
from tagmaker.symbols.read import open_picture, read_codes
from tagmaker.tags.codes import TagCode
from tagmaker.workflows.phone_marks import Phone
from tagmaker.workflows.readback_scans import divided
from tagmaker.workflows.returned import job_digest, returned_files, returned_folder
from tagmaker.workflows.scan import Against, Answer, ScanSession, open_session, take_file
from tagmaker.workflows.scan_words import verdict_line

__all__ = ["CODES_AT_MOST", "TagAnswer", "TagCheck", "TagState", "Visit", "codes_in", "session_name"]

CODES_AT_MOST = 40
"""Codes of one visit: a terminal has four tags, and more are of others."""
NOW = "Take new pictures of this terminal, with everything that is connected to it."
BEGIN_AGAIN = "Begin again, and photograph one terminal at a time with what is connected to it."
TEXT_AT_MOST = 4_000
LAST_AT_MOST = 500
TagState = Literal[
    "agrees",
    "incomplete",
    "crossed",
    "no terminal",
    "several terminals",
    "no code",
    "old picture",
    "not compared",
    "unknown",
]
STATES: Mapping[LandingResult, TagState] = {"agree": "agrees", "missing": "incomplete", "crossed": "crossed"}
OWN_FILE = re.compile(r"scans-phone-[0-9a-f]{8}\.txt", re.ASCII)
PIPES = {"LIQ", "GAS"}


class Visit(Struct, frozen=True):
    """A phone at a terminal: when its oldest picture was taken and the last one came, by the desk's clock.

    `taken` is before `FIRST` where nothing says it; `codes` are those of its pictures before the last one, in
    the order in which they came.
    """

    phone: Phone
    taken: dt.datetime
    came: dt.datetime
    codes: tuple[str, ...] = ()

    @property
    def times(self) -> str:
        """Both times as a session's remark has them."""
        return span_text(self.taken, self.came)


class TagAnswer(Struct, frozen=True):
    """What a terminal's pictures show so far: the state in a word, the sentence, and what to do first.

    `lines` are of single codes; `codes` are all of the visit, to be sent with its next picture. `ends` is
    whether that one begins a visit of its own: the pictures so far are too old for it.
    """

    state: TagState
    place: str
    message: str
    first: str = ""
    lines: tuple[str, ...] = ()
    codes: tuple[str, ...] = ()
    who: str = ""
    at: str = ""
    ends: bool = False


def codes_in(picture: bytes) -> tuple[str, ...] | None:
    """The codes of a photo; None for what is no picture that can be read."""
    try:
        found = read_codes(open_picture(picture), PICTURE_DPI)
    except BROKEN:
        return None
    return tuple(dict.fromkeys(code.text for code in found if len(code.text) <= TEXT_AT_MOST))


def session_name(phone: Phone) -> str:
    """The name of a phone's session file."""
    return f"scans-phone-{phone.id}.txt"


class TagCheck:
    """The check of a job's tags that goes on; one for all phones, from any thread.

    Sessions that a hand scanner made count too: a terminal has one state, whoever was there.
    """

    def __init__(self, job: Path) -> None:
        self.job = job
        self.last: list[TagAnswer] = []
        self._lock = threading.Lock()
        self._seen = ""
        self._session: ScanSession | None = None
        self._sources: dict[
            str, object
        ] = {}  # of each phone's file, what all its visits have as their source
        self._answers: list[Answer] = []

    def check(self, visit: Visit, codes: Sequence[str]) -> TagAnswer | Problem:
        """Add a picture's codes to a visit, and answer it; a problem where it cannot be kept."""
        every = tuple(dict.fromkeys((*visit.codes, *codes)))
        if len(every) > CODES_AT_MOST:  # one that was left out might be crossed
            text = f"More than {CODES_AT_MOST} codes: those of one terminal are fewer. Nothing counts."
            return TagAnswer("several terminals", "", text, BEGIN_AGAIN)
        tags = [tag for code in every if (tag := tag_of(code))]
        terminals = list(dict.fromkeys((tag.box, tag.port) for tag in tags if tag.what == "TRM"))
        with self._lock:
            if not every:
                return TagAnswer("no code", "", "No code was read: go nearer, hold still, more light.")
            session = self._opened()
            if problem := self._keep(visit, every, terminals[0] if len(terminals) == 1 else None):
                return problem
            answer = self._answered(session, visit, every, tags, terminals)
            answer = _signed(answer, visit, every)
            self.last = [answer, *self.last][:LAST_AT_MOST]
            return answer

    def last_ones(self, count: int) -> list[TagAnswer]:
        """The answers that were given last, of all phones, newest first; each terminal's last one alone."""
        with self._lock:
            found: dict[str, TagAnswer] = {}
            for each in self.last:
                if each.place:
                    found.setdefault(each.place, each)
            return list(found.values())[:count]

    # --- what is known so far -------------------------------------------------------------------------------

    def _opened(self) -> ScanSession:
        """The session with all that was scanned; read again where the job or another's session changed."""
        files = divided(returned_files(self.job))[0]
        others = [file for file in files if not OWN_FILE.fullmatch(file.name)]
        seen = f"{job_digest(self.job)}{sorted(marks_of(others).items())}"
        if self._session is None or self._seen != seen:
            self._answers = []
            self._session, _ = open_session(Against(self.job), self._answers.append)
            self._sources = {}
            for file in files:
                take_file(self._session, file)
                if self._session.landing:
                    self._sources[file.name] = self._session.landing.source
            self._seen = seen
        return self._session

    def _keep(self, visit: Visit, codes: Sequence[str], terminal: tuple[str, str] | None) -> Problem | None:
        """Write what was seen: at one terminal its codes, its own first; else in a remark alone."""
        folder = returned_folder(self.job)
        if isinstance(folder, Problem):
            return folder
        shown = " ".join(" ".join(code.split())[:100] for code in codes)
        own = f"# {visit.times} {visit.phone.name}"
        lines = [
            own if terminal else f"{own}: not counted: {shown}",
            *(_lines(codes, terminal) if terminal else ()),
        ]
        try:
            make_folder(folder)
            path = folder / session_name(visit.phone)
            if problem := refused(path):
                return problem
            keep(lines, path)
        except OSError as reason:
            return cannot_write(folder, reason, "make room on the disk, then photograph it again")
        return None

    # --- the answer -----------------------------------------------------------------------------------------

    def _answered(
        self,
        session: ScanSession,
        visit: Visit,
        codes: Sequence[str],
        tags: Sequence[TagCode],
        terminals: Sequence[tuple[str, str]],
    ) -> TagAnswer:
        self._answers.clear()
        if session.landing is None:
            return TagAnswer("not compared", "", "The job has errors: nothing can be compared with it.")
        if len(terminals) > 1:
            names = ", ".join(f"{box} {port}" for box, port in terminals)
            return TagAnswer(
                "several terminals", "", f"Several terminals: {names}. Nothing counts.",
                BEGIN_AGAIN,
            )  # fmt: skip
        if not terminals:
            return self._without_terminal(session, codes, tags)
        session.leave_terminal()
        session.landing.source = self._sources.setdefault(session_name(visit.phone), session.landing.source)
        session.stamp(span_of(visit.times))
        for code in _lines(codes, terminals[0]):
            session.take(code, "phone", in_order=True)
        is_known = session.landing.at == terminals[0]
        session.leave_terminal()
        answers, self._answers = self._answers, []
        lines = tuple(_odd(answers))
        if not is_known:
            name = "/".join(terminals[0])
            return TagAnswer("unknown", "", f"{name}: the job has no such terminal.", "", lines)
        return _of_terminal(session.landing.result_at(terminals[0]), lines)

    def _without_terminal(
        self, session: ScanSession, codes: Sequence[str], tags: Sequence[TagCode]
    ) -> TagAnswer:
        """Codes of no terminal: each is judged by itself; tags wait for the terminal's picture."""
        for code in codes:
            session.take(code, "phone", in_order=False)
        answers, self._answers = self._answers, []
        lines = tuple(verdict_line(answer.verdict) for answer in answers)
        if any(tag.port for tag in tags):
            text = "The terminal's own tag was not read. Nothing counts yet."
            return TagAnswer("no terminal", "", text, "Photograph the terminal's tag too.", lines)
        return TagAnswer("unknown", "", "No tag of a terminal was read.", "", lines)


def _lines(codes: Sequence[str], terminal: tuple[str, str]) -> list[str]:
    """The codes with the terminal's own first; what is no tag is left out: it would close the terminal."""
    own = [code for code in codes if (tag := tag_of(code)) and tag.port]
    return sorted(own, key=lambda code: not _is_terminal(code, terminal))


def _is_terminal(code: str, terminal: tuple[str, str]) -> bool:
    tag = tag_of(code)
    return tag is not None and tag.what == "TRM" and (tag.box, tag.port) == terminal


def _odd(answers: Sequence[Answer]) -> list[str]:
    """What counted for nothing, in the landing check's own words."""
    return [answer.landing.strip() for answer in answers if answer.outcome == "not counted"]


def _signed(answer: TagAnswer, visit: Visit, codes: tuple[str, ...]) -> TagAnswer:
    """An answer with whose it is and when; of an old picture nothing is right, and its visit ends."""
    signed = replace(answer, codes=codes, who=visit.phone.name, at=visit.came.astimezone().strftime("%H:%M"))
    if not span_of(visit.times).is_old:
        return signed
    is_known = visit.taken >= FIRST
    when = (
        f"Taken on {visit.taken.astimezone():%Y-%m-%d at %H:%M}" if is_known else "Taken at an unknown time"
    )
    old = f"{when}: this does not show how the terminal is now."
    signed = replace(signed, codes=(), ends=True)
    if answer.state in {"agrees", "incomplete"}:
        return replace(signed, state="old picture", place="", message=old, first=NOW, lines=())
    return replace(signed, lines=(*answer.lines, f"{old} {NOW}"))


def _of_terminal(result: PortResult, lines: tuple[str, ...]) -> TagAnswer:
    place = f"{result.box} {result.letter}"
    if result.crossings:
        return _crossed(result, place, lines)
    if result.missing:
        message = f"Not seen yet: {', '.join(result.missing)}."
        return TagAnswer("incomplete", place, message, "Photograph what is missing.", lines)
    return TagAnswer("agrees", place, "All tags agree with this terminal.", "", lines)


def _crossed(result: PortResult, place: str, lines: tuple[str, ...]) -> TagAnswer:
    """Both ends in one sentence: the tags may be exchanged, and not what they are on."""
    tags = [tag for each in result.crossings if (tag := tag_of(each.tag))]
    is_one_box = all(tag.box == result.box.upper() for tag in tags)
    own = result.letter if is_one_box else place
    others = dict.fromkeys(tag.port if is_one_box else f"{tag.box} {tag.port}" for tag in tags)
    found = tuple(each.message for each in result.crossings)
    strange = [each for each in others if each != own]
    if not strange:  # a cable where none belongs, with the terminal's own letter
        mends = dict.fromkeys(each.mend for each in result.crossings)
        return TagAnswer("crossed", place, f"{found[0]}", "; ".join(mends), (*found[1:], *lines))
    ends = _and([own, *strange])
    steps = []
    if any(tag.what == "COM" for tag in tags):
        both = "both" if len(tags) == 1 else "all of them"
        steps.append(
            f"isolate and prove dead, ring out {both}, then move the cable or the tag, whichever is wrong"
        )
    if any(tag.what in PIPES for tag in tags):
        steps.append("trace the pipes to their units; never cut a pipe because of a tag")
    return TagAnswer("crossed", place, f"tags disagree at {ends}", "; ".join(steps), (*found, *lines))


def _and(names: Sequence[str]) -> str:
    return " and ".join([", ".join(names[:-1]), names[-1]]) if len(names) > 1 else names[0]
