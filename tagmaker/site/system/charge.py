"""The charge as it came back: worked out once more from the lengths as built, and the amount in the system.

Takes the merged sheets; gives the charge line by line. A length that was not written is not known: the total
is not known then, the planned length is not taken in its place.
"""

from collections.abc import Iterator, Sequence
from fractions import Fraction

from msgspec import Struct

from tagmaker.catalog.system_rule import system_rule
from tagmaker.measures import Mass
from tagmaker.plan.charge import ChargeLine, ChargePlan
from tagmaker.plan.systems import SystemPlan
from tagmaker.site.system.points import Pen, Point, listed
from tagmaker.tags.system import has_charge, line_parts
from tagmaker.units import Length, read_length

__all__ = ["BuiltLine", "ChargeFound", "charge_found", "charge_points"]

HALF = Fraction(1, 2)
OTHER = {"ft": "m", "m": "ft"}
FAR, NEAR = 2, Fraction(1, 4)
"""A bare length off the planned one by such a factor, and in the other unit near it by such a share, may be
of either unit."""


class BuiltLine(Struct, frozen=True):
    """A liquid pipe as built: its run as written, the charge worked out of it, the charge as written."""

    line: ChargeLine
    run: Length | None
    mass: Mass | None
    written: Mass | None


class ChargeFound(Struct, frozen=True):
    """The charge of the pipes as built and in all, None while a part is not known; and what is in the system.

    `factory` is in `total` and in `weighed` alike.
    """

    lines: tuple[BuiltLine, ...] = ()
    pipes: Mass | None = None
    total: Mass | None = None
    weighed: Mass | None = None


def charge_found(pen: Pen, system: SystemPlan) -> ChargeFound:
    """The charge once more, from the lengths as built."""
    charge = system.charge
    lines = tuple(_built(pen, line, charge.unit) for line in charge.lines)
    if not has_charge(system.row):
        return ChargeFound(lines)
    pipes = _sum([line.mass for line in lines], charge.unit) if charge.is_whole else None
    total = _sum([charge.factory, pipes, charge.of_extras], charge.unit)
    return ChargeFound(lines, pipes, total, pen.filled.measure(Mass, "mass", "charge", "weighed"))


def _built(pen: Pen, line: ChargeLine, unit: str) -> BuiltLine:
    run = _run(pen, line)
    mass = line.figure.of(run, unit) if line.figure and run else None
    return BuiltLine(line, run, mass, pen.filled.measure(Mass, "mass", *line_parts(line), "charge"))


def _run(pen: Pen, line: ChargeLine) -> Length | None:
    """A length as built; None also for a bare number that fits the plan in the other of feet and metres."""
    parts = (*line_parts(line), "run")
    run, typed, planned = pen.filled.length(*parts), pen.filled.typed.get(parts), line.run
    if run is None or typed is None or planned is None or any(map(str.isalpha, typed.text)):
        return run
    other = OTHER.get(typed.units["run"])
    turned = read_length(typed.text, other) if other else run
    is_far = not planned.mm / FAR < run.mm < FAR * planned.mm
    is_near = isinstance(turned, Length) and abs(turned.mm - planned.mm) <= NEAR * planned.mm
    return None if is_far and is_near else run


def _sum(parts: Sequence[Mass | None], unit: str) -> Mass | None:
    """The sum; None where any part is not known."""
    values = [part.value for part in parts if part is not None]
    return Mass(sum(values, start=Fraction(0)), unit) if len(values) == len(parts) else None


# --- what is wrong and open ---------------------------------------------------------------------------------


def charge_points(pen: Pen, system: SystemPlan, found: ChargeFound) -> Iterator[Point]:
    """Lengths that are missing, sums worked out otherwise, and how the amount in the system compares."""
    yield from _runs(pen, found)
    if not has_charge(system.row):
        return
    charge = system.charge
    if missing := [name for name in charge.missing() if "length" not in name]:
        yield pen.open_point("no_charge", names=listed(missing))
    for line in found.lines:
        parts = (*line_parts(line.line), "charge")
        yield from _written(pen, line.line.name, line.mass, 1, charge.unit, *parts)
    count = len(found.lines)
    yield from _written(pen, pen.words("system.pipes"), found.pipes, count, charge.unit, "charge", "pipes")
    yield from _written(pen, pen.words("system.total"), found.total, count, charge.unit, "charge", "total")
    yield from _weighed(pen, charge, found)
    given, weighed = system.row.weighed_in, found.weighed
    share = Fraction(str(system_rule().written_percent)) / 100
    if given and weighed and abs(given.value - weighed.value) > share * given.value:
        yield pen.wrong("weighed_other", weighed=weighed.text(), given=given.text(weighed.unit))


def _runs(pen: Pen, found: ChargeFound) -> Iterator[Point]:
    """Lengths as built that are not there, in one line, and each that cannot be read."""
    left: list[str] = []
    for each in found.lines:
        parts = (*line_parts(each.line), "run")
        if each.run is None and not pen.filled.text(*parts) and parts not in pen.filled.written:
            left.append(each.line.name)
        elif each.run is None:
            yield pen.missing(each.line.name, *parts, how="62 ft")
    if left:
        yield pen.open_point("runs_missing", names=listed(left))


def _written(
    pen: Pen, what: str, computed: Mass | None, lines: int, unit: str, *parts: str
) -> Iterator[Point]:
    """What was worked out on the sheet, where it was, against what the lengths as built come to."""
    text = pen.filled.text(*parts)
    written = pen.filled.measure(Mass, "mass", *parts)
    if text and written is None:
        yield pen.missing(what, *parts, how=Mass.example)
    elif parts in pen.filled.written or any(each.parts == parts for each in pen.filled.conflicts):
        yield pen.missing(what, *parts)
    elif written and computed:
        off = abs(written.value - computed.value)
        if off > _slack(text, written, computed, lines):
            yield pen.wrong("sum", what=what, written=written.text(unit), computed=computed.text(unit))


def _slack(text: str, written: Mass, computed: Mass, lines: int) -> Fraction:
    """By how much a sum may differ: half of its last digit, for each line that was rounded before."""
    digits = "".join(sign for sign in text.replace(",", ".") if sign in "0123456789.")
    half = HALF * written.each[written.unit] / Fraction(10) ** len(digits.partition(".")[2])
    share = Fraction(str(system_rule().written_percent)) / 100 * computed.value
    return max(half, min(half * (lines + 1), share))


def _weighed(pen: Pen, charge: ChargePlan, found: ChargeFound) -> Iterator[Point]:
    """What is in the system, against what the lengths as built come to."""
    unit, words = charge.unit, pen.words
    if found.weighed is None:
        yield pen.missing(words("system.weighed"), "charge", "weighed", how=Mass.example)
    elif found.total is not None:
        off = found.weighed.value - found.total.value
        values = {
            "weighed": found.weighed.text(unit),
            "total": found.total.text(unit),
            "off": Mass(abs(off), unit).text(),
        }
        slack = Fraction(str(system_rule().weighed_percent)) / 100 * found.total.value
        if abs(off) > slack:
            is_added = charge.factory is not None and abs(off + charge.factory.value) <= slack
            how = "added" if is_added else "more" if off > 0 else "less"
            yield pen.wrong(f"weighed_{how}", **values)
    if not pen.filled.text("charge", "by"):
        yield pen.missing(words("system.weighed_by"), "charge", "by")
    if pen.filled.moment("charge", "on") is None:
        yield pen.missing(words("system.weighed_on"), "charge", "on", how=words("system_found.day"))
