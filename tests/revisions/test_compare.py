"""Two sets compared: the changes, done on the site that one left, give the site that the other wants."""

import json

import msgspec
import pytest
from hypothesis import HealthCheck, given, settings

from tagmaker.job.model import Job
from tagmaker.plan.model import Plan
from tagmaker.plan.plan_job import plan_job
from tagmaker.revisions.baseline import Baseline
from tagmaker.revisions.compare import compare
from tagmaker.revisions.issuing import issued_pair, issued_plan
from tagmaker.revisions.model import BoxChange, Changes
from tagmaker.tags.kits import box_tags
from tagmaker.tags.placard_text import placard_text
from tagmaker.workflows.changes import Compared
from tests.measured import length, on_stocks
from tests.records import replace
from tests.revisions.edits import pairs
from tests.revisions.installed import Json, Site, applied, plan_of, site_of
from tests.strategies import BoxSketch, JobSketch, UnitSketch, one_box, sketches, stock_named, words

SLOW_TO_DRAW = (HealthCheck.too_slow, HealthCheck.filter_too_much, HealthCheck.data_too_large)


def compared(old: Plan, new: Plan) -> Changes:
    """The changes from one plan to another."""
    return compare(issued_plan(old, words()), issued_plan(new, words()))


def told(old: Plan, new: Plan) -> Json:
    """What `changes --json` prints of two jobs."""
    content = json.loads(msgspec.json.encode(Compared(compared(old, new), ()).outline))
    assert isinstance(content, dict)
    return content


def as_wanted(done: Site, plan: Plan) -> Site:
    """The site with the JSON's record of each thing put on replaced by that thing, as the plan wants it."""
    wanted = site_of(plan)
    tags = {tag.code: tag for box in plan.boxes for tag in box_tags(plan.job, box, words())}
    texts = {box.row.key: placard_text(plan.job, box) for box in plan.boxes}
    for code, record in done.tags.items():
        if isinstance(record, dict):
            tag = tags[code]
            hung = (tag.kind, tag.port, tag.end, [*tag.units], [*tag.rooms], plan.job.revision)
            assert hung == tuple(record[key] for key in ("kind", "port", "end", "units", "rooms", "revision"))
            done.tags[code] = wanted.tags[code]
    for box, record in done.placards.items():
        if isinstance(record, dict):
            assert texts[box] == record["text"]
            done.placards[box] = wanted.placards[box]
    return done


@given(pairs())
@settings(max_examples=200, deadline=None, suppress_health_check=SLOW_TO_DRAW)
def test_changes_done_on_site_give_what_the_new_job_wants(pair: tuple[JobSketch, JobSketch]) -> None:
    """Every switch, tag, placard, port and unit; what is left hanging says what it should today."""
    old, new = (plan_of(sketch) for sketch in pair)
    assert site_of(new) == as_wanted(applied(site_of(old), told(old, new)), new)


@given(pairs())
@settings(max_examples=25, deadline=None, suppress_health_check=SLOW_TO_DRAW)
def test_tags_of_boxes_that_are_alike_change_nothing(pair: tuple[JobSketch, JobSketch]) -> None:
    """They are left out where two jobs are compared: the changes are those of whole sets."""
    old, new = (plan_of(sketch) for sketch in pair)
    was, now = issued_pair(old, new, words())
    assert compare(was, now) == compared(old, new)
    assert [each.digest for each in (was, now)] == [issued_plan(each, words()).digest for each in (old, new)]


def test_of_two_plans_the_tags_of_changed_boxes_alone_are_made() -> None:
    """A box is alike wherever its rows are in the files; another head makes every tag another one."""
    unit, other = UnitSketch("FC-1", "A", "12 kBtu/h"), UnitSketch("FC-2", "A", "12 kBtu/h")
    job = JobSketch((BoxSketch("BB-1", 4, (unit,)), BoxSketch("BB-2", 4, (other,))))
    grown = replace(
        job, boxes=(replace(job.boxes[0], units=(unit, replace(other, tag="FC-3"))), job.boxes[1])
    )
    for after, boxes in ((grown, {"BB-1"}), (job, set()), (replace(job, number="ML-9"), {"BB-1", "BB-2"})):
        pair = issued_pair(plan_of(job), plan_of(replace(after, revision="2")), words())
        assert [{tag.box for tag in each.tags} for each in pair] == [boxes, boxes]


@given(pairs())
@settings(max_examples=40, deadline=None, suppress_health_check=SLOW_TO_DRAW)
def test_an_update_prints_exactly_the_tags_to_put_on(pair: tuple[JobSketch, JobSketch]) -> None:
    """What hung, less what comes off, with what is printed, is all of the new job's tags, none twice."""
    old, new = (issued_plan(plan_of(sketch), words()) for sketch in pair)
    changes, stays = compare(old, new), hanging(Baseline(old), plan_of(pair[1]))
    printed = [tag.code for tag in new.tags if tag.code not in stays]
    off = {tag.code for box in changes.boxes for tag in box.tags_off}
    left = [tag.code for tag in old.tags if tag.code not in off]
    assert sorted(tag.code for box in changes.boxes for tag in box.tags_on) == sorted(printed)
    assert sorted(tag.code for tag in new.tags) == sorted([*left, *printed])


def hanging(since: Baseline, plan: Plan) -> set[str]:
    """Codes that an update of the plan does not print."""
    boxes = (since.box(plan.job, box, box_tags(plan.job, box, words())) for box in plan.boxes)
    return {code for box in boxes for code in since.on_site(box)}


@given(sketches((4, 6), most_units=2))
@settings(max_examples=30, deadline=None)
def test_nothing_is_to_be_done_where_nothing_differs(sketch: JobSketch) -> None:
    """Another revision and date alone are nothing: what hangs says the same."""
    later = replace(sketch, revision="99", date=None)
    for new in (sketch, later):
        changes = compared(plan_of(sketch), plan_of(new))
        assert (changes.boxes, changes.units, changes.is_work) == ((), (), False)


# --- single cases -------------------------------------------------------------------------------------------

LIBRARY = one_box(("FC-1", "A", "24 kBtu/h"), ("FC-2", "B", "12 kBtu/h"), ("AH-1", "C+D", "72 kBtu/h"))


def box_change(new: JobSketch | Job, old: JobSketch | Job = LIBRARY) -> BoxChange:
    """The changes of the one box that differs."""
    jobs = (each.record() if isinstance(each, JobSketch) else each for each in (old, new))
    (box,) = compared(*(plan_job(job)[0] for job in jobs)).boxes
    return box


def edited(**changes: object) -> Job:
    """The library, its first unit with these changed."""
    job = LIBRARY.record()
    return replace(job, units=(replace(job.units[0], **changes), *job.units[1:]))


def test_a_port_whose_unit_left_is_switched_out_of_service() -> None:
    """Bank 1 switch 2 of the left board from OFF to ON, and nothing else is moved."""
    box = box_change(one_box(("FC-1", "A", "24 kBtu/h"), ("AH-1", "C+D", "72 kBtu/h")))
    (move,) = box.switches
    assert (move.board, move.bank, move.switch, move.was, move.now) == ("only", 1, 2, "off", "on")
    assert move.then_on == (2,)
    assert box.check == ("B",)
    assert {tag.port for tag in (*box.tags_off, *box.tags_on)} == {"B"}


@pytest.mark.parametrize(
    "change",
    [
        {"capacity": LIBRARY.record().units[1].capacity},
        {"liquid": length("3/8 in")},
        {"insulation": length("3/4 in")},
    ],
)
def test_a_unit_that_is_another_machine_is_looked_at_again(change: dict[str, object]) -> None:
    """Its port is checked and there is work on site, though its tags say the same."""
    changes = compared(plan_of(LIBRARY), plan_job(edited(**change))[0])
    (box,) = changes.boxes
    assert (box.check, box.tags_off, box.tags_on) == (("A",), (), ())
    assert [fact.what for fact in changes.units[0].on_site] != []
    assert changes.is_work


def test_the_tags_at_a_unit_whose_address_changed_are_replaced() -> None:
    """They give the address; those at the box do not, and stay."""
    changes = compared(plan_of(LIBRARY), plan_job(edited(address="2-07"))[0])
    (box,) = changes.boxes
    assert box.check == ("A",)
    assert {(tag.kind, tag.end) for tag in box.tags_on} == {
        (kind, "unit") for kind in ("liquid", "gas", "cable")
    }
    assert {tag.code for tag in box.tags_off} == {tag.code for tag in box.tags_on}
    assert [fact.what for fact in changes.units[0].on_site] != []
    assert changes.is_work


@pytest.mark.parametrize("change", [{"run": length("30 ft")}, {"cable": length("0.26 in")}])
def test_what_is_on_paper_alone_is_told_and_is_no_work(change: dict[str, object]) -> None:
    """A run's length and a jacket's diameter: nothing is to be done for them."""
    changes = compared(plan_of(LIBRARY), plan_job(edited(**change))[0])
    assert (len(changes.boxes), changes.is_work, changes.boxes[0].check) == (1, False, ())


def test_a_pipe_of_another_diameter_comes_without_its_tags() -> None:
    """Both ends' tags of that line are replaced; a diameter that was only not known before changes none."""
    known, other = edited(liquid=length("3/8 in")), edited(liquid=length("1/2 in"))
    codes = ["BB-1/A/LIQ", "BB-1/A/LIQ/FC-1"]
    box = box_change(other, known)
    assert [[tag.code for tag in tags] for tags in (box.tags_off, box.tags_on)] == [codes, codes]
    assert box_change(known).tags_on == ()


def test_new_insulation_takes_the_tags_of_both_lines_along() -> None:
    """They stick on it."""
    was, now = (edited(insulation=length(wall)) for wall in ("1/2 in", "3/4 in"))
    assert {tag.kind for tag in box_change(now, was).tags_on} == {"liquid", "gas"}


def test_a_strip_is_hung_as_a_whole() -> None:
    """One changed cell of a board takes all cells of that board along, and no other board's."""
    units = tuple(UnitSketch(f"FC-{letter}", letter) for letter in "ABCDEF")
    old = JobSketch((BoxSketch("BB-1", 6, units),))
    new = replace(old, boxes=(replace(old.boxes[0], units=(*units[1:], replace(units[0], tag="FC-9"))),))
    jobs = [
        on_stocks(sketch.record(), {"terminal": stock_named("tape-12-strip-300dpi")}, "0.4 in")
        for sketch in (old, new)
    ]
    box = box_change(jobs[1], jobs[0])
    for tags in (box.tags_off, box.tags_on):
        assert [tag.port for tag in tags if tag.kind == "terminal"] == ["A", "B", "C", "D"]
        assert {tag.port for tag in tags if tag.kind != "terminal"} == {"A"}


def test_a_draft_that_is_issued_is_hung_anew_as_a_whole() -> None:
    """DRAFT stands on every tag and placard."""
    box = box_change(LIBRARY, replace(LIBRARY, is_draft=True))
    assert len(box.tags_off) == len(box.tags_on) == len(issued_plan(plan_of(LIBRARY), words()).tags)
    assert box.placard_on is not None
    assert box.switches == ()


def test_a_box_of_another_size_is_set_anew() -> None:
    """Every board is new there, and every tag that hung at the old box."""
    box = box_change(replace(LIBRARY, boxes=(replace(LIBRARY.boxes[0], ports=6),)))
    assert (box.kind, box.boards) == ("replaced", ("left", "right"))
    assert {move.was for move in box.switches} == {""}
    assert box.check == tuple("ABCDEF")
    assert {tag.code for tag in box.tags_off if tag.end == "unit"} == set()


def test_boards_that_are_made_otherwise_are_another_box() -> None:
    """The family keeps its name, but where its boards stand is not what it was."""
    job = LIBRARY.record()
    family = replace(job.boxes[0].family, places=(("upper",), ("left", "right"), ("left", "middle", "right")))
    box = box_change(replace(job, boxes=(replace(job.boxes[0], family=family),)))
    assert (box.kind, box.boards) == ("replaced", ("upper",))


def test_a_box_written_in_small_letters_is_the_same_box() -> None:
    """Tags are unique without regard to case: what names it is reprinted, and nothing is renamed."""
    box = box_change(replace(LIBRARY, boxes=(replace(LIBRARY.boxes[0], tag="bb-1"),)))
    assert (box.kind, box.switches, box.ports) == ("changed", (), ())
    assert box.placard_on is not None


def test_where_power_is_isolated_is_told() -> None:
    """As the job says it now; of a box that is gone, as it was."""
    there = replace(LIBRARY, boxes=(replace(LIBRARY.boxes[0], power="Panel LP-2"),))
    assert box_change(there).power == "Panel LP-2"
    gone = compared(plan_of(there), plan_of(JobSketch((BoxSketch("ZZ-9", 4, (UnitSketch("U", "B"),)),))))
    assert [(box.kind, box.was, box.power) for box in gone.boxes] == [
        ("new", "", ""),
        ("gone", "BB-1", "Panel LP-2"),
    ]


@pytest.mark.parametrize(
    "change",
    [{"on_points": "down"}, {"numbered_from": "right"}, {"name": "Service S1"}],
    ids=lambda change: next(iter(change)),
)
def test_a_bank_that_is_drawn_otherwise_replaces_the_placard(change: dict[str, str]) -> None:
    """The picture of its sliders, or its name, is another, though every switch stands as it did."""
    job = LIBRARY.record()
    row = job.boxes[0]
    if "name" in change:
        other = replace(row, bank_names=(change["name"], row.bank_names[1]))
    else:
        banks = tuple(replace(bank, **change) for bank in row.family.banks)
        other = replace(row, family=replace(row.family, banks=banks))
    box = box_change(replace(job, boxes=(other,)))
    assert box.placard_on is not None
    assert (box.switches, box.tags_on) == ((), ())
