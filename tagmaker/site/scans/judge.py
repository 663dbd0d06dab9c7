"""Does a scanned text belong to this job, and is a placard as it would be printed for the job today?

A tag matches where its code is one of the job's: codes carry no job, so that another job's may match too. A
placard carries its job's number, and is compared part by part, so that what differs can be named. A code that
is neither is wrong: it may be a tag of this job that cannot be read.
"""

from collections.abc import Iterator, Mapping
from itertools import zip_longest
from types import MappingProxyType
from typing import Literal

from msgspec import Struct

from tagmaker.job.model import Job
from tagmaker.plan.model import Board, BoxPlan, Plan
from tagmaker.revisions.issued import IssuedPlacard
from tagmaker.site.scans.age import ALTERED, UNCHANGED, Age, age_of
from tagmaker.site.scans.codes import Scan
from tagmaker.tags.days_code import DaysPage
from tagmaker.tags.model import Tag
from tagmaker.tags.placard_text import PlacardFacts, SeenBoard, SeenPort, port_facts
from tagmaker.tags.sheet_names import SheetPage
from tagmaker.tags.system import SystemPage
from tagmaker.tags.walk_code import WalkPage
from tagmaker.units import CapacityUnit

__all__ = ["Judge", "Verdict", "is_other_job"]

NOTHING: Mapping[str, IssuedPlacard] = MappingProxyType({})


class Verdict(Struct, frozen=True):
    """A scan judged: whether it matches the job, and each difference in words.

    `belongs` is None where that cannot be known: without a job, or of a placard if one of job and placard has
    a number and the other has none. `age` is of which revision a placard is, empty where that is not known.
    """

    scan: Scan
    belongs: bool | None
    differences: tuple[str, ...] = ()
    age: Literal[Age, ""] = ""

    @property
    def is_wrong(self) -> bool:
        """Whether it is unknown, does not match the job, differs, or is damaged."""
        return self.scan.kind == "unknown" or self.belongs is False or bool(self.differences)


class Judge:
    """The job that scans are compared with; `plan` is None without a job, `tags` are the job's by code.

    `issued` are the placards of the set that is on site, by box in capitals: a placard whose content is as
    today is right in its own, earlier revision.
    """

    def __init__(
        self, plan: Plan | None, tags: Mapping[str, Tag], issued: Mapping[str, IssuedPlacard] = NOTHING
    ) -> None:
        self.plan, self.tags, self.issued = plan, tags, issued
        self.boxes = {box.row.key: box for box in plan.boxes} if plan else {}
        self.systems = {system.row.key for system in plan.systems} if plan else set()

    def verdict(self, scan: Scan) -> Verdict:
        """One scan against the job."""
        if scan.fault:
            age: Literal[Age, ""] = ALTERED if scan.fault.is_altered else ""
            belongs = None if self.plan is None else False  # a damaged text counts as none of this job
            return Verdict(scan, belongs, (scan.fault.message,), age)
        if self.plan is None:
            return Verdict(scan, None)
        if scan.placard:
            return self._placard(scan, scan.placard, self.plan.job)
        if scan.page:
            return Verdict(scan, self._belongs(scan.page, self.plan.job))
        return Verdict(scan, belongs=scan.tag is not None and scan.tag.text in self.tags)

    def _belongs(self, page: SheetPage, job: Job) -> bool | None:
        """Whether a page of a sheet is of the job; without a number on both it cannot be known."""
        is_strange = isinstance(page, WalkPage) and page.box not in self.boxes
        is_strange |= isinstance(page, SystemPage | DaysPage) and page.system not in self.systems
        if is_strange or is_other_job(page.job, job):
            return False
        return True if page.job and page.job == job.number else None

    def _placard(self, scan: Scan, seen: PlacardFacts, job: Job) -> Verdict:
        """A placard of another job is compared no further: its boxes may have the same tags."""
        if is_other_job(seen.number, job):
            return Verdict(scan, belongs=False, differences=(_other_number(seen, job),))
        box = self.boxes.get(seen.box.upper())
        if box is None:
            return Verdict(scan, belongs=False, differences=(f"the job has no box {seen.box}",))
        age = age_of(seen, job, box, self.issued.get(box.row.key))
        differences = () if age == UNCHANGED else tuple(_differences(seen, job, box))
        belongs = True if seen.number == job.number else None
        return Verdict(scan, belongs, differences, age)


def is_other_job(number: str, job: Job) -> bool:
    """Whether a placard's job number is another job's; where one of the two is missing nobody can know."""
    return bool(number and job.number) and number != job.number


def _other_number(seen: PlacardFacts, job: Job) -> str:
    return f"the placard is of job {seen.number or 'without number'}, not {job.number or 'without number'}"


def _differences(seen: PlacardFacts, job: Job, box: BoxPlan) -> Iterator[str]:
    """What differs between a placard and the job as it is today, a sentence for each difference."""
    if seen.revision != job.revision:
        yield f"the placard is of revision {seen.revision}, the job of revision {job.revision}"
    if seen.number != job.number:
        yield _other_number(seen, job)
    yield from _board_differences(seen, box)
    yield from _port_differences(seen, box, job.capacity_unit)


def _board_differences(seen: PlacardFacts, box: BoxPlan) -> Iterator[str]:
    found = {board.place: board for board in seen.boards}
    for board in box.boards:
        there = found.pop(board.place.lower(), None)
        if there is None or (there.first, there.last) != (board.letters[0], board.letters[-1]):
            ports = f"{board.letters[0]} to {board.letters[-1]}"
            yield f"{board.place} board: the placard does not have it with ports {ports}"
            continue
        yield from _bank_differences(there, board)
    for place in found:
        yield f"{place} board: the job has none"


def _bank_differences(there: SeenBoard, board: Board) -> Iterator[str]:
    """Banks by number; a placard has the switches that are ON alone, so only those are compared."""
    for number, (on, bank) in enumerate(zip_longest(there.banks, board.banks), start=1):
        if bank is None:
            yield f"{board.place} board, bank {number}: the job has none"
        elif on is None:
            yield f"{board.place} board, {bank.name}: the placard does not have it"
        elif on != bank.on():
            yield f"{board.place} board, {bank.name}: the placard has {_on(on)}, the job {_on(bank.on())}"


def _on(switches: tuple[int, ...]) -> str:
    return f"ON {' '.join(map(str, switches))}" if switches else "no switch ON"


def _port_differences(seen: PlacardFacts, box: BoxPlan, unit: CapacityUnit) -> Iterator[str]:
    if seen.unit != unit:
        yield f"loads are in {seen.unit} on the placard, in {unit} in the job"
        return
    today = {port.name: port_facts(port, unit) for port in box.ports}
    printed = {port.name: port for port in seen.ports}
    for name in today | printed:  # in the family's order of letters, then what the job does not have
        if today.get(name) != printed.get(name):
            yield f"port {name}: the placard has {_load(printed.get(name))}, the job {_load(today.get(name))}"


def _load(port: SeenPort | None) -> str:
    if port is None:
        return "no such port"
    return f"{port.load}/{port.limit}" if port.limit else "spare"
