"""What the final stage says of the pipes' stock."""

import pytest

from tagmaker.catalog.stock import Stock
from tagmaker.job.model import Job
from tagmaker.revisions.selection import Selection
from tagmaker.sheets.final_stage import check_final_stage
from tests.measured import SMALL, mains, on_stocks, sized
from tests.records import replace
from tests.strategies import stock_named

FINAL = Selection(stage="final")
MEASURES = {"liquid": "3/8 in", "gas": "7/8 in", "insulation": "3/4 in"}
WRAP = stock_named("roll-pipe-wrap-254x38-203dpi")
TIE_ON = stock_named("roll-tie-on-76x51-203dpi")
LABELS = stock_named("letter-30-67x25")


def said(job: Job, selection: Selection = FINAL) -> list[tuple[str, str, str]]:
    """Code, message and hint of each problem."""
    return [(each.code, each.message, each.hint) for each in check_final_stage(job, selection)]


def test_tie_on_tags_of_the_rough_in_stay() -> None:
    """7/8 in over 3/4 in of insulation is 7.46 in around: the hint has what wraps that, and all less."""
    ((code, message, hint),) = said(sized(SMALL, **MEASURES))
    assert code == "stock-unsuited"
    assert message == (
        "no pipe tags are printed: those on letter-30-67x25 are tie-on tags, the same as at the rough-in, "
        "and stay on their pipes"
    )
    offered = hint.removeprefix("to label the insulation name in [print] pipe one of: ").split(", ")
    assert WRAP.name in offered
    assert not {"roll-pipe-wrap-152x38-203dpi", TIE_ON.name, LABELS.name} & set(offered)


def test_mains_count_among_the_pipes_to_wrap() -> None:
    """A main of 3 in in 2 in of insulation is 22 in around: nothing that ships wraps it."""
    job = sized(SMALL, **MEASURES)
    large = mains("2 in", suction="3 in")
    job = replace(job, boxes=tuple(replace(box, mains=large) for box in job.boxes))
    ((_, _, hint),) = said(job)
    assert hint == "no wrap or flag fits all pipes: name one of your own in [print] pipe"


def test_without_diameters_none_is_offered() -> None:
    """What is not known is not assumed."""
    ((_, _, hint),) = said(SMALL.record())
    assert hint == "give the diameters and the insulation, and name a wrap or flag in [print] pipe"


def test_another_tie_on_tag_is_printed_and_warned_about() -> None:
    """It replaces one of another stock, but it does not go over the insulation."""
    ((code, message, _),) = said(on_stocks(sized(SMALL, **MEASURES), {"pipe": TIE_ON}))
    assert (code, message) == (
        "stock-unsuited",
        "pipe tags on roll-tie-on-76x51-203dpi are tie-on tags: they do not go over the insulation",
    )


def test_a_plain_label_without_diameters() -> None:
    """At the final stage there is insulation, given or not; where it is given, another check reports it."""
    named = {"pipe": replace(LABELS, is_default=False)}
    assert [code for code, _, _ in said(on_stocks(SMALL.record(), named))] == ["stock-drops-off"]
    assert said(on_stocks(sized(SMALL, **MEASURES), named)) == []


@pytest.mark.parametrize(
    ("selection", "stocks"),
    [
        (Selection(), {}),
        (Selection(stage="rough-in"), {}),
        (Selection(stage="final", kit="cables"), {}),
        (FINAL, {"pipe": WRAP}),
        (FINAL, {"pipe": stock_named("roll-flag-254x38-203dpi")}),
    ],
)
def test_nothing_is_said_where_nothing_is_wrong(selection: Selection, stocks: dict[str, Stock]) -> None:
    """Other stages, cables alone, and stocks that wrap."""
    assert said(on_stocks(sized(SMALL, **MEASURES), stocks), selection) == []
