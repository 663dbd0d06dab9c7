"""The stages of `hold`: take what was read → compute → give it in the unit of the start."""

from fractions import Fraction

from msgspec import Struct

from tagmaker.measures import Pressure
from tagmaker.plan.hold import Hold, Readings, Verdict
from tagmaker.plan.hold import hold as answer

__all__ = ["Held", "HoldOutline", "hold"]

DECIMALS = 5  # 0.00001 MPa are 0.0015 psi
SHOWN = {"psi": 1, "bar": 3, "kPa": 1, "MPa": 4}
"""Decimals that are shown of a pressure in each unit: each is about 0.1 psi or less."""


class HoldOutline(Struct, frozen=True):
    """What `hold --json` prints beside the problems: gauge pressures in `unit`, that of the start.

    `difference` is what was read less `expected`, null with the verdict where nothing was read;
    `uncertainty` is that of the difference, `least_fall` the least fall that the test must show.
    """

    unit: str
    expected: float
    difference: float | None
    verdict: Verdict | None
    uncertainty: float
    least_fall: float


class Held(Struct, frozen=True):
    """The answer with its pressures as texts."""

    answer: Hold

    def text(self, pascals: float) -> str:
        """A pressure in the unit of the start, without a sign."""
        unit = self.answer.readings.start.unit
        return Pressure(Fraction(abs(pascals)), unit).text(places=SHOWN[unit])

    @property
    def outline(self) -> HoldOutline:
        """The same as a record of the JSON keys."""
        made = self.answer
        difference = None if made.difference is None else self._number(made.difference)
        return HoldOutline(
            unit=made.readings.start.unit,
            expected=self._number(made.expected),
            difference=difference,
            verdict=made.verdict,
            uncertainty=self._number(made.uncertainty),
            least_fall=self._number(made.fall),
        )

    def _number(self, pascals: float) -> float:
        return round(pascals / float(Pressure.each[self.answer.readings.start.unit]), DECIMALS)


def hold(readings: Readings) -> Held:
    """The pressure to expect, and the verdict where one was read."""
    return Held(answer(readings))
