"""A placard's text read back: what it says, or that it is damaged, never anything else."""

import string

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tagmaker.job.model import Job
from tagmaker.plan.plan_job import plan_job
from tagmaker.site.scans.codes import scan_of
from tagmaker.tags.placard_text import (
    BadPlacard,
    PlacardFacts,
    SeenBoard,
    SeenPort,
    placard_text,
    read_placard,
)
from tests.records import replace
from tests.site.papers import LIBRARY, library, placards, plan_of, sealed
from tests.strategies import JobSketch, jobs, sketches
from tests.tables import table
from tests.tags.facts import planned_facts

SHORT = "BB-1 R2 4 ON: LEFT 1:3 4 RIGHT 2:1 4 END\n"
LINES = (
    "BOX BB-1 REV 2 JOB ML-24\n",
    "LEFT A-D: BANK 1 ON 3 4; BANK 2 ON none\n",
    "RIGHT E-F: BANK 1 ON none; BANK 2 ON 1 4\n",
    "kBtu/h: A 12/54 | B 27/54 | C spare | D spare | E+F 72/108\n",
)
FACTS = PlacardFacts(
    "BB-1",
    "2",
    "ML-24",
    (SeenBoard("left", "A", "D", ((3, 4), ())), SeenBoard("right", "E", "F", ((), (1, 4)))),
    "kBtu/h",
    tuple(
        SeenPort(name, load, limit)
        for name, load, limit in table(
            """
            A   | 12 | 54
            B   | 27 | 54
            C   |    |
            D   |    |
            E+F | 72 | 108
            """
        )
    ),
)
SIGNS = st.characters(codec="utf-8")
SMALL = sketches((4, 6), most_boxes=1, most_units=2)


def text_of(*lines: str) -> str:
    """The lines as a placard's text, its CRC right."""
    return sealed("".join(lines))


# --- what was written ---------------------------------------------------------------------------------------


def test_a_text_in_full() -> None:
    """Every line of the grammar, read into its parts."""
    assert read_placard(text_of(SHORT, *LINES)) == FACTS


def test_a_text_that_was_printed_without_a_short_line_reads() -> None:
    """All paper that was printed before there was one."""
    assert read_placard(text_of(*LINES)) == FACTS


@pytest.mark.parametrize(
    "short",
    [
        SHORT.replace("1:3 4", "1:3"),
        SHORT.replace("4 ON", "5 ON"),
        SHORT.replace("LEFT ", ""),
        SHORT.replace(" END", ""),
        SHORT.replace("R2", "R3"),
        SHORT.replace("BB-1", "BB-2"),
        SHORT.replace("RIGHT 2:1 4 ", ""),
    ],
)
def test_a_short_line_that_differs_from_the_boards_is_refused(short: str) -> None:
    """Whatever its CRC: what a camera shows must be what the text says."""
    read = read_placard(text_of(short, *LINES))
    assert BadPlacard("its first line and its boards differ", is_altered=True) == read


@given(jobs())
@settings(max_examples=40, deadline=None)
def test_what_was_written_is_what_is_read(job: Job) -> None:
    """The text of every box of any legal job reads back as its plan."""
    plan = plan_job(job)[0]
    assert [planned_facts(job, box) for box in plan.boxes] == [read_placard(text) for text in placards(plan)]


def test_a_missing_capacity_reads_as_a_question_mark() -> None:
    """A draft's unknown load stays unknown."""
    sketch = replace(LIBRARY, is_draft=True)
    units = (replace(sketch.boxes[0].units[0], capacity=""), *sketch.boxes[0].units[1:])
    plan = plan_of(replace(sketch, boxes=(replace(sketch.boxes[0], units=units),)))
    facts = read_placard(placard_text(plan.job, plan.boxes[0]))
    assert isinstance(facts, PlacardFacts)
    assert SeenPort("A", "?", "54") == facts.ports[0]


def test_a_job_number_may_hold_any_words() -> None:
    """Even those that the text itself is made of."""
    first = "BOX BB-1 REV 2 JOB CRC REV BOX Größe/7\n"
    assert replace(FACTS, number="CRC REV BOX Größe/7") == read_placard(text_of(first, *LINES[1:]))


def test_loads_may_stand_in_several_lines() -> None:
    """As the grammar allows; all of them count."""
    loads = ("kBtu/h: A 12/54 | B 27/54\n", "kBtu/h: C spare | D spare | E+F 72/108\n")
    assert read_placard(text_of(*LINES[:3], *loads)) == FACTS


def test_a_reader_may_drop_the_last_line_end() -> None:
    """Some readers trim what they read; nothing is lost by it."""
    assert read_placard(text_of(*LINES).rstrip("\n")) == FACTS


# --- what was damaged ---------------------------------------------------------------------------------------


def test_no_single_changed_character_is_read_as_anything_else() -> None:
    """Every character of a text changed into every sign of ASCII: always said to be damaged or altered."""
    text = text_of(SHORT, *LINES)
    read = [
        (at, sign)
        for at, old in enumerate(text)
        for sign in string.printable
        if sign != old
        and not (at == len(text) - 1 and sign.isspace())  # the last line end may be any, or none
        and not is_refused(f"{text[:at]}{sign}{text[at + 1 :]}")
    ]
    assert read == []


def is_refused(text: str) -> bool:
    """Whether a text is told to be a placard that cannot be read."""
    found = scan_of(text, "")
    return (found.kind, found.tag, found.placard) == ("placard", None, None) and found.fault is not None


@given(SMALL, st.data())
@settings(max_examples=60, deadline=None)
def test_no_changed_sign_of_any_placard_reads(sketch: JobSketch, data: st.DataObject) -> None:
    """Any sign of any writing in place of any character but the last line end."""
    (text,) = placards(plan_of(sketch))
    at = data.draw(st.integers(0, len(text) - 2))
    sign = data.draw(SIGNS.filter(lambda each: each != text[at]))
    assert is_refused(f"{text[:at]}{sign}{text[at + 1 :]}")


@given(SMALL, st.data())
@settings(max_examples=40, deadline=None)
def test_no_lost_or_doubled_character_reads(sketch: JobSketch, data: st.DataObject) -> None:
    """A text that is shorter or longer by one is damaged."""
    (text,) = placards(plan_of(sketch))
    at = data.draw(st.integers(0, len(text) - 2))
    lost, doubled = f"{text[:at]}{text[at + 1 :]}", f"{text[:at]}{text[at]}{text[at:]}"
    assert [is_refused(lost), is_refused(doubled)] == [True, True]


def test_no_cut_text_reads() -> None:
    """A beginning without its end, an end without its beginning, a hole in the middle."""
    text = text_of(SHORT, *LINES)
    starts = [text[:at] for at in range(len(text) - 1)]
    ends = [text[at:] for at in range(1, len(text))]
    holes = [f"{text[:at]}{text[at + 20 :]}" for at in range(1, len(text) - 21)]
    assert [part for part in (*starts, *ends, *holes) if scan_of(part, "").placard] == []


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("".join(LINES), "its last line is not a CRC: the text is cut short"),
        (text_of(*LINES)[:-2], "its last line is not a CRC: the text is cut short"),
        (text_of(*LINES).splitlines()[-1], "its first lines are missing: the text is cut short"),
        (
            text_of(*LINES).replace("ON 3 4", "ON 3 5"),
            "its CRC does not match: the text is damaged or was altered",
        ),
        (
            text_of(*LINES[:2]).replace(LINES[1], LINES[2]),
            "its CRC does not match: the text is damaged or was altered",
        ),
    ],
)
def test_a_damaged_text_says_how(text: str, message: str) -> None:
    """Cut at its end, at its beginning, or altered."""
    assert BadPlacard(message, is_altered=True) == read_placard(text)


# --- what the grammar does not know -------------------------------------------------------------------------


@pytest.mark.parametrize(
    "lines",
    [
        ("BOX BB-1\n", *LINES[1:]),
        ("BOX BB 1 REV 2\n", *LINES[1:]),
        (LINES[0], "LEFT A-D: BANK 1 ON 3 4; BANK 2\n", *LINES[2:]),
        (LINES[0], "LEFT A-D: BANK 1 ON three; BANK 2 ON none\n", *LINES[2:]),
        (LINES[0], "LEFT A-D: BANK 2 ON 3 4; BANK 1 ON none\n", *LINES[2:]),
        (LINES[0], "LEFT A-D: BANK 1 ON 3 4; BANK 3 ON none\n", *LINES[2:]),
        (LINES[0], "LEFT A-D BANK 1 ON 3 4; BANK 2 ON none\n", *LINES[2:]),
        (*LINES[:2], "RIGHT E-G: BANK 1 ON none; BANK 2 ON 1 4\n", LINES[3]),
        (LINES[0], LINES[3]),
        LINES[:3],
        LINES[:1],
        (SHORT,),
        (SHORT, SHORT, *LINES),
        (SHORT, LINES[0]),
        (*LINES[:3], "kBtu/h: A 12/54 | B 27 | C spare | D spare | E+F 72/108\n"),
        (*LINES[:3], "kBtu/h: A 12/54, B 27/54 | C spare | D spare | E+F 72/108\n"),
        (*LINES[:3], "MBH: A 12/54 | B 27/54 | C spare | D spare | E+F 72/108\n"),
        (*LINES[:3], "kBtu/h: A 12/54 | B 27/54 | C spare | D spare\n", "kW: E+F 72/108\n"),
        (*LINES, "and more\n"),
        (*LINES, "\n"),
    ],
)
def test_a_text_out_of_the_grammar_is_refused_though_its_crc_is_right(lines: tuple[str, ...]) -> None:
    """Nobody's other text with a CRC counts as settings; what cannot be read is never read as "all OFF"."""
    read = read_placard(text_of(*lines))
    assert isinstance(read, BadPlacard)
    assert not read.is_altered


def test_the_texts_of_a_job_differ_from_box_to_box() -> None:
    """The claims above are not made of texts that say nothing."""
    read = [read_placard(text) for text in placards(library())]
    assert [facts.box for facts in read if isinstance(facts, PlacardFacts)] == ["BB-1", "BB-2"]
