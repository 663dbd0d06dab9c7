"""What the walk found comes home: read, merged, compared, told box by box, and a list of what to mend."""

import json
from contextlib import closing
from pathlib import Path

import pypdfium2
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from typer.testing import CliRunner, Result

from tagmaker.cli import app as cli
from tagmaker.plan.model import Plan
from tagmaker.workflows.readback import Readback, readback, readback_lines, write_punch_list
from tests.records import replace
from tests.sheets.printed import MM, Box
from tests.site.walks import (
    ROLES,
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

LICENSED = "only licensed people open or braze them, refrigerant is not vented"
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


def run(*words: str | Path) -> Result:
    """The command called with these words."""
    return CliRunner().invoke(cli.app, ["readback", *map(str, words)], env={"COLUMNS": "200"})


def states(result: Readback) -> dict[str, str]:
    """What it comes to, box by box."""
    return {box.box: box.state for box in result.boxes}


def codes(result: Readback) -> list[str]:
    """The problems' codes."""
    return [problem.code for problem in result.problems]


def older(job: JobSketch, folder: Path) -> Plan:
    """The plan of the job as it was."""
    return plan_of(job.write(folder))


# --- what it comes to ---------------------------------------------------------------------------------------


def test_all_seen_and_right(tmp_path: Path, job: Path, plan: Plan, right: Values) -> None:
    """Every box as planned, nothing wrong."""
    result = readback(hand_in(tmp_path, plan, right), job)
    assert states(result) == {"BB-1": "as planned", "bb-2": "as planned"}
    assert (result.is_wrong, result.problems) == (False, [])


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
        (2, "BB-1", "port A", "the pipe found is FC-5's, planned is FC-1"),
        (3, "BB-1", "port E", "no cable found, planned is FC-5"),
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
    assert pdf.as_json() == phones.as_json()
    assert readback_lines(pdf) == readback_lines(phones)


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
    assert readback(files, job).as_json() == readback([one], job).as_json()


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
    assert problem.message == f"BB-1/right/2/4: different things were found ({said})"
    assert states(result) == {"BB-1": "not seen", "bb-2": "as planned"}
    assert result.boxes[0].punches == []


# --- printed for something else -----------------------------------------------------------------------------


def test_an_older_revision_is_recognised(tmp_path: Path, job: Path, right: Values) -> None:
    """The sheet's own revision is told, and that what was seen is as planned then; it counts today."""
    old = older(replace(SITE, revision="1"), tmp_path / "old")
    (file,) = hand_in(tmp_path / "in", old, right)
    result = readback([file], job)
    assert codes(result) == ["return-older", "return-older"]
    assert result.problems[0].message == (
        "the sheet of BB-1 was printed for revision 1, otherwise than the job is today; "
        "against that, what was seen of its switches is as planned"
    )
    assert "compared with revision 2" in result.problems[0].hint
    assert states(result) == {"BB-1": "as planned", "bb-2": "as planned"}


def test_it_is_compared_with_what_it_was_printed_for_and_with_today(tmp_path: Path, job: Path) -> None:
    """B was spare then: its switch ON was right then and is wrong today."""
    units = tuple(unit for unit in SITE.boxes[0].units if unit.port != "B")
    old = older(replace(SITE, revision="1", boxes=(replace(SITE.boxes[0], units=units),)), tmp_path / "old")
    result = readback(hand_in(tmp_path / "in", old, as_planned(old)), job)
    assert "against that, what was seen of its switches is as planned" in result.problems[0].message
    assert [punch.wrong for punch in result.boxes[0].punches] == ["Bank 1 switch 2 is ON"]


def test_what_differed_then_is_told(tmp_path: Path, job: Path, right: Values) -> None:
    """A board that differs from what its sheet was printed for is named."""
    old = older(replace(SITE, revision="1"), tmp_path / "old")
    values = right | {"BB-1/left/1/4": True, "BB-1/left/2/3": True}
    result = readback(hand_in(tmp_path / "in", old, values), job)
    assert "against that, switches differ on the left board" in result.problems[0].message


def test_a_board_that_was_not_seen_is_not_compared(tmp_path: Path, job: Path) -> None:
    """Nothing seen of its switches: nothing said of them."""
    old = older(replace(SITE, revision="1"), tmp_path / "old")
    result = readback(hand_in(tmp_path / "in", old, {"BB-1/port/A/note": "wet"}), job)
    assert [problem.message.rpartition("; ")[2] for problem in result.problems] == [
        "against that, no board was seen"
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
    assert "does not say any more what it was printed for" in result.problems[0].message
    assert states(result) == {"BB-1": "not seen", "bb-2": "not seen"}


# --- of another job -----------------------------------------------------------------------------------------


def test_a_box_that_the_job_does_not_have_is_told(tmp_path: Path, job: Path, right: Values) -> None:
    """Once a box; what else is in the file counts."""
    boxes = (*SITE.boxes, replace(SITE.boxes[1], tag="BB-9", units=(UnitSketch("FC-9", "A"),)))
    other = older(replace(SITE, boxes=boxes), tmp_path / "other")
    (file,) = hand_in(tmp_path / "in", other, right | {"BB-9/only/seen": True, "BB-9/only/1/2": True})
    result = readback([file], job)
    assert [(problem.code, problem.severity) for problem in result.problems] == [
        ("return-foreign", "warning")
    ]
    assert result.problems[0].message == "it is of box BB-9, which the job does not have"
    assert states(result) == {"BB-1": "as planned", "bb-2": "as planned"}


def test_a_sheet_of_another_job_counts_for_nothing(tmp_path: Path, job: Path, right: Values) -> None:
    """The same tags hang in another building: its number tells, and nothing of it is taken over."""
    other = older(replace(SITE, number="XX-7"), tmp_path / "other")
    (file,) = hand_in(tmp_path / "in", other, right)
    result = readback([file], job)
    assert codes(result) == ["return-foreign"]
    assert result.problems[0].message == "it was printed for another job than ML-24: nothing of it counts"
    assert states(result) == {"BB-1": "not seen", "bb-2": "not seen"}


# --- the command --------------------------------------------------------------------------------------------


def test_exit_0_only_when_all_is_seen_and_right(
    tmp_path: Path, job: Path, plan: Plan, right: Values, wrong: Values
) -> None:
    """1 where anything differs, is not seen, is contradicted, or cannot be read."""
    one, two, three, four = hand_in(
        tmp_path, plan, right, wrong, without(right, "item/cover"), without(right, "BB-1/left/2/2")
    )
    bad = tmp_path / "bad.json"
    bad.write_text("{}", encoding="utf-8")
    expected = {(one,): 0, (two,): 1, (three,): 1, (one, three): 0, (one, four): 1, (one, bad): 1, (bad,): 1}
    assert {files: run(*files, "--job", job).exit_code for files in expected} == expected


def test_proofs_signatures_and_dates_do_not_change_it(
    tmp_path: Path, job: Path, plan: Plan, right: Values
) -> None:
    """Empty or filled in: exit 0; empty ones are listed."""
    letters = {f"BB-1/port/{letter}/proved": "rung out, K.A." for letter in "ABCDEF"}
    signed = {f"BB-1/{what}/{role}": "K.A." for what in ("sign", "date") for role in ROLES}
    bare, full = (
        run(file, "--job", job) for file in hand_in(tmp_path, plan, right, {**right, **letters, **signed})
    )
    assert (bare.exit_code, full.exit_code) == (0, 0)
    assert bare.stdout.splitlines()[:3] == [
        "BB-1: as planned",
        "    without proof: A B C D E F",
        "    not signed or dated: 6 places",
    ]
    assert full.stdout.splitlines()[:2] == ["BB-1: as planned", "bb-2: as planned"]


def test_a_folder_says_how_far_the_site_is(tmp_path: Path, job: Path, plan: Plan, wrong: Values) -> None:
    """Box by box, and how many are as planned, differ, or are not seen."""
    hand_in(tmp_path / "in", plan, only(wrong, ["BB-2/"]))
    result = run(tmp_path / "in", "--job", job)
    lines = result.stdout.splitlines()
    assert (result.exit_code, lines[0], lines[-1]) == (
        1,
        "BB-1: not seen",
        "2 boxes: 0 as planned, 1 differs, 1 not seen",
    )


def test_what_to_do_is_told(tmp_path: Path, job: Path, plan: Plan, wrong: Values) -> None:
    """Under each thing that is wrong: what to do, and what to expect until then; then the notes."""
    values = only(wrong, ["BB-1/"]) | {"BB-1/port/C/note": "drain dry"}
    result = run(*hand_in(tmp_path, plan, values), "--job", job)
    lines = result.stdout.splitlines()
    assert lines[:3] == [
        "BB-1: differs",
        "    1. left board: Bank 1 switch 1 is ON",
        "        do: isolate the box's power, prove it dead, then move Bank 1 switch 1 to OFF",
    ]
    assert lines[3].startswith("        left board: port A carries FC-1 but is switched out of service")
    assert lines[4] == "    2. port A: the pipe found is FC-5's, planned is FC-1"
    assert "    note C: drain dry" in result.stdout.splitlines()


def test_problems_go_to_standard_error(tmp_path: Path, job: Path, plan: Plan, right: Values) -> None:
    """A broken file among good ones: its problem there, the result on standard output."""
    files = hand_in(tmp_path, plan, right)
    (tmp_path / "bad.pdf").write_bytes(b"hello")
    result = run(*files, tmp_path / "bad.pdf", "--job", job)
    assert result.exit_code == 1
    assert "[return-unreadable]" in result.stderr
    assert result.stdout.splitlines()[-1] == "2 boxes: 2 as planned, 0 differs, 0 not seen"


def test_json_holds_it_all(tmp_path: Path, job: Path, plan: Plan, wrong: Values) -> None:
    """Each box with its result, what to mend, what is unknown, proved and noted; counts; problems."""
    values = wrong | {"BB-1/port/A/note": "wet", "BB-1/port/B/proved": "rung out, K.A."}
    result = run(*hand_in(tmp_path, plan, without(values, "BB-2/item/cover")), "--job", job, "--json")
    answer = json.loads(result.stdout)
    assert (result.exit_code, result.stderr, list(answer)) == (1, "", ["boxes", "counts", "problems"])
    assert answer["counts"] == {"as planned": 0, "differs": 2, "not seen": 0}
    first, second = answer["boxes"]
    assert list(first) == [
        "box", "place", "power", "result", "punch_list", "unknown", "proved", "unproved", "unsigned", "notes"
    ]  # fmt: skip
    assert first["result"] == "differs"
    assert first["punch_list"][1] == {
        "number": 2,
        "place": "port A",
        "wrong": "the pipe found is FC-5's, planned is FC-1",
        "to_do": f"the pipes of FC-5 belong on E: {LICENSED}",
        "expect": ["crossed, the system starts and performs wrongly"],
    }
    assert (first["proved"], first["notes"]) == ({"B": "rung out, K.A."}, ["A: wet"])
    assert second["unknown"] == ["Control box cover back in place (installer)"]
    assert second["unproved"] == ["A", "B", "C", "D"]
    assert "BB-2/sign/verifier" in second["unsigned"]


def test_a_job_with_errors_is_told_and_compared(tmp_path: Path, plan: Plan, right: Values) -> None:
    """The job has changed for the worse since: its errors are told, exit 1."""
    bad = replace(SITE, boxes=(replace(SITE.boxes[0], units=(UnitSketch("FC-1", "A", "99 kBtu/h"),)),))
    result = run(*hand_in(tmp_path, plan, right), "--job", bad.write(tmp_path / "bad"))
    assert result.exit_code == 1
    assert "[port-overloaded]" in result.stderr


def test_a_job_that_cannot_be_read_is_told(tmp_path: Path, plan: Plan, right: Values) -> None:
    """Nothing can be compared: its problems, no result, no list, exit 1."""
    (tmp_path / "job").mkdir()
    (tmp_path / "job" / "job.toml").write_text("[job\n", encoding="utf-8")
    result = run(
        *hand_in(tmp_path / "in", plan, right), "--job", tmp_path / "job", "-o", tmp_path / "punch.pdf"
    )
    assert result.exit_code == 1
    assert "[toml-syntax]" in result.stderr
    assert not (tmp_path / "punch.pdf").exists()


def test_wrong_usage() -> None:
    """No files, no job, or a job that is not there: exit 2."""
    assert run("--job", "nowhere").exit_code == 2
    assert run("walk.pdf").exit_code == 2
    assert run("walk.pdf", "--job", "nowhere").exit_code == 2


# --- the punch list on paper --------------------------------------------------------------------------------


def read_pages(path: Path) -> list[str]:
    """The words of every page of a PDF, each in one line; nothing may lie outside the page."""
    told: list[str] = []
    with closing(pypdfium2.PdfDocument(path)) as document:
        for page in document:
            width, height = page.get_size()
            text = page.get_textpage()
            room = Box(0, 0, width * MM, height * MM)
            for index in range(text.count_chars()):
                left, bottom, right, top = text.get_charbox(index)
                assert room.holds(Box(left * MM, bottom * MM, right * MM, top * MM))
            told.append(" ".join(text.get_text_range().split()))
    return told


def test_the_punch_list_is_printed(tmp_path: Path, job: Path, plan: Plan, wrong: Values) -> None:
    """Read back from the PDF: everything to mend with its number, and what is not seen yet."""
    out = tmp_path / "punch.pdf"
    result = run(*hand_in(tmp_path, plan, without(wrong, "BB-2/item/cover")), "--job", job, "-o", out)
    assert result.exit_code == 1
    (page,) = read_pages(out)
    assert page.startswith("PUNCH LIST ML-24 Marsh Lane Library Revision 2")
    for text in (
        "1 BB-1 left board Bank 1 switch 1 is ON",
        "the pipe found is FC-5's, planned is FC-1",
        "expect FC-1 not to be found",
        "4 bb-2 only board Bank 1 switch 1 is ON",
        "bb-2: Not seen yet Control box cover back in place (installer)",
    ):
        assert text in page


def test_where_a_box_is_stands_on_the_list(tmp_path: Path) -> None:
    """Its place, and where its power is isolated."""
    box = replace(SITE.boxes[1], place="Level 2 corridor, grid C4", power="Panel LP-2, circuit 14")
    job = replace(SITE, boxes=(box,)).write(tmp_path / "job")
    result = readback(hand_in(tmp_path / "in", plan_of(job), {}), job)
    assert write_punch_list(result, tmp_path / "punch.pdf") is None
    assert (
        "Level 2 corridor, grid C4 · Power isolated at: Panel LP-2, circuit 14"
        in read_pages(tmp_path / "punch.pdf")[0]
    )
    assert readback_lines(result)[0] == "bb-2: not seen (Level 2 corridor, grid C4)"


def test_a_site_without_faults_has_a_list_that_says_so(
    tmp_path: Path, job: Path, plan: Plan, right: Values
) -> None:
    """Exit 0, and a page that says that nothing is to be mended."""
    result = run(*hand_in(tmp_path, plan, right), "--job", job, "-o", tmp_path / "punch.pdf")
    assert result.exit_code == 0
    assert "Nothing to mend." in read_pages(tmp_path / "punch.pdf")[0]


def test_a_long_list_goes_over_pages(tmp_path: Path) -> None:
    """Twelve boxes of which every switch is wrong: every number is printed, in order."""
    boxes = tuple(
        replace(SITE.boxes[1], tag=f"BB-{n}", units=(UnitSketch(f"FC-{n}", "A"),)) for n in range(1, 13)
    )
    job = replace(SITE, boxes=boxes).write(tmp_path / "job")
    plan = plan_of(job)
    values: Values = {f"BB-{n}/only/seen": True for n in range(1, 13)}
    result = readback(hand_in(tmp_path / "in", plan, values), job)
    assert write_punch_list(result, tmp_path / "punch.pdf") is None
    told = " ".join(read_pages(tmp_path / "punch.pdf"))
    places = [told.index(f" {3 * n + 1} BB-{n + 1} ") for n in range(12)]
    assert sorted(places) == places


def test_a_list_that_cannot_be_written_is_told(tmp_path: Path, job: Path, plan: Plan, right: Values) -> None:
    """Its folder is not there: a problem, exit 1, though the site is right."""
    result = run(*hand_in(tmp_path, plan, right), "--job", job, "-o", tmp_path / "none" / "punch.pdf")
    assert result.exit_code == 1
    assert "[output-blocked]" in result.stderr
