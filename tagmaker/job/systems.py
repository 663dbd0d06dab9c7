"""[[system]]: what the manual of a system's equipment gives, as far as it is given.

Takes a job file's tables; gives the systems in its order. Nothing has a default: what is absent is left out,
and reported by the checks where it is needed.
"""

from collections.abc import Iterable
from fractions import Fraction
from itertools import pairwise

from tagmaker.catalog.family import read_addresses
from tagmaker.files.toml import Table
from tagmaker.job.model import Charge, HeightLimits, PressureStep, PressureTest, SystemRow
from tagmaker.job.schedule.result import SystemFacts
from tagmaker.job.system_cells import table_of_cells
from tagmaker.measures import Mass, MassPerLength, Pressure, Time, Vacuum
from tagmaker.units import Length, Unreadable, read_length

__all__ = ["SAME_TUBE_MM", "read_systems"]

SYSTEMS_AT_MOST = 1_000
SAME_TUBE_MM = Fraction(1, 10)
"""Diameters that differ by less are the same tube: 3/8 in is 9.525 mm and sold as 9.52 mm."""
CHARGES = ("factory", "per_box", "per_unit")
PERCENT_AT_MOST = 1_000.0
STEPS_AT_MOST = 8  # of a pressure test; the sheet has a place for each
HOURS_AT_MOST = 1_000.0


def read_systems(top: Table, listed: Iterable[SystemFacts] = ()) -> tuple[SystemRow, ...]:
    """The systems of a job, then those of its sheets of systems; a tag is used once."""
    rows: dict[str, SystemRow] = {}
    of_sheets = [table_of_cells(facts, top.problems) for facts in listed]
    for table in (*top.tables("system", SYSTEMS_AT_MOST), *of_sheets):
        row = _system(table)
        if row.key in rows:
            hint = f"see {rows[row.key].where}; give each system a different tag"
            table.wrong("system-twice", "tag", f"system {row.tag} is listed twice", hint)
        elif row.tag:
            rows[row.key] = row
    return tuple(rows.values())


def _system(table: Table) -> SystemRow:
    """One system; without a tag where that cannot be read."""
    row = SystemRow(
        tag=table.text("tag", required=True, at_most=60),
        where=table.where(),
        outdoor=table.text("outdoor", at_most=60),
        capacity=table.capacity("capacity"),
        refrigerant=table.text("refrigerant", at_most=24),
        ratio=_ratio(table),
        units_most=table.whole_number("units_most", least=1) or None,
        addresses=read_addresses(table),
        longest_run=table.length("longest_run"),
        total_run=table.length("total_run"),
        first_box=table.length("first_box"),
        port_run=table.length("port_run"),
        heights=_heights(table.table("heights")),
        charge=_charge(table.table("charge")),
        test=_test(table.table("test")),
        heater_hours=_heater_hours(table),
        is_institutional=table.flag("institutional"),
        installer=table.text("installer", at_most=60),
        lubricant=table.text("lubricant", at_most=60),
        weighed_in=table.measure("weighed_in", Mass),
        source=table.text("source"),
    )
    table.close()
    return row


def _ratio(table: Table) -> tuple[Fraction, Fraction] | None:
    """The least and most connected capacity, in per cent."""
    if not table.has("ratio"):
        table.numbers("ratio", 2, required=False)
        return None
    before = len(table.problems)
    least, most = (Fraction(str(each)) for each in table.numbers("ratio", 2))
    if len(table.problems) > before:
        return None
    if not 0 <= least < most <= PERCENT_AT_MOST:
        message = "'ratio' must be two numbers in per cent, least and most: [50, 130]"
        table.wrong("value-wrong", "ratio", message)
        return None
    return least, most


def _heights(table: Table) -> HeightLimits:
    heights = HeightLimits(
        outdoor_above=table.length("outdoor_above"),
        outdoor_below=table.length("outdoor_below"),
        between_units=table.length("between_units"),
    )
    table.close()
    return heights


def _heater_hours(table: Table) -> Fraction | None:
    """Hours; zero is a figure too."""
    hours = table.number("heater_hours")
    if hours > HOURS_AT_MOST:
        table.wrong("value-wrong", "heater_hours", f"'heater_hours' must be at most {HOURS_AT_MOST:g}")
    return Fraction(str(hours)) if table.has("heater_hours") else None


def _test(table: Table) -> PressureTest:
    pressure = table.measure("pressure", Pressure)
    test = PressureTest(
        pressure=pressure,
        hold=table.measure("hold", Time),
        steps=_steps(table, pressure),
        vacuum=table.measure("vacuum", Vacuum),
        vacuum_rise=table.measure("vacuum_rise", Vacuum),
        vacuum_hold=table.measure("vacuum_hold", Time),
    )
    table.close()
    return test


def _steps(table: Table, most: Pressure | None) -> tuple[PressureStep, ...]:
    """The planned steps, each higher than the one before and none above the pressure of the test."""
    texts = table.texts("steps")
    steps = [step for text in texts if (step := _step(table, text))]
    if len(steps) < len(texts):
        return ()
    if len(steps) > STEPS_AT_MOST:
        table.wrong("value-wrong", "steps", f"'steps' must be at most {STEPS_AT_MOST}")
        return ()
    for before, step in pairwise(steps):
        if not before.pressure < step.pressure:
            message = f"step {step.text!r} is not above the one before, {before.text!r}"
            table.wrong("value-wrong", "steps", message, "list the steps from the lowest pressure up")
            return ()
    if steps and most and most < steps[-1].pressure:
        message = f"step {steps[-1].text!r} is above the pressure of the test, {most.text()}"
        table.wrong("value-wrong", "steps", message, "correct the step, or the pressure of the test")
        return ()
    return tuple(steps)


def _step(table: Table, text: str) -> PressureStep | None:
    """A step as "150 psi for 3 min"."""
    first, word, second = text.partition(" for ")
    pressure, hold = Pressure.read(first), Time.read(second)
    if not word:
        hint = 'write pressure and time: "150 psi for 3 min"'
        table.wrong("value-wrong", "steps", f"step {text!r} does not give pressure and time", hint)
        return None
    if isinstance(pressure, Unreadable):
        table.wrong(pressure.code, "steps", pressure.message, pressure.hint)
        return None
    if isinstance(hold, Unreadable):
        table.wrong(hold.code, "steps", hold.message, hold.hint)
        return None
    return PressureStep(pressure, hold)


def _charge(table: Table) -> Charge:
    """The charge; every other key than those known is the diameter of a liquid line."""
    factory, per_box, per_unit = (table.measure(key, Mass) for key in CHARGES)
    figures: list[tuple[Length, MassPerLength]] = []
    for key in table.content:
        tube = read_length(key)
        if isinstance(tube, Unreadable):
            continue  # known, or reported as unknown below
        figure = table.measure(key, MassPerLength)
        if any(abs(tube.mm - other.mm) < SAME_TUBE_MM for other, _ in figures):
            table.wrong("value-wrong", key, f"two figures are given for the diameter {key!r}")
        elif figure:
            figures.append((tube, figure))
    table.close()
    return Charge(factory, per_box, per_unit, tuple(figures))
