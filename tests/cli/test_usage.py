"""Wrong usage is answered with what was meant: exit code 2, as text or as the object of `--json`."""

import re
from pathlib import Path

import pytest

from tagmaker.cli.answers import EXTRA, MEANT
from tagmaker.cli.commands import COMMANDS
from tests.cli.commands import BAKERY, CLINIC, result, run, there

JARGON = re.compile(r"Input should|Value error|unable to parse|`\w+`|argument\(s\)|\$\.|msgspec|pydantic")


@pytest.mark.parametrize(
    ("words", "meant"),
    [
        (("help",), "tagmaker --help"),
        (("help", "make"), "tagmaker make --help"),
        (("version",), "tagmaker --version"),
        (("-v",), "tagmaker --version"),
        (("-V",), "tagmaker --version"),
        (("validate", BAKERY), f"tagmaker check {BAKERY}"),
        (("verify", BAKERY), f"tagmaker check {BAKERY}"),
        (("verify", BAKERY), "tagmaker readback FILES --job JOB"),
        (("labels", BAKERY, "-o", "x"), f"tagmaker make {BAKERY} -o x"),
        (("print", BAKERY), f"tagmaker make {BAKERY}"),
        (("make", BAKERY, "out"), f"tagmaker make {BAKERY} -o out"),
        (("make", BAKERY, "my sets"), f"tagmaker make {BAKERY} -o 'my sets'"),
        (("make", BAKERY, "BB-11"), f"tagmaker make {BAKERY} --box BB-11"),
        (("switches", CLINIC, "BB-11"), f"tagmaker switches {CLINIC} --box BB-11"),
        (("check", CLINIC, "BB-11", "BB-12"), f"tagmaker check {CLINIC} --box BB-11 --box BB-12"),
        (("stocks", "letter", "x.png"), "tagmaker stocks letter -o x.png"),
        (("make", f"{CLINIC}/ports.csv"), f"name its job's folder: {CLINIC}"),
        (("scan", "-", "--job", f"{CLINIC}/ports.csv"), f"name its job's folder: {CLINIC}"),
    ],
)
def test_wrong_words_are_answered_with_the_right_call(words: tuple[str, ...], meant: str) -> None:
    """It can be copied as it is."""
    done = run(*words)
    assert (done.exit_code, done.stdout, there()) == (2, "", [])
    assert meant in done.stderr
    assert not JARGON.search(done.stderr)


def test_in_a_jobs_folder_the_point_is_named(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Not how to begin a job: there is one."""
    (tmp_path / "job.toml").write_text("", encoding="utf-8")
    monkeypatch.chdir(tmp_path)
    done = run("check")
    assert (done.exit_code, done.stderr.splitlines()[-1].strip()) == (
        2,
        "the current folder is one: name it with a point, .",
    )


def test_a_second_job_is_not_taken_for_a_box() -> None:
    """No call is proposed that could not run."""
    done = run("check", CLINIC, BAKERY)
    assert (done.exit_code, "did you mean" in done.stderr) == (2, False)


def test_a_schedule_without_a_job_is_how_to_begin_one() -> None:
    """With the command `start`."""
    Path("ports.csv").write_text("unit,box,port,capacity\n", encoding="utf-8")
    done = run("check", "ports.csv")
    assert done.exit_code == 2
    assert "tagmaker start NEW-JOB --from ports.csv --family NAME" in done.stderr


def test_what_is_proposed_exists() -> None:
    """Commands, and options of theirs."""
    commands = {name for name, _, _ in COMMANDS}
    assert {meant for meant in MEANT.values() if not meant.startswith("-")} <= commands
    assert not commands & set(MEANT)
    for command, options in EXTRA.items():
        shown = run(command, "--help").stdout
        assert all(re.search(rf"(^| ){option}\b", shown, re.MULTILINE) for option in options)


@pytest.mark.parametrize(
    ("words", "answer"),
    [
        (("make", BAKERY, "--skip", "x"), "'x' is not a whole number"),
        (("make", BAKERY, "--skip", "1.5"), "'1.5' is not a whole number"),
        (("make", BAKERY, "--skip", "-1"), "-1 is less than 0"),
        (("make", BAKERY, "--skip", "9" * 5000), "it is not a number of usual size"),
        (("make", BAKERY, "--stage", "ruff-in"), "'--stage': 'ruff-in' is not one of 'rough-in', 'final'"),
        (("explain", "x", "y"), "'x' is not a whole number"),
    ],
)
def test_no_library_speaks(words: tuple[str, ...], answer: str) -> None:
    """What is wrong with a value is said in plain words."""
    done = run(*words)
    assert done.exit_code == 2
    assert answer in done.stderr
    assert not JARGON.search(done.stderr)


@pytest.mark.parametrize(
    ("words", "where"),
    [
        (("mak",), "tagmaker"),
        (("help",), "tagmaker"),
        (("make", BAKERY, "out"), "tagmaker make"),
        (("make", BAKERY, "--nonsense"), "tagmaker make"),
        (("make", BAKERY, "--skip", "x"), "tagmaker make"),
        (("make",), "tagmaker make"),
        (("check", "no-such-job"), "tagmaker check"),
        (("read", "no-such-file"), "tagmaker read"),
        (("changes", BAKERY), "tagmaker changes"),
        (("make", BAKERY, "--all"), "tagmaker make"),
        (("start", "new", "--from", "x.csv"), "tagmaker start"),
        (("manual", "no-such-page"), "tagmaker manual"),
    ],
)
def test_json_prints_its_object_on_wrong_usage_too(words: tuple[str, ...], where: str) -> None:
    """One problem, nothing on standard error."""
    done = run(*words, "--json")
    assert (done.exit_code, done.stderr, there()) == (2, "", [])
    (problem,) = result(done)["problems"]
    assert (problem["severity"], problem["code"], problem["where"]) == ("error", "usage-wrong", where)
    assert problem["message"]


@pytest.mark.parametrize(("skip", "code"), [(29, 0), (30, 1), (31, 1), (10**9, 1)])
def test_more_than_a_sheet_is_not_skipped(skip: int, code: int) -> None:
    """Thirty labels are a sheet: a whole one to skip is a slip of the hand."""
    done = run("make", BAKERY, "-o", "out", "--no-proof", "--skip", skip)
    assert (done.exit_code, there()) == (code, [] if code else ["out"])
    assert ("a sheet of letter-30-67x25 has 30" in done.stderr) == bool(code)


@pytest.mark.parametrize(
    ("name", "near"),
    [
        ("letter-30", "'letter-30-67x25'?"),
        ("letter-8", "'letter-8-tie-on-102x64'?"),
        ("a4-21", "'a4-21-63x38'?"),
        ("30-67x25", "'letter-30-67x25'?"),
        ("LETTER-30", "'letter-30-67x25'?"),
        ("tape-12", "'tape-12-cut-45-300dpi', 'tape-12-cut-90-203dpi' or 'tape-12-strip-300dpi'?"),
        ("leter", "'letter'?"),
        ("letter-30-66x25", "'letter-30-67x25'?"),
    ],
)
def test_a_part_of_a_stocks_name_proposes_that_stock(name: str, near: str) -> None:
    """Not the shortest name, to which any short word is near."""
    done = run("stocks", name)
    assert (done.exit_code, there()) == (1, [])
    assert f"did you mean {near}" in done.stderr
