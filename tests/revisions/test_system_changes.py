"""A system's other figures: each is listed with its old and new value, papers, and what follows on site."""

import re
from fractions import Fraction

import pytest

from tagmaker.catalog.system_changes import system_change_rules
from tagmaker.job.model import Job, PressureStep, SystemRow
from tagmaker.measures import Mass, MassPerLength, Pressure, Time, Vacuum
from tagmaker.plan.plan_job import plan_job
from tagmaker.plan.system_figures import system_figures
from tagmaker.revisions.compare import compare
from tagmaker.revisions.issued import Issued
from tagmaker.revisions.issuing import issued_plan
from tagmaker.revisions.model import Changes
from tagmaker.revisions.work_lines import SYSTEM_STEP, work_of_changes
from tests.measured import length
from tests.quantities import capacity, measure
from tests.records import replace
from tests.site.systems import clinic
from tests.strategies import words

JOB = clinic().job
ROW = JOB.systems[0]
OLD = issued_plan(clinic(), words())


def with_row(**changes: object) -> Job:
    """The example with other figures of its first system."""
    return replace(JOB, systems=(replace(ROW, **changes), *JOB.systems[1:]))


def issued_of(job: Job) -> Issued:
    """What a job issues."""
    return issued_plan(plan_job(job)[0], words())


def changed(job: Job, old: Issued = OLD) -> Changes:
    """What differs from the example."""
    return compare(old, issued_of(job))


TEST, CHARGE = ROW.test, ROW.charge
THIN = ((length("1/4 in"), measure(MassPerLength, "0.01501 lb/ft")),)
HIGHER, LOWER = replace(TEST, pressure=measure(Pressure, "600 psi")), measure(Vacuum, "250 micron")
FILLED = replace(CHARGE, factory=measure(Mass, "38 lb"))
ONE = [
    ({"capacity": capacity("540 kBtu/h")}, "capacity", "528 kBtu/h", "540 kBtu/h", "nameplate"),
    ({"refrigerant": "R-454B"}, "refrigerant", "R-32", "R-454B", "do not charge"),
    ({"ratio": (Fraction(50), Fraction(125))}, "ratio", "50 – 130 %", "50 – 125 %", "limit"),
    ({"longest_run": length("500 ft")}, "longest_run", "540 ft", "500 ft", "measure runs"),
    ({"charge": FILLED}, "charge.factory", "36.4 lb", "38 lb", "charge"),
    ({"charge": replace(CHARGE, per_length=THIN)}, "charge.1/4 in", "0.015 lb/ft", "0.01501 lb/ft", "charge"),
    ({"test": HIGHER}, "test.pressure", "550 psi", "600 psi", "test"),
    ({"test": replace(TEST, hold=None)}, "test.hold", "24 h", "", "test again"),
    ({"test": replace(TEST, vacuum=LOWER)}, "test.vacuum", "300 micron", "250 micron", "vacuum"),
    ({"heater_hours": Fraction(24)}, "heater_hours", "12 h", "24 h", "heaters"),
]  # fmt: skip


@pytest.mark.parametrize(("changes", "figure", "was", "now", "work"), ONE)
def test_each_figure_is_listed_with_what_follows(
    changes: dict[str, object], figure: str, was: str, now: str, work: str
) -> None:
    """The system's sheet is printed again, the work is a line of the list, and no box has any."""
    found = changed(with_row(**changes))
    (system,) = found.systems
    assert (figure, was, now) in [(each.what, each.was, each.now) for each in system.facts]
    assert (system.kind, system.now, system.papers[0]) == ("changed", "HR-1", "systems")
    assert any(figure in [fact.what for fact in each.facts] and work in each.what for each in system.work)
    assert found.boxes == ()
    assert found.is_work
    (listed,) = work_of_changes(found, words())
    assert {item.step for item in listed.punches} == {SYSTEM_STEP}
    shown = {"heater_hours": "crankcase heaters powered"}.get(figure, re.sub("[._]", " ", figure))
    line = f"{shown}: {was or 'not given'} → {now or 'not given'}"
    assert any(line in item.wrong for item in listed.punches)


def test_what_does_not_differ_is_not_listed() -> None:
    """The same job has no change."""
    assert changed(JOB).systems == ()
    assert not changed(JOB).is_work


def test_papers_alone_are_no_work() -> None:
    """Another source is printed again, and nothing follows on site."""
    found = changed(with_row(source="manual in hand, second edition"))
    (system,) = found.systems
    assert (system.papers, system.work) == (("systems",), ())
    assert not found.is_work
    (listed,) = work_of_changes(found, words())
    assert listed.notes[-1] == "print again: systems.pdf"


def test_a_pipe_of_another_diameter_changes_the_systems_charge() -> None:
    """It is work of its box, and of the system's charge."""
    unit = replace(JOB.units[0], liquid=length("1/4 in"))
    found = changed(replace(JOB, units=(unit, *JOB.units[1:])))
    (system,) = found.systems
    assert [fact.what for fact in system.facts] == ["pipe.AH-101", "total"]
    assert system.papers == ("systems", "first-days")
    assert [box.now for box in found.boxes] == ["BB-11"]


def test_systems_that_come_and_go() -> None:
    """A new one has all its papers; of one that is gone the refrigerant is recovered."""
    one = replace(JOB, systems=JOB.systems[:1])
    (new,) = compare(issued_of(one), OLD).systems
    assert (new.kind, new.now, new.papers) == ("new", "HR-2", ("systems", "signs", "first-days"))
    gone = changed(one)
    assert [(each.kind, each.was) for each in gone.systems] == [("gone", "HR-2")]
    (listed,) = work_of_changes(gone, words())
    assert "do not vent it" in listed.notes[0]


def test_a_set_of_an_earlier_version_has_no_figures() -> None:
    """Nothing is made up of it: neither a change nor work."""
    bare = replace(OLD, systems=tuple(replace(each, figures={}) for each in OLD.systems))
    assert changed(with_row(heater_hours=Fraction(24)), bare).systems == ()


def test_every_figure_has_a_rule() -> None:
    """And every rule is of a figure that there is."""
    row = replace(
        ROW, is_institutional=True, weighed_in=measure(Mass, "102 lb"), refrigerant="R-32",
        test=replace(TEST, steps=(PressureStep(measure(Pressure, "150 psi"), measure(Time, "3 min")),)),
    )  # fmt: skip
    figures = system_figures(replace(clinic().systems[0], row=row))
    assert figures.keys() >= {
        *(key for _, key, *_ in ONE),
        "weighed_in",
        "institutional",
        "test.steps",
        "units",
    }
    rules = system_change_rules()
    assert [key for key in figures if not any(rule.is_for(key) for rule in rules)] == []
    assert [rule for rule in rules if not any(map(rule.is_for, figures))] == []
    fields = set(SystemRow.__struct_fields__) - {
        "tag",
        "where",
        "is_institutional",
        "heights",
        "charge",
        "test",
    }
    assert fields <= figures.keys()
