"""Which box and which unit is which: by tag, and as a rename only where there is no doubt."""

import pytest

from tagmaker.revisions.compare import compare
from tagmaker.revisions.issuing import issued_plan
from tagmaker.revisions.model import Changes
from tests.records import replace
from tests.revisions.installed import plan_of
from tests.strategies import BoxSketch, JobSketch, UnitSketch, words

FIRST = BoxSketch(
    "BB-1", 4, (UnitSketch("FC-1", "A", "12 kBtu/h", "Lab"), UnitSketch("FC-2", "B", "9 kBtu/h"))
)
SECOND = BoxSketch("BB-2", 4, (UnitSketch("AH-1", "A+B", "72 kBtu/h"),))
JOB = JobSketch((FIRST, SECOND))


def changed(*boxes: BoxSketch) -> Changes:
    """What differs when these are the boxes."""
    new = replace(JOB, boxes=boxes)
    return compare(issued_plan(plan_of(JOB), words()), issued_plan(plan_of(new), words()))


def units(changes: Changes) -> list[tuple[str, str, str]]:
    """Each unit's kind of change, with its tag before and after."""
    return [
        (unit.kind, unit.was.unit if unit.was else "", unit.now.unit if unit.now else "")
        for unit in changes.units
    ]


def boxes(changes: Changes) -> list[tuple[str, str, str]]:
    """Each box's kind of change, with its tag before and after."""
    return [(box.kind, box.was, box.now) for box in changes.boxes]


def first(**by_tag: UnitSketch) -> BoxSketch:
    """The first box, its units FC_1 and FC_2 replaced."""
    return replace(FIRST, units=tuple(by_tag.get(unit.tag.replace("-", "_"), unit) for unit in FIRST.units))


LAB, OFFICE = FIRST.units


def test_a_unit_with_another_name_is_renamed() -> None:
    """Box, port, capacity and room are what they were."""
    assert units(changed(first(FC_1=replace(LAB, tag="FC-9")), SECOND)) == [("renamed", "FC-1", "FC-9")]


@pytest.mark.parametrize(
    "unit",
    [
        replace(LAB, tag="FC-9", port="C"),
        replace(LAB, tag="FC-9", capacity="15 kBtu/h"),
        replace(LAB, tag="FC-9", room="Kitchen"),
    ],
)
def test_what_differs_in_more_than_its_name_is_another_unit(unit: UnitSketch) -> None:
    """Nothing is guessed: one came, one went."""
    told = units(changed(first(FC_1=unit), SECOND))
    assert told == [("added", "", "FC-9"), ("removed", "FC-1", "")]


def test_a_name_in_small_letters_is_renamed_and_a_move_is_a_move() -> None:
    """A move is never hidden behind another way to write the name."""
    assert units(changed(first(FC_1=replace(LAB, tag="fc-1")), SECOND)) == [("renamed", "FC-1", "fc-1")]
    moved = replace(LAB, tag="fc-1", port="C")
    assert units(changed(first(FC_1=moved), SECOND)) == [("moved", "FC-1", "fc-1")]


def test_two_like_units_on_one_port_are_not_told_apart() -> None:
    """Each new name could be either of them."""
    twins = replace(FIRST, units=(replace(LAB, tag="T-1"), replace(LAB, tag="T-2")))
    others = replace(FIRST, units=(replace(LAB, tag="U-1"), replace(LAB, tag="U-2")))
    old, new = (issued_plan(plan_of(JobSketch((box,))), words()) for box in (twins, others))
    assert [unit.kind for unit in compare(old, new).units] == ["added", "added", "removed", "removed"]


def test_a_box_with_another_name_is_renamed_with_its_units() -> None:
    """Its units stay where they are; every tag that names it is replaced."""
    changes = changed(replace(FIRST, tag="BB-7"), SECOND)
    assert (boxes(changes), units(changes)) == ([("renamed", "BB-1", "BB-7")], [])
    (box,) = changes.boxes
    assert (box.switches, box.ports, len(box.tags_off)) == ((), (), len(box.tags_on))


def test_a_box_that_differs_in_more_than_its_name_is_another_box() -> None:
    """One is new, one is gone, and its unit moves."""
    changes = changed(replace(FIRST, tag="BB-7", units=(replace(LAB, port="D"), OFFICE)), SECOND)
    assert boxes(changes) == [("new", "", "BB-7"), ("gone", "BB-1", "")]
    assert {kind for kind, _, _ in units(changes)} == {"moved"}


def test_a_box_without_units_is_like_many() -> None:
    """It is not taken for another empty one."""
    empty = (replace(JOB, boxes=(BoxSketch(tag, 4, ()), SECOND)) for tag in ("E-1", "E-2"))
    old, new = (issued_plan(plan_of(sketch), words()) for sketch in empty)
    assert boxes(compare(old, new)) == [("new", "", "E-2"), ("gone", "E-1", "")]


def test_boxes_that_have_each_others_name_are_told_by_name() -> None:
    """Tags hang by name: all the units of both move."""
    changes = changed(replace(FIRST, tag="BB-2"), replace(SECOND, tag="BB-1"))
    assert [kind for kind, _, _ in boxes(changes)] == ["changed", "changed"]
    assert {kind for kind, _, _ in units(changes)} == {"moved"}


def test_what_differs_of_a_moved_unit_is_told_too() -> None:
    """Fact by fact, as they were and are."""
    (unit,) = changed(first(FC_1=replace(LAB, port="C", capacity="15 kBtu/h", room="Kitchen")), SECOND).units
    assert unit.kind == "moved"
    assert [(fact.what, fact.was, fact.now) for fact in unit.facts] == [
        ("capacity_btuh", "12000", "15000"),
        ("room", "Lab", "Kitchen"),
    ]
