"""The changes as lines of work: in the order in which it is done, plainly, nothing left to be guessed."""

import pytest
from hypothesis import HealthCheck, given, settings

from tagmaker.job.model import Job
from tagmaker.plan.plan_job import plan_job
from tagmaker.revisions.compare import compare
from tagmaker.revisions.issued import issued_plan
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
    """Every line of the one box that differs."""
    (box,) = told(new, old)
    return [f"{punch.place}: {punch.wrong} | {punch.to_do}" for punch in box.punches]


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
    assert line.endswith("| ON: Bank 2 switch 2; every other OFF; left as found: Bank 2 switch 3")


def test_the_order_is_the_order_of_work() -> None:
    """Power off, switches, what is disconnected, tags off and on, what is connected, and last restart."""
    box = replace(LIBRARY.boxes[0], power="Panel LP-2", place="Level 2")
    new = one_box(("FC-1", "A", "24 kBtu/h"), ("FC-2", "C", "15 kBtu/h"))
    found = lines(new, replace(LIBRARY, boxes=(box,)))
    steps = [line.partition(" | ")[0] for line in found if not line.startswith(("port B: take", "port D"))]
    assert [step for step in steps if "take off" not in step and "put on" not in step] == [
        "power: isolate the box's power and prove it dead",
        "only board: Bank 1 switch 2: OFF → ON",
        "only board: Bank 1 switch 4: OFF → ON",
        "only board: Bank 2 switch 2: ON → OFF",
        "port B: disconnect FC-2; reconnect at BB-1 C",
        "port C+D: disconnect AH-1",
        "port B: no unit on this port any more",
        "port C: connect FC-2 (was on BB-1 B)",
        "port C: FC-2: capacity 12 kBtu/h → 15 kBtu/h",
        "placard: replace the placard: revision 0 → 0",
        "ports B C D: recheck pipes, cables and tags",
        "restart: restore power and restart when every box of its system is done",
    ]
    off, on = (
        [number for number, line in enumerate(found) if verb in line] for verb in ("take off", "put on")
    )
    disconnect = [number for number, line in enumerate(found) if ": disconnect" in line]
    connect = [number for number, line in enumerate(found) if ": connect" in line]
    assert disconnect[-1] < off[0] <= off[-1] < on[0] <= on[-1] < connect[0]


def test_power_is_isolated_where_the_job_says() -> None:
    """The place stands in the line itself."""
    old = replace(LIBRARY, boxes=(replace(LIBRARY.boxes[0], power="Panel LP-2, circuit 14"),))
    (line,) = begins(lines(replace(old, is_draft=True), old), "power")
    assert "Panel LP-2, circuit 14: a switch or button is not isolation" in line


def test_what_does_not_open_the_control_box_needs_no_isolation() -> None:
    """A pipe's tag at the unit, and the placard: no line for power, none for a restart."""
    other = replace(LIBRARY.boxes[0], place="Level 3")
    assert begins(lines(replace(LIBRARY, boxes=(other,))), "power", "restart") == []


def test_a_pairs_wire_lands_on_its_first_letter() -> None:
    """Where a single port becomes a pair, both pipes are named, and where no wire lands."""
    old = one_box(("FC-1", "B", "24 kBtu/h"))
    found = lines(one_box(("FC-1", "A+B", "24 kBtu/h")), old)
    how = "pipes on A and B, joined; cable route: terminal A – FC-1; land no cable on B"
    assert begins(found, "port A+B") == [f"port A+B: connect FC-1 (was on BB-1 B) | {how}"]
    assert [line for line in found if "disconnect" in line] == []


def test_a_shared_ports_cable_is_told_from_unit_to_unit() -> None:
    """Whichever unit leaves, comes, or changes its turn."""
    old = one_box(*((f"U-{n}", "A", "9 kBtu/h") for n in (1, 2, 3)))
    less = one_box(*((f"U-{n}", "A", "9 kBtu/h") for n in (1, 3)))
    turned = one_box(*((f"U-{n}", "A", "9 kBtu/h") for n in (3, 2, 1)))
    assert "port A: cable route changes | pipes on A; cable route: terminal A – U-1 – U-3" in lines(less, old)
    assert "port A: cable route changes | pipes on A; cable route: terminal A – U-3 – U-2 – U-1" in lines(
        turned, old
    )


def test_a_unit_that_only_has_another_name_stays_connected() -> None:
    """Its tags are replaced and nothing is disconnected."""
    found = lines(
        one_box(("FC-9", "A", "24 kBtu/h"), ("FC-2", "B", "12 kBtu/h"), ("AH-1", "C+D", "72 kBtu/h"))
    )
    assert [line for line in found if "connect" in line or "cable route" in line] == []
    (box,) = told(
        one_box(("FC-9", "A", "24 kBtu/h"), ("FC-2", "B", "12 kBtu/h"), ("AH-1", "C+D", "72 kBtu/h"))
    )
    assert "FC-1 on BB-1 A is now called FC-9" in box.notes


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
    here, there = told(JobSketch(moved), JobSketch(boxes))
    assert "disconnect FC-2; reconnect at BB-2 D" in [punch.wrong for punch in here.punches]
    assert "connect FC-2 (was on BB-1 B)" in [punch.wrong for punch in there.punches]
    assert [punch.number for each in (here, there) for punch in each.punches] == list(
        range(1, len(here.punches) + len(there.punches) + 1)
    )


@pytest.mark.parametrize("ports", [4, 6, 12])
def test_a_new_box_is_set_board_by_board(ports: int) -> None:
    """Every ON and every switch that is left, all else OFF; then pipes, wires and a walk."""
    old = JobSketch((BoxSketch("ZZ-9", 4, (UnitSketch("U", "A"),)),))
    new = replace(old, boxes=(*old.boxes, BoxSketch("BB-1", ports, (UnitSketch("FC-1", "B"),))))
    found = lines(new, old)
    assert found[0] == "box: a new box | hang its placard and tags before landing anything"
    assert len([line for line in found if "set every switch of this board" in line]) == -(-ports // 4)
    assert [line for line in found if "pipe and wire every unit to the letter on its tags" in line]
    assert [line for line in found if "ON: Bank 1 switch 1 3 4" in line]
    assert (
        f"box: put on every tag at the box: {3 * ports + 1} | every tag whose code begins with BB-1/" in found
    )
    assert told(new, old)[0].notes == ("FC-1 is new on BB-1 B",)


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
    ]


def test_facts_on_paper_alone_are_notes() -> None:
    """Room and run are told under the lines, with what they were."""
    job = LIBRARY.record()
    new = replace(job, units=(replace(job.units[0], run=length("30 ft")), *job.units[1:]))
    (box,) = told(new, LIBRARY)
    assert (box.punches, box.notes) == ([], ("FC-1 on BB-1 A: run not given → 30 ft",))


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
