"""A new job of a schedule with errors, of an example, of nothing; its folder's name is plain."""

from pathlib import Path

import pytest

from tagmaker.files.toml import read_toml
from tagmaker.problems import has_errors
from tagmaker.workflows.new_job import (
    EXAMPLES,
    NewJob,
    empty_job,
    family_choices,
    from_example,
    from_schedule,
    schedule_name,
)
from tagmaker.workflows.planning import plan
from tests.job_files import write_files

FAMILY = "four-port-boards"
MESSY = "Tag,Box,Port,Cap.,Colour\nFC-1,BX-1,A,24,red\nFC-2,BX-1,F,12,red\nFC-3,BX-2,1-Mar,9,\n"


def names(folder: Path) -> list[str]:
    """Every file of a folder, by its name below it."""
    return sorted(path.relative_to(folder).as_posix() for path in folder.rglob("*") if path.is_file())


def made(new: NewJob) -> Path:
    """The folder, of which nothing was refused."""
    assert new.problems == ()
    assert new.folder
    return new.folder


@pytest.mark.parametrize("example", EXAMPLES)
def test_an_example_is_copied_and_runs(example: str, tmp_path: Path) -> None:
    """Twice, side by side; pictures and returned sheets stay behind."""
    first, second = made(from_example(tmp_path, example)), made(from_example(tmp_path, example))
    assert (first.name, second.name) == (example, f"{example}-2")
    assert names(first) == names(second)
    assert not [name for name in names(first) if name.endswith((".png", ".json", ".txt"))]
    assert not has_errors(plan(first).problems)


def test_an_unknown_example_is_refused(tmp_path: Path) -> None:
    """Also one that is a path."""
    for name in ("", "../bakery", "nothing"):
        new = from_example(tmp_path, name)
        assert (new.folder, [each.code for each in new.problems]) == (None, ["usage-wrong"])


def test_a_schedule_with_errors_begins_a_job(tmp_path: Path) -> None:
    """Which `start` refuses: the job is a draft, its open headers are listed, its boxes as far as read."""
    source = write_files(tmp_path / "up", {"ports.csv": MESSY.replace("Tag", "Unit")}) / "ports.csv"
    folder = made(from_schedule(tmp_path, 'Marsh "Row" Library', FAMILY, source))
    assert (folder.name, names(folder)) == ("marsh-row-library", ["job.toml", "ports.csv"])
    assert (folder / "ports.csv").read_bytes() == source.read_bytes()
    text = (folder / "job.toml").read_text(encoding="utf-8")
    assert '# "Colour" = ""  # confirm: unknown column \'Colour\'' in text
    codes = {problem.code for problem in plan(folder).problems}
    assert {"column-unknown"} <= codes
    file = read_toml(folder / "job.toml", "job.toml")
    assert [box["ports"] for box in file.content["box"]] == [6]  # type: ignore[union-attr]
    assert file.content["job"]["name"] == 'Marsh "Row" Library'  # type: ignore[union-attr,index]


def test_a_schedule_of_which_no_row_is_understood_begins_a_job_without_boxes(tmp_path: Path) -> None:
    """Its header asks first."""
    source = write_files(tmp_path / "up", {"ports.csv": MESSY}) / "ports.csv"
    folder = made(from_schedule(tmp_path, "a", FAMILY, source))
    assert {"column-ambiguous", "column-unknown", "key-missing"} <= {
        problem.code for problem in plan(folder).problems
    }


@pytest.mark.parametrize("content", [b"PK\x03\x04", b"\xff\xfe\x00\xd8", b"Unit\nFC\x07\n"])
def test_a_file_that_is_no_schedule_begins_none(content: bytes, tmp_path: Path) -> None:
    """Nothing is written."""
    source = write_files(tmp_path / "up", {"ports.xlsx": content}) / "ports.xlsx"
    new = from_schedule(tmp_path / "jobs", "a", FAMILY, source)
    assert new.folder is None
    assert has_errors(new.problems)
    assert not (tmp_path / "jobs").exists()


def test_an_empty_job_asks_for_boxes_alone(tmp_path: Path) -> None:
    """Everything else is there."""
    folder = made(empty_job(tmp_path, "North wing", FAMILY))
    assert [each.message for each in plan(folder).problems] == ["the job has no box"]


@pytest.mark.parametrize("name", ["", "  ", "a\nb", "a\x1b[2J", "\u202eabc", "x" * 61])
def test_a_name_that_does_not_print_is_refused(name: str, tmp_path: Path) -> None:
    """Before anything is written."""
    new = empty_job(tmp_path, name, FAMILY)
    assert (new.folder, [each.code for each in new.problems]) == (None, ["value-wrong"])


def test_a_family_is_chosen_never_assumed(tmp_path: Path) -> None:
    """Every shipped one is offered with its source."""
    assert FAMILY in {each.name for each in family_choices()}
    assert all(each.title and each.source for each in family_choices())
    new = empty_job(tmp_path, "a", "")
    assert (new.folder, [each.code for each in new.problems]) == (None, ["family-unknown"])


@pytest.mark.parametrize(
    ("name", "folder"),
    [
        ("../../etc", "etc"),
        ("CON", "job-con"),
        (".hidden", "hidden"),
        ("…", "job"),
        ("Émile & Söhne", "émile-söhne"),
        ("<img src=x onerror=alert(1)>", "img-src-x-onerror-alert-1"),
    ],
)
def test_a_folders_name_is_plain(name: str, folder: str, tmp_path: Path) -> None:
    """Letters and digits, never a path or a device."""
    assert made(empty_job(tmp_path, name, FAMILY)) == tmp_path / folder


@pytest.mark.parametrize(
    ("uploaded", "kept"),
    [
        ("ports.xlsx", "ports.xlsx"),
        ("C:\\Users\\x\\Ports R2 (final).csv", "Ports R2 (final).csv"),
        ("../../../job.toml", "job.toml"),
        (".csv", "schedule.csv"),
        ("<b>.csv", "-b-.csv"),
        ("nul.csv", "job-nul.csv"),
        ("a\u202evsc.xlsx", "a-vsc.xlsx"),
        ("x" * 300 + ".csv", "x" * 80 + ".csv"),
        ("ports", "ports.csv"),
    ],
)
def test_a_files_name_is_plain(uploaded: str, kept: str) -> None:
    """Whatever a browser sends as one."""
    assert schedule_name(uploaded) == kept
