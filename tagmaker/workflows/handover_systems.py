"""A system's part of a handover record: the figures as planned, and what was found of each.

Takes planned systems; gives a record each. What is not given, or did not come back, is empty: it is never
filled in from the plan.
"""

from collections.abc import Iterator

from tagmaker.catalog.words import Words
from tagmaker.job.model import Job
from tagmaker.plan.systems import SystemPlan
from tagmaker.tags.handover import Fact, SystemRecord
from tagmaker.units import number_text

__all__ = ["system_record"]

TESTS = ("pressure", "hold", "vacuum", "vacuum_rise", "vacuum_hold")


def system_record(job: Job, system: SystemPlan, words: Words) -> SystemRecord:
    """The record of one system."""
    return SystemRecord(
        system=system.row.tag,
        outdoor=system.row.outdoor,
        boxes=tuple(box.tag for box in system.boxes),
        units=len(system.units),
        facts=tuple(_facts(job, system, words)),
    )


def _facts(job: Job, system: SystemPlan, words: Words) -> Iterator[Fact]:
    connected, percent = system.connected, system.percent
    if connected:
        share = f" ({number_text(percent, 1)} %)" if percent is not None else ""
        text = f"{connected.text(job.capacity_unit)}{share}"
        yield Fact(words("handover.connected"), text, words("handover.by_plan"), is_open=False)
    for key in TESTS:
        figure = getattr(system.row.test, key)
        planned = figure.text() if figure else words("system.not_given")
        yield Fact(words(f"handover.test_{key}"), planned, "", is_open=True)
    total = system.charge.total
    charge = total.text(system.charge.unit) if total else words("system.unknown")
    yield Fact(words("handover.charge"), charge, "", is_open=True)
