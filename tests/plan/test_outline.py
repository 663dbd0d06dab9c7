"""The plan as JSON: the shape that other programs may rely on."""

from fractions import Fraction

import pytest

from tagmaker.plan.outline import btuh, outlines
from tagmaker.plan.plan_job import plan_job
from tagmaker.units import Capacity
from tests.records import plain, replace
from tests.strategies import JobSketch, one_box

LIBRARY = one_box(
    ("FC-1", "B", "12 kBtu/h"),
    ("FC-2", "C", "24 kBtu/h"),
    ("FC-3", "D", "12 kBtu/h"),
    ("FC-4", "E", "12 kBtu/h"),
    ("FC-5", "E", "12 kBtu/h"),
    ("FC-6", "F", "12 kBtu/h"),
    ("AH-1", "G+H", "72 kBtu/h"),
    ("FC-7", "I", "1 ton"),
    ports=10,
)
"""Ten ports, 168 kBtu/h: A and J spare, two units on E, G+H joined."""


def boxes(sketch: JobSketch) -> list[dict[str, object]]:
    """The boxes of a job as they come back from JSON."""
    loaded: list[dict[str, object]] = plain(outlines(plan_job(sketch.record())[0]))
    return loaded


def port(name: str, use: str, units: list[str], load: int) -> dict[str, object]:
    """A port's object."""
    limit = 108000 if "+" in name else 54000
    return {"port": name, "use": use, "units": units, "load_btuh": load, "limit_btuh": limit}


def board(place: str, ports: str, unfitted: int, first: list[int], second: list[int]) -> dict[str, object]:
    """A board's object; bank 2 switch 3 is left as found, switch 4 is the factory's."""
    banks = [
        {"name": "Bank 1", "on": first, "factory": [], "leave": []},
        {"name": "Bank 2", "on": second, "factory": [4] if 4 in second else [], "leave": [3]},
    ]
    return {"place": place, "ports": list(ports), "unfitted": unfitted, "banks": banks}


def test_a_ten_port_box_in_full() -> None:
    """Every key of every object, lists in order: boards left to right, banks by number, ports by letter."""
    expected = {
        "tag": "BB-1",
        "family": "four-port-boards",
        "port_count": 10,
        "load_btuh": 168000,
        "boards": [
            board("left", "ABCD", 0, [1], []),
            board("middle", "EFGH", 0, [], [2]),
            board("right", "IJ", 2, [2], [4]),
        ],
        "ports": [
            port("A", "spare", [], 0),
            port("B", "single", ["FC-1"], 12000),
            port("C", "single", ["FC-2"], 24000),
            port("D", "single", ["FC-3"], 12000),
            port("E", "single", ["FC-4", "FC-5"], 24000),
            port("F", "single", ["FC-6"], 12000),
            port("G+H", "joined", ["AH-1"], 72000),
            port("I", "single", ["FC-7"], 12000),
            port("J", "spare", [], 0),
        ],
    }
    assert [expected] == boxes(LIBRARY)


def test_keys_stand_in_their_order() -> None:
    """A reader's eye finds the same key at the same place in every object."""
    (box,) = boxes(LIBRARY)
    assert list(box) == ["tag", "family", "port_count", "load_btuh", "boards", "ports"]


def test_a_missing_capacity_is_null() -> None:
    """Unknown is null at the port and at the box, never 0."""
    (box,) = boxes(replace(one_box(("FC-1", "A", "")), is_draft=True))
    ports = box["ports"]
    assert isinstance(ports, list)
    assert (box["load_btuh"], ports[0]["load_btuh"], ports[1]["load_btuh"]) == (None, None, 0)


@pytest.mark.parametrize(
    ("load", "number"),
    [
        (Fraction(54000), 54000),
        (Fraction(1, 3), 0.333),
        (Fraction("0.0625"), 0.062),  # half to even, at three decimals
        (Fraction("12000.5"), 12000.5),
        (Fraction("11999.9999"), 12000),
    ],
)
def test_loads_are_whole_where_they_are_whole(load: Fraction, number: float) -> None:
    """At most three decimals, and an integer where nothing follows the point."""
    said = btuh(Capacity(load))
    assert (number, type(number)) == (said, type(said))
