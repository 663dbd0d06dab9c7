"""The steps of the work: safe in any order of changes, whole, and only what a change asks for."""

import json
from typing import Any

import msgspec
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from tagmaker.catalog.family import Family
from tagmaker.job.model import Job
from tagmaker.plan.plan_job import plan_job
from tagmaker.revisions.compare import compare
from tagmaker.revisions.issuing import issued_plan
from tagmaker.tags.kits import box_tags
from tagmaker.workflows.changes import Compared
from tests.measured import length, mains
from tests.records import replace
from tests.revisions.edits import pairs
from tests.revisions.installed import Json
from tests.revisions.works import Works, opened_letters
from tests.strategies import BoxSketch, JobSketch, UnitSketch, one_box, words

SLOW = (HealthCheck.too_slow, HealthCheck.filter_too_much, HealthCheck.data_too_large)
LIBRARY = one_box(("FC-1", "A", "24 kBtu/h"), ("FC-2", "B", "12 kBtu/h"), ("AH-1", "C+D", "72 kBtu/h"))
POWER = {"stop", "isolate-outdoor", "isolate-box", "isolate-units", "discharge", "dead", "restart"}
OPEN = {
    "recover",
    "zero",
    "purge",
    "identify",
    "cut",
    "braze",
    "pressure-test",
    "evacuate",
    "charge",
    "leak-test",
}
NAMES = {"renamed", "tags-off", "tags-on", "placard", "bands", "scan"}


def told(old: Job, new: Job) -> Json:
    """What `changes --json` prints of two jobs."""
    sides = [issued_plan(plan_job(job)[0], words()) for job in (old, new)]
    content = json.loads(msgspec.json.encode(Compared(compare(*sides), ()).outline))
    assert isinstance(content, dict)
    return content


def steps(new: Job, old: Job) -> list[str]:
    """The keys of the steps, in order, each once."""
    return list(dict.fromkeys(step["step"] for step in told(old, new)["steps"]))


@st.composite
def measured_pairs(draw: st.DrawFn) -> tuple[Job, Job]:
    """Pairs of jobs with systems, sources, diameters, addresses and refrigerants that may differ too."""
    old, new = (sketch.record() for sketch in draw(pairs()))
    valves = draw(st.booleans())
    walls = st.sampled_from((None, length("1/4 in"), length("3/8 in")))
    systems = st.sampled_from(("", "HR-1", "HR-2"))
    tubes: dict[str, Any] = {}
    homes: dict[str, Any] = {}
    jobs = []
    for job in (old, new):
        for row in job.units:
            if row.tag not in tubes or draw(st.integers(0, 4)) == 0:
                tubes[row.tag] = draw(walls), draw(st.sampled_from(("", "1", "2")))
        for box in job.boxes:
            if box.tag not in homes or draw(st.integers(0, 4)) == 0:
                homes[box.tag] = draw(systems), draw(st.sampled_from(("", "CU-1", "CU-2")))
        units = tuple(replace(row, liquid=tubes[row.tag][0], address=tubes[row.tag][1]) for row in job.units)
        boxes = tuple(
            replace(
                box,
                system=homes[box.tag][0],
                fed_from=homes[box.tag][1],
                family=replace(box.family, port_valves=valves),
            )
            for box in job.boxes
        )
        jobs.append(replace(job, units=units, boxes=boxes))
    return jobs[0], jobs[1]


@given(measured_pairs())
@settings(max_examples=200, deadline=None, suppress_health_check=SLOW)
def test_steps_done_in_order_are_safe_and_give_what_the_new_job_wants(pair: tuple[Job, Job]) -> None:
    """Nothing is opened under pressure or power, no old tag comes off before its line is proved."""
    old, new = (plan_job(job)[0] for job in pair)
    changes = told(*pair)
    works = Works.on(old)
    works.do(changes["steps"])
    assert works.is_finished(changes)
    assert works.is_once(changes["steps"])
    assert works.tags == {tag.code for box in new.boxes for tag in box_tags(new.job, box, words())}
    for box, letters in opened_letters(old, new, changes).items():
        assert letters <= works.ports[box, "cut"] | works.ports[box, "braze"], box
        assert letters <= works.ports[box, "zero"]
    moves = [(box, move) for box in changes["boxes"] if not box["boards"] for move in box["switches"]]
    for box, move in moves:
        name = f"{move['name']} switch {move['switch']}:"
        assert [
            step for step in works.switched if (step["box"], step["what"][: len(name)]) == (box["now"], name)
        ]
    assert changes["to_do"] == bool(changes["steps"])


@given(pairs())
@settings(max_examples=60, deadline=None, suppress_health_check=SLOW)
def test_every_box_has_the_steps_of_its_kinds_and_no_others(pair: tuple[JobSketch, JobSketch]) -> None:
    """No pipe is opened and no power is off for names alone."""
    changes = told(*(sketch.record() for sketch in pair))
    for box in changes["boxes"]:
        own = {
            step["step"]
            for step in changes["steps"]
            if step["box"].upper() == (box["now"] or box["was"]).upper()
        }
        kinds = set(box["kinds"])
        assert ("cut" in own) == ("pipe" in kinds)
        assert ("switch" in own) == bool(box["switches"])
        assert ("isolate-box" in own) == bool(kinds & {"pipe", "cable", "switch"})
        if kinds <= {"name"}:
            assert own <= NAMES


# --- one kind of change at a time ---------------------------------------------------------------------------


def unit(**changes: Any) -> Job:
    """The library with its first unit measured, and with these changed."""
    job = LIBRARY.record()
    given_ = {"liquid": length("3/8 in"), "address": "1", "room": "Shop", **changes}
    return replace(job, units=(replace(job.units[0], **given_), *job.units[1:]))


def box(job: Job | None = None, **changes: Any) -> Job:
    """The library with its box so."""
    job = job or unit()
    return replace(job, boxes=(replace(job.boxes[0], **changes),))


def with_valves(job: Job) -> Job:
    """The job with a family whose ports have valves."""
    family: Family = replace(job.boxes[0].family, port_valves=True)
    return box(job, family=family)


PIPE = [
    unit(liquid=length("1/2 in")),
    replace(LIBRARY, boxes=(replace(LIBRARY.boxes[0], ports=6),)).record(),
    one_box(("FC-1", "A", "24 kBtu/h"), ("AH-1", "C+D", "72 kBtu/h")).record(),
    box(LIBRARY.record(), fed_from="CU-2"),
    box(LIBRARY.record(), mains=mains(liquid="7/8 in")),
]
BEFORE = [
    unit(),
    LIBRARY.record(),
    LIBRARY.record(),
    box(LIBRARY.record(), fed_from="CU-1"),
    box(LIBRARY.record(), mains=mains(liquid="3/4 in")),
]


CASES = ["size", "box", "unit", "source", "main"]


@pytest.mark.parametrize(("old", "new"), list(zip(BEFORE, PIPE, strict=True)), ids=CASES)
def test_a_pipe_is_isolated_emptied_tested_and_charged(old: Job, new: Job) -> None:
    """Another diameter, another box, a unit that goes, another source, another main: all of it."""
    found = steps(new, old)
    assert (POWER - {"isolate-units"}) | OPEN <= set(found)
    assert found.index("identify") < found.index("cut") < found.index("leak-test")
    if "tags-off" in found:
        assert found.index("leak-test") < found.index("tags-off")


def test_new_insulation_is_pipe_work() -> None:
    """Its line is handled as a whole."""
    was, now = (unit(insulation=length(wall)) for wall in ("1/2 in", "3/4 in"))
    assert set(steps(now, was)) > OPEN


def test_a_diameter_written_otherwise_is_no_work() -> None:
    """3/8 in and 0.375 in are one diameter; a diameter that was not known is looked at, not opened."""
    assert steps(unit(liquid=length("0.375 in")), unit()) == []
    assert steps(unit(), unit(liquid=None)) == ["facts"]


def test_ports_with_valves_are_isolated_by_them() -> None:
    """The system's refrigerant stays where it is; not where the mains are opened."""
    old, new = with_valves(unit()), with_valves(unit(liquid=length("1/2 in")))
    found = steps(new, old)
    assert "recover" not in found
    assert found.index("valves") < found.index("zero") < found.index("evacuate") < found.index("valves-open")
    fed = steps(box(new, fed_from="CU-2"), box(old, fed_from="CU-1"))
    assert ("recover" in fed, "valves" in fed) == (True, False)


def test_one_family_file_with_valves_is_not_enough() -> None:
    """Both the set on site and the job must say so."""
    assert "recover" in steps(with_valves(unit(liquid=length("1/2 in"))), unit())


@pytest.mark.parametrize(
    ("was", "now"),
    [
        ("R-32", "R-32"),
        ("R-290", "R-290"),
        ("R-717", "R-717"),
        ("", "R-410A"),
        ("R-410A", "R-32"),
        ("R-999", "R-999"),
    ],
)
def test_the_air_is_tested_unless_the_refrigerant_is_known_not_to_burn(was: str, now: str) -> None:
    """On both sides; one that is not given may burn."""
    old, new = unit(), unit(liquid=length("1/2 in"))
    air = {"air", "hot-work"}
    assert air <= set(steps(replace(new, refrigerant=now), replace(old, refrigerant=was)))
    assert not air & set(steps(replace(new, refrigerant="R-410A"), replace(old, refrigerant="R-410A")))


def test_another_refrigerant_is_work() -> None:
    """Not a difference on paper alone."""
    old, new = replace(unit(), refrigerant="R-410A"), replace(unit(), refrigerant="R-32")
    assert "refrigerant" in steps(new, old)
    assert "refrigerant" not in steps(new, unit())


def test_a_cable_that_runs_another_way_opens_no_pipe() -> None:
    """Every source isolated, rung out before and after."""
    orders = ("U-1", "U-2"), ("U-2", "U-1")
    old, new = (one_box(*((name, "A", "9 kBtu/h") for name in names)).record() for names in orders)
    found = steps(new, old)
    assert POWER | {"ring-out", "land", "ring-again", "response"} <= set(found)
    assert not OPEN & set(found)


def test_a_switch_is_moved_with_the_power_off_and_photographed() -> None:
    """A family whose rule is another moves switches alone."""
    job = LIBRARY.record()
    family = job.boxes[0].family
    rules = tuple(
        replace(rule, switch=4 if rule.switch == 2 else 2) if rule.bank == 2 else rule
        for rule in family.rules
    )
    rules = tuple(rule for rule in rules if rule.when != "unfitted")
    plain = tuple(rule for rule in family.rules if rule.when != "unfitted")
    old, new = (box(job, family=replace(family, rules=each)) for each in (plain, rules))
    found = steps(new, old)
    order = ["stop", "isolate-box", "discharge", "dead", "switch", "photograph", "restart"]
    assert [each for each in found if each in order] == order
    assert not OPEN & set(found)


def test_an_address_is_set_with_the_units_power_off() -> None:
    """One that was not given before is looked at; the tags at the unit give it, so they are replaced."""
    found = steps(unit(address="2"), unit())
    assert [each for each in found if each in {"isolate-units", "address", "photograph"}] == [
        "isolate-units",
        "address",
        "photograph",
    ]
    assert "cut" not in found
    assert steps(unit(), unit(address="")) == ["facts", "tags-off", "tags-on", "placard", "scan"]


def test_a_capacity_asks_for_ratio_address_and_charge() -> None:
    """Without a pipe opened or power off, unless the nameplate differs."""
    capacity = LIBRARY.record().units[1].capacity
    found = set(steps(unit(capacity=capacity), unit()))
    assert {"ratio", "address-check", "charge-check", "facts"} <= found
    assert not (OPEN | POWER) & found


def test_an_isolation_point_asks_for_label_placard_and_list() -> None:
    """And both points are named where the power is isolated as well."""
    old, new = box(power="LP-1"), box(power="LP-2")
    assert steps(new, old) == ["isolation-label", "isolation-list", "placard"]
    moved = replace(new, units=new.units[1:])
    (line,) = [step for step in told(old, moved)["steps"] if step["step"] == "isolate-box"]
    assert line["how"] == "listed before: LP-1; listed now: LP-2; find out which one it is, isolate both"


@pytest.mark.parametrize(
    "new",
    [
        unit(tag="FC-9"),
        unit(room="Kitchen"),
        box(shown="BB 1/L2"),
        box(place="Level 9"),
        box(level="9"),
        box(replace(unit(), units=tuple(replace(row, box="BB-9") for row in unit().units)), tag="BB-9"),
        replace(unit(), name="Hill Street Clinic"),
    ],
    ids=["unit", "room", "shown", "place", "level", "box", "job"],
)
def test_a_name_alone_costs_no_isolation_and_no_restart(new: Job) -> None:
    """Tags and placard, and nothing else."""
    found = set(steps(new, unit()))
    assert found
    assert found <= NAMES


def test_tags_in_a_closed_control_box_are_not_changed_live() -> None:
    """Where no step isolates the box, the line of its inside tags says so; elsewhere it does not."""
    inside = "inside the control box: do not open it live"
    by_name = [step["how"] for step in told(unit(), unit(tag="FC-9"))["steps"] if "/A/TRM" in step["how"]]
    assert by_name
    assert all(inside in how for how in by_name)
    moved = told(LIBRARY.record(), one_box(("FC-1", "B", "24 kBtu/h")).record())["steps"]
    assert [step for step in moved if inside in step["how"]] == []


# --- systems ------------------------------------------------------------------------------------------------


def two_boxes(systems: tuple[str, str], ports: tuple[str, str], homes: tuple[int, int] = (0, 1)) -> Job:
    """Two boxes of these systems, with a unit each on these ports; or both at one of them."""
    rows = [UnitSketch(f"FC-{n}", port) for n, port in enumerate(ports)]
    sketch = JobSketch(
        tuple(
            BoxSketch(f"BB-{n}", 4, tuple(row for row, home in zip(rows, homes, strict=True) if home == n))
            for n in (0, 1)
        )
    )
    job = sketch.record()
    return replace(
        job, boxes=tuple(replace(row, system=s) for row, s in zip(job.boxes, systems, strict=True))
    )


@pytest.mark.parametrize(("systems", "stops"), [(("", ""), 1), (("HR-1", "HR-1"), 1), (("HR-1", "HR-2"), 2)])
def test_a_system_is_stopped_and_restarted_once(systems: tuple[str, str], stops: int) -> None:
    """Not once a box; boxes without a system are one."""
    keys = [
        step["step"] for step in told(two_boxes(systems, ("A", "A")), two_boxes(systems, ("B", "B")))["steps"]
    ]
    assert [keys.count(key) for key in ("stop", "recover", "evacuate", "restart")] == [stops] * 4
    assert keys.count("zero") == keys.count("response") == 2


def test_systems_between_which_a_unit_moves_are_one_work() -> None:
    """Its old tags come off only when its new line is proved, in the other system."""
    systems = ("HR-1", "HR-2")
    changes = told(two_boxes(systems, ("A", "A")), two_boxes(systems, ("A", "B"), (0, 0)))
    assert {step["system"] for step in changes["steps"]} == {"HR-1, HR-2"}
    assert [step["step"] for step in changes["steps"]].count("stop") == 1


def test_a_system_that_only_has_another_name_is_not_opened() -> None:
    """All its boxes are in the new one, and no others; a box that leaves its fellows is piped elsewhere."""
    old = two_boxes(("HR-1", "HR-1"), ("A", "A"))
    renamed, split = (two_boxes(systems, ("A", "A")) for systems in (("HR-9", "HR-9"), ("HR-1", "HR-9")))
    assert set(steps(renamed, old)) == {"placard"}
    assert {"recover", "cut", "land", "ratio"} <= set(steps(split, old))
