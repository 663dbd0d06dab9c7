"""What a set says once it is issued: digests tell apart what is printed differently, and nothing else."""

import datetime as dt
import re
from dataclasses import replace
from pathlib import Path

import pytest

from tagmaker.catalog.walk_items import WalkItem
from tagmaker.job.read import read_job
from tagmaker.job.records import Bands, Job
from tagmaker.plan.make import plan_job
from tagmaker.problems import Where
from tagmaker.tags.issued import Issued, issued_plan, same_codes
from tests.measured import all_tags, length, mains, on_stocks, sized
from tests.strategies import BoxSketch, JobSketch, UnitSketch, one_box, stock_named, words

LIBRARY = one_box(("FC-1", "A", "24 kBtu/h"), ("FC-2", "A", "12 kBtu/h"), ("AH-1", "C+D", "72 kBtu/h"))
JOB = replace(LIBRARY.record(), refrigerant="R-32")


def issued(job: Job) -> Issued:
    """What a job would issue."""
    return issued_plan(plan_job(job)[0], words())


def with_unit(**changes: object) -> Job:
    """The job, its first unit with these changed."""
    return replace(JOB, units=(replace(JOB.units[0], **changes), *JOB.units[1:]))  # type: ignore[arg-type]


def with_box(**changes: object) -> Job:
    """The job, its box with these changed."""
    return replace(JOB, boxes=(replace(JOB.boxes[0], **changes),))  # type: ignore[arg-type]


FAMILY = JOB.boxes[0].family
EDITS = {
    "name": replace(JOB, name="Hill Street"),
    "number": replace(JOB, number="HS-9"),
    "draft": replace(JOB, is_draft=True),
    "refrigerant": replace(JOB, refrigerant="R-410A"),
    "unit of capacities": replace(JOB, capacity_unit="kW"),
    "bands": replace(JOB, bands=Bands(None, Where("job.toml"))),
    "walk item": replace(JOB, walk_items=(*JOB.walk_items, WalkItem("x", "look", "verifier", "box"))),
    "unit's tag": with_unit(tag="FC-9"),
    "unit's port": with_unit(port="B"),
    "unit's capacity": with_unit(capacity=JOB.units[1].capacity),
    "unit's room": with_unit(room="Lab"),
    "unit's address": with_unit(address="2-07"),
    "unit's liquid": with_unit(liquid=length("3/8 in")),
    "unit's gas": with_unit(gas=length("5/8 in")),
    "unit's insulation": with_unit(insulation=length("3/4 in")),
    "unit's run": with_unit(run=length("30 ft")),
    "unit's cable": with_unit(cable=length("0.26 in")),
    "order of rows": replace(JOB, units=(JOB.units[1], JOB.units[0], JOB.units[2])),
    "box's size": with_box(ports=6),
    "box's shown": with_box(shown="BB 1/L2"),
    "box's place": with_box(place="Level 2"),
    "box's power": with_box(power="Panel LP-2"),
    "box's system": with_box(system="S-1"),
    "box's level": with_box(level="2"),
    "box's source": with_box(fed_from="OU-1"),
    "box's banks": with_box(bank_names=("S1", "S2")),
    "box's mains": with_box(mains=mains(liquid="3/4 in")),
    "family's title": with_box(family=replace(FAMILY, title="Others")),
    "family's source": with_box(family=replace(FAMILY, source="the manual, page 4")),
    "way of the switches": with_box(
        family=replace(FAMILY, banks=tuple(replace(bank, on_points="down") for bank in FAMILY.banks))
    ),
}


@pytest.mark.parametrize("edit", EDITS)
def test_the_digest_differs_for_each_single_edit(edit: str) -> None:
    """Whatever the job says otherwise."""
    assert issued(EDITS[edit]).digest != issued(JOB).digest


def test_the_digest_differs_for_a_box_more_and_for_another_order() -> None:
    """Walking order is part of the job."""
    boxes = (LIBRARY.boxes[0], BoxSketch("BB-2", 4, (UnitSketch("FC-3", "B"),)))
    digests = [
        issued(replace(LIBRARY, boxes=each).record()).digest for each in (boxes, boxes[::-1], boxes[:1])
    ]
    assert len(set(digests)) == 3


@pytest.mark.parametrize(
    "same",
    [
        replace(JOB, revision="P09"),
        replace(JOB, date=dt.date(2026, 6, 9)),
        replace(JOB, prepared_by="somebody"),
        replace(JOB, folder=Path("elsewhere"), where=Where("other.toml", 9)),
        on_stocks(JOB, {"pipe": stock_named("letter-10-102x51"), "placard": stock_named("a4")}),
    ],
)
def test_the_digest_is_of_what_is_said_alone(same: Job) -> None:
    """Not of the revision, of who wrote it, of where it lies, nor of what it is printed on."""
    assert issued(same).digest == issued(JOB).digest
    assert re.fullmatch("[0-9a-f]{64}", issued(same).digest)


@pytest.mark.parametrize("schedule", ["", "ports.csv"])
def test_a_schedule_digests_like_rows_in_the_job(schedule: str, tmp_path: Path) -> None:
    """Files read for real."""
    job, problems = read_job(LIBRARY.write(tmp_path / "job", schedule=schedule))
    assert job is not None
    assert (list(problems), issued(job).digest) == ([], issued(LIBRARY.record()).digest)


def test_each_thing_is_in_the_jobs_revision_and_the_placard_in_its_date() -> None:
    """Without an earlier set there is no other."""
    found = issued(replace(JOB, revision="P02", date=dt.date(2026, 4, 30)))
    assert {tag.revision for tag in found.tags} == {placard.revision for placard in found.placards} == {"P02"}
    assert {placard.date for placard in found.placards} == {"2026-04-30"}
    assert found.placards[0].text.startswith("BOX BB-1 REV P02\n")


def test_every_tag_is_there_with_its_code() -> None:
    """In print order, as the register has them."""
    assert [tag.code for tag in issued(JOB).tags] == [tag.code for tag in all_tags(JOB)]
    assert len({tag.says for tag in issued(JOB).tags}) == len(issued(JOB).tags)


def test_a_tag_knows_the_pipes_that_it_hangs_on() -> None:
    """Each unit's line and its insulation; a cable, a terminal and a spare stub have none."""
    found = {tag.code: tag.pipes for tag in issued(sized(LIBRARY, liquid="3/8 in", insulation="3/4 in")).tags}
    assert found["BB-1/A/LIQ"] == ("3/8 in", "3/4 in", "3/8 in", "3/4 in")
    assert found["BB-1/A/GAS/FC-1"] == ("", "3/4 in")
    assert {found[code] for code in ("BB-1/A/COM", "BB-1/A/TRM", "BB-1/B/LIQ")} == {()}


def test_same_codes_needs_the_same_words() -> None:
    """What is new, or says something else, does not hang yet."""
    old, new = ({tag.code: tag for tag in issued(job).tags} for job in (JOB, with_unit(room="Lab")))
    assert same_codes(old, old) == frozenset(old)
    assert {code for code in new if code not in same_codes(old, new)} == {
        *("BB-1/A/TRM", "BB-1/A/LIQ", "BB-1/A/GAS", "BB-1/A/COM"),
        *("BB-1/A/COM/FC-1", "BB-1/A/COM/FC-1/ON", "BB-1/A/LIQ/FC-1", "BB-1/A/GAS/FC-1"),
    }
    assert same_codes({}, new) == frozenset()


def test_limited_to_boxes_keeps_what_the_job_does_not_name() -> None:
    """A box that is known by another name on site may be one of these."""
    boxes = tuple(BoxSketch(f"BB-{n}", 4, (UnitSketch(f"FC-{n}", "A"),)) for n in (1, 2, 3))
    whole = issued(JobSketch(boxes).record())
    assert whole.limited_to((), ("BB-1",)) == whole
    found = whole.limited_to(("BB-1",), ("BB-1", "BB-2"))
    assert [box.tag for box in found.boxes] == ["BB-1", "BB-3"]
    assert [unit.unit for unit in found.units] == ["FC-1", "FC-3"]
    assert {tag.box for tag in found.tags} == {placard.box for placard in found.placards} == {"BB-1", "BB-3"}
