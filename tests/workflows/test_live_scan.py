"""A landing check line by line: judged as `scan` judges, kept before it is answered, gone on with later."""

import datetime as dt
from pathlib import Path

import pytest

from tagmaker.problems import Problem
from tagmaker.site.scans.session import CUT
from tagmaker.workflows.live_scan import LiveAnswer, LiveScan, new_session, sessions
from tagmaker.workflows.scan import Against, Answer, scan
from tests.site.papers import LIBRARY, library, placards

A = ["BB-1/A/TRM", "BB-1/A/COM", "BB-1/A/LIQ", "BB-1/A/GAS"]
(FIRST, _) = placards(library())
DAY = dt.date(2026, 5, 4)
NAME = "scans-2026-05-04-01.txt"
MIXED = [*A, "BB-1/B/TRM", "BB-1/C/COM", "4006381333931", A[2], *FIRST.splitlines(), "ZZ-9/A/TRM", A[0]]


@pytest.fixture
def job(tmp_path: Path) -> Path:
    """The library's job."""
    return LIBRARY.write(tmp_path / "job")


def put(live: LiveScan, *lines: str) -> list[LiveAnswer]:
    """These lines scanned; every answer."""
    answers: list[LiveAnswer] = []
    for line in lines:
        found = live.put(line)
        assert not isinstance(found, Problem)
        answers += found
    return answers


def kept(path: Path) -> list[str]:
    """The lines of a session less the remarks with times."""
    lines = path.read_text(encoding="utf-8").splitlines()
    return [line for line in lines if not line.startswith("# ")]


def test_every_line_is_judged_as_the_command_judges_it(job: Path) -> None:
    """The same lines in the same order: the same answers, terminals and kept file."""
    live = LiveScan(job, NAME)
    found = put(live, *MIXED)
    answers: list[Answer] = []
    done = scan([job / "returned" / NAME], Against(job), None, (), answers.append)
    assert live.terminals == done.results
    assert [verdict.scan.text for verdict in done.verdicts] == [
        answer.verdict.scan.text for answer in answers
    ]
    lines = [answer.landing.strip() for answer in answers]
    assert [each.line for each, line in zip(found, lines, strict=True) if line] == list(filter(None, lines))
    session = job / "session.txt"
    scan([Path("-")], Against(job), session, MIXED, answers.append)
    assert kept(job / "returned" / NAME) == session.read_text(encoding="utf-8").splitlines()


def test_states_are_the_terminals_results(job: Path) -> None:
    """Not complete until all is scanned; a crossing names both ends and what to do first."""
    live = LiveScan(job, NAME)
    assert [each.state for each in put(live, *A)] == ["not complete"] * 3 + ["agrees"]
    opened, crossed = put(live, "BB-1/B/TRM", "BB-1/A/COM")
    assert (opened.state, opened.details) == ("not complete", ("missing: cable, liquid line, gas line",))
    assert crossed.state == "crossed"
    assert crossed.details[0] == "cable tagged BB-1 A at terminal BB-1 B"
    assert crossed.details[1].startswith("isolate power, prove it dead")
    assert crossed.at
    assert (crossed.at.box, crossed.at.letter) == ("BB-1", "B")


def test_a_terminal_that_is_crossed_stays_so_whatever_agrees_next(job: Path) -> None:
    """The large word is the terminal's result, not the last tag's."""
    live = LiveScan(job, NAME)
    states = [each.state for each in put(live, A[0], "BB-1/B/COM", *A[1:])]
    assert states == ["not complete"] + ["crossed"] * 4
    assert [each.state for each in put(live, *A)][-1] == "agrees"


def test_what_is_no_terminals_is_named(job: Path) -> None:
    """Nothing counts before a terminal; a placard matches; what is unknown closes the terminal."""
    live = LiveScan(job, NAME)
    first, matches, _, unknown, after = put(live, A[1], *FIRST.splitlines(), A[0], "hello", A[1])
    assert (first.state, matches.state, unknown.state, after.state) == (
        "not counted", "matches", "unknown", "not counted",
    )  # fmt: skip
    assert "closed" in unknown.line
    assert live.at is None


def test_a_placards_lines_are_held_until_its_last(job: Path) -> None:
    """They are kept on disk each for itself, and answered together."""
    live = LiveScan(job, NAME)
    *lines, last = FIRST.splitlines()
    assert put(live, *lines) == []
    assert live.held == len(lines)
    assert kept(job / "returned" / NAME) == lines
    (answer,) = put(live, last)
    assert (answer.state, live.held) == ("matches", 0)


def test_a_line_is_on_disk_before_it_is_answered(job: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Where it cannot be kept it is not judged: a full disk."""
    live = LiveScan(job, NAME)
    put(live, *A[:2])
    before = live.terminals

    def full(_file: int) -> None:
        raise OSError(28, "no space left on device")

    monkeypatch.setattr("tagmaker.files.write.os.fsync", full)
    found = live.put(A[2])
    assert isinstance(found, Problem)
    assert (found.code, live.terminals) == ("output-blocked", before)


def test_it_goes_on_after_a_restart(job: Path) -> None:
    """At the terminal that was open; a line that was cut off closes it, as it may have been a terminal's."""
    put(LiveScan(job, NAME), *A[:2])
    again = LiveScan(job, NAME)
    assert again.at
    assert (again.at.letter, again.lines) == ("A", 2)
    with (job / "returned" / NAME).open("ab") as file:
        file.write(b"BB-1/A/L")
    cut = LiveScan(job, NAME)
    assert cut.at is None
    put(cut, *A)
    assert f"BB-1/A/L{CUT}\n" in (job / "returned" / NAME).read_text("utf-8")
    assert {each.result for each in cut.terminals if each.letter == "A"} >= {"agree"}


def test_other_sessions_count_as_sources_of_their_own(job: Path) -> None:
    """What was scanned before is part of the state; its open terminal is nobody's."""
    put(LiveScan(job, NAME), *A[:3])
    other = LiveScan(job, "scans-2026-05-04-02.txt")
    assert (other.at, other.lines) == (None, 0)
    assert {(each.letter, each.missing) for each in other.terminals if each.result == "missing"} == {
        ("A", ("gas line",))
    }
    (answer,) = put(other, A[3])
    assert answer.state == "not counted"


def test_a_session_that_another_desk_goes_on_with_is_left_to_it(job: Path) -> None:
    """A crossing found at one terminal would agree at the one that the other scanner opened."""
    one = LiveScan(job, NAME)
    put(one, A[0])
    put(LiveScan(job, NAME), "BB-1/B/TRM")
    before = kept(job / "returned" / NAME)
    for _ in range(2):
        problem = one.put("BB-1/B/COM")
        assert isinstance(problem, Problem)
        assert (problem.code, problem.hint) == ("output-blocked", "begin a new session")
    assert kept(job / "returned" / NAME) == before == [A[0], "BB-1/B/TRM"]


def test_names_of_sessions(job: Path) -> None:
    """One a visit, numbered within a day; the hundredth comes after the tenth."""
    assert (sessions(job), new_session(job, DAY)) == ([], NAME)
    put(LiveScan(job, NAME), A[0])
    for number in (2, 10, 100):
        put(LiveScan(job, f"scans-2026-05-04-{number:02}.txt"), A[0])
    (job / "returned" / "scans-mine.txt").write_text("x\n", "utf-8")
    assert [name[17:-4] for name in sessions(job)] == ["01", "02", "10", "100"]
    assert new_session(job, DAY) == "scans-2026-05-04-03.txt"
    assert new_session(job, DAY, ["scans-2026-05-04-03.txt"]) == "scans-2026-05-04-04.txt"


def test_another_keyboard_layout_is_recognised_and_reported(job: Path) -> None:
    """As the command does: codes typed on a German layout are the job's tags."""
    live = LiveScan(job, NAME)
    answers = put(live, *(code.replace("-", "ß").replace("/", "-") for code in A))
    assert [each.state for each in answers][-1] == "agrees"
    assert [each.code for each in live.problems] == ["scan-keyboard"]


def test_several_lines_at_once_are_several_scans(job: Path) -> None:
    """A block that was pasted; each end of line that another reader of the file knows ends a line here."""
    live = LiveScan(job, NAME)
    assert [each.state for each in put(live, "\x1e".join(A))][-1] == "agrees"
    assert kept(job / "returned" / NAME) == A


def test_a_job_that_cannot_be_planned_judges_nothing(job: Path) -> None:
    """The reason is given, and lines are kept all the same."""
    (job / "job.toml").write_text("[job\n", "utf-8")
    live = LiveScan(job, NAME)
    assert not live.is_judged
    assert [each.code for each in live.job_problems] == ["toml-syntax"]
    put(live, A[0])
    assert kept(job / "returned" / NAME) == [A[0]]


def test_a_session_that_a_link_leads_elsewhere_is_not_written(job: Path, tmp_path: Path) -> None:
    """A file of lines outside the job's folder stays as it was."""
    other = tmp_path / "notes.txt"
    other.write_text("call Kim\n", "utf-8")
    (job / "returned").mkdir()
    (job / "returned" / NAME).symlink_to(other)
    refused = LiveScan(job, NAME).put(A[0])
    assert isinstance(refused, Problem)
    assert refused.code == "file-outside"
    assert other.read_text("utf-8") == "call Kim\n"
