"""What stands out among the readings of the first days, by the rules of `layouts/first-days.toml`.

Takes rows that came back and the plan; gives a result a system. A reading that is not there is unknown: it is
never taken for right. A unit that the job does not have at that box, and two values for one reading, are
problems, and count for nothing.
"""

from collections.abc import Iterable, Iterator, Mapping, Sequence

from msgspec import Struct
from msgspec.structs import replace

from tagmaker.catalog.first_days import TEMPERATURES, DaysRule, FirstDays, TemperatureKey
from tagmaker.catalog.words import Words
from tagmaker.measures import Temperature, TemperatureStep
from tagmaker.plan.model import Plan
from tagmaker.plan.systems import SystemPlan
from tagmaker.problems import Problem, Where, error, warning
from tagmaker.tags.first_days import DayRow, job_text, read_day_field
from tagmaker.tags.work_list import WorkItem

__all__ = ["DayFinding", "DaysResult", "judge_days"]

Key = tuple[str, str, int]
"""A unit on a day: box and unit in capitals, the day."""


class DayFinding(Struct, frozen=True):
    """What stands out of a unit on a day, in words; the fields are keys of `readback --json`."""

    unit: str
    box: str
    port: str
    day: int
    text: str


class DaysResult(Struct, frozen=True):
    """A system's readings: how many units were read on how many of its days, what stands out.

    `unread` are units and days of which something is missing, of those days on which anything was read.
    `to_type` are the fields with handwriting that nobody typed, `wrong` the findings as lines of the punch
    list. `off` are the units that were off whenever they were read: nothing shows that they heat or cool.
    `differ` are units with the days of which files have different values.
    """

    system: str
    days: tuple[int, ...]
    read: int
    of: int
    findings: tuple[DayFinding, ...]
    unread: tuple[str, ...]
    to_type: tuple[str, ...] = ()
    wrong: tuple[WorkItem, ...] = ()
    off: tuple[str, ...] = ()
    differ: tuple[str, ...] = ()

    @property
    def is_wrong(self) -> bool:
        """Whether anything stands out, is to be typed, or may be either of two values."""
        return bool(self.findings or self.to_type or self.differ)


def judge_days(
    rows: Sequence[tuple[str, DayRow]],
    plan: Plan,
    rules: FirstDays,
    words: Words,
    written: Iterable[str] = (),
) -> tuple[list[DaysResult], list[Problem]]:
    """A result for each system that something was read of; nothing where no row came back.

    `written` are fields with handwriting: each has a row, blank where nobody typed it.
    """
    own, problems = _own(rows, plan)
    found, conflicts = _merged(own)
    left = [name for name in dict.fromkeys(written) if not _is_known(name, found)]
    results: list[DaysResult] = []
    for system in plan.systems:
        if result := _judged(system, found, rules, words, left):
            keys = {(unit.box.upper(), unit.key) for unit in system.units}
            differ = (f"{unit} {day}" for (box, unit, day), _ in conflicts if (box, unit) in keys)
            results.append(replace(result, differ=tuple(differ)))
    return results, [*problems, *(problem for _, problem in conflicts)]


def _is_known(name: str, found: Mapping[Key, DayRow]) -> bool:
    """Whether a field's reading is known: somebody typed it."""
    field = read_day_field(name)
    if field is None:
        return False
    box, unit, day, what = field
    row = found.get((box.upper(), unit.upper(), day))
    if row is None:
        return False
    return bool(row.mode) if what == "mode" else row.temperatures[what] is not None


def _own(rows: Iterable[tuple[str, DayRow]], plan: Plan) -> tuple[list[tuple[str, DayRow]], list[Problem]]:
    """The rows of the job's units, and a problem for each file with others."""
    units = {(unit.box.upper(), unit.key) for system in plan.systems for unit in system.units}
    own: list[tuple[str, DayRow]] = []
    foreign: dict[str, str] = {}
    unknown: dict[str, dict[str, None]] = {}
    for source, row in rows:
        if row.job.casefold() != job_text(plan.job).casefold():
            foreign[source] = row.job
        elif (row.box.upper(), row.unit.upper()) not in units:
            unknown.setdefault(source, {})[f"{row.unit} at {row.box}"] = None
        else:
            own.append((source, row))
    return own, [*_foreign(foreign, plan), *_unknown(unknown)]


def _foreign(foreign: Mapping[str, str], plan: Plan) -> Iterator[Problem]:
    for source, job in foreign.items():
        message = f"its readings are of job {job or 'not named'}, not of {job_text(plan.job)}"
        yield error("return-foreign", message, Where(source), "nothing of it counts; name the job it is of")


def _unknown(unknown: Mapping[str, Mapping[str, None]]) -> Iterator[Problem]:
    for source, names in unknown.items():
        message = f"the job has no unit {', '.join(names)} in a system: these readings do not count"
        yield warning("return-unknown", message, Where(source), "print the sheet again after a change")


def _merged(rows: Iterable[tuple[str, DayRow]]) -> tuple[dict[Key, DayRow], list[tuple[Key, Problem]]]:
    """One row a unit and day; readings that two files give differently are taken out and reported."""
    modes: dict[Key, dict[str, str]] = {}
    readings: dict[tuple[Key, TemperatureKey], dict[Temperature, str]] = {}
    for source, row in rows:
        key = (row.box.upper(), row.unit.upper(), row.day)
        own = modes.setdefault(key, {})
        if row.mode:
            own.setdefault(row.mode, source)
        for what, value in row.temperatures.items():
            if value:
                readings.setdefault((key, what), {}).setdefault(value, source)
    problems = [
        *(
            (key, _conflict(key, "mode", tuple(found.values())))
            for key, found in modes.items()
            if len(found) > 1
        ),
        *(
            (key, _conflict(key, what, tuple(found.values())))
            for (key, what), found in readings.items()
            if len({each.value for each in found}) > 1
        ),
    ]
    one = {each: next(iter(found)) for each, found in readings.items() if len({t.value for t in found}) == 1}
    merged: dict[Key, DayRow] = {}
    for key, found in modes.items():
        mode = next(iter(found), "") if len(found) == 1 else ""
        temperatures = {what: one.get((key, what)) for what in TEMPERATURES}
        merged[key] = DayRow("", *key, mode, temperatures)
    return merged, problems


def _conflict(key: Key, what: str, sources: Sequence[str]) -> Problem:
    box, unit, day = key
    message = f"{unit} at {box}, day {day}: two different values of {what} ({', '.join(sources)})"
    hint = "read it again: until then it counts as not read"
    return warning("return-contradiction", message, Where(sources[0]), hint, (box,))


def _judged(
    system: SystemPlan,
    found: Mapping[Key, DayRow],
    rules: FirstDays,
    words: Words,
    written: Iterable[str],
) -> DaysResult | None:
    """A system's result; None where nothing was read of it."""
    keys = {(unit.box.upper(), unit.key): unit for unit in system.units}
    days = tuple(sorted({day for box, unit, day in found if (box, unit) in keys}))
    if not days:
        return None
    findings: list[DayFinding] = []
    unread: list[str] = []
    modes: dict[tuple[str, str], set[str]] = {}
    for (box, tag, _), filled in found.items():
        modes.setdefault((box, tag), set()).add(filled.mode)
    off = tuple(unit.tag for key, unit in keys.items() if modes.get(key, set()) - {""} == {"0"})
    read = 0
    for day in days:
        for key, unit in keys.items():
            row = found.get((*key, day))
            if row is None or not _is_whole(row):
                unread.append(words("days.not_whole", unit=unit.tag, day=day))
            read += row is not None and _is_whole(row)
            texts = _standing_out(row, rules, words) if row else ()
            findings += [DayFinding(unit.tag, unit.box, unit.port, day, text) for text in texts]
    fields = ((name, read_day_field(name)) for name in written)
    own = (name for name, field in fields if field and (field[0].upper(), field[1].upper()) in keys)
    return DaysResult(
        system.row.tag, days, read, len(keys) * len(days), tuple(findings), tuple(unread), tuple(own),
        tuple(_item(system, each, words) for each in findings), off,
    )  # fmt: skip


def _item(system: SystemPlan, each: DayFinding, words: Words) -> WorkItem:
    """A finding as a line of the punch list."""
    place = words("days.place", unit=each.unit, box=each.box, port=each.port)
    return WorkItem(system.row.tag, place, each.text, words("days.do"), is_system=True)


def _is_whole(row: DayRow) -> bool:
    """Whether mode and all temperatures were read; of a unit that is off its mode is enough."""
    return bool(row.mode) and (row.mode == "0" or all(row.temperatures.values()))


def _standing_out(row: DayRow, rules: FirstDays, words: Words) -> Iterator[str]:
    """What stands out of a row: of rules about the same two temperatures the first that holds."""
    told: set[tuple[TemperatureKey, TemperatureKey]] = set()
    for rule in rules.rules:
        first, second = (row.temperatures.get(key) for key in rule.of)
        if row.mode not in rule.modes or not row.mode or row.day < rule.from_day or rule.of in told:
            continue
        if first and second and _is_beyond(rule, first, second):
            told.add(rule.of)
            names = [words(f"days.named_{key}") for key in rule.of]
            yield words(
                "days.stands_out", day=row.day, text=rule.text,
                first=names[0], a=first.text(), second=names[1], b=second.text(),
            )  # fmt: skip


def _is_beyond(rule: DaysRule, first: Temperature, second: Temperature) -> bool:
    """Whether a difference is below the least or above the most of a rule."""
    difference = TemperatureStep(first.value - second.value, first.unit)
    if rule.either and difference.value < 0:
        difference = TemperatureStep(-difference.value, first.unit)
    is_low = rule.least is not None and difference < rule.least
    return is_low or (rule.most is not None and rule.most < difference)
