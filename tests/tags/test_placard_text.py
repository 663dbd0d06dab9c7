"""The text behind a placard's code, read by a grammar of its own.

text  = short, first, board+, loads, crc, each ended by LF
short = tag " R" revision " " count " ON:" (" " [PLACE " "] bank ":" number (" " number)* ...)* " END"
first = "BOX " tag " REV " revision [" JOB " number]
board = PLACE " " (letter | letter "-" letter) ": " bank ("; " bank)*
bank  = "BANK " number " ON " ("none" | number (" " number)*)
loads = unit ": " port (" | " port)*
port  = name " spare" | name " " load "/" limit
crc   = "CRC " eight hexadecimal digits
"""

import re
from typing import Any

import pytest
from hypothesis import given, settings

from tagmaker.job.model import Job
from tagmaker.plan.plan_job import plan_job
from tagmaker.tags.placard_text import (
    PlacardFacts,
    SeenBoard,
    SeenPort,
    crc_line,
    long_text,
    placard_text,
    read_placard,
    short_line,
)
from tagmaker.units import CapacityUnit
from tests.checksums import crc32
from tests.records import replace
from tests.strategies import BoxSketch, JobSketch, box_row, first_box, jobs, one_box, shipped_family, sketches
from tests.tags.facts import planned_facts

LIBRARY = replace(
    one_box(
        *(("FC-1", "B", "12 kBtu/h"), ("FC-2", "C", "24 kBtu/h"), ("FC-3", "D", "1.5 ton")),
        *(("FC-4", "E", "9 kBtu/h"), ("FC-5", "E", "9 kBtu/h"), ("FC-6", "F", "12.345 kBtu/h")),
        *(("AH-1", "G+H", "72 kBtu/h"), ("FC-7", "I", "54,000 Btu/h")),
        ports=10,
    ),
    number="ML-24",
    revision="2",
)

NUMBER = r"(?:0|[1-9]\d*)(?:\.\d{0,2}[1-9])?"
FIRST = re.compile(r"BOX (?P<tag>[A-Za-z0-9-]+) REV (?P<revision>\S+)(?: JOB (?P<number>.+))?")
SHORT = re.compile(
    r"(?P<tag>[A-Za-z0-9-]+) R(?P<revision>\S+) (?P<count>\d+) ON:"
    r"(?P<on>(?: (?:[A-Z]+ )?\d+:\d+(?: \d+)*)*) END"
)
BOARD = re.compile(r"(?P<place>[A-Z]+) (?P<first>[A-Z])(?:-(?P<last>[A-Z]))?: (?P<banks>.+)")
BANK = re.compile(r"BANK (?P<number>\d+) ON (?P<on>none|\d+(?: \d+)*)")
LOADS = re.compile(r"(?P<unit>kBtu/h|Btu/h|ton|kW): (?P<ports>.+)")
PORT = re.compile(rf"(?P<name>[A-Z](?:\+[A-Z])?) (?:spare|(?P<load>{NUMBER}|\?)/(?P<limit>{NUMBER}))")


def matched(pattern: re.Pattern[str], text: str) -> dict[str, str]:
    """The parts of a text that must follow a pattern to its end."""
    match = pattern.fullmatch(text)
    assert match, f"{text!r} does not follow {pattern.pattern}"
    return {key: value or "" for key, value in match.groupdict().items()}


def read_short(text: str) -> set[tuple[str, int, int]]:
    """The ON switches of a short line: each with its board's place, and its bank."""
    found: set[tuple[str, int, int]] = set()
    place, bank = "", 0
    for word in matched(SHORT, text)["on"].split():
        if word.isalpha():
            place = word
        else:
            of_bank, _, switch = word.rpartition(":")
            bank = int(of_bank or bank)
            assert (place, bank, int(switch)) not in found
            found.add((place, bank, int(switch)))
    return found


def read_board(text: str) -> SeenBoard:
    """A board's line; its banks are numbered from 1."""
    board = matched(BOARD, text)
    banks = [matched(BANK, part) for part in board["banks"].split("; ")]
    assert [int(bank["number"]) for bank in banks] == list(range(1, len(banks) + 1))
    assert board["first"] != board["last"]
    return SeenBoard(
        board["place"].lower(),
        board["first"],
        board["last"] or board["first"],
        tuple(() if bank["on"] == "none" else tuple(map(int, bank["on"].split(" "))) for bank in banks),
    )


def read(text: str) -> PlacardFacts:
    """A placard's text by its grammar; its last line must be the CRC-32 of every byte before it."""
    short, *lines, last, end = text.split("\n")
    assert end == ""
    body = "".join(f"{line}\n" for line in (short, *lines))
    assert last == f"CRC {crc32(body.encode()):08X}"
    first, *boards, loads = lines
    head, by_port = matched(FIRST, first), matched(LOADS, loads)
    ports = [matched(PORT, part) for part in by_port["ports"].split(" | ")]
    seen = tuple(map(read_board, boards))
    assert matched(SHORT, short) | {"on": read_short(short)} == {
        "tag": head["tag"],
        "revision": head["revision"],
        "count": str(sum(len(on) for board in seen for on in board.banks)),
        "on": {
            (board.place.upper() if len(seen) > 1 else "", bank, switch)
            for board in seen
            for bank, on in enumerate(board.banks, start=1)
            for switch in on
        },
    }
    return PlacardFacts(
        head["tag"],
        head["revision"],
        head["number"],
        seen,
        by_port["unit"],
        tuple(SeenPort(port["name"], port["load"], port["limit"]) for port in ports),
    )


# --- examples ----------------------------------------------------------------------------------------------


def test_a_ten_port_box_in_full() -> None:
    """Every line of the text of a box of three boards; its CRC was made by the bitwise rule above."""
    job = LIBRARY.record()
    body = (
        "BB-1 R2 4 ON: LEFT 1:1 MIDDLE 2:2 RIGHT 1:2 2:4 END\n"
        "BOX BB-1 REV 2 JOB ML-24\n"
        "LEFT A-D: BANK 1 ON 1; BANK 2 ON none\n"
        "MIDDLE E-H: BANK 1 ON none; BANK 2 ON 2\n"
        "RIGHT I-J: BANK 1 ON 2; BANK 2 ON 4\n"
        "kBtu/h: A spare | B 12/54 | C 24/54 | D 18/54 | E 18/54 | F 12.345/54"
        " | G+H 72/108 | I 54/54 | J spare\n"
    )
    assert f"{body}CRC {crc32(body.encode()):08X}\n" == placard_text(job, first_box(job))


@pytest.mark.parametrize(
    ("boards", "line"),
    [
        ((("left", (1,), ()), ("right", (2,), (4,))), "BB-1 R2 3 ON: LEFT 1:1 RIGHT 1:2 2:4 END"),
        ((("left", (), ()), ("right", (3, 4), (4,))), "BB-1 R2 3 ON: RIGHT 1:3 4 2:4 END"),
        ((("left", (), ()), ("right", (), ())), "BB-1 R2 0 ON: END"),
        ((("only", (3, 4), ()),), "BB-1 R2 2 ON: 1:3 4 END"),
        ((("only", (), (2,)),), "BB-1 R2 1 ON: 2:2 END"),
    ],
)
def test_the_short_line_has_each_on_switch(boards: tuple[tuple[Any, ...], ...], line: str) -> None:
    """Boards with an ON by place, unless the box has one board; the count and END are always there."""
    seen = [SeenBoard(place, "A", "D", tuple(banks)) for place, *banks in boards]
    assert short_line("BB-1", "2", seen) == line


def test_the_long_text_has_no_short_line() -> None:
    """It is what was printed before, with a CRC of its own; both say the same."""
    job = LIBRARY.record()
    text, long = placard_text(job, first_box(job)), long_text(job, first_box(job))
    assert text.split("\n")[1:-2] == long.split("\n")[:-2]
    assert read_placard(text) == read_placard(long) == planned_facts(job, first_box(job))


def test_a_small_crc_keeps_its_eight_digits() -> None:
    """Leading zeros are printed: the CRC has one length (text found by search with the rule above)."""
    text = next(text for number in range(10000) if crc32((text := f"x{number}").encode()) < 1 << 24)
    assert re.fullmatch("CRC 00[0-9A-F]{6}", crc_line(text))


def test_the_key_tag_stands_in_the_text() -> None:
    """A box that shows another name on paper keeps its key tag here, in its own case."""
    sketch = replace(LIBRARY, boxes=(replace(LIBRARY.boxes[0], tag="bb-1", shown="BB 1/L2"),), number="")
    assert placard_text(sketch.record(), first_box(sketch.record())).split("\n")[:2] == [
        "bb-1 R2 4 ON: LEFT 1:1 MIDDLE 2:2 RIGHT 1:2 2:4 END",
        "BOX bb-1 REV 2",
    ]


def test_a_board_of_one_letter_names_it_alone() -> None:
    """E, not E-E."""
    family = replace(shipped_family(), port_counts=(5,))
    job = replace(
        one_box(("FC-1", "E", "9 kBtu/h")).record(), boxes=(box_row(BoxSketch("BB-1", 5, ()), family),)
    )
    assert "\nRIGHT E: BANK 1 ON none; BANK 2 ON 4\n" in placard_text(job, first_box(job))


def test_an_unknown_load_is_a_question_mark() -> None:
    """A draft's missing capacity is not printed as a number."""
    job = replace(one_box(("FC-1", "A", "")), is_draft=True).record()
    assert "\nkBtu/h: A ?/54 | B spare | C spare | D spare\n" in placard_text(job, first_box(job))


@pytest.mark.parametrize(
    ("unit", "line"),
    [
        ("kBtu/h", "A 54.594/54"),
        ("Btu/h", "A 54594.266/54000"),
        ("ton", "A 4.55/4.5"),
        ("kW", "A 16/15.826"),
    ],
)
def test_numbers_have_at_most_three_decimals(unit: CapacityUnit, line: str) -> None:
    """16 kW on a port of 54,000 Btu/h in each printed unit (computed: 1 kW = 3412.142 Btu/h)."""
    job = replace(one_box(("FC-1", "A", "16 kW")), capacity_unit=unit).record()
    assert f"{unit}: {line} | B spare" in placard_text(job, first_box(job))


# --- properties --------------------------------------------------------------------------------------------


@given(sketches(most_boxes=1))
@settings(max_examples=40, deadline=None)
def test_the_text_says_what_the_plan_says(sketch: JobSketch) -> None:
    """Read by its grammar, the text of any legal box is its plan."""
    job = sketch.record()
    box = first_box(job)
    assert planned_facts(job, box) == read(placard_text(job, box))


@given(jobs())
@settings(max_examples=30, deadline=None)
def test_any_changed_character_breaks_the_crc(job: Job) -> None:
    """Each of the digits that matter, raised by one, is caught."""
    text = placard_text(job, plan_job(job)[0].boxes[-1])
    body, _, last = text[:-1].rpartition("\n")
    for at, sign in enumerate(body):
        if sign.isdigit():
            changed = f"{body[:at]}{(int(sign) + 1) % 10}{body[at + 1 :]}\n"
            assert crc_line(changed) != last
