"""Which systems' sheets of a file belong to the job, and which were printed for an earlier plan.

Takes a file's fields with what they were printed for; gives its sheets by system, in capitals. As of walks, a
file of another job is refused whole, and a sheet that does not show its job counts for nothing.
"""

from collections.abc import Callable, Iterable, Iterator, Mapping

from tagmaker.plan.systems import SystemPlan
from tagmaker.problems import Problem, Where, error, warning
from tagmaker.site.system.filled import SystemSheet
from tagmaker.site.system.points import listed
from tagmaker.site.walk.returns import NO_JOB, Return
from tagmaker.tags.sheet_names import is_of_system, sheet_of_field
from tagmaker.tags.system import (
    SystemPrinted,
    line_parts,
    read_system_field,
    read_system_printed,
    section_parts,
    sections,
    system_sheet,
    vacuum_minutes,
)
from tagmaker.tags.walk import JobIdentity, relation

__all__ = ["is_system_return", "sheets_of_systems"]

Parts = tuple[str, ...]
BELONGS_HINT = "check that the file belongs to this job"
UNKNOWN_HINT = "nothing of it counts: fill in a sheet of the current set"
OLDER_HINT = "what was read and measured counts, in the units of that sheet; ticks and names do not"
MERGED_HINT = "hand in each filled form as its own file, as it was saved"


def is_system_return(one: Return) -> bool:
    """Whether a file has sheets of systems."""
    return any(is_of_system(name) for name in (*one.values, *one.unclear, *one.confirmed, *one.printed))


def sheets_of_systems(
    one: Return, own: JobIdentity, systems: Mapping[str, SystemPlan], digests: Callable[[str], set[str]]
) -> tuple[dict[str, SystemSheet], list[Problem]]:
    """A file's sheets by system, and what is to be reported of the file.

    `systems` are those of the job by tag in capitals; `digests` gives for one of them the digest of what is
    planned now and that of its sheets' texts as they are printed now.
    """
    where = Where(one.source)
    printed = {sheet: read_system_printed(text) for sheet, text in one.printed.items()}
    named = [one.job, *(each.job for each in printed.values() if each)]
    foreign = next((each for each in named if each != NO_JOB and relation(each, own) == "another"), None)
    if foreign:
        message = f"it is of another job: {foreign}, not {own}; nothing of it counts"
        return {}, [error("return-foreign", message, where, BELONGS_HINT)]
    sheets: dict[str, SystemSheet] = {}
    for sheet in dict.fromkeys(sheet_of_field(name) for name in (*one.values, *one.unclear, *one.confirmed)):
        of = printed.get(sheet)
        if of and system_sheet(of.system) == sheet:
            is_current = of.system in systems and (of.plan or of.digest) in digests(of.system)
            sheets[of.system] = _sheet(one, sheet, of, is_current=is_current)
    problems = list(_problems(one, own, sheets, systems))
    strange = [
        name for key, sheet in sheets.items() if key in systems for name in _strange(sheet, systems[key])
    ]
    if strange:
        message = f"it has not the fields that were printed: {listed(strange)} was renamed or added"
        return {}, [error("return-merged", message, where, MERGED_HINT)]
    return {key: sheet for key, sheet in sheets.items() if key in systems}, problems


def _sheet(one: Return, sheet: str, printed: SystemPrinted, *, is_current: bool) -> SystemSheet:
    values = {parts: value for name, value in one.values.items() if (parts := _parts(name, sheet))}
    unclear, back = (
        frozenset(parts for name in names if (parts := _parts(name, sheet)))
        for names in (one.unclear, one.taken_back)
    )
    confirmed = {parts: found for name, found in one.confirmed.items() if (parts := _parts(name, sheet))}
    return SystemSheet(one.source, values, unclear, printed, is_current, back, confirmed)


def _parts(name: str, sheet: str) -> Parts:
    """A field's parts, of this sheet; none of another."""
    field = read_system_field(name) if sheet_of_field(name) == sheet else None
    return field.parts if field else ()


def _problems(
    one: Return, own: JobIdentity, sheets: Mapping[str, SystemSheet], systems: Mapping[str, SystemPlan]
) -> Iterator[Problem]:
    """What of a file is of another system, job or name, or does not show it, or is of an earlier plan."""
    where = Where(one.source)
    read = (read_system_field(name) for name, value in one.values.items() if value)
    names = {field.system for field in read if field} - sheets.keys()
    if names:
        message = (
            f"the system sheet of {listed(sorted(names))} does not show its job, or what it was printed for"
        )
        yield warning("return-unknown", message, where, UNKNOWN_HINT)
    if absent := sorted(set(sheets).difference(systems)):
        message = f"it is for {listed([f'system {key}' for key in absent])}, which the job does not have"
        yield warning("return-foreign", message, where, BELONGS_HINT)
    renamed = [s.printed.job for s in sheets.values() if relation(s.printed.job, own) == "renamed"]
    if renamed:
        message = (
            f"it has the job's number {own.number} and another name: “{renamed[0].name}”, not “{own.name}”"
        )
        yield warning("return-renamed", message, where, BELONGS_HINT)
    older = [
        key for key, sheet in sheets.items() if key in systems and not sheet.is_current and _has_any(sheet)
    ]
    if older:
        revisions = listed(list(dict.fromkeys(sheets[key].printed.revision for key in older)))
        message = f"the sheets of {listed(older)}, revision {revisions}, differ from those of today"
        yield warning("return-older", message, where, OLDER_HINT)


def _has_any(sheet: SystemSheet) -> bool:
    return any(sheet.values.values()) or bool(sheet.unclear or sheet.confirmed)


def _strange(sheet: SystemSheet, system: SystemPlan) -> Iterable[str]:
    """Fields of sections, pipes, steps or minutes that the sheet of the current plan does not have."""
    if not sheet.is_current:
        return
    lines = {line_parts(line)[1:] for line in system.charge.lines}
    shut = {section_parts(box, unit) for box, unit in sections(system)}
    minutes = {str(each) for each in vacuum_minutes(system.row)}
    for parts in (*sheet.values, *sheet.unclear, *sheet.confirmed):
        is_line = parts[0] != "line" or parts[1:3] in lines
        is_section = parts[0] != "shut" or parts[:-1] in shut
        is_step = parts[0] != "step" or int(parts[1]) <= len(system.row.test.steps)
        is_minute = parts[0] != "vacuum" or not parts[1].isdigit() or parts[1] in minutes
        if not (is_line and is_section and is_step and is_minute):
            yield "/".join(parts)
