"""Pages put together: several pictures of a page, pages of a sheet, what is missing or to be typed."""

import io
from collections.abc import Mapping

from PIL import Image

from tagmaker.problems import Problem
from tagmaker.revisions.form_pages import FormPage
from tagmaker.site.paper.readings import PageFault, PageReading, Tick
from tagmaker.site.paper.sheets import PaperReturns, put_together
from tests.records import replace

ONE, TWO = "WALK BB-1 1/2 ML-24 2 3F2A91C2", "WALK BB-1 2/2 ML-24 2 3F2A91C2"
ON, OFF = "BB-1/left/1/1", "BB-1/left/1/1/off"
PRINTED = {
    ONE: [FormPage("walk.pdf", 1, ONE, {}, printed_for="what it was printed for")],
    TWO: [FormPage("walk.pdf", 2, TWO, {})],
}
BLANK = io.BytesIO()
Image.new("L", (4, 3), 255).save(BLANK, "PNG")


def reading(code: str, ticks: Mapping[str, Tick], *written: str) -> PageReading:
    """A page as read, with a picture of each thing that a person must look at."""
    doubtful = [name for name, tick in ticks.items() if tick in {"unclear", "unseen"}]
    return PageReading(code, ticks, written, dict.fromkeys([*doubtful, *written], BLANK.getvalue()))


def together(*pages: PageReading | PageFault) -> PaperReturns:
    """Pages from pictures that are numbered from 1."""
    return put_together([(f"{number}.jpg", page) for number, page in enumerate(pages, start=1)], PRINTED)


def found(*states: Tick) -> tuple[bool | str | None, tuple[str, ...]]:
    """What pictures of one page come to, for one box: its value, and the names that are unclear."""
    paper = together(*(reading(ONE, {ON: state}) for state in states))
    (one,) = paper.returns
    return one.values.get(ON), one.unclear


def codes(problems: tuple[Problem, ...]) -> list[str]:
    """The problems' codes."""
    return [problem.code for problem in problems]


def test_two_pictures_of_a_page_that_agree_are_one() -> None:
    """Ticked twice is ticked, blank twice is blank."""
    assert found("ticked", "ticked") == (True, ())
    assert found("blank", "blank") == (False, ())


def test_two_pictures_of_a_page_that_differ_make_it_unclear() -> None:
    """Whatever they differ in: neither is chosen."""
    states: tuple[Tick, ...] = ("ticked", "blank", "unclear")
    for one in states:
        for other in states:
            if one != other:
                assert found(one, other) == (None, (ON,))


def test_a_box_that_one_picture_does_not_show_is_taken_from_the_other() -> None:
    """A finger on it in one of two pictures; in both, it is unclear."""
    assert found("unseen", "ticked") == (True, ())
    assert found("blank", "unseen") == (False, ())
    assert found("unseen", "unseen") == (None, (ON,))


def test_pages_of_a_sheet_are_one_return_in_any_order() -> None:
    """With what its first page was printed for, whichever was read first."""
    pages = reading(ONE, {ON: "ticked"}), reading(TWO, {OFF: "blank"})
    for order in (pages, pages[::-1]):
        (one,) = together(*order).returns
        assert (one.values, one.printed) == ({ON: True, OFF: False}, {"BB-1": "what it was printed for"})
    assert together(*pages).problems == ()


def test_a_page_that_was_not_handed_in_is_reported() -> None:
    """With the page, the box, and what it means."""
    (problem,) = together(reading(TWO, {})).problems
    message = "page 1 of 2 of the walk sheet of BB-1 was not handed in"
    assert (problem.code, problem.message, problem.boxes) == ("paper-missing", message, ("BB-1",))


def test_problems_name_the_sheet_that_they_are_about() -> None:
    """A system's and a response test's are no walk sheets."""
    system = reading("SYSTEM HR-1 2/2 ML-24 2 3F2A91C2", {"system/HR-1/test/outdoor": "unclear"})
    test = reading("RESPONSE HR-1 1/1 ML-24 2 3F2A91C2 5D20A1B7", {}, "BB-1/response/A//1")
    assert [problem.message.partition(":")[0] for problem in together(system, test).problems] == [
        "page 1 of 2 of the system sheet of HR-1 was not handed in",
        "system sheet of HR-1",
        "sheet of response test 3F2A91C2 of system HR-1",
    ]


def test_unclear_ticks_are_one_warning_a_sheet() -> None:
    """It names each; a person must look."""
    paper = together(reading(ONE, {ON: "unclear", OFF: "unseen"}), reading(TWO, {}))
    assert codes(paper.problems) == ["paper-unclear"]
    assert paper.problems[0].message == f"walk sheet of BB-1: not clear whether marked: {ON}, {OFF}"


def test_handwriting_is_a_note_and_is_listed() -> None:
    """By the names of its fields."""
    paper = together(reading(ONE, {}, "BB-1/port/A/note"), reading(TWO, {}, "BB-1/sign/verifier"))
    assert codes(paper.problems) == ["paper-handwriting"]
    assert paper.written == ("BB-1/port/A/note", "BB-1/sign/verifier")


def test_cuts_are_named_by_their_fields() -> None:
    """Two pictures of one page give two cuts of a box."""
    page = reading(ONE, {OFF: "unclear"})
    assert list(together(page, page).cuts) == ["BB-1_left_1_1_off.png", "BB-1_left_1_1_off_2.png"]


def test_a_page_that_is_not_read_is_an_error_with_its_file() -> None:
    """And with what to do."""
    (problem,) = together(PageFault("no code", "take it again")).problems
    assert (problem.code, problem.severity, problem.where.file) == ("paper-unread", "error", "1.jpg")
    assert problem.hint == "take it again"


def test_two_sets_sheets_of_a_box_are_two_returns() -> None:
    """Another digest is another sheet: each is judged by what it was printed for."""
    other = ONE.replace("3F2A91C2", "00000000").replace("1/2", "1/1")
    paper = together(reading(ONE, {ON: "ticked"}), reading(TWO, {}), reading(other, {ON: "blank"}))
    assert len(paper.returns) == 2


def test_another_print_is_a_warning_of_its_own() -> None:
    """It names the boxes: they are unclear for that reason."""
    page = replace(reading(ONE, {ON: "unclear", OFF: "unclear"}), covered=(ON, OFF))
    messages = [problem.message for problem in together(page).problems if problem.code == "paper-unclear"]
    assert f"another print lies at {ON}, {OFF}: what is marked there is unclear" in messages
