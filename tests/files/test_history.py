"""Earlier contents are kept before each change: back and forth, whole, and never over what others saved."""

import json
import os
import subprocess
import sys
import threading
from pathlib import Path
from unittest import mock

import pytest

from tagmaker.files import history
from tagmaker.files.history import (
    Stepped,
    change_files,
    content_digest,
    end_unfinished,
    file_digest,
    step,
)
from tagmaker.files.journal import FOLDER, read_journal
from tagmaker.files.plain import files_below
from tagmaker.problems import Problem
from tests.files.killed_history import NEW, OLD
from tests.job_files import write_files
from tests.paths import ROOT


def change(folder: Path, what: str, **contents: str | None) -> Stepped:
    """Change files, named with _ for the point, by somebody who saw them as they are."""
    named = {name.replace("_", "."): content for name, content in contents.items()}
    seen = {name: file_digest(folder / name) for name in named}
    new = {name: None if content is None else content.encode() for name, content in named.items()}
    return change_files(folder, new, seen, what)


def files(folder: Path) -> dict[str, str]:
    """Every file of a folder that is no history."""
    return {path.name: path.read_text() for path in files_below(folder)}


def codes(done: Stepped) -> list[str]:
    """The codes of the problems."""
    return [problem.code for problem in done.problems]


def whats(folder: Path) -> tuple[list[str], int]:
    """The changes that are kept in words, and how many are in force."""
    journal = read_journal(folder)
    assert not isinstance(journal, Problem)
    return [each.what for each in journal.changes], journal.done


def test_files_that_belong_together_go_back_together(tmp_path: Path) -> None:
    """One changed, one new, one removed: undone and made again as one."""
    before, after = {"a.csv": "1", "c.csv": "3"}, {"a.csv": "2", "b.csv": "new"}
    write_files(tmp_path, before)
    assert change(tmp_path, "all", a_csv="2", b_csv="new", c_csv=None).problems == ()
    assert files(tmp_path) == after
    assert step(tmp_path, "back").problems == ()
    assert files(tmp_path) == before
    assert step(tmp_path, "forth").problems == ()
    assert files(tmp_path) == after


def test_a_new_change_forgets_what_was_undone(tmp_path: Path) -> None:
    """Its contents too."""
    for text in "123":
        change(tmp_path, text, a_csv=text)
    step(tmp_path, "back")
    step(tmp_path, "back")
    change(tmp_path, "4", a_csv="4")
    assert whats(tmp_path) == (["1", "4"], 2)
    kept = {path.read_text() for path in (tmp_path / FOLDER / "content").iterdir()}
    assert kept == {"1", "4"}


def test_what_changes_nothing_is_no_change(tmp_path: Path) -> None:
    """Nothing to undo comes of it."""
    write_files(tmp_path, {"a.csv": "1"})
    change(tmp_path, "same", a_csv="1")
    assert whats(tmp_path) == ([], 0)


@pytest.mark.parametrize("content", ["other", None])
def test_a_file_that_somebody_saved_meanwhile_stays(content: str | None, tmp_path: Path) -> None:
    """Neither a change, nor undoing, nor making again writes over it, or over the files beside it."""
    write_files(tmp_path, {"a.csv": "1", "b.csv": "1"})
    seen = {name: file_digest(tmp_path / name) for name in ("a.csv", "b.csv")}
    change_files(tmp_path, {"a.csv": b"2", "b.csv": b"2"}, seen, "two")
    assert (
        codes(change_files(tmp_path, {"b.csv": b"3", "a.csv": b"3"}, seen, "three")) == ["edit-conflict"] * 2
    )
    for way in ("back", "forth"):
        other = tmp_path / "b.csv"
        was = other.read_bytes()
        other.unlink() if content is None else other.write_text(content)
        left = files(tmp_path)
        done = step(tmp_path, way)
        assert codes(done) == ["edit-conflict"]
        assert f"{FOLDER}/content/{content_digest(b'1')}" in done.problems[0].hint
        assert files(tmp_path) == left
        other.write_bytes(was)
        step(tmp_path, "back")


def test_a_file_saved_at_the_last_moment_stays_and_the_others_go_back(tmp_path: Path) -> None:
    """The second file changes while the first is written: both are as they were, or as it was saved."""
    write_files(tmp_path, {"a.csv": "1", "b.csv": "1"})
    put = history._put

    def saved_meanwhile(folder: Path, name: str, digest: str) -> None:
        put(folder, name, digest)
        (folder / "b.csv").write_text("theirs")

    with mock.patch.object(history, "_put", saved_meanwhile):
        done = change(tmp_path, "both", a_csv="2", b_csv="2")
    assert codes(done) == ["edit-conflict"]
    assert files(tmp_path) == {"a.csv": "1", "b.csv": "theirs"}
    assert whats(tmp_path) == ([], 0)


@pytest.mark.parametrize("direction", ["forth", "back"])
def test_killed_at_any_step_nothing_is_half(direction: str, tmp_path: Path) -> None:
    """Each file is old or new; opened again, all are old or all new, and the way back and forth is there."""
    done = subprocess.run(
        [sys.executable, "-m", "tests.files.killed_history", str(tmp_path / "job"), direction],
        cwd=ROOT, capture_output=True, text=True, check=True,
    )  # fmt: skip
    steps = [json.loads(line) for line in done.stdout.splitlines()]
    old = {name: content.decode() for name, content in OLD.items()}
    new = {name: content.decode() for name, content in NEW.items()}
    assert [each["killed"] for each in steps] == [True] * (len(steps) - 1) + [False]
    assert len(steps) > 10
    for each in steps:
        left = {name: content for name, content in each["left"].items() if not name.startswith(".")}
        assert all(content in (old.get(name), new.get(name)) for name, content in left.items())
        assert left.keys() | {"b.csv"} == new.keys()
        ended = {name: content for name, content in each["ended"].items() if not name.startswith(".")}
        assert ended == (new if each["done"] else old)
        assert {name: text for name, text in each["again"].items() if not name.startswith(".")} == ended
        assert each["problems"] == 0
    assert {bool(each["done"]) for each in steps} == {True, False}


def test_two_at_once_wait_for_each_other(tmp_path: Path) -> None:
    """Of many changes of one file at once, made by those who all saw the same, one is made."""
    write_files(tmp_path, {"a.csv": "0"})
    seen = {"a.csv": file_digest(tmp_path / "a.csv")}
    done: list[Stepped] = []

    def one(number: int) -> None:
        done.append(change_files(tmp_path, {"a.csv": f"{number}".encode()}, seen, f"{number}"))

    threads = [threading.Thread(target=one, args=(number,)) for number in range(1, 9)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    made = [each.change.what for each in done if each.change]
    assert len(made) == 1
    assert files(tmp_path) == {"a.csv": made[0]}
    assert sum(codes(each) == ["edit-conflict"] for each in done) == 7


def test_the_oldest_are_dropped_beyond_the_limit(tmp_path: Path) -> None:
    """The last change can always be undone."""
    with mock.patch.object(history, "KEPT_BYTES_AT_MOST", 25):
        for letter in "abcdef":
            change(tmp_path, letter, a_csv=letter * 10)
        assert whats(tmp_path) == (["f"], 1)
        assert step(tmp_path, "back").problems == ()
    assert files(tmp_path) == {"a.csv": "e" * 10}
    kept = sum(path.stat().st_size for path in (tmp_path / FOLDER / "content").iterdir())
    assert kept == 20


def test_a_link_to_a_file_stays_a_link_and_one_out_is_refused(tmp_path: Path) -> None:
    """What a link leads to is changed, if it is in the folder."""
    job = write_files(tmp_path / "job", {"real.csv": "1"})
    write_files(tmp_path, {"other.csv": "theirs"})
    (job / "a.csv").symlink_to("real.csv")
    change(job, "link", a_csv="2")
    assert (job / "a.csv").is_symlink()
    assert (job / "real.csv").read_text() == "2"
    (job / "b.csv").symlink_to(tmp_path / "other.csv")
    assert codes(change(job, "out", b_csv="2")) == ["file-outside"]
    assert (tmp_path / "other.csv").read_text() == "theirs"


def test_a_history_that_leads_out_or_is_damaged_is_a_problem(tmp_path: Path) -> None:
    """Nothing is changed then."""
    job = write_files(tmp_path / "job", {"a.csv": "1"})
    (tmp_path / "elsewhere").mkdir()
    (job / FOLDER).symlink_to(tmp_path / "elsewhere")
    assert codes(change(job, "out", a_csv="2")) == ["file-outside"]
    (job / FOLDER).unlink()
    write_files(job, {f"{FOLDER}/journal.json": "{"})
    assert codes(change(job, "damaged", a_csv="2")) == ["file-unreadable"]
    assert end_unfinished(job) == ()
    assert files(job) == {"a.csv": "1"}


@pytest.mark.parametrize(
    "text",
    [
        '{"changes": [], "done": 1}',
        '{"changes": [], "done": -1}',
        '{"changes": [], "done": 0, "begun": {"number": 1, "direction": "forth"}}',
        '{"changes": [], "done": 0, "begun": {"number": 1, "direction": "sideways"}}',
        "[]",
    ],
)
def test_a_journal_that_contradicts_itself_is_a_problem(text: str, tmp_path: Path) -> None:
    """It may come with a job from anywhere."""
    write_files(tmp_path, {"a.csv": "1", f"{FOLDER}/journal.json": text})
    assert codes(change(tmp_path, "new", a_csv="2")) == ["file-unreadable"]
    assert codes(step(tmp_path, "back")) == ["file-unreadable"]
    assert end_unfinished(tmp_path) == ()
    assert files(tmp_path) == {"a.csv": "1"}


@pytest.mark.parametrize("name", ["../theirs.csv", "/tmp/theirs.csv", "link.csv"])  # noqa: S108 — a name only
def test_a_journal_from_elsewhere_writes_nothing_outside(name: str, tmp_path: Path) -> None:
    """Neither where a step that was begun is ended, nor where one is undone."""
    job = write_files(tmp_path / "job", {"a.csv": "1"})
    theirs = tmp_path / "theirs.csv"
    theirs.write_text("theirs")
    (job / "link.csv").symlink_to(theirs)
    change(job, "mine", a_csv="2")
    journal = job / FOLDER / "journal.json"
    outside = str(theirs) if name.startswith("/") else name
    plain = json.loads(journal.read_text())
    plain["changes"][0]["files"][0] |= {"name": outside, "after": content_digest(b"theirs")}
    for begun in ({"number": 1, "direction": "back"}, None):
        journal.write_text(json.dumps(plain | {"begun": begun}))
        problems = (*end_unfinished(job), *step(job, "back").problems)
        assert {problem.code for problem in problems} <= {"output-blocked", "file-outside"}
        assert problems
        assert theirs.read_text() == "theirs"


def test_a_full_disk_leaves_all_as_it_was(tmp_path: Path) -> None:
    """Whatever cannot be written: the files stay, and the next change finds all in order."""
    write_files(tmp_path, {"a.csv": "1", "b.csv": "1"})
    real = os.fsync
    for fails_at in range(8):
        left = [fails_at]

        def full(handle: int, left: list[int] = left) -> None:
            left[0] -= 1
            if left[0] == -1:
                raise OSError(28, "No space left on device")
            real(handle)

        with mock.patch.object(os, "fsync", full):
            done = change(tmp_path, "both", a_csv="2", b_csv="3")
        if done.change:
            break
        assert codes(done) == ["output-blocked"]
        end_unfinished(tmp_path)
        found = files(tmp_path)
        assert found in ({"a.csv": "1", "b.csv": "1"}, {"a.csv": "2", "b.csv": "3"})
        if found["a.csv"] == "2":
            step(tmp_path, "back")
    assert fails_at >= 4


def test_the_mode_of_a_file_stays(tmp_path: Path) -> None:
    """Who could read it before can read it after."""
    write_files(tmp_path, {"a.csv": "1"})
    (tmp_path / "a.csv").chmod(0o640)
    change(tmp_path, "mode", a_csv="2")
    assert (tmp_path / "a.csv").stat().st_mode & 0o777 == 0o640
