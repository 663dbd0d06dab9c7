"""What came back of systems, for `readback`: their sheets read, merged and judged, as records and as lines.

Takes returns of forms and paper; gives a system's findings each, in the order of the job, those whose sheets
did not come back too.
"""

from collections.abc import Iterable, Iterator, Sequence
from functools import cache

from msgspec import Struct

from tagmaker.catalog.words import Words
from tagmaker.measures import Mass
from tagmaker.plan.hold import Verdict
from tagmaker.plan.model import Plan
from tagmaker.plan.systems import SystemPlan
from tagmaker.problems import Problem, Where, warning
from tagmaker.sheets.system import printed_digest
from tagmaker.site.system.belonging import is_system_return, sheets_of_systems
from tagmaker.site.system.charge import BuiltLine, ChargeFound
from tagmaker.site.system.filled import Filled, SystemSheet, fill
from tagmaker.site.system.findings import SystemFindings, SystemState, system_findings
from tagmaker.site.system.gates import GateFound, InstrumentFound
from tagmaker.site.system.pressure import HoldFound
from tagmaker.site.system.sections import SectionFound
from tagmaker.site.system.steps import StepFound
from tagmaker.site.system.vacuum import VacuumFound, VacuumVerdict
from tagmaker.site.walk.findings import BoxFindings
from tagmaker.site.walk.returns import Return
from tagmaker.tags.sheet_names import sheet_of_field
from tagmaker.tags.system import plan_digest, read_system_field, system_field, system_sheet
from tagmaker.tags.walk import JobIdentity
from tagmaker.tags.work_list import BoxWork
from tagmaker.workflows.hold import Held, HoldOutline
from tagmaker.workflows.readback_typed import TypedBack

__all__ = [
    "SystemReadback",
    "SystemsBack",
    "divided_systems",
    "system_readback",
    "system_work",
    "systems_back",
]


class SystemsBack(Struct, frozen=True):
    """Every system of the job, with what is to be reported of the files; `has_any` where sheets came back."""

    systems: tuple[SystemFindings, ...] = ()
    problems: tuple[Problem, ...] = ()
    has_any: bool = False


def divided_systems(returns: Iterable[Return]) -> tuple[list[Return], list[Return]]:
    """The returns that have sheets of systems, and the rest."""
    own: list[Return] = []
    rest: list[Return] = []
    for each in returns:
        (own if is_system_return(each) else rest).append(each)
    return own, rest


def systems_back(
    returns: Sequence[Return],
    plan: Plan,
    boxes: Iterable[BoxFindings] | None,
    written: Iterable[str],
    words: Words,
) -> SystemsBack:
    """Every system; `boxes` are the findings of walks (None: no walk came back), `written` handwriting."""
    systems = {system.row.key: system for system in plan.systems}

    @cache
    def digests(key: str) -> set[str]:
        return {plan_digest(plan.job, systems[key]), printed_digest(plan.job, systems[key], words)}

    own = JobIdentity(plan.job.number, plan.job.name)
    sheets: dict[str, list[SystemSheet]] = {}
    problems: list[Problem] = []
    for each in returns:
        of_file, found = sheets_of_systems(each, own, systems, digests)
        problems += found
        for key, sheet in of_file.items():
            sheets.setdefault(key, []).append(sheet)
    by_hand, is_walked = _by_hand(written), boxes is not None
    unwalked = {box.box.upper() for box in boxes or () if box.state != "as planned"}
    findings: list[SystemFindings] = []
    for key, system in systems.items():
        filled = fill(sheets.get(key, ()), by_hand.get(system_sheet(key), ()))
        problems += _contradictions(system, filled)
        left = tuple(row.tag for row in system.boxes if row.key in unwalked) if is_walked else None
        findings.append(system_findings(system, filled, left, words))
    return SystemsBack(tuple(findings), tuple(problems), bool(returns))


def _by_hand(written: Iterable[str]) -> dict[str, list[tuple[str, ...]]]:
    """The fields with handwriting by sheet."""
    found: dict[str, list[tuple[str, ...]]] = {}
    for name in written:
        if field := read_system_field(name):
            found.setdefault(sheet_of_field(name), []).append(field.parts)
    return found


def _contradictions(system: SystemPlan, filled: Filled) -> Iterator[Problem]:
    """A warning for each field of which two files have different texts."""
    for each in filled.conflicts:
        values = "; ".join(f"{source}: {text}" for source, text in each.texts)
        message = f"{system_field(system.row, *each.parts)}: findings conflict ({values})"
        hint = "correct one of the files: until then it counts as not written"
        yield warning("return-contradiction", message, Where(each.texts[0][0]), hint)


# --- the record of the JSON ---------------------------------------------------------------------------------


class SystemPunch(Struct, frozen=True):
    """A line of the punch list that is of a system."""

    number: int
    place: str
    wrong: str
    to_do: str


class HoldBack(Struct, frozen=True):
    """The hold: `computed` as `hold --json` has it, null where a reading is missing; what is ticked."""

    computed: HoldOutline | None
    ticked: tuple[Verdict, ...]
    hours: float | None


class VacuumBack(Struct, frozen=True):
    """The vacuum: readings in `unit` by minutes after the pump was valved off, and what they come to."""

    unit: str
    readings: tuple[tuple[int, float], ...]
    rise: float | None
    verdict: VacuumVerdict | None


class LineBack(Struct, frozen=True):
    """A liquid pipe: its run as planned and as built, the charge in grams as planned and as built."""

    box: str
    unit: str
    run_planned: str
    run_built: str
    planned_g: float | None
    built_g: float | None


class ChargeBack(Struct, frozen=True):
    """The charge in grams: in all as planned and as built, what is in the system; each null if not known."""

    planned_g: float | None
    built_g: float | None
    weighed_g: float | None
    lines: tuple[LineBack, ...]


class SystemReadback(Struct, frozen=True):
    """A system as `readback --json` has it; `result` is complete, differs, open or not seen.

    `open` is what is not done or not known, `ticked` and `unclear` the names of boxes as the files have them,
    `to_type` those of fields with handwriting that no file has as a text, `typed` what persons read off
    pictures of paper.
    """

    system: str
    result: SystemState
    punch_list: tuple[SystemPunch, ...]
    open: tuple[str, ...]
    sections: tuple[SectionFound, ...]
    steps: tuple[StepFound, ...]
    hold: HoldBack
    vacuum: VacuumBack
    charge: ChargeBack
    gates: tuple[GateFound, ...]
    instruments: tuple[InstrumentFound, ...]
    ticked: tuple[str, ...]
    unclear: tuple[str, ...]
    to_type: tuple[str, ...]
    typed: tuple[TypedBack, ...] = ()


def system_readback(
    found: SystemFindings, system: SystemPlan, typed: tuple[TypedBack, ...] = ()
) -> SystemReadback:
    """Findings as their record, with what persons typed off pictures of its paper."""
    filled = found.filled

    def names(parts: Iterable[tuple[str, ...]]) -> tuple[str, ...]:
        return tuple(sorted(system_field(system.row, *each) for each in parts))

    return SystemReadback(
        system=found.system,
        result=found.state,
        punch_list=tuple(
            SystemPunch(each.number, each.place, each.wrong, each.to_do) for each in found.wrong
        ),
        open=found.open,
        sections=found.sections,
        steps=found.steps,
        hold=_hold(found.hold),
        vacuum=_vacuum(found.vacuum),
        charge=_charge(found.charge, system),
        gates=found.gates,
        instruments=found.instruments,
        ticked=names(filled.ticked - filled.confirmed),
        unclear=names(filled.unclear | filled.confirmed),
        to_type=names(filled.written),
        typed=typed,
    )


def _hold(found: HoldFound) -> HoldBack:
    computed = Held(found.answer).outline if found.answer else None
    return HoldBack(computed, found.ticked, None if found.hours is None else round(found.hours, 2))


def _vacuum(found: VacuumFound) -> VacuumBack:
    unit = found.readings[0][1].unit if found.readings else ""
    each = found.readings[0][1].each[unit] if found.readings else 1
    readings = tuple((minute, round(float(value.value / each), 3)) for minute, value in found.readings)
    rise = None if found.rise is None else round(float(found.rise.value / each), 3)
    return VacuumBack(unit, readings, rise, found.verdict)


def _charge(found: ChargeFound, system: SystemPlan) -> ChargeBack:
    lines = tuple(map(_line, found.lines))
    return ChargeBack(_grams(system.charge.total), _grams(found.total), _grams(found.weighed), lines)


def _line(each: BuiltLine) -> LineBack:
    line = each.line
    planned, built = (run.text if run else "" for run in (line.run, each.run))
    return LineBack(line.box, line.unit, planned, built, _grams(line.mass), _grams(each.mass))


def _grams(mass: Mass | None) -> float | None:
    return None if mass is None else round(float(mass.value), 3)


# --- the punch list -----------------------------------------------------------------------------------------


def system_work(found: SystemFindings, notes: Sequence[str], words: Words) -> BoxWork:
    """A system on the punch list: what is wrong, what is open of it, and notes."""
    where = " · ".join(filter(None, (words("system.title", system=found.system), found.outdoor)))
    return BoxWork(found.system, where, found.wrong, found.open, notes)
