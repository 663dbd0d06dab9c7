"""What the walk found: read, merged, compared with the job as it is and as it was printed."""

from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tagmaker.plan.model import Plan
from tagmaker.workflows.readback import Readback, readback
from tests.records import replace
from tests.site.walks import (
    SITE,
    Values,
    as_planned,
    filled,
    form,
    hand_in,
    only,
    phone,
    plan_of,
    without,
)
from tests.strategies import JobSketch, UnitSketch

WRONG: Values = {
    "BB-1/left/1/1": True,
    "BB-1/port/A/pipe/found": "FC-5",
    "BB-1/port/E/cable/found": "none",
    "BB-2/only/1/1": True,
}


@pytest.fixture(scope="module")
def job(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The job that is walked, on disk."""
    return SITE.write(tmp_path_factory.mktemp("site") / "job")


@pytest.fixture(scope="module")
def plan(job: Path) -> Plan:
    """Its plan."""
    return plan_of(job)


@pytest.fixture
def right(plan: Plan) -> Values:
    """A walk on which all is as planned."""
    return as_planned(plan)


@pytest.fixture
def wrong(right: Values) -> Values:
    """A walk on which four things in two boxes are not."""
    return without(right, "BB-1/port/A/pipe/ok", "BB-1/port/E/cable/ok") | WRONG


def states(result: Readback) -> dict[str, str]:
    """What it comes to, box by box."""
    return {box.box: box.state for box in result.boxes}


def codes(result: Readback) -> list[str]:
    """The problems' codes."""
    return [problem.code for problem in result.problems]


def older(job: JobSketch, folder: Path) -> Plan:
    """The plan of the job as it was."""
    return plan_of(job.write(folder))


def test_all_seen_and_right(tmp_path: Path, job: Path, plan: Plan, right: Values) -> None:
    """Every box as planned, nothing wrong."""
    result = readback(hand_in(tmp_path, plan, right), job)
    assert states(result) == {"BB-1": "as planned", "bb-2": "as planned"}
    assert (result.is_wrong, result.problems) == (False, ())


def test_nothing_handed_in_is_not_seen(tmp_path: Path, job: Path) -> None:
    """An empty folder: no box was seen."""
    result = readback([tmp_path], job)
    assert (states(result), result.is_wrong) == ({"BB-1": "not seen", "bb-2": "not seen"}, True)


def test_one_box_of_two(tmp_path: Path, job: Path, plan: Plan) -> None:
    """What was not walked stays not seen."""
    result = readback(hand_in(tmp_path, plan, as_planned(plan, "BB-2")), job)
    assert (states(result), result.is_wrong) == ({"BB-1": "not seen", "bb-2": "as planned"}, True)


def test_what_is_wrong_is_told_in_walking_order(tmp_path: Path, job: Path, plan: Plan, wrong: Values) -> None:
    """Numbered through the whole job: boards, then letters, then the next box."""
    result = readback(hand_in(tmp_path, plan, wrong), job)
    told = [
        (punch.number, punch.box, punch.place, punch.wrong) for box in result.boxes for punch in box.punches
    ]
    assert told == [
        (1, "BB-1", "left board", "Bank 1 switch 1 is ON"),
        (2, "BB-1", "port A", "pipe found: FC-5, planned: FC-1"),
        (3, "BB-1", "port E", "no cable found, planned: FC-5"),
        (4, "bb-2", "only board", "Bank 1 switch 1 is ON"),
    ]
    assert states(result) == {"BB-1": "differs", "bb-2": "differs"}


def test_a_form_and_a_phones_file_come_to_the_same(
    tmp_path: Path, job: Path, plan: Plan, wrong: Values
) -> None:
    """The same findings on paper and on a phone: the same result, word by word."""
    (tmp_path / "walk.pdf").write_bytes(filled(form(plan), wrong))
    (tmp_path / "walk.json").write_text(phone(plan, wrong), encoding="utf-8")
    pdf, phones = (readback([tmp_path / f"walk.{kind}"], job) for kind in ("pdf", "json"))
    assert pdf.outline == phones.outline


@given(st.data())
@settings(max_examples=20, deadline=None)
def test_files_add_up_in_any_order(
    tmp_path_factory: pytest.TempPathFactory, job: Path, plan: Plan, data: st.DataObject
) -> None:
    """A walk divided over three files, read in any order: the whole walk's result."""
    folder = tmp_path_factory.getbasetemp() / "parts"
    whole = as_planned(plan) | {"BB-1/left/1/1": True, "BB-1/port/A/note": "wet"}
    parts = sorted({"/".join(name.split("/")[: 3 if "/port/" in name else 2]) for name in whole})
    who = data.draw(st.lists(st.integers(0, 2), min_size=len(parts), max_size=len(parts)))
    shares = [
        only(whole, [f"{part}/" for part, n in zip(parts, who, strict=True) if n == each])
        for each in range(3)
    ]
    files = data.draw(st.permutations(hand_in(folder, plan, *shares)))
    (one,) = hand_in(folder / "one", plan, whole)
    assert readback(files, job).outline == readback([one], job).outline


def test_a_form_and_a_phones_file_are_merged(tmp_path: Path, job: Path, plan: Plan, right: Values) -> None:
    """One walked with a tablet, one with a phone: together all is seen."""
    (tmp_path / "kim.pdf").write_bytes(filled(form(plan), only(right, ["BB-1/"])))
    (tmp_path / "max.json").write_text(phone(plan, only(right, ["BB-2/"])), encoding="utf-8")
    assert states(readback([tmp_path], job)) == {"BB-1": "as planned", "bb-2": "as planned"}


def test_a_form_and_a_phone_may_contradict_each_other(
    tmp_path: Path, job: Path, plan: Plan, right: Values
) -> None:
    """A switch ticked on paper, and left out by the phone because it was OFF: told with both files."""
    (tmp_path / "kim.pdf").write_bytes(filled(form(plan), right))
    (tmp_path / "max.json").write_text(phone(plan, without(right, "BB-1/right/2/4")), encoding="utf-8")
    result = readback([tmp_path], job)
    (problem,) = result.problems
    assert (problem.code, problem.severity, problem.boxes) == ("return-contradiction", "warning", ("BB-1",))
    said = f"{tmp_path / 'kim.pdf'}: ticked; {tmp_path / 'max.json'}: not ticked"
    assert problem.message == f"BB-1/right/2/4: findings conflict ({said})"
    assert states(result) == {"BB-1": "not seen", "bb-2": "as planned"}
    assert result.boxes[0].punches == []


def test_an_older_revision_is_recognised(tmp_path: Path, job: Path, right: Values) -> None:
    """The sheet's own revision is told, and that what was seen is as planned then; it counts today."""
    old = older(replace(SITE, revision="1"), tmp_path / "old")
    (file,) = hand_in(tmp_path / "in", old, right)
    result = readback([file], job)
    assert codes(result) == ["return-older", "return-older"]
    assert result.problems[0].message == (
        "the sheet of BB-1 was printed for revision 1, which differs from the current job; "
        "compared with that revision, what was seen of its switches is as planned"
    )
    assert "compared with revision 2" in result.problems[0].hint
    assert states(result) == {"BB-1": "as planned", "bb-2": "as planned"}


def test_it_is_compared_with_what_it_was_printed_for_and_with_today(tmp_path: Path, job: Path) -> None:
    """B was spare then: its switch ON was right then and is wrong today."""
    units = tuple(unit for unit in SITE.boxes[0].units if unit.port != "B")
    old = older(replace(SITE, revision="1", boxes=(replace(SITE.boxes[0], units=units),)), tmp_path / "old")
    result = readback(hand_in(tmp_path / "in", old, as_planned(old)), job)
    assert (
        "compared with that revision, what was seen of its switches is as planned"
        in result.problems[0].message
    )
    assert [punch.wrong for punch in result.boxes[0].punches] == ["Bank 1 switch 2 is ON"]


def test_what_differed_then_is_told(tmp_path: Path, job: Path, right: Values) -> None:
    """A board that differs from what its sheet was printed for is named."""
    old = older(replace(SITE, revision="1"), tmp_path / "old")
    values = right | {"BB-1/left/1/4": True, "BB-1/left/2/3": True}
    result = readback(hand_in(tmp_path / "in", old, values), job)
    assert "compared with that revision, switches differ on the left board" in result.problems[0].message


def test_a_board_that_was_not_seen_is_not_compared(tmp_path: Path, job: Path) -> None:
    """Nothing seen of its switches: nothing said of them."""
    old = older(replace(SITE, revision="1"), tmp_path / "old")
    result = readback(hand_in(tmp_path / "in", old, {"BB-1/port/A/note": "wet"}), job)
    assert [problem.message.rpartition("; ")[2] for problem in result.problems] == [
        "compared with that revision, no board was seen"
    ]


def test_units_that_moved_without_a_new_revision_are_noticed(
    tmp_path: Path, job: Path, right: Values
) -> None:
    """FC-1 and FC-5 changed places, all loads the same: older, and the ticks at A and E do not count."""
    places = {"FC-1": "E", "FC-5": "A"}
    units = tuple(replace(unit, port=places.get(unit.tag, unit.port)) for unit in SITE.boxes[0].units)
    old = older(replace(SITE, boxes=(replace(SITE.boxes[0], units=units), SITE.boxes[1])), tmp_path / "old")
    result = readback(hand_in(tmp_path / "in", old, right), job)
    assert codes(result) == ["return-older"]
    assert states(result) == {"BB-1": "not seen", "bb-2": "as planned"}
    assert {text[:6] for text in result.boxes[0].unknown} == {"port A", "port E"}


def test_a_sheet_that_lost_what_it_was_for_is_told(
    tmp_path: Path, job: Path, plan: Plan, right: Values
) -> None:
    """Its hidden text was altered: nobody can tell, and its ticks at letters do not count."""
    text = phone(plan, right).replace("REV 2", "REV 9")
    (tmp_path / "walk.json").write_text(text, encoding="utf-8")
    result = readback([tmp_path], job)
    assert codes(result) == ["return-older", "return-older"]
    assert "no longer shows what it was printed for" in result.problems[0].message
    assert states(result) == {"BB-1": "not seen", "bb-2": "not seen"}


def test_a_box_that_the_job_does_not_have_is_told(tmp_path: Path, job: Path, right: Values) -> None:
    """Once a box; what else is in the file counts."""
    boxes = (*SITE.boxes, replace(SITE.boxes[1], tag="BB-9", units=(UnitSketch("FC-9", "A"),)))
    other = older(replace(SITE, boxes=boxes), tmp_path / "other")
    (file,) = hand_in(tmp_path / "in", other, right | {"BB-9/only/seen": True, "BB-9/only/1/2": True})
    result = readback([file], job)
    assert [(problem.code, problem.severity) for problem in result.problems] == [
        ("return-foreign", "warning")
    ]
    assert result.problems[0].message == "it is for box BB-9, which the job does not have"
    assert states(result) == {"BB-1": "as planned", "bb-2": "as planned"}


def test_a_sheet_of_another_job_counts_for_nothing(tmp_path: Path, job: Path, right: Values) -> None:
    """The same tags hang in another building: its number tells, and nothing of it is taken over."""
    other = older(replace(SITE, number="XX-7"), tmp_path / "other")
    (file,) = hand_in(tmp_path / "in", other, right)
    result = readback([file], job)
    assert codes(result) == ["return-foreign"]
    assert result.problems[0].message == "it was printed for another job than ML-24: it is ignored"
    assert states(result) == {"BB-1": "not seen", "bb-2": "not seen"}
