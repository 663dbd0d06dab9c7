"""Paper alone is enough: boxes, boards, switches, ports, units and loads out of codes equal the plan."""

import tempfile
from collections.abc import Iterable, Iterator
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings

from tagmaker.plan.model import Plan
from tagmaker.plan.outline import outlines
from tagmaker.problems import Problem
from tagmaker.revisions.selection import Selection
from tagmaker.site.scans.codes import Scan, scan_of
from tagmaker.site.scans.rebuild import rebuild
from tagmaker.site.scans.sources import read_file
from tagmaker.workflows import make
from tests.paths import ROOT
from tests.records import plain, replace
from tests.site.papers import LIBRARY, library, made, placards, plan_of, sealed, tags_by_code
from tests.strategies import JobSketch, sketches

EXAMPLES = sorted(
    path.parent
    for path in (ROOT / "example_jobs").glob("*/job.toml")
    if path.parent.name != "full-of-mistakes"
)
BTUH = {"kBtu/h": 1000.0, "Btu/h": 1.0, "ton": 12000.0, "kW": 3412.142}
"""1 ton = 12,000 Btu/h, NIST SP 811 (from memory); 1 kW = 3412.142 Btu/h (computed)."""
Told = dict[str, object]


def texts(plan: Plan) -> Iterator[str]:
    """Every text that a job's codes hold."""
    yield from tags_by_code(plan)
    yield from placards(plan)


def scans(found: Iterable[str]) -> list[Scan]:
    """Texts as scanned."""
    return [scan_of(text, "") for text in found]


def scans_of_pdfs(out: Path) -> list[Scan]:
    """The codes of a finished set's placards and tags, of nothing else."""
    files = (out / "placards.pdf", *sorted(out.glob("tags-*.pdf")))
    found = [each for file in files for each in read_file(file)]
    assert [each for each in found if isinstance(each, Problem)] == []
    return [scan_of(*each) for each in found if isinstance(each, tuple)]


def facts(boxes: list[Told], *, capitals: bool) -> list[Told]:
    """Boxes, boards, switches that are ON, ports and units; numbers of capacity left out."""
    return [
        {
            "tag": box["tag"],
            "port_count": box["port_count"],
            "boards": [
                (board["place"], board["ports"], board["unfitted"], [bank["on"] for bank in board["banks"]])
                for board in as_list(box["boards"])
            ],
            "ports": [
                (port["port"], port["use"], in_capitals(port["units"]) if capitals else port["units"])
                for port in as_list(box["ports"])
            ],
        }
        for box in boxes
    ]


def in_capitals(units: object) -> list[str]:
    """Units as codes have them."""
    assert isinstance(units, list)
    return [str(unit).upper() for unit in units]


def as_list(value: object) -> list[Any]:
    """A list out of JSON."""
    assert isinstance(value, list)
    return value


def loads(boxes: list[Told]) -> list[object]:
    """Loads and limits in Btu/h, a box's own after its ports'; a spare port has no limit on paper."""
    return [
        value
        for box in boxes
        for value in (
            *(port["load_btuh"] for port in as_list(box["ports"])),
            *(port["limit_btuh"] for port in as_list(box["ports"]) if str(port["use"]) != "spare"),
            box["load_btuh"],
        )
    ]


def assert_equal(plan: Plan, found: list[Scan]) -> None:
    """What paper tells is the plan, its loads as exact as three decimals of the printed unit are."""
    rebuilt, planned = plain(rebuild(found)), plain(outlines(plan))
    assert facts(planned, capitals=True) == facts(rebuilt, capitals=False)
    assert {(plan.job.revision, plan.job.number)} == {(box["revision"], box["number"]) for box in rebuilt}
    most_ports = max(box.row.ports for box in plan.boxes)
    rounding = 0.0005 * BTUH[plan.job.capacity_unit] * most_ports + 0.001
    known = [load for load in loads(planned) if load is not None]
    assert [load for load in loads(rebuilt) if load is not None] == pytest.approx(known, abs=rounding)
    unknown = [load is None for load in loads(planned)]
    assert unknown == [load is None for load in loads(rebuilt)]


# --- whole jobs ---------------------------------------------------------------------------------------------


@given(sketches(most_units=3, room=0))
@settings(max_examples=200, deadline=None)
def test_two_hundred_jobs_from_their_texts(sketch: JobSketch) -> None:
    """200 random legal jobs of all sizes, from the texts that their codes hold.

    To be quick these are not drawn; the next test draws and reads, this one goes through many jobs.
    """
    plan = plan_of(sketch)
    assert_equal(plan, scans(texts(plan)))


@given(sketches((4, 6), most_units=2, room=6))
@settings(max_examples=20, deadline=None)
def test_twenty_jobs_from_their_pdfs(sketch: JobSketch) -> None:
    """20 random legal jobs written as PDFs, and the codes of those files alone."""
    with tempfile.TemporaryDirectory() as folder:
        found = scans_of_pdfs(made(sketch, Path(folder)))
    assert_equal(plan_of(sketch), found)


@pytest.mark.parametrize("example", EXAMPLES, ids=lambda path: path.name)
def test_every_example_from_its_pdfs(example: Path, tmp_path: Path) -> None:
    """The examples' finished sets, all else of the set deleted."""
    done = make.make(example, tmp_path / "out", selection=Selection(proof=False))
    assert done.checked.plan is not None
    found = scans_of_pdfs(tmp_path / "out")
    assert_equal(done.checked.plan, found)


# --- single cases -------------------------------------------------------------------------------------------


def test_a_box_in_full() -> None:
    """The second box of the library, key for key."""
    (_, box) = plain(rebuild(scans(texts(library()))))
    assert box == {
        "tag": "BB-2",
        "revision": "2",
        "number": "ML-24",
        "port_count": 4,
        "load_btuh": 24000,
        "boards": [
            {
                "place": "only",
                "ports": ["A", "B", "C", "D"],
                "unfitted": 0,
                "banks": [{"number": 1, "on": [2, 3, 4]}, {"number": 2, "on": []}],
            }
        ],
        "ports": [
            {"port": "A", "use": "single", "units": ["FC-4"], "load_btuh": 24000, "limit_btuh": 54000},
            *(
                {"port": port, "use": "spare", "units": [], "load_btuh": 0, "limit_btuh": None}
                for port in "BCD"
            ),
        ],
    }


def test_units_stand_in_capitals_in_the_order_of_rows() -> None:
    """Codes have capitals; two units of a port in the order in which they were declared."""
    units = tuple(replace(unit, tag=unit.tag.lower()) for unit in reversed(LIBRARY.boxes[0].units))
    plan = plan_of(replace(LIBRARY, boxes=(replace(LIBRARY.boxes[0], units=units),)))
    (box,) = rebuild(scans(texts(plan)))
    assert [port.units for port in box.ports if port.units] == [("FC-1",), ("FC-3", "FC-2"), ("AH-1",)]


def test_the_order_of_scanning_and_repeats_do_not_matter() -> None:
    """Placards first or last, each as often as one likes."""
    found = scans(texts(library()))
    assert rebuild(found) == rebuild([*found, *found]) == rebuild([*found[-2:], *found[:-2]])


def test_without_a_placard_there_is_no_box() -> None:
    """Tags alone do not tell of boards and switches; nothing is made up."""
    assert rebuild(scans(tags_by_code(library()))) == []


def test_a_damaged_placard_tells_nothing() -> None:
    """Its box is left out, the others stand."""
    first, second = placards(library())
    assert [box.tag for box in rebuild(scans([first.replace("ON 3 4", "ON 1"), second]))] == ["BB-2"]


def test_an_unknown_load_stays_unknown() -> None:
    """Neither the port's nor the box's load is a number then."""
    text = placards(library())[1].rpartition("CRC ")[0].replace("A 24/54", "A ?/54")
    (box,) = rebuild(scans([sealed(text)]))
    assert (box.load_btuh, box.ports[0].load_btuh) == (None, None)
