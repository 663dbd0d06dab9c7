"""Jobs that change, as a person meets them on the command line: changes, --since, --all."""

import json
from pathlib import Path

import pytest
from typer.testing import CliRunner, Result

from tagmaker.cli import app as cli
from tests.records import replace
from tests.site.papers import LIBRARY, placards, plan_of
from tests.strategies import JobSketch

NEXT = replace(
    LIBRARY,
    revision="3",
    boxes=(
        LIBRARY.boxes[0],
        replace(LIBRARY.boxes[1], units=(replace(LIBRARY.boxes[1].units[0], port="B"),)),
    ),
)


@pytest.fixture(autouse=True)
def _place(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A folder to stand in with the job, its set beside it, and the next revision."""
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("COLUMNS", "200")
    monkeypatch.setenv("XDG_CONFIG_HOME", str(tmp_path / ".config"))
    LIBRARY.write(tmp_path / "job")
    NEXT.write(tmp_path / "next")


def run(*words: str) -> Result:
    """The program called with these words."""
    return CliRunner().invoke(cli.app, list(words))


def made(*words: str) -> Result:
    """A set made without proof."""
    return run("make", *words, "--no-proof")


def test_changes_ends_with_whether_anything_is_to_be_done() -> None:
    """0 for the same job, 1 for another, 2 where there is none; lines to standard output."""
    same, other, none = (run("changes", "job", job) for job in ("job", "next", "nowhere"))
    assert (same.exit_code, same.stderr) == (0, "")
    assert same.stdout.splitlines()[-1] == "Nothing is to be done on site."
    assert (other.exit_code, other.stderr) == (1, "")
    assert "BB-2" in other.stdout.splitlines()
    assert (none.exit_code, none.stdout) == (2, "")


def test_changes_as_json_is_one_object() -> None:
    """With the problems in it, and where a side cannot be read nothing else."""
    done = run("changes", "job", "next", "--json")
    assert list(json.loads(done.stdout)) == ["was", "now", "units", "boxes", "to_do", "problems"]
    Path("plan.json").write_text("{}", encoding="utf-8")
    refused = run("changes", "plan.json", "next", "--json")
    assert (refused.exit_code, list(json.loads(refused.stdout))) == (1, ["problems"])


def test_make_since_and_all() -> None:
    """The update into a folder of its own, then the whole set anew in the first one's place."""
    assert made("job", "-o", "out").exit_code == 0
    update = made("next", "--since", "out/plan.json", "-o", "update")
    assert (update.exit_code, update.stderr) == (0, "")
    assert update.stdout.splitlines()[0] == "update: 10 tags for 1 box"
    assert "  changes.pdf  1 page" in update.stdout.splitlines()
    anew = made("next", "--since", "out", "--all", "-o", "out")
    assert (anew.exit_code, anew.stderr) == (0, "")
    assert not Path("out", "changes.pdf").exists()


def test_an_update_does_not_replace_a_whole_set() -> None:
    """The other boxes' sheets would be gone."""
    made("job", "-o", "out")
    made("next", "-o", "whole")
    done = made("next", "--since", "out", "-o", "whole")
    assert done.exit_code == 1
    assert "[output-whole]" in done.stderr


@pytest.mark.parametrize("since", ["update", "update/plan.json", "./update/../update"])
def test_an_update_does_not_replace_the_set_that_it_goes_on_from(since: str) -> None:
    """Run again, it would find nothing changed, and what was not printed yet would be gone."""
    made("job", "-o", "out")
    made("next", "--since", "out", "-o", "update")
    before = Path("update", "plan.json").read_bytes()
    done = made("next", "--since", since, "-o", "update")
    assert (done.exit_code, done.stdout) == (2, "")
    assert "give the update a folder of its own" in done.stderr
    assert Path("update", "plan.json").read_bytes() == before


@pytest.mark.parametrize(
    ("words", "answer"),
    [
        (("make", "job", "--all"), "--all goes with --since"),
        (("scan", "-", "--since", "out"), "--since goes with --job"),
        (("changes", "job"), "Missing argument 'NEW'"),
    ],
)
def test_options_that_need_another_say_so(words: tuple[str, ...], answer: str) -> None:
    """2, and nothing is done."""
    done = run(*words)
    assert (done.exit_code, done.stdout) == (2, "")
    assert answer in done.stderr


def test_check_compares_with_the_set_beside_the_job() -> None:
    """JOB-out here, or the set that is named; a warning, so the exit code is 0."""
    made("job")
    assert run("check", "job").stderr == ""
    replace(NEXT, revision=LIBRARY.revision).write(Path("job"))
    for words in (("check", "job"), ("check", "job", "--since", "job-out/plan.json")):
        done = run(*words)
        assert done.exit_code == 0
        assert "[revision-unchanged]" in done.stderr


def placard(sketch: JobSketch, box: int) -> str:
    """A file with a placard's text, as a hand scanner types it."""
    path = Path(f"placard-{sketch.revision}-{box}.txt")
    path.write_text(placards(plan_of(sketch))[box], encoding="utf-8")
    return str(path)


def test_scan_since_places_a_placard() -> None:
    """This revision, unchanged since the one it names, or older; only the last is wrong."""
    made("job", "-o", "out")
    placed = {
        (LIBRARY, 0): ("placard BB-1 revision 2, of this job: as the job is today, and not changed since", 0),
        (LIBRARY, 1): ("placard BB-2 revision 2, of this job: DIFFERS, OLDER", 1),
        (NEXT, 1): ("placard BB-2 revision 3, of this job: as the job is today", 0),
    }
    for (sketch, box), (line, code) in placed.items():
        done = run("scan", placard(sketch, box), "--job", "next", "--since", "out/plan.json")
        assert (done.stdout.splitlines()[0], done.exit_code) == (line, code)


def test_scan_with_a_plan_that_cannot_be_read_says_so() -> None:
    """It is an error, and the scans are judged by the job alone."""
    done = run("scan", placard(LIBRARY, 0), "--job", "next", "--since", "nowhere")
    assert done.exit_code == 1
    assert "[plan-unreadable]" in done.stderr
    assert "DIFFERS, OLDER" in done.stdout
