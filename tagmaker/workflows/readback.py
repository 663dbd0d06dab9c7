"""The stages of `readback`: plan the job → read the files → refuse foreign ones → merge → compare → number.

Takes filled-in walk sheets, the phone's files, response tests and sessions of scanning; gives, box by box,
what is as planned, what differs and what was not seen, with a punch list numbered in walking order.
`punch_list.py` prints that list.
"""

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from itertools import count
from pathlib import Path
from typing import Final

import msgspec
from msgspec import Struct
from msgspec.structs import replace

from tagmaker.catalog.words import Words, load_words
from tagmaker.plan.model import BoxPlan, Plan
from tagmaker.problems import Problem, Severity, Where, warning
from tagmaker.site.days.judge import DaysResult
from tagmaker.site.paper.sheets import PaperReturns
from tagmaker.site.response.compare import SystemResult
from tagmaker.site.system.findings import SystemFindings
from tagmaker.site.walk.belonging import Today, belonging
from tagmaker.site.walk.findings import BoxFindings, WalkResult, findings, homes_of, parts_of
from tagmaker.site.walk.gather import Returned, gather
from tagmaker.site.walk.left_blank import blanks_beside
from tagmaker.site.walk.returns import Return, Sheet
from tagmaker.tags.system import system_sheet
from tagmaker.tags.walk import Digests, digests
from tagmaker.tags.work_list import WorkItem
from tagmaker.workflows.planning import plan
from tagmaker.workflows.readback_days import DaysOutline, days_outline
from tagmaker.workflows.readback_files import come_back
from tagmaker.workflows.readback_paper import to_type, with_paper, write_cuts, written_by_box
from tagmaker.workflows.readback_parts import PartBack, parts_back
from tagmaker.workflows.readback_response import ResponseOutline, beside, response_outline
from tagmaker.workflows.readback_scans import ScansBack
from tagmaker.workflows.readback_systems import (
    SystemReadback,
    divided_systems,
    system_readback,
    systems_back,
)
from tagmaker.workflows.readback_typed import (
    TypedBack,
    typed_back,
    typed_by_sheet,
    typed_of_test,
    with_typed,
)

__all__ = ["Counts", "Readback", "ReadbackOutline", "readback", "write_cuts"]

AS_PLANNED: Final = "as planned"


class PunchOutline(Struct, frozen=True):
    """A line of the punch list as `readback --json` has it.

    `expect` is what to expect of the system until `wrong` is mended.
    """

    number: int
    place: str
    wrong: str
    to_do: str
    expect: tuple[str, ...]


class BoxReadback(Struct, frozen=True):
    """A box as `readback --json` has it; `result` is as planned, differs or not seen.

    `unknown` is what was not seen, `proved` who proved a letter and how, `unproved` each pipe and cable that
    is not ticked as proved, `unsigned` the signatures and dates that are empty. `ticked` and `unclear` are
    the names of the fields that the files have as marked, and as neither marked nor blank; `to_type` those
    with handwriting that no other file has as a text; `typed` what persons read off pictures of paper.
    """

    box: str
    place: str
    power: str
    result: WalkResult
    punch_list: tuple[PunchOutline, ...]
    unknown: tuple[str, ...]
    proved: Mapping[str, str]
    unproved: tuple[str, ...]
    unsigned: tuple[str, ...]
    notes: tuple[str, ...]
    ticked: tuple[str, ...]
    unclear: tuple[str, ...]
    to_type: tuple[str, ...]
    typed: tuple[TypedBack, ...] = ()


class Counts(Struct, frozen=True):
    """How many boxes have each result; the JSON keys are the results themselves."""

    as_planned: int = msgspec.field(name="as planned")
    differs: int
    not_seen: int = msgspec.field(name="not seen")


class ReadbackOutline(Struct, frozen=True):
    """What `readback --json` prints beside the problems."""

    boxes: tuple[BoxReadback, ...]
    counts: Counts
    response: tuple[ResponseOutline, ...] = ()
    systems: tuple[SystemReadback, ...] = ()
    first_days: tuple[DaysOutline, ...] = ()


class Readback(Struct, frozen=True):
    """What all files together give, box by box in walking order; `plan` is None for an unreadable job.

    `sheets` are those of the files that count, by box in capitals; `responses` the results of response tests;
    `scans` is what sessions of scanning found; `is_walked` is not set where no walk came back with these.
    `parts` has each box's parts, by box in capitals, with the files that they are in.
    `systems` has every system of the job; where `is_tested` is not set none of their sheets came back with
    these, and what is open of them makes nothing wrong.
    `paper` is what photos and scans of filled-in sheets gave, with pictures of what is to be typed.
    `days` are the readings of first days. `box_texts` are the fields with handwriting that no other file has
    as a text, by box in capitals.
    `to_type` are the readings on paper that no other file has, by the digests of their tests.
    """

    plan: Plan | None
    boxes: tuple[BoxFindings, ...]
    problems: tuple[Problem, ...]
    sheets: Mapping[str, Sequence[Sheet]] = {}
    responses: tuple[SystemResult, ...] = ()
    scans: ScansBack = ScansBack()
    is_walked: bool = True
    parts: Mapping[str, tuple[PartBack, ...]] = {}
    paper: PaperReturns = PaperReturns()
    systems: tuple[SystemFindings, ...] = ()
    is_tested: bool = False
    days: tuple[DaysResult, ...] = ()
    to_type: Mapping[str, tuple[str, ...]] = {}
    box_texts: Mapping[str, Sequence[str]] = {}

    @property
    def is_wrong(self) -> bool:
        """Whether anything differs or was not seen."""
        is_box_wrong = self.is_walked and any(box.state != AS_PLANNED for box in self.boxes)
        is_response_wrong = bool(self.to_type) or any(each.is_wrong for each in self.responses)
        is_system_open = self.is_tested and any(each.state != "complete" for each in self.systems)
        is_days_wrong = any(result.is_wrong for result in self.days)
        is_any_wrong = is_box_wrong or is_response_wrong or is_system_open or is_days_wrong
        return self.plan is None or is_any_wrong or self.scans.is_wrong

    @property
    def counts(self) -> Counts:
        """How many boxes are as planned, differ, or were not seen."""
        counted = Counter(box.state for box in self.boxes)
        return Counts(counted[AS_PLANNED], counted["differs"], counted["not seen"])

    @property
    def outline(self) -> ReadbackOutline:
        """The same as a record of the JSON keys."""
        typed = {key: typed_back(found) for key, found in typed_by_sheet(self.paper).items()}
        by_key = ((box.box.upper(), box) for box in self.boxes)
        boxes = (
            _box(box, self.sheets.get(key, ()), self.box_texts.get(key, ()), typed.get(key, ()))
            for key, box in by_key
        )
        tests = ((each, each.judged.calls.plan) for each in self.responses)
        response = tuple(
            response_outline(each, self.to_type.get(test, ()), typed_back(typed_of_test(self.paper, test)))
            for each, test in tests
        )
        plans = self.plan.systems if self.plan else ()
        systems = tuple(
            system_readback(found, of, typed.get(system_sheet(of.row.key), ()))
            for found, of in zip(self.systems, plans, strict=False)
        )
        days = tuple(days_outline(each, self.paper) for each in self.days)
        return ReadbackOutline(tuple(boxes), self.counts, response, systems, days)


def readback(files: list[Path], job: Path, sets: Sequence[Path] = ()) -> Readback:
    """Compare the returned files (PDF, JSON, photos, folders of them) with the job as it is today.

    `sets` are the printed sets, by folder or plan.json, whose sheets photos and scans may show.

    A file of another job is refused. What was printed for an earlier plan counts where that is unchanged, and
    is reported, with how it compares with what it was printed for.
    """
    checked = plan(job)
    problems = [each for each in checked.problems if each.severity is Severity.ERROR]
    if checked.plan is None:
        return Readback(None, (), tuple(problems))
    words = load_words()
    back = come_back(files, checked.plan, words, sets)
    of_systems, returns = divided_systems(list(back.returns))
    today = {box.row.key: digests(checked.plan.job, box) for box in checked.plan.boxes}
    sheets, noted = _sheets(returns, checked.plan, today)
    problems += [*back.problems, *noted]
    scans, paper = back.scans, back.paper
    boxes: list[BoxFindings] = []
    parts: dict[str, tuple[PartBack, ...]] = {}
    homes, written, typed = homes_of(checked.plan), written_by_box(paper), typed_by_sheet(paper)
    texts = {key: to_type(of_box, written) for key, of_box in sheets.items()}
    by_hand = {each.source for each in paper.typed}  # what was read off a picture is no look at the box
    for box in checked.plan.boxes:
        key, own = box.row.key, sheets.get(box.row.key, ())
        found = gather(own, box, today[key])
        compared_parts = parts_of(checked.plan.job, box, found, words, homes)
        one = findings(box, found, compared_parts, words)
        one = _with_blanks(one, [sheet for sheet in own if sheet.source not in by_hand], found, words)
        one = with_paper(one, own, found, texts.get(key, ()), words)
        boxes.append(with_typed(one, own, typed.get(key, ()), today[key], words))
        parts[key] = parts_back(compared_parts, found)
        problems += _contradictions(found, box)
    walked = [punch for box in boxes for punch in box.punches]
    compared = tuple(beside(each, walked, scans.items, words) for each in back.compared)
    boxes = _with_others(boxes, compared, scans)
    systems = systems_back(of_systems, checked.plan, boxes if returns else None, paper.written, words)
    on_paper = paper.response or paper.days
    is_walked = bool(returns) or not (compared or of_systems or back.days or on_paper)
    numbers = count(1)
    return Readback(
        checked.plan,
        tuple(replace(box, punches=_numbered(box.punches, numbers)) for box in boxes),
        (*problems, *systems.problems),
        sheets,
        compared,
        scans,
        is_walked,
        parts,
        paper,
        tuple(replace(each, wrong=tuple(_numbered(each.wrong, numbers))) for each in systems.systems),
        is_tested=systems.has_any,
        days=tuple(replace(each, wrong=tuple(_numbered(each.wrong, numbers))) for each in back.days),
        to_type=back.to_type,
        box_texts=texts,
    )


def _with_blanks(box: BoxFindings, sheets: Sequence[Sheet], found: Returned, words: Words) -> BoxFindings:
    """A box with a note for marks that one file has and another left blank."""
    return replace(box, notes=[*box.notes, *blanks_beside(sheets, found, words)])


def _sheets(
    returns: Iterable[Return], planned: Plan, today: Mapping[str, Digests]
) -> tuple[dict[str, list[Sheet]], list[Problem]]:
    """The sheets that count for the job, by box, and what is to be reported of the others."""
    sheets: dict[str, list[Sheet]] = {}
    problems: list[Problem] = []
    now = Today(planned.job, {box.row.key: box for box in planned.boxes}, today)
    for each in returns:
        counted, noted = belonging(each, now)
        problems += noted
        for sheet in counted:
            sheets.setdefault(sheet.box, []).append(sheet)
    return sheets, problems


def _with_others(
    boxes: Iterable[BoxFindings], results: Iterable[SystemResult], scans: ScansBack
) -> list[BoxFindings]:
    """The boxes, each with the lines of scans and of the response tests' findings after its own."""
    own: dict[str, list[WorkItem]] = {}
    for item in (*scans.crossed, *scans.differing, *(item for result in results for item in result.items)):
        own.setdefault(item.box.upper(), []).append(item)
    missing: dict[str, list[str]] = {}
    for item in scans.missing:
        missing.setdefault(item.box, []).append(f"{item.place}: {item.wrong}")
    return [
        replace(
            box,
            punches=[*box.punches, *own.get(box.box.upper(), ())],
            unknown=[*box.unknown, *missing.get(box.box, ())],
        )
        for box in boxes
    ]


def _numbered(items: Iterable[WorkItem], numbers: Iterator[int]) -> list[WorkItem]:
    """Lines with their numbers, which run through the whole job: boxes in walking order, then systems."""
    return [replace(item, number=next(numbers)) for item in items]


def _contradictions(found: Returned, box: BoxPlan) -> Iterator[Problem]:
    """A warning for each field of which two files say different things."""
    for each in found.contradictions:
        values = "; ".join(f"{source}: {value}" for source, value in each.values)
        message = f"{each.name}: findings conflict ({values})"
        hint = "check again: until then it counts as not seen"
        yield warning("return-contradiction", message, Where(each.values[0][0]), hint, (box.row.key,))


def _box(
    box: BoxFindings, sheets: Sequence[Sheet], texts: Sequence[str], typed: tuple[TypedBack, ...]
) -> BoxReadback:
    return BoxReadback(
        box=box.box,
        place=box.place,
        power=box.power,
        result=box.state,
        punch_list=tuple(map(_punch, box.punches)),
        unknown=tuple(box.unknown),
        proved=box.proved,
        unproved=tuple(box.unproved),
        unsigned=tuple(box.unsigned),
        notes=tuple(box.notes),
        ticked=tuple(sorted({name for sheet in sheets for name in sheet.ticked})),
        unclear=tuple(sorted({name for sheet in sheets for name in sheet.unclear})),
        to_type=tuple(texts),
        typed=typed,
    )


def _punch(punch: WorkItem) -> PunchOutline:
    return PunchOutline(punch.number, punch.place, punch.wrong, punch.to_do, punch.expect)
