"""response.pdf: its fields, what is set in each round, and what it does not show."""

import io
from collections import Counter
from functools import cache

import pypdf
import pytest

from tagmaker.draw.marks import Field, Mark, Page, Rect, Text
from tagmaker.draw.pdf import draw_pdf
from tagmaker.plan.model import Plan
from tagmaker.plan.plan_job import plan_job
from tagmaker.plan.response import Asked, SystemCalls, boxes_by_system, plan_response
from tagmaker.sheets.page_head import PAGE_CAPS
from tagmaker.sheets.response import response_pages
from tagmaker.tags.response import lines_of, response_field
from tagmaker.typeset.fonts import all_faces, face
from tests.records import replace
from tests.strategies import BoxSketch, JobSketch, UnitSketch, words
from tests.workflows.response_site import SITE


@cache
def planned(sketch: JobSketch = SITE) -> Plan:
    """The job's plan."""
    return plan_job(sketch.record())[0]


def printed(
    plan: Plan, asked: Asked | None = None, *, expected: bool = False
) -> tuple[tuple[SystemCalls, ...], list[Page]]:
    """The calls and the pages, which have no problem."""
    systems, _ = plan_response(plan, asked or Asked())
    pages, problems = response_pages(plan, systems, words(), expected=expected)
    assert problems == []
    return systems, pages


def marks(pages: list[Page], kind: type[Mark]) -> list[Mark]:
    """The marks of a kind on all pages."""
    return [mark for page in pages for mark in page.marks if isinstance(mark, kind)]


def texts(pages: list[Page]) -> list[str]:
    """All texts."""
    return [mark.text for mark in marks(pages, Text) if isinstance(mark, Text)]


def fields(pages: list[Page]) -> list[Field]:
    """All fields."""
    return [mark for mark in marks(pages, Field) if isinstance(mark, Field)]


def test_every_reading_has_a_field() -> None:
    """Each stub and each unit, a field a round, and no name twice."""
    systems, pages = printed(planned())
    (calls,) = systems
    names = Counter(field.name for field in fields(pages))
    lines = lines_of(calls, boxes_by_system(planned())[calls.system.upper()])
    wanted = {response_field(line, at + 1) for line in lines for at in range(calls.rounds)}
    assert wanted <= set(names)
    assert max(names.values()) == 1


def test_every_page_has_a_field() -> None:
    """A form of which a page has none was changed by another program, and is refused."""
    _, pages = printed(planned())
    assert all(any(isinstance(mark, Field) for mark in page.marks) for page in pages)


def modes(page: Page) -> list[tuple[str, str]]:
    """By unit what is to be set, in the order of a page: a tag, and HEAT or COOL on the line with it."""
    words_ = [mark for mark in page.marks if isinstance(mark, Text)]
    called = [mark for mark in words_ if mark.text in {"HEAT", "COOL"}]
    found: list[tuple[str, str]] = []
    for mode in called:
        near = [mark for mark in words_ if abs(mark.y - mode.y) < 1.2 and mark.x < mode.x]
        tags = [mark for mark in near if mark.text.startswith(("FC-", "AH-"))]
        found.append((max(tags, key=lambda mark: mark.x).text, mode.text))
    return found


def test_lists_set_every_unit_as_it_is_called() -> None:
    """Read back from where the words are on the pages."""
    (calls,), pages = printed(planned())
    found = [each for page in pages for each in modes(page)]
    count = sum(len(call.units) for call in calls.ports)
    word = {"H": "HEAT", "C": "COOL"}
    for number in range(calls.rounds):
        of_round = found[number * count : (number + 1) * count]
        wanted = {(unit, word[call.calls[number]]) for call in calls.ports for unit in call.units}
        assert set(of_round) == wanted


def test_heat_is_white_on_black() -> None:
    """It reads from a distance, and on a copy."""
    _, pages = printed(planned())
    for page in pages:
        for mark in page.marks:
            if isinstance(mark, Text) and mark.text in {"HEAT", "COOL"}:
                around = [
                    rect
                    for rect in page.marks
                    if isinstance(rect, Rect)
                    and rect.x <= mark.x <= rect.x + rect.width
                    and rect.y <= mark.y <= rect.y + rect.height
                ]
                assert [(rect.fill == 0.0) for rect in around] == [mark.text == "HEAT"]
                assert mark.ink == (1.0 if mark.text == "HEAT" else 0.0)


def sheets(pages: list[Page]) -> list[Page]:
    """The pages that are filled in."""
    return [page for page in pages if any("H hot" in text for text in texts([page]))]


def test_what_is_expected_is_not_on_the_sheets() -> None:
    """No letter of a word is beside a field: H and C are letters of ports alone."""
    (calls,), pages = printed(planned())
    lines = lines_of(calls, boxes_by_system(planned())[""])
    letters = Counter(text for text in texts(sheets(pages)) if text in {"H", "C"})
    assert letters == Counter(line.port for line in lines if not line.unit and line.port in {"H", "C"})


def test_expected_shows_each_letter() -> None:
    """As many as there are readings of called lines."""
    (calls,), pages = printed(planned(), expected=True)
    lines = lines_of(calls, boxes_by_system(planned())[""])
    letters = Counter(text for text in texts(sheets(pages)) if text in {"H", "C"})
    wanted = Counter(letter for line in lines for letter in line.calls)
    own = Counter(line.port for line in lines if not line.unit and line.port in {"H", "C"})
    assert letters == wanted + own


def test_what_is_left_out_is_named() -> None:
    """On the first page; and it is in no list."""
    _, pages = printed(planned(), Asked(without=("FC-1",)))
    assert any("FC-1" in text for text in texts(pages[:1]))
    assert not [text for text in texts(pages[1:]) if text == "FC-1"]


def test_first_page_has_what_comes_first_and_the_cautions() -> None:
    """The manual's own test run, temperatures, drains, when a reading counts, who may work."""
    _, pages = printed(planned())
    page = " ".join(texts(pages[:1]))
    for text in ("manual", "outdoor", "65 to 80 °F", "drain", "100 °F", "60 °F", "15 minutes", "30 minutes"):
        assert text in page
    for text in ("licensed people", "Stop when", "common practice", "Liquid lines"):
        assert text in page


def test_no_text_of_a_page_is_lower_than_on_other_pages() -> None:
    """Rooms, heads of columns, legend and foot too: 2.3 mm."""
    _, pages = printed(planned(), expected=True)
    lowest = min(
        mark.size * face(mark.face).cap_height for mark in marks(pages, Text) if isinstance(mark, Text)
    )
    assert lowest >= PAGE_CAPS - 0.001


def test_a_draft_is_stamped_on_every_page() -> None:
    """White on black, as on the other documents; an issued job has no stamp."""
    plan = planned()
    for is_draft in (True, False):
        _, pages = printed(replace(plan, job=replace(plan.job, is_draft=is_draft)))
        stamped = [
            page
            for page in pages
            if any(
                isinstance(mark, Text) and "NOT FOR START-UP" in mark.text and mark.ink for mark in page.marks
            )
        ]
        assert stamped == (pages if is_draft else [])


def test_the_paper_names_no_option_of_the_program() -> None:
    """Whoever does the test has the paper alone."""
    _, pages = printed(planned())
    assert not [text for text in texts(pages) if "--" in text]


def test_a_system_has_its_own_pages() -> None:
    """With its name on each, and its digest."""
    plan = planned()
    boxes = tuple(
        replace(box, row=replace(box.row, system=f"HR-{at + 1}", level=f"{at + 2}"))
        for at, box in enumerate(plan.boxes)
    )
    systems, pages = printed(replace(plan, boxes=boxes))
    for calls in systems:
        own = [page for page in pages if any(calls.plan in text for text in texts([page]))]
        assert len(own) >= 4
        assert all(any(f"System {calls.system}" in text for text in texts([page])) for page in own)


def test_a_title_is_broken_before_what_is_tested() -> None:
    """`All boxes` is on one line, as a system's name is."""
    assert {"RESPONSE TEST:", "All\u00a0boxes"} <= set(texts(printed(planned())[1]))


@pytest.mark.parametrize("used", [1, 4, 8, 12])
def test_sheets_of_any_number_of_rounds_fit(used: int) -> None:
    """Boxes of one used port to twelve, with the longest tags and with long rooms and places."""
    room = "Conference room, north-east corner, above the archive"
    boxes = tuple(
        BoxSketch(
            f"{'B' * 22}-{box}",
            12,
            tuple(
                UnitSketch(f"{'W' * 20}-{box}{at:02}", "ABCDEFGHIJKL"[at], "12 kBtu/h", room)
                for at in range(used)
            ),
            f"{room}, over the service corridor",
        )
        for box in range(3)
    )
    printed(planned(JobSketch(boxes)), expected=True)


def test_the_form_is_a_form_to_other_programs() -> None:
    """Pypdf lists the same fields."""
    _, pages = printed(planned())
    content = draw_pdf("test", "", pages, all_faces())
    found = pypdf.PdfReader(io.BytesIO(content)).get_fields() or {}
    assert set(found) == {field.name for field in fields(pages)}
