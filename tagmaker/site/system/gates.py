"""What must be done before start, and the instruments, as they came back.

Takes the merged sheets with the verdicts of pressure test and vacuum; gives each gate and instrument and what
of them is wrong or open. A gate is open for the next only where it is ticked, with name and time.
"""

from collections.abc import Iterator, Mapping, Sequence

from msgspec import Struct

from tagmaker.measures import Measure, Pressure, TemperatureStep, Vacuum
from tagmaker.plan.systems import SystemPlan
from tagmaker.site.system.filled import Moment
from tagmaker.site.system.points import Pen, Point, listed
from tagmaker.tags.system import GATES, INSTRUMENTS, UnitKey
from tagmaker.units import number_text

__all__ = [
    "GateFound",
    "Grounds",
    "InstrumentFound",
    "gate_points",
    "gates_found",
    "instrument_points",
    "instruments_found",
]

ACCURACIES: Mapping[str, tuple[type[Measure], UnitKey]] = {
    "gauge": (Pressure, "pressure"),
    "thermometer": (TemperatureStep, "temperature"),
    "vacuum_gauge": (Vacuum, "vacuum"),
}
SLACK = 0.02  # hours: times are written in minutes
OF_HOLD = ("hold", "end", "time")
USED = {"gauge": OF_HOLD, "thermometer": OF_HOLD, "vacuum_gauge": ("vacuum", "time")}
"""The field with the time at which an instrument was read last."""
RESTS_ON = {"tested": OF_HOLD, "evacuated": ("vacuum", "time"), "charged": ("charge", "on")}
"""The field with the time of what a gate rests on: no gate is passed before."""


class GateFound(Struct, frozen=True):
    """A gate: whether it is ticked, by whom and when, as written; `since` when heaters are powered."""

    gate: str
    is_done: bool
    by: str
    time: str
    since: str = ""


class InstrumentFound(Struct, frozen=True):
    """An instrument, as written: its serial, the last day of its calibration, its accuracy."""

    instrument: str
    serial: str
    calibrated: str
    accuracy: str


class Grounds(Struct, frozen=True):
    """What gates rest on; `unwalked` are boxes that are not as planned, None where no walk came back."""

    holds: bool
    is_evacuated: bool
    is_charged: bool
    unwalked: Sequence[str] | None


# --- gates --------------------------------------------------------------------------------------------------


def gates_found(pen: Pen) -> tuple[GateFound, ...]:
    """Every gate, in its order."""
    filled = pen.filled
    return tuple(
        GateFound(
            key, filled.is_ticked("gate", key, "ok"), filled.text("gate", key, "by"),
            filled.text("gate", key, "time"), filled.text("gate", key, "since"),
        )
        for key in GATES
    )  # fmt: skip


def gate_points(
    pen: Pen, system: SystemPlan, gates: Sequence[GateFound], grounds: Grounds
) -> Iterator[Point]:
    """Gates that are open, passed before an earlier one, or ticked without grounds."""
    words, filled = pen.words, pen.filled
    for each in gates:
        name = words(f"system.gate_{each.gate}")
        if not each.is_done:
            yield pen.unticked(name, "gate", each.gate, "ok")
        if not each.by:
            yield pen.missing(f"{name}: {words('system.by')}", "gate", each.gate, "by")
        if filled.moment("gate", each.gate, "time") is None:
            how = words("system_found.moment")
            yield pen.missing(f"{name}: {words('system.time')}", "gate", each.gate, "time", how=how)
    yield from _out_of_order(pen, gates)
    yield from _too_early(pen, gates)
    yield from _groundless(pen, gates, grounds)
    yield from _heated(pen, system)


def _out_of_order(pen: Pen, gates: Sequence[GateFound]) -> Iterator[Point]:
    """Each gate that is done though an earlier one is not, or was done before an earlier one."""
    words = pen.words
    undone: GateFound | None = None
    latest: tuple[GateFound, Moment] | None = None
    for each in gates:
        moment = pen.filled.moment("gate", each.gate, "time")
        name = words(f"system.gate_{each.gate}")
        if each.is_done and undone:
            yield pen.wrong("gate_skipped", gate=name, earlier=words(f"system.gate_{undone.gate}"))
        if moment and latest and moment.is_before(latest[1]):
            earlier = words(f"system.gate_{latest[0].gate}")
            yield pen.wrong("gate_early", gate=name, time=each.time, earlier=earlier, before=latest[0].time)
        elif moment:
            latest = (each, moment)
        if not each.is_done and undone is None:
            undone = each


def _too_early(pen: Pen, gates: Sequence[GateFound]) -> Iterator[Point]:
    """Gates passed before what they rest on, a vacuum before the test ended, a charge before the vacuum."""
    for each in gates:
        parts = RESTS_ON.get(each.gate, ())
        moment, read = pen.filled.moment("gate", each.gate, "time"), pen.filled.moment(*parts)
        if moment and read and moment.is_before(read):
            name, of = pen.words(f"system.gate_{each.gate}"), pen.filled.text(*parts)
            yield pen.wrong("gate_unread", gate=name, time=each.time, read=of)
    vacuum, end = pen.filled.moment("vacuum", "time"), pen.filled.moment(*OF_HOLD)
    if vacuum and end and vacuum.is_before(end):
        of, before = pen.filled.text("vacuum", "time"), pen.filled.text(*OF_HOLD)
        yield pen.wrong("vacuum_early", time=of, before=before)
    charged = pen.filled.moment("charge", "on")
    if charged and vacuum and charged.is_before(vacuum):
        of, before = pen.filled.text("charge", "on"), pen.filled.text("vacuum", "time")
        yield pen.wrong("charge_early", time=of, before=before)


def _groundless(pen: Pen, gates: Sequence[GateFound], grounds: Grounds) -> Iterator[Point]:
    """Gates that are ticked though what they rest on is not so."""
    done = {each.gate for each in gates if each.is_done}
    if "walked" in done and grounds.unwalked:
        yield pen.wrong("gate_walked", boxes=listed(grounds.unwalked))
    for gate, is_so in (
        ("tested", grounds.holds), ("evacuated", grounds.is_evacuated), ("charged", grounds.is_charged),
    ):  # fmt: skip
        if gate in done and not is_so:
            yield pen.wrong(f"gate_{gate}")


def _heated(pen: Pen, system: SystemPlan) -> Iterator[Point]:
    """Whether crankcase heaters were powered for the hours that the job gives, before gate and start."""
    hours, name = system.row.heater_hours, pen.words("system.gate_heated")
    if hours is None:
        yield pen.open_point("no_figure", what="heater_hours")
    if hours == 0:
        return
    since = pen.filled.moment("gate", "heated", "since")
    if since is None or since.time is None:
        what = f"{name}: {pen.words('system.since')}"
        yield pen.missing(what, "gate", "heated", "since", how=pen.words("system_found.moment"))
        return
    for gate in ("heated", "started"):
        until = pen.filled.moment("gate", gate, "time")
        powered = since.hours_to(until) if until else None
        if hours and powered is not None and powered < float(hours) - SLACK:
            until_gate = pen.words(f"system.gate_{gate}")
            yield pen.wrong("heated_short", hours=f"{powered:.4g}", asked=number_text(hours), gate=until_gate)
            return


# --- instruments --------------------------------------------------------------------------------------------


def instruments_found(pen: Pen) -> tuple[InstrumentFound, ...]:
    """Every instrument as written."""
    return tuple(
        InstrumentFound(
            name,
            *(pen.filled.text("instrument", name, what) for what in ("serial", "calibrated", "accuracy")),
        )
        for name in INSTRUMENTS
    )


def instrument_points(pen: Pen) -> Iterator[Point]:
    """Serials, calibrations and accuracies that are missing, and calibrations that had expired."""
    words, filled = pen.words, pen.filled
    for name in INSTRUMENTS:
        shown = words(f"system.{name}")
        if not filled.text("instrument", name, "serial"):
            yield pen.missing(f"{shown}: {words('system.serial')}", "instrument", name, "serial")
        until, used = filled.moment("instrument", name, "calibrated"), filled.moment(*USED[name])
        if until is None:
            text = f"{shown}: {words('system.calibrated')}"
            yield pen.missing(text, "instrument", name, "calibrated", how=words("system_found.day"))
        elif used and until.day < used.day:
            yield pen.open_point("expired", what=shown, until=until.day, used=used.day)
        kind, unit = ACCURACIES[name]
        accuracy = filled.measure(kind, unit, "instrument", name, "accuracy")
        if accuracy is None or not accuracy.value:
            text = f"{shown}: {words('system.accuracy')}"
            yield pen.missing(text, "instrument", name, "accuracy", how=kind.example)
