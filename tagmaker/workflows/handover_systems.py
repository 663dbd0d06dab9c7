"""A system's part of a handover record: each figure as planned, and what came back of it.

Takes planned systems with what their sheets show; gives a record each. What did not come back is empty: it is
never filled in from the plan, nor judged here: verdicts are those of `site.system`.
"""

from collections.abc import Iterator, Mapping, Sequence
from fractions import Fraction

from tagmaker.catalog.words import Words
from tagmaker.job.model import Job
from tagmaker.measures import Mass, Measure, Pressure
from tagmaker.plan.systems import SystemPlan
from tagmaker.site.system.findings import SystemFindings
from tagmaker.site.system.pressure import HoldFound
from tagmaker.site.system.sections import SectionFound
from tagmaker.site.system.vacuum import VacuumFound
from tagmaker.tags.handover import Fact, SystemRecord
from tagmaker.tags.system import system_field
from tagmaker.units import number_text

__all__ = ["system_record"]

VERDICTS: Mapping[str, str] = {"holds": "holds", "falls": "falls", "cannot tell": "cannot_tell"}
"""The words of a verdict on the hold."""


def system_record(
    job: Job, system: SystemPlan, found: SystemFindings, cuts: Sequence[str], words: Words
) -> SystemRecord:
    """The record of one system; `cuts` are the names of all pictures cut from paper."""
    beginning = system_field(system.row, "").replace("/", "_")
    return SystemRecord(
        system=system.row.tag,
        outdoor=system.row.outdoor,
        boxes=tuple(box.tag for box in system.boxes),
        units=len(system.units),
        result=found.state,
        facts=tuple(_facts(job, system, found, words)),
        pictures=tuple(name for name in cuts if name.startswith(beginning)),
    )


def _facts(job: Job, system: SystemPlan, found: SystemFindings, words: Words) -> Iterator[Fact]:
    test, charge, hours = system.row.test, system.charge, system.row.heater_hours
    connected, percent = system.connected, system.percent
    if connected:
        share = f" ({number_text(percent, 1)} %)" if percent is not None else ""
        yield Fact(
            words("handover.connected"), f"{connected.text(job.capacity_unit)}{share}", "", is_asked=False
        )
    for_box: dict[str, list[SectionFound]] = {}
    for section in found.sections:
        for_box.setdefault(section.box, []).append(section)
    for box in system.boxes:
        yield Fact(words("handover.section", box=box.shown), "", _shut(for_box[box.shown], words))
    for step in found.steps:
        yield Fact(words("handover.step"), step.step, _listed(step.read, step.time))
    yield Fact(words("handover.test_pressure"), _given(test.pressure, words), _start(found))
    yield Fact(words("handover.test_hold"), _given(test.hold, words), _held(found.hold, words))
    yield Fact(words("handover.test_vacuum"), _given(test.vacuum, words), _first(found.vacuum))
    yield Fact(
        words("handover.test_vacuum_rise"), _given(test.vacuum_rise, words), _rise(found.vacuum, words)
    )
    planned = charge.total.text(charge.unit) if charge.total else words("system.unknown")
    yield Fact(words("handover.charge"), planned, _charged(found, words))
    for gate in found.gates:
        done = [words("handover.done")] if gate.is_done else []
        since = [words("handover.since", time=gate.since)] if gate.since else []
        planned = words("system.hours", hours=number_text(hours)) if gate.gate == "heated" and hours else ""
        yield Fact(words(f"system.gate_{gate.gate}"), planned, _listed(*done, *since, gate.by, gate.time))
    for each in found.instruments:
        accuracy = f"± {each.accuracy}" if each.accuracy else ""
        text = _listed(each.serial, each.calibrated, accuracy)
        yield Fact(words(f"system.{each.instrument}"), "", text)


def _shut(own: Sequence[SectionFound], words: Words) -> str:
    """How many of a box's sections were opened, or have a gauge, of how many; by whom."""
    ways = (
        ("opened", [each for each in own if each.is_opened]),
        ("gauges", [each for each in own if each.has_gauges]),
    )
    done = [words(f"handover.shut_{key}", count=len(of), of=len(own)) for key, of in ways if of]
    return _listed(*done, own[0].by if own else "")


def _listed(*texts: str) -> str:
    return ", ".join(filter(None, texts))


def _given(figure: Measure | None, words: Words) -> str:
    return figure.text() if figure else words("system.not_given")


def _start(found: SystemFindings) -> str:
    """Pressure and temperature at the start, as they were read, with the time as it was written."""
    answer = found.hold.answer
    if answer is None:
        return ""
    readings = answer.readings
    return _listed(readings.start.text(), readings.at.text(), found.filled.text("hold", "start", "time"))


def _held(hold: HoldFound, words: Words) -> str:
    """What was read at the end, what was to be expected, and the computed verdict."""
    answer = hold.answer
    if answer is None or answer.readings.read is None or answer.verdict is None:
        return ""
    readings, verdict = answer.readings, words(f"system.{VERDICTS[answer.verdict]}")
    expected = Pressure(Fraction(round(answer.expected)), readings.start.unit).text(places=1)
    hours = (
        f"{number_text(Fraction(hold.hours).limit_denominator(60), 1)} h" if hold.hours is not None else ""
    )
    read = words(
        "handover.held", read=answer.readings.read.text(), now=readings.now.text(), expected=expected
    )
    return _listed(hours, read, verdict)


def _first(vacuum: VacuumFound) -> str:
    """The first reading; none where the pump was not valved off."""
    return vacuum.readings[0][1].text() if vacuum.readings and vacuum.readings[0][0] == 0 else ""


def _rise(vacuum: VacuumFound, words: Words) -> str:
    if vacuum.rise is None or vacuum.verdict is None:
        return ""
    last = vacuum.readings[-1][0]
    return words("handover.rise", rise=vacuum.rise.text(), minutes=last, verdict=vacuum.verdict)


def _charged(found: SystemFindings, words: Words) -> str:
    """The charge from lengths as built, and what was weighed in."""
    built, weighed = found.charge.total, found.charge.weighed
    as_built = words("handover.as_built", mass=_mass(built)) if built else ""
    return _listed(as_built, words("handover.weighed", mass=_mass(weighed)) if weighed else "")


def _mass(mass: Mass) -> str:
    return mass.text(mass.unit)
