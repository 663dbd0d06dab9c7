"""The verification sheet of a box: what is planned, room for what is found, a line a letter."""

import io
from itertools import combinations, pairwise

import pikepdf
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tagmaker.catalog.walk_items import WalkItem, walk_items
from tagmaker.draw.marks import Bars, Field, Rect
from tagmaker.draw.pdf import draw_pdf
from tagmaker.sheets.paper import paper_size
from tagmaker.sheets.walk import walk_pages
from tagmaker.tags.walk_code import read_page_code
from tagmaker.typeset.fonts import all_faces
from tagmaker.typeset.text import LEGIBLE_MM
from tests.plan.families import FOUR
from tests.records import replace
from tests.sheets.boxes import KINDS, LONG_NAME, LONG_PLACE, LONG_POWER, cases, filled, job_of, sparse
from tests.sheets.printed import (
    Box,
    Pages,
    faultless,
    faultless_or_told,
    faults,
    texts,
)
from tests.sheets.walked import fields_of, pages_in_order, pages_of, switches_of, too_small
from tests.strategies import BoxSketch, JobSketch, UnitSketch, first_box, sketches, words

LETTER, A4 = (215.9, 279.4), (210.0, 297.0)
"""ASME Y14.1 size A (read); ISO 216 A4 (read)."""


def lines_of_ports(pages: Pages) -> list[list[str]]:
    """The texts of each letter's line: the letter, then what is planned."""
    lines: list[list[str]] = []
    for page in pages:
        told = texts((page,))
        for text in told[told.index("Note") + 1 :] if "Note" in told else ():
            if text.startswith(("3  ", "4  ")) or " – sheet " in text:
                break
            if len(text) == 1 and text.isalpha():
                lines.append([])
            lines[-1].append(text)
    return lines


# --- every box on every paper ------------------------------------------------------------------------------


@pytest.mark.parametrize("blind", [False, True])
@pytest.mark.parametrize(("kind", "ports", "page"), cases(("letter", "a4")))
def test_every_box_fits_one_page(kind: str, ports: int, page: str, *, blind: bool) -> None:
    """All sizes, full, nearly empty, all joined, long-worded, blind: one page up to 12 ports, no fault."""
    pages, problems = pages_of(job_of(KINDS[kind](ports), page=page), blind=blind)
    assert len(faultless(pages, problems, margin_mm=6.35)) == 1
    assert too_small(pages) == []
    assert {(sheet.width, sheet.height) for sheet in pages} == {A4 if page == "a4" else LETTER}


@pytest.mark.parametrize("page", ["letter", "a4"])
@pytest.mark.parametrize("ports", [1, 4, 8, 10, 12])
def test_a_page_is_filled_and_not_crowded(ports: int, page: str) -> None:
    """No blank of a third of the page, and half of one is 40 mm at most, whatever the box has."""
    family = (
        None if ports > 1 else replace(FOUR, port_counts=(1,), port_names="A", ports_per_board=1, rules=())
    )
    box = filled(ports) if ports > 1 else BoxSketch("BB-1", 1, (UnitSketch("FC-1", "A"),), "Lobby", "P1")
    (sheet,) = pages_in_order(job_of(box, page=page), family)
    edges = sorted({round(mark.y + mark.height) for mark in sheet.marks if isinstance(mark, Field | Rect)})
    assert max(later - earlier for earlier, later in pairwise(edges)) < 40


@pytest.mark.parametrize("page", ["letter", "a4"])
def test_a_draft_of_a_long_name_fits(page: str) -> None:
    """A name of nearly 60 characters, a number, a revision, a date and DRAFT: all of it is printed."""
    sketch = replace(job_of(filled(12), is_draft=True, page=page), name=LONG_NAME)
    said = " ".join(texts(pages_in_order(sketch)))
    assert f"ML-24 {LONG_NAME} Revision 2 · 2026-04-30 · DRAFT" in said


@given(sketches(most_boxes=1), st.sampled_from(("letter", "a4")))
@settings(max_examples=15, deadline=None)
def test_any_box_is_in_order_or_told(sketch: JobSketch, page: str) -> None:
    """Whatever hangs on a box: its sheet has no fault, or a problem names it."""
    found = pages_of(replace(sketch, stocks=(("placard", page),)))
    faultless_or_told(*found, "verification sheet of BB-1", margin_mm=6.35)


@pytest.mark.parametrize(
    ("stocks", "size"),
    [
        ((), LETTER),
        ((("placard", "4x6"),), LETTER),
        ((("placard", "a4"),), A4),
        ((("pipe", "a4-21-63x38"),), A4),
    ],
)
def test_the_paper_is_the_jobs(stocks: tuple[tuple[str, str], ...], size: tuple[float, float]) -> None:
    """A4 where the job prints anything else on A4, letter elsewhere."""
    assert size == paper_size(replace(job_of(sparse(4)), stocks=stocks).record())


# --- ports -------------------------------------------------------------------------------------------------


def test_a_line_a_letter() -> None:
    """Single, shared, joined (first and second letter) and spare ports: what is planned, with addresses."""
    rows = (
        UnitSketch("FC-1", "A", "12 kBtu/h"),
        UnitSketch("FC-2", "A", "9 kBtu/h"),
        UnitSketch("AH-1", "C+D", "72 kBtu/h"),
    )
    job = replace(job_of(BoxSketch("BB-1", 4, rows)).record(), walk_items=walk_items())
    job = replace(job, units=(replace(job.units[0], address="2-07"), *job.units[1:]))
    assert lines_of_ports(faultless(*walk_pages(job, first_box(job), words()), margin_mm=6.35)) == [
        ["A", "FC-1 (2-07), FC-2", "21 kBtu/h"],
        ["B", "SPARE", "stubs capped, no cable"],
        ["C", "AH-1", "C+D joined · 72 kBtu/h"],
        ["D", "AH-1", "C+D joined, cable on C"],
    ]


@given(sketches(most_boxes=1))
@settings(max_examples=15, deadline=None)
def test_every_letter_has_its_line_once(sketch: JobSketch) -> None:
    """A to the box's last letter, in order, both letters of a pair included."""
    pages, problems = pages_of(sketch)
    if not problems:
        letters = [line[0] for line in lines_of_ports(pages)]
        assert letters == list(FOUR.port_names[: sketch.boxes[0].ports])


def test_an_unknown_load_is_a_question_mark() -> None:
    """A draft's missing capacity is no number."""
    box = replace(sparse(4), units=(UnitSketch("FC-1", "A", ""),))
    assert lines_of_ports(pages_in_order(job_of(box, is_draft=True)))[0][:3] == ["A", "FC-1", "?"]


def test_every_letter_has_its_fields() -> None:
    """Pipe and cable: correct, or which unit; tags, how proved, a note; a tick for every item asked."""
    fields = fields_of(pages_in_order(job_of(sparse(4))))
    before = ["pipe/ok", "pipe/found", "cable/ok", "cable/found"]
    after = ["tags/ok", "pipe/proved", "cable/proved", "proved", "note"]
    for letter in "ABCD":
        names = [mark.name for mark in fields if mark.name.startswith(f"BB-1/port/{letter}/")]
        endings = [*before, *(["item/polarity"] if letter == "A" else []), *after]
        assert names == [f"BB-1/port/{letter}/{ending}" for ending in endings]


@pytest.mark.parametrize("blind", [False, True])
def test_every_field_has_its_frame_in_ink(*, blind: bool) -> None:
    """A print without the form has a black frame at each box to mark and each place to write in."""
    job = replace(job_of(filled(12)).record(), walk_items=walk_items())
    (page,), _ = walk_pages(job, first_box(job), words(), blind=blind)
    frames = {
        (mark.x, mark.y, mark.width, mark.height)
        for mark in page.marks
        if isinstance(mark, Rect) and mark.line and not mark.ink
    }
    shown = [mark for mark in fields_of((page,)) if mark.kind in {"check", "text"}]
    assert [mark for mark in shown if (mark.x, mark.y, mark.width, mark.height) not in frames] == []
    assert all(min(mark.width, mark.height) >= 5.0 for mark in shown if mark.kind == "check")
    assert all(mark.height >= 7.0 and mark.width >= 15.0 for mark in shown if mark.kind == "text")


def test_a_board_that_was_seen_is_for_screens_alone() -> None:
    """On paper two boxes a switch say it; on a screen one tick says that the rest of a board is OFF."""
    pages = pages_in_order(job_of(filled(12)))
    seen = [mark for mark in fields_of(pages) if mark.kind == "screen"]
    assert [mark.name for mark in seen] == [f"BB-1/{place}/seen" for place in ("left", "middle", "right")]
    with pikepdf.open(io.BytesIO(draw_pdf("walk", "tests", pages, all_faces()))) as document:
        notes = list(document.pages[0]["/Annots"])
        printed = {str(note["/T"]) for note in notes if int(note["/F"]) & PRINT}
    hidden = {mark.name for mark in fields_of(pages) if mark.kind in {"screen", "kept"}}
    assert printed == {mark.name for mark in fields_of(pages)} - hidden


PRINT = 4
"""The flag of an annotation that is printed: ISO 32000-1, table 165 (from memory)."""


def test_nothing_is_filled_in_beforehand() -> None:
    """Only the hidden field that says what the sheet was printed for has a value."""
    fields = fields_of(pages_in_order(job_of(filled(12))))
    assert [(mark.kind, mark.name) for mark in fields if mark.value and mark.kind != "screen"] == [
        ("kept", "BB-1/printed-for")
    ]


@given(sketches(most_boxes=1))
@settings(max_examples=15, deadline=None)
def test_fields_are_apart_and_named_once(sketch: JobSketch) -> None:
    """No two fields of a page share room, and no two of a sheet share a name or lack words for a reader."""
    pages, _ = pages_of(sketch)
    shown = [mark for mark in fields_of(pages) if mark.kind != "kept"]
    assert len({mark.name for mark in shown}) == len(shown)
    assert all(mark.spoken for mark in shown)
    for page in pages:
        boxes = [
            Box(mark.x, mark.y, mark.x + mark.width, mark.y + mark.height)
            for mark in fields_of((page,))
            if mark.kind != "kept"
        ]
        assert not any(one.overlaps(two) for one, two in combinations(boxes, 2))


EXPECTED = ("lanned", "plan ", "any", "FC-", "AH-", "kBtu", "SPARE", "capped")


def test_blind_sheets_leave_out_what_is_expected() -> None:
    """No planned picture, unit or load: whoever looks writes what is there, not what should be."""
    job = replace(job_of(filled(4)).record(), walk_items=walk_items())
    pages, problems = walk_pages(job, first_box(job), words(), blind=True)
    assert problems == ()
    assert faults(pages, margin_mm=6.35, least_mm=LEGIBLE_MM) == []
    said = " ".join(texts(pages))
    assert not any(
        word in said for word in ("lanned", "plan ", "any", "FC-", "AH-", "kBtu", "SPARE", "capped")
    )
    assert {each.plan for each in switches_of(pages).values()} == {""}


def test_it_says_what_was_compared() -> None:
    """Tag against the box's own letter, and rung out or traced: matching tags prove nothing."""
    said = " ".join(texts(pages_in_order(job_of(filled(4)))))
    assert "Matching tags prove nothing." in said
    assert "checked against the letter on the box itself" in said
    assert "rung out with power isolated" in said
    assert "prove it dead before opening the control box" in said


def test_who_signs() -> None:
    """Installer, technician and verifier, each with a date."""
    told = texts(pages_in_order(job_of(sparse(4))))
    assert told[-6:] == ["Installer", "Date", "Technician", "Date", "Verifier", "Date"]


# --- heads and pages ---------------------------------------------------------------------------------------


def test_the_head() -> None:
    """Box as it is shown, job, site, revision, date, refrigerant with its group, place, isolation."""
    sketch = job_of(replace(filled(6), shown="BB 1/L2"))
    job = replace(sketch.record(), site="14 Marsh Lane", refrigerant="R-32", walk_items=walk_items())
    pages, _ = walk_pages(job, first_box(job), words())
    assert texts(pages)[:7] == [
        "BB 1/L2",
        "VERIFICATION SHEET",
        "ML-24 Marsh Lane Library",
        "14 Marsh Lane",
        "Revision 2 · 2026-04-30 · Refrigerant R-32, group A2L",
        "Place: Level 2 corridor, grid C4",
        "Isolate power at: Panel LP-2, circuit 14",
    ]
    assert "BB 1/L2 – sheet 1 of 1" in texts(pages)


def test_what_is_not_given_is_said() -> None:
    """No place, no isolation, no date, no number: said or left out, never blank after a colon."""
    sketch = replace(job_of(replace(sparse(4), place="", power="")), date=None, number="")
    told = texts(pages_in_order(sketch))
    assert told[2:6] == [
        "Marsh Lane Library",
        "Revision 2",
        "Place: not given",
        "Isolate power at: not given",
    ]


def test_how_to_mark_and_to_take_back() -> None:
    """A crossed box, a filled one and an empty one, each with what it counts as."""
    (page,) = pages_in_order(job_of(filled(4)))
    said = " ".join(texts((page,)))
    assert "marked, dark pen" in said
    assert "filled whole, initials beside: mark taken back, counts as blank" in said
    assert "blank: not looked at" in said
    assert "Of each switch mark ON or OFF as found, never both." in said


@pytest.mark.parametrize("page", ["letter", "a4"])
def test_four_marks_and_a_code_place_every_page(page: str) -> None:
    """Solid squares of 5 mm at the corners, alike on all pages, nothing within 2 mm; a code that reads."""
    rows = tuple(UnitSketch(f"{'W' * 20}{n:04d}", "ABCDEFGHIJ"[n // 5]) for n in range(50))
    pages = pages_in_order(job_of(BoxSketch("BB-1", 12, rows), page=page))
    assert len(pages) == 2
    for number, sheet in enumerate(pages, start=1):
        squares = [
            (mark.x, mark.y)
            for mark in sheet.marks
            if isinstance(mark, Rect) and mark.fill == 0.0 and mark.width == mark.height == 5.0
        ]
        far = (sheet.width - 11.5, sheet.height - 11.5)
        assert sorted(squares) == sorted((x, y) for x in (6.5, far[0]) for y in (6.5, far[1]))
        (code,) = [mark for mark in sheet.marks if isinstance(mark, Bars)]
        assert code.cell_width >= 0.4
        read = read_page_code(code.text)
        assert read is not None
        assert (read.box, read.page, read.pages, read.job, read.revision) == ("BB-1", number, 2, "ML-24", "2")


def test_whatever_is_long_goes_on_and_is_not_refused() -> None:
    """Tags of 24 wide letters, five units on each port, long names: further pages, every unit printed."""
    rows = [UnitSketch(f"{'W' * 20}{n:04d}", "ABCDEFGHIJ"[n // 5], room="Reading room") for n in range(50)]
    rows += [UnitSketch("M" * 24, "K+L", "96 kBtu/h")]
    box = BoxSketch("W" * 24, 12, tuple(rows), LONG_PLACE, LONG_POWER)
    sketch = replace(job_of(box, is_draft=True), name=LONG_NAME, number="N" * 24)
    pages, problems = pages_of(sketch, site="W" * 60, items=(replace(OWN[0], text="W" * 50),))
    said = " ".join(texts(faultless(pages, problems, margin_mm=6.35)))
    assert [row.tag for row in rows if row.tag not in said] == []
    assert too_small(pages) == []


OWN = (
    WalkItem("tilt", "used", "installer", "Unit level, its drain tested with water, the result in the note"),
    WalkItem("caps", "spare", "verifier", "Caps on"),
    WalkItem("mark", "port", "technician", "Letter painted"),
    WalkItem("clean", "port", "technician", "W" * 15),
    WalkItem("hatch", "box", "verifier", "Hatch closed"),
)


@pytest.mark.parametrize("blind", [False, True])
def test_a_jobs_own_items_are_with_their_letter(*, blind: bool) -> None:
    """Below the letter's line, with who answers, each once for what it is asked of."""
    pages, problems = pages_of(job_of(sparse(4)), items=OWN, blind=blind)
    faultless(pages, problems, margin_mm=6.35)
    names = [mark.name for mark in fields_of(pages) if "/item/" in mark.name]
    of = {key: "".join(name.split("/")[2] for name in names if name.endswith(f"/{key}")) for key in KEYS}
    assert of == (
        dict.fromkeys(KEYS, "ABCD")
        if blind
        else {"tilt": "A", "caps": "BCD", "mark": "ABCD", "clean": "ABCD"}
    )
    assert "Letter painted (Technician)" in texts(pages)


KEYS = ("tilt", "caps", "mark", "clean")


def test_many_boards_go_over_to_further_pages() -> None:
    """A box of 24 ports on six boards: every page is headed and numbered, no block is torn."""
    family = replace(
        FOUR,
        port_names="ABCDEFGHIJKLMNOPQRSTUVWX",
        port_counts=(24,),
        places=(
            *FOUR.places,
            *(tuple(f"b{letter}" for letter in "abcdefgh"[:count]) for count in range(4, 7)),
        ),
    )
    box = BoxSketch("BB-1", 24, tuple(UnitSketch(f"FC-{letter}", letter) for letter in family.port_names))
    pages = pages_in_order(job_of(box), family)
    assert len(pages) == 2
    for number, page in enumerate(pages, start=1):
        told = texts((page,))
        assert told[0] == "BB-1"
        assert f"BB-1 – sheet {number} of 2" in told
    assert [line[0] for line in lines_of_ports(pages)] == list(family.port_names)


def test_a_text_without_room_is_named() -> None:
    """A place of 60 wide letters takes a line of its own; an item of 80 is wider than that."""
    pages, problems = pages_of(job_of(replace(sparse(4), place="W" * 60, power="M" * 60)))
    assert f"Place: {'W' * 60}" in texts(faultless(pages, problems, margin_mm=6.35))
    _, (problem,) = pages_of(job_of(sparse(4)), items=(WalkItem("hatch", "box", "verifier", "W" * 80),))
    assert (problem.code, str(problem.where)) == ("text-too-long", "job.toml:10")
    assert problem.message.startswith("verification sheet of BB-1: 'WWW")


def test_items_are_numbered_in_their_order() -> None:
    """In one column or two: two columns could be read down or across."""
    for ports in (4, 12):
        shown = texts(pages_in_order(job_of(filled(ports))))
        first, last = (shown.index(words()(f"walk.{key}")) for key in ("items", "sign"))
        numbers = [text for text in shown[first:last] if text.isdecimal()]
        assert numbers == [str(number) for number in range(1, len(numbers) + 1)]
        assert len(numbers) == 7
