"""Of which revision a scanned placard is: today's, one in which it last changed, an older one, or altered."""

import re

from tagmaker.job.model import Job
from tagmaker.plan.model import BoxPlan
from tagmaker.revisions.issued import IssuedPlacard, placard_says
from tagmaker.tags.placard_read import PlacardFacts, read_placard
from tagmaker.tags.placard_text import placard_text

__all__ = ["ALTERED", "TODAY", "UNCHANGED", "age_of"]

TODAY = "this revision"
UNCHANGED = "unchanged since"
ALTERED = "altered"
REVISION = re.compile(r"(.*?)(\d*)", re.ASCII)


def age_of(seen: PlacardFacts, job: Job, box: BoxPlan, issued: IssuedPlacard | None) -> str:
    """A placard's age in words; `issued` is what the earlier set has of the box, None where none is given.

    "altered" is one of today's or of the earlier set's revision that says something else than was issued.
    """
    if seen == read_placard(placard_text(job, box)):
        return TODAY
    if issued and seen.revision == issued.revision:
        if seen != read_placard(issued.text):
            return ALTERED
        if issued.says == placard_says(job, box):  # the code alone does not tell of place and power
            return UNCHANGED
    if seen.revision == job.revision:
        return ALTERED
    return _compared(seen.revision, job.revision)


def _compared(revision: str, today: str) -> str:
    """Older or newer where both count alike (2 and 3, P01 and P02), else another one."""
    (word, number), (word_today, number_today) = (_parts(text) for text in (revision, today))
    if word != word_today or not number or not number_today or int(number) == int(number_today):
        return "another revision"
    return "older" if int(number) < int(number_today) else "newer"


def _parts(revision: str) -> tuple[str, str]:
    match = REVISION.fullmatch(revision)
    return (match[1].upper(), match[2]) if match else (revision, "")
