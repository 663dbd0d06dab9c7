"""Jobs whose every name is markup, script, a template's text, or turns text round: all that a reader takes.

Two jobs: one that is planned and printed, so that its names get everywhere, and one whose names are in
problems.
"""

import json
import shutil
from pathlib import Path

from typer.testing import CliRunner

from tagmaker.cli.app import app
from tests.paths import EXAMPLES

__all__ = ["BROKEN", "IMAGE", "WHOLE", "hostile_folder"]

IMAGE = "<img src=x onerror=owned=1>"
SCRIPT = "\"'></script><script>owned=1</script><x-owned>{{ 7*191 }}"
TURNED = "\u202egnorw\u2066 \u200f\x85"
WHOLE, BROKEN = "<x-owned>whole", "'\"><x-owned>\u202ebroken"
"""The jobs' folders: a slash is all that a name of a folder cannot have."""


def _text(value: str) -> str:
    """A TOML string."""
    return json.dumps(value)


def hostile_folder(folder: Path) -> Path:
    """A folder with both jobs, the first with a set beside it and files that came back."""
    _whole(folder / WHOLE)
    _broken(folder / BROKEN)
    words = ["make", str(folder / WHOLE), "--no-proof", "-o", str(folder / f"{WHOLE}-out")]
    run = CliRunner().invoke(app, words)
    assert run.exit_code == 0, run.stderr
    return folder


def _whole(job: Path) -> None:
    """A job without an error; its schedule and what came back have names of the same kind."""
    (job / "returned").mkdir(parents=True)
    (job / "stocks").mkdir()
    lines = [
        "[job]",
        f"name = {_text(IMAGE)}",
        'family = "four-port-boards"',
        f"number = {_text('<x-owned>')}",
        "revision = 1",
        f"site = {_text(SCRIPT)}",
        f"prepared_by = {_text(IMAGE)}",
        f"schedule = {_text(IMAGE + '.csv')}",
        "[[box]]",
        'tag = "BX-1"',
        "ports = 6",
        *(f"{key} = {_text(IMAGE)}" for key in ("place", "power", "level", "fed_from")),
        f"system = {_text('<x-owned>')}",
        f"bank_names = [{_text('<b>1')}, {_text('<b>2')}]",
        "[columns]",
        f"{_text(SCRIPT)} = ''",
    ]
    (job / "job.toml").write_text("\n".join(lines) + "\n", "utf-8")
    room = f'"{IMAGE}"'
    rows = [
        f'unit,box,port,capacity,room,"{SCRIPT.replace(chr(34), chr(34) * 2)}"',
        f"FC-1,BX-1,A,24 kBtu/h,{room},{room}",
        f"FC-2,BX-1,B,12 kBtu/h,{room},{room}",
    ]
    (job / f"{IMAGE}.csv").write_text("\n".join(rows) + "\n", "utf-8")
    walk = (EXAMPLES / "bakery" / "returned" / "walk-BX-1.json").read_text("utf-8")
    (job / "returned" / f"{IMAGE}.json").write_text(walk.replace("Tide", SCRIPT[4:]), "utf-8")
    (job / "returned" / f"{TURNED}.txt").write_text(f"BX-1/A/TRM\n{IMAGE}\n{TURNED}\n", "utf-8")
    shutil.copy(Path(__file__), job / "returned" / "<x-owned>.pdf")


def _broken(job: Path) -> None:
    """A job whose names are in its problems: unknown keys, columns, files, values."""
    job.mkdir(parents=True)
    lines = [
        "[job]",
        f"name = {_text(TURNED + IMAGE)}",
        f"family = {_text(IMAGE)}",
        f"{_text(IMAGE)} = 1",
        f"schedule = {_text('<x-owned>.csv')}",
        f"sheets = [{_text(IMAGE)}]",
        "[print]",
        f"pipe = {_text(SCRIPT)}",
        "[[box]]",
        f"tag = {_text(IMAGE)}",
        "ports = 6",
        "[[box]]",
        'tag = "BX-2"',
        f"ports = {_text(SCRIPT)}",
        f"place = {_text(TURNED)}",
    ]
    (job / "job.toml").write_text("\n".join(lines) + "\n", "utf-8")
    rows = [
        f"unit,box,port,capacity,{IMAGE},length",
        f"{IMAGE},{IMAGE},{IMAGE},{IMAGE},{IMAGE},<x-owned>",
        "FC-2,BX-2,B,12,<x-owned>,3",
    ]
    (job / "<x-owned>.csv").write_text("\n".join(rows) + "\n", "utf-8")
