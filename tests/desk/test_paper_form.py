"""What the page of paper asks for: an address carries it, and the workflows take it."""

from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from starlette.datastructures import QueryParams

from tagmaker.desk.paper_form import Asked, asked_of
from tagmaker.problems import Problem
from tagmaker.revisions.selection import KITS, STAGES, Selection
from tagmaker.workflows.paper import Paper, PaperBox

PAPER = Paper(
    "ML-24 Library",
    "ML-24",
    "Library",
    "2",
    tuple(
        PaperBox(key, key, "", level, system)
        for key, level, system in (("BB-1", "1", "HR-1"), ("BB-2", "2", "HR-1"), ("BB-3", "2", "HR-2"))
    ),
    (),
    (),
)
TAGS = st.from_regex(r"[A-Z0-9][A-Z0-9-]{0,6}(/[A-L](/LIQ)?)?", fullmatch=True)
NAMES = st.lists(TAGS, max_size=3, unique=True).map(tuple)
ASKED = st.builds(
    Asked,
    boxes=NAMES,
    level=st.text(max_size=8),
    system=st.text(max_size=8),
    only=NAMES,
    stage=st.sampled_from(("", *STAGES)),
    kit=st.sampled_from(("", *KITS)),
    skip=st.integers(0, 500),
    since=st.text("0123456789abcdef", max_size=12),
    all=st.booleans(),
    blind=st.booleans(),
    png=st.booleans(),
    no_proof=st.booleans(),
)


@given(ASKED)
def test_an_address_carries_all_that_is_asked_for(asked: Asked) -> None:
    """Whatever it is, there and back; other fields beside it change nothing."""
    assert asked_of(QueryParams(asked.query())) == asked
    assert asked_of(QueryParams(asked.query(file="a&b=c.pdf", page=3))) == asked
    assert QueryParams(asked.query(file="a&b=c.pdf"))["file"] == "a&b=c.pdf"


@pytest.mark.parametrize(
    "query",
    ["", "stage=last", "kit=all", "skip=-1", "skip=x", "skip=%C2%B2", "skip=", "boxes=&only=,", "other=1"],
)
def test_what_no_form_sends_counts_as_none(query: str) -> None:
    """Nothing is guessed, and nothing raises."""
    assert asked_of(QueryParams(query)) == Asked()


def test_names_are_taken_in_capitals_once_and_several_at_a_time() -> None:
    """As a person types them into one field."""
    asked = asked_of(QueryParams("only=bb-1/c, BB-1/C  bb-2/a/liq&boxes=bb-1&boxes=bb-2"))
    assert (asked.only, asked.boxes) == (("BB-1/C", "BB-2/A/LIQ"), ("BB-1", "BB-2"))


def test_a_selection_is_that_of_the_command_line() -> None:
    """Field by field."""
    since = Path("out")
    asked = Asked(
        only=("BB-1/C",),
        stage="final",
        kit="box",
        skip=4,
        since="x",
        all=True,
        blind=True,
        png=True,
        no_proof=True,
        weighed_in=("walk.pdf",),
    )
    weighed = (Path("returned/walk.pdf"),)
    assert asked.selection(PAPER, since, weighed) == Selection(
        only=("BB-1/C",), stage="final", kit="box", skip=4, blind=True, proof=False, png=True, since=since,
        prints_all=True, weighed_in=weighed,
    )  # fmt: skip
    assert Asked().selection(PAPER, None) == Selection()


@pytest.mark.parametrize(
    ("asked", "boxes"),
    [
        (Asked(level="2"), ("BB-2", "BB-3")),
        (Asked(system="HR-1"), ("BB-1", "BB-2")),
        (Asked(level="2", system="HR-1"), ("BB-2",)),
        (Asked(boxes=("BB-3", "BB-1")), ("BB-3", "BB-1")),
        (Asked(boxes=("BB-3", "BB-1"), level="2"), ("BB-3",)),
    ],
)
def test_level_and_system_choose_among_the_boxes(asked: Asked, boxes: tuple[str, ...]) -> None:
    """Of those that are chosen one by one, or of all."""
    selection = asked.selection(PAPER, None)
    assert isinstance(selection, Selection)
    assert selection.boxes == boxes


@pytest.mark.parametrize(
    "asked", [Asked(level="3"), Asked(level="1", system="HR-2"), Asked(boxes=("BB-1",), level="2")]
)
def test_no_box_is_never_every_box(asked: Asked) -> None:
    """A choice that leaves none is a problem, not the whole job."""
    assert isinstance(asked.selection(PAPER, None), Problem)


@pytest.mark.parametrize(
    ("asked", "limited"),
    [
        (Asked(), False), (Asked(skip=3, blind=True, png=True, no_proof=True), False),
        (Asked(level="1"), True),
        (Asked(boxes=("BB-1",)), True), (Asked(only=("BB-1/A",)), True), (Asked(stage="final"), True),
        (Asked(kit="box"), True), (Asked(since="x"), True), (Asked(since="x", all=True), False),
    ],
)  # fmt: skip
def test_a_part_is_known_as_one(asked: Asked, limited: bool) -> None:  # noqa: FBT001 — a table's column
    """As `make` knows it: it is given a folder of its own."""
    assert asked.is_limited == limited
