"""The verification sheet as a form: its fields by name, in reading order, empty, beside the printed words."""

import io
import re
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise
from pathlib import Path

import pikepdf
import pytest
from hypothesis import given, settings

from tagmaker.catalog.walk_items import WalkItem, walk_items
from tagmaker.draw.marks import Page
from tagmaker.draw.pdf import draw_pdf
from tagmaker.plan.model import BoxPlan, Plan
from tagmaker.plan.plan_job import plan_job
from tagmaker.revisions.selection import Selection
from tagmaker.sheets.walk import walk_pages
from tagmaker.tags.walk import printed_for
from tagmaker.typeset.fonts import all_faces
from tagmaker.typeset.text import LEGIBLE_MM
from tagmaker.workflows import make
from tests.plan.families import three
from tests.records import replace
from tests.sheets.boxes import KINDS, filled, job_of
from tests.sheets.printed import Box, faults, printed_pages
from tests.site.walks import ITEMS, ROLES, SINGLE, SITE, items_of, letters
from tests.strategies import PAGE_STOCKS, SIZES, JobSketch, sketches, words

MM = 25.4 / 72
WRITTEN = 0.005  # mm: places in a PDF have two digits in points
HIDDEN, READ_ONLY = 2, 1
"""Annotation flag 2 and field flag 1: ISO 32000-1, tables 165 and 221 (from memory)."""


@dataclass(frozen=True)
class Seen:
    """A field as pikepdf finds it on a page, in mm from the page's top left corner."""

    page: int
    name: str
    kind: str
    value: str
    told: str
    box: Box
    is_hidden: bool

    @property
    def middle(self) -> float:
        """How far down its middle is."""
        return middle(self.box)


def planned(sketch: JobSketch, *own: WalkItem) -> Plan:
    """A job's plan, the items of every walk with it."""
    family = three() if sketch.family == "three-port-boards" else None
    return plan_job(replace(sketch.record(family), walk_items=(*walk_items(), *own)))[0]


def pages_of(plan: Plan, *, blind: bool = False) -> tuple[Page, ...]:
    """The verification sheet of a job's first box, which must fit."""
    pages, problems = walk_pages(plan.job, plan.boxes[0], words(), blind=blind)
    assert [problem.message for problem in problems] == []
    return pages


def fields_of(pages: tuple[Page, ...]) -> list[Seen]:
    """Every field of a sheet, in the order in which a viewer goes through them."""
    return list(fields_in(draw_pdf("walk", "tests", pages, all_faces())))


def fields_in(pdf: bytes) -> Iterator[Seen]:
    """Every field of a PDF."""
    with pikepdf.open(io.BytesIO(pdf)) as document:
        for number, page in enumerate(document.pages):
            height = float(page.mediabox[3])
            for note in page.get("/Annots", pikepdf.Array()):
                left, bottom, right, top = (float(each) for each in note["/Rect"])
                value = note.get("/V", "")
                yield Seen(
                    page=number,
                    name=str(note["/T"]),
                    kind=str(note["/FT"]),
                    value=str(value),
                    told=str(note.get("/TU", "")),
                    box=Box(left * MM, (height - top) * MM, right * MM, (height - bottom) * MM),
                    is_hidden=int(note.get("/F", 0)) == HIDDEN and int(note.get("/Ff", 0)) & READ_ONLY > 0,
                )


def names_of(box: BoxPlan, *, blind: bool = False) -> set[str]:
    """The fields that the sheet of a box must have."""
    key = box.row.tag.upper()
    names = {f"{key}/printed-for", *(f"{key}/item/{item}" for item in ITEMS["box"])}
    names |= {f"{key}/{what}/{role}" for what in ("sign", "date") for role in ROLES}
    for board in box.boards:
        names.add(f"{key}/{board.place}/seen")
        for number, bank in enumerate(box.row.family.banks, start=1):
            switches = [f"{key}/{board.place}/{number}/{switch}" for switch in range(1, bank.switches + 1)]
            names |= {*switches, *(f"{switch}/off" for switch in switches)}
    everything = [item for per in ("port", "used", "cabled", "spare") for item in ITEMS[per]]
    for letter, port in letters(box):
        whats = {"tags/ok", "proved", "note"}
        whats |= {f"{line}/{what}" for line in ("pipe", "cable") for what in ("ok", "found", "proved")}
        names |= {f"{key}/port/{letter}/{what}" for what in whats}
        asked = everything if blind else items_of(port, letter)
        names |= {f"{key}/port/{letter}/item/{item}" for item in asked}
    return names


def out_of_order(fields: list[Seen]) -> list[tuple[str, str]]:
    """Fields that a viewer goes to before one that is before them on the page; boards have their own."""
    shown = [field for field in fields if not field.is_hidden and not BOARD.search(field.name)]
    wrong = [(first.name, second.name) for first, second in pairwise(shown) if not reads_on(first, second)]
    return wrong + boards_out_of_order(fields)


def boards_out_of_order(fields: list[Seen]) -> list[tuple[str, str]]:
    """Switch by switch as one faces a bank, ON before OFF; the tick for a whole board after its switches."""
    wrong: list[tuple[str, str]] = []
    on_boards = [field for field in fields if BOARD.search(field.name)]
    for first, second in pairwise(on_boards):
        here, there = first.name.split("/"), second.name.split("/")
        if second.name == f"{first.name}/off":
            continue
        same_bank = here[:3] == there[:3]
        is_next = second.box.left > first.box.left if same_bank else here[1:3] != there[1:3]
        if not is_next or not (first.name.endswith("/off") or here[2] == "seen"):
            wrong.append((first.name, second.name))
    return wrong


BOARD = re.compile(r"^[^/]+/(?!port|item|sign|date)[a-z]+/(\d|seen)")


def reads_on(first: Seen, second: Seen) -> bool:
    """Whether the second is further on: on a later page, lower, or further right in the same line."""
    if first.page != second.page:
        return second.page == first.page + 1
    same_line = abs(first.middle - second.middle) < 2
    return second.box.left > first.box.left if same_line else second.middle > first.middle


def misplaced(pages: tuple[Page, ...], fields: list[Seen]) -> list[str]:
    """Fields that leave the page, cover each other, or cover a printed word."""
    found: list[str] = []
    texts = printed_pages(pages)
    shown = [field for field in fields if not field.is_hidden]
    for index, field in enumerate(shown):
        page = pages[field.page]
        if not Box(6.35, 6.35, page.width - 6.35, page.height - 6.35).holds(field.box):
            found.append(f"{field.name} leaves the page")
        found += [
            f"{field.name} covers {other.name}"
            for other in shown[index + 1 :]
            if other.page == field.page and field.box.overlaps(other.box)
        ]
        found += [
            f"{field.name} covers {text.text}" for text in texts[field.page] if field.box.overlaps(text.box)
        ]
    return found


# --- every box on every paper -------------------------------------------------------------------------------


@pytest.mark.parametrize("ports", SIZES)
@pytest.mark.parametrize("kind", ["filled", "sparse", "paired"])
def test_every_box_has_its_fields(kind: str, ports: int) -> None:
    """Of every size and use: exactly the fields that were agreed, each once, in order, where nothing is."""
    plan = planned(job_of(KINDS[kind](ports)))
    pages = pages_of(plan)
    fields = fields_of(pages)
    assert sorted(names_of(plan.boxes[0])) == sorted(field.name for field in fields)
    assert (out_of_order(fields), misplaced(pages, fields)) == ([], [])


@pytest.mark.parametrize("ports", SIZES)
def test_every_blind_box_has_its_fields(ports: int) -> None:
    """The same without what is expected; no word of it over another."""
    plan = planned(job_of(filled(ports)))
    pages = pages_of(plan, blind=True)
    fields = fields_of(pages)
    assert sorted(names_of(plan.boxes[0], blind=True)) == sorted(field.name for field in fields)
    assert (out_of_order(fields), misplaced(pages, fields)) == ([], [])
    assert faults(pages, margin_mm=6.35, least_mm=LEGIBLE_MM) == []


@pytest.mark.parametrize("page", PAGE_STOCKS)
def test_every_paper_has_the_same_fields(page: str) -> None:
    """On letter and A4 alike."""
    plan = planned(job_of(filled(12), page=page))
    pages = pages_of(plan)
    fields = fields_of(pages)
    assert {field.name for field in fields} == names_of(plan.boxes[0])
    assert (out_of_order(fields), misplaced(pages, fields)) == ([], [])


@given(sketches(most_boxes=1))
@settings(max_examples=8, deadline=None)
def test_any_box_has_its_fields(sketch: JobSketch) -> None:
    """However it is used."""
    plan = planned(sketch)
    pages = pages_of(plan)
    fields = fields_of(pages)
    key, count = plan.boxes[0].row.key, len(pages)
    of_pages = [f"{key}/printed-for/{page}" for page in range(1, count + 1)] if count > 1 else []
    assert sorted([*names_of(plan.boxes[0]), *of_pages]) == sorted(field.name for field in fields)
    assert (out_of_order(fields), misplaced(pages, fields)) == ([], [])


def test_another_family_has_its_own_switches() -> None:
    """One bank of six, numbered from the right, ON pointing down: ticks from left to right, at the foot."""
    sketch = replace(SINGLE, family="three-port-boards", boxes=(replace(SINGLE.boxes[0], ports=5, units=()),))
    pages = pages_of(planned(sketch))
    fields = fields_of(pages)
    switches = [field for field in fields if field.name.startswith("BB-1/upper/1/")]
    on = [field for field in switches if not field.name.endswith("/off")]
    assert [field.name[-1] for field in on] == list("654321")
    assert (out_of_order(fields), misplaced(pages, fields)) == ([], [])
    assert [beside(pages, field) for field in switches] == ["ON", "OFF"] * 6


def beside(pages: tuple[Page, ...], field: Seen) -> str:
    """The word, ON or OFF, of the row in which a tick stands."""
    ends = [
        text
        for text in printed_pages(pages)[field.page]
        if text.text.strip() in {"ON", "OFF"} and text.box.right < field.box.left
    ]
    return min(
        ends, key=lambda text: abs(middle(text.box) - field.middle) + (field.box.left - text.box.left) / 9
    ).text.strip()


def middle(box: Box) -> float:
    """How far down the middle of a box is."""
    return (box.top + box.bottom) / 2


# --- how a field is -----------------------------------------------------------------------------------------


def test_nothing_is_filled_in_beforehand() -> None:
    """Every tick is off and every text empty, but what the sheet was printed for, hidden and locked."""
    plan = planned(SINGLE)
    fields = fields_of(pages_of(plan))
    shown = [field for field in fields if not field.is_hidden]
    assert {(field.kind, field.value) for field in shown} == {("/Btn", "/Off"), ("/Tx", "")}
    (kept,) = [field for field in fields if field.is_hidden]
    assert (kept.name, kept.value) == ("BB-1/printed-for", printed_for(plan.job, plan.boxes[0]))


def test_ticks_are_ticks_and_texts_texts() -> None:
    """What is right or ON is ticked, what is told is written."""
    fields = fields_of(pages_of(planned(SINGLE)))
    texts = {field.name.rpartition("/")[2] for field in fields if field.kind == "/Tx" and not field.is_hidden}
    ticks = {field.name.rpartition("/")[2] for field in fields if field.kind == "/Btn"}
    assert texts == {"found", "proved", "note", *ROLES}
    assert ticks == {
        "seen",
        "off",
        "1",
        "2",
        "3",
        "4",
        "ok",
        "proved",
        *(item for items in ITEMS.values() for item in items),
    }


def test_every_field_tells_what_it_is() -> None:
    """For a screen reader: no two fields of a box say the same."""
    fields = [field for field in fields_of(pages_of(planned(SINGLE))) if not field.is_hidden]
    told = [field.told for field in fields]
    assert "" not in told
    assert sorted(set(told)) == sorted(told)
    by_name = {field.name: field.told for field in fields}
    assert by_name["BB-1/left/2/4"] == "left board, Bank 2, switch 4: found ON"
    assert by_name["BB-1/port/C/pipe/found"] == "port C: which unit's pipe was found instead"
    assert by_name["BB-1/port/C/item/polarity"] == "C: Polarity, shield per manual"
    assert by_name["BB-1/date/verifier"] == "Verifier, Date"


@pytest.mark.parametrize("ports", SIZES)
def test_fields_are_large_enough_for_a_hand(ports: int) -> None:
    """A box takes a pen's cross of 5 mm; a line takes handwriting 7 mm high and 15 mm long (practice)."""
    for field in fields_of(pages_of(planned(job_of(filled(ports))))):
        width, height = field.box.right - field.box.left, field.box.bottom - field.box.top
        if field.kind == "/Btn" and not field.name.endswith("/seen"):
            assert min(width, height) >= 5 - WRITTEN
        elif field.kind == "/Tx" and not field.is_hidden:
            assert (width >= 15, height >= 7 - WRITTEN) == (True, True)


def test_a_tick_stands_in_the_row_that_names_it() -> None:
    """ON and OFF of every switch, each in its row."""
    pages = pages_of(planned(SINGLE))
    fields = [field for field in fields_of(pages) if field.name.startswith("BB-1/left/1/")]
    for field in fields:
        assert beside(pages, field) == ("OFF" if field.name.endswith("/off") else "ON")


def test_an_item_of_the_job_has_its_field() -> None:
    """Asked of what it is asked of, with its words on the sheet."""
    plan = planned(SINGLE, WalkItem("tilt", "used", "installer", "Unit level"))
    pages = pages_of(plan)
    names = {field.name for field in fields_of(pages)}
    assert {f"BB-1/port/{letter}/item/tilt" for letter in "ABCDE"} == names - names_of(plan.boxes[0])
    assert "Unit level (Installer)" in [text.text for page in printed_pages(pages) for text in page]


# --- blind --------------------------------------------------------------------------------------------------


def printed(pages: tuple[Page, ...]) -> str:
    """Every printed word."""
    return " ".join(text.text for page in printed_pages(pages) for text in page)


EXPECTED = ("FC-1", "FC-3", "AH-4", "12 kBtu/h", "72 kBtu/h", "SPARE", "capped", "no cable", "plan ")
EXPECTED_TOO = ("Planned", "C+D joined", "cable on C", " any ")


def test_a_sheet_shows_what_is_expected() -> None:
    """Units, loads, spares and the planned picture stand beside the fields."""
    told = printed(pages_of(planned(SINGLE)))
    assert [text for text in (*EXPECTED, *EXPECTED_TOO) if text not in told] == []


def test_a_blind_sheet_shows_nothing_of_it() -> None:
    """No unit, no load, no spare, no planned picture: nothing that could be copied."""
    told = printed(pages_of(planned(SINGLE), blind=True))
    assert [text for text in (*EXPECTED, *EXPECTED_TOO) if text in told] == []
    assert "kBtu/h" not in told


@given(sketches(most_boxes=1))
@settings(max_examples=8, deadline=None)
def test_blind_sheets_of_one_size_are_alike(sketch: JobSketch) -> None:
    """However a box is used: the same words at the same places and the same fields as if all were spare."""
    plan = planned(sketch)
    box = plan.boxes[0]
    bare = plan_job(replace(plan.job, units=()))[0]
    one, other = (
        walk_pages(plan.job, each, words(), blind=True)[0]
        for each in (box, replace(bare.boxes[0], row=box.row))
    )
    assert printed_pages(one) == printed_pages(other)
    assert [(f.name, f.box, f.told) for f in fields_of(one)] == [
        (f.name, f.box, f.told) for f in fields_of(other)
    ]


# --- as it is made ------------------------------------------------------------------------------------------


@pytest.mark.parametrize("blind", [False, True])
def test_walk_pdf_holds_every_box(tmp_path: Path, *, blind: bool) -> None:
    """`make` writes the forms of all boxes into one file, no name twice; with --blind, blind."""
    job = SITE.write(tmp_path / "job")
    made = make.make(job, tmp_path / "out", Selection(blind=blind, proof=False))
    assert made.checked.plan is not None
    names = [field.name for field in fields_in((tmp_path / "out" / "walk.pdf").read_bytes())]
    expected = [name for box in made.checked.plan.boxes for name in names_of(box, blind=blind)]
    assert sorted(expected) == sorted(names)
