"""The pressure test as it came back: both ends of the hold, the verdict computed again.

Takes the merged sheets; gives the readings with the house's own verdict beside what was ticked. Nothing that
is missing is taken for anything: without all four readings there is no verdict.
"""

from collections.abc import Iterator
from fractions import Fraction
from typing import TypeVar

from msgspec import Struct

from tagmaker.measures import Measure, Pressure, Temperature, TemperatureStep
from tagmaker.plan.hold import Hold, Readings, Verdict, fault, hold
from tagmaker.plan.systems import SystemPlan
from tagmaker.site.system.points import Pen, Point

__all__ = ["HoldFound", "compared", "hold_found", "hold_points"]

VERDICTS: dict[str, Verdict] = {"holds": "holds", "falls": "falls", "cannot_tell": "cannot tell"}
"""The verdicts by the names of their boxes."""
FOUR = (
    ("start", "pressure"), ("start", "temperature"), ("end", "temperature"), ("end", "pressure"),
)  # fmt: skip
Kind = TypeVar("Kind", bound=Measure)
SLACK = 0.02  # hours: times are written in minutes
LIMITS = ((40, "F"), (45, "C"))
"""A bare number below the first on a sheet in °F, or above the second on one in °C, may be of the other one:
air on a site is seldom so cold or so warm. What could mean two things is asked for with its unit."""


class HoldFound(Struct, frozen=True):
    """The hold: `answer` is computed, None where a reading is missing or beyond what can be computed.

    `ticked` are the verdicts that are ticked on the sheet, `hours` how long it was held.
    """

    answer: Hold | None = None
    ticked: tuple[Verdict, ...] = ()
    hours: float | None = None

    @property
    def verdict(self) -> Verdict | None:
        """The computed verdict."""
        return self.answer.verdict if self.answer else None


def hold_found(pen: Pen) -> HoldFound:
    """The hold as read, with the verdict computed of it."""
    filled = pen.filled
    ticked = tuple(name for key, name in VERDICTS.items() if filled.is_ticked("hold", "verdict", key))
    start, end = filled.moment("hold", "start", "time"), filled.moment("hold", "end", "time")
    hours = start.hours_to(end) if start and end else None
    readings = _readings(pen)
    answer = hold(readings) if readings and not fault(readings) else None
    return HoldFound(answer, ticked, hours)


def _readings(pen: Pen) -> Readings | None:
    filled = pen.filled
    start = filled.measure(Pressure, "pressure", "hold", "start", "pressure")
    at, now = (_temperature(pen, end) for end in ("start", "end"))
    read = filled.measure(Pressure, "pressure", "hold", "end", "pressure")
    if start is None or at is None or now is None or read is None:
        return None
    gauge = filled.measure(Pressure, "pressure", "instrument", "gauge", "accuracy")
    thermometer = filled.measure(TemperatureStep, "temperature", "instrument", "thermometer", "accuracy")
    return Readings(start, at, now, read, _known(gauge), _known(thermometer))


def _temperature(pen: Pen, end: str) -> Temperature | None:
    """A temperature of the hold; None also for a bare number that may be of either scale."""
    parts = ("hold", end, "temperature")
    read = pen.filled.measure(Temperature, "temperature", *parts)
    if read is None or any(map(str.isalpha, pen.filled.text(*parts))):
        return read
    coldest, warmest = (Temperature.of_number(Fraction(each), unit) for each, unit in LIMITS)
    is_doubtful = read < coldest if read.unit == "F" else warmest < read
    return None if is_doubtful else read


def _known(accuracy: Kind | None) -> Kind | None:
    """An accuracy; one of zero is none."""
    return accuracy if accuracy and accuracy.value else None


def hold_points(pen: Pen, system: SystemPlan, found: HoldFound) -> Iterator[Point]:
    """What is wrong and what is open of the hold."""
    words, filled = pen.words, pen.filled
    for end, what in FOUR:
        kind = Pressure if what == "pressure" else Temperature
        if what == "pressure":
            read: Measure | None = filled.measure(Pressure, "pressure", "hold", end, what)
        else:
            read = _temperature(pen, end)
        if read is None:
            name = f"{words(f'system.hold_{end}')}, {words(f'system.{what}')}"
            yield pen.missing(name, "hold", end, what, how=kind.example)
    readings = _readings(pen)
    if readings and (beyond := fault(readings)):
        yield pen.open_point("beyond", fault=beyond)
    yield from _verdict_points(pen, found)
    yield from _time_points(pen, system, found)
    yield from _level_points(pen, system, readings)


def _verdict_points(pen: Pen, found: HoldFound) -> Iterator[Point]:
    """The computed verdict, and a tick that contradicts it."""
    shown = {name: pen.words(f"system.{key}") for key, name in VERDICTS.items()}
    if found.verdict == "falls":
        yield pen.wrong("falls", text=compared(found))
    elif found.verdict == "cannot tell":
        yield pen.open_point("cannot_tell", text=compared(found))
    others = [shown[each] for each in found.ticked if each != found.verdict]
    unclear = any(("hold", "verdict", key) in pen.filled.unclear for key in VERDICTS)
    if found.verdict and others:
        yield pen.wrong("other_verdict", ticked=", ".join(others), computed=shown[found.verdict])
    elif not found.verdict and found.ticked:
        yield pen.wrong("verdict_alone", ticked=", ".join(shown[each] for each in found.ticked))
    elif not found.ticked or unclear:
        yield pen.open_point("unclear" if unclear else "not_ticked", what=pen.words("system.verdict"))


def compared(found: HoldFound) -> str:
    """What was expected and read, in the unit of the start."""
    answer = found.answer
    if answer is None or answer.difference is None or answer.readings.read is None:
        return ""
    unit, each = answer.readings.start.unit, float(Pressure.each[answer.readings.start.unit])
    figures = (answer.expected, answer.difference, answer.uncertainty)
    expected, difference, uncertainty = (f"{figure / each:.4g} {unit}" for figure in figures)
    read = answer.readings.read.text(places=2)
    return f"{read} read, {expected} expected, difference {difference} ± {uncertainty}"


def _time_points(pen: Pen, system: SystemPlan, found: HoldFound) -> Iterator[Point]:
    """Both times, and whether it was held as long as the job asks."""
    words, filled, asked = pen.words, pen.filled, system.row.test.hold
    for end in ("start", "end"):
        moment = filled.moment("hold", end, "time")
        if moment is None or moment.time is None:
            name = f"{words(f'system.hold_{end}')}, {words('system.time')}"
            yield pen.missing(name, "hold", end, "time", how=words("system_found.moment"))
    if found.hours is not None and found.hours <= 0:
        yield pen.wrong("end_before_start")
    elif found.hours is not None and asked and found.hours < float(asked.value) - SLACK:
        yield pen.wrong("held_short", hours=f"{found.hours:.4g}", asked=asked.text())
    if asked is None:
        yield pen.open_point("no_figure", what="test.hold")


def _level_points(pen: Pen, system: SystemPlan, readings: Readings | None) -> Iterator[Point]:
    """Whether the hold started at the pressure that the job asks for."""
    asked = system.row.test.pressure
    if asked is None:
        yield pen.open_point("no_figure", what="test.pressure")
    elif readings:
        slack = readings.gauge.value if readings.gauge else 0
        if readings.start.value + slack < asked.value:
            yield pen.wrong("start_low", read=readings.start.text(), asked=asked.text())
        elif readings.start.value - slack > asked.value:
            yield pen.wrong("start_high", read=readings.start.text(), asked=asked.text())
