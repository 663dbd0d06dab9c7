"""A campus made on one core and on all, forked and started anew: seconds of clock and processors, the bytes.

Run: python -m tests.bench.cores [boxes] [rounds]. Ways alternate, and the quickest run of each counts: on a
machine with other work the clock says little. There the share of the work that was done alone says more: the
processor's seconds of the first process while no other was at work; with two cores at most half of the rest
is saved. Nothing here asserts.
"""

import hashlib
import os
import sys
import tempfile
from pathlib import Path

from tests.bench.campus import write_campus
from tests.bench.speed import Run, run

__all__ = ["main"]

ROUNDS = 3
MAKE = """
import atexit, sys, time
from tagmaker.workflows import cores, processes

way, beside, begun, end = sys.argv.pop(1), [], processes.begun, processes.Processes.end
cores.start_method = lambda: "fork" if way == "one" else way
cores.cores = (lambda: 1) if way == "one" else cores.cores

def noted_begun(*words):
    beside.append(-time.process_time())
    return begun(*words)

def noted_end(self):
    end(self)
    beside.append(time.process_time())

processes.begun, processes.Processes.end = noted_begun, noted_end
atexit.register(lambda: print(ALONE, f"{time.process_time() - sum(beside):.3f}"))
from tagmaker.cli.begin import run
run()
"""
ALONE = "seconds alone:"
WAYS = ("one", "fork", "spawn")


def made(job: Path, out: Path, way: str) -> tuple[Run, str]:
    """A whole run in one of the ways, and the digest of its set."""
    done = run("-c", MAKE.replace("ALONE", repr(ALONE)), way, "make", str(job), "-o", str(out))
    digest = hashlib.sha256()
    for path in sorted(out.iterdir()):
        digest.update(path.read_bytes())
    return done, digest.hexdigest()


def main(boxes: int, rounds: int) -> None:
    """The quickest of some rounds of each way, and each beside that on one core."""
    with tempfile.TemporaryDirectory() as name:
        job = write_campus(Path(name) / "job", boxes)
        runs = [{way: made(job, Path(name) / "out", way) for way in WAYS} for _ in range(rounds)]
    one = min(each["one"][0].wall for each in runs)
    least = min(each["one"][0].processor for each in runs)
    sys.stdout.write(f"{boxes} boxes, {len(os.sched_getaffinity(0))} cores\n")
    for way in WAYS:
        wall = min(each[way][0].wall for each in runs)
        processor = min(each[way][0].processor for each in runs)
        peak = max(each[way][0].peak_mb for each in runs)
        alone = min(float(each[way][0].told.rpartition(ALONE)[2]) for each in runs)
        told = f"{wall:8.2f} s, {wall / one:.2f} x, processors {processor:8.2f} s, {peak:.0f} MB"
        told += f", alone {alone:.2f} s: at best {(alone + (processor - alone) / 2) / least:.2f} x"
        sys.stdout.write(f"{way:6} {told}, {runs[0][way][1][:12]}\n")


if __name__ == "__main__":
    numbers = [int(each) for each in sys.argv[1:]]
    main(*numbers, *(50, ROUNDS)[len(numbers) :])
