"""Cover slips count what is printed; the list by room names everything that belongs at the units."""

from collections import Counter
from collections.abc import Sequence

import pytest
from hypothesis import given, settings

from tagmaker.draw.marks import Page, Rect, Text
from tagmaker.job.model import Job
from tagmaker.plan.plan_job import plan_job
from tagmaker.sheets.kits import kit_pages
from tagmaker.sheets.label import FittedLabel
from tagmaker.sheets.place import Placed, place_labels
from tests.measured import SMALL, all_tags, mains, on_stocks
from tests.records import replace
from tests.sheets.boxes import filled, job_of
from tests.sheets.printed import Box, faults, ink
from tests.strategies import BoxSketch, JobSketch, UnitSketch, jobs, stock_named, words

SLIPS_A_PAGE = 4
TITLE = "AT THE UNITS, ROOM BY ROOM"


def placed_of(job: Job) -> list[Placed]:
    """Every label of a job in its place, bare of words."""
    return place_labels([FittedLabel(tag, (), {}) for tag in all_tags(job)], job)


def kits(job: Job) -> list[Page]:
    """The slips and the list of rooms, which must fit."""
    pages, problems = kit_pages(job, plan_job(job)[0].boxes, placed_of(job), words())
    assert problems == []
    return pages


def texts(page: Page) -> list[Text]:
    """The texts of a page."""
    return [mark for mark in page.marks if isinstance(mark, Text)]


def slip_pages(job: Job) -> list[Page]:
    """The pages of slips."""
    return kits(job)[: -(-len(job.boxes) // SLIPS_A_PAGE)]


def slips(job: Job) -> list[list[Text]]:
    """The texts of each slip, in the order of the boxes."""
    found: list[list[Text]] = []
    for page in slip_pages(job):
        for frame in (mark for mark in page.marks if isinstance(mark, Rect)):
            room = Box(frame.x, frame.y, frame.x + frame.width, frame.y + frame.height)
            found.append([text for text in texts(page) if room.holds(ink(text))])
    return found


def counts(slip: Sequence[Text]) -> list[tuple[int, str]]:
    """How many of which kind a slip lists."""
    numbers = [text for text in slip if text.text.endswith(" ×")]
    rows = [
        (int(number.text.split()[0]), [text.text for text in slip if abs(text.y - number.y) < 1.5])
        for number in numbers
    ]
    return [(number, row[1]) for number, row in rows]


def rooms(job: Job) -> list[tuple[str, str]]:
    """Every line of the list: its room (that of the line above where none stands) and its text."""
    found: list[tuple[str, str]] = []
    for page in kits(job)[len(slip_pages(job)) :]:
        head, *rest = texts(page)
        assert head.text == TITLE
        room = ""
        for text in rest:
            if text.x < page.width * 0.4:
                room = text.text
            else:
                found.append((room, text.text))
    return found


# --- slips --------------------------------------------------------------------------------------------------


def test_a_slip_in_full() -> None:
    """Box, job, revision, then how many of each kind on which stock and page."""
    (slip,) = slips(replace(SMALL.record(), number="ML-24", revision="2"))
    said = [text.text for text in slip]
    assert said[:4] == ["BB-1", "LABEL KIT", "ML-24 Marsh Lane Library", "REV 2"]
    assert counts(slip) == [
        (4, "TERMINAL, at the box"),
        (4, "LIQUID, at the box"),
        (4, "GAS, at the box"),
        (2, "COMM CABLE, at the box"),
        (4, "COMM CABLE, at the unit"),
        (3, "LIQUID, at the unit"),
        (3, "GAS, at the unit"),
    ]
    assert {text for text in said if "Letter sheet" in text} == {
        "Letter sheet, 30 labels of 66.7 x 25.4 mm, page 1"
    }


def test_a_slip_says_place_and_draft() -> None:
    """Where the box hangs; and that a draft is one."""
    job = replace(SMALL.record(), is_draft=True, revision="P02")
    (slip,) = slips(replace(job, boxes=(replace(job.boxes[0], place="Corridor L2"),)))
    assert [each.text for each in slip if each.text in {"Corridor L2", "REV P02 · DRAFT"}] == [
        "REV P02 · DRAFT",
        "Corridor L2",
    ]


def test_a_slip_names_the_pages_of_each_stock() -> None:
    """A box whose labels begin on one page and end on another says from which to which."""
    job = job_of(filled(12)).record()
    (slip,) = slips(on_stocks(job, {"terminal": stock_named("roll-51x25-300dpi")}))
    stocks = {text.text for text in slip if "page" in text.text}
    assert stocks == {
        "Letter sheet, 30 labels of 66.7 x 25.4 mm, page 1–3",
        "Roll, film labels of 50.8 x 25.4 mm, 12 dots/mm, page 1–12",
    }


def test_mains_and_locators_are_counted() -> None:
    """Whatever lies on a label sheet belongs to a kit."""
    job = on_stocks(SMALL.record(), {"locator": stock_named("letter-30-67x25")})
    given_mains = mains("3/4 in", liquid="3/4 in", suction="1-1/8 in", hot_gas="7/8 in")
    (slip,) = slips(replace(job, boxes=(replace(job.boxes[0], mains=given_mains),)))
    assert counts(slip)[:4] == [
        (1, "MAIN LIQUID"),
        (1, "MAIN SUCTION"),
        (1, "MAIN HOT GAS"),
        (1, "BOX ABOVE"),
    ]


@given(jobs(most_boxes=2))
@settings(max_examples=15, deadline=None)
def test_slips_count_what_is_printed(job: Job) -> None:
    """Box by box, the counts of a slip add up to its labels, no more and no fewer."""
    printed = Counter(label.label.tag.box for label in placed_of(job))
    assert [sum(number for number, _ in counts(slip)) for slip in slips(job)] == [
        printed[box.tag] for box in job.boxes
    ]


@pytest.mark.parametrize("boxes", [1, 4, 5, 9])
def test_four_slips_to_a_page(boxes: int) -> None:
    """A slip a box, in the order of the job."""
    unit = UnitSketch("FC-1", "A", "9 kBtu/h", "Shop")
    sketch = JobSketch(
        tuple(BoxSketch(f"BB-{at}", 4, (replace(unit, tag=f"FC-{at}"),), f"Bay {at}") for at in range(boxes))
    )
    assert [slip[0].text for slip in slips(sketch.record())] == [f"BB-{at}" for at in range(boxes)]


# --- rooms --------------------------------------------------------------------------------------------------


def test_rooms_in_full() -> None:
    """Each room with what is stuck on there, box and letter before it; a cable that goes on makes two."""
    units = (
        UnitSketch("FC-1", "A", "9 kBtu/h", "Shop"),
        UnitSketch("FC-2", "A", "9 kBtu/h", "Store"),
        UnitSketch("FC-3", "B", "9 kBtu/h"),
    )
    assert rooms(JobSketch((BoxSketch("BB-1", 4, units),)).record()) == [
        ("Shop", "BB-1 · A · COMM CABLE · FC-1  × 2"),
        ("Shop", "BB-1 · A · LIQUID · FC-1"),
        ("Shop", "BB-1 · A · GAS · FC-1"),
        ("Store", "BB-1 · A · COMM CABLE · FC-2"),
        ("Store", "BB-1 · A · LIQUID · FC-2"),
        ("Store", "BB-1 · A · GAS · FC-2"),
        ("room not given", "BB-1 · B · COMM CABLE · FC-3"),
        ("room not given", "BB-1 · B · LIQUID · FC-3"),
        ("room not given", "BB-1 · B · GAS · FC-3"),
    ]


@given(jobs(most_boxes=2))
@settings(max_examples=15, deadline=None)
def test_rooms_name_every_label_that_belongs_there(job: Job) -> None:
    """Every label at a unit's end stands under its room as often as it is printed, and nothing else does."""
    expected = Counter(
        (tag.rooms[0] if tag.rooms else "room not given", f"{tag.port} · {tag.headline} · {tag.units[0]}")
        for tag in all_tags(job)
        if tag.end == "unit"
    )
    actual: Counter[tuple[str, str]] = Counter()
    for room, text in rooms(job):
        told, _, many = text.partition("  × ")
        actual[room, told.partition(" · ")[2]] += int(many or 1)
    assert expected == actual


def test_rooms_go_on_overleaf() -> None:
    """A long list is continued under its title, and the room's name stands again."""
    units = [
        UnitSketch(f"FC-{port}{at}", port, "3 kBtu/h", "Hall") for port in "ABCDEFGHIJKL" for at in range(5)
    ]
    job = JobSketch((BoxSketch("BB-1", 12, tuple(units)),)).record()
    pages = kits(job)[1:]
    assert len(pages) > 1
    assert [[text.text for text in texts(page)][:2] for page in pages] == [[TITLE, "Hall"]] * len(pages)
    assert len(rooms(job)) == 60 * 3


# --- on paper -----------------------------------------------------------------------------------------------


@pytest.mark.parametrize("page", ["letter", "a4"])
def test_kits_are_in_order_when_read_back(page: str) -> None:
    """No text is cut, struck through, lost, too small or over another in the PDF, on either paper."""
    job = job_of(filled(12), page=page, is_draft=True).record()
    job = on_stocks(job, {"locator": stock_named("letter-30-67x25")})
    assert faults(kits(job), margin_mm=6.35, least_mm=1.5) == []
    width = {"letter": 215.9, "a4": 210.0}[page]
    assert {each.width for each in kits(job)} == {width}
