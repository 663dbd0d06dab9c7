"""The punch list on paper: every line whole, legible and in order, whatever was written on site."""

from collections.abc import Sequence

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tagmaker.catalog.steps import change_steps
from tagmaker.draw.marks import Line, Page, Rect, Text
from tagmaker.sheets.page_head import PAGE_CAPS
from tagmaker.sheets.work_list import work_list_pages
from tagmaker.site.walk.causes import causes
from tagmaker.site.walk.findings import board_facts
from tagmaker.tags.work_list import BoxWork, WorkItem
from tests.plan.families import FOUR
from tests.records import replace
from tests.sheets.boxes import filled, job_of
from tests.sheets.printed import faults
from tests.strategies import BoxSketch, UnitSketch, first_box, words

WRITTEN = ["Done by", "Date", "Re-checked by"]
ROOM_TO_WRITE = 7.0  # mm
MOVE = WorkItem(
    box="BB-1",
    place="left board",
    wrong="Bank 1 switch 1 is OFF",
    to_do="isolate the box's power, prove it dead, then move Bank 1 switch 1 to ON",
    expect=("left board: port A is empty but in service: expect start-up to stop on a communication fault",),
    number=1,
)


def box_told(
    *punches: WorkItem, unknown: Sequence[str] = (), notes: Sequence[str] = (), where: str = ""
) -> BoxWork:
    """What is told of a box."""
    return BoxWork("BB-1", where, punches, unknown, notes)


def numbered(*punches: WorkItem) -> list[WorkItem]:
    """Punches as a job numbers them."""
    return [replace(punch, number=number) for number, punch in enumerate(punches, start=1)]


def pages_of(*boxes: BoxWork, paper: str = "letter") -> list[Page]:
    """The list's pages, which must be without a fault: no word off the page, over another, or too small."""
    job = replace(job_of(filled(4), page=paper).record(), site="14 Mill Street")
    pages, problems = work_list_pages(job, boxes, words(), "PUNCH LIST", "Nothing to correct.")
    assert problems == []
    assert faults(pages, margin_mm=6.35, least_mm=PAGE_CAPS) == []
    return pages


def told(pages: list[Page]) -> str:
    """Everything printed, in one line."""
    return " ".join(mark.text for page in pages for mark in page.marks if isinstance(mark, Text))


def test_a_line_tells_where_what_and_what_to_expect() -> None:
    """Number, box, place, what is wrong, what to do and what to expect, with a box to tick."""
    pages = pages_of(box_told(MOVE))
    printed = told(pages)
    for text in ("1", MOVE.box, MOVE.place, MOVE.wrong, MOVE.to_do, *MOVE.expect):
        assert text in printed
    (tick,) = [mark for mark in pages[0].marks if isinstance(mark, Rect) and mark.line]
    assert (tick.width, tick.height) == (5.0, 5.0)


def test_it_is_headed_with_the_job() -> None:
    """Its name, number and revision on every page, and which page of how many."""
    pages = pages_of(box_told(*numbered(*[MOVE] * 30)))
    assert len(pages) > 1
    for number, page in enumerate(pages, start=1):
        for text in (
            "PUNCH LIST",
            "ML-24 Marsh Lane Library",
            "14 Mill Street",
            "Revision 2",
            f"page {number} of {len(pages)}",
        ):
            assert text in told([page])


def test_lines_keep_their_order() -> None:
    """As given, over boxes and pages."""
    boxes = [box_told(*[replace(MOVE, number=start + n) for n in range(10)]) for start in (1, 11, 21)]
    texts = [mark.text for page in pages_of(*boxes) for mark in page.marks if isinstance(mark, Text)]
    assert [text for text in texts if text.isdigit()] == [str(number) for number in range(1, 31)]


def test_nothing_to_mend_is_said() -> None:
    """A job of which nothing is wrong or unknown has a page that says so."""
    assert "Nothing to correct." in told(pages_of(box_told()))
    assert "Nothing to correct." not in told(pages_of(box_told(MOVE)))


def test_what_is_not_known_is_listed() -> None:
    """The first five by name, and how many more."""
    unknown = [f"port {letter}: pipe not seen" for letter in "ABCDEFG"]
    printed = told(pages_of(box_told(unknown=unknown)))
    assert "BB-1: Not seen yet" in printed
    assert [text in printed for text in unknown] == [True] * 5 + [False] * 2
    assert "and 2 more" in printed
    assert "more" not in told(pages_of(box_told(unknown=unknown[:5])))


def test_where_a_box_is_stands_above_its_lines() -> None:
    """Its place and where its power is isolated; of a box with nothing to tell, nothing."""
    where = "Level 2 corridor · Isolate power at: Panel LP-2"
    for told_ in (box_told(MOVE, where=where), box_told(unknown=["x"], where=where)):
        assert f"BB-1: {where}" in told(pages_of(told_))
    assert where not in told(pages_of(box_told(where=where)))


def test_notes_are_on_it() -> None:
    """Each with its letter, under its box."""
    printed = told(pages_of(box_told(notes=["A: drain dry", "C: tag torn"])))
    for text in ("BB-1: note", "A: drain dry", "C: tag torn"):
        assert text in printed


@pytest.mark.parametrize("paper", ["letter", "a4"])
def test_a_step_has_a_tick_its_role_and_room_for_name_and_date(paper: str) -> None:
    """One of each for each step; the page says how the steps are known, which a punch list does not."""
    step = WorkItem("BB-1", "port B", "prove zero pressure", "", step="zero", role="Technician")
    pages = pages_of(box_told(*numbered(*[step] * 40, replace(step, to_do="BB-1/B/LIQ"))), paper=paper)
    texts = [mark.text for page in pages for mark in page.marks if isinstance(mark, Text)]
    ticks = [mark for page in pages for mark in page.marks if isinstance(mark, Rect) and mark.line]
    assert (texts.count("Technician"), texts.count(step.wrong), len(ticks)) == (41, 41, 41)
    assert texts.count("Done by") == texts.count("Date") == len(pages) == 2
    assert texts.count(change_steps().standing) == len(pages)
    assert "Re-checked by" not in texts
    assert change_steps().standing not in told(pages_of(box_told(MOVE)))


@pytest.mark.parametrize("paper", ["letter", "a4"])
def test_a_punch_list_has_columns_to_write_in(paper: str) -> None:
    """Who did it and when, and who checked it again: heads on every page, lines apart for each punch."""
    pages = pages_of(box_told(*numbered(*[MOVE] * 30)), paper=paper)
    assert len(pages) > 1
    for page in pages:
        texts = [mark.text for mark in page.marks if isinstance(mark, Text)]
        assert [text for text in texts if text in WRITTEN] == WRITTEN
        ticks = [mark for mark in page.marks if isinstance(mark, Rect) and mark.line]
        upright = [mark for mark in page.marks if isinstance(mark, Line) and mark.x1 == mark.x2]
        assert len(upright) == len(WRITTEN) * len(ticks) > 0
        assert min(line.y2 - line.y1 for line in upright) >= ROOM_TO_WRITE


def test_a_list_without_lines_has_no_columns() -> None:
    """Nothing to sign where nothing is to be corrected."""
    assert "Re-checked by" not in told(pages_of(box_told()))


def test_a_box_is_named_on_each_page_of_its_lines() -> None:
    """Place and power again where its lines go on overleaf."""
    where = "Level 2 corridor · Isolate power at: Panel LP-2"
    pages = pages_of(box_told(*numbered(*[MOVE] * 30), where=where))
    assert [told([page]).count(f"BB-1: {where}") for page in pages] == [1] * len(pages)


def test_a_tag_is_in_one_piece() -> None:
    """Tags of 24 characters: the column is as wide as they need."""
    tag = "NORTH-WING-LEVEL-2-BB-12"
    pages = pages_of(box_told(replace(MOVE, box=tag)))
    assert [mark.text for page in pages for mark in page.marks if isinstance(mark, Text)].count(tag) == 1


def test_a_ports_letter_does_not_begin_a_line() -> None:
    """`to F` is on one line: a letter alone would be overlooked; printed spaces are spaces."""
    move = "isolate power, prove it dead, then move the cable of FC-126 to F"
    item = replace(MOVE, box="BB-13", place="port E", wrong="cable found: FC-126", to_do=move)
    lines = [mark.text for mark in pages_of(box_told(item))[0].marks if isinstance(mark, Text)]
    assert "F" not in lines
    assert move in " ".join(lines)


def test_a_step_that_names_many_units_is_whole() -> None:
    """As many lines as it takes, on letter paper too."""
    names = ", ".join(f"{letter}-NORTH-WING-LEVEL-{n}2" for letter in "ABCDEFGHIJKL" for n in range(1, 6))
    step = WorkItem("BB-1", "units", "isolate these units", names, step="isolate-units", role="Technician")
    assert squeezed(names) in squeezed(told(pages_of(box_told(*numbered(step)))))


@pytest.mark.parametrize("paper", ["letter", "a4"])
def test_the_longest_sentences_fit(paper: str) -> None:
    """Long tags, five units a port, every switch of a board wrong: whole on either paper."""
    units = tuple(
        UnitSketch(f"{letter}-NORTH-WING-LEVEL-{number}2", letter, "9 kBtu/h")
        for letter in "ABCD"
        for number in range(1, 6)
    )
    box = first_box(job_of(BoxSketch("BRANCH-BOX-NORTH-WING-12", 4, units)).record())
    facts = replace(
        board_facts(box, box.boards[0]), banks=("Service switches S1-1234", "Service switches S2-1234")
    )
    every = {(rule.bank, rule.switch): True for rule in FOUR.rules}
    for is_on in (every, {**every, (2, 1): False, (2, 2): False, (2, 4): False}):
        expect = tuple(cause.message for cause in causes(FOUR, facts, is_on, words()))
        assert expect
        line = WorkItem(
            box=box.row.tag,
            place="left board",
            wrong="Service switches S1-1234 switch 1 is ON",
            to_do=MOVE.to_do.replace("Bank 1", "Service switches S1-1234"),
            expect=expect,
        )
        printed = told(pages_of(box_told(*numbered(line)), paper=paper))
        for sentence in (line.wrong, line.to_do, *expect):
            assert squeezed(sentence) in squeezed(printed)


def squeezed(text: str) -> str:
    """A text without its spaces: a word that is longer than a line is broken after a hyphen."""
    return text.replace(" ", "")


@given(st.text(max_size=300), st.lists(st.text(max_size=200), max_size=3))
@settings(max_examples=30, deadline=None)
def test_whatever_is_written_on_site_is_printed(remark: str, notes: list[str]) -> None:
    """Any signs, any length: a page without a fault; a list does not fail because of what it tells."""
    line = replace(MOVE, wrong=f"the pipe found is {remark}'s, planned is FC-1")
    pages_of(box_told(line, unknown=notes, notes=notes, where=remark))


def test_what_the_typeface_lacks_is_marked() -> None:
    """A sign that cannot be printed is a question mark, and what is too long ends with dots."""
    printed = told(pages_of(box_told(notes=["A: 左", f"B: {'W' * 400}"])))
    assert "A: ?" in printed
    assert "W…" in printed
