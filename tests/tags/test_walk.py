"""Which letters and items a walk goes through, and what its sheet says that it was printed for."""

from hypothesis import given, settings

from tagmaker.catalog.walk_items import walk_items
from tagmaker.plan.model import Plan
from tagmaker.plan.plan_job import plan_job
from tagmaker.tags.placard_text import long_text
from tagmaker.tags.walk import (
    JobIdentity,
    digests,
    items_of_box,
    items_of_letter,
    letters_of,
    printed_for,
    read_printed_for,
)
from tests.measured import on_stocks
from tests.records import replace
from tests.site.walks import ITEMS, SINGLE, items_of
from tests.strategies import JobSketch, one_box, sketches, stock_named

SHARED = one_box(
    *(("FC-1", "A", "9 kBtu/h"), ("FC-2", "A", "9 kBtu/h"), ("FC-3", "B", "9 kBtu/h")),
    *(("AH-1", "C+D", "40 kBtu/h"), ("AH-2", "C+D", "40 kBtu/h")),
)
"""A and the pair C+D have two units each, B has one."""


def planned(sketch: JobSketch) -> Plan:
    """A job's plan, the items of every walk with it."""
    return plan_job(replace(sketch.record(), walk_items=walk_items()))[0]


@given(sketches(most_boxes=1))
@settings(max_examples=30, deadline=None)
def test_every_letter_is_gone_through_once(sketch: JobSketch) -> None:
    """By letter, a joined pair's both, each with its port."""
    box = planned(sketch).boxes[0]
    assert [letter for letter, _ in letters_of(box)] == list("ABCDEFGHIJKL"[: box.row.ports])
    assert all(letter in port.letters for letter, port in letters_of(box))


def test_what_is_asked_of_each_letter() -> None:
    """Of used, cabled and spare letters their own items; no cable is asked of a pair's second letter."""
    plan = planned(SINGLE)
    assert [item.key for item in items_of_box(plan.job)] == list(ITEMS["box"])
    asked = {
        letter: [item.key for item in items_of_letter(plan.job, port, letter)]
        for letter, port in letters_of(plan.boxes[0])
    }
    cabled = ["polarity"]
    assert asked == {
        "A": cabled,
        "B": cabled,
        "C": cabled,
        "D": [],
        "E": cabled,
        "F": [],
    }


def test_labels_of_splitters_are_asked_for_where_they_are_printed() -> None:
    """On ports of several units, a pair's first letter alone; other jobs keep their sheets as they are."""
    plan = planned(SHARED)
    with_labels = on_stocks(plan.job, {"splitter": stock_named("letter-30-67x25")})
    asked = {
        letter
        for letter, port in letters_of(plan.boxes[0])
        for item in items_of_letter(with_labels, port, letter)
        if item.key == "splitters"
    }
    assert asked == {"A", "C"}
    without = replace(plan.job, walk_items=tuple(item for item in walk_items() if item.key != "splitters"))
    assert digests(plan.job, plan.boxes[0]) == digests(without, plan.boxes[0])
    assert digests(with_labels, plan.boxes[0]) != digests(plan.job, plan.boxes[0])


@given(sketches(most_boxes=1))
@settings(max_examples=30, deadline=None)
def test_no_letter_is_asked_for_what_it_has_not(sketch: JobSketch) -> None:
    """Caps of spares alone; polarity where a cable lands alone."""
    plan = planned(sketch)
    for letter, port in letters_of(plan.boxes[0]):
        assert {item.key for item in items_of_letter(plan.job, port, letter)} == set(items_of(port, letter))


def test_what_a_sheet_is_printed_for() -> None:
    """The placard's text but its short line, and the units of every port."""
    plan = planned(SINGLE)
    box = plan.boxes[0]
    now = digests(plan.job, box)
    places = " | ".join(f"{place} {digest}" for place, digest in now.places.items())
    assert printed_for(plan.job, box) == (
        f"{long_text(plan.job, box)}UNITS: A FC-1 | B FC-2, FC-3 | C+D AH-4 | E FC-5 | F spare\n"
        f"NAME: {plan.job.name}\nDIGEST: {now.whole}\nPLACES: {places}\n"
    )
    assert list(now.places) == [
        "hardware/box",
        "item",
        "left",
        "right",
        *(f"port/{letter}" for letter in "ABCDEF"),
    ]


@given(sketches(most_boxes=1))
@settings(max_examples=30, deadline=None)
def test_it_reads_back(sketch: JobSketch) -> None:
    """Revision, number and every letter's port with its units, as printed."""
    plan = planned(sketch)
    box = plan.boxes[0]
    printed = read_printed_for(printed_for(plan.job, box))
    assert printed is not None
    assert (printed.facts.box, printed.facts.revision, printed.facts.number) == (
        box.row.tag,
        plan.job.revision,
        plan.job.number,
    )
    assert printed.job == JobIdentity(plan.job.number, plan.job.name)
    assert printed.digests == digests(plan.job, box)


def test_a_changed_text_says_nothing() -> None:
    """Cut, altered or empty: nobody can tell any more."""
    plan = planned(SINGLE)
    text = printed_for(plan.job, plan.boxes[0])
    for broken in ("", "hello", text[:40], text.replace("REV 2", "REV 3"), text.rpartition("UNITS")[2]):
        assert read_printed_for(broken) is None
    assert read_printed_for(text.rpartition("UNITS")[0]) is None
