"""`start`: a commented job folder that runs, from nothing or from a schedule; whole or not at all."""

import json
import re
import tomllib
from pathlib import Path

import pytest
from hypothesis import given, settings
from typer.testing import CliRunner, Result

from tagmaker.cli.app import app
from tagmaker.files.lock import locked
from tagmaker.plan.model import Plan
from tagmaker.problems import has_errors
from tagmaker.workflows import check, planning
from tagmaker.workflows.manual import page_text
from tagmaker.workflows.start import EXAMPLE_FAMILY, families, start
from tests.manual_pages import keys_of_lists
from tests.strategies import FAMILY, JobSketch, sketches
from tests.workbooks import Rows, workbook

HEAD = ("Indoor unit", "Branch box", "Port", "Cap. (MBH)", "Room")
UNIT = ("FC-1", "BX-1", "A", 24, "Shop")


@pytest.fixture(autouse=True)
def place(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """An empty folder to stand in."""
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("COLUMNS", "300")
    monkeypatch.setenv("TERMINAL_WIDTH", "300")
    return tmp_path


def run(*words: object) -> Result:
    """The program called with these words."""
    return CliRunner().invoke(app, list(map(str, words)))


def started(rows: Rows, *words: str) -> Result:
    """A job started from a workbook of these rows below the usual header."""
    workbook(Path("ports.xlsx"), [HEAD, *rows])
    return run("start", "job", "--from", "ports.xlsx", "--family", FAMILY, *words)


def boxes() -> list[tuple[str, int]]:
    """Tags and sizes of the new job."""
    content = tomllib.loads(Path("job/job.toml").read_text(encoding="utf-8"))
    return [(box["tag"], box["ports"]) for box in content["box"]]


# --- from nothing -------------------------------------------------------------------------------------------


def test_a_job_from_nothing_runs(place: Path) -> None:
    """The example is made as it stands, without a problem."""
    done = run("start", "job")
    assert (done.exit_code, done.stderr) == (0, "")
    assert done.stdout == "job: job.toml\nnext: tagmaker make job\n"
    assert run("make", "job", "-o", "out").exit_code == 0
    assert check.check(place / "job").problems == ()


@pytest.mark.parametrize("family", families())
def test_every_shipped_family_has_a_first_job(family: str) -> None:
    """Of its least size and its own letters and banks."""
    assert run("start", "job", "--family", family).exit_code == 0
    assert not has_errors(check.check(Path("job")).problems)


def uncommented(text: str) -> str:
    """A new job's text with every optional key in force."""
    return re.sub(r"^# (?=\[|\"?[\w .]+\"? = )", "", text, flags=re.MULTILINE)


def test_every_optional_key_stands_there_as_a_comment() -> None:
    """All keys that the manual explains, and the text is still TOML when they are in force."""
    run("start", "job")
    text = Path("job/job.toml").read_text(encoding="utf-8")
    content = tomllib.loads(uncommented(text))
    keys = {
        key
        for table in content.values()
        for each in (table if isinstance(table, list) else [table])
        for key in each
    }
    documented = set().union(*keys_of_lists(page_text("job-file")).values())
    assert {"revision", "place", "mains", "cable"} <= documented
    assert documented - keys == set()


def test_every_optional_key_in_force_is_accepted(place: Path) -> None:
    """Each example value is one that the program takes: what is wrong then is that files are not there."""
    run("start", "job")
    path = place / "job" / "job.toml"
    path.write_text(uncommented(path.read_text(encoding="utf-8")), encoding="utf-8")
    codes = {problem.code for problem in check.check(place / "job").problems if has_errors([problem])}
    assert codes <= {"file-unreadable"}


# --- from a schedule ----------------------------------------------------------------------------------------


def test_boxes_and_sizes_are_inferred_and_marked() -> None:
    """In the order met; the smallest size that has the highest letter named, spare ones too."""
    rows = [
        ("FC-9", "BX-2", "F", 9, ""),
        UNIT,
        ("AH-1", "bx-2", "G+H", 72, ""),
        ("Spare", "BX-1", "E", "", ""),
    ]
    done = started(rows)
    assert (done.exit_code, done.stderr.count("error")) == (0, 0)
    assert boxes() == [("BX-2", 8), ("BX-1", 6)]
    text = Path("job/job.toml").read_text(encoding="utf-8")
    assert "ports = 8  # confirm: H is the highest letter named; sizes: 4, 6, 8, 10, 12\n" in text
    assert "ports = 6  # confirm: E is the highest letter named; sizes: 4, 6, 8, 10, 12\n" in text
    assert 'status = "draft"' in text
    assert Path("job/ports.xlsx").read_bytes() == Path("ports.xlsx").read_bytes()


def test_a_job_from_a_schedule_is_made_without_capacities() -> None:
    """As a draft."""
    assert started([("FC-1", "BX-1", "A", "", "")]).exit_code == 0
    assert run("make", "job", "-o", "out").exit_code == 0


@given(sketch=sketches(room=8, most_units=2))
@settings(max_examples=6, deadline=None)
def test_what_was_started_plans_as_the_job_that_the_schedule_came_from(
    sketch: JobSketch, tmp_path_factory: pytest.TempPathFactory
) -> None:
    """Units on the same ports with the same loads; a box may come out smaller, its last ports all spare."""
    folder = tmp_path_factory.mktemp("start")
    original = planning.plan(sketch.write(folder / "old", schedule="ports.csv")).plan
    result = start(folder / "new", folder / "old" / "ports.csv", FAMILY)
    assert result.files == ("job.toml", "ports.csv")
    again = planning.plan(folder / "new").plan
    assert original
    assert again
    assert used(original) == used(again)
    sizes = zip(original.boxes, again.boxes, strict=True)
    assert all(new.row.ports <= old.row.ports for old, new in sizes)


def used(plan: Plan) -> list[tuple[str, str, list[str], str]]:
    """Every used port with its units and load."""
    return [
        (box.row.tag, port.name, [unit.tag for unit in port.units], str(port.load))
        for box in plan.boxes
        for port in box.ports
        if port.units
    ]


def test_headers_that_nobody_knows_are_asked_under_columns() -> None:
    """As comments, so that nothing is guessed; answered, the job runs."""
    workbook(Path("ports.xlsx"), [(*HEAD, "Remarks", "Size"), (*UNIT, "x", "3/8 in")])
    done = run("start", "job", "--from", "ports.xlsx", "--family", FAMILY)
    assert done.exit_code == 1
    assert "unknown column 'Remarks'" in done.stderr
    assert done.stdout.endswith("say what the headers mean under [columns] in job/job.toml; then it runs\n")
    path = Path("job/job.toml")
    text = path.read_text(encoding="utf-8")
    assert '# "Remarks" = ""  # confirm: unknown column \'Remarks\'\n' in text
    assert '# "Size" = ""  # confirm: column \'Size\' could mean liquid, gas, capacity or cable\n' in text
    assert run("check", "job").exit_code == 1
    answered = text.replace('# "Remarks"', '"Remarks"').replace('# "Size" = ""', '"Size" = "liquid"')
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


def test_a_spare_rows_words_begin_no_box() -> None:
    """What stands in place of its box may be no tag; only a box of units is begun."""
    done = started([UNIT, ("Spare", "see plan", "E", "", "")])
    assert (done.exit_code, boxes()) == (0, [("BX-1", 4)])


def test_a_box_of_spare_ports_alone_is_left_to_be_confirmed() -> None:
    """As a comment, once: a box without units is an error, and one forgotten has no tags."""
    done = started(
        [UNIT, ("Spare", "BX-2", "A", "", ""), ("Spare", "bx-2", "B", "", ""), ("Spare", "x y", "C", "", "")]
    )
    assert (done.exit_code, boxes()) == (0, [("BX-1", 4)])
    text = Path("job/job.toml").read_text(encoding="utf-8")
    assert text.count("# [[box]]  # confirm: the schedule names no unit on it, only spare ports\n") == 1
    assert '# tag = "BX-2"\n' in text


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


def test_a_draft_that_has_no_room_for_its_mark_is_issued_and_says_so() -> None:
    """Long tags of units on one port leave a small label no line for DRAFT."""
    rows = [(f"FFFFFFFFFFF-{number}", "BX-12", "A", 9, "Consulting room 1") for number in range(2)]
    assert started(rows).exit_code == 0
    assert 'status = "issued"  # confirm: "draft" prints DRAFT' in Path("job/job.toml").read_text(
        encoding="utf-8"
    )


def test_a_text_without_room_on_its_label_is_told_and_the_job_is_there() -> None:
    """So that another stock can be chosen in it."""
    room = "A room with a very long name, longer than any label has room for"[:58]
    rows = [(f"FC-11{number}", "BX-12", "A", 9, room) for number in range(5)]
    done = started(rows)
    assert (done.exit_code, Path("job/job.toml").exists()) == (1, True)
    assert "[text-too-long]" in done.stderr
    assert done.stdout.endswith("mend what is told above in job/job.toml; then it runs\n")


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
