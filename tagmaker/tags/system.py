"""What a system's sheets are known by: the names of their fields, and the code on each page.

    SYSTEM TAG PAGE/PAGES JOB REVISION DIGEST

Names of fields are flat, their parts set apart by "/", and begin with `system`: boxes are in capitals, so
that no box has such a field. In a tag, a job's number and a revision every sign but letters, digits, "-", "_"
and "~" is percent-encoded (RFC 3986); a job without a number is "-". The digest is that of every text on the
pages.
"""

import hashlib
import re
from collections.abc import Iterable

from tagmaker.job.model import Job, SystemRow

__all__ = ["printed_for", "system_digest", "system_field", "system_page_code"]

OTHER = re.compile(rb"[^A-Za-z0-9_~-]")
NO_JOB = "-"
DIGITS = 8


def system_field(row: SystemRow, *parts: str) -> str:
    """A field of a system's sheets: system/TAG/ and where it is, such as hold/start/pressure."""
    return "/".join(("system", _encoded(row.key), *map(_encoded, parts)))


def system_digest(texts: Iterable[str]) -> str:
    """The digest of what the sheets say, 8 hexadecimal digits."""
    text = "\n".join(texts)
    return hashlib.sha256(text.encode(errors="backslashreplace")).hexdigest()[:DIGITS].upper()


def system_page_code(job: Job, row: SystemRow, digest: str, page: tuple[int, int]) -> str:
    """The text of a page's code; `page` is its number and how many there are."""
    number = _encoded(job.number) if job.number else NO_JOB
    return f"SYSTEM {_encoded(row.key)} {page[0]}/{page[1]} {number} {_encoded(job.revision)} {digest}"


def printed_for(job: Job, row: SystemRow, digest: str) -> str:
    """What sheets were printed for, a hidden text: job, revision, system, digest."""
    return "\n".join((job.title, job.revision, row.tag, digest))


def _encoded(text: str) -> str:
    if text == NO_JOB:
        return "%2D"
    return OTHER.sub(lambda sign: b"%%%02X" % ord(sign[0]), text.encode(errors="backslashreplace")).decode()
