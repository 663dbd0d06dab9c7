"""The way to the pressure of the test as it came back: what is ticked of it, and each planned step as read.

Takes the merged sheets; gives each step with the pressure that was read at its end, and what is wrong or open
of it. A step that was not read is open; one that was read below its pressure, above that of the test, or too
soon after the one before is wrong.
"""

from collections.abc import Iterator, Sequence
from itertools import pairwise

from msgspec import Struct

from tagmaker.job.model import PressureStep
from tagmaker.measures import Pressure
from tagmaker.plan.systems import SystemPlan
from tagmaker.site.system.filled import Moment
from tagmaker.site.system.points import Pen, Point
from tagmaker.tags.system import TEST_STEPS

__all__ = ["StepFound", "step_points", "steps_found", "ticks_points"]

SLACK = 1 / 60 + 0.001  # hours: times are written in minutes


class StepFound(Struct, frozen=True):
    """A planned step, the pressure read at its end, and when, as written."""

    step: str
    read: str
    time: str


def ticks_points(pen: Pen) -> Iterator[Point]:
    """What must be ticked before the hold starts."""
    for key in TEST_STEPS:
        if not pen.filled.is_ticked("test", key):
            yield pen.unticked(pen.words(f"system.test_{key}"), "test", key)


def steps_found(pen: Pen, system: SystemPlan) -> tuple[StepFound, ...]:
    """Every step, in its order."""
    return tuple(
        StepFound(step.text, _read_text(pen, at), pen.filled.text(*_parts(at), "time"))
        for at, step in enumerate(system.row.test.steps)
    )


def _read_text(pen: Pen, at: int) -> str:
    """A pressure with its unit; as written where it cannot be read."""
    read = pen.filled.measure(Pressure, "pressure", *_parts(at), "pressure")
    return read.text() if read else pen.filled.text(*_parts(at), "pressure")


def _parts(at: int) -> tuple[str, str]:
    return "step", str(at + 1)


def step_points(pen: Pen, system: SystemPlan, found: Sequence[StepFound]) -> Iterator[Point]:
    """What is wrong and open of the steps."""
    steps = system.row.test.steps
    for at, step in enumerate(steps):
        yield from _pressure_points(pen, system, at, step)
        moment = pen.filled.moment(*_parts(at), "time")
        if moment is None or moment.time is None:
            what, how = f"{_name(pen, at, step)}, {pen.words('system.time')}", "system_found.moment"
            yield pen.missing(what, *_parts(at), "time", how=pen.words(how))
    yield from _time_points(pen, steps, found)


def _name(pen: Pen, at: int, step: PressureStep) -> str:
    return pen.words("system.step", number=at + 1, step=step.text)


def _pressure_points(pen: Pen, system: SystemPlan, at: int, step: PressureStep) -> Iterator[Point]:
    """A step's pressure that was not read, or is another than planned by more than the gauge explains."""
    read = pen.filled.measure(Pressure, "pressure", *_parts(at), "pressure")
    if read is None:
        yield pen.missing(_name(pen, at, step), *_parts(at), "pressure", how=Pressure.example)
        return
    gauge = pen.filled.measure(Pressure, "pressure", "instrument", "gauge", "accuracy")
    slack, most = gauge.value if gauge else 0, system.row.test.pressure
    if read.value + slack < step.pressure.value:
        yield pen.wrong("step_low", step=_name(pen, at, step), read=read.text())
    elif most and read.value - slack > most.value:
        yield pen.wrong("step_high", step=_name(pen, at, step), read=read.text(), most=most.text())


def _time_points(pen: Pen, steps: Sequence[PressureStep], found: Sequence[StepFound]) -> Iterator[Point]:
    """Steps that end too soon after the one before, and a hold that starts before the last of them ends."""
    moments = [pen.filled.moment(*_parts(at), "time") for at in range(len(steps))]
    for at, (one, two) in enumerate(pairwise(moments), start=1):
        kept = _hours(one, two)
        if kept is not None and kept < float(steps[at].hold.value) - SLACK:
            name = _name(pen, at, steps[at])
            yield pen.wrong("step_short", step=name, time=found[at].time, before=found[at - 1].time)
    until = pen.filled.moment("hold", "start", "time")
    after = _hours(moments[-1], until) if moments else None
    if after is not None and after < 0:
        yield pen.wrong("hold_early", time=pen.filled.text("hold", "start", "time"), step=found[-1].time)


def _hours(one: Moment | None, two: Moment | None) -> float | None:
    return one.hours_to(two) if one and two else None
