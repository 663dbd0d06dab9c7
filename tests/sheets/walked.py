"""Verification sheets for tests: made, their fields, and their switches as printed."""

from dataclasses import dataclass

from tagmaker.catalog.family import Family
from tagmaker.catalog.walk_items import WalkItem, walk_items
from tagmaker.draw.marks import Field, Text
from tagmaker.problems import Problem
from tagmaker.sheets.walk import walk_pages
from tests.records import replace
from tests.sheets.printed import TOUCH, Pages, faultless, printed_pages
from tests.strategies import JobSketch, first_box, words

__all__ = ["Items", "fields_of", "pages_in_order", "pages_of", "switches_of", "too_small"]

Items = tuple[WalkItem, ...]


def pages_of(
    sketch: JobSketch, family: Family | None = None, *, blind: bool = False, items: Items = (), site: str = ""
) -> tuple[Pages, tuple[Problem, ...]]:
    """The verification sheet of a job's first box."""
    job = replace(sketch.record(family), walk_items=(*walk_items(), *items), site=site)
    return walk_pages(job, first_box(job), words(), blind=blind)


def pages_in_order(sketch: JobSketch, family: Family | None = None) -> Pages:
    """A verification sheet that must fit and read back without a fault."""
    return faultless(*pages_of(sketch, family), margin_mm=6.35)


def fields_of(pages: Pages) -> list[Field]:
    """What is to be filled in, in drawing order."""
    return [mark for page in pages for mark in page.marks if isinstance(mark, Field)]


@dataclass(frozen=True)
class Printed:
    """A switch as printed: its two boxes, and the word below them, whether it is white on black."""

    on: Field
    off: Field
    plan: str
    is_black: bool


def switches_of(pages: Pages) -> dict[str, Printed]:
    """Every switch by the name of its ON box."""
    found: dict[str, Printed] = {}
    for page in pages:
        boxes = {mark.name: mark for mark in fields_of((page,))}
        words_below = [mark for mark in page.marks if isinstance(mark, Text) and mark.text in PLANS]
        for name, off in boxes.items():
            if name.endswith("/off"):
                on = boxes[name.removesuffix("/off")]
                lower = max(on, off, key=lambda each: each.y)
                below = [mark for mark in words_below if is_below(mark, lower)]
                plan = min(below, key=lambda mark: mark.y, default=None)
                found[on.name] = Printed(on, off, plan.text if plan else "", bool(plan and plan.ink))
    return found


PLANS = {"ON", "OFF", "any"}


def is_below(text: Text, box: Field) -> bool:
    """Whether a centred text stands in the 8 mm under a box."""
    under = box.y + box.height
    return abs(text.x - box.x - box.width / 2) < 0.5 and under < text.y < under + 8


def too_small(pages: Pages) -> list[str]:
    """Texts whose capitals are lower than 2.3 mm, as read back from the PDF."""
    lines = (text for page in printed_pages(pages) for text in page)
    return [text.text for text in lines if text.capital_mm and text.capital_mm < 2.3 - TOUCH]
