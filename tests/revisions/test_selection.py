"""What a run is limited to: exactly the tags of its ports, its stage and its kit."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tagmaker.job.model import Job
from tagmaker.plan.plan_job import plan_job
from tagmaker.revisions.baseline import Baseline
from tagmaker.revisions.issuing import issued_box, issued_plan
from tagmaker.revisions.selection import KITS, STAGES, Selection, kit_of
from tests.measured import SMALL, all_tags, mains, on_stocks
from tests.records import replace
from tests.strategies import jobs, stock_named, words

WRAP = stock_named("roll-pipe-wrap-254x38-203dpi")


def full_job() -> Job:
    """The small job with mains and a locator."""
    job = on_stocks(SMALL.record(), {"locator": stock_named("letter-30-67x25")})
    given = mains("3/4 in", liquid="3/4 in", suction="1-1/8 in")
    return replace(job, boxes=tuple(replace(box, mains=given) for box in job.boxes))


def taken(job: Job, part: Selection) -> list[str]:
    """The codes that a part takes, in print order."""
    return [tag.code for tag in all_tags(job, part.stage) if part.takes(tag, job.prints)]


# --- single ports -------------------------------------------------------------------------------------------


def test_only_a_port() -> None:
    """Everything with that letter at both ends, nothing of the mains, of the box or of another letter."""
    assert taken(full_job(), Selection(only=("BB-1/A",))) == [
        *("BB-1/A/TRM", "BB-1/A/LIQ", "BB-1/A/GAS", "BB-1/A/COM", "BB-1/A/COM/FC-1"),
        *("BB-1/A/COM/FC-1/ON", "BB-1/A/COM/FC-2", "BB-1/A/LIQ/FC-1", "BB-1/A/GAS/FC-1"),
        *("BB-1/A/LIQ/FC-2", "BB-1/A/GAS/FC-2"),
    ]


def test_only_the_second_letter_of_a_pair() -> None:
    """Its own three tags; the unit's stand at the first letter, which their codes name."""
    assert taken(full_job(), Selection(only=("BB-1/D",))) == ["BB-1/D/TRM", "BB-1/D/LIQ", "BB-1/D/GAS"]


@pytest.mark.parametrize(
    "code", ["BB-1/A/LIQ", "BB-1/A/LIQ/FC-2", "BB-1/A/COM", "BB-1/A/COM/FC-1/ON", "BB-1/LOC", "BB-1/SUC"]
)
def test_only_one_tag_by_its_code(code: str) -> None:
    """That tag alone, at a port, at a unit or of the box; beside a port it is one more tag."""
    assert taken(full_job(), Selection(only=(code,))) == [code]
    several = taken(full_job(), Selection(only=(code, "BB-1/D")))
    assert set(several) == {code, "BB-1/D/TRM", "BB-1/D/LIQ", "BB-1/D/GAS"}


def test_only_several_ports_in_print_order() -> None:
    """Ports come in the order of the box, whatever the order of the command line."""
    assert taken(full_job(), Selection(only=("BB-1/D", "BB-1/B"))) == [
        *("BB-1/B/TRM", "BB-1/B/LIQ", "BB-1/B/GAS", "BB-1/D/TRM", "BB-1/D/LIQ", "BB-1/D/GAS")
    ]


def test_box_written_small_is_found_by_its_capitals() -> None:
    """The command line's names are in capitals, as codes are."""
    job = full_job()
    small = replace(job, boxes=tuple(replace(box, tag="bb-1", shown="bb-1") for box in job.boxes))
    small = replace(small, units=tuple(replace(unit, box="bb-1") for unit in job.units))
    assert taken(small, Selection(only=("BB-1/D",))) == ["BB-1/D/TRM", "BB-1/D/LIQ", "BB-1/D/GAS"]


@given(jobs(most_boxes=2), st.data())
@settings(max_examples=40, deadline=None)
def test_only_takes_every_tag_of_its_ports_and_no_other(job: Job, data: st.DataObject) -> None:
    """By its own box and letter, whatever else is on the job."""
    every = sorted({f"{tag.box.upper()}/{tag.port}" for tag in all_tags(job)})
    ports = tuple(data.draw(st.lists(st.sampled_from(every), min_size=1, unique=True)))
    expected = [tag.code for tag in all_tags(job) if tag.code.startswith(tuple(f"{port}/" for port in ports))]
    assert expected == taken(job, Selection(only=ports))


# --- stages -------------------------------------------------------------------------------------------------


def test_rough_in_has_tie_on_pipe_tags_cables_and_terminals() -> None:
    """Everything that hangs there before brazing; the ceiling has no locator yet."""
    job = full_job()
    tags = [tag for tag in all_tags(job, "rough-in") if Selection(stage="rough-in").takes(tag, job.prints)]
    assert {tag.stock_use for tag in tags} == {"pipe_rough_in", "cable", "terminal"}
    assert [tag.code for tag in tags] == [
        tag.code for tag in all_tags(job, "rough-in") if tag.kind != "locator"
    ]


def test_final_stage_has_pipe_tags_and_locators() -> None:
    """What goes over the insulation; cables and terminals have their tags since the rough-in."""
    job = on_stocks(full_job(), {"pipe": WRAP})
    tags = [tag for tag in all_tags(job, "final") if Selection(stage="final").takes(tag, job.prints)]
    assert {tag.kind for tag in tags} == {"liquid", "gas", "locator", "main-liquid", "main-suction"}
    assert {tag.stock_use for tag in tags} == {"pipe", "locator"}


def test_final_stage_prints_no_tie_on_tag_again() -> None:
    """The tie-on tags of the rough-in stay; a lasting one in place of a temporary one is printed."""
    tie_on = stock_named("roll-tie-on-76x51-203dpi")
    fading = replace(tie_on, life="temporary")
    for pipe, before, prints_pipes in (
        (None, None, False),
        (tie_on, tie_on, False),
        (tie_on, None, True),
        (None, tie_on, True),
        (fading, fading, True),
        (WRAP, None, True),
    ):
        named = {"pipe": pipe, "pipe_rough_in": before}
        job = on_stocks(full_job(), {use: stock for use, stock in named.items() if stock})
        codes = taken(job, Selection(stage="final"))
        assert "BB-1/LOC" in codes
        assert ("BB-1/A/LIQ" in codes, "BB-1/SUC" in codes) == (prints_pipes, prints_pipes)


def test_the_final_stage_since_an_earlier_set_replaces_tie_on_tags() -> None:
    """A tag whose content changed must not stay on its pipe, whatever its stock; with all of them too."""
    job = full_job()
    earlier = issued_plan(plan_job(job)[0], words())
    update = Selection(stage="final", baseline=Baseline(earlier))
    assert "BB-1/A/LIQ" in taken(job, update)
    assert "BB-1/A/LIQ" in taken(job, replace(update, prints_all=True))
    assert "BB-1/A/LIQ" not in taken(job, replace(update, baseline=None))


def test_without_a_stage_everything_is_printed() -> None:
    """The final pipe tags, with cables and terminals."""
    job = full_job()
    assert taken(job, Selection()) == [tag.code for tag in all_tags(job)]
    assert "pipe_rough_in" not in {tag.stock_use for tag in all_tags(job)}


@given(jobs(most_boxes=1))
@settings(max_examples=30, deadline=None)
def test_the_two_stages_together_are_the_whole(job: Job) -> None:
    """Every tag belongs to a stage; those of both are the pipes', tied on first and wrapped later."""
    job = on_stocks(job, {"pipe": WRAP})
    first, last = (set(taken(job, Selection(stage=stage))) for stage in STAGES)
    assert first | last == {tag.code for tag in all_tags(job)}
    assert first & last == {tag.code for tag in all_tags(job) if tag.kind in {"liquid", "gas"}}


# --- kits ---------------------------------------------------------------------------------------------------


def test_kit_of_each_sort_of_tag() -> None:
    """What sticks at the box, both ends of cables, the pipes at the units."""
    job = full_job()
    kits = {kit: taken(job, Selection(kit=kit)) for kit in KITS}
    assert kits["cables"] == [tag.code for tag in all_tags(job) if "/COM" in tag.code]
    assert kits["lines"] == [
        *("BB-1/A/LIQ/FC-1", "BB-1/A/GAS/FC-1", "BB-1/A/LIQ/FC-2", "BB-1/A/GAS/FC-2"),
        *("BB-1/C/LIQ/AH-1", "BB-1/C/GAS/AH-1"),
    ]
    letters = [f"BB-1/{letter}/{what}" for letter in "ABCD" for what in ("TRM", "LIQ", "GAS")]
    assert kits["box"] == ["BB-1/LIQ", "BB-1/SUC", "BB-1/LOC", *letters]


@given(jobs(most_boxes=2))
@settings(max_examples=30, deadline=None)
def test_every_tag_is_in_exactly_one_kit(job: Job) -> None:
    """The three kits are the whole set, and no tag is handed out twice."""
    kits = [taken(job, Selection(kit=kit)) for kit in KITS]
    assert sorted(code for kit in kits for code in kit) == sorted(tag.code for tag in all_tags(job))
    assert {kit_of(tag) for tag in all_tags(job)} <= set(KITS)


def test_kit_and_stage_and_port_together() -> None:
    """Each limit takes away: the box's kit of a port at the final stage is its two pipe tags."""
    part = Selection(only=("BB-1/A",), stage="final", kit="box")
    assert taken(on_stocks(full_job(), {"pipe": WRAP}), part) == ["BB-1/A/LIQ", "BB-1/A/GAS"]


# --- what a part is -----------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("part", "is_limited", "has_sheets"),
    [
        (Selection(), False, True),
        (Selection(skip=7), False, True),
        (Selection(boxes=("BB-1",)), True, True),
        (Selection(only=("BB-1/A",)), True, False),
        (Selection(stage="final"), True, True),
        (Selection(stage="rough-in"), True, False),
        (Selection(kit="cables"), True, False),
    ],
)
def test_parts(part: Selection, is_limited: bool, has_sheets: bool) -> None:  # noqa: FBT001 — a case's columns
    """A part is less than the whole set unless it only skips; placards come with boxes, not with tags."""
    assert (part.is_limited, part.has_sheets) == (is_limited, has_sheets)


def test_an_update_prints_what_does_not_hang() -> None:
    """It is a part; with everything printed it is none, and nothing counts as hanging."""
    job = full_job()
    earlier = issued_plan(plan_job(job)[0], words())
    update, whole = (
        Selection(baseline=Baseline(earlier)),
        Selection(baseline=Baseline(earlier), prints_all=True),
    )
    (box,) = (issued_box(job, box, all_tags(job)) for box in plan_job(job)[0].boxes)
    assert [(part.is_limited, part.is_update) for part in (update, whole, Selection())] == [
        (True, True),
        (False, False),
        (False, False),
    ]
    assert update.on_site(box) == {tag.code for tag in box.tags}
    assert whole.on_site(box) == Selection().on_site(box) == frozenset()
    for part, prints in ((update, False), (whole, True), (Selection(), True)):
        assert {part.prints_placard(box), part.prints_walk(box), part.prints_bands(box)} == {prints}
    assert update.has_sheets
