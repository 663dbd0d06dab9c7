"""A box for the screen: the placard's boards, and every port and unit where the record says."""

from hypothesis import given, settings

from tagmaker.draw.marks import Rect, Text, flat
from tagmaker.job.model import Job
from tagmaker.plan.model import BoxPlan
from tagmaker.sheets.placard import placard_pages
from tagmaker.sheets.screen_box import BoxOnScreen, screen_box
from tagmaker.typeset.frame import Frame
from tagmaker.workflows.planning import plan
from tests.paths import EXAMPLES
from tests.records import replace
from tests.sheets.pictured import pictured
from tests.strategies import BoxSketch, JobSketch, UnitSketch, first_box, jobs, stock_named, words

SMALL = BoxSketch(
    "BB-1",
    6,
    (
        UnitSketch("FC-1", "A", "24 kBtu/h", "Library"),
        UnitSketch("FC-2", "A", "9 kBtu/h", "Lobby"),
        UnitSketch("AH-1", "C+D", "96 MBH", "Hall"),
    ),
)


def drawn(job: Job) -> tuple[BoxPlan, BoxOnScreen]:
    """The first box of a job, planned and drawn."""
    box = first_box(job)
    return box, screen_box(job, box, words())


def holds(outer: Frame, inner: Frame) -> bool:
    """Whether one frame lies in another."""
    return (
        outer.x - 1e-6 <= inner.x
        and outer.y - 1e-6 <= inner.y
        and inner.right <= outer.right + 1e-6
        and inner.bottom <= outer.bottom + 1e-6
    )


def apart(frames: list[Frame]) -> bool:
    """Whether none of them overlaps another."""
    return not any(
        a.x < b.right and b.x < a.right and a.y < b.bottom and b.y < a.bottom
        for number, a in enumerate(frames)
        for b in frames[:number]
    )


@settings(max_examples=40, deadline=None)
@given(jobs(most_boxes=1))
def test_boards_are_those_of_the_placard(job: Job) -> None:
    """Every bank with its slider, word and list, as on the sheet at the box."""
    box, found = drawn(job)
    pages, problems = placard_pages(job, box, stock_named("letter"), words())
    assert problems == ()
    on_paper = [bank.as_text() for page in pages for bank in pictured(flat(page.marks))]
    shown = [bank.as_text() for bank in pictured(flat(found.page.marks))]
    assert [text.replace("AS FOUND", "KEEP") for text in shown] == [
        text.replace("AS FOUND", "KEEP")
        for text in on_paper  # the short word where there is little room
    ]


@settings(max_examples=40, deadline=None)
@given(jobs(most_boxes=1))
def test_every_port_and_unit_has_a_place_of_its_own(job: Job) -> None:
    """Rows below each other, units within their rows, all on the page, none over another."""
    box, found = drawn(job)
    page = Frame(0, 0, found.page.width, found.page.height)
    rows = [place.row for place in found.ports]
    units = [unit.frame for place in found.ports for unit in place.units]
    assert tuple(place.port for place in found.ports) == box.ports
    assert [tuple(unit.unit for unit in place.units) for place in found.ports] == [
        port.units for port in box.ports
    ]
    assert all(holds(page, row) for row in rows)
    assert all(holds(place.row, unit.frame) for place in found.ports for unit in place.units)
    assert apart(rows)
    assert apart(units)


def test_a_units_tag_is_drawn_in_its_frame() -> None:
    """Each in a frame of its own; loads and rooms are the placard's."""
    job = JobSketch((SMALL,)).record()
    _, found = drawn(job)
    marks = list(flat(found.page.marks))
    texts = {mark.text: mark for mark in marks if isinstance(mark, Text)}
    for place in found.ports:
        for unit in place.units:
            text = texts[unit.unit.tag]
            assert holds(unit.frame, Frame(text.x, text.y, 0, 0))
            assert any(
                isinstance(mark, Rect) and Frame(mark.x, mark.y, mark.width, mark.height) == unit.frame
                for mark in marks
            )
    assert {"33 / 54", "96 / 108", "Library, Lobby", "SPARE"} <= texts.keys()


def test_units_that_take_several_lines_make_their_row_higher() -> None:
    """Five long tags do not fit side by side."""
    units = tuple(UnitSketch(f"{'W' * 20}-{number}", "A", "3 kBtu/h") for number in range(5))
    _, found = drawn(JobSketch((BoxSketch("BB-1", 4, units),)).record())
    assert len({unit.frame.y for unit in found.ports[0].units}) == 5
    assert all(unit.is_drawn for unit in found.ports[0].units)
    assert found.ports[0].row.height > 3 * found.ports[1].row.height


def test_a_tag_that_cannot_be_set_keeps_its_frame() -> None:
    """A sign that the typeface lacks: the frame is there for the page's own control, without a text."""
    job = JobSketch((SMALL,)).record()
    units = tuple(replace(unit, address="\u4e00") for unit in job.units)
    _, found = drawn(replace(job, units=units))
    first = found.ports[0].units[0]
    assert (first.is_drawn, first.frame.width > 10) == (False, True)


def test_boxes_of_other_families_are_drawn() -> None:
    """Three ports a board, and other banks: the example of a job with a family of its own."""
    checked = plan(EXAMPLES / "three-port-boards")
    assert checked.plan
    for box in checked.plan.boxes:
        found = screen_box(checked.plan.job, box, words())
        assert len(pictured(flat(found.page.marks))) == sum(len(board.banks) for board in box.boards)
