"""Systems in a record: what their sheets show is there, and whatever they leave open is an open point."""

from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tagmaker.site.days.judge import DayFinding, DaysResult
from tagmaker.tags.handover import OpenPoint, SystemRecord
from tagmaker.workflows.handover_open import not_covered, numbered, open_points
from tagmaker.workflows.handover_systems import system_record
from tagmaker.workflows.readback import Readback, readback
from tests.records import replace
from tests.site import systems as sheets
from tests.site.handed_over import all_right
from tests.site.systems import CLINIC, Sheet, clinic, rightly, write_form
from tests.site.walks import hand_in
from tests.strategies import words

SUMS = {("charge", "pipes"), ("charge", "total")}


def is_sum(parts: tuple[str, ...]) -> bool:
    """Whether it is worked out on the sheet: the program works it out of the lengths."""
    return parts in SUMS or (parts[0] == "line" and parts[-1] == "charge")


@pytest.fixture(scope="module")
def walked(tmp_path_factory: pytest.TempPathFactory) -> Readback:
    """The example with all boxes walked and right, its systems' sheets not handed in."""
    files = hand_in(tmp_path_factory.mktemp("walked"), clinic(), all_right(clinic()))
    return readback(files, CLINIC)


def opened(back: Readback) -> tuple[OpenPoint, ...]:
    """What is open."""
    return numbered(open_points(clinic(), back, (), (), words()))


def with_sheets(walked: Readback, *changed: Sheet) -> Readback:
    """The same with sheets of all systems, the first of them in place of those that are right."""
    own = [*changed, *(rightly(system) for system in clinic().systems[len(changed) :])]
    found = (
        sheets.found(system, sheet, unwalked=()) for system, sheet in zip(clinic().systems, own, strict=True)
    )
    return replace(walked, systems=tuple(found))


def records(back: Readback) -> list[SystemRecord]:
    """The record of each system."""
    pairs = zip(clinic().systems, back.systems, strict=True)
    return [system_record(clinic().job, system, found, (), words()) for system, found in pairs]


def test_nothing_is_open_where_all_sheets_are_right(walked: Readback) -> None:
    """Complete, with every figure as it came back."""
    back = with_sheets(walked)
    assert opened(back) == ()
    for record in records(back):
        assert record.result == "complete"
        assert all(fact.found for fact in record.facts if fact.is_asked)


def test_systems_of_which_nothing_came_back_are_open(walked: Readback) -> None:
    """One point each, and nothing is filled in from the plan."""
    assert [(point.kind, point.where) for point in opened(walked)] == [("system", "HR-1"), ("system", "HR-2")]
    for record in records(walked):
        assert record.result == "not seen"
        assert not any(fact.found for fact in record.facts)
        assert any(fact.planned for fact in record.facts)


def test_each_field_left_out_is_an_open_point(walked: Readback) -> None:
    """But for sums that the program works out itself."""
    right = rightly(clinic().systems[0])
    for parts in (each for each in right if not is_sum(each)):
        less = {each: value for each, value in right.items() if each != parts}
        assert {point.kind for point in opened(with_sheets(walked, less))} == {"system"}, parts


@given(st.data())
@settings(max_examples=60)
def test_a_leak_or_a_wrong_weight_is_never_complete(walked: Readback, data: st.DataObject) -> None:
    """Whatever pressure, vacuum and weight are read: only those that hold have no open point."""
    sheet = rightly(clinic().systems[0])
    fall = data.draw(st.integers(5, 300))
    which = data.draw(st.sampled_from(["pressure", "vacuum", "weight"]))
    if which == "pressure":
        end = ("hold", "end", "pressure")
        sheet[end] = f"{float(str(sheet[end])) - fall:.1f}"
    elif which == "vacuum":
        last = max((parts for parts in sheet if parts[0] == "vacuum" and parts[1].isdigit()), key=_minute)
        sheet[last] = str(250 + 200 + fall)
    else:
        weighed = ("charge", "weighed")
        sheet[weighed] = f"{float(str(sheet[weighed])) * (1 - fall / 310):.1f}" if fall > 15 else "1"
    assert opened(with_sheets(walked, sheet))


def _minute(parts: tuple[str, ...]) -> int:
    return int(parts[1])


def test_a_form_comes_through_the_whole_readback(tmp_path: Path, walked: Readback) -> None:
    """As a file among the others."""
    files = hand_in(tmp_path, clinic(), all_right(clinic()))
    form = write_form(
        tmp_path / "systems.pdf", clinic(), ((each, rightly(each)) for each in clinic().systems)
    )
    back = readback([*files, form], CLINIC)
    assert opened(back) == ()
    assert [record.facts for record in records(back)] == [
        record.facts for record in records(with_sheets(walked))
    ]


# --- first days ---------------------------------------------------------------------------------------------


def test_what_stands_out_of_the_first_days_is_open(walked: Readback) -> None:
    """And units that were not read; a result that is whole and plain leaves nothing open."""
    whole = DaysResult("HR-1", (1,), 22, 22, (), ())
    odd = replace(whole, findings=(DayFinding("AH-101", "BB-11", "A+B", 1, "too warm"),))
    back = with_sheets(walked)
    assert opened(replace(back, days=(whole,))) == ()
    (point,) = opened(replace(back, days=(odd,)))
    assert (point.kind, point.where, point.place) == ("system", "HR-1", "AH-101 (BB-11 · A+B)")
    assert opened(replace(back, days=(replace(whole, unread=("FC-102, day 1",)),)))


def test_days_of_which_nothing_was_read_are_not_covered(walked: Readback) -> None:
    """A table whose last rows were lost says nothing of them; neither does one of another system."""
    whole = DaysResult("HR-1", (1, 3), 44, 44, (), ())
    found = list(not_covered(clinic(), replace(walked, days=(whole,)), words()))
    assert "First days: nothing was read of HR-1 on day 7." in found
    assert "No readings of the first days were handed in of HR-2." in found
