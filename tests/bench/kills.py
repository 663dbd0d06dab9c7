"""Real runs of `make`, killed at random moments: what each kill left, and what the next run made of it.

Run: python -m tests.bench.kills [kills] [forked]. Each kill is a SIGKILL at a moment drawn evenly from the
time that a whole run takes. Forked runs have the program loaded already, so that no kill is spent on that.
Seeded: the moments are the same every time, and what they hit is not.
"""

import json
import os
import random
import shutil
import signal
import subprocess
import sys
import tempfile
import time
from collections import Counter
from collections.abc import Iterator
from pathlib import Path

from tagmaker.revisions.selection import Selection
from tagmaker.workflows import make as workflow
from tests.job_files import BOX, HEAD, UNIT, write_files
from tests.paths import ROOT

KILLS = 200
PROGRAM = (sys.executable, "-c", "from tagmaker.cli.begin import run; run()", "make", "--no-proof")
Set = dict[str, bytes]


def job(folder: Path, revision: int) -> Path:
    """A small job of a revision."""
    return write_files(folder, {"job.toml": f"{HEAD}revision = {revision}\n{BOX}{UNIT}"})


def contents(out: Path) -> Set | None:
    """The files of a set; None where there is not a folder."""
    if not out.exists():
        return None
    return {each.relative_to(out).as_posix(): each.read_bytes() for each in out.rglob("*") if each.is_file()}


def beside(out: Path) -> list[str]:
    """What stands beside OUT."""
    return sorted(each.name for each in out.parent.iterdir() if each.name != out.name)


def make(folder: Path, out: Path) -> bool:
    """A whole run here; whether it wrote its set."""
    return bool(workflow.make(folder, out, selection=Selection(proof=False)).files)


def begin(folder: Path, out: Path, *, is_forked: bool) -> int:
    """Begin a run in another process; its id."""
    if not is_forked:
        call = [*PROGRAM, str(folder), "-o", str(out)]
        return subprocess.Popen(call, cwd=ROOT, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL).pid
    child = os.fork()
    if child == 0:
        os._exit(int(not make(folder, out)))
    return child


def ended(child: int) -> int:
    """How a run ended: its exit code, negative where a signal ended it."""
    return os.waitstatus_to_exitcode(os.waitpid(child, 0)[1])


def kills(work: Path, count: int, *, is_forked: bool) -> Iterator[str]:
    """What each kill left: old or new, or in words what is wrong."""
    old, new = job(work / "old", 1), job(work / "new", 2)
    out = work / "place" / "out"
    sets: dict[str, Set | None] = {}
    for name, folder in (("new", new), ("old", old)):
        make(folder, out)
        sets[name] = contents(out)
    shutil.copytree(out, work / "kept")
    whole = min(_seconds(new, out, is_forked=is_forked) for _ in range(3))
    moments = random.Random(7)  # noqa: S311 — moments, no secrets
    for _ in range(count):
        shutil.rmtree(out.parent)
        shutil.copytree(work / "kept", out)
        child = begin(new, out, is_forked=is_forked)
        time.sleep(moments.uniform(0, whole))
        os.kill(child, signal.SIGKILL)
        was_killed = ended(child) < 0
        left = contents(out)
        named = next((name for name, files in sets.items() if files == left), "a mixture")
        done = make(new, out) and contents(out) == sets["new"]
        litter = beside(out)
        told = named if done and not litter else f"{named}, and then {litter or 'no set'}"
        yield told if was_killed else f"{told}, after the run had ended"


def _seconds(folder: Path, out: Path, *, is_forked: bool) -> float:
    """How long a whole run takes."""
    began = time.monotonic()
    ended(begin(folder, out, is_forked=is_forked))
    return time.monotonic() - began


def main(words: list[str]) -> None:
    """Print how often each thing was left."""
    numbers = [int(word) for word in words if word.isdigit()]
    work = Path(tempfile.mkdtemp(prefix="kills-"))
    counted = Counter(kills(work, *(numbers or [KILLS]), is_forked="forked" in words))
    shutil.rmtree(work)
    print(json.dumps(counted))  # noqa: T201 — the program's result


if __name__ == "__main__":
    main(sys.argv[1:])
