"""Boxes for a screen: heads, pictures with their places, problems with theirs, and where a unit could go."""

from pathlib import Path
from xml.etree import ElementTree as ET

from tagmaker.workflows.boxes import (
    box_heads,
    box_picture,
    placed_problems,
    port_choices,
)
from tagmaker.workflows.kept_plan import KeptPlan, kept_plan
from tests.paths import EXAMPLES
from tests.strategies import BoxSketch, JobSketch, UnitSketch

UNIT = "{http://www.w3.org/2000/svg}text"


def kept(path: Path) -> KeptPlan:
    """The plan, as a value."""
    found = kept_plan(path)
    assert isinstance(found, KeptPlan)
    return found


def job(folder: Path, *boxes: BoxSketch) -> KeptPlan:
    """A job of these boxes, planned."""
    return kept(JobSketch(boxes).write(folder / "job"))


def test_heads_have_what_the_job_says_of_each_box() -> None:
    """In the job's order, with the load in the job's unit."""
    heads = box_heads(kept(EXAMPLES / "clinic"))
    assert [head.tag for head in heads] == ["BB-11", "BB-12", "BB-13", "BB-21", "BB-22"]
    plan = kept(EXAMPLES / "clinic").plan
    assert [head.load for head in heads] == [box.load.text("kBtu/h") for box in plan.boxes if box.load]
    assert [head.units for head in heads] == [len(box.claims) for box in plan.boxes]
    assert all(head.is_planned and head.place and head.level for head in heads)


def test_problems_are_counted_at_their_box_and_placed_at_their_port(tmp_path: Path) -> None:
    """An overload is at its port, an empty box at the box, a unit without a capacity at its row's port."""
    found = job(
        tmp_path,
        BoxSketch("BB-1", 4, (UnitSketch("FC-1", "C", "60 kBtu/h"), UnitSketch("FC-2", "D", ""))),
        BoxSketch("BB-2", 4, ()),
    )
    problems = {each.code: each for each in placed_problems(found)}
    assert (problems["port-overloaded"].boxes, problems["port-overloaded"].port) == (("BB-1",), "C")
    assert (problems["capacity-missing"].boxes, problems["capacity-missing"].port) == (("BB-1",), "D")
    assert (problems["box-empty"].boxes, problems["box-empty"].port) == (("BB-2",), "")
    first, second = box_heads(found)
    assert (first.errors, second.errors, first.load) == (2, 1, "?")


def test_a_box_of_an_unknown_size_has_no_picture(tmp_path: Path) -> None:
    """It is in the list with its error."""
    found = job(tmp_path, BoxSketch("BB-1", 5, (UnitSketch("FC-1", "A"),)))
    (head,) = box_heads(found)
    assert (head.is_planned, head.errors, head.units) == (False, 1, 1)
    assert box_picture(found, "BB-1") is None
    assert box_picture(found, "BB-9") is None
    assert port_choices(found, "FC-1", "BB-1") == ()


def test_a_picture_has_every_port_with_its_load_and_state(tmp_path: Path) -> None:
    """Spare, within its limit, over it, not known; and what its limit leaves."""
    found = job(
        tmp_path,
        BoxSketch(
            "BB-1",
            4,
            (
                UnitSketch("FC-1", "A", "24 kBtu/h", "Hall"),
                UnitSketch("FC-2", "B", "60 kBtu/h"),
                UnitSketch("FC-3", "D", ""),
                UnitSketch("FC-4", "Z", "9 kBtu/h"),
            ),
        ),
    )
    picture = box_picture(found, "BB-1")
    assert picture
    assert [(port.port, port.state, port.load, port.left) for port in picture.ports] == [
        ("A", "within", "24 kBtu/h", "30 kBtu/h"),
        ("B", "over", "60 kBtu/h", "-6 kBtu/h"),
        ("C", "spare", "", "54 kBtu/h"),
        ("D", "unknown", "", ""),
    ]
    (unit,) = picture.ports[0].units
    assert (unit.unit, unit.room, unit.capacity, unit.is_drawn) == ("FC-1", "Hall", "24 kBtu/h", True)
    assert [(unit.unit, unit.port, unit.frame) for unit in picture.off_ports] == [("FC-4", "Z", None)]
    root = ET.fromstring(picture.svg)  # noqa: S314 — the program's own
    assert root.get("viewBox") == f"0 0 {picture.width:.6g} {picture.height:.6g}"
    assert {"FC-1", "60 / 54", "Hall"} <= {text.text for text in root.iter(UNIT)}


def test_choices_leave_the_unit_out_and_offer_free_pairs(tmp_path: Path) -> None:
    """What a port would have room for if the unit were on none; where it is now is marked."""
    found = job(
        tmp_path,
        BoxSketch("BB-1", 4, (UnitSketch("FC-1", "A", "24 kBtu/h"), UnitSketch("FC-2", "A", "20 kBtu/h"))),
        BoxSketch("BB-2", 4, (UnitSketch("FC-3", "B", "40 kBtu/h"), UnitSketch("FC-4", "C+D", "96 kBtu/h"))),
    )
    own = port_choices(found, "FC-1", "BB-1")
    assert [(each.port, each.units, each.left, each.fits, each.is_present) for each in own] == [
        ("A", ("FC-2",), "34 kBtu/h", True, True),
        ("B", (), "54 kBtu/h", True, False),
        ("C", (), "54 kBtu/h", True, False),
        ("C+D", (), "108 kBtu/h", True, False),
        ("D", (), "54 kBtu/h", True, False),
    ]
    other = port_choices(found, "FC-1", "BB-2")
    assert [(each.port, each.load, each.limit, each.fits) for each in other] == [
        ("A", "", "54 kBtu/h", True),
        ("B", "40 kBtu/h", "54 kBtu/h", False),
        ("C+D", "96 kBtu/h", "108 kBtu/h", False),
    ]
    assert port_choices(found, "FC-9", "BB-1") == ()


def test_a_pair_is_offered_that_the_units_own_leaving_makes_free(tmp_path: Path) -> None:
    """A unit on A can be given the pair A+B."""
    found = job(tmp_path, BoxSketch("BB-1", 4, (UnitSketch("FC-1", "A"), UnitSketch("FC-2", "C"))))
    assert "A+B" in [each.port for each in port_choices(found, "FC-1", "BB-1")]
    assert "A+B" not in [each.port for each in port_choices(found, "FC-2", "BB-1")]
