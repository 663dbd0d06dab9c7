"""Scanning as a workflow: each text is answered at once, and the whole is a record."""

from collections.abc import Iterator
from pathlib import Path

import msgspec
import pytest

from tagmaker.workflows.scan import Against, Answer, Scanned, scan
from tests.records import replace
from tests.site.papers import LIBRARY, library, placards, plan_of

A = ["BB-1/A/TRM", "BB-1/A/COM", "BB-1/A/LIQ", "BB-1/A/GAS"]
OTHERS = ["BB-1/B/COM/FC-2/ON", "ZZ-9/A/TRM", "4006381333931"]
(FIRST, _) = placards(library())


@pytest.fixture
def job(tmp_path: Path) -> Path:
    """The library's job."""
    return LIBRARY.write(tmp_path / "job")


def scanned(codes: list[str], job: Path | None) -> tuple[Scanned, list[Answer]]:
    """These lines scanned live, and the answer to each."""
    answers: list[Answer] = []
    return scan([Path("-")], Against(job), None, codes, answers.append), answers


def test_each_text_is_answered_before_the_next_is_read(job: Path) -> None:
    """A person who scans hears of a crossing at once."""
    answers: list[Answer] = []
    answered: list[int] = []

    def lines() -> Iterator[str]:
        for code in A:
            answered.append(len(answers))
            yield code

    scan([Path("-")], Against(job), None, lines(), answers.append)
    assert answered == [0, 1, 2, 3]


def test_a_tag_in_order_is_answered_by_the_landing_check_and_nothing_else_is(job: Path) -> None:
    """Its box's placard has a verdict alone; an unknown code also closes the terminal, once."""
    _, answers = scanned([A[0], A[1], *FIRST.splitlines(), "4006381333931", "4006381333931"], job)
    assert [answer.landing.split(":")[0].strip() for answer in answers] == [
        *("terminal BB-1 A", "BB-1/A/COM"),
        *("", "terminal BB-1 A is closed", ""),
    ]
    assert [answer.verdict.belongs for answer in answers] == [True, True, True, False, False]


def test_without_a_job_nothing_is_judged() -> None:
    """No landing check answers, nothing belongs or not, and no terminal has a result."""
    done, answers = scanned(A, None)
    assert {(answer.landing, answer.verdict.belongs) for answer in answers} == {("", None)}
    assert (done.results, done.is_wrong) == ((), False)


def test_verdicts_are_of_the_job(job: Path) -> None:
    """Tags of the job belong, others do not; none of them differs."""
    done, _ = scanned([*A, *OTHERS], job)
    assert [verdict.belongs for verdict in done.verdicts] == [True] * 5 + [False] * 2
    assert {verdict.differences for verdict in done.verdicts} == {()}


def test_records_have_the_documented_keys(job: Path) -> None:
    """A tag its parts, a placard its boards and ports, an unknown code neither."""
    done, _ = scanned([A[1], "4006381333931", *FIRST.splitlines()], job)
    content = msgspec.to_builtins(done.outline)
    first, last = ["text", "source", "kind", "belongs"], ["differences", "age"]
    box = ["tag", "revision", "number", "port_count", "load_btuh", "boards", "ports", "box"]
    assert [list(each) for each in content["scans"]] == [
        [*first, "box", "port", "what", "unit", "end", *last],
        [*first, *last],
        [*first, *box, *last],
    ]
    assert list(content) == ["scans", "landing", "proves"]


def test_a_session_that_cannot_be_kept_scans_nothing(job: Path, tmp_path: Path) -> None:
    """A problem; nothing is read that would be lost."""
    answers: list[Answer] = []
    done = scan([Path("-")], Against(job), tmp_path / "none" / "walk.txt", A, answers.append)
    assert [problem.code for problem in done.problems] == ["output-blocked"]
    assert (done.verdicts, answers) == ((), [])


def test_a_job_without_a_number_is_reported_once(tmp_path: Path) -> None:
    """Codes of tags carry no job, and its placards carry no number either: whose they are is not known."""
    codes = [*A, *placards(plan_of(replace(LIBRARY, number="")))[0].splitlines()]
    done, _ = scanned(codes, replace(LIBRARY, number="").write(tmp_path / "unnumbered"))
    assert [(each.severity, each.code) for each in done.problems] == [("note", "scan-job-unknown")]
    assert not done.is_wrong
    done, _ = scanned(codes[:4], LIBRARY.write(tmp_path / "numbered"))
    assert done.problems == ()


def test_a_session_that_another_program_writes_into_ends(job: Path, tmp_path: Path) -> None:
    """Two scanners mixed in one file: what was crossed at one terminal would agree at the other's."""
    session = tmp_path / "walk.txt"

    def lines() -> Iterator[str]:
        yield "BB-1/A/TRM"
        with session.open("a", encoding="utf-8") as file:
            file.write("BB-1/B/TRM\n")
        yield "BB-1/B/COM"

    answers: list[Answer] = []
    done = scan([Path("-")], Against(job), session, lines(), answers.append)
    assert [problem.code for problem in done.problems] == ["output-blocked"]
    assert done.problems[0].message.endswith("another program writes into it")
    assert len(answers) == 1
    assert session.read_text("utf-8") == "BB-1/A/TRM\nBB-1/B/TRM\n"
