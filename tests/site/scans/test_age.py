"""Of which revision a scanned placard is: each sort told apart, and none taken for a better one."""

import pytest

from tagmaker.revisions.issued import IssuedPlacard
from tagmaker.revisions.issuing import issued_plan
from tagmaker.site.scans.age import ALTERED, TODAY, UNCHANGED, age_of
from tagmaker.site.scans.codes import scan_of
from tagmaker.site.scans.judge import Judge
from tagmaker.tags.placard_text import PlacardFacts, read_placard
from tests.records import replace
from tests.site.papers import LIBRARY, changed, placards, plan_of, tags_by_code
from tests.strategies import JobSketch, UnitSketch, words
from tests.tables import table

OLD = replace(LIBRARY, revision="1")
MOVED = changed(LIBRARY, *LIBRARY.boxes[0].units[1:], UnitSketch("FC-1", "C", "12 kBtu/h", "Shop"))
"""Revision 2, in which FC-1 moved: the first box's placard is another, the second's says the same."""


def seen(sketch: JobSketch, box: int) -> PlacardFacts:
    """A placard as a phone reads it."""
    facts = read_placard(placards(plan_of(sketch))[box])
    assert isinstance(facts, PlacardFacts)
    return facts


def hanging(sketch: JobSketch, box: int) -> IssuedPlacard:
    """What the earlier set has of a box."""
    return issued_plan(plan_of(sketch), words()).placards[box]


def age(placard: PlacardFacts, box: int, since: JobSketch | None = None, today: JobSketch = MOVED) -> str:
    """Its age against the job of today."""
    plan = plan_of(today)
    return age_of(placard, plan.job, plan.boxes[box], hanging(since, box) if since else None)


def test_todays_placard_is_of_this_revision() -> None:
    """With or without an earlier set."""
    assert age(seen(MOVED, 0), 0) == age(seen(MOVED, 0), 0, OLD) == TODAY


def test_an_unchanged_placard_is_right_in_its_own_revision() -> None:
    """Known by the earlier set alone: without it an older revision is an older one."""
    assert age(seen(OLD, 1), 1, OLD) == UNCHANGED
    assert age(seen(OLD, 1), 1) == "older"


def test_a_placard_that_has_changed_since_is_older() -> None:
    """Its settings are not today's."""
    assert age(seen(OLD, 0), 0, OLD) == "older"


def test_a_placard_whose_power_is_isolated_elsewhere_now_is_older() -> None:
    """Its code says the same, its paper does not: it must be replaced."""
    box = replace(MOVED.boxes[1], power="Panel LP-9")
    today = replace(MOVED, boxes=(MOVED.boxes[0], box))
    assert age(seen(OLD, 1), 1, OLD, today) == "older"


@pytest.mark.parametrize("revision", ["1", "2"])
def test_what_was_never_issued_in_its_revision_is_altered(revision: str) -> None:
    """Of today's revision or of the earlier set's, with other settings and a right CRC."""
    other = replace(changed(LIBRARY, *LIBRARY.boxes[0].units[:3]), revision=revision)
    assert age(seen(other, 0), 0, OLD) == ALTERED


@pytest.mark.parametrize(
    ("revision", "today", "told"),
    table(
        """
    1    | 2     | older
    9    | 10    | older
    P01  | P02   | older
    p1   | P2    | older
    C1.9 | C1.10 | older
    3    | 2     | newer
    P03  | P02   | newer
    P02  | C01   | another revision
    A    | B     | another revision
    2    | 02    | another revision
    1    | B     | another revision
        """
    ),
)
def test_revisions_are_compared_where_they_count_alike(revision: str, today: str, told: str) -> None:
    """Nothing is guessed of two that do not."""
    assert age(seen(replace(MOVED, revision=revision), 1), 1, today=replace(MOVED, revision=today)) == told


def test_a_verdict_has_the_age_and_an_unchanged_placard_no_differences() -> None:
    """What is damaged is altered; a code that is no placard has no age."""
    plan = plan_of(MOVED)
    issued = {each.box.upper(): each for each in issued_plan(plan_of(OLD), words()).placards}

    def verdict(text: str) -> tuple[str, bool, bool]:
        judged = Judge(plan, tags_by_code(plan), issued).verdict(scan_of(text, ""))
        return judged.age, bool(judged.differences), judged.is_wrong

    first, second = placards(plan_of(OLD))
    assert verdict(second) == (UNCHANGED, False, False)
    assert verdict(first) == ("older", True, True)
    assert verdict(second.replace("CRC ", "CRC 0")) == (ALTERED, True, True)
    assert verdict("BB-1/A/TRM") == ("", False, False)
