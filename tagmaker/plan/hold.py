"""The hold of a pressure test: which pressure to expect at another temperature, and does the system hold?

Takes gauge pressures and temperatures as read; gives pressures in pascals. The system is full of dry nitrogen
and keeps its volume, so its density is constant. Whether it holds depends on the instruments too: errors of
gauge and thermometer, at the start and now, are independent, and their effects add up as squares
(JCGM 100:2008, 5.1.2, from memory).
"""

import math
from collections.abc import Callable
from fractions import Fraction
from functools import lru_cache
from typing import Literal

from msgspec import Struct
from msgspec.structs import replace

from tagmaker.catalog.hold_rule import HoldRule, hold_rule
from tagmaker.measures import Pressure, Temperature, TemperatureStep
from tagmaker.plan.nitrogen import density, pressure

__all__ = [
    "Hold",
    "Readings",
    "Verdict",
    "expected_pressure",
    "fault",
    "hold",
]

Verdict = Literal["holds", "falls", "cannot tell"]
PRESSURES = (Pressure.of_number(Fraction(10), "psi"), Pressure.of_number(Fraction(1000), "psi"))
TEMPERATURES = (Temperature.of_number(Fraction(-40), "F"), Temperature.of_number(Fraction(160), "F"))
"""Within these the equation is compared with another program (`tests/outside/test_nitrogen.py`)."""
ATMOSPHERES = (Pressure.of_number(Fraction(8), "psi"), Pressure.of_number(Fraction(16), "psi"))
"""From 16,000 ft up to 2,000 ft below the sea, roughly."""
ERRORS_AT_MOST = (Pressure.of_number(Fraction(50), "psi"), TemperatureStep.of_number(Fraction(20), "F"))
"""Of gauge and thermometer: what is coarser measures nothing."""
ROUNDED = float(Pressure.of_number(Fraction(1, 20), "psi").value)
"""Half of the last digit that is shown: a reading that equals what is shown is no fall."""


class Readings(Struct, frozen=True):
    """A hold as read; `read` is None before it ends.

    `gauge` and `thermometer` are how far these may be wrong, None where nobody said; so are the atmosphere's
    absolute pressure and the least `fall` that the test must show.
    """

    start: Pressure
    at: Temperature
    now: Temperature
    read: Pressure | None = None
    gauge: Pressure | None = None
    thermometer: TemperatureStep | None = None
    atmosphere: Pressure | None = None
    fall: Pressure | None = None


class Hold(Struct, frozen=True):
    """The answer, in pascals: `expected` is a gauge pressure, `difference` what was read less that.

    `uncertainty` is that of the difference; `is_coarse` where an instrument's accuracy was not given, so that
    it was taken for a coarse one. Without a reading there is no difference and no verdict.
    """

    readings: Readings
    expected: float
    uncertainty: float
    fall: float
    is_coarse: bool
    difference: float | None = None
    verdict: Verdict | None = None


def hold(readings: Readings) -> Hold:
    """The pressure to expect, and the verdict where a pressure was read."""
    rule = hold_rule()
    atmosphere = float((readings.atmosphere or rule.atmosphere).value)
    start, at, now = float(readings.start.value), float(readings.at.value), float(readings.now.value)
    expected = _expected(start, at, now, atmosphere)
    absolute = start + atmosphere
    fall = float(readings.fall.value) if readings.fall else absolute * rule.fall_percent / 100
    uncertainty = _uncertainty(readings, atmosphere, rule)
    made = Hold(readings, expected, uncertainty, fall, readings.gauge is None or readings.thermometer is None)
    if readings.read is None:
        return made
    difference = float(readings.read.value) - expected
    return replace(made, difference=difference, verdict=_verdict(difference, uncertainty, fall))


def fault(readings: Readings) -> str:
    """What of a question is beyond what can be answered; empty where nothing is."""
    gauge, thermometer = ERRORS_AT_MOST
    within = (
        ("START", readings.start, PRESSURES),
        ("AT", readings.at, TEMPERATURES),
        ("NOW", readings.now, TEMPERATURES),
        ("READ", readings.read, (Pressure(Fraction(0), "psi"), PRESSURES[1])),
        ("--gauge", readings.gauge, (Pressure(Fraction(0), "psi"), min(gauge, readings.start))),
        ("--thermometer", readings.thermometer, (TemperatureStep(Fraction(0), "F"), thermometer)),
        ("--atmosphere", readings.atmosphere, ATMOSPHERES),
        ("--fall", readings.fall, (Pressure(Fraction(0), "psi"), readings.start)),
    )
    for name, given, (least, most) in within:
        if given and not least.value <= given.value <= most.value:
            limits = f"{least.text(given.unit, 1)} to {most.text(given.unit, 1)}"
            return f"{name}: {given.text()} is not within {limits}"
    return ""


@lru_cache(maxsize=512)  # systems of a job are tested at the same pressure: one table for all
def expected_pressure(start: Pressure, at: Temperature, now: Temperature) -> Pressure:
    """The gauge pressure of the same gas at another temperature, under the standard atmosphere."""
    values = (float(start.value), float(at.value), float(now.value))
    found = _expected(*values, float(hold_rule().atmosphere.value))
    return Pressure(Fraction(round(found)), start.unit)


def _expected(start: float, at: float, now: float, atmosphere: float) -> float:
    """A gauge pressure at constant density, from gauge pressure and temperatures."""
    return pressure(density(start + atmosphere, at), now) - atmosphere


def _uncertainty(readings: Readings, atmosphere: float, rule: HoldRule) -> float:
    """How far the difference of reading and expectation may be wrong.

    Gauge and thermometer count twice each: at the start, by what the expectation makes of it, and now.
    """
    start, at, now = float(readings.start.value), float(readings.at.value), float(readings.now.value)
    of_gauge = (start + atmosphere) * rule.gauge_percent / 100
    gauge = float(readings.gauge.value) if readings.gauge else of_gauge
    kelvins = float((readings.thermometer or rule.thermometer).value)
    effects = (
        ROUNDED,
        gauge,
        _effect(lambda error: _expected(start + error, at, now, atmosphere), gauge),
        _effect(lambda error: _expected(start, at + error, now, atmosphere), kelvins),
        _effect(lambda error: _expected(start, at, now + error, atmosphere), kelvins),
    )
    return math.hypot(*effects)


def _effect(expected: Callable[[float], float], error: float) -> float:
    """What an error of this size, up or down, does to the expectation, on average."""
    return (expected(error) - expected(-error)) / 2


def _verdict(difference: float, uncertainty: float, fall: float) -> Verdict:
    """Falls: by more than the instruments explain. Holds: no fall that must show can hide behind them.

    A reading that is higher than instruments explain was not taken at the temperature of the gas.
    """
    if difference + uncertainty < 0:
        return "falls"
    is_explained = difference <= uncertainty
    return "holds" if is_explained and difference - uncertainty >= -fall else "cannot tell"
