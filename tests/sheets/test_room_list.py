"""The list by level and room: a line a unit, a box to tick each kind of label, no room split."""

from collections import Counter

import pytest
from hypothesis import given, settings

from tagmaker.draw.marks import Page, Rect, Text
from tagmaker.job.model import Job
from tagmaker.plan.plan_job import plan_job
from tagmaker.sheets.kit_labels import kit_label
from tagmaker.sheets.label import FittedLabel
from tagmaker.sheets.page_head import MARGIN, PageHead
from tagmaker.sheets.place import Placed, place_labels
from tagmaker.sheets.room_list import room_pages
from tagmaker.typeset.canvas import Layout
from tests.measured import all_tags
from tests.records import replace
from tests.sheets.boxes import filled, job_of
from tests.sheets.printed import capitals, faults, marked_texts, texts
from tests.strategies import BoxSketch, JobSketch, UnitSketch, jobs, words

TITLE = "AT THE UNITS, BY ROOM"
HEADS = ["Room", "Unit", "Box · port", "COMM", "CABLE", "LIQUID", "GAS"]
NO_ROOM = "room not given"
Row = tuple[str, str, str, tuple[int, ...]]


def placed_of(job: Job) -> list[Placed]:
    """Every label of a job in its place, bare of words."""
    return place_labels([FittedLabel(tag, (), {}) for tag in all_tags(job)], job)


def pages_of(job: Job, placed: list[Placed] | None = None) -> list[Page]:
    """The list, which must fit."""
    layout = Layout("list", job.where, "")
    labels = [kit_label(each) for each in (placed_of(job) if placed is None else placed)]
    pages = list(room_pages(layout, PageHead(job, words(), ""), plan_job(job)[0].boxes, labels, words()))
    assert layout.problems == []
    return pages


def ticks(page: Page, y: float) -> tuple[int, ...]:
    """How many labels of each kind the boxes beside a baseline are for, from left to right."""
    boxes = [
        mark for mark in page.marks if isinstance(mark, Rect) and mark.y - 1 < y < mark.y + mark.height + 1
    ]
    counts = []
    for box in sorted(boxes, key=lambda each: each.x):
        beside = [
            mark.text
            for mark in page.marks
            if isinstance(mark, Text) and abs(mark.y - y) < 1 and 0 < mark.x - box.x < 10
        ]
        counts.append(int(beside[0].removeprefix("× ")) if beside else 1)
    return tuple(counts)


def rows(job: Job) -> list[Row | str]:
    """Level by level its name, then each line: its room (as printed), its unit, its port, its labels."""
    found: list[Row | str] = []
    for page, marks in zip(pages_of(job), marked_texts(pages_of(job)), strict=True):
        start = next(at for at, text in enumerate(marks) if text.text == HEADS[-1]) + 1
        lines: dict[float, list[Text]] = {}
        for text in marks[start:]:
            lines.setdefault(round(text.y, 0), []).append(text)
        for line in lines.values():
            cells = [text.text.replace("\u00a0", " ") for text in line if not text.text.startswith("×")]
            if len(cells) > 1:
                found.append((*([""] * (3 - len(cells))), *cells, ticks(page, line[0].y)))  # type: ignore[arg-type]
            elif not cells[0].startswith("page "):
                found.append(cells[0])
    return found


SHARED = (
    UnitSketch("FC-1", "A", "9 kBtu/h", "Shop"),
    UnitSketch("FC-2", "A", "9 kBtu/h", "Store"),
    UnitSketch("FC-3", "B", "9 kBtu/h"),
)


def test_a_line_a_unit_in_full() -> None:
    """Room, unit, box and port, one box to tick each for cable, liquid and gas; a cable that goes on: two."""
    assert rows(JobSketch((BoxSketch("BB-1", 4, SHARED),)).record()) == [
        ("Shop", "FC-1", "BB-1 · A", (2, 1, 1)),
        ("Store", "FC-2", "BB-1 · A", (1, 1, 1)),
        (NO_ROOM, "FC-3", "BB-1 · B", (1, 1, 1)),
    ]


def test_by_level_and_a_room_of_two_boxes_is_one() -> None:
    """Levels in the order of the boxes; a room is listed once a level, with the units of both its boxes."""
    boxes = (
        BoxSketch("BB-1", 4, (UnitSketch("FC-1", "A", "9 kBtu/h", "Hall"),)),
        BoxSketch("BB-2", 4, (UnitSketch("FC-2", "A", "9 kBtu/h", "Hall"),)),
        BoxSketch(
            "BB-3",
            4,
            (UnitSketch("FC-4", "A", "9 kBtu/h", "Bar"), UnitSketch("FC-3", "C", "9 kBtu/h", "Hall")),
        ),
    )
    job = JobSketch(boxes).record()
    levels = ("2", "1", "2")
    job = replace(
        job, boxes=tuple(replace(box, level=level) for box, level in zip(job.boxes, levels, strict=True))
    )
    assert rows(job) == [
        "Level 2",
        ("Hall", "FC-1", "BB-1 · A", (1, 1, 1)),
        ("", "FC-3", "BB-3 · C", (1, 1, 1)),
        ("Bar", "FC-4", "BB-3 · A", (1, 1, 1)),
        "Level 1",
        ("Hall", "FC-2", "BB-2 · A", (1, 1, 1)),
    ]


@given(jobs(most_boxes=2))
@settings(max_examples=15, deadline=None)
def test_every_label_at_a_unit_has_its_tick(job: Job) -> None:
    """As many labels as are printed for the units' ends, unit by unit, and nothing else."""
    expected = Counter(
        (tag.units[0], f"{tag.box_shown} · {tag.port}") for tag in all_tags(job) if tag.end == "unit"
    )
    actual = Counter({(row[1], row[2]): sum(row[3]) for row in rows(job) if not isinstance(row, str)})
    assert expected == actual


def test_what_is_not_printed_has_no_tick() -> None:
    """Of a kit of cables, cables alone; where nothing belongs at a unit there is no list."""
    job = JobSketch((BoxSketch("BB-1", 4, SHARED),)).record()
    cables = [each for each in placed_of(job) if each.label.tag.kind == "cable"]
    (page,) = pages_of(job, cables)
    assert len([mark for mark in page.marks if isinstance(mark, Rect)]) == 3
    assert pages_of(job, [each for each in placed_of(job) if each.label.tag.end == "box"]) == []


def test_a_room_is_not_split() -> None:
    """Rooms of five units: every page begins with a room's name, and each name is printed once."""
    units = tuple(
        UnitSketch(f"FC-{port}{at}", port, "3 kBtu/h", f"Room {port}")
        for port in "ABCDEFGHIJKL"
        for at in range(5)
    )
    job = JobSketch((BoxSketch("BB-1", 12, units),)).record()
    pages = marked_texts(pages_of(job))
    assert len(pages) > 1
    names = [[text.text for text in marks if text.text.startswith("Room ")] for marks in pages]
    assert sorted(name for page in names for name in page) == sorted(
        {f"Room {port}" for port in "ABCDEFGHIJKL"}
    )
    firsts = [marks[[text.text for text in marks].index("GAS") + 1].text for marks in pages]
    assert firsts == [page[0] for page in names]


def test_a_room_longer_than_a_page_is_named_on_every_line() -> None:
    """Sixty units in one hall: none is without its room, on whatever page it is."""
    units = tuple(
        UnitSketch(f"FC-{port}{at}", port, "3 kBtu/h", "Hall") for port in "ABCDEFGHIJKL" for at in range(5)
    )
    found = rows(JobSketch((BoxSketch("BB-1", 12, units),)).record())
    assert [row[0] for row in found] == ["Hall"] * 60


def test_pages_are_numbered_under_their_title() -> None:
    """Job, revision and page of how many on each page, and the heads of the columns again."""
    units = tuple(
        UnitSketch(f"FC-{port}{at}", port, "3 kBtu/h", f"Room {port}{at}")
        for port in "ABCDEFGHIJKL"
        for at in range(5)
    )
    job = replace(
        JobSketch((BoxSketch("BB-1", 12, units),)).record(), site="14 Mill Street", refrigerant="R-32"
    )
    pages = pages_of(job)
    assert len(pages) == 2
    for number, page in enumerate(pages, start=1):
        printed = texts([page])
        assert {TITLE, "14 Mill Street", f"page {number} of 2", *HEADS} <= set(printed)
        assert any("Refrigerant R-32, group A2L" in text for text in printed)


@pytest.mark.parametrize("page", ["letter", "a4"])
def test_long_names_wrap_and_nothing_is_below_its_least_height(page: str) -> None:
    """Sixty characters of room, 24 of unit and box: whole, capitals of a unit at least 2.3 mm."""
    name = "Archive, reading room and the offices of the library upstair"
    box = filled(12)
    units = tuple(replace(unit, tag=f"NORTH-WING-{unit.tag}", room=name) for unit in box.units)
    job = replace(job_of(replace(box, tag="NORTH-WING-LEVEL-2-BB-12", units=units), page=page).record())
    pages = pages_of(job)
    assert faults(pages, margin_mm=MARGIN - 0.1, least_mm=2.3) == []
    named = [text for marks in marked_texts(pages) for text in marks if text.text.startswith("NORTH-WING-FC")]
    assert min(map(capitals, named)) >= 2.3 - 0.001


def test_a_ports_letter_is_not_alone_on_a_line() -> None:
    """A long box tag is set lower, so that the port is beside it."""
    tag = "NORTH-WING-LEVEL-2-BB-07"
    job = JobSketch((BoxSketch(tag, 4, (UnitSketch("FC-1", "A"),)),)).record()
    assert f"{tag} · A" in [text.replace("\u00a0", " ") for text in texts(pages_of(job))]
