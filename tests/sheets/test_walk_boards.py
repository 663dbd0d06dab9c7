"""The boards of the verification sheet: two boxes a switch, in its column and row, the plan below."""

import pytest
from hypothesis import given, settings

from tagmaker.draw.marks import Text
from tests.plan.families import FOUR, three
from tests.records import replace
from tests.sheets.boxes import filled, job_of
from tests.sheets.printed import texts
from tests.sheets.walked import pages_in_order, pages_of, switches_of, too_small
from tests.strategies import BoxSketch, JobSketch, UnitSketch, first_box, sketches


@given(sketches(most_boxes=1))
@settings(max_examples=15, deadline=None)
def test_every_switch_has_its_plan_below_its_boxes(sketch: JobSketch) -> None:
    """ON white on black, ON that the factory sets in a frame, OFF, or any: as the plan has it."""
    pages, _ = pages_of(sketch)
    shown = {name: (each.plan, each.is_black) for name, each in switches_of(pages).items()}
    assert shown == {
        f"BB-1/{board.place}/{bank.number}/{switch.number}": (
            {"on": "ON", "off": "OFF", "leave": "any"}[switch.state],
            switch.state == "on" and not switch.check_only,
        )
        for board in first_box(sketch.record()).boards
        for bank in board.banks
        for switch in bank.switches
    }


@given(sketches(most_boxes=1))
@settings(max_examples=15, deadline=None)
def test_every_switch_has_two_boxes_in_one_column(sketch: JobSketch) -> None:
    """ON over OFF where ON points up, both in the row that names them, and boxes of a bank in order."""
    pages, _ = pages_of(sketch)
    for page in pages:
        labels = [mark for mark in page.marks if isinstance(mark, Text)]
        for each in switches_of((page,)).values():
            assert (each.on.x, each.on.y < each.off.y) == (each.off.x, True)
            for box, word in ((each.on, "ON"), (each.off, "OFF")):
                beside = (mark for mark in labels if box.y < mark.y < box.y + box.height and mark.x < box.x)
                assert {mark.text for mark in beside} == {word}


def test_boards_lie_side_by_side() -> None:
    """Three boards of two banks of four in one row; each is headed with its place and letters."""
    pages = pages_in_order(job_of(filled(12)))
    tops = {each.on.y for each in switches_of(pages).values()}
    assert len(tops) == 1
    told = texts(pages)
    for place, letters in (("LEFT", "ABCD"), ("MIDDLE", "EFGH"), ("RIGHT", "IJKL")):
        at = told.index(f"{place} BOARD")
        assert told[at + 1 : at + 5] == list(letters)


@pytest.mark.parametrize("ports", [3, 5, 6, 8, 9])
def test_a_family_of_another_shape(ports: int) -> None:
    """Three ports a board, one bank of six, ON pointing down, numbered from the right."""
    rows = (UnitSketch("FC-1", "A", "5 kW", "Shop"), UnitSketch("AH-1", "B+C", "20 kW", "Hall"))
    pages = pages_in_order(job_of(BoxSketch("HB-1", ports, rows)), three())
    first = {name: each for name, each in switches_of(pages).items() if "/1/" in name}
    board = next(iter(first)).split("/")[1]
    across = sorted((each.on.x, name) for name, each in first.items() if f"/{board}/" in name)
    assert [name[-1] for _, name in across] == list("654321")
    assert all(each.on.y > each.off.y for each in first.values())
    assert first[f"HB-1/{board}/1/5"].plan == "ON"


SHAPES = [
    (1, 1, "Bank 1"),
    (1, 20, "B"),
    (2, 8, "Bank"),
    (3, 8, "Bank 3 of this board, S2"),
    (5, 4, "W" * 24),
]


@pytest.mark.parametrize("page", ["letter", "a4"])
@pytest.mark.parametrize(("banks", "switches", "name"), [*SHAPES, (10, 20, "W" * 24), (10, 1, "Bank")])
@pytest.mark.parametrize("ports", [4, 12])
def test_every_family_is_laid_out(ports: int, banks: int, switches: int, name: str, page: str) -> None:
    """One bank of one switch up to ten banks of twenty: on as many rows and pages as it takes, no fault."""
    bank = replace(FOUR.banks[0], name=name, switches=switches)
    family = replace(FOUR, banks=(bank,) * banks, rules=())
    pages = pages_in_order(job_of(filled(ports), page=page), family)
    assert len(switches_of(pages)) == banks * switches * (ports // 4)
    assert too_small(pages) == []


def test_a_bank_that_points_the_other_way_names_its_rows_again() -> None:
    """Two banks side by side, ON up on one and down on the other: no word is taken for the other bank's."""
    family = replace(FOUR, banks=(FOUR.banks[0], replace(FOUR.banks[1], on_points="down")))
    shown = switches_of(pages_in_order(job_of(filled(4)), family))
    up, down = shown["BB-1/only/1/1"], shown["BB-1/only/2/1"]
    assert (up.on.y, up.off.y) == (down.off.y, down.on.y)
    labels = [mark for mark in pages_in_order(job_of(filled(4)), family)[0].marks if isinstance(mark, Text)]
    between = [
        (mark.text, down.on.y < mark.y < down.on.y + 6)
        for mark in labels
        if up.on.x + 30 < mark.x < down.on.x and mark.text in {"ON", "OFF"} and mark.align == "left"
    ]
    assert between == [("ON", True), ("OFF", False)]
