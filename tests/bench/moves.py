"""Time from a move to what a page shows of it: planned, compared with a set, and its boxes drawn.

Run: python -m tests.bench.moves [boxes]. Of a campus of so many boxes (14 and 500 unless given), of which a
set was issued; the aims are 0.1 s and 1 s. Seconds are the processor's, which other work does not change.
"""

import statistics
import sys
import tempfile
import time
from pathlib import Path

from tagmaker.revisions.plan_file import PLAN_FILE
from tagmaker.revisions.plan_pieces import plan_json
from tagmaker.revisions.selection import WHOLE
from tagmaker.workflows.boxes import box_picture, placed_problems
from tagmaker.workflows.edit_kinds import Move
from tagmaker.workflows.kept_plan import KeptPlan, kept_plan
from tagmaker.workflows.moves import Tried, try_moves
from tests.bench.campus import write_campus

__all__ = ["timed"]

TRIES = 9


def timed(folder: Path, boxes: int) -> tuple[float, float]:
    """Processor seconds of the first move of a campus, when its set is read; the median of those after it."""
    job = write_campus(folder / "campus", boxes)
    kept = kept_plan(job)
    assert isinstance(kept, KeptPlan)
    (folder / PLAN_FILE).write_bytes(plan_json(kept.issued, {}, [], WHOLE))
    seconds = [
        _seconds(job, folder, Move(f"FC-{number}", f"BB-{boxes}", "B")) for number in range(1, TRIES + 1)
    ]
    return seconds[0], statistics.median(seconds[1:])


def _seconds(job: Path, earlier: Path, move: Move) -> float:
    before = time.process_time()
    _shown(try_moves(job, [move], earlier))
    return time.process_time() - before


def _shown(tried: Tried) -> None:
    """All that a page shows of a move."""
    assert tried.after
    assert placed_problems(tried.after) is not None
    assert all(box_picture(tried.after, key) for key in tried.boxes)


if __name__ == "__main__":
    for count in map(int, sys.argv[1:] or ("14", "500")):
        with tempfile.TemporaryDirectory() as place:
            first, rest = timed(Path(place), count)
        print(f"{count} boxes: the first move {first:.3f} s, each after it {rest:.3f} s")  # noqa: T201
