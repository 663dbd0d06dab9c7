"""A tag's code: what is written reads back into its parts, and nothing else is read as a code."""

from typing import get_args

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tagmaker.job.model import Job
from tagmaker.plan.plan_job import plan_job
from tagmaker.tags.codes import BOX_WHAT, PORT_WHAT, UNIT_WHAT, TagCode, read_code
from tagmaker.tags.model import BoxKind, PortKind, UnitKind
from tests.site.papers import tags_by_code
from tests.strategies import jobs, tags

CAPITALS = tags().map(str.upper)
LETTERS = st.sampled_from("ABCDEFGHIJKLZ")
AT_BOX = st.builds(TagCode, CAPITALS, LETTERS, st.sampled_from(sorted(PORT_WHAT.values())))
LINES = st.sampled_from(("LIQ", "GAS", "COM"))
AT_UNIT = st.builds(TagCode, CAPITALS, LETTERS, LINES, CAPITALS)
GOING_ON = st.builds(TagCode, CAPITALS, LETTERS, st.just("COM"), CAPITALS, st.just(True))  # noqa: FBT003
PIPES = st.sampled_from(("LIQ", "GAS"))
AT_SPLITTER = st.builds(TagCode, CAPITALS, LETTERS, PIPES, CAPITALS, at_splitter=st.just(value=True))
OF_UNIT = st.builds(TagCode, CAPITALS, LETTERS, st.sampled_from(sorted(UNIT_WHAT.values())), CAPITALS)
OF_BOX = st.builds(TagCode, CAPITALS, st.just(""), st.sampled_from(sorted(BOX_WHAT.values())))
NEAR_MISSES = (
    "",
    "BB-1",
    "BB-1/A",
    "BB-1/A/LIQUID",
    "BB-1/AB/LIQ",
    "BB-1/1/LIQ",
    "BB-1/A/LOC",
    "BB-1/A/TRM/FC-1",
    "BB-1/TRM",
    "BB-1/LIQ/FC-1",
    "-BB-1/A/LIQ",
    "BB-1/A/LIQ/-FC-1",
    "BB 1/A/LIQ",
    "BB-1/A/LIQ/",
    "BB-1/A/LIQ/FC-1/ONE",
    "BB-1/A/COM/FC-1/ON/ON",
    "BB-1/A/COM/FC-1/SPL",
    "BB-1/A/TRM/FC-1/SPL",
    "BB-1/A/LIQ/SPL/SPL/SPL",
    "BB-1/A/UNT",
    "BB-1/A/CTL/FC-1/SPL",
    "BB-1/UNT",
    "BB-1/A/ISO",
    "ABCDEFGHIJKLMNOPQRSTUVWXY/A/LIQ",
)
"""The last tag has 25 characters."""


@given(AT_BOX | AT_UNIT | GOING_ON | AT_SPLITTER | OF_UNIT | OF_BOX)
def test_what_is_written_reads_back(code: TagCode) -> None:
    """For every code that a tag can have."""
    assert read_code(code.text) == code


@given(jobs((4, 6), most_boxes=1))
@settings(max_examples=30, deadline=None)
def test_every_code_of_a_job_has_the_parts_of_its_tag(job: Job) -> None:
    """Box, port, what it is put on, unit and end; codes are in capitals."""
    what = {str(kind): word for kind, word in (*PORT_WHAT.items(), *BOX_WHAT.items())}
    for text, tag in tags_by_code(plan_job(job)[0]).items():
        code = read_code(text)
        assert code is not None
        unit = tag.units[0].upper() if tag.end == "unit" else ""
        assert (code.box, code.port, code.what, code.unit) == (
            tag.box.upper(),
            tag.port,
            what[tag.kind],
            unit,
        )
        assert (code.end, code.goes_on) == (tag.end, text.endswith("/ON"))


@pytest.mark.parametrize(
    ("text", "code"),
    [
        ("LIQ/L/LIQ/GAS", TagCode("LIQ", "L", "LIQ", "GAS")),
        ("BB-1/A/COM/ON", TagCode("BB-1", "A", "COM", "ON")),
        ("BB-1/A/COM/ON/ON", TagCode("BB-1", "A", "COM", "ON", goes_on=True)),
        (" bb-1/suc\r\n", TagCode("BB-1", "", "SUC")),
        ("BB-1/A/GAS/SPL", TagCode("BB-1", "A", "GAS", "SPL")),
        ("BB-1/A/GAS/SPL/SPL", TagCode("BB-1", "A", "GAS", "SPL", at_splitter=True)),
        ("UNT/A/UNT/UNT", TagCode("UNT", "A", "UNT", "UNT")),
    ],
)
def test_codes_that_look_odd(text: str, code: TagCode) -> None:
    """Boxes and units whose names are words of the code; small letters, spaces and line ends round it."""
    assert read_code(text) == code


@pytest.mark.parametrize("text", NEAR_MISSES)
def test_a_near_miss_is_no_code(text: str) -> None:
    """Nothing is guessed."""
    assert read_code(text) is None


@given(st.text() | st.from_regex(r"[A-Za-z0-9/-]{1,30}", fullmatch=True))
def test_whatever_is_read_is_written_the_same(text: str) -> None:
    """A text that reads as a code is that code in capitals, so that no part of it is lost."""
    code = read_code(text)
    assert code is None or code.text == text.strip().upper()


def test_every_kind_of_tag_has_its_word() -> None:
    """Kinds are types; a kind without a word could not be written."""
    assert (set(PORT_WHAT), set(BOX_WHAT)) == (set(get_args(PortKind)), set(get_args(BoxKind)))
    assert {*UNIT_WHAT, "splitter"} == set(get_args(UnitKind))  # those have the words of their pipes
