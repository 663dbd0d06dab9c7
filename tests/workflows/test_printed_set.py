"""A set in its folder: its files are given out as they were written, or not at all."""

import io
import json
import pickle
import zipfile
from collections.abc import Iterator
from pathlib import Path

import pytest

from tagmaker.problems import Problem
from tagmaker.revisions.plan_file import read_set
from tagmaker.workflows.make import make
from tagmaker.workflows.printed_set import make_set, printed_files, set_file, set_zip
from tests.workflows.jobs import UNPROVED, contents


@pytest.fixture
def out(job: Path, tmp_path: Path) -> Path:
    """The job's set."""
    make(job, tmp_path / "out", UNPROVED)
    return tmp_path / "out"


def zipped(out: Path) -> bytes:
    """The whole ZIP of a set."""
    pieces = set_zip(out)
    assert isinstance(pieces, Iterator)
    return b"".join(pieces)


def test_the_set_of_a_process_is_that_of_make(job: Path, tmp_path: Path, out: Path) -> None:
    """Byte for byte; its result goes to another process in a few bytes."""
    steps: list[tuple[int, int]] = []
    made = make_set(job, tmp_path / "set", UNPROVED, progress=lambda done, of: steps.append((done, of)))
    assert contents(made.out) == contents(out)
    assert [name for name, _ in made.files] == json.loads((out / "plan.json").read_bytes())["files"]
    assert steps == [(1, 2), (2, 2)]
    assert len(pickle.dumps(made)) < 3_000


def test_a_refused_set_gives_its_problems(job: Path, out: Path) -> None:
    """A file of somebody else's in the folder; nothing was changed there."""
    (out / "notes.txt").write_text("mine", "utf-8")
    before = contents(out)
    made = make_set(job, out, UNPROVED)
    assert (made.files, [each.code for each in made.problems]) == ((), ["output-foreign"])
    assert contents(out) == before


def test_files_are_listed_in_print_order(out: Path) -> None:
    """With their sizes; none changed."""
    head = read_set(out)
    assert head
    files = printed_files(out, head)
    assert [each.name for each in files] == list(head.files)
    assert {each.name: each.size for each in files} == {
        name: len(text) for name, text in contents(out).items()
    }
    assert not any(each.changed for each in files)


def test_a_file_is_given_out_by_its_name(out: Path) -> None:
    """Only by one that plan.json lists."""
    assert set_file(out, "placards.pdf") == out / "placards.pdf"
    (out / "other.pdf").write_bytes(b"%PDF")
    for name in (
        "other.pdf",
        "",
        ".",
        "..",
        "../job/job.toml",
        "/etc/passwd",
        str(out / "placards.pdf"),
        "png",
    ):
        assert set_file(out, name) is None


@pytest.mark.parametrize("change", [b"%PDF other", None])
def test_a_file_that_changed_or_is_gone_is_not_given_out(out: Path, change: bytes | None) -> None:
    """Nor is a ZIP of the set with it; the others are."""
    walk = out / "walk.pdf"
    walk.write_bytes(change) if change else walk.unlink()
    for answer in (set_file(out, "walk.pdf"), set_zip(out)):
        assert isinstance(answer, Problem)
        assert (answer.code, "'walk.pdf'" in answer.message) == ("output-changed", True)
    assert set_file(out, "placards.pdf") == out / "placards.pdf"


def test_a_link_that_leads_out_is_not_followed(out: Path, tmp_path: Path) -> None:
    """Even to a file that is the same."""
    outside = tmp_path / "outside.pdf"
    outside.write_bytes((out / "walk.pdf").read_bytes())
    (out / "walk.pdf").unlink()
    (out / "walk.pdf").symlink_to(outside)
    assert isinstance(set_file(out, "walk.pdf"), Problem)


def test_a_plan_file_that_was_edited_gives_nothing_out(out: Path) -> None:
    """It could list any file of the disk."""
    plan = out / "plan.json"
    plan.write_text(plan.read_text("utf-8").replace('"walk.pdf"', '"../job/job.toml"'), "utf-8")
    assert read_set(out) is None
    assert set_file(out, "../job/job.toml") is None
    assert isinstance(set_zip(out), Problem)


@pytest.mark.parametrize("content", [None, b"", b"[]", b"{}", b"{" * 100_000])
def test_a_folder_without_a_set_has_none(tmp_path: Path, content: bytes | None) -> None:
    """No plan.json, or one that is none."""
    if content is not None:
        (tmp_path / "plan.json").write_bytes(content)
    assert read_set(tmp_path) is None
    assert set_file(tmp_path, "plan.json") is None


def test_the_zip_of_a_set_is_the_set(out: Path) -> None:
    """Every file, in a folder of the set's name; the same bytes each time."""
    content = zipped(out)
    with zipfile.ZipFile(io.BytesIO(content)) as archive:
        assert {name.removeprefix("out/"): archive.read(name) for name in archive.namelist()} == contents(out)
    assert zipped(out) == content
