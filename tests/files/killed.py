"""A program that kills a commit before each of its steps in turn and prints what each kill left.

A step is whatever Python tells its audit hooks about files and folders: a file opened, a folder made,
moved or deleted, the library called that exchanges two folders. The kill is a real one, SIGKILL.
"""

import json
import os
import shutil
import signal
import sys
from collections.abc import Callable
from pathlib import Path
from unittest import mock

from tagmaker.files import output_set as commit_module
from tagmaker.files.output_set import open_output_set
from tagmaker.revisions.plan_file import read_manifest
from tests.files.sets import NEW, OLD, beside, commit, contents, put, whole

STEPS = {
    "open",
    "os.mkdir",
    "os.rename",
    "os.remove",
    "os.rmdir",
    "ctypes.dlopen",
    "ctypes.dlsym",
    "fcntl.flock",
}
STEPS_AT_MOST = 200
LAST = {"walk.pdf": "last walk"}


def main(out: Path, *, is_first: bool) -> None:
    """Print a line of JSON a step: OUT as the kill left it, as the next run found it, and at its end."""
    for step in range(STEPS_AT_MOST):
        shutil.rmtree(out.parent, ignore_errors=True)
        out.parent.mkdir(parents=True)
        if not is_first:
            put(out, whole(OLD))
        was_killed = kill_at(step, lambda: commit(out, NEW))
        left = contents(out)
        with open_output_set(out, read_manifest, partial=False):
            recovered = contents(out)
        commit(out, LAST)
        found = {"left": left, "recovered": recovered, "last": contents(out), "litter": beside(out)}
        print(json.dumps({"killed": was_killed, **found}))  # noqa: T201 — the program's result
        if not was_killed:
            break


def kill_at(step: int, work: Callable[[], object]) -> bool:
    """Do the work in a process of its own, killed before a step; False where it came to its end."""
    sys.stdout.flush()
    child = os.fork()
    if child == 0:
        left = [step]

        def hook(event: str, _arguments: object) -> None:
            if event in STEPS:
                left[0] -= 1
                if left[0] < 0:
                    os.kill(os.getpid(), signal.SIGKILL)

        sys.addaudithook(hook)
        work()
        os._exit(0)
    return os.WIFSIGNALED(os.waitpid(child, 0)[1])


if __name__ == "__main__":
    place, first = Path(sys.argv[1]), "first" in sys.argv
    if "journal" in sys.argv:
        with mock.patch.object(commit_module, "exchange", return_value=False):
            main(place, is_first=first)
    else:
        main(place, is_first=first)
