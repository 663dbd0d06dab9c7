"""A system's second sheet: what is shut, pressure test, vacuum, and what must be done before it starts.

Takes the system's figures as the manual in hand gives them; a figure that is not given is printed as such and
has a place to write it in. The pressures to expect come from the real gas, see `plan/hold.py`.
"""

from collections.abc import Iterator, Mapping, Sequence
from fractions import Fraction

from tagmaker.draw.marks import Mark
from tagmaker.job.model import BoxRow, PressureStep
from tagmaker.measures import Measure, Pressure, Temperature
from tagmaker.plan.hold import PRESSURES, expected_pressure
from tagmaker.sheets.page_head import PAGE_CAPS
from tagmaker.sheets.system_pen import APART, TICK, Entry, SystemPen
from tagmaker.tags.system import (
    GATES,
    INSTRUMENTS,
    TEST_STEPS,
    UnitKey,
    farthest_box,
    printed_units,
    section_parts,
    vacuum_minutes,
)
from tagmaker.tags.system_screen import ScreenPart
from tagmaker.typeset.flow import Block
from tagmaker.typeset.frame import Frame
from tagmaker.typeset.table import Running
from tagmaker.typeset.text import Style, fits
from tagmaker.units import number_text

__all__ = ["start_sheets"]

NAME, LONG_NAME = 21.0, 90.0  # mm for the name of a box: two side by side where all are short
ACCURACIES: Mapping[str, UnitKey] = {
    "gauge": "pressure",
    "thermometer": "temperature",
    "vacuum_gauge": "vacuum",
}
"""What an instrument's accuracy is measured in."""
IN_FAHRENHEIT = (range(50, 91, 10), range(20, 121, 10))
IN_CELSIUS = (range(10, 31, 5), range(-5, 46, 5))
"""Temperatures at the start, and those of which the pressure is printed."""
SHOWN = {"psi": 0, "bar": 1, "kPa": 0, "MPa": 2}
"""Decimals of a pressure in the table: as fine as a gauge is read."""
CELL = 4.1
GATE, SINCE, SINCE_WORD = 86.0, 29.0, 9.0  # mm, for the words of a gate, and since when heaters are on


def start_sheets(pen: SystemPen, running: Running) -> Sequence[list[Mark]]:
    """The pages of test and start."""
    _shut(pen, running)
    _test(pen, running)
    _vacuum(pen, running)
    _gates(pen, running)
    return running.end()


# --- what is shut -------------------------------------------------------------------------------------------


def _shut(pen: SystemPen, running: Running) -> None:
    """Why sections are hidden, and who opened what is ticked in the list."""
    pen.sentence(running, pen.words("system.cautions"), bold=True)
    pen.sentence(running, pen.words("system.dates"))
    pen.title(running, "shut", pen.words("system.shut"))
    pen.sentence(running, pen.words("system.shut_why"))
    boxes = pen.system.boxes
    is_short = all(fits(box.shown, NAME, PAGE_CAPS, bold=True) for box in boxes)
    width, columns = (NAME, 3) if is_short else (LONG_NAME, 1)
    names = [_opened_by(pen, box, width) for box in boxes]
    for start in range(0, len(boxes), columns):
        row = names[start : start + columns]
        running.put(pen.entries(*row, *([[]] * (columns - len(row)))))


def _opened_by(pen: SystemPen, box: BoxRow, width: float) -> list[Entry]:
    """Who opened the sections of a box, or put gauges on them."""
    by = pen.words("system.by")
    place = Entry(by, 5, (*section_parts(box), "by"), 30, spoken=f"{box.shown}: {by}")
    return [Entry(box.shown, width, bold=True), place]


def _tick(name: tuple[str, ...], spoken: str) -> Entry:
    """A box to tick, before its words."""
    return Entry("", 0, name, TICK, kind="check", spoken=spoken)


# --- pressure -----------------------------------------------------------------------------------------------


def _test(pen: SystemPen, running: Running) -> None:
    """The planned pressure and hold, its steps, both ends, the instruments, and what to expect."""
    test = pen.system.row.test
    pressure, hold = _given(pen, test.pressure), _given(pen, test.hold)
    pen.title(running, "test", pen.words("system.test", pressure=pressure, hold=hold))
    pen.ticks(running, [(("test", key), pen.words(f"system.test_{key}")) for key in TEST_STEPS])
    units = printed_units(pen.system)
    _steps(pen, running, units["pressure"])
    for end in ("start", "end"):
        running.put(pen.entries(_end_of_hold(pen, end, units)))
    for name in INSTRUMENTS:
        running.put(pen.entries(_instrument(pen, name, units[ACCURACIES[name]])))
    if test.pressure and PRESSURES[0].value <= test.pressure.value <= PRESSURES[1].value:
        running.put(_expected(pen, test.pressure))
    verdicts = (
        (("hold", "verdict", key), pen.words(f"system.{key}")) for key in ("holds", "falls", "cannot_tell")
    )
    ticks = [entry for name, text in verdicts for entry in (_tick(name, text), Entry(text, 17))]
    example = Entry(pen.words("system.test_example"), 92)
    running.put(pen.entries([Entry(pen.words("system.verdict"), 14, bold=True), *ticks, example]))


def _steps(pen: SystemPen, running: Running, unit: str) -> None:
    """The planned steps, two side by side, each with places for the pressure at its end and the time."""
    steps = [_step(pen, number, step, unit) for number, step in enumerate(pen.system.row.test.steps, start=1)]
    for start in range(0, len(steps), 2):
        row = steps[start : start + 2]
        running.put(pen.entries(*row, *([[]] * (2 - len(row)))))
    if not steps:
        pen.sentence(running, pen.words("system.no_steps"))


def _step(pen: SystemPen, number: int, step: PressureStep, unit: str) -> list[Entry]:
    text, time = pen.words("system.step", number=number, step=step.text), pen.words("system.step_time")
    spoken = pen.words("system.step_read", step=text)
    return [
        Entry(text, 33, ("step", str(number), "pressure"), 15, unit, bold=True, spoken=spoken),
        Entry(time, 4, ("step", str(number), "time"), 30, spoken=f"{text}: {pen.words('system.time')}"),
    ]


def _end_of_hold(pen: SystemPen, end: str, units: Mapping[UnitKey, str]) -> list[Entry]:
    """Pressure, temperature and time at the start or the end."""
    name = pen.words(f"system.hold_{end}")
    entries = [Entry(name, 24, bold=True)]
    for what, words, place, unit in (
        ("pressure", 15, 22, units["pressure"]), ("temperature", 20, 18, units["temperature"]),
        ("time", 18, 34, ""),
    ):  # fmt: skip
        text = pen.words(f"system.{what}")
        entries.append(Entry(text, words, ("hold", end, what), place, unit, spoken=f"{name}: {text}"))
    return entries


def _given(pen: SystemPen, figure: Measure | None) -> str:
    return figure.text() if figure else pen.words("system.not_given")


def _instrument(pen: SystemPen, name: str, unit: str) -> Sequence[Entry]:
    instrument = pen.words(f"system.{name}")
    entries = [Entry(instrument, 24, bold=True)]
    for what, words, place, of in (
        ("serial", 15, 34, ""), ("calibrated", 26, 26, ""), ("accuracy", 18, 20, unit),
    ):  # fmt: skip
        text = pen.words(f"system.{what}")
        spoken = f"{instrument}: {text}"
        entries.append(Entry(text, words, ("instrument", name, what), place, of, spoken=spoken))
    return entries


def _expected(pen: SystemPen, start: Pressure) -> Block:
    """The pressures to expect: a row for each temperature at the start, a column for each one now."""
    scale = "F" if start.unit == "psi" else "C"
    starts, nows = IN_FAHRENHEIT if scale == "F" else IN_CELSIUS
    text = pen.words("system.expected", pressure=start.text(), unit=start.unit)
    texts = [[pen.words("system.expected_corner"), *(f"{now} °{scale}" for now in nows)]]
    texts += [[f"{at} °{scale}", *_pressures(start, at, nows, scale)] for at in starts]
    pen.screen.append(ScreenPart("table", text, rows=tuple(map(tuple, texts))))

    def draw(frame: Frame) -> None:
        head, grid = frame.top(CELL)
        pen.layout.text(text, head, Style(PAGE_CAPS, PAGE_CAPS, bold=True))
        rows = grid.rows([1] * (len(starts) + 1))
        for number, (row, line) in enumerate(zip(rows, texts, strict=True)):
            pen.layout.rule(row.x, row.y, row.right, row.y, 0.12)
            with pen.layout.part("TR"):
                for at, (place, cell) in enumerate(zip(_cells(row, len(nows)), line, strict=True)):
                    is_head = number == 0 or at == 0
                    with pen.layout.part("TH" if is_head else "TD"):
                        style = Style(PAGE_CAPS, 1.9, bold=is_head, align="left" if at == 0 else "right")
                        pen.layout.text(cell, place, style)

    return CELL * (len(starts) + 2) + 1, draw


def _cells(row: Frame, count: int) -> list[Frame]:
    return row.columns([2.2, *([1] * count)], 0.8)


def _pressures(start: Pressure, at: int, nows: range, scale: str) -> Iterator[str]:
    first = Temperature.of_number(Fraction(at), scale)
    for now in nows:
        expected = expected_pressure(start, first, Temperature.of_number(Fraction(now), scale))
        yield f"{float(expected.value / Pressure.each[start.unit]):.{SHOWN[start.unit]}f}"


# --- vacuum, gates ------------------------------------------------------------------------------------------


def _vacuum(pen: SystemPen, running: Running) -> None:
    """The vacuum to reach, where it is read, and how it rises."""
    test = pen.system.row.test
    vacuum, rise, hold = (_given(pen, each) for each in (test.vacuum, test.vacuum_rise, test.vacuum_hold))
    pen.title(running, "vacuum", pen.words("system.vacuum", vacuum=vacuum, rise=rise, hold=hold))
    pen.sentence(running, pen.words("system.vacuum_rule"))
    unit = printed_units(pen.system)["vacuum"]
    farthest = farthest_box(pen.system)
    at = pen.words("system.vacuum_at", box=farthest.shown if farthest else pen.words("system.not_known"))
    place = Entry(at, 56, ("vacuum", "at"), 30)
    running.put(pen.entries([place, Entry(pen.words("system.time"), 18, ("vacuum", "time"), 34)]))
    readings = [
        Entry(pen.words("system.minutes", count=each), 15, ("vacuum", str(each)), 18)
        for each in vacuum_minutes(pen.system.row)
    ]
    running.put(pen.entries([*readings, Entry(unit, 14)]))


def _gates(pen: SystemPen, running: Running) -> None:
    """What must be done before the next, each with name and time."""
    pen.title(running, "gate", pen.words("system.gates"))
    by, time = pen.words("system.by"), pen.words("system.time")
    for key in GATES:
        text = pen.words(f"system.gate_{key}")
        row = [
            _tick(("gate", key, "ok"), text),
            *(_heated(pen, text) if key == "heated" else [Entry(text, GATE)]),
            Entry(by, 5, ("gate", key, "by"), 38, spoken=f"{text}: {by}"),
            Entry(time, 18, ("gate", key, "time"), 32, spoken=f"{text}: {time}"),
        ]
        running.put(pen.entries(row))


def _heated(pen: SystemPen, gate: str) -> list[Entry]:
    """The heaters' hours as the job gives them, and since when they are powered."""
    hours = pen.system.row.heater_hours
    if hours == 0:
        return [Entry(pen.words("system.no_heaters"), GATE)]
    words = pen.words
    figure = words("system.hours", hours=number_text(hours)) if hours else words("system.hours_not_given")
    since = pen.words("system.since")
    text = pen.words("system.heated", gate=gate, hours=figure)
    place = Entry(since, SINCE_WORD, ("gate", "heated", "since"), SINCE, spoken=f"{gate}: {since}")
    return [Entry(text, GATE - SINCE - SINCE_WORD - APART), place]
