"""Labels by this program and by what an engineer would take in its place, in one run.

Run: pip install -e .[bench], then python -m tests.bench.labels [boxes]; 178 boxes have 10,000 labels. Each
tool is a process of its own, in turn, so that all have the same neighbours; figures are medians of seconds of
processors, starts included. The others (`label_tools.py`) are given texts and sizes; this program reads the
job, checks, plans and fits, and writes the register too. Nothing here asserts: machines differ.
"""

import json
import sys
import tempfile
from pathlib import Path
from statistics import median

from tagmaker.catalog.words import load_words
from tagmaker.draw.pdf import draw_pdf
from tagmaker.job.read import read_job
from tagmaker.outputs.register import register_csv
from tagmaker.plan.model import Plan
from tagmaker.plan.plan_job import plan_job
from tagmaker.sheets.label_cache import fit_cached
from tagmaker.sheets.place import place_labels, stock_of, tag_pages
from tagmaker.tags.kits import box_tags
from tagmaker.typeset.fonts import all_faces
from tests.bench.campus import write_campus
from tests.bench.label_tools import TOOLS
from tests.bench.speed import run

__all__ = ["by_tagmaker", "main", "texts_of"]

BOXES, ROUNDS = 178, 3
OURS = "import gc, sys; gc.disable(); from pathlib import Path; from tests.bench.labels import by_tagmaker; "
OURS += "by_tagmaker(Path(sys.argv[1]), Path(sys.argv[2]))"


def planned(folder: Path) -> Plan:
    """A job's plan."""
    job, _ = read_job(folder)
    if job is None:
        raise ValueError(folder)
    return plan_job(job)[0]


def texts_of(folder: Path) -> list[dict[str, str]]:
    """What is on each label of a job, for those who are given it."""
    plan, words = planned(folder), load_words()
    return [
        {
            "code": tag.code,
            "port": tag.port,
            "box": tag.box_shown,
            "kind": tag.headline,
            "unit": ", ".join(tag.units),
        }
        for box in plan.boxes
        for tag in box_tags(plan.job, box, words)
    ]


def by_tagmaker(job: Path, out: Path) -> None:
    """From the job's files to a PDF and the register."""
    plan, words = planned(job), load_words()
    job_of = plan.job
    tags = [tag for box in plan.boxes for tag in box_tags(job_of, box, words)]
    fitted = [fit_cached(tag, stock_of(job_of, tag), words)[0] for tag in tags]
    placed = place_labels([label for label in fitted if label], job_of)
    out.write_bytes(draw_pdf("", "", tag_pages(placed), all_faces()))
    out.with_suffix(".csv").write_bytes(register_csv(placed))


def main(boxes: int) -> None:
    """Each tool in turn, some rounds; milliseconds and bytes a label."""
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        job, texts = write_campus(folder / "job", boxes), folder / "texts.json"
        found = texts_of(job)
        texts.write_text(json.dumps(found))
        taken: dict[str, list[float]] = {}
        for _ in range(ROUNDS):
            ours = run("-c", OURS, str(job), str(folder / "tagmaker.pdf"))
            taken.setdefault("tagmaker", []).append(ours.processor)
            for tool in TOOLS:
                other = run("-m", "tests.bench.label_tools", tool, str(texts), str(folder / f"{tool}.pdf"))
                taken.setdefault(tool, []).append(other.processor)
        for tool, seconds in taken.items():
            _tell(tool, seconds, (folder / f"{tool}.pdf").stat().st_size, len(found))


def _tell(tool: str, seconds: list[float], size: int, count: int) -> None:
    rounds = ", ".join(f"{each / count * 1000:.3f}" for each in seconds)
    a_label = f"{median(seconds) / count * 1000:.3f} ms a label of {count} ({rounds})"
    sys.stdout.write(f"{tool:<10} {a_label}, {size / count:.0f} bytes\n")


if __name__ == "__main__":
    main(int(sys.argv[1]) if sys.argv[1:] else BOXES)
