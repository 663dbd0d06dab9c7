"""Of which revision a scanned placard is: today's, one in which it last changed, an older one, or altered."""

import re
from typing import Literal

from tagmaker.job.model import Job
from tagmaker.plan.model import BoxPlan
from tagmaker.revisions.issued import IssuedPlacard
from tagmaker.revisions.issuing import placard_digest
from tagmaker.tags.placard_text import PlacardFacts, placard_text, read_placard

__all__ = ["ALTERED", "TODAY", "UNCHANGED", "Age", "age_of"]

Age = Literal["this revision", "unchanged since", "altered", "older", "newer", "another revision"]
"""A placard's age in words; "altered" is a known revision with another text than was issued in it."""
TODAY: Age = "this revision"
UNCHANGED: Age = "unchanged since"
ALTERED: Age = "altered"
REVISION = re.compile(r"(.*?)(\d*)", re.ASCII)


def age_of(seen: PlacardFacts, job: Job, box: BoxPlan, issued: IssuedPlacard | None) -> Age:
    """A placard's age; `issued` is the box's placard of the earlier set, None where no set is given.

    "unchanged since" needs that everything printed on the placard is as today, not its code's text alone: a
    box must not be isolated where its power is no longer.
    """
    if seen == read_placard(placard_text(job, box)):
        return TODAY
    if issued and seen.revision == issued.revision:
        if seen != read_placard(issued.text):
            return ALTERED
        if issued.says == placard_digest(job, box):
            return UNCHANGED
    if seen.revision == job.revision:
        return ALTERED
    return _compared(seen.revision, job.revision)


def _compared(revision: str, today: str) -> Age:
    """Older or newer where both count in the same way (2 and 3, P01 and P02), else another one."""
    (word, number), (word_today, number_today) = (_parts(text) for text in (revision, today))
    if word != word_today or not number or not number_today or int(number) == int(number_today):
        return "another revision"
    return "older" if int(number) < int(number_today) else "newer"


def _parts(revision: str) -> tuple[str, str]:
    """A revision's letters, in capitals, and the number at its end."""
    match = REVISION.fullmatch(revision)
    return (match[1].upper(), match[2]) if match else (revision, "")
