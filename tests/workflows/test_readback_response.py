"""What `readback` prints of a response test, and what the walk and the scans found at the same letters."""

from pathlib import Path

import pytest

from tagmaker.catalog.words import load_words
from tagmaker.cli.readback import readback_lines
from tagmaker.tags.placard_text import placard_text
from tagmaker.workflows.readback import Readback, readback
from tagmaker.workflows.readback_response import response_lines
from tests.records import replace
from tests.site.walks import as_planned, hand_in, phone, plan_of
from tests.workflows.response_site import SITE, answers, exchange, fill_csv, made


@pytest.fixture
def job(tmp_path: Path) -> Path:
    """The job on disk."""
    return SITE.write(tmp_path / "job")


@pytest.fixture
def out(tmp_path: Path, job: Path) -> Path:
    """Its response test."""
    made(job, tmp_path / "out")
    return tmp_path / "out"


def test_units_alone_are_right_only_as_far_as_they_show(tmp_path: Path, job: Path, out: Path) -> None:
    """No stub was read: no unit counts as piped right, and the note says why, in JSON and in a terminal."""
    table = fill_csv(out / "response.csv", tmp_path / "r.csv", answers(out), lambda row: bool(row[4]))
    result = readback([table], job)
    (system,) = result.outline.response
    assert {(unit.verdict, unit.stub_read) for unit in system.units} == {("as piped", False)}
    assert system.notes == (
        (
            "FC-1, FC-2, FC-3, FC-4, AH-1, FC-5, FC-6: they get what their ports call for, but no clear stub "
            "was read there: a cable that was moved together with its pipe does not show"
        ),
        "liquid lines that are crossed alone do not show",
    )
    lines = response_lines(result.responses[0], load_words(), has_punches=False)
    assert lines[1].endswith("0 of 7 units as piped")
    assert lines[-2:] == [f"    note: {text}" for text in system.notes]


# --- scans --------------------------------------------------------------------------------------------------

CROSSED = "cable tagged BB-1 C at terminal BB-1 A"
AT_A = ("BB-1/A/TRM", "BB-1/A/LIQ", "BB-1/A/GAS")


def session(tmp_path: Path, *codes: str) -> Path:
    """A text file of codes, in the order of scanning."""
    path = tmp_path / "scans.txt"
    path.write_text("".join(f"{code}\n" for code in codes), encoding="utf-8")
    return path


def crossed_table(tmp_path: Path, out: Path) -> Path:
    """The readings of a site on which the cables of A and C are crossed."""
    return fill_csv(out / "response.csv", tmp_path / "r.csv", exchange(answers(out), "BB-1", "A", "C"))


def test_what_scans_found_is_beside_what_the_test_shows(tmp_path: Path, job: Path, out: Path) -> None:
    """A cable's tag at another terminal: in the finding, in a line of its own, in JSON and in a terminal."""
    result = readback([crossed_table(tmp_path, out), session(tmp_path, *AT_A, "BB-1/C/COM")], job)
    beside = f"the scans found at BB-1 port A: {CROSSED}"
    missing = "the scans found at BB-1 port A: not scanned: cable"
    assert result.outline.response[0].findings[0].expect[-2:] == (beside, missing)
    scanned, crossing = result.boxes[0].punches
    assert (scanned.number, scanned.place, scanned.wrong) == (1, "port A", CROSSED)
    assert scanned.to_do.startswith("isolate power, prove it dead, ring this cable out")
    assert crossing.expect[-2:] == (beside, missing)
    assert "port A: not scanned: cable" in result.boxes[0].unknown
    lines = readback_lines(result)
    assert f"        {beside}" in lines
    assert f"scanned at BB-1 port A: {CROSSED}" in lines


def test_scans_that_agree_make_nothing_right(tmp_path: Path, job: Path, out: Path) -> None:
    """Every tag at its own terminal: the crossing that the readings show stays, word by word."""
    table = crossed_table(tmp_path, out)
    agree = session(tmp_path, *AT_A, "BB-1/A/COM", "BB-1/C/TRM", "BB-1/C/COM", "BB-1/C/LIQ", "BB-1/C/GAS")
    with_scans, without = readback([table, agree], job), readback([table], job)
    assert with_scans.problems == ()
    assert with_scans.outline == without.outline
    assert with_scans.is_wrong


def test_scans_alone_are_in_the_punch_list(tmp_path: Path, job: Path) -> None:
    """No walk and no readings: the box differs, the others are not seen."""
    result = readback([session(tmp_path, *AT_A, "BB-1/C/COM")], job)
    assert [punch.wrong for box in result.boxes for punch in box.punches] == [CROSSED]
    assert [box.state for box in result.boxes] == ["differs", "not seen"]


def test_a_crossing_is_not_cleared_by_a_clean_scan_that_was_earlier(tmp_path: Path, job: Path) -> None:
    """Its file is read first, by its name; without times nobody knows, and nothing is cleared."""
    whole = (*AT_A, "BB-1/A/COM")
    for first, second, is_crossed in (("09", "14", False), ("14", "09", True), ("", "", True)):
        for name, hour, codes in (
            ("scans-a.txt", first, (*AT_A, "BB-1/C/COM")), ("scans-b.txt", second, whole),
        ):  # fmt: skip
            stamp = (f"# 2026-06-03T{hour}:00:00Z Kim",) if hour else ()
            session(tmp_path, *stamp, *codes).rename(tmp_path / name)
        result = readback([tmp_path / "scans-a.txt", tmp_path / "scans-b.txt"], job)
        assert bool(result.scans.crossed) == is_crossed, (first, second)


def test_a_placard_that_differs_is_in_the_punch_list(tmp_path: Path, job: Path) -> None:
    """All tags agree; the placard is of an earlier revision, of another job, or damaged."""
    plan = plan_of(job)
    walk = hand_in(tmp_path, plan, as_planned(plan))
    whole = (*AT_A, "BB-1/A/COM")

    def back(text: str) -> Readback:
        return readback([*walk, session(tmp_path, *whole, *text.splitlines())], job)

    right = placard_text(plan.job, plan.boxes[0])
    assert not back(right).is_wrong
    older = back(placard_text(replace(plan.job, revision="1"), plan.boxes[0]))
    (punch,) = older.boxes[0].punches
    assert (punch.place, punch.wrong) == ("placard", "the placard is of revision 1, the job of revision 2")
    assert older.is_wrong
    for text in (
        placard_text(replace(plan.job, number="ML-25"), plan.boxes[0]),
        right.replace("A 12", "A 24"),
    ):
        strange = back(text)
        assert strange.is_wrong
        assert any("a placard that counts for no box" in line for line in readback_lines(strange))


def test_a_finding_of_two_boxes_has_what_was_scanned_in_both(tmp_path: Path, job: Path, out: Path) -> None:
    """The terminal of the other box is looked at too."""
    words = answers(out)
    words |= {("BB-1", "A"): words["BB-2", "A"], ("BB-2", "A"): words["BB-1", "A"]}
    table = fill_csv(out / "response.csv", tmp_path / "r.csv", words)
    scans = session(tmp_path, "BB-2/A/TRM", "BB-1/A/COM", "BB-2/A/LIQ", "BB-2/A/GAS")
    (finding,) = readback([table, scans], job).outline.response[0].findings
    assert "the scans found at BB-2 port A: cable tagged BB-1 A at terminal BB-2 A" in finding.expect


@pytest.mark.parametrize("codes", [(), ("notes of a walk",), ("BB-9/A/TRM", "BB-9/A/COM"), ("BB-1/A/COM",)])
def test_a_text_without_a_terminal_is_a_problem(tmp_path: Path, job: Path, codes: tuple[str, ...]) -> None:
    """It is no session of this job, or shows nothing of what is landed."""
    result = readback([session(tmp_path, *codes)], job)
    (problem,) = result.problems
    assert (problem.code, problem.severity) == ("return-unreadable", "error")
    assert problem.message == "scans.txt has no code of a terminal of this job"


def test_a_phones_text_is_no_session(tmp_path: Path, job: Path) -> None:
    """What a phone exports may be pasted into a text file."""
    plan = plan_of(job)
    path = tmp_path / "walk.txt"
    path.write_text(f"\ufeff {phone(plan, {'BB-1/port/A/cable/found': 'FC-4'})}", encoding="utf-8")
    assert readback([path], job).problems == ()
