"""The code on each page of a response test, written and read: which page of which test this paper is.

    RESPONSE SYSTEM PAGE/PAGES JOB REVISION PLAN SHEETS

such as `RESPONSE HR-1 3/8 ML-24 P02 3F2A91C2 5D20A1B7`. PLAN is the test's digest, `plan` of response.json.
SHEETS is the digest of all texts and places on its pages, so that paper of another layout of the same test is
never read by these places. In other parts every sign but letters, digits, "-", ".", "_" and "~" is
percent-encoded (RFC 3986); a system or a number that is not given is "-", one that is "-" is "%2D".
"""

import hashlib
import re
from collections.abc import Iterable

from msgspec import Struct

from tagmaker.tags.code_parts import PART, code_part, read_code_part

__all__ = ["ResponsePage", "read_response_code", "response_page_code", "sheets_digest"]

DIGITS = 8
CODE = re.compile(
    rf"RESPONSE (?P<system>{PART}) (?P<page>[1-9]\d{{0,2}})/(?P<pages>[1-9]\d{{0,2}})"
    rf" (?P<job>{PART}) (?P<revision>{PART}) (?P<plan>[0-9A-F]{{8}}) (?P<sheets>[0-9A-F]{{8}})",
    re.ASCII,
)


class ResponsePage(Struct, frozen=True):
    """A page of a system's response test: its number of how many, the job's number, revision, digests.

    `system` and `job` are empty where there is none. `plan` is the test's digest, `sheets` that of its pages.
    """

    system: str
    page: int
    pages: int
    job: str
    revision: str
    plan: str
    sheets: str

    @property
    def sheet(self) -> str:
        """What no name of a field begins with: the test."""
        return f"response/{self.plan}"

    @property
    def shown(self) -> str:
        """Whose sheet it is, in words."""
        return f"sheet of response test {self.plan}" + (f" of system {self.system}" if self.system else "")


def sheets_digest(parts: Iterable[str]) -> str:
    """The digest of what is on the pages, 8 hexadecimal digits."""
    text = "\n".join(parts)
    return hashlib.sha256(text.encode(errors="backslashreplace")).hexdigest()[:DIGITS].upper()


def response_page_code(page: ResponsePage) -> str:
    """The text of a page's code."""
    system, job, revision = map(code_part, (page.system, page.job, page.revision))
    return f"RESPONSE {system} {page.page}/{page.pages} {job} {revision} {page.plan} {page.sheets}"


def read_response_code(text: str) -> ResponsePage | None:
    """The page of which this is the code; None for any other text."""
    match = CODE.fullmatch(text)
    if match is None or int(match["page"]) > int(match["pages"]):
        return None
    try:
        system, job, revision = (read_code_part(match[key]) for key in ("system", "job", "revision"))
    except UnicodeDecodeError:
        return None
    page, pages = int(match["page"]), int(match["pages"])
    return ResponsePage(system, page, pages, job, revision, match["plan"], match["sheets"])
