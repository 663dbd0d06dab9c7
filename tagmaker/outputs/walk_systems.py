"""The systems' sheets of walk.html: what each system's printed sheets say and ask, by sections."""

from msgspec import Struct

from tagmaker.catalog.words import Words
from tagmaker.job.model import Job
from tagmaker.plan.systems import SystemPlan
from tagmaker.sheets.system import system_screen
from tagmaker.tags.system_screen import ScreenPart, SectionKey, sections_of

__all__ = ["PageSystem", "page_system"]

ROWS = {"line", "shut"}
"""The first parts of names of fields of a pipe or a section, which box and unit follow."""


class PageSection(Struct, frozen=True):
    """A section of a system's sheets; the findings at each of its `places` are kept for themselves."""

    key: SectionKey
    title: str
    places: list[str]
    parts: list[ScreenPart]


class PageSystem(Struct, frozen=True):
    """A system; `box` is how names of its fields begin, as those of a box begin with its tag.

    `hardware` are its boxes' tags, each with its family and size.
    """

    box: str
    hardware: list[tuple[str, str]]
    system: str
    shown: str
    facts: tuple[str, ...]
    printed_for: str
    sections: list[PageSection]


def page_system(job: Job, system: SystemPlan, words: Words) -> PageSystem:
    """A system's sheets as the page has them."""
    screen = system_screen(job, system, words)
    sections = [_section(screen.sheet, title, parts) for title, parts in sections_of(screen.parts)]
    hardware = [(box.key, box.hardware) for box in system.boxes]
    head = (screen.sheet, hardware, screen.system, screen.title, screen.facts, screen.printed_for)
    return PageSystem(*head, sections)


def _section(sheet: str, title: ScreenPart, parts: list[ScreenPart]) -> PageSection:
    """A section with its places: a pipe or shut section each, else the first part of a field's name."""
    names = [asked.name.removeprefix(f"{sheet}/").split("/") for part in parts for asked in part.asked]
    places = dict.fromkeys("/".join(each[:-1]) if each[0] in ROWS else each[0] for each in names)
    return PageSection(title.section or "charge", title.text, list(places), parts)
