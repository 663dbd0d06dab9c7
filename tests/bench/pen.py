"""How ticks of pens are read on photos and scans of walk sheets, by kind of mark; and what a page takes.

Run: python -m tests.bench.pen [pages] [job]

The sheets are rendered by pdftoppm, drawn on and photographed with OpenCV: the reader shares no code with
either. Every second switch or so is walked: one of its two boxes is marked. One mark in twelve is of a kind
that could mean two things, and lines are written on in words.
"""

import io
import resource
import subprocess
import sys
import tempfile
import time
from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from pathlib import Path

import cv2
import numpy as np
from msgspec import Struct
from numpy.typing import NDArray

from tagmaker.revisions.form_pages import FieldPlace, FormPage
from tagmaker.revisions.selection import Selection
from tagmaker.site.paper.pages import read_picture
from tagmaker.site.paper.readings import PageReading
from tagmaker.symbols.read import open_picture, page_pictures
from tagmaker.workflows import make
from tagmaker.workflows.readback_pages import PrintedSets
from tests.bench.pen_camera import SCAN_DPI, Photo, photographed, scanned
from tests.bench.pen_strokes import CLEAR, DOUBTFUL, PENS, Field, Ink, Mark, draw, write
from tests.paths import ROOT

__all__ = ["Filled", "Printed", "filled_in", "is_box", "print_set", "trial"]

RENDERED_DPI = 300
DOUBTFUL_SHARE = 1 / 12
WRITTEN_SHARE = 0.3
BLANK = ("blank", "")
Truth = Mapping[str, tuple[str, str]]
"""By a box's name the mark drawn for it, or "blank", and the pen."""


class Printed(Struct, frozen=True):
    """A set's walk pages with their pictures as printed."""

    sets: PrintedSets
    pages: tuple[FormPage, ...]
    pictures: tuple[NDArray[np.uint8], ...]


class Filled(Struct, frozen=True):
    """A page filled in: its picture, what each box means, and the lines that are written on."""

    picture: NDArray[np.uint8]
    truth: Truth
    written: frozenset[str]


def print_set(job: Path, folder: Path) -> Printed:
    """A job's set with the pictures of its walk sheets, as paper has them: without what screens show."""
    made = make.make(job, folder / "set", Selection(proof=False))
    sets = PrintedSets()
    if not made.files or sets.add(folder / "set"):
        raise ValueError(f"{job} makes no set")
    dots = ["-r", str(RENDERED_DPI), "-hide-annotations", "-png"]
    subprocess.run(["pdftoppm", *dots, folder / "set" / "walk.pdf", folder / "page"], check=True)
    files = sorted(folder.glob("page-*.png"))
    every = [page for pages in sets.pages.by_code.values() for page in pages]
    pages = tuple(page for page in every if page.file == "walk.pdf")
    return Printed(sets, pages, tuple(cv2.imread(str(file)) for file in files))  # type: ignore[misc]


def is_box(place: FieldPlace) -> bool:
    """Whether a field is a box to tick: they alone are square."""
    return place.width_mm == place.height_mm


def filled_in(
    printed: Printed, number: int, chance: np.random.Generator, doubtful: float = DOUBTFUL_SHARE
) -> Filled:
    """A page filled in with one pen: most switches, half of all other boxes, some lines."""
    page = printed.pages[number]
    ink = Ink(printed.pictures[number].copy(), RENDERED_DPI / 25.4, chance)
    pen = list(PENS)[int(chance.integers(len(PENS)))]
    places = {name: Field(p.x_mm, p.y_mm, p.width_mm, p.height_mm) for name, p in page.fields.items()}
    boxes = {name: places[name] for name, place in page.fields.items() if is_box(place)}
    truth: dict[str, tuple[str, str]] = dict.fromkeys(boxes, BLANK)
    for name in boxes:
        if name.endswith("/off"):
            continue
        pair = [each for each in (name, f"{name}/off") if each in boxes]
        if chance.random() > (0.95 if len(pair) > 1 else 0.5):
            continue
        mark = _mark(chance, doubtful, is_switch=len(pair) > 1)
        where = pair[int(chance.integers(len(pair)))]
        if mark == "beside" and not _has_white(boxes[where], places.values()):
            mark = "dot"
        if mark == "across":
            where = min(pair, key=lambda each: boxes[each].y)
            truth |= dict.fromkeys(pair, (mark, pen))
        truth[where] = (mark, pen)
        draw(ink, mark, boxes[where], PENS[pen])
    empty = (name for name in places if name not in boxes and truth.get(_beside(name), BLANK) == BLANK)
    lines = [name for name in empty if chance.random() < WRITTEN_SHARE]
    write(ink, [places[name] for name in lines], PENS["ball pen, blue"])
    return Filled(ink.page, truth, frozenset(lines))


def _beside(line: str) -> str:
    """The box for "correct" beside a line for the unit that was found: one of the two is filled in."""
    return f"{line.removesuffix('/found')}/ok"


def _mark(chance: np.random.Generator, doubtful: float, *, is_switch: bool) -> Mark:
    kinds = DOUBTFUL if chance.random() < doubtful else CLEAR
    mark = kinds[int(chance.integers(len(kinds)))]
    return mark if is_switch or mark != "across" else "dot"


def _has_white(box: Field, places: Iterable[Field]) -> bool:
    """Whether the paper left of a box is free: nobody marks within another field."""
    left = Field(box.x - box.width, box.y, box.width * 0.9, box.height)
    return not any(
        place.x < left.x + left.width
        and left.x < place.x + place.width
        and place.y < left.y + left.height
        and left.y < place.y + place.height
        for place in places
    )


class Read(Struct, frozen=True):
    """A page's reading as the bench counts it; `reading` is None where the page was refused."""

    medium: str
    filled: Filled
    reading: PageReading | None
    seconds: float


def trial(printed: Printed, seed: int, doubtful: float = DOUBTFUL_SHARE) -> Read:
    """A page filled in, photographed or scanned, and read: two photos, then a scan."""
    chance = np.random.default_rng([16, seed])
    number = seed % len(printed.pages)
    filled = filled_in(printed, number, chance, doubtful)
    size, quarter = printed.pages[number].size_mm, int(chance.integers(4))
    if seed % 3 == 2:
        content = scanned([filled.picture], size, [quarter], chance)
    else:
        photo = Photo(
            quarter=quarter,
            long_side=int(chance.choice([3264, 3648, 4000])),
            quality=int(chance.integers(72, 93)),
        )
        content = photographed(filled.picture, size, photo, chance)
    start = time.process_time()
    if seed % 3 == 2:
        (picture,) = page_pictures(content, SCAN_DPI)
    else:
        picture = open_picture(content)
    pages = [page for page in read_picture(picture, printed.sets.pages) if isinstance(page, PageReading)]
    seconds = time.process_time() - start
    return Read("scan" if seed % 3 == 2 else "photo", filled, pages[0] if pages else None, seconds)


# --- counting -----------------------------------------------------------------------------------------------


class Counts(Struct):
    """What all pages come to: readings by mark, medium and pen; false ticks; pages that were refused."""

    readings: Counter[tuple[str, str, str, str]]
    false: Counter[str]
    empty: Counter[str]
    refused: int = 0
    written: int = 0
    missed: int = 0
    invented: int = 0
    seconds: list[float] = []

    def add(self, read: Read) -> None:
        """Count a page."""
        if read.reading is None:
            self.refused += 1
            return
        self.seconds.append(read.seconds)
        for name, (mark, pen) in read.filled.truth.items():
            tick = read.reading.ticks[name]
            self.readings[mark, read.medium, pen, tick] += 1
            what = "proofs" if name.endswith("/proved") else "switches" if _is_switch(name) else "others"
            if mark == "blank":
                self.empty[what] += 1
                self.false[what] += tick == "ticked"
        self.written += len(read.filled.written)
        self.missed += len(read.filled.written - set(read.reading.written))
        self.invented += len(set(read.reading.written) - read.filled.written)

    def share(self, marks: Sequence[str], ticks: Sequence[str], medium: str = "") -> tuple[int, int]:
        """How many boxes with these marks were read so, and how many there are."""
        chosen = {key: n for key, n in self.readings.items() if key[0] in marks and key[1].startswith(medium)}
        return sum(n for key, n in chosen.items() if key[3] in ticks), sum(chosen.values())


def _is_switch(name: str) -> bool:
    return name.removesuffix("/off").rpartition("/")[2].isdigit()


def report(counts: Counts) -> str:
    """The tables: clear marks and blank boxes, doubtful marks, false ticks, times."""
    out = io.StringIO()
    out.write(f"{len(counts.seconds)} pages read, {counts.refused} refused\n")
    out.write(f"{'mark':<16}{'medium':<8}{'boxes':>7}{'ticked':>8}{'blank':>8}{'unclear':>9}\n")
    for mark in ("blank", *CLEAR, *DOUBTFUL):
        for medium in ("photo", "scan"):
            row = [
                counts.share([mark], ticks, medium)[0]
                for ticks in (["ticked"], ["blank"], ["unclear", "unseen"])
            ]
            out.write(f"{mark:<16}{medium:<8}{sum(row):>7}{row[0]:>8}{row[1]:>8}{row[2]:>9}\n")
    for pen in PENS:
        of_pen = {key: n for key, n in counts.readings.items() if key[2] == pen and key[0] in CLEAR}
        right = sum(n for key, n in of_pen.items() if key[3] == "ticked")
        out.write(f"{pen}: {right} of {sum(of_pen.values())} ticks read\n")
    right = counts.share(CLEAR, ["ticked"])[0] + counts.share(["blank"], ["blank"])[0]
    wrong = counts.share(CLEAR, ["blank"])[0] + counts.share(["blank"], ["ticked"])[0]
    every = counts.share([*CLEAR, "blank"], [])[1]
    out.write(
        f"right {right / every:.3%}, wrong {wrong / every:.4%} of {every} boxes with clear marks or none\n"
    )
    for what in ("switches", "proofs", "others"):
        out.write(f"false ticks on {what}: {counts.false[what]} of {counts.empty[what]} blank boxes\n")
    out.write(f"lines with words: {counts.written}, of them not found {counts.missed}; ")
    out.write(f"empty lines taken for written {counts.invented}\n")
    times = sorted(counts.seconds)
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    out.write(f"a page: median {times[len(times) // 2]:.2f} s, longest {times[-1]:.2f} s of processors; ")
    out.write(f"largest process {peak:.0f} MB, the drawing of pages included\n")
    return out.getvalue()


def main(pages: int = 150, job: str = "clinic") -> None:
    """Print the tables of so many pages."""
    counts = Counts(Counter(), Counter(), Counter(), seconds=[])
    with tempfile.TemporaryDirectory() as folder:
        printed = print_set(ROOT / "example_jobs" / job, Path(folder))
        for seed in range(pages):
            counts.add(trial(printed, seed))
    sys.stdout.write(report(counts))


if __name__ == "__main__":
    main(*(kind(word) for kind, word in zip((int, str), sys.argv[1:], strict=False)))
