"""Does a scanned text belong to this job, and does a placard say what the job says today?"""

from collections.abc import Iterator, Mapping
from itertools import zip_longest
from types import MappingProxyType

from msgspec import Struct

from tagmaker.plan.model import Board, BoxPlan, Plan, Port
from tagmaker.revisions.issued import IssuedPlacard
from tagmaker.site.scans.age import ALTERED, UNCHANGED, age_of
from tagmaker.site.scans.codes import Scan
from tagmaker.tags.model import Tag
from tagmaker.tags.placard_read import PlacardFacts, SeenBoard
from tagmaker.units import CapacityUnit

__all__ = ["Verdict", "judge"]

NOTHING: Mapping[str, IssuedPlacard] = MappingProxyType({})


class Verdict(Struct, frozen=True):
    """A scan judged: whether it belongs to the job (None without one) and each way in which it differs.

    `age` is of which revision a placard is, empty where that cannot be said.
    """

    scan: Scan
    belongs: bool | None
    differences: tuple[str, ...] = ()
    age: str = ""

    @property
    def is_wrong(self) -> bool:
        """Whether a placard differs, or is damaged; unknown codes and other jobs' tags are only listed."""
        return self.scan.kind == "placard" and bool(self.differences)


def judge(
    scan: Scan, plan: Plan | None, tags: dict[str, Tag], issued: Mapping[str, IssuedPlacard] = NOTHING
) -> Verdict:
    """One scan against the job; `tags` are all of the job's tags by code.

    `issued` are the placards that hang on site by box in capitals: one that says the same as the job today
    is right in its own revision.
    """
    if scan.fault:
        age = ALTERED if scan.fault.is_altered else ""
        return Verdict(scan, None if plan is None else False, (scan.fault.message,), age)
    if plan is None:
        return Verdict(scan, None)
    if scan.placard:
        box = _box(plan, scan.placard.box)
        if box is None:
            return Verdict(scan, belongs=False, differences=(f"the job has no box {scan.placard.box}",))
        age = age_of(scan.placard, plan.job, box, issued.get(box.row.key))
        told = () if age == UNCHANGED else tuple(_differences(scan.placard, plan, box))
        return Verdict(scan, belongs=True, differences=told, age=age)
    return Verdict(scan, belongs=scan.text.upper() in tags)


def _box(plan: Plan, tag: str) -> BoxPlan | None:
    return next((box for box in plan.boxes if box.row.key == tag.upper()), None)


def _differences(seen: PlacardFacts, plan: Plan, box: BoxPlan) -> Iterator[str]:
    """Exactly what differs between a placard and the job as it is today."""
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
    for number, (on, bank) in enumerate(zip_longest(there.banks, board.banks), start=1):
        if bank is None:
            yield f"{board.place} board, bank {number}: the job has none"
        elif on is None:
            yield f"{board.place} board, {bank.name}: the placard does not have it"
        elif on != bank.on():
            yield f"{board.place} board, {bank.name}: the placard has {_on(on)}, the job {_on(bank.on())}"


def _on(switches: tuple[int, ...]) -> str:
    return f"ON {' '.join(map(str, switches))}" if switches else "none ON"


def _port_differences(seen: PlacardFacts, box: BoxPlan, unit: CapacityUnit) -> Iterator[str]:
    if seen.unit != unit:
        yield f"loads are in {seen.unit} on the placard, in {unit} in the job"
        return
    today = {port.name: _today(port, unit) for port in box.ports}
    printed = {port.name: (port.load, port.limit) for port in seen.ports}
    for name in sorted(today.keys() | printed.keys()):
        if today.get(name) != printed.get(name):
            yield f"port {name}: the placard has {_load(printed.get(name))}, the job {_load(today.get(name))}"


def _today(port: Port, unit: CapacityUnit) -> tuple[str, str]:
    if port.use == "spare":
        return "", ""
    return port.load.number(unit) if port.load else "?", port.limit.number(unit)


def _load(pair: tuple[str, str] | None) -> str:
    if pair is None:
        return "no such port"
    return f"{pair[0]}/{pair[1]}" if pair[1] else "spare"
