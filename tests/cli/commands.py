"""The program as the tests of the command line call it, and the jobs that they call it on."""

import csv
import io
import json
import os
import subprocess
import sys
from pathlib import Path
from typing import Any

from typer.testing import CliRunner, Result

from tagmaker.catalog.family import Family, load_family
from tagmaker.cli.app import app
from tagmaker.problems import Where, error, note, warning
from tests.paths import EXAMPLES, ROOT
from tests.records import replace
from tests.site.papers import LIBRARY
from tests.strategies import BoxSketch, JobSketch, UnitSketch

__all__ = ["BAKERY", "CLINIC", "COMMANDS", "ERROR", "JOB_COMMANDS", "MISTAKES", "NEXT", "NOTE"]
__all__ += ["OVERLOADED", "PROGRAM", "WARNING", "WORKSHOP"]
__all__ += ["Terminal", "process", "result", "rows", "run", "there", "workshop_family"]

BAKERY, CLINIC, MISTAKES = (str(EXAMPLES / name) for name in ("bakery", "clinic", "full-of-mistakes"))
JOB_COMMANDS = ("make", "check", "switches")
COMMANDS = (
    *(*JOB_COMMANDS, "changes", "stocks", "align", "read", "start", "schemas", "desk"),
    *("scan", "response", "readback", "handover", "explain", "room", "hold", "manual"),
)
PROGRAM = (sys.executable, "-c", "from tagmaker.cli.begin import run; run()")
OVERLOADED = JobSketch(
    (
        BoxSketch("BB-1", 4, (UnitSketch("FC-1", "A", "60 kBtu/h"),)),
        BoxSketch("BB-2", 4, (UnitSketch("FC-2", "A", "12 kBtu/h"),)),
    )
)
ERROR = error("box-empty", "no unit hangs on box BB-2", Where("job.toml", 9), "add its units")
WARNING = warning("port-crowded", "port A has 6 units", Where("ports.csv", 7))
NOTE = note("pair-needless", "pair A+B", Where("ports.csv", 8))
WORKSHOP = JobSketch(
    family="three-port-boards",
    capacity_unit="kW",
    boxes=(BoxSketch("HB-1", 5, (UnitSketch("HU-1", "A", "5.6 kW"), UnitSketch("HU-2", "B+C", "20 kW"))),),
)
NEXT = replace(
    LIBRARY,
    revision="3",
    boxes=(
        LIBRARY.boxes[0],
        replace(LIBRARY.boxes[1], units=(replace(LIBRARY.boxes[1].units[0], port="B"),)),
    ),
)
"""The next revision of `LIBRARY`: one unit moves from A to B."""


class Terminal(io.StringIO):
    """A stream that is a terminal."""

    def isatty(self) -> bool:
        """It is."""
        return True


def run(*words: object, typed: str = "") -> Result:
    """The program called with these words, with this text on its standard input."""
    return CliRunner().invoke(app, list(map(str, words)), input=typed)


def process(*words: str, **environment: str) -> "subprocess.CompletedProcess[str]":
    """The program in a process of its own."""
    return subprocess.run(
        [*PROGRAM, *words],
        capture_output=True,
        check=False,
        encoding="utf-8",
        env={**os.environ, "PYTHONPATH": str(ROOT), **environment},
    )


def there(folder: str = ".") -> list[str]:
    """The names in the current folder, or in a folder there, the user's settings aside."""
    return sorted(path.name for path in Path(folder).iterdir() if path.name != ".config")


def rows(folder: str = "out") -> list[dict[str, str]]:
    """The register of a set."""
    with (Path(folder) / "register.csv").open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def result(done: Result) -> dict[str, Any]:
    """The one JSON object that was printed."""
    content = json.loads(done.stdout)
    assert isinstance(content, dict)
    return content


def workshop_family() -> Family:
    """The family of the example that has one of its own: ON points down, numbered from the right."""
    family, problems = load_family("three-port-boards", EXAMPLES / "three-port-boards", Where("job.toml"))
    assert problems == ()
    assert family is not None
    return family
