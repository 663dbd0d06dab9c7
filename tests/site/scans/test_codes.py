"""What a scanned text is, and lines gathered into texts as a hand scanner types them."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tagmaker.job.model import Job
from tagmaker.plan.plan_job import plan_job
from tagmaker.site.scans.codes import LineGatherer, scan_of
from tagmaker.site.scans.times import Span
from tagmaker.tags.codes import read_code
from tests.site.papers import library, placards, tags_by_code
from tests.strategies import jobs

PLACARD = placards(library())[0]
UNKNOWN = (
    "4006381333931",
    "BB-1/A",
    "BB-1/A/LIQUID",
    "BB-1/AB/LIQ",
    "BB-1/1/LIQ",
    "BB-1/A/TRM/FC-1",
    "-BB-1/A/LIQ",
    "BB 1/A/LIQ",
    "BB-1/A/LIQ/",
    "BB-1/A/LIQ/FC-1/ONE",
    "BB-1/TRM",
    "ABCDEFGHIJKLMNOPQRSTUVWXY/A/LIQ",
    "BOX 12 OF 20",
    "box BB-1 rev 2",
    "CRC",
    "REV 2",
)
"""Codes of other things, and near misses of this program's; the last tag has 25 characters."""


# --- one text -----------------------------------------------------------------------------------------------


@given(jobs((4, 6), most_boxes=1))
@settings(max_examples=10, deadline=None)
def test_every_code_of_a_job_is_a_tag(job: Job) -> None:
    """Its parts are those of `read_code`; text and source are kept."""
    for code in tags_by_code(plan_job(job)[0]):
        scan = scan_of(code, "here")
        assert (scan.tag, scan.kind, scan.text, scan.source) == (read_code(code), "tag", code, "here")


def test_how_a_scanner_is_set_does_not_matter() -> None:
    """Small letters, and spaces or line ends around the code."""
    assert scan_of("  bb-1/a/liq\r\n", "").tag == scan_of("BB-1/A/LIQ", "").tag is not None


def test_a_placard_is_one() -> None:
    """With what it says; its source is kept."""
    scan = scan_of(PLACARD, "photo.jpg")
    assert (scan.kind, scan.fault, scan.source) == ("placard", None, "photo.jpg")
    assert scan.placard is not None
    assert (scan.placard.box, scan.placard.revision, scan.placard.number) == ("BB-1", "2", "ML-24")


def test_a_damaged_placard_is_still_one() -> None:
    """It is told as a placard that cannot be read, not as an unknown code."""
    scan = scan_of(PLACARD.replace("REV 2", "REV 3"), "")
    assert (scan.kind, scan.placard) == ("placard", None)
    assert scan.fault is not None
    assert scan.fault.is_altered


@pytest.mark.parametrize("text", UNKNOWN)
def test_anything_else_is_unknown_and_kept(text: str) -> None:
    """No near miss is taken for a tag or a placard; the text is kept as it was read."""
    scan = scan_of(text, "")
    assert (scan.kind, scan.text, scan.tag, scan.placard, scan.fault) == ("unknown", text, None, None, None)


@given(st.text())
def test_no_text_is_too_odd(text: str) -> None:
    """Whatever is read is a tag, a placard, or unknown."""
    assert scan_of(text, "").kind in {"tag", "placard", "unknown"}


# --- lines --------------------------------------------------------------------------------------------------


def gathered(*lines: str) -> list[str]:
    """The texts that lines give, the rest included."""
    gatherer = LineGatherer()
    return [text for line in lines for text in gatherer.put(line)] + gatherer.rest()


def lines_of(text: str) -> list[str]:
    """A text as it is typed: its lines without their ends."""
    return text.removesuffix("\n").split("\n")


def test_each_line_is_a_text_at_once() -> None:
    """A tag, or anything unknown, is whole with its line; empty lines are none."""
    gatherer = LineGatherer()
    lines = ("BB-1/A/TRM", "", "4006381333931", "BOX 12 OF 20", "  ", "BB-1/A/COM")
    assert [gatherer.put(line) for line in lines] == [
        ["BB-1/A/TRM"],
        [],
        ["4006381333931"],
        ["BOX 12 OF 20"],
        [],
        ["BB-1/A/COM"],
    ]
    assert gatherer.rest() == []


@pytest.mark.parametrize("end", ["\n", "\r\n", "\r", ""])
def test_a_placards_lines_are_one_text(end: str) -> None:
    """However lines end; the text is whole with its last line."""
    gatherer = LineGatherer()
    *lines, last = lines_of(PLACARD)
    assert [gatherer.put(f"{line}{end}") for line in lines] == [[]] * len(lines)
    assert gatherer.put(f"{last}{end}") == [PLACARD]


def test_a_scanner_that_ends_each_line_twice_adds_nothing() -> None:
    """Empty lines within a placard are no part of it."""
    assert gathered(*(each for line in lines_of(PLACARD) for each in (line, ""))) == [PLACARD]


def test_a_tag_ends_a_placard_that_was_cut() -> None:
    """What came of the placard is told as cut, and the tag is not lost."""
    start, tag = lines_of(PLACARD)[:2], "BB-1/A/TRM"
    texts = gathered(*start, tag, "BB-1/A/COM")
    assert ["".join(f"{line}\n" for line in start), tag, "BB-1/A/COM"] == texts
    assert [scan_of(text, "").kind for text in texts] == ["placard", "tag", "tag"]
    assert scan_of(texts[0], "").fault is not None


def test_a_placard_ends_a_placard_that_was_cut() -> None:
    """Scanned again from its first line, it is whole."""
    start = lines_of(PLACARD)[:3]
    assert ["".join(f"{line}\n" for line in start), PLACARD] == gathered(*start, *lines_of(PLACARD))


def test_the_rest_is_told_when_the_lines_end() -> None:
    """A placard that was never finished is not dropped."""
    assert gathered("BOX BB-1 REV 2") == ["BOX BB-1 REV 2\n"]


def test_a_start_without_an_end_does_not_swallow_all_that_follows() -> None:
    """After more lines than any placard has, what is held is given up as one text."""
    texts = gathered("BOX BB-1 REV 2", *(f"line {number}" for number in range(100)))
    assert len(texts) > 50
    assert "".join(f"{text.rstrip()}\n" for text in texts).split("\n")[:3] == [
        "BOX BB-1 REV 2",
        "line 0",
        "line 1",
    ]


@given(st.lists(st.sampled_from((*sorted(tags_by_code(library())), *placards(library()), *UNKNOWN))))
def test_texts_typed_as_lines_come_back_as_they_were(texts: list[str]) -> None:
    """Any run of tags, placards and other codes, each whole, in its order."""
    assert texts == gathered(*(line for text in texts for line in lines_of(text)))


@pytest.mark.parametrize(
    ("time", "known"),
    [
        ("2026-06-03T09:00:00Z", Span("2026-06-03T09:00:00Z", "2026-06-03T09:00:59Z")),
        ("2026-06-03T09:00:00Z/2026-06-03T09:00:09Z",
         Span("2026-06-03T09:00:00Z", "2026-06-03T09:00:09Z", is_picture=True)),
        ("2026-06-03T09:00:09Z/2026-06-03T09:00:00Z",
         Span("2026-06-03T09:00:00Z", "2026-06-03T09:00:09Z", is_picture=True)),
        ("2026-06-03T99:00:00Z", Span()),
        ("2026-06-03T09:00:00Z/2026-06-03T99:00:00Z", Span()),
        ("1970-01-01T00:10:00Z", Span()),
        ("9999-12-31T23:59:59Z", Span()),
    ],
)  # fmt: skip
def test_a_time_that_no_clock_shows_is_not_known(time: str, known: Span) -> None:
    """A clean scan of such a clock would clear a crossing that was found after it."""
    gatherer = LineGatherer()
    assert gatherer.put(f"# {time} Kim") == []
    assert gatherer.at == known
