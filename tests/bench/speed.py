"""How fast a campus is made, beside a plain loop that prints the same, in one run.

Run: python -m tests.bench.speed [boxes]. Seconds are of one processor unless they are called wall; a ratio
compares two figures of this run. Nothing here asserts: machines and neighbours differ.
"""

import os
import re
import subprocess
import sys
import tempfile
import time
from dataclasses import dataclass
from itertools import pairwise
from pathlib import Path
from statistics import median

from tagmaker.catalog.words import load_words
from tagmaker.draw.pdf import draw_pdf
from tagmaker.job.read import read_job
from tagmaker.outputs.register import register_csv
from tagmaker.plan.plan_job import plan_job
from tagmaker.sheets.label_cache import fit_cached
from tagmaker.sheets.place import place_labels, stock_of, tag_pages
from tagmaker.tags.kits import box_tags
from tagmaker.typeset.fonts import all_faces
from tests.bench.campus import write_campus
from tests.bench.replay import Replay, taken
from tests.paths import ROOT

__all__ = ["main", "tell_tags"]

FEW = 50
COLD_RUNS = 15
TAGMAKER = "from tagmaker.cli.begin import run; run()"
TAGS = "import gc; gc.disable(); from tests.bench.speed import tell_tags; import sys; tell_tags(sys.argv[1])"


@dataclass(frozen=True)
class Run:
    """What a process took: seconds on the clock and of processors (children's too), and its peak memory."""

    wall: float
    processor: float
    peak_mb: float
    told: str


def run(*arguments: str) -> Run:
    """Python with these arguments, by itself; the peak is the largest of all its processes."""
    kept = {key: value for key, value in os.environ.items() if key != "PYTHONDONTWRITEBYTECODE"}
    start = time.perf_counter()
    with tempfile.TemporaryFile("w+") as out:
        process = subprocess.Popen([sys.executable, *arguments], cwd=ROOT, env=kept, stdout=out, stderr=out)
        _, status, usage = os.wait4(process.pid, 0)
        wall = time.perf_counter() - start
        process.returncode = os.waitstatus_to_exitcode(status)  # so that it is not waited for again
        out.seek(0)
        told = out.read()
    if process.returncode:
        raise RuntimeError(told)
    return Run(wall, usage.ru_utime + usage.ru_stime, usage.ru_maxrss / 1024, told)


def make(job: Path, out: Path, *options: str) -> Run:
    """`tagmaker make`, in a process of its own."""
    return run("-c", TAGMAKER, "make", str(job), "-o", str(out), *options)


def cold(commands: dict[str, tuple[str, ...]]) -> dict[str, float]:
    """Medians of a processor's seconds of starts, all compiled; in turns, as neighbours come and go."""
    taken: dict[str, list[float]] = {name: [] for name in commands}
    for turn in range(COLD_RUNS + 1):
        for name, words in commands.items():
            seconds = run("-c", *words).processor
            if turn:  # the first one compiles
                taken[name].append(seconds)
    return {name: median(each) for name, each in taken.items()}


def printed_again(out: Path) -> Replay:
    """The documents of a set drawn again."""
    again = Replay()
    for path in sorted(out.glob("*.pdf")):
        again.document(taken(path))
    return again


def _tell(what: str, figure: float, unit: str, told: str = "") -> None:
    sys.stdout.write(f"{what:<58} {figure:10.3f} {unit}{told and '   ' + told}\n")
    sys.stdout.flush()


def tell_tags(folder: str) -> None:
    """The tags alone, stage by stage, on one core: laid out with their codes, placed, drawn, registered."""
    job, _ = read_job(Path(folder))
    if job is None:
        raise ValueError(folder)
    plan, _ = plan_job(job)
    words, ticks = load_words(), [time.process_time()]
    tags = [tag for box in plan.boxes for tag in box_tags(job, box, words)]
    fitted = [fit_cached(tag, stock_of(job, tag), words)[0] for tag in tags]
    labels = [label for label in fitted if label]
    ticks.append(time.process_time())
    placed = place_labels(labels, job)
    pages = list(tag_pages(placed))
    ticks.append(time.process_time())
    draw_pdf("", "", pages, all_faces())
    ticks.append(time.process_time())
    register_csv(placed)
    ticks.append(time.process_time())
    for name, (start, end) in zip(
        ("laid out", "placed", "drawn", "registered"), pairwise(ticks), strict=True
    ):
        _tell(f"a tag alone, {name}", (end - start) / len(placed) * 1000, "ms")
    whole_ms = (ticks[-1] - ticks[0]) / len(placed) * 1000
    _tell(f"a tag alone, of {len(placed)}", whole_ms, "ms", f"on two cores {whole_ms / 2:.3f}; at most 0.15")


def whole(folder: Path, boxes: int) -> None:
    """A whole campus with and without proof, beside the plain loop; then memory and growth."""
    job, few = write_campus(folder / "all", boxes), write_campus(folder / "few", FEW)
    plain = make(job, folder / "out", "--no-proof")
    small = make(few, folder / "few-out", "--no-proof")
    proved = make(job, folder / "out")
    again = printed_again(folder / "out")
    tags = (folder / "out" / "register.csv").read_text().count("\n") - 1
    _tell(f"the plain loop, {tags} tags, {again.codes} codes", again.seconds, "s", f"wall {again.wall:.2f} s")
    for name, each, aim in (("--no-proof", plain, 0.35), ("proved", proved, 1.0)):
        _tell(f"make of {boxes} boxes, {name}", each.processor, "s", f"wall {each.wall:.2f} s")
        ratio = each.processor / again.seconds
        _tell("  of the plain loop", ratio, "x", f"wall {each.wall / again.wall:.3f} x, at most {aim}")
        _tell("  peak memory", each.peak_mb, "MB", "at most 300")
    _tell("whole make, a tag", plain.processor / tags * 1000, "ms", f"wall {plain.wall / tags * 1000:.3f} ms")
    _tell(f"a box of {FEW}", small.processor / FEW * 1000, "ms", f"wall {small.wall / FEW * 1000:.1f} ms")
    growth = plain.processor / boxes / (small.processor / FEW)
    wall = plain.wall / boxes * 1000
    _tell(f"a box of {boxes}", growth * small.processor / FEW * 1000, "ms", f"wall {wall:.1f} ms")
    _tell("  of a box among few", growth, "x", f"wall {wall / (small.wall / FEW * 1000):.3f} x, at most 1.1")


def starts(folder: Path) -> None:
    """Cold starts beside the imports that they cannot do without."""
    job, out = str(write_campus(folder / "one", 1)), str(folder / "one-out")
    part = ("-o", f"{out}-part", "--only", "BB-1/A", "--no-proof")
    seconds = cold(
        {
            "make of one box, --no-proof": (TAGMAKER, "make", job, "-o", out, "--no-proof"),
            "make of one box, proved": (TAGMAKER, "make", job, "-o", out),
            "make of one port of it": (TAGMAKER, "make", job, *part),
            "check": (TAGMAKER, "check", job),
            "switches": (TAGMAKER, "switches", job),
            "--help": (TAGMAKER, "--help"),
            "two imports": ("import reportlab.pdfgen.canvas, typer",),
            "import typer": ("import typer",),
        }
    )
    for name, each in seconds.items():
        libraries, typer = each / seconds["two imports"], each / seconds["import typer"]
        _tell(f"{name}, a start", each, "s", f"{libraries:.2f} x two imports, {typer:.2f} x import typer")


def main(boxes: int) -> None:
    """All figures."""
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        starts(folder)
        sys.stdout.write(run("-c", TAGS, str(write_campus(folder / "tags", boxes))).told)
        whole(folder, boxes)


if __name__ == "__main__":
    main(int(re.sub(r"\D", "", sys.argv[1])) if sys.argv[1:] else FEW)
