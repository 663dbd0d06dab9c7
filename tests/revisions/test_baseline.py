"""An earlier set that hangs on site: what of a new one may stay, and in which revision each thing is."""

import datetime as dt

from hypothesis import HealthCheck, given, settings

from tagmaker.job.model import Bands, Job
from tagmaker.plan.plan_job import plan_job
from tagmaker.problems import Where
from tagmaker.revisions.baseline import Baseline
from tagmaker.revisions.issued import Issued, IssuedBox
from tagmaker.revisions.issuing import issued, issued_plan
from tagmaker.tags.kits import box_tags
from tests.measured import mains, on_stocks
from tests.records import replace
from tests.revisions.edits import pairs
from tests.strategies import BoxSketch, JobSketch, UnitSketch, one_box, stock_named, words

FIRST = replace(
    one_box(("FC-1", "A", "24 kBtu/h"), ("FC-2", "B", "12 kBtu/h"), ("FC-3", "D", "12 kBtu/h")),
    revision="1",
    date=dt.date(2026, 5, 12),
)


def edited(sketch: JobSketch, revision: str, *units: UnitSketch) -> JobSketch:
    """The job in a new revision, its first units replaced by these."""
    box = sketch.boxes[0]
    rest = box.units[len(units) :]
    date = dt.date(2026, 6, 9)
    return replace(
        sketch, revision=revision, date=date, boxes=(replace(box, units=(*units, *rest)), *sketch.boxes[1:])
    )


SECOND = edited(FIRST, "2", UnitSketch("FC-1", "A", "24 kBtu/h", "Lab"))
THIRD = edited(SECOND, "3", SECOND.boxes[0].units[0], UnitSketch("FC-2", "C", "12 kBtu/h"))


def first_set(job: Job) -> Issued:
    """The whole set of a job without an earlier one."""
    return issued_plan(plan_job(job)[0], words())


def boxes(job: Job, since: Baseline) -> list[IssuedBox]:
    """A job's boxes, dated since an earlier set."""
    plan = plan_job(job)[0]
    return [
        since.box(job, box, [since.dated(tag, words()) for tag in box_tags(job, box, words())])
        for box in plan.boxes
    ]


def update(sketch: JobSketch, earlier: Issued) -> Issued:
    """The set of a job since an earlier set."""
    job = sketch.record()
    return issued(job, boxes(job, Baseline(earlier)))


def test_each_tag_keeps_the_revision_in_which_it_last_changed() -> None:
    """Over three revisions: what never changed is of the first, whatever the set is of."""
    third = update(THIRD, update(SECOND, first_set(FIRST.record())))
    assert third.job.revision == "3"
    revisions = {tag.code: tag.revision for tag in third.tags}
    assert {revisions[code] for code in ("BB-1/D/TRM", "BB-1/D/LIQ/FC-3")} == {"1"}
    assert {revisions[code] for code in ("BB-1/A/TRM", "BB-1/A/GAS/FC-1")} == {"2"}
    assert {revisions[code] for code in ("BB-1/B/TRM", "BB-1/C/TRM", "BB-1/C/COM/FC-2")} == {"3"}
    assert {(each.revision, each.date) for each in third.placards} == {("3", "2026-06-09")}


def test_the_revision_that_is_printed_is_the_tags_own() -> None:
    """The words on it, with DRAFT where the job is one."""
    for is_draft, text in ((False, "REV 1"), (True, "DRAFT REV 1")):
        old, new = (replace(sketch, is_draft=is_draft).record() for sketch in (FIRST, SECOND))
        since = Baseline(first_set(old))
        (box,) = plan_job(new)[0].boxes
        printed = {tag.code: since.dated(tag, words()) for tag in box_tags(new, box, words())}
        assert (printed["BB-1/D/TRM"].revision, printed["BB-1/D/TRM"].revision_text) == ("1", text)
        assert printed["BB-1/A/TRM"].revision == "2"


def test_a_placard_that_says_the_same_keeps_its_revision_date_and_text() -> None:
    """A new revision and date of the job alone make no new placard."""
    earlier = first_set(FIRST.record())
    later = update(edited(FIRST, "2"), earlier)
    assert later.placards == earlier.placards
    assert later.tags == earlier.tags
    assert (later.job.revision, later.digest) == ("2", earlier.digest)


def test_what_differs_is_to_be_hung() -> None:
    """The codes of one room's tags do not hang; the placard names the room too."""
    since = Baseline(first_set(FIRST.record()))
    (box,) = boxes(SECOND.record(), since)
    hanging = since.on_site(box)
    assert {tag.port for tag in box.tags if tag.code not in hanging} == {"A"}
    assert (since.has_placard(box), since.has_bands(box), since.touches(box)) == (False, True, True)


def test_a_box_that_is_as_it_was_is_not_touched() -> None:
    """Nothing is printed of it, a walk neither."""
    job = FIRST.record()
    since = Baseline(first_set(job))
    (box,) = boxes(job, since)
    assert (since.has_placard(box), since.touches(box)) == (True, False)
    assert since.on_site(box) == {tag.code for tag in box.tags}


def test_a_box_of_which_something_only_comes_off_is_touched() -> None:
    """A locator that is not wanted any more hangs there still."""
    job = FIRST.record()
    with_locator = on_stocks(job, {"locator": stock_named("letter-30-67x25")})
    since = Baseline(first_set(with_locator))
    (box,) = boxes(job, since)
    assert since.on_site(box) == {tag.code for tag in box.tags}
    assert since.touches(box)


def test_a_box_that_did_not_hang_is_new_in_all() -> None:
    """Nothing of it hangs."""
    job = JobSketch((BoxSketch("ZZ-9", 4, (UnitSketch("U", "A"),)),)).record()
    since = Baseline(first_set(FIRST.record()))
    (box,) = boxes(job, since)
    assert (since.on_site(box), since.has_placard(box), since.touches(box)) == (frozenset(), False, True)
    assert not since.has_bands(box)


def test_a_box_whose_bands_alone_changed_is_touched() -> None:
    """Longer mains need more bands: the walk goes there, though every tag and the placard may stay."""
    old, new = (
        replace(job, boxes=tuple(replace(row, mains=mains(run=run, liquid="3/4 in")) for row in job.boxes))
        for job in [replace(FIRST.record(), bands=Bands(None, Where("job.toml")))]
        for run in ("30 ft", "60 ft")
    )
    since = Baseline(first_set(old))
    (box,) = boxes(new, since)
    assert since.on_site(box) == {tag.code for tag in box.tags}
    assert (since.has_placard(box), since.has_bands(box), since.touches(box)) == (True, False, True)


@given(pairs())
@settings(max_examples=40, deadline=None, suppress_health_check=list(HealthCheck))
def test_no_tag_is_of_a_revision_in_which_it_said_something_else(pair: tuple[JobSketch, JobSketch]) -> None:
    """What keeps its revision says what it said in it; what changed is of the new one."""
    old, new = (replace(sketch, revision=revision) for sketch, revision in zip(pair, "12", strict=True))
    earlier = first_set(old.record())
    says = {tag.code: tag.says for tag in earlier.tags}
    for tag in update(new, earlier).tags:
        assert tag.revision == ("1" if says.get(tag.code) == tag.says else "2")
