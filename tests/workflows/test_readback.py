"""What the walk found: read, merged, compared with the job as it is and as it was printed."""

import io
import json
import sys
from pathlib import Path

import pikepdf
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tagmaker.plan.model import Plan
from tagmaker.workflows.readback import Readback, readback
from tests.paths import ROOT
from tests.records import replace
from tests.site.walks import SITE, Values, as_planned, filled, form, hand_in, only, phone, plan_of, without
from tests.strategies import BoxSketch, JobSketch, UnitSketch


def states(result: Readback) -> dict[str, str]:
    """What it comes to, box by box."""
    return {box.box: box.state for box in result.boxes}


def codes(result: Readback) -> list[str]:
    """The problems' codes."""
    return [problem.code for problem in result.problems]


def older(job: JobSketch, folder: Path) -> Plan:
    """The plan of the job as it was."""
    return plan_of(job.write(folder))


def test_all_seen_and_right(tmp_path: Path, site_job: Path, site_plan: Plan, site_right: Values) -> None:
    """Every box as planned, nothing wrong."""
    result = readback(hand_in(tmp_path, site_plan, site_right), site_job)
    assert states(result) == {"BB-1": "as planned", "bb-2": "as planned"}
    assert (result.is_wrong, result.problems) == (False, ())


def test_nothing_handed_in_is_not_seen(tmp_path: Path, site_job: Path) -> None:
    """An empty folder: no box was seen."""
    result = readback([tmp_path], site_job)
    assert (states(result), result.is_wrong) == ({"BB-1": "not seen", "bb-2": "not seen"}, True)


def test_one_box_of_two(tmp_path: Path, site_job: Path, site_plan: Plan) -> None:
    """What was not walked stays not seen."""
    result = readback(hand_in(tmp_path, site_plan, as_planned(site_plan, "BB-2")), site_job)
    assert (states(result), result.is_wrong) == ({"BB-1": "not seen", "bb-2": "as planned"}, True)


def test_what_is_wrong_is_told_in_walking_order(
    tmp_path: Path, site_job: Path, site_plan: Plan, site_wrong: Values
) -> None:
    """Numbered through the whole job: boards, then letters, then the next box."""
    result = readback(hand_in(tmp_path, site_plan, site_wrong), site_job)
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
    tmp_path: Path, site_job: Path, site_plan: Plan, site_wrong: Values
) -> None:
    """The same findings on paper and on a phone: the same result, word by word."""
    (tmp_path / "walk.pdf").write_bytes(filled(form(site_plan), site_wrong))
    (tmp_path / "walk.json").write_text(phone(site_plan, site_wrong), encoding="utf-8")
    pdf, phones = (readback([tmp_path / f"walk.{kind}"], site_job) for kind in ("pdf", "json"))
    assert pdf.outline == phones.outline


@given(st.data())
@settings(max_examples=20, deadline=None)
def test_files_add_up_in_any_order(
    tmp_path_factory: pytest.TempPathFactory, site_job: Path, site_plan: Plan, data: st.DataObject
) -> None:
    """A walk divided over three files, read in any order: the whole walk's result."""
    folder = tmp_path_factory.getbasetemp() / "parts"
    whole = as_planned(site_plan) | {"BB-1/left/1/1": True, "BB-1/port/A/note": "wet"}
    parts = sorted({"/".join(name.split("/")[: 3 if "/port/" in name else 2]) for name in whole})
    who = data.draw(st.lists(st.integers(0, 2), min_size=len(parts), max_size=len(parts)))
    shares = [
        only(whole, [f"{part}/" for part, n in zip(parts, who, strict=True) if n == each])
        for each in range(3)
    ]
    files = data.draw(st.permutations(hand_in(folder, site_plan, *shares)))
    (one,) = hand_in(folder / "one", site_plan, whole)
    assert readback(files, site_job).outline == readback([one], site_job).outline


def test_a_form_and_a_phones_file_are_merged(
    tmp_path: Path, site_job: Path, site_plan: Plan, site_right: Values
) -> None:
    """One walked with a tablet, one with a phone: together all is seen."""
    (tmp_path / "kim.pdf").write_bytes(filled(form(site_plan), only(site_right, ["BB-1/"])))
    (tmp_path / "max.json").write_text(phone(site_plan, only(site_right, ["BB-2/"])), encoding="utf-8")
    assert states(readback([tmp_path], site_job)) == {"BB-1": "as planned", "bb-2": "as planned"}


def test_a_form_and_a_phone_may_contradict_each_other(
    tmp_path: Path, site_job: Path, site_plan: Plan, site_right: Values
) -> None:
    """A switch ticked on paper, and left out by the phone because it was OFF: told with both files."""
    (tmp_path / "kim.pdf").write_bytes(filled(form(site_plan), site_right))
    (tmp_path / "max.json").write_text(
        phone(site_plan, without(site_right, "BB-1/right/2/4")), encoding="utf-8"
    )
    result = readback([tmp_path], site_job)
    (problem,) = result.problems
    assert (problem.code, problem.severity, problem.boxes) == ("return-contradiction", "warning", ("BB-1",))
    said = f"{tmp_path / 'kim.pdf'}: ON; {tmp_path / 'max.json'}: OFF"
    assert problem.message == f"BB-1/right/2/4: findings conflict ({said})"
    assert states(result) == {"BB-1": "not seen", "bb-2": "as planned"}
    assert result.boxes[0].punches == []


def by_its_own_mark(plan: Plan, values: Values) -> Values:
    """The same walk with every switch marked, ON or OFF, and no board seen, as on paper."""
    names = [
        f"{box.row.key}/{board.place}/{bank.number}/{switch.number}"
        for box in plan.boxes
        for board in box.boards
        for bank in board.banks
        for switch in bank.switches
    ]
    return without(values, "/seen") | {f"{name}/off": True for name in names if not values.get(name)}


def test_a_form_of_marks_alone_comes_to_the_same(
    tmp_path: Path, site_job: Path, site_plan: Plan, site_wrong: Values
) -> None:
    """Every switch by its own mark, as on paper, in a form: what "board seen" comes to."""
    (tmp_path / "seen.pdf").write_bytes(filled(form(site_plan), site_wrong))
    (tmp_path / "marks.pdf").write_bytes(filled(form(site_plan), by_its_own_mark(site_plan, site_wrong)))
    seen, marks = (readback([tmp_path / f"{name}.pdf"], site_job) for name in ("seen", "marks"))
    assert marks.boxes == seen.boxes
    assert states(marks) == {"BB-1": "differs", "bb-2": "differs"}


def test_a_form_with_a_switch_marked_twice_is_named(
    tmp_path: Path, site_job: Path, site_plan: Plan, site_right: Values
) -> None:
    """ON and OFF both marked in one form: the switch and the form are named, and it is not seen."""
    values = by_its_own_mark(site_plan, site_right) | {"BB-1/left/2/2/off": True}
    (tmp_path / "kim.pdf").write_bytes(filled(form(site_plan), values))
    result = readback([tmp_path], site_job)
    (problem,) = result.problems
    assert problem.message == f"BB-1/left/2/2: findings conflict ({tmp_path / 'kim.pdf'}: ON and OFF)"
    assert states(result) == {"BB-1": "not seen", "bb-2": "as planned"}


def test_what_was_read_is_given_as_it_was_read(
    tmp_path: Path, site_job: Path, site_plan: Plan, site_wrong: Values
) -> None:
    """Every tick by its field's name, of forms and phones' files alike, contradictions included."""
    values = by_its_own_mark(site_plan, site_wrong) | {"BB-1/left/2/2/off": True}
    (tmp_path / "kim.pdf").write_bytes(filled(form(site_plan), values))
    (tmp_path / "max.json").write_text(phone(site_plan, values), encoding="utf-8")
    for file in ("kim.pdf", "max.json"):
        boxes = readback([tmp_path / file], site_job).outline.boxes
        ticks = {name for name, value in values.items() if value is True}
        assert {name for box in boxes for name in box.ticked} == ticks
        assert [len(box.ticked) for box in boxes] == [
            sum(name.startswith(f"{key}/") for name in ticks) for key in ("BB-1", "BB-2")
        ]
        assert [box.unclear for box in boxes] == [(), ()]


def test_a_revision_that_changed_nothing_is_no_warning(
    tmp_path: Path, site_job: Path, site_right: Values
) -> None:
    """The sheets of revision 1 say what those of revision 2 say."""
    old = older(replace(SITE, revision="1"), tmp_path / "old")
    result = readback(hand_in(tmp_path / "in", old, site_right), site_job)
    assert result.problems == ()
    assert states(result) == {"BB-1": "as planned", "bb-2": "as planned"}


SPARE_B = tuple(unit for unit in SITE.boxes[0].units if unit.port != "B")
B_WAS_SPARE = replace(SITE, revision="1", boxes=(replace(SITE.boxes[0], units=SPARE_B), SITE.boxes[1]))


def test_a_file_warns_once_and_of_boxes_that_changed_alone(tmp_path: Path, site_job: Path) -> None:
    """Both boxes changed in one file, one of them in the other: a warning a file, with those boxes."""
    other = replace(SITE.boxes[1], units=SITE.boxes[1].units[:1])
    both = older(replace(B_WAS_SPARE, boxes=(B_WAS_SPARE.boxes[0], other)), tmp_path / "both")
    one = older(B_WAS_SPARE, tmp_path / "one")
    files = hand_in(tmp_path / "a", both, as_planned(both)) + hand_in(tmp_path / "b", one, as_planned(one))
    result = readback(files, site_job)
    older_ones = [problem for problem in result.problems if problem.code == "return-older"]
    assert [problem.boxes for problem in older_ones] == [("BB-1", "BB-2"), ("BB-1",)]
    assert older_ones[1].message == (
        "the plan of BB-1 differs from what the walk sheet was printed for, revision 1; "
        "compared with that, what was seen of the switches is as planned then"
    )


def test_it_is_compared_with_what_it_was_printed_for_and_with_today(tmp_path: Path, site_job: Path) -> None:
    """B was spare then: its switch ON was right then and is wrong today."""
    old = older(B_WAS_SPARE, tmp_path / "old")
    result = readback(hand_in(tmp_path / "in", old, as_planned(old)), site_job)
    assert "compared with that, what was seen of the switches is as planned" in result.problems[0].message
    assert [punch.wrong for punch in result.boxes[0].punches] == ["Bank 1 switch 2 is ON"]


def test_what_differed_then_is_told(tmp_path: Path, site_job: Path) -> None:
    """A board that differs from what its sheet was printed for is named."""
    old = older(B_WAS_SPARE, tmp_path / "old")
    values = as_planned(old) | {"BB-1/left/1/4": True, "BB-1/left/2/3": True}
    result = readback(hand_in(tmp_path / "in", old, values), site_job)
    assert "compared with that, switches differ on these boards: BB-1 left" in result.problems[0].message


def test_marks_are_compared_with_what_they_were_printed_for(tmp_path: Path, site_job: Path) -> None:
    """Switches marked one by one, without "board seen": a board that differs from its sheet is named too."""
    old = older(B_WAS_SPARE, tmp_path / "old")
    values = by_its_own_mark(old, as_planned(old))
    (right,) = readback(hand_in(tmp_path / "a", old, values), site_job).problems
    assert right.message.endswith("what was seen of the switches is as planned then")
    wrong = without(values, "BB-1/left/1/4/off") | {"BB-1/left/1/4": True}
    (problem,) = readback(hand_in(tmp_path / "b", old, wrong), site_job).problems
    assert problem.message.endswith("switches differ on these boards: BB-1 left")


def test_a_board_that_was_not_seen_is_not_compared(tmp_path: Path, site_job: Path) -> None:
    """Nothing seen of its switches: nothing said of them."""
    old = older(B_WAS_SPARE, tmp_path / "old")
    result = readback(hand_in(tmp_path / "in", old, {"BB-1/port/A/note": "wet"}), site_job)
    assert [problem.message.rpartition("; ")[2] for problem in result.problems] == [
        "compared with that, no board was seen"
    ]


def test_units_that_moved_without_a_new_revision_are_noticed(
    tmp_path: Path, site_job: Path, site_right: Values
) -> None:
    """FC-1 and FC-5 changed places, all loads the same: older, and the ticks at A and E do not count."""
    places = {"FC-1": "E", "FC-5": "A"}
    units = tuple(replace(unit, port=places.get(unit.tag, unit.port)) for unit in SITE.boxes[0].units)
    old = older(replace(SITE, boxes=(replace(SITE.boxes[0], units=units), SITE.boxes[1])), tmp_path / "old")
    result = readback(hand_in(tmp_path / "in", old, site_right), site_job)
    assert codes(result) == ["return-older"]
    assert states(result) == {"BB-1": "not seen", "bb-2": "as planned"}
    assert {text.removeprefix("port ")[0] for text in result.boxes[0].unknown} == {"A", "E"}


def test_power_isolated_elsewhere_takes_its_tick_away(
    tmp_path: Path, site_job: Path, site_right: Values
) -> None:
    """Power proved dead at another point than today's says nothing of today's; nor do signatures."""
    boxes = (replace(SITE.boxes[0], power="Panel LP-9"), SITE.boxes[1])
    old = older(replace(SITE, boxes=boxes), tmp_path / "old")
    signed = site_right | {"BB-1/sign/verifier": "M.O.", "BB-1/date/verifier": "2026-05-02"}
    result = readback(hand_in(tmp_path / "in", old, signed), site_job)
    assert states(result) == {"BB-1": "not seen", "bb-2": "as planned"}
    assert all(text.endswith(("(technician)", "(installer)")) for text in result.boxes[0].unknown)
    assert "BB-1/sign/verifier" in result.boxes[0].unsigned


OTHER_FAMILY = "boards-of-four"


def not_seen(job: Path) -> Readback:
    """The result where nothing came back."""
    return readback([], job)


def of_other_hardware(folder: Path) -> Plan:
    """The same job before its boxes were replaced: of a family with the same boards, under another name."""
    (folder / "families").mkdir(parents=True)
    content = (ROOT / "layouts" / "families" / f"{SITE.family}.toml").read_text("utf-8")
    (folder / "families" / f"{OTHER_FAMILY}.toml").write_text(content, "utf-8")
    return older(replace(SITE, family=OTHER_FAMILY, revision="1"), folder)


def test_nothing_seen_of_a_box_counts_for_another_one_in_its_place(
    tmp_path: Path, site_job: Path, site_right: Values
) -> None:
    """No tick, switch or unit found, on a form or a phone, though all of it is as planned; notes are kept."""
    old = of_other_hardware(tmp_path / "old")
    values = without(site_right, "pipe/ok") | {"BB-1/port/A/pipe/found": "FC-1", "BB-1/port/A/note": "dry"}
    (tmp_path / "kim.pdf").write_bytes(filled(form(old), values))
    (tmp_path / "max.json").write_text(phone(old, values), "utf-8")
    for file in ("kim.pdf", "max.json"):
        result = readback([tmp_path / file], site_job)
        assert codes(result) == ["return-older"], file
        assert states(result) == {"BB-1": "not seen", "bb-2": "not seen"}
        assert all(box.unproved for box in result.boxes)
        assert [box.unknown for box in result.boxes] == [box.unknown for box in not_seen(site_job).boxes]


def test_a_box_of_another_size_is_another_box(tmp_path: Path, site_job: Path, site_right: Values) -> None:
    """Of six ports now, of eight then: what was seen of its first board says nothing of today's."""
    boxes = (replace(SITE.boxes[0], ports=8), SITE.boxes[1])
    old = older(replace(SITE, boxes=boxes, revision="1"), tmp_path / "old")
    result = readback(hand_in(tmp_path / "in", old, site_right), site_job)
    assert (codes(result), states(result)) == (["return-older"], {"BB-1": "not seen", "bb-2": "as planned"})
    assert result.boxes[0].unknown == not_seen(site_job).boxes[0].unknown


def test_a_unit_of_another_capacity_is_another_unit(
    tmp_path: Path, site_job: Path, site_right: Values
) -> None:
    """Under the tag of the one before: its letter is looked at again, and no other."""
    units = (replace(SITE.boxes[0].units[0], capacity="9 kBtu/h"), *SITE.boxes[0].units[1:])
    boxes = (replace(SITE.boxes[0], units=units), SITE.boxes[1])
    old = older(replace(SITE, boxes=boxes, revision="1"), tmp_path / "old")
    result = readback(hand_in(tmp_path / "in", old, site_right), site_job)
    assert (codes(result), states(result)) == (["return-older"], {"BB-1": "not seen", "bb-2": "as planned"})
    assert {text.removeprefix("port ")[0] for text in result.boxes[0].unknown} == {"A"}


# --- whose sheet it is --------------------------------------------------------------------------------------


def test_a_sheet_that_lost_what_it_was_for_is_told(
    tmp_path: Path, site_job: Path, site_plan: Plan, site_right: Values
) -> None:
    """Its hidden text was altered: nobody can tell, and nothing of it counts."""
    text = phone(site_plan, site_right).replace("REV 2", "REV 9")
    (tmp_path / "walk.json").write_text(text, encoding="utf-8")
    result = readback([tmp_path], site_job)
    assert codes(result) == ["return-unknown"]
    assert result.problems[0].boxes == ("BB-1", "BB-2")
    assert states(result) == {"BB-1": "not seen", "bb-2": "not seen"}


def earlier_version(pdf: bytes) -> bytes:
    """A form whose hidden texts end with the units, without the job's name and digests."""
    out = io.BytesIO()
    with pikepdf.open(io.BytesIO(pdf)) as document:
        for page in document.pages:
            for note in page.Annots:
                if str(note.T).endswith("/printed-for"):
                    note.V = pikepdf.String(str(note.V).partition("NAME: ")[0])
        document.save(out)
    return out.getvalue()


def test_a_sheet_with_neither_name_nor_number_counts_for_nothing(tmp_path: Path) -> None:
    """Printed by an earlier version for a job without a number: nothing shows which job it is."""
    job = replace(SITE, number="").write(tmp_path / "job")
    plan = plan_of(job)
    (tmp_path / "walk.pdf").write_bytes(earlier_version(filled(form(plan), as_planned(plan))))
    result = readback([tmp_path / "walk.pdf"], job)
    assert [(each.code, each.severity) for each in result.problems] == [("return-unknown", "warning")]
    assert states(result) == {"BB-1": "not seen", "bb-2": "not seen"}


def test_ticks_of_an_earlier_version_do_not_count(
    tmp_path: Path, site_job: Path, site_plan: Plan, site_wrong: Values
) -> None:
    """The job's number shows its job; what was planned then is not kept, so only units found count."""
    (tmp_path / "walk.pdf").write_bytes(earlier_version(filled(form(site_plan), site_wrong)))
    result = readback([tmp_path / "walk.pdf"], site_job)
    assert codes(result) == ["return-older"]
    assert [punch.place for box in result.boxes for punch in box.punches] == ["port A", "port E"]


JOBS = {
    "another number": ({"number": "XX-7"}, {}, "return-foreign"),
    "another number, another name": ({"number": "XX-7", "name": "Tower One"}, {}, "return-foreign"),
    "the same number, another name": ({"name": "Tower One"}, {}, "return-renamed"),
    "no number, another name": ({"number": "", "name": "Tower One"}, {}, "return-foreign"),
    "two names, no numbers": (
        {"number": "", "name": "Tower One"},
        {"number": "", "name": "Tower Two"},
        "return-foreign",
    ),
    "the number given since": ({"number": ""}, {}, ""),
    "spaces and capitals": (
        {"number": "", "name": "tower  one"},
        {"number": "", "name": "Tower One"},
        "",
    ),
}


def test_switches_of_another_building_with_the_same_number_do_not_count(
    tmp_path: Path, site_job: Path
) -> None:
    """Another name and another plan of the box: it is no earlier state of this job."""
    units = tuple(replace(unit, tag=f"X-{unit.tag}") for unit in SITE.boxes[0].units)
    for name, state in {"Tower One": "left board was not seen", SITE.name: "port A: pipe not seen"}.items():
        other = replace(SITE, name=name, boxes=(replace(SITE.boxes[0], units=units),))
        plan = plan_of(other.write(tmp_path / name))
        result = readback(hand_in(tmp_path / name / "in", plan, as_planned(plan)), site_job)
        assert result.boxes[0].unknown[0] == state


@pytest.mark.parametrize("kind", ["pdf", "json"])
@pytest.mark.parametrize("case", JOBS)
def test_a_sheet_counts_for_its_own_job_alone(case: str, kind: str, tmp_path: Path) -> None:
    """Two numbers decide, else the names; a file of another job is refused, and nothing of it counts."""
    then, now, code = JOBS[case]
    old = older(replace(SITE, **then), tmp_path / "old")
    job = replace(SITE, **now).write(tmp_path / "job")
    values, path = as_planned(old), tmp_path / f"walk.{kind}"
    path.write_bytes(filled(form(old), values) if kind == "pdf" else phone(old, values).encode())
    result = readback([path], job)
    assert codes(result) == ([code] if code else [])
    is_refused = code == "return-foreign"
    assert all(problem.severity == ("error" if is_refused else "warning") for problem in result.problems)
    state = "not seen" if is_refused else "as planned"
    assert states(result) == {"BB-1": state, "bb-2": state}


def test_one_sheet_of_another_job_refuses_its_file(tmp_path: Path, site_job: Path, site_plan: Plan) -> None:
    """Boxes of two jobs in one file: the file is refused whole."""
    other = older(replace(SITE, number="XX-7"), tmp_path / "other")
    ours, theirs = (json.loads(phone(each, as_planned(each))) for each in (site_plan, other))
    ours["boxes"][1] = theirs["boxes"][1]
    (tmp_path / "walk.json").write_text(json.dumps(ours), encoding="utf-8")
    result = readback([tmp_path / "walk.json"], site_job)
    assert codes(result) == ["return-foreign"]
    assert states(result) == {"BB-1": "not seen", "bb-2": "not seen"}


def test_jobs_of_one_name_without_numbers_are_told_apart_as_far_as_plans_differ(tmp_path: Path) -> None:
    """What both plan alike counts; the rest does not, and the message says why it cannot be known."""
    job = replace(SITE, number="").write(tmp_path / "job")
    old = older(replace(B_WAS_SPARE, number=""), tmp_path / "old")
    result = readback(hand_in(tmp_path / "in", old, as_planned(old)), job)
    assert codes(result) == ["return-older"]
    assert "no job number shows that it is not of another job of this name" in result.problems[0].hint
    assert states(result)["bb-2"] == "as planned"
    assert states(result)["BB-1"] == "differs"


def test_a_box_that_the_job_does_not_have_is_told(tmp_path: Path, site_job: Path, site_right: Values) -> None:
    """Once a box; what else is in the file counts."""
    boxes = (*SITE.boxes, replace(SITE.boxes[1], tag="BB-9", units=(UnitSketch("FC-9", "A"),)))
    other = older(replace(SITE, boxes=boxes), tmp_path / "other")
    (file,) = hand_in(tmp_path / "in", other, site_right | {"BB-9/only/seen": True, "BB-9/only/1/2": True})
    result = readback([file], site_job)
    assert [(problem.code, problem.severity) for problem in result.problems] == [
        ("return-foreign", "warning")
    ]
    assert result.problems[0].message == "it is for box BB-9, which the job does not have"
    assert states(result) == {"BB-1": "as planned", "bb-2": "as planned"}


def test_a_box_twice_in_a_phones_file_is_refused(
    tmp_path: Path, site_job: Path, site_plan: Plan, site_right: Values
) -> None:
    """Two exports put into one by hand: neither hides the other."""
    content = json.loads(phone(site_plan, site_right))
    content["boxes"].append(content["boxes"][0])
    (tmp_path / "walk.json").write_text(json.dumps(content), encoding="utf-8")
    result = readback([tmp_path / "walk.json"], site_job)
    assert codes(result) == ["return-merged"]
    assert result.problems[0].message == "walk.json holds two sheets of BB-1"


# --- growth -------------------------------------------------------------------------------------------------


def calls_in_one_file(boxes: int, folder: Path) -> int:
    """How many calls `readback` makes for so many boxes, all wrong somewhere, in one file."""
    sketches = tuple(
        BoxSketch(f"BB-{n}", 4, (UnitSketch(f"FC-{n}", "A", "12 kBtu/h"),)) for n in range(1, boxes + 1)
    )
    job = replace(SITE, boxes=sketches).write(folder / "job")
    plan = plan_of(job)
    found = as_planned(plan)
    for n in range(1, boxes + 1):
        found = without(found, f"BB-{n}/port/B/pipe/ok") | {f"BB-{n}/port/B/pipe/found": f"FC-{boxes}"}
    files = hand_in(folder / "in", plan, found)
    counted = 0

    def count(*_: object) -> None:
        nonlocal counted
        counted += 1

    before = sys.getprofile()
    sys.setprofile(count)
    try:
        readback(files, job)
    finally:
        sys.setprofile(before)
    return counted


def test_the_work_grows_with_the_values_that_came_back(tmp_path: Path) -> None:
    """Twice the boxes, in one file that has all: twice the calls, not four times."""
    calls_of = {boxes: calls_in_one_file(boxes, tmp_path / str(boxes)) for boxes in (10, 20, 40)}
    first, second = calls_of[20] - calls_of[10], calls_of[40] - calls_of[20]
    assert second < 2.2 * first
