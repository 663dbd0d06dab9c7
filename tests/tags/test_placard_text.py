"""The text behind a placard's code, read by a grammar of its own.

text  = first, board+, loads, crc, each ended by LF
first = "BOX " tag " REV " revision [" JOB " number]
board = PLACE " " (letter | letter "-" letter) ": " bank ("; " bank)*
bank  = "BANK " number " ON " ("none" | number (" " number)*)
loads = unit ": " port (" | " port)*
port  = name " spare" | name " " load "/" limit
crc   = "CRC " eight hexadecimal digits
"""

import re
from dataclasses import dataclass

import pytest
from hypothesis import given, settings

from tagmaker.job.model import Job
from tagmaker.plan.model import Board, Port
from tagmaker.plan.plan_job import plan_job
from tagmaker.tags.placard_text import crc_line, placard_text
from tagmaker.units import CapacityUnit
from tests.records import replace
from tests.strategies import BoxSketch, JobSketch, box_row, first_box, jobs, one_box, shipped_family, sketches

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
BOARD = re.compile(r"(?P<place>[A-Z]+) (?P<first>[A-Z])(?:-(?P<last>[A-Z]))?: (?P<banks>.+)")
BANK = re.compile(r"BANK (?P<number>\d+) ON (?P<on>none|\d+(?: \d+)*)")
LOADS = re.compile(r"(?P<unit>kBtu/h|Btu/h|ton|kW): (?P<ports>.+)")
PORT = re.compile(rf"(?P<name>[A-Z](?:\+[A-Z])?) (?:spare|(?P<load>{NUMBER}|\?)/(?P<limit>{NUMBER}))")


@dataclass(frozen=True)
class Told:
    """What a placard's text says."""

    tag: str
    revision: str
    number: str
    boards: tuple[tuple[str, str, str, tuple[tuple[int, tuple[int, ...]], ...]], ...]
    unit: str
    ports: tuple[tuple[str, str, str], ...]


def crc32(data: bytes) -> int:
    """CRC-32 bit by bit, reflected polynomial EDB88320, all ones in and out (from memory)."""
    rest = 0xFFFFFFFF
    for byte in data:
        rest ^= byte
        for _ in range(8):
            rest = rest >> 1 ^ (0xEDB88320 if rest & 1 else 0)
    return rest ^ 0xFFFFFFFF


def matched(pattern: re.Pattern[str], text: str) -> dict[str, str]:
    """The parts of a text that must follow a pattern to its end."""
    match = pattern.fullmatch(text)
    assert match, f"{text!r} does not follow {pattern.pattern}"
    return {key: value or "" for key, value in match.groupdict().items()}


def read_bank(text: str) -> tuple[int, tuple[int, ...]]:
    """A bank's number and its switches that are ON."""
    bank = matched(BANK, text)
    on = () if bank["on"] == "none" else tuple(map(int, bank["on"].split(" ")))
    return int(bank["number"]), on


def read(text: str) -> Told:
    """A placard's text by its grammar; its last line must be the CRC-32 of every byte before it."""
    *lines, last, end = text.split("\n")
    assert end == ""
    body = "".join(f"{line}\n" for line in lines)
    assert last == f"CRC {crc32(body.encode()):08X}"
    first, *boards, loads = lines
    head, told = matched(FIRST, first), matched(LOADS, loads)
    return Told(
        head["tag"],
        head["revision"],
        head["number"],
        tuple(
            (board["place"], board["first"], board["last"], tuple(map(read_bank, board["banks"].split("; "))))
            for board in (matched(BOARD, line) for line in boards)
        ),
        told["unit"],
        tuple(
            (port["name"], port["load"], port["limit"])
            for port in (matched(PORT, part) for part in told["ports"].split(" | "))
        ),
    )


def expected(job: Job) -> Told:
    """What the text of a job's first box must say, from the plan."""
    box = first_box(job)
    return Told(
        box.row.tag,
        job.revision,
        job.number,
        tuple(board_told(board) for board in box.boards),
        job.capacity_unit,
        tuple(port_told(port, job.capacity_unit) for port in box.ports),
    )


def board_told(board: Board) -> tuple[str, str, str, tuple[tuple[int, tuple[int, ...]], ...]]:
    """A board as the text has it; the last letter is left out where it is the first."""
    last = board.letters[-1] if len(board.letters) > 1 else ""
    banks = tuple((bank.number, bank.on()) for bank in board.banks)
    return board.place.upper(), board.letters[0], last, banks


def port_told(port: Port, unit: CapacityUnit) -> tuple[str, str, str]:
    """A port as the text has it."""
    if port.use == "spare":
        return port.name, "", ""
    return port.name, port.load.number(unit) if port.load else "?", port.limit.number(unit)


# --- examples ----------------------------------------------------------------------------------------------


def test_a_ten_port_box_in_full() -> None:
    """Every line of the text of a box of three boards; its CRC was made by the bitwise rule above."""
    job = LIBRARY.record()
    body = (
        "BOX BB-1 REV 2 JOB ML-24\n"
        "LEFT A-D: BANK 1 ON 1; BANK 2 ON none\n"
        "MIDDLE E-H: BANK 1 ON none; BANK 2 ON 2\n"
        "RIGHT I-J: BANK 1 ON 2; BANK 2 ON 4\n"
        "kBtu/h: A spare | B 12/54 | C 24/54 | D 18/54 | E 18/54 | F 12.345/54"
        " | G+H 72/108 | I 54/54 | J spare\n"
    )
    assert f"{body}CRC {crc32(body.encode()):08X}\n" == placard_text(job, first_box(job))


def test_the_crc_is_the_published_one() -> None:
    """CRC-32 of "123456789" is CBF43926, the published check value (from memory); both ways agree."""
    assert crc_line("123456789") == "CRC CBF43926"
    assert crc32(b"123456789") == 0xCBF43926


def test_a_small_crc_keeps_its_eight_digits() -> None:
    """Leading zeros are printed: the CRC has one length (text found by search with the rule above)."""
    text = next(text for number in range(10000) if crc32((text := f"x{number}").encode()) < 1 << 24)
    assert re.fullmatch("CRC 00[0-9A-F]{6}", crc_line(text))


def test_the_key_tag_stands_in_the_text() -> None:
    """A box that shows another name on paper keeps its key tag here, in its own case."""
    sketch = replace(LIBRARY, boxes=(replace(LIBRARY.boxes[0], tag="bb-1", shown="BB 1/L2"),), number="")
    assert placard_text(sketch.record(), first_box(sketch.record())).startswith("BOX bb-1 REV 2\n")


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
    assert expected(job) == read(placard_text(job, first_box(job)))


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
