"""A system's figures as texts by their keys, for plan.json: what a later revision compares.

Keys are those of [[system]], of its tables behind a point; "pipe.TAG" is the liquid pipe to a unit or box;
`connected`, `units` and `total` follow from boxes and units. What is not given has no key.
"""

from collections.abc import Iterator
from fractions import Fraction

from tagmaker.job.model import SystemRow
from tagmaker.measures import Measure
from tagmaker.plan.systems import SystemPlan
from tagmaker.units import number_text

__all__ = ["system_figures"]

PLACES = 6  # decimals: a figure that differs by less is the same
TEXTS = ("outdoor", "refrigerant", "installer", "lubricant", "source")
RUNS = ("longest_run", "total_run", "first_box", "port_run")
HEIGHTS = ("outdoor_above", "outdoor_below", "between_units")
CHARGES = ("factory", "per_box", "per_unit")
TESTS = ("pressure", "hold", "vacuum", "vacuum_rise", "vacuum_hold")


def system_figures(system: SystemPlan) -> dict[str, str]:
    """Every figure that is given, in the order of the keys."""
    return {key: text for key, text in (*_given(system.row), *_counted(system)) if text}


def _given(row: SystemRow) -> Iterator[tuple[str, str]]:
    """What [[system]] gives."""
    yield from ((key, getattr(row, key)) for key in TEXTS)
    yield "capacity", row.capacity.text(row.capacity.unit) if row.capacity else ""
    yield "ratio", _range(row.ratio, " %")
    yield "units_most", str(row.units_most or "")
    yield "addresses", _range(row.addresses)
    lengths = [(key, getattr(row, key)) for key in RUNS]
    lengths += [(f"heights.{key}", getattr(row.heights, key)) for key in HEIGHTS]
    yield from ((key, length.text if length else "") for key, length in lengths)
    yield from ((f"charge.{key}", _text(getattr(row.charge, key))) for key in CHARGES)
    yield from ((f"charge.{tube.text}", _text(figure)) for tube, figure in row.charge.per_length)
    yield from ((f"test.{key}", _text(getattr(row.test, key))) for key in TESTS)
    yield "test.steps", "; ".join(step.text for step in row.test.steps)
    yield "heater_hours", "" if row.heater_hours is None else f"{number_text(row.heater_hours)} h"
    yield "institutional", "yes" if row.is_institutional else ""
    yield "weighed_in", _text(row.weighed_in)


def _counted(system: SystemPlan) -> Iterator[tuple[str, str]]:
    """What follows from its boxes and units."""
    for line in system.charge.lines:
        parts = (line.tube.text if line.tube else "", line.run.text if line.run else "")
        yield f"pipe.{line.unit or line.box}", ", ".join(filter(None, parts))
    yield "connected", system.connected.text("Btu/h") if system.connected else ""
    yield "units", str(len(system.units))
    yield "total", _text(system.charge.total)


def _text(figure: Measure | None) -> str:
    return figure.text(places=PLACES) if figure else ""


def _range(two: tuple[Fraction | int, Fraction | int] | None, unit: str = "") -> str:
    return f"{' – '.join(number_text(Fraction(each), PLACES) for each in two)}{unit}" if two else ""
