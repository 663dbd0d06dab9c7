"""The documents say what the program does: an undocumented word, or a command that does not run, fails."""

import re
import shlex
import subprocess
import sys
from pathlib import Path

import pytest

from tagmaker.cli.app import app
from tagmaker.files.toml import Table
from tagmaker.job.read import read_job
from tagmaker.problems import CODES
from tests.paths import ROOT

README = (ROOT / "README.md").read_text(encoding="utf-8")
DEVELOPERS = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
SHELL = [line for block in re.findall(r"```sh\n(.*?)```", README, re.DOTALL) for line in block.splitlines()]


def names_of_commands() -> list[str]:
    """Every command of the program."""
    return [
        command.name or command.callback.__name__ for command in app.registered_commands if command.callback
    ]


@pytest.mark.parametrize("name", names_of_commands())
def test_every_command_is_in_the_readme(name: str) -> None:
    """A command that the README does not show does not exist for its user."""
    assert f"`tagmaker {name}" in README


@pytest.mark.parametrize(("code", "meaning"), CODES.items())
def test_every_problem_code_is_in_the_readme(code: str, meaning: str) -> None:
    """The README's table gives each code with its meaning."""
    assert f"| `{code}` | {meaning} |" in README


def test_every_key_of_a_job_is_in_the_readme(monkeypatch: pytest.MonkeyPatch) -> None:
    """Whatever key the reader takes from a job file stands in the README as code."""
    taken: set[str] = set()
    close = Table.close

    def collect(table: Table) -> None:
        if table.file.shown == "job.toml":
            taken.update(table.taken)
        close(table)

    monkeypatch.setattr(Table, "close", collect)
    read_job(ROOT / "example_jobs" / "bakery")
    prose = re.sub(r"```.*?```", "", README, flags=re.DOTALL)
    told = {word for code in re.findall(r"`([^`]+)`", prose) for word in re.findall(r"\w+", code)}
    undocumented = taken - told
    assert {"capacity_unit", "bank_names", "placard", "address"} <= taken
    assert undocumented == set()


@pytest.mark.parametrize("line", [line for line in SHELL if "venv" not in line])
def test_commands_of_the_readme_run(line: str, tmp_path: Path) -> None:
    """Each command of the README runs from here; the mistakes end with errors, the changes with work."""
    program, *arguments = shlex.split(line)
    assert program == "tagmaker"
    run = subprocess.run(
        [sys.executable, "-c", "from tagmaker.cli.app import run; run()", *arguments],
        cwd=ROOT, capture_output=True, text=True, check=False, env={"PATH": "", "HOME": str(tmp_path)},
    )  # fmt: skip
    assert run.returncode == int("full-of-mistakes" in line or program_says_to_do(arguments)), run.stderr


def program_says_to_do(arguments: list[str]) -> bool:
    """Whether the command ends with 1 where something is to be done on site."""
    return arguments[0] == "changes"


def test_the_two_set_up_commands_are_there() -> None:
    """One sets up and runs the main job, one sets up and runs the tests; CI runs the second's tests."""
    set_up = [line for line in SHELL if "venv" in line]
    runs = [line.rpartition(" && ")[2].split()[0] for line in set_up]
    assert runs == [".venv/bin/tagmaker", ".venv/bin/python"]
    tests = set_up[1].partition(".venv/bin/python ")[2]
    assert f"python {tests}" in (ROOT / ".ci" / "run").read_text(encoding="utf-8")


def test_what_the_mistakes_print_is_kept() -> None:
    """The example full of mistakes stands beside what it prints."""
    folder = ROOT / "example_jobs" / "full-of-mistakes"
    run = subprocess.run(
        [sys.executable, "-c", "from tagmaker.cli.app import run; run()", "check", str(folder)],
        capture_output=True, text=True, check=False,
    )  # fmt: skip
    printed = (folder / "what-it-prints.txt").read_text(encoding="utf-8")
    assert sorted(printed.splitlines()) == sorted((run.stderr + run.stdout).splitlines())


def hazard_rows() -> list[tuple[str, str]]:
    """The hazard table's rows: what goes wrong, and the test that guards it."""
    table = DEVELOPERS.partition("## Hazards")[2]
    rows = [line.split("|")[1:-1] for line in table.splitlines() if line.startswith("|")]
    return [(cells[0].strip(), cells[-1].strip().strip("`")) for cells in rows[2:]]


@pytest.mark.parametrize(("hazard", "test"), hazard_rows())
def test_every_hazard_has_a_live_test(hazard: str, test: str) -> None:
    """A row of the hazard table names a test function that exists."""
    file, _, function = test.partition("::")
    source = (ROOT / file).read_text(encoding="utf-8")
    assert hazard
    assert re.search(rf"^def {re.escape(function)}\(", source, re.MULTILINE)


def test_the_hazard_table_is_not_empty() -> None:
    """The table that is checked is there."""
    assert len(hazard_rows()) >= 10
