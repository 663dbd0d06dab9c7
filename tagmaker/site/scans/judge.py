"""Does a scanned text belong to this job, and is a placard as it would be printed for the job today?

A tag belongs where its code is one of the job's; a placard is compared part by part, so that what differs can
be named. Unknown codes are no mistake of this job: other things on site have codes too.
"""

from collections.abc import Iterator, Mapping
from itertools import zip_longest
from types import MappingProxyType
from typing import Literal

from msgspec import Struct

from tagmaker.plan.model import Board, BoxPlan, Plan
from tagmaker.revisions.issued import IssuedPlacard
from tagmaker.site.scans.age import ALTERED, UNCHANGED, Age, age_of
from tagmaker.site.scans.codes import Scan
from tagmaker.tags.model import Tag
from tagmaker.tags.placard_text import PlacardFacts, SeenBoard, SeenPort, port_facts
from tagmaker.units import CapacityUnit

__all__ = ["Verdict", "judge"]

NOTHING: Mapping[str, IssuedPlacard] = MappingProxyType({})


class Verdict(Struct, frozen=True):
    """A scan judged: whether it belongs to the job (None without a job), and each difference in words.

    `age` is of which revision a placard is, empty where that cannot be known.
    """

    scan: Scan
    belongs: bool | None
    differences: tuple[str, ...] = ()
    age: Literal[Age, ""] = ""

    @property
    def is_wrong(self) -> bool:
        """Whether a placard differs, or is damaged; unknown codes and other jobs' tags are only listed."""
        return self.scan.kind == "placard" and bool(self.differences)


def judge(
    scan: Scan, plan: Plan | None, tags: dict[str, Tag], issued: Mapping[str, IssuedPlacard] = NOTHING
) -> Verdict:
    """One scan against the job; `tags` are all of the job's tags by code.

    `issued` are the placards of the set that is on site, by box in capitals: a placard whose content is as
    today is right in its own, earlier revision.
    """
    if scan.fault:
        age: Literal[Age, ""] = ALTERED if scan.fault.is_altered else ""
        belongs = None if plan is None else False  # a damaged text counts as none of this job
        return Verdict(scan, belongs, (scan.fault.message,), age)
    if plan is None:
        return Verdict(scan, None)
    if scan.placard:
        box = _box(plan, scan.placard.box)
        if box is None:
            return Verdict(scan, belongs=False, differences=(f"the job has no box {scan.placard.box}",))
        age = age_of(scan.placard, plan.job, box, issued.get(box.row.key))
        differences = () if age == UNCHANGED else tuple(_differences(scan.placard, plan, box))
        return Verdict(scan, belongs=True, differences=differences, age=age)
    return Verdict(scan, belongs=scan.text.upper() in tags)


def _box(plan: Plan, tag: str) -> BoxPlan | None:
    return next((box for box in plan.boxes if box.row.key == tag.upper()), None)


def _differences(seen: PlacardFacts, plan: Plan, box: BoxPlan) -> Iterator[str]:
    """What differs between a placard and the job as it is today, a sentence for each difference."""
    job = plan.job
    if seen.revision != job.revision:
        yield f"the placard is of revision {seen.revision}, the job of revision {job.revision}"
    if seen.number != job.number:
        yield f"the placard is of job {seen.number or 'without number'}, not {job.number or 'without number'}"
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
    for name in sorted(today.keys() | printed.keys()):
        if today.get(name) != printed.get(name):
            yield f"port {name}: the placard has {_load(printed.get(name))}, the job {_load(today.get(name))}"


def _load(port: SeenPort | None) -> str:
    if port is None:
        return "no such port"
    return f"{port.load}/{port.limit}" if port.limit else "spare"
