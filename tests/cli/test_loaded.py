"""What each command loads: a short one must not wait for the libraries of a long one."""

import subprocess
import sys
from pathlib import Path

import pytest

from tagmaker.cli import commands
from tests.cli.commands import BAKERY
from tests.paths import ROOT

PROGRAM = """
import sys
from tagmaker.cli.begin import run
try:
    run()
finally:
    print(*sys.modules, file=sys.stderr)
"""
OF_HELP = {
    *("tagmaker", "tagmaker.cli", "tagmaker.files", "tagmaker.files.plain", "tagmaker.files.stopping"),
    *(f"tagmaker.cli.{name}" for name in ("app", "begin", "commands", "printing", "usage", "values")),
}
VALUES = {"pydantic", "pydantic_core"}  # typer's, for values that are not plainly right
DRAWING = {"reportlab", "qrcode", "barcode", "PIL"}
READING = {"zxingcpp", "pypdfium2", "pypdf", "numpy"}
OTHERS = {"openpyxl", "tomlkit", "starlette", "uvicorn", "jinja2", "markdown_it", "xml", "html", "ssl"}
OTHERS |= {"fontTools", "tomllib"}


def loaded(folder: Path, *words: str) -> set[str]:
    """The modules that a command has loaded at its end."""
    command = (sys.executable, "-c", PROGRAM, *words)
    done = subprocess.run(command, capture_output=True, check=False, cwd=folder, text=True)
    return set(done.stderr.splitlines()[-1].split())


def libraries(modules: set[str]) -> set[str]:
    """The packages that modules are of."""
    return {name.partition(".")[0] for name in modules}


def test_the_help_loads_no_command(tmp_path: Path) -> None:
    """Nor what they share, nor a library but typer."""
    found = loaded(tmp_path, "--help")
    assert {name for name in found if name.startswith("tagmaker")} == OF_HELP
    assert not libraries(found) & {"msgspec", *VALUES, *DRAWING, *READING, *OTHERS}


@pytest.mark.parametrize(
    ("words", "unneeded"),
    [
        (("switches", BAKERY, "--box", "BX-1"), VALUES | DRAWING | READING | OTHERS),
        (("check", BAKERY), VALUES | READING | OTHERS | {"barcode", "platformdirs"}),
        (
            ("make", BAKERY, "-o", "out", "--no-proof", "--only", "BX-1/A"),
            VALUES | READING | OTHERS | {"multiprocessing", "zipfile"},
        ),
        (("changes", BAKERY, f"{BAKERY}-extended"), VALUES | DRAWING | READING | OTHERS),
        (("readback", f"{BAKERY}/returned", "--job", BAKERY), VALUES | DRAWING | READING | OTHERS),
    ],
)
def test_a_command_loads_what_it_needs(words: tuple[str, ...], unneeded: set[str], tmp_path: Path) -> None:
    """Only its own file of the commands, and no library of another's work."""
    found = loaded(tmp_path, *words)
    names = {name for name, _, _ in commands.COMMANDS}
    assert {name for name in names if f"tagmaker.cli.{name}" in found} == {words[0]}
    assert libraries(found) & unneeded == set()


def test_a_set_without_systems_loads_nothing_of_theirs(tmp_path: Path) -> None:
    """Nor of what comes back from site, of revisions' changes, or of spreadsheets."""
    found = loaded(tmp_path, "make", BAKERY, "-o", "out", "--no-proof")
    words = {"tagmaker.site", "tagmaker.site.stated"}  # what states nothing: the phone must know it
    assert {name for name in found if name.startswith("tagmaker.site")} <= words
    systems = ("plan.system_checks", "sheets.system", "sheets.first_days", "tags.system", "tags.first_days")
    rare = ("files.history", "sheets.isolation_list", "sheets.sample", "sheets.sign", "sheets.work_list")
    others = ("revisions.compare", "job.schedule.xlsx_sheet", "workflows.processes", "workflows.readback")
    assert not {f"tagmaker.{name}" for name in (*systems, *rare, *others)} & found


def test_the_help_says_of_each_command_what_its_own_help_says() -> None:
    """The program's help does not load it, so its line is kept twice."""
    assert {name: commands.loaded(name).help for name, _, _ in commands.COMMANDS} == {
        name: does for name, does, _ in commands.COMMANDS
    }


def test_every_file_of_a_command_is_in_the_list() -> None:
    """A file with a function of its own name is a command; `printing` is what all of them run in."""
    files = {path.stem: path.read_text(encoding="utf-8") for path in (ROOT / "tagmaker/cli").glob("*.py")}
    found = {name for name, text in files.items() if f"\ndef {name}(" in text}
    assert found - {"printing"} == {name for name, _, _ in commands.COMMANDS}
