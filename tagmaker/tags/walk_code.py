"""The code on each page of a verification sheet, written and read: which page of which sheet this paper is.

    WALK BOX PAGE/PAGES JOB REVISION DIGEST

such as `WALK BB-1 1/2 ML-24 P02 3F2A91C2`. The box is in capitals; a job without a number is "-". In a job's
number and in a revision every sign but letters, digits, "-", ".", "_" and "~" is percent-encoded (RFC 3986),
so that parts have no spaces; a number that is "-" is "%2D". The digest is the first 8 hexadecimal digits of
that of all that the sheet says of its box, so a page of an earlier plan is known as one.

Four solid squares, the position marks, are at the corners of each page: with the code, by which a photo is
turned upright, they let it be straightened.
"""

import re

from msgspec import Struct

from tagmaker.files.patterns import Pattern
from tagmaker.job.model import Job
from tagmaker.plan.model import BoxPlan
from tagmaker.tags.code_parts import PART, code_part, read_code_part
from tagmaker.tags.walk import Digests, digests

__all__ = ["MARK", "MARK_CLEAR", "MARK_EDGE", "WalkPage", "page_code", "read_page_code", "sheet_of"]

MARK = 5.0
"""Side of a position mark, mm."""
MARK_EDGE = 6.5
"""From the paper's edges to the position marks, mm."""
MARK_CLEAR = 2.5
"""Around a position mark without other ink, mm."""

DIGITS = 8  # of the digest
PAGES_AT_MOST = 999
CODE = Pattern(
    r"WALK (?P<box>[A-Z0-9][A-Z0-9-]*) (?P<page>[1-9]\d{0,2})/(?P<pages>[1-9]\d{0,2})"
    rf" (?P<job>{PART}) (?P<revision>{PART}) (?P<digest>[0-9A-F]{{8}})",
    re.ASCII,
)


class WalkPage(Struct, frozen=True):
    """A page of a box's sheet: its number of how many, the job's number (empty: none), revision, digest."""

    box: str
    page: int
    pages: int
    job: str
    revision: str
    digest: str

    @property
    def sheet(self) -> str:
        """How the names of its fields begin."""
        return self.box

    @property
    def shown(self) -> str:
        """Whose sheet it is, in words."""
        return f"walk sheet of {self.box}"


def sheet_of(job: Job, box: BoxPlan, pages: int, known: Digests | None = None) -> WalkPage:
    """The first of so many pages of a box's sheet; `known` are its digests where they were asked for."""
    planned = known or digests(job, box)
    return WalkPage(box.row.key, 1, pages, job.number, job.revision, planned.whole[:DIGITS])


def page_code(page: WalkPage) -> str:
    """The text of a page's code."""
    job, revision = code_part(page.job), code_part(page.revision)
    return f"WALK {page.box} {page.page}/{page.pages} {job} {revision} {page.digest}"


def read_page_code(text: str) -> WalkPage | None:
    """The page of which this is the code; None for any other text."""
    match = CODE.fullmatch(text)
    if match is None:
        return None
    page, pages = int(match["page"]), int(match["pages"])
    try:
        number, revision = read_code_part(match["job"]), read_code_part(match["revision"])
    except UnicodeDecodeError:
        return None
    return WalkPage(match["box"], page, pages, number, revision, match["digest"]) if page <= pages else None
