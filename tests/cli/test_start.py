"""`start` as a person meets it: what it prints and writes; whole or not at all."""

import json
import tomllib
from pathlib import Path

import pytest
from typer.testing import Result

from tagmaker.files.lock import locked
from tagmaker.workflows import check
from tagmaker.workflows.start import EXAMPLE_FAMILY
from tests.cli.commands import (
    run,
)
from tests.strategies import FAMILY
from tests.workbooks import Rows, workbook

HEAD = ("Indoor unit", "Branch box", "Port", "Cap. (MBH)", "Room")
UNIT = ("FC-1", "BX-1", "A", 24, "Shop")


def started(rows: Rows, *words: str) -> Result:
    """A job started from a workbook of these rows below the usual header."""
    workbook(Path("ports.xlsx"), [HEAD, *rows])
    return run("start", "job", "--from", "ports.xlsx", "--family", FAMILY, *words)


def boxes() -> list[tuple[str, int]]:
    """Tags and sizes of the new job."""
    content = tomllib.loads(Path("job/job.toml").read_text(encoding="utf-8"))
    return [(box["tag"], box["ports"]) for box in content["box"]]


def test_a_job_from_nothing_runs(place: Path) -> None:
    """The example is made as it stands, without a problem."""
    done = run("start", "job")
    assert (done.exit_code, done.stderr) == (0, "")
    assert done.stdout == "job: job.toml\nnext: tagmaker make job\n"
    assert run("make", "job", "-o", "out").exit_code == 0
    assert check.check(place / "job").problems == ()


def test_a_job_from_a_schedule_is_made_without_capacities() -> None:
    """As a draft."""
    assert started([("FC-1", "BX-1", "A", "", "")]).exit_code == 0
    assert run("make", "job", "-o", "out").exit_code == 0


def test_headers_that_nobody_knows_are_asked_under_columns() -> None:
    """As comments, so that nothing is guessed; answered, the job runs."""
    workbook(Path("ports.xlsx"), [(*HEAD, "PO no", "Size"), (*UNIT, "x", "3/8 in")])
    done = run("start", "job", "--from", "ports.xlsx", "--family", FAMILY)
    assert done.exit_code == 1
    assert "unknown column 'PO no'" in done.stderr
    assert done.stdout.endswith(
        "give the meaning of the headers under [columns] in job/job.toml; then it runs\n"
    )
    path = Path("job/job.toml")
    text = path.read_text(encoding="utf-8")
    assert '# "PO no" = ""  # confirm: unknown column \'PO no\': a purchase order\n' in text
    assert '# "Size" = ""  # confirm: column \'Size\' could mean liquid, gas, capacity or cable\n' in text
    assert run("check", "job").exit_code == 1
    answered = text.replace('# "PO no"', '"PO no"').replace('# "Size" = ""', '"Size" = "liquid"')
    path.write_text(answered, encoding="utf-8")
    assert run("check", "job").exit_code == 0


@pytest.mark.parametrize(
    ("rows", "code"),
    [
        ([("FC 1", "BX-1", "A", 24, "")], "tag-wrong"),
        ([UNIT, UNIT], "unit-twice"),
        ([("FC-1", "BX-1", "A", 60, "")], "port-overloaded"),
        ([("FC-1", "BX-1", "Z", 24, "")], "port-unknown"),
        ([], "columns-missing"),
    ],
)
def test_a_schedule_with_errors_starts_nothing(rows: Rows, code: str) -> None:
    """They are told with their cells; no folder is left, nor anything beside it."""
    done = started(rows)
    assert (done.exit_code, done.stdout) == (1, "nothing was written\n")
    assert f"[{code}]" in done.stderr
    assert sorted(path.name for path in Path().iterdir()) == ["ports.xlsx"]


def test_a_folder_with_something_in_it_is_left_as_it_is() -> None:
    """Nothing is read or written; the folder is named."""
    Path("job").mkdir()
    Path("job/mine.txt").write_bytes(b"mine")
    done = started([UNIT])
    assert (done.exit_code, done.stdout) == (1, "nothing was written\n")
    assert "job: error: job is not empty [output-foreign]" in done.stderr
    assert [path.name for path in Path("job").iterdir()] == ["mine.txt"]


def test_a_folder_that_another_run_is_writing_is_left_to_it() -> None:
    """It is told, and nothing is written."""
    with locked(Path("job").resolve()):
        done = run("start", "job")
    assert (done.exit_code, done.stdout, Path("job").exists()) == (1, "nothing was written\n", False)
    assert "another run is writing" in done.stderr


def test_the_family_is_never_assumed() -> None:
    """From a schedule it must be named; the message names those that there are."""
    workbook(Path("ports.xlsx"), [HEAD, UNIT])
    done = run("start", "job", "--from", "ports.xlsx")
    assert done.exit_code == 2
    assert EXAMPLE_FAMILY in done.stderr
    assert not Path("job").exists()


def test_a_family_that_does_not_exist_is_a_problem() -> None:
    """Nothing is written."""
    done = run("start", "job", "--family", "boards")
    assert (done.exit_code, Path("job").exists()) == (1, False)
    assert "[family-unknown]" in done.stderr


def test_a_text_without_room_on_its_label_is_told_and_the_job_is_there() -> None:
    """So that another stock can be chosen in it."""
    rows = [("FC-11", "M" * 24, "A", 9, "Office")]
    done = started(rows)
    assert (done.exit_code, Path("job/job.toml").exists()) == (1, True)
    assert "[text-too-long]" in done.stderr
    assert done.stdout.endswith("correct the problems above in job/job.toml; then it runs\n")


def test_names_cannot_break_out_of_the_text() -> None:
    """Quotes and backslashes in folder's, sheet's and columns' names are written as TOML has them."""
    name = 'it\'s "x" \\ y'
    workbook(Path("ports.xlsx"), [(*HEAD, 'He said "a"\\'), UNIT])
    done = run("start", name, "--from", "ports.xlsx", "--family", FAMILY)
    assert "job.toml, ports.xlsx" in done.stdout
    content = tomllib.loads(Path(name, "job.toml").read_text(encoding="utf-8"))
    assert content["job"]["name"] == name
    assert content["columns"] == {}


def test_json_says_what_was_written() -> None:
    """One object."""
    done = run("start", "job", "--json")
    assert json.loads(done.stdout) == {"folder": "job", "files": ["job.toml"], "problems": []}
