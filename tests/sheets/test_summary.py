"""The office's summary: every box, port, load and switch of the plan, in words and in bars, on few pages."""

import datetime as dt
from collections.abc import Iterable, Sequence
from itertools import pairwise

import pytest
from hypothesis import given, settings

from tagmaker.draw.marks import Line, Page, Rect, Text
from tagmaker.job.model import Job
from tagmaker.job.read import read_job
from tagmaker.plan.model import BankPlan, BoxPlan
from tagmaker.plan.plan_job import plan_job
from tagmaker.problems import Problem
from tagmaker.sheets.summary import Needed, summary_pages
from tests.measured import SMALL
from tests.paths import EXAMPLES
from tests.records import replace
from tests.sheets.boxes import LONG_NAME, LONG_PLACE, filled, job_of, sparse, wordy
from tests.sheets.printed import faults, printed_pages, texts
from tests.strategies import (
    BoxSketch,
    JobSketch,
    UnitSketch,
    capacity,
    jobs,
    one_box,
    shipped_family,
    stock_named,
    words,
)

CAUTION = (
    "For the office: not a setting instruction. At the box, its placard and the manual for this box decide."
)
SECTIONS = ("1  ", "2  ", "3  ", "4  ")
NEEDED = (
    Needed("tags-letter-30-67x25.pdf", stock_named("letter-30-67x25"), 244, 9),
    Needed("tags-roll-51x25-300dpi.pdf", stock_named("roll-51x25-300dpi"), 12, 12),
    Needed("placards.pdf", stock_named("letter"), 0, 5),
    Needed("walk.pdf", None, 0, 8),
)
BLACK = 0.0
MOST_PORTS = 26


def laid_out(
    job: Job, needed: Sequence[Needed] = NEEDED, *, is_part: bool = False
) -> tuple[list[Page], list[Problem]]:
    """The summary of a whole job."""
    pages, problems = summary_pages(job, plan_job(job)[0].boxes, needed, words(), is_part=is_part)
    return list(pages), problems


def summary(job: Job, *, is_part: bool = False) -> list[Page]:
    """The pages, whose texts must fit."""
    pages, problems = laid_out(job, is_part=is_part)
    assert problems == []
    return pages


def example(name: str) -> Job:
    """An example's job."""
    job, _ = read_job(EXAMPLES / name)
    assert job
    return job


def section(pages: Iterable[Page], number: int) -> list[Text]:
    """The texts of a section over all its pages, its title and every page's head and foot aside."""
    found: list[Text] = []
    for page in pages:
        is_in = False
        for mark in page.marks:
            if not isinstance(mark, Text):
                continue
            if mark.text[:3] in SECTIONS:
                is_in = mark.text.startswith(SECTIONS[number - 1])
            elif mark.text == "SUMMARY":
                is_in = False
            elif is_in and not mark.text.startswith("page "):
                found.append(mark)
    return found


def rows(pages: Iterable[Page], number: int) -> list[list[str]]:
    """The rows of a section: texts on one line, from left to right, in drawing order."""
    lines: dict[tuple[int, float], list[Text]] = {}
    for at, page in enumerate(pages):
        for text in section([page], number):
            lines.setdefault((at, round(text.y, 2)), []).append(text)
    return [[text.text for text in sorted(line, key=lambda mark: mark.x)] for line in lines.values()]


def placed(job: Job, *places: tuple[str, str]) -> Job:
    """The job with its boxes in these systems and on these levels."""
    named = zip(job.boxes, places, strict=True)
    return replace(job, boxes=tuple(replace(row, system=one, level=two) for row, (one, two) in named))


def boxes_of(count: int) -> JobSketch:
    """A job of so many small boxes."""
    return JobSketch(
        tuple(BoxSketch(f"BB-{at}", 4, (UnitSketch(f"FC-{at}", "A", "9 MBH"),)) for at in range(1, count + 1))
    )


# --- every page ---------------------------------------------------------------------------------------------


def test_every_page_says_what_it_is_of() -> None:
    """Title, job, revision, date, what it does not decide, and which page of how many."""
    sketch = replace(boxes_of(40), number="ML-24", revision="P02", date=dt.date(2026, 4, 30))
    pages = summary(sketch.record())
    assert len(pages) > 3
    for number, page in enumerate(pages, start=1):
        said = texts([page])
        assert [*said[:4], said[-1]] == [
            "SUMMARY",
            "ML-24 Marsh Lane Library",
            "Revision P02 · 2026-04-30",
            CAUTION,
            f"page {number} of {len(pages)}",
        ]


def test_site_refrigerant_and_addresses() -> None:
    """The site below the job's name, the refrigerant with its group, each unit's address beside its tag."""
    job = job_of(sparse(4)).record()
    units = (replace(job.units[0], address="2-07"),)
    pages = summary(replace(job, site="14 Marsh Lane", refrigerant="R-32", units=units))
    for page in pages:
        said = texts([page])
        assert said[said.index("ML-24 Marsh Lane Library") + 1] == "14 Marsh Lane"
        assert "Revision 2 · 2026-04-30 · Refrigerant R-32, group A2L" in said
    assert "FC-1 (2-07) Shop" in texts(pages)
    assert "Units (address)" in texts(pages)


def test_a_draft_says_so_on_every_page() -> None:
    """White on black, as loud as on a placard; an issued job does not."""
    pages = summary(replace(boxes_of(30), is_draft=True).record())
    told = [mark for page in pages for mark in page.marks if isinstance(mark, Text) and "DRAFT" in mark.text]
    assert [(mark.text, mark.ink) for mark in told] == [("DRAFT – NOT FOR START-UP", 1.0)] * len(pages)
    assert "DRAFT" not in " ".join(texts(summary(boxes_of(1).record())))


def test_a_part_says_so_on_every_page() -> None:
    """With how many of the job's boxes; its stock is the part's alone."""
    job = boxes_of(3).record()
    found, _ = summary_pages(job, plan_job(job)[0].boxes[:2], NEEDED, words(), is_part=True)
    pages = list(found)
    assert all("Revision 0 · PART OF THE JOB: 2 of 3 boxes" in texts([page]) for page in pages)
    assert "2  Stock needed, for this part of the job only" in texts(pages)
    assert "PART" not in " ".join(texts(summary(job)))


# --- totals and stock ---------------------------------------------------------------------------------------


def test_totals_in_full() -> None:
    """A row a system and level; systems on several levels and levels of several systems added up; all."""
    job = placed(boxes_of(4).record(), ("HR-1", "1"), ("HR-1", "2"), ("HR-2", "2"), ("", ""))
    one = ["4", "1", "0", "3", "1", "9", "216"]
    two = ["8", "2", "0", "6", "2", "18", "432"]
    assert rows(summary(job), 1)[-7:] == [
        ["HR-1", "1", "1", *one],
        ["HR-1", "2", "1", *one],
        ["HR-2", "2", "1", *one],
        ["not given", "not given", "1", *one],
        ["all of system HR-1", "2", *two],
        ["all of level 2", "2", *two],
        ["All boxes", "4", "16", "4", "0", "12", "4", "36", "864"],
    ]


def test_a_job_of_one_system_and_level_has_one_row() -> None:
    """Nothing is added up twice."""
    job = placed(boxes_of(2).record(), ("HR-1", "1"), ("HR-1", "1"))
    assert rows(summary(job), 1)[-1] == ["HR-1", "1", "2", "8", "2", "0", "6", "2", "18", "432"]
    assert not any("all of" in text for text in texts(summary(job)))


def test_a_missing_capacity_leaves_the_sums_open() -> None:
    """What is known, and that there is more; nothing known is a question mark alone."""
    rows_ = (("FC-1", "A", "9 kBtu/h"), ("FC-2", "B", ""))
    job = replace(one_box(*rows_), is_draft=True).record()
    assert rows(summary(job), 1)[-1][-2:] == ["9 + ?", "216"]
    assert "9 + ?/216" in texts(summary(job))
    job = replace(one_box(("FC-1", "A", "")), is_draft=True).record()
    assert rows(summary(job), 1)[-1][-2:] == ["?", "216"]


def test_stock_in_full() -> None:
    """A row a file: what it is printed on, labels, sheets; a roll has no sheets, a page no labels."""
    assert rows(summary(boxes_of(1).record()), 2) == [
        ["File", "Printed on", "Labels", "Sheets"],
        ["tags-letter-30-67x25.pdf", "Letter sheet, 30 labels of 66.7 x 25.4 mm", "244", "9"],
        ["tags-roll-51x25-300dpi.pdf", "Roll, film labels of 50.8 x 25.4 mm, 300 dots/in", "12", "–"],
        ["placards.pdf", "Letter page, 8.5 x 11 in", "–", "5"],
        ["walk.pdf", "Plain paper, letter", "–", "8"],
    ]


def test_paper_is_that_of_the_job() -> None:
    """A4 where the job's placards are; the plain paper says which."""
    pages = summary(job_of(filled(4), page="a4").record())
    assert {(page.width, page.height) for page in pages} == {(210.0, 297.0)}
    assert "Plain paper, A4" in texts(pages)


# --- loads --------------------------------------------------------------------------------------------------


def test_a_boxs_line_in_full() -> None:
    """Ports used of how many, pairs, spare letters, load and limit, and the share."""
    job = SMALL.record()
    job = replace(job, boxes=(replace(job.boxes[0], place="Corridor L2"),))
    assert rows(summary(job), 3)[-1] == ["BB-1", "Corridor L2", "3 of 4", "C+D", "B", "90/216", "42 %"]


def test_a_limit_of_the_familys_for_a_box_is_marked() -> None:
    """With a star, which the legend explains."""
    job = SMALL.record(replace(shipped_family(), box_limit=capacity("120 kBtu/h")))
    assert rows(summary(job), 3)[-1][-2:] == ["90/120*", "75 %"]
    assert "outline: box limit (*), or sum of port limits" in " ".join(texts(summary(job)))


def test_groups_are_headed() -> None:
    """By system and level, in both lists; a job that names neither has no headings."""
    job = placed(boxes_of(3).record(), ("HR-1", "1"), ("", "2"), ("HR-1", "1"))
    heads = ["System HR-1 · Level 1", "System not given · Level 2"]
    for number in (3, 4):
        assert [text.text for text in section(summary(job), number) if "System" in text.text] == heads
        said = texts([Page(1, 1, tuple(section(summary(job), number)))])
        assert [text for text in said if text.startswith("BB-")] == ["BB-1", "BB-3", "BB-2"]
    assert "System" not in " ".join(text.text for text in section(summary(boxes_of(2).record()), 3))


def bars(pages: Sequence[Page], x_from: float, x_to: float) -> list[dict[str, float]]:
    """Bars within a column: widths of the outline, of the grey and of the black in it, in drawing order."""
    found: list[dict[str, float]] = []
    for page in pages:
        rects = [mark for mark in page.marks if isinstance(mark, Rect) and x_from < mark.x < x_to]
        for outline in (mark for mark in rects if mark.line):
            at = [
                mark for mark in rects if mark.fill is not None and (mark.x, mark.y) == (outline.x, outline.y)
            ]
            bar = {"black" if mark.fill == BLACK else "grey": mark.width for mark in at}
            found.append({"outline": outline.width, "dashed": float(bool(outline.dash)), **bar})
    return found


def test_bars_are_loads_and_limits_on_one_scale() -> None:
    """The box of 12 is three times that of 4; black is the load, grey reaches to used ports' limits."""
    units = tuple(UnitSketch(f"FC-{letter}", letter, "36 MBH") for letter in "ABCDEF")
    small = BoxSketch("BB-2", 4, (UnitSketch("FC-1", "A", "27 MBH"), UnitSketch("AH-1", "C+D", "81 MBH")))
    job = JobSketch((BoxSketch("BB-1", 12, units), small)).record()
    large, four = bars(summary(job), 120, 180)
    assert large["outline"] == pytest.approx(3 * four["outline"])
    assert large["black"] / large["outline"] == pytest.approx(216 / 648)
    assert large["grey"] / large["outline"] == pytest.approx(324 / 648)
    assert four["black"] / four["outline"] == pytest.approx(108 / 216)
    assert four["grey"] / four["outline"] == pytest.approx(162 / 216)


def test_ports_bars_are_on_one_scale() -> None:
    """A pair's is twice as long; a spare port's is empty; a load that is not known is dashed and empty."""
    rows_ = (("FC-1", "A", "27 MBH"), ("AH-1", "C+D", "81 MBH"), ("FC-2", "E", ""))
    job = replace(one_box(*rows_, ports=6), is_draft=True).record()
    port_a, port_b, pair, port_e, port_f = bars(summary(job), 15, 30)[1:]
    half = port_a["outline"]
    assert port_a == {"outline": half, "dashed": 0.0, "black": half / 2, "grey": half}
    assert (port_b, port_f) == ({"outline": half, "dashed": 0.0},) * 2
    assert pair == pytest.approx({"outline": 2 * half, "dashed": 0.0, "black": 1.5 * half, "grey": 2 * half})
    assert port_e == {"outline": half, "dashed": 1.0}


def test_a_box_with_an_unknown_load_is_dashed() -> None:
    """What is known is black; nothing is said of what is left."""
    job = replace(one_box(("FC-1", "A", "54 MBH"), ("FC-2", "B", "")), is_draft=True).record()
    (bar,) = bars(summary(job), 120, 180)
    assert (bar["dashed"], "grey" in bar) == (1.0, False)
    assert bar["black"] / bar["outline"] == pytest.approx(54 / 216)


def test_a_port_over_its_limit_by_conversion_fills_its_bar() -> None:
    """Its number, which tells by how much, is bold."""
    pages = summary(one_box(("FC-1", "A", "16 kW")).record())
    assert bars(pages, 15, 30)[1]["black"] == bars(pages, 15, 30)[1]["outline"]
    (told,) = [text for text in section(pages, 4) if text.text == "54.594/54"]
    (normal,) = [
        text for text in section(summary(one_box(("FC-1", "A", "9 MBH")).record()), 4) if text.text == "9/54"
    ]
    assert told.face != normal.face


# --- ports and switches -------------------------------------------------------------------------------------


def test_a_card_in_full() -> None:
    """The box and what it has; its ports with loads, units and rooms; beside each board's its switches."""
    found = rows(summary(job_of(filled(6)).record()), 4)[2:]
    assert [[text.replace("\u00a0", " ") for text in row] for row in found] == [
        ["BB-1"],
        ["Level 2 corridor, grid C4", "ports 6: single 4, joined pairs 1, spare 0 · 216 kBtu/h"],
        ["A", "24/54", "FC-101 Office", "left A–D", "Bank 1", "all OFF"],
        ["B", "48/54", "FC-201 Office, FC-202 Open plan,", "Bank 2", "leave 3 as found, rest OFF"],
        ["FC-203 Open plan, FC-204 Open plan,"],
        ["FC-205 Open plan"],
        ["C", "24/54", "FC-301 Office"],
        ["D", "24/54", "FC-401 Office"],
        ["E+F", "96/108", "AH-301 Reading room", "right E–F", "Bank 1", "all OFF"],
        ["Bank 2", "ON 1 4 (4 check only), leave 3 as found"],
    ]


@pytest.mark.parametrize("ports", [6, 8, 10, 12])
def test_a_boards_switches_begin_beside_its_first_port(ports: int) -> None:
    """Nobody reads E on one line with the switches of the board of I."""
    said = section(summary(job_of(filled(ports)).record()), 4)
    lines = {text.text: text.y for text in said}
    for board in plan_job(job_of(filled(ports)).record())[0].boxes[0].boards:
        name = f"{board.place} {board.letters[0]}–{board.letters[-1]}"
        first = next(text for text in lines if text.split("+")[0] == board.letters[0])
        assert lines[name] == lines[first]


def settings_of(bank: BankPlan) -> str:
    """What a bank's line must say."""
    on = [str(switch.number) for switch in bank.switches if switch.state == "on"]
    check = [str(switch.number) for switch in bank.switches if switch.check_only]
    leave = [str(switch.number) for switch in bank.switches if switch.state == "leave"]
    left = f"leave {' '.join(leave)} as found"
    if not on:
        return f"{left}, rest OFF" if leave else "all OFF"
    text = f"ON {' '.join(on)}" + (f" ({' '.join(check)} check only)" if check else "")
    return f"{text}, {left}" if leave else text


def plan_lines(boxes: Iterable[BoxPlan]) -> list[tuple[str, str, str]]:
    """Every bank of a plan in order: board with its letters, the bank's name, what its line says."""
    return [
        (
            f"{board.place} {'–'.join(dict.fromkeys((board.letters[0], board.letters[-1])))}",
            bank.name,
            settings_of(bank),
        )
        for box in boxes
        for board in box.boards
        for bank in board.banks
    ]


def column(pages: Sequence[Page], head: str) -> list[str]:
    """The texts below a head of section 4, line by line; of the right part, where heads stand alone."""
    found: list[str] = []
    for page in pages:
        said = section([page], 4)
        x = next((text.x for text in said if text.text == head), None)
        found += [text.text for text in said if text.x == x and text.text != head]
    return found


@given(jobs(most_boxes=3))
@settings(max_examples=25, deadline=None)
def test_every_switch_setting_of_the_plan_is_there(job: Job) -> None:
    """Board by board and bank by bank, in order, each once, and nothing else."""
    pages = summary(job)
    expected = plan_lines(plan_job(job)[0].boxes)
    boards = [board for board, bank, _ in expected if bank == "Bank 1"]
    assert column(pages, "Board") == boards
    assert column(pages, "Bank") == [bank for _, bank, _ in expected]
    assert " ".join(column(pages, "Switches")) == " ".join(told for _, _, told in expected)


def test_switches_are_read_back_from_the_pdf() -> None:
    """As pdfium reads the file: every box, every port's name and every setting of the clinic."""
    job = example("clinic")
    boxes = plan_job(job)[0].boxes
    said = [text.text for page in printed_pages(summary(job)) for text in page]
    for box in boxes:
        assert said.count(box.row.shown) == 2  # its line and its card
    together = " ".join(said)
    for board, _, told in plan_lines(boxes):
        assert board in together
        assert told in together
    names = [port.name for box in boxes for port in box.ports]
    assert all(together.count(f" {name} ") >= names.count(name) for name in set(names))


@given(jobs(most_boxes=2))
@settings(max_examples=25, deadline=None)
def test_every_port_and_unit_of_the_plan_is_there(job: Job) -> None:
    """Each port or pair once in each box's card, and every unit with its room."""
    pages = summary(job)
    boxes = plan_job(job)[0].boxes
    assert column(pages, "Port")[: len(boxes[0].ports) + 1][1:] == [port.name for port in boxes[0].ports]
    units = " ".join(column(pages, "Units"))
    for unit in job.units:
        assert " ".join(text for text in (unit.tag, unit.room) if text) in units.replace("\u00a0", " ")


def test_a_family_with_one_bank_and_other_places() -> None:
    """Whatever the family's boards and banks are called; factory switches are named as such."""
    job = example("three-port-boards")
    expected = plan_lines(plan_job(job)[0].boxes)
    assert column(summary(job), "Board") == [board for board, _, _ in expected]
    assert " ".join(column(summary(job), "Switches")) == " ".join(told for _, _, told in expected)
    assert "ON 2 6 (6 check only)" in texts(summary(job))


# --- on paper -----------------------------------------------------------------------------------------------


def crowd(count: int, *, is_draft: bool = False) -> Job:
    """A job of many boxes with systems, levels and long words."""
    boxes = tuple(
        replace(
            wordy((4, 6, 8, 10, 12)[at % 5]),
            tag=f"BB-{at:02}-NORTH",
            shown="",
            units=tuple(
                replace(unit, tag=f"{unit.tag}-{at:02}", room=LONG_PLACE)
                for unit in wordy((4, 6, 8, 10, 12)[at % 5]).units
            ),
        )
        for at in range(count)
    )
    job = JobSketch(boxes, name=LONG_NAME, number="ML-24", is_draft=is_draft, capacity_unit="kW").record()
    return placed(
        job, *((f"HR-{at % 3} {LONG_PLACE}"[:60], f"{at % 2} {LONG_PLACE}"[:60]) for at in range(count))
    )


@pytest.mark.parametrize("page", ["letter", "a4"])
@pytest.mark.parametrize("name", ["clinic", "quay-hotel", "bakery", "three-port-boards"])
def test_examples_are_in_order_when_read_back(name: str, page: str) -> None:
    """No text is cut, struck through, lost, too small or over another in the PDF, on either paper."""
    job = example(name)
    job = replace(job, prints=replace(job.prints, stocks={"placard": stock_named(page)}))
    assert faults(summary(job), margin_mm=6.35, least_mm=1.5) == []


@pytest.mark.parametrize("is_draft", [False, True])
def test_long_words_are_in_order_when_read_back(is_draft: bool) -> None:  # noqa: FBT001
    """Rooms, places, systems, levels and the job's name of 60 characters take lines, and nothing is lost."""
    pages = summary(crowd(10, is_draft=is_draft))
    assert faults(pages, margin_mm=6.35, least_mm=1.5) == []
    assert LONG_PLACE in " ".join(column(pages, "Units"))


def test_a_long_job_has_every_box_once_in_each_list() -> None:
    """Over many pages; sections that run on are headed again on each."""
    job = boxes_of(150).record()
    pages = summary(job)
    for number in (3, 4):
        tags = [text.text for text in section(pages, number) if text.text.startswith("BB-")]
        assert tags == [row.tag for row in job.boxes]
    heads = [texts([page]) for page in pages]
    assert all(sum(text[:3] in SECTIONS for text in page) >= 1 for page in heads)


def test_a_card_is_not_divided() -> None:
    """A box's ports stand on one page, under the box's name."""
    job = JobSketch(
        tuple(replace(sparse(12), tag=f"BB-{at}", units=(UnitSketch(f"FC-{at}", "A"),)) for at in range(12))
    ).record()
    for page in summary(job):
        said = [text.text for text in section([page], 4)]
        cards = [at for at, text in enumerate(said) if text.startswith("BB-")]
        for start, end in pairwise([*cards, len(said)]):
            assert [text for text in said[start:end] if len(text) == 1] == list("ABCDEFGHIJKL")


def test_a_box_that_no_page_holds_is_headed_again() -> None:
    """Rows are never cut: the card goes on overleaf under the same name."""
    family = replace(
        shipped_family(),
        port_names="ABCDEFGHIJKLMNOPQRSTUVWXYZ",
        port_counts=(MOST_PORTS,),
        places=(*shipped_family().places, *(tuple("abcdefg"[:count]) for count in range(4, 8))),
    )
    units = tuple(
        UnitSketch(f"FC-{letter}-{at}", letter, "3 MBH", LONG_PLACE)
        for letter in family.port_names
        for at in range(5)
    )
    job = JobSketch((BoxSketch("BB-1", MOST_PORTS, units),)).record(family)
    pages = summary(job)
    cards = [page for page in pages if section([page], 4)]
    assert len(cards) > 1
    assert all("BB-1" in [text.text for text in section([page], 4)] for page in cards)
    assert faults(pages, margin_mm=6.35, least_mm=1.5) == []


def test_ports_and_switches_are_kept_apart() -> None:
    """An upright line between them, as high as the card: they only share the rows."""
    (page,) = summary(boxes_of(1).record())
    upright = [mark for mark in page.marks if isinstance(mark, Line) and mark.x1 == mark.x2]
    xs = {round(mark.x1, 3) for mark in upright}
    assert len(xs) == 1
    (x,) = xs
    assert all(text.x > x for text in section([page], 4) if text.text in {"Bank 1", "Bank 2", "only A–D"})
    assert all(text.x < x for text in section([page], 4) if text.text in {"A", "B", "C", "D", "FC-1"})
    assert sum(mark.y2 - mark.y1 for mark in upright) == pytest.approx(
        max(mark.y2 for mark in upright) - min(mark.y1 for mark in upright)
    )


def test_a_text_that_does_not_fit_is_named_with_its_box() -> None:
    """A place of one endless word is an error that touches its box."""
    sketch = replace(boxes_of(2), boxes=(boxes_of(2).boxes[0], replace(boxes_of(2).boxes[1], place="W" * 60)))
    _, problems = laid_out(sketch.record())
    assert {(problem.code, problem.boxes) for problem in problems} == {("text-too-long", ("BB-2",))}
    assert problems[0].message.startswith("summary: 'WWW")
