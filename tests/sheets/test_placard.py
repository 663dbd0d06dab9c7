"""The placard of a box: everything on it, nothing over anything, and what the plan says."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tagmaker.catalog.bands import band_rules
from tagmaker.catalog.family import Family, Rule
from tagmaker.draw.marks import Rect, Text
from tagmaker.sheets.page_head import PAGE_CAPS
from tagmaker.sheets.placard import placard_pages
from tagmaker.typeset.fonts import face
from tagmaker.typeset.text import LEGIBLE_MM
from tests.plan.families import three
from tests.records import replace
from tests.sheets.boxes import KINDS, LONG_NAME, cases, filled, job_of, sparse
from tests.sheets.pictured import pictured
from tests.sheets.placards import margin_of, pages_in_order, pages_of, paragraph
from tests.sheets.printed import Pages, faultless_or_told, faults, texts
from tests.strategies import (
    PAGE_STOCKS,
    BoxSketch,
    JobSketch,
    UnitSketch,
    first_box,
    shipped_family,
    sketches,
    stock_named,
    words,
)

# --- every box on every paper ------------------------------------------------------------------------------


@pytest.mark.parametrize(("kind", "ports", "page"), cases(PAGE_STOCKS))
def test_every_box_fits_every_paper(kind: str, ports: int, page: str) -> None:
    """All sizes, full, nearly empty, all joined, long-worded: whole, legible, nothing over anything."""
    pages = pages_in_order(job_of(KINDS[kind](ports), page=page))
    assert len(pages) <= (4 if page == "4x6" else 1)
    assert {(each.width, each.height) for each in pages} == {stock_named(page).page}


@pytest.mark.parametrize("page", PAGE_STOCKS)
def test_a_draft_with_unknown_loads_fits_every_paper(page: str) -> None:
    """A draft says that it is not for start-up; a missing capacity is a question mark, in table and total."""
    box = filled(12)
    units = (replace(box.units[0], capacity=""), *box.units[1:])
    pages = pages_in_order(job_of(replace(box, units=units), is_draft=True, page=page))
    assert "DRAFT – NOT FOR START-UP" in paragraph(pages)
    assert "? / 54" in texts(pages)
    assert "Box total ? kBtu/h" in texts(pages)


@pytest.mark.parametrize("page", PAGE_STOCKS)
def test_a_long_job_name_fits_every_paper(page: str) -> None:
    """Nearly 60 characters and a number, as long as a job file takes them."""
    pages = pages_in_order(replace(job_of(filled(12), page=page), name=LONG_NAME))
    assert f"ML-24 {LONG_NAME}" in paragraph(pages)


@given(sketches(most_boxes=1), st.sampled_from(PAGE_STOCKS))
@settings(max_examples=15, deadline=None)
def test_any_box_is_in_order_or_told(sketch: JobSketch, page: str) -> None:
    """Whatever hangs on a box: its placard has no fault, or a problem names it."""
    found = pages_of(replace(sketch, stocks=(("placard", page),)))
    faultless_or_told(*found, "placard of BB-1", margin_mm=2.0)


# --- what it says ------------------------------------------------------------------------------------------


@given(sketches(most_boxes=1), st.sampled_from(PAGE_STOCKS))
@settings(max_examples=15, deadline=None)
def test_the_pictures_are_the_plan(sketch: JobSketch, page: str) -> None:
    """Read off the drawing, the sliders at ON are the switches that the plan puts there, no others."""
    sketch = replace(sketch, stocks=(("placard", page),))
    pages, _ = pages_of(sketch)
    banks = [bank for board in first_box(sketch.record()).boards for bank in board.banks]
    pictures = [picture for each in pages for picture in pictured(each.marks)]
    assert [bank.on() for bank in banks] == [picture.at_end("ON") for picture in pictures]
    for bank, picture in zip(banks, pictures, strict=True):
        off = [switch.number for switch in bank.switches if switch.state == "off"]
        assert off == list(picture.at_end("OFF"))
        assert [each.number for each in picture.switches] == [switch.number for switch in bank.switches]


@pytest.mark.parametrize("page", PAGE_STOCKS)
def test_what_is_printed_on_every_placard(page: str) -> None:
    """Planned settings, box, place, isolation, cautions, rules, lines to sign, revision, date, job."""
    said = paragraph(pages_in_order(job_of(filled(12), page=page)))
    for sentence in (
        "PLANNED SWITCH SETTINGS",
        "BB-1",
        "Level 2 corridor, grid C4",
        "Isolate power at",
        "Panel LP-2, circuit 14",
        "ML-24 Marsh Lane Library",
        "Revision 2 · 2026-04-30",
        "LEFT BOARD",
        "MIDDLE BOARD",
        "RIGHT BOARD",
        "Isolate the box's power and prove it dead.",
        "Stop a running system first.",
        "Pipes and stubs may hold pressure.",
        "The manual for this box and local code decide.",
        "This sheet is not a lockout tag and not a permit.",
        f"Rules assumed: “{shipped_family().title}” – {shipped_family().source}",
        "Manual checked" if page == "4x6" else "Rules checked against manual",
        "Set by",
        "Checked by",
    ):
        assert sentence in said


def test_a_placard_is_not_called_a_lockout() -> None:
    """Nothing on it says DANGER or LOCKED: it must not pass for a lockout tag (29 CFR 1910.333, read)."""
    said = paragraph(pages_in_order(job_of(filled(12)))).upper()
    assert not any(word in said for word in ("DANGER", "LOCKED", "DO NOT OPERATE"))


def test_the_table_of_ports() -> None:
    """A line a port: its name, units, rooms, load of limit; then what is not fitted, and the total."""
    box = BoxSketch(
        "BB-1",
        6,
        (
            UnitSketch("FC-1", "A", "24 kBtu/h", "Shop"),
            UnitSketch("FC-2", "B", "12 kBtu/h", "Office"),
            UnitSketch("FC-3", "B", "9 kBtu/h", "Store"),
            UnitSketch("AH-1", "C+D", "72 kBtu/h", "Hall"),
        ),
    )
    told = texts(pages_in_order(job_of(box)))
    start = told.index("Load / limit, kBtu/h") + 1
    assert told[start : start + 18] == [
        *("A", "FC-1", "Shop", "24 / 54"),
        *("B", "FC-2, FC-3", "Office, Store", "21 / 54"),
        *("C+D", "AH-1", "Hall", "72 / 108"),
        *("E", "SPARE"),
        *("F", "SPARE"),
        *("G, H: not fitted", "Box total 117 kBtu/h"),
    ]


def test_many_rooms_become_a_number() -> None:
    """Rooms that do not fit a port's line by name are counted; one long room still has its name."""
    rows = [
        UnitSketch(f"FC-{number}", "A", "9 kBtu/h", f"Consulting room {number} of the east wing, level 2")
        for number in range(1, 6)
    ]
    assert "5 rooms" in texts(pages_in_order(job_of(BoxSketch("BB-1", 4, tuple(rows)))))


def bars_of_load(pages: Pages) -> list[float]:
    """How full each port's bar is drawn, as a share of its frame."""
    rects = [mark for page in pages for mark in page.marks if isinstance(mark, Rect)]
    frames = [rect for rect in rects if rect.line == 0.25 and rect.fill is None and not rect.radius]
    fills = [rect for rect in rects if rect.fill == 0.25]
    return [fill.width / frame.width for frame, fill in zip(frames, fills, strict=True)]


def test_bars_show_the_share_of_the_limit() -> None:
    """13.5 of 54 is a quarter; a port over its limit has a full bar, no longer one."""
    rows = (UnitSketch("FC-1", "A", "13.5 kBtu/h"), UnitSketch("FC-2", "B", "16 kW"))
    pages, _ = pages_of(job_of(BoxSketch("BB-1", 4, rows)))
    assert bars_of_load(pages) == pytest.approx([0.25, 1.0])


def test_what_is_not_given_is_said() -> None:
    """A box without place or isolation says so, rather than leave a gap to be overlooked."""
    box = replace(sparse(4), place="", power="")
    assert texts(pages_in_order(job_of(box))).count("not given") == 2


def test_where_a_box_belongs() -> None:
    """System, level and what feeds it stand beside its place where the job gives them."""
    job = job_of(sparse(4)).record()
    row = replace(job.boxes[0], system="HR-1", level="2", fed_from="CU-1")
    job = replace(job, boxes=(row,), date=None)
    pages, problems = placard_pages(job, first_box(job), stock_named("letter"), words())
    assert problems == ()
    assert faults(pages, margin_mm=2.0, least_mm=PAGE_CAPS) == []
    said = texts(pages)
    assert "System HR-1 · Level 2 · Fed from CU-1" in said
    assert "Revision 2" in said


@pytest.mark.parametrize("page", PAGE_STOCKS)
@pytest.mark.parametrize(
    ("refrigerant", "printed", "warned"),
    [
        ("R-410A", "R-410A, group A1", ()),
        ("R-32", "R-32, group A2L", ("WARNING - Risk of Fire. Flammable Refrigerant.",)),
        ("R-290", "R-290, group A3", ("DANGER - Risk of Fire or Explosion. Flammable Refrigerant.",)),
        (
            "R-717",
            "R-717, group B2L",
            ("WARNING - Risk of Fire. Flammable Refrigerant.", "DANGER - Toxic Refrigerant."),
        ),
        ("R-999", "R-999", ()),
    ],
)
def test_refrigerant_with_its_group_and_warnings(
    refrigerant: str, printed: str, warned: tuple[str, ...], page: str
) -> None:
    """The name with its ASHRAE 34 group, the group's warnings; a name without a group stands alone."""
    job = replace(job_of(filled(12), page=page).record(), refrigerant=refrigerant)
    stock = stock_named(page)
    pages, problems = placard_pages(job, first_box(job), stock, words())
    assert problems == ()
    assert faults(pages, margin_mm=stock.margin, least_mm=PAGE_CAPS) == []
    assert f"Refrigerant {printed}" in texts(pages)
    said = paragraph(pages)
    every = {text for texts_of in band_rules().warnings.values() for text in texts_of}
    assert {text for text in every if text in said} == set(warned)


def test_site_and_addresses() -> None:
    """The site below the job's name; a unit's address beside its tag, and the column says so."""
    job = job_of(sparse(4)).record()
    units = (replace(job.units[0], address="2-07"),)
    job = replace(job, site="14 Marsh Lane, north site", units=units)
    pages, problems = placard_pages(job, first_box(job), stock_named("letter"), words())
    assert problems == ()
    said = texts(pages)
    assert said[said.index("ML-24 Marsh Lane Library") + 1] == "14 Marsh Lane, north site"
    assert "FC-1 (2-07)" in said
    assert "Units (address)" in said


@pytest.mark.parametrize("page", ["letter", "a4", "4x6"])
@pytest.mark.parametrize("tag", ["W" * 24, "BB-1-NORTH-WING-LEVEL-12", "BRANCH-BOX-WEST-3"])
def test_a_long_tag_fits_every_paper(tag: str, page: str) -> None:
    """As long as a tag may be: smaller, and on a line of its own where that makes it larger."""
    pages = pages_in_order(job_of(replace(filled(8), tag=tag, shown=""), page=page))
    assert all(texts((each,)).count(tag) == 1 for each in pages)


def test_no_units_tag_is_broken_where_lower_letters_hold_it() -> None:
    """Five tags of 24 characters on a port: each whole on its line, with its comma."""
    rows = tuple(UnitSketch(f"FAN-COIL-LEVEL-12-W-{at:04}", "A", "9 kBtu/h", "Office") for at in range(5))
    said = texts(pages_in_order(job_of(BoxSketch("BB-1", 4, rows))))
    assert [text.rstrip(",") for text in said if "FAN" in text] == [row.tag for row in rows]


def test_place_and_isolation_are_apart() -> None:
    """A place as wide as its column does not run on into where power is isolated."""
    box = replace(sparse(4), place="Level 1 south wing, ceiling at grid F4", power="Panel LP-1, circuit 10")
    (page,) = pages_in_order(job_of(box))
    marks = {mark.text: mark for mark in page.marks if isinstance(mark, Text)}
    place, power = marks[box.place], marks[box.power]
    assert place.y == power.y
    assert power.x - (place.x + face(place.face).width(place.text, place.size)) >= 5.5


@pytest.mark.parametrize("page", PAGE_STOCKS)
def test_a_long_word_is_set_smaller_before_it_refuses_a_set(page: str) -> None:
    """A room or unit whose word is longer than its column is smaller, never cut, and the set is printed."""
    rows = (
        UnitSketch("CONSULTINGROOMUNIT2", "A", "9 kBtu/h", "Untersuchungszimmervorraum"),
        UnitSketch("FC-2", "B", "9 kBtu/h", "ÅÉÜ Gågata"),
    )
    sketch = job_of(BoxSketch("BB-1", 4, rows, "Lobby", "Panel P1"), page=page)
    pages, problems = pages_of(sketch)
    assert problems == ()
    assert faults(pages, margin_mm=margin_of(sketch), least_mm=LEGIBLE_MM) == []
    assert {"CONSULTINGROOMUNIT2", "Untersuchungszimmervorraum"} <= set(texts(pages))


@pytest.mark.parametrize("page", PAGE_STOCKS)
def test_signs_that_the_face_lacks_are_told(page: str) -> None:
    """In the place, the isolation, the tag shown, a room or a bank's name: each is a problem."""
    box = BoxSketch("BB-1", 4, (UnitSketch("FC-1", "A", room="廊下"),), "屋上", "分電盤", "箱")
    job = job_of(box, page=page).record()
    job = replace(job, boxes=(replace(job.boxes[0], bank_names=("甲", "乙")),))
    _, problems = placard_pages(job, first_box(job), stock_named(page), words())
    assert {problem.code for problem in problems} == {"character-missing"}
    told_of = " ".join(problem.message for problem in problems)
    assert all(text in told_of for text in ("廊下", "屋上", "分電盤", "箱", "甲", "乙"))


def test_a_level_is_named_once() -> None:
    """A level that is called "Level 12" has no second "Level" before it."""
    job = job_of(sparse(4)).record()
    job = replace(job, boxes=(replace(job.boxes[0], level="Level 12", system="HR-1"),))
    pages, _ = placard_pages(job, first_box(job), stock_named("letter"), words())
    assert "System HR-1 · Level 12" in texts(pages)


def test_two_labels_are_numbered() -> None:
    """A 4 x 6 in placard says that there is a second one; each bears the box."""
    pages = pages_in_order(job_of(filled(8), page="4x6"))
    assert [texts((page,)).count("BB-1") for page in pages] == [1, 1]
    assert "Revision 2 · 2026-04-30 · page 1 of 2" in texts(pages[:1])
    assert "Revision 2 · 2026-04-30 · page 2 of 2" in texts(pages[1:])


# --- other families ----------------------------------------------------------------------------------------


@pytest.mark.parametrize("page", ["letter", "4x6"])
@pytest.mark.parametrize("ports", [3, 5, 8, 9])
def test_a_family_of_another_shape(ports: int, page: str) -> None:
    """Three ports a board, one bank of six, numbered from the right, ON pointing down: drawn as it is."""
    rows = (UnitSketch("FC-1", "A", "5 kW", "Shop"), UnitSketch("AH-1", "B+C", "20 kW", "Hall"))
    sketch = replace(job_of(BoxSketch("HB-1", ports, rows), page=page), capacity_unit="kW")
    pages = pages_in_order(sketch, three())
    first = pictured(pages[0].marks)[0]
    assert (first.upper, first.lower) == ("OFF", "ON")
    assert [each.number for each in first.switches] == [6, 5, 4, 3, 2, 1]
    assert first.at_end("ON") == (5,)


def many_boards() -> Family:
    """A family of one port a board: twelve boards of one switch."""
    family = shipped_family()
    places = tuple(
        tuple(f"board{'abcdefghijkl'[number]}" for number in range(count)) for count in range(1, 13)
    )
    return replace(
        family,
        ports_per_board=1,
        places=places,
        banks=(replace(family.banks[0], switches=1),),
        rules=(Rule("unused", (1,), 1, 1),),
    )


def test_more_than_four_boards_stand_in_rows_or_are_told() -> None:
    """Twelve boards of a port each: three rows of four on a letter page, left to right, then down."""
    rows = (UnitSketch("FC-1", "A", "9 kBtu/h"),)
    pages, problems = pages_of(job_of(BoxSketch("BB-1", 12, rows)), many_boards())
    if not problems:
        assert faults(pages, margin_mm=2.0, least_mm=PAGE_CAPS) == []
    heads = [text for text in texts(pages) if text.endswith(" BOARD")]
    assert heads == [f"BOARD{letter} BOARD" for letter in "ABCDEFGHIJKL"]


# --- problems ----------------------------------------------------------------------------------------------


def test_a_place_without_room_is_told() -> None:
    """A place of one unbreakable word is named with the placard and the box's row."""
    _, problems = pages_of(job_of(replace(sparse(4), place="W" * 60), page="4x6"))
    (problem,) = problems
    assert (problem.code, problem.boxes, str(problem.where)) == ("text-too-long", ("BB-1",), "job.toml:10")
    assert problem.message.startswith("placard of BB-1: 'WWW")


def test_a_code_without_room_is_told() -> None:
    """Boards with names of 400 letters make a text that no code holds: it is told."""
    boards = tuple(
        tuple(f"{'x' * 400}{letter}" for letter in "abcdefghijkl"[:count]) for count in range(1, 13)
    )
    family = replace(many_boards(), places=boards)
    rows = (UnitSketch("FC-1", "A", "9 kBtu/h"),)
    _, problems = pages_of(job_of(BoxSketch("BB-1", 12, rows), page="4x6"), family)
    assert "code-too-long" in {problem.code for problem in problems}


def test_cautions_that_take_more_than_a_line_run_on() -> None:
    """Beside a code three sentences are one text: none leaves a word alone on a line of its own."""
    lines = texts(pages_in_order(job_of(filled(8), page="4x6")))
    first = next(at for at, line in enumerate(lines) if line.startswith("Isolate the box's power"))
    said = " ".join(lines[first:])
    for key in ("power", "pressure", "manual"):
        assert words()(f"placard.caution_{key}") in said
    assert min(len(line) for line in lines[first : first + 4]) > 30
