"""Paper for the smallest bad jobs: their sheets printed, marked where a code asks for it, and scanned."""

from collections.abc import Mapping
from pathlib import Path

import msgspec
from PIL import Image, ImageDraw

from tagmaker.problems import Problem
from tagmaker.revisions.form_pages import FieldPlace
from tagmaker.revisions.plan_file import read_form_pages
from tagmaker.revisions.selection import Selection
from tagmaker.site.paper.typed import TYPED_FORMAT, TypedEntry, TypedFile
from tagmaker.symbols.read import page_pictures
from tagmaker.workflows import make
from tagmaker.workflows.readback import readback

__all__ = ["PAPER", "returned_on_paper"]

PAPER: Mapping[str, str] = {
    "paper-unread": "",
    "paper-missing": "",
    "paper-unclear": "BX-1/item/power",
    "paper-handwriting": "BX-1/port/A/note",
    "paper-typed": "",
}
"""The codes of paper that came back, with the field of the first page in which there is a small stroke.

What is typed of a picture comes back without its paper.
"""
DOTS = 8  # a millimetre


def returned_on_paper(code: str, job: Path) -> tuple[Problem, ...]:
    """What `readback` finds where the first page of a job's walk comes back so; for one code it is white."""
    made = make.make(job, Path("out"), Selection(proof=False))
    pages = read_form_pages(Path("out"))
    if not made.files or isinstance(pages, Problem):
        raise ValueError(f"{job} makes no set")
    walk = (Path("out") / "walk.pdf").read_bytes()
    picture = next(page_pictures(walk, DOTS * 25.4, only=[1]))
    if code == "paper-unread":
        picture = Image.new("L", (100, 100), 255)
    elif PAPER[code]:
        _stroke(picture, pages.pages[0].fields[PAPER[code]])
    (job / "returned").mkdir()
    if code == "paper-typed":
        entry = TypedEntry("0" * 64, "BX-1/port/A/note", "wet", "J. Moss", "2026-06-03T09:30:00Z")
        entries = msgspec.json.encode(TypedFile(TYPED_FORMAT, (entry,)))
        (job / "returned" / "typed.json").write_bytes(entries)
        return tuple(readback([job / "returned"], job, [Path("out")]).problems)
    picture.save(job / "returned" / "page.png")
    return tuple(readback([job / "returned"], job, [Path("out")]).problems)


def _stroke(picture: Image.Image, place: FieldPlace) -> None:
    """A short stroke in the middle of a field."""
    x, y = (place.x_mm + place.width_mm / 2) * DOTS, (place.y_mm + place.height_mm / 2) * DOTS
    ImageDraw.Draw(picture).line((x, y, x + 10, y + 8), 20, 5)
