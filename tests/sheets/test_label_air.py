"""White between the lines of a label: what has room is not crowded, and no room's name is broken."""

from tagmaker.catalog.stock import Stock
from tagmaker.draw.marks import Bars, Text, TextRole
from tagmaker.sheets.label import FittedLabel, fit_label
from tagmaker.tags.kits import box_tags
from tagmaker.tags.model import Tag
from tests.measured import mains
from tests.records import replace
from tests.sheets.printed import capitals
from tests.strategies import BoxSketch, JobSketch, UnitSketch, first_box, stock_named, words

TIE_ON = stock_named("letter-8-tie-on-102x64")
ROOMS = ("Corridor east 2-02", "Meeting room 2 2-03", "Nurse base 2-04")
UNITS = tuple(UnitSketch(f"FC-101{each}", "C", "12 kBtu/h", room=room) for each, room in enumerate(ROOMS))
JOB = JobSketch((BoxSketch("EB-01", 4, (UnitSketch("FC-1001", "A", room="Plant room 2-01"), *UNITS)),))


def fitted(tag: Tag, stock: Stock) -> FittedLabel:
    """A tag that must fit."""
    label, problems = fit_label(tag, stock, words())
    assert label is not None, problems
    return label


def of_role(label: FittedLabel, role: TextRole) -> list[Text]:
    """The texts of a role, from the top."""
    return sorted(
        (mark for mark in label.marks if isinstance(mark, Text) and mark.role == role),
        key=lambda mark: mark.y,
    )


def tag_of(code: str) -> Tag:
    """A tag of the job."""
    job = JOB.record()
    return {tag.code: tag for tag in box_tags(job, first_box(job), words())}[code]


def test_lines_are_apart_where_there_is_room() -> None:
    """On a high tag the unit is 2 mm or more below the letter, and the room 2 mm or more below the unit."""
    label = fitted(tag_of("EB-01/A/LIQ"), TIE_ON)
    (letter,), (unit,), (*_, room) = (of_role(label, role) for role in ("main", "unit", "fact"))
    assert unit.y - capitals(unit) - letter.y >= 2.0
    assert room.y - capitals(room) - unit.y >= 2.0


def test_no_line_ends_within_a_rooms_number() -> None:
    """Rooms on two lines end after a word, not at the hyphen of `2-03`; facts end between them."""
    lines = [text.text for text in of_role(fitted(tag_of("EB-01/C/LIQ"), TIE_ON), "fact")]
    assert lines[-2:] == ["Corridor east 2-02, Meeting room 2", "2-03, Nurse base 2-04"]
    cable = fitted(tag_of("EB-01/A/COM/FC-1001"), replace(stock_named("letter-30-67x25"), label=(50.0, 25.4)))
    assert [text.text for text in of_role(cable, "fact")][-2:] == [
        "from terminal A, not\u00a0power ·",
        "Plant room 2-01",
    ]


def test_the_labels_of_a_boxs_mains_are_laid_out_alike() -> None:
    """Three labels side by side have box and code at the same places, the box in letters as high."""
    job = JOB.record()
    given = mains("3/4 in", liquid="3/4 in", suction="1 in", hot_gas="7/8 in")
    job = replace(job, boxes=(replace(job.boxes[0], mains=given),))
    tags = [tag for tag in box_tags(job, first_box(job), words()) if tag.kind.startswith("main-")]
    for stock in (stock_named("letter-30-67x25"), TIE_ON):
        labels = [fitted(tag, stock) for tag in tags]
        codes = {(mark.x, mark.y) for label in labels for mark in label.marks if isinstance(mark, Bars)}
        boxes = {(text.x, text.y, text.size) for label in labels for text in of_role(label, "main")}
        assert (len(labels), len(codes), len(boxes)) == (3, 1, 1)


def test_a_box_of_one_sign_is_called_a_box() -> None:
    """On the labels of box B port A is not A beside B: the word is printed before the box's letter."""
    job = JobSketch((BoxSketch("B", 4, (UnitSketch("FC-1", "A"),)),)).record()
    tags = box_tags(job, first_box(job), words())
    assert {tag.box_shown for tag in tags} == {"BOX B"}
    assert {tag.code.split("/")[0] for tag in tags} == {"B"}
    assert "BOX B" in [text.text for text in of_role(fitted(tags[0], stock_named("letter-30-67x25")), "box")]
