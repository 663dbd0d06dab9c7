"""The code on each page of a system's first days, written and read: which page of which sheet this paper is.

    DAYS SYSTEM PAGE/PAGES JOB REVISION SCALE SHEETS

such as `DAYS HR-1 1/2 ML-24 P02 F 5D20A1B7`. SCALE is that of its temperatures, F or C. SHEETS is the digest
of all texts and places on its pages, so that paper of another layout is never read by these places. In other
parts every sign but letters, digits, "-", ".", "_" and "~" is percent-encoded (RFC 3986); a number that is
not given is "-", one that is "-" is "%2D".
"""

import re

from msgspec import Struct

from tagmaker.tags.code_parts import PART, code_part, read_code_part
from tagmaker.tags.first_days import Scale

__all__ = ["DaysPage", "days_page_code", "read_days_code"]

CODE = re.compile(
    rf"DAYS (?P<system>{PART}) (?P<page>[1-9]\d{{0,2}})/(?P<pages>[1-9]\d{{0,2}})"
    rf" (?P<job>{PART}) (?P<revision>{PART}) (?P<scale>[FC]) (?P<sheets>[0-9A-F]{{8}})",
    re.ASCII,
)


class DaysPage(Struct, frozen=True):
    """A page of a system's first days: its number of how many, the job's number, revision, scale, digest.

    `job` is empty where there is none.
    """

    system: str
    page: int
    pages: int
    job: str
    revision: str
    scale: Scale
    sheets: str

    @property
    def sheet(self) -> str:
        """What no name of a field begins with: the sheet."""
        return f"first-days/{self.system}"

    @property
    def shown(self) -> str:
        """Whose sheet it is, in words."""
        return f"first-days sheet of {self.system}"


def days_page_code(page: DaysPage) -> str:
    """The text of a page's code."""
    system, job, revision = map(code_part, (page.system, page.job, page.revision))
    return f"DAYS {system} {page.page}/{page.pages} {job} {revision} {page.scale} {page.sheets}"


def read_days_code(text: str) -> DaysPage | None:
    """The page of which this is the code; None for any other text."""
    match = CODE.fullmatch(text)
    if match is None or int(match["page"]) > int(match["pages"]):
        return None
    try:
        system, job, revision = (read_code_part(match[key]) for key in ("system", "job", "revision"))
    except UnicodeDecodeError:
        return None
    page, pages = int(match["page"]), int(match["pages"])
    scale: Scale = "F" if match["scale"] == "F" else "C"
    return DaysPage(system, page, pages, job, revision, scale, match["sheets"])
