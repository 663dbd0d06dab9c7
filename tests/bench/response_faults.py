"""Ten thousand seeded faults of a response test: named exactly, left unclear, or wrong.

Run: python -m tests.bench.response_faults [faults] [boxes of twelve ports] [used ports a box]
"""

import random
import sys
import time
from collections import Counter

from tests.site.response.faults import Site, misread, outcome, outcome_of_units, seeded_fault, site

__all__ = ["trial"]

SHOWN = 40
"""Seeds of wrong outcomes in a line."""


def trial(of: Site, seed: int, misreadings: int, *, stubs: bool = True) -> str:
    """The outcome of one seeded fault with so many wrong readings in the system."""
    rng = random.Random(seed)  # noqa: S311 — a fault, nothing secret
    cables, pipes = seeded_fault(of, rng)
    table = of.read(cables, pipes)
    if not stubs:
        table = {key: readings for key, readings in table.items() if key[2]}
    misread(table, rng.sample(sorted(table), misreadings), rng)
    judge = outcome if stubs else outcome_of_units
    return judge(of, of.judge(table), cables, pipes)


def main(faults: int = 10_000, boxes: int = 3, used: int = 8) -> None:
    """Print a line for each number of misreadings, with stubs read and not, and the seeds that are wrong."""
    of = site(*([used] * boxes), shared=5)
    sys.stdout.write(f"{len(of.calls.ports)} used ports, {of.calls.rounds} rounds, {faults} faults each\n")
    for stubs in (True, False):
        for misreadings in (0, 1, 2):
            start = time.process_time()
            outcomes = [trial(of, seed, misreadings, stubs=stubs) for seed in range(faults)]
            counted = Counter(outcomes)
            counts = ", ".join(f"{each} {counted[each]}" for each in ("exact", "unclear", "wrong"))
            wrong = [seed for seed, each in enumerate(outcomes) if each == "wrong"]
            seconds = time.process_time() - start
            read = "read" if stubs else "not read"
            sys.stdout.write(
                f"stubs {read}, {misreadings} misread: {counts} {wrong[:SHOWN]}, {seconds:.0f} s\n"
            )
            sys.stdout.flush()


if __name__ == "__main__":
    main(*map(int, sys.argv[1:]))
