"""A system's sheets as they came back: complete only where all is done and right, never by a guess."""

from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tagmaker.measures import Mass, Pressure, Vacuum
from tagmaker.plan.systems import SystemPlan
from tagmaker.site.system.filled import fill
from tagmaker.site.system.findings import system_findings
from tagmaker.site.system.vacuum import judge_rise
from tagmaker.tags.system import GATES
from tests.records import replace
from tests.site.systems import (
    Parts,
    Sheet,
    clinic,
    found,
    merged,
    moment,
    rightly,
    sheet_of,
    without,
    wrongs,
)
from tests.strategies import words

SYSTEMS = st.sampled_from(clinic().systems)
ONE, TWO = clinic().systems
VACUUM, MINUTES = "vacuum", ("0", "10", "20", "30", "60")


# --- whole --------------------------------------------------------------------------------------------------


@settings(max_examples=25, deadline=None)
@given(
    SYSTEMS, st.integers(40, 100), st.integers(40, 100), st.lists(st.integers(0, 190), min_size=4, max_size=4)
)
def test_a_system_filled_in_rightly_has_no_open_point(
    system: SystemPlan, at: int, now: int, rise: list[int]
) -> None:
    """At any temperatures, with any rise within what is allowed."""
    sheet = rightly(system, at=at, now=now, rise=(0, *sorted(rise)))
    result = found(system, sheet, unwalked=())
    assert result.points == ()
    assert result.state == "complete"
    assert result.hold.verdict == "holds"
    assert result.vacuum.verdict == "within"


@settings(max_examples=60, deadline=None)
@given(SYSTEMS, st.data())
def test_any_field_left_empty_is_an_open_point(system: SystemPlan, data: st.DataObject) -> None:
    """But the charge that was worked out by hand: the lengths give it."""
    sheet = rightly(system)
    left = data.draw(st.sampled_from(sorted(sheet)))
    result = found(system, without(sheet, left))
    is_by_hand = left[-1] == "charge" or left in {("charge", "pipes"), ("charge", "total")}
    assert (result.state == "complete") == is_by_hand


NAMES = [parts for parts in rightly(ONE) if parts[-1] in {"by", "serial", "on", "at"}]


@pytest.mark.parametrize("text", ["-", "not yet", "N / A", "A. Fitter?", "none"])
def test_a_text_that_states_nothing_is_open(text: str) -> None:
    """Who did it, with what, where and when: a dash there is nobody, nothing, nowhere and never."""
    for parts in NAMES:
        assert found(ONE, rightly(ONE) | {parts: text}).state == "open", parts


def test_a_temperature_without_its_unit_that_may_be_of_either_scale_is_not_believed() -> None:
    """22 °C on a sheet in °F would hide a leak of 2 psi; with its unit it counts, as a warmer one does."""
    start, end = (("hold", each, "temperature") for each in ("start", "end"))
    doubtful = found(ONE, rightly(ONE) | {start: "20", end: "22"})
    assert doubtful.hold.answer is None
    assert any("“22” cannot be read; write it like 70 F" in each for each in doubtful.open)
    for text in ("20 F", "20 °C", "40"):
        assert found(ONE, rightly(ONE) | {start: text}).hold.answer, text


def test_nothing_typed_is_nothing_held() -> None:
    """An empty sheet has no verdict, no gate, no charge: it is not seen."""
    result = found(ONE, {})
    assert result.state == "not seen"
    assert result.hold.answer is None
    assert result.hold.verdict is None
    assert result.vacuum.verdict is None
    assert result.charge.total is None
    assert not any(gate.is_done for gate in result.gates)
    assert len(result.open) == 1


# --- the hold -----------------------------------------------------------------------------------------------


@settings(max_examples=80, deadline=None)
@given(
    st.integers(30, 110), st.integers(30, 110), st.floats(0.1, 4), st.floats(0.1, 4), st.floats(1.02, 40)
)  # fmt: skip
def test_a_leak_that_instruments_show_is_never_reported_as_held(
    at: int, now: int, gauge: float, thermometer: float, times: float
) -> None:
    """A fall larger than the propagated uncertainty: it falls, whatever is ticked, and the tick is wrong."""
    sheet = rightly(ONE, at=at, now=now)
    sheet["instrument", "gauge", "accuracy"] = f"{gauge:.3f} psi"
    sheet["instrument", "thermometer", "accuracy"] = f"{thermometer:.3f} F"
    answer = found(ONE, sheet).hold.answer
    assert answer is not None
    fallen = Pressure(Fraction(answer.expected - times * answer.uncertainty), "psi")
    sheet["hold", "end", "pressure"] = fallen.number("psi", 4)
    result = found(ONE, sheet)
    assert result.hold.verdict == "falls"
    assert result.state == "differs"
    assert "“holds” is ticked, the readings come to “falls”" in wrongs(result)
    assert any("the readings do not show it" in text for text in wrongs(result))


@pytest.mark.parametrize("end", ["start", "end"])
@pytest.mark.parametrize("what", ["pressure", "temperature"])
@pytest.mark.parametrize("text", ["", "about 550", "5,50,0", "550 ft", "-"])
def test_a_reading_that_is_no_number_gives_no_verdict(end: str, what: str, text: str) -> None:
    """It is to be typed again; the verdict that was ticked rests on nothing."""
    sheet = {**rightly(ONE), ("hold", end, what): text}
    result = found(ONE, sheet)
    assert result.hold.answer is None
    assert "“holds” is ticked, but readings for it are missing" in wrongs(result)
    assert any(what in each for each in result.open)


def test_a_bare_number_is_in_the_unit_printed_beside_it() -> None:
    """550 on a sheet that prints psi; 38 bar where that is written; nothing where no unit is printed."""
    sheet = {**rightly(ONE), ("hold", "start", "pressure"): "37.92 bar"}
    answer = found(ONE, sheet).hold.answer
    assert answer is not None
    assert answer.readings.start.unit == "bar"
    printed = sheet_of(ONE, rightly(ONE)).printed
    bare = replace(printed, units={**printed.units, "pressure": ""})
    filled = fill([sheet_of(ONE, rightly(ONE), printed=bare)])
    result = system_findings(ONE, filled, None, words())
    assert result.hold.answer is None
    assert any("“550” cannot be read" in each for each in result.open)


def test_an_older_sheets_numbers_are_in_its_own_units() -> None:
    """What was read counts as it was printed then; ticks and names do not."""
    printed = sheet_of(ONE, {}).printed
    metric = replace(printed, units={**printed.units, "pressure": "bar", "temperature": "°C"})
    sheet = {**rightly(ONE), ("hold", "start", "pressure"): "38", ("hold", "start", "temperature"): "20"}
    sheet["hold", "end", "pressure"] = "37.9"
    filled = fill([sheet_of(ONE, sheet, printed=metric, is_current=False)])
    result = system_findings(ONE, filled, None, words())
    assert result.hold.answer is not None
    assert result.hold.answer.readings.start.text() == "38 bar"
    assert result.hold.ticked == ()
    assert not any(gate.is_done or gate.by for gate in result.gates)
    assert result.charge.total is not None


@pytest.mark.parametrize(
    ("field", "text", "expected"),
    [
        (("hold", "start", "pressure"), "540", "the hold starts at 540 psi, planned: 550 psi"),
        (("hold", "start", "pressure"), "600", "the hold starts at 600 psi, above the planned 550 psi"),
        (("hold", "end", "time"), moment(20), "held for 20 h, planned: 24 h"),
        (("hold", "end", "time"), moment(-2), "the hold ends before it starts"),
    ],
)
def test_a_hold_other_than_planned_is_wrong(field: Parts, text: str, expected: str) -> None:
    """Too low, too high, too short, the wrong way round."""
    assert expected in wrongs(found(ONE, {**rightly(ONE), field: text}))


def test_without_an_accuracy_nothing_holds() -> None:
    """The instruments are taken for coarse ones, and the accuracy is an open point."""
    result = found(ONE, {**rightly(ONE), ("instrument", "gauge", "accuracy"): "2 %"})
    assert result.hold.verdict == "cannot tell"
    assert any("good to ±" in each and "2 %" in each for each in result.open)


def test_a_calibration_that_ended_before_the_reading_is_open() -> None:
    """The day itself still counts."""
    assert found(ONE, {**rightly(ONE), ("instrument", "gauge", "calibrated"): "2026-06-04"}).points == ()
    result = found(ONE, {**rightly(ONE), ("instrument", "gauge", "calibrated"): "2026-06-03"})
    assert "Pressure test: Gauge: calibration ended 2026-06-03, read on 2026-06-04" in result.open


@pytest.mark.parametrize(
    "text", ["03/06/2026 08:00", "June 3", "2026-06-31 08:00", "2026-06-03 25:00", "1970-01-01 08:00"]
)
def test_a_date_that_could_be_two_is_not_read(text: str) -> None:
    """It is an open point that shows how to write it."""
    result = found(ONE, {**rightly(ONE), ("hold", "start", "time"): text})
    assert result.hold.hours is None
    assert any(f"“{text}” cannot be read; write it like 2026-06-03 14:30" in each for each in result.open)


# --- vacuum -------------------------------------------------------------------------------------------------


def test_the_day_of_the_charge_is_read_like_any_other() -> None:
    """A day that no calendar has, or of a year in which nobody worked, is none."""
    for text in ("2026-06-31", "June 4", "2206-06-04"):
        (point,) = found(ONE, {**rightly(ONE), ("charge", "on"): text}).open
        assert point == f"Charge: weighed on: “{text}” cannot be read; write it like 2026-06-03"


def microns(*values: float) -> list[tuple[int, Vacuum]]:
    """Readings at 0, 10, 20, 30 and 60 minutes."""
    return [
        (minute, Vacuum.of_number(Fraction(value), "micron"))
        for minute, value in zip((0, 10, 20, 30, 60), values, strict=True)
    ]


ALLOWED, GOOD = Vacuum.of_number(Fraction(200), "micron"), Vacuum.of_number(Fraction(5), "micron")


@pytest.mark.parametrize(
    ("values", "verdict"),
    [
        ((250, 260, 270, 280, 300), "within"),
        ((250, 350, 450, 550, 850), "leak"),
        ((250, 450, 560, 600, 610), "moisture"),
        ((250, 330, 400, 450, 560), "rises"),
        ((250, 900, 400, 450, 460), "cannot tell"),
        ((300, 291, 282, 273, 264), "cannot tell"),
        ((250, 250, 250, 250, 451), "leak"),
        ((250, 500, 300, 300, 300), "cannot tell"),
        ((0, 0, 0, 0, 0), "cannot tell"),
        ((0, 8, 14, 18, 20), "cannot tell"),
        ((4, 4, 5, 5, 5), "cannot tell"),
    ],
)
def test_what_a_rise_comes_to(values: tuple[float, ...], verdict: str) -> None:
    """Steady: a leak; levelling off: moisture; between the two neither; a fall is no rise."""
    assert judge_rise(microns(*values), ALLOWED, GOOD) == verdict


@settings(max_examples=100, deadline=None)
@given(st.floats(3.4, 200), st.floats(1, 20))
def test_a_leak_is_steady_and_never_within(rate: float, error: float) -> None:
    """A rise of so many microns a minute for an hour, over what is allowed: never within, never moisture."""
    read = judge_rise(
        microns(*(250 + rate * minute for minute in (0, 10, 20, 30, 60))),
        ALLOWED, Vacuum.of_number(Fraction(error), "micron"),
    )  # fmt: skip
    assert read in {"leak", "rises"}


@settings(max_examples=100, deadline=None)
@given(st.floats(210, 5000), st.floats(2, 12))
def test_moisture_is_no_leak(most: float, minutes: float) -> None:
    """It rises up to its own pressure, with a time constant of so many minutes: never a leak."""
    values = (250 + most * (1 - 2.718281828 ** (-minute / minutes)) for minute in (0, 10, 20, 30, 60))
    assert judge_rise(microns(*values), ALLOWED, GOOD) in {"moisture", "rises", "within"}


def test_a_gauge_coarser_than_the_allowed_rise_shows_nothing() -> None:
    """Neither within nor a leak."""
    assert judge_rise(microns(250, 250, 250, 250, 250), ALLOWED, ALLOWED) == "cannot tell"


def test_a_gauge_may_be_off_at_both_ends() -> None:
    """Good to half of the allowed rise, it may hide all of it, and a fall as well."""
    half, less = (Vacuum.of_number(Fraction(each), "micron") for each in (100, 99))
    assert judge_rise(microns(250, 240, 230, 220, 210), ALLOWED, half) == "cannot tell"
    assert judge_rise(microns(250, 255, 260, 265, 270), ALLOWED, less) == "within"


def test_a_vacuum_without_its_unit_that_may_be_of_another_is_not_believed() -> None:
    """0.3 to 0.6 mbar rise by 225 micron, a leak; on a sheet in micron they would hide it."""

    def read(*texts: str) -> Sheet:
        return {(VACUUM, minute): text for minute, text in zip(MINUTES, texts, strict=True)}

    bare, unit = ("0.3", "0.35", "0.4", "0.5", "0.6"), ("40 Pa", "41 Pa", "0.42 mbar", "43 Pa", "11")
    fine: Sheet = {("instrument", "vacuum_gauge", "accuracy"): "0.01"}
    doubtful = found(ONE, rightly(ONE) | fine | read(*bare))
    assert doubtful.vacuum.readings == ()
    assert "Vacuum: 0 min: “0.3” cannot be read; write it like 300 micron" in doubtful.open
    assert len(found(ONE, rightly(ONE) | read(*unit)).vacuum.readings) == len(MINUTES)


def test_a_vacuum_that_was_not_reached_or_rises_is_wrong() -> None:
    """And so is the gate that rests on it."""
    readings: Sheet = dict.fromkeys(((VACUUM, each) for each in MINUTES), "900")
    high: Sheet = {**rightly(ONE), **readings}
    assert "900 micron when the pump was valved off, planned: 300 micron" in wrongs(found(ONE, high))
    leak = found(ONE, rightly(ONE, rise=(0, 100, 200, 300, 600)))
    assert "it rises steadily, by 600 micron (allowed 200 micron): a leak" in wrongs(leak)
    for result in (found(ONE, high), leak):
        assert "the vacuum is ticked as held, the readings do not show it" in wrongs(result)


def test_a_vacuum_read_elsewhere_is_open() -> None:
    """It is read at the box that is farthest by the pipes as planned."""
    result = found(ONE, {**rightly(ONE), ("vacuum", "at"): "BB-11"})
    assert result.open == ("Vacuum: read at “BB-11”, the farthest box is BB-13",)


# --- charge -------------------------------------------------------------------------------------------------


def test_the_charge_is_worked_out_again_from_lengths_as_built() -> None:
    """By hand: the main of BB-13, 3/4 in at 0.181 lb/ft, is 20 ft longer: 3.62 lb more than 102.168 lb."""
    sheet = {**rightly(ONE), ("line", "BB-13", "main", "run"): "132"}
    result = found(ONE, sheet)
    assert result.charge.total is not None
    assert result.charge.total.text("lb") == "105.788 lb"
    assert "main pipe of BB-13: 20.27 lb is written, lengths as built come to 23.892 lb" in wrongs(result)
    assert "102.2 lb are in the system, 3.588 lb less than the charge as built, 105.788 lb" in wrongs(result)


def test_a_length_in_metres_on_a_sheet_in_feet_is_not_believed() -> None:
    """34 for 112 ft would leave most of the charge out; with its unit it counts, as other lengths do."""
    (line,) = (each for each in ONE.charge.lines if (each.box, each.unit) == ("BB-13", ""))
    assert line.run
    assert line.run.text == "112 ft"
    run = ("line", "BB-13", "main", "run")
    doubtful = found(ONE, rightly(ONE) | {run: "34"})
    assert doubtful.charge.total is None
    assert "Charge: main pipe of BB-13: “34” cannot be read; write it like 62 ft" in doubtful.open
    metres = Fraction(34_000) / Fraction("304.8")
    for text, feet in (("34 ft", Fraction(34)), ("34 m", metres), ("60", Fraction(60)), ("20", Fraction(20))):
        built = next(
            each for each in found(ONE, rightly(ONE) | {run: text}).charge.lines if each.line == line
        )
        assert built.run
        assert built.run.mm == feet * Fraction("304.8"), text


def test_a_length_that_is_not_written_is_not_the_planned_one() -> None:
    """The total is unknown, and the pipe is named."""
    result = found(ONE, without(rightly(ONE), ("line", "BB-13", "FC-121", "run")))
    assert result.charge.total is None
    assert "Charge: length as built not written: FC-121" in result.open


def test_an_amount_other_than_the_jobs_is_wrong() -> None:
    """The sign may be printed of it; in another unit it is rounded."""
    weighed = rightly(ONE)["charge", "weighed"]
    for text, wrong in (
        (f"{weighed} lb", []),
        ("46.36 kg", []),
        ("90 lb", [f"{weighed} lb came back, 90 lb is in the job: "]),
    ):
        given = replace(ONE, row=replace(ONE.row, weighed_in=Mass.read(text)))
        texts = wrongs(found(given, rightly(ONE)))
        assert [each[: len(start)] for each, start in zip(texts, wrong, strict=True)] == wrong


def test_the_factory_charge_left_out_is_recognised() -> None:
    """What was added alone is reported as such; more and less are reported with the difference."""
    added = found(ONE, {**rightly(ONE), ("charge", "weighed"): "65.77"})
    assert any("so much as the factory charge" in text for text in wrongs(added))
    more = found(ONE, {**rightly(ONE), ("charge", "weighed"): "110"})
    assert "110 lb are in the system, 7.832 lb more than the charge as built, 102.168 lb" in wrongs(more)


@settings(max_examples=40, deadline=None)
@given(SYSTEMS, st.data())
def test_sums_of_runs_are_exact(system: SystemPlan, data: st.DataObject) -> None:
    """Any lengths: the total is factory charge, extras, and each length by its figure."""
    sheet = rightly(system)
    total = Fraction(0)
    for line in system.charge.lines:
        feet = data.draw(st.integers(1, 400))
        sheet["line", line.box.upper(), line.unit.upper() or "main", "run"] = f"{feet} ft"
        assert line.figure
        total += line.figure.value * feet * Fraction(3048, 10000)
    charge = system.charge
    assert charge.factory
    assert charge.of_extras
    result = found(system, sheet)
    assert result.charge.total == Mass(total + charge.factory.value + charge.of_extras.value, charge.unit)


# --- gates, sections ----------------------------------------------------------------------------------------


@settings(max_examples=60, deadline=None)
@given(st.integers(0, len(GATES) - 2), st.data())
def test_a_gate_before_an_earlier_one_is_wrong(number: int, data: st.DataObject) -> None:
    """Left open, or done later: the later gate is reported with both."""
    later = data.draw(st.integers(number + 1, len(GATES) - 1))
    left = found(ONE, without(rightly(ONE), ("gate", GATES[number], "ok")))
    earlier = words()(f"system.gate_{GATES[number]}")
    assert any(f"is ticked before “{earlier}”" in text for text in wrongs(left))
    sheet = {**rightly(ONE), ("gate", GATES[later], "time"): moment(25)}
    assert any("is earlier than" in text for text in wrongs(found(ONE, sheet)))


@pytest.mark.parametrize(
    ("parts", "hours", "text"),
    [
        (("gate", "tested", "time"), 1, "“Pressure test holds” (2026-06-03 09:00) is earlier than what it"),
        (("vacuum", "time"), 31, "“Vacuum held within the allowed rise” (2026-06-04 14:00) is earlier"),
        (("charge", "on"), 72, "“Charge weighed in” (2026-06-04 16:00) is earlier than what it rests on"),
        (("charge", "on"), 0, "the charge was weighed in (2026-06-03 08:00) before the vacuum was read"),
        (("vacuum", "time"), 23, "the vacuum (2026-06-04 07:00) was read before the pressure test ended"),
    ],
)
def test_a_gate_is_passed_after_what_it_rests_on(parts: Parts, hours: float, text: str) -> None:
    """Ticked before the hold ended, the vacuum or the scale was read; a vacuum pulled before the test."""
    sheet = {**rightly(ONE), ("gate", "walked", "time"): moment(0), parts: moment(hours)}
    assert any(each.startswith(text) for each in wrongs(found(ONE, sheet)))


def test_gates_rest_on_what_was_found() -> None:
    """A walk with open boxes, a charge without an amount."""
    result = found(ONE, without(rightly(ONE), ("charge", "weighed")), unwalked=("BB-12",))
    assert "the walk is ticked as done, but not as planned: BB-12" in wrongs(result)
    assert "the charge is ticked as weighed in, its amount is not written" in wrongs(result)


def test_a_box_that_lies_shut_is_open() -> None:
    """Either its valves were opened or its closed sections have gauges."""
    for section, name in ((("shut", "BB-12"), "BB-12"), (("shut", "BB-12", "FC-113"), "FC-113")):
        less = without(rightly(ONE), (*section, "opened"))
        result = found(ONE, less)
        assert f"What is shut: BB-12: valves not opened, and no gauge: {name}" in result.open
        assert found(ONE, {**less, (*section, "gauges"): True}).points == ()
        assert [each.name for each in result.sections if each.result == "differs"] == [name]
        assert any("neither open nor with a gauge" in text for text in wrongs(result))
        result = found(ONE, without(less, ("gate", "tested", "ok")))
        assert [each.name for each in result.sections if each.result == "not seen"] == [name]
        assert not any("neither open nor with a gauge" in text for text in wrongs(result))


def test_a_test_that_may_have_reached_the_outdoor_unit_is_wrong() -> None:
    """Its valves are a section too, which stays shut."""
    result = found(ONE, without(rightly(ONE), ("test", "outdoor")))
    assert result.sections[0].name == "CU-1"
    assert result.sections[0].result == "differs"
    assert any("the outdoor unit's valves are not ticked as shut" in text for text in wrongs(result))


# --- steps, heaters -----------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("field", "text", "wrong"),
    [
        (("step", "2", "pressure"), "310", "step 2: 320 psi for 3 min: 310 psi read, less than planned"),
        (("step", "3", "pressure"), "560", "step 3: 550 psi for 10 min: 560 psi read, above the pressure"),
        (("step", "3", "time"), moment(-0.49), "too soon after the step before"),
        (("step", "3", "time"), moment(0.5), "the hold starts 2026-06-03 08:00, before the last step ended"),
        (
            ("gate", "heated", "since"),
            moment(36),
            "for 11 h when “Crankcase heaters powered” was done",
        ),
        (("gate", "heated", "since"), "2026-06-04 22:00", "by the manual 12 h"),
    ],
)
def test_steps_and_heaters_are_compared_with_the_manuals_figures(field: Parts, text: str, wrong: str) -> None:
    """A pressure within the gauge's accuracy, and a time to the minute, are right."""
    assert any(wrong in each for each in wrongs(found(ONE, {**rightly(ONE), field: text})))
    result = found(ONE, {**rightly(ONE), ("step", "2", "pressure"): "319.6"})
    assert result.points == ()
    assert result.steps[1].read == "319.6 psi"


def test_without_figures_steps_are_not_asked_for_and_hours_are_open() -> None:
    """Nothing is assumed; by a manual without heaters nothing is asked for."""
    row = replace(ONE.row, test=replace(ONE.row.test, steps=()), heater_hours=None)
    bare = replace(ONE, row=row)
    less = without(rightly(ONE), ("step",))
    assert found(bare, less).open == (
        "Before start, in this order: heater_hours is not given in the job: what was read cannot be compared",
    )
    none = replace(ONE, row=replace(row, heater_hours=Fraction(0)))
    assert found(none, without(less, ("gate", "heated", "since"))).points == ()


# --- several files ------------------------------------------------------------------------------------------


def test_files_are_put_together() -> None:
    """One has the test, the other the rest."""
    sheet = rightly(ONE)
    first = {parts: value for parts, value in sheet.items() if parts[0] in {"test", "hold", "instrument"}}
    second = {parts: value for parts, value in sheet.items() if parts not in first}
    assert found(ONE, first, second).state == found(ONE, second, first).state == "complete"


def test_what_two_files_have_otherwise_is_not_known() -> None:
    """Both are named, and neither counts."""
    field = ("hold", "end", "pressure")
    filled = merged(ONE, rightly(ONE), {field: "500"})
    assert [each.parts for each in filled.conflicts] == [field]
    result = found(ONE, rightly(ONE), {field: "500"})
    assert result.hold.answer is None
    assert "Pressure test: End of hold, pressure: files differ" in result.open


def test_what_a_phone_took_back_is_not_known() -> None:
    """Another file has it; a field that is blank on every phone has no text."""
    field, other = ("hold", "end", "pressure"), ("hold", "start", "by")
    first, second = sheet_of(ONE, {field: "500"}, "a"), sheet_of(ONE, {field: " ", other: ""}, "b")
    assert fill([first, second]).text(*field) == "500"
    filled = fill([first, replace(second, taken_back={field, other})])
    assert [each.texts for each in filled.conflicts] == [(("a", "500"), ("b", "taken back"))]
    assert (filled.text(*field), filled.text(*other)) == ("", "")


def test_ticks_of_before_a_later_plan_do_not_count_when_the_plan_comes_back() -> None:
    """Revision 2 was worked by too; by 3, which is as 1, its gates are passed again. Readings are kept."""
    first, second, third = (
        sheet_of(ONE, rightly(ONE), str(at), printed=replace(sheet_of(ONE, {}).printed, revision=str(at)))
        for at in (1, 2, 3)
    )
    second = replace(second, is_current=False)
    for sheets, is_done in (([first, second], False), ([first], True), ([first, second, third], True)):
        result = system_findings(ONE, fill(sheets), None, words())
        assert any(gate.is_done for gate in result.gates) == is_done
        assert result.hold.answer is not None


def test_systems_do_not_mix() -> None:
    """The sheet of one says nothing of the other."""
    assert found(TWO, {}).state == "not seen"


def test_what_a_person_found_of_a_doubtful_box_counts_as_its_tick_would() -> None:
    """Of a sheet for what is planned now alone; a form that has the tick has it, whatever paper shows."""
    walked = ("gate", "walked", "ok")
    paper = replace(sheet_of(ONE, {}, "a.pdf"), unclear=[walked])
    cases: tuple[tuple[str, Sheet, bool, bool], ...] = (
        ("ticked", {}, True, True),
        ("ticked", {}, False, False),
        ("blank", {walked: True}, True, True),
    )
    for shown, own, is_current, is_ticked in cases:
        typed = replace(sheet_of(ONE, own, "typed"), confirmed={walked: shown}, is_current=is_current)
        both = fill([paper, replace(typed, confirmed={}, is_current=True), replace(typed, values={})])
        assert (both.is_ticked(*walked), walked in both.unclear) == (is_ticked, not is_ticked)
        assert both.confirmed == ({walked} if is_ticked and not own else set())
