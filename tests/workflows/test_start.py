"""A new job's text: every key explained, boxes and sizes inferred and marked; it plans as its schedule."""

import re
import tomllib
from pathlib import Path

import pytest
from hypothesis import given, settings

from tagmaker.plan.model import Plan
from tagmaker.problems import has_errors
from tagmaker.workflows import check, planning
from tagmaker.workflows.manual import page_text
from tagmaker.workflows.start import EXAMPLE_FAMILY, Started, families, start
from tests.manual_pages import keys_of_lists
from tests.strategies import FAMILY, JobSketch, sketches
from tests.workbooks import Rows, workbook

HEAD = ("Indoor unit", "Branch box", "Port", "Cap. (MBH)", "Room")
UNIT = ("FC-1", "BX-1", "A", 24, "Shop")


@pytest.fixture(autouse=True)
def place(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """An empty current folder."""
    monkeypatch.chdir(tmp_path)
    return tmp_path


def started(rows: Rows) -> Started:
    """A job started from a workbook of these rows below the usual header."""
    return start(Path("job"), workbook(Path("ports.xlsx"), [HEAD, *rows]), FAMILY)


def boxes() -> list[tuple[str, int]]:
    """Tags and sizes of the new job."""
    content = tomllib.loads(Path("job/job.toml").read_text(encoding="utf-8"))
    return [(box["tag"], box["ports"]) for box in content["box"]]


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


@pytest.mark.parametrize("family", families())
def test_every_shipped_family_has_a_first_job(family: str) -> None:
    """Of its least size and its own letters and banks."""
    assert start(Path("job"), None, family).files == ("job.toml",)
    assert not has_errors(check.check(Path("job")).problems)


def uncommented(text: str) -> str:
    """A new job's text with every optional key in force."""
    return re.sub(r"^# (?=\[|\"?[\w .]+\"? = )", "", text, flags=re.MULTILINE)


def test_every_optional_key_stands_there_as_a_comment() -> None:
    """All keys that the manual explains, and the text is still TOML when they are in force."""
    start(Path("job"), None, EXAMPLE_FAMILY)
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
    start(Path("job"), None, EXAMPLE_FAMILY)
    path = place / "job" / "job.toml"
    path.write_text(uncommented(path.read_text(encoding="utf-8")), encoding="utf-8")
    codes = {problem.code for problem in check.check(place / "job").problems if has_errors([problem])}
    assert codes <= {"file-unreadable"}


def test_boxes_and_sizes_are_inferred_and_marked() -> None:
    """In the order met; the smallest size that has the highest letter named, spare ones too."""
    rows = [
        ("FC-9", "BX-2", "F", 9, ""),
        UNIT,
        ("AH-1", "bx-2", "G+H", 72, ""),
        ("Spare", "BX-1", "E", "", ""),
    ]
    done = started(rows)
    assert (done.boxes, done.units, has_errors(done.problems)) == (2, 3, False)
    assert boxes() == [("BX-2", 8), ("BX-1", 6)]
    text = Path("job/job.toml").read_text(encoding="utf-8")
    assert "ports = 8  # confirm: H is the highest letter named; sizes: 4, 6, 8, 10, 12\n" in text
    assert "ports = 6  # confirm: E is the highest letter named; sizes: 4, 6, 8, 10, 12\n" in text
    assert 'status = "draft"' in text
    assert Path("job/ports.xlsx").read_bytes() == Path("ports.xlsx").read_bytes()


def test_a_spare_rows_words_begin_no_box() -> None:
    """What stands in place of its box may be no tag; only a box of units is begun."""
    done = started([UNIT, ("Spare", "see plan", "E", "", "")])
    assert (has_errors(done.problems), boxes()) == (False, [("BX-1", 4)])


def test_a_box_of_spare_ports_alone_is_left_to_be_confirmed() -> None:
    """As a comment, once: a box without units is an error, and one forgotten has no tags."""
    done = started(
        [UNIT, ("Spare", "BX-2", "A", "", ""), ("Spare", "bx-2", "B", "", ""), ("Spare", "x y", "C", "", "")]
    )
    assert (has_errors(done.problems), boxes()) == (False, [("BX-1", 4)])
    text = Path("job/job.toml").read_text(encoding="utf-8")
    assert text.count("# [[box]]  # confirm: the schedule names no unit on it, only spare ports\n") == 1
    assert '# tag = "BX-2"\n' in text
