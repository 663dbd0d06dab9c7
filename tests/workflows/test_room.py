"""Where one more unit can go: order, boxes left out, and the tags that are new."""

from pathlib import Path

import pytest

from tagmaker.problems import Severity
from tagmaker.revisions.issuing import tag_digest
from tagmaker.tags.kits import box_tags
from tagmaker.workflows.room import PlacesFound, RoomFor, room
from tests.paths import ROOT
from tests.records import replace
from tests.strategies import BoxSketch, JobSketch, UnitSketch, capacity, words

CLINIC = ROOT / "example_jobs" / "clinic"
GOOD = BoxSketch(
    "BB-1", 4, (UnitSketch("FC-1", "A", "24 kBtu/h", "Library"), UnitSketch("AH-1", "C+D", "96 MBH"))
)
OTHER = BoxSketch("BB-2", 4, (UnitSketch("FC-2", "A", "9 kBtu/h"),), "Lobby")


def found_in(path: Path, text: str, **asked: object) -> PlacesFound:
    """What is found, as a value."""
    found = room(path, replace(RoomFor(capacity(text)), **asked))
    assert isinstance(found, PlacesFound)
    return found


def job(folder: Path, *boxes: BoxSketch) -> Path:
    """A job of these boxes on disk."""
    return JobSketch(boxes).write(folder / "job")


def test_tags_are_all_that_differ_of_the_whole_box() -> None:
    """What is listed is what comparing every tag of the box, with the unit and without, finds."""
    found = found_in(CLINIC, "9 MBH")
    listed = found.outline
    assert found.job
    for outlines, places in ((listed.free, found.free), (listed.shared, found.shared)):
        for outline, place in zip(outlines, places, strict=True):
            before, after = (
                {(tag.code, tag_digest(tag)) for tag in box_tags(found.job, box, words())}
                for box in (place.before, place.after)
            )
            assert sorted(outline.tags) == sorted(code for code, _ in after - before)


def test_boxes_can_be_named() -> None:
    """Only those are offered, and the distance still counts the others."""
    found = found_in(CLINIC, "36 MBH", near="BB-13", boxes=("BB-11", "BB-12", "BB-21"))
    assert [p.after.row.tag for p in found.free] == ["BB-12"] * 2
    assert found.left_out == ("BB-21",)


def test_an_unread_cell_leaves_its_box_not_judged(tmp_path: Path) -> None:
    """A row of which a cell could not be read may stand anywhere in its box."""
    path = job(tmp_path, GOOD, OTHER)
    text = (path / "job.toml").read_text(encoding="utf-8")
    (path / "job.toml").write_text(text.replace('"9 kBtu/h"', '"9"'), encoding="utf-8")
    found = found_in(path, "9 kBtu/h")
    assert [(tag, problem.code) for tag, problem in found.not_judged] == [("BB-2", "capacity-unit")]
    assert {place.after.row.tag for place in found.free} == {"BB-1"}


def test_nearest_first() -> None:
    """In walking order both ways from the box that is named."""
    assert [place.after.row.tag for place in found_in(CLINIC, "36 MBH", near="BB-13").free] == [
        *("BB-13", "BB-13", "BB-12", "BB-12")
    ]
    assert [place.after.row.tag for place in found_in(CLINIC, "36 MBH", near="BB-22").free] == [
        *("BB-22", "BB-22", "BB-21", "BB-21", "BB-21", "BB-21")
    ]


def test_a_box_that_is_not_there_is_a_problem_and_none_is_judged() -> None:
    """The one to begin at, as the ones to look at: a slip of the finger names the wrong corner."""
    for asked in ({"near": "BB-31"}, {"boxes": ("BB-31",)}):
        found = found_in(CLINIC, "36 MBH", **asked)
        errors = [problem.code for problem in found.problems if problem.severity is Severity.ERROR]
        assert errors == ["box-unknown"]
        assert (found.is_found, found.judged) == (False, 0)


def test_boxes_of_another_system_are_left_out() -> None:
    """Of the box to begin at, or of the system that is named; without either all are offered."""
    near, named = found_in(CLINIC, "12 MBH", near="BB-22"), found_in(CLINIC, "12 MBH", system="HR-2")
    for found in (near, named):
        places = (*found.free, *found.shared)
        assert {place.after.row.system for place in places} == {"HR-2"}
        assert {most.box.system for most in found.most} == {"HR-2"}
        assert found.outline.left_out == ("BB-11", "BB-12", "BB-13")
    every = found_in(CLINIC, "12 MBH")
    assert {place.after.row.system for place in every.shared} == {"HR-1", "HR-2"}
    assert every.left_out == ()


def test_a_box_without_a_system_is_none_of_a_system(tmp_path: Path) -> None:
    """It is left out beside a box that has one, and leaves out none itself."""
    folder = job(tmp_path, GOOD, OTHER)
    text = (folder / "job.toml").read_text().replace('tag = "BB-1"', 'tag = "BB-1"\nsystem = "hr-1"')
    (folder / "job.toml").write_text(text)
    assert found_in(folder, "9 MBH", near="BB-1").left_out == ("BB-2",)
    assert found_in(folder, "9 MBH", system="HR-1").left_out == ("BB-2",)
    assert found_in(folder, "9 MBH", near="BB-2").left_out == ()


def test_an_unknown_system_is_an_error() -> None:
    """With the one that is meant, and nothing is offered."""
    found = found_in(CLINIC, "9 MBH", system="HR-3")
    assert not found.is_found
    assert found.problems[-1].message == "the job has no box of system 'HR-3'"


def test_places_name_system_and_level() -> None:
    """In the JSON, beside the box."""
    place = found_in(CLINIC, "9 MBH", near="BB-22").outline.free[0]
    assert (place.box, place.system, bool(place.level)) == ("BB-22", "HR-2", True)


SYSTEM = """
[[system]]
tag = "hr-1"
source = "p. 4"
capacity = "96 kBtu/h"
ratio = [50, 130]
"""


@pytest.mark.parametrize(
    ("limits", "more", "why"),
    [
        ("units_most = 3\n", "24 kBtu/h", []),
        ("units_most = 2\n", "24 kBtu/h", [("BB-1", "system-crowded")]),
        ("", "28 kBtu/h", []),
        ("", "30 kBtu/h", [("BB-1", "system-capacity")]),
    ],
)
def test_a_system_that_is_full_is_offered_no_unit(
    limits: str, more: str, why: list[tuple[str, str]], tmp_path: Path
) -> None:
    """Two units of 48 kBtu/h on 96: 130 % are 124.8 kBtu/h, 28.8 more."""
    units = (UnitSketch("FC-1", "A", "48 kBtu/h"), UnitSketch("FC-2", "B", "48 kBtu/h"))
    path = job(tmp_path, BoxSketch("BB-1", 4, units))
    text = (path / "job.toml").read_text("utf-8").replace('tag = "BB-1"', 'tag = "BB-1"\nsystem = "HR-1"')
    (path / "job.toml").write_text(f"{text}{SYSTEM}{limits}", encoding="utf-8")
    found = found_in(path, more)
    assert [(tag, problem.code) for tag, problem in found.not_judged] == why
    assert found.is_found == (not why)
