"""The stages of reading what came back to a job: read all files → codes of photos → one record.

All is read as `readback` and `scan` read it; this puts the results side by side, box by box, with the file
that each comes from. The record is small: a page shows it.
"""

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from itertools import chain
from pathlib import Path
from typing import Literal

from msgspec import Struct
from msgspec.structs import replace

from tagmaker.files.plain import read_head
from tagmaker.files.write import write_file
from tagmaker.plan.model import Plan
from tagmaker.problems import Problem, Severity, at_most_each
from tagmaker.site.paper.readings import NO_CODE
from tagmaker.site.paper.sheets import PaperReturns
from tagmaker.site.paper.typed import findings_of
from tagmaker.site.scans.judge import Verdict
from tagmaker.site.scans.kinds import HEAD_BYTES, file_kind
from tagmaker.site.scans.landing import PortResult
from tagmaker.tags.days_code import DaysPage
from tagmaker.tags.fields import box_of
from tagmaker.tags.response_code import ResponsePage
from tagmaker.tags.sheet_names import is_reading, is_tick, read_sheet_code, sheet_of_field
from tagmaker.tags.system import system_sheet
from tagmaker.workflows.as_json import json_object
from tagmaker.workflows.jobs import job_found
from tagmaker.workflows.punch_list import write_punch_list
from tagmaker.workflows.readback import BoxReadback, Counts, Readback, readback
from tagmaker.workflows.readback_days import DaysOutline
from tagmaker.workflows.readback_parts import PartBack
from tagmaker.workflows.readback_response import ResponseOutline
from tagmaker.workflows.readback_scans import divided
from tagmaker.workflows.readback_systems import SystemReadback
from tagmaker.workflows.returned import RETURNED, returned_files, returned_left_out
from tagmaker.workflows.scan import Answer, scan_session, take_file
from tagmaker.workflows.scan_words import verdict_line
from tagmaker.workflows.sets import sets_below
from tagmaker.workflows.typed import TYPED_FILE, place_name

__all__ = [
    "PUNCH_LIST",
    "READBACK_JSON",
    "BoxBack",
    "CodeBack",
    "CutBack",
    "FileBack",
    "ProblemBack",
    "ReturnedOutline",
    "SystemBack",
    "read_returned",
]

PUNCH_LIST, READBACK_JSON = "punch-list.pdf", "readback.json"
UNREAD = {"return-unreadable", "return-flattened", "paper-unread"}
"""Codes of problems of pictures and PDFs that are no sheets: they may show codes of tags."""
READINGS_TYPED = ("H", "C", "0", "?")
FileKind = Literal["sheet", "phone", "table", "codes", "photo", "typed", "other"]
CutKind = Literal["text", "reading", "finding", "picture"]
KINDS: Mapping[str, FileKind] = {
    ".pdf": "sheet", ".jpg": "sheet", ".jpeg": "sheet", ".png": "sheet", ".bmp": "sheet", ".webp": "sheet",
    ".json": "phone", ".csv": "table", ".tsv": "table",
}  # fmt: skip


class ProblemBack(Struct, frozen=True):
    """A problem as a page shows it; `file` is the returned file that it is of, "" for one of the job."""

    severity: Severity
    code: str
    message: str
    where: str
    hint: str
    file: str


class FileBack(Struct, frozen=True):
    """A returned file by its name below the folder: what it is, and the boxes that it says something of."""

    name: str
    kind: FileKind
    boxes: tuple[str, ...] = ()
    problems: tuple[ProblemBack, ...] = ()


class CodeBack(Struct, frozen=True):
    """A placard's code, or any code of a photo: what it is in a line, how it differs, where it was read."""

    line: str
    source: str
    is_wrong: bool
    differences: tuple[str, ...] = ()
    is_placard: bool = False


class CutBack(Struct, frozen=True):
    """A picture of what is unclear or written by hand: the name of its file, and what it is of.

    `picture` is its digest; `kind` is how it may be typed: a text, a reading of a response test, a finding
    of a tick, or not at all. `choices` are the readings or findings that it may have. `test` is the digest
    of its response test.
    """

    name: str
    picture: str
    field: str
    place: str
    kind: CutKind
    choices: tuple[str, ...] = ()
    test: str = ""


class BoxBack(Struct, frozen=True):
    """A box: its readback, its parts with their files, and what was scanned at it.

    `terminals` are its scanned terminals, none where none was; `codes` are its placards' and photos' codes;
    `cuts` are its pictures of what is unclear or written by hand.
    """

    readback: BoxReadback
    parts: tuple[PartBack, ...]
    terminals: tuple[PortResult, ...] = ()
    codes: tuple[CodeBack, ...] = ()
    cuts: tuple[CutBack, ...] = ()


class SystemBack(Struct, frozen=True):
    """A system: its readback, and its pictures of what is unclear or written by hand."""

    readback: SystemReadback
    cuts: tuple[CutBack, ...] = ()


class ReturnedOutline(Struct, frozen=True):
    """All that came back; `boxes` are none for a job that cannot be planned.

    `is_walked` and `is_wrong` are those of `readback`. `codes` are of no box of the job. `problems` are all,
    also those that a file has. `systems` are none where none of their sheets came back. `readings` are the
    pictures of written cells of response tests, `day_cuts` those of first days by system.
    """

    title: str
    boxes: tuple[BoxBack, ...]
    counts: Counts
    response: tuple[ResponseOutline, ...]
    files: tuple[FileBack, ...]
    codes: tuple[CodeBack, ...]
    problems: tuple[ProblemBack, ...]
    is_walked: bool
    is_wrong: bool
    first_days: tuple[DaysOutline, ...] = ()
    systems: tuple[SystemBack, ...] = ()
    readings: tuple[CutBack, ...] = ()
    day_cuts: Mapping[str, tuple[CutBack, ...]] = {}

    @property
    def cuts(self) -> tuple[CutBack, ...]:
        """Every picture that was cut from paper."""
        of_boxes = (cut for box in self.boxes for cut in box.cuts)
        of_systems = (cut for system in self.systems for cut in system.cuts)
        return (*of_boxes, *of_systems, *self.readings, *chain.from_iterable(self.day_cuts.values()))


# --- reading ------------------------------------------------------------------------------------------------


def read_returned(
    job: Path, root: Path, out: Path, *, progress: Callable[[int, int], None] = lambda _done, _of: None
) -> ReturnedOutline:
    """Read all that came back to a job below the folder `root`, where its printed sets are looked for.

    The punch list, the JSON of `readback` and pictures of what is to be typed are written to `out`.
    """
    files = returned_files(job)
    found = job_found(job, root)
    sets = [each.folder for each in sets_below(root, found.name, found.number)]
    result = readback(files, job, sets)
    result = replace(result, problems=(*returned_left_out(job), *result.problems))
    shown, problems = _codes_shown(files, result, progress)
    write_punch_list(result, out / PUNCH_LIST)
    text = json_object(result.outline, at_most_each(result.problems))
    write_file(out / READBACK_JSON, f"{text}\n".encode())
    for name, picture in result.paper.cuts.items():
        write_file(out / name, picture)
    return _outline(job, files, replace(result, problems=tuple(problems)), shown)


def _codes_shown(
    files: Sequence[Path], result: Readback, progress: Callable[[int, int], None]
) -> tuple[dict[Path, list[Verdict]], list[Problem]]:
    """The codes of pictures and PDFs that are no sheets but show tags or placards; the problems left."""
    unread = [problem for problem in result.problems if problem.code in UNREAD]
    named = {_file_of(problem, files) for problem in unread}
    waiting = [file for file in files if file in named and _is_shown(file)] if result.plan else []
    shown: dict[Path, list[Verdict]] = {}
    noted: list[Problem] = []
    for number, file in enumerate(waiting):
        progress(number, len(waiting))
        verdicts, problems = _codes_of(file, result.plan)
        if any(verdict.scan.kind in {"tag", "placard"} for verdict in verdicts):
            shown[file] = verdicts
            noted += problems
    progress(len(waiting), len(waiting))
    explained = [each for each in unread if _file_of(each, files) in shown and not _is_of_page(each)]
    left = [each for each in result.problems if each not in explained]
    return shown, [*left, *noted]


def _is_of_page(problem: Problem) -> bool:
    """Whether a problem is of a page of a sheet, which no tag beside it makes good."""
    return problem.code == "paper-unread" and problem.message != NO_CODE


def _is_shown(file: Path) -> bool:
    try:
        return file_kind(read_head(file, HEAD_BYTES), file.suffix) in {"picture", "pdf"}
    except OSError:
        return False


def _codes_of(file: Path, plan: Plan | None) -> tuple[list[Verdict], list[Problem]]:
    if plan is None:
        return [], []
    answers: list[Answer] = []
    problems = take_file(scan_session(plan, answers.append), file)
    return [answer.verdict for answer in answers], problems


# --- the record ---------------------------------------------------------------------------------------------


def _outline(
    job: Path, files: Sequence[Path], result: Readback, shown: Mapping[Path, Sequence[Verdict]]
) -> ReturnedOutline:
    outline = result.outline
    folder = f"{(job / RETURNED).as_posix()}/"
    problems = [_problem(each, files, folder) for each in at_most_each(result.problems)]
    verdicts = [*result.scans.placards, *(each for found in shown.values() for each in found)]
    day_cuts = _day_cuts(result.paper)
    of_days = set(chain.from_iterable(day_cuts.values()))
    cuts = tuple(cut for cut in _cuts(result.paper) if cut not in of_days)
    codes: dict[str, list[CodeBack]] = {}
    keys = {box.box.upper() for box in outline.boxes}
    for verdict in verdicts:
        box = _box_of(verdict)
        codes.setdefault(box if box in keys else "", []).append(_code(verdict))
    terminals: dict[str, list[PortResult]] = {}
    for terminal in result.scans.results:
        terminals.setdefault(terminal.box.upper(), []).append(terminal)
    boxes = tuple(
        BoxBack(
            replace(box, ticked=()),
            tuple(_below(part, folder) for part in result.parts.get(box.box.upper(), ())),
            tuple(each for each in terminals.get(box.box.upper(), ()) if each.result != "not scanned"),
            tuple(codes.get(box.box.upper(), ())),
            tuple(cut for cut in cuts if not cut.test and box_of(cut.field) == box.box.upper()),
        )
        for box in outline.boxes
    )
    is_wrong = result.is_wrong or any(verdict.is_wrong for verdict in verdicts)
    return ReturnedOutline(
        result.plan.job.name if result.plan else "",
        boxes,
        outline.counts,
        outline.response,
        tuple(_files(files, folder, boxes, problems, shown)),
        tuple(codes.get("", ())),
        tuple(problems),
        result.is_walked,
        is_wrong,
        outline.first_days,
        tuple(_systems(result, outline.systems, cuts)),
        tuple(cut for cut in cuts if cut.test),
        day_cuts,
    )


def _systems(
    result: Readback, systems: Iterable[SystemReadback], cuts: Sequence[CutBack]
) -> Iterable[SystemBack]:
    """The systems with their pictures, where sheets of any came back."""
    for each in systems if result.is_tested else ():
        sheet = system_sheet(each.system.upper())
        own = tuple(cut for cut in cuts if not cut.test and sheet_of_field(cut.field) == sheet)
        yield SystemBack(replace(each, ticked=()), own)


def _cuts(paper: PaperReturns) -> Iterator[CutBack]:
    """Every picture with the place that it is of."""
    for name, cut in paper.places.items():
        page = read_sheet_code(cut.sheet)
        test = page.plan if isinstance(page, ResponsePage) else ""
        place, (kind, choices) = place_name(cut.field), _cut_kind(cut.field)
        yield CutBack(name, cut.picture, cut.field, place, kind, choices, test)


def _day_cuts(paper: PaperReturns) -> dict[str, tuple[CutBack, ...]]:
    """The pictures of first days by system."""
    found: dict[str, tuple[CutBack, ...]] = {}
    for cut in _cuts(paper):
        page = read_sheet_code(paper.places[cut.name].sheet)
        if isinstance(page, DaysPage):
            found[page.system] = (*found.get(page.system, ()), cut)
    return found


def _cut_kind(field: str) -> tuple[CutKind, tuple[str, ...]]:
    """How a cut may be typed, and what may be chosen for it."""
    if is_reading(field):
        return "reading", READINGS_TYPED
    if not is_tick(field):
        return "text", ()
    found = findings_of(field)
    return ("finding", found) if found else ("picture", ())


def _file_of(problem: Problem, files: Iterable[Path]) -> Path | None:
    """The file that a problem is of: scans name it without its folder, paper with its page."""
    named = problem.where.file
    exact = (file for file in files if named in {file.as_posix(), file.name})
    return next(exact, None) or next((file for file in files if file.as_posix() in named), None)


def _problem(problem: Problem, files: Iterable[Path], folder: str) -> ProblemBack:
    file = _file_of(problem, files)
    where = str(problem.where).replace(folder, "")
    name = file.as_posix().removeprefix(folder) if file else ""
    message = problem.message.replace(folder, "")
    return ProblemBack(problem.severity, problem.code, message, where, problem.hint, name)


def _below(part: PartBack, folder: str) -> PartBack:
    return replace(part, sources=tuple(each.replace(folder, "") for each in part.sources))


def _box_of(verdict: Verdict) -> str:
    """The box that a code names, in capitals; "" where it names none, or is of another job."""
    return verdict.scan.box.upper() if verdict.belongs is not False else ""


def _code(verdict: Verdict) -> CodeBack:
    return CodeBack(
        verdict_line(verdict), verdict.scan.source, verdict.is_wrong, verdict.differences,
        is_placard=verdict.scan.kind == "placard",
    )  # fmt: skip


def _files(
    files: Sequence[Path],
    folder: str,
    boxes: Iterable[BoxBack],
    problems: Iterable[ProblemBack],
    shown: Mapping[Path, Sequence[Verdict]],
) -> Iterable[FileBack]:
    """Every file with what it is; boxes are those of which it has a part, or shows a code."""
    of_source: dict[str, dict[str, None]] = {}
    for box in boxes:
        sources = [
            *(each for part in box.parts for each in part.sources),
            *(code.source for code in box.codes),
        ]
        for source in sources:
            of_source.setdefault(source, {})[box.readback.box] = None
    wrong: dict[str, list[ProblemBack]] = {}
    for problem in problems:
        wrong.setdefault(problem.file, []).append(problem)
    sessions = set(divided(files)[0])
    for file in files:
        name = file.as_posix().removeprefix(folder)
        kind = "photo" if file in shown else "codes" if file in sessions else _kind(file)
        kind = "typed" if file.name == TYPED_FILE else kind
        known = name if kind not in {"photo", "codes"} else file.name  # scans name a file without its folder
        named = {box: None for source, found in of_source.items() if _is_of(source, known) for box in found}
        yield FileBack(name, kind, tuple(named), tuple(wrong.get(name, ())))


def _is_of(source: str, name: str) -> bool:
    """Whether a source is a file, a line or page of it, or a sheet put together of it and others."""
    parts = (source, *source.split(", "))
    return any(part == name or part.startswith((f"{name} page ", f"{name}:", f"{name}, ")) for part in parts)


def _kind(file: Path) -> FileKind:
    return KINDS.get(file.suffix.lower(), "other")
