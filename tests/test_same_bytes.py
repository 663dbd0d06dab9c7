"""The same job gives the same bytes, wherever, whenever and by whom it is made."""

import hashlib
import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from tests.paths import ROOT

JOBS = ("bakery", "three-port-boards")
PROGRAM = "from tagmaker.cli.begin import run; run()"
TURKISH = "tr_TR.UTF-8"  # where the capital of i is İ
PLAIN = {"PYTHONHASHSEED": "0", "LC_ALL": "C.UTF-8", "TZ": "UTC"}
WORLDS: dict[str, tuple[dict[str, str], tuple[str, ...]]] = {
    "German": (
        {"PYTHONHASHSEED": "1", "LC_ALL": "de_DE.UTF-8", "LANG": "de_DE.UTF-8", "TZ": "Asia/Tokyo"},
        (),
    ),
    "Turkish": ({"PYTHONHASHSEED": "2", "LC_ALL": TURKISH, "LANG": TURKISH, "TZ": "America/St_Johns"}, ()),
    "C": ({"LC_ALL": "C", "LANG": "C", "PYTHONUTF8": "0", "PYTHONCOERCECLOCALE": "0"}, ("-X", "utf8=0")),
    "date": ({"SOURCE_DATE_EPOCH": "86400", "PYTHONUTF8": "1"}, ("-O",)),
    "other date": ({"SOURCE_DATE_EPOCH": "1900000000", "PYTHONDONTWRITEBYTECODE": "1"}, ()),
}
"""Environments, and options of Python; each run has a home, folder, umask and way to name the job too."""


def pythons() -> list[str]:
    """This Python, and any newer one that has all that the program needs."""
    found = {name: shutil.which(name) for name in ("python3.12", "python3.13", "python3.14", "python3.15")}
    needs = "import reportlab, tomli, msgspec, qrcode, typer, pypdf, platformdirs, fontpkg"
    able = [
        path
        for path in found.values()
        if path and not subprocess.run([path, "-c", needs], capture_output=True, check=False).returncode
    ]
    return [sys.executable, *able]


def digests(out: Path) -> dict[str, str]:
    """Every file of a set by its name."""
    return {each.name: hashlib.sha256(each.read_bytes()).hexdigest() for each in sorted(out.iterdir())}


def made(job: str, work: Path, world: str, python: str) -> dict[str, str]:
    """A set made in one of the worlds, in a process of its own."""
    environment, options = WORLDS.get(world, ({}, ()))
    shutil.copytree(ROOT / "example_jobs" / job, work / "place" / job)
    is_near = len(world) % 2
    run = subprocess.run(
        [python, *options, "-c", PROGRAM, "make", "--no-proof", job if is_near else str(work / "place" / job),
         "-o", str(work / "out") if is_near else "../../out"],
        cwd=work / "place" if is_near else work / "place" / job,
        env={"PATH": os.defpath, "HOME": str(work), "PYTHONPATH": str(ROOT), **PLAIN, **environment},
        capture_output=True, check=False, umask=0o077 if is_near else 0o022,
    )  # fmt: skip
    assert run.returncode == 0, run.stderr
    return digests(work / "out")


@pytest.mark.parametrize("job", JOBS)
def test_a_set_is_the_same_in_every_world(job: str, tmp_path: Path) -> None:
    """Hash seeds, locales, time zones, dates for builds, encodings, homes, folders, umasks and Pythons."""
    worlds = list(WORLDS) if job == JOBS[0] else ["Turkish"]
    sets = [made(job, tmp_path / "plain", "plain", sys.executable)]
    sets += [
        made(job, tmp_path / f"{number}-{world}", world, python)
        for number, python in enumerate(pythons())
        for world in (worlds[:1] if number else worlds)
    ]
    assert len(sets[0]) >= 7
    assert [each for each in sets if each != sets[0]] == []
