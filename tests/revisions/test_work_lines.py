"""The changes as lines of work: in the order in which it is done, plainly, nothing left to be guessed."""

import pytest
from hypothesis import HealthCheck, given, settings

from tagmaker.job.model import Job
from tagmaker.plan.plan_job import plan_job
from tagmaker.revisions.compare import compare
from tagmaker.revisions.issuing import issued_plan
from tagmaker.revisions.work_lines import work_of_changes
from tagmaker.sheets.work_list import work_list_pages
from tagmaker.tags.work_list import BoxWork
from tagmaker.typeset.text import LEGIBLE_MM
from tests.measured import length, mains, on_stocks
from tests.records import replace
from tests.revisions.edits import pairs
from tests.sheets.printed import faults
from tests.strategies import BoxSketch, JobSketch, UnitSketch, one_box, stock_named, words

LIBRARY = one_box(("FC-1", "A", "24 kBtu/h"), ("FC-2", "B", "12 kBtu/h"), ("AH-1", "C+D", "72 kBtu/h"))


def told(new: JobSketch | Job, old: JobSketch | Job = LIBRARY) -> list[BoxWork]:
    """What is told of each box that differs."""
    jobs = (each.record() if isinstance(each, JobSketch) else each for each in (old, new))
    sides = [issued_plan(plan_job(job)[0], words()) for job in jobs]
    return work_of_changes(compare(*sides), words())


def lines(new: JobSketch | Job, old: JobSketch | Job = LIBRARY) -> list[str]:
    """Every line, of the system and of the one box that differs."""
    return [
        f"{punch.place}: {punch.wrong} | {punch.to_do}" for box in told(new, old) for punch in box.punches
    ]


def begins(found: list[str], *heads: str) -> list[str]:
    """Those lines that begin with any of these."""
    return [line for line in found if line.startswith(heads)]


def test_boards_that_their_family_names_otherwise_are_told_as_new() -> None:
    """The same size and family, and the file has other places now: each board is set again."""
    job = LIBRARY.record()
    (row,) = job.boxes
    family = replace(row.family, places=(("upper",), *row.family.places[1:]))
    found = lines(replace(job, boxes=(replace(row, family=family),)))
    (line,) = begins(found, "upper board")
    on_site = "ON: Bank 2 switch 2; every other OFF; left as found: Bank 2 switch 3"
    assert line.endswith(f"| {on_site} · set with the power off")


def test_the_order_is_the_order_of_work() -> None:
    """Pipes, cables and switches with the power off; tags after the test; then placard and restart."""
    box = replace(LIBRARY.boxes[0], power="Panel LP-2", place="Level 2")
    new = one_box(("FC-1", "A", "24 kBtu/h"), ("FC-2", "C", "15 kBtu/h"))
    found = lines(new, replace(LIBRARY, boxes=(box,)))
    steps = [line.partition(" | ")[0] for line in found]
    expected = [
        "whole system: stop the system and warn the people who use the rooms",
        "port B: disconnect FC-2; reconnect at BB-1 C",
        "port C+D: disconnect AH-1",
        "port C: open the stubs for FC-2",
        "port B: no unit on this port any more",
        "port C: connect FC-2 (was on BB-1 B)",
        "port D: no unit on this port any more",
        "port B: take the cable off; land no cable on the terminal",
        "port C: cable route: terminal C – FC-2",
        "port D: take the cable off; land no cable on the terminal",
        "only board: Bank 1 switch 2: OFF → ON",
        "only board: Bank 1 switch 4: OFF → ON",
        "only board: Bank 2 switch 2: ON → OFF",
        "box: photograph every switch and address that was set",
        "port C: FC-2: capacity 12 kBtu/h → 15 kBtu/h",
        "placard: replace the placard: revision 0 → 0",
    ]
    assert [step for step in steps if step in expected] == expected
    verbs = "take off at ", "put on at "
    off, on = ([number for number, step in enumerate(steps) if verb in step] for verb in verbs)
    leak = steps.index("whole system: leak-test every joint that was made")
    assert leak < off[0] <= off[-1] < on[0] <= on[-1] < steps.index(expected[-1])


def test_power_is_isolated_where_the_job_says() -> None:
    """The place is in the line itself."""
    old = replace(LIBRARY, boxes=(replace(LIBRARY.boxes[0], power="Panel LP-2, circuit 14"),))
    new = replace(old, boxes=(replace(old.boxes[0], units=old.boxes[0].units[1:]),))
    (line,) = begins(lines(new, old), "power")
    assert line.endswith("a switch or button is not isolation | Panel LP-2, circuit 14")


def test_a_pairs_wire_lands_on_its_first_letter() -> None:
    """Where a single port becomes a pair, both pipes are named, and where no wire lands."""
    old = one_box(("FC-1", "B", "24 kBtu/h"))
    found = begins(lines(one_box(("FC-1", "A+B", "24 kBtu/h")), old), "port A+B")
    assert [line.partition(" · ")[0].partition(";")[0] for line in found] == [
        "port A+B: open the stubs for FC-1 | cut with a tube cutter, licensed people only",
        "port A+B: connect FC-1 (was on BB-1 B) | pipes on A and B, joined",
        "port A+B: cable route: terminal A – FC-1 | land no cable on B",
    ]


def test_a_shared_ports_cable_is_told_from_unit_to_unit() -> None:
    """Whichever unit leaves, comes, or changes its turn."""
    old = one_box(*((f"U-{n}", "A", "9 kBtu/h") for n in (1, 2, 3)))
    less = one_box(*((f"U-{n}", "A", "9 kBtu/h") for n in (1, 3)))
    turned = one_box(*((f"U-{n}", "A", "9 kBtu/h") for n in (3, 2, 1)))
    for new, chain in ((less, "U-1 – U-3"), (turned, "U-3 – U-2 – U-1")):
        (line,) = [line for line in lines(new, old) if "cable route" in line]
        assert line.startswith(f"port A: cable route: terminal A – {chain} | ")


def test_a_unit_that_only_has_another_name_stays_connected() -> None:
    """Its tags are reprinted and nothing is disconnected."""
    units = ("FC-9", "A", "24 kBtu/h"), ("FC-2", "B", "12 kBtu/h"), ("AH-1", "C+D", "72 kBtu/h")
    found = told(one_box(*units))
    texts = [punch.wrong for box in found for punch in box.punches]
    assert [text for text in texts if "connect" in text or "cable route" in text] == []
    assert [note for box in found for note in box.notes if "now called" in note] == [
        "FC-1 on BB-1 A is now called FC-9"
    ]


def test_a_unit_that_goes_to_another_box_is_told_at_both() -> None:
    """Disconnected here, connected there."""
    boxes = (
        BoxSketch("BB-1", 4, (UnitSketch("FC-1", "A"), UnitSketch("FC-2", "B"))),
        BoxSketch("BB-2", 4, (UnitSketch("FC-3", "A"),)),
    )
    moved = (
        replace(boxes[0], units=boxes[0].units[:1]),
        replace(boxes[1], units=(*boxes[1].units, replace(boxes[0].units[1], port="D"))),
    )
    found = told(JobSketch(moved), JobSketch(boxes))
    lines_of = [(punch.box, punch.wrong) for box in found for punch in box.punches]
    off = lines_of.index(("BB-1", "disconnect FC-2; reconnect at BB-2 D"))
    on = lines_of.index(("BB-2", "connect FC-2 (was on BB-1 B)"))
    tags = [number for number, (_, text) in enumerate(lines_of) if text.startswith("take off")]
    assert off < on < tags[0]
    numbers = [punch.number for box in found for punch in box.punches]
    assert numbers == list(range(1, len(numbers) + 1))


@pytest.mark.parametrize("ports", [4, 6, 12])
def test_a_new_box_is_set_board_by_board(ports: int) -> None:
    """Every ON and every switch that is left, all else OFF; then pipes, wires and a walk."""
    old = JobSketch((BoxSketch("ZZ-9", 4, (UnitSketch("U", "A"),)),))
    new = replace(old, boxes=(*old.boxes, BoxSketch("BB-1", ports, (UnitSketch("FC-1", "B"),))))
    found = lines(new, old)
    assert [line for line in found if line.startswith("box: a new box | ")]
    assert len([line for line in found if "set every switch of this board" in line]) == -(-ports // 4)
    assert [line for line in found if "each unit to the letter in the list" in line]
    assert [line for line in found if "ON: Bank 1 switch 1 3 4" in line]
    tags = f"box: put on every tag at the box: {3 * ports + 1} | every tag whose code begins with BB-1/"
    assert begins(found, tags)
    assert told(new, old)[-1].notes == ("FC-1 is new on BB-1 B",)


def test_a_strips_line_says_that_it_is_the_whole_strip() -> None:
    """One cell changed, the whole strip is hung."""
    jobs = [
        on_stocks(each.record(), {"terminal": stock_named("tape-12-strip-300dpi")}, "0.4 in")
        for each in (
            LIBRARY,
            replace(LIBRARY, boxes=(replace(LIBRARY.boxes[0], units=LIBRARY.boxes[0].units[1:]),)),
        )
    ]
    found = begins(lines(jobs[1], jobs[0]), "port A: put on at the box", "port B: put on at the box")
    assert ["(the whole strip of the only board)" in line for line in found] == [True, True]


def test_bands_and_mains_are_told() -> None:
    """The main's own tag comes off and goes on at the box, not at a port."""
    job = LIBRARY.record()
    jobs = [
        replace(job, boxes=(replace(job.boxes[0], mains=each),))
        for each in (mains(liquid="3/4 in"), mains(suction="1-1/8 in"))
    ]
    assert [line.partition(" | ")[0] for line in lines(jobs[1], jobs[0])] == [
        "box: take off at the box: MAIN LIQUID",
        "box: put on at the box: MAIN SUCTION",
        "box: read the new tags against the list",
    ]


def test_facts_on_paper_alone_are_notes() -> None:
    """Room and run are told under the lines, with what they were."""
    job = LIBRARY.record()
    new = replace(job, units=(replace(job.units[0], run=length("30 ft")), *job.units[1:]))
    (box,) = told(new, LIBRARY)
    assert (list(box.punches), box.notes) == ([], ("FC-1 on BB-1 A: run not given → 30 ft",))


@given(pairs())
@settings(max_examples=40, deadline=None, suppress_health_check=list(HealthCheck))
def test_whatever_differs_can_be_told_and_printed(pair: tuple[JobSketch, JobSketch]) -> None:
    """Lines numbered without a gap; pages without a fault, nothing cut."""
    old, new = pair
    boxes = told(new, old)
    numbers = [punch.number for box in boxes for punch in box.punches]
    assert numbers == list(range(1, len(numbers) + 1))
    pages, problems = work_list_pages(new.record(), boxes, words(), "CHANGES ON SITE", "Nothing.")
    assert problems == []
    assert faults(pages, margin_mm=6.35, least_mm=LEGIBLE_MM) == []
    assert [mark for page in pages for mark in page.marks if "…" in str(getattr(mark, "text", ""))] == []
