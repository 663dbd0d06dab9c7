"""Findings against the plan: unknown is neither OFF nor right, contradictions are told and not settled."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tagmaker.catalog.walk_items import WalkItem, walk_items
from tagmaker.plan.model import Plan
from tagmaker.plan.plan_job import plan_job
from tagmaker.site.walk.findings import board_facts, findings, homes_of, parts_of
from tagmaker.site.walk.gather import gather
from tagmaker.site.walk.returns import Return, sheets_of
from tagmaker.tags.walk import digests, letters_of, printed_for
from tests.plan.families import FOUR
from tests.records import replace
from tests.site.found import ALL, OTHERS, SWITCH, SWITCHES_ON, planned, site, walk, walk_of
from tests.site.walks import Values, as_planned, without
from tests.strategies import BoxSketch, JobSketch, UnitSketch, boxes, words
from tests.tables import table

# --- unknown is neither OFF nor right -----------------------------------------------------------------------


def test_all_seen_and_right_is_as_planned() -> None:
    """Nothing to correct and nothing unknown."""
    result = walk(ALL)
    assert (result.state, result.punches, result.unknown) == ("as planned", [], [])


def test_nothing_handed_in_is_not_seen() -> None:
    """Every board, pipe, cable, tag and item is unknown; nothing is to be corrected."""
    result = walk()
    assert (result.state, result.punches) == ("not seen", [])
    assert len(result.unknown) == len(OTHERS)


@pytest.mark.parametrize("name", OTHERS)
def test_each_thing_left_out_is_unknown(name: str) -> None:
    """One thing not ticked: exactly one is unknown, nothing is to be corrected, the box is not seen."""
    result = walk(without(ALL, name))
    assert (result.state, result.punches, len(result.unknown)) == ("not seen", [], 1)


@pytest.mark.parametrize("name", SWITCHES_ON)
def test_a_switch_not_ticked_on_a_seen_board_is_off(name: str) -> None:
    """It was looked at, and it is not ON: it is to be moved."""
    result = walk(without(ALL, name))
    bank, switch = name.split("/")[2:]
    assert result.state == "differs"
    assert [punch.wrong for punch in result.punches] == [f"Bank {bank} switch {switch} is OFF"]


def test_switches_of_a_board_that_was_not_seen_say_nothing() -> None:
    """Without "board seen" a switch that is not marked is unknown: neither right nor wrong."""
    result = walk({name: value for name, value in ALL.items() if not name.startswith("BB-1/left/")})
    assert (result.state, result.punches, result.unknown) == ("not seen", [], ["left board was not seen"])
    marked = walk(without(ALL, "BB-1/left/seen"))
    assert (marked.state, marked.punches) == ("not seen", [])
    unseen = [*(f"Bank 1 switch {n}" for n in (1, 2, 3, 4)), "Bank 2 switch 1", "Bank 2 switch 4"]
    assert marked.unknown == [f"left board: {', '.join(unseen)} not seen"]


def off_too(values: Values, *boards: str) -> Values:
    """The same walk where these boards have every switch marked, ON or OFF, and no "board seen"."""
    marks = {
        f"BB-1/{board.place}/{bank.number}/{switch.number}"
        for board in site().boxes[0].boards
        if board.place in boards
        for bank in board.banks
        for switch in bank.switches
    }
    off = {f"{name}/off": True for name in marks if not values.get(name)}
    return without(values, *(f"BB-1/{board}/seen" for board in boards)) | off


def test_a_board_is_seen_where_every_switch_is_marked() -> None:
    """ON or OFF, each by its own mark."""
    whole = off_too(ALL, "left", "right")
    assert walk(whole).state == "as planned"
    assert walk(without(whole, "BB-1/left/1/1/off")).unknown == ["left board: Bank 1 switch 1 not seen"]
    wrong = without(whole, "BB-1/left/1/1/off") | {"BB-1/left/1/1": True}
    assert [punch.wrong for punch in walk(wrong).punches] == ["Bank 1 switch 1 is ON"]


def test_a_switch_marked_on_and_off_is_a_contradiction() -> None:
    """In one file, whether or not another one has it ON."""
    both = ALL | {"BB-1/left/2/2/off": True}
    for files in ([both], [both, ALL]):
        result = walk(*files)
        assert (result.state, result.punches) == ("not seen", [])
        assert [text.partition(" (")[0] for text in result.unknown] == ["BB-1/left/2/2: findings conflict"]


@pytest.mark.parametrize("box", ["BB-1/left/2/2", "BB-1/left/2/2/off"])
def test_an_unclear_box_leaves_its_switch_unknown(box: str) -> None:
    """Whichever of a switch's two boxes is neither marked nor blank, and whatever the other one shows."""
    plan, whole = site(), off_too(ALL, "left", "right")
    printed = {each.row.key: printed_for(plan.job, each) for each in plan.boxes}
    file = Return("a", without(whole, *({box} & set(whole))), printed, unclear=(box,))
    found = gather(
        [sheet for sheet in sheets_of(file) if sheet.box == "BB-1"],
        plan.boxes[0],
        digests(plan.job, plan.boxes[0]),
    )
    parts = parts_of(plan.job, plan.boxes[0], found, words(), homes_of(plan))
    result = findings(plan.boxes[0], found, parts, words())
    assert (result.punches, result.unknown) == ([], ["left board: Bank 2 switch 2 not seen"])


@given(st.sets(st.sampled_from(sorted(ALL))))
@settings(max_examples=100, deadline=None)
def test_as_planned_is_only_what_was_seen_whole(left_out: set[str]) -> None:
    """Whatever is left out: as planned only where nothing is, differs only where a switch is seen."""
    values = {name: value for name, value in ALL.items() if name not in left_out}
    seen = {name.split("/")[1] for name in OTHERS if name.endswith("/seen") and name not in left_out}
    moved = {name for name in left_out if SWITCH.fullmatch(name) and name.split("/")[1] in seen}
    expected = "differs" if moved else "not seen" if left_out - set(SWITCHES_ON) else "as planned"
    assert expected == walk(values).state


@given(boxes(), st.data())
@settings(max_examples=30, deadline=None)
def test_any_box_found_as_planned_is_as_planned(sketch: BoxSketch, data: st.DataObject) -> None:
    """Of every size, however used: all as planned; and with one more switch ON it differs."""
    plan = planned(JobSketch((sketch,)))
    values = as_planned(plan)
    assert walk(values, plan=plan).state == "as planned"
    ruled = [
        f"BB-1/{board.place}/{rule.bank}/{rule.switch}"
        for board in plan.boxes[0].boards
        for rule in plan.boxes[0].row.family.rules
    ]
    extra = data.draw(st.sampled_from(sorted(set(ruled) - values.keys())))
    assert walk(values | {extra: True}, plan=plan).state == "differs"


def test_a_switch_that_no_rule_knows_may_stand_either_way() -> None:
    """It is left as found."""
    assert walk(ALL | {"BB-1/left/2/3": True}).state == "as planned"


def test_a_value_that_is_no_tick_is_none() -> None:
    """A text where a tick belongs is no tick."""
    values = ALL | {"BB-1/left/seen": "yes", "BB-1/port/A/pipe/ok": "yes", "BB-1/item/power": "no"}
    unseen, *others = walk(values).unknown
    assert unseen.startswith("left board: ")
    assert others == [
        "port A: pipe not seen",
        "Power isolated at the point named, and proved dead (technician)",
    ]


# --- switches -----------------------------------------------------------------------------------------------


def test_what_to_expect_stands_with_the_first_switch_of_a_board() -> None:
    """Two wrong switches: both to be moved with power isolated, the board's sentences once."""
    values = without(ALL, "BB-1/left/2/2") | {"BB-1/left/1/1": True}
    first, second = walk(values).punches
    assert [first.to_do, second.to_do] == [
        "isolate the box's power, prove it dead, then move Bank 1 switch 1 to OFF",
        "isolate the box's power, prove it dead, then move Bank 2 switch 2 to ON",
    ]
    assert first.place == second.place == "left board"
    assert [sentence.partition(":")[2].split()[0] for sentence in first.expect] == ["port", "C"]
    assert second.expect == ()


def test_a_board_is_told_as_it_is_built() -> None:
    """Letters, units and states of a half fitted board, its switches as planned."""
    box = site().boxes[0]
    facts = board_facts(box, box.boards[1])
    assert facts.place == "right"
    assert facts.letters == ("E", "F", "G", "H")
    assert facts.states == ("used", "unused", "unfitted", "unfitted")
    assert facts.units == ("FC-5", "", "", "")
    assert facts.planned == {(1, 2), (2, 4)}


# --- pipes and cables ---------------------------------------------------------------------------------------

RIGHT = table(
    """
    A | pipe  | FC-1
    A | cable | fc-1
    B | pipe  | FC-2, FC-3
    B | pipe  | FC-3 and FC-2
    B | cable | FC-2
    D | pipe  | AH-4
    D | cable | none
    F | pipe  | capped
    F | cable | none
    """
)
"""What may be written where it is so planned: A FC-1, B FC-2 and FC-3, C+D AH-4 (cable on C), F spare."""


@pytest.mark.parametrize(("letter", "what", "text"), RIGHT)
def test_the_planned_unit_written_out_is_right(letter: str, what: str, text: str) -> None:
    """Who writes what was found instead of ticking has seen it as well."""
    ok, found = f"BB-1/port/{letter}/{what}/ok", f"BB-1/port/{letter}/{what}/found"
    assert walk(without(ALL, ok) | {found: text}).state == "as planned"


@pytest.mark.parametrize("text", ["-", "n/a", "no"])
def test_a_dash_at_an_empty_letter_is_no_look(text: str) -> None:
    """It may mean that nothing is there, or that nobody looked; beside a tick it takes nothing away."""
    found: Values = {"BB-1/port/F/pipe/found": text}
    assert walk(without(ALL, "BB-1/port/F/pipe/ok") | found).unknown == ["port F: pipe not seen"]
    assert walk(ALL | found).state == "as planned"


WRONG = [
    ("A", "pipe", "FC-2", "found: FC-2, planned: FC-1", "the pipes of FC-2 belong on B: "),
    (
        "A",
        "cable",
        "fc-5",
        "found: fc-5, planned: FC-1",
        "isolate power, prove it dead, then move the cable of FC-5 to E",
    ),
    (
        "A",
        "cable",
        "FC-7",
        "found: FC-7, planned: FC-1",
        "isolate power, prove it dead, then move the cable of FC-7 to bb-2 B",
    ),
    ("A", "pipe", "FC-99", "found: FC-99, planned: FC-1", "find where FC-99 belongs: "),
    (
        "B",
        "cable",
        "AH-4",
        "found: AH-4, planned: FC-2, FC-3",
        "isolate power, prove it dead, then move the cable of AH-4 to C",
    ),
    (
        "B",
        "pipe",
        "FC-2, AH-4",
        "found: FC-2, AH-4, planned: FC-2, FC-3",
        "the pipes of AH-4 belong on C+D: ",
    ),
    (
        "D",
        "cable",
        "AH-4",
        "found: AH-4, planned: none here",
        "isolate power, prove it dead, then move the cable of AH-4 to C",
    ),
    ("F", "pipe", "FC-6", "found: FC-6, planned: SPARE", "the pipes of FC-6 belong on bb-2 A: "),
    (
        "A",
        "cable",
        "none",
        "no cable found, planned: FC-1",
        "isolate power, prove it dead, then find the cable of FC-1 and land it on A",
    ),
    ("C", "pipe", "Capped", "no pipe found, planned: AH-4", "find where the pipes of AH-4 are: "),
    ("A", "pipe", "???", "found: ???, planned: FC-1", "find where ??? belongs: "),
    ("A", "pipe", "FC-1?", "found: FC-1?, planned: FC-1", "find where FC-1? belongs: "),
    ("A", "cable", "≠FC-1", "found: ≠FC-1, planned: FC-1", "find where ≠FC-1 belongs: "),
    ("A", "pipe", "FC-1１", "found: FC-1１, planned: FC-1", "find where FC-1１ belongs: "),
]


@pytest.mark.parametrize(("letter", "what", "text", "wrong", "to_do"), WRONG)
def test_another_unit_is_a_punch(letter: str, what: str, text: str, wrong: str, to_do: str) -> None:
    """What is wrong, where the thing belongs or that nobody knows, and what to expect."""
    ok, found = f"BB-1/port/{letter}/{what}/ok", f"BB-1/port/{letter}/{what}/found"
    result = walk(without(ALL, ok) | {found: text})
    (punch,) = result.punches
    assert (result.state, punch.box, punch.place) == ("differs", "BB-1", f"port {letter}")
    assert punch.wrong == (wrong if wrong.startswith("no ") else f"{what} {wrong}")
    assert punch.to_do.startswith(to_do)
    assert punch.expect != ()


def test_nobody_is_told_to_open_a_pipe() -> None:
    """Moving a pipe is for licensed people, and a cable is moved with power isolated and proved dead."""
    guards = {
        "pipe": "only licensed people may open or braze them; do not vent refrigerant",
        "cable": "isolate power, prove it dead, then ",
    }
    for what, told in guards.items():
        for text in ("FC-2", "none"):
            values = without(ALL, f"BB-1/port/A/{what}/ok") | {f"BB-1/port/A/{what}/found": text}
            (punch,) = walk(values).punches
            assert told in punch.to_do


def test_a_long_remark_in_a_punch_is_cut() -> None:
    """What is written where a unit belongs is repeated as far as 40 characters."""
    values = without(ALL, "BB-1/port/A/pipe/ok") | {"BB-1/port/A/pipe/found": "behind the duct " * 20}
    (punch,) = walk(values).punches
    assert punch.wrong == "pipe found: behind the duct behind the duct behind …, planned: FC-1"


def test_the_walking_order_is_kept() -> None:
    """Boards from left to right, then letters, the pipe before the cable."""
    values = without(ALL, "BB-1/right/2/4", "BB-1/left/2/2", "B/pipe/ok", "A/cable/ok", "A/pipe/ok")
    values |= {f"BB-1/port/{each}/found": "FC-9" for each in ("B/pipe", "A/cable", "A/pipe")}
    assert [(punch.place, " ".join(punch.wrong.split()[:2])) for punch in walk(values).punches] == [
        ("left board", "Bank 2"),
        ("right board", "Bank 2"),
        ("port A", "pipe found:"),
        ("port A", "cable found:"),
        ("port B", "pipe found:"),
    ]


# --- what does not change the result ------------------------------------------------------------------------


def test_proofs_signatures_and_dates_are_listed() -> None:
    """Empty, they are listed, and the box is as planned all the same."""
    values = ALL | {"BB-1/port/B/proved": "rung out, K.A.", "BB-1/sign/verifier": "M.O."}
    values |= {"BB-1/port/A/pipe/proved": True, "BB-1/port/C/cable/proved": True}
    result = walk(values)
    assert result.state == "as planned"
    assert result.proved == {"B": "rung out, K.A."}
    assert result.unproved == ["A cable", "B pipe", "B cable", "C pipe", "D pipe", "E pipe", "E cable"]
    assert result.unsigned == [
        "BB-1/sign/installer",
        "BB-1/date/installer",
        "BB-1/sign/technician",
        "BB-1/date/technician",
        "BB-1/date/verifier",
    ]


def test_notes_come_home() -> None:
    """Every note is told with its letter, and changes nothing."""
    result = walk(ALL | {"BB-1/port/C/note": "drain dry"})
    assert (result.state, result.notes) == ("as planned", ["C: drain dry"])


def test_a_box_with_a_tag_in_small_letters_is_found() -> None:
    """In fields its tag stands in capitals."""
    result = walk_of(site(), "BB-2", as_planned(site(), "BB-2"))
    assert (result.box, result.state) == ("bb-2", "as planned")


def test_an_item_of_the_job_is_asked_too() -> None:
    """Unticked, it is unknown, with the role that answers for it."""
    item = WalkItem("tilt", "used", "installer", "Unit level")
    plan = replace(site(), job=replace(site().job, walk_items=(*walk_items(), item)))
    assert walk(ALL, plan=plan).unknown == [f"{letter}: Unit level (installer)" for letter in "ABCDE"]


# --- names of ports in another order than the alphabet's ----------------------------------------------------


def backwards() -> Plan:
    """A box whose ports are named from L on, AH-1 on its first two."""
    family = replace(FOUR, port_names="LKJIHGFEDCBA")
    units = (UnitSketch("AH-1", "K+L", "72 kBtu/h"), UnitSketch("FC-2", "J", "12 kBtu/h"))
    sketch = JobSketch((BoxSketch("BB-1", 4, units),))
    return plan_job(replace(sketch.record(family), walk_items=walk_items()))[0]


def test_letters_are_in_the_familys_order() -> None:
    """L, K, J, I: as they are marked along the box."""
    assert [letter for letter, _ in letters_of(backwards().boxes[0])] == ["L", "K", "J", "I"]


def test_a_cable_of_a_pair_is_sent_to_the_pairs_first_letter() -> None:
    """The pair is L and K, and its cable is landed on L."""
    plan = backwards()
    values = without(as_planned(plan), "J/cable/ok", "J/pipe/ok") | {
        "BB-1/port/J/cable/found": "AH-1",
        "BB-1/port/J/pipe/found": "AH-1",
    }
    pipe, cable = walk_of(plan, "BB-1", values).punches
    assert "move the cable of AH-1 to L" in cable.to_do
    assert pipe.to_do.startswith("the pipes of AH-1 belong on L+K: ")
