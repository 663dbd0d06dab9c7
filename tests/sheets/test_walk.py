"""The verification sheet of a box: what is planned, room for what is found, a line a letter."""

from itertools import combinations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tagmaker.catalog.family import Family
from tagmaker.catalog.walk_items import walk_items
from tagmaker.draw.marks import Field, Page, Rect
from tagmaker.problems import Problem
from tagmaker.sheets.paper import paper_size
from tagmaker.sheets.walk import walk_pages
from tagmaker.typeset.text import LEGIBLE_MM
from tests.plan.families import FOUR, three
from tests.records import replace
from tests.sheets.boxes import KINDS, LONG_NAME, cases, filled, job_of, sparse
from tests.sheets.pictured import pictured
from tests.sheets.printed import Box, Pages, faultless, faultless_or_told, faults, texts
from tests.strategies import BoxSketch, JobSketch, UnitSketch, first_box, sketches, stock_named, words

LETTER, A4 = (215.9, 279.4), (210.0, 297.0)
"""ASME Y14.1 size A (read); ISO 216 A4 (read)."""


def pages_of(sketch: JobSketch, family: Family | None = None) -> tuple[Pages, tuple[Problem, ...]]:
    """The verification sheet of a job's first box."""
    job = replace(sketch.record(family), walk_items=walk_items())
    return walk_pages(job, first_box(job), words())


def pages_in_order(sketch: JobSketch, family: Family | None = None) -> Pages:
    """A verification sheet that must fit and read back without a fault."""
    return faultless(*pages_of(sketch, family), margin_mm=6.35)


def fields_of(pages: Pages) -> list[Field]:
    """What is to be filled in, in drawing order."""
    return [mark for page in pages for mark in page.marks if isinstance(mark, Field)]


def lines_of_ports(pages: Pages) -> list[list[str]]:
    """The texts of each letter's line."""
    told = texts(pages)
    start = told.index("Note") + 1
    end = next(
        place
        for place in range(start, len(told))
        if told[place] == "3  Other checks" or " – sheet " in told[place]
    )
    lines: list[list[str]] = []
    for text in told[start:end]:
        if len(text) == 1 and text.isalpha():
            lines.append([])
        lines[-1].append(text)
    return lines


# --- every box on every paper ------------------------------------------------------------------------------


@pytest.mark.parametrize(("kind", "ports", "page"), cases(("letter", "a4")))
def test_every_box_fits_two_pages(kind: str, ports: int, page: str) -> None:
    """All sizes, full, nearly empty, all joined, long-worded: up to 6 ports a page, then two, no fault."""
    pages = pages_in_order(job_of(KINDS[kind](ports), page=page))
    assert len(pages) == (1 if ports <= 6 or (ports, page) == (8, "a4") else 2)
    assert {(sheet.width, sheet.height) for sheet in pages} == {A4 if page == "a4" else LETTER}


def test_items_and_signatures_stay_together() -> None:
    """Where the first page cannot hold them all, all stand on the second: whoever signs sees the items."""
    first, second = pages_in_order(job_of(filled(12)))
    assert not {"3  Other checks", "4  Signatures"} & set(texts((first,)))
    assert texts((second,)).index("3  Other checks") < texts((second,)).index("4  Signatures")
    items = {mark.name for mark in fields_of((second,)) if "/item/" in mark.name}
    assert items == {mark.name for mark in fields_of((first, second)) if "/item/" in mark.name}


@pytest.mark.parametrize("page", ["letter", "a4"])
def test_a_draft_of_a_long_name_fits(page: str) -> None:
    """A name of nearly 60 characters, a number, a revision, a date and DRAFT: all of it is printed."""
    sketch = replace(job_of(filled(12), is_draft=True, page=page), name=LONG_NAME)
    said = " ".join(texts(pages_in_order(sketch)))
    assert f"ML-24 {LONG_NAME} · Revision 2 · 2026-04-30 · DRAFT" in said


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


# --- boards ------------------------------------------------------------------------------------------------


@given(sketches(most_boxes=1))
@settings(max_examples=15, deadline=None)
def test_every_planned_picture_stands_beside_an_empty_one(sketch: JobSketch) -> None:
    """Each bank's sliders are where the plan puts them, and the picture to be marked shows none."""
    pages, _ = pages_of(sketch)
    boards = first_box(sketch.record()).boards
    pictures = [picture for page in pages for picture in pictured(page.marks)]
    for board in boards:
        planned, pictures = pictures[: len(board.banks)], pictures[len(board.banks) :]
        found, pictures = pictures[: len(board.banks)], pictures[len(board.banks) :]
        assert [bank.on() for bank in board.banks] == [picture.at_end("ON") for picture in planned]
        for picture, empty in zip(planned, found, strict=True):
            assert {(each.upper, each.lower, each.word) for each in empty.switches} == {("_", "_", "")}
            assert [each.number for each in empty.switches] == [each.number for each in picture.switches]
            assert (empty.head[-1], empty.upper, empty.lower) == (
                picture.head[-1],
                picture.upper,
                picture.lower,
            )
    assert pictures == []


def test_a_planned_picture_in_full() -> None:
    """The right board of a 10-port box: J spare, K and L are not fitted, switch 3 of bank 2 as found."""
    box = BoxSketch("BB-1", 10, tuple(UnitSketch(f"FC-{letter}", letter) for letter in "ABCDEFGHI"))
    first, second = pictured(pages_in_order(job_of(box))[0].marks)[8:10]
    assert first.as_text().splitlines()[1:] == [
        "ON  . # . .",
        "OFF # . # #",
        "    1 2 3 4",
        "    OFF ON OFF OFF",
    ]
    assert second.as_text().splitlines()[1:] == [
        "ON  . . ? #",
        "OFF # # ? .",
        "    1 2 3 4",
        "    OFF OFF AS FOUND ON",
    ]


def test_boards_are_headed_planned_and_found() -> None:
    """Nobody can take the plan for a finding."""
    told = texts(pages_in_order(job_of(filled(12))))
    for place in ("LEFT", "MIDDLE", "RIGHT"):
        assert told.index(f"{place} BOARD – planned") < told.index(f"{place} BOARD – found")


@pytest.mark.parametrize("ports", [3, 5, 6, 8, 9])
def test_a_family_of_another_shape(ports: int) -> None:
    """Three ports a board, one bank of six, ON pointing down, numbered from the right."""
    rows = (UnitSketch("FC-1", "A", "5 kW", "Shop"), UnitSketch("AH-1", "B+C", "20 kW", "Hall"))
    pages = pages_in_order(job_of(BoxSketch("HB-1", ports, rows)), three())
    first = pictured(pages[0].marks)[0]
    assert (first.upper, first.at_end("ON")) == ("OFF", (5,))
    assert [each.number for each in first.switches] == [6, 5, 4, 3, 2, 1]


# --- ports -------------------------------------------------------------------------------------------------


def test_a_line_a_letter() -> None:
    """Single, shared, joined (first and second letter) and spare ports: what is planned, what to tick."""
    rows = (
        UnitSketch("FC-1", "A", "12 kBtu/h"),
        UnitSketch("FC-2", "A", "9 kBtu/h"),
        UnitSketch("AH-1", "C+D", "72 kBtu/h"),
    )
    assert lines_of_ports(pages_in_order(job_of(BoxSketch("BB-1", 4, rows)))) == [
        ["A", "FC-1, FC-2", "21 kBtu/h", "correct", "correct", "pipe", "cable"],
        ["B", "SPARE", "capped", "no cable", "pipe", "cable"],
        ["C", "AH-1", "C+D joined · 72 kBtu/h", "correct", "correct", "pipe", "cable"],
        ["D", "AH-1", "C+D joined · 72 kBtu/h · lands on C", "correct", "no cable", "pipe", "cable"],
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
    always = ["pipe/ok", "pipe/found", "cable/ok", "cable/found", "tags/ok"]
    always += ["pipe/proved", "cable/proved", "proved", "note"]
    for letter in "ABCD":
        names = [mark.name for mark in fields if mark.name.startswith(f"BB-1/port/{letter}/")]
        asked = ["polarity"] if letter == "A" else []
        endings = always + [f"item/{key}" for key in asked]
        assert names == [f"BB-1/port/{letter}/{ending}" for ending in endings]


def test_every_switch_found_on_is_ticked_in_its_slot() -> None:
    """A field a switch, inside the ON end of its slot on the picture to be marked, and one a board."""
    page = pages_in_order(job_of(sparse(4)))[0]
    names = [f"BB-1/only/{bank}/{switch}" for bank in (1, 2) for switch in range(1, 5)]
    ticks = [mark for mark in fields_of((page,)) if mark.name.startswith("BB-1/only/")]
    assert [mark.name for mark in ticks] == [*names, "BB-1/only/seen"]
    slots = [Box(rect.x, rect.y, rect.x + rect.width, rect.y + rect.height) for rect in rects_of(page, 0.3)]
    for tick in ticks[:-1]:
        end = Box(tick.x, tick.y, tick.x + tick.width, tick.y + tick.height)
        assert any(slot.holds(end) for slot in slots)


def rects_of(page: Page, line: float) -> list[Rect]:
    """The rectangles of a page with an outline of that width."""
    return [mark for mark in page.marks if isinstance(mark, Rect) and mark.line == line]


def test_nothing_is_filled_in_beforehand() -> None:
    """Only the hidden field that says what the sheet was printed for has a value."""
    fields = fields_of(pages_in_order(job_of(filled(12))))
    assert [(mark.kind, mark.name) for mark in fields if mark.value] == [("kept", "BB-1/printed-for")]


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


def test_blind_sheets_leave_out_what_is_expected() -> None:
    """No planned picture, unit or load: whoever looks writes what is there, not what should be."""
    job = replace(job_of(filled(4)).record(), walk_items=walk_items())
    pages, problems = walk_pages(job, first_box(job), words(), blind=True)
    assert problems == ()
    assert faults(pages, margin_mm=6.35, least_mm=LEGIBLE_MM) == []
    said = " ".join(texts(pages))
    assert not any(word in said for word in ("planned", "FC-", "AH-", "kBtu", "SPARE", "capped"))
    assert [picture.at_end("ON") for page in pages for picture in pictured(page.marks)] == [(), ()]


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
    assert told[-7:-1] == ["Installer", "Date", "Technician", "Date", "Verifier", "Date"]


# --- heads and pages ---------------------------------------------------------------------------------------


def test_the_head() -> None:
    """Box as it is shown, job, revision, date, place, and where its power is isolated."""
    told = texts(pages_in_order(job_of(replace(filled(6), shown="BB 1/L2"))))
    assert told[:5] == [
        "BB 1/L2",
        "VERIFICATION SHEET",
        "ML-24 Marsh Lane Library · Revision 2 · 2026-04-30",
        "Place: Level 2 corridor, grid C4",
        "Isolate power at: Panel LP-2, circuit 14",
    ]
    assert told[-1] == "BB 1/L2 – sheet 1 of 1"


def test_what_is_not_given_is_said() -> None:
    """No place, no isolation, no date, no number: said or left out, never blank after a colon."""
    sketch = replace(job_of(replace(sparse(4), place="", power="")), date=None, number="")
    told = texts(pages_in_order(sketch))
    assert told[2:5] == [
        "Marsh Lane Library · Revision 2",
        "Place: not given",
        "Isolate power at: not given",
    ]


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
    assert len(pages) == 3
    for number, page in enumerate(pages, start=1):
        told = texts((page,))
        assert told[0] == "BB-1"
        assert told[-1] == f"BB-1 – sheet {number} of 3"
    assert [line[0] for line in lines_of_ports(pages) if line[0] in family.port_names]


def test_a_place_without_room_is_told() -> None:
    """One unbreakable word of 60 wide letters is named with the sheet, at the box's row."""
    _, (problem,) = pages_of(job_of(replace(sparse(4), place="W" * 60)))
    assert (problem.code, str(problem.where)) == ("text-too-long", "job.toml:10")
    assert problem.message.startswith("verification sheet of BB-1: 'Place: WWW")
    assert stock_named("letter").page == LETTER
