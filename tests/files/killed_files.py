"""A program that kills the writing of single files before each of its steps, and prints what is left."""

import json
import os
import sys
from collections.abc import Callable
from pathlib import Path

from tagmaker.catalog.alignment import Alignment, alignment_file, keep_alignment
from tagmaker.files.write import write_file
from tests.files.killed import STEPS_AT_MOST, kill_at


def main(file: Path, old: Callable[[], object], new: Callable[[], object]) -> None:
    """Print a line of JSON a step: the file as the kill left it, and what stands there after the next run."""
    old()
    before = file.read_text(encoding="utf-8")
    for step in range(STEPS_AT_MOST):
        old()
        was_killed = kill_at(step, new)
        left = file.read_text(encoding="utf-8")
        new()
        after = file.read_text(encoding="utf-8")
        beside = sorted(each.name for each in file.parent.iterdir())
        row = {"killed": was_killed, "before": before, "left": left, "after": after, "beside": beside}
        print(json.dumps(row))  # noqa: T201 — the program's result
        if not was_killed:
            break


if __name__ == "__main__":
    folder = Path(sys.argv[2])
    if sys.argv[1] == "alignment":
        os.environ["XDG_CONFIG_HOME"] = str(folder)
        main(
            alignment_file(),
            lambda: keep_alignment("a4-21-63x38", Alignment(shift_x=1.0)),
            lambda: keep_alignment("a4-21-63x38", Alignment(shift_x=2.0)),
        )
    else:
        path = folder / "punch.pdf"
        main(path, lambda: write_file(path, b"old " * 99), lambda: write_file(path, b"new " * 99))
