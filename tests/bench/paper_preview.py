"""How long a page of the desk's paper takes: the page and its picture, for a job as it is.

Run: python -m tests.bench.paper_preview JOB. Prints the seconds of the first page, of the layout, of one page
of each document, of its second look, and the largest memory of the desk in MB.
"""

import re
import resource
import shutil
import sys
import tempfile
import time
from pathlib import Path

from tests.desk.running import RunningDesk, running_desk

PICTURE = re.compile(r'(?:<image href|<img class="page" src)="([^"]+)"')
FILE = re.compile(r"[?&]file=([^&#\"]+)")


def seconds(desk: RunningDesk, path: str) -> tuple[float, float, str]:
    """Of a page and of its picture, and the page's text."""
    began = time.perf_counter()
    text = desk.get(path).text
    shown = time.perf_counter()
    if picture := PICTURE.search(text):
        desk.get(picture[1].replace("&amp;", "&"))
    return shown - began, time.perf_counter() - shown, text


def measure(job: Path, work: Path) -> None:
    """Print what it takes."""
    shutil.copytree(job, work / "jobs" / job.name)
    with running_desk(work / "jobs", work / "received") as desk:
        path = f"{desk.job(job.name)}/paper"
        began = time.perf_counter()
        first, _, text = seconds(desk, path)
        while "data-work" in text:
            time.sleep(0.1)
            _, _, text = seconds(desk, path)
        sys.stdout.write(f"first page {first:.2f} s, laid out after {time.perf_counter() - began:.1f} s\n")
        for file in dict.fromkeys(FILE.findall(text)):
            for look in ("first", "second"):
                page, picture, _ = seconds(desk, f"{path}?file={file}&page=2")
                sys.stdout.write(f"{file}, {look} look: page {page:.3f} s, picture {picture:.3f} s\n")
    sys.stdout.write(f"largest memory {resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024:.0f} MB\n")


if __name__ == "__main__":
    with tempfile.TemporaryDirectory() as folder:
        measure(Path(sys.argv[1]).resolve(), Path(folder))
