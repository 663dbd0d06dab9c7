"""The vacuum as it came back: reached, and how it rose: within what is allowed, a leak, or moisture.

Takes the merged sheets; gives the readings with a verdict. A leak lets in as much at the end as at first;
moisture evaporates until its own pressure is reached, so that its rise levels off. The shares between the
two are data, `layouts/system.toml`; what is between them, or within the accuracy of the gauge, is neither.
"""

from collections.abc import Iterator, Sequence
from fractions import Fraction
from itertools import accumulate
from typing import Literal

from msgspec import Struct

from tagmaker.catalog.system_rule import system_rule
from tagmaker.measures import Vacuum
from tagmaker.plan.systems import SystemPlan
from tagmaker.site.system.points import Pen, Point
from tagmaker.tags.system import farthest_box, vacuum_minutes

__all__ = ["VacuumFound", "VacuumVerdict", "is_short", "judge_rise", "vacuum_found", "vacuum_points"]

VacuumVerdict = Literal["within", "leak", "moisture", "rises", "cannot tell"]
"""`rises`: by more than is allowed, and the readings do not show whether steadily or not."""
Reading = tuple[int, Vacuum]
LEAST_BARE = Fraction(10)
"""Microns: field pumps seldom reach less, so that a bare 0.3 on a sheet in micron is of mbar or Torr, a
thousand times as much. What could mean two things is asked for with its unit."""


class VacuumFound(Struct, frozen=True):
    """Readings by minutes after the pump is valved off, and what they come to; None where one is missing."""

    readings: tuple[Reading, ...] = ()
    rise: Vacuum | None = None
    verdict: VacuumVerdict | None = None


def vacuum_found(pen: Pen, system: SystemPlan) -> VacuumFound:
    """The readings, and the verdict where all are there and the job gives what is allowed."""
    minutes = vacuum_minutes(system.row)
    read = {each: _reading(pen, each) for each in minutes}
    readings = tuple((each, value) for each, value in read.items() if value is not None)
    if len(readings) < len(minutes):
        return VacuumFound(readings)
    first, allowed = readings[0][1], system.row.test.vacuum_rise
    rise = Vacuum(max(value.value for _, value in readings) - first.value, first.unit)
    accuracy = pen.filled.measure(Vacuum, "vacuum", "instrument", "vacuum_gauge", "accuracy")
    verdict = judge_rise(readings, allowed, accuracy) if allowed and system.row.test.vacuum_hold else None
    return VacuumFound(readings, rise, verdict)


def _reading(pen: Pen, minute: int) -> Vacuum | None:
    """A reading; None also for a bare number that may be of a larger unit than the sheet's."""
    parts = ("vacuum", str(minute))
    read = pen.filled.measure(Vacuum, "vacuum", *parts)
    if read is None or any(map(str.isalpha, pen.filled.text(*parts))):
        return read
    return None if read < Vacuum.of_number(LEAST_BARE, "micron") else read


def judge_rise(readings: Sequence[Reading], allowed: Vacuum, accuracy: Vacuum | None) -> VacuumVerdict:
    """What a rise comes to; readings are in the order of their minutes, the first at 0."""
    values = [float(value.value) for _, value in readings]
    share = system_rule().vacuum_gauge_percent / 100
    own = float(accuracy.value) if accuracy else 0.0
    error = own or share * max(values)
    if min(values) <= own or any(
        later < most - 2 * error for most, later in zip(accumulate(values, max), values, strict=True)
    ):
        return "cannot tell"  # not valved off, or not read right: no pump reaches zero, no gauge shows it
    if accuracy and accuracy.value and 2 * accuracy.value >= allowed.value:
        return "cannot tell"  # so coarse a gauge shows no such rise: it may be off at both ends
    if max(values) - values[0] <= float(allowed.value):
        return "within"
    return _shape([minute for minute, _ in readings], values, error)


def _shape(minutes: Sequence[int], values: Sequence[float], error: float) -> VacuumVerdict:
    """Whether the rise of the second half goes on as that of the first did."""
    rule, last = system_rule(), minutes[-1]
    middle = min(range(len(minutes)), key=lambda at: abs(minutes[at] - last / 2))
    if not 0 < minutes[middle] < last:
        return "rises"
    early, late = values[middle] - values[0], values[-1] - values[middle]
    early_least, early_most = ((early + off) / minutes[middle] for off in (-error, error))
    late_least, late_most = ((late + off) / (last - minutes[middle]) for off in (-error, error))
    if late_least >= rule.steady_percent / 100 * early_most:
        return "leak"
    return "moisture" if late_most <= rule.levels_percent / 100 * early_least else "rises"


def vacuum_points(pen: Pen, system: SystemPlan, found: VacuumFound) -> Iterator[Point]:
    """What is wrong and what is open of the vacuum."""
    given = {each for each, _ in found.readings}
    for each in vacuum_minutes(system.row):
        if each not in given:
            name = pen.words("system.minutes", count=each)
            yield pen.missing(name, "vacuum", str(each), how=Vacuum.example)
    for key in ("vacuum", "vacuum_rise", "vacuum_hold"):
        if getattr(system.row.test, key) is None:
            yield pen.open_point("no_figure", what=f"test.{key}")
    yield from _verdict_points(pen, system, found)
    yield from _place_points(pen, system)
    if pen.filled.moment("vacuum", "time") is None:
        how = pen.words("system_found.moment")
        yield pen.missing(pen.words("system.time"), "vacuum", "time", how=how)


def is_short(found: VacuumFound, system: SystemPlan) -> bool:
    """Whether the vacuum was not reached when the pump was valved off."""
    asked, first = system.row.test.vacuum, found.readings[0] if found.readings else None
    return bool(asked and first and first[0] == 0 and asked < first[1])


def _verdict_points(pen: Pen, system: SystemPlan, found: VacuumFound) -> Iterator[Point]:
    test = system.row.test
    if is_short(found, system) and test.vacuum:
        yield pen.wrong("vacuum_short", read=found.readings[0][1].text(), asked=test.vacuum.text())
    rise = found.rise.text(places=1) if found.rise else ""
    allowed = test.vacuum_rise.text() if test.vacuum_rise else ""
    if found.verdict in {"leak", "moisture", "rises"}:
        yield pen.wrong(f"vacuum_{found.verdict}", rise=rise, allowed=allowed)
    elif found.verdict == "cannot tell":
        yield pen.open_point("vacuum_unclear", rise=rise)


def _place_points(pen: Pen, system: SystemPlan) -> Iterator[Point]:
    """Where it was read: at the farthest box, as far as that is known."""
    at, farthest = pen.filled.text("vacuum", "at"), farthest_box(system)
    if not at:
        yield pen.missing(pen.words("system_found.read_at"), "vacuum", "at")
    elif farthest and at.casefold() not in {farthest.shown.casefold(), farthest.key.casefold()}:
        yield pen.open_point("not_farthest", at=at, box=farthest.shown)
